/* src/layout/sketch.c: plans laid down, and taken up again on boards of other sizes. */
#include <stdlib.h>
#include "neat.h"

swi_sketch *swi_sketch_new(const swi_model *m) {
    swi_sketch *sketch = calloc(1, sizeof *sketch);
    if (!sketch)
        return NULL;
    sketch->places = calloc(m->part_count + 1u, sizeof *sketch->places);
    sketch->links = calloc(4u * m->part_count + m->fixed_link_count + 64u, sizeof *sketch->links);
    if (sketch->places && sketch->links)
        return sketch;
    swi_sketch_free(sketch);
    return NULL;
}

void swi_sketch_free(swi_sketch *sketch) {
    if (!sketch)
        return;
    free(sketch->places);
    free(sketch->links);
    free(sketch);
}

void swi_sketch_copy(const swi_model *m, swi_sketch *to, const swi_sketch *from) {
    swi_place *places = to->places;
    swi_fixed_link *links = to->links;
    *to = *from;
    to->places = places;
    to->links = links;
    memcpy(places, from->places, m->part_count * sizeof *places);
    memcpy(links, from->links, from->link_count * sizeof *links);
}

void swi_sketch_save(const swi_state *s, swi_sketch *sketch) {
    sketch->rows = s->rows;
    sketch->cols = s->cols;
    sketch->legal = swi_legal(s) && s->rows <= s->m->most_rows && s->cols <= s->m->most_cols;
    sketch->tally = *s->tally;
    sketch->merit = swi_merit(s->m, s->rows, s->cols, s->tally);
    sketch->merit += (int64_t)swi_unmet(s) * s->m->params.wish_unmet;
    sketch->untidy = swi_untidy(s);
    swi_tally firm = *s->tally;
    firm.pitches = 0;
    sketch->firm = swi_merit(s->m, s->rows, s->cols, &firm) + (int64_t)swi_unmet(s) * s->m->params.wish_unmet;
    /* A plan without any symmetry counts as that much dearer than a symmetrical one. */
    if (s->m->options->prefer == SW_PREFER_SYMMETRY) {
        int64_t dearer = sketch->merit / 1000 * swi_asymmetry(s) * s->m->params.symmetry_trade / 100;
        sketch->merit += dearer;
        sketch->firm += dearer;
    }
    memcpy(sketch->places, s->places, s->m->part_count * sizeof *sketch->places);
    sketch->link_count = 0;
    for (uint32_t i = 0; i < s->link_room; i++) {
        const swi_wire *l = &s->links[i];
        if (l->node != SWI_NO_NODE)
            sketch->links[sketch->link_count++] = (swi_fixed_link){l->node, l->col, l->from, l->to};
    }
}

const swi_wire *swi_link_in_the_way(const swi_state *s, size_t cell, int row, unsigned flags) {
    const swi_pile *pile = &s->piles[cell];
    for (unsigned i = 0; i < swi_things_in(pile); i++) {
        uint16_t thing = pile->things[i];
        if (thing >= s->m->thing_count && swi_in_the_way(&s->links[thing - s->m->thing_count], row, flags))
            return &s->links[thing - s->m->thing_count];
    }
    return NULL;
}

/* Whether the part can be put there without sharing a hole or filling a cell. */
bool swi_can_stand(const swi_state *s, uint16_t part, swi_place place) {
    const swi_part *p = &s->m->parts[part];
    const swi_shape *shape = &p->shapes[place.shape];
    const swi_form *form = &s->m->forms[shape->form];
    if (place.row < 0 || place.col < 0 || place.row + shape->rows >= s->rows || place.col + shape->cols >= s->cols)
        return false;
    for (unsigned i = 0; i < p->pin_count; i++)
        if (s->holes[swi_hole(s, place.row + shape->leads[i].row, place.col + shape->leads[i].column)].owner)
            return false;
    for (uint32_t i = 0; i < form->cell_count; i++) {
        int row = place.row + form->cells[i].row;
        size_t cell = swi_cell_at(s, row, place.col + form->cells[i].col);
        if (swi_things_in(&s->piles[cell]) >= SWI_SLOTS - 2)
            return false;
        const swi_wire *link = swi_link_in_the_way(s, cell, row, form->cells[i].flags);
        if (link && swi_is_fixed(s, link))
            return false;
    }
    return true;
}

