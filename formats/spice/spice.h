/* formats/spice/spice.h: what the files of this format share.
 *
 * Reading goes in two passes.  The first (spice_deck.c, spice_card.c) goes
 * through the text once, file by file, and sorts it into cards: an element
 * line stays where it is in the input and is only noted in the definition it
 * stands in; models, parameters, functions and subcircuit headers are taken
 * in, because a deck may use them before it says them.  The second
 * (spice_flat.c, spice_element.c) walks the cards of the deck's outermost
 * definition, takes each line apart and feeds the builder, going into
 * subcircuits as it meets their instances.
 */
#ifndef SWI_SPICE_H
#define SWI_SPICE_H

#include <stripwright/format.h>

#include "base/arena.h"
#include "base/text.h"

/* A stretch of deck text with the place it came from.  The text may be a copy
 * with line ends blanked, but never shifted: text[i] is at offset + i. */
typedef struct swi_slice {
    const char *text;
    uint32_t length, source, offset;
} swi_slice;

/* ---- spice_lex.c: lines, comments, words ---- */

typedef enum swi_token_kind {
    SWI_WORD,
    SWI_BRACED, /* {…} or '…': an expression, without its marks */
    SWI_QUOTED  /* "…", without its marks */
} swi_token_kind;

typedef struct swi_token {
    uint32_t at, length; /* in the line's text */
    uint8_t kind;        /* swi_token_kind */
    bool key;            /* an = follows */
    bool comma;          /* a comma stands before it */
} swi_token;

/* One card taken apart.  Reused from card to card. */
typedef struct swi_line {
    swi_slice slice; /* without comments, continuations joined by blanks */
    swi_token *tokens;
    size_t count, capacity;
    bool plain;    /* ASCII, and all tokens are words */
    sw_buf joined; /* where continuations are joined */
} swi_line;

/* Length of the line's text without the comment at its end: `;` anywhere, `$`
 * between blanks, `//` after a blank; none of them between double quotes. */
size_t swi_spice_content(const char *text, size_t length);
/* Prepares a card's text.  many: it has continuation lines, which are joined
 * in place: line ends, `+` and comments become blanks. */
void swi_spice_join(swi_line *line, swi_slice card, bool many);
/* Takes the prepared text apart.  false: a quote or brace is left open, or
 * memory is out; both reported. */
bool swi_spice_split(swi_line *line, sw_diags *diags);
/* Both at once for the plain card of one line, as nearly all are: words, no comment, ASCII.
 * false: it is not plain, take the long way. */
bool swi_spice_split_plain(swi_line *line, swi_slice card);
void swi_line_free(swi_line *line);
/* The slice with the place of its text moved on. */
static inline swi_slice swi_slice_from(swi_slice slice, size_t start, size_t length) {
    return (swi_slice){slice.text + start, (uint32_t)length, slice.source,
                       slice.offset + (uint32_t)start};
}
static inline sw_span swi_slice_span(swi_slice slice) {
    return (sw_span){slice.source, slice.offset, slice.length};
}
/* A token's text as a slice, and its place with marks and all. */
static inline swi_slice swi_token_slice(const swi_line *line, size_t index) {
    return swi_slice_from(line->slice, line->tokens[index].at, line->tokens[index].length);
}
static inline sw_span swi_token_span(const swi_line *line, size_t index) {
    const swi_token *token = &line->tokens[index];
    uint32_t marks = token->kind == SWI_WORD ? 0 : 1;
    return (sw_span){line->slice.source, line->slice.offset + token->at - marks,
                     token->length + 2 * marks};
}
bool swi_token_is(const swi_line *line, size_t index, const char *word);
/* The rest of the line from a token on, with its marks. */
swi_slice swi_line_rest(const swi_line *line, size_t index);
/* Appends text with runs of blanks made one, none at either end; bytes that are
 * not UTF-8 are taken as Latin-1. */
void swi_spice_squeeze(sw_buf *out, swi_slice text);

/* ---- spice_number.c ---- */

/* Reads a number as Berkeley SPICE3 does (manual 2.1): digits, exponent, scale
 * suffix in any case, M milli, MEG mega, MIL; µ as u.  Returns the bytes up to
 * the letters that follow the suffix, 0 when it is no number. */
