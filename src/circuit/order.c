/* The canonical order of a circuit. */
#include "circuit/order.h"

#include "base/arena.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* What is sorted: a key that needs no circuit to be compared, and whose it is. */
typedef struct entry {
    uint32_t number;    /* first of all; 0 behind the others */
    const char *ref, *pin;
    uint32_t index;
} entry;

static int by_key(const void *left, const void *right) {
    const entry *a = left, *b = right;
    if (a->number != b->number)
        return a->number - 1 < b->number - 1 ? -1 : 1; /* 0 wraps to the largest */
    int order = swi_natural_compare(a->ref, b->ref);
    if (order == 0)
        order = swi_natural_compare(a->pin, b->pin);
    if (order == 0)
        order = a->index < b->index ? -1 : a->index > b->index;
    return order;
}

static int by_owner_and_key(const void *left, const void *right) {
    const sw_property *a = *(const sw_property *const *)left;
    const sw_property *b = *(const sw_property *const *)right;
    if (a->owner != b->owner)
        return a->owner < b->owner ? -1 : 1;
    if (a->index != b->index)
        return a->index < b->index ? -1 : 1;
    int order = swi_natural_compare(a->key, b->key);
    if (order == 0)
        order = strcmp(a->key, b->key);
    return order ? order : a < b ? -1 : a > b; /* both are in one array: as they were added */
}

/* An entry for each pin of the list, sorted, back into the list. */
static void sort_pins(const sw_circuit *c, sw_pin_id *pins, uint32_t count, entry *room) {
    for (uint32_t i = 0; i < count; i++) {
        const sw_pin *pin = &c->pins[pins[i].i];
        room[i] = (entry){0, c->parts[pin->part.i].ref, pin->number, pins[i].i};
    }
    qsort(room, count, sizeof *room, by_key);
    for (uint32_t i = 0; i < count; i++)
        pins[i].i = room[i].index;
}

static void order_parts(swi_order *order, const sw_circuit *c, entry *room) {
    for (uint32_t i = 0; i < c->part_count; i++)
        room[i] = (entry){0, c->parts[i].ref, "", i};
    qsort(room, c->part_count, sizeof *room, by_key);
    for (uint32_t i = 0; i < c->part_count; i++)
        order->parts[i].i = room[i].index;
    for (uint32_t i = 0; i < c->pin_count; i++)
        order->part_pins[i].i = i;
    for (uint32_t i = 0; i < c->part_count; i++)
        sort_pins(c, order->part_pins + c->parts[i].first_pin.i, c->parts[i].pin_count, room);
}

static void order_nodes(swi_order *order, const sw_circuit *c, entry *room) {
    for (uint32_t i = 0; i < c->pin_count; i++)
        order->node_pins[i] = c->node_pins[i];
    for (uint32_t i = 0; i < c->node_count; i++)
        sort_pins(c, order->node_pins + c->nodes[i].first_pin, c->nodes[i].pin_count, room);
    for (uint32_t i = 0; i < c->node_count; i++) {
        const sw_pin *first = &c->pins[order->node_pins[c->nodes[i].first_pin].i];
        room[i] = (entry){c->nodes[i].number, c->parts[first->part.i].ref, first->number, i};
    }
    qsort(room, c->node_count, sizeof *room, by_key);
    for (uint32_t i = 0; i < c->node_count; i++)
        order->nodes[i].i = room[i].index;
}

static void order_properties(swi_order *order, const sw_circuit *c) {
    for (uint32_t i = 0; i < c->property_count; i++)
        order->properties[i] = &c->properties[i];
    qsort(order->properties, c->property_count, sizeof *order->properties, by_owner_and_key);
    order->property_count = c->property_count;
}

bool swi_order_work_out(swi_order *order, const sw_circuit *c) {
    memset(order, 0, sizeof *order);
    swi_arena *arena = order->memory = swi_arena_new();
    if (!arena)
        return false;
    order->parts = swi_arena_array(arena, c->part_count, sizeof *order->parts);
    order->part_pins = swi_arena_array(arena, c->pin_count, sizeof *order->part_pins);
    order->nodes = swi_arena_array(arena, c->node_count, sizeof *order->nodes);
    order->node_pins = swi_arena_array(arena, c->pin_count, sizeof *order->node_pins);
    order->properties = swi_arena_array(arena, c->property_count, sizeof *order->properties);
    size_t most = (size_t)c->part_count + c->pin_count + 1; /* nodes have pins */
    entry *room = malloc(most * sizeof *room);
    bool done = room && order->parts && order->part_pins && order->nodes && order->node_pins &&
                order->properties;
    if (done) {
        order_parts(order, c, room);
        order_nodes(order, c, room);
        order_properties(order, c);
    }
    free(room);
    return done;
}

void swi_order_free(swi_order *order) {
    swi_arena_free(order->memory);
    memset(order, 0, sizeof *order);
}

static bool belongs_before(const sw_property *property, sw_owner owner, uint32_t index) {
    return property->owner < owner || (property->owner == owner && property->index < index);
}

const sw_property *const *swi_order_properties(const swi_order *order, sw_owner owner,
                                               uint32_t index, uint32_t *count) {
    uint32_t from = 0, to = order->property_count;
    while (from < to) {
        uint32_t middle = from + (to - from) / 2;
        if (belongs_before(order->properties[middle], owner, index))
            from = middle + 1;
        else
            to = middle;
    }
    while (to < order->property_count && order->properties[to]->owner == owner &&
           order->properties[to]->index == index)
        to++;
    *count = to - from;
    return order->properties + from;
}
