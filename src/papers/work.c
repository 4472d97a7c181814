/* src/papers/work.c: the order of work at the bench. */
#include "work.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

typedef int (*work_compare)(const swi_subject *subject, uint32_t a, uint32_t b);

/* Insertion with halving: no comparison state outside, and stable. */
static void sort(uint32_t *list, uint32_t count, const swi_subject *subject, work_compare compare) {
    for (uint32_t i = 1; i < count; i++) {
        uint32_t one = list[i], low = 0, up = i;
        while (low < up) {
            uint32_t middle = low + (up - low) / 2;
            if (compare(subject, list[middle], one) <= 0)
                low = middle + 1;
            else
                up = middle;
        }
        memmove(list + low + 1, list + low, (i - low) * sizeof *list);
        list[low] = one;
    }
}

static int compare_holes(sw_hole a, sw_hole b) {
    return a.strip != b.strip ? a.strip - b.strip : a.column - b.column;
}

static int compare_cuts(const swi_subject *subject, uint32_t a, uint32_t b) {
    const sw_cut *x = &subject->plan->cuts[a], *y = &subject->plan->cuts[b];
    int order = compare_holes(x->hole, y->hole);
    return order ? order : x->knife - y->knife;
}

static sw_hole upper(const sw_link *link) {
    return compare_holes(link->from, link->to) <= 0 ? link->from : link->to;
}

static int compare_links(const swi_subject *subject, uint32_t a, uint32_t b) {
    return compare_holes(upper(&subject->plan->links[a]), upper(&subject->plan->links[b]));
}

static int compare_wires(const swi_subject *subject, uint32_t a, uint32_t b) {
    return compare_holes(subject->items[a].leads[0].hole, subject->items[b].leads[0].hole);
}

bool swi_is_board_on_pins(const sw_package *package) {
    return package && package->form == SW_FORM_DIP && !swi_match("DIP-*", package->name);
}

bool swi_is_socketed(const swi_item *item) {
    return item->package && item->package->form == SW_FORM_DIP;
}

static double height_of(const swi_item *item) {
    return item->package ? item->package->height_mm : 1000;
}

static int compare_parts(const swi_subject *subject, uint32_t a, uint32_t b) {
    const swi_item *x = &subject->items[a], *y = &subject->items[b];
    if (swi_is_socketed(x) != swi_is_socketed(y))
        return swi_is_socketed(x) ? 1 : -1;
    double hx = height_of(x), hy = height_of(y);
    if (hx < hy || hx > hy)
        return hx < hy ? -1 : 1;
    return sw_natural_compare(x->part->ref, y->part->ref);
}

static void sort_out(swi_work *work, const swi_subject *subject, uint32_t i) {
    const swi_item *item = &subject->items[i];
    if (item->part->lead_count == 0)
        return;
    if (item->terminal)
        work->terminals[work->terminal_count++] = i;
    else if (swi_is_socketed(item))
        work->socketed[work->socketed_count++] = i;
    if (!swi_part_is_work(subject, i))
        return;
    if (item->terminal)
        work->wires[work->wire_count++] = i;
    else
        work->parts[work->part_count++] = i;
}

static bool fill(swi_work *work, const swi_subject *subject) {
    const sw_plan *plan = subject->plan;
    work->cuts = swi_arena_array(work->memory, plan->cut_count, sizeof(uint32_t));
    work->links = swi_arena_array(work->memory, plan->link_count, sizeof(uint32_t));
    work->parts = swi_arena_array(work->memory, subject->item_count, sizeof(uint32_t));
    work->wires = swi_arena_array(work->memory, subject->item_count, sizeof(uint32_t));
    work->socketed = swi_arena_array(work->memory, subject->item_count, sizeof(uint32_t));
    work->terminals = swi_arena_array(work->memory, subject->item_count, sizeof(uint32_t));
    if (!work->cuts || !work->links || !work->parts || !work->wires || !work->socketed || !work->terminals)
        return false;
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if (swi_cut_is_work(subject, i))
            work->cuts[work->cut_count++] = i;
    for (uint32_t i = 0; i < plan->link_count; i++)
        if (swi_link_is_work(subject, i))
            work->links[work->link_count++] = i;
    for (uint32_t i = 0; i < subject->item_count; i++)
        sort_out(work, subject, i);
    sort(work->cuts, work->cut_count, subject, compare_cuts);
    sort(work->links, work->link_count, subject, compare_links);
    sort(work->parts, work->part_count, subject, compare_parts);
    sort(work->wires, work->wire_count, subject, compare_wires);
    sort(work->terminals, work->terminal_count, subject, compare_wires);
    sort(work->socketed, work->socketed_count, subject, compare_parts);
    return true;
}

swi_work *swi_work_new(const swi_subject *subject) {
    swi_work *work = calloc(1, sizeof *work);
    if (!work)
        return NULL;
    work->memory = swi_arena_new();
    if (!work->memory || !fill(work, subject)) {
        swi_work_free(work);
        return NULL;
    }
    return work;
}

void swi_work_free(swi_work *work) {
    if (!work)
        return;
    swi_arena_free(work->memory);
    free(work);
}

int swi_link_pitches(const sw_link *link) {
    int strips = abs(link->to.strip - link->from.strip), columns = abs(link->to.column - link->from.column);
    return strips > columns ? strips : columns;
}

double swi_link_wire(const sw_link *link) {
    return SW_PITCH_MM * swi_link_pitches(link) + SWI_LINK_ALLOWANCE_MM;
}

double swi_links_wire(const swi_subject *subject) {
    double sum = 0;
    for (uint32_t i = 0; i < subject->plan->link_count; i++)
        if (swi_link_is_work(subject, i))
            sum += swi_link_wire(&subject->plan->links[i]);
    return sum;
}
