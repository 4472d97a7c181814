/* src/board/mend.h: candidates for mends.
 *
 * Each fault proposes changes of the plan that might undo it; mend_find.c tries them,
 * the least work first, on copies of the plan.  Proposals need not be right, only
 * likely and few.
 */
#ifndef SWI_MEND_H
#define SWI_MEND_H

#include "check.h"

typedef struct swi_candidate {
    sw_mend mend;
    int work;                /* how much it asks of the person at the bench */
    uint32_t order;          /* of proposing: ties keep it */
} swi_candidate;

typedef struct swi_mender {
    swi_check *check;
    swi_candidate *list;
    size_t count, room;
    bool *part_seen, *link_seen, *cut_seen, *copper_seen; /* each is proposed for once */
    bool *taken;             /* holes with a lead or link end */
} swi_mender;

void swi_propose(swi_mender *mender, sw_mend mend, int work);
/* Cuts, links. */
void swi_propose_cuts(swi_mender *mender, sw_hole from, sw_hole to);  /* between two leads */
void swi_propose_links(swi_mender *mender, const sw_fault *open);
void swi_propose_for_link(swi_mender *mender, uint32_t link); /* away, or elsewhere */
void swi_propose_for_cut(swi_mender *mender, uint32_t cut);
/* Everything on the copper of a hole: its links, the cuts at its ends. */
void swi_propose_for_copper(swi_mender *mender, sw_hole hole);
/* Other places for a part of the plan, or for one that is not on it yet. */
void swi_propose_for_part(swi_mender *mender, uint32_t part);
void swi_propose_new_part(swi_mender *mender, const sw_part *fitted);

/* The mend as an imperative sentence without a full stop, told against the plan. */
const char *swi_say_mend(swi_check *check, const sw_mend *mend);

/* The same package lying down when this is the part's stood upright, else NULL.  A list of
 * holes tells upright from lying by the leads alone, so a lead in a wrong hole may be why. */
const sw_package *swi_mend_lying(const sw_package *package, const sw_part *fitted,
                                 const sw_library *library);

/* The package of the part that the mend places: of one that stands upright it is the same
 * lying down when the mend's span is beyond it.  NULL when it is not known. */
const sw_package *swi_mend_package(const sw_plan *plan, const sw_mend *mend,
                                   const sw_circuit *fitted, const sw_library *library);
/* Its leads, in the package's pin order; false when memory is out.  holes: room for the
 * package's pins. */
bool swi_mend_holes(const sw_package *package, const sw_mend *mend, sw_hole *holes);

#endif
