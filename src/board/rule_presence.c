/* src/board/rule_presence.c: rule 1, parts and pins: all that the circuit has and
 * nothing else. */
#include "check.h"

#include <stdlib.h>
#include <string.h>

static sw_fault about(const char *ref, const char *pin, sw_hole at) {
    return (sw_fault){.ref = ref, .pin = pin, .at = at, .to = SWI_NO_HOLE};
}

static sw_hole hole_of(const swi_check *check, const sw_plan_part *part) {
    return part->lead_count == 0 ? SWI_NO_HOLE : check->plan->leads[part->first_lead].hole;
}

static void check_part(swi_check *check, const swi_part *part) {
    const sw_plan_part *plan = part->plan;
    if (part->doubled)
        swi_fault(check, SW_D_BOARD_PART_DOUBLED,
                  about(plan->ref, NULL, hole_of(check, plan)), plan->span,
                  "%s is on the board twice: give one of the two its right name", plan->ref);
    else if (check->fitted != NULL && part->fitted == NULL)
        swi_fault(check, SW_D_BOARD_PART_EXTRA, about(plan->ref, NULL, hole_of(check, plan)),
                  plan->span, "%s is on the board but not in the circuit: take it off",
                  plan->ref);
}

/* Leads of a part seen twice or not of the circuit are not looked at any further. */
static bool judged(const swi_check *check, const swi_part *part) {
    return !part->doubled && (check->fitted == NULL || part->fitted != NULL);
}

/* The pin is known to whoever says what pins there are. */
static bool is_pin(const swi_check *check, const swi_part *part, const swi_lead *lead) {
    if (check->fitted != NULL)
        return lead->circuit_pin.i != SW_NONE;
    return part->package == NULL || lead->pin >= 0;
}

static bool same_pin(const swi_check *check, const swi_lead *a, const swi_lead *b) {
    if (check->fitted != NULL)
        return a->circuit_pin.i == b->circuit_pin.i;
    return a->pin >= 0 ? a->pin == b->pin : strcmp(a->plan->pin, b->plan->pin) == 0;
}

static void check_leads(swi_check *check, const swi_part *part) {
    const swi_lead *leads = check->leads + part->plan->first_lead;
    for (uint32_t i = 0; i < part->plan->lead_count; i++) {
        const sw_plan_lead *lead = leads[i].plan;
        if (!is_pin(check, part, &leads[i])) {
            swi_fault(check, SW_D_BOARD_PIN_EXTRA,
                      about(part->plan->ref, lead->pin, lead->hole), lead->span,
                      "%s has no pin %s: the lead in %s is of no use", part->plan->ref,
                      lead->pin, swi_say_hole(check, lead->hole));
            continue;
        }
        if (check->fitted == NULL && lead->node == 0)
            swi_fault(check, SW_D_BOARD_NODE_UNSTATED,
                      about(part->plan->ref, lead->pin, lead->hole), lead->span,
                      "%s in %s has no node: state it, or give the circuit",
                      swi_say_lead(check, &leads[i]), swi_say_hole(check, lead->hole));
        for (uint32_t k = 0; k < i; k++)
            if (same_pin(check, &leads[i], &leads[k])) {
                swi_fault(check, SW_D_BOARD_PIN_DOUBLED,
                          about(part->plan->ref, lead->pin, lead->hole), lead->span,
                          "%s has a lead in %s and one in %s: a pin has one",
                          swi_say_lead(check, &leads[i]),
                          swi_say_hole(check, leads[k].plan->hole),
                          swi_say_hole(check, lead->hole));
                break;
            }
    }
}

