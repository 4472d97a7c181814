/* The lower bound counts what it says, and no plan goes below it. */
#include "tests/layout/harness.h"
#include "layout/emit.h"

static int bound_of(const char *name, char *why) {
    bed b;
    bed_open(&b);
    b.circuit = bench_circuit(name, b.library, b.diags);
    assert_non_null(b.circuit);
    bed_model(&b);
    int bound = swi_bound(b.model, why, 200);
    bed_close(&b);
    return bound;
}

/* seed-flasher by hand: VCC (pins 4, 8) and TRIG (2, 6) pass U1: 6 strips.  Parts stretch
 * over 8 + 3 × 4 + 2 + 2 + 1 + 1 = 26 holes, two links for each of the two nodes have 8
 * ends: 34 holes, on 6 strips 36, on 7 strips 35. */
static void counts_crossings_and_stretches(void **state) {
    (void)state;
    char why[200];
    assert_int_equal(bound_of("seed-flasher", why), 35);
    assert_non_null(strstr(why, "2 nodes must pass U1"));
    assert_non_null(strstr(why, "6 strips at least"));
}

static void no_plan_goes_below(void **state) {
    (void)state;
    for (int i = 0; bench_circuit_name(i); i++) {
        bed b;
        bed_open(&b);
        b.circuit = bench_circuit(bench_circuit_name(i), b.library, b.diags);
        b.options.prefer = SW_PREFER_AREA;
        sw_plan *plan = NULL;
        swi_asked asked = {.watch = NULL};
        assert_int_equal(swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report), SW_OK);
        assert_true(b.report.lower_bound > 0);
        assert_true(b.report.cost.area >= b.report.lower_bound);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts_crossings_and_stretches),
        cmocka_unit_test(no_plan_goes_below),
    };
    return cmocka_run_group_tests_name("layout bound", tests, NULL, NULL);
}
