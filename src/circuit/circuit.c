/* A frozen circuit: finding things in it, ordering them, freeing it. */
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

void swi_circuit_release(swi_circuit_memory *memory) {
    for (size_t i = 0; i < sizeof memory->owned / sizeof *memory->owned; i++)
        free(memory->owned[i]);
    swi_names_free(&memory->parts);
    swi_names_free(&memory->nodes);
    swi_names_free(&memory->nodes_exact);
}

void sw_circuit_free(sw_circuit *circuit) {
    if (!circuit)
        return;
    swi_arena *arena = circuit->memory->arena; /* holds the circuit itself, too */
    swi_circuit_release(circuit->memory);
    swi_arena_free(arena);
}

const char *swi_circuit_part_ref(const void *owner, uint32_t number) {
    return ((const sw_circuit *)owner)->parts[number].ref;
}

const char *swi_circuit_node_name(const void *owner, uint32_t number) {
    const sw_circuit *c = owner;
    return number < c->node_count ? c->nodes[number].name
                                  : c->memory->aliases[number - c->node_count].name;
}

sw_part_id swi_circuit_part_n(const sw_circuit *c, const char *ref, size_t length) {
    return (sw_part_id){
        swi_names_find(&c->memory->parts, ref, length, swi_circuit_part_ref, c)};
}

sw_node_id swi_circuit_node_n(const sw_circuit *c, const char *name, size_t length) {
    const swi_circuit_memory *m = c->memory;
    uint32_t found = swi_names_find(&m->nodes_exact, name, length, swi_circuit_node_name, c);
    if (found == SW_NONE)
        found = swi_names_find(&m->nodes, name, length, swi_circuit_node_name, c);
    if (found != SW_NONE && found >= c->node_count)
        found = m->aliases[found - c->node_count].node;
    return (sw_node_id){found};
}

sw_pin_id swi_circuit_pin_n(const sw_circuit *c, sw_part_id part, const char *pin,
                            size_t length) {
    if (part.i >= c->part_count || length == 0)
        return (sw_pin_id){SW_NONE};
    const sw_part *p = &c->parts[part.i];
    uint32_t end = p->first_pin.i + p->pin_count;
    for (uint32_t i = p->first_pin.i; i < end; i++)
        if (swi_equal_fold_n(pin, length, c->pins[i].number))
            return (sw_pin_id){i};
    for (uint32_t i = p->first_pin.i; i < end; i++)
        if (swi_equal_fold_n(pin, length, c->pins[i].name))
            return (sw_pin_id){i};
    return (sw_pin_id){SW_NONE};
}

/* A reference may hold points of its own (flattened subcircuits), so each point
 * is tried, from the last. */
sw_pin_id swi_circuit_pin_spelled_n(const sw_circuit *c, const char *text, size_t length) {
    sw_pin_id found = {SW_NONE};
    for (size_t at = length; found.i == SW_NONE && at-- > 1;)
        if (text[at] == '.')
            found = swi_circuit_pin_n(c, swi_circuit_part_n(c, text, at), text + at + 1,
                                      length - at - 1);
    return found;
}

sw_part_id sw_circuit_part(const sw_circuit *c, const char *ref) {
    return swi_circuit_part_n(c, ref, strlen(ref));
}

sw_node_id sw_circuit_node(const sw_circuit *c, const char *name) {
    return swi_circuit_node_n(c, name, strlen(name));
}

sw_pin_id sw_circuit_pin(const sw_circuit *c, sw_part_id part, const char *pin) {
    return swi_circuit_pin_n(c, part, pin, strlen(pin));
}

sw_pin_id sw_circuit_pin_spelled(const sw_circuit *c, const char *spelled) {
    return swi_circuit_pin_spelled_n(c, spelled, strlen(spelled));
}

sw_node_id sw_circuit_numbered(const sw_circuit *c, uint32_t number) {
    uint32_t low = 0, high = c->by_number ? c->node_count : 0;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (c->nodes[c->by_number[middle].i].number < number)
            low = middle + 1;
        else
            high = middle;
    }
    bool there = c->by_number && low < c->node_count &&
                 c->nodes[c->by_number[low].i].number == number;
    return there ? c->by_number[low] : (sw_node_id){SW_NONE};
}

/* ---- order ---- */

int sw_natural_compare(const char *a, const char *b) {
    return swi_natural_compare(a, b);
}

int swi_pin_compare(const sw_circuit *c, sw_pin_id a, sw_pin_id b) {
    const sw_pin *x = &c->pins[a.i], *y = &c->pins[b.i];
    if (x->part.i != y->part.i) {
        int order = swi_natural_compare(c->parts[x->part.i].ref, c->parts[y->part.i].ref);
        return order ? order : x->part.i < y->part.i ? -1 : 1;
    }
    int order = swi_natural_compare(x->number, y->number);
    return order ? order : a.i < b.i ? -1 : a.i > b.i;
}

/* ---- words for rails ---- */

static const struct { const char *word; sw_rail rail; } rails[] = {
    {"none", SW_RAIL_NONE}, {"positive", SW_RAIL_POSITIVE}, {"ground", SW_RAIL_GROUND},
    {"negative", SW_RAIL_NEGATIVE}, {"+", SW_RAIL_POSITIVE}, {"0", SW_RAIL_GROUND},
    {"-", SW_RAIL_NEGATIVE}};

const char *swi_rail_name(sw_rail rail) {
    return rails[rail].word; /* the first four are in the order of the type */
}

bool swi_rail_read(const char *text, sw_rail *rail) {
    for (size_t i = 0; i < sizeof rails / sizeof *rails; i++)
        if (swi_equal_fold(text, rails[i].word)) {
            *rail = rails[i].rail;
            return true;
        }
    return false;
}

/* ---- words for flags ---- */

const char *swi_part_flags(const sw_part *part, char out[SWI_FLAGS_LENGTH]) {
    bool deck = part->spice && part->kind == 'V' && !*part->value;
    *out = '\0';
    if (part->terminal)
        strcat(out, " terminal");
    if (part->polarised)
        strcat(out, " polarised");
    if (part->flat)
        strcat(out, " flat");
    return deck ? strcat(out, " deck") : out;
}

bool swi_part_flag_read(sw_part *part, const char *word, size_t length) {
    bool *const flags[] = {&part->flat, &part->terminal, &part->polarised, &part->spice};
    static const char *const words[] = {"flat", "terminal", "polarised", "deck"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_equal_fold_n(word, length, words[i]))
            return *flags[i] = true;
    return false;
}
