/* The registry: finding formats, and what is wrong with an input whatever its format. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

static void formats_are_found_by_name_without_case(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        assert_ptr_equal(sw_format_find(format->name), format);
        for (const char *const *alias = format->aliases; alias && *alias; alias++)
            assert_ptr_equal(sw_format_find(*alias), format);
        assert_true(format->read_circuit || format->read_plan || format->write);
        assert_true(*format->summary && *format->keeps);
    }
    assert_ptr_equal(sw_format_find("EDIF"), sw_format_find("edif"));
    assert_null(sw_format_find("no such format"));
    assert_null(sw_format_at(sw_format_count()));
}

static void a_path_is_told_by_its_longest_ending(void **state) {
    (void)state;
    static const struct { const char *path, *format; } cases[] = {
        {"frost.edf", "edif"}, {"frost.EDIF.gz", "edif"}, {"a.b/frost.csv", "pins"},
        {"frost.sched", "schedule"}, {"frost.holes.csv", "holes"}, {"frost.cir", "spice"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const sw_format *format = sw_format_for_path(cases[i].path);
        assert_non_null(format);
        assert_string_equal(format->name, cases[i].format);
    }
    assert_null(sw_format_for_path("frost"));
    assert_null(sw_format_for_path(".edf")); /* a name, no ending */
    assert_null(sw_format_for_path("frost.gz"));
    assert_null(sw_format_for_path(""));
}

static sw_status read_as(const char *format, const char *name, const char *bytes, size_t length,
                         sw_diag_id id) {
    test_reading r = test_read(format, name, bytes, length);
    sw_status status = r.status;
    assert_int_equal(test_count(r.diags, id), 1);
    test_reading_free(&r);
    return status;
}

static void content_counts_before_the_name(void **state) {
    (void)state;
    test_reading r = test_read(NULL, "frost.csv", "stripwright schedule 1\n", 23);
    assert_non_null(r.circuit);
    test_reading_free(&r);
}

static void inputs_that_no_format_can_read(void **state) {
    (void)state;
    assert_int_equal(read_as(NULL, "a.sched", "", 0, SW_D_INPUT_EMPTY), SW_BAD_INPUT);
    assert_int_equal(read_as("edif", "a", " \r\n\t", 4, SW_D_INPUT_EMPTY), SW_BAD_INPUT);
    assert_int_equal(read_as(NULL, "a.sched", "a\0b", 3, SW_D_INPUT_BINARY), SW_BAD_INPUT);
    assert_int_equal(read_as(NULL, "letter", "Dear gardener,\n", 15, SW_D_FORMAT_UNKNOWN),
                     SW_BAD_INPUT);
}

static void what_cannot_be_done_is_a_wrong_request(void **state) {
    (void)state;
    assert_int_equal(read_as("holes", "a", "kind,ref\n", 9, SW_D_FORMAT_CANNOT_READ), SW_USAGE);
    sw_diags *diags = sw_diags_new(NULL);
    sw_document nothing = {.circuit = NULL};
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sw_write(sw_format_find("edif"), &nothing, NULL, diags, &out), SW_USAGE);
    assert_int_equal(sw_write(sw_format_find("holes"), &nothing, NULL, diags, &out), SW_USAGE);
    assert_int_equal(test_count(diags, SW_D_FORMAT_NEEDS), 2);
    const sw_format mute = {.name = "mute", .summary = "", .keeps = ""};
    assert_int_equal(sw_write(&mute, &nothing, NULL, diags, &out), SW_USAGE);
    assert_int_equal(test_count(diags, SW_D_FORMAT_CANNOT_WRITE), 1);
    sw_plan *plan;
    sw_input input;
    sw_input_text(diags, "a.edf", "(edif x)", 8, &input);
    assert_int_equal(sw_read_plan(NULL, &input, NULL, diags, &plan), SW_BAD_INPUT);
    assert_null(plan);
    sw_buf_free(&out);
    sw_diags_free(diags);
}

/* How the files of drawing programs begin: from memory. */
static void a_schematic_is_no_netlist(void **state) {
    (void)state;
    static const char *const files[] = {
        "<?xml version=\"1.0\"?>\n<editor version=\"9\">\n<drawing>\n<schematic>\n", "(editor_sch (version 20211123))\n",
        "Version 4\nSHEET 1 880 680\nWIRE 1 2 3 4\n", "Editor Schematic File Version 4\nLAYER 30 0\n", "v 20130925 2\nC 1 2 3 4\n"};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        sw_circuit *circuit = NULL;
        assert_int_equal(sw_input_text(diags, "lamp.asc", files[i], strlen(files[i]), &input), SW_OK);
        assert_int_equal(sw_read_circuit(NULL, &input, NULL, diags, &circuit), SW_BAD_INPUT);
        assert_int_equal(sw_diags_count(diags), 1);
        assert_int_equal(sw_diags_get(diags, 0)->id, SW_D_FORMAT_UNKNOWN);
        assert_non_null(strstr(sw_diags_get(diags, 0)->message, "export its netlist"));
        sw_diags_free(diags);
    }
    sw_diags *diags = sw_diags_new(NULL);
    sw_input deck;
    static const char text[] = "v 2 of the lamp\nR1 a b 1k\n.end\n";
    assert_int_equal(sw_input_text(diags, "lamp.cir", text, sizeof text - 1, &deck), SW_OK);
    assert_string_equal(sw_format_detect(&deck, diags)->name, "spice");
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_schematic_is_no_netlist),
        cmocka_unit_test(formats_are_found_by_name_without_case),
        cmocka_unit_test(a_path_is_told_by_its_longest_ending),
        cmocka_unit_test(content_counts_before_the_name),
        cmocka_unit_test(inputs_that_no_format_can_read),
        cmocka_unit_test(what_cannot_be_done_is_a_wrong_request),
    };
    return cmocka_run_group_tests_name("registry", tests, NULL, NULL);
}
