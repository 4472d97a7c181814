/* formats/lines/lines_read.c: lines, words, parts and pins, whatever the shape. */
#include "formats/lines/lines.h"

#include "base/fault.h"
#include "base/text.h"
#include "circuit/circuit.h"

#include <string.h>

/* ---- lines and words ---- */

bool swi_lines_next(swi_lines *l) {
    const char *bytes = l->input->bytes;
    if (l->next >= l->input->length)
        return false;
    const char *from = bytes + l->next, *end = memchr(from, '\n', l->input->length - l->next);
    size_t length = end ? (size_t)(end - from) : l->input->length - l->next;
    l->next += length + 1;
    if (from == bytes && length >= 3 && memcmp(from, "\xEF\xBB\xBF", 3) == 0)
        from += 3, length -= 3;
    while (length && swi_is_space(from[length - 1]))
        length--;
    l->indented = length && swi_is_space(*from);
    while (length && swi_is_space(*from))
        from++, length--;
    l->line = (swi_run){from, length};
    return true;
}

bool swi_lines_word(swi_run *rest, swi_run *word) {
    while (rest->length && swi_is_space(*rest->text))
        rest->text++, rest->length--;
    *word = (swi_run){rest->text, 0};
    while (word->length < rest->length && !swi_is_space(word->text[word->length]))
        word->length++;
    rest->text += word->length;
    rest->length -= word->length;
    return word->length > 0;
}

static bool is_sign(char c) {
    return c == ':' || c == '=';
}

bool swi_lines_name(swi_run *rest, swi_run *name) {
    if (!swi_lines_word(rest, name))
        return false;
    if (name->length > 1 && *name->text == '/')
        name->text++, name->length--;
    if (name->length > 1 && is_sign(name->text[name->length - 1])) {
        name->length--;
        return true;
    }
    swi_run after = *rest, word;
    if (swi_lines_word(&after, &word) && word.length == 1 && is_sign(*word.text))
        *rest = after;
    return true;
}

bool swi_lines_is(swi_run run, const char *text) {
    return swi_equal_fold_n(run.text, run.length, text);
}

sw_span swi_lines_span(const swi_lines *l, swi_run run) {
    return (sw_span){l->input->source, (uint32_t)(run.text - l->input->bytes), (uint32_t)run.length};
}

const char *swi_lines_text(swi_lines *l, swi_run run) {
    return swi_builder_line(l->builder, run.text, run.length, &l->failed);
}

void swi_lines_syntax(swi_lines *l, swi_run at, const char *what) {
    sw_diag_add(l->diags, SW_D_LINES_SYNTAX, swi_lines_span(l, at), "%s", what);
}

/* ---- parts and pins ---- */

/* What programs write for nothing; the second is one's word where a package is not said. */
static const char *said(swi_lines *l, swi_run run) {
    static const char *const nothing[] = {"unknown", "pattern", "none", "?", "*", "-", "~"};
    for (size_t i = 0; i < sizeof nothing / sizeof *nothing; i++)
        if (swi_lines_is(run, nothing[i]))
            return "";
    return swi_lines_text(l, run);
}

void swi_lines_part(swi_lines *l, swi_run ref, swi_run package, swi_run device, swi_run value) {
    sw_part_id id = sw_builder_part(l->builder, swi_lines_text(l, ref), '\0', swi_lines_span(l, ref));
    if (id.i == SW_NONE)
        return;
    sw_part *part = sw_builder_part_at(l->builder, id);
    part->kind = sw_ref_kind(part->ref);
    part->package = said(l, package);
    part->device = said(l, device);
    part->value = said(l, value);
}

/* Where reference and pin part: at the last dash, else the last point, else a parenthesis; 0: nowhere. */
static size_t split_at(swi_run word, bool *closed) {
    size_t dash = 0, point = 0, open = 0;
    for (size_t i = 1; i + 1 < word.length; i++) {
        dash = word.text[i] == '-' ? i : dash;
        point = word.text[i] == '.' ? i : point;
        open = word.text[i] == '(' ? i : open;
    }
    *closed = !dash && !point && open && word.text[word.length - 1] == ')' && open + 2 < word.length;
    return dash ? dash : point ? point : *closed ? open : 0;
}

/* A part that no list names is made by its first pin. */
static sw_part_id part_of(swi_lines *l, swi_run ref) {
    const char *name = swi_lines_text(l, ref);
    sw_part_id id = sw_builder_find_part(l->builder, name);
    if (id.i != SW_NONE)
        return id;
    if (l->listed)
        sw_diag_add(l->diags, SW_D_LINES_PART, swi_lines_span(l, ref), "%s has a pin in a net but is not among the parts: "
                    "export the netlist again, or write it in", name);
    id = sw_builder_part(l->builder, name, '\0', swi_lines_span(l, ref));
    if (id.i != SW_NONE)
        sw_builder_part_at(l->builder, id)->kind = sw_ref_kind(name);
    return id;
}

void swi_lines_pin_of(swi_lines *l, swi_run ref, swi_run pin, swi_run name, sw_node_id node) {
    sw_part_id part = part_of(l, ref);
    if (part.i != SW_NONE)
        sw_builder_pin(l->builder, part, swi_lines_text(l, pin), swi_lines_text(l, name), node, swi_lines_span(l, ref));
}

void swi_lines_pin(swi_lines *l, swi_run word, sw_node_id node) {
    bool closed;
    size_t at = split_at(word, &closed);
    if (at == 0) {
        swi_lines_syntax(l, word, "this is no pin of a part: reference and pin are written as U1-3, U1.3 or U1(3)");
        return;
    }
    swi_run pin = {word.text + at + 1, word.length - at - 1 - closed};
    swi_lines_pin_of(l, (swi_run){word.text, at}, pin, (swi_run){"", 0}, node);
}

sw_status swi_lines_read(const sw_input *input, const sw_read_options *options, sw_diags *diags, sw_builder *builder) {
    (void)options;
    size_t errors = sw_diags_of(diags, SW_ERROR);
    swi_lines l = {.input = input, .diags = diags, .builder = builder};
    swi_lines_shape *shape = swi_lines_shape_of(input->bytes, input->length);
    if (shape)
        shape(&l);
    else
        sw_diag_add(diags, SW_D_LINES_SYNTAX, SW_NOWHERE, "%s is no netlist in plain lines: those begin with a part in [ ], with "
                    "*PART* or *NET*, have columns Net, Part and Pad, or a node and its pins a line", input->name);
    if (l.failed)
        return swi_out_of_memory(diags);
    return sw_diags_of(diags, SW_ERROR) == errors ? SW_OK : SW_BAD_INPUT;
}
