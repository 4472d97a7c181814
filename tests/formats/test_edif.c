/* EDIF: board and FPGA level files, forms of the grammar, what is written. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/edif.h"
#include "tests/lib/format.h"

#define FOLDER "tests/formats/edif/"

static void expect_golden(const char *name) {
    char path[256];
    size_t length;
    strcat(strcpy(path, name), ".edf");
    char *text = test_file(path, &length);
    strcat(strcpy(path, name), ".sched");
    char *golden = test_file(path, &length);
    test_golden("edif", text, golden);
    free(text);
    free(golden);
}

static void a_board_with_gates_pages_and_terminals(void **state) {
    (void)state;
    expect_golden(FOLDER "frost-alarm");
}

static void hierarchy_and_arrays_are_laid_flat(void **state) {
    (void)state;
    expect_golden(FOLDER "rain-counter");
}

static void what_is_written_reads_back(void **state) {
    (void)state;
    static const char *const names[] = {FOLDER "frost-alarm.edf", FOLDER "rain-counter.edf"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        test_reading r = test_read_file("edif", names[i]);
        char *before = test_schedule(r.circuit), *text = test_write("edif", r.circuit, NULL);
        test_golden("edif", text, before);
        free(before);
        free(text);
        test_reading_free(&r);
    }
}

static void bad_files_are_told_with_their_place(void **state) {
    (void)state;
    test_bad_folder("edif", FOLDER "bad");
}

/* ---- small files: what stands in the middle varies ---- */

static void node_is(const char *text, const char *pin, const char *node) {
    test_reading r = test_read_text("edif", text);
    assert_non_null(r.circuit);
    assert_string_equal(test_node_of(r.circuit, pin), node);
    test_reading_free(&r);
}

/* Escapes per the grammar: character codes between percent signs; all else stands. */
static void strings_and_names(void **state) {
    (void)state;
    static const struct { const char *written, *read; } cases[] = {
        {"(rename N \"A%34%B\")", "A\"B"},
        {"(rename N \"A% 34 37 %B\")", "A\"%B"},
        {"(rename N \"50% of 100%\")", "50% of 100%"},
        {"(rename N \"50%300%\")", "50%300%"},
        {"(rename N \"A\\B\")", "A\\B"},
        {"(rename N \"A\r\nB\")", "AB"},
        {"(rename N (stringDisplay \"OUT+\" (display f)))", "OUT+"},
        {"(name N (display f))", "N"},
        {"&3V3", "3V3"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1024];
        strcpy(text, START PARTS "(library w (edifLevel 0) (cell top (cellType GENERIC) (view v "
                                 "(viewType NETLIST) (interface) (contents " R1 " (net ");
        strcat(text, cases[i].written);
        strcat(text, " (joined (portRef &1 (instanceRef R1)))))))) " DESIGN);
        node_is(text, "R1.1", cases[i].read);
    }
}

/* (e 47 -10) is 47e-10. */
static void numbers_and_units(void **state) {
    (void)state;
    static const struct { const char *written, *read; } cases[] = {
        {"(number (e 47 -10)) (unit CAPACITANCE)", "4n7"},
        {"(number (e 47 2)) (unit RESISTANCE)", "4k7"},
        {"(integer 470)", "470"},
        {"(string \"\") (unit RESISTANCE)", ""},
        {"(number (e 15 -1))", "1.5"},
        {"(boolean (true))", "true"},
        {"(string \"10\" \"k\")", "10k"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1024];
        strcpy(text, START PARTS "(library w (edifLevel 0) (cell top (cellType GENERIC) (view v "
                                 "(viewType NETLIST) (interface) (contents (instance R1 "
                                 "(viewRef v (cellRef R (libraryRef p))) (property value ");
        strcat(text, cases[i].written);
        strcat(text, "))))))" DESIGN);
        test_reading r = test_read_text("edif", text);
        assert_non_null(r.circuit);
        assert_string_equal(r.circuit->parts[sw_circuit_part(r.circuit, "R1").i].value,
                            cases[i].read);
        test_reading_free(&r);
    }
}

