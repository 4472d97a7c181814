/* formats/sexpr/sexpr.h: what the files of the exported netlist share. */
#ifndef SWI_SEXPR_H
#define SWI_SEXPR_H

#include <stripwright/format.h>

typedef enum swi_sexpr_kind { SWI_SEXPR_OPEN, SWI_SEXPR_CLOSE, SWI_SEXPR_ATOM, SWI_SEXPR_END, SWI_SEXPR_BROKEN } swi_sexpr_kind;

/* The text of an atom is as in the file, without the quotes round it. */
typedef struct swi_sexpr_token {
    swi_sexpr_kind kind;
    const char *text;
    size_t length;
    bool escapes; /* there is a backslash in it */
    sw_span span;
} swi_sexpr_token;

typedef struct swi_sexpr_lexer {
    const sw_input *input;
    size_t at;
} swi_sexpr_lexer;

/* The next token; BROKEN: a string without an end, its span the quote. */
swi_sexpr_token swi_sexpr_next(swi_sexpr_lexer *lexer);

sw_status swi_sexpr_read(const sw_input *input, const sw_read_options *options, sw_diags *diags, sw_builder *builder);

#endif
