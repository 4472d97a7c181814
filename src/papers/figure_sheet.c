/* src/papers/figure_sheet.c: what stands around the board: paper, edge names, legend,
 * title block. */
#include "figure.h"

#include "change.h"

#include <math.h>
#include <string.h>

static const double pitch = SW_PITCH_MM, half = SW_PITCH_MM / 2;

/* Squared paper in the part of the sheet that the board is in, lines midway between holes. */
void swi_draw_sheet(swi_figure *figure, double bottom) {
    swi_scene *scene = figure->scene;
    double right = figure->width - 12 * pitch, end = figure->width - pitch;
    swi_open_layer(scene, "paper", "");
    swi_rect(scene, "sheet", (sw_box){0, 0, figure->width, figure->height}, 0);
    sw_buf grid = SW_BUF_INIT;
    for (double x = 2 * pitch; x < right - 0.1; x += pitch) {
        swi_path_to(&grid, 'M', x, pitch);
        sw_buf_putc(&grid, 'V');
        swi_path_number(&grid, bottom);
    }
    for (double y = 2 * pitch; y < bottom - 0.1; y += pitch) {
        swi_path_to(&grid, 'M', pitch, y);
        sw_buf_putc(&grid, 'H');
        swi_path_number(&grid, right);
    }
    swi_path(scene, "grid", &grid);
    swi_rect(scene, "frame", (sw_box){pitch, pitch, end, figure->height - pitch}, 0);
    swi_close(scene);
}

/* ---- strip letters, hole numbers ---- */

static void draw_hole_number(swi_figure *figure, int column, double edge, int down) {
    double hang = down < 0 ? figure->hang.y0 : figure->hang.y1;
    double x = swi_figure_x(figure, column);
    bool fifth = (column + 1) % 5 == 0;
    double tick = fifth ? 0.9 : 0.45;
    swi_line(figure->scene, fifth ? "tick5" : "tick", x, edge, x, edge + down * tick);
    swi_words words = {swi_scene_format(figure->scene, "%d", column + 1), "",
                       fifth ? SWI_SANS_BOLD : SWI_SANS, fifth ? 1.55 : 1.2, false};
    swi_put_words(figure->scene, fifth ? "" : "g", &words, x, edge + down * (1.72 + hang), 0);
}

static void draw_strip_letter(swi_figure *figure, int strip, double edge, int side) {
    char name[8];
    sw_strip_write(strip, name);
    bool fifth = (strip + 1) % 5 == 0;
    swi_words words = {name, "", fifth ? SWI_SANS_BOLD : SWI_SANS, fifth ? 1.75 : 1.45, false};
    double off = figure->options.copper ? 1.6 : 3.9 + (side < 0 ? figure->hang.x0 : figure->hang.x1);
    swi_put_words(figure->scene, "", &words, edge + side * off, swi_figure_y(figure, strip), 0);
}

void swi_draw_edges(swi_figure *figure) {
    const sw_plan *plan = figure->subject->plan;
    swi_scene *scene = figure->scene;
    double left = figure->x - half, right = left + pitch * plan->columns, top = figure->y - half,
           bottom = top + pitch * plan->strips;
    swi_open_layer(scene, "edge-names", "Strip letters and hole numbers");
    for (int c = 0; c < plan->columns; c++) {
        draw_hole_number(figure, c, top, -1);
        draw_hole_number(figure, c, bottom, 1);
    }
    for (int s = 0; s < plan->strips; s++) {
        draw_strip_letter(figure, s, left, -1);
        draw_strip_letter(figure, s, right, 1);
    }
    if (!figure->options.copper) {
        swi_words node = {"node", "", SWI_SERIF_ITALIC, 1.15, false};
        swi_put_words(scene, "g", &node, left - 1.6 - figure->hang.x0, top - 1.72 - figure->hang.y0, 0);
        swi_put_words(scene, "g", &node, right + 1.6 + figure->hang.x1, top - 1.72 - figure->hang.y0, 0);
    }
    swi_close(scene);
}

static uint32_t count_items(const swi_subject *subject, bool terminal) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < subject->item_count; i++)
        count += subject->items[i].terminal == terminal;
    return count;
}

