/* src/cli/verb_plan.c: a circuit goes in, a checked plan comes out. */
#include <string.h>
#include "cli.h"

void plan_summary(const cli_job *job, FILE *out) {
    const sw_cost *c = &job->report.cost;
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "%s: %d strips × %d columns = %d holes, %d links, %d cuts\n",
                  job->plan->title && job->plan->title[0] ? job->plan->title : "plan", c->strips, c->columns,
                  c->area, c->links, c->cuts);
    show_text(&text, out);
    sw_buf_free(&text);
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
    if (status == SW_OK)
        status = sw_cautions(job->netlist, job->fitted, job->plan, job->library, job->diags);
    search_options_free(memory);
    return status;
}

/* What bounds the size: the search's bound, then what the circuit's nodes want. */
static void explain(const cli_job *job) {
    sw_budget budget;
    sw_buf text = SW_BUF_INIT;
    if (job->report.lower_bound)
        sw_buf_printf(&text, "No plan can have fewer than %d holes: %s\n", job->report.lower_bound,
                      job->report.bound_why);
    sw_budget_work_out(job->fitted, &budget);
    sw_budget_write(job->fitted, &budget, &text);
    show_text(&text, stderr);
    sw_buf_free(&text);
}

/* One more search with one side limited, told in a line; what it finds is let go. */
static void alternative(cli_job *job, sw_layout_options options, int strips, int columns) {
    sw_plan *kept = job->plan;
    sw_layout_report report = job->report;
    sw_diags *diags = job->diags;
    job->plan = NULL;
    job->diags = sw_diags_new(NULL); /* that a shape cannot be had is no finding of the plan in hand */
    options.strips = strips ? strips : options.strips;
    options.columns = columns ? columns : options.columns;
    sw_status status = job->diags ? search_run(job, &options) : SW_SYSTEM;
    fprintf(stderr, "with --%s %d: ", strips ? "strips" : "columns", strips ? strips : columns);
    if (status == SW_OK)
        plan_summary(job, stderr);
    else
        fputs("no plan found\n", stderr);
    sw_plan_free(job->plan);
    sw_diags_free(job->diags);
    job->plan = kept;
    job->report = report;
    job->diags = diags;
}

/* Plans of other shapes: lower and lower boards, narrower and narrower ones in turn. */
static sw_status alternatives(cli_job *job, long count) {
    sw_layout_options options;
    search_memory *memory = NULL;
    sw_status status = count > 1 ? search_options(job, &options, &memory) : SW_OK;
    int strips = job->report.cost.strips, columns = job->report.cost.columns;
    for (long i = 1; i < count && status == SW_OK; i++) {
        int *side = i % 2 ? &strips : &columns;
        *side = *side > 8 ? *side * 4 / 5 : *side - 1;
        if (*side > 0)
            alternative(job, options, i % 2 ? strips : 0, i % 2 ? 0 : columns);
    }
    search_options_free(memory);
    return status;
}

static sw_status run(cli_job *job) {
    const char *output = args_text(job->args, OPT_OUTPUT);
    const sw_format *format = job_output_format(job, output, "text");
    bool ok = true;
    long shapes = args_int(job, OPT_ALTERNATIVES, 1, 20, 1, &ok);
    if (!format || !ok)
        return SW_USAGE;
    sw_status status = job_can_write(job, output);
    if (status == SW_OK)
        status = plan_make(job, job->args->files.items[0]);
    if (status != SW_OK)
        return status;
    plan_summary(job, stderr); /* the plan itself may be on standard output */
    if (args_has(job->args, OPT_EXPLAIN))
        explain(job);
    status = alternatives(job, shapes);
    if (status != SW_OK)
        return status;
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