/* Takes the links away that a part would stand in the way of. */
static void clear_links(swi_state *s, uint16_t part, swi_place place) {
    const swi_form *form = &s->m->forms[s->m->parts[part].shapes[place.shape].form];
    for (uint32_t i = 0; i < form->cell_count; i++) {
        int row = place.row + form->cells[i].row;
        size_t cell = swi_cell_at(s, row, place.col + form->cells[i].col);
        const swi_wire *link;
        while ((link = swi_link_in_the_way(s, cell, row, form->cells[i].flags)) != NULL)
            swi_link_take(s, (uint16_t)(link - s->links));
    }
}

/* What standing there costs: overlap, neighbours, and the way from where it was. */
static int64_t price(swi_state *s, uint16_t part, swi_place place, swi_place near) {
    int overlap = s->tally->overlap, adjacent = s->tally->adjacent;
    swi_part_put(s, part, place);
    overlap = s->tally->overlap - overlap;
    adjacent = s->tally->adjacent - adjacent;
    swi_part_take(s, part);
    swi_settle(s);
    swi_commit(s);
    int rows = place.row > near.row ? place.row - near.row : near.row - place.row;
    int cols = place.col > near.col ? place.col - near.col : near.col - place.col;
    return (int64_t)overlap * s->weights.overlap + (int64_t)adjacent * s->weights.adjacent +
           (int64_t)(2 * rows + cols + s->m->parts[part].shapes[place.shape].bend) * s->weights.spread;
}

bool swi_find_place(swi_walk *w, uint16_t part, const swi_window *window, swi_place near) {
    swi_state *s = w->s;
    const swi_part *p = &s->m->parts[part];
    swi_place best = {0, 0, -1};
    int64_t least = INT64_MAX;
    for (int16_t shape = 0; shape < p->shape_count; shape++)
        for (int row = window->top; row + p->shapes[shape].rows <= window->bottom; row++)
            for (int col = window->first; col + p->shapes[shape].cols <= window->last; col++) {
                swi_place place = {(int16_t)row, (int16_t)col, shape};
                if (!swi_can_stand(s, part, place))
                    continue;
                int64_t cost = price(s, part, place, near) + swi_below(&w->rng, 50000);
                if (cost < least) {
                    least = cost;
                    best = place;
                }
            }
    if (best.shape < 0)
        return false;
    clear_links(s, part, best);
    swi_part_put(s, part, best);
    swi_settle(s);
    swi_commit(s);
    return true;
}

static void load_links(swi_state *s, const swi_sketch *sketch) {
    for (uint32_t i = 0; i < sketch->link_count; i++) {
        swi_fixed_link l = sketch->links[i];
        if (!swi_link_fits(s, l.node, l.col, l.from, l.to))
            continue;
        int adjacent = s->tally->adjacent;
        uint16_t id = swi_link_put(s, l.node, l.col, l.from, l.to);
        if (s->tally->adjacent > adjacent)
            swi_link_take(s, id);
    }
}

bool swi_sketch_load(swi_walk *w, const swi_sketch *sketch, const swi_window *window) {
    swi_state *s = w->s;
    const swi_model *m = s->m;
    if (!swi_state_clear(s, sketch->rows, sketch->cols))
        return false;
    swi_set_weights(s);
    uint16_t homeless[64];
    unsigned count = 0;
    for (uint16_t rank = 0; rank < m->part_count; rank++) {
        uint16_t part = m->by_rank[rank];
        if (s->places[part].shape >= 0)
            continue; /* fixed */
        if (sketch->places[part].shape >= 0 && swi_can_stand(s, part, sketch->places[part]))
            swi_part_put(s, part, sketch->places[part]);
        else if (count < 64)
            homeless[count++] = part;
        else
            return false;
    }
    load_links(s, sketch);
    swi_settle(s);
    swi_commit(s);
    for (unsigned i = 0; i < count; i++)
        if (!swi_find_place(w, homeless[i], window, sketch->places[homeless[i]]))
            return false;
    for (uint16_t n = 0; n < m->node_count; n++)
        if (s->link_count[n])
            swi_prune(s, n);
    swi_commit(s);
    return !s->broken;
}
