/* src/board/complete.c: what a hand-typed plan left out, from the circuit. */
#include "plan.h"

#include <stdlib.h>

static const char *or_text(sw_plan *plan, const char *stated, const char *known) {
    if (stated[0] != '\0')
        return stated;
    const char *text = sw_plan_text(plan, known);
    return text == NULL ? "" : text;
}

/* Pins by number, and their nodes. */
static void complete_leads(sw_plan *plan, const sw_plan_part *part, const sw_circuit *fitted,
                           sw_part_id id) {
    for (uint32_t i = 0; i < part->lead_count; i++) {
        sw_plan_lead *lead = &plan->leads[part->first_lead + i];
        sw_pin_id pin = sw_circuit_pin(fitted, id, lead->pin);
        if (pin.i == SW_NONE)
            continue;
        const char *number = sw_plan_text(plan, fitted->pins[pin.i].number);
        if (number != NULL)
            lead->pin = number;
        if (lead->node == 0)
            lead->node = fitted->nodes[fitted->pins[pin.i].node.i].number;
    }
}

/* The turn, when every pin has one lead and they stand as the package says. */
static void complete_turn(const sw_plan *plan, sw_plan_part *part, const sw_package *package) {
    if (part->turn >= 0 || package == NULL || part->lead_count != package->pin_count)
        return;
    sw_hole *by_pin = malloc(((size_t)package->pin_count + 1) * sizeof *by_pin);
    if (by_pin == NULL)
        return;
    for (uint32_t i = 0; i < package->pin_count; i++)
        by_pin[i] = SWI_NO_HOLE;
    for (uint32_t i = 0; i < part->lead_count; i++) {
        const sw_plan_lead *lead = &plan->leads[part->first_lead + i];
        int pin = sw_package_pin_index(package, lead->pin);
        if (pin >= 0)
            by_pin[pin] = lead->hole;
    }
    bool failed = false; /* then it stays unstated, which does no harm */
    swi_stance stance = swi_stance_of(package, by_pin, -1, &failed);
    if (stance.fits)
        part->turn = stance.turn;
    free(by_pin);
}

/* Only when the plan states none of its own. */
static void complete_nodes(sw_plan *plan, const sw_circuit *fitted) {
    if (plan->node_count != 0)
        return;
    for (uint32_t i = 0; i < fitted->node_count; i++) {
        const sw_node *node = &fitted->nodes[i];
        const char *name = sw_plan_text(plan, node->name);
        if (node->number != 0 && name != NULL)
            sw_plan_add_node(plan, (sw_plan_node){node->number, name, node->rail,
                                                  node->pin_count == 1});
    }
    if (plan->node_count > 1)
        qsort(plan->nodes, plan->node_count, sizeof *plan->nodes, swi_compare_nodes);
}

static void complete_links(sw_plan *plan, const sw_library *library) {
    sw_copper *copper = sw_copper_new(plan, library);
    if (copper == NULL)
        return;
    for (uint32_t i = 0; i < plan->link_count; i++) {
        uint32_t segment = sw_copper_segment(copper, plan, plan->links[i].from);
        if (plan->links[i].node == 0 && segment != SW_NONE)
            plan->links[i].node = copper->segments[segment].node;
    }
    sw_copper_free(copper);
}

void sw_plan_complete(sw_plan *plan, const sw_circuit *fitted, const sw_library *library) {
    for (uint32_t i = 0; fitted != NULL && i < plan->part_count; i++) {
        sw_plan_part *part = &plan->parts[i];
        sw_part_id id = sw_circuit_part(fitted, part->ref);
        if (id.i == SW_NONE)
            continue;
        const sw_part *known = &fitted->parts[id.i];
        part->value = or_text(plan, part->value, known->value);
        part->device = or_text(plan, part->device, known->device);
        part->package = or_text(plan, part->package, known->package);
        complete_leads(plan, part, fitted, id);
        complete_turn(plan, part, swi_plan_package(part, known, library));
    }
    if (fitted != NULL)
        complete_nodes(plan, fitted);
    complete_links(plan, library);
}
