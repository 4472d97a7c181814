/* src/board/rule_room.c: rule 3: nothing where something else is; and keep-outs. */
#include "check.h"

#include <stdlib.h>
#include <string.h>

typedef enum shape_kind { LEAD, WIRE, BODY } shape_kind;

typedef struct placed_shape {
    shape_kind kind;         /* of a link: LEAD its ends, WIRE itself */
    swi_shape shape;
    sw_hole hole;            /* where to point at */
} placed_shape;

/* A part or a link. */
typedef struct body_or_link {
    uint32_t part;           /* index; SW_NONE: a link */
    const sw_link *link;
    uint32_t first, count;   /* its shapes */
    sw_box bounds;
} body_or_link;

typedef struct crowd {
    body_or_link *things;
    uint32_t thing_count;
    placed_shape *shapes;
    uint32_t shape_count;
} crowd;

static void add_shape(crowd *room, body_or_link *thing, shape_kind kind, swi_shape shape,
                      sw_hole hole) {
    room->shapes[room->shape_count++] = (placed_shape){kind, shape, hole};
    sw_box *all = &thing->bounds;
    if (thing->count++ == 0) {
        *all = shape.box;
        return;
    }
    all->x0 = shape.box.x0 < all->x0 ? shape.box.x0 : all->x0;
    all->y0 = shape.box.y0 < all->y0 ? shape.box.y0 : all->y0;
    all->x1 = shape.box.x1 > all->x1 ? shape.box.x1 : all->x1;
    all->y1 = shape.box.y1 > all->y1 ? shape.box.y1 : all->y1;
}

static void add_part(const swi_check *check, crowd *room, uint32_t index) {
    const swi_part *part = &check->parts[index];
    body_or_link *thing = &room->things[room->thing_count++];
    *thing = (body_or_link){.part = index, .first = room->shape_count};
    for (uint32_t i = 0; i < part->plan->lead_count; i++) {
        sw_hole hole = check->plan->leads[part->plan->first_lead + i].hole;
        add_shape(room, thing, LEAD, swi_shape_lead(hole), hole);
    }
    if (!part->stance.fits)
        return;
    if (part->bendable)
        add_shape(room, thing, WIRE, part->wire, part->by_pin[0]);
    add_shape(room, thing, BODY, part->body, part->by_pin[0]);
}

static void add_link(crowd *room, const sw_link *link) {
    body_or_link *thing = &room->things[room->thing_count++];
    *thing = (body_or_link){.part = SW_NONE, .link = link, .first = room->shape_count};
    add_shape(room, thing, LEAD, swi_shape_lead(link->from), link->from);
    add_shape(room, thing, LEAD, swi_shape_lead(link->to), link->to);
    if (link->from.column == link->to.column)
        add_shape(room, thing, WIRE, swi_shape_wire(link->from, link->to), link->from);
}

static bool gather(const swi_check *check, crowd *room) {
    const sw_plan *plan = check->plan;
    size_t things = (size_t)plan->part_count + plan->link_count;
    size_t shapes = plan->lead_count + 2 * (size_t)plan->part_count +
                    3 * (size_t)plan->link_count;
    *room = (crowd){0};
    room->things = malloc((things + 1) * sizeof *room->things);
    room->shapes = malloc((shapes + 1) * sizeof *room->shapes);
    if (room->things == NULL || room->shapes == NULL)
        return false;
    for (uint32_t i = 0; i < plan->part_count; i++)
        add_part(check, room, i);
    for (uint32_t i = 0; i < plan->link_count; i++)
        add_link(room, &plan->links[i]);
    return true;
}

/* A flat link between the rows of a package that lets it pass beneath its body; a sleeved
 * one wherever the body stands clear of the board. */
