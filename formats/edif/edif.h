/* formats/edif/edif.h: what the files of this format share.
 *
 * Reading has three steps.  The lexer gives parentheses and words; the forms that
 * matter to a netlist become a model of libraries, cells, views, ports, instances
 * and nets (this file's structs: flat arrays, as large as the netlist is, not as the
 * text); the model is linked (references by name become indices) and flattened from
 * the top view into the builder.  Nothing recurses: forms and hierarchy have stacks
 * of their own.
 */
#ifndef SWI_EDIF_H
#define SWI_EDIF_H

#include <stripwright/format.h>

#include "base/arena.h"
#include "base/text.h"

/* ---- edif_lex.c: words ---- */

typedef enum swi_edif_token {
    SWI_EDIF_END, SWI_EDIF_OPEN, SWI_EDIF_CLOSE, SWI_EDIF_WORD, SWI_EDIF_STRING, SWI_EDIF_BAD
} swi_edif_token;

typedef struct swi_edif_lexer {
    const sw_input *input;
    sw_diags *diags;
    size_t at;
    size_t from, length;   /* of the token; of a word or a string, its text */
    const char *text;      /* in the input, or in `decoded` for a string with escapes */
    sw_buf decoded;
} swi_edif_lexer;

swi_edif_token swi_edif_next(swi_edif_lexer *lexer);
sw_span swi_edif_span(const swi_edif_lexer *lexer);
/* Passes over everything up to the parenthesis that closes the form in hand; false
 * when the input ends before. */
bool swi_edif_skip(swi_edif_lexer *lexer);

/* ---- edif_forms.c: keywords ---- */

typedef enum swi_edif_form {
    SWI_F_UNKNOWN, SWI_F_QUIET, /* a known form that says nothing of the netlist */
    SWI_F_EDIF, SWI_F_LIBRARY, SWI_F_EXTERNAL, SWI_F_CELL, SWI_F_VIEW, SWI_F_INTERFACE, SWI_F_CONTENTS,
    SWI_F_PAGE, SWI_F_PORT, SWI_F_PORT_BUNDLE, SWI_F_LIST, SWI_F_INSTANCE, SWI_F_OFF_PAGE,
    SWI_F_NET, SWI_F_JOINED, SWI_F_PORT_REF, SWI_F_INSTANCE_REF, SWI_F_VIEW_REF,
    SWI_F_CELL_REF, SWI_F_LIBRARY_REF, SWI_F_VIEW_LIST, SWI_F_PORT_INSTANCE, SWI_F_DESIGN,
    SWI_F_RENAME, SWI_F_ARRAY, SWI_F_NAME, SWI_F_MEMBER, SWI_F_DISPLAY, SWI_F_PROPERTY,
    SWI_F_STRING, SWI_F_INTEGER, SWI_F_NUMBER, SWI_F_BOOLEAN, SWI_F_E, SWI_F_TRUE, SWI_F_FALSE,
    SWI_F_OWNER, SWI_F_UNIT, SWI_F_DESIGNATOR, SWI_F_DIRECTION, SWI_F_VERSION,
    SWI_F_KEYWORD_MAP, SWI_F_KEYWORD_ALIAS, SWI_F_KEYWORD_DEFINE,
    SWI_F_FORMS /* how many there are */
} swi_edif_form;

/* Which form a word was the last time: a file has few keywords.  Its first and its last
 * eight letters, in lower case. */
typedef struct swi_edif_keyword {
    uint64_t head, tail;
    unsigned char form, length; /* length 0: none yet */
} swi_edif_keyword;
typedef struct swi_edif_keywords {
    swi_edif_keyword at[256];
} swi_edif_keywords;

swi_edif_form swi_edif_form_of(swi_edif_keywords *met, const char *word, size_t length);

/* ---- the model ---- */

#define SWI_EDIF_NONE UINT32_MAX

/* A name as defined: the identifier (without its &), and what people read. */
typedef struct swi_edif_name {
    const char *ident, *display;
    uint32_t offset;         /* in the input */
} swi_edif_name;

/* What a property's name says, see edif_part.c. */
typedef enum swi_edif_meaning {
    SWI_M_REF, SWI_M_VALUE, SWI_M_DEVICE, SWI_M_PACKAGE, SWI_M_GATE, SWI_M_KIND, SWI_M_PATH,
    SWI_M_FLAGS, SWI_M_RAIL, SWI_M_VOLTS, SWI_M_GLOBAL, SWI_M_PIN_TYPE,
    SWI_M_TITLE,
    SWI_M_NOTHING
} swi_edif_meaning;

