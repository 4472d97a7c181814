/* Numbers of decks.  Values: Berkeley SPICE3 user's manual 2.1 (suffixes, what letters
 * mean behind them); forms that the manual leaves open (exponents with D, a suffix
 * behind an exponent): the reader of spice3f5, inpeval.c. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "formats/spice/spice.h"

static const struct {
    const char *text;
    double value;
} numbers[] = {
    {"1T", 1e12},
    {"1G", 1e9},
    {"1MEG", 1e6},
    {"1K", 1e3},
    {"1M", 1e-3},
    {"1MIL", 25.4e-6},
    {"1U", 1e-6},
    {"1N", 1e-9},
    {"1P", 1e-12},
    {"1F", 1e-15},
    {"10", 10},
    {"10V", 10},
    {"10Volts", 10},
    {"10Hz", 10},
    {"1MA", 1e-3},
    {"1MSec", 1e-3},
    {"1MMhos", 1e-3},
    {"1000", 1000},
    {"1000.0", 1000},
    {"1e3", 1000},
    {"1.0e3", 1000},
    {"1KHz", 1000},
    {"100MEGHz", 1e8},
    {"1MEGohm", 1e6},
    {"2.2uF", 2.2e-6},
    {"5.A", 5},
    {".5", 0.5},
    {"-3.3k", -3300},
    {"+12", 12},
    {"1D3", 1000},
    {"1d-3", 1e-3},
    {"1e3k", 1e6},
    {"1ME", 1e-3},
    {"12A", 12},
    {"4.7k", 4700},
    {"0.1u", 1e-7},
    {"123456789012345678k", 123456789012345678e3},
};

static void numbers_have_the_manuals_values(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        double value = 0;
        bool coded = true;
        if (!swi_spice_value(numbers[i].text, strlen(numbers[i].text), &value, &coded))
            fail_msg("%s is no number", numbers[i].text);
        if (value != numbers[i].value || coded) fail_msg("%s is %.17g", numbers[i].text, value);
    }
}

/* IEC 60062: the letter stands where the point would; and µ, of later simulators. */
static void codes_of_parts_are_told_apart(void **state) {
    (void)state;
    static const struct {
        const char *text;
        double value;
    } codes[] = {{"4k7", 4700},
                 {"2u2", 2.2e-6},
                 {"4R7", 4.7},
                 {"1K5", 1500},
                 {"2M2", 2.2e6},
                 {"47K3", 47300},
                 {"4n7", 4.7e-9},
                 {"2\xC2\xB5"
                  "2",
                  2.2e-6}};
    double value = 0;
    bool coded = false;
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++) {
        assert_true(swi_spice_value(codes[i].text, strlen(codes[i].text), &value, &coded));
        assert_true(coded && value == codes[i].value);
    }
    assert_true(swi_spice_value("2.2\xC2\xB5"
                                "F",
                                6, &value, &coded) &&
                value == 2.2e-6 && !coded);
    assert_false(swi_spice_value("2N2222x", 7, &value, &coded));
    assert_false(swi_spice_value("BC547", 5, &value, &coded));
    assert_false(swi_spice_value("", 0, &value, &coded));
    assert_false(swi_spice_value("-", 1, &value, &coded));
}

static void numbers_written_read_back(void **state) {
    (void)state;
    static const struct {
        double value;
        const char *text;
    } written[] = {{4700, "4.7k"}, {1e6, "1MEG"},  {100e-9, "100n"},
                   {-12, "-12"},   {0, "0"},       {2.54e-5, "25.4u"},
                   {1e-15, "1f"},  {0.001, "1m"},  {10.0 / 3, "3.3333333333333335"},
                   {1e13, "10T"},  {1e30, "1e30"}, {1.5e-30, "15e-31"}};
    for (size_t i = 0; i < sizeof written / sizeof *written; i++) {
        sw_buf out = SW_BUF_INIT;
        double back = 0;
        bool coded = false;
        swi_spice_put_number(&out, written[i].value);
        assert_string_equal(out.bytes, written[i].text);
        assert_true(swi_spice_value(out.bytes, out.length, &back, &coded));
        assert_true(back == written[i].value);
        sw_buf_free(&out);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_have_the_manuals_values),
        cmocka_unit_test(codes_of_parts_are_told_apart),
        cmocka_unit_test(numbers_written_read_back),
    };
    return cmocka_run_group_tests_name("conformance/test_spice_numbers", tests, NULL, NULL);
}
