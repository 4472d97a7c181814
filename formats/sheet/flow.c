/* formats/sheet/flow.c: lists that run through columns and pages. */
#include "formats/sheet/flow.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double size = 2.4, leading = 3.6; /* mm */

bool swi_flow_start(swi_flow *flow) {
    *flow = (swi_flow){.memory = swi_arena_new()};
    return flow->memory != NULL;
}

void swi_flow_end(swi_flow *flow) {
    swi_arena_free(flow->memory);
    free(flow->lines);
}

static swi_flow_line *add_line(swi_flow *flow) {
    if (!SWI_GROW(flow->lines, flow->room, flow->count + 1)) {
        flow->failed = true;
        return NULL;
    }
    swi_flow_line *line = &flow->lines[flow->count++];
    *line = (swi_flow_line){0};
    return line;
}

/* Text as the buffer holds it, which is emptied. */
static const char *keep(swi_flow *flow, sw_buf *buf) {
    const char *text = buf->failed ? NULL : swi_arena_text(flow->memory, buf->bytes ? buf->bytes : "", buf->length);
    sw_buf_free(buf);
    flow->failed |= !text;
    return text ? text : "";
}

static void add_cell(swi_flow *flow, swi_flow_line *line, double x, bool tick, swi_face face, sw_buf *text) {
    const char *kept = keep(flow, text);
    if (line && line->count < SWI_FLOW_CELLS)
        line->cells[line->count++] = (swi_cell){x, tick, face, kept};
}

static void heading(swi_flow *flow, const char *text, unsigned count) {
    swi_flow_line *line = add_line(flow);
    sw_buf words = SW_BUF_INIT;
    sw_buf_printf(&words, "%s (%u)", text, count);
    add_cell(flow, line, 0, false, SWI_SANS_BOLD, &words);
    if (line)
        line->heading = true;
}

static void put_hole(sw_buf *out, sw_hole hole) {
    char name[12];
    sw_hole_write(hole, name);
    sw_buf_puts(out, name);
}

void swi_flow_cuts(swi_flow *flow, const swi_subject *subject, const swi_work *work) {
    heading(flow, "CUTS", (unsigned)work->cut_count);
    swi_flow_line *line = NULL;
    int strip = -1;
    double x = 0;
    for (uint32_t i = 0; i < work->cut_count; i++) {
        const sw_cut *cut = &subject->plan->cuts[work->cuts[i]];
        double wide = cut->knife ? 21 : 11;
        if (!line || cut->hole.strip != strip || x + wide > 58 || line->count == SWI_FLOW_CELLS) {
            line = add_line(flow);
            x = 0;
        }
        strip = cut->hole.strip;
        sw_buf text = SW_BUF_INIT;
        put_hole(&text, cut->hole);
        if (cut->knife) {
            sw_buf_puts(&text, " | ");
            put_hole(&text, (sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)});
        }
        add_cell(flow, line, x, true, SWI_SANS, &text);
        x += wide;
    }
}

void swi_flow_links(swi_flow *flow, const swi_subject *subject, const swi_work *work) {
    heading(flow, "LINKS", (unsigned)work->link_count);
    for (uint32_t i = 0; i < work->link_count; i++) {
        const sw_link *link = &subject->plan->links[work->links[i]];
        swi_flow_line *line = add_line(flow);
        sw_buf text = SW_BUF_INIT, wire = SW_BUF_INIT, node = SW_BUF_INIT;
        put_hole(&text, link->from);
        sw_buf_puts(&text, " to ");
        put_hole(&text, link->to);
        add_cell(flow, line, 0, true, SWI_SANS, &text);
        sw_buf_real(&wire, swi_link_wire(link), 0);
        sw_buf_puts(&wire, link->sleeved ? " mm, sleeved" : " mm");
        add_cell(flow, line, 23, false, SWI_SANS, &wire);
        uint32_t number = swi_subject_link_node(subject, link);
        if (number)
            sw_buf_printf(&node, "%u", (unsigned)number);
        add_cell(flow, line, 47, false, SWI_SERIF_ITALIC, &node);
    }
}

void swi_flow_wires(swi_flow *flow, const swi_subject *subject, const swi_work *work) {
    if (work->wire_count)
        heading(flow, "WIRES", (unsigned)work->wire_count);
    for (uint32_t i = 0; i < work->wire_count; i++) {
        const swi_item *item = &subject->items[work->wires[i]];
        swi_flow_line *line = add_line(flow);
        sw_buf hole = SW_BUF_INIT, name = SW_BUF_INIT, node = SW_BUF_INIT;
        put_hole(&hole, item->leads[0].hole);
        add_cell(flow, line, 0, true, SWI_SANS, &hole);
        sw_buf_puts(&name, item->name);
        add_cell(flow, line, 11, false, SWI_SANS_BOLD, &name);
        uint32_t number = subject->lead_nodes[item->leads - subject->plan->leads];
        if (number)
            sw_buf_printf(&node, "%u", (unsigned)number);
        add_cell(flow, line, 47, false, SWI_SERIF_ITALIC, &node);
    }
}

