/* src/cli/prove.c: plan --prove.
 *
 * The proof is about area alone.  A smaller plan that it turns up is tidied by a search that starts
 * from it and may not grow.  Whether it is taken is for the preference to say.
 */
#include "cli.h"

/* A plan turned up while proving comes with whatever links and cuts the solver liked. */
static sw_status tidy(const cli_job *job, const sw_layout_options *options, sw_plan **plan) {
    sw_layout_options tidying = *options;
    sw_layout_report report;
    sw_plan *tidied = NULL;
    sw_diags *quiet = sw_diags_new(NULL); /* a search that loses the plan is no finding: it stays as it is */
    int area = (*plan)->strips * (*plan)->columns;
    if (!quiet)
        return SW_SYSTEM;
    tidying.from = *plan;
    tidying.strips = (*plan)->strips;
    tidying.columns = (*plan)->columns;
    tidying.effort = SW_EFFORT_QUICK;
    sw_status status = search_try(job, &tidying, quiet, &tidied, &report);
    sw_diags_free(quiet);
    if (status == SW_OK && tidied->strips * tidied->columns <= area) {
        sw_plan_free(*plan);
        *plan = tidied;
        return SW_OK;
    }
    sw_plan_free(tidied);
    return status == SW_SYSTEM ? SW_SYSTEM : SW_OK;
}

static int out_of_reach(const cli_job *job, const sw_plan *plan) {
    sw_neatness n;
    return sw_plan_neatness(plan, job->fitted, job->library, &n) ? n.adjusters - n.in_reach : 0;
}

/* The solver knows neither wishes nor screwdrivers. */
static bool heeds_less(const cli_job *job, const sw_layout_options *options, const sw_plan *plan) {
    return sw_layout_missed(plan, options) > sw_layout_missed(job->plan, options) ||
           out_of_reach(job, plan) > out_of_reach(job, job->plan);
}

/* Takes the smallest plan for the job's, or lets it go. */
static void settle(cli_job *job, const sw_layout_options *options, sw_plan *smallest) {
    sw_cost cost;
    sw_plan_cost(smallest, job->library, &cost);
    if (heeds_less(job, options, smallest)) {
        fprintf(stderr, "a plan of %d holes exists (%d × %d), but it misses what was wished or leaves an adjuster out of "
                        "reach: the one in hand is kept\n", cost.area, cost.strips, cost.columns);
        sw_plan_free(smallest);
        return;
    }
    if (search_better(options->prefer, &cost, &job->report.cost)) {
        sw_plan_free(job->plan);
        job->plan = smallest;
        job->report.cost = cost;
        return;
    }
    if (cost.area < job->report.cost.area)
        fprintf(stderr, "a plan of %d holes exists (%d × %d, %d link%s, %d cut%s), but by the preference asked for the "
                        "one in hand is better and is kept: ask for the smallest with --prefer area\n",
                cost.area, cost.strips, cost.columns, cost.links, CLI_S(cost.links), cost.cuts,
                CLI_S(cost.cuts));
    sw_plan_free(smallest);
}

static void note_bound(cli_job *job, const sw_proof *proof) {
    sw_layout_report *report = &job->report;
    if (proof->bound <= report->lower_bound)
        return;
    report->lower_bound = proof->bound;
    snprintf(report->bound_why, sizeof report->bound_why, "every smaller board was shown to be impossible, one after the other");
}

sw_status prove_plan(cli_job *job, const sw_layout_options *options) {
    sw_proof proof = {.proven = false};
    sw_plan *smallest = NULL;
    if (options->prefer != SW_PREFER_AREA)
        fputs("the proof is about area: whether a board of fewer holes is possible, whatever its links and cuts\n", stderr);
    sw_status status = search_prove(job, options, job->plan, &smallest, &proof);
    if (status == SW_OK && smallest)
        status = tidy(job, options, &smallest);
    if (status != SW_OK) {
        sw_plan_free(smallest);
        return status;
    }
    fprintf(stderr, "%s%s\n", proof.text, search_asked_to_stop() ? " (stopped by Ctrl-C)" : "");
    if (smallest)
        settle(job, options, smallest);
    note_bound(job, &proof);
    return SW_OK;
}
