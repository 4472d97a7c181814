/* src/papers/change.h: what turns a board that is built into the plan (sw_document.built):
 * which parts, cuts and links of the plan are new, and what comes off.
 *
 * Without a built board everything is new, so papers ask the three questions below and need
 * not know which of the two they are for.
 */
#ifndef SWI_CHANGE_H
#define SWI_CHANGE_H

#include "subject.h"

typedef enum swi_part_change {
    SWI_PART_STAYS,
    SWI_PART_SWAPPED,    /* another one into the socket that is there */
    SWI_PART_MOVED,      /* comes off and goes elsewhere, or another way round */
    SWI_PART_NEW         /* is to be had, and soldered in */
} swi_part_change;

/* A part of the built board that comes off. */
typedef struct swi_off {
    const swi_item *item; /* of was->items */
    uint32_t now;         /* item of the plan with its reference; SW_NONE: gone */
} swi_off;

typedef struct swi_change {
    sw_document document;            /* of the built board */
    swi_subject *was;                /* its nodes have its own numbers */
    sw_plan_difference *difference;  /* gone_cuts, gone_links: what comes off of those */
    unsigned char *parts;            /* swi_part_change by the plan's items */
    bool *cuts, *links;              /* by the plan's: whether new */
    uint32_t off_count;
    swi_off *off;                    /* order of the built plan's parts */
} swi_change;

/* Between the subject's document's built board and its plan; NULL when memory is out. */
swi_change *swi_change_new(const swi_subject *subject);
void swi_change_free(swi_change *change);

static inline swi_part_change swi_part_changes(const swi_subject *subject, uint32_t item) {
    return subject->change ? (swi_part_change)subject->change->parts[item] : SWI_PART_NEW;
}

/* Whether it has to be soldered in. */
static inline bool swi_part_is_work(const swi_subject *subject, uint32_t item) {
    return swi_part_changes(subject, item) >= SWI_PART_MOVED;
}

static inline bool swi_cut_is_work(const swi_subject *subject, uint32_t cut) {
    return !subject->change || subject->change->cuts[cut];
}

static inline bool swi_link_is_work(const swi_subject *subject, uint32_t link) {
    return !subject->change || subject->change->links[link];
}

/* One of all that comes off: a part, a link, or a cut that is to be bridged. */
typedef struct swi_off_row {
    const char *kind, *ref; /* "part off", "link off", "bridge"; the reference of a part, else "" */
    sw_hole hole, to;       /* strip -1: none */
    bool sleeved;
} swi_off_row;

swi_off_row swi_off_at(const swi_change *change, uint32_t index);

/* How many things come off: parts, links, and cuts that are bridged. */
static inline uint32_t swi_comes_off(const swi_subject *subject) {
    const swi_change *change = subject->change;
    return change ? change->off_count + change->difference->links_gone + change->difference->cuts_gone : 0;
}

#endif
