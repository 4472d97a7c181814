/* Supply pins and rails, parts that must not be turned round, voltages, decoupling. */
#include "circuit/review.h"
#include "base/num.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *rail_word(sw_rail rail) {
    return rail == SW_RAIL_POSITIVE ? "positive" : rail == SW_RAIL_NEGATIVE ? "negative" : "ground";
}

/* ---- supply pins ---- */

static bool is_positive_pin(const sw_pin *pin) {
    return pin->type == SW_PIN_POWER_POSITIVE;
}

static bool is_return_pin(const sw_pin *pin) {
    return pin->type == SW_PIN_GROUND || pin->type == SW_PIN_POWER_NEGATIVE;
}

static void review_supply_pin(swi_review *r, const sw_part *part, const sw_pin *pin) {
    const sw_node *node = swi_node_of(r, pin);
    bool wrong = is_positive_pin(pin) ? node->rail == SW_RAIL_GROUND || node->rail == SW_RAIL_NEGATIVE
                                      : node->rail == SW_RAIL_POSITIVE;
    if (swi_is_lone(r, pin))
        return; /* told as an open pin */
    if (node->rail == SW_RAIL_NONE)
        sw_diag_add(r->diags, SW_D_SUPPLY_NOT_RAIL, pin->span,
                    "supply pin %s (%s) of %s is on node %s, which is no rail: connect it to one, "
                    "or state that the node is one", pin->number, pin->name, part->ref, node->name);
    else if (wrong)
        sw_diag_add(r->diags, SW_D_SUPPLY_WRONG_RAIL, pin->span,
                    "supply pin %s (%s) of %s is on node %s, a %s rail (%s): the part would be "
                    "destroyed; check its pins", pin->number, pin->name, part->ref, node->name,
                    rail_word(node->rail), node->rail_why);
}

static void review_supply_pins(swi_review *r, const sw_part *part) {
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = swi_pin_of(r, part, i);
        if (!is_positive_pin(pin) && !is_return_pin(pin))
            continue;
        review_supply_pin(r, part, pin);
        for (uint32_t k = 0; is_positive_pin(pin) && k < part->pin_count; k++) {
            const sw_pin *other = swi_pin_of(r, part, k);
            if (is_return_pin(other) && other->node.i == pin->node.i)
                sw_diag_add(r->diags, SW_D_SUPPLIES_JOINED, pin->span,
                            "supply pins %s (%s) and %s (%s) of %s are both on node %s: the supply "
                            "is shorted, or the part has none; part the nodes", pin->number,
                            pin->name, other->number, other->name, part->ref,
                            swi_node_of(r, pin)->name);
        }
    }
}

/* ---- parts that must not be turned round ---- */

/* Whether a stands surely below b: by volts where both are known, else by kind. */
static bool is_below(const sw_node *a, const sw_node *b) {
    static const int level[] = {[SW_RAIL_NEGATIVE] = -1, [SW_RAIL_GROUND] = 0, [SW_RAIL_POSITIVE] = 1};
    if (a->rail == SW_RAIL_NONE || b->rail == SW_RAIL_NONE)
        return false;
    if (a->volts != 0 && b->volts != 0)
        return a->volts < b->volts;
    return level[a->rail] < level[b->rail];
}

/* A rail at the end of all voltages tells even when the other lead is on a signal. */
static bool is_backwards(const swi_review *r, const sw_node *plus, const sw_node *minus) {
    if (plus == minus)
        return false;
    bool lowest = plus->rail == SW_RAIL_GROUND && !r->negative && minus->rail == SW_RAIL_NONE;
    bool highest = minus->rail == SW_RAIL_POSITIVE && r->positives == 1 &&
                   plus->rail == SW_RAIL_NONE;
    return is_below(plus, minus) || lowest || highest;
}

static bool is_called(const swi_review *r, const sw_part *part, uint32_t index, const char *name) {
    return swi_equal_fold(swi_pin_of(r, part, index)->name, name);
}

/* The only node that direct current of an LED's lead on this node can come from or go to: itself,
 * or the rail to which all else that is there leads through resistors. */
