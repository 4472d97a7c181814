/* src/board/geometry.c: depth of overlap of rectangles and discs. */
#include "geometry.h"

#include <math.h>

static double x_of(sw_hole hole) {
    return hole.column * SW_PITCH_MM;
}

static double y_of(sw_hole hole) {
    return hole.strip * SW_PITCH_MM;
}

swi_shape swi_shape_lead(sw_hole hole) {
    double r = SWI_WIRE_MM / 2, x = x_of(hole), y = y_of(hole);
    return (swi_shape){true, {x - r, y - r, x + r, y + r}};
}

/* The rectangle spanned by two holes, widened across by `x` and `y` a side. */
static swi_shape spanned(sw_hole a, sw_hole b, double x, double y) {
    return (swi_shape){false,
                       {fmin(x_of(a), x_of(b)) - x, fmin(y_of(a), y_of(b)) - y,
                        fmax(x_of(a), x_of(b)) + x, fmax(y_of(a), y_of(b)) + y}};
}

swi_shape swi_shape_wire(sw_hole from, sw_hole to) {
    bool along = from.strip == to.strip;
    return spanned(from, to, along ? 0 : SWI_WIRE_MM / 2, along ? SWI_WIRE_MM / 2 : 0);
}

swi_shape swi_shape_squares(sw_hole from, sw_hole to) {
    return spanned(from, to, SW_PITCH_MM / 2, SW_PITCH_MM / 2);
}

swi_shape swi_shape_body(const sw_package *package, int turn, unsigned span, sw_hole first) {
    sw_box box = sw_package_outline(package, (unsigned)turn, span);
    double x = x_of(first), y = y_of(first);
    return (swi_shape){package->shape == SW_SHAPE_ROUND,
                       {x + box.x0, y + box.y0, x + box.x1, y + box.y1}};
}

swi_shape swi_shape_front(const sw_package *package, int turn, unsigned span, sw_hole first) {
    sw_box box = sw_package_front(package, (unsigned)turn, span);
    double x = x_of(first), y = y_of(first);
    return (swi_shape){false, {x + box.x0, y + box.y0, x + box.x1, y + box.y1}};
}

static double least(double a, double b) {
    return a < b ? a : b;
}

static double rectangles(const sw_box *a, const sw_box *b) {
    double x = fmin(a->x1, b->x1) - fmax(a->x0, b->x0);
    double y = fmin(a->y1, b->y1) - fmax(a->y0, b->y0);
    return least(x, y);
}

static double radius(const sw_box *disc) {
    return (disc->x1 - disc->x0) / 2;
}

static double discs(const sw_box *a, const sw_box *b) {
    double x = (a->x0 + a->x1 - b->x0 - b->x1) / 2;
    double y = (a->y0 + a->y1 - b->y0 - b->y1) / 2;
    return radius(a) + radius(b) - sqrt(x * x + y * y);
}

static double rectangle_disc(const sw_box *rect, const sw_box *disc) {
    double x = (disc->x0 + disc->x1) / 2, y = (disc->y0 + disc->y1) / 2;
    double inside = least(least(x - rect->x0, rect->x1 - x), least(y - rect->y0, rect->y1 - y));
    if (inside >= 0)
        return radius(disc) + inside;
    double dx = fmax(0, fmax(rect->x0 - x, x - rect->x1));
    double dy = fmax(0, fmax(rect->y0 - y, y - rect->y1));
    return radius(disc) - sqrt(dx * dx + dy * dy);
}

double swi_overlap(const swi_shape *a, const swi_shape *b) {
    if (a->round)
        return b->round ? discs(&a->box, &b->box) : rectangle_disc(&b->box, &a->box);
    return b->round ? rectangle_disc(&a->box, &b->box) : rectangles(&a->box, &b->box);
}

bool swi_collide(const swi_shape *a, const swi_shape *b) {
    return swi_overlap(a, b) > SWI_FORGIVEN_MM;
}

double swi_to_edge(const sw_plan *plan, const sw_box *body, sw_face side) {
    double first = (plan->margin - 0.5) * SW_PITCH_MM, last = -(plan->margin + 0.5) * SW_PITCH_MM;
    switch (side) {
    case SW_FACE_LEFT: return body->x0 - first;
    case SW_FACE_UP: return body->y0 - first;
    case SW_FACE_RIGHT: return last + plan->columns * SW_PITCH_MM - body->x1;
    case SW_FACE_DOWN: return last + plan->strips * SW_PITCH_MM - body->y1;
    case SW_FACE_NONE: break;
    }
    return 0;
}
