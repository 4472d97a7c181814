/* formats/spice/spice_number.c: numbers as decks write them.
 *
 * Source of the suffixes: Berkeley SPICE3 user's manual 2.1.  The factor is
 * taken into the decimal exponent before anything is multiplied, so that 4.7k is
 * 4700 and 2.2u is the double nearest to 2.2e-6.
 */
#include "spice.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/num.h"

static const double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

typedef struct decimal {
    uint64_t digits; /* without the point */
    int exponent;    /* of ten */
    bool exact;      /* all digits are in `digits` */
    size_t used;     /* bytes */
} decimal;

static decimal read_digits(const char *text, size_t length) {
    decimal d = {0, 0, true, 0};
    size_t i = 0, seen = 0;
    bool point = false;
    for (; i < length; i++) {
        if (text[i] == '.' && !point) {
            point = true;
            continue;
        }
        if (!swi_is_digit(text[i])) break;
        seen++;
        if (d.digits >= 100000000000000u) { /* 15 digits are taken */
            d.exact = d.exact && text[i] == '0';
            d.exponent += point ? 0 : 1;
            continue;
        }
        d.digits = d.digits * 10 + (uint64_t)(text[i] - '0');
        d.exponent -= point ? 1 : 0;
    }
    d.used = seen > 0 ? i : 0;
    return d;
}

/* `e`, `E`, `d` or `D`, a sign, digits; 0 bytes when it is not all there. */
static size_t read_exponent(const char *text, size_t length, int *exponent) {
    if (length < 2 || strchr("eEdD", text[0]) == NULL) return 0;
    size_t i = 1;
    bool minus = text[i] == '-';
    if (text[i] == '-' || text[i] == '+') i++;
    if (i == length || !swi_is_digit(text[i])) return 0;
    int value = 0;
    for (; i < length && swi_is_digit(text[i]); i++)
        value = value < 10000 ? value * 10 + (text[i] - '0') : value;
    *exponent = minus ? -value : value;
    return i;
}

/* The scale suffix as a power of ten; *mil is set for the one that is none. */
static size_t read_suffix(const char *text, size_t length, int *exponent, bool *mil) {
    *exponent = 0;
    *mil = false;
    if (length == 0) return 0;
    switch (swi_lower(text[0])) {
    case 't':
        *exponent = 12;
        return 1;
    case 'g':
        *exponent = 9;
        return 1;
    case 'k':
        *exponent = 3;
        return 1;
    case 'u':
        *exponent = -6;
        return 1;
    case 'n':
        *exponent = -9;
        return 1;
    case 'p':
        *exponent = -12;
        return 1;
    case 'f':
        *exponent = -15;
        return 1;
    case 'm':
        if (length >= 3 && swi_equal_fold_n(text, 3, "meg")) {
            *exponent = 6;
            return 3;
        }
        *mil = length >= 3 && swi_equal_fold_n(text, 3, "mil");
        *exponent = -3;
        return *mil ? 3 : 1;
    default:
        break;
    }
    /* The micro sign U+00B5 or the letter mu U+03BC, or U+00B5 in Latin-1. */
    if (length >= 2 && (memcmp(text, "\xC2\xB5", 2) == 0 || memcmp(text, "\xCE\xBC", 2) == 0)) {
        *exponent = -6;
        return 2;
    }
    if (text[0] == '\xB5') {
        *exponent = -6;
        return 1;
    }
    return 0;
}

/* Digits and an exponent that came after them.  More than 15 digits, or an
 * exponent beyond the exact powers, are left to the exact reader. */
static double to_double(const char *text, decimal d, int exponent) {
    int shift = d.exponent + exponent;
    if (d.digits == 0) return 0;
    if (d.exact && shift >= 0 && shift <= 22) return (double)d.digits * powers[shift];
    if (d.exact && shift < 0 && shift >= -22) return (double)d.digits / powers[-shift];
    /* Digits beyond the fifteenth are lost only in a text longer than any number. */
    char plain[400];
    bool whole = !d.exact && d.used < sizeof plain - 16;
    int length = whole ? snprintf(plain, sizeof plain, "%.*se%d", (int)d.used, text, exponent)
                       : snprintf(plain, sizeof plain, "%" PRIu64 "e%d", d.digits, shift);
    double value = 0;
    swi_real_read(plain, (size_t)length, &value);
    return value;
}

