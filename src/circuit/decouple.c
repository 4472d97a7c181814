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

static bool is_return(const sw_pin *pin) {
    return pin->type == SW_PIN_GROUND || pin->type == SW_PIN_POWER_NEGATIVE;
}

static bool returns_to(const sw_circuit *c, const sw_part *part, uint32_t node) {
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = &c->pins[part->first_pin.i + i];
        if (is_return(pin) && pin->node.i == node)
            return true;
    }
    return false;
}

/* The pin of the index among those that take their supply from plus and return it to minus:
 * of ICs first, in the circuit's order. */
static sw_pin_id supply_pin(const sw_circuit *c, uint32_t plus, uint32_t minus, uint32_t index) {
    for (int small = 0; small < 2; small++)
        for (uint32_t p = 0; p < c->part_count; p++) {
            const sw_part *part = &c->parts[p];
            if ((part->pin_count < LEGS_OF_AN_IC) != small || !returns_to(c, part, minus))
                continue;
            for (uint32_t i = 0; i < part->pin_count; i++) {
                const sw_pin *pin = &c->pins[part->first_pin.i + i];
                if (pin->type == SW_PIN_POWER_POSITIVE && pin->node.i == plus && index-- == 0)
                    return (sw_pin_id){part->first_pin.i + i};
            }
        }
    return (sw_pin_id){SW_NONE};
}

/* The two nodes of a capacitor of the size that holds up an IC, from a node to a rail below it. */
static bool is_decoupler(const sw_circuit *c, const sw_part *part, uint32_t *plus, uint32_t *minus) {
    double farads;
    const char *beside;
    if (part->kind != 'C' || part->pin_count != 2 || part->polarised ||
        !sw_value_read_beside(part->value, SW_FARADS, &farads, &beside) || farads < LEAST_FARADS || farads > MOST_FARADS)
        return false;
    uint32_t a = c->pins[part->first_pin.i].node.i, b = c->pins[part->first_pin.i + 1].node.i;
    bool down = c->nodes[b].rail == SW_RAIL_GROUND || c->nodes[b].rail == SW_RAIL_NEGATIVE;
    *plus = down ? a : b;
    *minus = down ? b : a;
    return a != b && c->nodes[*plus].rail == SW_RAIL_POSITIVE &&
           (c->nodes[*minus].rail == SW_RAIL_GROUND || c->nodes[*minus].rail == SW_RAIL_NEGATIVE);
}

sw_pin_id sw_circuit_decoupled(const sw_circuit *fitted, sw_part_id capacitor) {
    uint32_t plus, minus, other_plus, other_minus, before = 0;
    if (!is_decoupler(fitted, &fitted->parts[capacitor.i], &plus, &minus))
        return (sw_pin_id){SW_NONE};
    for (uint32_t p = 0; p < capacitor.i; p++)
        before += is_decoupler(fitted, &fitted->parts[p], &other_plus, &other_minus) && other_plus == plus &&
                  other_minus == minus;
    return supply_pin(fitted, plus, minus, before);
}
