/* Numbers that stay: which node of now is which node of an earlier revision,
 * and what became of the rest.
 */
#include "base/fault.h"
#include "base/num.h"
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

/* An old and a new node that have `shared` pins in common. */
typedef struct match {
    uint32_t shared, old, node;
    uint32_t old_number, rank; /* break ties: the old number, the place in the new order */
} match;

typedef struct keeping {
    sw_circuit *c;
    const sw_old_node *old;
    uint32_t old_count;
    sw_diags *diags;
    uint32_t *order;        /* of numbering: node indices */
    uint32_t *rank;         /* per node: its place in order */
    uint32_t *was;          /* per node: the old one that it is, SW_NONE */
    uint32_t *from;         /* per node: the old one it shares most pins with, SW_NONE */
    uint32_t *is, *into;    /* per old node: likewise the other way */
    uint32_t *number;       /* per node: given so far, 0 none */
    match *matches;
    size_t match_count, match_room;
    uint32_t *used;         /* numbers taken, sorted, for compact */
} keeping;

/* ---- stated numbers ---- */

static sw_node_id node_spelled(const sw_circuit *c, const char *name, size_t length) {
    sw_node_id node = swi_circuit_node_n(c, name, length);
    if (node.i != SW_NONE)
        return node;
    sw_pin_id pin = swi_circuit_pin_spelled_n(c, name, length);
    return pin.i == SW_NONE ? node : c->pins[pin.i].node;
}

static bool refuse_stated(keeping *k, const char *stated, const char *why) {
    sw_diag_add(k->diags, SW_D_NUMBER_STATED, SW_NOWHERE, "the stated number %s %s", stated, why);
    return false;
}

static bool state_one(keeping *k, const char *stated) {
    const char *sign = strrchr(stated, '=');
    long number;
    if (!sign || sign == stated || !swi_int_read(sign + 1, 1, 999999999, &number))
        return refuse_stated(k, stated, "is not NODE=NUMBER with a number from 1");
    sw_node_id node = node_spelled(k->c, stated, (size_t)(sign - stated));
    if (node.i == SW_NONE)
        return refuse_stated(k, stated, "is of no node or pin of this circuit");
    if (k->number[node.i] && k->number[node.i] != (uint32_t)number)
        return refuse_stated(k, stated, "is of a node that another number was stated for");
    for (uint32_t i = 0; i < k->c->node_count; i++)
        if (i != node.i && k->number[i] == (uint32_t)number)
            return refuse_stated(k, stated, "was stated for another node already");
    k->number[node.i] = (uint32_t)number;
    return true;
}

static bool state_numbers(keeping *k, const char *const *stated) {
    bool good = true;
    for (; stated && *stated; stated++)
        good = state_one(k, *stated) && good;
    return good;
}

/* ---- matching ---- */

static int by_pair(const void *left, const void *right) {
    const match *a = left, *b = right;
    if (a->old != b->old)
        return a->old < b->old ? -1 : 1;
    return a->node < b->node ? -1 : a->node > b->node;
}

static int by_strength(const void *left, const void *right) {
    const match *a = left, *b = right;
    if (a->shared != b->shared)
        return a->shared > b->shared ? -1 : 1;
    if (a->old_number != b->old_number)
        return a->old_number < b->old_number ? -1 : 1;
    return a->rank < b->rank ? -1 : a->rank > b->rank;
}

/* One match a pin that is still there, then those of equal nodes made one. */
static bool find_matches(keeping *k) {
    for (uint32_t i = 0; i < k->old_count; i++) {
        for (size_t p = 0; p < k->old[i].pin_count; p++) {
            sw_pin_id pin = sw_circuit_pin_spelled(k->c, k->old[i].pins[p]);
            if (pin.i == SW_NONE)
                continue;
            if (!SWI_GROW(k->matches, k->match_room, k->match_count + 1))
                return false;
            uint32_t node = k->c->pins[pin.i].node.i;
            k->matches[k->match_count++] = (match){1, i, node, k->old[i].number, k->rank[node]};
        }
    }
    if (k->match_count == 0)
        return true;
    qsort(k->matches, k->match_count, sizeof *k->matches, by_pair);
    size_t last = 0;
    for (size_t i = 1; i < k->match_count; i++) {
        if (by_pair(&k->matches[last], &k->matches[i]) == 0)
            k->matches[last].shared++;
        else
            k->matches[++last] = k->matches[i];
    }
    k->match_count = last + 1;
    qsort(k->matches, k->match_count, sizeof *k->matches, by_strength);
    return true;
}

static void pair(keeping *k, uint32_t old, uint32_t node) {
    k->is[old] = node;
    k->was[node] = old;
}

