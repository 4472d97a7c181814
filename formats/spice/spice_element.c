/* formats/spice/spice_element.c: element lines, letter by letter (Berkeley
 * SPICE3 user's manual, chapter 3). */
#include "spice.h"

#include <string.h>

#include "base/hash.h"
#include "base/num.h"
#include "circuit/circuit.h"

static const swi_letter letters[26] = {
    ['R' - 'A'] = {'R', SWI_AFTER_VALUE, 2, 0, {"1", "2"}},
    ['C' - 'A'] = {'C', SWI_AFTER_VALUE, 2, 0, {"1", "2"}},
    ['L' - 'A'] = {'L', SWI_AFTER_VALUE, 2, 0, {"1", "2"}},
    ['D' - 'A'] = {'D', SWI_AFTER_MODEL, 2, 0, {"A", "K"}},
    ['J' - 'A'] = {'J', SWI_AFTER_MODEL, 3, 0, {"D", "G", "S"}},
    ['Z' - 'A'] = {'Z', SWI_AFTER_MODEL, 3, 0, {"D", "G", "S"}},
    ['V' - 'A'] = {'V', SWI_AFTER_TEXT, 2, 0, {"+", "-"}},
    ['I' - 'A'] = {'I', SWI_AFTER_TEXT, 2, 0, {"+", "-"}},
    ['B' - 'A'] = {'B', SWI_AFTER_TEXT, 2, 0, {"+", "-"}},
    ['F' - 'A'] = {'F', SWI_AFTER_TEXT, 2, 1, {"+", "-"}},
    ['H' - 'A'] = {'H', SWI_AFTER_TEXT, 2, 1, {"+", "-"}},
    ['S' - 'A'] = {'S', SWI_AFTER_MODEL, 4, 0, {"+", "-", "C+", "C-"}},
    ['W' - 'A'] = {'W', SWI_AFTER_MODEL, 2, 1, {"+", "-"}},
    ['T' - 'A'] = {'T', SWI_AFTER_OPTIONS, 4, 0, {"1", "2", "3", "4"}},
    ['O' - 'A'] = {'O', SWI_AFTER_MODEL, 4, 0, {"1", "2", "3", "4"}},
    ['U' - 'A'] = {'U', SWI_AFTER_MODEL, 3, 0, {"1", "2", "3"}},
    ['Q' - 'A'] = {'Q', SWI_AFTER_MODEL, 4, 0, {"C", "B", "E", "S"}},
    ['M' - 'A'] = {'M', SWI_AFTER_MODEL, 4, 0, {"D", "G", "S", "B"}},
};

const swi_letter *swi_letter_find(char c) {
    const swi_letter *form = swi_is_alpha(c) ? &letters[swi_upper(c) - 'A'] : NULL;
    return form != NULL && form->letter != '\0' ? form : NULL;
}

/* Text of the builder, made UTF-8. */
const char *swi_deck_builder_text(swi_deck *deck, const char *text, size_t length) {
    const char *kept;
    if (swi_utf8_valid(text, length)) {
        kept = sw_builder_text(deck->builder, text, length);
    } else {
        const char *clean = swi_deck_text(deck, text, length);
        kept = sw_builder_text(deck->builder, clean, strlen(clean));
    }
    if (kept == NULL) swi_deck_out_of_memory(deck);
    return kept != NULL ? kept : "";
}

const char *swi_decimal(char out[16], size_t number) {
    char *at = out + 15;
    *at = '\0';
    do {
        *--at = (char)('0' + number % 10);
        number /= 10;
    } while (number > 0 && at > out);
    return at;
}

static sw_part *part_at(swi_deck *deck, sw_part_id id) {
    return sw_builder_part_at(deck->builder, id);
}

static void property(swi_deck *deck, sw_part_id id, const char *key, const char *value,
                     sw_span span) {
    sw_builder_property(deck->builder, SW_OWNER_PART, id.i, key, value, span);
}

/* ---- what stands behind the nodes ---- */

static bool begins_name(swi_slice word) {
    return word.length > 0 && (swi_is_alpha(word.text[0]) || word.text[0] == '_');
}

