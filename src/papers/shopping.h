/* src/papers/shopping.h: what to order.
 *
 * A list collects the parts of one plan or several, each built a number of times, and
 * then works out what else is needed: boards to cut the pieces from, sockets, terminal
 * pins, wire.
 */
#ifndef SWI_SHOPPING_H
#define SWI_SHOPPING_H

#include "subject.h"

typedef enum swi_buy_kind {
    SWI_BUY_PART, SWI_BUY_BOARD, SWI_BUY_SOCKET, SWI_BUY_PIN, SWI_BUY_WIRE
} swi_buy_kind;

typedef struct swi_buy_ref {
    uint32_t board;         /* from 1, in the order of adding */
    const char *ref;
} swi_buy_ref;

typedef struct swi_buy {
    swi_buy_kind kind;
    uint64_t quantity;      /* pieces; of wire mm */
    const char *value, *device, *package;
    const char *refs;       /* "R1 R4", "board 1: R1; board 2: R3" when boards were added up, ""
                               for what is not in the circuit */
    const swi_buy_ref *each; /* the same one by one */
    uint32_t each_count;
    const char *marking;    /* what is printed on it, all in one text */
    const char *bands_4, *bands_5; /* resistors: colours of the bands; "" */
    const char *code;       /* letter code of a resistor, code of a capacitor; "" */
    const char *written;    /* the value as plans write it where that is not the normal form; "" */
    const char *series;     /* "E12", "" where no series applies */
    const char *note;
} swi_buy;

typedef struct swi_shopping swi_shopping;

swi_shopping *swi_shopping_new(void);
void swi_shopping_free(swi_shopping *shopping);
/* Adds `copies` boards of this plan, as the next board of the list: one project each.
 * false when memory is out. */
bool swi_shopping_add(swi_shopping *shopping, const swi_subject *subject, uint32_t copies);
/* Ends adding: groups, sorts, and counts spares in (percent of small parts, rounded up).
 * The lines, in order of reference, then what is not in the circuit; owned by the list.
 * NULL when memory is out. */
const swi_buy *swi_shopping_finish(swi_shopping *shopping, int spare_percent, const sw_library *library,
                                   size_t *count);

/* ---- cutting pieces from stock (sw_stock_yield in papers.h) ---- */

typedef struct swi_stock_cut {
    const sw_stock *stock;  /* NULL: no known size is large enough */
    uint32_t pieces;        /* that one board yields, in one grid */
    uint32_t boards;        /* for `copies` pieces */
    int strips_left, columns_left; /* of whole strips and columns beyond the grid, after the
                                      snap line's loss */
} swi_stock_cut;

/* The size that takes the least board for so many copies, then the fewest boards. */
swi_stock_cut swi_stock_choose(const sw_library *library, int strips, int columns, uint32_t copies);

typedef struct swi_piece {
    int strips, columns;
    uint32_t copies;
} swi_piece;

/* Pieces of several sizes cut from boards of one size. */
typedef struct swi_nest {
    const sw_stock *stock;  /* NULL: no size takes them all, or they are very many */
    uint32_t boards;
    const char *how;        /* how each board is cut, in words */
} swi_nest;

/* More pieces than this are not cut together: a class has some dozens. */
enum { SWI_NEST_MOST = 1000 };

/* The size that takes the least board when all pieces are cut from it.  pieces are of
 * different sizes, the widest (most strips) first.  The text is kept in memory.  false when
 * memory is out. */
bool swi_nest_choose(const sw_library *library, const swi_piece *pieces, size_t count, swi_arena *memory,
                     swi_nest *best);

#endif
