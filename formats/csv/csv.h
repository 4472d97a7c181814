/* formats/csv/csv.h: what the files of the circuit tables share. */
#ifndef SWI_CSV_FORMAT_H
#define SWI_CSV_FORMAT_H

#include <stripwright/format.h>

typedef enum swi_form { SWI_FORM_NONE, SWI_FORM_NODES, SWI_FORM_PINS, SWI_FORM_PARTS } swi_form;

/* What a column says. */
typedef enum swi_field {
    SWI_REF, SWI_PIN, SWI_NODE, SWI_PINS,                 /* these make the form */
    SWI_VALUE, SWI_DEVICE, SWI_PACKAGE, SWI_KIND, SWI_PATH, SWI_FLAGS, /* of a part */
    SWI_PLACE, SWI_OMIT,                                  /* what fitting is to do with it */
    SWI_NAME, SWI_TYPE,                                   /* of a pin */
    SWI_RAIL, SWI_VOLTS, SWI_GLOBAL,                                 /* of a node */
    SWI_FIELD_COUNT,
    SWI_PROPERTY = SWI_FIELD_COUNT                        /* any other column */
} swi_field;

/* The word for a field that we write. */
extern const char *const swi_field_names[SWI_FIELD_COUNT];
/* A cell of a header row, without quotes. */
typedef struct swi_cell {
    const char *text;
    size_t length;
} swi_cell;

typedef struct swi_header {
    int at[SWI_FIELD_COUNT];   /* column of a field, -1: none */
    int doubled, twin;         /* a column that means the same as another, -1: none */
    int vague;                 /* a column whose word may mean several fields, -1 */
    const char *vague_between; /* which: "ref or node" */
    uint64_t pin_columns;      /* of the first 64: those that are each a pin of the row's part (PARTS) … */
    bool in_order;             /* … which are only in order: from and to, node 1 and node 2 */
    swi_form form;             /* NONE: no circuit table */
} swi_header;

/* Tells the fields of the columns from their words. */
void swi_csv_header(swi_header *header, const swi_cell *cells, int count);
/* The field of a column, SWI_PROPERTY for one that is no field. */
swi_field swi_csv_field_of(const swi_header *header, int column);
/* Whether the column is a pin of the row's part, and which pin its word names ("1" of "pin 1";
 * length 0: none). */
bool swi_csv_is_pin_column(const swi_header *header, int column);
swi_cell swi_csv_pin_of_column(swi_cell word);
/* Whether a column of this name would be taken for something else than a property. */
bool swi_csv_reserved(const char *word);
/* Offset of the header row: behind a byte order mark, blank rows and comments. */
size_t swi_csv_start(const char *bytes, size_t length);

/* One way to read "U1-3" as reference and pin. */
typedef struct swi_reading {
    size_t ref_length, pin_from, pin_length;
} swi_reading;
enum { SWI_MOST_READINGS = 16 };
/* All ways to read a pin; at most SWI_MOST_READINGS are given, the count of them is
 * returned. */
int swi_csv_split_pin(const char *text, size_t length, swi_reading out[SWI_MOST_READINGS]);

sw_status swi_csv_read(swi_form form, const sw_input *input, sw_diags *diags,
                       sw_builder *builder);
sw_status swi_csv_write(swi_form form, const sw_document *document,
                        const sw_write_options *options, sw_diags *diags, sw_buf *out);

#endif