typedef struct swi_edif_property {
    const char *key, *value, *owner, *unit;
    swi_edif_meaning meaning;
    uint32_t offset, next;   /* next of the same owner */
} swi_edif_property;

/* Arrays.  A shape is NONE for what is no array, 0 for one of one dimension, else where
 * swi_edif.numbers has the count of dimensions and their sizes.  An index is NONE, the
 * number of an element, or SWI_EDIF_MANY and where `numbers` has a count and as many
 * indices: they become the element's number when the array is known.  Elements are counted
 * with the last index running fastest. */
#define SWI_EDIF_MANY 0x80000000u

typedef struct swi_edif_port {
    swi_edif_name name;
    const char *kept;          /* the builder's text of the name; NULL: not wanted yet */
    const char *designator;
    sw_pin_type type;
    uint32_t width, first_bit; /* bits of the view before this port */
    uint32_t shape;
    uint32_t properties;
} swi_edif_port;

/* What a portInstance says of a pin. */
typedef struct swi_edif_pin {
    const char *port, *designator;
    uint32_t index;          /* of a member, NONE otherwise */
    uint32_t offset, properties, next;
} swi_edif_pin;

typedef struct swi_edif_instance {
    swi_edif_name name;
    const char *view_ref, *cell_ref, *library_ref, *designator;
    uint32_t view;           /* linked: NONE for one that could not be found */
    uint32_t width;          /* arrays of instances */
    uint32_t first_bit;      /* of its pins among those of all instances of the view */
    uint32_t shape;
    uint32_t pins, properties;
    bool off_page;
} swi_edif_instance;

/* A portRef of a net. */
typedef struct swi_edif_joint {
    const char *port, *instance; /* instance NULL: a port of the view itself */
    uint32_t index, instance_index; /* of members, NONE otherwise */
    uint32_t offset;
    uint32_t to_port, to_instance;  /* linked */
} swi_edif_joint;

typedef struct swi_edif_net {
    swi_edif_name name;
    uint32_t width, first_joint, joint_count, properties;
    uint32_t first_bit;      /* linked: of its nodes among the view's; nets of one
                                identifier (on several pages) share theirs */
    uint32_t shape;
} swi_edif_net;

typedef struct swi_edif_view {
    uint32_t cell;
    swi_edif_name name;
    uint32_t first_port, port_count, first_instance, instance_count, first_net, net_count;
    uint32_t bits, instance_bits;   /* of its ports; of its instances' pins */
    uint32_t net_bits;
    uint32_t properties;
    bool contents, used;            /* it has contents; some instance is of it */
} swi_edif_view;

typedef struct swi_edif_cell {
    uint32_t library, first_view, last_view, properties;
    swi_edif_name name;
    bool external;
} swi_edif_cell;

typedef struct swi_edif_library {
    swi_edif_name name;
    bool external;
} swi_edif_library;

typedef struct swi_edif_index swi_edif_index;

/* Files name few things over and over, and the others once or twice, close together: a
 * word that was met lately is not copied again. */
typedef struct swi_edif_recent {
    const char *text;
    size_t length;
    uint32_t hash;
} swi_edif_recent;

typedef struct swi_edif {
    const sw_input *input;
    const sw_read_options *options;
    sw_diags *diags;
    sw_builder *builder;
    swi_arena *arena;
    swi_edif_recent *recent; /* words met last, by their hash */
    swi_edif_index *index;   /* scope and identifier to number, see swi_edif_find */
    swi_edif_library *libraries;
    swi_edif_cell *cells;
    swi_edif_view *views;
    swi_edif_port *ports;
    swi_edif_instance *instances;
    swi_edif_net *nets;
    swi_edif_joint *joints;
    swi_edif_pin *pins;
    swi_edif_property *properties;
    size_t library_count, library_room, cell_count, cell_room, view_count, view_room, port_count,
        port_room, instance_count, instance_room, net_count, net_room, joint_count, joint_room,
        pin_count, pin_room, property_count, property_room, number_count, number_room;
    uint32_t *numbers;       /* of shapes and indices */
    swi_edif_name design;
    const char *design_cell, *design_library; /* NULL: no design form */
    uint32_t design_properties, design_offset;
    bool own_keywords;       /* the file names keywords of its own */
    uint64_t map_met;        /* by bit: entries of options->map whose property was met */
    bool failed;             /* memory is out */
} swi_edif;

