/* src/circuit/compare.c: what changed electrically between two circuits.
 *
 * Parts are matched by reference, pins by number.  Nodes have no identity of
 * their own: each node of the one circuit is paired with the node of the other
 * that shares most pins with it, greatest overlap first; a pin that is not on
 * its node's partner has moved.
 */
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

/* Two nodes and how many pins they share. */
typedef struct overlap {
    uint32_t before, after, pins;
} overlap;

typedef struct comparing {
    const sw_circuit *before, *after;
    uint32_t *pin_after;     /* per pin of before: the same pin of after, SW_NONE */
    bool *pin_known;         /* per pin of after: before has it too */
    uint32_t *partner;       /* per node of before: its node of after, SW_NONE */
    sw_comparison *result;
    size_t capacity;
    bool failed;
} comparing;

static void add(comparing *c, sw_change change) {
    sw_comparison *r = c->result;
    if (!SWI_GROW(r->changes, c->capacity, (size_t)r->change_count + 1)) {
        c->failed = true;
        return;
    }
    r->changes[r->change_count++] = change;
}

static uint32_t same_pin(const sw_circuit *circuit, sw_part_id part, const char *number) {
    return sw_circuit_pin(circuit, part, number).i;
}

static void match_pins(comparing *c) {
    for (uint32_t i = 0; i < c->before->part_count; i++) {
        const sw_part *part = &c->before->parts[i];
        sw_part_id other = sw_circuit_part(c->after, part->ref);
        for (uint32_t k = 0; k < part->pin_count; k++) {
            uint32_t pin = part->first_pin.i + k, match = SW_NONE;
            if (other.i != SW_NONE)
                match = same_pin(c->after, other, c->before->pins[pin].number);
            c->pin_after[pin] = match;
            if (match != SW_NONE)
                c->pin_known[match] = true;
        }
    }
}

static int by_nodes(const void *a, const void *b) {
    const overlap *x = a, *y = b;
    if (x->before != y->before)
        return x->before < y->before ? -1 : 1;
    return x->after < y->after ? -1 : x->after > y->after;
}

/* Greatest overlap first; then the order of the nodes, so that the answer is the
 * same on any machine. */
static int by_overlap(const void *a, const void *b) {
    const overlap *x = a, *y = b;
    if (x->pins != y->pins)
        return x->pins > y->pins ? -1 : 1;
    return by_nodes(a, b);
}

static uint32_t merge_equal(overlap *list, uint32_t count) {
    uint32_t kept = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (kept && by_nodes(&list[kept - 1], &list[i]) == 0)
            list[kept - 1].pins++;
        else
            list[kept++] = list[i];
    }
    return kept;
}

static void pair_nodes(comparing *c) {
    uint32_t count = 0;
    overlap *list = calloc((size_t)c->before->pin_count + 1, sizeof *list);
    bool *taken = calloc((size_t)c->after->node_count + 1, sizeof *taken);
    c->failed = c->failed || !list || !taken;
    for (uint32_t i = 0; !c->failed && i < c->before->pin_count; i++)
        if (c->pin_after[i] != SW_NONE)
            list[count++] = (overlap){c->before->pins[i].node.i, c->after->pins[c->pin_after[i]].node.i, 1};
    for (uint32_t n = 0; n < c->before->node_count; n++)
        c->partner[n] = SW_NONE;
    if (count) {
        qsort(list, count, sizeof *list, by_nodes);
        count = merge_equal(list, count);
        qsort(list, count, sizeof *list, by_overlap);
    }
    for (uint32_t i = 0; i < count; i++)
        if (c->partner[list[i].before] == SW_NONE && !taken[list[i].after]) {
            c->partner[list[i].before] = list[i].after;
            taken[list[i].after] = true;
        }
    free(list);
    free(taken);
}

static sw_quantity quantity_of(char kind) {
    return kind == 'R' || kind == 'P' ? SW_OHMS : kind == 'C' ? SW_FARADS : kind == 'L' ? SW_HENRIES : SW_OTHER;
}

bool swi_same_value(char kind, const char *a, const char *b) {
    double x, y;
    if (swi_equal_fold(a, b))
        return true;
    sw_quantity quantity = quantity_of(kind);
    return quantity != SW_OTHER && sw_value_read(a, quantity, false, &x) && sw_value_read(b, quantity, false, &y) && x == y;
}

static void compare_part(comparing *c, const sw_part *a, const sw_part *b) {
    if (!swi_same_value(a->kind, a->value, b->value))
        add(c, (sw_change){SW_CHANGE_VALUE, a->ref, "", a->value, b->value, 0, 0});
    if (!swi_equal_fold(a->device, b->device))
        add(c, (sw_change){SW_CHANGE_DEVICE, a->ref, "", a->device, b->device, 0, 0});
    if (!swi_equal_fold(a->package, b->package))
        add(c, (sw_change){SW_CHANGE_PACKAGE, a->ref, "", a->package, b->package, 0, 0});
}

