/* Neatness and symmetry in the search: it counts what the board's own count counts, improves
 * it at no cost, and finds the symmetrical plan when asked; few links on a fixed board. */
#include "tests/layout/harness.h"
#include "layout/emit.h"
#include "layout/neat.h"

static void open_named(bed *b, const char *name) {
    bed_open(b);
    b->circuit = bench_circuit(name, b->library, b->diags);
    assert_non_null(b->circuit);
    b->params.quick_moves = 100;
}

static sw_plan *lay_out(bed *b) {
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    assert_int_equal(swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report), SW_OK);
    return plan;
}

static sw_neatness neatness_of(bed *b, const sw_plan *plan) {
    sw_neatness n;
    assert_true(sw_plan_neatness(plan, b->circuit, b->library, &n));
    return n;
}

/* Two counts that share no code, of the same plans. */
static void both_counts_agree(void **state) {
    (void)state;
    static const char *const names[] = {"door-lamp", "watering-timer", "gauge-ring", "gate-lamps"};
    for (size_t i = 0; i < 4; i++) {
        bed b;
        open_named(&b, names[i]);
        b.params.quick_moves = 20;
        sw_plan *plan = lay_out(&b);
        sw_neatness n = neatness_of(&b, plan);
        bed_model(&b);
        swi_stop stop = {.test_after = 0};
        swi_walk *w = swi_walk_new(b.model, 1, &stop);
        swi_sketch *k = swi_sketch_new(b.model);
        assert_true(swi_sketch_from(b.model, plan, k));
        swi_window all = {0, k->cols - 1, 0, k->rows - 1};
        assert_true(swi_sketch_load(w, k, &all));
        double symmetry = 100 - swi_asymmetry(w->s) / 10.0;
        assert_true(symmetry < n.symmetry + 0.5 && symmetry > n.symmetry - 0.5);
        int least = 2 * (n.polarised - n.one_way) + 2 * (n.adjusters - n.in_reach) + (n.of_a_kind - n.in_line);
        assert_true(swi_untidy(w->s) >= least);
        assert_true(swi_untidy(w->s) <= least + (n.of_a_kind - n.in_line) + 2 * n.cuts_under);
        swi_sketch_free(k);
        swi_walk_free(w);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

/* A circuit on a board in hand that has more room than it needs. */
static void open_roomy(bed *b, uint64_t seed) {
    open_named(b, "watering-timer");
    b->options.strips = 12;
    b->options.columns = 18;
    b->options.fixed_size = true;
    b->options.seed = seed;
}

/* A plan with room, laid out with no eye for neatness, and made neater: no step costs a link, a
 * cut or a bend. */
static void neatness_costs_nothing(void **state) {
    (void)state;
    int32_t before = 0, after = 0;
    for (uint64_t seed = 1; seed <= 4; seed++) {
        bed b;
        open_roomy(&b, seed);
        int32_t point = b.params.neat_point;
        b.params.neat_point = 0;
        sw_plan *plan = lay_out(&b);
        b.params.neat_point = point;
        bed_model(&b);
        swi_stop stop = {.test_after = 0};
        swi_walk *w = swi_walk_new(b.model, seed, &stop);
        swi_sketch *k = swi_sketch_new(b.model);
        swi_window all = {0, b.options.columns - 1, 0, b.options.strips - 1};
        assert_true(swi_sketch_from(b.model, plan, k) && swi_sketch_load(w, k, &all));
        w->links = true;
        swi_sketch_save(w->s, k);
        before += k->untidy;
        for (int i = 0; i < 40; i++) {
            int64_t firm = k->firm;
            swi_neat(w, k);
            assert_true(k->legal && k->firm <= firm);
        }
        after += k->untidy;
        swi_sketch_free(k);
        swi_walk_free(w);
        sw_plan_free(plan);
        bed_close(&b);
    }
    assert_true(after < before);
}

/* On a board with room, over four seeds: neater with the stage than without. */
static void room_is_used_for_neatness(void **state) {
    (void)state;
    double tidy[2] = {0, 0};
    for (uint64_t seed = 1; seed <= 4; seed++)
        for (int with = 0; with < 2; with++) {
            bed b;
            open_roomy(&b, seed);
            b.params.tidy_share = 500;
            b.params.neat_point = with ? b.params.neat_point : 0;
            b.params.neat_moves = with ? b.params.neat_moves : 10;
            sw_plan *plan = lay_out(&b);
            sw_neatness n = neatness_of(&b, plan);
            tidy[with] += n.tidy;
            sw_plan_free(plan);
            bed_close(&b);
        }
    assert_true(tidy[1] > tidy[0] + 15);
}

/* A circuit that is the same on both sides: with a tenth more of board the plan is too. */
static void the_symmetrical_plan_is_found(void **state) {
    (void)state;
    bed b;
    open_named(&b, "gate-lamps");
    sw_plan *plan = lay_out(&b);
    sw_neatness balanced = neatness_of(&b, plan);
    int area = b.report.cost.area;
    sw_plan_free(plan);
    b.options.prefer = SW_PREFER_SYMMETRY;
    plan = lay_out(&b);
    assert_int_equal(sw_check(plan, b.circuit, b.library, b.diags, NULL), SW_OK);
    sw_neatness symmetrical = neatness_of(&b, plan);
    assert_true(symmetrical.symmetry >= 80);
    assert_true(symmetrical.symmetry >= balanced.symmetry + 25);
    print_message("# %d holes balanced, %d symmetrical\n", area, b.report.cost.area);
    assert_true(b.report.cost.area * 100 <= area * 130);
    sw_plan_free(plan);
    bed_close(&b);
}

static int links(const char *name, int strips, int columns, const char *upright) {
    bed b;
    open_named(&b, name);
    sw_lie_rule lie = {upright, SW_LIE_ACROSS | SW_LIE_UPRIGHT};
    b.options.lies = &lie;
    b.options.lie_count = upright ? 1 : 0;
    b.options.prefer = SW_PREFER_LINKS;
    b.options.strips = strips;
    b.options.columns = columns;
    b.options.fixed_size = true;
    sw_plan *plan = lay_out(&b);
    int count = (int)plan->link_count;
    sw_plan_free(plan);
    bed_close(&b);
    return count;
}

/* 8 parts on 6 × 21: node 2-6 and the positive rail both cross below the IC, each with two
 * links, so 4 are least.  With resistors only lying across, at least 3 pitches long, R1 and R2
 * do not both end on the strips that this leaves: 5. */
static void few_links_on_a_board_in_hand(void **state) {
    (void)state;
    assert_int_equal(links("seed-flasher", 6, 21, "R*"), 4);
    assert_int_equal(links("seed-flasher", 6, 21, NULL), 5);
    assert_true(links("frost-lamp", 8, 16, NULL) <= 5);
}

/* Terminal pins of the plan in its first or last column. */
static int at_the_sides(const sw_plan *plan) {
    int at = 0;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        int column = plan->leads[plan->parts[i].first_lead].hole.column;
        at += *plan->parts[i].ref == 'P' && (column == 0 || column == plan->columns - 1);
    }
    return at;
}

/* Of the eight terminals in the plans of four searches. */
static int terminals_at_the_sides(int32_t off, int32_t pitch) {
    int at = 0;
    for (uint64_t seed = 1; seed <= 4; seed++) {
        bed b;
        sw_plan *plan = NULL;
        swi_asked asked = {.watch = NULL};
        open_named(&b, "bean-lights");
        b.params.quick_moves = 400;
        b.params.terminal_off = off;
        b.params.terminal_pitch = pitch;
        b.options.seed = seed;
        assert_int_equal(swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report), SW_OK);
        at += at_the_sides(plan);
        sw_plan_free(plan);
        bed_close(&b);
    }
    return at;
}

static void terminals_stand_at_the_sides(void **state) {
    (void)state;
    swi_params usual;
    swi_params_default(&usual);
    int at = terminals_at_the_sides(usual.terminal_off, usual.terminal_pitch);
    print_message("# %d, %d without\n", at, terminals_at_the_sides(0, 0));
    assert_true(at >= 6 && at > terminals_at_the_sides(0, 0));
    assert_int_equal(terminals_at_the_sides(10000, 400), 8);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_counts_agree), cmocka_unit_test(neatness_costs_nothing),
        cmocka_unit_test(room_is_used_for_neatness),
        cmocka_unit_test(the_symmetrical_plan_is_found), cmocka_unit_test(few_links_on_a_board_in_hand),
        cmocka_unit_test(terminals_stand_at_the_sides),
    };
    return cmocka_run_group_tests_name("layout neat", tests, NULL, NULL);
}
