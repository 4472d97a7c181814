/* A move and its undo leave every byte of the state as it was; the cost that is kept up
 * to date equals the cost worked out afresh. */
#include "tests/layout/harness.h"

enum { TRIES = 4000 };

/* The same plan on a fresh state: everything counted anew. */
static int64_t fresh_cost(const bed *b, const swi_state *s, swi_tally *tally) {
    swi_stop stop = {.test_after = 0};
    swi_walk *w = swi_walk_new(b->model, 1, &stop);
    assert_non_null(w);
    assert_true(swi_state_clear(w->s, s->rows, s->cols));
    w->s->weights = s->weights;
    for (uint16_t p = 0; p < b->model->part_count; p++)
        swi_part_put(w->s, p, s->places[p]);
    for (uint32_t i = 0; i < s->link_room; i++)
        if (s->links[i].node != SWI_NO_NODE)
            swi_link_put(w->s, s->links[i].node, s->links[i].col, s->links[i].from, s->links[i].to);
    swi_settle(w->s);
    assert_false(w->s->broken);
    int64_t cost = swi_cost(w->s);
    *tally = *w->s->tally;
    swi_walk_free(w);
    return cost;
}

static void assert_counts_agree(const bed *b, const swi_state *s) {
    swi_tally tally;
    int64_t cost = fresh_cost(b, s, &tally);
    assert_int_equal(cost, swi_cost(s));
    assert_memory_equal(&tally, s->tally, sizeof tally);
}

static swi_walk *strewn(const bed *b, swi_stop *stop) {
    swi_walk *w = swi_walk_new(b->model, 7, stop);
    assert_non_null(w);
    swi_start(w, 14, 26);
    swi_walk_whole(w);
    w->links = true;
    return w;
}

static void walk_and_compare(bed *b) {
    swi_stop stop = {.test_after = 0};
    b->params.place_moves = b->params.join_moves = 100;
    bed_model(b);
    swi_walk *w = strewn(b, &stop);
    assert_counts_agree(b, w->s);
    for (int i = 0; i < 200; i++) {
        w->heat = i % 2 ? 2000000 : 200000;
        w->cost = swi_cost(w->s);
        for (int k = 0; k < 60; k++)
            swi_move(w);
        assert_counts_agree(b, w->s);
    }
    swi_walk_free(w);
}

static void kept_cost_is_fresh_cost(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        bed b;
        bed_open(&b);
        b.options.prefer = i % 2 ? SW_PREFER_AREA : SW_PREFER_BALANCE; /* all kinds of moves */
        b.circuit = i < 3 ? bench_circuit(bench_circuit_name(i * 2), b.library, b.diags)
                          : bench_synthetic(40, 3, b.library, b.diags);
        assert_non_null(b.circuit);
        walk_and_compare(&b);
        bed_close(&b);
    }
}

/* With nothing allowed to cost less than a fortune below, every move is undone. */
static void undo_restores_every_byte(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.options.prefer = SW_PREFER_AREA; /* all kinds of moves */
    b.circuit = bench_circuit("gauge-ring", b.library, b.diags);
    b.params.place_moves = b.params.join_moves = 200;
    bed_model(&b);
    swi_stop stop = {.test_after = 0};
    swi_walk *w = strewn(&b, &stop);
    unsigned char *before = malloc(w->s->block_size);
    assert_non_null(before);
    memcpy(before, w->s->block, w->s->block_size);
    w->heat = 0;
    int changed = 0;
    for (int i = 0; i < TRIES; i++) {
        w->cost = swi_cost(w->s) - 1000000000;
        w->heat = 0;
        swi_move(w);
        changed += memcmp(before, w->s->block, w->s->block_size) != 0;
    }
    assert_int_equal(changed, 0);
    free(before);
    swi_walk_free(w);
    bed_close(&b);
}

/* The same without the early way out: parts and links put and taken, then taken back. */
static void steps_are_undone(void **state) {
    (void)state;
    bed b;
    bed_open(&b);
    b.circuit = bench_circuit("quiz", b.library, b.diags);
    b.params.place_moves = b.params.join_moves = 50;
    bed_model(&b);
    swi_stop stop = {.test_after = 0};
    swi_walk *w = strewn(&b, &stop);
    swi_state *s = w->s;
    unsigned char *before = malloc(s->block_size);
    assert_non_null(before);
    for (int i = 0; i < TRIES; i++) {
        memcpy(before, s->block, s->block_size);
        uint16_t part = (uint16_t)swi_below(&w->rng, b.model->part_count);
        swi_place place = s->places[part];
        swi_part_take(s, part);
        for (uint16_t id = 0; id < 20; id++)
            if (s->links[id].node != SWI_NO_NODE && swi_below(&w->rng, 3) == 0)
                swi_link_take(s, id);
        swi_settle(s);
        swi_part_put(s, part, place);
        swi_settle(s);
        swi_revert(s);
        assert_memory_equal(before, s->block, s->block_size);
        w->cost = swi_cost(s);
        w->heat = 500000;
        for (int k = 0; k < 5; k++)
            swi_move(w);
    }
    free(before);
    swi_walk_free(w);
    bed_close(&b);
}

/* However hot it is, a part that is made to fit is in nothing's way, stands beside no lead of
 * another node and leaves no node in more pieces than it was. */
static void what_fits_breaks_nothing(void **state) {
    (void)state;
    static void (*const moves[2])(swi_walk *) = {swi_move_fit, swi_move_fit_two};
    bed b;
    bed_open(&b);
    b.options.prefer = SW_PREFER_AREA;
    b.circuit = bench_circuit("bed-die", b.library, b.diags);
    bed_model(&b);
    swi_stop stop = {.test_after = 0};
    swi_walk *w = swi_walk_new(b.model, 3, &stop);
    assert_true(swi_start(w, 26, 30) || swi_chase(w, 12));
    swi_walk_whole(w);
    w->links = true;
    for (int two = 0; two < 2; two++) {
        int taken = 0;
        for (int i = 0; i < 2000; i++) {
            w->heat = 1000000;
            int64_t before = w->cost = swi_cost(w->s);
            moves[two](w);
            taken += swi_cost(w->s) != before;
            assert_true(swi_legal(w->s));
        }
        assert_true(taken > 100);
        assert_counts_agree(&b, w->s);
    }
    swi_walk_free(w);
    bed_close(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept_cost_is_fresh_cost),
        cmocka_unit_test(undo_restores_every_byte),
        cmocka_unit_test(steps_are_undone),
        cmocka_unit_test(what_fits_breaks_nothing),
    };
    return cmocka_run_group_tests_name("layout state", tests, NULL, NULL);
}
