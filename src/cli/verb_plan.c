/* src/cli/verb_plan.c: a circuit goes in, a checked plan comes out. */
#include <string.h>
#include "cli.h"

void plan_summary(const cli_job *job, FILE *out) {
    const sw_cost *c = &job->report.cost;
    fprintf(out, "%s: %d strips × %d columns = %d holes, %d links, %d cuts\n",
            job->plan->title && job->plan->title[0] ? job->plan->title : "plan", c->strips, c->columns, c->area,
            c->links, c->cuts);
}

sw_status plan_make(cli_job *job, const char *path) {
    sw_layout_options options;
    search_memory *memory = NULL;
    sw_status status = search_options(job, &options, &memory);
    if (status == SW_OK)
        status = job_read_circuit(job, path, &job->netlist);
    if (status == SW_OK)
        status = job_fit(job, true);
    if (status == SW_OK) { /* what the review found should be read while the search runs */
        show_diags(job->diags, &job->shown);
        status = search_run(job, &options);
    }
    if (status == SW_OK) {
        sw_status checked = sw_check(job->plan, job->fitted, job->library, job->diags, &job->check);
        if (checked != SW_OK) /* never hand out what the check refuses */
            status = checked == SW_FINDINGS ? SW_NO_PLAN : checked;
    }
    search_options_free(memory);
    return status;
}

static sw_status run(cli_job *job) {
    const char *output = args_text(job->args, OPT_OUTPUT);
    const sw_format *format = job_output_format(job, output, "text");
    if (!format)
        return SW_USAGE;
    sw_status status = plan_make(job, job->args->files.items[0]);
    if (status != SW_OK)
        return status;
    plan_summary(job, stderr); /* the plan itself may be on standard output */
    sw_document document = job_document(job);
    return job_write(job, format, &document, output);
}

const cli_verb verb_plan = {
    "plan", V_PLAN, "FILE [-o OUT]", "work out a small, legal plan for a circuit",
    "Reads a circuit, fits, numbers and reviews it, searches for a small tidy plan,\n"
    "checks it from the geometry alone, and writes it: as a placement file, a hole\n"
    "list, a drawing or whatever OUT's ending says; as a text drawing without -o.\n"
    "The same circuit, options and seed give the same plan on any machine.  Ctrl-C\n"
    "gives the best plan so far.",
    1, 1, run};
