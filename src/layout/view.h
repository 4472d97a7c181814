/* src/layout/view.h: 64 columns of a strip's masks as one word. */
#ifndef SWI_VIEW_H
#define SWI_VIEW_H

#include "wiring.h"

typedef struct swi_view {
    int first;      /* column of bit 0 */
    uint64_t board; /* bits that are on the board */
    uint64_t mask;  /* bits that links may use */
} swi_view;

static inline uint64_t swi_bits(int first, int last) { /* 0 … 63, both included */
    if (first > last || first > 63 || last < 0)
        return 0;
    first = first < 0 ? 0 : first;
    last = last > 63 ? 63 : last;
    return (~UINT64_C(0) << first) & (~UINT64_C(0) >> (63 - last));
}

static inline swi_view swi_view_around(const swi_state *s, const swi_window *window, int col, int near) {
    swi_view view = {0, 0, 0};
    if (s->words > 1) {
        view.first = col - 32 < 0 ? 0 : col - 32;
        if (view.first > s->cols - 64 && s->cols >= 64)
            view.first = s->cols - 64;
    }
    view.board = swi_bits(0, s->cols - 1 - view.first);
    int first = window->first > col - near ? window->first : col - near;
    int last = window->last < col + near ? window->last : col + near;
    view.mask = swi_bits(first - view.first, last - view.first) & view.board;
    return view;
}

static inline uint64_t swi_see_row(const swi_state *s, const uint64_t *w, const swi_view *view) {
    if (s->words == 1)
        return w[0];
    int i = view->first >> 6, shift = view->first & 63;
    uint64_t x = w[i] >> shift;
    if (shift && i + 1 < s->words)
        x |= w[i + 1] << (64 - shift);
    return x;
}

static inline uint64_t swi_see(const swi_state *s, const uint64_t *mask, int row, const swi_view *view) {
    return swi_see_row(s, mask + (size_t)row * (size_t)s->words, view);
}

static inline bool swi_has_lead(const swi_state *s, uint16_t node, int row) {
    const uint64_t *own = swi_mine(s, node, row);
    for (int i = 0; i < s->words; i++)
        if (own[i])
            return true;
    return false;
}

/* Spreads seeds through the bits of free that touch them: upwards as a carry runs through ones,
 * downwards by doubling steps. */
static inline uint64_t swi_flood(uint64_t seeds, uint64_t free_bits) {
    uint64_t through = free_bits | seeds, up = ((through + seeds) ^ through) & through;
    uint64_t down = seeds, q = free_bits;
    for (int k = 1; k < 64; k *= 2) {
        down |= q & (down >> k);
        q &= q >> k;
    }
    return seeds | up | down;
}

/* Where a link end on row would be on copper of the node: a free hole that no other
 * node's lead separates from one of its leads, with room for a cut before the next
 * foreign lead. */
static inline uint64_t swi_reach(const swi_state *s, uint16_t node, int row, const swi_view *view) {
    uint64_t all = swi_see(s, s->leads, row, view), own = swi_see_row(s, swi_mine(s, node, row), view);
    uint64_t foreign = all & ~own;
    uint64_t reach = swi_flood(own, ~foreign & view->board) & ~all & view->board;
    if (s->m->has_cuts)
        foreign &= ~swi_see_row(s, swi_mine(s, swi_cut_node(s->m), row), view);
    if (!s->m->options->knife)
        reach &= ~(foreign << 1 | foreign >> 1);
    return reach & ~swi_see(s, s->through, row, view) & ~swi_see(s, s->end, row, view);
}

#endif
