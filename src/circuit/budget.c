/* The strip budget: what a circuit wants of a board, counted before placing. */
#include "circuit/circuit.h"

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* ---- counting ---- */

static uint32_t rows_of(const sw_package *form) {
    return form->form == SW_FORM_DIP ? form->pin_count / 2u : 0;
}

/* Strips from the first lead's to the last's in this turn, both counted. */
static uint32_t strips_of(const sw_package *form, unsigned turn) {
    int least = 0, most = 0;
    bool turned = turn == 90 || turn == 270;
    if (form->form == SW_FORM_PAIR) /* along a strip it needs but that one */
        return 1;
    for (int i = 0; i < form->pin_count; i++) {
        int row = turned ? form->points[i].column : form->points[i].row;
        least = row < least ? row : least;
        most = row > most ? row : most;
    }
    return (uint32_t)(most - least + 1);
}

/* Whether leads of two nodes would stand side by side in one strip, where no hole
 * is left between them for a cut. */
static bool shorts_itself(const sw_circuit *c, const sw_part *part, bool turned) {
    const sw_offset *points = part->form->points;
    for (uint32_t i = 0; i < part->pin_count; i++)
        for (uint32_t k = 0; k < i; k++) {
            int across = turned ? points[i].column - points[k].column
                                : points[i].row - points[k].row;
            int along = turned ? points[i].row - points[k].row
                               : points[i].column - points[k].column;
            if (across == 0 && (along == 1 || along == -1) &&
                c->pins[part->first_pin.i + i].node.i != c->pins[part->first_pin.i + k].node.i)
                return true;
        }
    return false;
}

static uint32_t fewest_strips_of(const sw_circuit *c, const sw_part *part) {
    const sw_package *form = part->form;
    uint32_t a = UINT32_MAX, b = UINT32_MAX;
    if (form->form == SW_FORM_PAIR)
        return 1;
    if ((form->turns & (SW_TURN_0 | SW_TURN_180)) && !shorts_itself(c, part, false))
        a = strips_of(form, 0);
    if ((form->turns & (SW_TURN_90 | SW_TURN_270)) && !shorts_itself(c, part, true))
        b = strips_of(form, 90);
    uint32_t fewest = a < b ? a : b;
    return fewest == UINT32_MAX ? 1 : fewest;
}

/* Holes that a DIP's body shuts between its rows: a cut may be there, no lead. */
static uint32_t holes_inside(const sw_package *form) {
    return form->form == SW_FORM_DIP && form->pitch > 1 ? rows_of(form) * (form->pitch - 1u) : 0;
}

static void say(char *out, size_t size, const char *format, ...) SW_PRINTF(3, 4);
static void say(char *out, size_t size, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(out, size, format, arguments);
    va_end(arguments);
    if (length < 0)
        out[0] = '\0';
}

static void count_nodes(const sw_circuit *c, sw_budget *b) {
    b->nodes = c->node_count;
    b->leads = c->pin_count;
    for (uint32_t i = 0; i < c->node_count; i++)
        if (c->nodes[i].pin_count > 1)
            b->joined_nodes++;
    b->lone_pins = b->nodes - b->joined_nodes;
}

static void count_strips(const sw_circuit *c, sw_budget *b) {
    const char *bound_ref = "";
    b->widest_ref = "";
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_package *form = c->parts[i].form;
        if (!form)
            continue;
        b->split_strips += rows_of(form);
        if (strips_of(form, 0) > b->widest_strips) {
            b->widest_strips = strips_of(form, 0);
            b->widest_ref = c->parts[i].ref;
        }
        if (fewest_strips_of(c, &c->parts[i]) > b->bound_strips) {
            b->bound_strips = fewest_strips_of(c, &c->parts[i]);
            bound_ref = c->parts[i].ref;
        }
    }
    if (b->bound_strips)
        say(b->bound_why, sizeof b->bound_why,
            "%.40s needs %u strip%s however it is turned (knife cuts aside)", bound_ref, b->bound_strips,
            SWI_S(b->bound_strips));
}

