/* src/base/real.c: real numbers from text, exact to the last bit.
 *
 * A decimal number is an integer times a power of ten.  Small ones are exact
 * doubles, and one multiplication or division rounds once; the others are divided
 * as long integers, as far as a double's 53 bits and the question of rounding
 * need.  Own code because strtod takes the decimal sign from the locale.
 */
#include "num.h"
#include "text.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    /* The exact value of a point half-way between two doubles has at most 767
     * significant digits; what comes after can only break the tie. */
    MOST_DIGITS = 768,
    /* 10^(324 + 769) and 63 bits more want 3695 bits. */
    WORDS = 120
};

/* digits × 10^exponent, without leading zeros. */
typedef struct decimal {
    uint8_t digits[MOST_DIGITS + 1];
    int count;
    long exponent;
} decimal;

typedef struct big {
    uint32_t words[WORDS]; /* least first */
    int count;             /* without leading zero words */
} big;

static void big_multiply_add(big *b, uint32_t factor, uint32_t more) {
    uint64_t carry = more;
    for (int i = 0; i < b->count; i++) {
        carry += (uint64_t)b->words[i] * factor;
        b->words[i] = (uint32_t)carry;
        carry >>= 32;
    }
    if (carry)
        b->words[b->count++] = (uint32_t)carry;
}

static void big_times_ten_to(big *b, long power) {
    for (; power >= 9; power -= 9)
        big_multiply_add(b, 1000000000, 0);
    for (; power > 0; power--)
        big_multiply_add(b, 10, 0);
}

static void big_shift(big *b, int bits) {
    int words = bits / 32, rest = bits % 32;
    if (words && b->count) {
        memmove(b->words + words, b->words, (size_t)b->count * sizeof b->words[0]);
        memset(b->words, 0, (size_t)words * sizeof b->words[0]);
        b->count += words;
    }
    big_multiply_add(b, UINT32_C(1) << rest, 0);
}

static int big_bits(const big *b) {
    int bits = 32 * (b->count - 1);
    for (uint32_t top = b->words[b->count - 1]; top; top >>= 1)
        bits++;
    return bits;
}

static int big_compare(const big *a, const big *b) {
    if (a->count != b->count)
        return a->count < b->count ? -1 : 1;
    for (int i = a->count - 1; i >= 0; i--)
        if (a->words[i] != b->words[i])
            return a->words[i] < b->words[i] ? -1 : 1;
    return 0;
}

/* a -= b, where a >= b. */
static void big_subtract(big *a, const big *b) {
    uint64_t borrow = 0;
    for (int i = 0; i < a->count; i++) {
        uint64_t take = borrow + (i < b->count ? b->words[i] : 0);
        borrow = a->words[i] < take;
        a->words[i] = (uint32_t)(a->words[i] - take);
    }
    while (a->count && a->words[a->count - 1] == 0)
        a->count--;
}

/* quotient × 2^exponent and whether something is left over, as a double. */
static double rounded(uint64_t quotient, int exponent, bool rest) {
    int bits = 0;
    for (uint64_t q = quotient; q; q >>= 1)
        bits++;
    /* A double's last place: 53 bits, fewer when subnormal. */
    int drop = bits - 53;
    if (exponent + drop < -1074)
        drop = -1074 - exponent;
    if (drop > bits + 1)
        return 0;
    uint64_t kept = drop > 63 ? 0 : quotient >> drop;
    uint64_t half = UINT64_C(1) << (drop - 1), below = quotient & (half - 1);
    bool at_half = quotient & half;
    if (at_half && (below || rest || (kept & 1)))
        kept++;
    return ldexp((double)kept, exponent + drop);
}

static double divided(const decimal *number) {
    big top = {.count = 0}, bottom = {.words = {1}, .count = 1};
    for (int i = 0; i < number->count; i++)
        big_multiply_add(&top, 10, number->digits[i]);
    if (number->exponent >= 0)
        big_times_ten_to(&top, number->exponent);
    else
        big_times_ten_to(&bottom, -number->exponent);
    /* Made even, the quotient lies between 1/2 and 2; 63 more bits are asked for. */
    int shift = big_bits(&top) - big_bits(&bottom);
    if (shift > 0)
        big_shift(&bottom, shift);
    else
        big_shift(&top, -shift);
    uint64_t quotient = 0;
    for (int i = 0; i < 63; i++) {
        quotient <<= 1;
        if (big_compare(&top, &bottom) >= 0) {
            big_subtract(&top, &bottom);
            quotient |= 1;
        }
        big_shift(&top, 1);
    }
    return rounded(quotient, shift - 62, top.count > 0);
}

static double nearest(const decimal *number) {
    static const double tens[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                  1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                  1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    long size = number->count + number->exponent;
    if (number->count == 0 || size < -330)
        return 0;
    if (size > 310)
        return HUGE_VAL;
    /* Both factors exact: one rounding (Clinger 1990), where doubles are
     * computed as doubles. */
    if (FLT_EVAL_METHOD == 0 && number->count <= 15 && labs(number->exponent) <= 22) {
        double whole = 0;
        for (int i = 0; i < number->count; i++)
            whole = whole * 10 + number->digits[i];
        return number->exponent < 0 ? whole / tens[-number->exponent]
                                    : whole * tens[number->exponent];
    }
    return divided(number);
}

/* Adds the run of digits at text; returns its length. */
static size_t take_digits(decimal *number, const char *text, size_t length, bool fraction) {
    size_t i = 0;
    for (; i < length && swi_is_digit(text[i]); i++) {
        uint8_t digit = (uint8_t)(text[i] - '0');
        bool leading = number->count == 0 && digit == 0;
        if (leading || number->count < MOST_DIGITS) {
            if (!leading)
                number->digits[number->count++] = digit;
            number->exponent -= fraction;
        } else {
            /* Beyond what can matter: kept only as "and something more". */
            if (number->count == MOST_DIGITS && digit) {
                number->digits[number->count++] = 1;
                number->exponent--;
            }
            number->exponent += !fraction;
        }
    }
    return i;
}

/* The exponent part, if it is one; returns its length. */
static size_t take_exponent(decimal *number, const char *text, size_t length) {
    size_t i = 1;
    if (length < 2 || (text[0] != 'e' && text[0] != 'E'))
        return 0;
    bool negative = text[i] == '-';
    if (text[i] == '-' || text[i] == '+')
        i++;
    if (i == length || !swi_is_digit(text[i]))
        return 0;
    long power = 0;
    for (; i < length && swi_is_digit(text[i]); i++)
        if (power < 100000000)
            power = power * 10 + (text[i] - '0');
    number->exponent += negative ? -power : power;
    return i;
}

size_t swi_real_read(const char *text, size_t length, double *value) {
    decimal number;
    number.count = 0;
    number.exponent = 0;
    size_t i = length && (text[0] == '-' || text[0] == '+');
    bool negative = i && text[0] == '-';
    size_t whole = take_digits(&number, text + i, length - i, false), fraction = 0;
    i += whole;
    if (i < length && text[i] == '.') {
        fraction = take_digits(&number, text + i + 1, length - i - 1, true);
        if (whole || fraction)
            i += 1 + fraction;
    }
    if (whole + fraction == 0)
        return 0;
    i += take_exponent(&number, text + i, length - i);
    double result = nearest(&number);
    if (isinf(result))
        return 0;
    *value = negative ? -result : result;
    return i;
}
