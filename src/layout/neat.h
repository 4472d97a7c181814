/* src/layout/neat.h: neatness and symmetry in the search (neat.c). */
#ifndef SWI_NEAT_H
#define SWI_NEAT_H

#include "sketch.h"

/* Points, 2 for each thing that sw_plan_neatness would not count among the firsts (1
 * for a part that has one neighbour in line where it should have two). */
int32_t swi_untidy(const swi_state *s);
/* What is missing to full mirror symmetry, per mille. */
int swi_asymmetry(const swi_state *s);
/* Both as cost of a walk, as far as they count in it now; millionths. */
int64_t swi_neat_cost(const swi_walk *w);
/* A part in line with one of its kind, or where its mirror image is. */
void swi_move_neat(swi_walk *w);
/* Whether a is better than b at the same size: by its merit without lengths of links; then by
 * these and neatness together, a point counting as two pitches. */
bool swi_neater(const swi_model *m, const swi_sketch *a, const swi_sketch *b);
/* Tries once to make the plan neater at no cost; true when best was changed. */
bool swi_neat(swi_walk *w, swi_sketch *best);

#endif