/* Stated node numbers that the circuit does not have so. */
static void check_numbers(swi_check *check, const swi_part *part) {
    const swi_lead *leads = check->leads + part->plan->first_lead;
    for (uint32_t i = 0; check->fitted != NULL && i < part->plan->lead_count; i++) {
        const swi_lead *lead = &leads[i];
        if (lead->circuit_pin.i == SW_NONE || lead->plan->node == 0)
            continue;
        uint32_t node = check->fitted->pins[lead->circuit_pin.i].node.i;
        uint32_t number = check->fitted->nodes[node].number;
        if (number != 0 && number != lead->plan->node)
            swi_fault(check, SW_D_BOARD_NODE_DIFFERS,
                      (sw_fault){.ref = part->plan->ref, .pin = lead->plan->pin,
                                 .at = lead->plan->hole, .to = SWI_NO_HOLE,
                                 .node_a = lead->plan->node, .node_b = number},
                      lead->plan->span,
                      "the plan has %s on node %u, the circuit on %s: the circuit's was checked",
                      swi_say_lead(check, lead), (unsigned)lead->plan->node,
                      swi_say_net(check, node));
    }
}

static void check_missing_pins_of_package(swi_check *check, const swi_part *part) {
    bool *there = calloc((size_t)part->package->pin_count + 1, sizeof *there);
    if (there == NULL) {
        check->failed = true;
        return;
    }
    for (uint32_t i = 0; i < part->plan->lead_count; i++) {
        int pin = check->leads[part->plan->first_lead + i].pin;
        if (pin >= 0)
            there[pin] = true;
    }
    for (uint32_t i = 0; i < part->package->pin_count; i++)
        if (!there[i])
            swi_fault(check, SW_D_BOARD_PIN_MISSING,
                      about(part->plan->ref, part->package->pins[i], SWI_NO_HOLE),
                      part->plan->span, "%s.%s has no lead: say in which hole it is",
                      part->plan->ref, part->package->pins[i]);
    free(there);
}

/* Of each circuit part the plan's part, and of each pin whether a lead is there. */
static void check_missing_of_circuit(swi_check *check) {
    const sw_circuit *fitted = check->fitted;
    bool *part_there = calloc((size_t)fitted->part_count + 1, sizeof *part_there);
    bool *pin_there = calloc((size_t)fitted->pin_count + 1, sizeof *pin_there);
    check->failed = check->failed || part_there == NULL || pin_there == NULL;
    for (uint32_t i = 0; !check->failed && i < check->plan->part_count; i++)
        if (check->parts[i].fitted != NULL)
            part_there[check->parts[i].fitted - fitted->parts] = true;
    for (uint32_t i = 0; !check->failed && i < check->plan->lead_count; i++)
        if (check->leads[i].circuit_pin.i != SW_NONE)
            pin_there[check->leads[i].circuit_pin.i] = true;
    for (uint32_t i = 0; !check->failed && i < fitted->part_count; i++) {
        const sw_part *part = &fitted->parts[i];
        if (!part_there[i])
            swi_fault(check, SW_D_BOARD_PART_MISSING, about(part->ref, NULL, SWI_NO_HOLE),
                      part->span, "%s is not on the board: place it", part->ref);
        for (uint32_t k = 0; part_there[i] && k < part->pin_count; k++) {
            const sw_pin *pin = &fitted->pins[part->first_pin.i + k];
            if (!pin_there[part->first_pin.i + k])
                swi_fault(check, SW_D_BOARD_PIN_MISSING,
                          about(part->ref, pin->number, SWI_NO_HOLE), pin->span,
                          "%s.%s has no lead: say in which hole it is", part->ref,
                          pin->number);
        }
    }
    free(part_there);
    free(pin_there);
}

void swi_rule_presence(swi_check *check) {
    for (uint32_t i = 0; i < check->plan->part_count; i++) {
        const swi_part *part = &check->parts[i];
        check_part(check, part);
        if (!judged(check, part))
            continue;
        check_leads(check, part);
        check_numbers(check, part);
        if (check->fitted == NULL && part->package != NULL)
            check_missing_pins_of_package(check, part);
    }
    if (check->fitted != NULL)
        check_missing_of_circuit(check);
}
