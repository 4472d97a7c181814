/* src/layout/stand.c: what stands in which cells, and where links may not be for it.
 *
 * Most moves are tried and taken back, and much of their time goes here: so what is in a
 * cell is one or two words, each noted once.
 */
#include "journal.h"

enum { MOST_NOTES = 5 }; /* for a cell: two words of things, three masks */
#define NO_FORM UINT16_MAX

/* What a thing with these flags adds to a cell's counts. */
static const uint16_t counts_of[8] = {0x0001, 0x0011, 0x0101, 0x0111, 0x1001, 0x1011, 0x1101, 0x1111};

/* Cells that the thing shares with parts it is in the way of. */
static inline int overlaps(const swi_state *s, const swi_pile *pile, uint16_t thing, swi_place place, uint16_t form) {
    int count = 0;
    for (unsigned i = 0; i < swi_things_in(pile); i++) {
        uint16_t other = pile->things[i];
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
    for (uint32_t i = 0; i < form->cell_count; i++) {
        const swi_pile *pile = &s->piles[swi_cell_at(s, place.row + form->cells[i].row, place.col + form->cells[i].col)];
        overlap += pile->counts ? overlaps(s, pile, part, place, number) : 0;
    }
    return overlap;
}

/* The masks of a cell change where the first thing with a flag comes, or the last goes;
 * `others`: the cell's counts without this one. */
static inline swi_undo *flip(const swi_state *s, swi_undo *top, size_t at, uint64_t bit, unsigned flags,
                             unsigned others) {
    if (flags & SWI_CELL_THROUGH && !(others & 0x00F0)) {
        top = swi_note_word(top, &s->through[at]);
        s->through[at] ^= bit;
    }
    if (flags & SWI_CELL_GAP && !(others & 0x0F00)) {
        top = swi_note_word(top, &s->gap[at]);
        s->gap[at] ^= bit;
    }
    if (flags & SWI_CELL_END && !(others & 0xF000)) {
        top = swi_note_word(top, &s->end[at]);
        s->end[at] ^= bit;
    }
    return top;
}

/* Counts and the first three things are one word, the other things the next. */
static inline swi_undo *note_pile(swi_undo *top, swi_pile *pile, unsigned place) {
    top = swi_note_word(top, pile);
    return place > 2 ? swi_note_word(top, &pile->things[3]) : top;
}

static inline swi_undo *enter(swi_state *s, swi_undo *top, swi_pile *pile, uint16_t thing, unsigned flags) {
    unsigned count = swi_things_in(pile);
    if (count == SWI_SLOTS) {
        s->broken = true;
        return top;
    }
    top = note_pile(top, pile, count);
    pile->counts = (uint16_t)(pile->counts + counts_of[flags]);
    pile->things[count] = thing;
    return top;
}

static inline swi_undo *leave(swi_undo *top, swi_pile *pile, uint16_t thing, unsigned flags) {
    unsigned count = swi_things_in(pile), at = 0;
    while (at < count && pile->things[at] != thing)
        at++;
    if (at == count)
        return top; /* of a broken state */
    top = note_pile(top, pile, count - 1);
    pile->counts = (uint16_t)(pile->counts - counts_of[flags]);
    pile->things[at] = pile->things[count - 1];
    pile->things[count - 1] = 0;
    return top;
}

int swi_stand(swi_state *s, uint16_t thing, const swi_cell *cells, uint32_t count, swi_place place, bool comes) {
    if (!swi_journal_room(s, (size_t)count * MOST_NOTES))
        return 0;
    swi_undo *top = s->undo_top;
    int overlap = 0;
    uint16_t form = thing < s->m->thing_count ? s->m->parts[thing].shapes[place.shape].form : NO_FORM;
    for (const swi_cell *c = cells; c < cells + count; c++) {
        int row = place.row + c->row, col = place.col + c->col;
        swi_pile *pile = &s->piles[swi_cell_at(s, row, col)];
        unsigned others = pile->counts;
        top = comes ? enter(s, top, pile, thing, c->flags) : leave(top, pile, thing, c->flags);
        others = comes ? others : pile->counts;
        if (others && form != NO_FORM)
            overlap += overlaps(s, pile, thing, place, form);
        if (c->flags && (unsigned)row < (unsigned)s->rows && (unsigned)col < (unsigned)s->cols)
            top = flip(s, top, (size_t)row * (size_t)s->words + (size_t)(col >> 6), UINT64_C(1) << (col & 63),
                       c->flags, others);
    }
    s->undo_top = top;
    return overlap;
}
