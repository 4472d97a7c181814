/* src/layout/state.c: putting down and taking up, with the count kept and noted.
 *
 * The primitive steps of a plan in the making (state.h).  Each is a few words per
 * lead and per cell, whatever the size of the board.
 */
#include <stdlib.h>
#include "journal.h"

/* ---- the journal ---- */

bool swi_journal_grow(swi_state *s, size_t more) {
    size_t count = (size_t)(s->undo_top - s->undo), room = (count + more) * 2;
    swi_undo *grown = realloc(s->undo, room * sizeof *grown);
    if (!grown) {
        s->undo_top = s->undo;
        s->broken = true;
        return false;
    }
    s->undo = grown;
    s->undo_top = grown + count;
    s->undo_end = grown + room;
    return true;
}

void swi_revert(swi_state *s) {
    for (const swi_undo *u = s->undo_top; u-- > s->undo;)
        memcpy(u->at, &u->old, 8);
    s->undo_top = s->undo;
    *s->tally = s->tally_before;
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
static inline void count_lead(swi_state *s, int row, int col, uint16_t node, int sign) {
    const uint64_t *w = s->leads + (size_t)row * (size_t)s->words;
    int left = swi_prev_bit(w, col), right = swi_next_bit(w, s->words, col);
    const swi_lead *holes = s->holes + swi_hole(s, row, 0);
    unsigned n = node + 1u, nl = left < 0 ? 0 : holes[left].node, nr = right < 0 ? 0 : holes[right].node;
    swi_tally *tally = s->tally;
    touch(s, node);
    /* With a knife neighbours can be parted, and beside a cut they are. */
    unsigned cut = s->cut_mark;
    if (!s->knife && n != cut)
        tally->adjacent += sign * ((nl && nl != n && nl != cut && col - left == 1) +
                                   (nr && nr != n && nr != cut && right - col == 1));
    tally->used += nl || nr ? 0 : sign;
    tally->copper += sign * ((nl == n ? col - left : 0) + (nr == n ? right - col : 0) - (nl && nl == nr ? right - left : 0));
    if (nl == n || nr == n)
        return;
    SWI_ADD(s, s->runs[node], sign);
    int more = 1;
    if (nl && nl == nr) {
        SWI_ADD(s, s->runs[nl - 1], sign);
        touch(s, (uint16_t)(nl - 1));
        more = 2;
    }
    tally->runs += sign * more;
}

/* A lead that joins or separates others of its own node may leave the number of runs as it
 * is and still change which links meet: the node is touched in any case. */
static void lead_put(swi_state *s, int row, int col, uint16_t node, uint16_t owner) {
    count_lead(s, row, col, node, 1);
    uint64_t bit = UINT64_C(1) << (col & 63);
    uint64_t *all = s->leads + (size_t)row * (size_t)s->words + (col >> 6), *own = swi_mine(s, node, row) + (col >> 6);
    swi_lead *hole = &s->holes[swi_hole(s, row, col)];
    SWI_SET(s, *all, *all | bit);
    SWI_SET(s, *own, *own | bit);
    SWI_SET(s, *hole, ((swi_lead){(uint16_t)(node + 1), (uint16_t)(owner + 1)}));
}

static void lead_take(swi_state *s, int row, int col, uint16_t node) {
    uint64_t bit = UINT64_C(1) << (col & 63);
    uint64_t *all = s->leads + (size_t)row * (size_t)s->words + (col >> 6), *own = swi_mine(s, node, row) + (col >> 6);
    swi_lead *hole = &s->holes[swi_hole(s, row, col)];
    SWI_SET(s, *all, *all & ~bit);
    SWI_SET(s, *own, *own & ~bit);
    SWI_SET(s, *hole, ((swi_lead){0, 0}));
    count_lead(s, row, col, node, -1);
}

/* ---- parts ---- */

static void soft_again(swi_state *s, uint16_t part) {
    int32_t soft = s->places[part].shape < 0 ? 0 : swi_soft(s, part);
    if (soft == s->part_soft[part])
        return;
    s->tally->soft += soft - s->part_soft[part];
    SWI_SET(s, s->part_soft[part], soft);
}

static void soft_around(swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    soft_again(s, part);
    for (unsigned i = 0; i < p->bond_count; i++)
        soft_again(s, s->m->bonds[p->first_bond + i].other);
}

static void set_place(swi_state *s, uint16_t part, swi_place place) {
    swi_note(s, &s->places[part].row);
    swi_note(s, &s->places[part].shape);
    s->places[part] = place;
}

static void set_box(swi_state *s, uint16_t node, swi_box box) {
    SWI_SET(s, s->boxes[node], box);
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
    set_place(s, part, place);
    s->tally->overlap += swi_stand(s, part, form->cells, form->cell_count, place, true);
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
    for (unsigned i = 0; i < p->pin_count; i++) {
        lead_take(s, place.row + shape->leads[i].row, place.col + shape->leads[i].column, p->node[i]);
        forget_box(s, p->node[i], place.row + shape->leads[i].row, place.col + shape->leads[i].column);
    }
    s->tally->overlap -= swi_stand(s, part, form->cells, form->cell_count, place, false);
    set_place(s, part, (swi_place){0, 0, -1});
    soft_around(s, part);
}

/* ---- links ---- */

static void count_link(swi_state *s, const swi_wire *link, int sign) {
    int length = link->to - link->from;
    s->tally->links += sign;
    s->tally->pitches += sign * length;
    s->tally->beyond += length > 10 ? sign * (length - 10) : 0;
    if (swi_is_kept(s, link))
        s->tally->soft -= sign * s->m->params.kept_link;
}

uint16_t swi_link_put(swi_state *s, uint16_t node, int col, int from, int to) {
    if (*s->free_count == 0) {
        s->broken = true;
        return SWI_NO_LINK;
    }
    SWI_ADD(s, *s->free_count, UINT32_MAX);
    uint16_t id = s->free_links[*s->free_count], head = s->first_link[node];
    swi_wire *link = &s->links[id];
    for (size_t k = 0; k < sizeof *link; k += 8)
        swi_note(s, (unsigned char *)link + k);
    *link = (swi_wire){node, (int16_t)col, (int16_t)from, (int16_t)to, head, SWI_NO_LINK, 0};
    if (head != SWI_NO_LINK)
        SWI_SET(s, s->links[head].before, id);
    SWI_SET(s, s->first_link[node], id);
    SWI_ADD(s, s->link_count[node], 1);
    count_link(s, link, 1);
    uint16_t thing = (uint16_t)(s->m->thing_count + id);
    lead_put(s, from, col, node, thing);
    lead_put(s, to, col, node, thing);
    swi_stand(s, thing, s->m->link_cells, (uint32_t)(to - from + 1), (swi_place){(int16_t)from, (int16_t)col, 0}, true);
    return id;
}

void swi_link_take(swi_state *s, uint16_t id) {
    swi_wire link = s->links[id];
    uint16_t thing = (uint16_t)(s->m->thing_count + id);
    swi_stand(s, thing, s->m->link_cells, (uint32_t)(link.to - link.from + 1), (swi_place){link.from, link.col, 0}, false);
    lead_take(s, link.to, link.col, link.node);
    lead_take(s, link.from, link.col, link.node);
    count_link(s, &link, -1);
    if (link.before != SWI_NO_LINK)
        SWI_SET(s, s->links[link.before].next, link.next);
    else
        SWI_SET(s, s->first_link[link.node], link.next);
    if (link.next != SWI_NO_LINK)
        SWI_SET(s, s->links[link.next].before, link.before);
    SWI_ADD(s, s->link_count[link.node], -1);
    SWI_SET(s, s->links[id].node, SWI_NO_NODE);
    SWI_SET(s, s->free_links[*s->free_count], id);
    SWI_ADD(s, *s->free_count, 1);
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
        if (is_end && (s->end[at] & bit || s->holes[swi_hole(s, row, col)].owner))
            return false;
        if (swi_things_in(&s->piles[swi_cell_at(s, row, col)]) == SWI_SLOTS)
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
        SWI_SET(s, s->open_list[*s->open_count], node);
        SWI_ADD(s, *s->open_count, 1);
        SWI_SET(s, s->open_at[node], (uint16_t)*s->open_count);
        return;
    }
    SWI_ADD(s, *s->open_count, UINT32_MAX);
    uint16_t last = s->open_list[*s->open_count];
    SWI_SET(s, s->open_list[at - 1], last);
    SWI_SET(s, s->open_at[last], at);
    SWI_SET(s, s->open_list[*s->open_count], 0);
    SWI_SET(s, s->open_at[node], 0);
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
        if (node >= s->m->node_count)
            continue; /* nobody's */
        int32_t pieces = s->runs[node];
        int spare = 0;
        if (pieces > 1 && (s->link_count[node] || s->m->nodes[node].join_count))
            pieces -= swi_web_load(s, node, &spare);
        else if (pieces == 1)
            spare = s->link_count[node];
        if (spare != s->spare[node])
            SWI_SET(s, s->spare[node], spare);
        int32_t before = s->pieces[node], was = before > 1 ? before - 1 : 0, is = pieces > 1 ? pieces - 1 : 0;
        if (pieces != before)
            SWI_SET(s, s->pieces[node], pieces);
        if (is != was)
            s->tally->open += is - was;
        int32_t spread = is ? spread_of(s, node) : 0;
        if (spread != s->spread[node]) {
            s->tally->spread += spread - s->spread[node];
            SWI_SET(s, s->spread[node], spread);
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
