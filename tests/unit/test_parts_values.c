/* Values, series and markings against IEC 60063, IEC 60062 and the Berkeley SPICE3
 * manual. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <math.h>

#include <stripwright/parts.h>

typedef struct reading {
    const char *text;
    double value;
} reading;

static void all_read(const reading *cases, size_t count, sw_quantity quantity, bool spice) {
    for (size_t i = 0; i < count; i++) {
        double value = -1;
        if (!sw_value_read(cases[i].text, quantity, spice, &value) || value != cases[i].value)
            print_error("\"%s\": %.17g, not %.17g\n", cases[i].text, value, cases[i].value);
        assert_true(value == cases[i].value);
    }
}

static void none_read(const char *const *texts, size_t count, sw_quantity quantity, bool spice) {
    for (size_t i = 0; i < count; i++) {
        double value = 0;
        if (sw_value_read(texts[i], quantity, spice, &value))
            print_error("\"%s\" was read as %.17g\n", texts[i], value);
        assert_false(sw_value_read(texts[i], quantity, spice, &value));
    }
}

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* Berkeley SPICE3 manual, section 2.1 (suffixes, and that letters after them or
 * that are none are ignored), and what its source's number reader does with a
 * suffix behind an exponent and with D exponents. */
static void values_in_decks(void **state) {
    (void)state;
    static const reading cases[] = {
        {"1T", 1e12},     {"1g", 1e9},       {"1MEG", 1e6},      {"1meg", 1e6},   {"1K", 1e3},
        {"1MIL", 25.4e-6}, {"1M", 1e-3},     {"1m", 1e-3},       {"1U", 1e-6},    {"1N", 1e-9},
        {"1P", 1e-12},    {"1F", 1e-15},     {"10", 10},         {"10V", 10},     {"10Volts", 10},
        {"10Hz", 10},     {"1MA", 1e-3},     {"1MSec", 1e-3},    {"1MMhos", 1e-3}, {"1000", 1000},
        {"1000.0", 1000}, {"1000Hz", 1000},  {"1e3", 1000},      {"1.0e3", 1000}, {"1KHz", 1000},
        {"1MEGohm", 1e6}, {"2.2uF", 2.2e-6}, {"100MEGHz", 1e8},  {"1K5", 1000},   {"5.A", 5},
        {"1D3", 1000},    {"1e3k", 1e6},     {"1ME", 1e-3},      {"-4.7k", -4700}, {"+.5", 0.5},
        {"2u2", 2e-6},    {"4.7k", 4700},    {"100n", 100e-9},   {"2.2\xC2\xB5", 2.2e-6},
        {"2.2\xCE\xBC", 2.2e-6},             {"1e", 1},          {"10mils", 10 * 25.4e-6},
    };
    static const char *const none[] = {"", "k", "{R}", "'x'", ".", "-", "BC547", " 1"};
    all_read(cases, COUNT(cases), SW_OHMS, true);
    none_read(none, COUNT(none), SW_OHMS, true);
}

/* IEC 60062 section 4 letter codes; BS 1852 tolerance letters (27KK: 27 kΩ, 10 %). */
static void ohms_on_parts(void **state) {
    (void)state;
    static const reading cases[] = {
        {"R47", 0.47},     {"0R47", 0.47},   {"4R7", 4.7},      {"470R", 470},    {"4K7", 4700},
        {"4k7", 4700},     {"47K", 47e3},    {"47K3", 47300},   {"470K", 470e3},  {"4M7", 4.7e6},
        {"2M2", 2.2e6},    {"68R", 68},      {"6L8", 6.8e-3},   {"1R8J", 1.8},    {"27KK", 27e3},
        {"K33", 330},      {"4.7k", 4700},   {"4.7K", 4700},    {"4700", 4700},   {"1M", 1e6},
        {"1.5MEG", 1.5e6}, {"1Meg", 1e6},    {"10 k", 1e4},     {"10 kΩ", 1e4},   {"10kohm", 1e4},
        {"10 Ω", 10},      {"10\xE2\x84\xA6", 10}, {"22 ohms", 22}, {"10E", 10},  {"4k7 1%", 4700},
        {"4k7 5 %", 4700}, {"4k7/0.25W", 4700}, {"10k5%", 10e3}, {"10k5", 10500}, {"4,7k", 4700},
        {"0,22", 0.22},    {"10k lin", 1e4}, {"100m", 0.1},     {"0", 0},         {"0R", 0},
        {"1e3", 1000},     {".5", 0.5},      {" 10k", 1e4},     {"4k7±5%", 4700}, {"10G", 1e10},
        {"22 mm", 22},
    };
    static const char *const none[] = {"",     "k",     "R",      "Ω",      "BC547", "4.7k7", "4k7k",
                                       "10x",  "1,000", "1N4148", "10n",    "-10k",  "5%",    "LM358",
                                       "10kk9", "1..5", "4k7.5",  "2N3904", "nan",   "inf"};
    all_read(cases, COUNT(cases), SW_OHMS, false);
    none_read(none, COUNT(none), SW_OHMS, false);
}