/* ---- legend ---- */

static const double sign_step = 2.2, wire_step = 2.0; /* mm from line to line */

typedef struct legend {
    swi_figure *figure;
    double x, y; /* middle of the next symbol */
} legend;

static void entry(legend *at, const char *text) {
    swi_text_at(at->figure->scene, "", SWI_SANS, 1.3, SWI_START, at->x + 3.7, at->y + 0.47, text);
    at->y += sign_step;
}

static void symbol_entry(legend *at, bool shown, const char *symbol, const char *text) {
    if (!shown)
        return;
    swi_use(at->figure->scene, symbol, at->x, at->y);
    entry(at, text);
}

static bool has_knife(const sw_plan *plan, bool knife) {
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if (plan->cuts[i].knife == knife)
            return true;
    return false;
}

static bool has_symbol(const swi_figure *figure, const char *symbol) {
    for (uint32_t i = 0; i < figure->subject->item_count; i++)
        for (uint32_t k = 0; k < figure->subject->items[i].part->lead_count; k++)
            if (strcmp(swi_lead_symbol(figure, &figure->subject->items[i], k), symbol) == 0)
                return true;
    return false;
}

typedef bool (*item_test)(const swi_item *item);

static bool any_item(const swi_subject *subject, item_test test) {
    for (uint32_t i = 0; i < subject->item_count; i++)
        if (subject->items[i].stands && test(&subject->items[i]))
            return true;
    return false;
}

static bool with_cathode(const swi_item *item) { return item->cathode >= 0; }
static bool with_plus(const swi_item *item) { return item->plus >= 0; }
static bool with_flat(const swi_item *item) { return strncmp(item->package->name, "TO-92", 5) == 0; }
static bool with_tab(const swi_item *item) {
    return strncmp(item->package->name, "TO-220", 6) == 0 || strncmp(item->package->name, "TO-126", 6) == 0;
}

static bool with_openings(const swi_item *item) {
    return item->package->face != SW_FACE_NONE && sw_package_takes_wires(item->package->name);
}
static bool with_cable(const swi_item *item) { return item->package->face != SW_FACE_NONE && swi_is_ic(item); }
static bool with_screw(const swi_item *item) {
    return item->package->face != SW_FACE_NONE && !with_openings(item) && !with_cable(item);
}

static bool any_unused_copper(const sw_copper *copper) {
    for (uint32_t i = 0; i < copper->segment_count; i++)
        if (!copper->segments[i].used)
            return true;
    return false;
}

static void segment_entries(legend *at) {
    swi_scene *scene = at->figure->scene;
    double x = at->x, y = at->y;
    swi_rect(scene, "band", (sw_box){x - 1.9, y - 0.75, x + 1.9, y + 0.75}, 0.75);
    swi_line(scene, "line", x - 1.1, y, x + 1.1, y);
    swi_use(scene, "#s-hole", x - 1.1, y);
    swi_use(scene, "#s-hole", x + 1.1, y);
    swi_words four = {"4", "", SWI_SERIF_ITALIC, 1.4, false};
    swi_put_words(scene, "", &four, x - 2.1, y, 0);
    swi_put_words(scene, "", &four, x + 2.1, y, 0);
    entry(at, "segment and its node");
    if (!any_unused_copper(at->figure->subject->copper))
        return;
    y = at->y;
    swi_line(scene, "idle", x - 1.1, y, x + 1.1, y);
    swi_use(scene, "#s-hole", x - 1.1, y);
    swi_use(scene, "#s-hole", x + 1.1, y);
    entry(at, "copper not used");
}

static void link_entry(legend *at) {
    swi_scene *scene = at->figure->scene;
    swi_line(scene, "lk", at->x - 1.6, at->y, at->x + 1.6, at->y);
    swi_use(scene, "#s-eye", at->x - 1.6, at->y);
    swi_use(scene, "#s-eye", at->x + 1.6, at->y);
    entry(at, "link, with its ends");
}