static const sw_node *led_leads_to(const swi_review *r, const sw_node *node, const char *lead) {
    const sw_node *rail = NULL;
    if (node->rail != SW_RAIL_NONE)
        return node;
    for (uint32_t i = 0; i < node->pin_count; i++) {
        const sw_pin *pin = &r->c->pins[r->c->node_pins[node->first_pin + i].i];
        const sw_part *part = &r->c->parts[pin->part.i];
        if (part->kind == 'C' || (part->kind == 'D' && part->pin_count == 2 && swi_equal_fold(pin->name, lead)))
            continue;
        if (part->kind != 'R' || part->pin_count != 2)
            return node;
        const sw_node *far = swi_node_of(r, swi_pin_of(r, part, pin == swi_pin_of(r, part, 0)));
        if (far->rail == SW_RAIL_NONE || (rail && rail != far))
            return node;
        rail = far;
    }
    return rail ? rail : node;
}

static void review_led(swi_review *r, const sw_part *part, const sw_node *anode, const sw_node *cathode) {
    const sw_node *from = led_leads_to(r, anode, "A"), *to = led_leads_to(r, cathode, "K");
    if (!is_backwards(r, from, to))
        return;
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "its anode is on node %s", anode->name);
    if (from != anode)
        sw_buf_printf(&text, ", which leads to %s alone,", from->name);
    sw_buf_printf(&text, " and its cathode on %s", cathode->name);
    if (to != cathode)
        sw_buf_printf(&text, ", which leads to %s alone", to->name);
    sw_diag_add(r->diags, SW_D_POLARITY, part->span,
                "LED %s is in backwards: %s, so it never lights: swap its nodes", part->ref,
                text.bytes ? text.bytes : "");
    sw_buf_free(&text);
}

static bool is_coil_on(const swi_review *r, const sw_part *part, const sw_node *a, const sw_node *b) {
    bool on_a = false, on_b = false;
    if (part->kind != 'L' && !(part->known && swi_match("*relay*", part->known->name)))
        return false;
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = swi_pin_of(r, part, i);
        bool coil = part->kind == 'L' || swi_match("COIL*", pin->name);
        on_a = on_a || (coil && swi_node_of(r, pin) == a);
        on_b = on_b || (coil && swi_node_of(r, pin) == b);
    }
    return on_a && on_b;
}

/* The diode that takes a coil's current when it is switched off stands against the supply (common
 * practice); the other way round it shorts the coil while that is on. */
static void review_coil_diode(swi_review *r, const sw_part *part, const sw_node *anode, const sw_node *cathode) {
    if (!is_backwards(r, cathode, anode))
        return;
    for (uint32_t i = 0; i < r->c->part_count; i++)
        if (is_coil_on(r, &r->c->parts[i], anode, cathode)) {
            sw_diag_add(r->diags, SW_D_POLARITY, part->span,
                        "%s lies across the coil of %s the wrong way round: its anode is on node %s and its "
                        "cathode on %s, so it conducts while the coil is on and burns what switches it: "
                        "swap its nodes", part->ref, r->c->parts[i].ref, anode->name, cathode->name);
            return;
        }
}

/* The first lead is a capacitor's + and a diode's K, unless a device says otherwise. */
static void review_polarity(swi_review *r, const sw_part *part) {
    uint32_t first = part->kind == 'C' ? is_called(r, part, 1, "+") : is_called(r, part, 1, "K");
    const sw_node *a = swi_node_of(r, swi_pin_of(r, part, first));
    const sw_node *b = swi_node_of(r, swi_pin_of(r, part, 1 - first));
    if (part->kind == 'C' && is_backwards(r, a, b))
        sw_diag_add(r->diags, SW_D_POLARITY, part->span,
                    "%s is in backwards: its + is on node %s and its - on %s, which is higher; an "
                    "electrolytic then bursts: swap its nodes", part->ref, a->name, b->name);
    else if (swi_match("LED*", part->package))
        review_led(r, part, b, a);
    else if (part->kind == 'D' && is_below(a, b))
        sw_diag_add(r->diags, SW_D_DIODE_ACROSS_RAILS, part->span,
                    "%s conducts straight from rail %s to rail %s with nothing to limit the "
                    "current: turn it round, or add a resistor", part->ref, b->name, a->name);
    else if (part->kind == 'D')
        review_coil_diode(r, part, b, a);
}

/* ---- capacitors' voltage ---- */

/* A number that may have a decimal comma; bytes read, 0 none. */
static size_t read_number(const char *at, double *number) {
    char word[24];
    size_t used = swi_real_read(at, strlen(at), number);
    size_t length = used + 1 + strspn(at + used + (at[used] == ','), "0123456789");
    if (used == 0 || at[used] != ',' || length >= sizeof word)
        return used;
    memcpy(word, at, length);
    word[length] = '\0';
    return sw_value_read(word, SW_OTHER, false, number) ? length : used;
}

