/* src/layout/boards.c: which board sizes are known to be impossible. */
#include "boards.h"
#include "emit.h"

void swi_boards_begin(swi_boards *b, const swi_model *m) {
    *b = (swi_boards){.m = m};
    for (int rows = 1; rows <= m->most_rows && rows <= SWI_MOST_SIDE; rows++)
        b->refuted[rows] = (int16_t)(swi_least_columns(m, rows) - 1);
}

void swi_boards_refute(swi_boards *b, swi_size size) {
    for (int rows = 1; rows <= size.rows; rows++)
        if (b->refuted[rows] < size.cols)
            b->refuted[rows] = size.cols;
}

/* Columns that a board of so many strips may have and still be smaller, margin and all. */
static int columns_below(const swi_model *m, int rows, int holes) {
    int lost = 2 * m->options->margin;
    int cols = (holes - 1) / (rows + lost) - lost;
    return cols < m->most_cols ? cols : m->most_cols;
}

int swi_boards_bound(const swi_boards *b, int holes, swi_size *size) {
    int lost = 2 * b->m->options->margin, least = holes;
    for (int rows = b->m->fixed_size ? b->m->most_rows : 1; rows <= b->m->most_rows && rows < holes; rows++) {
        int cols = b->m->fixed_size ? b->m->most_cols : b->refuted[rows] + 1, area = (rows + lost) * (cols + lost);
        if (cols > b->m->most_cols || area >= least)
            continue;
        least = area;
        if (size)
            *size = (swi_size){(int16_t)rows, (int16_t)cols};
    }
    return least;
}

int swi_boards_list(const swi_boards *b, int holes, swi_size *sizes, int most) {
    int count = 0, last = b->m->most_rows < holes ? b->m->most_rows : holes;
    for (int rows = 1; rows <= last && count < most && !b->m->fixed_size; rows++) {
        int cols = columns_below(b->m, rows, holes);
        if (cols <= b->refuted[rows] || (rows < last && columns_below(b->m, rows + 1, holes) == cols))
            continue; /* known, or it fits into the next one */
        sizes[count++] = (swi_size){(int16_t)rows, (int16_t)cols};
    }
    return count;
}
