/* src/layout/linkmoves.c: moves that make, take and change links alone. */
#include "walk.h"

/* A lead of an open node in the window (three tries); false when none was met. */
static bool open_lead(swi_walk *w, uint16_t *node, int *row, int *col) {
    const swi_state *s = w->s;
    for (int k = 0; k < 3 && *s->open_count; k++) {
        *node = s->open_list[swi_below(&w->rng, (int)*s->open_count)];
        const swi_node *n = &s->m->nodes[*node];
        swi_node_pin pin = s->m->node_pins[n->first_pin + (uint32_t)swi_below(&w->rng, (int)n->pin_count)];
        swi_place place = s->places[pin.part];
        if (place.shape < 0)
            continue;
        sw_offset lead = swi_shape_of(s, pin.part)->leads[pin.pin];
        *row = place.row + lead.row;
        *col = place.col + lead.column;
        if (*col >= w->window.first && *col <= w->window.last)
            return true;
    }
    return false;
}

void swi_move_link_random(swi_walk *w) {
    uint16_t node;
    int row, col;
    if (!open_lead(w, &node, &row, &col))
        return;
    int64_t limit = swi_limit(w);
    if (swi_join_random(w->s, &w->window, &w->rng, node, row, col)) {
        swi_prune(w->s, node);
        swi_judge(w, limit);
    }
}

void swi_move_link_short(swi_walk *w) {
    uint16_t node;
    int row, col;
    if (!open_lead(w, &node, &row, &col))
        return;
    int64_t limit = swi_limit(w);
    if (swi_join_near(w->s, &w->window, node, row, col, 31)) {
        swi_prune(w->s, node);
        swi_judge(w, limit);
    }
}

/* A link goes; its ends join as they can: at random half of the times, so that links
 * change columns and rows. */
void swi_move_link_delete(swi_walk *w) {
    swi_state *s = w->s;
    uint32_t high = s->link_room - *s->free_count + 8;
    uint16_t id = SWI_NO_LINK;
    for (int k = 0; k < 4 && id == SWI_NO_LINK; k++) {
        uint16_t at = (uint16_t)swi_below(&w->rng, (int)(high < s->link_room ? high : s->link_room));
        const swi_wire *l = &s->links[at];
        if (l->node != SWI_NO_NODE && l->col >= w->window.first && l->col <= w->window.last && !swi_is_fixed(s, l))
            id = at;
    }
    if (id == SWI_NO_LINK)
        return;
    swi_wire link = s->links[id];
    int64_t limit = swi_limit(w);
    swi_link_take(s, id);
    swi_settle(s);
    if (s->pieces[link.node] > 1) {
        int row = swi_random(&w->rng) & 1 ? link.from : link.to;
        if (!(swi_random(&w->rng) & 1) || !swi_join_random(s, &w->window, &w->rng, link.node, row, link.col))
            swi_join_near(s, &w->window, link.node, row, link.col, s->m->params.near);
    }
    swi_prune(s, link.node);
    swi_judge(w, limit);
}

void swi_move_route(swi_walk *w) {
    uint16_t node;
    int row, col;
    if (!open_lead(w, &node, &row, &col))
        return;
    int64_t limit = swi_limit(w);
    if (swi_route(w->s, &w->window, node, row, col)) {
        swi_prune(w->s, node);
        swi_judge(w, limit);
    } else
        swi_revert(w->s);
}
