/* src/parts/library.h: inside the library of packages and devices. */
#ifndef SWI_LIBRARY_H
#define SWI_LIBRARY_H

#include "base/csv.h"
#include "base/text.h"
#include <stripwright/parts.h>

/* Things by name.  A name leads to a slot, so that a later row of the same name takes
 * over its slot and the aliases that lead there. */
typedef struct swi_shelf {
    swi_map *names, *aliases; /* to slots */
    const void **slots;       /* sw_package, sw_device or sw_stock */
    size_t slot_count, slot_capacity;
    const void **sorted;      /* those with a row of their own, by natural order of name */
    size_t count, capacity;
} swi_shelf;

/* A pin whose name matches the pattern is of this type; the first match holds. */
typedef struct swi_pin_rule {
    const char *pattern;
    sw_pin_type type;
} swi_pin_rule;

/* Names that begin with `prefix` are pinned like those that begin with `as`. */
typedef struct swi_family {
    const char *prefix, *as;
} swi_family;

/* What a drawing program calls a package; package "": its name tells nothing. */
typedef struct swi_footprint {
    const char *pattern, *package;
    size_t literals;      /* characters of the pattern that are no * */
} swi_footprint;

struct sw_library {
    swi_arena *arena;
    swi_interner *texts;
    swi_shelf packages, devices, stock;
    swi_pin_rule *rules;
    size_t rule_count, rule_capacity;
    swi_family *families; /* longest prefix first */
    size_t family_count, family_capacity;
    swi_footprint *footprints;
    size_t footprint_count, footprint_capacity;
};

/* Columns of all tables; each table has some of them. */
typedef enum swi_column {
    SWI_NAME, SWI_FORM, SWI_TURNS, SWI_SHAPE, SWI_ALONG, SWI_ACROSS, SWI_HEIGHT, SWI_SHIFT, SWI_UNDER, SWI_FACE,
    SWI_JOINED, SWI_SOURCE, SWI_ALIAS, SWI_PART, SWI_PACKAGE, SWI_PINS_LISTED, SWI_PINOUT,
    SWI_NOTE, SWI_TYPES, SWI_PIN, SWI_TYPE, SWI_PREFIX, SWI_AS, SWI_STRIPS, SWI_HOLES, SWI_FOOTPRINT,
    SWI_COLUMNS
} swi_column;

/* A table being read: the columns that its header names, and the current row. */
typedef struct swi_table {
    sw_library *library;
    sw_diags *diags;
    swi_csv *csv;
    int column[SWI_COLUMNS]; /* field index or -1 */
    const swi_csv_field *fields;
    int field_count;
    sw_span row; /* the current row's first field */
} swi_table;

/* The current row's cell; empty text at the row when it has none. */
swi_csv_field swi_cell(const swi_table *table, swi_column column);
/* The span of a piece of a cell's text, or the whole cell when it is quoted. */
sw_span swi_piece(const swi_csv_field *cell, const char *from, size_t length);
/* Kept in the library; NULL when memory is out. */
const char *swi_keep(sw_library *library, const char *text, size_t length);

/* The next word of a blank-separated list: false at its end. */
bool swi_next_word(const char **at, const char **word, size_t *length);

/* Read the current row into the library.  SW_BAD_INPUT: reported, row left out. */
sw_status swi_package_row(const swi_table *table);
sw_status swi_device_row(const swi_table *table);
sw_status swi_rule_row(const swi_table *table);
sw_status swi_family_row(const swi_table *table);
sw_status swi_footprint_row(const swi_table *table); /* footprint.c */
sw_status swi_stock_row(const swi_table *table);

/* The type that the rules give a name (without its unit's digit). */
sw_pin_type swi_pin_type_of(const sw_library *library, const char *name);

/* Puts a thing under its name; *slot is where it is. */
sw_status swi_shelf_put(swi_shelf *shelf, const char *name, const void *thing, uint32_t *slot,
                        sw_diags *diags);
/* Puts a thing where only aliases lead. */
sw_status swi_shelf_hide(swi_shelf *shelf, const void *thing, uint32_t *slot, sw_diags *diags);
sw_status swi_shelf_alias(swi_shelf *shelf, const char *alias, size_t length, uint32_t slot,
                          sw_diags *diags);
const void *swi_shelf_find(const swi_shelf *shelf, const char *name, size_t length);
/* Whether a device that is there already has other pins than this package. */
const sw_device *swi_device_at_odds(const sw_library *library, const sw_package *package);

#endif
