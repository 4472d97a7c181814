/* src/papers/figure_board.c: strips, holes, links, leads and cuts of both sides. */
#include "figure.h"

#include "change.h"

#include <math.h>
#include <string.h>

double swi_board_x(const swi_figure *figure, double column) {
    if (figure->options.copper)
        column = figure->subject->plan->columns - 1 - column;
    return SW_PITCH_MM * column;
}

double swi_figure_x(const swi_figure *figure, double column) {
    return figure->x + swi_board_x(figure, column);
}

double swi_figure_y(const swi_figure *figure, double strip) {
    return figure->y + SW_PITCH_MM * strip;
}

static size_t index_of(const sw_plan *plan, sw_hole hole) {
    return (size_t)hole.strip * (size_t)plan->columns + (size_t)hole.column;
}


static const char *segment_title(swi_scene *scene, const sw_segment *segment) {
    char from[12], to[12];
    sw_hole_write((sw_hole){segment->strip, segment->first}, from);
    sw_hole_write((sw_hole){segment->strip, segment->last}, to);
    if (!segment->used)
        return swi_scene_format(scene, "copper %s to %s, not used", from, to);
    if (!segment->node)
        return swi_scene_format(scene, "segment %s to %s", from, to);
    return swi_scene_format(scene, "segment %s to %s, node %u", from, to, (unsigned)segment->node);
}

static void draw_segment(swi_figure *figure, const sw_segment *segment) {
    swi_scene *scene = figure->scene;
    double x0 = swi_figure_x(figure, segment->first), x1 = swi_figure_x(figure, segment->last),
           y = swi_figure_y(figure, segment->strip);
    swi_open(scene, &(swi_tags){.style = "seg", .node = segment->node,
                                .title = segment_title(scene, segment)});
    if (!segment->used) {
        swi_line(scene, "idle", x0, y, x1 > x0 ? x1 : x0 + 0.01, y);
    } else {
        swi_rect(scene, "band", (sw_box){x0 - 0.8, y - 0.75, x1 + 0.8, y + 0.75}, 0.75);
        swi_line(scene, "line", x0 - (x1 > x0 ? 0 : 0.8), y, x1 + (x1 > x0 ? 0 : 0.8), y);
    }
    swi_close(scene);
}

static void draw_strips(swi_figure *figure) {
    const sw_copper *copper = figure->subject->copper;
    swi_open_layer(figure->scene, "strips", "Segments of the strips, seen through the board");
    for (uint32_t i = 0; i < copper->segment_count; i++)
        draw_segment(figure, &copper->segments[i]);
    swi_close(figure->scene);
}

static void draw_holes(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    swi_open_layer(figure->scene, "holes", "");
    for (int16_t s = 0; s < plan->strips; s++)
        for (int16_t c = 0; c < plan->columns; c++) {
            size_t at = index_of(plan, (sw_hole){s, c});
            if (!figure->field.taken[at] && (!figure->field.hidden[at] || figure->options.copper))
                swi_use(figure->scene, "#s-hole", swi_figure_x(figure, c), swi_figure_y(figure, s));
        }
    swi_close(figure->scene);
}

/* "B3 to F3, node 6". */
static const char *link_title(swi_figure *figure, const sw_link *link) {
    char from[12], to[12];
    sw_hole_write(link->from, from);
    sw_hole_write(link->to, to);
    uint32_t node = swi_subject_link_node(figure->subject, link);
    const char *kind = link->sleeved ? "sleeved link" : "link";
    if (node)
        return swi_scene_format(figure->scene, "%s %s to %s, node %u", kind, from, to, (unsigned)node);
    return swi_scene_format(figure->scene, "%s %s to %s", kind, from, to);
}

static const char *step_of(swi_figure *figure, const char *what, uint32_t index) {
    return swi_scene_format(figure->scene, "%s-%u", what, (unsigned)index + 1);
}

