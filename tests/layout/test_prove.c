/* The proof that nothing smaller exists: what is known by reasoning, the clauses against
 * plans that the search found, and the smaller plan that is handed out. */
#include "layout/prove.h"
#include "tests/layout/harness.h"

/* Two terminal pins and a resistor between them.  Its leads are three pitches apart at
 * least: four strips.  With one column each strip is one hole, so a pin would need a
 * link to a hole that is taken: two columns at least, 4 × 2 = 8 holes, which do. */
static const char tiny[] = "P1 N PIN-1 VCC\nR1 R RES-0.25W VCC GND\nP2 N PIN-1 GND\n";

static sw_plan *lay_out(bed *b) {
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    assert_int_equal(swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report), SW_OK);
    return plan;
}

static void the_least_is_proven(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.options.prefer = SW_PREFER_AREA;
    b.circuit = bench_lines(tiny, b.library, b.diags);
    assert_non_null(b.circuit);
    sw_plan *plan = lay_out(&b), *smaller = NULL;
    sw_proof proof;
    assert_int_equal(plan->strips * plan->columns, 8);
    assert_int_equal(sw_layout_prove(b.circuit, b.library, &b.options, plan, NULL, NULL, b.diags, &smaller, &proof), SW_OK);
    assert_null(smaller);
    assert_true(proof.proven == sw_layout_can_prove());
    assert_true(!proof.proven || proof.bound == proof.holes);
    assert_non_null(strstr(proof.text, sw_layout_can_prove() ? "no legal plan of fewer than 8 holes" : "no SAT solver"));
    sw_plan_free(plan);
    bed_close(&b);
}

/* Eight parts with an IC: from a plan that a short search leaves, down to the least. */
static void eight_parts_are_proven(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.options.prefer = SW_PREFER_AREA;
    b.circuit = bench_circuit("seed-flasher", b.library, b.diags);
    sw_plan *plan = lay_out(&b), *smaller = NULL;
    sw_proof proof;
    assert_int_equal(sw_layout_prove(b.circuit, b.library, &b.options, plan, NULL, NULL, b.diags, &smaller, &proof), SW_OK);
    if (sw_layout_can_prove()) {
        assert_true(proof.proven);
        assert_int_equal(proof.holes, 63);
        assert_true(plan->strips * plan->columns == 63 || smaller);
    }
    assert_true(!smaller || sw_check(smaller, b.circuit, b.library, NULL, NULL) == SW_OK);
    sw_plan_free(smaller);
    sw_plan_free(plan);
    bed_close(&b);
}

static void a_smaller_plan_is_legal(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.circuit = bench_lines(tiny, b.library, b.diags);
    b.options.strips = 6;
    b.options.columns = 4;
    b.options.fixed_size = true;
    sw_plan *plan = lay_out(&b), *smaller = NULL;
    sw_proof proof;
    b.options.fixed_size = false;
    assert_int_equal(sw_layout_prove(b.circuit, b.library, &b.options, plan, NULL, NULL, b.diags, &smaller, &proof), SW_OK);
    assert_true(proof.proven == sw_layout_can_prove());
    if (sw_layout_can_prove()) {
        assert_non_null(smaller);
        assert_int_equal(smaller->strips * smaller->columns, 8); /* as worked out above */
        assert_int_equal(proof.holes, 8);
        assert_int_equal(sw_check(smaller, b.circuit, b.library, NULL, NULL), SW_OK);
    }
    sw_plan_free(smaller);
    sw_plan_free(plan);
    bed_close(&b);
}

static void is_accepted(bed *b, const char *what) {
    int64_t conflicts = 100000;
    sw_plan *plan = lay_out(b);
    b->options.from = plan;
    bed_model(b);
    swi_sketch *known = swi_sketch_new(b->model), *found = swi_sketch_new(b->model);
    assert_true(swi_sketch_from(b->model, plan, known));
    uint16_t order[100];
    swi_cube none = {.order = order};
    swi_prove_order(b->model, order);
    swi_prover *p = swi_prover_new(b->model, (swi_size){(int16_t)known->rows, (int16_t)known->cols}, &none);
    assert_non_null(p);
    swi_prover_fix(p, known);
    if (swi_prover_run(p, &conflicts, NULL, NULL, found) != SWI_FOUND)
        fail_msg("%s: the clauses refuse a legal plan", what);
    swi_prover_free(p);
    swi_sketch_free(known);
    swi_sketch_free(found);
    sw_plan_free(plan);
}

