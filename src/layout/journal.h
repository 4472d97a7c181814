/* src/layout/journal.h: words of a state's block are noted before they change (state.h). */
#ifndef SWI_JOURNAL_H
#define SWI_JOURNAL_H

#include "state.h"

/* Room for so many more notes than there is; false, and the state broken, when memory is out:
 * the journal begins anew then, for nobody will go back. */
bool swi_journal_grow(swi_state *s, size_t more);

static inline bool swi_journal_room(swi_state *s, size_t more) {
    return (size_t)(s->undo_end - s->undo_top) >= more || swi_journal_grow(s, more);
}

/* Notes a word of eight aligned bytes where the caller has seen that there is room. */
static inline swi_undo *swi_note_word(swi_undo *top, void *word) {
    uint64_t old; /* a copy, so that the compiler need not fear for what the state points to */
    memcpy(&old, word, sizeof old);
    *top = (swi_undo){word, old};
    return top + 1;
}

/* Notes the eight aligned bytes that hold *p. */
static inline void swi_note(swi_state *s, const void *p) {
    if (swi_journal_room(s, 1))
        s->undo_top = swi_note_word(s->undo_top,
                                    s->block + ((size_t)((const unsigned char *)p - s->block) & ~(size_t)7));
}

#define SWI_SET(s, place, value) (swi_note((s), &(place)), (place) = (value))
#define SWI_ADD(s, place, value) (swi_note((s), &(place)), (place) += (value))

/* stand.c: a thing comes to stand in the cells, or goes from them; place: where their rows and
 * columns count from, and the shape of a part.  A full cell is an overlap that no move makes
 * (shift.c looks): the state is broken then.  Returns the cells that a part shares with parts
 * it is in the way of. */
int swi_stand(swi_state *s, uint16_t thing, const swi_cell *cells, uint32_t count, swi_place place, bool comes);

#endif
