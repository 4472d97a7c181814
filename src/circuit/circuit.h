/* src/circuit/circuit.h: what the files of this room share. */
#ifndef SWI_CIRCUIT_H
#define SWI_CIRCUIT_H

#include "base/arena.h"
#include "base/text.h"
#include "circuit/names.h"
#include <stripwright/circuit.h>

/* A second name of a node that a join left without a node of its own. */
typedef struct swi_alias {
    const char *name;
    uint32_t node;
} swi_alias;

/* Owns a frozen circuit's arrays and text, and finds things in it. */
typedef struct swi_circuit_memory {
    swi_arena *arena;
    swi_names parts;       /* by reference */
    swi_names nodes;       /* by name, without case: the first of each spelling … */
    swi_names nodes_exact; /* … and those whose name differs from it only in case */
    swi_alias *aliases;    /* in the two indices above as number node_count + i */
    uint32_t alias_count;
    void *owned[4];        /* arrays that came from the builder as they were */
} swi_circuit_memory;

struct sw_builder {
    sw_stage stage;
    sw_diags *diags;
    swi_arena *arena;    /* becomes the circuit's */
    swi_interner *text;
    const char *title;
    bool failed;         /* sticky: memory out or a limit passed */
    bool joined;         /* nodes were joined: see up */
    bool mixed;          /* pins were not added part by part */
    bool odd;            /* some text is more than printable ASCII, see texts.c */
    const sw_limits *most;
    size_t part_count, part_room, pin_count, pin_room, node_count, node_room, up_room;
    size_t model_count, model_room, property_count, property_room, row_count, row_room;
    sw_part *parts;
    sw_pin *pins;        /* in the order added; grouped by part when freezing */
    sw_node *nodes;      /* pin_count is right while nothing is joined */
    uint32_t *up;        /* union-find over nodes: its parent, itself for a root */
    sw_model *models;
    sw_property *properties;
    sw_row *rows;
    swi_names parts_by_ref, nodes_by_name, nodes_by_exact_name;
    sw_part no_part;     /* handed out for SW_NONE, so that callers need not ask */
    sw_pin no_pin;
    sw_node no_node;
};

/* ---- the builder by text of a length, for readers of many parts ---- */

/* About so much is to come: room is made at once.  More may come, or less. */
void swi_builder_expect(sw_builder *builder, size_t parts, size_t pins, size_t nodes);
/* As sw_builder_part, sw_builder_find_part and sw_builder_node. */
sw_part_id swi_builder_part(sw_builder *builder, const char *ref, size_t length, char kind,
                            sw_span span);
sw_part_id swi_builder_find_part(const sw_builder *builder, const char *ref, size_t length);
sw_node_id swi_builder_node(sw_builder *builder, const char *name, size_t length, bool fold,
                            sw_span span);
/* The node of that name, i == SW_NONE when there is none; fold: letter case aside, when none
 * is spelled exactly so. */
sw_node_id swi_builder_find_node(const sw_builder *builder, const char *name, size_t length,
                                 bool fold);
/* Text of a file kept with the circuit: in UTF-8, on one line.  *failed is set when memory is out. */
const char *swi_builder_line(sw_builder *builder, const char *text, size_t length, bool *failed);
/* As sw_builder_pin, with texts that outlive the circuit or are from sw_builder_text. */
sw_pin_id swi_builder_pin(sw_builder *builder, sw_part_id part, const char *number,
                          const char *name, sw_node_id node, sw_span span);

/* Frees what is not in the arena. */
void swi_circuit_release(swi_circuit_memory *memory);
/* The node that a node is now, after joins. */
uint32_t swi_builder_root(const sw_builder *builder, uint32_t node);
/* Reports names that no paper can show, and tidies values (texts.c). */
void swi_builder_texts(sw_builder *builder);
/* Memory is out: says so once and makes the builder fail. */
void swi_builder_out(sw_builder *builder);
/* swi_name_of over the circuit's nodes and, above them, its aliases. */
const char *swi_circuit_node_name(const void *circuit, uint32_t number);
const char *swi_circuit_part_ref(const void *circuit, uint32_t number);

/* As sw_circuit_part, sw_circuit_node and sw_circuit_pin_spelled, by length. */
sw_part_id swi_circuit_part_n(const sw_circuit *circuit, const char *ref, size_t length);
sw_node_id swi_circuit_node_n(const sw_circuit *circuit, const char *name, size_t length);
sw_pin_id swi_circuit_pin_n(const sw_circuit *circuit, sw_part_id part, const char *pin,
                            size_t length);
sw_pin_id swi_circuit_pin_spelled_n(const sw_circuit *circuit, const char *text, size_t length);

/* "positive", "ground", "negative", "none" and back; + 0 - are read too, without
 * case.  false when it is no such word. */
const char *swi_rail_name(sw_rail rail);
bool swi_rail_read(const char *text, sw_rail *rail);

/* A part's flags as words, each with a blank before it: " flat terminal".  "deck" is a
 * voltage source without a value that a deck wrote: it gives 0 V there (Berkeley SPICE3
 * manual 3.2.1), where others leave the value to be stated. */
enum { SWI_FLAGS_LENGTH = 40 };
const char *swi_part_flags(const sw_part *part, char out[SWI_FLAGS_LENGTH]);
/* Sets the flag of that name; false when it is none. */
bool swi_part_flag_read(sw_part *part, const char *word, size_t length);
#define SWI_FLAG_WORDS "flat terminal polarised deck"

/* Whether two values of a part of this kind are the same: 4k7 and 4700 are. */
bool swi_same_value(char kind, const char *a, const char *b);

/* Pins by reference, then by number, in that order. */
int swi_pin_compare(const sw_circuit *circuit, sw_pin_id a, sw_pin_id b);

/* Node indices in the order in which sw_circuit_number numbers them: node_count
 * of them, malloc'ed; NULL when memory is out. */
uint32_t *swi_number_order(const sw_circuit *circuit);
/* Sets by_number from the nodes' numbers; false when memory is out. */
bool swi_number_index(sw_circuit *circuit);

#endif
