/* src/layout/statemem.c: the memory of a state.
 *
 * All that a move can change is in one block, carved anew for each size of board;
 * the block grows and is kept, so that trying many sizes costs no allocation.
 */
#include <stdlib.h>
#include "state.h"

enum { FIRST_UNDO = 4096 };

/* Gives out aligned parts of the block; with base NULL it only measures. */
#define NO_MARK UINT16_MAX /* no node is marked so */

typedef struct carver {
    unsigned char *base;
    size_t used;
} carver;

static void *carve(carver *c, size_t count, size_t size) {
    size_t at = (c->used + 15) & ~(size_t)15;
    c->used = at + count * size;
    return c->base ? c->base + at : NULL;
}

static void carve_all(swi_state *s, carver *c) {
    const swi_model *m = s->m;
    size_t holes = (size_t)s->rows * (size_t)s->cols, masks = (size_t)s->rows * (size_t)s->words;
    size_t cells = (size_t)(s->rows + 2 * s->pad) * (size_t)s->stride, nodes = m->node_count + (size_t)SWI_NODES_BESIDE;
    s->tally = carve(c, 1, sizeof *s->tally);
    s->free_count = carve(c, 1, sizeof *s->free_count);
    s->open_count = carve(c, 1, sizeof *s->open_count);
    s->places = carve(c, m->thing_count + 1u, sizeof *s->places);
    s->part_soft = carve(c, m->part_count, sizeof *s->part_soft);
    s->leads = carve(c, masks, sizeof *s->leads);
    s->through = carve(c, masks, sizeof *s->through);
    s->gap = carve(c, masks, sizeof *s->gap);
    s->end = carve(c, masks, sizeof *s->end);
    s->holes = carve(c, holes, sizeof *s->holes);
    s->runs = carve(c, nodes, sizeof *s->runs);
    s->pieces = carve(c, nodes, sizeof *s->pieces);
    s->spread = carve(c, nodes, sizeof *s->spread);
    s->boxes = carve(c, nodes, sizeof *s->boxes);
    s->spare = carve(c, nodes, sizeof *s->spare);
    s->first_link = carve(c, nodes, sizeof *s->first_link);
    s->link_count = carve(c, nodes, sizeof *s->link_count);
    s->open_list = carve(c, nodes, sizeof *s->open_list);
    s->open_at = carve(c, nodes, sizeof *s->open_at);
    s->links = carve(c, s->link_room, sizeof *s->links);
    s->free_links = carve(c, s->link_room, sizeof *s->free_links);
    s->piles = carve(c, cells, sizeof *s->piles);
    s->mine = carve(c, masks * nodes, sizeof *s->mine);
}

swi_state *swi_state_new(const swi_model *m) {
    swi_state *s = calloc(1, sizeof *s);
    if (!s)
        return NULL;
    s->m = m;
    s->style = m->options->prefer;
    s->link_room = 4u * m->part_count + m->fixed_link_count + 64u;
    uint32_t joins = m->node_count ? m->nodes[m->node_count - 1].first_join + m->nodes[m->node_count - 1].join_count : 0;
    s->web.capacity = 2 * (s->link_room + joins) + 8;
    s->web.parent = malloc(s->web.capacity * sizeof *s->web.parent);
    s->web.order = malloc(s->link_room * sizeof *s->web.order);
    s->dirty = malloc((m->node_count + SWI_NODES_BESIDE + 1u) * sizeof *s->dirty);
    s->is_dirty = calloc(m->node_count + SWI_NODES_BESIDE + 1u, 1);
    s->undo = s->undo_top = malloc(FIRST_UNDO * sizeof *s->undo);
    s->undo_end = s->undo ? s->undo + FIRST_UNDO : NULL;
    if (!s->web.parent || !s->web.order || !s->dirty || !s->is_dirty || !s->undo) {
        swi_state_free(s);
        return NULL;
    }
    return s;
}

