/* The builder and the frozen circuit: what was said is found again. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"

static sw_circuit *circuit_of(sw_diags *diags, const char *text) {
    sw_circuit *circuit = test_circuit(diags, SW_STAGE_NETLIST, text);
    assert_non_null(circuit);
    return circuit;
}

static void references_are_found_without_case(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = circuit_of(diags, "Rfrost R 10k - - 1=VCC 2=OUT\nu2 X - LM358 - 1=OUT\n");
    assert_int_equal(c->part_count, 2);
    assert_string_equal(c->parts[sw_circuit_part(c, "RFROST").i].ref, "Rfrost");
    assert_string_equal(c->parts[sw_circuit_part(c, "U2").i].device, "LM358");
    assert_true(sw_circuit_part(c, "R2").i == SW_NONE);
    assert_true(sw_circuit_part(c, "").i == SW_NONE);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void nodes_are_found_as_spelled_first_then_without_case(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = circuit_of(diags, "R1 R 1k - - 1=Out 2=OUT\nR2 R 1k - - 1=out 2=Bus\n");
    assert_int_equal(c->node_count, 4);
    assert_string_equal(c->nodes[sw_circuit_node(c, "Out").i].name, "Out");
    assert_string_equal(c->nodes[sw_circuit_node(c, "OUT").i].name, "OUT");
    assert_string_equal(c->nodes[sw_circuit_node(c, "out").i].name, "out");
    assert_string_equal(c->nodes[sw_circuit_node(c, "oUT").i].name, "Out"); /* the first */
    assert_string_equal(c->nodes[sw_circuit_node(c, "BUS").i].name, "Bus");
    assert_true(sw_circuit_node(c, "X").i == SW_NONE);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void folding_makes_one_node_of_all_spellings(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_node_id a = sw_builder_node(b, "Vcc", true, SW_NOWHERE);
    assert_int_equal(sw_builder_node(b, "VCC", true, SW_NOWHERE).i, a.i);
    sw_node_id other = sw_builder_node(b, "VCC", false, SW_NOWHERE);
    assert_int_not_equal(other.i, a.i);
    assert_int_equal(sw_builder_node(b, "VCC", false, SW_NOWHERE).i, other.i);
    assert_string_equal(sw_builder_node_at(b, a)->name, "Vcc");
    sw_builder_free(b);
    sw_diags_free(diags);
}

