/* src/papers/figure.c: the drawing put together, and the field its text is placed on. */
#include "figure.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static const double pitch = SW_PITCH_MM, half = SW_PITCH_MM / 2;

static void add_disc(swi_floor *field, double x, double y, double radius) {
    sw_box box = {x - radius, y - radius, x + radius, y + radius};
    swi_floor_add(field, (swi_thing){SWI_THING_DISC, box, SW_NONE, false});
}

/* Something of this half width stands in the hole. */
static void take(swi_figure *figure, sw_hole hole, double wide) {
    const sw_plan *plan = figure->subject->plan;
    if (hole.strip >= 0 && hole.column >= 0 && hole.strip < plan->strips && hole.column < plan->columns)
        figure->field.taken[(size_t)hole.strip * (size_t)plan->columns + (size_t)hole.column] =
            (unsigned char)(100 * wide);
}

static void add_leads(swi_figure *figure) {
    const swi_subject *subject = figure->subject;
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const swi_item *item = &subject->items[i];
        for (uint32_t k = 0; k < item->part->lead_count; k++) {
            const char *symbol = swi_lead_symbol(figure, item, k);
            double radius = strcmp(symbol, "#s-term") == 0 ? 0.91
                          : strncmp(symbol, "#s-nc", 5) == 0 ? 0.8
                          : strcmp(symbol, "#s-pin1") == 0 ? 0.62 : 0.46;
            sw_hole hole = item->leads[k].hole;
            add_disc(&figure->field, swi_board_x(figure, hole.column), pitch * hole.strip, radius);
            take(figure, hole, radius);
        }
    }
}

static void add_cuts(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    for (uint32_t i = 0; i < plan->cut_count; i++) {
        bool knife = plan->cuts[i].knife;
        double x = swi_board_x(figure, plan->cuts[i].hole.column + (knife ? 0.5 : 0)),
               y = pitch * plan->cuts[i].hole.strip;
        if (knife) {
            sw_box bar = {x - 0.3, y - 0.95, x + 0.3, y + 0.95};
            swi_floor_add(&figure->field, (swi_thing){SWI_THING_BAR, bar, SW_NONE, false});
        } else {
            add_disc(&figure->field, x, y, 0.72);
            take(figure, plan->cuts[i].hole, 0.84);
        }
    }
}

static void add_links(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    for (uint32_t i = 0; i < plan->link_count; i++) {
        double x0 = swi_board_x(figure, plan->links[i].from.column), y0 = pitch * plan->links[i].from.strip,
               x1 = swi_board_x(figure, plan->links[i].to.column), y1 = pitch * plan->links[i].to.strip;
        sw_box bar = {fmin(x0, x1) - 0.3, fmin(y0, y1), fmax(x0, x1) + 0.3, fmax(y0, y1)};
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_BAR, bar, SW_NONE, false});
        add_disc(&figure->field, x0, y0, 0.66);
        add_disc(&figure->field, x1, y1, 0.66);
        take(figure, plan->links[i].from, 0.66);
        take(figure, plan->links[i].to, 0.66);
    }
}

static void hide_holes(swi_figure *figure, const swi_item *item) {
    const sw_plan *plan = figure->subject->plan;
    for (int s = 0; s < plan->strips; s++)
        for (int c = 0; c < plan->columns; c++) {
            sw_box hole = {pitch * c - 0.3, pitch * s - 0.3, pitch * c + 0.3, pitch * s + 0.3};
            if (item->round ? swi_box_within_disc(hole, item->outline) : swi_box_within(hole, item->outline))
                figure->field.hidden[(size_t)s * (size_t)plan->columns + (size_t)c] = 1;
        }
}

