/* src/papers/shopping.h: what to order.
 *
 * A list collects the parts of one plan or several, each built a number of times, and
 * then works out what else is needed: boards to cut the pieces from, sockets, terminal
 * pins, wire.
 */
#ifndef SWI_SHOPPING_H
#define SWI_SHOPPING_H

#include "subject.h"

typedef struct swi_buy {
    uint32_t quantity;      /* pieces; of wire mm */
    const char *value, *device, *package;
    const char *refs;       /* "R1 R4", "" for what is not in the circuit */
    const char *marking;    /* what is printed on it */
    const char *series;     /* "E12", "" where no series applies */
    const char *note;
} swi_buy;

typedef struct swi_shopping swi_shopping;

swi_shopping *swi_shopping_new(void);
void swi_shopping_free(swi_shopping *shopping);
/* Adds `copies` boards of this plan.  false when memory is out. */
bool swi_shopping_add(swi_shopping *shopping, const swi_subject *subject, uint32_t copies);
/* Ends adding: groups, sorts, and counts spares in (percent of small parts, rounded up).
 * The lines, in order of reference, then what is not in the circuit; owned by the list.
 * NULL when memory is out. */
const swi_buy *swi_shopping_finish(swi_shopping *shopping, int spare_percent, const sw_library *library,
                                   size_t *count);

/* ---- cutting pieces from stock ---- */

typedef struct swi_stock_cut {
    const sw_stock *stock;  /* NULL: no known size is large enough */
    uint32_t pieces;        /* that one board yields, in one grid */
    uint32_t boards;        /* for `copies` pieces */
    int strips_left, columns_left; /* of whole strips and columns beyond the grid, after the
                                      snap line's loss */
} swi_stock_cut;

/* Pieces of strips × columns that a board yields when each snap line loses a line of
 * holes; 0 when it is too small. */
uint32_t swi_stock_yield(const sw_stock *stock, int strips, int columns);
/* The size that takes the least board for so many copies, then the fewest boards. */
swi_stock_cut swi_stock_choose(const sw_library *library, int strips, int columns, uint32_t copies);

#endif
