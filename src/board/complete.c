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

/* How the part's leads stand in this package; it fits when every pin has one lead where the
 * package says.  Out of memory is told as no fit, which does no harm. */
static swi_stance stance_in(const sw_plan *plan, const sw_plan_part *part,
                            const sw_package *package) {
    swi_stance stance = {.turn = -1};
    if (package == NULL || part->lead_count != package->pin_count)
        return stance;
    sw_hole *by_pin = malloc(((size_t)package->pin_count + 1) * sizeof *by_pin);
    if (by_pin == NULL)
        return stance;
    for (uint32_t i = 0; i < package->pin_count; i++)
        by_pin[i] = SWI_NO_HOLE;
    for (uint32_t i = 0; i < part->lead_count; i++) {
        const sw_plan_lead *lead = &plan->leads[part->first_lead + i];
        int pin = sw_package_pin_index(package, lead->pin);
        if (pin >= 0)
            by_pin[pin] = lead->hole;
    }
    bool failed = false;
    stance = swi_stance_of(package, by_pin, part->turn, &failed);
    free(by_pin);
    if (package->form == SW_FORM_PAIR)
        stance.fits = stance.fits && stance.span >= package->span_least &&
                      stance.span <= package->span_most;
    return stance;
}

/* The circuit's package, or the same stood upright where only that has such leads: a list
 * of holes does not say how parts lie. */
static void complete_package(sw_plan *plan, sw_plan_part *part, const sw_part *known,
                             const sw_library *library) {
    bool stated = part->package[0] != '\0';
    part->package = or_text(plan, part->package, known->package);
    if (stated || known->form == NULL || library == NULL || stance_in(plan, part, known->form).fits)
        return;
    const sw_package *up = sw_library_upright(library, known->form);
    const char *name = NULL;
    if (up != NULL && stance_in(plan, part, up).fits)
        name = sw_plan_text(plan, up->name);
    part->package = name != NULL ? name : part->package;
}

static void complete_turn(const sw_plan *plan, sw_plan_part *part, const sw_package *package) {
    swi_stance stance = stance_in(plan, part, package);
    if (part->turn < 0 && stance.fits)
        part->turn = stance.turn;
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
        complete_leads(plan, part, fitted, id);
        complete_package(plan, part, known, library);
        complete_turn(plan, part, swi_plan_package(part, known, library));
    }
    if (fitted != NULL)
        complete_nodes(plan, fitted);
    complete_links(plan, library);
}
