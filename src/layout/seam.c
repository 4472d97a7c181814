/* src/layout/seam.c: where a column can be taken out with the least harm.
 *
 * A seam takes one hole out of every strip, stepping sideways by at most one from strip
 * to strip.  What it runs over is counted: cells under bodies, leads twice, links;
 * dynamic programming finds the cheapest seam to each hole of the bottom strip,
 * and of a few ends drawn at random the best is taken.
 */
#include <stdlib.h>
#include "sketch.h"

static bool make_grid(swi_walk *w, size_t holes) {
    if (2 * holes > w->grid_room) {
        free(w->grid);
        w->grid_room = 4 * holes;
        w->grid = malloc(w->grid_room * sizeof *w->grid);
    }
    if (!w->grid) {
        w->grid_room = 0;
        w->s->broken = true;
        return false;
    }
    memset(w->grid, 0, 2 * holes * sizeof *w->grid);
    return true;
}

static void add(int32_t *grid, const swi_sketch *k, int row, int col, int32_t value) {
    if (row >= 0 && col >= 0 && row < k->rows && col < k->cols)
        grid[row * k->cols + col] += value;
}

static void fill(const swi_walk *w, const swi_sketch *k) {
    const swi_model *m = w->s->m;
    for (uint16_t p = 0; p < m->part_count; p++) {
        swi_place place = k->places[p];
        const swi_shape *shape = &m->parts[p].shapes[place.shape];
        const swi_form *form = &m->forms[shape->form];
        for (uint32_t i = 0; i < form->cell_count; i++)
            add(w->grid, k, place.row + form->cells[i].row, place.col + form->cells[i].col, 2);
        for (unsigned i = 0; i < m->parts[p].pin_count; i++)
            add(w->grid, k, place.row + shape->leads[i].row, place.col + shape->leads[i].column, 2);
    }
    for (uint32_t i = 0; i < k->link_count; i++)
        for (int row = k->links[i].from; row <= k->links[i].to; row++)
            add(w->grid, k, row, k->links[i].col, 1);
}

/* Sums to each hole from the top, into the second half of the grid. */
static void sum_down(swi_walk *w, const swi_sketch *k, bool straight) {
    int32_t *sum = w->grid + k->rows * k->cols;
    for (int row = 0; row < k->rows; row++)
        for (int col = 0; col < k->cols; col++) {
            int32_t best = 0;
            if (row > 0) {
                const int32_t *above = sum + (row - 1) * k->cols;
                best = above[col];
                if (!straight && col > 0 && above[col - 1] < best)
                    best = above[col - 1];
                if (!straight && col + 1 < k->cols && above[col + 1] < best)
                    best = above[col + 1];
            }
            int32_t noise = straight ? 0 : swi_below(&w->rng, 4);
            sum[row * k->cols + col] = best + 4 * w->grid[row * k->cols + col] + noise;
        }
}

bool swi_find_seam(swi_walk *w, const swi_sketch *k, bool straight) {
    if (!make_grid(w, (size_t)k->rows * (size_t)k->cols))
        return false;
    fill(w, k);
    sum_down(w, k, straight);
    const int32_t *sum = w->grid + k->rows * k->cols, *last = sum + (k->rows - 1) * k->cols;
    int col = swi_below(&w->rng, k->cols);
    for (int draw = 0; draw < 2; draw++) {
        int other = swi_below(&w->rng, k->cols);
        if (last[other] < last[col])
            col = other;
    }
    for (int row = k->rows - 1; row >= 0; row--) {
        w->seam[row] = (int16_t)col;
        if (row == 0 || straight)
            continue;
        const int32_t *above = sum + (row - 1) * k->cols;
        int best = col;
        if (col > 0 && above[col - 1] < above[best])
            best = col - 1;
        if (col + 1 < k->cols && above[col + 1] < above[best])
            best = col + 1;
        col = best;
    }
    return true;
}