static bool passes_beneath(const swi_check *check, const body_or_link *body, const body_or_link *link) {
    if (body->part == SW_NONE || link->part != SW_NONE ||
        link->link->from.column != link->link->to.column)
        return false;
    const swi_part *part = &check->parts[body->part];
    if (!part->package || part->package->under == SW_UNDER_NONE)
        return false;
    if (part->package->under == SW_UNDER_SLEEVED_LINK && link->link->sleeved)
        return true;
    if (part->package->form != SW_FORM_DIP)
        return false;
    sw_hole a = part->by_pin[0], b = part->by_pin[part->package->pin_count - 1];
    if (part->stance.turn % 180 == 0) {
        int column = link->link->from.column;
        return (a.column < column && column < b.column) ||
               (b.column < column && column < a.column);
    }
    int16_t top = a.strip < b.strip ? a.strip : b.strip;
    int16_t bottom = a.strip < b.strip ? b.strip : a.strip;
    sw_hole from = link->link->from, to = link->link->to;
    return from.strip > top && from.strip < bottom && to.strip > top && to.strip < bottom;
}

static bool share_hole(const crowd *room, const body_or_link *a, const body_or_link *b) {
    for (uint32_t i = 0; i < a->count; i++)
        for (uint32_t k = 0; k < b->count; k++) {
            const placed_shape *p = &room->shapes[a->first + i];
            const placed_shape *q = &room->shapes[b->first + k];
            if (p->kind == LEAD && q->kind == LEAD && swi_same_hole(p->hole, q->hole))
                return true;
        }
    return false;
}

/* How badly two kinds of shape collide: bodies before all, wires last. */
static int gravity(shape_kind a, shape_kind b) {
    return a == BODY && b == BODY ? 3 : a == BODY || b == BODY ? 2 : 1;
}

/* The gravest collision of two things: 0 none. */
static int collision(const swi_check *check, const crowd *room, const body_or_link *a, const body_or_link *b,
                     const placed_shape **in_a, const placed_shape **in_b) {
    int worst = 0;
    bool a_lets = passes_beneath(check, a, b), b_lets = passes_beneath(check, b, a);
    for (uint32_t i = 0; i < a->count; i++)
        for (uint32_t k = 0; k < b->count; k++) {
            const placed_shape *p = &room->shapes[a->first + i];
            const placed_shape *q = &room->shapes[b->first + k];
            if ((p->kind == BODY && a_lets) || (q->kind == BODY && b_lets) ||
                gravity(p->kind, q->kind) <= worst || !swi_collide(&p->shape, &q->shape))
                continue;
            worst = gravity(p->kind, q->kind);
            *in_a = p;
            *in_b = q;
        }
    return worst;
}

static const char *say_thing(swi_check *check, const body_or_link *thing) {
    if (thing->part != SW_NONE)
        return check->plan->parts[thing->part].ref;
    return swi_say(check, "the link %s-%s", swi_say_hole(check, thing->link->from),
                   swi_say_hole(check, thing->link->to));
}

static sw_span span_of(const swi_check *check, const body_or_link *thing) {
    return thing->part == SW_NONE ? thing->link->span : check->plan->parts[thing->part].span;
}

static const char *say_shape(swi_check *check, const body_or_link *thing, const placed_shape *shape) {
    const char *name = say_thing(check, thing);
    if (thing->part == SW_NONE)
        return shape->kind == WIRE ? name : swi_say(check, "the end of %s", name);
    return swi_say(check, shape->kind == LEAD ? "a lead of %s" : "the lead wire of %s", name);
}

static void report_collision(swi_check *check, const body_or_link *a, const body_or_link *b, int grave,
                             const placed_shape *p, const placed_shape *q) {
    if (p->kind != BODY && q->kind == BODY) { /* the body's owner first */
        const body_or_link *other = a;
        const placed_shape *shape = p;
        a = b;
        b = other;
        p = q;
        q = shape;
    }
    sw_fault fault = {.ref = a->part == SW_NONE ? "" : check->plan->parts[a->part].ref,
                      .at = q->hole, .to = p->hole};
    if (grave == 3)
        swi_fault(check, SW_D_BOARD_BODIES, fault, span_of(check, b),
                  "the bodies of %s and %s overlap near %s", say_thing(check, a),
                  say_thing(check, b), swi_say_hole(check, q->hole));
    else if (grave == 2)
        swi_fault(check, SW_D_BOARD_UNDER_BODY, fault, span_of(check, b),
                  "%s at %s is where the body of %s is", say_shape(check, b, q),
                  swi_say_hole(check, q->hole), say_thing(check, a));
    else
        swi_fault(check, SW_D_BOARD_CROSSING, fault, span_of(check, b),
                  "%s and %s are in each other's way near %s", say_shape(check, a, p),
                  say_shape(check, b, q), swi_say_hole(check, q->hole));
}

