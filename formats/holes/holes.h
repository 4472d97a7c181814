/* formats/holes/holes.h: what reader and writer of the hole list share. */
#ifndef SWI_HOLES_H
#define SWI_HOLES_H

#include <stripwright/format.h>

/* Columns in the order that they are written in. */
enum { HOLES_KIND, HOLES_REF, HOLES_PIN, HOLES_NODE, HOLES_HOLE, HOLES_TO, SWI_HOLES_COLUMNS };
extern const char *const swi_holes_columns[SWI_HOLES_COLUMNS];

sw_status swi_holes_read(const sw_input *input, const sw_read_options *options, sw_diags *diags,
                         sw_plan *plan);
sw_status swi_holes_write(const sw_document *document, const sw_write_options *options,
                          sw_diags *diags, sw_buf *out);

#endif