/* Three-digit codes: EIA practice as makers' tables give it. */
static void farads_on_parts(void **state) {
    (void)state;
    static const reading cases[] = {
        {"100n", 1e-7},      {"100nF", 1e-7},   {"0.1uF", 1e-7},    {"0u1", 1e-7},   {"u1", 1e-7},
        {"2u2", 2.2e-6},     {"2\xC2\xB5" "2", 2.2e-6},             {"2\xCE\xBC" "2", 2.2e-6},
        {"10p", 1e-11},      {"10PF", 1e-11},   {"p68", 0.68e-12},  {"4n7J", 4.7e-9},
        {"1m", 1e-3},        {"1mF", 1e-3},     {"1F", 1},          {"0F47", 0.47},  {"1F5", 1.5},
        {"10MFD", 1e-5},     {"10mfd", 1e-5},   {"100uF 16V", 1e-4}, {"100uF/16V", 1e-4},
        {"100uF16V", 1e-4},  {"100 nF", 1e-7},  {"100n, X7R", 1e-7}, {"1e-7", 1e-7},
        {"101", 100e-12},    {"102", 1e-9},     {"103", 1e-8},      {"104", 1e-7},   {"223", 22e-9},
        {"224", 220e-9},     {"334", 330e-9},   {"473", 47e-9},     {"474", 470e-9}, {"105", 1e-6},
        {"229", 2.2e-12},    {"473J", 47e-9},   {"104K", 1e-7},     {"224Z", 220e-9}, {"104 50V", 1e-7},
        {"100", 100},        {"1000", 1000},
    };
    static const char *const none[] = {"", "uF", "100k", "10M", "10R", "1n2.5", "0.1ux", "X7R"};
    all_read(cases, COUNT(cases), SW_FARADS, false);
    none_read(none, COUNT(none), SW_FARADS, false);
}

/* Where a value ends and a rating or a remark begins. */
static void what_stands_beside(void **state) {
    (void)state;
    static const struct { const char *text; sw_quantity quantity; double value; const char *beside; } cases[] = {
        {"4k7", SW_OHMS, 4700, ""},          {"10 k", SW_OHMS, 1e4, ""},    {"4,7k 1%", SW_OHMS, 4700, " 1%"},
        {"10k5%", SW_OHMS, 1e4, "5%"},       {"4K7J", SW_OHMS, 4700, ""},   {"10 k lin", SW_OHMS, 1e4, " lin"},
        {"4700 ohms", SW_OHMS, 4700, ""},    {"22 mm", SW_OHMS, 22, " mm"},
        {"100u 16V", SW_FARADS, 1e-4, " 16V"}, {"100uF16V", SW_FARADS, 1e-4, "16V"},
        {"4,7uF/16V", SW_FARADS, 4.7e-6, "/16V"}, {"104 50V", SW_FARADS, 1e-7, " 50V"}, {"104K", SW_FARADS, 1e-7, ""}};
    for (size_t i = 0; i < COUNT(cases); i++) {
        double value = 0;
        const char *beside = NULL;
        assert_true(sw_value_read_beside(cases[i].text, cases[i].quantity, &value, &beside));
        assert_true(value == cases[i].value);
        assert_string_equal(beside, cases[i].beside);
    }
}

