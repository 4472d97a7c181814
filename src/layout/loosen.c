/* src/layout/loosen.c: where what is new finds no room on a board that is built, as few as possible
 * of its parts are taken off and put elsewhere.
 *
 * One part after the other is let go in a short search of its own, then two at a time, and so on: each
 * set first with all links where they are, then with the links of the nodes that are touched free as
 * well.  The first set that does is searched as long as any plan.  Parts of more than three leads are
 * not taken off: nobody likes to unsolder a socket.
 */
#include <stdlib.h>
#include "loosen.h"

/* Whether a part on the node has no fixed place. */
static bool is_touched(const swi_model *m, uint16_t node) {
    for (uint32_t i = 0; i < m->nodes[node].pin_count; i++)
        if (m->parts[m->node_pins[m->nodes[node].first_pin + i].part].fixed_shape < 0)
            return true;
    return false;
}

void swi_model_loosen(swi_model *m, const uint16_t *parts, int count, bool links) {
    for (uint16_t p = 0; p < m->part_count; p++)
        m->parts[p].fixed_shape = m->parts[p].home_shape;
    for (int i = 0; i < count; i++)
        m->parts[parts[i]].fixed_shape = -1;
    m->fixed_link_count = 0;
    for (uint32_t i = 0; i < m->kept_link_count; i++)
        if (!links || !is_touched(m, m->kept_links[i].node))
            m->fixed_links[m->fixed_link_count++] = m->kept_links[i];
}

/* ---- which ones ---- */

enum { MOST_LEADS = 3, LANES = 2, MOST_MOVED = 4 };

typedef struct loosening {
    swi_model *m;
    swi_asked *asked;
    uint16_t *standing;    /* parts that may be taken off: those that share a node with a new one first */
    int count;
    int64_t moves, planned; /* that are left for all tries together, and were at first */
    double end;            /* seconds; 0: no cap */
    sw_plan *plan;
    bool stopped;
} loosening;

static bool shares_a_node(const swi_model *m, const swi_part *part) {
    for (unsigned i = 0; i < part->pin_count; i++)
        if (is_touched(m, part->node[i]))
            return true;
    return false;
}

static void list_standing(loosening *l) {
    const swi_model *m = l->m;
    for (int shares = 1; shares >= 0; shares--)
        for (uint16_t p = 0; p < m->part_count; p++) {
            const swi_part *part = &m->parts[p];
            if (part->fixed_shape >= 0 && part->pin_count <= MOST_LEADS && shares_a_node(m, part) == shares)
                l->standing[l->count++] = p;
        }
}

/* ---- tries ---- */

/* The tries are the second half of what the watch is told of. */
static sw_plan *run(loosening *l, swi_lanes *lanes) {
    if (!lanes)
        return NULL;
    double done = l->moves > 0 ? 1 - (double)l->moves / (double)l->planned : 1;
    double more = done + (double)lanes->planned / (double)l->planned;
    l->asked->from = 0.5 + done / 2;
    l->asked->to = more < 1 ? 0.5 + more / 2 : 1;
    const swi_sketch *best = swi_lanes_run(lanes, swi_on_watch, l->asked);
    sw_plan *plan = best ? swi_emit(l->m, best) : NULL;
    l->stopped |= lanes->by_watch;
    l->moves -= (int64_t)swi_lanes_moves(lanes);
    swi_lanes_free(lanes);
    return plan;
}

/* How many parts have no place. */
static int loose_count(const swi_model *m) {
    int count = 0;
    for (uint16_t p = 0; p < m->part_count; p++)
        count += m->parts[p].fixed_shape < 0;
    return count;
}

/* A short search; one that finds something is followed by one of the usual length. */
static void try_set(loosening *l, const uint16_t *parts, int count, bool links) {
    swi_model_loosen(l->m, parts, count, links);
    uint64_t moves = (uint64_t)l->m->params.loosen_moves * 1000 * (uint64_t)(loose_count(l->m) + 1);
    l->plan = run(l, swi_lanes_few(l->m, LANES, moves));
    sw_plan *better = l->plan && !l->stopped ? run(l, swi_lanes_new(l->m)) : NULL;
    if (better) {
        sw_plan_free(l->plan);
        l->plan = better;
    }
}

static bool is_over(const loosening *l) {
    return l->plan || l->stopped || l->moves <= 0 || (l->end > 0 && swi_seconds() >= l->end);
}

/* The next choice of so many among so many, in order; false after the last. */
static bool next_choice(int *at, int count, int among) {
    int i = count - 1;
    while (i >= 0 && at[i] == among - count + i)
        i--;
    if (i < 0)
        return false;
    at[i]++;
    while (++i < count)
        at[i] = at[i - 1] + 1;
    return true;
}

static void try_sets_of(loosening *l, int count, bool links) {
    int at[MOST_MOVED];
    uint16_t parts[MOST_MOVED];
    for (int i = 0; i < count; i++)
        at[i] = i;
    do {
        for (int i = 0; i < count; i++)
            parts[i] = l->standing[at[i]];
        try_set(l, parts, count, links);
    } while (!is_over(l) && next_choice(at, count, l->count));
}

sw_plan *swi_loosen(swi_model *m, swi_asked *asked, bool *stopped) {
    int64_t planned = (int64_t)swi_planned_moves(m);
    loosening l = {.m = m, .asked = asked, .moves = planned, .planned = planned,
                   .end = m->options->seconds > 0 ? swi_seconds() + m->options->seconds : 0,
                   .standing = calloc((size_t)m->part_count + 1, sizeof *l.standing)};
    int most = m->options->move_most < MOST_MOVED ? m->options->move_most : MOST_MOVED;
    if (!l.standing)
        return NULL;
    list_standing(&l);
    try_set(&l, NULL, 0, true);
    for (int count = 1; count <= most && count <= l.count; count++)
        for (int links = 0; links < 2 && !is_over(&l); links++)
            try_sets_of(&l, count, links);
    free(l.standing);
    *stopped = l.stopped;
    return l.plan;
}
