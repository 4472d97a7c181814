/* formats/sexpr/sexpr.h: the reader of the exported netlist. */
#ifndef SWI_SEXPR_H
#define SWI_SEXPR_H

#include <stripwright/format.h>

sw_status swi_sexpr_read(const sw_input *input, const sw_read_options *options, sw_diags *diags, sw_builder *builder);

#endif
