/* The hole list: round trips, what people type, what is refused and where. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <stripwright/format.h>

#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"
#include "tests/lib/plan.h"

static sw_status read_text(sw_diags *diags, const char *text, size_t length, sw_plan **plan) {
    sw_input input;
    *plan = NULL;
    sw_status status = sw_input_text(diags, "test.holes.csv", text, length, &input);
    if (status != SW_OK)
        return status;
    return sw_read_plan(sw_format_find("holes"), &input, NULL, diags, plan);
}

static sw_buf written(sw_diags *diags, const sw_plan *plan, bool spreadsheet) {
    sw_buf out = SW_BUF_INIT;
    sw_document document = {.plan = plan};
    sw_write_options options = {.spreadsheet = spreadsheet};
    assert_int_equal(sw_write(sw_format_find("holes"), &document, &options, diags, &out), SW_OK);
    return out;
}

static const char typed[] =
    "Kind;Hole;To;Ref;Pin\n"
    "# the frost alarm, typed on a Sunday\n"
    "\n"
    "lead;C4;;R1;1\n"
    "board;I23;;;\n"
    "lead;D5;;q1;C\n"
    "lead;g4;;r1;2\n"
    "cut;D7;;;\n"
    "cut;D10;D9;;\n"
    "link;F3;B3;;\n"
    "keep-out;C3;A1;;\n";

/* RFC 4180: records end in CR LF. */
static const char normal[] =
    "kind,ref,pin,node,hole,to\r\n"
    "board,,,,I23,\r\n"
    "keep-out,,,,A1,C3\r\n"
    "lead,q1,C,,D5,\r\n"
    "lead,R1,1,,C4,\r\n"
    "lead,R1,2,,G4,\r\n"
    "cut,,,,D7,\r\n"
    "cut,,,,D9,D10\r\n"
    "link,,,,B3,F3\r\n";

static void what_a_person_types_is_read(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan;
    assert_int_equal(read_text(diags, typed, strlen(typed), &plan), SW_OK);
    assert_int_equal(sw_diags_count(diags), 0);
    assert_int_equal(plan->strips, 9);
    assert_int_equal(plan->columns, 23);
    assert_int_equal(plan->part_count, 2);
    assert_string_equal(plan->parts[0].ref, "R1");
    assert_int_equal(plan->parts[0].lead_count, 2); /* r1 is R1 */
    assert_int_equal(plan->parts[0].turn, -1);
    assert_true(plan->cuts[1].knife);
    assert_int_equal(plan->cuts[1].hole.column, 8);
    sw_buf out = written(diags, plan, false);
    assert_string_equal(out.bytes, normal);
    sw_buf_free(&out);
    sw_plan_free(plan);
    sw_diags_free(diags);
}

static void written_again_it_is_the_same_bytes(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *circuit = test_fitted(library, test_frost_circuit);
    sw_plan *plan = test_plan(circuit, library, test_frost_plan), *again;
    sw_buf first = written(diags, plan, false);
    assert_non_null(strstr(first.bytes, "lead,R1,1,5,A3,\r\n")); /* with node numbers */
    assert_int_equal(read_text(diags, first.bytes, first.length, &again), SW_OK);
    sw_buf second = written(diags, again, false);
    assert_string_equal(first.bytes, second.bytes);
    /* What it leaves out the circuit gives back, so that the plan is still good. */
    assert_int_equal(sw_check(again, circuit, library, diags, NULL), SW_OK);
    assert_int_equal(sw_diags_count(diags), test_count(diags, SW_D_HOLES_LOST));
    sw_plan_complete(again, circuit, library);
    for (uint32_t i = 0; i < again->part_count; i++)
        assert_true(again->parts[i].turn >= 0);
    sw_buf_free(&first);
    sw_buf_free(&second);
    sw_plan_free(again);
    sw_plan_free(plan);
    sw_circuit_free(circuit);
    sw_library_free(library);
    sw_diags_free(diags);
}

