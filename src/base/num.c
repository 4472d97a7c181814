/* src/base/num.c: integers, and real numbers to text.
 *
 * printf rounds correctly but takes the decimal sign from the locale; here only
 * the digits of its result are used.
 */
#include "num.h"
#include "text.h"

#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

bool swi_int_read(const char *text, long least, long most, long *value) {
    bool negative = *text == '-';
    if (*text == '-' || *text == '+')
        text++;
    if (!swi_is_digit(*text))
        return false;
    long n = 0; /* below zero, where there is room for one more */
    for (; swi_is_digit(*text); text++) {
        long digit = *text - '0';
        if (n < (LONG_MIN + digit) / 10)
            return false;
        n = n * 10 - digit;
    }
    if (*text || (!negative && n == LONG_MIN))
        return false;
    n = negative ? n : -n;
    if (n < least || n > most)
        return false;
    *value = n;
    return true;
}

/* Not finite: nothing that a reader would take for a number. */
static bool put_special(sw_buf *out, double value) {
    if (isfinite(value))
        return false;
    sw_buf_puts(out, isnan(value) ? "nan" : value < 0 ? "-inf" : "inf");
    return true;
}

void sw_buf_real(sw_buf *buf, double value, int decimals) {
    enum { MOST_DECIMALS = 17, WHOLE = 310 };
    if (put_special(buf, value))
        return;
    decimals = decimals < 0 ? 0 : decimals > MOST_DECIMALS ? MOST_DECIMALS : decimals;
    char text[WHOLE + MOST_DECIMALS + 16];
    snprintf(text, sizeof text, "%.*f", decimals, fabs(value));
    size_t whole = strspn(text, "0123456789");
    const char *fraction = text + whole;
    while (*fraction && !swi_is_digit(*fraction))
        fraction++;
    size_t kept = strlen(fraction);
    while (kept && fraction[kept - 1] == '0')
        kept--;
    bool zero = kept == 0 && whole == 1 && text[0] == '0';
    if (value < 0 && !zero)
        sw_buf_putc(buf, '-');
    sw_buf_put(buf, text, whole);
    if (kept) {
        sw_buf_putc(buf, '.');
        sw_buf_put(buf, fraction, kept);
    }
}

static swi_digits digits_of(double value, int count) {
    char text[64];
    swi_digits r = {.count = 0};
    snprintf(text, sizeof text, "%.*e", count - 1, value);
    const char *s = text;
    for (; *s != 'e'; s++)
        if (swi_is_digit(*s))
            r.d[r.count++] = *s;
    bool negative = s[1] == '-';
    int exponent = 0;
    for (s += 2; swi_is_digit(*s); s++)
        exponent = exponent * 10 + (*s - '0');
    r.point = (negative ? -exponent : exponent) + 1;
    return r;
}

/* One more in the last digit. */
static void bump(swi_digits *r) {
    int i = r->count - 1;
    while (i >= 0 && r->d[i] == '9')
        r->d[i--] = '0';
    if (i >= 0) {
        r->d[i]++;
    } else {
        r->d[0] = '1';
        r->point++;
    }
}

static bool reads_back(const swi_digits *r, double value) {
    char text[64];
    double back;
    int length = snprintf(text, sizeof text, "%.*se%d", r->count, r->d, r->point - r->count);
    return swi_real_read(text, (size_t)length, &back) > 0 && back == value;
}

/* Up to 15 digits survive the way to a normal double and back (C11 DBL_DIG), so
 * that 15 less their zeros are the shortest when they do; a subnormal may do with
 * fewer.  Just below a power of two the doubles stand closer, and the rounded
 * digits may miss where one more in the last place does not. */
static swi_digits shortest(double value) {
    swi_digits r;
    for (int count = value < 2.2250738585072014e-308 ? 1 : 15; count < 17; count++) {
        r = digits_of(value, count);
        if (reads_back(&r, value))
            return r;
        bump(&r);
        if (reads_back(&r, value))
            return r;
    }
    return digits_of(value, 17);
}

swi_digits swi_real_digits(double value, int most) {
    swi_digits r = shortest(value);
    if (r.count > most)
        r = digits_of(value, most);
    while (r.count > 1 && r.d[r.count - 1] == '0')
        r.count--;
    return r;
}

static void put_plain(sw_buf *out, const swi_digits *r) {
    if (r->point <= 0) {
        sw_buf_puts(out, "0.");
        for (int i = r->point; i < 0; i++)
            sw_buf_putc(out, '0');
        sw_buf_put(out, r->d, (size_t)r->count);
        return;
    }
    for (int i = 0; i < r->count || i < r->point; i++) {
        if (i == r->point)
            sw_buf_putc(out, '.');
        sw_buf_putc(out, i < r->count ? r->d[i] : '0');
    }
}

void swi_real_write(sw_buf *out, double value) {
    if (put_special(out, value))
        return;
    if (value < 0)
        sw_buf_putc(out, '-');
    if (value == 0) {
        sw_buf_putc(out, '0');
        return;
    }
    swi_digits r = swi_real_digits(fabs(value), 17);
    if (r.point > -5 && r.point <= 17) {
        put_plain(out, &r);
        return;
    }
    sw_buf_putc(out, r.d[0]);
    if (r.count > 1) {
        sw_buf_putc(out, '.');
        sw_buf_put(out, r.d + 1, (size_t)r.count - 1);
    }
    sw_buf_printf(out, "e%d", r.point - 1);
}