static void other_quantities(void **state) {
    (void)state;
    static const reading henries[] = {{"10m", 10e-3}, {"10mH", 10e-3}, {"100uH", 1e-4},
                                      {"2H2", 2.2},   {"4u7", 4.7e-6}, {"1 H", 1}};
    static const reading others[] = {{"12V", 12},       {"-5", -5},      {"32.768kHz", 32768},
                                     {"4MHz", 4e6},     {"5mA", 5e-3},   {"2.5", 2.5}};
    static const char *const none[] = {"2N3904", "1N4148", "BC547", "V12", ""};
    all_read(henries, COUNT(henries), SW_HENRIES, false);
    all_read(others, COUNT(others), SW_OTHER, false);
    none_read(none, COUNT(none), SW_OTHER, false);
}

static void normal_forms(void **state) {
    (void)state;
    static const struct {
        double value;
        sw_quantity quantity;
        const char *text;
    } cases[] = {
        {4700, SW_OHMS, "4k7"},       {470, SW_OHMS, "470R"},     {0.47, SW_OHMS, "0R47"},
        {0.01, SW_OHMS, "0R01"},      {0, SW_OHMS, "0R"},         {1e6, SW_OHMS, "1M"},
        {4.7e6, SW_OHMS, "4M7"},      {47300, SW_OHMS, "47k3"},   {999.9, SW_OHMS, "999R9"},
        {1e10, SW_OHMS, "10G"},       {1e13, SW_OHMS, "10000G"},  {-100, SW_OHMS, "-100R"},
        {4700.00000000001, SW_OHMS, "4k7"},                       {12345.678, SW_OHMS, "12k345678"},
        {1e-7, SW_FARADS, "100n"},    {2.2e-6, SW_FARADS, "2u2"}, {0.33 * 1e-6, SW_FARADS, "330n"},
        {4700e-6, SW_FARADS, "4700u"}, {0.1, SW_FARADS, "0F1"},   {1, SW_FARADS, "1F"},
        {4.7e-12, SW_FARADS, "4p7"},  {0.5e-12, SW_FARADS, "0p5"}, {1e-3, SW_FARADS, "1000u"},
        {10e-3, SW_HENRIES, "10m"},   {2.2, SW_HENRIES, "2H2"},   {100e-6, SW_HENRIES, "100u"},
        {12, SW_OTHER, "12"},         {2500, SW_OTHER, "2.5k"},   {32768, SW_OTHER, "32.768k"},
        {0.005, SW_OTHER, "5m"},      {0, SW_OTHER, "0"},         {-2.5, SW_OTHER, "-2.5"},
    };
    sw_buf out = SW_BUF_INIT;
    for (size_t i = 0; i < COUNT(cases); i++) {
        out.length = 0;
        sw_value_write(cases[i].value, cases[i].quantity, &out);
        assert_string_equal(out.bytes, cases[i].text);
    }
    sw_buf_free(&out);
}

/* ---- IEC 60063:2015 ---- */

/* Its table 1, E24 (E12, E6, E3: every second, fourth, eighth), and table 2, E96
 * (E48: every second). */
static const int e24[] = {10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30,
                          33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91};
static const int e96[] = {
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143,
    147, 150, 154, 158, 162, 165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210,
    215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294, 301, 309,
    316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453,
    464, 475, 487, 499, 511, 523, 536, 549, 562, 576, 590, 604, 619, 634, 649, 665,
    681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976};

/* Whether a value of three digits is in the table: the i-th, or -1. */
static int index_in(const int *table, int count, int digits) {
    for (int i = 0; i < count; i++)
        if (table[i] == digits)
            return i;
    return -1;
}

static sw_series by_the_tables(int digits) {
    int two = digits % 10 == 0 ? index_in(e24, 24, digits / 10) : -1;
    int three = index_in(e96, 96, digits);
    if (two >= 0)
        return two % 8 == 0 ? SW_E3 : two % 4 == 0 ? SW_E6 : two % 2 == 0 ? SW_E12 : SW_E24;
    if (three >= 0)
        return three % 2 == 0 ? SW_E48 : SW_E96;
    return SW_NO_SERIES;
}

static void every_value_of_three_digits(void **state) {
    (void)state;
    int e192 = 0;
    for (int digits = 100; digits <= 999; digits++) {
        sw_series wanted = by_the_tables(digits);
        for (int power = -15; power <= 9; power += 3) {
            sw_series got = sw_value_series(digits * pow(10, power));
            if (got == SW_E192 && wanted == SW_NO_SERIES) {
                e192 += power == 0;
                continue;
            }
            assert_int_equal(got, wanted);
        }
    }
    /* 96 of the 192 are in E96; of the others, those that are E24 values count as
     * such. */
    int of_e24 = 0;
    for (int i = 1; i < 192; i += 2) {
        int member = i == 185 ? 920 : (int)floor(pow(10, 2 + i / 192.0) + 0.5);
        of_e24 += member % 10 == 0 && index_in(e24, 24, member / 10) >= 0;
    }
    assert_int_equal(e192, 96 - of_e24);
}