static void compare_pins(comparing *c, const sw_part *part) {
    for (uint32_t k = 0; k < part->pin_count; k++) {
        const sw_pin *pin = &c->before->pins[part->first_pin.i + k];
        uint32_t match = c->pin_after[part->first_pin.i + k];
        const sw_node *node = &c->before->nodes[pin->node.i];
        if (match == SW_NONE) {
            add(c, (sw_change){SW_CHANGE_PIN_GONE, part->ref, pin->number, node->name, "", node->number, 0});
            continue;
        }
        uint32_t now = c->after->pins[match].node.i;
        if (c->partner[pin->node.i] != now)
            add(c, (sw_change){SW_CHANGE_PIN_MOVED, part->ref, pin->number, node->name, c->after->nodes[now].name,
                               node->number, c->after->nodes[now].number});
    }
}

static void compare_before(comparing *c) {
    for (uint32_t i = 0; i < c->before->part_count; i++) {
        const sw_part *part = &c->before->parts[i];
        sw_part_id other = sw_circuit_part(c->after, part->ref);
        if (other.i == SW_NONE) {
            add(c, (sw_change){SW_CHANGE_PART_GONE, part->ref, "", part->value, "", 0, 0});
            continue;
        }
        compare_part(c, part, &c->after->parts[other.i]);
        compare_pins(c, part);
    }
}

static void compare_after(comparing *c) {
    for (uint32_t i = 0; i < c->after->part_count; i++) {
        const sw_part *part = &c->after->parts[i];
        if (sw_circuit_part(c->before, part->ref).i == SW_NONE) {
            add(c, (sw_change){SW_CHANGE_PART_NEW, part->ref, "", "", part->value, 0, 0});
            continue;
        }
        for (uint32_t k = 0; k < part->pin_count; k++) {
            uint32_t pin = part->first_pin.i + k;
            const sw_node *node = &c->after->nodes[c->after->pins[pin].node.i];
            if (!c->pin_known[pin])
                add(c, (sw_change){SW_CHANGE_PIN_NEW, part->ref, c->after->pins[pin].number, "", node->name, 0,
                                   node->number});
        }
    }
}

static int by_reference(const void *a, const void *b) {
    const sw_change *x = a, *y = b;
    int order = sw_natural_compare(x->ref, y->ref);
    if (order == 0)
        order = (int)x->kind - (int)y->kind;
    return order ? order : sw_natural_compare(x->pin, y->pin);
}

sw_status sw_circuit_compare(const sw_circuit *before, const sw_circuit *after, sw_comparison **out) {
    comparing c = {.before = before, .after = after};
    c.pin_after = calloc((size_t)before->pin_count + 1, sizeof *c.pin_after);
    c.pin_known = calloc((size_t)after->pin_count + 1, sizeof *c.pin_known);
    c.partner = calloc((size_t)before->node_count + 1, sizeof *c.partner);
    c.result = calloc(1, sizeof *c.result);
    c.failed = !c.pin_after || !c.pin_known || !c.partner || !c.result;
    if (!c.failed) {
        match_pins(&c);
        pair_nodes(&c);
    }
    if (!c.failed) {
        compare_before(&c);
        compare_after(&c);
    }
    free(c.pin_after);
    free(c.pin_known);
    free(c.partner);
    if (c.failed) {
        sw_comparison_free(c.result);
        return SW_SYSTEM;
    }
    if (c.result->change_count)
        qsort(c.result->changes, c.result->change_count, sizeof *c.result->changes, by_reference);
    *out = c.result;
    return c.result->change_count ? SW_FINDINGS : SW_OK;
}

void sw_comparison_free(sw_comparison *comparison) {
    if (comparison)
        free(comparison->changes);
    free(comparison);
}

static const char *or_nothing(const char *text) { return text[0] ? text : "nothing"; }

void sw_change_write(const sw_change *x, sw_buf *out) {
    switch (x->kind) {
    case SW_CHANGE_PART_GONE:
        sw_buf_printf(out, "%s is gone", x->ref);
        break;
    case SW_CHANGE_PART_NEW:
        sw_buf_printf(out, "%s is new%s%s", x->ref, x->after[0] ? ": " : "", x->after);
        break;
    case SW_CHANGE_VALUE:
        sw_buf_printf(out, "%s is %s now, was %s", x->ref, or_nothing(x->after), or_nothing(x->before));
        break;
    case SW_CHANGE_DEVICE:
        sw_buf_printf(out, "%s is of type %s now, was %s", x->ref, or_nothing(x->after), or_nothing(x->before));
        break;
    case SW_CHANGE_PACKAGE:
        sw_buf_printf(out, "%s is in package %s now, was in %s", x->ref, or_nothing(x->after),
                      or_nothing(x->before));
        break;
    case SW_CHANGE_PIN_GONE:
        sw_buf_printf(out, "%s pin %s is gone (was on %s)", x->ref, x->pin, x->before);
        break;
    case SW_CHANGE_PIN_NEW:
        sw_buf_printf(out, "%s pin %s is new, on %s", x->ref, x->pin, x->after);
        break;
    case SW_CHANGE_PIN_MOVED:
        sw_buf_printf(out, "%s pin %s is on %s now, was on %s", x->ref, x->pin, x->after, x->before);
        break;
    }
}
