/* src/cli/numbers.c: node numbers that are stated, or kept from an earlier schedule or
 * plan. */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

static bool add_lead(sw_numbering *numbering, const sw_plan_part *part, const sw_plan_lead *lead) {
    sw_buf pin = SW_BUF_INIT;
    sw_buf_printf(&pin, "%s.%s", part->ref, lead->pin);
    bool ok = !pin.failed && (!lead->node || sw_numbering_add_pin(numbering, lead->node, pin.bytes));
    sw_buf_free(&pin);
    return ok;
}

/* The numbers of a plan: its node table, and its leads. */
static sw_numbering *numbering_of_plan(const sw_plan *plan) {
    sw_numbering *numbering = sw_numbering_new();
    bool ok = numbering != NULL;
    for (uint32_t i = 0; ok && i < plan->node_count; i++)
        ok = sw_numbering_add(numbering, plan->nodes[i].number, plan->nodes[i].name);
    for (uint32_t i = 0; ok && i < plan->part_count; i++)
        for (uint32_t k = 0; ok && k < plan->parts[i].lead_count; k++)
            ok = add_lead(numbering, &plan->parts[i], &plan->leads[plan->parts[i].first_lead + k]);
    if (ok)
        return numbering;
    sw_numbering_free(numbering);
    return NULL;
}

static void say_report(const cli_job *job, const sw_number_report *report) {
    sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE,
                "node numbers: %u kept, %u added, %u gone, %u split, %u merged", report->kept, report->added,
                report->gone, report->split, report->merged);
    for (size_t i = 0; i < report->change_count; i++) {
        const sw_number_change *c = &report->changes[i];
        if (c->fate == SW_NUMBER_GONE)
            sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE, "number %u (%s) is gone", c->old, c->name);
        else if (c->fate == SW_NUMBER_SPLIT)
            sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE, "node %u (%s) has pins that were node %u", c->number,
                        c->name, c->old);
        else if (c->fate == SW_NUMBER_MERGED)
            sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE, "what was node %u is in node %u (%s) now", c->old,
                        c->number, c->name);
    }
}

static sw_status read_old(cli_job *job, const char *path, sw_numbering **out) {
    sw_input input;
    sw_circuit *circuit = NULL;
    sw_plan *plan = NULL;
    sw_status status = sw_input_open(job->diags, path, &input);
    const sw_format *format = status == SW_OK ? sw_format_detect(&input, job->diags) : NULL;
    if (!format)
        return status == SW_OK ? SW_BAD_INPUT : status;
    status = format->read_plan ? sw_read_plan(format, &input, NULL, job->diags, &plan)
                               : sw_read_circuit(format, &input, NULL, job->diags, &circuit);
    if (status == SW_OK) {
        *out = plan ? numbering_of_plan(plan) : sw_numbering_of(circuit);
        status = *out ? SW_OK : SW_SYSTEM;
    }
    sw_circuit_free(circuit);
    sw_plan_free(plan);
    return status;
}

static sw_status number(cli_job *job, sw_numbering *old, const char *const *stated) {
    size_t count = 0;
    sw_number_report *report = NULL;
    sw_number_options options = {.compact = args_has(job->args, OPT_COMPACT), .stated = stated};
    const sw_old_node *nodes = old ? sw_numbering_nodes(old, &count) : NULL;
    if (old && !nodes)
        return SW_SYSTEM;
    sw_status status = sw_circuit_number_keep(job->fitted, nodes, count, &options, job->diags, &report);
    if (status == SW_OK && args_has(job->args, OPT_NUMBERS))
        say_report(job, report);
    sw_number_report_free(report);
    return status;
}

sw_status numbers_give(cli_job *job) {
    const char *path = args_text(job->args, OPT_NUMBERS);
    const sw_plan *like = path ? NULL : job->like;
    if (!path && !like)
        option_unused(job, OPT_COMPACT, "it is about earlier numbers, which --numbers gives");
    if (!path && !like && !args_has(job->args, OPT_NUMBER))
        return sw_circuit_number(job->fitted, job->diags);
    sw_numbering *old = NULL;
    const char **stated = args_list(&job->args->given[OPT_NUMBER]);
    sw_status status = stated ? SW_OK : SW_SYSTEM;
    if (status == SW_OK && path)
        status = read_old(job, path, &old);
    if (status == SW_OK && like && !(old = numbering_of_plan(like)))
        status = SW_SYSTEM;
    if (status == SW_OK)
        status = number(job, old, stated);
    sw_numbering_free(old);
    free(stated);
    return status;
}