static void open_link(swi_figure *figure, uint32_t index, sw_hole hole) {
    const sw_link *link = &figure->subject->plan->links[index];
    char name[12] = "";
    if (hole.strip >= 0)
        sw_hole_write(hole, name);
    swi_open(figure->scene, &(swi_tags){.style = swi_change_style(figure, "link", swi_link_is_work(figure->subject, index)),
                                        .title = link_title(figure, link),
                                        .node = swi_subject_link_node(figure->subject, link),
                                        .hole = name, .step = step_of(figure, "link", index)});
}

static void draw_links(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    swi_open_layer(figure->scene, "links", "Wire links");
    for (uint32_t i = 0; i < plan->link_count; i++) {
        const sw_link *link = &plan->links[i];
        double x0 = swi_figure_x(figure, link->from.column), y0 = swi_figure_y(figure, link->from.strip),
               x1 = swi_figure_x(figure, link->to.column), y1 = swi_figure_y(figure, link->to.strip);
        open_link(figure, i, (sw_hole){-1, -1});
        swi_line(figure->scene, "lkc", x0, y0, x1, y1);
        swi_line(figure->scene, "lk", x0, y0, x1, y1);
        if (link->sleeved) {
            swi_line(figure->scene, "sleeve", x0 - 0.45, y0 + 0.9, x1 - 0.45, y1 - 0.9);
            swi_line(figure->scene, "sleeve", x0 + 0.45, y0 + 0.9, x1 + 0.45, y1 - 0.9);
        }
        swi_close(figure->scene);
    }
    swi_close(figure->scene);
}

/* What of a link lies beneath an IC is dashed, like the strips there. */
static void draw_links_beneath(swi_figure *figure) {
    const swi_subject *subject = figure->subject;
    for (uint32_t i = 0; i < subject->plan->link_count; i++) {
        const sw_link *link = &subject->plan->links[i];
        double x = SW_PITCH_MM * link->from.column, y0 = SW_PITCH_MM * link->from.strip,
               y1 = SW_PITCH_MM * link->to.strip;
        for (uint32_t k = 0; k < subject->item_count; k++) {
            const swi_item *item = &subject->items[k];
            if (!swi_is_ic(item) || x <= item->outline.x0 || x >= item->outline.x1)
                continue;
            double from = fmax(y0, item->outline.y0), to = fmin(y1, item->outline.y1);
            if (from < to)
                swi_line(figure->scene, "lku", figure->x + x, figure->y + from, figure->x + x,
                         figure->y + to);
        }
    }
}

static void draw_link_ends(swi_figure *figure, const char *layer, const char *symbol) {
    const sw_plan *plan = figure->subject->plan;
    swi_open_layer(figure->scene, layer, "Ends of the links");
    if (!figure->options.copper)
        draw_links_beneath(figure);
    for (uint32_t i = 0; i < plan->link_count; i++)
        for (int end = 0; end < 2; end++) {
            sw_hole hole = end ? plan->links[i].to : plan->links[i].from;
            open_link(figure, i, hole);
            swi_use(figure->scene, symbol, swi_figure_x(figure, hole.column),
                    swi_figure_y(figure, hole.strip));
            swi_close(figure->scene);
        }
    swi_close(figure->scene);
}

bool swi_is_ic(const swi_item *item) {
    return item->stands && item->package->form == SW_FORM_DIP;
}

/* Pin 1 is marked where a part could be turned round and still fit. */
static bool marks_pin_1(const swi_item *item) {
    return item->package && item->package->pin_count > 3 &&
           (item->package->form == SW_FORM_DIP || item->package->form == SW_FORM_LINE);
}

const char *swi_lead_symbol(const swi_figure *figure, const swi_item *item, uint32_t lead) {
    bool copper = figure->options.copper;
    size_t index = (size_t)(item->leads - figure->subject->plan->leads) + lead;
    bool first = marks_pin_1(item) && sw_package_pin_index(item->package, item->leads[lead].pin) == 0;
    if (copper)
        return first ? "#s-pin1-ring" : "#s-lead-ring";
    if (item->terminal)
        return "#s-term";
    if (figure->subject->lead_unused[index])
        return first ? "#s-nc1" : "#s-nc";
    return first ? "#s-pin1" : "#s-lead";
}