static void spreadsheet_formulas_are_guarded(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan = test_plan_bare("board C3\n=A1 B2\n+5V C3\n");
    plan->parts[0].ref = "=A1";
    sw_buf out = written(diags, plan, true);
    assert_non_null(strstr(out.bytes, "lead,'=A1,1,,B2,\r\n")); /* OWASP ASVS 1.2.10 */
    sw_buf_free(&out);
    sw_plan_free(plan);
    sw_diags_free(diags);
}

static void what_it_does_not_keep_is_said(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan = test_plan_bare("board C9\nR1 A1 B1\nmargin 1\nasked B2\nlink A3 C3\nkeep A1 A1 screw\n");
    plan->links[0].sleeved = plan->links[0].locked = true;
    sw_plan_add_foreign(plan, (sw_foreign){"board", "<x/>", false});
    sw_buf out = written(diags, plan, false);
    assert_int_equal(test_count(diags, SW_D_HOLES_LOST), 6);
    sw_buf_free(&out);
    plan->parts[0].value = "4k7";
    out = written(diags, plan, false);
    assert_int_equal(test_count(diags, SW_D_HOLES_LOST), 13);
    sw_buf_free(&out);
    sw_plan_free(plan);
    sw_diags_free(diags);
}

static void bad_lists_are_refused_with_a_place(void **state) {
    (void)state;
    static const struct {
        sw_diag_id id;
        uint32_t line, column;
        sw_status status;
        const char *text;
    } cases[] = {
        {SW_D_HOLES_HEADER, 1, 1, SW_BAD_INPUT, "board,,,,I23,\n"},
        {SW_D_HOLES_HEADER, 1, 11, SW_BAD_INPUT, "kind,hole,kind\nboard,C3,\n"},
        {SW_D_HOLES_COLUMN, 1, 11, SW_OK, "kind,hole,colour\nboard,C3,red\n"},
        {SW_D_HOLES_KIND, 3, 1, SW_BAD_INPUT, "kind,hole,to\nboard,C3,\nwire,A1,B1\n"},
        {SW_D_HOLES_KIND, 3, 2, SW_BAD_INPUT, "kind,hole,to\nboard,C3,\n,A1,B1\n"},
        {SW_D_HOLES_MISSING, 3, 1, SW_BAD_INPUT, "kind,hole,to\nboard,C3,\nlink,A1,\n"},
        {SW_D_HOLES_MISSING, 3, 1, SW_BAD_INPUT, "kind,hole,ref\nboard,C3,\nlead,A1,R1\n"},
        {SW_D_HOLES_SURPLUS, 3, 8, SW_OK, "kind,hole,ref\nboard,C3,\ncut,A1,R1\n"},
        {SW_D_HOLES_SURPLUS, 2, 7, SW_BAD_INPUT, "kind,ref,hole\nboard,C3\n"},
        {SW_D_HOLES_HOLE, 2, 7, SW_BAD_INPUT, "kind,hole\nboard,3C\n"},
        {SW_D_HOLES_HOLE, 2, 7, SW_BAD_INPUT, "kind,hole\nboard,C03\n"},
        {SW_D_HOLES_HOLE, 2, 7, SW_BAD_INPUT, "kind,hole\nboard,\"C3 \"\n"},
        {SW_D_HOLES_HOLE, 2, 7, SW_BAD_INPUT, "kind,hole\nboard,C99999999999\n"},
        {SW_D_HOLES_NODE, 3, 14, SW_BAD_INPUT,
         "kind,ref,pin,hole,node\nboard,,,C3,\nlead,R1,1,A1,-4\n"},
        {SW_D_HOLES_KNIFE, 3, 8, SW_BAD_INPUT, "kind,hole,to\nboard,C3,\ncut,A1,A3\n"},
        {SW_D_HOLES_KNIFE, 3, 8, SW_BAD_INPUT, "kind,hole,to\nboard,C3,\ncut,A1,B2\n"},
        {SW_D_HOLES_BOARD, 1, 1, SW_BAD_INPUT, "kind,hole,to\ncut,A1,\n"},
        {SW_D_HOLES_BOARD, 3, 1, SW_BAD_INPUT, "kind,hole,to\nboard,C3,\nboard,C4,\n"},
        {SW_D_LIMIT_BOARD, 2, 7, SW_BAD_INPUT, "kind,hole,to\nboard,C501,\n"},
        {SW_D_CSV_QUOTE, 2, 7, SW_BAD_INPUT, "kind,hole,to\nboard,\"C3,\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_plan *plan;
        sw_place place;
        print_message("# case %zu: %s\n", i, sw_diag_name(cases[i].id));
        assert_int_equal(read_text(diags, cases[i].text, strlen(cases[i].text), &plan),
                         cases[i].status);
        assert_int_equal(test_count(diags, cases[i].id), 1);
        assert_true(sw_diags_place(diags, sw_diags_get(diags, 0)->span, &place));
        assert_int_equal(place.line, cases[i].line);
        assert_int_equal(place.column, cases[i].column);
        sw_plan_free(plan);
        sw_diags_free(diags);
    }
}

static void it_is_told_by_its_header(void **state) {
    (void)state;
    const sw_format *holes = sw_format_find("holes");
    assert_true(holes->probe(typed, strlen(typed)) >= 80);
    assert_true(holes->probe(normal, strlen(normal)) >= 80);
    assert_int_equal(holes->probe("ref,pin,node\nR1,1,VCC\n", 22), 0);
    assert_ptr_equal(sw_format_for_path("a/frost.holes.csv"), holes);
    assert_ptr_equal(sw_format_for_path("frost.HOLES.CSV.gz"), holes);
}

/* Cut off anywhere, and with bytes changed: read or refused, never a crash. */
static void damage_does_no_harm(void **state) {
    (void)state;
    char text[sizeof typed];
    for (size_t length = 0; length < sizeof typed; length++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_plan *plan;
        read_text(diags, typed, length, &plan);
        sw_plan_free(plan);
        sw_diags_free(diags);
    }
    uint32_t seed = 1;
    for (int round = 0; round < 2000; round++) {
        memcpy(text, typed, sizeof typed);
        for (int i = 0; i < 3; i++) {
            seed = seed * 1664525u + 1013904223u;
            text[(seed >> 8) % (sizeof typed - 1)] = (char)(seed >> 24);
        }
        sw_diags *diags = sw_diags_new(NULL);
        sw_plan *plan;
        read_text(diags, text, sizeof typed - 1, &plan);
        sw_plan_free(plan);
        sw_diags_free(diags);
    }
}

static void memory_may_run_out(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    assert_int_equal(sw_input_text(diags, "t", typed, strlen(typed), &input), SW_OK);
    for (long n = 0;; n++) {
        sw_plan *plan = NULL;
        sw_buf out = SW_BUF_INIT;
        test_alloc_fail(n);
        sw_status status = sw_read_plan(sw_format_find("holes"), &input, NULL, diags, &plan);
        if (status == SW_OK) {
            sw_document document = {.plan = plan};
            status = sw_write(sw_format_find("holes"), &document, NULL, diags, &out);
        }
        bool failed = test_alloc_reset();
        sw_plan_free(plan);
        sw_buf_free(&out);
        if (!failed)
            break;
        assert_int_equal(status, SW_SYSTEM);
    }
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_person_types_is_read),
        cmocka_unit_test(written_again_it_is_the_same_bytes),
        cmocka_unit_test(spreadsheet_formulas_are_guarded),
        cmocka_unit_test(what_it_does_not_keep_is_said),
        cmocka_unit_test(bad_lists_are_refused_with_a_place),
        cmocka_unit_test(it_is_told_by_its_header),
        cmocka_unit_test(damage_does_no_harm),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests_name("hole list", tests, NULL, NULL);
}
