/* What the search refuses, and why: each of its findings is told. */
#include "harness.h"
#include "tests/lib/circuit.h"
#include "tests/lib/plan.h"

static const char pair[] = "R1 R RES-0.25W A B\nR2 R RES-0.25W B A\n";

/* Asks for a plan and wants this finding and this status. */
static void refuses(bed *b, sw_layout_watch watch, sw_status status, sw_diag_id id) {
    sw_plan *plan = NULL;
    assert_int_equal(sw_layout(b->circuit, b->library, &b->options, watch, NULL, b->diags, &plan, &b->report), status);
    assert_null(plan);
    assert_true(test_count(b->diags, id) > 0);
}

static void lay(bed *b, const char *lines) {
    bed_open(b);
    b->circuit = bench_lines(lines, b->library, b->diags);
    assert_non_null(b->circuit);
}

static void nothing_to_lay_out(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.circuit = test_circuit(b.diags, SW_STAGE_FITTED, "");
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_EMPTY);
    bed_close(&b);
}

static void too_many_parts(void **state) {
    (void)state;
    bed b;
    sw_buf lines = SW_BUF_INIT;
    for (int i = 1; i <= 2001; i++)
        sw_buf_printf(&lines, "R%d R RES-0.25W A%d B%d\n", i, i, i);
    lay(&b, lines.bytes);
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_TOO_BIG);
    bed_close(&b);
    sw_buf_free(&lines);
}

static void no_package(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.circuit = test_circuit(b.diags, SW_STAGE_FITTED, "R1 R 1k - - 1=A 2=B\n");
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_UNFITTED);
    bed_close(&b);
}

static void pins_of_another_package(void **state) {
    (void)state;
    bed b;
    lay(&b, pair);
    b.circuit->parts[0].form = sw_library_package(b.library, "DIP-8");
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_PINS);
    bed_close(&b);
}

static void a_wish_for_nobody(void **state) {
    (void)state;
    bed b;
    sw_wish wish = {.kind = SW_WISH_EDGE_LEFT, .ref = "R9"};
    lay(&b, pair);
    b.options.wishes = &wish;
    b.options.wish_count = 1;
    refuses(&b, NULL, SW_USAGE, SW_D_LAYOUT_WISH);
    bed_close(&b);
}

static void a_locked_part_of_another_circuit(void **state) {
    (void)state;
    bed b;
    sw_plan *keep = sw_plan_new();
    lay(&b, pair);
    sw_plan_part part = {.ref = "R9", .value = "", .device = "", .package = "RES-0.25W", .locked = true};
    assert_true(sw_plan_add_part(keep, part));
    b.options.keep = keep;
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_KEEP);
    bed_close(&b);
    sw_plan_free(keep);
}

/* All that stands in the plan is locked; margin and limits as the bed's options say. */
static void keep_all(bed *b, const char *text, bool stands) {
    sw_plan *keep = test_plan(b->circuit, b->library, text), *plan = NULL;
    for (uint32_t i = 0; i < keep->part_count; i++)
        keep->parts[i].locked = true;
    for (uint32_t i = 0; i < keep->link_count; i++)
        keep->links[i].locked = true;
    b->options.keep = keep;
    if (stands) {
        assert_int_equal(sw_layout(b->circuit, b->library, &b->options, NULL, NULL, b->diags, &plan, &b->report), SW_OK);
        assert_int_equal(plan->parts[0].locked + plan->parts[1].locked, keep->part_count);
        sw_plan_free(plan);
    } else {
        refuses(b, NULL, SW_NO_PLAN, SW_D_LAYOUT_KEEP);
    }
    b->options.keep = NULL;
    sw_plan_free(keep);
}