static void the_top_is_told_or_stated_or_guessed(void **state) {
    (void)state;
    static const char text[] =
        START PARTS
        "(library w (edifLevel 0)"
        "(cell a (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents " R1 ")))"
        "(cell b (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents " R1
        "(instance X1 (viewRef v (cellRef a)))))))";
    char with_design[2048];
    strcat(strcpy(with_design, text), "(design d (cellRef a (libraryRef w))))");
    test_reading r = test_read_text("edif", with_design);
    assert_int_equal(r.circuit->part_count, 1);
    test_reading_free(&r);
    sw_read_options options = {.top = "B"};
    r = test_read_options("edif", with_design, &options);
    assert_int_equal(r.circuit->part_count, 2);
    assert_true(sw_circuit_part(r.circuit, "X1.R1").i != SW_NONE);
    test_reading_free(&r);
    options.top = "nowhere";
    r = test_read_options("edif", with_design, &options);
    assert_int_equal(test_count(r.diags, SW_D_EDIF_REFERENCE), 1);
    test_reading_free(&r);
    char without[2048];
    strcat(strcpy(without, text), ")");
    r = test_read_text("edif", without);
    assert_int_equal(r.circuit->part_count, 2);
    assert_int_equal(test_count(r.diags, SW_D_EDIF_TOP_GUESSED), 1);
    test_reading_free(&r);
}

static bool is_a(void *user, const char *name) {
    (void)user;
    return strcmp(name, "a") == 0;
}

static void known_devices_stay_parts(void **state) {
    (void)state;
    sw_read_options options = {.is_device = is_a};
    test_reading r = test_read_options(
        "edif",
        START PARTS
        "(library w (edifLevel 0)"
        "(cell a (cellType GENERIC) (view v (viewType NETLIST) (interface (port IN))"
        "(contents " R1 "(net IN (joined (portRef IN) (portRef &1 (instanceRef R1)))))))"
        "(cell top (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents "
        "(instance U1 (viewRef v (cellRef a)))))))" DESIGN,
        &options);
    assert_int_equal(r.circuit->part_count, 1);
    assert_string_equal(r.circuit->parts[0].device, "a");
    test_reading_free(&r);
}

static void properties_may_be_mapped(void **state) {
    (void)state;
    const char *map[] = {"value=WERT", "package=Bauform", NULL};
    sw_read_options options = {.map = map};
    static const char text[] =
        START PARTS
        TOP("", "(instance R1 (viewRef v (cellRef R (libraryRef p))) (property VALUE (string \"x\"))"
                "(property wert (string \"10k\")) (property BAUFORM (string \"RES-0.25W\")))")
        DESIGN;
    test_reading r = test_read_options("edif", text, &options);
    assert_string_equal(r.circuit->parts[0].value, "10k");
    assert_string_equal(r.circuit->parts[0].package, "RES-0.25W");
    assert_int_equal(r.circuit->property_count, 1); /* VALUE is a property like others now */
    assert_int_equal(test_count(r.diags, SW_D_EDIF_MAP_UNUSED), 0);
    test_reading_free(&r);
    map[1] = "package=Baufrom";
    r = test_read_options("edif", text, &options);
    assert_int_equal(test_count(r.diags, SW_D_EDIF_MAP_UNUSED), 1);
    test_reading_free(&r);
    map[0] = "colour=WERT";
    r = test_read_options("edif", text, &options);
    assert_int_equal(test_count(r.diags, SW_D_EDIF_MAP), 1);
    test_reading_free(&r);
}

static void ports_through_a_cell_join_nets(void **state) {
    (void)state;
    node_is(START PARTS
            "(library w (edifLevel 0)"
            "(cell wire (cellType GENERIC) (view v (viewType NETLIST) (interface (port A) (port B))"
            "(contents (net n (joined (portRef A) (portRef B))))))"
            "(cell top (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents " R1
            "(instance W (viewRef v (cellRef wire)))"
            "(net LEFT (joined (portRef &1 (instanceRef R1)) (portRef A (instanceRef W))))"
            "(net RIGHT (joined (portRef &2 (instanceRef R1)) (portRef B (instanceRef W))))))))"
            DESIGN,
            "R1.2", "LEFT");
}

static void gates_without_numbers_get_fitting_rows(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START "(external p (edifLevel 0) (cell LM358 (cellType GENERIC) (view v (viewType NETLIST) "
        "(interface (port OUT) (port INP)))))"
        TOP("", "(instance a (viewRef v (cellRef LM358)) (designator \"U1\") (property GATE (string "
                "\"A\"))) (instance b (viewRef v (cellRef LM358)) (designator \"U1B\") (property "
                "gate (string \"B\")))")
        DESIGN);
    assert_non_null(r.circuit);
    assert_int_equal(r.circuit->row_count, 2);
    assert_string_equal(r.circuit->rows[1].name, "U1B");
    assert_string_equal(r.circuit->rows[1].ref, "U1");
    assert_string_equal(r.circuit->rows[1].unit, "B");
    assert_true(sw_circuit_part(r.circuit, "U1A").i != SW_NONE);
    test_reading_free(&r);
}

