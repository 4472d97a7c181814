/* src/papers/change.c: what turns a board that is built into the plan. */
#include "change.h"

#include "base/text.h"
#include "circuit/circuit.h"
#include "work.h"

#include <stdlib.h>

static uint32_t find_item(const swi_subject *subject, const char *ref) {
    for (uint32_t i = 0; i < subject->item_count; i++)
        if (swi_equal_fold(subject->items[i].part->ref, ref))
            return i;
    return SW_NONE;
}

/* Another value or device in the same holes: not the part that is there. */
static bool is_another(const swi_item *was, const swi_item *is) {
    return !swi_same_value(is->kind, was->value, is->value) ||
           !swi_equal_fold(was->part->device, is->part->device);
}

static void note_moves(swi_change *change, const swi_subject *subject) {
    const sw_plan_difference *d = change->difference;
    for (uint32_t i = 0; i < d->move_count; i++) {
        uint32_t at = d->moves[i].change == SW_PLAN_GONE ? SW_NONE : find_item(subject, d->moves[i].ref);
        if (at != SW_NONE)
            change->parts[at] = d->moves[i].change == SW_PLAN_ADDED ? SWI_PART_NEW : SWI_PART_MOVED;
    }
}

/* What is there otherwise than the plan wants it comes off; but of a socket only what is in it. */
static void compare_item(swi_change *change, const swi_subject *subject, const swi_item *was) {
    uint32_t at = find_item(subject, was->part->ref);
    if (at == SW_NONE) {
        change->off[change->off_count++] = (swi_off){was, SW_NONE};
        return;
    }
    const swi_item *is = &subject->items[at];
    if (is_another(was, is))
        change->parts[at] = change->parts[at] == SWI_PART_STAYS && swi_is_socketed(was) && swi_is_socketed(is)
                                ? SWI_PART_SWAPPED : SWI_PART_NEW;
    if (change->parts[at] >= SWI_PART_MOVED)
        change->off[change->off_count++] = (swi_off){was, at};
}

static bool has_cut(const sw_plan_difference *d, const sw_cut *cut) {
    for (uint32_t i = 0; i < d->cuts_added; i++)
        if (d->added_cuts[i].hole.strip == cut->hole.strip && d->added_cuts[i].hole.column == cut->hole.column &&
            d->added_cuts[i].knife == cut->knife)
            return true;
    return false;
}

static bool same_hole(sw_hole a, sw_hole b) {
    return a.strip == b.strip && a.column == b.column;
}

/* The difference has its links from above to below. */
static bool has_link(const sw_plan_difference *d, const sw_link *link) {
    for (uint32_t i = 0; i < d->links_added; i++) {
        const sw_link *one = &d->added_links[i];
        if ((same_hole(one->from, link->from) && same_hole(one->to, link->to)) ||
            (same_hole(one->from, link->to) && same_hole(one->to, link->from)))
            return true;
    }
    return false;
}

static bool fill(swi_change *change, const swi_subject *subject) {
    const sw_plan *plan = subject->plan, *was = subject->document->built;
    /* No circuit: the changed one is not the built board's own. */
    change->document = (sw_document){.plan = was, .library = subject->document->library};
    change->was = swi_subject_new(&change->document);
    change->difference = sw_plan_compare(was, plan, change->document.library);
    change->parts = calloc((size_t)subject->item_count + 1, sizeof *change->parts);
    change->cuts = calloc((size_t)plan->cut_count + 1, sizeof *change->cuts);
    change->links = calloc((size_t)plan->link_count + 1, sizeof *change->links);
    change->off = calloc((size_t)was->part_count + 1, sizeof *change->off);
    if (!change->was || !change->difference || !change->parts || !change->cuts || !change->links || !change->off)
        return false;
    note_moves(change, subject);
    for (uint32_t i = 0; i < change->was->item_count; i++)
        compare_item(change, subject, &change->was->items[i]);
    for (uint32_t i = 0; i < plan->cut_count; i++)
        change->cuts[i] = has_cut(change->difference, &plan->cuts[i]);
    for (uint32_t i = 0; i < plan->link_count; i++)
        change->links[i] = has_link(change->difference, &plan->links[i]);
    return true;
}

swi_change *swi_change_new(const swi_subject *subject) {
    swi_change *change = calloc(1, sizeof *change);
    if (change && fill(change, subject))
        return change;
    swi_change_free(change);
    return NULL;
}

void swi_change_free(swi_change *change) {
    if (!change)
        return;
    swi_subject_free(change->was);
    sw_plan_difference_free(change->difference);
    free(change->parts);
    free(change->cuts);
    free(change->links);
    free(change->off);
    free(change);
}

swi_off_row swi_off_at(const swi_change *change, uint32_t index) {
    const sw_plan_difference *d = change->difference;
    const sw_hole none = {-1, -1};
    if (index < change->off_count) {
        const swi_item *item = change->off[index].item;
        return (swi_off_row){"part off", item->part->ref, item->part->lead_count ? item->leads[0].hole : none, none, false};
    }
    index -= change->off_count;
    if (index < d->links_gone)
        return (swi_off_row){"link off", "", d->gone_links[index].from, d->gone_links[index].to, d->gone_links[index].sleeved};
    const sw_cut *cut = &d->gone_cuts[index - d->links_gone];
    sw_hole right = {cut->hole.strip, (int16_t)(cut->hole.column + 1)};
    return (swi_off_row){"bridge", "", cut->hole, cut->knife ? right : none, false};
}