/* The token's number: a number, an expression, or a parameter's name.  *text is
 * set when it is none of these, or none that has a value. */
static bool token_number(swi_deck *deck, swi_scope *scope, size_t i, double *value) {
    swi_slice word = swi_token_slice(&deck->line, i);
    bool coded = false, found = false;
    if (deck->line.tokens[i].kind == SWI_BRACED)
        return swi_evaluate(deck, scope, word, value) == SWI_VALUE;
    if (deck->line.tokens[i].kind != SWI_WORD) return false;
    if (!begins_name(word)) return swi_spice_value(word.text, word.length, value, &coded);
    return swi_scope_value(deck, scope, word.text, word.length, swi_slice_span(word), value,
                           &found) == SWI_VALUE &&
           found;
}

/* Appends a token for a property: a name's or expression's number, or its text. */
static void put_token(swi_deck *deck, swi_scope *scope, size_t i, sw_buf *out) {
    const swi_token *token = &deck->line.tokens[i];
    swi_slice word = swi_token_slice(&deck->line, i);
    double value = 0;
    bool plain = token->kind == SWI_WORD && !begins_name(word);
    if (!plain && token_number(deck, scope, i, &value)) {
        swi_spice_put_number(out, value);
        return;
    }
    if (token->kind == SWI_WORD) {
        swi_put_utf8(out, word.text, word.length);
        return;
    }
    sw_buf_putc(out, token->kind == SWI_BRACED ? '{' : '"');
    swi_spice_squeeze(out, word);
    sw_buf_putc(out, token->kind == SWI_BRACED ? '}' : '"');
}

/* The property of an option: spice.NAME, in capitals where the same in small letters says
 * something of the line itself (spice_keep.c). */
static void put_key(swi_slice name, sw_buf *out) {
    static const char *const own[] = {"args", "card", "control", "scope", "value"};
    bool taken = false;
    for (size_t i = 0; i < sizeof own / sizeof *own; i++)
        taken = taken || swi_equal_fold_n(name.text, name.length, own[i]);
    sw_buf_puts(out, "spice.");
    for (size_t i = 0; taken && i < name.length; i++)
        sw_buf_putc(out, swi_upper(name.text[i]));
    if (!taken) swi_put_utf8(out, name.text, name.length);
}

/* name=value, with the values that follow after commas; returns the next token. */
static size_t keep_option(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t i) {
    swi_line *line = &deck->line;
    swi_slice name = swi_token_slice(line, i);
    deck->name.length = 0;
    put_key(name, &deck->name);
    if (deck->name.failed) {
        swi_deck_out_of_memory(deck);
        return line->count;
    }
    const char *key = swi_deck_text(deck, deck->name.bytes, deck->name.length);
    sw_span span = swi_token_span(line, i);
    size_t first = ++i;
    deck->text.length = 0;
    while (i < line->count && !line->tokens[i].key && (i == first || line->tokens[i].comma)) {
        if (i > first) sw_buf_putc(&deck->text, ',');
        put_token(deck, scope, i, &deck->text);
        i++;
    }
    if (deck->text.failed || deck->text.bytes == NULL) return i;
    property(deck, id, key, deck->text.length > 0 ? deck->text.bytes : "", span);
    if (swi_equal_fold(key, "spice.m") && deck->text.length > 0 &&
        strcmp(deck->text.bytes, "1") != 0)
        sw_diag_add(deck->diags, SW_D_SPICE_MULTIPLIER, span,
                    "%s is to be %s times in parallel: one is placed; write a line for each that "
                    "the board is to hold",
                    part_at(deck, id)->ref, deck->text.bytes);
    return i;
}

