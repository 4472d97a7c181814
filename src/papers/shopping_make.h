/* src/papers/shopping_make.h: what the files shopping*.c share. */
#ifndef SWI_SHOPPING_MAKE_H
#define SWI_SHOPPING_MAKE_H

#include "shopping.h"

/* One thing to buy, before grouping. */
typedef struct swi_want {
    const char *ref, *value, *device, *package;
    const char *written;    /* the value as it stood, when it was brought to its normal form; or NULL */
    char kind;
    bool two_leads;         /* a body with room for bands or a code */
    bool has_socket;        /* on the board already */
    double number;          /* the value read, 0 when it is none */
    uint32_t board;         /* 0, 1, … in the order of adding */
    uint32_t copies;
} swi_want;

struct swi_shopping {
    swi_arena *memory;
    swi_want *wants;
    size_t want_count, want_room;
    swi_piece *pieces;      /* one a board */
    size_t piece_count, piece_room;
    uint64_t pins;          /* terminal pins */
    double wire;            /* mm */
    swi_buy *lines;
    size_t line_count, line_room;
};

/* What a buffer holds, kept; NULL when memory is out.  Frees the buffer. */
const char *swi_shopping_keep(swi_shopping *shopping, sw_buf *buf);
/* A new line, all texts ""; NULL when memory is out. */
swi_buy *swi_shopping_line(swi_shopping *shopping, swi_buy_kind kind);
/* With so many per cent on top, rounded up. */
uint64_t swi_with_spare(double count, int percent);

/* Markings, series and the note on the value; false when memory is out. */
bool swi_shopping_describe(swi_shopping *shopping, const swi_want *one, swi_buy *line);
/* References of the wants whose `taken` is `mark`; "board 2: R1" when there are several boards. */
const char *swi_shopping_refs(swi_shopping *shopping, const uint32_t *taken, uint32_t mark);
/* Boards, sockets, terminal pins, wire. */
bool swi_shopping_extras(swi_shopping *shopping, int spare, const sw_library *library);

#endif
