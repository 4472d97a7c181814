/* src/layout/boards.h: which board sizes are known to be impossible.
 *
 * A plan that fits a board fits every larger one, so what is refuted for a size is for
 * every size within it: of each number of strips the greatest number of columns is kept for
 * which no plan exists.  Sizes are holes that may be used, without the margin; areas are with
 * it.
 */
#ifndef SWI_BOARDS_H
#define SWI_BOARDS_H

#include "model.h"

typedef struct swi_size { int16_t rows, cols; } swi_size;

typedef struct swi_boards {
    const swi_model *m;
    int16_t refuted[SWI_MOST_SIDE + 2]; /* columns, by strips */
} swi_boards;

/* What counting tells (bound.c). */
void swi_boards_begin(swi_boards *b, const swi_model *m);
/* Nothing of this size or smaller exists. */
void swi_boards_refute(swi_boards *b, swi_size size);
/* The least area that is not refuted, at most so many holes; *size (may be NULL) is its size. */
int swi_boards_bound(const swi_boards *b, int holes, swi_size *size);
/* Sizes of fewer holes that are not refuted, those that fit into another one left out; returns
 * how many there are, most at most. */
int swi_boards_list(const swi_boards *b, int holes, swi_size *sizes, int most);

#endif
