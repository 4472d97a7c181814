/* src/parts/marking.c: what is printed on resistors and capacitors (IEC 60062). */
#include "base/num.h"
#include <stripwright/parts.h>

#include <math.h>
#include <string.h>

enum { MOST_DIGITS = 9 };

static bool is_value(double value) {
    return value > 0 && !isinf(value);
}

/* Multiplier bands are these from black on, and gold, silver, pink below one. */
static const char *const colours[] = {"black", "brown", "red",    "orange", "yellow",
                                      "green", "blue",  "violet", "grey",   "white"};
static const char *const fractions[] = {"gold", "silver", "pink"};

bool sw_marking_bands(double ohms, int bands, sw_buf *out) {
    if (ohms == 0) {
        sw_buf_puts(out, "black"); /* one band: a link in a resistor's body */
        return true;
    }
    if (!is_value(ohms) || (bands != 4 && bands != 5))
        return false;
    int digits = bands - 2;
    swi_digits d = swi_real_digits(ohms, MOST_DIGITS);
    int power = d.point - digits;
    if (d.count > digits || power < -3 || power > 9)
        return false;
    for (int i = 0; i < digits; i++) {
        sw_buf_puts(out, colours[i < d.count ? d.d[i] - '0' : 0]);
        sw_buf_putc(out, ' ');
    }
    sw_buf_puts(out, power < 0 ? fractions[-power - 1] : colours[power]);
    sw_buf_puts(out, bands == 4 ? " gold" : " brown");
    return true;
}

/* The letter, `before` digits before it, without a leading 0: R47. */
static void put_code(const swi_digits *d, int before, const char *letter, sw_buf *out) {
    for (int i = 0; i < before; i++)
        sw_buf_putc(out, i < d->count ? d->d[i] : '0');
    sw_buf_puts(out, letter);
    for (int i = before; i < d->count; i++)
        sw_buf_putc(out, i < 0 ? '0' : d->d[i]);
}

bool sw_marking_letters(double ohms, sw_buf *out) {
    static const char *const letters[] = {"L", "R", "K", "M", "G", "T"};
    enum { MOST = 4 }; /* digits that a code has room for */
    if (!is_value(ohms))
        return false;
    swi_digits d = swi_real_digits(ohms, MOST_DIGITS);
    /* R47, but 22L: a zero behind the letter wastes room. */
    int step = d.point < 0 ? 0 : d.point == 0 ? 1 : (d.point - 1) / 3 + 1;
    int before = d.point - (step - 1) * 3;
    if (d.count > MOST || step > 5 || before < 0)
        return false;
    put_code(&d, before, letters[step], out);
    return true;
}

bool sw_marking_capacitor(double farads, sw_buf *out) {
    if (!is_value(farads))
        return false;
    swi_digits d = swi_real_digits(farads, MOST_DIGITS);
    int before = d.point + 12; /* digits before the point in picofarads */
    if (d.count > 2 || before < 0 || before > 9)
        return false;
    if (before < 2 && d.count > before) {
        put_code(&d, before, "p", out); /* 2p2, p47: no code of digits is sure here */
        return true;
    }
    for (int i = 0; i < 2 && i < before; i++)
        sw_buf_putc(out, i < d.count ? d.d[i] : '0');
    if (before > 2)
        sw_buf_putc(out, (char)('0' + before - 2));
    return true;
}
