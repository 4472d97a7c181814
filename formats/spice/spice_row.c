/* formats/spice/spice_row.c: `*@ NAME key=value …`, fitting rows that a deck
 * carries in comment lines, so that a simulator passes over them. */
#include "spice.h"

#include <stddef.h>
#include <string.h>

/* What a line may say: a row of a parts sheet, a model's name, or a node's rail. */
typedef struct spoken {
    sw_row row;
    const char *kind, *flags, *path; /* of an instance that the line gives its reference */
    const char *model, *scope;
    const char *rail, *volts;
    bool whole; /* it makes a part of what it speaks of */
    bool of_part, of_model, of_node;
} spoken;

typedef struct row_field {
    const char *key;
    size_t offset; /* in what is spoken */
    bool whole;    /* makes a part of what it speaks of: it is not taken apart */
} row_field;

#define FIELD(name, whole)                                                                         \
    { #name, offsetof(spoken, row.name), whole }
static const row_field fields[] = {FIELD(ref, true),    FIELD(device, true), FIELD(package, true),
                                   FIELD(unit, true),   FIELD(pins, true),   FIELD(supply, false),
                                   FIELD(value, false), FIELD(place, true),  FIELD(omit, true),
                                   FIELD(note, false),
                                   {"kind", offsetof(spoken, kind), false},
                                   {"flags", offsetof(spoken, flags), false},
                                   {"path", offsetof(spoken, path), false},
                                   {"model", offsetof(spoken, model), false},
                                   {"scope", offsetof(spoken, scope), false},
                                   {"rail", offsetof(spoken, rail), false},
                                   {"volts", offsetof(spoken, volts), false}};

static const char **field_of(spoken *said, const row_field *field) {
    return (const char **)(void *)((char *)said + field->offset);
}

static void skip_blanks(swi_slice *rest) {
    size_t n = 0;
    while (n < rest->length && swi_is_space(rest->text[n]))
        n++;
    *rest = swi_slice_from(*rest, n, rest->length - n);
}

/* The bytes up to a blank, or up to `stop` when it is not NUL. */
static swi_slice take_word(swi_slice *rest, char stop) {
    size_t n = 0;
    while (n < rest->length && !swi_is_space(rest->text[n]) &&
           (stop == '\0' || rest->text[n] != stop))
        n++;
    swi_slice word = swi_slice_from(*rest, 0, n);
    *rest = swi_slice_from(*rest, n, rest->length - n);
    return word;
}

/* A value in quotes of either kind, or a word; false when a quote is open. */
static bool take_value(swi_deck *deck, swi_slice *rest, swi_slice *value) {
    if (rest->length == 0 || (rest->text[0] != '"' && rest->text[0] != '\'')) {
        *value = take_word(rest, '\0');
        return true;
    }
    const char *end = memchr(rest->text + 1, rest->text[0], rest->length - 1);
    if (end == NULL) {
        sw_diag_add(deck->diags, SW_D_SPICE_QUOTE, swi_slice_span(swi_slice_from(*rest, 0, 1)),
                    "this %c is not closed: close it on the same line", rest->text[0]);
        return false;
    }
    size_t n = (size_t)(end - rest->text);
    *value = swi_slice_from(*rest, 1, n - 1);
    *rest = swi_slice_from(*rest, n + 1, rest->length - n - 1);
    return true;
}

static const row_field *find_field(swi_slice key) {
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (swi_equal_fold_n(key.text, key.length, fields[i].key)) return &fields[i];
    return NULL;
}

/* One key=value; false when the line cannot be gone on with. */
static bool take_field(swi_deck *deck, swi_slice *rest, spoken *said) {
    swi_slice key = take_word(rest, '='), value;
    if (rest->length == 0 || rest->text[0] != '=') {
        sw_diag_add(deck->diags, SW_D_SPICE_ROW, swi_slice_span(key),
                    "write %.*s as key=value: `*@ NAME key=value …`", (int)key.length, key.text);
        return false;
    }
    *rest = swi_slice_from(*rest, 1, rest->length - 1);
    const row_field *field = find_field(key);
    if (field == NULL) {
        sw_diag_add(deck->diags, SW_D_SPICE_ROW_KEY, swi_slice_span(key),
                    "%.*s is no key of a fitting line: use ref, device, package, unit, pins, "
                    "supply, value, place, omit or note (with a ref also kind, flags, path; "
                    "of a model: model, scope; of a node: rail, volts)",
                    (int)key.length, key.text);
        return false;
    }
    if (!take_value(deck, rest, &value)) return false;
    const char **cell = field_of(said, field);
    if (**cell != '\0') {
        sw_diag_add(deck->diags, SW_D_SPICE_ROW, swi_slice_span(key),
                    "%s is said twice on this line: say it once", field->key);
        return false;
    }
    *cell = swi_deck_text(deck, value.text, value.length);
    bool of_node = field->offset >= offsetof(spoken, rail);
    bool of_model = !of_node && field->offset >= offsetof(spoken, model);
    said->whole = said->whole || field->whole;
    said->of_node = said->of_node || of_node;
    said->of_model = said->of_model || of_model;
    said->of_part = said->of_part || !(of_node || of_model);
    return true;
}

/* Notes a name that makes whatever bears it one part, in this definition. */
static void note_whole(swi_deck *deck, const swi_def *def, const char *name) {
    if (strchr(name, '*') != NULL) {
        if (!SWI_GROW(deck->row_patterns, deck->row_pattern_capacity,
                      deck->row_pattern_count + 1)) {
            swi_deck_out_of_memory(deck);
            return;
        }
        deck->row_patterns[deck->row_pattern_count++] = (swi_row_pattern){name, def};
        return;
    }
    sw_buf key = SW_BUF_INIT;
    sw_buf_printf(&key, "%s:%s", def->path, name);
    if (!key.failed) swi_spice_put(deck, &deck->row_names, key.bytes, key.length, 0);
    swi_deck_drop(deck, &key);
}

static void keep_model_row(swi_deck *deck, const spoken *said) {
    size_t next = deck->model_row_count;
    if (!SWI_GROW(deck->model_rows, deck->model_row_capacity, next + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    deck->model_rows[next] =
        (swi_model_row){said->row.name, said->model, said->scope, said->row.span};
    deck->model_row_count++;
}

static void keep_node_row(swi_deck *deck, const spoken *said) {
    size_t next = deck->node_row_count;
    if (!SWI_GROW(deck->node_rows, deck->node_row_capacity, next + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    deck->node_rows[next] =
        (swi_node_row){said->row.name, said->rail, said->volts, said->row.span};
    deck->node_row_count++;
}

/* What is said of models and nodes holds for the whole deck, and for nothing else. */
static bool stands_alone(swi_deck *deck, const spoken *said) {
    bool alone = !said->of_part && said->of_model != said->of_node && deck->open == deck->root;
    if (!alone)
        sw_diag_add(deck->diags, SW_D_SPICE_ROW, said->row.span,
                    said->of_node ? "rail= and volts= speak of a node of the deck and stand on a "
                                    "line without other keys, outside subcircuits"
                                  : "model= and scope= speak of a model of the deck and stand on "
                                    "a line without other keys, outside subcircuits");
    return alone;
}

static void keep_more(swi_deck *deck, const spoken *said) {
    size_t next = deck->row_more_count;
    if (!SWI_GROW(deck->row_mores, deck->row_more_capacity, next + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    deck->row_mores[deck->row_more_count++] =
        (swi_row_more){deck->root->row_count, said->kind, said->flags, said->path};
}

static void keep_row(swi_deck *deck, const spoken *said) {
    swi_def *def = deck->open;
    bool more = said->kind[0] != '\0' || said->flags[0] != '\0' || said->path[0] != '\0';
    if (more && (def != deck->root || !swi_is_rename(&said->row))) {
        sw_diag_add(deck->diags, SW_D_SPICE_ROW, said->row.span,
                    "kind=, flags= and path= stand on a line that gives one instance its reference "
                    "(ref=), outside subcircuits");
        return;
    }
    if (more) keep_more(deck, said);
    if (!SWI_GROW(def->rows, def->row_capacity, def->row_count + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    def->rows[def->row_count++] = said->row;
    if (said->whole) note_whole(deck, def, said->row.name);
}

void swi_row_take(swi_deck *deck, swi_slice line) {
    spoken said = {.row = {.name = "", .path = ""}};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        *field_of(&said, &fields[i]) = "";
    swi_slice rest = swi_slice_from(line, 2, swi_spice_content(line.text, line.length) - 2);
    skip_blanks(&rest);
    swi_slice name = take_word(&rest, '=');
    if (name.length == 0 || (rest.length > 0 && rest.text[0] == '=')) {
        sw_diag_add(deck->diags, SW_D_SPICE_ROW, swi_slice_span(line),
                    "a fitting line begins with the name it speaks of: `*@ NAME key=value …`");
        return;
    }
    said.row.span = swi_slice_span(name);
    for (skip_blanks(&rest); rest.length > 0; skip_blanks(&rest))
        if (!take_field(deck, &rest, &said)) return;
    said.row.name = swi_deck_text(deck, name.text, name.length);
    if (!said.of_model && !said.of_node)
        keep_row(deck, &said);
    else if (stands_alone(deck, &said))
        (said.of_node ? keep_node_row : keep_model_row)(deck, &said);
}

static bool noted(swi_deck *deck, const swi_def *def, const char *name) {
    bool found = false;
    sw_buf key = SW_BUF_INIT;
    sw_buf_printf(&key, "%s:%s", def->path, name);
    if (!key.failed) found = swi_spice_get(deck->row_names, key.bytes, key.length) != SW_NONE;
    swi_deck_drop(deck, &key);
    for (size_t i = 0; i < deck->row_pattern_count && !found; i++)
        found = deck->row_patterns[i].def == def && swi_match(deck->row_patterns[i].name, name);
    return found;
}

bool swi_row_names(swi_deck *deck, const swi_scope *scope, const char *full, const char *local,
                   const char *subcircuit) {
    if (deck->row_names == NULL && deck->row_pattern_count == 0) return false;
    if (noted(deck, deck->root, full)) return true;
    /* A line in a definition speaks of the instances there by their own names. */
    if (scope->def != deck->root && noted(deck, scope->def, local)) return true;
    for (const swi_def *def = scope->def; def != NULL; def = def->outer)
        if (noted(deck, def, subcircuit)) return true;
    return false;
}

bool swi_row_omits(const swi_deck *deck, const swi_scope *scope, const char *full,
                   const char *local) {
    for (const swi_def *def = scope->def; def != NULL; def = def->outer) {
        const char *name = def == scope->def && def != deck->root ? local : full;
        for (size_t i = 0; i < def->row_count; i++)
            if (def->rows[i].omit[0] != '\0' && !swi_equal_fold(def->rows[i].omit, "no") &&
                swi_match(def->rows[i].name, name))
                return true;
    }
    return false;
}

void swi_rows_emit(swi_deck *deck, const swi_scope *scope) {
    for (size_t i = 0; i < scope->def->row_count; i++) {
        sw_row row = scope->def->rows[i];
        row.path = scope->path;
        if (scope->def != deck->root || swi_rename_row(deck, i, &row))
            sw_builder_row(deck->builder, &row);
    }
}
