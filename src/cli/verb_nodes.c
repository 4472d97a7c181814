/* src/cli/verb_nodes.c: the circuit's nodes, numbered, with the review. */
#include <string.h>
#include "cli.h"

static const char *rail_word(sw_rail rail) {
    static const char *const words[] = {"", "positive", "ground", "negative"};
    return words[rail];
}

static void put_pin(const sw_circuit *circuit, sw_pin_id id, sw_buf *out) {
    const sw_pin *pin = &circuit->pins[id.i];
    const sw_part *part = &circuit->parts[pin->part.i];
    if (part->terminal) { /* its one pin goes without saying */
        sw_buf_printf(out, " %s", part->ref);
        return;
    }
    sw_buf_printf(out, " %s.%s", part->ref, pin->number);
    if (pin->name[0])
        sw_buf_printf(out, "(%s)", pin->name);
}

static int name_width(const sw_circuit *circuit) {
    size_t width = 4;
    for (uint32_t i = 0; i < circuit->node_count; i++)
        if (circuit->nodes[i].pin_count > 1 && strlen(circuit->nodes[i].name) > width)
            width = strlen(circuit->nodes[i].name);
    return width < 24 ? (int)width : 24;
}

static void put_nodes(const sw_circuit *circuit, sw_buf *out) {
    int width = name_width(circuit);
    sw_buf_printf(out, "node  %-*s  rail      pins\n", width, "name");
    for (uint32_t n = 0; n < circuit->node_count; n++) {
        const sw_node *node = &circuit->nodes[circuit->by_number[n].i];
        if (node->pin_count < 2)
            continue;
        sw_buf_printf(out, "%4u  %-*s  %-8s ", node->number, width, node->name, rail_word(node->rail));
        for (uint32_t k = 0; k < node->pin_count; k++)
            put_pin(circuit, circuit->node_pins[node->first_pin + k], out);
        sw_buf_putc(out, '\n');
    }
}

static void put_lone_pins(const sw_circuit *circuit, sw_buf *out) {
    bool headed = false;
    for (uint32_t n = 0; n < circuit->node_count; n++) {
        const sw_node *node = &circuit->nodes[circuit->by_number[n].i];
        if (node->pin_count != 1)
            continue;
        if (!headed)
            sw_buf_puts(out, "\nPins that connect to nothing, each a node of its own\n");
        headed = true;
        sw_buf_printf(out, "%4u ", node->number);
        put_pin(circuit, circuit->node_pins[node->first_pin], out);
        sw_buf_putc(out, '\n');
    }
}

static void put_summary(const sw_circuit *circuit, sw_buf *out) {
    sw_buf_printf(out, "%s: %u part%s, %u pin%s, %u node%s\n\n", circuit->title[0] ? circuit->title : "Circuit",
                  circuit->part_count, CLI_S(circuit->part_count), circuit->pin_count, CLI_S(circuit->pin_count),
                  circuit->node_count, CLI_S(circuit->node_count));
}

static sw_status write_nodes(cli_job *job, const char *path) {
    sw_buf text = SW_BUF_INIT;
    put_summary(job->fitted, &text);
    put_nodes(job->fitted, &text);
    put_lone_pins(job->fitted, &text);
    if (args_has(job->args, OPT_BUDGET)) {
        sw_budget budget;
        sw_budget_work_out(job->fitted, &budget);
        sw_buf_puts(&text, "\nStrip budget\n");
        sw_budget_write(job->fitted, &budget, &text);
    }
    sw_status status = job_write_text(job, &text, path);
    sw_buf_free(&text);
    return status;
}

static sw_status run(cli_job *job) {
    const char *path = args_text(job->args, OPT_OUTPUT);
    sw_status status = job_read_circuit(job, job->args->files.items[0], &job->netlist);
    if (status == SW_OK)
        status = job_fit(job, true);
    if (status != SW_OK)
        return status;
    if (!args_has(job->args, OPT_TO) && (!path || strcmp(path, "-") == 0))
        return write_nodes(job, path);
    const sw_format *format = job_output_format(job, path, NULL);
    if (!format)
        return SW_USAGE;
    sw_document document = job_document(job);
    return job_write(job, format, &document, path);
}

const cli_verb verb_nodes = {
    "nodes", V_NODES, "FILE", "number every node and pin, and review the circuit",
    "Numbers every node of the circuit, pins that connect to nothing too, lists the\n"
    "pins of each, and reviews the circuit for likely mistakes.  --budget adds how\n"
    "many strips and cuts it wants, and why.  -o FILE.sched writes the schedule.",
    1, 1, run};
