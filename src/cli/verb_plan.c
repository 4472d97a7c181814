/* src/cli/verb_plan.c: a circuit goes in, a checked plan comes out. */
#include <string.h>
#include "cli.h"

void say_neatness(const cli_job *job, sw_buf *out) {
    sw_neatness neatness;
    if (!sw_plan_neatness(job->plan, job->fitted, job->library, &neatness))
        return;
    sw_buf_puts(out, "neatness: ");
    sw_neatness_write(&neatness, out);
    sw_buf_putc(out, '\n');
}

void plan_summary(const cli_job *job, FILE *out) {
    const sw_cost *c = &job->report.cost;
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "%s: %d strips × %d columns = %d holes, %d link%s, %d cut%s\n",
                  job->plan->title && job->plan->title[0] ? job->plan->title : "plan", c->strips, c->columns,
                  c->area, c->links, CLI_S(c->links), c->cuts, CLI_S(c->cuts));
    say_neatness(job, &text);
    show_text(&text, out);
    sw_buf_free(&text);
}

/* What a plan that was given gained. */
static sw_status say_gain(const cli_job *job, const sw_plan *from) {
    sw_cost was;
    const sw_cost *is = &job->report.cost;
    sw_buf text = SW_BUF_INIT;
    sw_plan_cost(from, job->library, &was);
    if (was.area == is->area && was.links == is->links && was.cuts == is->cuts)
        sw_buf_printf(&text, "no holes, links or cuts were won on the plan it started from\n");
    else
        sw_buf_printf(&text, "won on the plan it started from: %d hole%s, %d link%s, %d cut%s\n", was.area - is->area,
                      CLI_S(was.area - is->area), was.links - is->links, CLI_S(was.links - is->links),
                      was.cuts - is->cuts, CLI_S(was.cuts - is->cuts));
    sw_plan *before = sw_plan_copy(from); /* a hole list tells neither turns nor packages */
    if (before)
        sw_plan_complete(before, job->fitted, job->library);
    sw_status status = before ? compare_plans_say(before, job->plan, job->library, &text) : SW_SYSTEM;
    show_text(&text, stderr);
    sw_buf_free(&text);
    sw_plan_free(before);
    return status;
}

/* The search, and what plan's further options want of it. */
static sw_status search_as_asked(cli_job *job, const sw_layout_options *options) {
    bool ok = true, explain = args_has(job->args, OPT_EXPLAIN);
    long shapes = args_int(job, OPT_ALTERNATIVES, 1, 20, 1, &ok);
    sw_status status = search_run(job, options);
    if (status == SW_NO_PLAN && options->built && built_advise(job, options) == SW_SYSTEM)
        status = SW_SYSTEM;
    if (status == SW_NO_PLAN && explain && !options->built && explain_no_plan(job, options) == SW_SYSTEM)
        status = SW_SYSTEM;
    if (status == SW_OK && shapes > 1)
        status = alternatives_find(job, options, shapes);
    if (status == SW_OK && args_has(job->args, OPT_PROVE))
        status = prove_plan(job, options);
    else if (status == SW_OK && explain)
        status = explain_bound(job, options);
    if (status == SW_OK && options->from)
        status = say_gain(job, options->from);
    if (status == SW_OK && options->built)
        status = built_say(job);
    return status;
}

sw_status plan_make(cli_job *job, const char *path) {
    sw_layout_options options;
    search_memory *memory = NULL;
    sw_status status = search_options(job, &options, &memory);
    job->like = options.from ? options.from : options.keep;
    if (status == SW_OK)
        status = job_read_circuit(job, path, &job->netlist);
    if (status == SW_OK)
        status = job_fit(job, true);
    job->like = NULL;
    if (status == SW_OK)
        status = search_complete(job, memory);
    if (status == SW_OK)
        unused_by_circuit(job, &options);
    if (status == SW_OK) { /* what the review found should be read while the search runs */
        show_diags(job->diags, &job->shown);
        status = search_as_asked(job, &options);
    }
    if (status == SW_OK) {
        sw_status checked = sw_check(job->plan, job->fitted, job->library, job->diags, &job->check);
        if (checked != SW_OK) /* never hand out what the check refuses */
            status = checked == SW_FINDINGS ? SW_NO_PLAN : checked;
    }
    if (status == SW_OK && !sw_plan_from_input(job->plan, &job->input))
        status = SW_SYSTEM;
    if (status == SW_OK)
        status = sw_cautions(job->netlist, job->fitted, job->plan, job->library, job->diags);
    search_options_free(memory);
    return status;
}

static sw_status run(cli_job *job) {
    const char *output = args_text(job->args, OPT_OUTPUT);
    const sw_format *format = job_output_format(job, output, "text");
    bool ok = true;
    args_int(job, OPT_ALTERNATIVES, 1, 20, 1, &ok); /* before the search, not after it */
    if (!format || !ok)
        return SW_USAGE;
    sw_status status = job_can_write(job, output);
    if (status == SW_OK)
        status = plan_make(job, job->args->files.items[0]);
    if (status != SW_OK)
        return status;
    plan_summary(job, stderr); /* the plan itself may be on standard output */
    if (args_has(job->args, OPT_EXPLAIN))
        explain_plan(job);
    status = alternatives_write(job, format, output);
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
