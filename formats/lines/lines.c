/* formats/lines/lines.c: the descriptor of netlists in plain lines, and which of their shapes a file has. */
#include "formats/lines/lines.h"

#include "base/text.h"

#include <string.h>

static bool is_pin(swi_run word) {
    for (size_t i = 1; i + 1 < word.length; i++)
        if (word.text[i] == '-' || word.text[i] == '.' || (word.text[i] == '(' && word.text[word.length - 1] == ')'))
            return true;
    return false;
}

/* A name and pins, and nothing else; pins alone where the line before goes on. */
static bool is_node(swi_run line, bool *goes_on) {
    swi_run word;
    size_t pins = 0;
    if (!*goes_on && !swi_lines_name(&line, &word))
        return false;
    for (; swi_lines_word(&line, &word); pins++) {
        char last = word.text[word.length - 1];
        *goes_on = last == '\\' || last == ',';
        if (word.length > 1 && (*goes_on || last == ';'))
            word.length--;
        if (!is_pin(word) && !(*goes_on && word.length == 1))
            return false;
    }
    return pins > 0;
}

/* Some lines above the heading tell whose file it is. */
static bool has_columns(const sw_input *input) {
    enum { ABOVE = 20 };
    swi_lines l = {.input = input};
    for (int i = 0; i < ABOVE && swi_lines_next(&l); i++)
        if (swi_lines_heads_columns(l.line))
            return true;
    return false;
}

swi_lines_shape *swi_lines_shape_of(const char *bytes, size_t length) {
    enum { ENOUGH = 3 }; /* lines that look like nodes: a deck's title may by chance */
    sw_input input = {0, "", bytes, length};
    swi_lines l = {.input = &input};
    if (has_columns(&input))
        return swi_lines_columns;
    int nodes = 0;
    bool goes_on = false;
    while (nodes < ENOUGH && swi_lines_next(&l)) {
        if (l.line.length == 0 || *l.line.text == '#')
            continue;
        bool first = nodes == 0;
        if (first && (swi_lines_is(l.line, "[") || swi_lines_is(l.line, "(") || swi_lines_is(l.line, "PROTEL NETLIST 2.0")))
            return swi_lines_blocks;
        if (first && (swi_lines_is(l.line, "*PART*") || swi_lines_is(l.line, "*NET*") ||
                      (l.line.length > 5 && strchr("*!", *l.line.text) && swi_equal_fold_n(l.line.text + 1, 4, "PADS"))))
            return swi_lines_sections;
        if (!is_node(l.line, &goes_on))
            return NULL;
        nodes++;
    }
    return nodes > 0 ? swi_lines_nodes : NULL;
}

static int probe(const char *bytes, size_t length) {
    swi_lines_shape *shape = swi_lines_shape_of(bytes, length);
    return shape == swi_lines_nodes ? 60 : shape ? 90 : 0;
}

static const char *const extensions[] = {".net", ".asc", NULL};

const sw_format swi_format_lines = {
    .name = "lines",
    .extensions = extensions,
    .summary = "netlist in plain lines: [part] (net) blocks, *PART* *NET* sections, a line a node or a pin",
    .standard = "",
    .keeps = "only read",
    .group = SW_GROUP_CIRCUIT,
    .probe = probe,
    .read_circuit = swi_lines_read,
};