static void add_wires(swi_figure *figure, const swi_item *item, uint32_t owner) {
    if (item->package->form != SW_FORM_PAIR)
        return;
    sw_hole a = item->leads[0].hole, b = item->leads[1].hole;
    double x0 = pitch * fmin(a.column, b.column), x1 = pitch * fmax(a.column, b.column),
           y0 = pitch * fmin(a.strip, b.strip), y1 = pitch * fmax(a.strip, b.strip);
    const sw_box *body = &item->outline;
    sw_box ends[2] = {{x0 - 0.15, y0 - 0.15, x1 + 0.15, y1 + 0.15},
                      {x0 - 0.15, y0 - 0.15, x1 + 0.15, y1 + 0.15}};
    if (a.column == b.column) {
        ends[0].y1 = body->y0;
        ends[1].y0 = body->y1;
    } else {
        ends[0].x1 = body->x0;
        ends[1].x0 = body->x1;
    }
    for (int i = 0; i < 2; i++)
        if (ends[i].x0 < ends[i].x1 && ends[i].y0 < ends[i].y1)
            swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, ends[i], owner, false});
}

static void add_bodies(swi_figure *figure) {
    for (uint32_t i = 0; i < figure->subject->item_count; i++) {
        const swi_item *item = &figure->subject->items[i];
        if (!item->stands || item->terminal)
            continue;
        bool ic = swi_is_ic(item);
        swi_floor_add(&figure->field, (swi_thing){item->round ? SWI_THING_ROUND : SWI_THING_BODY,
                                                  item->outline, i, ic});
        add_wires(figure, item, i);
        swi_add_curve(figure, item);
        if (!ic)
            hide_holes(figure, item);
    }
}

/* Where the numbers of segments would like to stand: labels keep off when they can. */
static void add_wishes(swi_figure *figure) {
    const sw_copper *copper = figure->subject->copper;
    int last = figure->subject->plan->columns - 1;
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        const sw_segment *segment = &copper->segments[i];
        if (!segment->used || !segment->node)
            continue;
        double y = pitch * segment->strip, x0 = pitch * segment->first, x1 = pitch * segment->last;
        sw_box left = {x0 - 1.7, y - 0.5, x0 - 0.5, y + 0.5}, right = {x1 + 0.5, y - 0.5, x1 + 1.7, y + 0.5};
        if (segment->first > 0)
            swi_floor_add(&figure->field, (swi_thing){SWI_THING_WISH, left, SW_NONE, false});
        if (segment->last < last)
            swi_floor_add(&figure->field, (swi_thing){SWI_THING_WISH, right, SW_NONE, false});
    }
}

/* The board's edges are lines too. */
static void add_edges(swi_figure *figure) {
    double x1 = pitch * (figure->subject->plan->columns - 0.5), y1 = pitch * (figure->subject->plan->strips - 0.5);
    const sw_box edges[] = {{-half - 0.15, -half, -half + 0.15, y1}, {x1 - 0.15, -half, x1 + 0.15, y1},
                            {-half, -half - 0.15, x1, -half + 0.15}, {-half, y1 - 0.15, x1, y1 + 0.15}};
    /* Where edge names and the numbers at the edges stand: bodies may hang over, text not. */
    const double far = 100;
    const sw_box names[] = {{-half - far, -half, -half - 0.5, y1}, {x1 + 0.5, -half, x1 + far, y1},
                            {-half - far, -half - far, x1 + far, -half - 0.5}, {-half - far, y1 + 0.5, x1 + far, y1 + far}};
    for (int i = 0; i < 4; i++) {
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, edges[i], SWI_EDGES, false});
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_TEXT, names[i], SWI_EDGES, false});
    }
}

static void fill_field(swi_figure *figure) {
    if (!swi_floor_start(&figure->field, figure->subject))
        return;
    add_leads(figure);
    add_cuts(figure);
    add_links(figure);
    swi_add_fault_rings(figure);
    swi_add_change(figure);
    if (figure->options.copper)
        return;
    add_bodies(figure);
    add_wishes(figure);
    add_edges(figure);
}

/* Bodies may hang over the edges; a little of it fits beside the names. */
static double hanging(double over, double before) {
    return fmax(before, over - 0.3);
}

static void measure_hang(swi_figure *figure) {
    double x1 = pitch * (figure->subject->plan->columns - 0.5), y1 = pitch * (figure->subject->plan->strips - 0.5);
    for (uint32_t i = 0; i < figure->subject->item_count && !figure->options.copper; i++) {
        const swi_item *item = &figure->subject->items[i];
        if (!item->stands || item->terminal)
            continue;
        figure->hang.x0 = hanging(-half - item->outline.x0, figure->hang.x0);
        figure->hang.x1 = hanging(item->outline.x1 - x1, figure->hang.x1);
        figure->hang.y0 = hanging(-half - item->outline.y0, figure->hang.y0);
        figure->hang.y1 = hanging(item->outline.y1 - y1, figure->hang.y1);
    }
}

