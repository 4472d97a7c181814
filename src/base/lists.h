/* src/base/lists.h: lists in parentheses, as an exported netlist and footprint files have them:
 * parentheses, words and strings in quotes.
 */
#ifndef SWI_LISTS_H
#define SWI_LISTS_H

#include <stripwright/diag.h>

typedef enum swi_list_kind { SWI_LIST_OPEN, SWI_LIST_CLOSE, SWI_LIST_ATOM, SWI_LIST_END, SWI_LIST_BROKEN } swi_list_kind;

/* The text of an atom is as in the file, without the quotes round it. */
typedef struct swi_list_token {
    swi_list_kind kind;
    const char *text;
    size_t length;
    bool escapes; /* there is a backslash in it */
    sw_span span;
} swi_list_token;

typedef struct swi_list_lexer {
    const sw_input *input;
    size_t at;
} swi_list_lexer;

/* The next token; BROKEN: a string without an end, its span the quote. */
swi_list_token swi_list_next(swi_list_lexer *lexer);

#endif