void swi_element_options(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t first) {
    swi_line *line = &deck->line;
    sw_buf words = SW_BUF_INIT;
    size_t i = first;
    sw_span span = first < line->count ? swi_token_span(line, first) : SW_NOWHERE;
    while (i < line->count) {
        if (line->tokens[i].key) {
            i = keep_option(deck, scope, id, i);
            continue;
        }
        swi_slice word = swi_token_slice(line, i);
        if (line->tokens[i].kind == SWI_WORD && word.text[0] == '$')
            break; /* a comment without a blank after its mark */
        if (!swi_equal_fold_n(word.text, word.length, "params:")) {
            if (words.length > 0) sw_buf_putc(&words, ' ');
            put_token(deck, scope, i, &words);
        }
        i++;
    }
    if (words.length > 0 && !words.failed) property(deck, id, "spice.args", words.bytes, span);
    swi_deck_drop(deck, &words);
}

/* ---- values of R, C and L ---- */

static sw_quantity quantity_of(char kind) {
    return kind == 'R' ? SW_OHMS : kind == 'C' ? SW_FARADS : SW_HENRIES;
}

/* The value's text in normal form, and whether it reads back to the number. */
static swi_value_text *normal_form(swi_deck *deck, sw_quantity quantity, double value) {
    uint64_t bits = 0;
    memcpy(&bits, &value, sizeof bits);
    size_t at = (size_t)((bits ^ (bits >> 29) ^ (uint64_t)quantity) * 0x9E3779B97F4A7C15u >> 56);
    swi_value_text *form = &deck->values[at];
    if (form->text != NULL && form->bits == bits && form->quantity == quantity) return form;
    double back = 0;
    deck->text.length = 0;
    sw_value_write(value, quantity, &deck->text);
    if (deck->text.failed || deck->text.bytes == NULL) return NULL;
    bool exact = sw_value_read(deck->text.bytes, quantity, false, &back) && back == value;
    const char *text = swi_deck_builder_text(deck, deck->text.bytes, deck->text.length);
    *form = (swi_value_text){bits, quantity, exact, text};
    return form;
}

/* false: the text does not say all. */
static bool set_number(swi_deck *deck, sw_part_id id, double value, sw_span span) {
    const swi_value_text *form = normal_form(deck, quantity_of(part_at(deck, id)->kind), value);
    if (form == NULL) return false;
    part_at(deck, id)->value = form->text;
    if (form->exact) return true;
    deck->text.length = 0;
    swi_spice_put_number(&deck->text, value);
    if (!deck->text.failed) property(deck, id, "spice.value", deck->text.bytes, span);
    return false;
}

/* false: there was nothing to remark. */
static bool remark_on_number(swi_deck *deck, sw_part_id id, size_t i, double value) {
    swi_slice word = swi_token_slice(&deck->line, i);
    bool coded = false;
    double again = 0;
    if (deck->line.tokens[i].kind != SWI_WORD ||
        !swi_spice_value(word.text, word.length, &again, &coded))
        return false;
    if (coded) {
        deck->text.length = 0;
        swi_spice_put_number(&deck->text, value);
        sw_diag_add(deck->diags, SW_D_SPICE_VALUE_CODE, swi_slice_span(word),
                    "%.*s is read as parts are marked; a simulator may read the digits before the "
                    "letter only: write %s",
                    (int)word.length, word.text, deck->text.bytes != NULL ? deck->text.bytes : "");
    } else if (part_at(deck, id)->kind == 'R' && value != 0 && value < 0.05 && value > -0.05 &&
               memchr(word.text, 'M', word.length) != NULL) {
        sw_diag_add(deck->diags, SW_D_SPICE_VALUE_MILLI, swi_slice_span(word),
                    "M is milli in a deck: this is %s; write MEG for mega",
                    part_at(deck, id)->value);
    } else {
        return false;
    }
    return true;
}

/* Where a plain number's spelling is kept with its text; NULL when it cannot be, for what
 * begins with a letter may be a parameter. */
static swi_value_word *word_place(swi_deck *deck, char kind, size_t i) {
    swi_slice word = swi_token_slice(&deck->line, i);
    if (deck->line.tokens[i].kind != SWI_WORD || begins_name(word) ||
        word.length > sizeof deck->words->word)
        return NULL;
    size_t at = (swi_hash(word.text, word.length, false) ^ (unsigned char)kind) %
                (sizeof deck->words / sizeof *deck->words);
    return &deck->words[at];
}