static void match_nodes(keeping *k) {
    for (size_t i = 0; i < k->match_count; i++) {
        const match *m = &k->matches[i];
        if (k->is[m->old] == SW_NONE && k->was[m->node] == SW_NONE)
            pair(k, m->old, m->node);
        if (k->into[m->old] == SW_NONE)
            k->into[m->old] = m->node;
        if (k->from[m->node] == SW_NONE)
            k->from[m->node] = m->old;
    }
    for (uint32_t i = 0; i < k->old_count; i++) {
        if (k->is[i] != SW_NONE || !*k->old[i].name)
            continue;
        sw_node_id node = sw_circuit_node(k->c, k->old[i].name);
        if (node.i != SW_NONE && k->c->nodes[node.i].named && k->was[node.i] == SW_NONE)
            pair(k, i, node.i);
    }
}

/* ---- giving numbers ---- */

static int by_value(const void *left, const void *right) {
    const uint32_t *a = left, *b = right;
    return *a < *b ? -1 : *a > *b;
}

/* The numbers that are taken (not compact: and those of old), sorted. */
static uint32_t taken_numbers(keeping *k, bool compact) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < k->c->node_count; i++)
        if (k->number[i])
            k->used[count++] = k->number[i];
    for (uint32_t i = 0; !compact && i < k->old_count; i++)
        k->used[count++] = k->old[i].number;
    qsort(k->used, count, sizeof *k->used, by_value);
    return count;
}

static bool is_used(const keeping *k, uint32_t count, uint32_t number) {
    return count && bsearch(&number, k->used, count, sizeof number, by_value);
}

static void give_numbers(keeping *k, bool compact) {
    uint32_t count = taken_numbers(k, true); /* the stated ones, so far */
    for (uint32_t i = 0; i < k->c->node_count; i++)
        if (!k->number[i] && k->was[i] != SW_NONE &&
            !is_used(k, count, k->old[k->was[i]].number))
            k->number[i] = k->old[k->was[i]].number;
    count = taken_numbers(k, compact);
    uint32_t next = compact || count == 0 ? 1 : k->used[count - 1] + 1;
    for (uint32_t i = 0; i < k->c->node_count; i++) {
        uint32_t node = k->order[i];
        if (k->number[node])
            continue;
        while (compact && is_used(k, count, next))
            next++;
        k->number[node] = next++;
    }
    for (uint32_t i = 0; i < k->c->node_count; i++)
        k->c->nodes[i].number = k->number[i];
}

/* ---- report ---- */

static int by_fate(const void *left, const void *right) {
    const sw_number_change *a = left, *b = right;
    if (a->fate != b->fate)
        return a->fate < b->fate ? -1 : 1;
    if (a->number != b->number)
        return a->number < b->number ? -1 : 1;
    return a->old < b->old ? -1 : a->old > b->old;
}

static bool add_change(sw_number_report *r, sw_number_fate fate, uint32_t number, uint32_t old,
                       const char *name) {
    uint32_t *counts[] = {&r->kept, &r->added, &r->gone, &r->split, &r->merged};
    ++*counts[fate];
    const char *copy = swi_arena_text(r->memory, name, strlen(name));
    r->changes[r->change_count++] = (sw_number_change){fate, number, old, copy};
    return copy != NULL;
}

static bool fill_report(const keeping *k, sw_number_report *r) {
    bool done = true;
    for (uint32_t i = 0; done && i < k->c->node_count; i++) {
        const sw_node *node = &k->c->nodes[i];
        uint32_t was = k->was[i], from = k->from[i];
        if (was != SW_NONE)
            done = add_change(r, SW_NUMBER_KEPT, node->number, k->old[was].number, node->name);
        else if (from != SW_NONE)
            done = add_change(r, SW_NUMBER_SPLIT, node->number, k->old[from].number, node->name);
        else
            done = add_change(r, SW_NUMBER_ADDED, node->number, 0, node->name);
    }
    for (uint32_t i = 0; done && i < k->old_count; i++) {
        if (k->is[i] != SW_NONE)
            continue;
        uint32_t into = k->into[i];
        if (into != SW_NONE)
            done = add_change(r, SW_NUMBER_MERGED, k->c->nodes[into].number, k->old[i].number,
                              k->c->nodes[into].name);
        else
            done = add_change(r, SW_NUMBER_GONE, 0, k->old[i].number, k->old[i].name);
    }
    return done;
}

static bool make_report(const keeping *k, sw_number_report **out) {
    sw_number_report *r = calloc(1, sizeof *r);
    if (!r)
        return false;
    r->memory = swi_arena_new();
    if (r->memory)
        r->changes = swi_arena_array(r->memory, (size_t)k->c->node_count + k->old_count + 1,
                                     sizeof *r->changes);
    if (!r->changes || !fill_report(k, r)) {
        sw_number_report_free(r);
        return false;
    }
    qsort(r->changes, r->change_count, sizeof *r->changes, by_fate);
    *out = r;
    return true;
}

