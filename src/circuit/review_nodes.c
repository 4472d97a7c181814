/* Names of nodes, what hangs together, and where ground is. */
#include "circuit/review.h"

#include <stdlib.h>
#include <string.h>

/* ---- names ---- */

static void review_names(swi_review *r) {
    const sw_circuit *c = r->c;
    for (uint32_t i = 0; i < c->node_count; i++) {
        const sw_node *node = &c->nodes[i];
        if (!node->named)
            continue;
        uint32_t first = swi_names_find(&c->memory->nodes, node->name, strlen(node->name),
                                        swi_circuit_node_name, c);
        if (first != i && first < c->node_count && c->nodes[first].named)
            sw_diag_add(r->diags, SW_D_NODE_NAME_CASE, node->span,
                        "nodes %s and %s differ only in the case of letters, and are two: give "
                        "them one spelling if they are one", c->nodes[first].name, node->name);
    }
}

/* A named node of this pin alone, or of legs that its package joins: then of the first. */
static bool is_single(const swi_review *r, const sw_pin *pin) {
    const sw_node *node = swi_node_of(r, pin);
    return swi_is_lone(r, pin) && node->named && pin->type != SW_PIN_NOT_CONNECTED &&
           pin->type != SW_PIN_KEEP_OPEN && pin == &r->c->pins[r->c->node_pins[node->first_pin].i];
}

/* A netlist that names a node for each pin has one for each pin that is not used: they are told
 * once a part. */
static void review_single(swi_review *r, const sw_part *part) {
    sw_buf list = SW_BUF_INIT;
    const sw_pin *first = NULL;
    uint32_t count = 0;
    char name[40];
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = swi_pin_of(r, part, i);
        if (!is_single(r, pin))
            continue;
        sw_buf_printf(&list, "%s%s (pin %s)", count ? ", " : "", swi_node_of(r, pin)->name, pin->number);
        first = first ? first : pin;
        count++;
    }
    if (count == 1)
        sw_diag_add(r->diags, SW_D_NODE_SINGLE, first->span,
                    "node %s joins nothing: only pin %s%s of %s is on it: check the spelling of its "
                    "name, or connect something", swi_node_of(r, first)->name, first->number,
                    swi_named(first, name), part->ref);
    else if (count)
        sw_diag_add(r->diags, SW_D_NODE_SINGLE, first->span,
                    "these nodes join nothing, each is on one pin of %s alone: %s: check the spelling of "
                    "their names, or connect something", part->ref, list.bytes ? list.bytes : "");
    sw_buf_free(&list);
}

/* ---- what drives a node ---- */

static bool may_drive(const swi_review *r, const sw_pin *pin) {
    switch (pin->type) {
    case SW_PIN_INPUT: case SW_PIN_POWER_POSITIVE: case SW_PIN_POWER_NEGATIVE: case SW_PIN_GROUND:
    case SW_PIN_NOT_CONNECTED:
        return false;
    default:
        return r->c->parts[pin->part.i].kind != 'C';
    }
}

/* Capacitors pass no direct current, inputs take and give none: a node of these alone
 * has no voltage that anybody knows. */
static void review_drive(swi_review *r) {
    const sw_circuit *c = r->c;
    for (uint32_t i = 0; i < c->node_count; i++) {
        const sw_node *node = &c->nodes[i];
        bool driven = r->lone[i] || node->rail == SW_RAIL_GROUND;
        for (uint32_t p = 0; !driven && p < node->pin_count; p++)
            driven = may_drive(r, &c->pins[c->node_pins[node->first_pin + p].i]);
        if (driven)
            continue;
        const sw_pin *pin = &c->pins[c->node_pins[node->first_pin].i];
        if (node->rail != SW_RAIL_NONE)
            sw_diag_add(r->diags, SW_D_RAIL_UNFED, pin->span,
                        "nothing feeds rail %s: only supply pins, inputs and capacitors are on it; "
                        "bring the supply to the board with a source, connector or terminal pin",
                        node->name);
        else
            sw_diag_add(r->diags, SW_D_NODE_FLOATING, pin->span,
                        "nothing sets the voltage of node %s: only inputs and capacitors are on it; "
                        "give it a path for direct current, such as a resistor", node->name);
    }
}

/* ---- islands ---- */

