/* src/layout/state.c: putting down and taking up, with the count kept and noted.
 *
 * The primitive steps of a plan in the making (state.h).  Each is a few words per
 * lead and per cell, whatever the size of the board.
 */
#include <stdlib.h>
#include "state.h"

/* ---- the journal ---- */

static void grow_undo(swi_state *s) {
    size_t room = s->undo_room ? s->undo_room * 2 : 4096;
    swi_undo *grown = realloc(s->undo, room * sizeof *grown);
    if (!grown) {
        s->broken = true;
        s->undo_count = 0;
        return;
    }
    s->undo = grown;
    s->undo_room = room;
}

/* Notes the four aligned bytes that hold *p. */
static inline void note(swi_state *s, const void *p) {
    if (s->undo_count == s->undo_room)
        grow_undo(s);
    uint32_t at = (uint32_t)((const unsigned char *)p - s->block) & ~UINT32_C(3);
    swi_undo *u = &s->undo[s->undo_count++];
    u->at = at;
    memcpy(&u->old, s->block + at, 4);
}

static inline void note8(swi_state *s, const void *p) {
    note(s, p);
    note(s, (const unsigned char *)p + 4);
}

#define SET(s, place, value) (note((s), &(place)), (place) = (value))
#define ADD(s, place, value) (note((s), &(place)), (place) += (value))

void swi_revert(swi_state *s) {
    for (size_t i = s->undo_count; i > 0; i--)
        memcpy(s->block + s->undo[i - 1].at, &s->undo[i - 1].old, 4);
    s->undo_count = 0;
}

static inline void touch(swi_state *s, uint16_t node) {
    if (!s->is_dirty[node]) {
        s->is_dirty[node] = 1;
        s->dirty[s->dirty_count++] = node;
    }
}

/* ---- leads ---- */

/* What a lead of `node` (+ 1 in the masks' terms: n) between its neighbours changes; sign
 * +1 when it comes, −1 when it goes. */
static void count_lead(swi_state *s, int row, int col, uint16_t node, int sign) {
    const uint64_t *w = s->leads + (size_t)row * (size_t)s->words;
    int left = swi_prev_bit(w, col), right = swi_next_bit(w, s->words, col);
    const uint16_t *holes = s->hole_node + swi_hole(s, row, 0);
    unsigned n = node + 1u, nl = left < 0 ? 0 : holes[left], nr = right < 0 ? 0 : holes[right];
    touch(s, node);
    /* With a knife neighbours can be parted. */
    int near = s->knife ? 0 : (nl && nl != n && col - left == 1) + (nr && nr != n && right - col == 1);
    if (near)
        ADD(s, s->tally->adjacent, sign * near);
    if (!nl && !nr)
        ADD(s, s->tally->used, sign);
    int copper = (nl == n ? col - left : 0) + (nr == n ? right - col : 0) - (nl && nl == nr ? right - left : 0);
    if (copper)
        ADD(s, s->tally->copper, sign * copper);
    if (nl == n || nr == n)
        return;
    ADD(s, s->runs[node], sign);
    int more = 1;
    if (nl && nl == nr) {
        ADD(s, s->runs[nl - 1], sign);
        touch(s, (uint16_t)(nl - 1));
        more = 2;
    }
    ADD(s, s->tally->runs, sign * more);
}

/* A lead that joins or separates others of its own node may leave the number of runs as it
 * is and still change which links meet: the node is touched in any case. */
static void lead_put(swi_state *s, int row, int col, uint16_t node, uint16_t owner) {
    count_lead(s, row, col, node, 1);
    uint64_t bit = UINT64_C(1) << (col & 63);
    uint64_t *all = s->leads + (size_t)row * (size_t)s->words + (col >> 6), *own = swi_mine(s, node, row) + (col >> 6);
    note8(s, all);
    *all |= bit;
    note8(s, own);
    *own |= bit;
    size_t hole = swi_hole(s, row, col);
    SET(s, s->hole_node[hole], (uint16_t)(node + 1));
    SET(s, s->hole_owner[hole], (uint16_t)(owner + 1));
}

static void lead_take(swi_state *s, int row, int col, uint16_t node) {
    uint64_t bit = UINT64_C(1) << (col & 63);
    uint64_t *all = s->leads + (size_t)row * (size_t)s->words + (col >> 6), *own = swi_mine(s, node, row) + (col >> 6);
    note8(s, all);
    *all &= ~bit;
    note8(s, own);
    *own &= ~bit;
    size_t hole = swi_hole(s, row, col);
    SET(s, s->hole_node[hole], 0);
    SET(s, s->hole_owner[hole], 0);
    count_lead(s, row, col, node, -1);
}

/* ---- cells ---- */

