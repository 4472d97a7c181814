/* formats/lines/lines_rows.c: the shapes with a line a node, and with a line a pin. */
#include "formats/lines/lines.h"

/* ---- a line a node ---- */

/* `NODE U1-3 R2-1` or `NODE: U1.3, R2.1`, going on below a `\` or a comma at the end; or `/NODE U1(3) R2(1);`. */
void swi_lines_nodes(swi_lines *l) {
    sw_node_id node = {SW_NONE};
    while (swi_lines_next(l)) {
        swi_run rest = l->line, word;
        bool goes_on = false;
        if (rest.length == 0 || *rest.text == '#')
            continue;
        if (node.i == SW_NONE && swi_lines_name(&rest, &word))
            node = sw_builder_node(l->builder, swi_lines_text(l, word), false, swi_lines_span(l, word));
        while (swi_lines_word(&rest, &word)) {
            goes_on = word.text[word.length - 1] == '\\' || word.text[word.length - 1] == ',';
            if (goes_on || word.text[word.length - 1] == ';')
                word.length--;
            if (word.length)
                swi_lines_pin(l, word, node);
        }
        if (!goes_on)
            node.i = SW_NONE;
    }
}

/* ---- a line a pin ---- */

bool swi_lines_heads_columns(swi_run line) {
    swi_run word;
    return swi_lines_word(&line, &word) && swi_lines_is(word, "Net") && swi_lines_word(&line, &word) &&
           swi_lines_is(word, "Part") && swi_lines_word(&line, &word) && swi_lines_is(word, "Pad");
}

/* Net, part, pad, and the pin's name; further pins of a net are indented.  What stands above the heading says
 * whose file it is. */
void swi_lines_columns(swi_lines *l) {
    sw_node_id node = {SW_NONE};
    while (swi_lines_next(l) && !swi_lines_heads_columns(l->line)) {
    }
    while (swi_lines_next(l)) {
        swi_run rest = l->line, net, part, pad, name;
        if (rest.length == 0)
            continue;
        if (!l->indented && swi_lines_word(&rest, &net))
            node = sw_builder_node(l->builder, swi_lines_text(l, net), false, swi_lines_span(l, net));
        if (!swi_lines_word(&rest, &part) || !swi_lines_word(&rest, &pad)) {
            swi_lines_syntax(l, l->line, "a part and its pad are missing here: export the netlist again, or write them in");
            continue;
        }
        swi_lines_word(&rest, &name);
        if (node.i == SW_NONE)
            swi_lines_syntax(l, l->line, "this pin is of no net: its name goes to the beginning of the line");
        else
            swi_lines_pin_of(l, part, pad, name, node);
    }
}
