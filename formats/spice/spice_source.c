/* formats/spice/spice_source.c: sources, whose value is a text, and couplings.
 *
 * A source's text may speak of nodes, of other sources and of parameters by the
 * names of its own subcircuit; taken out of it, they get their full names and
 * numbers, so that the text still says the same. */
#include "spice.h"

#include <string.h>

static bool begins_name(char c) {
    return swi_is_alpha(c) || c == '_';
}

static bool in_word(char c) {
    return swi_is_alpha(c) || swi_is_digit(c) || strchr("_.$#:!", c) != NULL;
}

/* The names between the parentheses of v(…) or i(…), in full. */
static size_t put_names(swi_deck *deck, swi_scope *scope, swi_slice text, size_t at, bool nodes,
                        sw_buf *out) {
    while (at < text.length && text.text[at] != ')') {
        if (swi_is_space(text.text[at]) || text.text[at] == ',') {
            if (text.text[at] == ',') sw_buf_putc(out, ',');
            at++;
            continue;
        }
        size_t start = at;
        while (at < text.length && !swi_is_space(text.text[at]) && text.text[at] != ',' &&
               text.text[at] != ')')
            at++;
        swi_slice name = swi_slice_from(text, start, at - start);
        sw_buf_puts(out, nodes ? swi_scope_node_name(deck, scope, name)
                               : swi_renamed(deck, swi_full_name(deck, scope, name)));
    }
    return at;
}

/* One word of an expression and what belongs to it; returns where to go on. */
static size_t put_word(swi_deck *deck, swi_scope *scope, swi_slice text, size_t at, sw_buf *out) {
    size_t end = at;
    while (end < text.length && in_word(text.text[end]))
        end++;
    swi_slice word = swi_slice_from(text, at, end - at);
    size_t next = end;
    while (next < text.length && swi_is_space(text.text[next]))
        next++;
    bool call = next < text.length && text.text[next] == '(';
    bool voltage = swi_equal_fold_n(word.text, word.length, "v");
    bool current = swi_equal_fold_n(word.text, word.length, "i");
    double value = 0;
    bool found = false;
    if (call && (voltage || current)) {
        sw_buf_put(out, word.text, word.length);
        sw_buf_putc(out, '(');
        return put_names(deck, scope, text, next + 1, voltage, out);
    }
    bool assigned = next < text.length && text.text[next] == '=';
    if (!call && !assigned && begins_name(word.text[0]) &&
        swi_scope_value(deck, scope, word.text, word.length, swi_slice_span(word), &value,
                        &found) == SWI_VALUE &&
        found) {
        swi_spice_put_number(out, value);
        return end;
    }
    swi_put_utf8(out, word.text, word.length);
    return end;
}

static void put_text(swi_deck *deck, swi_scope *scope, swi_slice text, sw_buf *out) {
    size_t at = 0;
    while (at < text.length) {
        char c = text.text[at];
        if (in_word(c)) {
            at = put_word(deck, scope, text, at, out);
        } else if (swi_is_space(c)) {
            sw_buf_putc(out, ' ');
            while (at < text.length && swi_is_space(text.text[at]))
                at++;
        } else {
            size_t n = 1;
            while (at + n < text.length && !in_word(text.text[at + n]) &&
                   !swi_is_space(text.text[at + n]))
                n++;
            swi_put_utf8(out, text.text + at, n);
            at += n;
        }
    }
}

