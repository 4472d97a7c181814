/* src/board/compare.c: what changed between two plans. */
#include "plan.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

static sw_hole first_lead(const sw_plan *plan, const sw_plan_part *part) {
    return part->lead_count == 0 ? SWI_NO_HOLE : plan->leads[part->first_lead].hole;
}

static const sw_plan_lead *lead_of(const sw_plan *plan, const sw_plan_part *part,
                                   const char *pin) {
    for (uint32_t i = 0; i < part->lead_count; i++)
        if (swi_equal_fold(plan->leads[part->first_lead + i].pin, pin))
            return &plan->leads[part->first_lead + i];
    return NULL;
}

/* Whether the leads, seen from the first one, are not where they were. */
static bool reshaped(const sw_plan *was, const sw_plan_part *a, const sw_plan *is,
                     const sw_plan_part *b) {
    if (a->lead_count != b->lead_count || !swi_equal_fold(a->package, b->package))
        return true;
    sw_hole from = first_lead(was, a);
    const sw_plan_lead *first =
        a->lead_count == 0 ? NULL : lead_of(is, b, was->leads[a->first_lead].pin);
    for (uint32_t i = 0; i < a->lead_count; i++) {
        const sw_plan_lead *old = &was->leads[a->first_lead + i];
        const sw_plan_lead *lead = lead_of(is, b, old->pin);
        if (lead == NULL || first == NULL ||
            lead->hole.strip - first->hole.strip != old->hole.strip - from.strip ||
            lead->hole.column - first->hole.column != old->hole.column - from.column)
            return true;
    }
    return false;
}

/* false when part b of `is` stands just as part a of `was`. */
static bool moved(const sw_plan *was, const sw_plan_part *a, const sw_plan *is,
                  const sw_plan_part *b, sw_plan_move *move) {
    *move = (sw_plan_move){.change = SW_PLAN_MOVED, .ref = b->ref, .was = first_lead(was, a),
                           .is = first_lead(is, b), .was_turn = a->turn, .is_turn = b->turn};
    if (a->lead_count != 0) {
        const sw_plan_lead *same = lead_of(is, b, was->leads[a->first_lead].pin);
        if (same != NULL)
            move->is = same->hole;
    }
    move->strips = (int16_t)(move->is.strip - move->was.strip);
    move->columns = (int16_t)(move->is.column - move->was.column);
    move->reshaped = reshaped(was, a, is, b);
    return move->strips != 0 || move->columns != 0 || move->reshaped;
}

static int compare_moves(const void *a, const void *b) {
    const sw_plan_move *p = a, *q = b;
    int order = sw_natural_compare(p->ref, q->ref);
    return order != 0 ? order : (int)p->change - (int)q->change;
}

/* Parts of a plan by reference, without case; NULL when memory is out. */
static swi_map *index_parts(swi_arena *arena, const sw_plan *plan) {
    swi_map *map = swi_map_new(arena, true);
    bool failed = false;
    for (uint32_t i = 0; map != NULL && i < plan->part_count; i++)
        swi_map_add(map, plan->parts[i].ref, strlen(plan->parts[i].ref), i, &failed);
    if (!failed)
        return map;
    swi_map_free(map);
    return NULL;
}

static uint32_t find_in(const swi_map *map, const char *ref) {
    return swi_map_get(map, ref, strlen(ref), SW_NONE);
}

static bool compare_part_lists(sw_plan_difference *d, const sw_plan *was, const swi_map *had,
                               const sw_plan *is, const swi_map *has) {
    d->moves = swi_arena_array(d->memory, (size_t)was->part_count + is->part_count + 1,
                               sizeof *d->moves);
    if (d->moves == NULL)
        return false;
    for (uint32_t i = 0; i < was->part_count; i++) {
        const sw_plan_part *part = &was->parts[i];
        uint32_t other = find_in(has, part->ref);
        sw_plan_move *move = &d->moves[d->move_count];
        if (other != SW_NONE) {
            d->move_count += moved(was, part, is, &is->parts[other], move) ? 1 : 0;
            continue;
        }
        *move = (sw_plan_move){.change = SW_PLAN_GONE, .ref = part->ref,
                               .was = first_lead(was, part), .is = SWI_NO_HOLE,
                               .was_turn = part->turn, .is_turn = -1};
        d->move_count++;
    }
    for (uint32_t i = 0; i < is->part_count; i++) {
        const sw_plan_part *part = &is->parts[i];
        if (find_in(had, part->ref) == SW_NONE)
            d->moves[d->move_count++] =
                (sw_plan_move){.change = SW_PLAN_ADDED, .ref = part->ref, .was = SWI_NO_HOLE,
                               .is = first_lead(is, part), .was_turn = -1,
                               .is_turn = part->turn};
    }
    for (uint32_t i = 0; i < d->move_count; i++) {
        const char *ref = d->moves[i].ref;
        d->moves[i].ref = swi_arena_text(d->memory, ref, strlen(ref));
        if (d->moves[i].ref == NULL)
            return false;
    }
    if (d->move_count > 1)
        qsort(d->moves, d->move_count, sizeof *d->moves, compare_moves);
    return true;
}