static uint32_t root(const swi_review *r, uint32_t node) {
    while (r->island[node] != node)
        node = r->island[node] = r->island[r->island[node]];
    return node;
}

static void join(swi_review *r, uint32_t a, uint32_t b) {
    r->island[root(r, a)] = root(r, b);
}

/* A part joins its nodes; terminal pins are joined beside the board, by whatever
 * hangs there. */
static void join_islands(swi_review *r) {
    const sw_circuit *c = r->c;
    uint32_t beside = SW_NONE;
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_part *part = &c->parts[i];
        if (part->pin_count == 0)
            continue;
        uint32_t first = c->pins[part->first_pin.i].node.i;
        for (uint32_t p = 1; p < part->pin_count; p++)
            join(r, c->pins[part->first_pin.i + p].node.i, first);
        if (part->terminal && beside != SW_NONE)
            join(r, first, beside);
        if (part->terminal)
            beside = first;
    }
}

/* Parts whose every pin is lone were told before. */
static bool counts(const swi_review *r, const sw_part *part) {
    for (uint32_t p = 0; p < part->pin_count; p++)
        if (!swi_is_lone(r, swi_pin_of(r, part, p)))
            return true;
    return false;
}

static uint32_t island_of(const swi_review *r, const sw_part *part) {
    return root(r, r->c->pins[part->first_pin.i].node.i);
}

static void report_island(swi_review *r, uint32_t island) {
    const sw_circuit *c = r->c;
    sw_buf refs = SW_BUF_INIT;
    const sw_part *first = NULL;
    bool ground = false;
    for (uint32_t i = 0; i < c->node_count; i++)
        ground = ground || (root(r, i) == island && c->nodes[i].rail == SW_RAIL_GROUND);
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_part *part = &c->parts[i];
        if (!counts(r, part) || island_of(r, part) != island)
            continue;
        if (refs.length > 120) {
            sw_buf_puts(&refs, " …");
            break;
        }
        sw_buf_printf(&refs, "%s%s", first ? " " : "", part->ref);
        first = first ? first : part;
    }
    if (first)
        sw_diag_add(r->diags, SW_D_ISLAND, first->span,
                    "these parts are joined to each other but not to the rest%s: %s: connect them, "
                    "or make them a board of their own",
                    ground ? "" : ", and have no path to ground", refs.bytes ? refs.bytes : "");
    sw_buf_free(&refs);
}

enum { MOST_TOLD = 20 }; /* each is looked for in the whole circuit */

/* All islands but the one of most pins. */
static void review_islands(swi_review *r, uint32_t *pins) {
    const sw_circuit *c = r->c;
    uint32_t main_island = SW_NONE;
    for (uint32_t i = 0; i < c->part_count; i++)
        if (counts(r, &c->parts[i]))
            pins[island_of(r, &c->parts[i])] += c->parts[i].pin_count;
    for (uint32_t i = 0; i < c->node_count; i++)
        if (pins[i] && (main_island == SW_NONE || pins[i] > pins[main_island]))
            main_island = i;
    uint32_t told = 0;
    for (uint32_t i = 0; i < c->node_count; i++)
        if (pins[i] && i != main_island && told++ < MOST_TOLD)
            report_island(r, i);
    if (told > MOST_TOLD)
        sw_diag_add(r->diags, SW_D_ISLAND, SW_NOWHERE,
                    "and %u more such groups of parts are not joined to the rest", told - MOST_TOLD);
}

static void review_ground(swi_review *r) {
    const sw_circuit *c = r->c;
    for (uint32_t i = 0; i < c->node_count; i++)
        if (c->nodes[i].rail == SW_RAIL_GROUND)
            return;
    if (c->part_count)
        sw_diag_add(r->diags, SW_D_GROUND_MISSING, SW_NOWHERE,
                    "no node is ground, so nothing has a path to it: call it 0 or GND, or state "
                    "which it is (NODE=ground)");
}

void swi_review_nodes(swi_review *r) {
    review_names(r);
    for (uint32_t i = 0; i < r->c->part_count; i++)
        review_single(r, &r->c->parts[i]);
    review_drive(r);
    review_ground(r);
    join_islands(r);
    uint32_t *pins = calloc((size_t)r->c->node_count + 1, sizeof *pins);
    if (pins)
        review_islands(r, pins);
    else
        r->out = true;
    free(pins);
}
