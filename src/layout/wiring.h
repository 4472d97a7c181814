/* src/layout/wiring.h: finding links.
 *
 * All of it works on 64 columns of strips at a time as bits of a word (a view), so
 * that a strip is judged in a few operations: where a node's copper can be reached,
 * where a link may end, how far links from many columns at once get upwards or
 * downwards.
 */
#ifndef SWI_WIRING_H
#define SWI_WIRING_H

#include "rng.h"
#include "state.h"

/* The columns that links may use. */
typedef struct swi_window {
    int first, last;         /* columns */
    int top, bottom;         /* strips */
} swi_window;

/* Makes the shortest link from the run at row, col of the node to another of its
 * pieces, within `near` columns; false when there is none.  Call with counts settled;
 * leaves them settled. */
bool swi_join_near(swi_state *s, const swi_window *window, uint16_t node, int row, int col, int near);
/* A link from a random column of that run to wherever it can end on copper of the node. */
bool swi_join_random(swi_state *s, const swi_window *window, swi_rng *rng, uint16_t node, int row, int col);
/* As many links as it takes, fewest first, over strips that are free there; at most
 * five. */
bool swi_route(swi_state *s, const swi_window *window, uint16_t node, int row, int col);

#endif