static void known_members(void **state) {
    (void)state;
    assert_int_equal(sw_value_series(4700), SW_E3);
    assert_int_equal(sw_value_series(4990), SW_E96);
    assert_int_equal(sw_value_series(4870), SW_E48);
    assert_int_equal(sw_value_series(3160), SW_E48);
    assert_int_equal(sw_value_series(8300), SW_NO_SERIES);
    assert_int_equal(sw_value_series(920), SW_E192);          /* the exception … */
    assert_int_equal(sw_value_series(919), SW_NO_SERIES);     /* … and what the rule gives */
    assert_int_equal(sw_value_series(2.6), SW_NO_SERIES);     /* E24's: 2.7, not 10^(10/24) */
    assert_int_equal(sw_value_series(0.33 * 1e-6), SW_E6);    /* with arithmetic's noise */
    assert_int_equal(sw_value_series(0), SW_NO_SERIES);
    assert_int_equal(sw_value_series(-100), SW_NO_SERIES);
    assert_int_equal(sw_value_series((double)NAN), SW_NO_SERIES);
    assert_int_equal(sw_value_series((double)INFINITY), SW_NO_SERIES);
    assert_int_equal(sw_value_series(1234), SW_NO_SERIES);
    assert_string_equal(sw_series_name(SW_E192), "E192");
    assert_string_equal(sw_series_name(SW_NO_SERIES), "");
}

static void nearest_is(sw_series series, double value, double below, double above) {
    double got_below = -1, got_above = -1;
    sw_series_nearest(series, value, &got_below, &got_above);
    assert_true(got_below == below);
    assert_true(got_above == above);
}

static void nearest_members(void **state) {
    (void)state;
    nearest_is(SW_E96, 4700, 4640, 4750);
    nearest_is(SW_E12, 5000, 4700, 5600);
    nearest_is(SW_E12, 4700, 4700, 4700);
    nearest_is(SW_E3, 9e3, 4700, 10e3); /* into the next decade */
    nearest_is(SW_E24, 9.5, 9.1, 10);
    nearest_is(SW_E48, 995, 953, 1000);
    nearest_is(SW_E192, 9.19, 9.09, 9.20);
    nearest_is(SW_E6, 0.33 * 1e-6, 0.33e-6, 0.33e-6);
    nearest_is(SW_E6, 100e-9, 100e-9, 100e-9);
    nearest_is(SW_E6, 0, 0, 0);
    nearest_is(SW_E6, -1, 0, 0);
    nearest_is(SW_NO_SERIES, 10, 0, 0);
}

/* ---- IEC 60062 ---- */

static void bands_are(double ohms, int bands, const char *wanted) {
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sw_marking_bands(ohms, bands, &out), wanted != NULL);
    if (wanted)
        assert_string_equal(out.bytes, wanted);
    else
        assert_int_equal(out.length, 0);
    sw_buf_free(&out);
}

/* IEC 60062:2016 table of colours; the first four are the examples of published
 * colour charts, the rest follow from the table. */
static void colour_bands(void **state) {
    (void)state;
    bands_are(1000, 4, "brown black red gold");
    bands_are(4700, 4, "yellow violet red gold");
    bands_are(22000, 4, "red red orange gold");
    bands_are(10, 5, "brown black black gold brown");
    bands_are(6200, 4, "blue red red gold");
    bands_are(330, 4, "orange orange brown gold");
    bands_are(0.15, 4, "brown green silver gold");
    bands_are(4700, 5, "yellow violet black brown brown");
    bands_are(10000, 5, "brown black black red brown");
    bands_are(4990, 5, "yellow white white brown brown");
    bands_are(0.022, 4, "red red pink gold");
    bands_are(6.8e9, 4, "blue grey grey gold");
    bands_are(0, 4, "black");
    bands_are(4990, 4, NULL);   /* three digits */
    bands_are(12345, 5, NULL);
    bands_are(0.001, 4, NULL);  /* below the table */
    bands_are(1e12, 5, NULL);
    bands_are(-10, 4, NULL);
    bands_are(100, 6, NULL);
}