size_t swi_spice_number(const char *text, size_t length, double *value);
/* The whole text is one number, letters of a unit after the suffix allowed.
 * *coded is set when the text is a value in the code of IEC 60062 (4k7), which
 * Berkeley SPICE would read as 4k; the value is then the code's. */
bool swi_spice_value(const char *text, size_t length, double *value, bool *coded);
/* Shortest number with one of SPICE's suffixes: 4.7k, 1MEG, 100n. */
void swi_spice_put_number(sw_buf *out, double value);

/* ---- what a deck holds (spice_deck.c) ---- */

typedef struct swi_card {
    uint32_t input; /* index in swi_deck.files */
    uint32_t offset, length;
    uint8_t kind; /* swi_card_kind */
    bool many;    /* has continuation lines */
} swi_card;

typedef enum swi_card_kind {
    SWI_CARD_ELEMENT,
    SWI_CARD_IF,
    SWI_CARD_ELSEIF,
    SWI_CARD_ELSE,
    SWI_CARD_ENDIF,
    SWI_CARD_PARAM /* only in a conditional branch: set when it is met */
} swi_card_kind;

typedef struct swi_param {
    const char *name;
    swi_slice expression;
} swi_param;

typedef struct swi_function {
    const char *name;
    const char **arguments;
    uint32_t argument_count;
    swi_slice body;
} swi_function;

typedef struct swi_deck_model {
    const char *name, *type, *text;
    struct swi_def *def; /* the definition it is local to */
    const char *path;    /* that definition's, or the one that a `*@` line says */
    sw_span span;
    bool used, included; /* included: it stands in another file */
    bool clash;          /* another of the name differs, in another definition */
} swi_deck_model;

/* A subcircuit's definition; the deck itself is the outermost. */
typedef struct swi_def {
    const char *name; /* "" for the deck */
    const char *path; /* names of the definitions it stands in and its own */
    struct swi_def *outer;
    sw_span span;
    swi_card *cards;
    size_t card_count, card_capacity;
    const char **ports;
    uint32_t port_count;
    const char **usual;     /* nodes of the ports from port_needed on when a line does not give them */
    uint32_t port_needed;   /* ports before `optional:` */
    swi_map *port_map; /* NULL for the deck */
    swi_map *names;    /* subcircuits in it, to swi_deck.defs */
    swi_map *models;   /* to swi_deck.models */
    swi_map *param_map;
    swi_param *params;
    size_t param_count, param_capacity;
    swi_map *function_map;
    swi_function *functions;
    size_t function_count, function_capacity;
    sw_row *rows; /* its `*@` lines */
    size_t row_count, row_capacity;
    unsigned conditions; /* `.if`s open in it while it is read */
    bool active;         /* being expanded: an instance inside is a recursion */
} swi_def;

/* One instance of a definition while it is expanded. */
typedef struct swi_scope {
    swi_def *def;
    struct swi_scope *outer; /* instance of the definition that holds this one */
    const sw_node_id *ports;
    const char *path; /* "X1.X2", "" for the deck */
    size_t path_length;
    struct swi_setting *values; /* one a parameter of def */
    struct swi_setting *extra;  /* set by the instance or a branch, not declared */
    size_t extra_count, extra_capacity;
} swi_scope;

typedef enum swi_state { SWI_UNSET, SWI_BUSY, SWI_SET, SWI_MOVING, SWI_FAILED } swi_state;
typedef struct swi_setting {
    const char *name; /* extra ones only */
    double value;
    swi_state state;
} swi_setting;

/* A name with * on a `*@` line, and the definition it stands in. */
typedef struct swi_row_pattern {
    const char *name;
    const swi_def *def;
} swi_row_pattern;

/* Stands for no path where the reference alone would tell one. */
#define SWI_NO_PATH "-"

/* What a `*@` line with a ref says beside the columns of a parts sheet; "" not said. */
typedef struct swi_row_more {
    size_t row;
    const char *kind, *flags, *path;
} swi_row_more;

/* A row of the deck with a ref. */
typedef struct swi_rename {
    size_t row;
    size_t more; /* in row_mores, SIZE_MAX */
    bool shared, used, device; /* device: it was taken over by the part */
} swi_rename;

/* `*@ qn.amp model=qn scope=amp`: a model of a flat deck that had another name, in a
 * definition. */
typedef struct swi_model_row {
    const char *name, *model, *scope; /* model, scope: "" when not said */
    sw_span span;
} swi_model_row;

