/* src/papers/figure_fault.c: what the check found: a ring and a number at each place, and
 * the list of what the numbers mean. */
#include "figure.h"

#include <string.h>

static const uint32_t most_shown = 40;
static const double line_height = 2.1, size = 1.3, ring = 1.2; /* mm */

static uint32_t shown(const swi_figure *figure) {
    const sw_check_report *check = figure->subject->document->check;
    if (!check)
        return 0;
    return check->fault_count < most_shown ? check->fault_count : most_shown;
}

static const char *fault_text(swi_scene *scene, const sw_fault *fault) {
    const char *word = fault->severity == SW_ERROR ? "" : fault->severity == SW_WARNING ? "warning: "
                                                                                        : "note: ";
    const char *text = swi_scene_text(scene, fault->text);
    if (!fault->mend || !*fault->mend)
        return swi_scene_format(scene, "%s%s", word, text);
    size_t length = strlen(text);
    bool cut_off = length >= 3 && strcmp(text + length - 3, "…") == 0;
    return swi_scene_format(scene, "%s%s%s Mend: %s", word, text, cut_off ? "" : ".",
                            swi_scene_text(scene, fault->mend));
}

/* Puts prose in lines; returns how many.  scene NULL in `draw`: only counts. */
static int prose(swi_scene *scene, bool draw, const char *text, double x, double y, double width) {
    int lines = 0;
    while (*text) {
        size_t take = swi_text_break(SWI_SANS, text, width / size);
        if (!take)
            take = strlen(text);
        if (draw)
            swi_text_at(scene, "", SWI_SANS, size, SWI_START, x, y + lines * line_height,
                         swi_scene_format(scene, "%.*s", (int)take, text));
        lines++;
        for (text += take; *text == ' '; text++)
            ;
    }
    return lines ? lines : 1;
}

double swi_findings_height(const swi_figure *figure, double width) {
    const sw_check_report *check = figure->subject->document->check;
    int lines = 0;
    for (uint32_t i = 0; i < shown(figure); i++)
        lines += prose(figure->scene, false, fault_text(figure->scene, &check->faults[i]), 0, 0, width - 6);
    if (check && check->fault_count > most_shown)
        lines++;
    return lines ? lines * line_height + 5 : 0;
}

void swi_draw_findings(swi_figure *figure, double x, double y, double width) {
    const sw_check_report *check = figure->subject->document->check;
    swi_scene *scene = figure->scene;
    if (!shown(figure))
        return;
    swi_open_layer(scene, "findings", "What the check found");
    swi_rect(scene, "sheet", (sw_box){x, y, x + width, y + swi_findings_height(figure, width)}, 0);
    swi_line(scene, "frame", x, y, x + width, y);
    swi_text_at(scene, "", SWI_SANS_BOLD, 1.25, SWI_START, x + 1.3, y + 2.4, "FINDINGS OF THE CHECK");
    y += 4.9;
    for (uint32_t i = 0; i < shown(figure); i++) {
        swi_text_at(scene, "", SWI_SANS_BOLD, size, SWI_END, x + 3.6, y,
                     swi_scene_format(scene, "%u", (unsigned)i + 1));
        y += line_height * prose(scene, true, fault_text(scene, &check->faults[i]), x + 4.6, y, width - 6);
    }
    if (check->fault_count > most_shown)
        swi_text_at(scene, "", SWI_SANS, size, SWI_START, x + 4.6, y,
                     swi_scene_format(scene, "… and %u more", (unsigned)(check->fault_count - most_shown)));
    swi_close(scene);
}

/* The number stands at one of the ring's corners, on a white plate. */
static void draw_number(swi_figure *figure, uint32_t number, double x, double y) {
    static const double corners[][2] = {{1, -1}, {-1, -1}, {1, 1}, {-1, 1}, {1.6, 0}, {-1.6, 0},
                                        {0, -1.6}, {0, 1.6}, {2.2, -1}, {-2.2, -1}, {2.2, 1}, {-2.2, 1}};
    swi_words words = {swi_scene_format(figure->scene, "%u", (unsigned)number), "", SWI_SANS_BOLD, 1.4, false};
    double best = 1e9, bx = x, by = y;
    swi_floor_focus(&figure->field, (sw_box){x - 8, y - 8, x + 8, y + 8});
    for (int round = 0; round < 3; round++)
        for (size_t i = 0; i < sizeof corners / sizeof *corners; i++) {
            double grow = 1.27 + 0.7 * round;
            double tx = x + grow * corners[i][0], ty = y + grow * corners[i][1];
            double cost = 20 * round + (double)i +
                          swi_floor_cost(&figure->field, swi_words_box(&words, tx, ty), SWI_FINDINGS);
            if (cost < best) {
                best = cost;
                bx = tx;
                by = ty;
            }
        }
    if (best >= 1000) {
        figure->left_out++;
        return;
    }
    sw_box box = swi_words_box(&words, bx, by);
    swi_rect(figure->scene, "paper", swi_box_grown((sw_box){box.x0 + figure->x, box.y0 + figure->y,
                                                            box.x1 + figure->x, box.y1 + figure->y}, 0.15), 0.2);
    swi_put_words(figure->scene, "", &words, figure->x + bx, figure->y + by, 0);
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_TEXT, box, SW_NONE, false});
}

/* Where a finding is, in board mm; false when it is at no hole of the board. */
static bool place_of(const swi_figure *figure, const sw_fault *fault, double *x, double *y) {
    const sw_plan *plan = figure->subject->plan;
    sw_hole at = fault->at;
    if (at.strip < 0 || at.column < 0 || at.strip >= plan->strips || at.column >= plan->columns)
        return false;
    *x = swi_board_x(figure, at.column);
    *y = SW_PITCH_MM * at.strip;
    return true;
}

void swi_add_fault_rings(swi_figure *figure) {
    const double radius = ring + 0.15; /* with half the line */
    for (uint32_t i = 0; i < shown(figure); i++) {
        double x, y;
        if (place_of(figure, &figure->subject->document->check->faults[i], &x, &y))
            swi_floor_add(&figure->field,
                          (swi_thing){SWI_THING_RING, {x - radius, y - radius, x + radius, y + radius},
                                      SWI_FINDINGS, false});
    }
}

void swi_draw_fault_rings(swi_figure *figure) {
    if (!shown(figure))
        return;
    swi_open_layer(figure->scene, "finding-rings", "Where the check found something");
    for (uint32_t i = 0; i < shown(figure); i++) {
        double x, y;
        if (!place_of(figure, &figure->subject->document->check->faults[i], &x, &y))
            continue;
        swi_circle(figure->scene, "ringc", figure->x + x, figure->y + y, ring);
        swi_circle(figure->scene, "ring", figure->x + x, figure->y + y, ring);
        draw_number(figure, i + 1, x, y);
    }
    swi_close(figure->scene);
}
