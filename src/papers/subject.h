/* src/papers/subject.h: a plan with everything that papers ask about it looked up once:
 * which package, outline and turn a part has, what its leads are, which way round it
 * goes, which node each lead, segment and link is of.
 */
#ifndef SWI_SUBJECT_H
#define SWI_SUBJECT_H

#include "base/arena.h"
#include <stripwright/format.h>

/* A part of the plan. */
typedef struct swi_item {
    const sw_plan_part *part;
    const sw_plan_lead *leads;   /* part->lead_count of them */
    const sw_part *known;        /* in the circuit, or NULL */
    const sw_package *package;   /* or NULL */
    bool stands;                 /* its leads stand as the package says: outline, turn and
                                    span hold */
    sw_box outline;              /* mm from the middle of hole A1 */
    bool round;
    unsigned turn, span;
    char kind;                   /* as sw_part.kind */
    bool terminal, polarised;
    int cathode, plus;           /* index of the lead, -1 none */
    const char *value;           /* as stated in the plan, else in the circuit */
    const char *name;            /* what to print beside a terminal pin */
} swi_item;

typedef struct swi_subject {
    const sw_document *document;
    const sw_plan *plan;
    const sw_circuit *circuit;   /* or NULL */
    sw_copper *copper;
    uint32_t item_count;
    swi_item *items;             /* order of the plan's parts */
    uint32_t *lead_nodes;        /* for plan->leads: node number, 0 not known */
    bool *lead_unused;           /* for plan->leads: its pin connects to nothing */
    uint32_t node_count;         /* greatest number */
    struct swi_change *change;   /* of a board that is built (change.h); NULL: all is to be built */
    swi_arena *memory;
} swi_subject;

/* NULL when memory is out.  What the document points to must outlive it. */
swi_subject *swi_subject_new(const sw_document *document);
void swi_subject_free(swi_subject *subject);

/* Name of a node, "" when it has none. */
const char *swi_subject_node_name(const swi_subject *subject, uint32_t number);
/* Which rail a node is, and its volts against ground; 0 where they are not known. */
sw_rail swi_subject_rail(const swi_subject *subject, uint32_t number, double *volts);
/* Node of a link: as stated, else that of its copper; 0 not known. */
uint32_t swi_subject_link_node(const swi_subject *subject, const sw_link *link);
/* Item and lead in a hole; SW_NONE when there is none. */
uint32_t swi_subject_lead_at(const swi_subject *subject, sw_hole hole);
/* A pin header or a screw terminal: wires leave the board there, and none is soldered on. */
bool swi_is_connector(const swi_item *item);
/* Whether a terminal pin's value is the number of a source, in volts; what hangs beside the board has
 * its lead's number behind its name and may be of ohms. */
bool swi_is_volts(const swi_item *item);
const swi_item *swi_subject_item_of_lead(const swi_subject *subject, uint32_t lead);

/* For writers: the subject, or what stands in its way, reported (`format-needs` without a
 * plan). */
sw_status swi_subject_open(const sw_document *document, sw_diags *diags, swi_subject **subject);

#endif
