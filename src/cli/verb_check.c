/* src/cli/verb_check.c: is this plan right? */
#include "cli.h"

static void put_verdict(const cli_job *job, sw_buf *out) {
    sw_cost cost;
    sw_plan_cost(job->plan, job->library, &cost);
    sw_buf_printf(out, "%s: %d strips × %d columns = %d holes, %d link%s, %d cut%s: ",
                  job->plan->title[0] ? job->plan->title : "plan",
                  cost.strips, cost.columns, cost.area, cost.links, CLI_S(cost.links), cost.cuts, CLI_S(cost.cuts));
    if (job->check->error_count)
        sw_buf_printf(out, "%u fault%s\n", job->check->error_count, CLI_S(job->check->error_count));
    else if (job->fitted)
        sw_buf_puts(out, "legal, and it builds the circuit\n");
    else
        sw_buf_puts(out, "legal by its own node numbers (no circuit to compare with: --against)\n");
    if (!job->check->error_count)
        say_neatness(job, out);
}

static sw_status run(cli_job *job) {
    sw_buf text = SW_BUF_INIT;
    const char *output = args_text(job->args, OPT_OUTPUT);
    sw_status status = job_read_plan(job, job->args->files.items[0], &job->plan);
    if (status == SW_OK && args_has(job->args, OPT_AGAINST))
        status = job_complete_plan(job);
    if (status != SW_OK)
        return status;
    sw_status found = sw_check(job->plan, job->fitted, job->library, job->diags, &job->check);
    if (!job->check)
        return found;
    put_verdict(job, &text);
    status = job_write_text(job, &text, NULL);
    sw_buf_free(&text);
    if (status == SW_OK && output) { /* the plan with its faults drawn */
        const sw_format *format = job_output_format(job, output, "text");
        sw_document document = job_document(job);
        status = format ? job_write(job, format, &document, output) : SW_USAGE;
    }
    return status == SW_OK ? found : status;
}

const cli_verb verb_check = {
    "check", V_CHECK, "PLAN --against CIRCUIT", "is this plan right? each fault with its hole and its mend",
    "Turns the plan's strips, cuts and links into copper and compares that with the\n"
    "circuit: shorts, opens, parts that collide, needless cuts and links.  Works as\n"
    "well on a hole list typed from squared paper.  -o FILE.svg draws the faults.",
    1, 1, run};
