/* src/parts/value.c: component values as people and decks write them.
 *
 * On parts: letter codes after IEC 60062 (4k7, R47, 2u2, 27KK), prefixes and units,
 * the three-digit code of capacitors, and beside the value a tolerance, a rating or
 * a remark.  In decks: Berkeley SPICE3 manual section 2.1, in which M is milli and
 * letters after the suffix say nothing.
 */
#include "base/num.h"
#include "base/text.h"
#include <stripwright/parts.h>

#include <stdio.h>
#include <string.h>

/* ---- numbers: decimal digits and a power of ten ---- */

/* Multiplied only as text: 4.7k is the double nearest to 4700. */
typedef struct reading {
    const char *at;
    char digits[120]; /* one point among them at most */
    size_t length;
    long power;
    bool point;
} reading;

static bool add_char(reading *r, char c) {
    if (r->length == sizeof r->digits)
        return false;
    r->digits[r->length++] = c;
    r->point |= c == '.';
    return true;
}

static bool take_digits(reading *r) {
    while (swi_is_digit(*r->at))
        if (!add_char(r, *r->at++))
            return false;
    return true;
}

static void take_exponent(reading *r, const char *letters) {
    const char *at = r->at;
    if (!*at || !strchr(letters, *at))
        return;
    at++;
    bool negative = *at == '-';
    if (*at == '-' || *at == '+')
        at++;
    if (!swi_is_digit(*at))
        return;
    long power = 0;
    for (; swi_is_digit(*at); at++)
        power = power < 100000 ? power * 10 + (*at - '0') : power;
    r->power = negative ? -power : power;
    r->at = at;
}

/* Digits, a point and digits, an exponent. */
static bool take_number(reading *r, const char *exponent_letters) {
    if (!swi_is_digit(*r->at) && !(*r->at == '.' && swi_is_digit(r->at[1])))
        return false;
    if (!take_digits(r))
        return false;
    if (*r->at == '.') {
        r->at++;
        if (!add_char(r, '.') || !take_digits(r))
            return false;
    }
    take_exponent(r, exponent_letters);
    return true;
}

static bool finish(const reading *r, double *value) {
    char text[sizeof r->digits + 32];
    int length = snprintf(text, sizeof text, "%.*se%ld", (int)r->length, r->digits, r->power);
    return swi_real_read(text, (size_t)length, value) == (size_t)length;
}

/* ---- values in decks ---- */

static bool read_in_deck(const char *text, double *value) {
    static const struct {
        const char *text;
        int power;
    } suffixes[] = {{"meg", 6}, {"mil", 0}, {"t", 12}, {"g", 9},   {"k", 3},
                    {"m", -3},  {"u", -6},   {"n", -9}, {"p", -12}, {"f", -15},
                    {"\xC2\xB5", -6}, {"\xCE\xBC", -6}}; /* micro sign, Greek mu */
    reading r = {.at = text};
    if (*r.at == '-' || *r.at == '+')
        add_char(&r, *r.at++);
    if (!take_number(&r, "eEdD"))
        return false;
    bool mil = false;
    for (size_t i = 0; i < sizeof suffixes / sizeof *suffixes; i++) {
        size_t length = strlen(suffixes[i].text);
        if (strlen(r.at) < length || !swi_equal_fold_n(r.at, length, suffixes[i].text))
            continue;
        r.power += suffixes[i].power;
        mil = swi_equal_fold(suffixes[i].text, "mil");
        break;
    }
    if (!finish(&r, value))
        return false;
    if (mil)
        *value *= 25.4e-6; /* a thousandth of an inch in metres */
    return true;
}

/* ---- values on parts ---- */

enum { OHMS = 1 << SW_OHMS, FARADS = 1 << SW_FARADS, HENRIES = 1 << SW_HENRIES,
       OTHER = 1 << SW_OTHER, SMALL = FARADS | HENRIES | OTHER };

/* What may stand for the decimal sign or behind the number; the first that fits
 * holds.  Nobody has megafarads: MF and MFD are old writings of microfarads. */
