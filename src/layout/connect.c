/* src/layout/connect.c: links for what is open, with nothing moved.
 *
 * Every lead of every open node in turn looks for a link, then for a chain of links;
 * what one link makes possible or impossible for others is left to the walks.
 */
#include "sketch.h"

static bool connect_from(swi_walk *w, uint16_t node, swi_node_pin pin, bool chains) {
    swi_state *s = w->s;
    swi_place place = s->places[pin.part];
    sw_offset lead = swi_shape_of(s, pin.part)->leads[pin.pin];
    int row = place.row + lead.row, col = place.col + lead.column;
    bool done = swi_join_near(s, &w->window, node, row, col, 31);
    if (!done && chains) {
        swi_commit(s);
        done = swi_route(s, &w->window, node, row, col);
        if (!done)
            swi_revert(s);
    }
    if (done)
        swi_prune(s, node);
    swi_commit(s);
    return done;
}

static void connect_node(swi_walk *w, uint16_t node) {
    const swi_node *n = &w->s->m->nodes[node];
    for (int chains = 0; chains < 2; chains++)
        for (uint32_t i = 0; i < n->pin_count && w->s->pieces[node] > 1; i++)
            if (connect_from(w, node, w->s->m->node_pins[n->first_pin + i], chains))
                i = UINT32_MAX; /* from the beginning */
}

bool swi_connect(swi_walk *w) {
    swi_state *s = w->s;
    for (uint16_t node = 0; node < s->m->node_count && *s->open_count; node++)
        if (s->pieces[node] > 1)
            connect_node(w, node);
    w->cost = swi_cost(s);
    return *s->open_count == 0;
}
