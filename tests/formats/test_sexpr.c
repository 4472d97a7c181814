/* The exported netlist of an open schematic editor: what its files hold is from memory, and was found
 * right in the twelve netlists of the editor's own tests (6.0.11). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

#define HEAD "stripwright schedule 1\n"

/* The frost alarm's lamp driver, as version E is written. */
static const char lamp[] =
    "(export (version \"E\")\n"
    "  (design\n"
    "    (source \"lamp.sch\") (date \"2026-11-29\") (tool \"editor 7\")\n"
    "    (sheet (number \"1\") (name \"/\") (title_block (title \"Frost \\\"lamp\\\"\") (company) (rev)))\n"
    "    (sheet (number \"2\") (name \"/driver/\") (title_block (title \"Driver\"))))\n"
    "  (components\n"
    "    (comp (ref \"D1\") (value \"Yellow\") (footprint \"LED_THT:LED_D5.0mm\") (datasheet \"~\")\n"
    "      (libsource (lib \"Device\") (part \"LED\") (description \"\"))\n"
    "      (property (name \"Sheetname\") (value \"driver\"))\n"
    "      (sheetpath (names \"/driver/\") (tstamps \"/1/\")))\n"
    "    (comp (ref \"Q1\") (value \"BC547\") (footprint \"Package_TO_SOT_THT:TO-92_Inline\")\n"
    "      (datasheet \"bc547.pdf\") (libsource (lib \"Transistor_BJT\") (part \"BC547\"))\n"
    "      (sheetpath (names \"/\") (tstamps \"/\")))\n"
    "    (comp (ref \"R1\") (value \"1k\") (footprint \"\")\n"
    "      (fields (field (name \"Footprint\") \"R\") (field (name \"Tolerance\") \"5%\") (field (name \"Empty\")))\n"
    "      (property (name \"Tolerance\") (value \"5%\"))\n"
    "      (libsource (lib \"Device\") (part \"R\")))\n"
    "    (comp (ref \"U1\") (value \"TLC555\") (footprint \"Package_DIP:DIP-8_W7.62mm\")\n"
    "      (property (name \"dnp\")) (libsource (lib \"Timer\") (part \"NE555P\"))))\n"
    "  (libparts (libpart (lib \"Device\") (part \"LED\") (pins (pin (num \"1\") (name \"K\") (type \"passive\")))))\n"
    "  (libraries (library (logical \"Device\")))\n"
    "  (nets\n"
    "    (net (code \"1\") (name \"/LAMP\")\n"
    "      (node (ref \"D1\") (pin \"1\") (pinfunction \"K\") (pintype \"passive\"))\n"
    "      (node (ref \"Q1\") (pin \"1\") (pinfunction \"C\") (pintype \"open_collector\")))\n"
    "    (net (code \"2\") (name \"Net-(D1-A)\")\n"
    "      (node (ref \"D1\") (pin \"2\") (pinfunction \"A\") (pintype \"passive\"))\n"
    "      (node (ref \"R1\") (pin \"1\") (pintype \"passive\")))\n"
    "    (net (code \"3\") (name \"VCC\") (node (ref \"R1\") (pin \"2\") (pintype \"passive\"))\n"
    "      (node (ref \"U1\") (pin \"8\") (pinfunction \"VCC\") (pintype \"power_in\")))\n"
    "    (net (code \"4\") (name \"unconnected-(U1-CV-Pad5)\")\n"
    "      (node (ref \"U1\") (pin \"5\") (pinfunction \"CV\") (pintype \"input+no_connect\")))\n"
    "    (net (code \"5\") (name \"GND\") (node (ref \"Q1\") (pin \"3\") (pinfunction \"E\") (pintype \"passive\")))))\n";