static const struct {
    const char *text;
    int power;
    int quantities;
} multipliers[] = {
    {"meg", 6, OHMS | OTHER}, {"Meg", 6, OHMS | OTHER}, {"MEG", 6, OHMS | OTHER},
    {"MFD", -6, FARADS},      {"mfd", -6, FARADS},      {"MF", -6, FARADS},
    {"k", 3, OHMS | OTHER},   {"K", 3, OHMS | OTHER},   {"M", 6, OHMS | OTHER},
    {"G", 9, OHMS | OTHER},   {"T", 12, OHMS | OTHER},  {"m", -3, OHMS | SMALL},
    {"u", -6, SMALL},         {"U", -6, SMALL},         {"\xC2\xB5", -6, OHMS | SMALL},
    {"\xCE\xBC", -6, OHMS | SMALL},                     {"n", -9, SMALL},
    {"N", -9, SMALL},         {"p", -12, SMALL},        {"P", -12, SMALL},
    {"R", 0, OHMS},           {"r", 0, OHMS},           {"E", 0, OHMS},
    {"L", -3, OHMS},          {"F", 0, FARADS},         {"H", 0, HENRIES},
};

static const char *const units[][7] = {
    [SW_OHMS] = {"ohms", "ohm", "\xCE\xA9", "\xE2\x84\xA6", "R"}, /* Greek omega, ohm sign */
    [SW_FARADS] = {"farads", "farad", "FD", "F"},
    [SW_HENRIES] = {"henries", "henry", "H"},
    [SW_OTHER] = {NULL},
};

/* Bytes of the multiplier that stands here, 0 when none does. */
static size_t multiplier_at(const char *at, sw_quantity quantity, int *power) {
    for (size_t i = 0; i < sizeof multipliers / sizeof *multipliers; i++) {
        size_t length = strlen(multipliers[i].text);
        if ((multipliers[i].quantities & 1 << quantity) &&
            strncmp(at, multipliers[i].text, length) == 0) {
            *power = multipliers[i].power;
            return length;
        }
    }
    return 0;
}

static const char *skip_unit(const char *at, sw_quantity quantity) {
    while (quantity == SW_OTHER && (swi_is_alpha(*at) || (unsigned char)*at >= 0x80))
        at++;
    for (const char *const *unit = units[quantity]; *unit; unit++) {
        size_t length = strlen(*unit);
        if (strlen(at) >= length && swi_equal_fold_n(at, length, *unit))
            return at + length;
    }
    return at;
}

/* Here ends the value, and a rating or a remark may begin. */
static bool ends_value(const char *at) {
    return *at == '\0' || swi_is_space(*at) || strchr("/,;(+", *at) ||
           strncmp(at, "\xC2\xB1", 2) == 0; /* plus-minus */
}

/* The unit, at once or after a blank: "10 ohms". */
static const char *skip_unit_apart(const char *at, sw_quantity quantity) {
    const char *rest = skip_unit(at, quantity);
    if (rest > at || *at != ' ' || quantity == SW_OTHER)
        return rest;
    rest = skip_unit(at + 1, quantity);
    return rest > at + 1 && ends_value(rest) ? rest : at;
}

/* IEC 60062: a tolerance letter behind the value, 4K7J, 27KK, 104Z. */
static const char *skip_tolerance(const char *at) {
    return *at && strchr("BCDFGHJKMPZ", *at) && ends_value(at + 1) ? at + 1 : at;
}

static bool is_percent(const char *at) {
    return swi_is_digit(*at) && at[strspn(at, "0123456789.")] == '%';
}

/* Three digits alone are a capacitor's code, for nobody has 104 farads; with a 0 at
 * the end they are not: 100 might be meant as picofarads.  A last 8 is × 0.01, a
 * last 9 × 0.1 pF. */
static bool read_capacitor_code(const char *text, double *value) {
    if (strspn(text, "0123456789") != 3 || text[0] == '0' || !strchr("1234589", text[2]) ||
        !ends_value(skip_tolerance(text + 3)))
        return false;
    int power = text[2] == '8' ? -2 : text[2] == '9' ? -1 : text[2] - '0';
    reading r = {.digits = {text[0], text[1]}, .length = 2, .power = power - 12};
    return finish(&r, value);
}

/* "4,7k" has a decimal comma; "1,000" might be a thousand and is refused. */
static bool take_comma(reading *r) {
    size_t digits = *r->at == ',' && !r->point ? strspn(r->at + 1, "0123456789") : 0;
    if (digits == 0)
        return true;
    r->at++;
    return digits <= 2 && add_char(r, '.') && take_digits(r);
}

