/* formats/placement/placement_reading.h: what the two halves of the reader share: the
 * parser's calls (placement_read.c) and our elements (placement_elements.c). */
#ifndef SWI_PLACEMENT_READING_H
#define SWI_PLACEMENT_READING_H

#include "placement.h"

#include <expat.h>

typedef enum swi_element {
    NOWHERE, STRIPBOARD, CIRCUIT, BOARD, KEEP_OUT, NODES, NODE, PARTS, PART, LEAD, CUTS, CUT,
    LINKS, LINK, ELEMENTS
} swi_element;

enum { MOST_ATTRIBUTES = 7, MOST_DEPTH = 4 };

typedef struct swi_element_rule {
    const char *name;
    swi_element parent;
    bool once;
    /* A name that begins with ! must be there. */
    const char *attributes[MOST_ATTRIBUTES];
} swi_element_rule;

extern const swi_element_rule swi_element_rules[ELEMENTS];

typedef struct swi_reading {
    XML_Parser parser;
    const sw_input *input;
    sw_diags *diags;
    sw_plan *plan;
    swi_element open[MOST_DEPTH + 1]; /* elements of ours, innermost last */
    unsigned depth;
    unsigned skipped;        /* depth within an element that was refused */
    bool seen[ELEMENTS];
    const char **attributes; /* of the element at hand */
    const char *value[MOST_ATTRIBUTES];
    bool foreign_attributes; /* some of them are of another namespace */
    swi_foreign_copy foreign;
    bool memory;
} swi_reading;

/* Of the tag at hand. */
sw_span swi_tag_span(const swi_reading *r);
/* An element of ours begins, already pushed: its attributes into the plan. */
void swi_read_element(swi_reading *r, swi_element kind);
/* What foreign content in the innermost open element belongs to, in the plan's memory; NULL
 * when that is out. */
const char *swi_open_owner(swi_reading *r);

#endif
