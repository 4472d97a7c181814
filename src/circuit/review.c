/* The review: mistakes that cost a redraw, found at the desk. */
#include "circuit/review.h"
#include "base/fault.h"

#include <stdlib.h>
#include <string.h>

const sw_node *swi_node_of(const swi_review *r, const sw_pin *pin) {
    return &r->c->nodes[pin->node.i];
}

const sw_pin *swi_pin_of(const swi_review *r, const sw_part *part, uint32_t index) {
    return &r->c->pins[part->first_pin.i + index];
}

bool swi_is_lone(const swi_review *r, const sw_pin *pin) {
    return r->lone[pin->node.i] != 0;
}

const char *swi_named(const sw_pin *pin, char out[40]) {
    size_t length = strlen(pin->name);
    if (length == 0 || length > 36 || swi_equal_fold(pin->name, pin->number))
        return "";
    out[0] = ' ';
    out[1] = '(';
    memcpy(out + 2, pin->name, length);
    memcpy(out + 2 + length, ")", 2);
    return out;
}

static uint16_t group_in_package(const swi_review *r, const sw_pin *pin) {
    const sw_part *part = &r->c->parts[pin->part.i];
    uint32_t index = (uint32_t)(pin - r->c->pins) - part->first_pin.i;
    return part->form && part->form->joined && index < part->form->pin_count
               ? part->form->joined[index] : 0;
}

/* All legs of a node that only one package's inside joins lead nowhere else. */
static bool is_lone_node(const swi_review *r, const sw_node *node) {
    const sw_pin *first = &r->c->pins[r->c->node_pins[node->first_pin].i];
    uint16_t group = group_in_package(r, first);
    for (uint32_t i = 1; i < node->pin_count; i++) {
        const sw_pin *pin = &r->c->pins[r->c->node_pins[node->first_pin + i].i];
        if (group == 0 || pin->part.i != first->part.i || group_in_package(r, pin) != group)
            return false;
    }
    return true;
}

static bool set_up(swi_review *r) {
    const sw_circuit *c = r->c;
    r->lone = calloc((size_t)c->node_count + 1, 1);
    r->island = malloc(((size_t)c->node_count + 1) * sizeof *r->island);
    if (!r->lone || !r->island)
        return false;
    for (uint32_t i = 0; i < c->node_count; i++) {
        r->island[i] = i;
        r->lone[i] = is_lone_node(r, &c->nodes[i]);
        r->negative = r->negative || c->nodes[i].rail == SW_RAIL_NEGATIVE;
        r->positives += c->nodes[i].rail == SW_RAIL_POSITIVE;
    }
    return true;
}

sw_status sw_review(const sw_circuit *fitted, sw_diags *diags) {
    swi_review r = {.c = fitted, .diags = diags};
    bool done = set_up(&r);
    if (done) {
        swi_review_pins(&r);
        swi_review_nodes(&r);
        swi_review_supply(&r);
        swi_review_values(&r);
    }
    free(r.lone);
    free(r.island);
    return done && !r.out ? SW_OK : swi_out_of_memory(diags);
}
