/* src/layout/anneal.c: cooling walks.
 *
 * The heat falls by a constant factor a step.  −ln u comes from a table worked out
 * with the four operations alone, so that a seed gives the same walk on every
 * machine, whatever its mathematical library.
 */
#include <stdlib.h>
#include "neat.h"

enum { LOGS = 4096, STEPS = 64 };

/* ln x for 0 < x ≤ 1: x = m 2^-k with m in (½, 1], ln m = 2 artanh((m − 1)/(m + 1)). */
static double natural_log(double x) {
    double k = 0;
    while (x <= 0.5) {
        x *= 2;
        k += 1;
    }
    double z = (x - 1) / (x + 1), power = z, sum = 0;
    for (int i = 1; i < 40; i += 2) {
        sum += power / i;
        power *= z * z;
    }
    return 2 * sum - k * 0.69314718055994530942;
}

/* −ln of the middles of LOGS equal steps from 0 to 1, in 1/1024. */
static void fill_logs(int32_t *value) {
    for (int i = 0; i < LOGS; i++)
        value[i] = (int32_t)(-natural_log((i + 0.5) / LOGS) * 1024);
}

typedef struct walk_memory {
    swi_walk walk;
    int32_t logs[LOGS];
} walk_memory;

/* Running sums of how often each kind of move is tried.  Parts that are fitted onto their nodes one
 * by one make smaller plans, but no mirror images. */
static void set_frequencies(swi_walk *w) {
    const swi_params *p = &w->s->m->params;
    bool mirror = w->s->m->options->prefer == SW_PREFER_SYMMETRY;
    const int32_t often[SWI_MOVES] = {
        p->move_shift, p->move_align, mirror ? p->symmetry_swap : p->move_swap, p->move_reshape,
        mirror ? p->symmetry_link_random : p->move_link_random, mirror ? p->symmetry_link_short : p->move_link_short,
        p->move_link_delete, p->move_route, mirror ? 0 : p->move_fit, mirror ? 0 : p->move_fit_two};
    uint16_t sum = 0;
    for (int i = 0; i < SWI_MOVES; i++)
        w->weights[i] = sum = (uint16_t)(sum + often[i]);
}

swi_walk *swi_walk_new(const swi_model *m, uint64_t seed, swi_stop *stop) {
    walk_memory *memory = calloc(1, sizeof *memory);
    swi_walk *w = memory ? &memory->walk : NULL;
    if (!w)
        return NULL;
    fill_logs(memory->logs);
    w->s = swi_state_new(m);
    w->parts = malloc((m->part_count + 1u) * sizeof *w->parts);
    w->rng.state = seed;
    w->stop = stop;
    for (int i = 0; i < 2; i++)
        w->spare[i] = swi_sketch_new(m);
    w->seam = malloc((SWI_MOST_SIDE + 1) * sizeof *w->seam);
    if (w->s && w->parts && w->spare[0] && w->spare[1] && w->seam) {
        set_frequencies(w);
        return w;
    }
    swi_walk_free(w);
    return NULL;
}

void swi_walk_free(swi_walk *w) {
    if (!w)
        return;
    swi_state_free(w->s);
    free(w->parts);
    for (int i = 0; i < 2; i++)
        swi_sketch_free(w->spare[i]);
    free(w->seam);
    free(w->grid);
    free((walk_memory *)(void *)w);
}

int64_t swi_limit(swi_walk *w) {
    const walk_memory *memory = (const walk_memory *)(const void *)w;
    return w->cost + (w->heat * memory->logs[swi_random(&w->rng) >> 52] >> 10);
}

bool swi_stopped(swi_stop *stop, swi_poll poll) {
    uint64_t passed = atomic_fetch_add_explicit(&stop->polls[poll], 1, memory_order_relaxed) + 1;
    if (stop->test_after && stop->test_poll == (int)poll && passed >= stop->test_after)
        atomic_store_explicit(&stop->asked, true, memory_order_relaxed);
    return atomic_load_explicit(&stop->asked, memory_order_relaxed);
}

void swi_walk_window(swi_walk *w, int first, int last, int top, int bottom) {
    const swi_state *s = w->s;
    w->window.first = first < 0 ? 0 : first;
    w->window.last = last >= s->cols ? s->cols - 1 : last;
    w->window.top = top < 0 ? 0 : top;
    w->window.bottom = bottom >= s->rows ? s->rows - 1 : bottom;
    w->part_count = 0;
    for (uint16_t p = 0; p < s->m->part_count; p++) {
        swi_place place = s->places[p];
        if (place.shape < 0 || s->m->parts[p].fixed_shape >= 0)
            continue;
        const swi_shape *shape = swi_shape_of(s, p);
        if (place.col >= w->window.first && place.col + shape->cols <= w->window.last && place.row >= w->window.top &&
            place.row + shape->rows <= w->window.bottom)
            w->parts[w->part_count++] = p;
    }
}

void swi_walk_whole(swi_walk *w) {
    swi_walk_window(w, 0, w->s->cols - 1, 0, w->s->rows - 1);
}

bool swi_anneal(swi_walk *w, int64_t moves, int32_t hot, int32_t cold, bool until_legal) {
    if (w->part_count == 0)
        return true;
    double heat = hot, ratio = natural_log((double)cold / hot < 1 ? (double)cold / hot : 1) / STEPS;
    /* e^ratio by its series: |ratio| is small. */
    double factor = 1, term = 1;
    for (int i = 1; i < 20; i++) {
        term *= ratio / i;
        factor += term;
    }
    w->cost = swi_cost(w->s) + swi_neat_cost(w);
    for (int step = 0; step < STEPS; step++, heat *= factor) {
        /* The colder, the shorter the ways that still make sense. */
        w->range = 8 + (w->s->cols > w->s->rows ? w->s->cols : w->s->rows) * (STEPS - step) / STEPS;
        w->heat = (int64_t)(heat * 1000);
        int64_t count = moves * (step + 1) / STEPS - moves * step / STEPS;
        for (int64_t i = 0; i < count; i++) {
            swi_move(w);
            if (until_legal && swi_legal(w->s))
                return true;
            if ((i & 4095) == 4095 && swi_stopped(w->stop, SWI_POLL_ANNEAL))
                return false;
        }
        if (swi_stopped(w->stop, SWI_POLL_ANNEAL) || w->s->broken)
            return false;
    }
    return true;
}