static void draw_lead(swi_figure *figure, const swi_item *item, uint32_t lead) {
    const sw_plan_lead *one = &item->leads[lead];
    uint32_t node = figure->subject->lead_nodes[(size_t)(item->leads - figure->subject->plan->leads) + lead];
    char name[12];
    sw_hole_write(one->hole, name);
    const char *title = swi_scene_format(figure->scene, node ? "%s: %s pin %s, node %u" : "%s: %s pin %s",
                                         name, item->part->ref, one->pin, (unsigned)node);
    if (item->terminal)
        title = swi_scene_format(figure->scene, node ? "%s: wire %s, node %u" : "%s: wire %s", name,
                                 item->name, (unsigned)node);
    bool is_new = swi_part_is_work(figure->subject, (uint32_t)(item - figure->subject->items));
    swi_open(figure->scene, &(swi_tags){.style = swi_change_style(figure, "lead", is_new), .title = swi_scene_text(figure->scene, title),
                                        .ref = swi_scene_text(figure->scene, item->part->ref),
                                        .node = node, .hole = name});
    swi_use(figure->scene, swi_lead_symbol(figure, item, lead),
            swi_figure_x(figure, one->hole.column), swi_figure_y(figure, one->hole.strip));
    swi_close(figure->scene);
}

static void draw_leads(swi_figure *figure, const char *layer) {
    const swi_subject *subject = figure->subject;
    swi_open_layer(figure->scene, layer, "Leads in their holes");
    for (uint32_t i = 0; i < subject->item_count; i++)
        for (uint32_t k = 0; k < subject->items[i].part->lead_count; k++)
            draw_lead(figure, &subject->items[i], k);
    swi_close(figure->scene);
}

static void draw_cuts(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    swi_open_layer(figure->scene, "cuts", "Cuts");
    for (uint32_t i = 0; i < plan->cut_count; i++) {
        const sw_cut *cut = &plan->cuts[i];
        char name[12], next[12];
        sw_hole_write(cut->hole, name);
        sw_hole_write((sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)}, next);
        const char *title = cut->knife
            ? swi_scene_format(figure->scene, "knife cut between %s and %s", name, next)
            : swi_scene_format(figure->scene, "cut at %s", name);
        swi_open(figure->scene, &(swi_tags){.style = swi_change_style(figure, "cut", swi_cut_is_work(figure->subject, i)),
                                            .title = title, .hole = name, .step = step_of(figure, "cut", i)});
        swi_use(figure->scene, cut->knife ? "#s-knife" : "#s-cut",
                swi_figure_x(figure, cut->hole.column + (cut->knife ? 0.5 : 0)),
                swi_figure_y(figure, cut->hole.strip));
        swi_draw_cut_ring(figure, i);
        swi_close(figure->scene);
    }
    swi_close(figure->scene);
}

/* A screw's head or another place to be kept free. */
static void draw_keep_outs(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    for (uint32_t i = 0; i < plan->keep_out_count; i++) {
        const sw_keep_out *keep = &plan->keep_outs[i];
        double x0 = swi_figure_x(figure, keep->from.column), x1 = swi_figure_x(figure, keep->to.column),
               y0 = swi_figure_y(figure, keep->from.strip), y1 = swi_figure_y(figure, keep->to.strip);
        const char *why = keep->why && *keep->why ? keep->why : "kept free";
        swi_open(figure->scene, &(swi_tags){.style = "keep-out", .title = why});
        swi_rect(figure->scene, "out", (sw_box){fmin(x0, x1) - 1.2, fmin(y0, y1) - 1.2,
                                                fmax(x0, x1) + 1.2, fmax(y0, y1) + 1.2}, 0.6);
        if (strncmp(why, "screw", 5) == 0) {
            swi_circle(figure->scene, "out", (x0 + x1) / 2, (y0 + y1) / 2, 1.6);
            swi_line(figure->scene, "rule", (x0 + x1) / 2 - 2.2, (y0 + y1) / 2, (x0 + x1) / 2 + 2.2,
                     (y0 + y1) / 2);
            swi_line(figure->scene, "rule", (x0 + x1) / 2, (y0 + y1) / 2 - 2.2, (x0 + x1) / 2,
                     (y0 + y1) / 2 + 2.2);
        }
        swi_close(figure->scene);
    }
}

