/* src/papers/probes_walk.c: probes in the order of walking over the board. */
#include <stdlib.h>
#include <string.h>

#include "probes.h"

int swi_steps_between(sw_hole a, sw_hole b) {
    return abs(a.strip - b.strip) + abs(a.column - b.column);
}

static void swap_ends(swi_probe *p) {
    swi_probe old = *p;
    p->a = old.b, p->b = old.a;
    p->node_a = old.node_b, p->node_b = old.node_a;
    p->touch_a = old.touch_b, p->touch_b = old.touch_a;
}

/* Always the nearest next: how far both hands move. */
static void walk(swi_probe *probes, uint32_t count, bool turnable) {
    sw_hole a = {0, 0}, b = {0, 0};
    for (uint32_t i = 0; i < count; i++) {
        uint32_t best = i;
        int least = -1;
        for (uint32_t k = i; k < count; k++) {
            int straight = swi_steps_between(a, probes[k].a) + swi_steps_between(b, probes[k].b);
            int crossed = swi_steps_between(a, probes[k].b) + swi_steps_between(b, probes[k].a);
            int far = turnable && crossed < straight ? crossed : straight;
            if (least < 0 || far < least)
                least = far, best = k;
        }
        swi_probe next = probes[best];
        memmove(&probes[i + 1], &probes[i], (best - i) * sizeof *probes);
        if (turnable && swi_steps_between(a, next.b) + swi_steps_between(b, next.a) < swi_steps_between(a, next.a) + swi_steps_between(b, next.b))
            swap_ends(&next);
        probes[i] = next;
        a = next.a;
        b = next.b;
    }
}

/* What a change touches comes before what it does not; in each, nodes first, then what must be apart;
 * last what wants power. */
static int group_of(const swi_probe *probe) {
    return probe->kind == SWI_PROBE_SUPPLY ? 4 : 2 * probe->stood + (probe->kind != SWI_PROBE_WHOLE);
}

/* Groups in order; within each as they were. */
static void sort_groups(swi_probe_list *list) {
    for (uint32_t i = 1; i < list->count; i++) {
        swi_probe probe = list->probes[i];
        uint32_t at = i;
        while (at > 0 && group_of(&list->probes[at - 1]) > group_of(&probe))
            at--;
        memmove(&list->probes[at + 1], &list->probes[at], (i - at) * sizeof probe);
        list->probes[at] = probe;
    }
}

void swi_probes_walk(swi_probe_list *list) {
    sort_groups(list);
    for (uint32_t first = 0, end = 0; first < list->count; first = end) {
        while (end < list->count && group_of(&list->probes[end]) == group_of(&list->probes[first]))
            end++;
        walk(&list->probes[first], end - first, list->probes[first].kind != SWI_PROBE_SUPPLY);
    }
}
