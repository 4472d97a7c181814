/* Comparing, patterns, UTF-8, and numbers to and from text. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <float.h>
#include <limits.h>
#include <math.h>

#include "base/num.h"
#include "base/text.h"

static void compares_without_case(void **state) {
    (void)state;
    assert_true(swi_equal_fold("Vcc", "vCC"));
    assert_false(swi_equal_fold("Vcc", "Vcc1"));
    assert_true(swi_compare_fold("a", "B") < 0);
    assert_true(swi_compare_fold("", "a") < 0);
    assert_true(swi_equal_fold_n("GNDx", 3, "gnd"));
    assert_false(swi_equal_fold_n("GN", 2, "gnd"));
    assert_false(swi_equal_fold_n("GNDA", 4, "gnd"));
    assert_true(swi_equal_fold_n("", 0, ""));
}

static void natural_order(void **state) {
    (void)state;
    /* Rising; each pair is compared both ways. */
    static const char *const rising[] = {"",     "1",   "2",    "10",       "a",    "C1",  "C02",
                                         "C9",   "C10", "c10a", "C10b",     "C100", "R",   "R1",
                                         "R1.2", "R1.10", "R2", "R02",      "R10",
                                         "R99999999999999999999998", "R99999999999999999999999",
                                         "RA",   "U1A", "U1B",  "\xC3\xA4"};
    size_t count = sizeof rising / sizeof *rising;
    for (size_t i = 0; i < count; i++) {
        assert_int_equal(swi_natural_compare(rising[i], rising[i]), 0);
        for (size_t j = i + 1; j < count; j++) {
            assert_true(swi_natural_compare(rising[i], rising[j]) < 0);
            assert_true(swi_natural_compare(rising[j], rising[i]) > 0);
        }
    }
    assert_int_equal(swi_natural_compare("r10b", "R10B"), 0);
}

static void lists_by_their_first_word(void **state) {
    (void)state;
    static const char *const lists[] = {"(edif x", "\xEF\xBB\xBF \n( EDIF\n", "(edif(rename a))", "(edif"};
    static const char *const others[] = {"", "(", "edif", "(ed", "(edifx", "((edif", "x (edif"};
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        assert_true(swi_begins_list(lists[i], strlen(lists[i]), "edif"));
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_false(swi_begins_list(others[i], strlen(others[i]), "edif"));
}

static void patterns(void **state) {
    (void)state;
    assert_true(swi_match("*", ""));
    assert_true(swi_match("R*", "r12"));
    assert_true(swi_match("X*.R5", "X1.X2.R5"));
    assert_false(swi_match("X*.R5", "X1.R55"));
    assert_true(swi_match("*a*b*", "xxaxbx"));
    assert_true(swi_match("LM358", "lm358"));
    assert_false(swi_match("LM358", "LM358N"));
    assert_false(swi_match("", "x"));
    assert_true(swi_match("**", "x"));
    /* What makes a careless matcher take for ever. */
    assert_false(swi_match("*a*a*a*a*a*a*a*a*a*a*b", "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"));
}

static void printable_ascii(void **state) {
    (void)state;
    char text[24];
    for (size_t length = 0; length <= sizeof text; length++) {
        memset(text, 'R', sizeof text);
        assert_true(swi_is_printable(text, length));
        for (size_t at = 0; at < length; at++)
            for (int c = 0; c < 256; c++) {
                memset(text, c % 2 ? '~' : ' ', sizeof text);
                text[at] = (char)c;
                assert_int_equal(swi_is_printable(text, length), c >= ' ' && c <= '~');
            }
    }
    memset(text, 0, sizeof text);
    memcpy(text, "R1", 2);
    assert_true(swi_is_printable(text, 2)); /* what stands behind it does not count */
}