static void version_e(void **state) {
    (void)state;
    test_golden("sexpr", lamp,
                HEAD "title \"Frost \\\"lamp\\\"\"\n"
                     "part D1 kind=D value=Yellow device=LED package=\"LED_THT:LED_D5.0mm\"\n"
                     "property sheet=/driver/\n"
                     "property symbol=\"Device:LED\"\n"
                     "part Q1 kind=Q value=BC547 device=BC547 package=\"Package_TO_SOT_THT:TO-92_Inline\"\n"
                     "property datasheet=bc547.pdf\n"
                     "property symbol=\"Transistor_BJT:BC547\"\n"
                     "part R1 kind=R value=1k device= package=\n"
                     "property symbol=\"Device:R\"\n"
                     "property Tolerance=5%\n"
                     "part U1 kind=X value=TLC555 device= package=\"Package_DIP:DIP-8_W7.62mm\"\n"
                     "property symbol=\"Timer:NE555P\"\n"
                     "pin D1.1 name=K type=passive\n"
                     "pin D1.2 name=A type=passive\n"
                     "pin Q1.1 name=C type=open\n"
                     "pin Q1.3 name=E type=passive\n"
                     "pin R1.1 type=passive\n"
                     "pin R1.2 type=passive\n"
                     "pin U1.5 name=CV type=in\n"
                     "pin U1.8 name=VCC\n"
                     "node - name=/LAMP rail= : D1.1 Q1.1\n"
                     "node - name=Net-(D1-A) rail= : D1.2 R1.1\n"
                     "node - name=GND rail= : Q1.3\n"
                     "node - name=VCC rail= : R1.2 U1.8\n"
                     "node - name=U1.5 rail= derived : U1.5\n"
                     "row U1 omit=yes\n");
}

/* Words without quotes; a net before the components is an error, a byte order mark is none. */
static void version_d(void **state) {
    (void)state;
    test_reading r = test_read_text(NULL, "\xEF\xBB\xBF( export (version D)\n"
                                          "  (components (comp (ref R1) (value 4k7) (footprint ~)) (comp (ref C1) (value 10uF/16V))\n"
                                          "    (comp (ref V1) (value 9) (property (name exclude_from_board))))\n"
                                          "  (nets (net (code 1) (name +5V) (node (ref R1) (pin 1)) (node (ref C1) (pin 1)))\n"
                                          "    (net (code 2) (name \"Net-(C1-Pad2)\") (node (ref C1) (pin 2)))))\n");
    assert_non_null(r.circuit);
    assert_int_equal(sw_diags_count(r.diags), 0);
    assert_string_equal(r.circuit->parts[0].package, "");
    assert_string_equal(test_node_of(r.circuit, "R1.1"), "+5V");
    assert_string_equal(test_node_of(r.circuit, "C1.2"), "C1.2");
    assert_int_equal(r.circuit->row_count, 1);
    assert_string_equal(r.circuit->rows[0].name, "V1");
    assert_string_equal(r.circuit->rows[0].omit, "yes");
    test_reading_free(&r);
}

static void bad_netlists_are_told_with_their_place(void **state) {
    (void)state;
    test_bad_folder("sexpr", "tests/formats/sexpr/bad");
}

static void damaged_inputs_are_read_or_refused(void **state) {
    (void)state;
    test_cut_everywhere("sexpr", lamp, sizeof lamp - 1);
    test_damage("sexpr", lamp, sizeof lamp - 1, 500);
}

/* From the editor's names to parts that one can hold. */
static void a_netlist_is_fitted(void **state) {
    (void)state;
    test_reading r = test_read_text(NULL, lamp);
    sw_library *library = sw_library_new(r.diags);
    sw_circuit *fitted = NULL;
    assert_int_equal(sw_fit(r.circuit, library, NULL, r.diags, &fitted, NULL), SW_OK);
    assert_int_equal(fitted->part_count, 3); /* U1 is not fitted */
    assert_string_equal(fitted->parts[sw_circuit_part(fitted, "D1").i].package, "LED-5");
    assert_string_equal(fitted->parts[sw_circuit_part(fitted, "Q1").i].package, "TO-92");
    assert_string_equal(fitted->parts[sw_circuit_part(fitted, "R1").i].package, "RES-0.25W");
    assert_string_equal(test_node_of(fitted, "Q1.1"), "/LAMP");
    sw_circuit_free(fitted);
    sw_library_free(library);
    test_reading_free(&r);
}

static void failing_memory_is_told(void **state) {
    (void)state;
    test_memory_out("sexpr", lamp);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(version_e),
        cmocka_unit_test(version_d),
        cmocka_unit_test(bad_netlists_are_told_with_their_place),
        cmocka_unit_test(damaged_inputs_are_read_or_refused),
        cmocka_unit_test(a_netlist_is_fitted),
        cmocka_unit_test(failing_memory_is_told),
    };
    return cmocka_run_group_tests_name("exported netlists", tests, NULL, NULL);
}