static const uint32_t block_of[8] = {0, 1, 1 << 10, 1 | 1 << 10, 1 << 20, 1 | 1 << 20, 1 << 10 | 1 << 20,
                                     1 | 1 << 10 | 1 << 20};

static void set_mask(swi_state *s, uint64_t *mask, int row, int col, bool on) {
    uint64_t *w = mask + (size_t)row * (size_t)s->words + (col >> 6), bit = UINT64_C(1) << (col & 63);
    if (((*w & bit) != 0) == on)
        return;
    note8(s, w);
    *w ^= bit;
}

static void block_cell(swi_state *s, size_t cell, int row, int col, unsigned flags, bool on) {
    uint32_t *b = &s->blocks[cell];
    note(s, b);
    *b = on ? *b + block_of[flags] : *b - block_of[flags];
    if (row < 0 || col < 0 || row >= s->rows || col >= s->cols)
        return;
    if (flags & SWI_CELL_THROUGH)
        set_mask(s, s->through, row, col, (*b & 1023) != 0);
    if (flags & SWI_CELL_GAP)
        set_mask(s, s->gap, row, col, (*b >> 10 & 1023) != 0);
    if (flags & SWI_CELL_END)
        set_mask(s, s->end, row, col, (*b >> 20) != 0);
}

/* A thing in a cell; a full cell is an overlap that no move makes (moves.c looks). */
static void enter(swi_state *s, size_t cell, uint16_t thing) {
    uint8_t n = s->slot_count[cell];
    if (n == SWI_SLOTS) {
        s->broken = true;
        return;
    }
    SET(s, s->slots[cell * SWI_SLOTS + n], thing);
    SET(s, s->slot_count[cell], (uint8_t)(n + 1));
}

static void leave(swi_state *s, size_t cell, uint16_t thing) {
    uint16_t *slots = s->slots + cell * SWI_SLOTS;
    unsigned last = s->slot_count[cell] - 1u, at = 0;
    while (slots[at] != thing)
        at++;
    if (at != last)
        SET(s, slots[at], slots[last]);
    SET(s, slots[last], 0);
    SET(s, s->slot_count[cell], (uint8_t)last);
}

/* Cells that the thing shares with parts it is in the way of. */
static int overlaps(const swi_state *s, size_t cell, uint16_t thing, swi_place place, uint16_t form) {
    int count = 0;
    const uint16_t *slots = s->slots + cell * SWI_SLOTS;
    for (unsigned i = 0; i < s->slot_count[cell]; i++) {
        uint16_t other = slots[i];
        if (other >= s->m->thing_count || other == thing)
            continue;
        swi_place there = s->places[other];
        count += swi_clash(s->m, form, s->m->parts[other].shapes[there.shape].form, there.row - place.row,
                           there.col - place.col);
    }
    return count;
}

int swi_part_overlap(const swi_state *s, uint16_t part, swi_place place) {
    uint16_t number = s->m->parts[part].shapes[place.shape].form;
    const swi_form *form = &s->m->forms[number];
    int overlap = 0;
    for (uint32_t i = 0; i < form->cell_count; i++)
        overlap += overlaps(s, swi_cell_at(s, place.row + form->cells[i].row, place.col + form->cells[i].col), part, place, number);
    return overlap;
}

/* ---- parts ---- */

static void soft_again(swi_state *s, uint16_t part) {
    int32_t soft = s->places[part].shape < 0 ? 0 : swi_soft(s, part);
    if (soft == s->part_soft[part])
        return;
    ADD(s, s->tally->soft, soft - s->part_soft[part]);
    SET(s, s->part_soft[part], soft);
}

static void soft_around(swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    soft_again(s, part);
    for (unsigned i = 0; i < p->bond_count; i++)
        soft_again(s, s->m->bonds[p->first_bond + i].other);
}

static void set_place(swi_state *s, uint16_t part, swi_place place) {
    note(s, &s->places[part].row);
    note(s, &s->places[part].shape);
    s->places[part] = place;
}

static void set_box(swi_state *s, uint16_t node, swi_box box) {
    note8(s, &s->boxes[node]);
    s->boxes[node] = box;
}

/* The box of a node that is known grows with a pin that comes. */
static void widen_box(swi_state *s, uint16_t node, int row, int col) {
    swi_box b = s->boxes[node];
    if (!b.bottom || (row >= b.top && row < b.bottom && col >= b.left && col < b.right))
        return;
    b.top = row < b.top ? (int16_t)row : b.top;
    b.left = col < b.left ? (int16_t)col : b.left;
    b.bottom = row >= b.bottom ? (int16_t)(row + 1) : b.bottom;
    b.right = col >= b.right ? (int16_t)(col + 1) : b.right;
    set_box(s, node, b);
}

