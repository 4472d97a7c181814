/* Which capacitor belongs beside which supply pin: one that holds up an IC's supply does so
 * only with short ways to it (common practice; makers' data sheets of logic and amplifiers ask
 * for 100 nF as close as can be).
 */
#include <stripwright/circuit.h>
#include <stripwright/parts.h>

/* Smaller ones are in the signal's way, larger ones hold up the whole board. */
#define LEAST_FARADS 0.9e-9
#define MOST_FARADS 1.1e-6

enum { LEGS_OF_AN_IC = 4 }; /* with fewer, a sensor or regulator: these come last */

static bool is_supply(const sw_pin *pin) {
    return pin->type == SW_PIN_POWER_POSITIVE || pin->type == SW_PIN_POWER_NEGATIVE || pin->type == SW_PIN_GROUND;
}

/* Whether the part's supply has its other end at cold; an amplifier between two rails without a
 * ground pin is held up from each to ground. */
static bool returns_to(const sw_circuit *c, const sw_part *part, uint32_t cold) {
    bool grounded = false;
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = &c->pins[part->first_pin.i + i];
        if (!is_supply(pin))
            continue;
        if (pin->node.i == cold)
            return true;
        grounded |= c->nodes[pin->node.i].rail == SW_RAIL_GROUND;
    }
    return !grounded && c->nodes[cold].rail == SW_RAIL_GROUND;
}

/* The pin of the index among those that are supplied by hot and return to cold: of ICs first,
 * in the circuit's order. */
static sw_pin_id supply_pin(const sw_circuit *c, uint32_t hot, uint32_t cold, uint32_t index) {
    for (int small = 0; small < 2; small++)
        for (uint32_t p = 0; p < c->part_count; p++) {
            const sw_part *part = &c->parts[p];
            if ((part->pin_count < LEGS_OF_AN_IC) != small || !returns_to(c, part, cold))
                continue;
            for (uint32_t i = 0; i < part->pin_count; i++) {
                const sw_pin *pin = &c->pins[part->first_pin.i + i];
                if (is_supply(pin) && pin->node.i == hot && index-- == 0)
                    return (sw_pin_id){part->first_pin.i + i};
            }
        }
    return (sw_pin_id){SW_NONE};
}

/* The two nodes of a capacitor of the size that holds up an IC, between two rails: the one
 * that is not ground, or is the higher, is hot. */
static bool is_decoupler(const sw_circuit *c, const sw_part *part, uint32_t *hot, uint32_t *cold) {
    double farads;
    const char *beside;
    if (part->kind != 'C' || part->pin_count != 2 || part->polarised ||
        !sw_value_read_beside(part->value, SW_FARADS, &farads, &beside) || farads < LEAST_FARADS || farads > MOST_FARADS)
        return false;
    uint32_t a = c->pins[part->first_pin.i].node.i, b = c->pins[part->first_pin.i + 1].node.i;
    sw_rail rail_a = c->nodes[a].rail, rail_b = c->nodes[b].rail;
    bool down = rail_b == SW_RAIL_GROUND || rail_a == SW_RAIL_POSITIVE;
    *hot = down ? a : b;
    *cold = down ? b : a;
    return rail_a != SW_RAIL_NONE && rail_b != SW_RAIL_NONE && rail_a != rail_b;
}

sw_pin_id sw_circuit_decoupled(const sw_circuit *fitted, sw_part_id capacitor) {
    uint32_t hot, cold, other_hot, other_cold, before = 0;
    if (!is_decoupler(fitted, &fitted->parts[capacitor.i], &hot, &cold))
        return (sw_pin_id){SW_NONE};
    for (uint32_t p = 0; p < capacitor.i; p++)
        before += is_decoupler(fitted, &fitted->parts[p], &other_hot, &other_cold) && other_hot == hot && other_cold == cold;
    return supply_pin(fitted, hot, cold, before);
}
