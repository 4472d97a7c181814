/* The size that no plan can go below: never above any plan found, and near the best on small
 * circuits. */
#include "layout/emit.h"
#include "tests/layout/harness.h"

static int bound_of(bed *b) {
    char why[200];
    bed_model(b);
    int bound = swi_bound(b->model, why, sizeof why);
    assert_true(bound > 0);
    assert_true(why[0] != '\0');
    swi_model_free(b->model);
    b->model = NULL;
    return bound;
}

/* Area of a plan for the bed's circuit; 0 when none was found. */
static int area_of(bed *b) {
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    sw_status status = swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report);
    int area = status == SW_OK ? plan->strips * plan->columns : 0;
    sw_plan_free(plan);
    return area;
}

static void no_plan_is_below(bed *b, const char *what) {
    int bound = bound_of(b), area = area_of(b);
    if (area && area < bound)
        fail_msg("%s: a plan of %d holes, but the bound is %d: %s", what, area, bound, b->report.bound_why);
}

static void of_named_circuits(void **state) {
    (void)state;
    for (int i = 0; i < 7; i++)
        for (int prefer = SW_PREFER_AREA; prefer <= SW_PREFER_COLUMNS; prefer += 2) {
            bed b;
            bed_open(&b);
            b.options.prefer = (sw_prefer)prefer;
            b.circuit = bench_circuit(bench_circuit_name(i), b.library, b.diags);
            no_plan_is_below(&b, bench_circuit_name(i));
            bed_close(&b);
        }
}

static void of_made_up_circuits(void **state) {
    (void)state;
    for (uint64_t seed = 1; seed <= 16; seed++) {
        bed b;
        bed_open(&b);
        b.options.prefer = SW_PREFER_AREA;
        b.options.knife = seed % 5 == 0;
        b.options.sleeved = seed % 3 == 0;
        b.options.margin = seed % 7 == 0;
        sw_lie_rule any[] = {{"*", SW_LIE_ACROSS | SW_LIE_ALONG | SW_LIE_UPRIGHT}};
        b.options.lies = any;
        b.options.lie_count = seed % 4 == 0;
        b.circuit = bench_synthetic(5 + (int)seed % 9, seed, b.library, b.diags);
        no_plan_is_below(&b, "a made-up circuit");
        bed_close(&b);
    }
}

/* seed-flasher by hand: VCC (pins 4, 8) and TRIG (2, 6) pass U1, so 6 strips and four links;
 * 20 leads, 2 holes under each of three resistors and 8 between U1's rows: 34 holes.  On 6
 * and 7 strips U1's four columns and the three resistors' (four strips each) cannot share: 7
 * columns; on 8 strips 34 holes want 5 columns, on 9 they want 4: 36, the least. */
static void counts_by_hand(void **state) {
    (void)state;
    bed b;
    char why[200];
    bed_open(&b);
    b.circuit = bench_circuit("seed-flasher", b.library, b.diags);
    bed_model(&b);
    assert_int_equal(swi_bound(b.model, why, sizeof why), 36);
    assert_non_null(strstr(why, "20 leads, 4 links, 2 cuts and 14 holes shut in"));
    bed_close(&b);
}

/* 10 parts: a lamp that comes on when the soil is dry. */
static const char soil_lamp[] =
    "U1 X DIP-8 OUT SET SOIL GND GND GND - VCC\n"
    "R1 R RES-0.25W VCC SOIL\nR2 R RES-0.25W VCC SET\nR3 R RES-0.25W SET GND\n"
    "R4 R RES-0.25W OUT VCC\nR5 R RES-0.25W OUT LAMP\nD1 D LED-3 LAMP GND\n"
    "C1 C CAP-DISC-2.5 VCC GND\nP1 N HEADER-1x2 VCC GND\nP2 N HEADER-1x2 SOIL GND\n";

/* The least size of each: sw_layout_prove found it and showed that nothing smaller exists (the
 * last one in half a million conflicts, too long for a test). */
static const struct { const char *name, *lines; int least; } small[] = {
    {"seed-flasher", NULL, 63}, {"door-lamp", NULL, 63}, {"soil-lamp", soil_lamp, 63},
};

/* Ends the work after a fifth of it, which is enough here and quick under valgrind too. */
static bool for_a_while(void *user, const sw_layout_progress *now) {
    int *polls = user;
    (void)now;
    return ++*polls < 40;
}

static void of_small_circuits_is_seven_tenths(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof small / sizeof *small && sw_layout_can_prove(); i++) {
        bed b;
        int polls = 0;
        sw_plan *plan = NULL;
        sw_proof proof;
        swi_asked asked = {.watch = NULL};
        bed_open(&b);
        b.options.prefer = SW_PREFER_AREA;
        b.circuit = small[i].lines ? bench_lines(small[i].lines, b.library, b.diags)
                                   : bench_circuit(small[i].name, b.library, b.diags);
        assert_int_equal(swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report), SW_OK);
        assert_int_equal(sw_layout_bound(b.circuit, b.library, &b.options, plan, for_a_while, &polls, b.diags, &proof), SW_OK);
        if (proof.bound > small[i].least || 10 * proof.bound < 7 * small[i].least)
            fail_msg("%s: the bound is %d, the least known %d", small[i].name, proof.bound, small[i].least);
        assert_true(proof.bound <= proof.holes && proof.holes <= plan->strips * plan->columns);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(of_named_circuits),
        cmocka_unit_test(of_made_up_circuits),
        cmocka_unit_test(counts_by_hand),
        cmocka_unit_test(of_small_circuits_is_seven_tenths),
    };
    return cmocka_run_group_tests_name("layout bound", tests, NULL, NULL);
}
