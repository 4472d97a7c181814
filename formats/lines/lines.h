/* formats/lines/lines.h: what the shapes of netlists in plain lines share. */
#ifndef SWI_LINES_H
#define SWI_LINES_H

#include <stripwright/format.h>

/* A run of characters of the file. */
typedef struct swi_run {
    const char *text;
    size_t length;
} swi_run;

typedef struct swi_lines {
    const sw_input *input;
    sw_diags *diags;
    sw_builder *builder;
    size_t next;   /* offset of the line after this one */
    swi_run line;  /* without blanks at its ends */
    bool indented; /* there were some before it */
    bool listed;   /* the file lists its parts, so that a pin of another is a mistake */
    bool failed;   /* memory is out */
} swi_lines;

/* The next line, empty ones too; false at the end. */
bool swi_lines_next(swi_lines *l);
/* The next word of a run, which loses it; false when there is none. */
bool swi_lines_word(swi_run *rest, swi_run *word);
/* The node's name at the beginning of a line, without a `/` before it, and without `:` or `=` behind. */
bool swi_lines_name(swi_run *rest, swi_run *name);
bool swi_lines_is(swi_run run, const char *text);
sw_span swi_lines_span(const swi_lines *l, swi_run run);
/* In UTF-8, kept with the circuit. */
const char *swi_lines_text(swi_lines *l, swi_run run);

/* A part that the file lists; what stands for nothing ("unknown", "?", "*") is left out. */
void swi_lines_part(swi_lines *l, swi_run ref, swi_run package, swi_run device, swi_run value);
/* U1-3, U1.3 or U1(3); reports what is none. */
void swi_lines_pin(swi_lines *l, swi_run word, sw_node_id node);
/* The same, said apart; the name may be empty. */
void swi_lines_pin_of(swi_lines *l, swi_run ref, swi_run pin, swi_run name, sw_node_id node);
void swi_lines_syntax(swi_lines *l, swi_run at, const char *what);

/* The shapes; each reads from the line that is next. */
void swi_lines_blocks(swi_lines *l);   /* [ part ] ( net ) */
void swi_lines_sections(swi_lines *l); /* *PART* *NET* *SIGNAL* */
void swi_lines_nodes(swi_lines *l);    /* a line a node */
void swi_lines_columns(swi_lines *l);  /* Net Part Pad Pin: a line a pin */
bool swi_lines_heads_columns(swi_run line);

/* Which of them a file is, by its first lines that are not empty; NULL: none. */
typedef void swi_lines_shape(swi_lines *l);
swi_lines_shape *swi_lines_shape_of(const char *bytes, size_t length);

sw_status swi_lines_read(const sw_input *input, const sw_read_options *options, sw_diags *diags, sw_builder *builder);

#endif
