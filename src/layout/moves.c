/* src/layout/moves.c: which move to try next.
 *
 * Displacing, aligning, swapping and reshaping parts; aligning is what makes
 * strips do the wiring: a lead is put on a strip where its node already is, in the
 * shape whose other leads fit their nodes too.
 */
#include "neat.h"

static uint16_t random_part(swi_walk *w) {
    return w->parts[swi_below(&w->rng, w->part_count)];
}

static int clamp(int value, int least, int most) {
    return value < least ? least : value > most ? most : value;
}

/* Somewhere from least to most, not farther from at than the walk reaches; most may be less
 * than least: then the move fails later. */
static int within(swi_walk *w, int at, int least, int most) {
    least = least < at - w->range ? at - w->range : least;
    most = most > at + w->range ? at + w->range : most;
    return most < least ? least : least + swi_below(&w->rng, most - least + 1);
}

/* Near where it stands, or anywhere within reach. */
static void move_shift(swi_walk *w) {
    uint16_t part = random_part(w);
    swi_place place = w->s->places[part];
    const swi_part *p = &w->s->m->parts[part];
    int64_t limit = swi_limit(w);
    uint64_t r = swi_random(&w->rng);
    if (r & 1) {
        place.row = (int16_t)(place.row + (int)(r >> 8 & 3) - (int)(r >> 10 & 3));
        place.col = (int16_t)(place.col + (int)(r >> 12 & 3) - (int)(r >> 14 & 3));
    } else {
        place.shape = (int16_t)swi_below(&w->rng, p->shape_count);
        const swi_shape *shape = &p->shapes[place.shape];
        place.row = (int16_t)within(w, place.row, w->window.top, w->window.bottom - shape->rows);
        place.col = (int16_t)within(w, place.col, w->window.first, w->window.last - shape->cols);
    }
    swi_place now = w->s->places[part];
    if (place.row != now.row || place.col != now.col || place.shape != now.shape)
        swi_shift(w, 1, &part, &place, limit);
}

/* How well a shape's leads fit strips of their nodes when lead `pin` is on `row`. */
static int fit(const swi_state *s, uint16_t part, const swi_shape *shape, unsigned pin, int row) {
    const swi_part *p = &s->m->parts[part];
    int good = 0, word = 0;
    for (unsigned i = 0; i < p->pin_count; i++) {
        int at = row - shape->leads[pin].row + shape->leads[i].row;
        if (at < 0 || at >= s->rows)
            return -1;
        if (i == pin)
            continue;
        const uint64_t *own = swi_mine(s, p->node[i], at);
        for (word = 0; word < s->words; word++)
            if (own[word]) {
                good++;
                break;
            }
    }
    return good;
}

/* One of the shapes that fit best. */
static int best_shape(swi_walk *w, uint16_t part, unsigned pin, int row) {
    const swi_part *p = &w->s->m->parts[part];
    int best = -1, ties = 0, chosen = -1;
    for (int i = 0; i < p->shape_count; i++) {
        int good = fit(w->s, part, &p->shapes[i], pin, row);
        if (good < 0 || good < best)
            continue;
        ties = good > best ? 1 : ties + 1;
        best = good;
        if (ties == 1 || swi_below(&w->rng, ties) == 0)
            chosen = i;
    }
    return chosen;
}

/* To the edge that was asked for, or that a side of the part must look to; terminal pins belong to
 * the left or the right one. */
static void to_edge(const swi_state *s, const swi_part *p, bool left, swi_place *place) {
    const swi_shape *shape = &p->shapes[place->shape];
    unsigned edge = p->edge      ? p->edge - 1u
                    : shape->face ? (unsigned)swi_edge_of_face(shape->face)
                    : left        ? SW_WISH_EDGE_LEFT
                                  : SW_WISH_EDGE_RIGHT;
    int inward = p->edge ? 0 : shape->face_reach;
    if (edge == SW_WISH_EDGE_LEFT || edge == SW_WISH_EDGE_RIGHT)
        place->col = (int16_t)(edge == SW_WISH_EDGE_LEFT ? inward : s->cols - 1 - shape->cols - inward);
    else
        place->row = (int16_t)(edge == SW_WISH_EDGE_TOP ? inward : s->rows - 1 - shape->rows - inward);
}