/* The tokens from `first` on as text, expressions replaced by their numbers. */
static void put_rest(swi_deck *deck, swi_scope *scope, size_t first, sw_buf *out) {
    const swi_line *line = &deck->line;
    swi_slice rest = swi_line_rest(line, first);
    size_t base = rest.offset - line->slice.offset, at = 0;
    for (size_t i = first; i < line->count; i++) {
        const swi_token *token = &line->tokens[i];
        double value = 0;
        if (token->kind != SWI_BRACED) continue;
        size_t start = token->at - 1 - base;
        put_text(deck, scope, swi_slice_from(rest, at, start - at), out);
        if (swi_evaluate(deck, scope, swi_token_slice(line, i), &value) == SWI_VALUE) {
            swi_spice_put_number(out, value);
        } else {
            sw_buf_putc(out, '{');
            put_text(deck, scope, swi_token_slice(line, i), out);
            sw_buf_putc(out, '}');
        }
        at = start + token->length + 2;
    }
    size_t end = rest.length;
    while (end > at && swi_is_space(rest.text[end - 1]))
        end--;
    put_text(deck, scope, swi_slice_from(rest, at, end - at), out);
}

/* "5", "DC 5" and "DC=5" are a plain value: its number alone. */
static bool plain_value(swi_deck *deck, size_t first, double *value) {
    const swi_line *line = &deck->line;
    bool coded = false;
    first += swi_token_is(line, first, "dc") ? 1 : 0;
    if (first + 1 != line->count || line->tokens[first].kind != SWI_WORD) return false;
    swi_slice word = swi_token_slice(line, first);
    return swi_spice_value(word.text, word.length, value, &coded);
}

void swi_element_text(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t first) {
    sw_buf out = SW_BUF_INIT;
    double value = 0;
    char kind = sw_builder_part_at(deck->builder, id)->kind;
    if ((kind == 'V' || kind == 'I') && plain_value(deck, first, &value))
        swi_spice_put_number(&out, value);
    else if (first < deck->line.count)
        put_rest(deck, scope, first, &out);
    size_t dc = out.length > 3 && swi_equal_fold_n(out.bytes, 3, "dc ") ? 3 : 0;
    double only = 0;
    bool coded = false; /* DC {expression}: again a plain value */
    if (dc > 0 && !swi_spice_value(out.bytes + dc, out.length - dc, &only, &coded)) dc = 0;
    sw_builder_part_at(deck->builder, id)->spice = true;
    if (out.failed)
        swi_deck_out_of_memory(deck);
    else if (out.length > 0)
        sw_builder_part_at(deck->builder, id)->value =
            sw_builder_text(deck->builder, out.bytes + dc, out.length - dc);
    swi_deck_drop(deck, &out);
}

/* ---- controlled sources ---- */

static void controls_property(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t first,
                              size_t count) {
    sw_buf names = SW_BUF_INIT;
    for (size_t i = 0; i < count && first + i < deck->line.count; i++) {
        if (i > 0) sw_buf_putc(&names, ' ');
        swi_slice name = swi_token_slice(&deck->line, first + i);
        sw_buf_puts(&names, swi_renamed(deck, swi_full_name(deck, scope, name)));
    }
    if (names.failed)
        swi_deck_out_of_memory(deck);
    else if (names.length > 0)
        sw_builder_property(deck->builder, SW_OWNER_PART, id.i, "spice.control", names.bytes,
                            swi_token_span(&deck->line, first));
    swi_deck_drop(deck, &names);
}

/* "POLY(2)" at a token: the number of its controls, 0 when it is not there. */
static size_t polynomial(const swi_line *line, size_t at) {
    long n = 0;
    if (!swi_token_is(line, at, "poly") || at + 1 >= line->count) return 0;
    swi_slice digits = swi_token_slice(line, at + 1);
    for (uint32_t i = 0; i < digits.length && swi_is_digit(digits.text[i]) && n < 4096; i++)
        n = n * 10 + (digits.text[i] - '0');
    return (size_t)n;
}

size_t swi_element_controls(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t at,
                            size_t count) {
    size_t poly = polynomial(&deck->line, at);
    size_t first = poly > 0 ? at + 2 : at;
    count = poly > 0 && count > 0 ? poly : count;
    if (count == 0) return at;
    for (size_t i = first; i < first + count; i++) {
        bool name = i < deck->line.count && deck->line.tokens[i].kind == SWI_WORD;
        if (name && !deck->line.tokens[i].key) continue;
        const sw_part *part = sw_builder_part_at(deck->builder, id);
        sw_diag_add(deck->diags, SW_D_SPICE_CONTROL, part->span,
                    "%s needs the name of the V source whose current controls it after its nodes",
                    part->ref);
        return deck->line.count;
    }
    controls_property(deck, scope, id, first, count);
    return first + count;
}

