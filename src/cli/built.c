/* src/cli/built.c: a board that is built gets what is new in the circuit. */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

/* The board in hand is as large as it is, and what is kept free on it stays so. */
static sw_status take_board(cli_job *job, sw_layout_options *options, const sw_plan *plan) {
    if (options->strips || options->columns || options->margin || args_has(job->args, OPT_PIECE))
        return usage(job, "--built takes the board as its plan has it: leave out --strips, --columns, --piece and --margin");
    if (args_has(job->args, OPT_PROVE) || args_has(job->args, OPT_ALTERNATIVES))
        return usage(job, "with --built the board has the size that it has: leave out --prove and --alternatives");
    options->keep = plan;
    options->built = true;
    options->strips = plan->strips;
    options->columns = plan->columns;
    options->margin = plan->margin;
    options->fixed_size = true;
    if (!options->keep_out_count) {
        options->keep_outs = plan->keep_outs;
        options->keep_out_count = plan->keep_out_count;
    }
    return SW_OK;
}

/* A number, or a part; the words live as long as the arguments. */
static sw_status read_moves(const cli_job *job, sw_layout_options *options, const char ***loose) {
    const cli_values *given = &job->args->given[OPT_MOVE];
    *loose = calloc(given->count + 1, sizeof **loose);
    if (!*loose)
        return SW_SYSTEM;
    options->loose = *loose;
    for (size_t i = 0; i < given->count; i++) {
        const char *word = given->items[i];
        if (!word[strspn(word, "0123456789")]) {
            if (strlen(word) != 1 || *word < '1' || *word > '4')
                return usage(job, "--move wants 1 to 4 parts, or a reference, not '%s'", word);
            options->move_most = *word - '0';
        } else
            (*loose)[options->loose_count++] = word;
    }
    return SW_OK;
}

sw_status built_read(cli_job *job, sw_layout_options *options, sw_plan **plan, const char ***loose) {
    const char *path = args_text(job->args, OPT_BUILT);
    if (!path && args_has(job->args, OPT_MOVE))
        return usage(job, "--move is about a board that is built: name its plan with --built");
    if (!path)
        return SW_OK;
    if (args_has(job->args, OPT_KEEP) || args_has(job->args, OPT_FROM))
        return usage(job, "--built keeps the whole board as it is: leave out --keep and --from");
    sw_status status = job_read_plan(job, path, plan);
    if (status == SW_OK)
        status = take_board(job, options, *plan);
    return status == SW_OK ? read_moves(job, options, loose) : status;
}

/* ---- links that are in the way of the changed circuit ---- */

enum { NO_NODE = 0 }; /* beside the numbers of nodes */
#define TWO_NODES UINT32_MAX

/* Whether a segment is a or b, or, with whole, of the copper that is joined to a. */
static bool is_on(const sw_copper *copper, uint32_t segment, uint32_t a, uint32_t b, bool whole) {
    if (segment == SW_NONE || segment == a || segment == b)
        return segment != SW_NONE;
    return whole && a != SW_NONE && copper->segments[segment].copper == copper->segments[a].copper;
}

/* The number of the node whose leads are on the two segments, or, with whole, on all copper that is
 * joined to the first of them: NO_NODE none, TWO_NODES several. */
static uint32_t node_on(const cli_job *job, const sw_plan *plan, const sw_copper *copper, uint32_t a, uint32_t b, bool whole) {
    uint32_t node = NO_NODE;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        const sw_plan_part *part = &plan->parts[i];
        sw_part_id id = sw_circuit_part(job->fitted, part->ref);
        for (uint32_t k = 0; id.i != SW_NONE && k < part->lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[part->first_lead + k];
            uint32_t segment = sw_copper_segment(copper, plan, lead->hole);
            sw_pin_id pin = is_on(copper, segment, a, b, whole) ? sw_circuit_pin(job->fitted, id, lead->pin) : (sw_pin_id){SW_NONE};
            if (pin.i == SW_NONE)
                continue;
            uint32_t its = job->fitted->nodes[job->fitted->pins[pin.i].node.i].number;
            if (node != NO_NODE && its != node)
                return TWO_NODES;
            node = its;
        }
    }
    return node;
}

/* The link gets the node that it is of in the changed circuit; false: it joins two, or none. */
static bool stays(const cli_job *job, const sw_plan *plan, const sw_copper *copper, sw_link *link) {
    uint32_t a = sw_copper_segment(copper, plan, link->from), b = sw_copper_segment(copper, plan, link->to);
    uint32_t node = node_on(job, plan, copper, a, b, false);
    if (node == NO_NODE)
        node = node_on(job, plan, copper, a, b, true);
    link->node = node;
    return node != NO_NODE && node != TWO_NODES;
}

sw_status built_fit(cli_job *job, sw_plan *plan) {
    job->built = sw_plan_copy(plan);
    sw_copper *copper = sw_copper_new(plan, job->library);
    uint32_t left = 0;
    for (uint32_t i = 0; copper && i < plan->link_count; i++) {
        sw_link link = plan->links[i];
        if (stays(job, plan, copper, &link))
            plan->links[left++] = link;
    }
    plan->link_count = copper ? left : plan->link_count;
    sw_copper_free(copper);
    return copper && job->built ? SW_OK : SW_SYSTEM;
}

sw_status built_of_plan(cli_job *job) {
    const char *path = args_text(job->args, OPT_BUILT);
    if (!path)
        return SW_OK;
    sw_status status = job_read_plan(job, path, &job->built);
    if (status != SW_OK)
        return status;
    if (job->built->strips != job->plan->strips || job->built->columns != job->plan->columns)
        return usage(job, "the board of --built has %d strips and %d columns, the plan %d and %d: that is another board, and "
                          "its papers need no --built", job->built->strips, job->built->columns, job->plan->strips,
                     job->plan->columns);
    if (job->fitted)
        sw_plan_complete(job->built, job->fitted, job->library);
    return SW_OK;
}

sw_status built_say(cli_job *job) {
    sw_buf text = SW_BUF_INIT, work = SW_BUF_INIT;
    sw_status status = compare_built_say(job, job->built, job->fitted, &text);
    if (status == SW_OK)
        status = compare_plans_say(job->built, job->plan, job->library, &work);
    const char *nothing = text.length ? "no cuts, links or new parts are needed on the board that is built\n"
                                      : "nothing is to be done on the board that is built\n";
    sw_buf_puts(&text, work.length ? "to do on the board that is built:\n" : nothing);
    if (work.length)
        sw_buf_put(&text, work.bytes, work.length);
    show_text(&text, stderr);
    sw_buf_free(&text);
    sw_buf_free(&work);
    return status;
}
