/* formats/lines/lines_blocks.c: parts in [ ] and nets in ( ), a word a line; and the sections *PART* and *NET*. */
#include "formats/lines/lines.h"

#include "base/text.h"

/* ---- [ ] and ( ) ---- */

enum { REF, PACKAGE, DEVICE, VALUE, FIELDS };

/* Blocks that name their fields, a line before each. */
static int labelled(swi_run line) {
    static const struct { const char *label; int field; } labels[] = {
        {"DESIGNATOR", REF}, {"FOOTPRINT", PACKAGE}, {"PARTTYPE", VALUE}};
    for (size_t i = 0; i < sizeof labels / sizeof *labels; i++)
        if (swi_lines_is(line, labels[i].label))
            return labels[i].field;
    return FIELDS;
}

/* Reads up to the sign that closes the block; false when the file ends before. */
static bool next_in_block(swi_lines *l, const char *close, swi_run opened, const char *unclosed, bool *more) {
    *more = swi_lines_next(l);
    if (!*more)
        swi_lines_syntax(l, opened, unclosed);
    return *more && !swi_lines_is(l->line, close);
}

/* Reference, package, then the value; where both are said, the device before it. */
static void read_part(swi_lines *l) {
    const swi_run nothing = {"", 0};
    swi_run opened = l->line, field[FIELDS] = {nothing, nothing, nothing, nothing};
    bool more, names_fields = false;
    int at = REF;
    while (next_in_block(l, "]", opened, "no ] closes this part: the file is damaged or cut off", &more)) {
        int label = labelled(l->line);
        names_fields = names_fields || (at == REF && label == REF);
        if (names_fields && label < FIELDS && swi_lines_next(l))
            field[label] = l->line;
        else if (!names_fields && at < FIELDS && (l->line.length || at == PACKAGE))
            field[at++] = l->line;
    }
    if (!names_fields && at == VALUE) {
        field[VALUE] = field[DEVICE];
        field[DEVICE] = nothing;
    }
    if (field[REF].length)
        swi_lines_part(l, field[REF], field[PACKAGE], field[DEVICE], field[VALUE]);
    else if (more)
        swi_lines_syntax(l, opened, "this part has no reference: write it in the line below");
}

/* A net's name, then its pins, each at the beginning of a line. */
static void read_net(swi_lines *l) {
    swi_run opened = l->line, word;
    bool more;
    sw_node_id node = {SW_NONE};
    while (next_in_block(l, ")", opened, "no ) closes this net: the file is damaged or cut off", &more)) {
        swi_run rest = l->line;
        if (!swi_lines_word(&rest, &word))
            continue;
        if (node.i == SW_NONE)
            node = sw_builder_node(l->builder, swi_lines_text(l, l->line), false, swi_lines_span(l, l->line));
        else
            swi_lines_pin(l, word, node);
    }
    if (more && node.i == SW_NONE)
        swi_lines_syntax(l, opened, "this net has no name: write it in the line below");
}

void swi_lines_blocks(swi_lines *l) {
    bool more;
    while (swi_lines_next(l)) {
        swi_run line = l->line;
        if (swi_lines_is(line, "[")) {
            l->listed = true;
            read_part(l);
        } else if (swi_lines_is(line, "(")) {
            read_net(l);
        } else if (swi_lines_is(line, "{")) {
            while (next_in_block(l, "}", line, "no } closes this block: the file is damaged or cut off", &more)) {
                /* rules of a layout: nothing of the circuit */
            }
        } else if (line.length && !swi_lines_is(line, "PROTEL NETLIST 2.0")) {
            swi_lines_syntax(l, line, "this is in no block: parts stand in [ ], nets in ( )");
        }
    }
}

/* ---- *PART* and *NET* ---- */

/* `U1 NE555@DIP-8`, or the package alone. */
static void read_listed_part(swi_lines *l) {
    const swi_run nothing = {"", 0};
    swi_run rest = l->line, ref, what, package, device = nothing;
    if (!swi_lines_word(&rest, &ref))
        return;
    swi_lines_word(&rest, &what);
    package = what;
    for (size_t i = 0; i < what.length; i++)
        if (what.text[i] == '@') {
            device = (swi_run){what.text, i};
            package = (swi_run){what.text + i + 1, what.length - i - 1};
            break;
        }
    l->listed = true;
    swi_lines_part(l, ref, package, device, nothing);
}

void swi_lines_sections(swi_lines *l) {
    enum { OTHER, PARTS, NETS } section = OTHER;
    sw_node_id node = {SW_NONE};
    swi_run rest, word;
    while (swi_lines_next(l)) {
        rest = l->line;
        bool starred = rest.length > 1 && *rest.text == '*';
        if (!swi_lines_word(&rest, &word) || swi_lines_is(word, "*REMARK*"))
            continue;
        if (swi_lines_is(word, "*SIGNAL*")) {
            node.i = SW_NONE;
            if (swi_lines_word(&rest, &word))
                node = sw_builder_node(l->builder, swi_lines_text(l, word), false, swi_lines_span(l, word));
            else
                swi_lines_syntax(l, l->line, "this net has no name: write it after *SIGNAL*");
            section = NETS;
        } else if (starred) {
            section = swi_lines_is(word, "*PART*") ? PARTS : swi_lines_is(word, "*NET*") ? NETS : OTHER;
            node.i = SW_NONE;
        } else if (section == PARTS) {
            read_listed_part(l);
        } else if (section == NETS && node.i == SW_NONE) {
            swi_lines_syntax(l, l->line, "these pins are of no net: a line with *SIGNAL* and its name goes before");
        } else if (section == NETS) {
            do
                swi_lines_pin(l, word, node);
            while (swi_lines_word(&rest, &word));
        }
    }
}
