/* src/layout/geometry.c: what is in what's way, in millimetres.
 *
 * The rules and figures are those of src/board/README.md, "Overlap".  They are
 * written here a second time on purpose: the check that judges plans shares no
 * code with the search that makes them.
 */
#include <math.h>
#include "model.h"

/* Leads give: so much overlap is forgiven (and a hair, for binary fractions). */
static const double forgiven = 0.25 + 1e-6;
/* Diameter of a lead and width of a wire. */
#define WIRE 0.8

static double least(double a, double b) {
    return a < b ? a : b;
}

static double depth_rect_rect(const swi_outline *a, const swi_outline *b, double x, double y) {
    double across = least(a->x1, b->x1 + x) - (a->x0 > b->x0 + x ? a->x0 : b->x0 + x);
    double down = least(a->y1, b->y1 + y) - (a->y0 > b->y0 + y ? a->y0 : b->y0 + y);
    return least(across, down);
}

/* Depth of a disc around cx, cy in a rectangle. */
static double depth_rect_disc(const swi_outline *rect, double cx, double cy, double radius) {
    double left = cx - rect->x0, right = rect->x1 - cx, above = cy - rect->y0, below = rect->y1 - cy;
    if (left >= 0 && right >= 0 && above >= 0 && below >= 0)
        return radius + least(least(left, right), least(above, below));
    double x = left < 0 ? -left : right < 0 ? -right : 0;
    double y = above < 0 ? -above : below < 0 ? -below : 0;
    return radius - sqrt(x * x + y * y);
}

bool swi_outlines_clash(const swi_outline *a, const swi_outline *b, double x, double y) {
    if (!a->disc && !b->disc)
        return depth_rect_rect(a, b, x, y) > forgiven;
    if (!a->disc)
        return depth_rect_disc(a, b->x0 + x, b->y0 + y, b->x1) > forgiven;
    if (!b->disc)
        return depth_rect_disc(b, a->x0 - x, a->y0 - y, a->x1) > forgiven;
    double dx = a->x0 - b->x0 - x, dy = a->y0 - b->y0 - y;
    return a->x1 + b->x1 - sqrt(dx * dx + dy * dy) > forgiven;
}

bool swi_outline_holds(const swi_outline *o, double x, double y) {
    double deep = 0.13; /* twice this is more than is forgiven */
    if (o->disc)
        return o->x1 - hypot(x - o->x0, y - o->y0) > deep;
    return x - o->x0 > deep && o->x1 - x > deep && y - o->y0 > deep && o->y1 - y > deep;
}

/* Whether the square of one pitch around a hole has more than a forgiven half in
 * common with an outline.  Two outlines that clash overlap by twice that, so they
 * share such a square. */
static bool touches(const swi_outline *o, int row, int col) {
    double half = SW_PITCH_MM / 2, give = 0.12;
    swi_outline square = {col * SW_PITCH_MM - half, row * SW_PITCH_MM - half,
                          col * SW_PITCH_MM + half, row * SW_PITCH_MM + half, false, false};
    if (o->disc)
        return depth_rect_disc(&square, o->x0, o->y0, o->x1) > give;
    return depth_rect_rect(o, &square, 0, 0) > give;
}

/* What an outline does to a link in column col at row: tried with a link from far
 * above to the row, from the row to far below, and past both rows of a gap. */
static unsigned link_flags(const swi_form *form, const swi_outline *o, int row, int col) {
    double x = col * SW_PITCH_MM, y = row * SW_PITCH_MM, far = 1e4;
    if (o->body && col >= form->under_first && col <= form->under_last)
        return 0;
    swi_outline above = {x - WIRE / 2, y - far, x + WIRE / 2, y, false, false};
    swi_outline below = {x - WIRE / 2, y, x + WIRE / 2, y + far, false, false};
    swi_outline above_next = above, end = {x, y, WIRE / 2, 0, true, false};
    above_next.y1 = y + SW_PITCH_MM;
    bool from_above = swi_outlines_clash(o, &above, 0, 0), from_below = swi_outlines_clash(o, &below, 0, 0);
    unsigned flags = 0;
    if (from_above && from_below)
        flags |= SWI_CELL_THROUGH;
    else if (from_below && !from_above && swi_outlines_clash(o, &above_next, 0, 0)) {
        swi_outline below_next = below;
        below_next.y0 = y + SW_PITCH_MM;
        if (!swi_outlines_clash(o, &below_next, 0, 0))
            flags |= SWI_CELL_GAP;
    }
    if (swi_outlines_clash(o, &end, 0, 0))
        flags |= SWI_CELL_END;
    return flags;
}

static void bounds(const swi_form *form, int *r0, int *c0, int *r1, int *c1) {
    double box[4] = {1e9, 1e9, -1e9, -1e9};
    for (uint32_t i = 0; i < form->outline_count; i++) {
        const swi_outline *o = &form->outlines[i];
        double x0 = o->disc ? o->x0 - o->x1 : o->x0, x1 = o->disc ? o->x0 + o->x1 : o->x1;
        double y0 = o->disc ? o->y0 - o->x1 : o->y0, y1 = o->disc ? o->y0 + o->x1 : o->y1;
        box[0] = least(box[0], y0);
        box[1] = least(box[1], x0);
        box[2] = box[2] > y1 ? box[2] : y1;
        box[3] = box[3] > x1 ? box[3] : x1;
    }
    *r0 = (int)floor(box[0] / SW_PITCH_MM) - 1;
    *c0 = (int)floor(box[1] / SW_PITCH_MM) - 1;
    *r1 = (int)ceil(box[2] / SW_PITCH_MM) + 1;
    *c1 = (int)ceil(box[3] / SW_PITCH_MM) + 1;
}

bool swi_form_cells(swi_form *form, swi_arena *arena) {
    int r0, c0, r1, c1;
    if (form->outline_count == 0)
        return true;
    bounds(form, &r0, &c0, &r1, &c1);
    size_t most = (size_t)(r1 - r0 + 1) * (size_t)(c1 - c0 + 1);
    swi_cell *cells = swi_arena_array(arena, most, sizeof *cells);
    if (!cells)
        return false;
    uint32_t count = 0;
    for (int row = r0; row <= r1; row++)
        for (int col = c0; col <= c1; col++) {
            unsigned flags = 0;
            bool touched = false;
            for (uint32_t i = 0; i < form->outline_count; i++) {
                touched |= touches(&form->outlines[i], row, col);
                flags |= link_flags(form, &form->outlines[i], row, col);
            }
            if (touched || flags)
                cells[count++] = (swi_cell){(int16_t)row, (int16_t)col, (uint8_t)flags};
        }
    form->cells = cells;
    form->cell_count = count;
    return true;
}
