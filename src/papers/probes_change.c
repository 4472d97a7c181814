/* src/papers/probes_change.c: which probes a change of a built board makes necessary.
 *
 * A probe stood if the old board had passed it and nothing was done since that could make it read
 * otherwise.  A new cut or a link that came off can open a node, so each of its leads is touched
 * again; each new joint and each joint undone can bridge what lies beside it.
 */
#include <stdlib.h>

#include "probes.h"

typedef struct work_done {
    const swi_subject *subject;
    sw_copper *now, *was;
    uint32_t most_node; /* greatest number of a node on now */
    bool *worked;    /* by key: a joint made or undone, a cut at the end of a strip */
    bool *opened;    /* by key: a cut was made or a link taken off */
} work_done;

/* The copper's number of the node at a hole; copper of no node has a key of its own beyond. */
static uint32_t key_at(const work_done *w, sw_hole hole) {
    uint32_t at = sw_copper_segment(w->now, w->subject->plan, hole);
    if (at == SW_NONE)
        return 0;
    return w->now->segments[at].node ? w->now->segments[at].node : w->most_node + 1 + at;
}

static void mark(work_done *w, sw_hole hole, bool opens) {
    uint32_t key = key_at(w, hole);
    w->worked[key] = true;
    w->opened[key] |= opens;
}

static void mark_both_sides(work_done *w, const sw_cut *cut) {
    sw_hole left = cut->hole, right = cut->hole;
    left.column = (int16_t)(left.column - !cut->knife);
    right.column++;
    if (left.column >= 0)
        mark(w, left, true);
    if (right.column < w->subject->plan->columns)
        mark(w, right, true);
}

static void mark_leads(work_done *w, const swi_item *item) {
    for (uint32_t k = 0; k < item->part->lead_count; k++)
        mark(w, item->leads[k].hole, false);
}

static void mark_new(work_done *w) {
    const swi_subject *s = w->subject;
    for (uint32_t i = 0; i < s->item_count; i++)
        if (swi_part_is_work(s, i))
            mark_leads(w, &s->items[i]);
    for (uint32_t i = 0; i < s->plan->link_count; i++)
        if (swi_link_is_work(s, i)) {
            mark(w, s->plan->links[i].from, false);
            mark(w, s->plan->links[i].to, false);
        }
    for (uint32_t i = 0; i < s->plan->cut_count; i++)
        if (swi_cut_is_work(s, i))
            mark_both_sides(w, &s->plan->cuts[i]);
}

static void mark_off(work_done *w) {
    const swi_change *change = w->subject->change;
    for (uint32_t i = 0; i < change->off_count; i++)
        mark_leads(w, change->off[i].item);
    for (uint32_t i = 0; i < change->difference->links_gone; i++) {
        mark(w, change->difference->gone_links[i].from, true);
        mark(w, change->difference->gone_links[i].to, true);
    }
    for (uint32_t i = 0; i < change->difference->cuts_gone; i++)
        mark(w, change->difference->gone_cuts[i].hole, false);
}

static bool is_new_lead(const swi_subject *s, sw_hole hole) {
    for (uint32_t i = 0; i < s->item_count; i++)
        for (uint32_t k = 0; swi_part_is_work(s, i) && k < s->items[i].part->lead_count; k++) {
            sw_hole at = s->items[i].leads[k].hole;
            if (at.strip == hole.strip && at.column == hole.column)
                return true;
        }
    return false;
}

/* Whether two holes were joined on the built board. */
static bool was_joined(const work_done *w, sw_hole a, sw_hole b) {
    const sw_plan *built = w->subject->document->built;
    uint32_t at = sw_copper_segment(w->was, built, a), to = sw_copper_segment(w->was, built, b);
    return at != SW_NONE && to != SW_NONE && w->was->segments[at].copper == w->was->segments[to].copper;
}

static bool stood(const work_done *w, const swi_probe *p) {
    switch (p->kind) {
    case SWI_PROBE_WHOLE:
        return !w->opened[key_at(w, p->a)] && was_joined(w, p->a, p->b) && !is_new_lead(w->subject, p->a) &&
               !is_new_lead(w->subject, p->b);
    case SWI_PROBE_APART:
    case SWI_PROBE_RAILS: return !w->worked[key_at(w, p->a)] && !w->worked[key_at(w, p->b)];
    case SWI_PROBE_SUPPLY: break;
    }
    return false;
}

/* False when memory is out. */
static bool mark_standing(const swi_subject *s, swi_probe_list *list) {
    work_done w = {.subject = s, .now = sw_copper_new(s->plan, s->document->library),
                   .was = sw_copper_new(s->document->built, s->document->library)};
    for (uint32_t i = 0; w.now && i < w.now->segment_count; i++)
        w.most_node = w.now->segments[i].node > w.most_node ? w.now->segments[i].node : w.most_node;
    size_t keys = w.now ? (size_t)w.most_node + w.now->segment_count + 1 : 1;
    w.worked = calloc(keys, sizeof *w.worked);
    w.opened = calloc(keys, sizeof *w.opened);
    bool ok = w.now && w.was && w.worked && w.opened;
    if (ok) {
        mark_new(&w);
        mark_off(&w);
        for (uint32_t i = 0; i < list->count; i++)
            list->probes[i].stood = stood(&w, &list->probes[i]);
    }
    sw_copper_free(w.now);
    sw_copper_free(w.was);
    free(w.worked);
    free(w.opened);
    return ok;
}

swi_probe_list *swi_probes_of(const swi_subject *subject) {
    swi_probe_list *list = swi_probes_new(subject->plan, subject->circuit, subject->document->library);
    if (!list || !subject->change)
        return list;
    if (mark_standing(subject, list)) {
        swi_probes_walk(list);
        return list;
    }
    swi_probes_free(list);
    return NULL;
}