/* `*@ vcc rail=positive volts=9`: a node of the deck that is a rail. */
typedef struct swi_node_row {
    const char *name, *rail, *volts; /* rail, volts: "" when not said */
    sw_span span;
} swi_node_row;

/* A file of the deck, and what is found out about it once. */
typedef struct swi_file {
    sw_input input;
    bool looked_through;
    bool has_endl;      /* it is made of library sections */
    bool short_of_ends; /* fewer .ends than .subckt */
} swi_file;

/* Decks repeat few values many times: their texts are made once. */
typedef struct swi_value_text {
    uint64_t bits; /* of the number */
    sw_quantity quantity;
    bool exact;
    const char *text; /* NULL: nothing here yet */
} swi_value_text;

/* The same from a number's spelling, when there is nothing to remark on it. */
typedef struct swi_value_word {
    char kind; /* of the part; 0: nothing here yet */
    uint8_t length;
    char word[14];
    const char *text;
} swi_value_word;

typedef struct swi_deck {
    swi_value_text values[256];
    swi_value_word words[256];
    const sw_read_options *options;
    sw_diags *diags;
    sw_builder *builder;
    const sw_limits *limits;
    swi_arena *arena;
    swi_interner *interner;
    swi_file *files;
    size_t file_count, file_capacity;
    size_t file_bytes, include_count; /* of all that was read, again each time */
    uint32_t *including; /* files open one inside the other */
    size_t include_depth, include_capacity;
    swi_def **defs;
    size_t def_count, def_capacity;
    struct swi_branches *branches; /* `.if`s open in the file being read */
    struct swi_reading *reading;   /* the file being read, in spice_deck.c */
    sw_diags *quiet;               /* while looking ahead: for what is told later */
    bool looked_ahead;             /* parameters below are taken in already */
    swi_map *asked;                /* files opened ahead, to their numbers */
    swi_def *root, *open;          /* open: the definition that lines go into now */
    swi_deck_model *models;
    size_t model_count, model_capacity;
    swi_map *model_names; /* all definitions' together */
    swi_map *globals;     /* of `.global` */
    swi_map *row_names;   /* every name of a `*@` line that makes a part whole */
    swi_row_pattern *row_patterns;
    size_t row_pattern_count, row_pattern_capacity;
    swi_row_more *row_mores;
    size_t row_more_count, row_more_capacity;
    swi_model_row *model_rows;
    size_t model_row_count, model_row_capacity;
    swi_node_row *node_rows;
    size_t node_row_count, node_row_capacity;
    swi_map *renames; /* instance to rename_list */
    swi_rename *rename_list;
    size_t rename_count, rename_capacity;
    swi_line line;                /* of the card in hand */
    sw_buf name;                  /* scratch for full names */
    sw_buf text;                  /* scratch for values */
    sw_node_id ground;            /* once an element is on it: grounded */
    bool grounded;
    uint64_t elements_read, work; /* work: elements and instances made */
    unsigned depth;               /* of expansion */
    unsigned evaluation;          /* levels deep in expressions */
    uint32_t evaluation_steps;
    bool failed;     /* memory is out */
    bool unreadable; /* a file that it includes could not be read */
    bool stopped;    /* a limit was hit */
} swi_deck;

/* ---- spice_deck.c: files to cards ---- */
/* Reads an input from a byte on; section: only that section of a library, asked
 * for at a place. */
void swi_deck_read_file(swi_deck *deck, uint32_t file, size_t start, const char *section,
                        sw_span asked);
void swi_deck_out_of_memory(swi_deck *deck);
/* Frees a scratch buffer; when it had failed, memory is out. */
void swi_deck_drop(swi_deck *deck, sw_buf *buf);
const char *swi_deck_text(swi_deck *deck, const char *text, size_t length); /* interned */
/* A slice whose text lives as long as the deck. */
swi_slice swi_deck_keep(swi_deck *deck, swi_slice slice);

/* ---- spice_card.c: dot cards; spice_include.c: those that open files ---- */

/* What a card asks the pass over the lines to do. */
typedef enum swi_after {
    SWI_GO_ON,
    SWI_AT_END,
    SWI_SKIP_CONTROL,
    SWI_SKIP_DATA,
    SWI_SKIP_SECTION,
    SWI_END_SECTION,
    SWI_STORE /* keep the card for the second pass */
} swi_after;
/* Handles the dot card of deck->line (already split).  in_section: a library
 * section is being read, `.endl` ends it. */