static int cut_order(const sw_cut *a, const sw_cut *b) {
    sw_cut p = *a, q = *b;
    p.asked = q.asked = false; /* what was asked for is no matter of copper */
    p.span = q.span = SW_NOWHERE;
    return swi_compare_cuts(&p, &q);
}

static int link_order(const sw_link *a, const sw_link *b) {
    sw_link p = *a, q = *b;
    p.span = q.span = SW_NOWHERE;
    return swi_compare_links(&p, &q);
}

/* Copies what only `a` has of two sorted lists; elements alike pair off. */
static bool only_cuts(swi_arena *arena, const sw_plan *a, const sw_plan *b, sw_cut **out,
                      uint32_t *count) {
    *out = swi_arena_array(arena, (size_t)a->cut_count + 1, sizeof **out);
    if (*out == NULL)
        return false;
    for (uint32_t i = 0, k = 0; i < a->cut_count; i++) {
        while (k < b->cut_count && cut_order(&b->cuts[k], &a->cuts[i]) < 0)
            k++;
        if (k < b->cut_count && cut_order(&b->cuts[k], &a->cuts[i]) == 0)
            k++;
        else
            (*out)[(*count)++] = a->cuts[i];
    }
    return true;
}

static bool only_links(swi_arena *arena, const sw_plan *a, const sw_plan *b, sw_link **out,
                       uint32_t *count) {
    *out = swi_arena_array(arena, (size_t)a->link_count + 1, sizeof **out);
    if (*out == NULL)
        return false;
    for (uint32_t i = 0, k = 0; i < a->link_count; i++) {
        while (k < b->link_count && link_order(&b->links[k], &a->links[i]) < 0)
            k++;
        if (k < b->link_count && link_order(&b->links[k], &a->links[i]) == 0)
            k++;
        else
            (*out)[(*count)++] = a->links[i];
    }
    return true;
}

static bool work_out(sw_plan_difference *d, const sw_plan *was, const sw_plan *is) {
    swi_map *had = index_parts(d->memory, was), *has = index_parts(d->memory, is);
    bool parts = had != NULL && has != NULL && compare_part_lists(d, was, had, is, has);
    swi_map_free(had);
    swi_map_free(has);
    return parts &&
           only_cuts(d->memory, is, was, &d->added_cuts, &d->cuts_added) &&
           only_cuts(d->memory, was, is, &d->gone_cuts, &d->cuts_gone) &&
           only_links(d->memory, is, was, &d->added_links, &d->links_added) &&
           only_links(d->memory, was, is, &d->gone_links, &d->links_gone);
}

static sw_plan *normal_copy(const sw_plan *plan) {
    sw_plan *copy = sw_plan_copy(plan);
    if (copy != NULL && sw_plan_normalise(copy))
        return copy;
    sw_plan_free(copy);
    return NULL;
}

static sw_plan_difference *difference_new(void) {
    swi_arena *arena = swi_arena_new();
    if (arena == NULL)
        return NULL;
    sw_plan_difference *difference = swi_arena_alloc(arena, sizeof *difference);
    if (difference == NULL)
        swi_arena_free(arena);
    else
        difference->memory = arena;
    return difference;
}

sw_plan_difference *sw_plan_compare(const sw_plan *was, const sw_plan *is,
                                    const sw_library *library) {
    sw_plan *a = normal_copy(was), *b = normal_copy(is);
    sw_plan_difference *d = difference_new();
    if (a == NULL || b == NULL || d == NULL || !work_out(d, a, b)) {
        sw_plan_difference_free(d);
        d = NULL;
    } else {
        sw_plan_cost(a, library, &d->was);
        sw_plan_cost(b, library, &d->is);
        d->differs = d->move_count + d->cuts_added + d->cuts_gone + d->links_added +
                             d->links_gone != 0 ||
                     a->strips != b->strips || a->columns != b->columns;
    }
    sw_plan_free(a);
    sw_plan_free(b);
    return d;
}

void sw_plan_difference_free(sw_plan_difference *difference) {
    if (difference != NULL)
        swi_arena_free(difference->memory);
}
