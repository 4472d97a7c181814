/* formats/sheet/overview.c: the one sheet that most people use. */
#include "formats/sheet/flow.h"
#include "formats/sheet/pages.h"

#include <math.h>

static const double label = 5.5, gap = 3; /* mm above a drawing; below it */

static double round_down(double scale) {
    return floor(scale * 20 + 1e-9) / 20;
}

/* Twice and a half at most; smaller so that the lists have a good third of the page, and
 * smaller than that only when the board needs all of it. */
static double choose_scale(const swi_sheet *sheet, double top, sw_box a, sw_box b) {
    double wide = fmax(a.x1 - a.x0, b.x1 - b.x0), high = (a.y1 - a.y0) + (b.y1 - b.y0);
    double room_x = sheet->width - 2 * SWI_SHEET_MARGIN;
    double room_y = sheet->height - SWI_SHEET_MARGIN - 6 - top - 2 * (label + gap) - 8;
    double scale = fmin(2.5, fmin(room_x / wide, 0.62 * room_y / high));
    if (scale < 1.25)
        scale = fmin(1.25, fmin(room_x / wide, room_y / high));
    return round_down(scale);
}

static void draw_side(swi_sheet *sheet, swi_scene *scene, bool copper, double scale) {
    sw_box extent = swi_figure_extent(sheet->subject, copper);
    double x = (sheet->width - scale * (extent.x1 - extent.x0)) / 2;
    const char *side = copper ? "COPPER SIDE, turned over like a page" : "COMPONENT SIDE";
    swi_text_at(scene, "", SWI_SANS_BOLD, 2.8, SWI_START, SWI_SHEET_MARGIN, sheet->y + 3, side);
    swi_text_at(scene, "g", SWI_SANS, 2.4, SWI_END, sheet->width - SWI_SHEET_MARGIN, sheet->y + 3,
                 swi_scene_format(scene, "scale %s%s", swi_sheet_scale_text(scene, scale),
                                  scale < 1 ? ", smaller than the board" : ""));
    swi_figure_into(scene, sheet->subject, &(swi_figure_options){.copper = copper, .prefix = copper ? "copper-" : ""},
                    x, sheet->y + label, scale, NULL, copper ? NULL : sheet->diags);
    sheet->y += label + scale * (extent.y1 - extent.y0) + gap;
}

/* The signs in a line. */
static void draw_key(swi_sheet *sheet, swi_scene *scene) {
    static const struct { const char *symbol, *text; } signs[] = {
        {"#s-cut", "cut"}, {"#s-eye", "link end"}, {"#s-lead", "lead"}, {"#s-pin1", "pin 1"},
        {"#s-nc", "pin left unconnected"}, {"#s-term", "terminal pin for a wire"}, {"#s-plus", "positive lead"}};
    double x = SWI_SHEET_MARGIN + 1.5, y = sheet->y + 2;
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        swi_open(scene, &(swi_tags){.style = "key", .x = x, .y = y, .scale = 1.7});
        swi_use(scene, signs[i].symbol, 0, 0);
        swi_close(scene);
        swi_text_at(scene, "", SWI_SANS, 2.2, SWI_START, x + 2.4, y + 0.8, signs[i].text);
        x += 2.4 + swi_text_width(SWI_SANS, signs[i].text) * 2.2 + 5;
    }
    swi_text_at(scene, "", SWI_SERIF_ITALIC, 2.6, SWI_START, x - 1, y + 0.8, "4");
    swi_text_at(scene, "", SWI_SANS, 2.2, SWI_START, x + 1.2, y + 0.8, "node");
    sheet->y += 6;
}

static sw_box rest_of(const swi_sheet *sheet) {
    return (sw_box){SWI_SHEET_MARGIN, sheet->y, sheet->width - SWI_SHEET_MARGIN,
                    sheet->height - SWI_SHEET_MARGIN - 6};
}

void swi_sheet_overview(swi_sheet *sheet) {
    swi_scene *scene = swi_sheet_page(sheet, false, "cuts, links and nodes to work from");
    if (!scene)
        return;
    sw_box component = swi_figure_extent(sheet->subject, false), copper = swi_figure_extent(sheet->subject, true);
    double scale = choose_scale(sheet, sheet->y, component, copper);
    draw_side(sheet, scene, false, scale);
    draw_side(sheet, scene, true, scale);
    draw_key(sheet, scene);
    swi_flow flow;
    if (!swi_flow_start(&flow)) {
        sheet->failed = true;
        return;
    }
    const int columns = 3;
    double wide = (sheet->width - 2 * SWI_SHEET_MARGIN + 5) / columns - 5;
    swi_flow_cuts(&flow, sheet->subject, sheet->work);
    swi_flow_links(&flow, sheet->subject, sheet->work);
    swi_flow_wires(&flow, sheet->subject, sheet->work);
    swi_flow_nodes(&flow, sheet->subject, wide);
    if (sheet->height - sheet->y > 45)
        swi_flow_put(&flow, scene, rest_of(sheet), columns);
    while (flow.next < flow.count && !flow.failed && !sheet->failed) {
        size_t before = flow.next;
        scene = swi_sheet_page(sheet, false, "cuts, links and nodes, continued");
        if (!scene)
            break;
        swi_flow_put(&flow, scene, rest_of(sheet), columns);
        if (flow.next == before) /* no line fits: cannot be, but never loop */
            break;
    }
    sheet->failed |= flow.failed;
    swi_flow_end(&flow);
}