static void letters_are(double ohms, const char *wanted) {
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sw_marking_letters(ohms, &out), wanted != NULL);
    if (wanted)
        assert_string_equal(out.bytes, wanted);
    sw_buf_free(&out);
}

/* Examples of IEC 60062 as published articles give them. */
static void letter_codes(void **state) {
    (void)state;
    letters_are(0.47, "R47");
    letters_are(4.7, "4R7");
    letters_are(470, "470R");
    letters_are(4700, "4K7");
    letters_are(47e3, "47K");
    letters_are(47300, "47K3");
    letters_are(470e3, "470K");
    letters_are(4.7e6, "4M7");
    letters_are(68, "68R");
    letters_are(6.8e-3, "6L8");
    letters_are(0.68, "R68");
    letters_are(33e3, "33K");
    letters_are(1e12, "1T");
    letters_are(100, "100R");
    letters_are(0.1, "R1");
    letters_are(0.022, "22L");
    letters_are(12345, NULL);
    letters_are(0, NULL);
    letters_are(-1, NULL);
    letters_are(1e-5, NULL);
}

static void capacitor_is(double farads, const char *wanted) {
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sw_marking_capacitor(farads, &out), wanted != NULL);
    if (wanted)
        assert_string_equal(out.bytes, wanted);
    sw_buf_free(&out);
}

static void capacitor_codes(void **state) {
    (void)state;
    static const struct {
        const char *code;
        double farads;
    } cases[] = {{"101", 100e-12}, {"102", 1e-9},   {"103", 10e-9},  {"104", 100e-9},
                 {"223", 22e-9},   {"224", 220e-9}, {"334", 330e-9}, {"473", 47e-9},
                 {"474", 470e-9},  {"105", 1e-6},   {"47", 47e-12},  {"10", 10e-12},
                 {"107", 100e-6},  {"2p2", 2.2e-12}, {"1", 1e-12},   {"p5", 0.5e-12}};
    for (size_t i = 0; i < COUNT(cases); i++)
        capacitor_is(cases[i].farads, cases[i].code);
    capacitor_is(123e-9, NULL); /* three digits */
    capacitor_is(1000e-6, NULL); /* 108 would be read as 0.1 pF */
    capacitor_is(0, NULL);
    capacitor_is(-1e-9, NULL);
}

/* What is written is read as the same value, in each way of writing. */
static void written_reads_back(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    for (int i = 0; i < 24; i++) {
        for (int power = -12; power <= 8; power++) {
            char text[32];
            double value, back;
            snprintf(text, sizeof text, "%de%d", e24[i], power);
            assert_true(sw_value_read(text, SW_OHMS, false, &value));
            for (int quantity = SW_OHMS; quantity <= SW_HENRIES; quantity++) {
                out.length = 0;
                sw_value_write(value, (sw_quantity)quantity, &out);
                assert_true(sw_value_read(out.bytes, (sw_quantity)quantity, false, &back));
                assert_true(back == value);
            }
            out.length = 0;
            if (sw_marking_letters(value, &out)) {
                assert_true(sw_value_read(out.bytes, SW_OHMS, false, &back));
                assert_true(back == value);
            }
            out.length = 0;
            if (sw_marking_capacitor(value, &out) && strlen(out.bytes) == 3 && out.bytes[2] != '0' &&
                out.bytes[2] <= '5') {
                assert_true(sw_value_read(out.bytes, SW_FARADS, false, &back));
                assert_true(back == value);
            }
        }
    }
    sw_buf_free(&out);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_in_decks),   cmocka_unit_test(ohms_on_parts),
        cmocka_unit_test(farads_on_parts),   cmocka_unit_test(what_stands_beside),
        cmocka_unit_test(other_quantities),
        cmocka_unit_test(normal_forms),      cmocka_unit_test(every_value_of_three_digits),
        cmocka_unit_test(known_members),     cmocka_unit_test(nearest_members),
        cmocka_unit_test(colour_bands),      cmocka_unit_test(letter_codes),
        cmocka_unit_test(capacitor_codes),   cmocka_unit_test(written_reads_back),
    };
    return cmocka_run_group_tests_name("parts: values and markings", tests, NULL, NULL);
}
