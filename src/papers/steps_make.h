/* src/papers/steps_make.h: what the files that make steps share. */
#ifndef SWI_STEPS_MAKE_H
#define SWI_STEPS_MAKE_H

#include "steps.h"

typedef struct swi_step_maker {
    const swi_subject *subject;
    const sw_plan *plan;
    swi_steps *out;
    size_t step_room, chapter_room;
    sw_buf text;             /* what is being written */
    swi_step spare;          /* goes nowhere: for when memory is out */
    bool failed;
} swi_step_maker;

/* What was written, kept; the buffer is empty again.  Never NULL. */
const char *swi_steps_take(swi_step_maker *m);
/* A hole's name, kept. */
const char *swi_steps_hole(swi_step_maker *m, sw_hole hole);
/* Begins a chapter; it lasts to the next one. */
void swi_steps_chapter(swi_step_maker *m, swi_chapter_kind kind, const char *title, const char *intro,
                       bool copper);
/* Adds a step to the chapter; never NULL (a stand-in when memory is out).  Its key is
 * `word`-`number`. */
swi_step *swi_steps_add(swi_step_maker *m, const char *word, uint32_t number);
/* Gives the step room for holes; NULL when memory is out. */
sw_hole *swi_steps_holes(swi_step_maker *m, swi_step *step, uint32_t count);

void swi_steps_of_change(swi_step_maker *m);  /* what comes off a board that is built */
void swi_steps_of_parts(swi_step_maker *m);   /* parts, sockets, terminal pins */
void swi_steps_of_probes(swi_step_maker *m);  /* continuity */
void swi_steps_of_power(swi_step_maker *m);   /* power without ICs */
void swi_steps_of_ics(swi_step_maker *m);
bool swi_steps_has_sockets(const swi_subject *subject);

#endif