/* Decks repeat few values many times, so the last spellings of numbers are known again. */
static const char *known_value(const swi_value_word *known, char kind, swi_slice word) {
    bool same = known != NULL && known->kind == kind && known->length == word.length &&
                memcmp(known->word, word.text, word.length) == 0;
    return same ? known->text : NULL;
}

/* The value that a token spells, if it is a number. */
static bool take_number(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t i) {
    double value = 0;
    char kind = part_at(deck, id)->kind;
    swi_slice word = swi_token_slice(&deck->line, i);
    swi_value_word *known = word_place(deck, kind, i);
    const char *text = known_value(known, kind, word);
    if (text != NULL) {
        part_at(deck, id)->value = text;
        return true;
    }
    if (!token_number(deck, scope, i, &value)) return false;
    bool whole = set_number(deck, id, value, swi_token_span(&deck->line, i));
    if (remark_on_number(deck, id, i, value) || !whole || known == NULL) return true;
    *known = (swi_value_word){.kind = kind, .length = (uint8_t)word.length,
                              .text = part_at(deck, id)->value};
    memcpy(known->word, word.text, word.length);
    return true;
}

bool swi_is_value_key(char kind, const char *key, size_t length) {
    static const char *const names[][4] = {{"r", "resistance", "value", "val"},
                                           {"c", "capacitance", "value", "val"},
                                           {"l", "inductance", "value", "val"}};
    const char *const *own = names[kind == 'R' ? 0 : kind == 'C' ? 1 : 2];
    for (size_t n = 0; n < 4; n++)
        if (swi_equal_fold_n(key, length, own[n])) return true;
    return false;
}

static bool is_value_key(const swi_line *line, size_t i, char kind) {
    swi_slice word = swi_token_slice(line, i);
    return swi_is_value_key(kind, word.text, word.length);
}

static bool number_follows(const swi_line *line, size_t i) {
    double value = 0;
    bool coded = false;
    if (i + 1 >= line->count || line->tokens[i + 1].key || line->tokens[i + 1].kind != SWI_WORD)
        return false;
    swi_slice next = swi_token_slice(line, i + 1);
    return !begins_name(next) && swi_spice_value(next.text, next.length, &value, &coded);
}

/* A word that is no number: a model, as one before a number must be, or text that the
 * bench may understand. */
static void set_word(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t i) {
    swi_slice word = swi_token_slice(&deck->line, i);
    swi_deck_model *model = swi_scope_model(deck, scope, word.text, word.length);
    bool valued = part_at(deck, id)->value[0] != '\0' || number_follows(&deck->line, i);
    if (model != NULL || (begins_name(word) && valued)) {
        swi_element_model(deck, scope, id, i);
        return;
    }
    deck->text.length = 0;
    put_token(deck, scope, i, &deck->text);
    if (!deck->text.failed && deck->text.bytes != NULL)
        part_at(deck, id)->value = swi_deck_builder_text(deck, deck->text.bytes, deck->text.length);
    if (deck->line.tokens[i].kind == SWI_WORD)
        sw_diag_add(deck->diags, SW_D_SPICE_VALUE, swi_slice_span(word),
                    "this is no number, parameter or model: kept as the value's text");
}

/* Value and model of R, C, L; returns the token after them. */
static size_t take_value(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t i) {
    swi_line *line = &deck->line;
    bool have_value = false;
    for (; i < line->count; i++) {
        bool key = line->tokens[i].key;
        if (key &&
            (!is_value_key(line, i, part_at(deck, id)->kind) || have_value || i + 1 == line->count))
            break;
        i += key ? 1 : 0;
        swi_slice word = swi_token_slice(line, i);
        if (line->tokens[i].kind == SWI_WORD && word.text[0] == '$') break;
        size_t before = sw_diags_of(deck->diags, SW_ERROR);
        if (!have_value && take_number(deck, scope, id, i)) {
            have_value = true;
        } else if (part_at(deck, id)->device[0] == '\0' && (!have_value || begins_name(word))) {
            bool wrong = sw_diags_of(deck->diags, SW_ERROR) > before; /* told already */
            if (!wrong) set_word(deck, scope, id, i);
            have_value = have_value || wrong;
            have_value = have_value || part_at(deck, id)->value[0] != '\0';
        } else {
            break;
        }
    }
    const sw_part *part = part_at(deck, id);
    if (part->value[0] == '\0' && part->device[0] == '\0' && !have_value &&
        !swi_rename_says_value(deck, scope))
        sw_diag_add(deck->diags, SW_D_SPICE_VALUE_MISSING, part->span,
                    "%s has no value: write one after its nodes", part->ref);
    return i;
}

