/* src/layout/sketch.h: a plan laid down and taken up again.
 *
 * A sketch is what is worth keeping of a state: size, places and links.  Searches
 * keep their best as sketches and change a sketch (a column less, a strip more)
 * before they load it again.
 */
#ifndef SWI_SKETCH_H
#define SWI_SKETCH_H

#include "walk.h"

typedef struct swi_sketch {
    int rows, cols;
    bool legal;          /* and within the limits of size */
    int64_t merit;       /* what it costs by the preference, thousandths of a hole */
    int64_t firm;        /* the same without the lengths of links */
    swi_tally tally;
    int32_t untidy;      /* points of neat.c */
    swi_place *places;   /* of each part */
    uint32_t link_count;
    swi_fixed_link *links;
} swi_sketch;

swi_sketch *swi_sketch_new(const swi_model *m);
void swi_sketch_free(swi_sketch *sketch);
void swi_sketch_copy(const swi_model *m, swi_sketch *to, const swi_sketch *from);
void swi_sketch_save(const swi_state *s, swi_sketch *sketch);
/* Puts it on the state's board.  Parts whose holes are taken, or that are off the
 * board, are found a place as near as possible within the window (the board's
 * coordinates); links that do not fit are left out.  False when a part found none. */
bool swi_sketch_load(swi_walk *w, const swi_sketch *sketch, const swi_window *window);

/* from.c: the sketch of a plan that somebody made; parts that it lacks or that stand as no
 * package allows are put in a corner, to be found a place.  False when it is no use. */
bool swi_sketch_from(const swi_model *m, const sw_plan *plan, swi_sketch *sketch);

/* merit.c: what a board costs by the preference, thousandths of a hole. */
int64_t swi_merit(const swi_model *m, int rows, int cols, const swi_tally *tally);
/* The same by the balanced preference, whatever is preferred. */
int64_t swi_balance(const swi_model *m, int rows, int cols, const swi_tally *tally);
/* The same by the state's style: what a legal plan is worth while plans are wandered among. */
int64_t swi_drive(const swi_state *s, const swi_sketch *sketch);
/* Weights of an annealing: by the state's style; and balanced whatever the preference. */
void swi_set_weights(swi_state *s);
void swi_set_tidy_weights(swi_state *s);

/* A link in the cell, which is on row, that a form with these flags there is in the way of; NULL
 * none. */
const swi_wire *swi_link_in_the_way(const swi_state *s, size_t cell, int row, unsigned flags);
/* Whether the part can be put there without sharing a hole or filling a cell. */
bool swi_can_stand(const swi_state *s, uint16_t part, swi_place place);
/* The best place in the window for a part that has none. */
bool swi_find_place(swi_walk *w, uint16_t part, const swi_window *window, swi_place near);

/* resize.c: sketches on boards of other sizes; what stood where a column or strip was
 * taken is sorted out when the sketch is loaded. */
/* Takes one hole out of each strip, at seam[row]; at_seam: what stands there goes left. */
void swi_take_seam(const swi_model *m, swi_sketch *sketch, const int16_t *seam, bool at_seam);
void swi_take_strip(const swi_model *m, swi_sketch *sketch, int row);
/* Blank columns before col, and around what straddles it: the order of everything on every
 * strip is kept. */
void swi_add_columns(const swi_model *m, swi_sketch *sketch, int col, int count);
void swi_add_strip(const swi_model *m, swi_sketch *sketch, int row);

/* seam.c: a way from the top strip to the bottom one over holes that carry little,
 * into w->seam; straight down or stepping sideways by one.  False when memory is out. */
bool swi_find_seam(swi_walk *w, const swi_sketch *sketch, bool straight);

/* connect.c: joins what open nodes have in pieces, without moving anything; true when none is
 * open then. */
bool swi_connect(swi_walk *w);
/* chase.c: violations hunted one at a time, at most so many; true when the state is legal
 * then. */
bool swi_chase(swi_walk *w, int most);
/* Somewhere the state is not legal; false when it is. */
bool swi_violation(swi_walk *w, int *row, int *col);
/* start.c: places and joins all parts on a loose board; true when it became legal. */
bool swi_start(swi_walk *w, int rows, int cols);
/* force.c: makes the state legal by inserting blank columns and strips. */
bool swi_force(swi_walk *w);
/* squeeze.c: tries once to make the plan smaller or better; now may become a little worse,
 * best never; true when best was changed. */
bool swi_squeeze(swi_walk *w, swi_sketch *now, swi_sketch *best);
/* tidy.c: tries once to have fewer links and cuts, shorter links, neater parts at the same
 * size; true when best was changed. */
bool swi_tidy(swi_walk *w, swi_sketch *best);

#endif