static void draw_board(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    const double half = SW_PITCH_MM / 2;
    swi_open_layer(figure->scene, "board",
                   swi_scene_format(figure->scene, "The board: %d strips of %d holes", plan->strips,
                                    plan->columns));
    swi_rect(figure->scene, "edge",
             (sw_box){figure->x - half, figure->y - half,
                      figure->x - half + SW_PITCH_MM * plan->columns,
                      figure->y - half + SW_PITCH_MM * plan->strips}, 0);
    draw_keep_outs(figure);
    swi_close(figure->scene);
}

static void draw_bodies(swi_figure *figure) {
    swi_open_layer(figure->scene, "bodies", "Parts");
    for (uint32_t i = 0; i < figure->subject->item_count; i++)
        swi_draw_body(figure, i);
    swi_close(figure->scene);
}

void swi_draw_component_side(swi_figure *figure) {
    draw_board(figure);
    swi_draw_edges(figure);
    draw_strips(figure);
    draw_holes(figure);
    swi_draw_change(figure);
    draw_links(figure);
    draw_bodies(figure);
    draw_link_ends(figure, "link-ends", "#s-eye");
    draw_leads(figure, "leads");
    draw_cuts(figure);
    swi_open_layer(figure->scene, "labels", "Names and values of the parts");
    swi_draw_labels(figure);
    swi_draw_wire_names(figure);
    swi_close(figure->scene);
    swi_open_layer(figure->scene, "node-numbers", "Numbers of the nodes");
    swi_draw_node_numbers(figure);
    swi_close(figure->scene);
}

/* One segment as copper: an outline with ruled lines. */
static void draw_copper(swi_figure *figure, const sw_segment *segment) {
    const sw_plan *plan = figure->subject->plan;
    double a = swi_figure_x(figure, segment->first), b = swi_figure_x(figure, segment->last),
           y = swi_figure_y(figure, segment->strip);
    double x0 = fmin(a, b), x1 = fmax(a, b);
    bool copper = figure->options.copper;
    bool first = segment->first == 0, last = segment->last == plan->columns - 1;
    x0 -= (copper ? last : first) ? 1.12 : 1.02;
    x1 += (copper ? first : last) ? 1.12 : 1.02;
    swi_open(figure->scene, &(swi_tags){.style = "seg", .node = segment->node,
                                        .title = segment_title(figure->scene, segment)});
    swi_rect(figure->scene, "cu", (sw_box){x0, y - 0.92, x1, y + 0.92}, 0);
    sw_buf lines = SW_BUF_INIT;
    for (int i = -3; i <= 3; i++) {
        swi_path_to(&lines, 'M', x0, y + 0.23 * i);
        sw_buf_putc(&lines, 'H');
        swi_path_number(&lines, x1);
    }
    swi_path(figure->scene, "eng", &lines);
    swi_close(figure->scene);
}

void swi_draw_copper_side(swi_figure *figure) {
    const sw_copper *copper = figure->subject->copper;
    draw_board(figure);
    swi_draw_edges(figure);
    swi_open_layer(figure->scene, "copper", "Copper");
    for (uint32_t i = 0; i < copper->segment_count; i++)
        draw_copper(figure, &copper->segments[i]);
    swi_close(figure->scene);
    draw_holes(figure);
    swi_draw_change(figure);
    draw_link_ends(figure, "link-points", "#s-eye-ring");
    draw_leads(figure, "lead-points");
    draw_cuts(figure);
}
