/* src/layout/force.c: legal whatever it costs.
 *
 * What walking leaves open is joined by a bypass: a blank strip at an edge of the
 * board, three blank columns beside a lead of each of two pieces, and a link from each
 * to the new strip.  The order of leads on every strip is kept, so nothing else
 * breaks.  Where parts are in each other's way, room is made beside them and they are
 * chased again.  The squeeze takes all this room back later.
 */
#include "sketch.h"

enum { MOST_ROUNDS = 200, BLANKS = 3 };

static sw_hole lead_at(const swi_model *m, const swi_place *places, swi_node_pin pin) {
    swi_place place = places[pin.part];
    sw_offset lead = m->parts[pin.part].shapes[place.shape].leads[pin.pin];
    return (sw_hole){(int16_t)(place.row + lead.row), (int16_t)(place.col + lead.column)};
}

/* The nearest two leads of the node that are in different pieces. */
static bool nearest_pieces(swi_state *s, uint16_t node, swi_node_pin pins[2]) {
    const swi_node *n = &s->m->nodes[node];
    int best = INT32_MAX, spare;
    swi_web_load(s, node, &spare);
    for (uint32_t i = 0; i < n->pin_count; i++)
        for (uint32_t k = 0; k < i; k++) {
            swi_node_pin a = s->m->node_pins[n->first_pin + i], b = s->m->node_pins[n->first_pin + k];
            sw_hole p = lead_at(s->m, s->places, a), q = lead_at(s->m, s->places, b);
            if (swi_web_piece(s, swi_run(s, node, p.strip, p.column)) == swi_web_piece(s, swi_run(s, node, q.strip, q.column)))
                continue;
            int rows = p.strip > q.strip ? p.strip - q.strip : q.strip - p.strip;
            int cols = p.column > q.column ? p.column - q.column : q.column - p.column;
            if (rows + cols < best) {
                best = rows + cols;
                pins[0] = a;
                pins[1] = b;
            }
        }
    return best < INT32_MAX;
}

static bool load(swi_walk *w, swi_sketch *k) {
    swi_window all = {0, k->cols - 1, 0, k->rows - 1};
    bool ok = swi_sketch_load(w, k, &all);
    swi_walk_whole(w);
    return ok;
}

/* A link from the strip of a lead to the edge strip, in one of the blank columns left or
 * right of it. */
static bool reach_edge(swi_state *s, uint16_t node, sw_hole lead, int edge, int side) {
    int from = lead.strip < edge ? lead.strip : edge, to = lead.strip < edge ? edge : lead.strip;
    for (int i = 1; i < BLANKS; i++)
        if (swi_link_fits(s, node, lead.column + side * i, from, to)) {
            swi_link_put(s, node, lead.column + side * i, from, to);
            swi_settle(s);
            return true;
        }
    return false;
}

/* Over a new strip at the top or the bottom; bits of way: top, and the side of each lead
 * on which the blank columns are. */
static bool bypass(swi_walk *w, uint16_t node, const swi_node_pin pins[2], unsigned way) {
    const swi_model *m = w->s->m;
    swi_sketch *k = w->spare[1];
    bool top = way & 1;
    int32_t open = w->s->tally->open;
    swi_sketch_save(w->s, k);
    if (k->rows >= m->most_rows || k->cols + 2 * BLANKS > m->most_cols || m->fixed_size || m->has_fixed)
        return false;
    swi_add_strip(m, k, top ? 0 : k->rows);
    int side[2];
    for (int i = 0; i < 2; i++) {
        side[i] = way >> (i + 1) & 1 ? -1 : 1;
        swi_add_columns(m, k, lead_at(m, k->places, pins[i]).column + (side[i] > 0), BLANKS);
    }
    if (!load(w, k))
        return false;
    int edge = top ? 0 : k->rows - 1;
    bool done = true;
    for (int i = 0; i < 2 && done; i++)
        done = reach_edge(w->s, node, lead_at(m, w->s->places, pins[i]), edge, side[i]);
    swi_commit(w->s);
    return done && w->s->tally->open < open;
}

/* Less open than before; what did not work is taken back. */
static bool force_open(swi_walk *w) {
    swi_sketch *before = w->spare[0];
    swi_sketch_save(w->s, before);
    for (uint32_t i = 0; i < *w->s->open_count; i++) {
        uint16_t node = w->s->open_list[i];
        swi_node_pin pins[2];
        if (!nearest_pieces(w->s, node, pins))
            continue;
        for (unsigned way = 0; way < 8; way++) {
            if (bypass(w, node, pins, way))
                return true;
            if (!load(w, before))
                return false;
        }
    }
    return false;
}

static bool make_room(swi_walk *w) {
    const swi_model *m = w->s->m;
    swi_sketch *k = w->spare[1];
    int row, col;
    if (!swi_violation(w, &row, &col))
        return true;
    swi_sketch_save(w->s, k);
    if (m->fixed_size || k->cols + 2 > m->most_cols)
        return false;
    swi_add_columns(m, k, col + 1, 2);
    return load(w, k);
}

bool swi_force(swi_walk *w) {
    int vain = 0;
    for (int round = 0; round < MOST_ROUNDS && !swi_legal(w->s) && vain < 8; round++) {
        if (swi_stopped(w->stop, SWI_POLL_FORCE))
            return false;
        bool others = w->s->tally->overlap || (w->s->tally->adjacent && w->s->weights.adjacent);
        if (!others && force_open(w))
            continue;
        vain += !make_room(w);
        swi_chase(w, 4);
    }
    return swi_legal(w->s);
}