size_t swi_spice_number(const char *text, size_t length, double *value) {
    size_t sign = length > 0 && (text[0] == '-' || text[0] == '+') ? 1 : 0;
    decimal d = read_digits(text + sign, length - sign);
    if (d.used == 0) return 0;
    size_t at = sign + d.used;
    int exponent = 0, scale = 0;
    bool mil = false;
    at += read_exponent(text + at, length - at, &exponent);
    at += read_suffix(text + at, length - at, &scale, &mil);
    bool small = mil && d.exact && d.digits < UINT64_C(1000000000000);
    if (small) /* a thousandth of an inch is 254e-7 m */
        d.digits *= 254;
    double magnitude = to_double(text + sign, d, exponent + (mil ? -7 : scale));
    if (mil && !small) magnitude *= 254;
    *value = text[0] == '-' ? -magnitude : magnitude;
    return at;
}

/* Digits, one letter of the code of IEC 60062 in place of the point, digits. */
static bool read_code(const char *text, size_t length, double *value) {
    static const struct {
        const char *letter;
        int exponent;
    } codes[] = {{"R", 0},  {"r", 0},  {"k", 3},   {"K", 3},  {"M", 6},         {"m", -3},
                 {"G", 9},  {"T", 12}, {"u", -6},  {"U", -6}, {"\xC2\xB5", -6}, {"\xCE\xBC", -6},
                 {"n", -9}, {"N", -9}, {"p", -12}, {"P", -12}};
    size_t before = 0;
    while (before < length && swi_is_digit(text[before]))
        before++;
    for (size_t i = 0; before > 0 && i < sizeof codes / sizeof *codes; i++) {
        size_t n = strlen(codes[i].letter), at = before + n, after = 0;
        if (at >= length || memcmp(text + before, codes[i].letter, n) != 0) continue;
        while (at + after < length && swi_is_digit(text[at + after]))
            after++;
        if (at + after != length || before + after > 15) return false;
        decimal whole = read_digits(text, before), part = read_digits(text + at, after);
        whole.digits = whole.digits * (uint64_t)powers[after] + part.digits;
        whole.exponent = -(int)after;
        *value = to_double(text, whole, codes[i].exponent);
        return true;
    }
    return false;
}

bool swi_spice_value(const char *text, size_t length, double *value, bool *coded) {
    *coded = false;
    size_t at = swi_spice_number(text, length, value);
    if (at == 0) return false;
    for (; at < length; at++) {
        unsigned char c = (unsigned char)text[at];
        if (!swi_is_alpha((char)c) && c < 0x80) {
            *coded = swi_is_digit((char)c) && read_code(text, length, value);
            return *coded;
        }
    }
    return true;
}

void swi_spice_put_number(sw_buf *out, double value) {
    static const char *const suffixes[] = {"f", "p", "n", "u", "m", "", "k", "MEG", "G", "T"};
    if (!isfinite(value) || value == 0) {
        sw_buf_puts(out, "0");
        return;
    }
    if (value < 0) sw_buf_putc(out, '-');
    swi_digits digits = swi_real_digits(fabs(value), 17);
    int top = digits.point - 1; /* power of the first digit */
    int step = top >= 0 ? top / 3 : -((2 - top) / 3);
    step = step < -5 ? -5 : step > 4 ? 4 : step;
    int whole = top - 3 * step + 1; /* digits before the point */
    if (whole > 16 || whole < -6) { /* beyond the suffixes: an exponent reads better */
        sw_buf_printf(out, "%.*se%d", digits.count, digits.d, digits.point - digits.count);
        return;
    }
    if (whole <= 0) sw_buf_puts(out, "0.");
    for (int i = whole; i < 0; i++)
        sw_buf_putc(out, '0');
    for (int i = 0; i < digits.count || i < whole; i++) {
        if (i == whole && i > 0) sw_buf_putc(out, '.');
        sw_buf_putc(out, i < digits.count ? digits.d[i] : '0');
    }
    sw_buf_puts(out, suffixes[step + 5]);
}