/* "C1.1 C2.1 …" of a node. */
static void put_pins(const swi_subject *subject, uint32_t node, sw_buf *out) {
    for (uint32_t i = 0; i < subject->plan->lead_count; i++) {
        if (subject->lead_nodes[i] != node)
            continue;
        const swi_item *item = swi_subject_item_of_lead(subject, i);
        if (!item)
            continue;
        if (out->length)
            sw_buf_putc(out, ' ');
        sw_buf_puts(out, item->terminal ? item->name : item->part->ref);
        if (!item->terminal)
            sw_buf_printf(out, ".%s", subject->plan->leads[i].pin);
    }
}

/* Number and name, then the pins in as many lines as they take. */
static void add_node(swi_flow *flow, const swi_subject *subject, uint32_t node, double width) {
    swi_flow_line *line = add_line(flow);
    sw_buf number = SW_BUF_INIT, name = SW_BUF_INIT, pins = SW_BUF_INIT;
    sw_buf_printf(&number, "%u", (unsigned)node);
    add_cell(flow, line, 0, false, SWI_SERIF_ITALIC, &number);
    put_pins(subject, node, &pins);
    const char *called = swi_subject_node_name(subject, node), *text = keep(flow, &pins);
    double start = 6.5;
    if (*called && strcmp(called, text) != 0) { /* a lone pin's node is called after it */
        sw_buf_puts(&name, called);
        add_cell(flow, line, start, false, SWI_SANS_BOLD, &name);
        start += swi_text_width(SWI_SANS_BOLD, called) * size + 2;
    }
    while (*text) {
        size_t take = swi_text_break(SWI_SANS, text, (width - start) / size);
        if (!take)
            take = strlen(text);
        sw_buf part = SW_BUF_INIT;
        sw_buf_put(&part, text, take);
        add_cell(flow, line, start, false, SWI_SANS, &part);
        for (text += take; *text == ' '; text++)
            ;
        if (*text)
            line = add_line(flow);
        start = 9;
    }
}

void swi_flow_nodes(swi_flow *flow, const swi_subject *subject, double width) {
    heading(flow, "NODES", (unsigned)subject->node_count);
    for (uint32_t n = 1; n <= subject->node_count; n++)
        add_node(flow, subject, n, width);
}

static void put_line(swi_scene *scene, const swi_flow_line *line, double x, double y) {
    for (int i = 0; i < line->count; i++) {
        const swi_cell *cell = &line->cells[i];
        double at = x + cell->x;
        if (cell->tick) {
            swi_rect(scene, "box", (sw_box){at, y - 2.1, at + 2.3, y + 0.2}, 0);
            at += 3.3;
        }
        swi_text_at(scene, "", cell->face, line->heading ? 2.5 : size, SWI_START, at, y, cell->text);
    }
}

/* mm that the lines from `first` on take in one column. */
static double height_from(const swi_flow *flow, size_t first) {
    double high = 0;
    for (size_t i = first; i < flow->count; i++)
        high += flow->lines[i].heading ? leading + 2.6 : leading;
    return high;
}

/* Whether a heading had better begin the next column: this one has its share, and what
 * remains surely goes into the others. */
static bool begins_column(const swi_flow *flow, double used, double share, double high, int columns_left) {
    return used > 0.6 * share && height_from(flow, flow->next) < 0.85 * high * columns_left;
}

bool swi_flow_put(swi_flow *flow, swi_scene *scene, sw_box region, int columns) {
    double wide = (region.x1 - region.x0 + 5) / columns;
    double high = region.y1 - region.y0, share = height_from(flow, flow->next) / columns;
    for (int c = 0; c < columns && flow->next < flow->count; c++) {
        double y = region.y0 + 2.5;
        bool first = true;
        while (flow->next < flow->count) {
            const swi_flow_line *line = &flow->lines[flow->next];
            if (line->heading && !first)
                y += 2;
            double need = line->heading ? leading : 0; /* no heading alone at the foot */
            if (y + need > region.y1 ||
                (line->heading && !first &&
                 begins_column(flow, y - region.y0, share, high, columns - c - 1)))
                break;
            put_line(scene, line, region.x0 + c * wide, y);
            y += line->heading ? leading + 0.6 : leading;
            first = false;
            flow->next++;
        }
    }
    return flow->next == flow->count;
}

bool swi_flow_fits(const swi_flow *flow, sw_box region, int columns) {
    double per_column = floor((region.y1 - region.y0 - 3.5) / leading);
    return per_column >= 1 && (double)flow->count + columns <= per_column * columns;
}