static void body_entries(legend *at) {
    const swi_subject *subject = at->figure->subject;
    swi_scene *scene = at->figure->scene;
    double x = at->x;
    if (any_item(subject, swi_is_ic)) {
        swi_line(scene, "hid", x - 1.8, at->y, x + 1.8, at->y);
        swi_circle(scene, "ghost", x, at->y, 0.4);
        entry(at, "strip beneath an IC");
    }
    if (any_item(subject, with_cathode)) {
        swi_line(scene, "wire", x - 1.8, at->y, x + 1.8, at->y);
        swi_line(scene, "bar", x - 0.7, at->y - 0.85, x - 0.7, at->y + 0.85);
        entry(at, "cathode: heavy bar");
    }
    symbol_entry(at, any_item(subject, with_plus), "#s-plus", "positive lead");
    if (any_item(subject, with_flat)) {
        sw_buf path = SW_BUF_INIT;
        swi_path_to(&path, 'M', x - 0.7, at->y - 0.85);
        swi_path_to(&path, 'L', x - 0.4, at->y - 0.85);
        swi_path_to(&path, 'A', 1.1, 0.85);
        sw_buf_puts(&path, " 0 0 1");
        swi_path_to(&path, ' ', x - 0.4, at->y + 0.85);
        swi_path_to(&path, 'L', x - 0.7, at->y + 0.85);
        sw_buf_putc(&path, 'Z');
        swi_path(scene, "body", &path);
        entry(at, "transistor's flat side");
    }
    if (any_item(subject, with_tab)) {
        swi_rect(scene, "body", (sw_box){x - 1.3, at->y - 0.8, x + 1.3, at->y + 0.8}, 0);
        swi_line(scene, "mark", x + 0.6, at->y - 0.8, x + 0.6, at->y + 0.8);
        entry(at, "metal tab: double line");
    }
    if (any_item(subject, with_screw)) {
        swi_rect(scene, "body", (sw_box){x - 1.1, at->y - 0.5, x + 1.1, at->y + 0.5}, 0);
        swi_line(scene, "mark", x, at->y - 0.5, x, at->y + 0.5);
        entry(at, "screw to adjust, from that side");
    }
    if (any_item(subject, with_openings)) {
        swi_rect(scene, "body", (sw_box){x - 1.3, at->y - 0.9, x + 1.3, at->y + 0.9}, 0);
        swi_rect(scene, "body", (sw_box){x - 1.3, at->y - 0.6, x - 0.6, at->y + 0.6}, 0);
        entry(at, "opening for a wire, from that side");
    }
    if (any_item(subject, with_cable)) {
        swi_rect(scene, "body", (sw_box){x - 1.3, at->y - 0.6, x + 1.3, at->y + 0.8}, 0);
        swi_rect(scene, "body", (sw_box){x - 0.7, at->y - 0.6, x + 0.7, at->y - 0.1}, 0);
        entry(at, "socket for a cable, at that side");
    }
}

static void component_entries(legend *at) {
    const swi_figure *figure = at->figure;
    const sw_plan *plan = figure->subject->plan;
    segment_entries(at);
    symbol_entry(at, has_knife(plan, false), "#s-cut", "cut, at the hole");
    symbol_entry(at, has_knife(plan, true), "#s-knife", "knife cut, between holes");
    if (plan->link_count)
        link_entry(at);
    symbol_entry(at, true, "#s-lead", "lead in its hole");
    symbol_entry(at, has_symbol(figure, "#s-pin1"), "#s-pin1", "pin 1");
    symbol_entry(at, has_symbol(figure, "#s-nc") || has_symbol(figure, "#s-nc1"), "#s-nc",
                 "pin that stays unconnected");
    symbol_entry(at, has_symbol(figure, "#s-term"), "#s-term", "terminal pin for a wire");
    body_entries(at);
}