/* Room that the names of wires take beyond the strip letters. */
static void measure_wires(swi_figure *figure) {
    measure_hang(figure);
    for (uint32_t i = 0; i < figure->subject->item_count; i++) {
        const swi_item *item = &figure->subject->items[i];
        int side = swi_wire_edge(figure->subject, item);
        double width = swi_text_width(SWI_SANS_BOLD, item->name) * 1.3 + 0.6;
        bool left = (side < 0) != figure->options.copper; /* turned like a page */
        double *wide = left ? &figure->left_wide : &figure->right_wide;
        if (side && width > *wide)
            *wide = width;
    }
}

/* mm from the board's edge to the outermost text at its sides (without names of wires,
 * which only the component side has), and above and below it. */
static const double beyond_names = 5.2, beyond_copper = 3.2, beyond_top = 2.9;

static double beyond(const swi_figure *figure, double wires) {
    return figure->options.copper ? beyond_copper : beyond_names + wires;
}

sw_box swi_figure_extent(const swi_subject *subject, bool copper) {
    swi_figure figure = {.subject = subject, .options = {.copper = copper}};
    measure_wires(&figure);
    const sw_box *hang = &figure.hang;
    return (sw_box){-half - beyond(&figure, figure.left_wide) - hang->x0, -half - beyond_top - hang->y0,
                    pitch * (subject->plan->columns - 0.5) + beyond(&figure, figure.right_wide) + hang->x1,
                    pitch * (subject->plan->strips - 0.5) + beyond_top + hang->y1};
}

static void draw_side(swi_figure *figure) {
    if (figure->options.copper)
        swi_draw_copper_side(figure);
    else
        swi_draw_component_side(figure);
    swi_draw_fault_rings(figure);
}

static void finish(swi_figure *figure) {
    figure->scene->failed |= figure->field.failed;
    swi_floor_end(&figure->field);
}

void swi_figure_into(swi_scene *scene, const swi_subject *subject, const swi_figure_options *options,
                     double x, double y, double scale, const sw_box *window, sw_diags *diags) {
    swi_figure figure = {.subject = subject, .scene = scene, .diags = diags, .options = *options};
    sw_box extent = swi_figure_extent(subject, options->copper);
    const char *prefix = scene->prefix;
    scene->prefix = options->prefix ? options->prefix : "";
    figure.x = -extent.x0;
    figure.y = -extent.y0;
    measure_wires(&figure);
    fill_field(&figure);
    swi_open(scene, &(swi_tags){.style = "figure", .x = x, .y = y, .scale = scale, .window = window});
    if (!figure.field.failed)
        draw_side(&figure);
    swi_close(scene);
    finish(&figure);
    scene->prefix = prefix;
}

/* Squares of paper that so many mm take. */
static int squares(double mm) {
    return (int)ceil(mm / pitch - 1e-9);
}

static int at_least(int value, int least) {
    return value < least ? least : value;
}

static const char *title_of(const swi_subject *subject, swi_scene *scene) {
    const char *title = subject->plan->title ? subject->plan->title : "";
    if (!*title && subject->circuit)
        title = subject->circuit->title;
    return *title ? swi_scene_text(scene, title) : "Stripboard plan";
}

static void describe(swi_scene *scene, const swi_subject *subject, sw_side side) {
    const sw_plan *plan = subject->plan;
    static const char *const names[] = {"both sides", "component side", "copper side"};
    scene->title = swi_scene_format(scene, "%s: %s", title_of(subject, scene), names[side]);
    scene->description = swi_scene_format(
        scene, "Stripboard plan, %s: %d strips by %d columns with %u part%s, %u link%s and %u cut%s.%s",
        names[side], plan->strips, plan->columns, (unsigned)plan->part_count, SWI_S(plan->part_count),
        (unsigned)plan->link_count, SWI_S(plan->link_count), (unsigned)plan->cut_count, SWI_S(plan->cut_count),
        side == SW_SIDE_COMPONENT ? "" : " The copper side is turned over like a page: its column 1 is "
                                         "at the right.");
}

