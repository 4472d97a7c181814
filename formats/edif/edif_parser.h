/* formats/edif/edif_parser.h: the state of reading, shared by edif_read.c (forms that
 * open, words) and edif_close.c (what a form means once it is whole).
 */
#ifndef SWI_EDIF_PARSER_H
#define SWI_EDIF_PARSER_H

#include "formats/edif/edif.h"

/* A form that is open, and what its parts have said so far. */
typedef struct swi_frame {
    swi_edif_form form;
    uint32_t object;        /* what is being made, an index; or its owner's */
    uint32_t offset;        /* of the form */
    swi_edif_name name;
    bool named;
    uint32_t width, shape;  /* of an array */
    uint32_t numbers_at;    /* an array's sizes or a member's indices so far, NONE */
    uint32_t index;         /* of a member, NONE */
    const char *text;       /* a string, number or designator; NULL */
    const char *library_ref, *cell_ref, *view_ref, *instance_ref, *owner, *unit;
    uint32_t instance_index;
    sw_pin_type type;
    unsigned numbers;       /* words taken by a form of numbers */
} swi_frame;

typedef struct swi_parser {
    swi_edif *e;
    swi_edif_lexer lexer;
    swi_edif_keywords met;
    swi_frame *stack;
    size_t depth, most;
    uint32_t library, cell, view; /* in hand */
    bool good;
} swi_parser;

/* The form around, lists of ports or nets passed over; NULL outside of all. */
swi_frame *swi_parser_around(swi_parser *parser, size_t level);
/* Reports and makes the reading fail; always false. */
bool swi_parser_complain(swi_parser *parser, sw_diag_id id, sw_span span, const char *what);

/* ---- edif_close.c ---- */
/* Joins a port to the net in hand. */
bool swi_parser_joint(swi_parser *parser, const swi_frame *port);
/* A library's name stands before its cells, which are found under it; one of a name
 * that is there already goes on with that one. */
void swi_parser_name_library(swi_parser *parser, const swi_frame *library);
/* Closes the form on top of the stack. */
void swi_parser_close(swi_parser *parser);

#endif
