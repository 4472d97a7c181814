/* src/papers/figure_change.c: a change of a board that is built: what stands already is pale,
 * what is new heavy, and what comes off is dashed with a cross at each joint.
 */
#include "figure.h"

#include "base/text.h"
#include "change.h"

#include <math.h>

static const double arm = 0.8, ring = 1.2; /* mm: of a cross; of the ring around a new cut */

const char *swi_change_style(const swi_figure *figure, const char *style, bool is_new) {
    if (!figure->subject->change)
        return style;
    return swi_scene_format(figure->scene, "%s %s", style, is_new ? "new" : "stays");
}

bool swi_open_pale(swi_figure *figure, uint32_t item) {
    if (swi_part_changes(figure->subject, item) != SWI_PART_STAYS)
        return false;
    swi_open(figure->scene, &(swi_tags){.style = "stays"});
    return true;
}

bool swi_rings_cut(const swi_figure *figure, uint32_t cut) {
    return figure->subject->change && figure->subject->change->cuts[cut];
}

void swi_draw_cut_ring(swi_figure *figure, uint32_t index) {
    const sw_cut *cut = &figure->subject->plan->cuts[index];
    if (swi_rings_cut(figure, index))
        swi_circle(figure->scene, "ring", swi_figure_x(figure, cut->hole.column + (cut->knife ? 0.5 : 0)),
                   swi_figure_y(figure, cut->hole.strip), ring);
}

/* Whether another one comes into the very same holes: then only that is drawn. */
static bool in_place(const swi_figure *figure, const swi_off *off) {
    if (off->now == SW_NONE)
        return false;
    const swi_item *was = off->item, *is = &figure->subject->items[off->now];
    if (was->part->lead_count != is->part->lead_count)
        return false;
    for (uint32_t i = 0; i < was->part->lead_count; i++)
        if (was->leads[i].hole.strip != is->leads[i].hole.strip || was->leads[i].hole.column != is->leads[i].hole.column)
            return false;
    return true;
}

/* One of the three, that comes off. */
typedef struct gone {
    unsigned number;        /* of its step (steps_change.c) */
    const swi_item *item;
    const sw_link *link;
    const sw_cut *cut;      /* to be bridged */
} gone;

static uint32_t joint_count(const gone *one) {
    return one->item ? one->item->part->lead_count : one->link ? 2 : 1;
}

static sw_hole joint(const gone *one, uint32_t i) {
    if (one->item)
        return one->item->leads[i].hole;
    return one->link ? (i ? one->link->to : one->link->from) : one->cut->hole;
}

static void for_all(swi_figure *figure, void (*each)(swi_figure *figure, const gone *one)) {
    const swi_change *change = figure->subject->change;
    unsigned number = 1; /* the first step is the supply's */
    if (!change)
        return;
    const sw_plan_difference *d = change->difference;
    for (uint32_t i = 0; i < change->off_count; i++) {
        number++;
        if (!in_place(figure, &change->off[i]))
            each(figure, &(gone){.number = number, .item = change->off[i].item});
    }
    for (uint32_t i = 0; i < d->links_gone; i++)
        each(figure, &(gone){.number = ++number, .link = &d->gone_links[i]});
    for (uint32_t i = 0; i < d->cuts_gone; i++)
        each(figure, &(gone){.number = ++number, .cut = &d->gone_cuts[i]});
}

static void add_one(swi_figure *figure, const gone *one) {
    for (uint32_t i = 0; i < joint_count(one); i++) {
        double x = swi_board_x(figure, joint(one, i).column), y = SW_PITCH_MM * joint(one, i).strip;
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_DISC, {x - arm, y - arm, x + arm, y + arm}, SW_NONE, false});
    }
}

void swi_add_change(swi_figure *figure) {
    for_all(figure, add_one);
    for (uint32_t i = 0; i < figure->subject->plan->cut_count; i++)
        if (swi_rings_cut(figure, i)) {
            const sw_cut *cut = &figure->subject->plan->cuts[i];
            double x = swi_board_x(figure, cut->hole.column + (cut->knife ? 0.5 : 0)), y = SW_PITCH_MM * cut->hole.strip,
                   r = ring + 0.15;
            swi_floor_add(&figure->field, (swi_thing){SWI_THING_RING, {x - r, y - r, x + r, y + r}, SW_NONE, false});
        }
}

static void draw_cross(swi_figure *figure, sw_hole hole) {
    double x = swi_figure_x(figure, hole.column), y = swi_figure_y(figure, hole.strip), a = 0.7 * arm;
    for (int line = 0; line < 2; line++) {
        const char *style = line ? "cross" : "ringc";
        swi_line(figure->scene, style, x - a, y - a, x + a, y + a);
        swi_line(figure->scene, style, x - a, y + a, x + a, y - a);
    }
}

static void draw_outline(swi_figure *figure, const swi_item *item) {
    const sw_box *o = &item->outline;
    if (!item->stands || item->terminal || figure->options.copper)
        return;
    if (item->round)
        swi_circle(figure->scene, "off", figure->x + (o->x0 + o->x1) / 2, figure->y + (o->y0 + o->y1) / 2,
                   fmin(o->x1 - o->x0, o->y1 - o->y0) / 2);
    else
        swi_rect(figure->scene, "off", (sw_box){figure->x + o->x0, figure->y + o->y0, figure->x + o->x1, figure->y + o->y1}, 0);
}

static void draw_one(swi_figure *figure, const gone *one) {
    const char *name = one->item ? swi_scene_text(figure->scene, one->item->part->ref) : "link";
    swi_open(figure->scene, &(swi_tags){.style = "gone",
                                        .title = one->cut ? "cut, to be bridged" : swi_scene_format(figure->scene, "%s comes off", name),
                                        .step = swi_scene_format(figure->scene, "off-%u", one->number)});
    if (one->item)
        draw_outline(figure, one->item);
    if (one->link && !figure->options.copper)
        swi_line(figure->scene, "off", swi_figure_x(figure, one->link->from.column), swi_figure_y(figure, one->link->from.strip),
                 swi_figure_x(figure, one->link->to.column), swi_figure_y(figure, one->link->to.strip));
    for (uint32_t i = 0; i < joint_count(one); i++)
        draw_cross(figure, joint(one, i));
    swi_close(figure->scene);
}

void swi_draw_change(swi_figure *figure) {
    if (!figure->subject->change)
        return;
    swi_open_layer(figure->scene, "comes-off", "What comes off the built board");
    for_all(figure, draw_one);
    swi_close(figure->scene);
}