void sw_number_report_free(sw_number_report *r) {
    if (!r)
        return;
    swi_arena_free(r->memory);
    free(r);
}

static void write_change(const sw_number_change *change, sw_buf *out) {
    switch (change->fate) {
    case SW_NUMBER_KEPT:
        if (change->number != change->old)
            sw_buf_printf(out, "node %u (%s) was node %u\n", change->number, change->name,
                          change->old);
        break;
    case SW_NUMBER_ADDED:
        sw_buf_printf(out, "node %u (%s) is new\n", change->number, change->name);
        break;
    case SW_NUMBER_GONE:
        sw_buf_printf(out, "node %u%s%s%s is gone\n", change->old, *change->name ? " (" : "",
                      change->name, *change->name ? ")" : "");
        break;
    case SW_NUMBER_SPLIT:
        sw_buf_printf(out, "node %u (%s) was split from node %u\n", change->number, change->name,
                      change->old);
        break;
    case SW_NUMBER_MERGED:
        sw_buf_printf(out, "node %u is now part of node %u (%s)\n", change->old, change->number,
                      change->name);
        break;
    }
}

void sw_number_report_write(const sw_number_report *r, sw_buf *out) {
    sw_buf_printf(out, "%u kept, %u added, %u gone, %u split, %u merged\n", r->kept, r->added,
                  r->gone, r->split, r->merged);
    for (size_t i = 0; i < r->change_count; i++)
        write_change(&r->changes[i], out);
}

/* ---- all of it ---- */

static uint32_t *unset(uint32_t count) {
    uint32_t *array = malloc(((size_t)count + 1) * sizeof *array);
    for (uint32_t i = 0; array && i < count; i++)
        array[i] = SW_NONE;
    return array;
}

static bool set_up(keeping *k) {
    uint32_t nodes = k->c->node_count;
    k->order = swi_number_order(k->c);
    k->rank = unset(nodes);
    k->was = unset(nodes);
    k->from = unset(nodes);
    k->is = unset(k->old_count);
    k->into = unset(k->old_count);
    k->number = calloc((size_t)nodes + 1, sizeof *k->number);
    k->used = unset(nodes + k->old_count);
    if (!k->order || !k->rank || !k->was || !k->from || !k->is || !k->into || !k->number ||
        !k->used)
        return false;
    for (uint32_t i = 0; i < nodes; i++)
        k->rank[k->order[i]] = i;
    return true;
}

static void tear_down(keeping *k) {
    free(k->order);
    free(k->rank);
    free(k->was);
    free(k->from);
    free(k->is);
    free(k->into);
    free(k->number);
    free(k->matches);
    free(k->used);
}

/* `used` is free until numbers are given: it lends itself to the check. */
static bool old_is_sound(keeping *k) {
    for (uint32_t i = 0; i < k->old_count; i++)
        k->used[i] = k->old[i].number;
    qsort(k->used, k->old_count, sizeof *k->used, by_value);
    for (uint32_t i = 0; i < k->old_count; i++) {
        if (k->used[i] != 0 && k->used[i] <= 999999999 && (i == 0 || k->used[i] != k->used[i - 1]))
            continue;
        sw_diag_add(k->diags, SW_D_NUMBER_OLD, SW_NOWHERE,
                    "the earlier numbers cannot be kept: %u %s", k->used[i],
                    i && k->used[i] == k->used[i - 1] ? "is there twice"
                                                      : "is not from 1 to 999999999");
        return false;
    }
    return true;
}

static sw_status keep(keeping *k, const sw_number_options *options, sw_number_report **report) {
    if (!set_up(k))
        return SW_SYSTEM;
    if (!old_is_sound(k))
        return SW_BAD_INPUT;
    if (!state_numbers(k, options->stated))
        return SW_USAGE;
    if (!find_matches(k))
        return SW_SYSTEM;
    match_nodes(k);
    give_numbers(k, options->compact);
    if (!swi_number_index(k->c) || (report && !make_report(k, report)))
        return SW_SYSTEM;
    return SW_OK;
}

sw_status sw_circuit_number_keep(sw_circuit *c, const sw_old_node *old, size_t old_count,
                                 const sw_number_options *options, sw_diags *diags,
                                 sw_number_report **report) {
    static const sw_number_options plain = {false, NULL};
    keeping k = {.c = c, .old = old, .diags = diags};
    if (report)
        *report = NULL;
    sw_status status = SW_SYSTEM;
    if (old_count < SW_NONE - c->node_count - 1) {
        k.old_count = (uint32_t)old_count;
        status = keep(&k, options ? options : &plain, report);
    }
    tear_down(&k);
    return status == SW_SYSTEM ? swi_out_of_memory(diags) : status;
}
