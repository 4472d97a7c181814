/* src/papers/work.h: the order of work at the bench. */
#ifndef SWI_WORK_H
#define SWI_WORK_H

#include "change.h"

/* mm of wire that a link wants beyond its length on the board: each end goes through
 * 1.6 mm of board and stands out 3.4 mm to be held, bent over and trimmed. */
#define SWI_LINK_ALLOWANCE_MM 10.0

/* Of a board that is built only what is new on it (change.h); `socketed` and `terminals` are
 * always all, for what is in sockets comes out first, and wires are measured at. */
typedef struct swi_work {
    uint32_t cut_count, link_count, part_count, wire_count, socketed_count, terminal_count;
    uint32_t *cuts;   /* of plan->cuts: strip by strip, left to right */
    uint32_t *links;  /* of plan->links: by the strip of the upper end, left to right */
    uint32_t *parts;  /* items without terminal pins, from low to high; parts in sockets
                         last; natural order within a height */
    uint32_t *wires;  /* terminal pins, strip by strip, left to right */
    uint32_t *socketed;  /* all parts in sockets, from low to high */
    uint32_t *terminals; /* all terminal pins, as wires */
    swi_arena *memory;
} swi_work;

/* NULL when memory is out. */
swi_work *swi_work_new(const swi_subject *subject);
void swi_work_free(swi_work *work);

int swi_link_pitches(const sw_link *link);
/* mm of wire, allowance and all. */
double swi_link_wire(const sw_link *link);
double swi_links_wire(const swi_subject *subject); /* of the links that are new */
/* Whether the part stands in a socket (a DIP, or a board on two rows of pins). */
bool swi_is_socketed(const swi_item *item);
/* Of these the boards, which stand in two strips and are no ICs. */
bool swi_is_board_on_pins(const sw_package *package);

#endif