static void copper_entries(legend *at) {
    const swi_figure *figure = at->figure;
    const sw_plan *plan = figure->subject->plan;
    swi_scene *scene = figure->scene;
    double x = at->x, y = at->y;
    swi_rect(scene, "cu", (sw_box){x - 1.9, y - 0.92, x + 1.9, y + 0.92}, 0);
    for (int i = -3; i <= 3; i++)
        swi_line(scene, "eng", x - 1.9, y + 0.23 * i, x + 1.9, y + 0.23 * i);
    entry(at, "copper strip");
    symbol_entry(at, has_knife(plan, false), "#s-cut", "cut, at the hole");
    symbol_entry(at, has_knife(plan, true), "#s-knife", "knife cut, between holes");
    symbol_entry(at, plan->link_count > 0, "#s-eye", "link end");
    symbol_entry(at, true, "#s-lead", "lead to solder");
    symbol_entry(at, has_symbol(figure, "#s-pin1-ring"), "#s-pin1", "pin 1");
    symbol_entry(at, true, "#s-hole", "hole not used");
}

static int change_count(const swi_figure *figure) {
    return figure->subject->change ? 2 + (swi_comes_off(figure->subject) > 0) : 0;
}

/* What is new and what is not, on a board that is built. */
static void change_entries(legend *at) {
    const swi_figure *figure = at->figure;
    swi_scene *scene = figure->scene;
    bool copper = figure->options.copper;
    if (!figure->subject->change)
        return;
    swi_open(scene, &(swi_tags){.style = "stays"});
    swi_use(scene, "#s-lead", at->x, at->y);
    swi_close(scene);
    entry(at, "pale: stands already");
    swi_open(scene, &(swi_tags){.style = "new"});
    if (!copper)
        swi_rect(scene, "body", (sw_box){at->x - 2.2, at->y - 0.6, at->x - 0.7, at->y + 0.6}, 0);
    swi_use(scene, "#s-cut", at->x + (copper ? 0 : 1.0), at->y);
    swi_circle(scene, "ring", at->x + (copper ? 0 : 1.0), at->y, 1.2);
    swi_close(scene);
    entry(at, copper ? "ringed: a new cut" : "heavy, or ringed: new");
    if (!swi_comes_off(figure->subject))
        return;
    swi_line(scene, "cross", at->x - 0.56, at->y - 0.56, at->x + 0.56, at->y + 0.56);
    swi_line(scene, "cross", at->x - 0.56, at->y + 0.56, at->x + 0.56, at->y - 0.56);
    entry(at, "comes off, or is bridged");
}

/* Signs that a legend shows, to know its height before it is drawn. */
static int sign_count(const swi_figure *figure) {
    const swi_subject *subject = figure->subject;
    const sw_plan *plan = subject->plan;
    if (figure->options.copper)
        return 5 + has_knife(plan, true) + has_symbol(figure, "#s-pin1-ring");
    return 2 + any_unused_copper(subject->copper) + has_knife(plan, false) + has_knife(plan, true) +
           (plan->link_count > 0) + has_symbol(figure, "#s-pin1") +
           (has_symbol(figure, "#s-nc") || has_symbol(figure, "#s-nc1")) + has_symbol(figure, "#s-term") +
           any_item(subject, swi_is_ic) + any_item(subject, with_cathode) + any_item(subject, with_plus) +
           any_item(subject, with_flat) + any_item(subject, with_tab) +
           any_item(subject, with_screw) + any_item(subject, with_openings) + any_item(subject, with_cable);
}

double swi_legend_height(const swi_figure *figure) {
    const sw_check_report *check = figure->subject->document->check;
    uint32_t wires = figure->options.copper ? 0 : count_items(figure->subject, true);
    double high = 5.6 + sign_step * (sign_count(figure) + change_count(figure) + (check && check->fault_count));
    return wires ? high + 4.5 + wire_step * ((wires + 1) / 2) : high;
}

static int compare_wires(const swi_item *a, const swi_item *b) {
    sw_hole x = a->leads[0].hole, y = b->leads[0].hole;
    return x.strip != y.strip ? x.strip - y.strip : x.column - y.column;
}

/* The next terminal pin in the order of holes after `last` (NULL: the first). */
static const swi_item *next_wire(const swi_subject *subject, const swi_item *last) {
    const swi_item *best = NULL;
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const swi_item *item = &subject->items[i];
        if (!item->terminal || !item->part->lead_count || item == last)
            continue;
        if (last && (compare_wires(item, last) < 0 || (compare_wires(item, last) == 0 && item < last)))
            continue;
        if (!best || compare_wires(item, best) < 0)
            best = item;
    }
    return best;
}

