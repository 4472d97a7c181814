/* formats/placement/placement.h: what reader, writer and schema share. */
#ifndef SWI_PLACEMENT_H
#define SWI_PLACEMENT_H

#include <stripwright/format.h>

#include "base/arena.h"

#define SWI_PLACEMENT_NS "urn:stripwright:placement:1"
/* Between namespace, name and prefix as the parser hands them out: no character that
 * can be in any of them. */
#define SWI_NS_SEPARATOR '\f'

sw_status swi_placement_read(const sw_input *input, const sw_read_options *options,
                             sw_diags *diags, sw_plan *plan);
sw_status swi_placement_write(const sw_document *document, const sw_write_options *options,
                              sw_diags *diags, sw_buf *out);

/* The shipped schema as text, NULL-terminated; its length without the NUL in *length. */
const char *swi_placement_schema(size_t *length);

/* ---- values of attributes; the schema states the same ---- */

bool swi_placement_hole(const char *text, sw_hole *hole);            /* C12, AB7 */
bool swi_placement_between(const char *text, sw_hole *a, sw_hole *b); /* "D9 D10" */
bool swi_placement_count(const char *text, int digits, long least, long *value);
bool swi_placement_flag(const char *text, bool *value);
bool swi_placement_turn(const char *text, int16_t *turn);
bool swi_placement_rail(const char *text, sw_rail *rail);
const char *swi_placement_rail_name(sw_rail rail);                   /* NULL: no rail */

/* ---- owners: where content of foreign namespaces belongs ---- */

/* "keep-out A1 C3", "link B3 F3", "cut D7", "knife D9": names of things without one. */
void swi_placement_owner(sw_buf *out, const char *what, sw_hole a, sw_hole b);
void swi_placement_owner_link(sw_buf *out, const sw_link *link);
void swi_placement_owner_keep_out(sw_buf *out, const sw_keep_out *keep_out);
void swi_placement_owner_cut(sw_buf *out, const sw_cut *cut);

/* ---- content of foreign namespaces, taken down as it stands ---- */

/* A namespace bound to a prefix ("" the default). */
typedef struct swi_binding { char *prefix, *uri; } swi_binding;

typedef struct swi_foreign_copy {
    sw_buf xml;
    unsigned depth;          /* of the element being taken down; 0 none */
    bool tag_open;           /* its start tag waits for its > */
    swi_binding *bindings;   /* in the copy, innermost last */
    size_t binding_count, binding_room;
    size_t *marks;           /* bindings before each open element */
    size_t mark_room;
    swi_binding *pending;    /* declared by the element to come */
    size_t pending_count, pending_room;
    bool failed;             /* memory is out */
    bool crowded;            /* too many namespaces at once */
} swi_foreign_copy;

void swi_foreign_free(swi_foreign_copy *copy);
void swi_foreign_declare(swi_foreign_copy *copy, const char *prefix, const char *uri);
void swi_foreign_forget(swi_foreign_copy *copy); /* what was declared, by one of ours */
void swi_foreign_start(swi_foreign_copy *copy, const char *name, const char **attributes);
void swi_foreign_end(swi_foreign_copy *copy, const char *name);
void swi_foreign_text(swi_foreign_copy *copy, const char *text, size_t length);
void swi_foreign_comment(swi_foreign_copy *copy, const char *text);
void swi_foreign_instruction(swi_foreign_copy *copy, const char *target, const char *data);
/* The attributes of foreign namespaces of one of our elements, with the declarations they
 * need, into copy->xml. */
void swi_foreign_attributes(swi_foreign_copy *copy, const char **attributes);

#endif