/* The multiplier, perhaps after a blank ("10 k"), and the digits it stands before. */
static bool take_multiplier(reading *r, sw_quantity quantity, bool number) {
    int power;
    const char *at = r->at;
    if (number && *at == ' ')
        at++;
    size_t length = multiplier_at(at, quantity, &power);
    bool apart = at > r->at;
    if (length == 0 || (apart && !ends_value(skip_unit(at + length, quantity))))
        return number;
    r->at = at + length;
    r->power += power;
    if (!swi_is_digit(*r->at) || (number && is_percent(r->at)))
        return number; /* "10k", "10k5%" */
    if (r->point || quantity == SW_OTHER)
        return false; /* "4.7k7"; "2N3904" is no value of anything */
    return add_char(r, '.') && take_digits(r);
}

bool sw_value_read_beside(const char *text, sw_quantity quantity, double *value, const char **beside) {
    while (swi_is_space(*text))
        text++;
    if (quantity == SW_FARADS && read_capacitor_code(text, value)) {
        *beside = skip_tolerance(text + 3);
        return true;
    }
    reading r = {.at = text};
    if (quantity == SW_OTHER && (*r.at == '-' || *r.at == '+'))
        add_char(&r, *r.at++);
    bool number = take_number(&r, "eE");
    if (number ? !take_comma(&r) : quantity == SW_OTHER || !add_char(&r, '0'))
        return false;
    const char *behind = r.at;
    if (!take_multiplier(&r, quantity, number))
        return false;
    const char *rest = skip_unit_apart(r.at, quantity);
    bool unit = rest > r.at;
    if (rest > behind)
        rest = skip_tolerance(rest); /* not "10M" farads */
    /* "100uF16V": a rating may follow the unit at once. */
    if (!ends_value(rest) && !is_percent(rest) && !(unit && swi_is_digit(*rest)))
        return false;
    *beside = rest;
    return finish(&r, value);
}

bool sw_value_read(const char *text, sw_quantity quantity, bool spice, double *value) {
    const char *beside;
    return spice ? read_in_deck(text, value) : sw_value_read_beside(text, quantity, value, &beside);
}

/* ---- writing ---- */

enum { MOST_DIGITS = 9 };

/* The multiples that a quantity is written in: power of ten of the unit and the
 * letter, rising; a value is written in the last that is not larger. */
static const struct {
    int power;
    char letter;
} multiples[][8] = {
    [SW_OHMS] = {{0, 'R'}, {3, 'k'}, {6, 'M'}, {9, 'G'}, {0, 0}},
    /* No millifarads: 4700u. */
    [SW_FARADS] = {{-12, 'p'}, {-9, 'n'}, {-6, 'u'}, {-1, 'F'}, {0, 0}},
    [SW_HENRIES] = {{-9, 'n'}, {-6, 'u'}, {-3, 'm'}, {0, 'H'}, {0, 0}},
    [SW_OTHER] = {{-12, 'p'}, {-9, 'n'}, {-6, 'u'}, {-3, 'm'}, {0, ' '}, {3, 'k'}, {6, 'M'}},
};

/* Digits with `letter` where the decimal sign would be, `before` digits before it. */
static void put_with_letter(const swi_digits *d, int before, char letter, sw_buf *out) {
    if (before <= 0)
        sw_buf_putc(out, '0');
    for (int i = 0; i < before; i++)
        sw_buf_putc(out, i < d->count ? d->d[i] : '0');
    sw_buf_putc(out, letter);
    for (int i = before; i < d->count; i++)
        sw_buf_putc(out, i < 0 ? '0' : d->d[i]);
}

/* What has no letter code: "2.5k", "12". */
static void put_other(const swi_digits *d, int before, char letter, sw_buf *out) {
    put_with_letter(d, before, '.', out);
    if (out->length && out->bytes[out->length - 1] == '.')
        out->bytes[--out->length] = '\0';
    if (letter != ' ')
        sw_buf_putc(out, letter);
}

void sw_value_write(double value, sw_quantity quantity, sw_buf *out) {
    if (value < 0)
        sw_buf_putc(out, '-');
    if (!(value < 0 || value > 0)) {
        sw_buf_puts(out, quantity == SW_OHMS ? "0R" : "0");
        return;
    }
    swi_digits d = swi_real_digits(value < 0 ? -value : value, MOST_DIGITS);
    int i = 0;
    while (multiples[quantity][i + 1].letter && d.point > multiples[quantity][i + 1].power)
        i++;
    int power = multiples[quantity][i].power;
    char letter = multiples[quantity][i].letter;
    if (letter == 'F')
        power = 0;
    if (quantity == SW_OTHER)
        put_other(&d, d.point - power, letter, out);
    else
        put_with_letter(&d, d.point - power, letter, out);
}
