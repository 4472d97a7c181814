/* src/board/plan.h: what the files of this room share about plans. */
#ifndef SWI_PLAN_H
#define SWI_PLAN_H

#include <stripwright/board.h>

#include "base/arena.h"

#define SWI_NO_HOLE ((sw_hole){-1, -1})

static inline bool swi_same_hole(sw_hole a, sw_hole b) {
    return a.strip == b.strip && a.column == b.column;
}
static inline bool swi_on_board(const sw_plan *plan, sw_hole hole) {
    return hole.strip >= 0 && hole.column >= 0 && hole.strip < plan->strips &&
           hole.column < plan->columns;
}

/* Orders of the normal form: nodes by number; cuts by strip, column; links by column,
 * strip. */
int swi_compare_nodes(const void *a, const void *b);
int swi_compare_cuts(const void *a, const void *b);
int swi_compare_links(const void *a, const void *b);
/* from above to (or left of it). */
void swi_link_downwards(sw_link *link);
/* from the top left corner, to the bottom right one. */
void swi_keep_out_square(sw_keep_out *keep_out);

/* Writes the leads afresh in the parts' order, after parts were moved about or
 * dropped.  false, and nothing changed, when memory is out. */
bool swi_plan_rebuild_leads(sw_plan *plan);
/* Gives a part other leads, that may be parts of the plan's own.  false, and nothing
 * changed, when memory is out. */
bool swi_plan_set_leads(sw_plan *plan, uint32_t part, const sw_plan_lead *leads,
                        uint32_t count);
/* SW_NONE when there is none; without case. */
uint32_t swi_plan_find_part(const sw_plan *plan, const char *ref);

/* The package a part is judged by: the one the plan names, else the circuit's. */
const sw_package *swi_plan_package(const sw_plan_part *part, const sw_part *fitted,
                                   const sw_library *library);

/* How a part stands. */
typedef struct swi_stance {
    bool fits;               /* leads are where the package says for turn and span */
    bool turn_wrong;         /* a turn was stated; the leads stand in another, told by turn */
    int16_t turn;
    uint16_t span;           /* of a pair; else 0 */
} swi_stance;
/* by_pin: a hole for each pin of the package.  stated: -1 when not.  *failed is set when
 * memory is out. */
swi_stance swi_stance_of(const sw_package *package, const sw_hole *by_pin, int stated,
                         bool *failed);
/* The turn's bit in sw_package.turns; 0 for no turn. */
unsigned swi_turn_bit(int turn);

/* Copper with the package of each of the plan's parts given (NULL entries: no
 * joined pins), for those who have them in hand. */
sw_copper *swi_copper_build(const sw_plan *plan, const sw_package *const *packages);
/* Union-find over a parent array; the lower index is the root. */
uint32_t swi_root(uint32_t *parent, uint32_t i);
void swi_unite(uint32_t *parent, uint32_t a, uint32_t b);

#endif
