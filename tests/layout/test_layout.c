/* Whole searches: every plan passes the check, and what was asked for is there. */
#include "tests/layout/harness.h"

static sw_plan *lay_out(bed *b, sw_status wanted) {
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    sw_status status = swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report);
    assert_int_equal(status, wanted);
    if (wanted == SW_OK)
        assert_int_equal(sw_check(plan, b->circuit, b->library, b->diags, NULL), SW_OK);
    else
        assert_null(plan);
    return plan;
}

static void open_named(bed *b, const char *name) {
    bed_open(b);
    b->circuit = bench_circuit(name, b->library, b->diags);
    assert_non_null(b->circuit);
}

/* Everything about a plan that a file would say. */
static void plan_text(const sw_plan *plan, sw_buf *out) {
    sw_buf_printf(out, "%d %d\n", plan->strips, plan->columns);
    for (uint32_t i = 0; i < plan->part_count; i++)
        for (uint32_t k = 0; k < plan->parts[i].lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[plan->parts[i].first_lead + k];
            sw_buf_printf(out, "%s %s %d %d %d\n", plan->parts[i].ref, lead->pin, lead->hole.strip, lead->hole.column,
                          (int)lead->node);
        }
    for (uint32_t i = 0; i < plan->cut_count; i++)
        sw_buf_printf(out, "cut %d %d %d\n", plan->cuts[i].hole.strip, plan->cuts[i].hole.column, (int)plan->cuts[i].knife);
    for (uint32_t i = 0; i < plan->link_count; i++)
        sw_buf_printf(out, "link %d %d %d\n", plan->links[i].from.strip, plan->links[i].to.strip, plan->links[i].from.column);
}