static void locked_things_that_cannot_stand(void **state) {
    static const char both[] = "board E9\nR1 A2 E2\nR2 E4 A4\nlink B6 D6\n";
    (void)state;
    bed b;
    lay(&b, pair);
    keep_all(&b, "board AE70\nR1 A60 E60\n", true); /* far beyond where a search begins */
    keep_all(&b, "board AE70\nR1 AA2 AE2\n", true);
    keep_all(&b, "board E9\nR1 A2 E2\nR2 A2 E2\n", false);
    keep_all(&b, "board E9\nR1 A2 E2\nlink A2 C2\n", false);
    keep_all(&b, "board E9\nlink A2 C2\nlink B2 D2\n", false);
    b.options.columns = 3;
    keep_all(&b, both, false);
    b.options.columns = 5;
    keep_all(&b, both, false); /* the link */
    b.options.columns = 0;
    b.options.margin = 1;
    keep_all(&b, both, false);
    b.options.margin = 0;
    sw_keep_out keep_out = {{2, 1}, {6, 1}, "", SW_NOWHERE};
    b.options.keep_outs = &keep_out;
    b.options.keep_out_count = 1;
    keep_all(&b, both, false);
    keep_out.from.column = keep_out.to.column = 7;
    keep_all(&b, "board E9\nR1 A2 E2\nR2 E4 A4\n", true);
    bed_close(&b);
}

/* The search begins beside what is to be kept free, however large that is. */
static void much_is_kept_free(void **state) {
    (void)state;
    bed b;
    lay(&b, pair);
    sw_keep_out keep_out = {{0, 0}, {19, 29}, "", SW_NOWHERE};
    sw_plan *plan = NULL;
    b.options.keep_outs = &keep_out;
    b.options.keep_out_count = 1;
    assert_int_equal(sw_layout(b.circuit, b.library, &b.options, NULL, NULL, b.diags, &plan, &b.report), SW_OK);
    sw_plan_free(plan);
    b.options.strips = 20; /* and where nothing is left, that is told */
    b.options.columns = 30;
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_NO_PLAN);
    bed_close(&b);
}

/* Two nodes on two strips with one column cannot be told apart there. */
static void no_plan_so_small(void **state) {
    (void)state;
    bed b;
    lay(&b, "R1 R RES-0.25W A B\nR2 R RES-0.25W C D\nR3 R RES-0.25W A D\n");
    b.options.strips = 4;
    b.options.columns = 3;
    refuses(&b, NULL, SW_NO_PLAN, SW_D_LAYOUT_NO_PLAN);
    bed_close(&b);
}

static bool at_once(void *user, const sw_layout_progress *progress) {
    (void)user, (void)progress;
    return false;
}

static void stopped_before_anything(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.circuit = bench_synthetic(60, 1, b.library, b.diags);
    refuses(&b, at_once, SW_STOPPED, SW_D_LAYOUT_STOPPED);
    bed_close(&b);
}

/* Both parts of two cannot be 40 pitches apart on a board of six columns. */
static void a_wish_that_cannot_be_met_is_told(void **state) {
    (void)state;
    bed b;
    sw_plan *plan = NULL;
    sw_wish wishes[] = {{.kind = SW_WISH_APART, .ref = "R1", .other = "R2", .pitches = 40},
                        {.kind = SW_WISH_NEAR, .ref = "R1", .other = "R2", .pitches = 30}};
    lay(&b, pair);
    b.options.wishes = wishes;
    b.options.wish_count = 2;
    b.options.columns = 6;
    b.options.strips = 12;
    assert_int_equal(sw_layout(b.circuit, b.library, &b.options, NULL, NULL, b.diags, &plan, &b.report), SW_OK);
    assert_int_equal(test_count(b.diags, SW_D_LAYOUT_WISH_UNMET), 1);
    sw_plan_free(plan);
    bed_close(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_to_lay_out),        cmocka_unit_test(too_many_parts),
        cmocka_unit_test(no_package),                cmocka_unit_test(pins_of_another_package),
        cmocka_unit_test(a_wish_for_nobody),         cmocka_unit_test(a_locked_part_of_another_circuit),
        cmocka_unit_test(locked_things_that_cannot_stand),
        cmocka_unit_test(much_is_kept_free),
        cmocka_unit_test(a_wish_that_cannot_be_met_is_told),
        cmocka_unit_test(no_plan_so_small),          cmocka_unit_test(stopped_before_anything),
    };
    return cmocka_run_group_tests_name("layout/test_findings", tests, NULL, NULL);
}