static void utf8(void **state) {
    (void)state;
    /* The Unicode Standard, table 3-7: well-formed, and its edges. */
    static const char *const good[] = {"a", "\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xED\x9F\xBF",
                                       "\xEE\x80\x80", "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"};
    static const char *const bad[] = {"\x80", "\xC0\x80", "\xC1\xBF", "\xC2", "\xE0\x9F\xBF",
                                      "\xED\xA0\x80", "\xE2\x82", "\xF0\x8F\xBF\xBF",
                                      "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        assert_true(swi_utf8_valid(good[i], strlen(good[i])));
        assert_int_equal(swi_utf8_length(good[i], strlen(good[i])), strlen(good[i]));
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_false(swi_utf8_valid(bad[i], strlen(bad[i])));
        assert_int_equal(swi_utf8_length(bad[i], strlen(bad[i])), 1);
    }
}

static void terminals_are_not_driven(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    /* Escape, bell, C1 control, right-to-left override, a stray byte, a tab. */
    const char text[] = "a\x1b[2J\a\xC2\x9B"
                        "\xE2\x80\xAE"
                        "\xFF\t\xC2\xB5";
    swi_put_visible(&out, text, sizeof text - 1, true);
    assert_string_equal(out.bytes, "a·[2J····\tµ");
    out.length = 0;
    swi_put_visible(&out, "a\tb\nc", 5, false);
    assert_string_equal(out.bytes, "a·b·c");
    sw_buf_free(&out);
}