static bool near(const sw_box *a, const sw_box *b) {
    return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

static void check_pair(swi_check *check, const crowd *room, const body_or_link *a,
                       const body_or_link *b) {
    const placed_shape *p = NULL, *q = NULL;
    if (!near(&a->bounds, &b->bounds) || share_hole(room, a, b))
        return;
    int grave = collision(check, room, a, b, &p, &q);
    if (grave != 0)
        report_collision(check, a, b, grave, p, q);
}

/* Things by their left edge, then in the plan's order. */
static int compare_left(const void *a, const void *b) {
    const body_or_link *p = *(const body_or_link *const *)a;
    const body_or_link *q = *(const body_or_link *const *)b;
    if (p->bounds.x0 < q->bounds.x0 || p->bounds.x0 > q->bounds.x0)
        return p->bounds.x0 < q->bounds.x0 ? -1 : 1;
    return (p > q) - (p < q);
}

/* Only things that begin left of another's right edge can be in its way. */
static void check_pairs(swi_check *check, const crowd *room) {
    const body_or_link **sorted = malloc(((size_t)room->thing_count + 1) * sizeof *sorted);
    if (sorted == NULL) {
        check->failed = true;
        return;
    }
    for (uint32_t i = 0; i < room->thing_count; i++)
        sorted[i] = &room->things[i];
    if (room->thing_count > 1)
        qsort(sorted, room->thing_count, sizeof *sorted, compare_left);
    for (uint32_t i = 0; i < room->thing_count; i++)
        for (uint32_t k = i + 1;
             k < room->thing_count && sorted[k]->bounds.x0 < sorted[i]->bounds.x1; k++) {
            bool ordered = sorted[i] < sorted[k];
            check_pair(check, room, sorted[ordered ? i : k], sorted[ordered ? k : i]);
        }
    free(sorted);
}

static void check_keep_out(swi_check *check, const crowd *room, const sw_keep_out *keep_out) {
    swi_shape area = swi_shape_squares(keep_out->from, keep_out->to);
    for (uint32_t i = 0; i < room->thing_count; i++) {
        const body_or_link *thing = &room->things[i];
        for (uint32_t k = 0; k < thing->count; k++) {
            const placed_shape *shape = &room->shapes[thing->first + k];
            if (!swi_collide(&shape->shape, &area))
                continue;
            sw_fault fault = {.ref = thing->part == SW_NONE ? "" : say_thing(check, thing),
                              .at = shape->hole, .to = SWI_NO_HOLE};
            swi_fault(check, SW_D_BOARD_KEEP_OUT, fault, span_of(check, thing),
                      "%s is where the board is to be kept free, %s to %s%s%s%s",
                      say_thing(check, thing), swi_say_hole(check, keep_out->from),
                      swi_say_hole(check, keep_out->to), keep_out->why[0] ? " (" : "",
                      keep_out->why, keep_out->why[0] ? ")" : "");
            break;
        }
    }
}

static void check_slant(swi_check *check, const sw_link *link) {
    sw_fault fault = {.at = link->from, .to = link->to};
    if (swi_same_hole(link->from, link->to))
        swi_fault(check, SW_D_BOARD_LINK_SLANT, fault, link->span,
                  "the link at %s ends where it begins", swi_say_hole(check, link->from));
    else if (link->from.column != link->to.column)
        swi_fault(check, SW_D_BOARD_LINK_SLANT, fault, link->span,
                  "the link %s-%s runs from one column to another: a link stays in its column",
                  swi_say_hole(check, link->from), swi_say_hole(check, link->to));
}

void swi_rule_room(swi_check *check) {
    crowd room;
    for (uint32_t i = 0; i < check->plan->link_count; i++)
        check_slant(check, &check->plan->links[i]);
    if (gather(check, &room)) {
        check_pairs(check, &room);
        for (uint32_t i = 0; i < check->plan->keep_out_count; i++)
            check_keep_out(check, &room, &check->plan->keep_outs[i]);
    } else {
        check->failed = true;
    }
    free(room.things);
    free(room.shapes);
}
