/* src/board/plan_circuit.c: the circuit that a plan says it builds.
 *
 * The plan's own node numbers are taken as the nodes.  So a board that stands on
 * the bench can be compared with a circuit that has changed since.
 */
#include <stdio.h>
#include <string.h>

#include <stripwright/board.h>

#include "base/sha256.h"

static const char *node_name(const sw_plan *plan, uint32_t number, char spare[24]) {
    for (uint32_t i = 0; i < plan->node_count; i++)
        if (plan->nodes[i].number == number && plan->nodes[i].name[0])
            return plan->nodes[i].name;
    snprintf(spare, 24, "node %lu", (unsigned long)number);
    return spare;
}

static void add_part(sw_builder *builder, const sw_plan *plan, const sw_plan_part *part,
                     const sw_library *library) {
    sw_part_id id = sw_builder_part(builder, part->ref, '?', part->span);
    if (id.i == SW_NONE)
        return;
    sw_part *made = sw_builder_part_at(builder, id);
    made->value = sw_builder_text(builder, part->value, strlen(part->value));
    made->device = sw_builder_text(builder, part->device, strlen(part->device));
    made->package = sw_builder_text(builder, part->package, strlen(part->package));
    made->form = sw_library_package(library, part->package);
    made->known = sw_library_device(library, part->device);
    for (uint32_t k = 0; k < part->lead_count; k++) {
        const sw_plan_lead *lead = &plan->leads[part->first_lead + k];
        char spare[24];
        sw_node_id node = lead->node ? sw_builder_node(builder, node_name(plan, lead->node, spare), false, lead->span)
                                     : sw_builder_lone_node(builder, lead->span);
        sw_builder_pin(builder, id, lead->pin, "", node, lead->span);
    }
}

sw_status sw_plan_circuit(const sw_plan *plan, const sw_library *library, sw_diags *diags, sw_circuit **out) {
    sw_builder *builder = sw_builder_new(SW_STAGE_FITTED, diags);
    if (!builder)
        return SW_SYSTEM;
    sw_builder_title(builder, plan->title);
    for (uint32_t i = 0; i < plan->part_count; i++)
        add_part(builder, plan, &plan->parts[i], library);
    *out = sw_builder_finish(builder);
    return *out ? sw_circuit_number(*out, diags) : SW_SYSTEM;
}

bool sw_plan_from_input(sw_plan *plan, const sw_input *input) {
    const char *slash = strrchr(input->name, '/');
    char digest[65];
    swi_sha256(input->bytes, input->length, digest);
    const char *file = sw_plan_text(plan, slash ? slash + 1 : input->name), *sum = sw_plan_text(plan, digest);
    if (!file || !sum)
        return false;
    plan->circuit_file = file;
    plan->circuit_sha256 = sum;
    return true;
}
