/* src/board/geometry.h: what lies where, in mm.
 *
 * Origin: the centre of hole A1; x along the strips to the right, y across them
 * downwards.  There are two shapes, an axis-parallel rectangle and a disc, and one
 * question: how deep are two of them in each other?  src/board/README.md states the
 * rules that are made of it.
 */
#ifndef SWI_GEOMETRY_H
#define SWI_GEOMETRY_H

#include <stripwright/board.h>

/* Width of wires and links, diameter of leads and link ends: link wire is 0.6 to
 * 0.7 mm, common leads 0.45 to 0.8 (Vishay 515D case table; common practice). */
#define SWI_WIRE_MM 0.8
/* Overlap that is forgiven, for leads give; the rest keeps rounding out of it. */
#define SWI_FORGIVEN_MM (0.25 + 1e-6)

typedef struct swi_shape {
    bool round;              /* a disc: the box is its circumscribed square */
    sw_box box;
} swi_shape;

swi_shape swi_shape_lead(sw_hole hole);
/* From hole to hole of one strip or one column. */
swi_shape swi_shape_wire(sw_hole from, sw_hole to);
/* Whole squares of the paper, both corners' included. */
swi_shape swi_shape_squares(sw_hole from, sw_hole to);
/* The body of a package of which the first pin's lead is in that hole. */
swi_shape swi_shape_body(const sw_package *package, int turn, unsigned span, sw_hole first);

/* The room before its face; nothing (0 wide) without one. */
swi_shape swi_shape_front(const sw_package *package, int turn, unsigned span, sw_hole first);

/* Millimetres between a side of a body and the board's edge there, spare holes left out. */
double swi_to_edge(const sw_plan *plan, const sw_box *body, sw_face side);

/* Depth of overlap in mm; not above 0 when they touch or are apart (then no measure
 * of the distance). */
double swi_overlap(const swi_shape *a, const swi_shape *b);
/* Whether they are in each other's way. */
bool swi_collide(const swi_shape *a, const swi_shape *b);

#endif