/* E and G of which the nodes are not the control: value=…, table {…}, {…}. */
static bool is_behavioural(const swi_line *line, size_t at) {
    static const char *const words[] = {"value",   "vol",  "cur",      "table",
                                        "laplace", "freq", "chebyshev"};
    if (at >= line->count || line->tokens[at].key || line->tokens[at].kind == SWI_BRACED)
        return at < line->count;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_token_is(line, at, words[i]))
            return at + 1 < line->count && line->tokens[at + 1].kind == SWI_BRACED;
    return false;
}

static void control_pins(swi_deck *deck, swi_scope *scope, sw_part_id id, size_t first,
                         size_t pairs) {
    for (size_t i = 0; i < 2 * pairs; i++) {
        char digits[16], name[20];
        const char *pair = pairs > 1 ? swi_decimal(digits, i / 2 + 1) : "";
        size_t n = strlen(pair);
        name[0] = 'C';
        memcpy(name + 1, pair, n);
        name[n + 1] = i % 2 == 0 ? '+' : '-';
        name[n + 2] = '\0';
        sw_node_id node = swi_scope_node(deck, scope, first + i);
        sw_builder_pin(deck->builder, id, name, "", node, swi_token_span(&deck->line, first + i));
    }
}

void swi_element_controlled(swi_deck *deck, swi_scope *scope) {
    static const char *const out[] = {"+", "-"};
    const swi_line *line = &deck->line;
    bool behavioural = is_behavioural(line, 3);
    size_t poly = polynomial(line, 3), pairs = behavioural ? 0 : poly > 0 ? poly : 1;
    size_t first = poly > 0 ? 5 : 3;
    if (!swi_enough_nodes(deck, behavioural || poly > 0 ? 2 : 4)) return;
    if (first + 2 * pairs > line->count) {
        sw_diag_add(deck->diags, SW_D_SPICE_NODE_MISSING, swi_token_span(line, line->count - 1),
                    "POLY(%zu) needs %zu nodes after it", poly, 2 * poly);
        return;
    }
    sw_part_id id = swi_element_part(deck, scope, swi_upper(line->slice.text[0]));
    if (id.i == SW_NONE) return;
    swi_add_pins(deck, scope, id, out, 1, 2);
    control_pins(deck, scope, id, first, pairs);
    swi_element_text(deck, scope, id, first + 2 * pairs);
    swi_element_end(deck, scope, id);
}

/* K has no nodes of its own: it says which inductors share a core. */
void swi_element_coupling(swi_deck *deck, swi_scope *scope) {
    const swi_line *line = &deck->line;
    if (line->count < 4) {
        sw_diag_add(deck->diags, SW_D_SPICE_NODE_MISSING, swi_token_span(line, line->count - 1),
                    "a coupling needs the names of two inductors and a value");
        return;
    }
    sw_part_id id = swi_element_part(deck, scope, 'K');
    if (id.i == SW_NONE) return;
    size_t last = line->count - 1;
    sw_buf names = SW_BUF_INIT;
    for (size_t i = 1; i < last; i++) {
        sw_buf_puts(&names, i > 1 ? " " : "");
        sw_buf_puts(&names,
                    swi_renamed(deck, swi_full_name(deck, scope, swi_token_slice(line, i))));
    }
    if (!names.failed)
        sw_builder_property(deck->builder, SW_OWNER_PART, id.i, "spice.control", names.bytes,
                            swi_token_span(line, 1));
    swi_deck_drop(deck, &names);
    swi_element_text(deck, scope, id, last);
    swi_element_end(deck, scope, id);
}
