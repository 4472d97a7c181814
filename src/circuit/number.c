/* Numbering: the order in which nodes are numbered, from references and pins
 * alone (src/circuit/README.md states it).
 */
#include "base/fault.h"
#include "circuit/circuit.h"

#include <stdlib.h>

typedef struct ordering {
    const sw_circuit *c;
    const sw_part **parts; /* in the order they are walked */
    const sw_pin **pins;   /* room for those of one part */
    uint8_t *done;         /* per node: has its place */
    uint32_t *order;       /* node indices, next of them placed */
    uint32_t next;
} ordering;

static int by_ref(const void *left, const void *right) {
    const sw_part *const *a = left, *const *b = right;
    return swi_natural_compare((*a)->ref, (*b)->ref);
}

static int by_pins_then_ref(const void *left, const void *right) {
    const sw_part *const *a = left, *const *b = right;
    if ((*a)->pin_count != (*b)->pin_count)
        return (*a)->pin_count > (*b)->pin_count ? -1 : 1;
    return by_ref(left, right);
}

static int by_pin(const void *left, const void *right) {
    const sw_pin *const *a = left, *const *b = right;
    return swi_natural_compare((*a)->number, (*b)->number);
}

/* Gives the part's pins in natural order of their numbers. */
static void sort_pins(ordering *o, const sw_part *part) {
    bool sorted = true;
    for (uint32_t i = 0; i < part->pin_count; i++) {
        o->pins[i] = &o->c->pins[part->first_pin.i + i];
        sorted = sorted && (i == 0 || by_pin(&o->pins[i - 1], &o->pins[i]) <= 0);
    }
    if (!sorted)
        qsort(o->pins, part->pin_count, sizeof *o->pins, by_pin);
}

/* Which nodes a walk takes. */
typedef struct taking {
    bool lone;      /* those of one pin, or those of more */
    bool any_rail;  /* whatever they are, or only … */
    sw_rail rail;   /* … those that are this kind of rail */
} taking;

static bool takes(const sw_node *node, taking take) {
    if (!take.any_rail)
        return node->rail == take.rail;
    return node->rail == SW_RAIL_NONE && (node->pin_count == 1) == take.lone;
}

static void walk(ordering *o, taking take) {
    for (uint32_t p = 0; p < o->c->part_count; p++) {
        sort_pins(o, o->parts[p]);
        for (uint32_t i = 0; i < o->parts[p]->pin_count; i++) {
            uint32_t node = o->pins[i]->node.i;
            if (o->done[node] || !takes(&o->c->nodes[node], take))
                continue;
            o->done[node] = 1;
            o->order[o->next++] = node;
        }
    }
}

static void walk_all(ordering *o) {
    static const sw_rail rails[] = {SW_RAIL_POSITIVE, SW_RAIL_GROUND, SW_RAIL_NEGATIVE};
    for (uint32_t i = 0; i < o->c->part_count; i++)
        o->parts[i] = &o->c->parts[i];
    qsort(o->parts, o->c->part_count, sizeof *o->parts, by_pins_then_ref);
    for (size_t i = 0; i < sizeof rails / sizeof *rails; i++)
        walk(o, (taking){.rail = rails[i]});
    walk(o, (taking){.any_rail = true});
    qsort(o->parts, o->c->part_count, sizeof *o->parts, by_ref);
    walk(o, (taking){.any_rail = true, .lone = true});
}

uint32_t *swi_number_order(const sw_circuit *c) {
    uint32_t most_pins = 0;
    for (uint32_t i = 0; i < c->part_count; i++)
        if (c->parts[i].pin_count > most_pins)
            most_pins = c->parts[i].pin_count;
    ordering o = {.c = c};
    o.parts = malloc(((size_t)c->part_count + 1) * sizeof *o.parts);
    o.pins = malloc(((size_t)most_pins + 1) * sizeof *o.pins);
    o.done = calloc((size_t)c->node_count + 1, 1);
    o.order = malloc(((size_t)c->node_count + 1) * sizeof *o.order);
    bool done = o.parts && o.pins && o.done && o.order;
    if (done)
        walk_all(&o);
    free(o.parts);
    free(o.pins);
    free(o.done);
    if (done)
        return o.order;
    free(o.order);
    return NULL;
}

typedef struct numbered { uint32_t number, node; } numbered;

static int by_number(const void *left, const void *right) {
    const numbered *a = left, *b = right;
    return a->number < b->number ? -1 : a->number > b->number;
}

bool swi_number_index(sw_circuit *c) {
    numbered *sorted = malloc(((size_t)c->node_count + 1) * sizeof *sorted);
    if (!c->by_number)
        c->by_number = swi_arena_array(c->memory->arena, (size_t)c->node_count + 1,
                                       sizeof *c->by_number);
    bool done = sorted && c->by_number;
    if (done) {
        for (uint32_t i = 0; i < c->node_count; i++)
            sorted[i] = (numbered){c->nodes[i].number, i};
        qsort(sorted, c->node_count, sizeof *sorted, by_number);
        for (uint32_t i = 0; i < c->node_count; i++)
            c->by_number[i].i = sorted[i].node;
    }
    free(sorted);
    return done;
}

sw_status sw_circuit_number(sw_circuit *c, sw_diags *diags) {
    uint32_t *order = swi_number_order(c);
    if (order)
        for (uint32_t i = 0; i < c->node_count; i++)
            c->nodes[order[i]].number = i + 1;
    bool done = order && swi_number_index(c);
    free(order);
    return done ? SW_OK : swi_out_of_memory(diags);
}