/* A refutation counts only when the clauses accept what is legal. */
static void known_plans_are_accepted(void **state) {
    (void)state;
    static sw_lie_rule any[] = {{"*", SW_LIE_ACROSS | SW_LIE_ALONG | SW_LIE_UPRIGHT}};
    static const sw_keep_out hole[] = {{.from = {0, 0}, .to = {1, 1}, .why = "screw"}};
    for (uint64_t seed = 1; seed <= 14 && sw_layout_can_prove(); seed++) {
        bed b;
        bed_open(&b);
        b.options.seed = seed;
        b.options.sleeved = seed % 3 == 0;
        b.options.lies = any;
        b.options.lie_count = seed % 4 == 0;
        b.options.keep_outs = hole;
        b.options.keep_out_count = seed % 5 == 0;
        b.options.longest_link = seed % 7 == 0 ? 6 : 0;
        b.circuit = bench_synthetic(5 + (int)seed % 8, seed, b.library, b.diags);
        is_accepted(&b, "a made-up circuit");
        bed_close(&b);
    }
}

static void known_plans_of_named_circuits_are_accepted(void **state) {
    (void)state;
    for (int i = 0; i < 4 && sw_layout_can_prove(); i++) {
        bed b;
        bed_open(&b);
        b.options.prefer = SW_PREFER_AREA;
        b.circuit = bench_circuit(bench_circuit_name(i), b.library, b.diags);
        is_accepted(&b, bench_circuit_name(i));
        bed_close(&b);
    }
}

static bool has_link(const swi_sketch *k, const swi_fixed_link *link) {
    for (uint32_t i = 0; i < k->link_count; i++)
        if (memcmp(&k->links[i], link, sizeof *link) == 0)
            return true;
    return false;
}

/* What is locked in the kept plan is in every answer, its links too; where it has no room there is
 * none. */
static void kept_links_stay(void **state) {
    (void)state;
    bed b;
    int64_t conflicts = 500000;
    uint16_t order[100];
    swi_cube none = {.order = order};
    if (!sw_layout_can_prove())
        return;
    bed_open(&b);
    b.circuit = bench_circuit("seed-flasher", b.library, b.diags);
    sw_plan *plan = lay_out(&b);
    assert_true(plan->link_count > 0);
    plan->links[plan->link_count - 1].locked = true;
    b.options.keep = plan;
    bed_model(&b);
    assert_int_equal(b.model->fixed_link_count, 1);
    swi_sketch *found = swi_sketch_new(b.model);
    swi_prove_order(b.model, order);
    swi_prover *p = swi_prover_new(b.model, (swi_size){plan->strips, plan->columns}, &none);
    assert_int_equal(swi_prover_run(p, &conflicts, NULL, NULL, found), SWI_FOUND);
    assert_true(has_link(found, &b.model->fixed_links[0]));
    swi_prover_free(p);
    p = swi_prover_new(b.model, (swi_size){plan->strips, b.model->fixed_links[0].col}, &none);
    assert_int_equal(swi_prover_run(p, &conflicts, NULL, NULL, found), SWI_REFUTED);
    swi_prover_free(p);
    swi_sketch_free(found);
    sw_plan_free(plan);
    bed_close(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_least_is_proven),
        cmocka_unit_test(eight_parts_are_proven),
        cmocka_unit_test(a_smaller_plan_is_legal),
        cmocka_unit_test(kept_links_stay),
        cmocka_unit_test(known_plans_are_accepted),
        cmocka_unit_test(known_plans_of_named_circuits_are_accepted),
    };
    return cmocka_run_group_tests_name("layout prove", tests, NULL, NULL);
}