/* It is no longer known when a pin at its border goes. */
static void forget_box(swi_state *s, uint16_t node, int row, int col) {
    swi_box b = s->boxes[node];
    if (b.bottom && (row == b.top || row == b.bottom - 1 || col == b.left || col == b.right - 1))
        set_box(s, node, (swi_box){0, 0, 0, 0});
}

void swi_part_put(swi_state *s, uint16_t part, swi_place place) {
    const swi_part *p = &s->m->parts[part];
    const swi_shape *shape = &p->shapes[place.shape];
    const swi_form *form = &s->m->forms[shape->form];
    int overlap = 0;
    set_place(s, part, place);
    for (uint32_t i = 0; i < form->cell_count; i++) {
        const swi_cell *c = &form->cells[i];
        int row = place.row + c->row, col = place.col + c->col;
        size_t cell = swi_cell_at(s, row, col);
        if (s->slot_count[cell])
            overlap += overlaps(s, cell, part, place, shape->form);
        enter(s, cell, part);
        if (c->flags)
            block_cell(s, cell, row, col, c->flags, true);
    }
    if (overlap)
        ADD(s, s->tally->overlap, overlap);
    for (unsigned i = 0; i < p->pin_count; i++) {
        lead_put(s, place.row + shape->leads[i].row, place.col + shape->leads[i].column, p->node[i], part);
        widen_box(s, p->node[i], place.row + shape->leads[i].row, place.col + shape->leads[i].column);
    }
    if (part < s->m->part_count)
        soft_around(s, part);
}

void swi_part_take(swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    swi_place place = s->places[part];
    const swi_shape *shape = &p->shapes[place.shape];
    const swi_form *form = &s->m->forms[shape->form];
    int overlap = 0;
    for (unsigned i = 0; i < p->pin_count; i++) {
        lead_take(s, place.row + shape->leads[i].row, place.col + shape->leads[i].column, p->node[i]);
        forget_box(s, p->node[i], place.row + shape->leads[i].row, place.col + shape->leads[i].column);
    }
    for (uint32_t i = 0; i < form->cell_count; i++) {
        const swi_cell *c = &form->cells[i];
        int row = place.row + c->row, col = place.col + c->col;
        size_t cell = swi_cell_at(s, row, col);
        leave(s, cell, part);
        if (s->slot_count[cell])
            overlap += overlaps(s, cell, part, place, shape->form);
        if (c->flags)
            block_cell(s, cell, row, col, c->flags, false);
    }
    if (overlap)
        ADD(s, s->tally->overlap, -overlap);
    set_place(s, part, (swi_place){0, 0, -1});
    soft_around(s, part);
}

/* ---- links ---- */

static void count_link(swi_state *s, const swi_wire *link, int sign) {
    int length = link->to - link->from;
    ADD(s, s->tally->links, sign);
    ADD(s, s->tally->pitches, sign * length);
    if (length > 10)
        ADD(s, s->tally->beyond, sign * (length - 10));
}

uint16_t swi_link_put(swi_state *s, uint16_t node, int col, int from, int to) {
    if (*s->free_count == 0) {
        s->broken = true;
        return SWI_NO_LINK;
    }
    ADD(s, *s->free_count, UINT32_MAX);
    uint16_t id = s->free_links[*s->free_count], head = s->first_link[node];
    swi_wire *link = &s->links[id];
    for (size_t k = 0; k < sizeof *link; k += 4)
        note(s, (unsigned char *)link + k);
    *link = (swi_wire){node, (int16_t)col, (int16_t)from, (int16_t)to, head, SWI_NO_LINK, 0};
    if (head != SWI_NO_LINK)
        SET(s, s->links[head].before, id);
    SET(s, s->first_link[node], id);
    ADD(s, s->link_count[node], 1);
    count_link(s, link, 1);
    uint16_t thing = (uint16_t)(s->m->thing_count + id);
    lead_put(s, from, col, node, thing);
    lead_put(s, to, col, node, thing);
    for (int row = from; row <= to; row++) {
        size_t cell = swi_cell_at(s, row, col);
        enter(s, cell, thing);
        block_cell(s, cell, row, col, SWI_CELL_THROUGH, true);
    }
    return id;
}

void swi_link_take(swi_state *s, uint16_t id) {
    swi_wire link = s->links[id];
    uint16_t thing = (uint16_t)(s->m->thing_count + id);
    for (int row = link.from; row <= link.to; row++) {
        size_t cell = swi_cell_at(s, row, link.col);
        leave(s, cell, thing);
        block_cell(s, cell, row, link.col, SWI_CELL_THROUGH, false);
    }
    lead_take(s, link.to, link.col, link.node);
    lead_take(s, link.from, link.col, link.node);
    count_link(s, &link, -1);
    if (link.before != SWI_NO_LINK)
        SET(s, s->links[link.before].next, link.next);
    else
        SET(s, s->first_link[link.node], link.next);
    if (link.next != SWI_NO_LINK)
        SET(s, s->links[link.next].before, link.before);
    ADD(s, s->link_count[link.node], -1);
    SET(s, s->links[id].node, SWI_NO_NODE);
    SET(s, s->free_links[*s->free_count], id);
    ADD(s, *s->free_count, 1);
}

