/* src/layout/soft.c: wishes and neatness of one part where it stands.
 *
 * Counted in thousandths of a hole: wires bent longer or shorter than usual, parts
 * asked to an edge, terminal pins away from the left and right edges, and parts
 * asked near each other or apart, capacitors that belong beside a supply pin.  Distances are
 * steps along the strips and across them between the rectangles around two parts' leads.
 */
#include "state.h"

static int gap(int a0, int a1, int b0, int b1) {
    return a1 < b0 ? b0 - a1 : b1 < a0 ? a0 - b1 : 0;
}

typedef struct extent {
    int top, bottom, left, right;
} extent;

/* The rectangle around all leads, or the hole of one. */
static extent extent_of(const swi_state *s, uint16_t part, int pin) {
    swi_place p = s->places[part];
    const swi_shape *shape = swi_shape_of(s, part);
    if (pin < 0)
        return (extent){p.row, p.row + shape->rows, p.col, p.col + shape->cols};
    int row = p.row + shape->leads[pin].row, col = p.col + shape->leads[pin].column;
    return (extent){row, row, col, col};
}

static int distance(const swi_state *s, uint16_t part, const swi_bond *bond) {
    extent a = extent_of(s, part, bond->pin), b = extent_of(s, bond->other, bond->other_pin);
    return gap(a.top, a.bottom, b.top, b.bottom) + gap(a.left, a.right, b.left, b.right);
}

static int32_t bonds(const swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    int32_t soft = 0;
    for (unsigned i = 0; i < p->bond_count; i++) {
        const swi_bond *bond = &s->m->bonds[p->first_bond + i];
        if (s->places[bond->other].shape < 0)
            continue;
        int d = distance(s, part, bond), fails = bond->apart ? bond->pitches - d : d - bond->pitches;
        if (fails > 0)
            soft += fails * bond->weight;
    }
    return soft;
}

/* Pitches between a part and the edge that it was asked to. */
static int from_edge(const swi_state *s, uint16_t part, unsigned edge) {
    swi_place place = s->places[part];
    const swi_shape *shape = swi_shape_of(s, part);
    switch ((sw_wish_kind)(edge - 1)) {
    case SW_WISH_EDGE_LEFT: return place.col;
    case SW_WISH_EDGE_RIGHT: return s->cols - 1 - place.col - shape->cols;
    case SW_WISH_EDGE_TOP: return place.row;
    case SW_WISH_EDGE_BOTTOM: return s->rows - 1 - place.row - shape->rows;
    case SW_WISH_NEAR:
    case SW_WISH_APART: break;
    }
    return 0;
}

sw_wish_kind swi_edge_of_face(sw_face face) {
    static const sw_wish_kind edges[] = {[SW_FACE_UP] = SW_WISH_EDGE_TOP, [SW_FACE_RIGHT] = SW_WISH_EDGE_RIGHT,
                                         [SW_FACE_DOWN] = SW_WISH_EDGE_BOTTOM, [SW_FACE_LEFT] = SW_WISH_EDGE_LEFT};
    return edges[face];
}

int swi_off_face(const swi_state *s, uint16_t part) {
    const swi_shape *shape = swi_shape_of(s, part);
    if (shape->face == SW_FACE_NONE)
        return 0;
    int off = from_edge(s, part, swi_edge_of_face(shape->face) + 1u) - shape->face_reach;
    return off > 0 ? off : 0;
}

int32_t swi_unmet(const swi_state *s) {
    int32_t unmet = 0;
    for (uint16_t part = 0; part < s->m->part_count; part++) {
        const swi_part *p = &s->m->parts[part];
        unmet += 2 * swi_off_face(s, part);
        unmet += p->edge ? 2 * from_edge(s, part, p->edge) : 0;
        for (unsigned i = 0; i < p->bond_count; i++) {
            const swi_bond *bond = &s->m->bonds[p->first_bond + i];
            int fails = bond->wish ? distance(s, part, bond) - bond->pitches : 0;
            fails = bond->apart ? -fails : fails;
            unmet += fails > 0 ? fails : 0;
        }
    }
    return unmet / 2; /* a bond is seen from both its parts */
}

int32_t swi_soft(const swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    const swi_shape *shape = swi_shape_of(s, part);
    int32_t soft = shape->bend * 1000;
    if (p->edge)
        soft += from_edge(s, part, p->edge) * s->m->params.edge_weight;
    else if (p->terminal && shape->face == SW_FACE_NONE) {
        int left = s->places[part].col, right = s->cols - 1 - left - shape->cols;
        int d = left < right ? left : right;
        soft += d ? s->m->params.terminal_off + d * s->m->params.terminal_pitch : 0;
    }
    soft += swi_off_face(s, part) * s->m->params.edge_weight;
    swi_place home = {p->home_row, p->home_col, p->home_shape};
    if (home.shape >= 0 && memcmp(&home, &s->places[part], sizeof home) != 0)
        soft += s->m->params.away;
    return p->bond_count ? soft + bonds(s, part) : soft;
}