/* Where each wire leaves, in two columns. */
static void draw_wire_list(swi_figure *figure, double x, double y) {
    swi_scene *scene = figure->scene;
    uint32_t count = count_items(figure->subject, true), half_way = (count + 1) / 2, row = 0;
    if (!count || figure->options.copper)
        return;
    swi_text_at(scene, "", SWI_SANS_BOLD, 1.25, SWI_START, x + 1.5, y + 1.2, "WIRES");
    for (const swi_item *item = next_wire(figure->subject, NULL); item && row < count;
         item = next_wire(figure->subject, item), row++) {
        char hole[12];
        sw_hole_write(item->leads[0].hole, hole);
        double left = x + 1.5 + (row < half_way ? 0 : 13), at = y + 3.9 + wire_step * (row % half_way);
        swi_text_at(scene, "", SWI_SANS, 1.3, SWI_START, left, at, hole);
        const char *name = swi_scene_text(scene, item->name);
        double size = 1.3, room = 8.6;
        while (size > 0.9 && swi_text_width(SWI_SANS_BOLD, name) * size > room)
            size -= 0.05;
        size_t fit = swi_text_fit(SWI_SANS_BOLD, name, room / size);
        if (name[fit])
            name = swi_scene_format(scene, "%.*s…", (int)swi_text_fit(SWI_SANS_BOLD, name, room / size - 1), name);
        swi_text_at(scene, "", SWI_SANS_BOLD, size, SWI_START, left + 3.6, at, name);
    }
}

void swi_draw_legend(swi_figure *figure, double x, double y, double bottom) {
    swi_scene *scene = figure->scene;
    swi_open_layer(scene, "legend", "What the signs mean, and where wires leave");
    swi_line(scene, "frame", x, y, x, bottom);
    swi_text_at(scene, "", SWI_SANS_BOLD, 1.25, SWI_START, x + 1.5, y + 3.2, "SIGNS");
    legend at = {figure, x + 3.9, y + 5.6};
    if (figure->options.copper)
        copper_entries(&at);
    else
        component_entries(&at);
    change_entries(&at);
    const sw_check_report *check = figure->subject->document->check;
    if (check && check->fault_count) {
        swi_circle(scene, "ring", at.x, at.y, 0.85);
        entry(&at, "finding, see its number");
    }
    draw_wire_list(figure, x, at.y);
    swi_close(scene);
}

/* ---- title block ---- */

typedef struct cell {
    const char *heading, *entry;
} cell;

static const char *millimetres(swi_scene *scene, const sw_plan *plan) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_real(&text, pitch * plan->strips, 1);
    sw_buf_puts(&text, " × ");
    sw_buf_real(&text, pitch * plan->columns, 1);
    sw_buf_puts(&text, " mm");
    const char *kept = text.failed ? "" : swi_scene_text(scene, text.bytes);
    scene->failed |= text.failed;
    sw_buf_free(&text);
    return kept;
}

static double cell_width(const cell *one) {
    double heading = swi_text_width(SWI_SANS_BOLD, one->heading) * 1.0,
           text = swi_text_width(SWI_SANS, one->entry) * 1.4;
    return fmax(heading, text) + 2.4;
}

/* A bar of 20 mm with a tick each 5. */
static void draw_scale(swi_scene *scene, double x, double y) {
    swi_text_at(scene, "g", SWI_SANS_BOLD, 1.0, SWI_START, x, y + 2.1, "SCALE IN MM");
    double bar = y + 3.5;
    for (int i = 0; i < 4; i++)
        swi_rect(scene, i % 2 ? "open" : "ink", (sw_box){x + 1 + 5 * i, bar, x + 6 + 5 * i, bar + 0.6}, 0);
    for (int i = 0; i <= 4; i++)
        swi_text_at(scene, "", SWI_SANS, 1.1, SWI_MIDDLE, x + 1 + 5 * i, bar + 2.0,
                     swi_scene_format(scene, "%d", 5 * i));
}

