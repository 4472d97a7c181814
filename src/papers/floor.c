/* src/papers/floor.c: what it costs to put text somewhere. */
#include "floor.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double cost_solid = 1000, cost_outline = 400, cost_body = 40, cost_roomy = 12, cost_name = 65,
                    cost_hole = 45, cost_strip = 6, cost_wish = 90;
static const double air = 0.12; /* mm between text and what it keeps clear of */

bool swi_floor_start(swi_floor *field, const swi_subject *subject) {
    *field = (swi_floor){.subject = subject};
    size_t holes = (size_t)subject->plan->strips * (size_t)subject->plan->columns;
    field->hidden = calloc(holes + 1, 1);
    field->taken = calloc(holes + 1, 1);
    field->failed = !field->hidden || !field->taken;
    return !field->failed;
}

void swi_floor_end(swi_floor *field) {
    free(field->things);
    free(field->near);
    free(field->hidden);
    free(field->taken);
}

sw_box swi_box_grown(sw_box box, double by) {
    return (sw_box){box.x0 - by, box.y0 - by, box.x1 + by, box.y1 + by};
}

bool swi_box_within(sw_box a, sw_box b) {
    return a.x0 >= b.x0 && a.y0 >= b.y0 && a.x1 <= b.x1 && a.y1 <= b.y1;
}

static bool meet(sw_box a, sw_box b) {
    return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

static double square(double x) {
    return x * x;
}

/* Square of the distance from a point to the nearest or farthest point of a box. */
static double nearest(sw_box box, double x, double y) {
    return square(fmax(fmax(box.x0 - x, x - box.x1), 0)) +
           square(fmax(fmax(box.y0 - y, y - box.y1), 0));
}

static double farthest(sw_box box, double x, double y) {
    return square(fmax(fabs(box.x0 - x), fabs(box.x1 - x))) +
           square(fmax(fabs(box.y0 - y), fabs(box.y1 - y)));
}

static void disc_of(sw_box box, double *x, double *y, double *r) {
    *x = (box.x0 + box.x1) / 2;
    *y = (box.y0 + box.y1) / 2;
    *r = (box.x1 - box.x0) / 2;
}

bool swi_box_within_disc(sw_box inner, sw_box outer) {
    double x, y, r;
    disc_of(outer, &x, &y, &r);
    return farthest(inner, x, y) <= r * r;
}

static void notice(swi_floor *field, size_t index) {
    if (!meet(field->things[index].box, field->focus))
        return;
    if (SWI_GROW(field->near, field->near_room, field->near_count + 1))
        field->near[field->near_count++] = index;
    else
        field->failed = true;
}

void swi_floor_add(swi_floor *field, swi_thing thing) {
    if (!SWI_GROW(field->things, field->room, field->count + 1)) {
        field->failed = true;
        return;
    }
    field->things[field->count] = thing;
    notice(field, field->count++);
}

void swi_floor_drop(swi_floor *field) {
    if (!field->count)
        return;
    field->count--;
    if (field->near_count && field->near[field->near_count - 1] == field->count)
        field->near_count--;
}

void swi_floor_focus(swi_floor *field, sw_box box) {
    field->focus = box;
    field->near_count = 0;
    for (size_t i = 0; i < field->count; i++)
        notice(field, i);
}

/* Crossing an outline, or being inside a body that is another's. */
static double body_cost(const swi_thing *thing, sw_box box, uint32_t owner) {
    bool round = thing->kind == SWI_THING_ROUND, outside, inside;
    sw_box grown = swi_box_grown(thing->box, air), shrunk = swi_box_grown(thing->box, -0.2);
    if (round) {
        double x, y, r;
        disc_of(thing->box, &x, &y, &r);
        outside = nearest(box, x, y) >= square(r + air);
        inside = swi_box_within_disc(box, shrunk);
    } else {
        outside = !meet(box, grown);
        inside = swi_box_within(box, shrunk);
    }
    if (outside)
        return 0;
    double cost = inside ? 0 : cost_outline;
    if (thing->owner == owner)
        return cost;
    return cost + (owner != SW_NONE ? cost_name : thing->roomy ? cost_roomy : cost_body);
}

static double thing_cost(const swi_thing *thing, sw_box box, uint32_t owner) {
    double x, y, r;
    switch (thing->kind) {
    case SWI_THING_RING:
        if (owner == SWI_FINDINGS)
            return 0;
        /* fall through */
    case SWI_THING_DISC:
        disc_of(thing->box, &x, &y, &r);
        return nearest(box, x, y) < square(r + air / 2) ? cost_solid : 0;
    case SWI_THING_TEXT:
        return meet(box, swi_box_grown(thing->box, 0.2)) ? cost_solid : 0;
    case SWI_THING_BAR:
        return meet(box, swi_box_grown(thing->box, air)) ? cost_solid : 0;
    case SWI_THING_LINE:
        return meet(box, swi_box_grown(thing->box, air)) ? cost_outline : 0;
    case SWI_THING_WISH:
        return thing->owner != owner && meet(box, thing->box) ? cost_wish : 0;
    default:
        return body_cost(thing, box, owner);
    }
}

static int clamp(double value, int most) {
    return value < 0 ? 0 : value > most ? most : (int)value;
}

/* Holes that are still to be seen, and the lines of the strips. */
static double board_cost(const swi_floor *field, sw_box box) {
    const sw_plan *plan = field->subject->plan;
    const double pitch = SW_PITCH_MM, radius = 0.44 + 0.06;
    if (!plan->strips || !plan->columns)
        return 0;
    int s0 = clamp(ceil((box.y0 - radius) / pitch), plan->strips),
        s1 = clamp(1 + (box.y1 + radius) / pitch, plan->strips),
        c0 = clamp(ceil((box.x0 - radius) / pitch), plan->columns),
        c1 = clamp(1 + (box.x1 + radius) / pitch, plan->columns);
    double cost = 0;
    for (int s = s0; s < s1; s++) {
        bool shown = c0 >= c1; /* the line between two holes */
        for (int c = c0; c < c1; c++) {
            size_t at = (size_t)s * (size_t)plan->columns + (size_t)c;
            if (field->hidden[at])
                continue;
            shown = true;
            if (!field->taken[at] && nearest(box, c * pitch, s * pitch) < square(radius))
                cost += cost_hole;
        }
        if (shown && box.y0 < s * pitch + 0.1 && box.y1 > s * pitch - 0.1)
            cost += cost_strip;
    }
    return cost;
}

/* Within the owner's own body, through which nothing shows: ICs are drawn open. */
static bool is_in_own(const swi_floor *field, sw_box box, uint32_t owner) {
    for (size_t i = 0; i < field->near_count && owner < SWI_EDGES; i++) {
        const swi_thing *thing = &field->things[field->near[i]];
        if (thing->owner != owner || thing->roomy)
            continue;
        if ((thing->kind == SWI_THING_BODY && swi_box_within(box, thing->box)) ||
            (thing->kind == SWI_THING_ROUND && swi_box_within_disc(box, thing->box)))
            return true;
    }
    return false;
}

double swi_floor_cost(const swi_floor *field, sw_box box, uint32_t owner) {
    double cost = board_cost(field, box);
    bool covered = is_in_own(field, box, owner);
    for (size_t i = 0; i < field->near_count && cost < 4 * cost_solid; i++) {
        const swi_thing *thing = &field->things[field->near[i]];
        if (!covered || thing->owner != SWI_EDGES)
            cost += thing_cost(thing, box, owner);
    }
    return cost;
}