/* ---- models ---- */

bool swi_is_placeholder(swi_slice word) {
    size_t n = strlen(SWI_PLACEHOLDER);
    return word.length >= n && swi_equal_fold_n(word.text, n, SWI_PLACEHOLDER);
}

void swi_element_model(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t i) {
    swi_slice word = swi_token_slice(&deck->line, i);
    if (swi_is_placeholder(word)) return;
    swi_deck_model *model = swi_scope_model(deck, scope, word.text, word.length);
    if (model == NULL) {
        part_at(deck, id)->device = swi_deck_builder_text(deck, word.text, word.length);
        return;
    }
    model->used = true;
    part_at(deck, id)->device = swi_deck_builder_text(deck, model->name, strlen(model->name));
    if (model->clash && model->path[0] != '\0')
        property(deck, id, "spice.scope", model->path, swi_slice_span(word));
}

static bool is_model(swi_deck *deck, swi_scope *scope, size_t i) {
    if (i >= deck->line.count || deck->line.tokens[i].kind != SWI_WORD) return false;
    swi_slice word = swi_token_slice(&deck->line, i);
    return swi_scope_model(deck, scope, word.text, word.length) != NULL;
}

/* A plain word that may be a model's name: no number, key or OFF. */
static bool may_be_model(swi_deck *deck, swi_scope *scope, size_t i) {
    if (i >= deck->line.count || deck->line.tokens[i].kind != SWI_WORD ||
        deck->line.tokens[i].key || swi_token_is(&deck->line, i, "off") ||
        swi_token_slice(&deck->line, i).text[0] == '$')
        return false;
    double value = 0;
    return !token_number(deck, scope, i, &value);
}

/* Transistors with an optional node are told apart by looking the model up, as
 * Berkeley SPICE3 does for Q; when no model is known, by what can be one. */
static unsigned count_pins(swi_deck *deck, swi_scope *scope, unsigned least) {
    if (is_model(deck, scope, least + 1)) return least;
    if (is_model(deck, scope, least + 2)) return least + 1;
    return may_be_model(deck, scope, least + 2) ? least + 1 : least;
}

/* ---- the line ---- */

bool swi_enough_nodes(swi_deck *deck, size_t need) {
    const swi_line *line = &deck->line;
    size_t have = 0;
    while (have + 1 < line->count && have < need && !line->tokens[have + 1].key)
        have++;
    if (have == need) return true;
    swi_slice name = swi_token_slice(line, 0);
    bool is_switch = have == 2 && swi_lower(*name.text) == 's';
    sw_diag_add(deck->diags, SW_D_SPICE_NODE_MISSING, swi_token_span(line, have),
                "%.*s needs %zu nodes, there %s %zu%s", (int)name.length, name.text, need,
                have == 1 ? "is" : "are", have,
                is_switch ? "; in a deck this letter is a switch worked by a voltage: one worked "
                            "by hand is an X, such as `XSW1 a b BUTTON`, with a line "
                            "`*@ XSW1 place=off` if it is beside the board" : "");
    return false;
}

void swi_add_pins(swi_deck *deck, swi_scope *scope, sw_part_id id, const char *const *names,
                  size_t first, size_t count) {
    for (size_t i = 0; i < count; i++) {
        sw_node_id node = swi_scope_node(deck, scope, first + i);
        swi_builder_pin(deck->builder, id, names[i], "", node,
                        swi_token_span(&deck->line, first + i));
    }
}