void swi_state_free(swi_state *s) {
    if (!s)
        return;
    free(s->block);
    free(s->undo);
    free(s->dirty);
    free(s->is_dirty);
    free(s->web.parent);
    free(s->web.order);
    free(s);
}

static bool make_room(swi_state *s) {
    carver measure = {NULL, 0};
    carve_all(s, &measure);
    if (measure.used > s->block_room) {
        free(s->block);
        s->block_room = measure.used + measure.used / 4;
        s->block = malloc(s->block_room);
        if (!s->block) {
            s->block_room = 0;
            s->broken = true;
            return false;
        }
    }
    carver give = {s->block, 0};
    carve_all(s, &give);
    s->block_size = give.used;
    s->undo_top = s->undo;
    memset(s->block, 0, s->block_size);
    return true;
}

static bool on_board(const swi_state *s, const swi_part *part) {
    const swi_shape *shape = &part->shapes[part->fixed_shape];
    return part->fixed_row >= 0 && part->fixed_col >= 0 && part->fixed_row + shape->rows < s->rows &&
           part->fixed_col + shape->cols < s->cols;
}

static bool holes_free(const swi_state *s, const swi_part *part) {
    const swi_shape *shape = &part->shapes[part->fixed_shape];
    for (unsigned i = 0; i < part->pin_count; i++)
        if (s->holes[swi_hole(s, part->fixed_row + shape->leads[i].row, part->fixed_col + shape->leads[i].column)].owner)
            return false;
    return true;
}

static bool put_fixed_parts(swi_state *s) {
    const swi_model *m = s->m;
    for (uint16_t t = 0; t < m->thing_count; t++) {
        const swi_part *part = &m->parts[t];
        if (part->fixed_shape < 0)
            continue;
        bool stands = on_board(s, part) && holes_free(s, part);
        if (!stands && t < m->part_count)
            return false;
        if (stands) /* a keep-out beyond the board is of no concern */
            swi_part_put(s, t, (swi_place){part->fixed_row, part->fixed_col, part->fixed_shape});
    }
    return true;
}

static bool put_fixed_links(swi_state *s) {
    const swi_model *m = s->m;
    for (uint32_t i = 0; i < m->fixed_link_count; i++) {
        const swi_fixed_link *link = &m->fixed_links[i];
        if (!swi_link_fits(s, link->node, link->col, link->from, link->to))
            return false;
        swi_link_put(s, link->node, link->col, link->from, link->to);
    }
    return true;
}

/* On a board that is built links lie beneath sockets that let none pass any more. */
static bool put_fixed(swi_state *s) {
    if (s->m->options->built)
        return put_fixed_links(s) && put_fixed_parts(s);
    return put_fixed_parts(s) && put_fixed_links(s);
}

bool swi_state_clear(swi_state *s, int rows, int cols) {
    const swi_model *m = s->m;
    s->rows = rows;
    s->knife = m->options->knife;
    s->cut_mark = m->has_cuts ? swi_cut_node(m) + 1u : NO_MARK;
    s->cols = cols;
    s->words = (cols + 63) / 64;
    s->pad = m->reach + 1;
    s->stride = cols + 2 * s->pad;
    s->dirty_count = 0;
    memset(s->is_dirty, 0, m->node_count + (size_t)SWI_NODES_BESIDE);
    if (!make_room(s))
        return false;
    for (uint16_t t = 0; t < m->thing_count; t++)
        s->places[t].shape = -1;
    for (uint16_t n = 0; n < m->node_count + SWI_NODES_BESIDE; n++)
        s->first_link[n] = SWI_NO_LINK;
    for (uint32_t i = 0; i < s->link_room; i++) {
        s->links[i].node = SWI_NO_NODE;
        s->free_links[i] = (uint16_t)(s->link_room - 1 - i);
    }
    *s->free_count = s->link_room;
    bool fits = put_fixed(s);
    swi_settle(s);
    swi_commit(s);
    return fits && !s->broken;
}