static void gates_that_are_guessed_are_told(void **state) {
    (void)state;
    test_reading r = test_read_file("edif", FOLDER "frost-alarm.edf"); /* U2A and U2B */
    assert_int_equal(test_count(r.diags, SW_D_EDIF_GATES), 1);
    test_reading_free(&r);
}

static void constants_of_logic_make_rails(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START PARTS
        "(external l (edifLevel 0) (cell VCC (cellType GENERIC) (view v (viewType NETLIST) "
        "(interface (port P (direction OUTPUT))))))"
        TOP("", R1 "(instance VCC (viewRef v (cellRef VCC (libraryRef l))))"
                   "(instance spare (viewRef v (cellRef VCC (libraryRef l))))"
                   "(net high (joined (portRef P (instanceRef VCC)) (portRef &1 (instanceRef R1))))")
        DESIGN);
    assert_non_null(r.circuit);
    assert_int_equal(r.circuit->part_count, 1);
    assert_int_equal(r.circuit->nodes[sw_circuit_node(r.circuit, "high").i].rail,
                     SW_RAIL_POSITIVE);
    assert_int_equal(test_count(r.diags, SW_D_EDIF_CONSTANT), 1);
    test_reading_free(&r);
}

/* Same cell, same pins: two ICs of their own, whatever their names. */
static void parts_on_the_same_pins_are_no_gates(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START PARTS
        TOP("", "(instance U1A (viewRef v (cellRef R (libraryRef p))) (portInstance &1 (designator "
                "\"1\")) (portInstance &2 (designator \"2\")))"
                "(instance U1B (viewRef v (cellRef R (libraryRef p))) (portInstance &1 (designator "
                "\"1\")) (portInstance &2 (designator \"2\")))")
        DESIGN);
    assert_int_equal(r.circuit->part_count, 2);
    test_reading_free(&r);
}

static void names_that_meet_are_told_apart(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START PARTS
        TOP("(port R1)", R1 "(net a (joined (portRef R1))) (net (rename b \"N\") (joined (portRef "
                            "&1 (instanceRef R1)))) (net (rename c \"N\") (joined (portRef &2 "
                            "(instanceRef R1))))")
        DESIGN);
    assert_non_null(r.circuit);
    assert_string_equal(test_node_of(r.circuit, "R1.1"), "N");
    assert_string_equal(test_node_of(r.circuit, "R1.2"), "N~2");
    assert_string_equal(test_node_of(r.circuit, "R1~2.1"), "a");
    assert_int_equal(test_count(r.diags, SW_D_EDIF_NAME_DOUBLED), 1);
    test_reading_free(&r);
}

static void notes_of_what_is_not_kept(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START PARTS "(library w (edifLevel 0)"
        "(cell block (cellType GENERIC) (property maker (string \"x\")) (view v (viewType NETLIST) "
        "(interface (port A (property delay (integer 3)))) (contents " R1 ")))"
        "(cell top (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents "
        "(instance X1 (viewRef v (cellRef block)) (property area (integer 2)))))))"
        "(sparkle) (sparkle (deep (er)))" DESIGN);
    assert_non_null(r.circuit);
    assert_int_equal(test_count(r.diags, SW_D_EDIF_NOT_KEPT), 1);
    assert_non_null(strstr(test_message(r.diags, SW_D_EDIF_NOT_KEPT), ": area, maker, delay"));
    assert_int_equal(test_count(r.diags, SW_D_EDIF_SKIPPED), 1);
    test_reading_free(&r);
    r = test_read_text("schedule", "stripwright schedule 1\npart R1\nproperty VALUE=x\n"
                                   "node 4 name=A : R1.1\nmodel M type=D\nrow R1 value=1\n");
    free(test_write("edif", r.circuit, r.diags));
    assert_int_equal(test_count(r.diags, SW_D_EDIF_LEFT_OUT), 4);
    test_reading_free(&r);
}