static void work_out_least_strips(sw_budget *b) {
    uint32_t by_nodes = b->nodes > b->split_strips ? b->nodes - b->split_strips : 0;
    if (by_nodes >= b->widest_strips) {
        b->least_strips = by_nodes;
        say(b->least_why, sizeof b->least_why,
            "%u nodes need a segment each, and the cuts under the ICs give %u of them beside the "
            "strips' own", b->nodes, b->split_strips);
    } else {
        b->least_strips = b->widest_strips;
        say(b->least_why, sizeof b->least_why,
            "%.40s stands across %u strips; for %u nodes %u would be enough", b->widest_ref,
            b->widest_strips, b->nodes, by_nodes);
    }
}

static void work_out_least_holes(const sw_circuit *c, sw_budget *b) {
    uint32_t inside = 0;
    for (uint32_t i = 0; i < c->part_count; i++)
        if (c->parts[i].form)
            inside += holes_inside(c->parts[i].form);
    b->least_holes = b->leads + inside;
    say(b->holes_why, sizeof b->holes_why,
        "%u leads take a hole each, and %u holes lie shut between the rows of ICs", b->leads,
        inside);
}

void sw_budget_work_out(const sw_circuit *c, sw_budget *b) {
    memset(b, 0, sizeof *b);
    count_nodes(c, b);
    count_strips(c, b);
    work_out_least_strips(b);
    work_out_least_holes(c, b);
}

uint32_t sw_budget_segments(const sw_budget *b, uint32_t strips) {
    return strips + b->split_strips;
}

/* ---- saying it ---- */

static const sw_node *node_in_order(const sw_circuit *c, uint32_t i) {
    return &c->nodes[c->by_number ? c->by_number[i].i : i];
}

static void write_nodes(const sw_circuit *c, const sw_budget *b, sw_buf *out) {
    sw_buf_printf(out, "There are %u nodes: %u join two pins or more, %u are pins that connect to "
                       "nothing.\n", b->nodes, b->joined_nodes, b->lone_pins);
    for (uint32_t i = 0; i < c->node_count; i++) {
        const sw_node *node = node_in_order(c, i);
        if (node->pin_count == 1)
            continue;
        sw_buf_puts(out, "  ");
        if (node->number)
            sw_buf_printf(out, "%u ", node->number);
        sw_buf_printf(out, "%s: %u pin%s\n", node->name, node->pin_count, SWI_S(node->pin_count));
    }
}

static void write_splits(const sw_circuit *c, const sw_budget *b, sw_buf *out) {
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_part *part = &c->parts[i];
        uint32_t rows = part->form ? rows_of(part->form) : 0;
        if (rows)
            sw_buf_printf(out, "%s (%s) stands across %u strips; a cut between its rows on each "
                               "makes %u segments more.\n", part->ref, part->package, rows, rows);
    }
    if (b->split_strips == 0)
        sw_buf_puts(out, "No IC splits the strips: a strip is one segment until it is cut.\n");
    else
        sw_buf_printf(out, "So a board has %u segments more than strips.\n", b->split_strips);
}

static void write_segments(const sw_budget *b, sw_buf *out) {
    uint32_t from = b->least_strips > 2 ? b->least_strips - 2 : 1;
    if (from < b->widest_strips)
        from = b->widest_strips;
    if (from == 0)
        from = 1;
    for (uint32_t strips = from; strips <= b->least_strips + 2; strips++) {
        uint32_t segments = sw_budget_segments(b, strips);
        sw_buf_printf(out, "  %u strip%s: %u segments, ", strips, SWI_S(strips),
                      segments);
        if (segments < b->nodes)
            sw_buf_printf(out, "%u more cut%s needed\n", b->nodes - segments,
                          SWI_S(b->nodes - segments));
        else
            sw_buf_printf(out, "enough for %u nodes\n", b->nodes);
    }
}

void sw_budget_write(const sw_circuit *c, const sw_budget *b, sw_buf *out) {
    write_nodes(c, b, out);
    write_splits(c, b, out);
    write_segments(b, out);
    sw_buf_printf(out, "With no other cuts the least is %u strips: %s.\n", b->least_strips,
                  b->least_why);
    if (b->bound_strips)
        sw_buf_printf(out, "With more cuts fewer may do, but never under %u: %s.\n",
                      b->bound_strips, b->bound_why);
    sw_buf_printf(out, "The board has %u holes at least: %s.\n", b->least_holes, b->holes_why);
}
