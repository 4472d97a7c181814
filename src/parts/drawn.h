/* src/parts/drawn.h: a footprint as a drawing program keeps it: pads and lines, in mm, x to the right and
 * y downwards, as one looks at the component side.
 */
#ifndef SWI_DRAWN_H
#define SWI_DRAWN_H

#include <stripwright/parts.h>

/* A pad with a hole that is plated, so a lead goes through it. */
typedef struct swi_pad {
    const char *name; /* kept in the library; "" for one without a number */
    double x, y;
    sw_span span;
} swi_pad;

/* A box of no lines has x0 > x1. */
typedef struct swi_drawn {
    const char *name;    /* as the file says it; kept in the library */
    sw_span span;        /* of the name */
    swi_pad *pads;       /* malloc'd */
    size_t pad_count, pad_capacity;
    const char **flats;  /* malloc'd: names of pads without a hole, for surface mounting */
    size_t flat_count, flat_capacity;
    sw_span peg;         /* a hole for a peg of the body; length 0: none */
    sw_box *lines;       /* malloc'd: the boxes of the body's lines */
    size_t line_count, line_capacity;
    sw_box circle;       /* the largest circle among them */
    sw_box yard, ink;    /* of the lines round the room that it wants, and of the print */
} swi_drawn;

extern const sw_box swi_no_box;
void swi_widen(sw_box *box, const sw_box *by);

/* Reads the file; what was read is in *drawn also on failure. */
sw_status swi_drawn_read(sw_library *library, const sw_input *input, sw_diags *diags, swi_drawn *drawn);
void swi_drawn_free(swi_drawn *drawn);

/* Appends it as a table of packages with one row, under that name; false when it has no place on
 * stripboard, which is reported. */
bool swi_drawn_as_row(const swi_drawn *drawn, const char *name, sw_diags *diags, sw_buf *table);

#endif
