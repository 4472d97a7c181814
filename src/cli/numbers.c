/* src/cli/numbers.c: node numbers of an earlier schedule or plan are kept. */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

/* The old nodes with their pins as "U1.3"; `pins` and `text` back them. */
typedef struct old_list {
    sw_old_node *nodes;
    size_t count;
    const char **pins;
    sw_buf text;
} old_list;

/* One pin of the old revision: number of its node, name of it, where its text is. */
typedef struct old_pin {
    uint32_t number;
    const char *name;
    size_t at;
} old_pin;

static int by_number(const void *a, const void *b) {
    const old_pin *x = a, *y = b;
    if (x->number != y->number)
        return x->number < y->number ? -1 : 1;
    return x->at < y->at ? -1 : x->at > y->at;
}

static void put_pin(old_list *list, old_pin *pin, uint32_t number, const char *name, const char *ref,
                    const char *text) {
    *pin = (old_pin){number, name, list->text.length};
    sw_buf_printf(&list->text, "%s.%s", ref, text);
    sw_buf_putc(&list->text, '\0');
}

static const char *plan_node_name(const sw_plan *plan, uint32_t number) {
    for (uint32_t i = 0; i < plan->node_count; i++)
        if (plan->nodes[i].number == number)
            return plan->nodes[i].name;
    return "";
}

static size_t pins_of_plan(const sw_plan *plan, old_list *list, old_pin *pins) {
    size_t count = 0;
    for (uint32_t i = 0; i < plan->part_count; i++)
        for (uint32_t k = 0; k < plan->parts[i].lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[plan->parts[i].first_lead + k];
            if (lead->node)
                put_pin(list, &pins[count++], lead->node, plan_node_name(plan, lead->node), plan->parts[i].ref,
                        lead->pin);
        }
    return count;
}

static size_t pins_of_circuit(const sw_circuit *circuit, old_list *list, old_pin *pins) {
    size_t count = 0;
    for (uint32_t i = 0; i < circuit->pin_count; i++) {
        const sw_node *node = &circuit->nodes[circuit->pins[i].node.i];
        if (node->number)
            put_pin(list, &pins[count++], node->number, node->named ? node->name : "",
                    circuit->parts[circuit->pins[i].part.i].ref, circuit->pins[i].number);
    }
    return count;
}

static void group(old_list *list, old_pin *pins, size_t count) {
    qsort(pins, count, sizeof *pins, by_number);
    for (size_t i = 0; i < count; i++) {
        list->pins[i] = list->text.bytes + pins[i].at;
        if (i == 0 || pins[i].number != pins[i - 1].number)
            list->nodes[list->count++] = (sw_old_node){pins[i].number, pins[i].name, &list->pins[i], 0};
        list->nodes[list->count - 1].pin_count++;
    }
}

static void say_report(const cli_job *job, const sw_number_report *report) {
    sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE,
                "node numbers: %u kept, %u added, %u gone, %u split, %u merged", report->kept, report->added,
                report->gone, report->split, report->merged);
    for (size_t i = 0; i < report->change_count; i++) {
        const sw_number_change *c = &report->changes[i];
        if (c->fate == SW_NUMBER_GONE)
            sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE, "number %u (%s) is gone and not used again", c->old,
                        c->name);
        else if (c->fate == SW_NUMBER_SPLIT)
            sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE, "node %u (%s) has pins that were node %u", c->number,
                        c->name, c->old);
        else if (c->fate == SW_NUMBER_MERGED)
            sw_diag_add(job->diags, SW_D_NUMBERS_KEPT, SW_NOWHERE, "what was node %u is in node %u (%s) now", c->old,
                        c->number, c->name);
    }
}

static sw_status number_like(cli_job *job, const sw_circuit *circuit, const sw_plan *plan) {
    size_t most = plan ? plan->lead_count : circuit->pin_count, count = 0;
    old_list list = {.nodes = calloc(most + 1, sizeof *list.nodes), .pins = calloc(most + 1, sizeof *list.pins)};
    old_pin *pins = calloc(most + 1, sizeof *pins);
    sw_number_report *report = NULL;
    sw_status status = SW_SYSTEM;
    if (list.nodes && list.pins && pins)
        count = plan ? pins_of_plan(plan, &list, pins) : pins_of_circuit(circuit, &list, pins);
    if (list.nodes && list.pins && pins && !list.text.failed) {
        if (count)
            group(&list, pins, count);
        sw_number_options options = {.compact = args_has(job->args, OPT_COMPACT)};
        status = sw_circuit_number_keep(job->fitted, list.nodes, list.count, &options, job->diags, &report);
    }
    if (status == SW_OK)
        say_report(job, report);
    sw_number_report_free(report);
    free(list.nodes);
    free(list.pins);
    free(pins);
    sw_buf_free(&list.text);
    return status;
}

sw_status numbers_keep(cli_job *job, const char *path) {
    sw_input input;
    sw_circuit *circuit = NULL;
    sw_plan *plan = NULL;
    sw_status status = sw_input_open(job->diags, path, &input);
    const sw_format *format = status == SW_OK ? sw_format_detect(&input, job->diags) : NULL;
    if (!format)
        return status == SW_OK ? SW_BAD_INPUT : status;
    status = format->read_plan ? sw_read_plan(format, &input, NULL, job->diags, &plan)
                               : sw_read_circuit(format, &input, NULL, job->diags, &circuit);
    if (status == SW_OK)
        status = number_like(job, circuit, plan);
    sw_circuit_free(circuit);
    sw_plan_free(plan);
    return status;
}
