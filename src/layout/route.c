/* src/layout/route.c: several links at once, by breadth-first search.
 *
 * Level 0 is where the node's own run can be tapped; level k + 1 is where copper that
 * one more link would reach can be tapped.  All columns of a strip are spread at once
 * as bits; the way back is found column by column.
 */
#include "view.h"
#include "wiring.h"

enum { MOST_LINKS = 5, MOST_ROWS = 512 };

typedef struct router {
    swi_state *s;
    const swi_window *window;
    swi_view view;
    uint16_t node;
    uint32_t piece;
    uint64_t taps[MOST_LINKS][MOST_ROWS]; /* level, row */
    uint64_t seen[MOST_ROWS];
} router;

/* Holes between two leads of one other node: a link end there would part them. */
static uint64_t inside_runs(const router *r, int row, uint64_t all) {
    const swi_lead *holes = r->s->holes + swi_hole(r->s, row, r->view.first);
    uint64_t inside = 0;
    int last = -1;
    for (; all; all &= all - 1) {
        int bit = __builtin_ctzll(all);
        if (last >= 0 && holes[bit].node == holes[last].node && holes[bit].node != r->node + 1)
            inside |= swi_bits(last + 1, bit - 1);
        last = bit;
    }
    return inside;
}

/* Free copper on row where a link may land: no lead in the hole or beside it. */
static uint64_t landing(const router *r, int row) {
    const swi_state *s = r->s;
    uint64_t all = swi_see(s, s->leads, row, &r->view);
    uint64_t taken = all | swi_see(s, s->through, row, &r->view) | swi_see(s, s->end, row, &r->view);
    if (!s->m->options->knife)
        taken |= all << 1 | all >> 1;
    return r->view.mask & ~taken & ~inside_runs(r, row, all);
}

/* All columns of the free copper that the bits are on. */
static uint64_t spread(const router *r, int row, uint64_t bits) {
    uint64_t all = swi_see(r->s, r->s->leads, row, &r->view);
    return swi_flood(bits, ~all & r->view.board);
}

/* Columns open for links from the taps of a level, one strip on. */
static bool step_on(const router *r, uint64_t *open, int *row, int step) {
    int next = *row + step;
    if (next < r->window->top || next > r->window->bottom)
        return false;
    *open &= ~swi_see(r->s, r->s->through, *row, &r->view);
    *open &= ~swi_see(r->s, r->s->gap, step > 0 ? *row : next, &r->view);
    *row = next;
    return *open != 0;
}

/* A column of ends on row whose copper is of the node but of another piece. */
static int goal(const router *r, int row, uint64_t open) {
    if (!swi_has_lead(r->s, r->node, row))
        return -1;
    uint64_t ends = open & swi_reach(r->s, r->node, row, &r->view);
    while (ends) {
        int bit = __builtin_ctzll(ends);
        ends &= ends - 1;
        if (swi_web_piece(r->s, swi_run(r->s, r->node, row, r->view.first + bit)) != r->piece)
            return bit;
    }
    return -1;
}

typedef struct found {
    int level, from, to, bit;
} found;

/* From every tap of a level both ways; true when a goal was met. */
static bool spread_level(router *r, int level, found *end) {
    for (int row = r->window->top; row <= r->window->bottom; row++)
        for (int step = -1; step <= 1 && r->taps[level][row]; step += 2) {
            uint64_t open = r->taps[level][row];
            int at = row;
            while (step_on(r, &open, &at, step) && (at > row ? at - row : row - at) <= r->s->m->longest_link) {
                int bit = goal(r, at, open);
                if (bit >= 0) {
                    *end = (found){level, row, at, bit};
                    return true;
                }
                uint64_t land = open & landing(r, at) & ~r->seen[at];
                if (!land || level + 1 == MOST_LINKS)
                    continue;
                uint64_t copper = spread(r, at, land);
                r->taps[level + 1][at] |= copper & landing(r, at);
                r->seen[at] |= copper;
            }
        }
    return false;
}

static bool put(router *r, int bit, int a, int b) {
    int from = a < b ? a : b, to = a < b ? b : a, col = r->view.first + bit;
    if (!swi_link_fits(r->s, r->node, col, from, to))
        return false;
    swi_link_put(r->s, r->node, col, from, to);
    return true;
}

/* The link that brings level − 1 to the copper of bit on row: its column and the row it
 * comes from. */
static bool way_back(const router *r, int level, int row, int bit, int *from, int *col) {
    uint64_t copper = spread(r, row, UINT64_C(1) << bit) & landing(r, row) & ~(UINT64_C(1) << bit);
    int best = MOST_ROWS;
    for (int other = r->window->top; other <= r->window->bottom; other++) {
        int length = other > row ? other - row : row - other;
        for (uint64_t ways = copper & r->taps[level - 1][other]; ways && length && length < best; ways &= ways - 1) {
            int c = __builtin_ctzll(ways);
            if (!swi_link_fits(r->s, r->node, r->view.first + c, other < row ? other : row, other < row ? row : other))
                continue;
            best = length;
            *from = other;
            *col = c;
            break;
        }
    }
    return best < MOST_ROWS;
}

static bool put_all(router *r, found end) {
    if (!put(r, end.bit, end.from, end.to))
        return false;
    int row = end.from, bit = end.bit;
    for (int level = end.level; level > 0; level--) {
        int from, col;
        if (!way_back(r, level, row, bit, &from, &col) || !put(r, col, from, row))
            return false;
        row = from;
        bit = col;
    }
    swi_settle(r->s);
    return true;
}

bool swi_route(swi_state *s, const swi_window *window, uint16_t node, int row, int col) {
    router r = {.s = s, .window = window, .node = node, .view = swi_view_around(s, window, col, 31)};
    int spare;
    swi_web_load(s, node, &spare);
    r.piece = swi_web_piece(s, swi_run(s, node, row, col));
    int left = swi_prev_foreign(s, node, row, col), right = swi_next_foreign(s, node, row, col);
    r.taps[0][row] = swi_reach(s, node, row, &r.view) & r.view.mask & swi_bits(left + 1 - r.view.first, right - 1 - r.view.first);
    r.seen[row] = r.taps[0][row];
    found end;
    for (int level = 0; level < MOST_LINKS; level++)
        if (spread_level(&r, level, &end))
            return put_all(&r, end);
    return false;
}