static void doubled_reference_is_reported_at_the_second(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = circuit_of(diags, "R1 R 1k - - 1=A 2=B\nr1 R 2k - - 1=A 2=B\n");
    assert_int_equal(c->part_count, 1);
    assert_int_equal(test_count(diags, SW_D_PART_DOUBLED), 1);
    sw_place place;
    assert_true(sw_diags_place(diags, sw_diags_get(diags, 0)->span, &place));
    assert_int_equal(place.line, 2);
    assert_int_equal(place.column, 1);
    assert_non_null(strstr(sw_diags_get(diags, 0)->message, "line 1"));
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void pins_are_grouped_by_part_in_the_order_given(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_part_id r1 = sw_builder_part(b, "R1", 'R', SW_NOWHERE);
    sw_part_id r2 = sw_builder_part(b, "R2", 'R', SW_NOWHERE);
    sw_node_id a = sw_builder_node(b, "A", false, SW_NOWHERE);
    sw_builder_pin(b, r2, "2", "", a, SW_NOWHERE);
    sw_builder_pin(b, r1, "1", "", a, SW_NOWHERE);
    sw_builder_pin(b, r2, "1", "left", a, SW_NOWHERE);
    sw_circuit *c = sw_builder_finish(b);
    assert_non_null(c);
    assert_int_equal(c->parts[0].pin_count, 1);
    assert_int_equal(c->parts[1].pin_count, 2);
    assert_string_equal(c->pins[c->parts[1].first_pin.i].number, "2");
    assert_string_equal(c->pins[sw_circuit_pin(c, r2, "LEFT").i].number, "1");
    assert_int_equal(c->nodes[0].pin_count, 3);
    for (uint32_t i = 0; i < 3; i++)
        assert_int_equal(c->pins[c->node_pins[i].i].node.i, 0);
    assert_int_equal(sw_circuit_pin_spelled(c, "r2.1").i, sw_circuit_pin(c, r2, "1").i);
    assert_true(sw_circuit_pin_spelled(c, "R2").i == SW_NONE);
    assert_true(sw_circuit_pin_spelled(c, "R2.").i == SW_NONE);
    assert_true(sw_circuit_pin_spelled(c, "").i == SW_NONE);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void lone_nodes_bear_their_pin(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = circuit_of(diags, "U2 X - - - 10=~ 11=~ 2=U2.11\n");
    assert_string_equal(test_node_of(c, "U2.10"), "U2.10");
    assert_string_equal(test_node_of(c, "U2.2"), "U2.11"); /* the file's own name stays */
    assert_string_equal(test_node_of(c, "U2.11"), "U2.11~2");
    sw_node_id lone = sw_circuit_node(c, "u2.10");
    assert_true(lone.i != SW_NONE);
    assert_false(c->nodes[lone.i].named);
    assert_true(c->nodes[sw_circuit_node(c, "U2.11").i].named);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void unnamed_node_of_more_pins_bears_the_first_in_natural_order(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_node_id node = sw_builder_lone_node(b, SW_NOWHERE);
    sw_builder_pin(b, sw_builder_part(b, "R10", 'R', SW_NOWHERE), "1", "", node, SW_NOWHERE);
    sw_builder_pin(b, sw_builder_part(b, "R9", 'R', SW_NOWHERE), "2", "", node, SW_NOWHERE);
    sw_circuit *c = sw_builder_finish(b);
    assert_string_equal(c->nodes[0].name, "R9.2");
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void joined_nodes_are_one_and_found_by_both_names(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = circuit_of(diags, "R1 R 1k - - 1=A 2=~\nR2 R 1k - - 1=B 2=C\n= A B\n= D C\n");
    assert_int_equal(c->node_count, 3);
    assert_string_equal(test_node_of(c, "R2.1"), "A");
    assert_string_equal(test_node_of(c, "R2.2"), "D");
    assert_int_equal(sw_circuit_node(c, "B").i, sw_circuit_node(c, "A").i);
    assert_int_equal(sw_circuit_node(c, "c").i, sw_circuit_node(c, "D").i);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void join_keeps_the_only_name(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_node_id lone = sw_builder_lone_node(b, SW_NOWHERE);
    sw_node_id named = sw_builder_node(b, "Frost", false, SW_NOWHERE);
    sw_builder_pin(b, sw_builder_part(b, "R1", 'R', SW_NOWHERE), "1", "", lone, SW_NOWHERE);
    sw_builder_join(b, lone, named);
    sw_builder_join(b, named, lone);
    sw_circuit *c = sw_builder_finish(b);
    assert_int_equal(c->node_count, 1);
    assert_string_equal(c->nodes[0].name, "Frost");
    assert_true(c->nodes[0].named);
    assert_int_equal(sw_circuit_node(c, "frost").i, 0);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void nodes_without_pins_are_dropped(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_node_id empty = sw_builder_node(b, "empty", false, SW_NOWHERE);
    sw_node_id used = sw_builder_node(b, "used", false, SW_NOWHERE);
    sw_part_id part = sw_builder_part(b, "R1", 'R', SW_NOWHERE);
    sw_pin_id pin = sw_builder_pin(b, part, "1", "", used, SW_NOWHERE);
    sw_builder_property(b, SW_OWNER_NODE, empty.i, "gone", "1", SW_NOWHERE);
    sw_builder_property(b, SW_OWNER_NODE, used.i, "colour", "red", SW_NOWHERE);
    sw_builder_property(b, SW_OWNER_PIN, pin.i, "bent", "yes", SW_NOWHERE);
    sw_builder_property(b, SW_OWNER_CIRCUIT, 0, "made", "by hand", SW_NOWHERE);
    sw_circuit *c = sw_builder_finish(b);
    assert_int_equal(c->node_count, 1);
    assert_true(sw_circuit_node(c, "empty").i == SW_NONE);
    assert_int_equal(c->property_count, 3);
    assert_string_equal(c->properties[0].key, "made");
    assert_string_equal(c->properties[1].key, "bent");
    assert_string_equal(c->properties[2].key, "colour");
    assert_int_equal(c->properties[2].index, 0);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void pin_on_two_nodes_is_reported_unless_a_join_makes_them_one(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = circuit_of(diags, "R1 R 1k - - 1=A 2=B 1=C\n");
    assert_int_equal(test_count(diags, SW_D_PIN_DOUBLED), 1);
    assert_int_equal(c->pin_count, 2);
    assert_string_equal(test_node_of(c, "R1.1"), "A");
    sw_circuit_free(c);
    c = circuit_of(diags, "R1 R 1k - - 1=A 2=B 1=C\n= C A\n");
    assert_int_equal(test_count(diags, SW_D_PIN_DOUBLED), 1);
    assert_int_equal(c->pin_count, 2);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void doubles_among_many_pins_are_found_too(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_part_id part = sw_builder_part(b, "J1", 'N', SW_NOWHERE);
    char number[8], node[8];
    for (int i = 0; i < 40; i++) {
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "P%d", i % 38);
        strcpy(number, text.bytes);
        text.length = 0;
        sw_buf_printf(&text, "N%d", i == 39 ? 99 : i % 38); /* 38 is harmless, 39 is not */
        strcpy(node, text.bytes);
        sw_buf_free(&text);
        sw_builder_pin(b, part, number, "", sw_builder_node(b, node, false, SW_NOWHERE),
                       SW_NOWHERE);
    }
    sw_circuit *c = sw_builder_finish(b);
    assert_int_equal(c->pin_count, 38);
    assert_int_equal(test_count(diags, SW_D_PIN_DOUBLED), 1);
    assert_non_null(strstr(test_message(diags, SW_D_PIN_DOUBLED), "P1 of J1"));
    assert_string_equal(test_node_of(c, "J1.p1"), "N1");
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void models_and_rows_are_kept(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    char name[] = "BC547";
    sw_builder_model(b, &(sw_model){.name = name, .type = "NPN", .text = "Bf=200"});
    sw_builder_row(b, &(sw_row){.name = name, .package = "TO-92"});
    name[0] = 'x';
    sw_builder_title(b, "Frost alarm");
    sw_circuit *c = sw_builder_finish(b);
    assert_string_equal(c->models[0].name, "BC547");
    assert_string_equal(c->models[0].path, "");
    assert_string_equal(c->rows[0].name, "BC547");
    assert_string_equal(c->rows[0].omit, "");
    assert_string_equal(c->title, "Frost alarm");
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void going_over_a_limit_is_one_finding_and_no_circuit(void **state) {
    (void)state;
    static const struct { sw_diag_id id; uint32_t parts, pins, nodes; } cases[] = {
        {SW_D_LIMIT_PARTS, 2, 9, 9}, {SW_D_LIMIT_PINS, 9, 2, 9}, {SW_D_LIMIT_NODES, 9, 9, 2}};
    for (size_t i = 0; i < 3; i++) {
        sw_limits limits;
        sw_limits_default(&limits);
        limits.parts = cases[i].parts;
        limits.pins_per_part = cases[i].pins;
        limits.nodes = cases[i].nodes;
        sw_diags *diags = sw_diags_new(&limits);
        assert_null(test_circuit(diags, SW_STAGE_NETLIST,
                                 "Q1 Q - - - C=A B=B E=C\nR1 R - - - 1=A\nR2 R - - - 1=A\n"));
        assert_int_equal(sw_diags_count(diags), 1);
        assert_int_equal(sw_diags_get(diags, 0)->id, cases[i].id);
        sw_diags_free(diags);
    }
}

static void what_is_not_there_can_be_asked_for(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_builder_part_at(b, (sw_part_id){SW_NONE})->value = "lost";
    assert_string_equal(sw_builder_part_at(b, (sw_part_id){SW_NONE})->value, "");
    assert_string_equal(sw_builder_node_at(b, (sw_node_id){7})->name, "");
    assert_string_equal(sw_builder_pin_at(b, (sw_pin_id){7})->number, "");
    sw_builder_join(b, (sw_node_id){1}, (sw_node_id){2});
    assert_true(sw_builder_pin(b, (sw_part_id){0}, "1", "", (sw_node_id){0}, SW_NOWHERE).i
                == SW_NONE);
    sw_circuit *c = sw_builder_finish(b); /* an empty circuit is one, too */
    assert_non_null(c);
    assert_int_equal(c->part_count + c->node_count + c->pin_count, 0);
    sw_circuit_free(c);
    sw_circuit_free(NULL);
    sw_builder_free(NULL);
    sw_diags_free(diags);
}

static void a_large_circuit_takes_under_400_bytes_an_element(void **state) {
    (void)state;
    enum { ELEMENTS = 100000 };
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_buf text = SW_BUF_INIT;
    sw_node_id before = sw_builder_node(b, "0", true, SW_NOWHERE);
    for (int i = 0; i < ELEMENTS; i++) {
        text.length = 0;
        sw_buf_printf(&text, "R%d", i);
        sw_part_id part = sw_builder_part(b, text.bytes, 'R', SW_NOWHERE);
        text.length = 0;
        sw_buf_printf(&text, "%dk", i); /* every value another one: the worst case */
        const char *value = sw_builder_text(b, text.bytes, text.length);
        sw_builder_part_at(b, part)->value = value;
        text.bytes[0] = 'n';
        sw_node_id node = sw_builder_node(b, text.bytes, true, SW_NOWHERE);
        sw_builder_pin(b, part, "1", "", before, SW_NOWHERE);
        sw_builder_pin(b, part, "2", "", node, SW_NOWHERE);
        before = node;
    }
    sw_buf_free(&text);
    sw_circuit *c = sw_builder_finish(b);
    assert_non_null(c);
    assert_int_equal(c->part_count, ELEMENTS);
    assert_true(swi_arena_used(c->memory->arena) < (size_t)ELEMENTS * 400);
    assert_string_equal(c->parts[sw_circuit_part(c, "r99999").i].value, "99999k");
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void every_allocation_may_fail(void **state) {
    (void)state;
    for (long n = 0;; n++) {
        sw_diags *diags = sw_diags_new(NULL);
        test_alloc_fail(n);
        sw_circuit *c = test_circuit(diags, SW_STAGE_NETLIST,
                                     "R1 R 1k - - 1=A 2=~\nU1 X - - - 1=A 2=a 3=B 4=C 5=~ 6=~\n"
                                     "+ 7=D 8=E 9=F 10=G 11=H 12=I 13=J 14=K 15=L 16=M 17=N 18=O\n"
                                     "= A B\n@ R1 package=RES-1W\n");
        if (!test_alloc_reset()) {
            assert_non_null(c);
            sw_circuit_free(c);
            sw_diags_free(diags);
            assert_true(n > 20); /* that many there are */
            return;
        }
        assert_null(c);
        sw_diags_free(diags);
    }
}

/* Or a format with one text a pin would lose what another keeps. */
static void a_name_that_repeats_the_number_is_none(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_part_id part = sw_builder_part(b, "U1", 'X', SW_NOWHERE);
    static const char *const pins[][2] = {{"1", "1"}, {"2", "OUT"}, {"A", "a"}};
    for (size_t i = 0; i < 3; i++)
        sw_builder_pin(b, part, pins[i][0], pins[i][1], sw_builder_lone_node(b, SW_NOWHERE), SW_NOWHERE);
    sw_circuit *c = sw_builder_finish(b);
    assert_non_null(c);
    assert_string_equal(c->pins[0].name, "");
    assert_string_equal(c->pins[1].name, "OUT");
    assert_string_equal(c->pins[2].name, "a"); /* another text, as names that differ in case are */
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void natural_order(void **state) {
    (void)state;
    static const char *const sorted[] = {"", "0", "2", "10", "C1", "r2", "R10", "R10a", "R11"};
    for (size_t i = 0; i < 9; i++)
        for (size_t k = 0; k < 9; k++) {
            int order = sw_natural_compare(sorted[i], sorted[k]);
            assert_int_equal((order > 0) - (order < 0), (i > k) - (i < k));
        }
    assert_int_equal(sw_natural_compare("R7", "r7"), 0);
    assert_true(sw_natural_compare("R7", "R007") < 0);
    assert_true(sw_natural_compare("n99999999999999999998", "N99999999999999999999") < 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(references_are_found_without_case),
        cmocka_unit_test(nodes_are_found_as_spelled_first_then_without_case),
        cmocka_unit_test(folding_makes_one_node_of_all_spellings),
        cmocka_unit_test(doubled_reference_is_reported_at_the_second),
        cmocka_unit_test(pins_are_grouped_by_part_in_the_order_given),
        cmocka_unit_test(lone_nodes_bear_their_pin),
        cmocka_unit_test(unnamed_node_of_more_pins_bears_the_first_in_natural_order),
        cmocka_unit_test(joined_nodes_are_one_and_found_by_both_names),
        cmocka_unit_test(join_keeps_the_only_name),
        cmocka_unit_test(nodes_without_pins_are_dropped),
        cmocka_unit_test(pin_on_two_nodes_is_reported_unless_a_join_makes_them_one),
        cmocka_unit_test(doubles_among_many_pins_are_found_too),
        cmocka_unit_test(models_and_rows_are_kept),
        cmocka_unit_test(going_over_a_limit_is_one_finding_and_no_circuit),
        cmocka_unit_test(what_is_not_there_can_be_asked_for),
        cmocka_unit_test(a_large_circuit_takes_under_400_bytes_an_element),
        cmocka_unit_test(every_allocation_may_fail),
        cmocka_unit_test(a_name_that_repeats_the_number_is_none),
        cmocka_unit_test(natural_order),
    };
    return cmocka_run_group_tests_name("circuit: building", tests, NULL, NULL);
}
