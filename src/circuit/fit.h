/* src/circuit/fit.h: what the files of the fit share.
 *
 * The way of a netlist through it:
 *   fit_state.c   which row states what of which part
 *   fit_off.c     what does not go on the board: sources, ammeters, off-board parts
 *   fit_guess.c   what kind and value suggest where nobody states anything
 *   fit_words.c   what words say of a part: an LDR, a loudspeaker, a push button
 *   fit_part.c    one part on the board from all netlist parts of one reference
 *   fit_pins.c    which pin of the package each node of a line goes to
 *   fit_rails.c   which nodes are rails, and why
 *   fit_emit.c    the fitted circuit from all that
 *   fit_report.c  the table of what was stated and assumed
 *   fit.c         the order of it all
 *
 * Nodes are meant by index here: those of the netlist, and above them nodes that
 * a statement made (`supply=VCC:14` where nothing else is on VCC).
 */
#ifndef SWI_FIT_H
#define SWI_FIT_H

#include "circuit/circuit.h"
#include "circuit/sheet.h"

/* What is stated of one netlist part, and by which row (NULL: not stated). */
typedef struct swi_stated {
    const char *cell[SWI_CELL_COUNT];
    const sw_row *row[SWI_CELL_COUNT];
} swi_stated;

typedef enum swi_fate {
    SWI_ON_BOARD,
    SWI_OFF_BOARD,  /* a terminal pin a lead */
    SWI_SOURCE,     /* a terminal pin a node */
    SWI_AMMETER,    /* its nodes are one */
    SWI_LEFT_OUT
} swi_fate;

/* One part of the netlist. */
typedef struct swi_member {
    const sw_part *part;
    swi_stated stated;
    const char *ref;        /* on the board */
    const char *device;     /* name of the device, stated by anybody; "" none */
    swi_fate fate;
    char kind;              /* the part's, or what its reference suggests */
    uint32_t group, next;   /* its group; the next member of that; SW_NONE */
    uint8_t unit;           /* of a multi-unit device: 1 …, 0 not said */
    bool failed;            /* reported already */
    const char *note;       /* for the report: what was assumed */
} swi_member;

/* One part to be: all members with one reference. */
typedef struct swi_group {
    const char *ref;
    swi_fate fate;
    char kind;
    uint32_t first, last;   /* members */
    const char *device, *package, *value; /* as they will be shown */
    const sw_device *known;
    const sw_package *form;
    bool worded;            /* the device comes of a word, not of the library's names */
} swi_group;

/* A pin of a made part. */
typedef struct swi_made_pin {
    const char *number, *name;
    sw_pin_type type;
    uint32_t node;          /* SW_NONE: alone */
    bool stated;            /* a netlist line is on it, not only a joined leg */
    sw_span span;
} swi_made_pin;

typedef struct swi_made {
    sw_part part;           /* first_pin, pin_count: in the fit's made pins */
    uint32_t owner;         /* netlist part that properties come from, SW_NONE */
} swi_made;

/* A direct voltage between a node and ground. */
typedef struct swi_supply {
    uint32_t node;
    double volts;
    const sw_part *source;
} swi_supply;

typedef struct swi_fit {
    const sw_circuit *netlist;
    const sw_library *library;
    const sw_fit_options *options;
    sw_diags *diags;
    swi_arena *arena;       /* scratch, and text until it is copied */
    bool out, impossible, usage; /* memory; a part that cannot be fitted; bad options */
    swi_member *members;    /* one a netlist part, by its index */
    swi_group *groups;
    uint32_t group_count;
    uint32_t *pin_to;       /* per netlist pin: index in the package, SW_NONE */
    uint32_t node_count;    /* netlist's and made ones */
    size_t node_room;
    uint32_t *join;         /* union-find over them, for ammeters */
    const char **made_nodes;/* names of those above the netlist's */
    size_t made_nodes_room;
    swi_made *made;
    size_t made_count, made_room;
    swi_made_pin *pins;
    size_t pin_count, pin_room;
    swi_supply *supplies;
    size_t supply_count, supply_room;
    sw_node *marks;         /* per node: rail, rail_why, volts */
    swi_map *refs;          /* those of all parts and terminal pins */
    uint32_t guessed;       /* parts whose package was suggested by kind and value */
    sw_buf beside;          /* those taken to be beside the board by what they are called */
    uint32_t beside_count;
} swi_fit;

/* ---- fit.c: small things for all ---- */