/* "16V" in "100u 16V", "10µ/25 V"; 0 when the value states none. */
static double stated_volts(const char *value) {
    for (const char *at = value; *at; at++) {
        double volts;
        bool starts = at == value || !(swi_is_digit(at[-1]) || at[-1] == '.' || swi_is_alpha(at[-1]));
        size_t used = starts && swi_is_digit(*at) ? read_number(at, &volts) : 0;
        if (used == 0)
            continue;
        const char *end = at + used;
        while (*end == ' ')
            end++;
        if (swi_lower(*end) == 'v' && !swi_is_alpha(end[1]) && !swi_is_digit(end[1]))
            return volts;
    }
    return 0;
}

static void review_rating(swi_review *r, const sw_part *part) {
    const sw_node *a = swi_node_of(r, swi_pin_of(r, part, 0));
    const sw_node *b = swi_node_of(r, swi_pin_of(r, part, 1));
    double rated = stated_volts(part->value);
    double between = a->rail != SW_RAIL_NONE && b->rail != SW_RAIL_NONE
                         ? fabs(a->volts - b->volts)
                         : fmax(fabs(a->volts), fabs(b->volts));
    if (rated == 0 || rated >= between)
        return;
    sw_buf text = SW_BUF_INIT;
    sw_buf_real(&text, rated, 3);
    sw_buf_puts(&text, " V, but up to ");
    sw_buf_real(&text, between, 3);
    sw_diag_add(r->diags, SW_D_CAPACITOR_VOLTAGE, part->span,
                "%s is rated %s V may stand across it: take one for half as much again",
                part->ref, text.bytes ? text.bytes : "");
    sw_buf_free(&text);
}

/* ---- decoupling ---- */

static bool is_return_node(const sw_node *node) {
    return node->rail == SW_RAIL_GROUND || node->rail == SW_RAIL_NEGATIVE;
}

/* Per node: capacitors from it to a rail below, or ICs that take their supply from it. */
static void count_decoupling(const swi_review *r, uint32_t *capacitors, uint32_t *ics) {
    for (uint32_t i = 0; i < r->c->part_count; i++) {
        const sw_part *part = &r->c->parts[i];
        if (part->kind == 'C' && part->pin_count == 2) {
            uint32_t a = swi_pin_of(r, part, 0)->node.i, b = swi_pin_of(r, part, 1)->node.i;
            capacitors[a] += is_return_node(&r->c->nodes[b]);
            capacitors[b] += is_return_node(&r->c->nodes[a]);
        }
        for (uint32_t p = 0; part->known && p < part->pin_count; p++)
            if (is_positive_pin(swi_pin_of(r, part, p))) {
                ics[swi_pin_of(r, part, p)->node.i]++;
                break;
            }
    }
}

static void review_decoupling(swi_review *r) {
    uint32_t *counts = calloc(2 * ((size_t)r->c->node_count + 1), sizeof *counts);
    if (!counts) {
        r->out = true;
        return;
    }
    uint32_t *ics = counts + r->c->node_count + 1;
    count_decoupling(r, counts, ics);
    for (uint32_t i = 0; i < r->c->node_count; i++) {
        const sw_node *node = &r->c->nodes[i];
        bool many = counts[i] > 1;
        char number[12] = "no";
        if (counts[i])
            snprintf(number, sizeof number, "%u", counts[i]);
        if (ics[i] > counts[i] && !r->lone[i])
            sw_diag_add(r->diags, SW_D_DECOUPLING, node->span,
                        "node %s feeds %u IC%s, but there %s %s capacitor%s from it to ground: "
                        "100 nF beside each IC keeps its switching off the supply",
                        node->name, ics[i], SWI_S(ics[i]), many ? "are" : "is", number, many ? "s" : "");
    }
    free(counts);
}

void swi_review_supply(swi_review *r) {
    for (uint32_t i = 0; i < r->c->part_count; i++) {
        const sw_part *part = &r->c->parts[i];
        if (part->known)
            review_supply_pins(r, part);
        if (part->polarised && part->pin_count == 2)
            review_polarity(r, part);
        if (part->kind == 'C' && part->pin_count == 2)
            review_rating(r, part);
    }
    review_decoupling(r);
}