static void take_rest(swi_deck *deck, swi_scope *scope, const swi_letter *form, sw_part_id id,
                      size_t i) {
    swi_line *line = &deck->line;
    if (form->after == SWI_AFTER_VALUE) {
        i = take_value(deck, scope, id, i);
    } else if (form->after == SWI_AFTER_MODEL) {
        if (i < line->count && line->tokens[i].kind == SWI_WORD && !line->tokens[i].key)
            swi_element_model(deck, scope, id, i++);
        else
            sw_diag_add(deck->diags, SW_D_SPICE_MODEL_NONE, part_at(deck, id)->span,
                        "%s names no model: write one after its nodes, so that the part is known",
                        part_at(deck, id)->ref);
    } else if (form->after == SWI_AFTER_TEXT) {
        swi_element_text(deck, scope, id, i);
        return;
    }
    swi_element_options(deck, scope, id, i);
}

/* Three nodes and a model are a line with resistance and capacitance; a U of a digital simulator
 * says its sort first, and has as many nodes as that asks for. */
static bool is_digital(const swi_line *line) {
    size_t words = 0;
    while (words < line->count && !line->tokens[words].key)
        words++;
    return swi_lower(*line->slice.text) == 'u' && words > 5;
}

static void unknown_letter(swi_deck *deck, swi_scope *scope) {
    swi_slice name = swi_token_slice(&deck->line, 0);
    const char *local = swi_deck_text(deck, name.text, name.length);
    deck->name.length = 0;
    sw_buf_printf(&deck->name, "%s%s%s", scope->path, scope->path_length > 0 ? "." : "", local);
    if (deck->name.failed || swi_row_omits(deck, scope, deck->name.bytes, local)) return;
    sw_diag_add(deck->diags, SW_D_SPICE_ELEMENT_UNKNOWN, swi_slice_span(name),
                "%c is no element's letter that is known here%s: write the part as an X line, or "
                "leave it out with `*@ %s omit=yes`",
                swi_upper(local[0]), is_digital(&deck->line) ? " with more than three nodes and a model" : "", local);
}

/* R, C or L with two nodes and a value that was met before, and nothing else: the most of
 * large decks.  false: the line says something more. */
static bool take_usual(swi_deck *deck, swi_scope *scope, const swi_letter *form) {
    const swi_line *line = &deck->line;
    if (form == NULL || form->after != SWI_AFTER_VALUE || line->count != 4 || !line->plain ||
        line->tokens[1].key || line->tokens[2].key || line->tokens[3].key ||
        deck->renames != NULL)
        return false;
    const char *text = known_value(word_place(deck, form->letter, 3), form->letter,
                                   swi_token_slice(line, 3));
    if (text == NULL) return false;
    sw_part_id id = swi_element_part(deck, scope, form->letter);
    part_at(deck, id)->value = text;
    if (id.i != SW_NONE) swi_add_pins(deck, scope, id, form->names, 1, 2);
    return true;
}

void swi_element_take(swi_deck *deck, swi_scope *scope) {
    char c = swi_upper(deck->line.slice.text[0]);
    const swi_letter *form = swi_letter_find(c);
    if (take_usual(deck, scope, form)) return;
    if (c == 'E' || c == 'G') {
        swi_element_controlled(deck, scope);
    } else if (c == 'K') {
        swi_element_coupling(deck, scope);
    } else if (form == NULL || is_digital(&deck->line)) {
        unknown_letter(deck, scope);
    } else {
        bool optional = c == 'Q' || c == 'M';
        unsigned pins = optional ? count_pins(deck, scope, 3) : form->pins;
        if (!swi_enough_nodes(deck, c == 'Q' ? 3 : pins)) return;
        sw_part_id id = swi_element_part(deck, scope, c);
        if (id.i == SW_NONE) return;
        swi_add_pins(deck, scope, id, form->names, 1, pins);
        size_t next = swi_element_controls(deck, scope, id, pins + 1, form->controls);
        take_rest(deck, scope, form, id, next);
        swi_element_end(deck, scope, id);
    }
}