/* Texts one behind the other, kept in the arena; never NULL. */
const char *swi_fit_cat(swi_fit *fit, const char *const *texts);
#define SWI_CAT(fit, ...) swi_fit_cat((fit), (const char *const[]){__VA_ARGS__, NULL})
const char *swi_fit_copy(swi_fit *fit, const char *text, size_t length);
/* Adds to what the report says of the member. */
void swi_fit_note(swi_fit *fit, swi_member *member, const char *note);
uint32_t swi_fit_node(const swi_fit *fit, uint32_t node); /* after joins */
const char *swi_fit_node_name(const swi_fit *fit, uint32_t node);
/* The node of that name (a netlist's or a made one), made when there is none. */
uint32_t swi_fit_node_called(swi_fit *fit, const char *name, size_t length, const char *path,
                             const swi_member *member);
/* Where to point at for a cell: its row's span, else the part's. */
sw_span swi_fit_span(const swi_member *member, swi_cell_id cell);
/* The value that a row states, else the netlist's. */
const char *swi_fit_value_said(const swi_member *member);
/* The pins of the netlist part. */
const sw_pin *swi_fit_pins(const swi_fit *fit, const swi_member *member);

/* ---- fit_state.c ---- */
bool swi_fit_state(swi_fit *fit);

/* ---- fit_guess.c ---- */

/* Behind the path of a reference, and how many letters it begins with there. */
const char *swi_ref_letters(const char *ref, size_t *letters);
/* The package that kind, value (as people write it) and device suggest for so many
 * pins; "" none. */
const char *swi_guess_package(char kind, const char *ref, const char *value, const char *device,
                              uint32_t pins);
/* A component's value; a rating or a remark may stand beside it. */
bool swi_fit_value(char kind, const char *text, double *value);
sw_quantity swi_quantity_of(char kind);
/* Whether pin names mean the same ("IN+" and "+", "VCC" and "V+"). */
bool swi_same_pin_name(const char *a, const char *b);

/* ---- fit_words.c ---- */

/* The package of a two-lead part, or the device of the library, that a word of device or value
 * names, or a reference such as LDR1; "" none. */
const char *swi_word_package(char kind, const char *ref, const char *device, const char *value);
const char *swi_word_device(char kind, const char *device, const char *value);
/* Whether words or the reference say that it stands beside the board, on wires. */
bool swi_word_beside(char kind, const char *ref, const char *device, const char *value, uint32_t pins);

/* ---- fit_off.c ---- */

/* A source's direct voltage or current; false when it has none (a signal). */
bool swi_source_direct(const char *text, double *value);
bool swi_is_ground_name(const char *name);
void swi_fit_ammeter(swi_fit *fit, swi_member *member);
void swi_fit_off(swi_fit *fit, swi_group *group);
/* The terminal pins of all sources, one a node. */
void swi_fit_sources(swi_fit *fit);

/* ---- fit_part.c ---- */
void swi_fit_part(swi_fit *fit, swi_group *group);
/* Adds a part; its pins follow with swi_fit_made_pin. */
swi_made *swi_fit_made(swi_fit *fit, const char *ref, char kind, sw_span span, uint32_t owner);
swi_made_pin *swi_fit_made_pin(swi_fit *fit, const char *number, const char *name, uint32_t node,
                               sw_span span);

/* ---- fit_pins.c ---- */

/* Puts the member's nodes on the pins of the part being made (`pins`: one a pin
 * of the package).  false: reported. */
bool swi_fit_map(swi_fit *fit, const swi_group *group, swi_member *member, swi_made_pin *pins);
bool swi_fit_map_supply(swi_fit *fit, const swi_group *group, const swi_member *member,
                        swi_made_pin *pins);

/* ---- fit_find.c ---- */
/* Index of a pin of the group's package by number or name, within a unit (0 any);
 * -1. */
int swi_fit_find_pin(const swi_group *group, const char *text, size_t length, unsigned unit);
/* By a name alone that says for sure which pin it is; -1 for numbers, names of several pins,
 * and where which pin is which does not matter. */
int swi_fit_find_named(const swi_group *group, const char *name, unsigned unit);

/* ---- fit_rails.c ---- */
/* Positive or negative by its name alone; ground is swi_is_ground_name. */
sw_rail swi_rail_of_name(const char *name);
void swi_fit_rails(swi_fit *fit);

/* ---- fit_emit.c, fit_report.c ---- */
sw_circuit *swi_fit_emit(swi_fit *fit); /* NULL: memory is out */
bool swi_fit_report(const swi_fit *fit, sw_sheet **report);

#endif