/* ---- edif_model.c ---- */

/* Everything that has names has a scope of its own. */
typedef enum swi_edif_scope {
    SWI_S_LIBRARY = 'l', SWI_S_CELL = 'c', SWI_S_ANY_CELL = 'a', SWI_S_VIEW = 'v',
    SWI_S_PORT = 'p', SWI_S_INSTANCE = 'i', SWI_S_NET = 'n',
    SWI_S_SKIPPED = 'k', SWI_S_KEYWORD = 'w', SWI_S_LOST = 'q'
} swi_edif_scope;

bool swi_edif_new(swi_edif *e);
void swi_edif_free(swi_edif *e);
/* Text that lives as long as the reading: of words, and of strings that are met once. */
const char *swi_edif_text(swi_edif *e, const char *text, size_t length);
const char *swi_edif_copy(swi_edif *e, const char *text, size_t length);
bool swi_edif_out(swi_edif *e); /* memory is out: says so once; always false */
sw_span swi_edif_at(const swi_edif *e, uint32_t offset, size_t length);
/* Appends the name of an element: x[7:0] has elements x[7], x[6], …; without a range
 * x[0], x[1], …; with a shape of several dimensions x[0][0], x[0][1], …. */
void swi_edif_element(const swi_edif *e, sw_buf *out, const char *display, uint32_t shape,
                      uint32_t element);
/* The element that an index means in an array of this shape and width; NONE, when it means
 * none, or NONE itself for the whole array. */
uint32_t swi_edif_member(const swi_edif *e, uint32_t index, uint32_t shape, uint32_t width);
/* Appends a number of a list that began at *list (SWI_EDIF_NONE: begins one, in front of
 * it its count). */
bool swi_edif_number(swi_edif *e, uint32_t *list, uint32_t number);

/* ---- edif_index.c: without regard to case; identifiers are of swi_edif_text ---- */
swi_edif_index *swi_edif_index_new(void);
void swi_edif_index_free(swi_edif_index *index);
/* SWI_EDIF_NONE when there is none. */
uint32_t swi_edif_find(swi_edif *e, swi_edif_scope scope, uint32_t inside, const char *ident);
/* Returns the number now under the name: another than `number` when it was there. */
uint32_t swi_edif_define(swi_edif *e, swi_edif_scope scope, uint32_t inside, const char *ident,
                         uint32_t number);

/* ---- edif_read.c: text to model;  edif_link.c: names to indices ---- */
bool swi_edif_parse(swi_edif *e);
bool swi_edif_link(swi_edif *e);
/* The view to begin at; NONE, reported, when there is none. */
uint32_t swi_edif_top(swi_edif *e);

/* ---- edif_flat.c: model to circuit ---- */
bool swi_edif_flatten(swi_edif *e, uint32_t top);

/* ---- edif_part.c: what an instance says of its part ---- */

swi_edif_meaning swi_edif_meaning_of(swi_edif *e, const char *key);
/* Says of each options->map whether its property was met. */
void swi_edif_tell_map(swi_edif *e);
/* The value of the first property of the list with this meaning, NULL without. */
const char *swi_edif_said(const swi_edif *e, uint32_t properties, swi_edif_meaning meaning);
/* Whether a property of this name says what the owner has a field for. */
bool swi_edif_is_field(const swi_edif *e, sw_owner owner, const char *key);
/* Hands properties on that have none of the meanings of their owner. */
void swi_edif_keep(swi_edif *e, uint32_t properties, sw_owner owner, uint32_t index);
/* The same of what stands further away: keys that the nearer lists say do not count. */
void swi_edif_inherit(swi_edif *e, uint32_t properties, uint32_t nearer, uint32_t nearest,
                      sw_owner owner, uint32_t index);
/* Checks options->map; false, reported, when it names an unknown field. */
bool swi_edif_check_map(swi_edif *e);

sw_status swi_edif_read(const sw_input *input, const sw_read_options *options, sw_diags *diags,
                        sw_builder *builder);
sw_status swi_edif_write(const sw_document *document, const sw_write_options *options,
                         sw_diags *diags, sw_buf *out);

#endif
