/* src/layout/wiring.c: the shortest link, or any link, by bits of whole strips. */
#include "view.h"
#include "wiring.h"

/* Of two link ends found, the one nearer to the lead that asked. */
static int nearest_bit(uint64_t bits, int at) {
    uint64_t low = bits & ((UINT64_C(2) << at) - 1), high = bits & ~((UINT64_C(2) << at) - 1);
    int below = low ? 63 - __builtin_clzll(low) : -1000, above = high ? __builtin_ctzll(high) : 1000;
    return at - below <= above - at ? below : above;
}

/* Bits of `ends` on row whose copper is of another piece than `piece`. */
static int pick_other_piece(const swi_state *s, uint16_t node, int row, const swi_view *view, uint64_t ends, int at,
                            uint32_t piece) {
    while (ends) {
        int bit = nearest_bit(ends, at);
        if (swi_web_piece(s, swi_run(s, node, row, view->first + bit)) != piece)
            return bit;
        /* The rest of that run is no better. */
        uint64_t run = UINT64_C(1) << bit;
        int foreign = swi_prev_foreign(s, node, row, view->first + bit);
        for (uint64_t rest = ends & ~run; rest;) {
            int next = __builtin_ctzll(rest);
            rest &= rest - 1;
            if (swi_prev_foreign(s, node, row, view->first + next) == foreign)
                run |= UINT64_C(1) << next;
        }
        ends &= ~run;
    }
    return -1;
}

typedef struct climb {
    uint64_t open; /* columns from which a link has got so far */
    int row, step;
} climb;

/* One strip further; false at the edge of the window or when no column is left. */
static bool climb_on(const swi_state *s, const swi_window *window, const swi_view *view, climb *c) {
    int next = c->row + c->step;
    if (next < window->top || next > window->bottom)
        return false;
    c->open &= ~swi_see(s, s->through, c->row, view);
    c->open &= ~swi_see(s, s->gap, c->step > 0 ? c->row : next, view);
    c->row = next;
    return c->open != 0;
}

static bool put_between(swi_state *s, uint16_t node, int col, int a, int b) {
    int from = a < b ? a : b, to = a < b ? b : a;
    if (!swi_link_fits(s, node, col, from, to))
        return false;
    swi_link_put(s, node, col, from, to);
    swi_settle(s);
    return true;
}

/* Where a link may begin on the run that row, col is of. */
static uint64_t run_reach(const swi_state *s, uint16_t node, int row, int col, const swi_view *view) {
    uint16_t here = s->holes[swi_hole(s, row, col)].node;
    if (here && here != node + 1)
        return 0;
    int left = swi_prev_foreign(s, node, row, col), right = swi_next_foreign(s, node, row, col);
    return swi_reach(s, node, row, view) & view->mask & swi_bits(left + 1 - view->first, right - 1 - view->first);
}

bool swi_join_near(swi_state *s, const swi_window *window, uint16_t node, int row, int col, int near) {
    int spare;
    swi_web_load(s, node, &spare);
    uint32_t piece = swi_web_piece(s, swi_run(s, node, row, col));
    swi_view view = swi_view_around(s, window, col, near);
    uint64_t start = run_reach(s, node, row, col, &view);
    climb ways[2] = {{start, row, -1}, {start, row, 1}};
    bool goes[2] = {start != 0, start != 0};
    int at = col - view.first;
    for (int length = 1; length <= s->m->longest_link && (goes[0] || goes[1]); length++)
        for (int k = 0; k < 2; k++) {
            goes[k] = goes[k] && climb_on(s, window, &view, &ways[k]);
            if (!goes[k] || !swi_has_lead(s, node, ways[k].row))
                continue;
            uint64_t ends = ways[k].open & swi_reach(s, node, ways[k].row, &view);
            int bit = ends ? pick_other_piece(s, node, ways[k].row, &view, ends, at, piece) : -1;
            if (bit >= 0)
                return put_between(s, node, view.first + bit, row, ways[k].row);
        }
    return false;
}

static int random_bit(swi_rng *rng, uint64_t bits) {
    int skip = swi_below(rng, __builtin_popcountll(bits));
    while (skip-- > 0)
        bits &= bits - 1;
    return __builtin_ctzll(bits);
}

bool swi_join_random(swi_state *s, const swi_window *window, swi_rng *rng, uint16_t node, int row, int col) {
    swi_view view = swi_view_around(s, window, col, 31);
    uint64_t start = run_reach(s, node, row, col, &view);
    if (!start)
        return false;
    int bit = random_bit(rng, start);
    climb c = {UINT64_C(1) << bit, row, swi_below(rng, 2) ? 1 : -1};
    int found[64], count = 0;
    while (count < 64 && climb_on(s, window, &view, &c))
        if (swi_has_lead(s, node, c.row) && c.open & swi_reach(s, node, c.row, &view))
            found[count++] = c.row;
    if (count == 0)
        return false;
    return put_between(s, node, view.first + bit, row, found[swi_below(rng, count)]);
}
