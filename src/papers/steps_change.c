/* src/papers/steps_change.c: what comes off a board that is built, before anything new goes on. */
#include "steps_make.h"

#include <string.h>

static const char clearing[] = "Melt one joint after the other and draw the lead out from the component side; clear the "
                               "holes with solder wick.";

static swi_step *off_step(swi_step_maker *m, uint32_t *number) {
    swi_step *step = swi_steps_add(m, "off", ++*number);
    step->mark = step->key;
    return step;
}

static void look_at(swi_step_maker *m, swi_step *step, const sw_hole *at, uint32_t count) {
    sw_hole *holes = swi_steps_holes(m, step, count);
    if (holes)
        memcpy(holes, at, count * sizeof *holes);
}

/* "A3, C3 and D4". */
static void put_holes(swi_step_maker *m, const swi_item *item) {
    uint32_t count = item->part->lead_count;
    for (uint32_t i = 0; i < count; i++) {
        char name[12];
        sw_hole_write(item->leads[i].hole, name);
        sw_buf_printf(&m->text, "%s%s", i == 0 ? "" : i + 1 == count ? " and " : ", ", name);
    }
}

static void disconnect(swi_step_maker *m, uint32_t *number) {
    bool ics = swi_steps_has_sockets(m->subject->change->was);
    swi_step *step = swi_steps_add(m, "off", ++*number);
    step->title = ics ? "Take the supply off, and the ICs out of their sockets" : "Take the supply off";
    step->text = ics ? "Lever each up a little at one end and the other in turn, with a flat screwdriver, and lay it on the foil "
                       "or foam that it came on."
                     : "";
    step->watch = "Wait until the voltage has gone to nothing: large capacitors keep it for a while.";
}

/* What becomes of the part and of its holes. */
static void put_after(swi_step_maker *m, const swi_off *off) {
    const swi_item *now = off->now == SW_NONE ? NULL : &m->subject->items[off->now];
    if (!now)
        return;
    if (swi_part_changes(m->subject, off->now) == SWI_PART_MOVED) {
        sw_buf_puts(&m->text, " It goes into ");
        put_holes(m, now);
        sw_buf_puts(&m->text, " later; a new one is safer.");
    } else {
        sw_buf_printf(&m->text, " %s comes instead.", *now->value ? now->value : "Another one");
    }
}

/* A terminal pin is called by its wire. */
static void put_title(swi_step_maker *m, const swi_item *item) {
    if (item->terminal)
        sw_buf_printf(&m->text, "Wire and terminal pin %s come off", item->name);
    else
        sw_buf_printf(&m->text, "%s%s%s %s off", item->part->ref, *item->value ? " " : "", item->value,
                      swi_is_socketed(item) ? "and its socket come" : "comes");
}

static void part_off(swi_step_maker *m, const swi_off *off, uint32_t *number) {
    const swi_item *item = off->item;
    bool single = item->part->lead_count == 1;
    swi_step *step = off_step(m, number);
    put_title(m, item);
    step->title = swi_steps_take(m);
    step->ref = item->part->ref;
    sw_buf_puts(&m->text, single ? "It is in " : "Its leads are in ");
    put_holes(m, item);
    sw_buf_printf(&m->text, ". %s", single ? "Melt its joint and draw it out; clear the hole with solder wick." : clearing);
    put_after(m, off);
    step->text = swi_steps_take(m);
    sw_hole *holes = swi_steps_holes(m, step, item->part->lead_count);
    for (uint32_t i = 0; holes && i < item->part->lead_count; i++)
        holes[i] = item->leads[i].hole;
    if (item->part->lead_count > 3)
        step->watch = "With many leads it is easier to cut them all off above the board, and to take them out one by one.";
}

static void link_off(swi_step_maker *m, const sw_link *link, uint32_t *number) {
    swi_step *step = off_step(m, number);
    const char *from = swi_steps_hole(m, link->from), *to = swi_steps_hole(m, link->to);
    sw_buf_printf(&m->text, "%s from %s to %s comes off", link->sleeved ? "Sleeved link" : "Link", from, to);
    step->title = swi_steps_take(m);
    step->text = clearing;
    look_at(m, step, (sw_hole[]){link->from, link->to}, 2);
}

static void bridge(swi_step_maker *m, const sw_cut *cut, uint32_t *number) {
    swi_step *step = off_step(m, number);
    const char *hole = swi_steps_hole(m, cut->hole);
    sw_buf_printf(&m->text, cut->knife ? "Bridge the knife cut right of %s" : "Bridge the cut at %s", hole);
    step->title = swi_steps_take(m);
    step->text = "Lay a bit of bare wire along the strip, over the gap, and solder it to the copper on both sides.";
    step->watch = "No solder on the strips beside it.";
    look_at(m, step, &cut->hole, 1);
}

void swi_steps_of_change(swi_step_maker *m) {
    const swi_change *change = m->subject->change;
    uint32_t number = 0;
    swi_steps_chapter(m, SWI_CHAPTER_OFF, "Take off what goes",
                      "All else stays where it is. What stands already is drawn pale, what is new is drawn heavy.", false);
    disconnect(m, &number);
    for (uint32_t i = 0; i < change->off_count; i++)
        part_off(m, &change->off[i], &number);
    for (uint32_t i = 0; i < change->difference->links_gone; i++)
        link_off(m, &change->difference->gone_links[i], &number);
    for (uint32_t i = 0; i < change->difference->cuts_gone; i++)
        bridge(m, &change->difference->gone_cuts[i], &number);
}
