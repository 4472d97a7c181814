/* How neat a plan is: each count on a plan drawn for it, counted by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/plan.h"

static sw_library *library;

static sw_neatness count(const char *circuit, const char *text) {
    sw_neatness n;
    sw_circuit *fitted = test_fitted(library, circuit);
    sw_plan *plan = test_plan(fitted, library, text);
    assert_true(sw_plan_neatness(plan, fitted, library, &n));
    sw_plan_free(plan);
    sw_circuit_free(fitted);
    return n;
}

/* Two cuts of the IC are in one column, the third beside; the cut outside is not its. */
static void cuts_under_an_ic(void **state) {
    (void)state;
    sw_neatness n = count("U1 X - - DIP-8 1=A 2=B 3=C 4=D 5=E 6=F 7=G 8=H\n",
                          "board H8\nU1 C3 D3 E3 F3 F6 E6 D6 C6\ncut C4\ncut D4\ncut E5\ncut F7\n");
    assert_int_equal(n.cuts_in_line, 2);
    assert_int_equal(n.cuts_under, 3);
    assert_int_equal(n.supply_apart, -1);
}

/* Three of four resistors begin on strip A; two capacitors share a column. */
static void parts_of_a_kind_in_line(void **state) {
    (void)state;
    sw_neatness n = count("R1 R 1k - RES-0.25W 1=A 2=B\nR2 R 1k - RES-0.25W 1=A 2=C\nR3 R 1k - RES-0.25W 1=A 2=D\n"
                          "R4 R 1k - RES-0.25W 1=E 2=F\nC1 C 10n - CAP-DISC-2.5 1=B 2=C\nC2 C 10n - CAP-DISC-2.5 1=D 2=E\n"
                          "C3 C 10n - CAP-DISC-5 1=D 2=E\n",
                          "board J12\nR1 A1 E1\nR2 A2 E2\nR3 F4 A4\nR4 B6 G6\nC1 A8 B8\nC2 D8 E8\nC3 D10 F10\n");
    assert_int_equal(n.in_line, 5);
    assert_int_equal(n.of_a_kind, 6); /* the larger capacitor is the only one */
}

/* Two anodes up, one plus up, one anode down: three of four. */
static void polarised_parts_face_one_way(void **state) {
    (void)state;
    static const char circuit[] = "D1 D - - LED-3 1=B 2=A\nD2 D - - DO-35 1=C 2=B\nD3 D - - LED-3 1=A 2=C\n"
                                  "C1 C 10u - ELEC-5 1=A 2=B\nR1 R 1k - RES-0.25W 1=A 2=B\n";
    static const char text[] = "board H12\nD1 B1 A1\nD2 D3 A3\nD3 A5 B5\nC1 A7 B7\nR1 H9 D9\n";
    sw_neatness n = count(circuit, text);
    assert_int_equal(n.one_way, 3);
    assert_int_equal(n.polarised, 4);
    sw_plan *plan = test_plan_bare("board H12\nD1=LED-3 B1 A1\nD2=DO-35 D3 A3\nD3=LED-3 A5 B5\nC1=ELEC-5 A7 B7\n");
    assert_true(sw_plan_neatness(plan, NULL, library, &n)); /* known by reference and package */
    assert_int_equal(n.one_way, 3);
    assert_int_equal(n.polarised, 4);
    sw_plan_free(plan);
}

static void terminals_at_the_sides(void **state) {
    (void)state;
    sw_plan *plan = test_plan_bare("board H12\nmargin 1\nP1=PIN-1 B2\nP2=PIN-1 D2\nP3=PIN-1 C11\nP4=PIN-1 C7\n");
    assert_true(sw_plan_add_node(plan, (sw_plan_node){.number = 1, .name = "+9V", .rail = SW_RAIL_POSITIVE}));
    assert_true(sw_plan_add_node(plan, (sw_plan_node){.number = 2, .name = "GND", .rail = SW_RAIL_GROUND}));
    plan->leads[0].node = 1;
    plan->leads[1].node = 2;
    sw_neatness n;
    assert_true(sw_plan_neatness(plan, NULL, library, &n));
    assert_int_equal(n.at_sides, 3);
    assert_int_equal(n.terminals, 4);
    assert_int_equal(n.supply_apart, 2);
    sw_plan_free(plan);
}

