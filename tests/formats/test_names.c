/* Names and values that no paper can show: the same in every format that can spell them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

#define EDIF(instance, net, port) \
    "(edif d (edifVersion 2 0 0) (external p (cell R (view v (interface (port " port ") (port b)))))" \
    "\n(library w (cell top (view v (interface) (contents\n(instance " instance \
    " (viewRef v (cellRef R)))\n(net " net " (joined (portRef b (instanceRef R1))))))))\n" \
    "(design d (cellRef top)))"
#define SCHEDULE(part, pin, node) \
    "stripwright schedule 1\npart " part " value=\nnode 1 name=" node " : " part "." pin "\n"

static void control_characters_in_names_are_refused(void **state) {
    (void)state;
    static const struct { const char *format, *text; unsigned line, column; } cases[] = {
        {"spice", "t\nR1 a\x01 0 1k\n", 2, 4},
        {"spice", "t\nR\x02 a 0 1k\n", 2, 1},
        {"edif", EDIF("R1", "(rename n \"A%7%\")", "a"), 4, 14},
        {"edif", EDIF("(rename R1 \"R%127%\")", "n", "a"), 3, 19},
        {"edif", EDIF("R1", "n", "(rename a \"%27%\")"), 3, 11},
        {"pins", "ref,pin,node\nR1,1,A\x03\nR1,2,B\n", 2, 6},
        {"nodes", "node,pins\nA,R1.1\nB,R\x04.2\n", 3, 3},
        {"parts", "ref,value,pins\nR1,1k,1=A \x05=B\n", 2, 11},
        {"schedule", SCHEDULE("R1", "1", "\"A\\x06\""), 3, 6},
        {"schedule", SCHEDULE("R1", "\"\\x0A\"", "A"), 3, 17},
        {"schedule", SCHEDULE("\"R\\x1B\"", "1", "A"), 2, 6},
        {"schedule", SCHEDULE("R1", "1", "\"A\\xFF\""), 3, 6},       /* no UTF-8 */
        {"schedule", SCHEDULE("R1", "1", "A\xEF\xBF\xBF"), 3, 6},   /* U+FFFF */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        test_bad_text(cases[i].format, cases[i].text, "name-control", cases[i].line,
                      cases[i].column);
}

static void becomes(const char *format, const char *text, const char *value) {
    test_reading r = test_read_text(format, text);
    assert_non_null(r.circuit);
    assert_int_equal(test_count(r.diags, SW_D_TEXT_CONTROL), 1);
    assert_string_equal(r.circuit->parts[0].value, value);
    test_reading_free(&r);
}

/* A spreadsheet breaks lines inside cells. */
static void control_characters_in_values_become_blanks(void **state) {
    (void)state;
    becomes("pins", "ref,pin,node,value\nR1,1,A,\"10k\n1%\"\nR1,2,B,\n", "10k 1%");
    becomes("spice", "t\nB1 a 0 V=\x01time\n", "V= time");
    becomes("schedule",
            "stripwright schedule 1\npart R1 value=\"4\\x09\\x19k\"\nnode 1 name=A : R1.1\n",
            "4  k");
}

/* Latin-1 (ISO 8859-1) from older programs. */
static void other_encodings_become_utf8(void **state) {
    (void)state;
    static const struct { const char *format, *text; } cases[] = {
        {"spice", "t\nC1 \xE9t\xE9 0 1n\n"},
        {"pins", "ref,pin,node\nC1,1,\xE9t\xE9\nC1,2,0\n"},
        {"edif", EDIF("R1", "(rename n \"%233%t\xE9\")", "a")},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        test_reading r = test_read_text(cases[i].format, cases[i].text);
        assert_non_null(r.circuit);
        assert_int_equal(sw_diags_count(r.diags), 0);
        assert_true(sw_circuit_node(r.circuit, "\xC3\xA9t\xC3\xA9").i != SW_NONE);
        test_reading_free(&r);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(control_characters_in_names_are_refused),
        cmocka_unit_test(control_characters_in_values_become_blanks),
        cmocka_unit_test(other_encodings_become_utf8),
    };
    return cmocka_run_group_tests_name("names", tests, NULL, NULL);
}