swi_after swi_card_take(swi_deck *deck, swi_card card, bool in_section);

/* The same, of parameters and functions alone. */
void swi_card_parameters(swi_deck *deck);

void swi_card_include(swi_deck *deck, swi_card card);
swi_after swi_card_library(swi_deck *deck, swi_card card, bool in_section);
/* Looks a file through for what its `.lib` and bare `.ends` mean. */
const swi_file *swi_deck_file(swi_deck *deck, uint32_t file);
/* The definition of a function from its head, "f(x,y)", and its body. */
void swi_def_function(swi_deck *deck, swi_def *def, swi_slice head, swi_slice body);

/* ---- spice_scope.c: names in force ---- */
/* The value now under a name, without case; SW_NONE when there is none.  A map
 * may be NULL as long as nothing is in it. */
uint32_t swi_spice_get(const swi_map *map, const char *name, size_t length);
uint32_t swi_spice_put(swi_deck *deck, swi_map **map, const char *name, size_t length,
                       uint32_t value);
swi_def *swi_def_new(swi_deck *deck, const char *name, swi_def *outer, sw_span span);
void swi_def_free(swi_def *def);
void swi_def_param(swi_deck *deck, swi_def *def, const char *name, size_t length, swi_slice value);
/* The instance whose definition holds `name` as a subcircuit, or NULL. */
swi_def *swi_scope_def(const swi_deck *deck, swi_scope *scope, const char *name, size_t length,
                       swi_scope **holder);
swi_deck_model *swi_scope_model(const swi_deck *deck, const swi_scope *scope, const char *name,
                                size_t length);
/* Takes apart `name=expression …` from a token on: each goes to the callback. */
typedef void (*swi_each_param)(swi_deck *deck, void *user, swi_slice name, swi_slice value);
void swi_params_each(swi_deck *deck, swi_slice rest, swi_each_param each, void *user);
swi_scope *swi_scope_new(swi_deck *deck, swi_def *def, swi_scope *outer);
void swi_scope_free(swi_scope *scope);
void swi_scope_set(swi_deck *deck, swi_scope *scope, const char *name, size_t length, double value);

/* ---- spice_expr.c ---- */
typedef enum swi_outcome {
    SWI_VALUE,
    SWI_BEHAVIOUR, /* depends on voltages, currents or time: no value on the bench */
    SWI_WRONG      /* reported */
} swi_outcome;
swi_outcome swi_evaluate(swi_deck *deck, swi_scope *scope, swi_slice expression, double *value);
/* Value of a parameter; *found tells whether there is one of that name. */
swi_outcome swi_scope_value(swi_deck *deck, swi_scope *scope, const char *name, size_t length,
                            sw_span span, double *value, bool *found);

/* ---- spice_if.c: .if … .endif ---- */
typedef struct swi_branches {
    struct {
        bool taken, on;
        sw_span span;
        bool last;
    } level[64];
    unsigned depth, off; /* off: levels nested in a branch that is off */
    const struct swi_branches *outer; /* of the file that includes this one */
} swi_branches;
/* Inside a branch of this file or of one that includes it. */
bool swi_branches_any(const swi_branches *branches);
bool swi_branches_on(const swi_branches *branches);
void swi_branches_card(swi_deck *deck, swi_branches *branches, swi_card_kind kind,
                       swi_scope *scope);
void swi_branches_end(swi_deck *deck, const swi_branches *branches);

/* ---- spice_row.c: `*@` lines ---- */
void swi_row_take(swi_deck *deck, swi_slice line);
/* A `*@` line makes this instance, or every instance of this subcircuit, one
 * part; names in full and as in the definition it stands in. */
bool swi_row_names(swi_deck *deck, const swi_scope *scope, const char *full, const char *local,
                   const char *subcircuit);
/* A `*@` line leaves this element out. */
bool swi_row_omits(const swi_deck *deck, const swi_scope *scope, const char *full,
                   const char *local);
void swi_rows_emit(swi_deck *deck, const swi_scope *scope);

