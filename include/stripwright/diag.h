/* stripwright/diag.h: diagnostics and the sources they point into.
 *
 * Model.  One sink (sw_diags) collects everything that is to be said about a
 * job.  It also owns the text of every input (sw_input), so that a diagnostic
 * needs only a span: source, byte offset, length.  Line, column and the marked
 * line are worked out when shown.  Objects of circuits and plans keep their
 * spans, so that a fault found while laying out points at the deck's line.
 *
 * Every diagnostic has an id from diagnostics.def: a stable name for programs
 * (`spice-node-missing`), and a severity that a user may change by id
 * (sw_diags_treat).  A message says what is wrong, where, and what to do.
 */
#ifndef STRIPWRIGHT_DIAG_H
#define STRIPWRIGHT_DIAG_H

#include <stripwright/base.h>

typedef enum sw_severity {
    SW_QUIET = 0, /* only as a treatment: drop it */
    SW_NOTE,      /* worth knowing */
    SW_WARNING,   /* probably a mistake */
    SW_ERROR      /* the output would be wrong or could not be made */
} sw_severity;

typedef enum sw_diag_id {
#define SW_DIAG(name, text, severity) SW_D_##name,
#include <stripwright/diagnostics.def>
#undef SW_DIAG
    SW_DIAG_COUNT
} sw_diag_id;

/* A stretch of an input.  source 0: nowhere. */
typedef struct sw_span {
    uint32_t source, offset, length;
} sw_span;
#define SW_NOWHERE ((sw_span){0, 0, 0})

typedef struct sw_diag {
    sw_diag_id id;
    sw_severity severity;
    sw_span span;
    const char *message; /* one line, UTF-8 */
} sw_diag;

/* Where a span begins, for people.  Lines and columns count from 1; a column
 * is a character (UTF-8), not a byte. */
typedef struct sw_place {
    const char *name;      /* of the source */
    uint32_t line, column;
    const char *line_text; /* not NUL-terminated */
    size_t line_length;
} sw_place;

typedef struct sw_diags sw_diags;

/* One input's bytes, owned by the sink; valid until sw_diags_free. */
typedef struct sw_input {
    uint32_t source;
    const char *name;
    const char *bytes; /* followed by a NUL that is not counted */
    size_t length;
} sw_input;

/* limits NULL: the defaults.  NULL when memory is out. */
SW_API sw_diags *sw_diags_new(const sw_limits *limits);
SW_API void sw_diags_free(sw_diags *diags);
SW_API const sw_limits *sw_diags_limits(const sw_diags *diags);

/* Reads a whole file, "-" for standard input, unpacking gzip by its magic; text in UTF-16 by its
 * byte order mark becomes UTF-8.
 * SW_SYSTEM with `input-…` diagnostics for missing, unreadable, directory;
 * SW_BAD_INPUT for too large or damaged gzip. */
SW_API sw_status sw_input_open(sw_diags *diags, const char *path, sw_input *out);
/* Takes a copy of text already in memory as an input called `name`. */
SW_API sw_status sw_input_text(sw_diags *diags, const char *name,
                               const char *bytes, size_t length, sw_input *out);

/* Adds a diagnostic.  The format is as in sw_buf_printf; text from an input may be
 * put in as it is: what a terminal would obey becomes "·", in what is longer
 * than 600 bytes words of more than 60 lose their middle, and what is still longer is cut.  Never fails visibly: when memory is out the diagnostic is
 * only counted, and a `memory` diagnostic is among those that can be got. */
SW_API void sw_diag_add(sw_diags *diags, sw_diag_id id, sw_span span,
                        const char *format, ...) SW_PRINTF(4, 5);

SW_API size_t sw_diags_count(const sw_diags *diags);
/* In the order added; the pointer is valid until sw_diags_free. */
SW_API const sw_diag *sw_diags_get(const sw_diags *diags, size_t index);
/* How many of this id were counted only, being over limits.diagnostics. */
SW_API size_t sw_diags_hidden(const sw_diags *diags, sw_diag_id id);
/* How many of this severity were added (also those over the kept limit). */
SW_API size_t sw_diags_of(const sw_diags *diags, sw_severity severity);
/* From now on diagnostics of this id have this severity; SW_QUIET drops them.
 * Ids that are errors by nature (the output would be wrong) cannot be lowered:
 * false. */
SW_API bool sw_diags_treat(sw_diags *diags, sw_diag_id id, sw_severity severity);
/* Warnings added from now on are errors. */
SW_API void sw_diags_strict(sw_diags *diags, bool strict);

SW_API const char *sw_diag_name(sw_diag_id id);             /* "input-missing" */
SW_API const char *sw_severity_name(sw_severity severity);  /* "error", "warning", "note" */
SW_API sw_severity sw_diag_severity(sw_diag_id id);         /* by nature */
SW_API bool sw_diag_find(const char *name, sw_diag_id *id); /* by name */

/* false when the span is SW_NOWHERE.  Quick also for many spans of a large input. */
SW_API bool sw_diags_place(const sw_diags *diags, sw_span span, sw_place *place);
/* Appends the diagnostic as shown on a terminal:
 *   greenhouse.cir:14:9: error: message  [id]
 *      Q1 c b BC547
 *             ^~~~~
 * A long line is shown around the mark only, with … where it goes on.
 */
SW_API void sw_diag_show(const sw_diags *diags, const sw_diag *diag, sw_buf *out);
/* For each id of which some were counted only: "… and 23 more  [id]". */
SW_API void sw_diags_show_hidden(const sw_diags *diags, sw_buf *out);
/* All that was kept, then the lines of sw_diags_show_hidden. */
SW_API void sw_diags_show(const sw_diags *diags, sw_buf *out);

/* Writes bytes to a file: a regular file through a temporary in the same folder
 * that is renamed when whole; "-" (standard output), devices and pipes
 * directly.  A name ending in .gz is packed.  SW_SYSTEM and `output-…` when it
 * fails; then no regular file is left half-written. */
SW_API sw_status sw_output_write(sw_diags *diags, const char *path,
                                 const char *bytes, size_t length);

#endif
