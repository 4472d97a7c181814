/* src/layout/emit.h: from a sketch to a plan. */
#ifndef SWI_EMIT_H
#define SWI_EMIT_H

#include "sketch.h"

/* The plan of a legal sketch, cuts placed, normalised; NULL when memory is out. */
sw_plan *swi_emit(const swi_model *m, const swi_sketch *sketch);
/* cuts.c: puts the cuts of the state's gaps into the plan. */
bool swi_emit_cuts(const swi_state *s, sw_plan *plan);
/* A lower bound of the area in holes, and why; 0 when nothing is known. */
int swi_bound(const swi_model *m, char *why, size_t size);
/* Columns that every plan on so many strips (the margin left out) has at least. */
int swi_least_columns(const swi_model *m, int strips);

/* wish.c: a warning for each wish that the plan does not meet. */
void swi_tell_wishes(const sw_plan *plan, const sw_layout_options *options, sw_diags *diags);

#endif
