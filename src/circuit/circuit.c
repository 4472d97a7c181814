/* A frozen circuit: finding things in it, ordering them, freeing it. */
#include "circuit/circuit.h"

void sw_circuit_free(sw_circuit *circuit) {
    if (circuit)
        swi_arena_free(circuit->memory->arena); /* holds the circuit itself, too */
}

const char *swi_circuit_part_ref(const void *owner, uint32_t number) {
    return ((const sw_circuit *)owner)->parts[number].ref;
}

const char *swi_circuit_node_name(const void *owner, uint32_t number) {
    const sw_circuit *c = owner;
    return number < c->node_count ? c->nodes[number].name
                                  : c->memory->aliases[number - c->node_count].name;
}

sw_part_id sw_circuit_part(const sw_circuit *c, const char *ref) {
    return (sw_part_id){swi_names_find(&c->memory->parts, ref, swi_circuit_part_ref, c)};
}

sw_node_id sw_circuit_node(const sw_circuit *c, const char *name) {
    const swi_circuit_memory *m = c->memory;
    uint32_t found = swi_names_find(&m->nodes_exact, name, swi_circuit_node_name, c);
    if (found == SW_NONE)
        found = swi_names_find(&m->nodes, name, swi_circuit_node_name, c);
    if (found != SW_NONE && found >= c->node_count)
        found = m->aliases[found - c->node_count].node;
    return (sw_node_id){found};
}

sw_pin_id sw_circuit_pin(const sw_circuit *c, sw_part_id part, const char *pin) {
    if (part.i >= c->part_count)
        return (sw_pin_id){SW_NONE};
    const sw_part *p = &c->parts[part.i];
    for (uint32_t i = p->first_pin.i; i < p->first_pin.i + p->pin_count; i++)
        if (swi_equal_fold(c->pins[i].number, pin))
            return (sw_pin_id){i};
    for (uint32_t i = p->first_pin.i; i < p->first_pin.i + p->pin_count; i++)
        if (*pin && swi_equal_fold(c->pins[i].name, pin))
            return (sw_pin_id){i};
    return (sw_pin_id){SW_NONE};
}

/* ---- order ---- */

static const char *skip_zeros(const char *digits) {
    while (*digits == '0' && swi_is_digit(digits[1]))
        digits++;
    return digits;
}

/* Two runs of digits by value; moves both texts behind them. */
static int compare_digits(const char **left, const char **right) {
    const char *a = skip_zeros(*left), *b = skip_zeros(*right);
    const char *a_end = a, *b_end = b;
    while (swi_is_digit(*a_end))
        a_end++;
    while (swi_is_digit(*b_end))
        b_end++;
    *left = a_end;
    *right = b_end;
    if (a_end - a != b_end - b)
        return a_end - a < b_end - b ? -1 : 1;
    for (; a < a_end; a++, b++)
        if (*a != *b)
            return *a < *b ? -1 : 1;
    return 0;
}

int sw_natural_compare(const char *a, const char *b) {
    while (*a && *b) {
        if (swi_is_digit(*a) && swi_is_digit(*b)) {
            int order = compare_digits(&a, &b);
            if (order != 0)
                return order;
            continue;
        }
        unsigned char x = (unsigned char)swi_lower(*a++), y = (unsigned char)swi_lower(*b++);
        if (x != y)
            return x < y ? -1 : 1;
    }
    return *a ? 1 : *b ? -1 : 0;
}

int swi_pin_compare(const sw_circuit *c, sw_pin_id a, sw_pin_id b) {
    const sw_pin *x = &c->pins[a.i], *y = &c->pins[b.i];
    if (x->part.i != y->part.i) {
        int order = swi_text_order(c->parts[x->part.i].ref, c->parts[y->part.i].ref);
        return order ? order : x->part.i < y->part.i ? -1 : 1;
    }
    int order = swi_text_order(x->number, y->number);
    return order ? order : a.i < b.i ? -1 : a.i > b.i;
}

int swi_text_order(const char *a, const char *b) {
    int order = sw_natural_compare(a, b);
    return order ? order : swi_compare_fold(a, b);
}
