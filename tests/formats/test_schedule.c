/* The schedule: everything is kept, in one form; the golden form of other tests. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/format.h"

#define HEAD "stripwright schedule 1\n"

static const char full[] =
    HEAD
    "title \"Frost alarm, \\\"deluxe\\\" \\\\ 2\"\n"
    "property revision=B\n"
    "part D1 kind=D value= device=LED package=LED-5 polarised\n"
    "part Q1 kind=Q value= device=BC547 package=\n"
    "part R1 kind=R value=10k device= package=RES-0.25W\n"
    "property \"odd key\"=\n"
    "property tolerance=5%\n"
    "part R10 kind=R value=4k7 device= package= path=X1.X2\n"
    "part U1 kind=X value= device=LM358 package= flat\n"
    "part X9.T1 kind=N value= device= package=TERMINAL terminal\n"
    "pin D1.1 type=passive\n"
    "property note=\"long lead\\x09first\\xFF\"\n"
    "pin Q1.C name=collector\n"
    "pin U1.8 name=VCC type=positive\n"
    "node 1 name=VCC rail=positive why=\"by name\" : R1.1 U1.8 \"X9.T1\".1\n"
    "node 2 name=0 rail=ground global : Q1.E\n"
    "property class=thick\n"
    "node 3 name=base rail= : Q1.B R1.2 R10.1\n"
    "node 4 name=\"A:3 #\xC3\xA9\" rail= : D1.1 U1.\"P0.3\"\n"
    "node 5 name=D1.2 rail= derived : D1.2 Q1.C\n"
    "node 6 name=R10.2 rail= derived : R10.2\n"
    "model BC547 type=NPN text=\"BF=200 IS=1e-14\"\n"
    "model LED type=D path=X1\n"
    "row U1 ref=U2 device=LM358 package=DIP-8 unit=A pins=3,2,1 supply=\"VCC:8,0:4\" value=x "
    "place=board omit=no path=X1\n";

static void what_is_written_reads_back_to_the_same_bytes(void **state) {
    (void)state;
    test_golden("schedule", full, full);
    test_golden("schedule", HEAD, HEAD);
}

static void each_field_arrives(void **state) {
    (void)state;
    test_reading r = test_read_text(NULL, full);
    const sw_circuit *c = r.circuit;
    assert_non_null(c);
    assert_string_equal(c->title, "Frost alarm, \"deluxe\" \\ 2");
    const sw_part *part = &c->parts[sw_circuit_part(c, "r10").i];
    assert_string_equal(part->value, "4k7");
    assert_string_equal(part->path, "X1.X2");
    assert_int_equal(part->kind, 'R');
    part = &c->parts[sw_circuit_part(c, "X9.T1").i];
    assert_true(part->terminal);
    assert_false(part->flat || part->polarised);
    const sw_pin *pin = &c->pins[sw_circuit_pin_spelled(c, "U1.8").i];
    assert_string_equal(pin->name, "VCC");
    assert_int_equal(pin->type, SW_PIN_POWER_POSITIVE);
    const sw_node *node = &c->nodes[pin->node.i];
    assert_int_equal(node->rail, SW_RAIL_POSITIVE);
    assert_string_equal(node->rail_why, "by name");
    assert_true(node->named);
    assert_false(node->global);
    assert_string_equal(c->nodes[c->by_number[3].i].name, "A:3 #\xC3\xA9");
    assert_int_equal(c->model_count, 2);
    assert_int_equal(c->row_count, 1);
    assert_string_equal(c->rows[0].supply, "VCC:8,0:4");
    assert_string_equal(c->rows[0].name, "U1");
    assert_int_equal(c->property_count, 5);
    test_reading_free(&r);
}

static void any_order_spacing_and_line_ends_give_the_one_form(void **state) {
    (void)state;
    test_golden("schedule",
                "\xEF\xBB\xBFstripwright schedule 1\r\n"
                "# a comment\r\n\r\n"
                "part  R10 value=1k kind=R\r\n"
                "node - name=B : R10.1 R10.2\r\n"
                "part R2 kind=R device=\"\" \r\n"
                "  node -  rail=ground name=A : R2.2\tR2.1",
                HEAD "part R2 kind=R value= device= package=\n"
                     "part R10 kind=R value=1k device= package=\n"
                     "node - name=A rail=ground : R2.1 R2.2\n"
                     "node - name=B rail= : R10.1 R10.2\n");
}

static void bad_inputs_are_told_with_their_place(void **state) {
    (void)state;
    test_bad_folder("schedule", "tests/formats/schedule/bad");
}

static void damaged_inputs_are_read_or_refused(void **state) {
    (void)state;
    test_cut_everywhere("schedule", full, sizeof full - 1);
    test_damage("schedule", full, sizeof full - 1, 300);
}

static void failing_memory_is_told(void **state) {
    (void)state;
    test_memory_out("schedule", full);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_reads_back_to_the_same_bytes),
        cmocka_unit_test(each_field_arrives),
        cmocka_unit_test(any_order_spacing_and_line_ends_give_the_one_form),
        cmocka_unit_test(bad_inputs_are_told_with_their_place),
        cmocka_unit_test(damaged_inputs_are_read_or_refused),
        cmocka_unit_test(failing_memory_is_told),
    };
    return cmocka_run_group_tests_name("schedule", tests, NULL, NULL);
}