bool swi_link_fits(const swi_state *s, uint16_t node, int col, int from, int to) {
    if (from < 0 || to >= s->rows || col < 0 || col >= s->cols || from >= to || to - from > s->m->longest_link)
        return false;
    size_t word = (size_t)(col >> 6);
    uint64_t bit = UINT64_C(1) << (col & 63);
    for (int row = from; row <= to; row++) {
        size_t at = (size_t)row * (size_t)s->words + word;
        if (s->through[at] & bit || (row < to && s->gap[at] & bit))
            return false;
        bool is_end = row == from || row == to;
        if (is_end && (s->end[at] & bit || s->hole_owner[swi_hole(s, row, col)]))
            return false;
        if (s->slot_count[swi_cell_at(s, row, col)] == SWI_SLOTS)
            return false;
    }
    (void)node;
    return *s->free_count > 0;
}

/* ---- counting pieces ---- */

static void list_open(swi_state *s, uint16_t node, bool open) {
    uint16_t at = s->open_at[node];
    if (open == (at != 0))
        return;
    if (open) {
        SET(s, s->open_list[*s->open_count], node);
        ADD(s, *s->open_count, 1);
        SET(s, s->open_at[node], (uint16_t)*s->open_count);
        return;
    }
    ADD(s, *s->open_count, UINT32_MAX);
    uint16_t last = s->open_list[*s->open_count];
    SET(s, s->open_list[at - 1], last);
    SET(s, s->open_at[last], at);
    SET(s, s->open_list[*s->open_count], 0);
    SET(s, s->open_at[node], 0);
}

/* Rows and columns that the node's pins span. */
static int spread_of(swi_state *s, uint16_t node) {
    const swi_node *n = &s->m->nodes[node];
    swi_box b = s->boxes[node];
    if (!b.bottom) {
        b = (swi_box){INT16_MAX, INT16_MAX, 0, 0};
        for (uint32_t i = 0; i < n->pin_count; i++) {
            swi_node_pin pin = s->m->node_pins[n->first_pin + i];
            swi_place place = s->places[pin.part];
            if (place.shape < 0)
                continue;
            sw_offset lead = s->m->parts[pin.part].shapes[place.shape].leads[pin.pin];
            int row = place.row + lead.row, col = place.col + lead.column;
            b.top = row < b.top ? (int16_t)row : b.top;
            b.left = col < b.left ? (int16_t)col : b.left;
            b.bottom = row >= b.bottom ? (int16_t)(row + 1) : b.bottom;
            b.right = col >= b.right ? (int16_t)(col + 1) : b.right;
        }
        if (!b.bottom)
            return 0;
        set_box(s, node, b);
    }
    return b.bottom - 1 - b.top + b.right - 1 - b.left;
}

void swi_settle(swi_state *s) {
    while (s->dirty_count > 0) {
        uint16_t node = s->dirty[--s->dirty_count];
        s->is_dirty[node] = 0;
        if (node == s->m->node_count)
            continue; /* copper under screws: nobody's */
        int32_t pieces = s->runs[node];
        int spare = 0;
        if (pieces > 1 && (s->link_count[node] || s->m->nodes[node].join_count))
            pieces -= swi_web_load(s, node, &spare);
        else if (pieces == 1)
            spare = s->link_count[node];
        if (spare != s->spare[node])
            SET(s, s->spare[node], spare);
        int32_t before = s->pieces[node], was = before > 1 ? before - 1 : 0, is = pieces > 1 ? pieces - 1 : 0;
        if (pieces != before)
            SET(s, s->pieces[node], pieces);
        if (is != was)
            ADD(s, s->tally->open, is - was);
        int32_t spread = is ? spread_of(s, node) : 0;
        if (spread != s->spread[node]) {
            ADD(s, s->tally->spread, spread - s->spread[node]);
            SET(s, s->spread[node], spread);
        }
        list_open(s, node, is > 0);
    }
}

int64_t swi_cost(const swi_state *s) {
    const swi_tally *t = s->tally;
    const swi_weights *w = &s->weights;
    return (int64_t)t->overlap * w->overlap + (int64_t)t->adjacent * w->adjacent + (int64_t)t->open * w->open +
           (int64_t)t->spread * w->spread + (int64_t)t->links * w->link + (int64_t)t->pitches * w->pitch +
           (int64_t)t->beyond * w->beyond + (int64_t)(t->runs - t->used) * w->cut + (int64_t)t->copper * w->copper +
           (int64_t)t->soft * w->soft;
}