/* A screw terminal by its openings: to the left at turn 0, so its leads alone tell nothing. */
static void connectors_at_the_sides(void **state) {
    (void)state;
    static const char circuit[] = "J1 N - - SCREW-2 1=A 2=B\nJ2 N - - HEADER-1x2 1=A 2=B\n";
    static const struct { const char *plan; int at_sides; } cases[] = {
        {"board J14\nJ1@0 C2 E2\nJ2 G14 H14\n", 2}, {"board J14\nJ1@180 E1 C1\nJ2 G14 H14\n", 1},
        {"board J14\nJ1@180 E13 C13\nJ2 G7 H7\n", 1}, {"board J14\nJ1@90 B6 B4\nJ2 G7 H7\n", 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_neatness n = count(circuit, cases[i].plan);
        assert_int_equal(n.terminals, 2);
        assert_int_equal(n.at_sides, cases[i].at_sides);
        assert_int_equal(n.adjusters, 0);
    }
}

/* A preset between two electrolytics is hemmed in; one with a single neighbour is not. */
static void adjusters_in_reach(void **state) {
    (void)state;
    static const char circuit[] = "VR1 P 10k - TRIM-6 1=A 2=B 3=C\nC1 C 10u - ELEC-5 1=A 2=B\nC2 C 10u - ELEC-5 1=C 2=B\n";
    sw_neatness n = count(circuit, "board J14\nVR1 C5 E6 C7\nC1 D3 E3\nC2 D9 E9\n");
    assert_int_equal(n.adjusters, 1);
    assert_int_equal(n.in_reach, 0);
    n = count(circuit, "board J14\nVR1 C5 E6 C7\nC1 D3 E3\nC2 D12 E12\n");
    assert_int_equal(n.in_reach, 1);
}

/* U1 takes its supply at F6: the frame of C1 is 2 steps away, that of C2 5. */
static void capacitors_by_their_ics(void **state) {
    (void)state;
    sw_circuit *fitted = test_fitted(library, "U1 X - - DIP-8 1=A 4=0 8=VCC\nC1 C 100n - CAP-DISC-2.5 1=VCC 2=0\n"
                                              "U2 X - - DIP-8 1=A 4=0 8=VCC\nC2 C 100n - CAP-DISC-2.5 1=VCC 2=0\n");
    for (uint32_t i = 0; i < fitted->node_count; i++)
        fitted->nodes[i].rail = strcmp(fitted->nodes[i].name, "VCC") == 0 ? SW_RAIL_POSITIVE
                                : strcmp(fitted->nodes[i].name, "0") == 0 ? SW_RAIL_GROUND : SW_RAIL_NONE;
    for (uint32_t i = 0; i < fitted->pin_count; i++)
        if (fitted->parts[fitted->pins[i].part.i].kind == 'X')
            fitted->pins[i].type = strcmp(fitted->pins[i].number, "8") == 0   ? SW_PIN_POWER_POSITIVE
                                   : strcmp(fitted->pins[i].number, "4") == 0 ? SW_PIN_GROUND : SW_PIN_PASSIVE;
    sw_plan *plan = test_plan(fitted, library, "board Z20\nU1@0 F3 G3 H3 I3 I6 H6 G6 F6\nC1 D6 C6\n"
                                               "U2@0 F13 G13 H13 I13 I16 H16 G16 F16\nC2 D19 C19\n");
    sw_neatness n;
    assert_true(sw_plan_neatness(plan, fitted, library, &n));
    assert_int_equal(n.decoupling, 2);
    assert_int_equal(n.by_ic, 1);
    assert_true(sw_plan_neatness(plan, NULL, library, &n)); /* without the circuit nobody knows */
    assert_int_equal(n.decoupling, 0);
    sw_plan_free(plan);
    sw_circuit_free(fitted);
}

/* With the screw upwards at turn 0: body 10.1 mm long, 2.51 beyond its leads, so they may be
 * on the second strip and not on the third; upside down it faces the other edge. */
static void side_screws_face_their_edge(void **state) {
    (void)state;
    static const char circuit[] = "VR1 P 10k - TRIM-SIDE 1=A 2=B 3=C\n";
    static const struct { const char *plan; int reached; } cases[] = {
        {"board J14\nVR1@0 B5 C5 D5\n", 1},   {"board J14\nVR1@0 C5 D5 E5\n", 0},
        {"board J14\nVR1@180 D5 C5 B5\n", 0}, {"board J14\nVR1@180 I5 H5 G5\n", 1},
        {"board J14\nmargin 1\nVR1@0 C5 D5 E5\n", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_neatness n = count(circuit, cases[i].plan);
        assert_int_equal(n.adjusters, 1);
        assert_int_equal(n.in_reach, cases[i].reached);
    }
}

/* Two resistors mirrored and one on the middle line: all.  One moved by a pitch of its
 * width of 2.5 mm: its image and it have nothing in common, the third stays. */
static void mirror_symmetry(void **state) {
    (void)state;
    static const char circuit[] = "R1 R 1k - RES-0.25W 1=A 2=B\nR2 R 1k - RES-0.25W 1=A 2=C\nR3 R 1k - RES-0.25W 1=A 2=D\n";
    sw_neatness n = count(circuit, "board J9\nR1 A2 E2\nR2 E8 A8\nR3 B5 F5\n");
    assert_true(n.symmetry > 99.999 && n.symmetry < 100.001);
    assert_false(n.top_to_bottom);
    n = count(circuit, "board J9\nR1 A1 E1\nR2 E8 A8\nR3 B5 F5\n");
    assert_true(n.symmetry > 33.3 && n.symmetry < 33.4);
    n = count(circuit, "board I9\nR1 A2 E2\nR2 E2 I2\nR3 C6 G6\n"); /* the middle strip is E */
    assert_true(n.symmetry > 99.999 && n.top_to_bottom);
}

static void in_words(void **state) {
    (void)state;
    sw_neatness n = {.cuts_in_line = 6, .cuts_under = 7, .one_way = 3, .polarised = 4, .supply_apart = 1, .tidy = 81.6, .symmetry = 34};
    sw_buf text = SW_BUF_INIT;
    sw_neatness_write(&n, &text);
    assert_string_equal(text.bytes, "cuts in line 6 of 7, polarised one way 3 of 4, supply pins together; tidy 82 %, symmetry 34 % left to right");
    sw_buf_free(&text);
}

static void nothing_is_neat(void **state) {
    (void)state;
    sw_neatness n;
    sw_plan *plan = test_plan_bare("board H12\n");
    assert_true(sw_plan_neatness(plan, NULL, library, &n));
    assert_true(n.tidy > 99.9 && n.symmetry > 99.9);
    sw_plan_free(plan);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cuts_under_an_ic),      cmocka_unit_test(parts_of_a_kind_in_line),
        cmocka_unit_test(polarised_parts_face_one_way), cmocka_unit_test(terminals_at_the_sides),
        cmocka_unit_test(connectors_at_the_sides),
        cmocka_unit_test(adjusters_in_reach),    cmocka_unit_test(side_screws_face_their_edge),
        cmocka_unit_test(capacitors_by_their_ics), cmocka_unit_test(mirror_symmetry),
        cmocka_unit_test(in_words),              cmocka_unit_test(nothing_is_neat),
    };
    sw_diags *diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    int failed = cmocka_run_group_tests_name("board_neat", tests, NULL, NULL);
    sw_library_free(library);
    sw_diags_free(diags);
    return failed;
}
