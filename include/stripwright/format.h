/* stripwright/format.h: formats in and out.
 *
 * A format is a const descriptor, listed once in formats/formats.def.  It does
 * no input or output of its own: a reader gets bytes and a builder or plan, a
 * writer fills a buffer.  Files that a deck includes are asked for through a
 * callback that the caller may refuse.
 */
#ifndef STRIPWRIGHT_FORMAT_H
#define STRIPWRIGHT_FORMAT_H

#include <stripwright/board.h>

typedef enum sw_format_group { SW_GROUP_CIRCUIT, SW_GROUP_PLAN, SW_GROUP_PAPER } sw_format_group;

/* Opens a file that an input asks for (`.include`), relative to the asking
 * input.  SW_OK and *out, or a refusal that it has reported at `span`: an error, or less when
 * the file may be missed; the input is then read as if it did not ask. */
typedef sw_status (*sw_include)(void *user, const char *path, const sw_input *asking,
                                sw_span span, sw_diags *diags, sw_input *out);

typedef struct sw_read_options {
    sw_include include;      /* NULL: refuse every include */
    void *include_user;
    /* Subcircuits of these names stay parts and are not flattened (they are
     * devices in the library, named in a sheet or for a thing).  NULL: only what the deck's
     * own fitting lines name, and names without a definition. */
    bool (*is_device)(void *user, const char *name);
    void *device_user;
    const char *top;         /* EDIF: cell to flatten from; NULL: the design's */
    const char *const *map;  /* EDIF: "value=PROP" …, NULL-terminated; or NULL */
} sw_read_options;

/* Everything a writer may be asked to show.  Only what a format needs must be
 * there: a circuit for circuit formats, a plan for plans, both for most papers. */
typedef struct sw_document {
    const sw_circuit *circuit;        /* as read or fitted */
    const sw_plan *plan;
    const sw_library *library;
    /* The board as it is, where papers are to say what turns it into the plan, which is of the
     * same size; NULL: it is built from nothing. */
    const sw_plan *built;
    const sw_check_report *check;     /* faults to show, or NULL */
    const sw_diags *diags;            /* the review, for papers that list it; or NULL */
    const char *date;                 /* "" or the text for the title block */
    const char *revision;             /* "" or text */
    /* A further board, for papers that add boards up (sw_format.several); NULL: none.
     * Its library is the first one's.  Formats that show one board refuse a chain. */
    const struct sw_document *next;
    int copies;                       /* of this board, in such papers; 0 means 1 */
} sw_document;

typedef enum sw_side { SW_SIDE_BOTH, SW_SIDE_COMPONENT, SW_SIDE_COPPER } sw_side;
typedef struct sw_write_options {
    bool spreadsheet;        /* guard cells that a spreadsheet takes for a formula */
    sw_side side;            /* of drawings */
    const char *paper;       /* "A4" (default when NULL) or "Letter" */
    double scale;            /* of drawings; 0: the format's usual */
    int copies;              /* parts lists, times each board's own; 0 means 1 */
    int spare_percent;       /* parts lists */
    const char *path;        /* where it will be written, for formats with several
                                endings (worklist .csv, .txt; partslist .csv, .txt,
                                .html, .json); NULL: the first */
    const char *made_by;     /* NULL: "stripwright VERSION" */
} sw_write_options;

typedef struct sw_format {
    const char *name;                 /* as in --from and --to */
    const char *const *aliases;       /* NULL-terminated or NULL */
    const char *const *extensions;    /* ".cir", … NULL-terminated; longest match wins */
    const char *summary;              /* one line */
    const char *standard;             /* "" or the standard and clause */
    const char *keeps;                /* what survives a round trip, one line */
    sw_format_group group;
    bool hierarchy;                   /* has cells and properties: reads options top and map */
    bool several;                     /* writes all boards of a chain of documents */
    /* How sure the format is that these bytes are its own: 0 no … 100 certainly. */
    int (*probe)(const char *bytes, size_t length);
    sw_status (*read_circuit)(const sw_input *input, const sw_read_options *options,
                              sw_diags *diags, sw_builder *builder);
    sw_status (*read_plan)(const sw_input *input, const sw_read_options *options,
                           sw_diags *diags, sw_plan *plan);
    sw_status (*write)(const sw_document *document, const sw_write_options *options,
                       sw_diags *diags, sw_buf *out);
} sw_format;

SW_API size_t sw_format_count(void);
SW_API const sw_format *sw_format_at(size_t index);
SW_API const sw_format *sw_format_find(const char *name);      /* name or alias, no case */
SW_API const sw_format *sw_format_for_path(const char *path);  /* by longest extension; .gz ignored */
/* By content first (readable formats only), then by the input's name; NULL and
 * `format-unknown` when neither tells. */
SW_API const sw_format *sw_format_detect(const sw_input *input, sw_diags *diags);

/* options NULL: defaults.  format NULL: detect. */
SW_API sw_status sw_read_circuit(const sw_format *format, const sw_input *input,
                                 const sw_read_options *options, sw_diags *diags, sw_circuit **out);
SW_API sw_status sw_read_plan(const sw_format *format, const sw_input *input,
                              const sw_read_options *options, sw_diags *diags, sw_plan **out);
SW_API sw_status sw_write(const sw_format *format, const sw_document *document,
                          const sw_write_options *options, sw_diags *diags, sw_buf *out);

/* Whether a placement file is valid by the shipped RELAX NG schema; findings go to the
 * sink.  Reading one does not need this: the reader refuses the same files. */
SW_API sw_status sw_placement_validate(const sw_input *input, sw_diags *diags);

#endif
