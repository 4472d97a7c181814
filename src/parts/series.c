/* src/parts/series.c: the preferred values of IEC 60063:2015.
 *
 * E3 to E24 have two significant digits and are a table; E48 to E192 have three
 * and follow from a rule with one exception.
 */
#include "base/num.h"
#include <stripwright/parts.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* IEC 60063 table 1.  E12, E6 and E3 are every second, fourth and eighth. */
static const int e24[] = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30,
                          33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91};

static const struct {
    const char *name;
    int count;
} series_of[] = {
    [SW_E3] = {"E3", 3},   [SW_E6] = {"E6", 6},   [SW_E12] = {"E12", 12},   [SW_E24] = {"E24", 24},
    [SW_E48] = {"E48", 48}, [SW_E96] = {"E96", 96}, [SW_E192] = {"E192", 192},
    [SW_NO_SERIES] = {"", 0},
};

const char *sw_series_name(sw_series series) {
    return series_of[series].name;
}

/* The i-th member in three digits, 100 to 999.  IEC 60063 table 2 is 10^(i/count)
 * rounded to three digits, but that member 185 of E192 is 920 and not 919. */
static int member(sw_series series, int i) {
    int count = series_of[series].count;
    if (count <= 24)
        return 10 * e24[i * (24 / count)];
    if (count == 192 && i == 185)
        return 920;
    return (int)(pow(10, 2 + (double)i / count) + 0.5);
}

/* Whether three digits are in the series. */
static bool holds(sw_series series, int digits) {
    for (int i = 0; i < series_of[series].count; i++)
        if (member(series, i) == digits)
            return true;
    return false;
}

/* What arithmetic adds to a value does not count. */
enum { MOST_DIGITS = 9 };

sw_series sw_value_series(double value) {
    if (!(value > 0) || isinf(value))
        return SW_NO_SERIES;
    swi_digits d = swi_real_digits(value, MOST_DIGITS);
    if (d.count > 3)
        return SW_NO_SERIES;
    int digits = 0;
    for (int i = 0; i < 3; i++)
        digits = digits * 10 + (i < d.count ? d.d[i] - '0' : 0);
    for (int series = SW_E3; series <= SW_E192; series++)
        if (holds((sw_series)series, digits))
            return (sw_series)series;
    return SW_NO_SERIES;
}

/* digits × 10^power as the nearest double. */
static double scaled(int digits, int power) {
    char text[32];
    double value = 0;
    int length = snprintf(text, sizeof text, "%de%d", digits, power);
    swi_real_read(text, (size_t)length, &value);
    return value;
}

void sw_series_nearest(sw_series series, double value, double *below, double *above) {
    *below = *above = 0;
    if (!(value > 0) || isinf(value) || series == SW_NO_SERIES)
        return;
    swi_digits d = swi_real_digits(value, MOST_DIGITS);
    char text[48];
    int length = snprintf(text, sizeof text, "%.*se%d", d.count, d.d, d.point - d.count);
    swi_real_read(text, (size_t)length, &value);
    int power = d.point - 3, count = series_of[series].count;
    for (int i = 0; i <= count; i++) {
        double next = i < count ? scaled(member(series, i), power)
                                : scaled(member(series, 0), power + 1);
        if (next <= value)
            *below = next;
        if (next >= value) {
            *above = next;
            return;
        }
    }
}