/* Lays the sheet out in whole squares. */
static void lay_out(swi_figure *figure, int *high) {
    const sw_plan *plan = figure->subject->plan;
    int left = at_least(squares(beyond_names + figure->left_wide + figure->hang.x0 + 1), 4),
        right = at_least(squares(beyond_names + figure->right_wide + figure->hang.x1 + 1), 4);
    int above = at_least(squares(beyond_top + figure->hang.y0 + 1), 3),
        below = at_least(squares(beyond_top + figure->hang.y1 + 1), 3);
    int wide = at_least(left + plan->columns + right, 21);
    *high = at_least(above + plan->strips + below, at_least(squares(swi_legend_height(figure) + 1), 14));
    int spare_x = wide - left - plan->columns - right, spare_y = *high - above - plan->strips - below;
    figure->width = pitch * (wide + 13);
    figure->x = pitch * (1 + left + spare_x / 2 + 0.5);
    figure->y = pitch * (1 + above + spare_y / 2 + 0.5);
}

static double findings_room(const swi_figure *figure) {
    return pitch * squares(swi_findings_height(figure, figure->width - 2 * pitch));
}

static void measure(swi_figure *figure, int *high) {
    measure_wires(figure);
    lay_out(figure, high);
    figure->height = pitch * (*high + 7) + findings_room(figure);
}

/* Draws one side's sheet from the paper up. */
static void compose(swi_figure *figure) {
    int high;
    measure(figure, &high);
    double inner = figure->width - 2 * pitch, found = findings_room(figure), bottom = pitch * (high + 1);
    swi_draw_sheet(figure, bottom);
    draw_side(figure);
    swi_draw_legend(figure, figure->width - 12 * pitch, pitch, bottom);
    swi_draw_findings(figure, pitch, bottom, inner);
    swi_draw_title_block(figure, pitch, bottom + found, inner);
}

void swi_figure_sheet_size(swi_scene *scene, const swi_subject *subject, bool copper, double *width,
                           double *height) {
    swi_figure figure = {.subject = subject, .scene = scene, .options = {.copper = copper}};
    int high;
    measure(&figure, &high);
    *width = figure.width;
    *height = figure.height;
}

void swi_figure_sheet_into(swi_scene *scene, const swi_subject *subject, const swi_figure_options *options,
                           double x, double y, double scale, sw_diags *diags) {
    swi_figure figure = {.subject = subject, .scene = scene, .diags = diags, .options = *options};
    const char *prefix = scene->prefix;
    scene->prefix = options->prefix ? options->prefix : "";
    fill_field(&figure);
    swi_open(scene, &(swi_tags){.id = options->copper ? "copper-side" : "component-side", .x = x, .y = y,
                                .scale = scale});
    if (!figure.field.failed)
        compose(&figure);
    swi_close(scene);
    finish(&figure);
    scene->prefix = prefix;
}

/* One side below what the scene has so far. */
static void add_sheet(swi_scene *scene, const swi_subject *subject, bool copper, const char *prefix,
                      sw_diags *diags) {
    double width, height;
    swi_figure_sheet_size(scene, subject, copper, &width, &height);
    swi_figure_sheet_into(scene, subject, &(swi_figure_options){.copper = copper, .prefix = prefix}, 0,
                          scene->height, 1, diags);
    scene->width = fmax(scene->width, width);
    scene->height += height;
}

swi_scene *swi_figure_new(const swi_subject *subject, sw_side side, const char *prefix, sw_diags *diags) {
    swi_scene *scene = swi_scene_new(0, 0);
    if (!scene)
        return NULL;
    prefix = prefix ? prefix : "";
    if (side != SW_SIDE_COPPER)
        add_sheet(scene, subject, false, prefix, diags);
    if (side == SW_SIDE_BOTH)
        add_sheet(scene, subject, true, swi_scene_format(scene, "%scopper-", prefix), diags);
    else if (side == SW_SIDE_COPPER)
        add_sheet(scene, subject, true, prefix, diags);
    scene->prefix = prefix;
    describe(scene, subject, side);
    if (!scene->failed)
        return scene;
    swi_scene_free(scene);
    return NULL;
}
