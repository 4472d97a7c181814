/* formats/csv/csv_rows.h: the state of reading a circuit table. */
#ifndef SWI_CSV_ROWS_H
#define SWI_CSV_ROWS_H

#include "formats/csv/csv.h"

#include "base/arena.h"
#include "base/csv.h"
#include "base/text.h"

/* Interned text, and where it stands. */
typedef struct swi_text {
    const char *text;
    sw_span span;
} swi_text;

/* A pin of a list of the nodes table, read when all references are known. */
typedef struct swi_item {
    swi_text pin;
    sw_node_id node; /* SW_NONE: a node of its own */
} swi_item;

typedef struct swi_rows {
    const sw_input *input;
    sw_diags *diags;
    sw_builder *builder;
    swi_csv *csv;
    swi_arena *arena;
    swi_map *said, *known;   /* properties there are; references there are */
    sw_buf scratch;
    swi_header header;
    swi_text *columns, *cells;
    size_t column_room, cell_room;
    int column_count, cell_count;
    sw_span row_span;
    swi_item *items;
    size_t item_count, item_room;
    uint32_t part_count;
} swi_rows;

/* ---- csv_read.c ---- */
swi_text swi_rows_cell(const swi_rows *rows, swi_field field); /* "" when there is none */
sw_part_id swi_rows_part(swi_rows *rows, const char *ref, sw_span span);
/* The row's part with what the row says of it; SW_NONE when it has no reference. */
sw_part_id swi_rows_row_part(swi_rows *rows);
/* A node by name, a new one of its own for "". */
sw_node_id swi_rows_node(swi_rows *rows, swi_text name);
sw_node_id swi_rows_row_node(swi_rows *rows);
/* The row's other cells as properties; ids may be SW_NONE. */
void swi_rows_properties(swi_rows *rows, sw_owner subject, sw_part_id part, sw_pin_id pin,
                         sw_node_id node);

/* Whether a row before has said this of its part, pin or node: rows repeat themselves. */
bool swi_rows_said(swi_rows *rows, sw_owner owner, uint32_t index, const char *key, const char *value);

/* ---- csv_rows.c ---- */
/* Cuts the next word off a list: blanks, commas and semicolons part words. */
bool swi_rows_word(swi_rows *rows, swi_text *list, swi_text *word);
/* One row of a table of this form. */
void swi_rows_take(swi_rows *rows, swi_form form);
/* Once all rows are there; false when memory is out. */
bool swi_rows_finish(swi_rows *rows);

#endif