static void integers(void **state) {
    (void)state;
    char text[40];
    long n = 77;
    assert_true(swi_int_read("-12", -20, 20, &n));
    assert_int_equal(n, -12);
    assert_true(swi_int_read("+007", -20, 20, &n));
    assert_int_equal(n, 7);
    static const char *const none[] = {"", "-", "+", "1 ", " 1", "1.0", "0x1", "--1", "21", "-21",
                                       "99999999999999999999999999"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        assert_false(swi_int_read(none[i], -20, 20, &n));
    assert_int_equal(n, 7);
    snprintf(text, sizeof text, "%ld", LONG_MIN);
    assert_true(swi_int_read(text, LONG_MIN, LONG_MAX, &n));
    assert_true(n == LONG_MIN);
    assert_false(swi_int_read(text + 1, LONG_MIN, LONG_MAX, &n)); /* one too large */
    snprintf(text, sizeof text, "%ld", LONG_MAX);
    assert_true(swi_int_read(text, LONG_MIN, LONG_MAX, &n));
    assert_true(n == LONG_MAX);
}

static void real_forms(void **state) {
    (void)state;
    static const struct {
        const char *text;
        size_t used;
        double value;
    } cases[] = {
        {"1", 1, 1},          {"-2.5x", 4, -2.5}, {"+.5", 3, 0.5},    {"5.", 2, 5},
        {"1e3", 3, 1000},     {"1E-3", 4, 0.001}, {"1e", 1, 1},       {"1e+", 1, 1},
        {"2ex", 1, 2},        {"1,5", 1, 1},      {"0", 1, 0},        {"00012", 5, 12},
        {"1.2.3", 3, 1.2},    {"7meg", 1, 7},     {"1e-400", 6, 0},   {"0e999999999999", 14, 0},
        {"", 0, 0},           {".", 0, 0},        {"-", 0, 0},        {"e5", 0, 0},
        {"inf", 0, 0},        {"nan", 0, 0},      {" 1", 0, 0},       {"1e999", 0, 0},
        {"1e99999999999", 0, 0}, {"0x10", 1, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double value = 0;
        size_t used = swi_real_read(cases[i].text, strlen(cases[i].text), &value);
        assert_int_equal(used, cases[i].used);
        assert_true(value == cases[i].value);
    }
    double value;
    assert_int_equal(swi_real_read("123456", 3, &value), 3); /* not beyond the length */
    assert_true(value == 123);
    assert_int_equal(swi_real_read("1e5", 2, &value), 1);
    assert_int_equal(swi_real_read("1.53", 3, &value), 3);
    assert_true(value == 1.5);
    assert_int_equal(swi_real_read("1.5", 2, &value), 2);
    assert_int_equal(swi_real_read("-5", 1, &value), 0);
}

/* Values that rounding goes wrong on: half-way cases and the edges of the format, as
 * they follow from IEEE 754 binary64 (53 bits, exponents -1074 to 971). */
static void real_edges(void **state) {
    (void)state;
    static const struct {
        const char *text;
        double value;
    } cases[] = {
        {"9007199254740993", 0x1p53},                 /* half-way, to even */
        {"9007199254740993.00000000000000000000001", 0x1.0000000000001p53},
        {"9007199254740995", 0x1.0000000000002p53},
        {"1.448997445238699", 0x1.72f17f1f49aadp0},
        {"2.2250738585072011e-308", 0x1.ffffffffffffep-1023},
        {"2.2250738585072014e-308", 0x1p-1022},
        {"4.9406564584124654e-324", 0x1p-1074},
        {"2.4703282292062327e-324", 0},               /* just under half the least */
        {"2.4703282292062328e-324", 0x1p-1074},
        {"1.7976931348623157e308", DBL_MAX},
        {"1.7976931348623158e308", DBL_MAX},
        {"0.1", 0x1.999999999999ap-4},
        {"4.7e3", 4700},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double value = -1;
        assert_int_equal(swi_real_read(cases[i].text, strlen(cases[i].text), &value),
                         strlen(cases[i].text));
        if (value != cases[i].value)
            print_error("%s: %a, not %a\n", cases[i].text, value, cases[i].value);
        assert_true(value == cases[i].value);
    }
    double value;
    assert_int_equal(swi_real_read("1.7976931348623159e308", 22, &value), 0); /* rounds to 2^1024 */
}

static void long_numbers(void **state) {
    (void)state;
    enum { MANY = 20000 };
    char *text = malloc(MANY + 16);
    double value;
    memset(text, '0', MANY);
    text[0] = '.';
    memcpy(text + MANY, "5e19999", 8); /* .000…05e19999 */
    assert_int_equal(swi_real_read(text, MANY + 7, &value), MANY + 7);
    assert_true(value == 0.5);
    memset(text, '9', MANY);
    assert_int_equal(swi_real_read(text, MANY, &value), 0); /* too large */
    memcpy(text + MANY, "e-20000", 8);
    assert_int_equal(swi_real_read(text, MANY + 7, &value), MANY + 7);
    assert_true(value == 1);
    /* Half-way but for one digit far behind what is kept. */
    strcpy(text, "9007199254740993.");
    memset(text + 17, '0', MANY - 17);
    text[MANY - 1] = '1';
    assert_int_equal(swi_real_read(text, MANY, &value), MANY);
    assert_true(value == 0x1.0000000000001p53);
    free(text);
}

/* Deterministic noise: xorshift64 (G. Marsaglia 2003). */
static uint64_t noise(uint64_t *s) {
    *s ^= *s << 13;
    *s ^= *s >> 7;
    return *s ^= *s << 17;
}

/* The C library as the other opinion, in the locale of the run. */
static void agrees_with_the_c_library(void **state) {
    (void)state;
    uint64_t seed = 20240229;
    sw_buf out = SW_BUF_INIT;
    for (int i = 0; i < 40000; i++) {
        uint64_t bits = noise(&seed);
        double x, y = 0;
        char text[64];
        memcpy(&x, &bits, sizeof x);
        if (!isfinite(x))
            continue;
        int length = snprintf(text, sizeof text, "%.*e", i % 25, x);
        double wanted = strtod(text, NULL);
        for (int j = 0; j < length; j++)
            if (text[j] == ',')
                text[j] = '.';
        if (isfinite(wanted)) {
            assert_int_equal(swi_real_read(text, (size_t)length, &y), length);
            assert_memory_equal(&y, &wanted, sizeof y);
        }
        out.length = 0;
        swi_real_write(&out, x);
        assert_int_equal(swi_real_read(out.bytes, out.length, &y), out.length);
        assert_memory_equal(&y, &x, sizeof y);
    }
    sw_buf_free(&out);
}

static const char *written(sw_buf *out, double value) {
    out->length = 0;
    swi_real_write(out, value);
    return out->bytes;
}

static void shortest_writing(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    assert_string_equal(written(&out, 0), "0");
    assert_string_equal(written(&out, -0.0), "0");
    assert_string_equal(written(&out, 2.54), "2.54");
    assert_string_equal(written(&out, -0.1), "-0.1");
    assert_string_equal(written(&out, 1.0 / 3), "0.3333333333333333");
    assert_string_equal(written(&out, 0.1 + 0.2), "0.30000000000000004");
    assert_string_equal(written(&out, 1e22), "1e22");
    assert_string_equal(written(&out, 123456789), "123456789");
    assert_string_equal(written(&out, 0.00001), "0.00001");
    assert_string_equal(written(&out, 2.5e-6), "2.5e-6");
    assert_string_equal(written(&out, 5e-324), "5e-324");
    assert_string_equal(written(&out, 0x1p-44), "5.684341886080802e-14"); /* gap narrower below */
    assert_string_equal(written(&out, 9007199254740993.0), "9007199254740992");
    assert_string_equal(written(&out, DBL_MAX), "1.7976931348623157e308");
    assert_string_equal(written(&out, (double)NAN), "nan");
    assert_string_equal(written(&out, -(double)INFINITY), "-inf");
    sw_buf_free(&out);
}

static const char *fixed(sw_buf *out, double value, int decimals) {
    out->length = 0;
    sw_buf_real(out, value, decimals);
    return out->bytes;
}

static void fixed_writing(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    assert_string_equal(fixed(&out, 2.54, 3), "2.54");
    assert_string_equal(fixed(&out, 7, 3), "7");
    assert_string_equal(fixed(&out, -0.5, 3), "-0.5");
    assert_string_equal(fixed(&out, -0.0004, 3), "0");
    assert_string_equal(fixed(&out, 0.9996, 3), "1");
    assert_string_equal(fixed(&out, 1000, 0), "1000");
    assert_string_equal(fixed(&out, 100.10, 2), "100.1");
    assert_string_equal(fixed(&out, 17.78 - 2.54, 6), "15.24");
    assert_string_equal(fixed(&out, 1e23, 2), "99999999999999991611392");
    fixed(&out, -DBL_MAX, 17);
    assert_int_equal(out.length, 310); /* 309 digits and the sign */
    sw_buf_free(&out);
}

static void digits(void **state) {
    (void)state;
    swi_digits d = swi_real_digits(0.33 * 1e-6, 9);
    assert_int_equal(d.count, 2);
    assert_memory_equal(d.d, "33", 2);
    assert_int_equal(d.point, -6);
    d = swi_real_digits(99999.99999, 9);
    assert_int_equal(d.count, 1);
    assert_int_equal(d.d[0], '1');
    assert_int_equal(d.point, 6);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(compares_without_case),  cmocka_unit_test(natural_order),
        cmocka_unit_test(lists_by_their_first_word),
        cmocka_unit_test(patterns),               cmocka_unit_test(printable_ascii),
        cmocka_unit_test(utf8),
        cmocka_unit_test(terminals_are_not_driven), cmocka_unit_test(integers),
        cmocka_unit_test(real_forms),             cmocka_unit_test(real_edges),
        cmocka_unit_test(long_numbers),           cmocka_unit_test(agrees_with_the_c_library),
        cmocka_unit_test(shortest_writing),       cmocka_unit_test(fixed_writing),
        cmocka_unit_test(digits),
    };
    return cmocka_run_group_tests_name("base: text and numbers", tests, NULL, NULL);
}
