/* src/papers/steps.h: the whole work at the bench, step by step, before any format
 * writes it.
 *
 * Chapters come in working order: cut the piece, make the cuts, check each with a meter,
 * links, parts from low to high, sockets, terminal pins, continuity, power without ICs,
 * ICs last.  A chapter without steps is left out.  Each part, cut and link of the plan
 * has one step of its own (an IC in a socket has two: socket and IC).  On a board that is
 * built taking off comes instead of the piece, and only what is new is cut and fitted.
 */
#ifndef SWI_STEPS_H
#define SWI_STEPS_H

#include "probes.h"
#include "shopping.h"
#include "subject.h"
#include "work.h"

typedef enum swi_chapter_kind {
    SWI_CHAPTER_PIECE,
    SWI_CHAPTER_CUTS,
    SWI_CHAPTER_CUT_CHECKS,
    SWI_CHAPTER_LINKS,
    SWI_CHAPTER_PARTS,
    SWI_CHAPTER_SOCKETS,
    SWI_CHAPTER_WIRES,
    SWI_CHAPTER_PROBES,
    SWI_CHAPTER_POWER,
    SWI_CHAPTER_ICS,
    SWI_CHAPTER_OFF /* of a board that is built: before all others */
} swi_chapter_kind;

typedef struct swi_step {
    const char *key;      /* unique in the plan: "cut-3", "link-1", "part-12"; cuts and links
                             are numbered as in the drawing's data-step */
    const char *title;    /* what to do, one line */
    const char *text;     /* how, in sentences; "" none */
    const char *watch;    /* what goes wrong easily; "" none */
    const char *ref;      /* the part it is about; "" none */
    const char *mark;     /* data-step of what it is about in the drawing; "" none */
    const sw_hole *holes; /* what to look at, hole_count of them */
    uint32_t hole_count;
    uint32_t node;        /* number; 0 none */
    uint32_t index;       /* of plan->cuts, plan->links, subject->items, probes->probes (OFF: none);
                             SW_NONE: of none */
} swi_step;

typedef struct swi_chapter {
    swi_chapter_kind kind;
    const char *title, *intro;
    bool copper;          /* worked on from the copper side */
    uint32_t first, count; /* steps[first …] */
} swi_chapter;

typedef struct swi_steps {
    uint32_t chapter_count, step_count;
    swi_chapter *chapters;
    swi_step *steps;
    swi_stock_cut stock;  /* where the piece comes from */
    swi_work *work;
    swi_probe_list *probes; /* NULL without a numbered circuit: no probes then */
    char hash[65];        /* of all that is to be done, SHA-256 in hexadecimal */
    swi_arena *memory;
} swi_steps;

/* NULL when memory is out.  The subject must outlive it. */
swi_steps *swi_steps_new(const swi_subject *subject);
void swi_steps_free(swi_steps *steps);

/* Where a wire leaves the board. */
typedef enum swi_edge { SWI_EDGE_LEFT, SWI_EDGE_RIGHT, SWI_EDGE_TOP, SWI_EDGE_BOTTOM } swi_edge;
const char *swi_edge_name(swi_edge edge);
/* The edge nearest to a hole, and how many holes lie between (0: in the outermost line);
 * left and right come before top and bottom, for there the strips end. */
swi_edge swi_edge_near(const sw_plan *plan, sw_hole hole, int *between);

#endif