/* Cells within cells: 60 levels of ten each are 10^60 instances. */
static void expansion_is_bounded(void **state) {
    (void)state;
    static char text[65536];
    size_t at = (size_t)sprintf(text, START "(library w (edifLevel 0)");
    for (int i = 0; i < 60; i++) {
        at += (size_t)sprintf(text + at, "(cell c%d (cellType GENERIC) (view v (viewType NETLIST) "
                                         "(interface (port P)) (contents ", i);
        for (int k = 0; k < 10; k++)
            at += (size_t)sprintf(text + at, "(instance X%d (viewRef v (cellRef c%d)))", k, i + 1);
        at += (size_t)sprintf(text + at, ")))");
    }
    sprintf(text + at, "(cell c60 (cellType GENERIC) (view v (viewType NETLIST) (interface (port "
                       "P))))) (design d (cellRef c0)))");
    sw_limits limits;
    sw_limits_default(&limits);
    limits.expansion = 100;
    sw_diags *diags = sw_diags_new(&limits);
    sw_input input;
    sw_circuit *circuit;
    sw_input_text(diags, "bomb", text, strlen(text), &input);
    assert_int_equal(sw_read_circuit(sw_format_find("edif"), &input, NULL, diags, &circuit),
                     SW_BAD_INPUT);
    assert_int_equal(test_count(diags, SW_D_LIMIT_EXPANSION), 1);
    sw_diags_free(diags);
}

static void deep_nesting_of_what_is_passed_over_is_no_matter(void **state) {
    (void)state;
    enum { DEEP = 200000 };
    static const char head[] = START "(comment ", tail[] = ")" PARTS TOP("", R1) DESIGN;
    char *text = malloc(sizeof head + sizeof tail + 2 * DEEP);
    strcpy(text, head);
    memset(text + sizeof head - 1, '(', DEEP);
    memset(text + sizeof head - 1 + DEEP, ')', DEEP);
    strcpy(text + sizeof head - 1 + 2 * DEEP, tail);
    test_reading r = test_read_text("edif", text);
    assert_non_null(r.circuit);
    free(text);
    test_reading_free(&r);
}

static void damaged_inputs_are_read_or_refused(void **state) {
    (void)state;
    size_t length;
    char *text = test_file(FOLDER "rain-counter.edf", &length);
    test_cut_everywhere("edif", text, length);
    test_damage("edif", text, length, 200);
    free(text);
    text = test_file(FOLDER "frost-alarm.edf", &length);
    test_damage("edif", text, length, 200);
    free(text);
}

static void failing_memory_is_told(void **state) {
    (void)state;
    test_memory_out("edif", START PARTS
                    TOP("(port (array (rename A \"A[1:0]\") 2)) (port (array B 2 2))",
                        "(instance U1 (viewRef v (cellRef R (libraryRef p))) (property x (string "
                        "\"1\" \"2%34%\") (owner \"me\")) (portInstance &1 (property y (integer "
                        "1)))) (net (array N 2) (joined (portRef A))) (net M (joined (portRef &1 "
                        "(instanceRef U1)))) (odd)")
                    DESIGN);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_board_with_gates_pages_and_terminals),
        cmocka_unit_test(hierarchy_and_arrays_are_laid_flat),
        cmocka_unit_test(what_is_written_reads_back),
        cmocka_unit_test(bad_files_are_told_with_their_place),
        cmocka_unit_test(strings_and_names),
        cmocka_unit_test(numbers_and_units),
        cmocka_unit_test(the_top_is_told_or_stated_or_guessed),
        cmocka_unit_test(known_devices_stay_parts),
        cmocka_unit_test(properties_may_be_mapped),
        cmocka_unit_test(ports_through_a_cell_join_nets),
        cmocka_unit_test(gates_without_numbers_get_fitting_rows),
        cmocka_unit_test(gates_that_are_guessed_are_told),
        cmocka_unit_test(constants_of_logic_make_rails),
        cmocka_unit_test(parts_on_the_same_pins_are_no_gates),
        cmocka_unit_test(names_that_meet_are_told_apart),
        cmocka_unit_test(notes_of_what_is_not_kept),
        cmocka_unit_test(expansion_is_bounded),
        cmocka_unit_test(deep_nesting_of_what_is_passed_over_is_no_matter),
        cmocka_unit_test(damaged_inputs_are_read_or_refused),
        cmocka_unit_test(failing_memory_is_told),
    };
    return cmocka_run_group_tests_name("edif", tests, NULL, NULL);
}
