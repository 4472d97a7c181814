/* src/board/check.h: the check's account of a plan, and its rules.
 *
 * The account is made afresh from holes and millimetres for every check and thrown
 * away after: resolved parts and leads, the nodes that should be, the copper that
 * is.  Each rule reads it and adds faults; none changes it.
 */
#ifndef SWI_CHECK_H
#define SWI_CHECK_H

#include "geometry.h"
#include "plan.h"

/* A node as the plan should have it. */
typedef struct swi_net {
    uint32_t number;         /* 0: the circuit is not numbered */
    const char *name;
    uint32_t pins;
    bool lone;               /* connects to nothing (pins joined inside a package aside) */
    uint32_t same;           /* index of the net that it is the same as, or its own: a lone
                                pin joined inside the package to another net's pin */
} swi_net;

typedef struct swi_lead {
    const sw_plan_lead *plan;
    uint32_t part;           /* index of the plan's part */
    uint32_t net;            /* SW_NONE: not known */
    int pin;                 /* index in the package, −1 none */
    uint32_t segment;        /* SW_NONE: off the board or at a cut */
    sw_pin_id circuit_pin;   /* i == SW_NONE: none, or no circuit */
} swi_lead;

typedef struct swi_part {
    const sw_plan_part *plan;
    const sw_part *fitted;   /* NULL: no circuit, or not of the circuit */
    const sw_package *package; /* NULL: not known */
    bool doubled;            /* its reference was there before */
    bool whole;              /* each pin of the package has just one lead */
    sw_hole *by_pin;         /* whole: holes in the package's pin order */
    swi_stance stance;       /* fits only when whole */
    swi_shape body, wire;    /* when stance.fits; wire: when bendable */
    bool bendable;
} swi_part;

typedef struct swi_check {
    const sw_plan *plan;
    const sw_circuit *fitted; /* or NULL */
    const sw_library *library;
    bool words;              /* findings are put in words */
    swi_arena *arena;        /* the report's when words, else scratch */
    uint32_t net_count;
    swi_net *nets;
    swi_part *parts;         /* plan->part_count */
    swi_lead *leads;         /* plan->lead_count, same order */
    sw_copper *copper;
    sw_fault *faults;        /* malloc'ed, growing */
    sw_span *spans;          /* of each fault */
    size_t fault_count, fault_room, span_room, error_count;
    bool failed;             /* memory is out */
} swi_check;

/* Works the account out and applies all rules.  false when memory is out; to be
 * ended in any case.  arena: for text and the account, not freed at the end. */
bool swi_check_run(swi_check *check, const sw_plan *plan, const sw_circuit *fitted,
                   const sw_library *library, swi_arena *arena, bool words);
void swi_check_end(swi_check *check);
/* The account: true when it could be made. */
bool swi_check_account(swi_check *check);

/* Whether two leads of a part are joined inside it (and are both on copper). */
bool swi_joined_inside(const swi_part *part, const swi_lead *a, const swi_lead *b);

/* Adds a fault; what is not given in `at` (id, words) is filled in. */
void swi_fault(swi_check *check, sw_diag_id id, sw_fault about, sw_span span,
               const char *format, ...) SW_PRINTF(5, 6);

/* Words, in the check's arena; "" when no words are wanted or memory is out. */
const char *swi_say(swi_check *check, const char *format, ...) SW_PRINTF(2, 3);
const char *swi_say_hole(swi_check *check, sw_hole hole);
const char *swi_say_net(swi_check *check, uint32_t net);         /* node 4 (VCC) */
const char *swi_say_lead(swi_check *check, const swi_lead *lead); /* R1.2 */
/* The net's number, 0 for none. */
uint32_t swi_net_number(const swi_check *check, uint32_t net);

/* The rules, numbered as README.md states them. */
void swi_rule_presence(swi_check *check);  /* 1: parts and pins */
void swi_rule_holes(swi_check *check);     /* 1: holes */
void swi_rule_stance(swi_check *check);    /* 2 */
void swi_rule_room(swi_check *check);      /* 3, keep-outs */
void swi_rule_shorts(swi_check *check);    /* 4, 6 */
void swi_rule_opens(swi_check *check);     /* 5 */
void swi_rule_needless(swi_check *check);  /* 7, screws' copper */

/* Finds the smallest mend for every fault and writes it into check->faults: mend_find.c. */
void swi_find_mends(swi_check *check);

#endif
