/* src/layout/cuts.c: which hole of each gap is cut.
 *
 * Every gap between neighbouring leads of different nodes gets one cut.  Cuts
 * under one IC share a column where the gaps allow it; others stand in line with
 * cuts of neighbouring strips, else in the middle of their gap, where a drill has most
 * room.  What is cut on a board that is built stays.
 */
#include <stdlib.h>
#include "emit.h"

typedef struct cut_gap {
    int16_t row, first, last; /* free holes between the leads; first > last: none */
    int16_t col;              /* chosen; -1 not yet */
    bool is_cut;              /* on the board already */
} cut_gap;

typedef struct gaps {
    cut_gap *items;
    size_t count, room;
} gaps;

static bool find_gaps(const swi_state *s, gaps *g) {
    for (int row = 0; row < s->rows; row++) {
        int left = -1;
        for (int col = 0; col < s->cols; col++) {
            uint16_t node = s->holes[swi_hole(s, row, col)].node;
            if (!node)
                continue;
            bool is_cut = node == s->cut_mark, parted = left >= 0 && s->holes[swi_hole(s, row, left)].node != node;
            if ((is_cut || parted) && !SWI_GROW(g->items, g->room, g->count + 1))
                return false;
            if (is_cut)
                g->items[g->count++] = (cut_gap){(int16_t)row, (int16_t)col, (int16_t)col, (int16_t)col, true};
            else if (parted)
                g->items[g->count++] = (cut_gap){(int16_t)row, (int16_t)(left + 1), (int16_t)(col - 1), -1, false};
            left = is_cut ? -1 : col;
        }
    }
    return true;
}

/* Gaps over the rows of a DIP that could be cut in col. */
static int could_cut(const gaps *g, int top, int bottom, int col, bool choose) {
    int count = 0;
    for (size_t i = 0; i < g->count; i++) {
        cut_gap *gap = &g->items[i];
        if (gap->row < top || gap->row > bottom || gap->first > col || gap->last < col || gap->col >= 0)
            continue;
        count++;
        if (choose)
            gap->col = (int16_t)col;
    }
    return count;
}

static void cut_under_ics(const swi_state *s, gaps *g) {
    for (uint16_t p = 0; p < s->m->part_count; p++) {
        const swi_shape *shape = swi_shape_of(s, p);
        if (shape->package->form != SW_FORM_DIP)
            continue;
        int top = s->places[p].row, bottom = top + shape->rows, best = -1, most = 0;
        for (int col = s->places[p].col + 1; col < s->places[p].col + shape->cols; col++) {
            int count = could_cut(g, top, bottom, col, false);
            if (count > most) {
                most = count;
                best = col;
            }
        }
        /* What the common column cannot serve is cut in the next best one. */
        if (best >= 0)
            could_cut(g, top, bottom, best, true);
        for (int col = s->places[p].col + 1; col < s->places[p].col + shape->cols; col++)
            could_cut(g, top, bottom, col, true);
    }
}

static int in_line(const gaps *g, int row, int col) {
    int count = 0;
    for (size_t i = 0; i < g->count; i++)
        count += g->items[i].col == col && (g->items[i].row == row - 1 || g->items[i].row == row + 1);
    return count;
}

static void cut_rest(gaps *g) {
    for (size_t i = 0; i < g->count; i++) {
        cut_gap *gap = &g->items[i];
        if (gap->col >= 0 || gap->first > gap->last)
            continue;
        int best = -1, merit = -1000;
        for (int col = gap->first; col <= gap->last; col++) {
            int off = 2 * col - gap->first - gap->last, value = 100 * in_line(g, gap->row, col) - (off < 0 ? -off : off);
            if (value > merit) {
                merit = value;
                best = col;
            }
        }
        gap->col = (int16_t)best;
    }
}

bool swi_emit_cuts(const swi_state *s, sw_plan *plan) {
    gaps g = {NULL, 0, 0};
    int margin = s->m->options->margin;
    bool ok = find_gaps(s, &g);
    cut_under_ics(s, &g);
    cut_rest(&g);
    for (size_t i = 0; i < g.count && ok; i++) {
        const cut_gap *gap = &g.items[i];
        bool knife = gap->first > gap->last;
        int col = knife ? gap->last : gap->col;
        sw_cut cut = {.hole = {(int16_t)(gap->row + margin), (int16_t)(col + margin)}, .knife = knife,
                      .asked = gap->is_cut}; /* it may part nothing now */
        ok = sw_plan_add_cut(plan, cut);
    }
    free(g.items);
    return ok;
}
