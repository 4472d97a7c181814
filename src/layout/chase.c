/* src/layout/chase.c: violations hunted one at a time.
 *
 * When only a few things are wrong, walking everywhere is a waste: one violation is
 * taken, the columns around it walk from warm to cold, and the result is kept if
 * it is no worse.
 */
#include "sketch.h"

enum { MOST_FOUND = 64 };

typedef struct hunt {
    int16_t at[MOST_FOUND][2];
    int count, seen;
} hunt;

static void add(swi_walk *w, hunt *h, int row, int col) {
    h->seen++;
    int at = h->count < MOST_FOUND ? h->count++ : swi_below(&w->rng, h->seen);
    if (at < MOST_FOUND) {
        h->at[at][0] = (int16_t)row;
        h->at[at][1] = (int16_t)col;
    }
}

static void find_neighbours(swi_walk *w, hunt *h) {
    const swi_state *s = w->s;
    for (int row = 0; row < s->rows; row++)
        for (int col = 0; col + 1 < s->cols; col++) {
            uint16_t a = s->holes[swi_hole(s, row, col)].node, b = s->holes[swi_hole(s, row, col + 1)].node;
            if (a && b && a != b && a != s->cut_mark && b != s->cut_mark)
                add(w, h, row, col);
        }
}

static void find_open(swi_walk *w, hunt *h) {
    const swi_state *s = w->s;
    for (uint32_t i = 0; i < *s->open_count; i++) {
        const swi_node *node = &s->m->nodes[s->open_list[i]];
        swi_node_pin pin = s->m->node_pins[node->first_pin + (uint32_t)swi_below(&w->rng, (int)node->pin_count)];
        sw_offset lead = swi_shape_of(s, pin.part)->leads[pin.pin];
        add(w, h, s->places[pin.part].row + lead.row, s->places[pin.part].col + lead.column);
    }
}

bool swi_violation(swi_walk *w, int *row, int *col) {
    const swi_state *s = w->s;
    hunt h = {.count = 0};
    if (s->tally->overlap)
        for (uint16_t p = 0; p < s->m->part_count; p++)
            if (swi_part_overlap(s, p, s->places[p]))
                add(w, &h, s->places[p].row, s->places[p].col);
    if (s->tally->adjacent && s->weights.adjacent)
        find_neighbours(w, &h);
    if (s->tally->open)
        find_open(w, &h);
    if (h.count == 0)
        return false;
    int at = swi_below(&w->rng, h.count);
    *row = h.at[at][0];
    *col = h.at[at][1];
    return true;
}

bool swi_chase(swi_walk *w, int most) {
    swi_state *s = w->s;
    const swi_params *p = &s->m->params;
    swi_window before = w->window;
    swi_walk_whole(w);
    for (int i = 0; i < most && !swi_legal(s); i++) {
        int row, col;
        if (s->tally->open && swi_connect(w) && swi_legal(s))
            break;
        if (swi_stopped(w->stop, SWI_POLL_CHASE) || !swi_violation(w, &row, &col))
            break;
        int64_t cost = swi_cost(s);
        swi_sketch_save(s, w->spare[0]);
        int half = p->window_least + swi_below(&w->rng, swi_window_most(s->m) - p->window_least + 1);
        swi_walk_window(w, col - half, col + half, 0, s->rows - 1);
        swi_anneal(w, (int64_t)w->part_count * p->chase_moves, p->chase_heat, p->squeeze_cold / 2, true);
        if (!swi_legal(s) && swi_cost(s) > cost)
            swi_sketch_load(w, w->spare[0], &w->window);
    }
    swi_walk_window(w, before.first, before.last, before.top, before.bottom);
    return swi_legal(s);
}