static void move_align(swi_walk *w) {
    const swi_state *s = w->s;
    uint16_t part = random_part(w);
    const swi_part *p = &s->m->parts[part];
    unsigned pin = (unsigned)swi_below(&w->rng, p->pin_count);
    const swi_node *node = &s->m->nodes[p->node[pin]];
    if (node->pin_count < 2)
        return;
    swi_node_pin other = s->m->node_pins[node->first_pin + (uint32_t)swi_below(&w->rng, (int)node->pin_count)];
    if (other.part == part || s->places[other.part].shape < 0)
        return;
    int64_t limit = swi_limit(w);
    sw_offset lead = swi_shape_of(s, other.part)->leads[other.pin];
    int row = s->places[other.part].row + lead.row, shape = best_shape(w, part, pin, row);
    if (shape < 0)
        return;
    sw_offset own = p->shapes[shape].leads[pin];
    uint64_t r = swi_random(&w->rng);
    int col = s->places[part].col + (int)(r & 3) - (int)(r >> 2 & 3);
    if ((r >> 4 & 3) == 0)
        col = s->places[other.part].col + lead.column + (int)(r >> 6 & 3) - (int)(r >> 8 & 3) - own.column;
    swi_place place = {(int16_t)(row - own.row),
                       (int16_t)clamp(col, w->window.first, w->window.last - p->shapes[shape].cols), (int16_t)shape};
    if ((p->terminal || p->edge || p->shapes[shape].face) && (r >> 10 & 1))
        to_edge(s, p, r >> 11 & 1, &place);
    swi_place now = s->places[part];
    if (place.row != now.row || place.col != now.col || place.shape != now.shape)
        swi_shift(w, 1, &part, &place, limit);
}

/* The shape of this turn and span, or any. */
static int16_t like(swi_walk *w, uint16_t part, const swi_shape *shape) {
    const swi_part *p = &w->s->m->parts[part];
    for (int i = 0; i < p->shape_count; i++)
        if (p->shapes[i].rows == shape->rows && p->shapes[i].cols == shape->cols && p->shapes[i].turn == shape->turn)
            return (int16_t)i;
    return (int16_t)swi_below(&w->rng, p->shape_count);
}

static void move_swap(swi_walk *w) {
    const swi_state *s = w->s;
    uint16_t parts[2] = {random_part(w), random_part(w)};
    if (parts[0] == parts[1])
        return;
    int64_t limit = swi_limit(w);
    swi_place places[2] = {s->places[parts[1]], s->places[parts[0]]};
    places[0].shape = like(w, parts[0], swi_shape_of(s, parts[1]));
    places[1].shape = like(w, parts[1], swi_shape_of(s, parts[0]));
    swi_shift(w, 2, parts, places, limit);
}

static void move_reshape(swi_walk *w) {
    uint16_t part = random_part(w);
    const swi_part *p = &w->s->m->parts[part];
    if (p->shape_count < 2)
        return;
    int64_t limit = swi_limit(w);
    swi_place place = w->s->places[part];
    const swi_shape *old = &p->shapes[place.shape];
    place.shape = (int16_t)((place.shape + 1 + swi_below(&w->rng, p->shape_count - 1)) % p->shape_count);
    /* The upper or the lower lead stays. */
    if (swi_random(&w->rng) & 1)
        place.row = (int16_t)(place.row + old->rows - p->shapes[place.shape].rows);
    swi_shift(w, 1, &part, &place, limit);
}

void swi_move(swi_walk *w) {
    static void (*const moves[SWI_MOVES])(swi_walk *) = {
        move_shift, move_align, move_swap, move_reshape, swi_move_link_random,
        swi_move_link_short, swi_move_link_delete, swi_move_route, swi_move_fit, swi_move_fit_two};
    int r = swi_below(&w->rng, w->weights[w->links ? SWI_MOVES - 1 : SWI_MOVES_OF_PARTS - 1]), kind = 0;
    w->s->moves++;
    if ((w->neat || w->s->m->options->prefer == SW_PREFER_SYMMETRY) && swi_below(&w->rng, 4) == 0) {
        swi_move_neat(w);
        return;
    }
    while (r >= w->weights[kind])
        kind++;
    moves[kind](w);
}