/* ---- spice_rename.c: `*@ DLED1 ref=LED1` ---- */
/* After the pass over the text: which instances get another reference. */
void swi_renames_collect(swi_deck *deck);
/* Gives models the names that `*@` lines say, and finds those of one name that differ. */
void swi_models_rename(swi_deck *deck);
/* Models of one name in different definitions are kept apart for the writer. */
void swi_model_note_clash(swi_deck *deck, uint32_t model);
/* The row gives an instance another reference, when no other row gives the same. */
bool swi_is_rename(const sw_row *row);
/* The reference of an instance: its own name, or the one it is given. */
const char *swi_renamed(const swi_deck *deck, const char *full);
/* Takes over what the row that renames this instance says of it. */
void swi_rename_take(swi_deck *deck, sw_part_id id, const char *full);
/* The row that renames the line in hand says the part's value. */
bool swi_rename_says_value(swi_deck *deck, const swi_scope *scope);
/* Adjusts a row of the deck to the new references; false: nothing is left in it. */
bool swi_rename_row(const swi_deck *deck, size_t index, sw_row *row);

/* ---- spice_rail.c: `*@ vcc rail=positive volts=9` ---- */
/* Once the nodes are there. */
void swi_rails_take(swi_deck *deck);

/* ---- spice_flat.c ---- */
void swi_deck_expand(swi_deck *deck, swi_scope *scope);
void swi_instance_take(swi_deck *deck, swi_scope *scope);
/* Counts a part or an instance; false when a limit stops the job. */
bool swi_deck_may_go_on(swi_deck *deck, sw_span span);
/* A name under its instance's path, in scratch memory until the next call. */
const char *swi_full_name(swi_deck *deck, const swi_scope *scope, swi_slice name);
/* Another name of node 0, unless a port is called so. */
bool swi_is_ground(swi_slice name);
sw_node_id swi_scope_node(swi_deck *deck, swi_scope *scope, size_t token);
const char *swi_scope_node_name(swi_deck *deck, swi_scope *scope, swi_slice name);
sw_part_id swi_element_part(swi_deck *deck, swi_scope *scope, char kind);

/* ---- spice_element.c, spice_source.c: the line in deck->line ---- */
typedef enum swi_after_nodes {
    SWI_AFTER_VALUE,
    SWI_AFTER_MODEL,
    SWI_AFTER_TEXT,
    SWI_AFTER_OPTIONS
} swi_after_nodes;
/* What stands after an element's name: its nodes (Q and M may lack the last),
 * names of controlling elements, then a value, model, text or options. */
typedef struct swi_letter {
    char letter;
    swi_after_nodes after;
    unsigned pins, controls;
    const char *names[4];
} swi_letter;
/* NULL for letters of a form of their own (E, G, K, X) and unknown ones. */
const swi_letter *swi_letter_find(char c);
void swi_element_take(swi_deck *deck, swi_scope *scope);
/* Whether KEY=… states the value of an R, C or L. */
bool swi_is_value_key(char kind, const char *key, size_t length);
void swi_element_controlled(swi_deck *deck, swi_scope *scope);
void swi_element_coupling(swi_deck *deck, swi_scope *scope);
/* Names of controlling elements from a token on; returns the token after them. */
size_t swi_element_controls(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t at,
                            size_t count);
/* Written where an element needs a model's or subcircuit's name and the part has
 * none; read as no name. */
#define SWI_PLACEHOLDER "_part"
bool swi_is_placeholder(swi_slice word);
/* The part has everything that its line says; what a `*@` line says comes last. */
void swi_element_end(swi_deck *deck, swi_scope *scope, sw_part_id id);
void swi_element_model(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t token);
/* The rest of the line as the part's value. */
void swi_element_text(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t first);
/* The rest of the line as properties: name=value, and bare words together. */
void swi_element_options(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t first);
bool swi_enough_nodes(swi_deck *deck, size_t need);
void swi_add_pins(swi_deck *deck, swi_scope *scope, sw_part_id id, const char *const *names,
                  size_t first, size_t count);
/* Text of the builder, made UTF-8. */
const char *swi_deck_builder_text(swi_deck *deck, const char *text, size_t length);
const char *swi_decimal(char out[16], size_t number);

/* ---- spice_write.c ---- */
sw_status swi_spice_write(const sw_document *document, const sw_write_options *options,
                          sw_diags *diags, sw_buf *out);
sw_status swi_spice_read(const sw_input *input, const sw_read_options *options, sw_diags *diags,
                         sw_builder *builder);

#endif