static void every_plan_passes_the_check(void **state) {
    (void)state;
    for (int i = 0; bench_circuit_name(i); i++) {
        bed b;
        open_named(&b, bench_circuit_name(i));
        sw_plan *plan = lay_out(&b, SW_OK);
        /* Not even a needless cut or link: nothing at all to say. */
        assert_int_equal(sw_diags_count(b.diags), 0);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

static void made_up_circuits_pass_the_check(void **state) {
    (void)state;
    for (uint64_t seed = 1; seed <= 4; seed++) {
        bed b;
        bed_open(&b);
        b.circuit = bench_synthetic(20 + 5 * (int)seed, seed, b.library, b.diags);
        sw_plan_free(lay_out(&b, SW_OK));
        assert_int_equal(sw_diags_count(b.diags), 0);
        bed_close(&b);
    }
}

static void same_seed_same_plan_whatever_the_workers(void **state) {
    (void)state;
    bed b;
    open_named(&b, "watering-timer");
    sw_buf one = SW_BUF_INIT, again = SW_BUF_INIT, other = SW_BUF_INIT;
    b.options.workers = 1;
    sw_plan *plan = lay_out(&b, SW_OK);
    plan_text(plan, &one);
    sw_plan_free(plan);
    b.options.workers = 3;
    plan = lay_out(&b, SW_OK);
    plan_text(plan, &again);
    sw_plan_free(plan);
    assert_string_equal(one.bytes, again.bytes);
    b.options.seed = 99;
    plan = lay_out(&b, SW_OK);
    plan_text(plan, &other);
    sw_plan_free(plan);
    assert_string_not_equal(one.bytes, other.bytes);
    sw_buf_free(&one);
    sw_buf_free(&again);
    sw_buf_free(&other);
    bed_close(&b);
}

static void limits_are_kept(void **state) {
    (void)state;
    bed b;
    open_named(&b, "watering-timer");
    b.options.strips = 11;
    b.options.columns = 25;
    sw_plan *plan = lay_out(&b, SW_OK);
    assert_true(plan->strips <= 11 && plan->columns <= 25);
    sw_plan_free(plan);
    b.options.strips = 14;
    b.options.columns = 17;
    b.options.fixed_size = true;
    plan = lay_out(&b, SW_OK);
    assert_int_equal(plan->strips, 14);
    assert_int_equal(plan->columns, 17);
    sw_plan_free(plan);
    bed_close(&b);
}

/* The timer's plan within limits, 0 for none; NULL when none is found.  The bed is to be closed. */
static sw_plan *plan_timer(bed *b, sw_prefer prefer, int strips, int columns) {
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    b->options.prefer = prefer;
    b->options.strips = strips;
    b->options.columns = columns;
    if (swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report) != SW_OK)
        return NULL;
    assert_int_equal(sw_check(plan, b->circuit, b->library, b->diags, NULL), SW_OK);
    assert_true((!strips || plan->strips <= strips) && (!columns || plan->columns <= columns));
    return plan;
}

/* Moves that a search takes; *found: whether it ends in a plan. */
static uint64_t moves_within(int strips, int columns, uint64_t seed, int again, bool *found) {
    bed b;
    open_named(&b, "watering-timer");
    b.options.seed = seed;
    b.params.again = again;
    b.params.quick_moves = 30;
    sw_plan *plan = plan_timer(&b, SW_PREFER_BALANCE, strips, columns);
    *found = plan != NULL;
    sw_plan_free(plan);
    bed_close(&b);
    return b.report.moves;
}

/* Who is a strip or two from a plan looks again; who has one, or is far from any, does not. */
static void what_was_nearly_found_is_sought_again(void **state) {
    (void)state;
    bool found;
    uint64_t once = moves_within(12, 14, 9, 0, &found); /* by trial, this seed has no luck */
    assert_false(found);
    assert_true(moves_within(12, 14, 9, 4, &found) > once);
    assert_true(found);
    once = moves_within(12, 14, 2, 0, &found);
    assert_true(found);
    assert_int_equal(moves_within(12, 14, 2, 4, &found), once);
    once = moves_within(6, 12, 1, 0, &found);
    assert_int_equal(moves_within(6, 12, 1, 4, &found), once);
    assert_false(found);
}

static sw_cost timer_by(sw_prefer prefer, int strips, int columns) {
    bed b;
    open_named(&b, "watering-timer");
    b.params.quick_moves = 150;
    sw_plan *plan = plan_timer(&b, prefer, strips, columns);
    assert_non_null(plan);
    sw_plan_free(plan);
    bed_close(&b);
    return b.report.cost;
}

/* Of the plans with the fewest strips, or columns, a good one: none better than that comes of asking for
 * as many. */
static void of_the_narrowest_the_best_is_taken(void **state) {
    (void)state;
    sw_cost fewest = timer_by(SW_PREFER_STRIPS, 0, 0), limited = timer_by(SW_PREFER_BALANCE, fewest.strips, 0);
    assert_true(fewest.strips < limited.strips || fewest.balanced <= limited.balanced);
    fewest = timer_by(SW_PREFER_COLUMNS, 0, 0), limited = timer_by(SW_PREFER_BALANCE, 0, fewest.columns);
    assert_true(fewest.columns < limited.columns || fewest.balanced <= limited.balanced);
}

/* Where the parts want more room than the limits give, a lane begins with more strips than it
 * may have in the end, but never with more than the search can hold. */
static void no_lane_begins_beyond_the_greatest_board(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.circuit = bench_synthetic(160, 1, b.library, b.diags);
    assert_non_null(b.circuit);
    b.options.strips = 490;
    b.options.columns = 5;
    b.params.quick_moves = 1;
    b.params.place_moves_large = b.params.join_moves_large = 100;
    bed_model(&b);
    swi_lanes *l = swi_lanes_new(b.model);
    assert_non_null(l);
    swi_lanes_run(l, NULL, NULL);
    for (int i = 0; i < l->count; i++)
        assert_in_range(l->lanes[i].walk->s->rows, 1, SWI_MOST_SIDE);
    assert_in_range(l->lanes[1].walk->s->rows, 491, SWI_MOST_SIDE);
    swi_lanes_free(l);
    bed_close(&b);
}

/* Moves for many seconds in two: there are later rounds all the same, of the lanes that had
 * a turn in the first, and the plan is said to depend on the machine. */
static void a_cap_leaves_time_for_all_rounds(void **state) {
    (void)state;
    bed b;
    open_named(&b, "seed-flasher");
    b.options.effort = SW_EFFORT_THOROUGH;
    b.options.seconds = 2;
    b.options.workers = 1;
    b.params.thorough_moves = 1500; /* half of a lane's in the first round takes a tenth of a second */
    bed_model(&b);
    swi_lanes *l = swi_lanes_new(b.model);
    assert_non_null(l);
    assert_non_null(swi_lanes_run(l, NULL, NULL));
    int begun = 0;
    for (int i = 0; i < l->count; i++)
        begun += l->lanes[i].begun;
    assert_true(begun > 1);
    assert_int_equal(l->round, 5);
    assert_int_equal(l->running, 1);
    assert_true(l->stopped && !l->by_watch);
    assert_true(swi_lanes_moves(l) < l->planned);
    swi_lanes_free(l);
    bed_close(&b);
}

static void too_small_a_board_is_told(void **state) {
    (void)state;
    bed b;
    open_named(&b, "gauge-ring");
    b.options.strips = 7;
    lay_out(&b, SW_NO_PLAN);
    assert_int_equal(sw_diags_get(b.diags, 0)->id, SW_D_LAYOUT_LIMIT);
    bed_close(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_plan_passes_the_check),
        cmocka_unit_test(made_up_circuits_pass_the_check),
        cmocka_unit_test(same_seed_same_plan_whatever_the_workers),
        cmocka_unit_test(limits_are_kept),
        cmocka_unit_test(what_was_nearly_found_is_sought_again),
        cmocka_unit_test(of_the_narrowest_the_best_is_taken),
        cmocka_unit_test(no_lane_begins_beyond_the_greatest_board),
        cmocka_unit_test(a_cap_leaves_time_for_all_rounds),
        cmocka_unit_test(too_small_a_board_is_told),
    };
    return cmocka_run_group_tests_name("layout", tests, NULL, NULL);
}