static void draw_cells(swi_figure *figure, double x, double y, double width) {
    const swi_subject *subject = figure->subject;
    const sw_plan *plan = subject->plan;
    const sw_document *document = subject->document;
    swi_scene *scene = figure->scene;
    const cell cells[] = {
        {"BOARD", swi_scene_format(scene, "%d strips × %d columns", plan->strips, plan->columns)},
        {"SIZE", millimetres(scene, plan)},
        {"PARTS", swi_scene_format(scene, "%u", (unsigned)count_items(subject, false))},
        {"NODES", swi_scene_format(scene, "%u", (unsigned)subject->node_count)},
        {"LINKS", swi_scene_format(scene, "%u", (unsigned)plan->link_count)},
        {"CUTS", swi_scene_format(scene, "%u", (unsigned)plan->cut_count)},
        {"WIRES", swi_scene_format(scene, "%u", (unsigned)count_items(subject, true))},
        {"REV.", swi_scene_text(scene, document->revision)},
        {"DATE", swi_scene_text(scene, document->date)},
    };
    double right = x + width, scale = 24.5;
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++) {
        double wide = cell_width(&cells[i]);
        if (!*cells[i].entry || strcmp(cells[i].entry, "0") == 0 || x + wide > right - scale)
            continue;
        swi_text_at(scene, "g", SWI_SANS_BOLD, 1.0, SWI_START, x + 1.2, y + 2.1, cells[i].heading);
        swi_text_at(scene, "", SWI_SANS, 1.4, SWI_START, x + 1.2, y + 4.9, cells[i].entry);
        x += wide;
        swi_line(scene, "rule", x, y, x, y + 5 * pitch - 5.84);
    }
    draw_scale(scene, x + 1.2, y);
}

/* As large as fits, cut with … when even small text is too long. */
static void put_fitted(swi_scene *scene, const char *style, swi_face face, double size, double least,
                       double x, double y, double width, const char *text) {
    while (size > least && swi_text_width(face, text) * size > width)
        size -= 0.1;
    size_t fit = swi_text_fit(face, text, width / size);
    if (text[fit]) {
        fit = swi_text_fit(face, text, width / size - 1);
        text = swi_scene_format(scene, "%.*s…", (int)fit, text);
    }
    swi_text_at(scene, style, face, size, SWI_START, x, y, text);
}

void swi_draw_title_block(swi_figure *figure, double x, double y, double width) {
    const swi_subject *subject = figure->subject;
    swi_scene *scene = figure->scene;
    const char *side = figure->options.copper ? "COPPER SIDE" : "COMPONENT SIDE";
    const char *hint = figure->options.copper ? "turned over like a page" : "hole A1 is at the top left";
    const char *title = subject->plan->title && *subject->plan->title ? subject->plan->title
                      : subject->circuit ? subject->circuit->title : "";
    const char *file = subject->plan->circuit_file ? subject->plan->circuit_file : "";
    swi_open_layer(scene, "title-block", "Title block");
    swi_rect(scene, "sheet", (sw_box){x, y, x + width, y + 5 * pitch}, 0);
    swi_line(scene, "frame", x, y, x + width, y);
    put_fitted(scene, "", SWI_SERIF, 2.9, 1.8, x + 1.3, y + 3.1, width - 25,
               swi_scene_text(scene, *title ? title : "Stripboard plan"));
    if (*file)
        put_fitted(scene, "g", SWI_SANS, 1.35, 1.0, x + 1.3, y + 5.05, width - 25,
                   swi_scene_format(scene, "after %s", swi_scene_text(scene, file)));
    swi_text_at(scene, "", SWI_SANS_BOLD, 1.7, SWI_END, x + width - 1.3, y + 2.7, side);
    swi_text_at(scene, "g", SWI_SANS, 1.35, SWI_END, x + width - 1.3, y + 5.05, hint);
    swi_line(scene, "rule", x, y + 5.84, x + width, y + 5.84);
    draw_cells(figure, x, y + 5.84, width);
    swi_rect(scene, "frame", (sw_box){x, pitch, x + width, y + 5 * pitch}, 0);
    swi_close(scene);
}
