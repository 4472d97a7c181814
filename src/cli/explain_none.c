/* src/cli/explain_none.c: plan --explain when no plan was found.
 *
 * The search is run again with one limit left out at a time; a limit without which there is a plan
 * is the reason that there was none, or one of the reasons.  Where the bound says that the board
 * allowed is too small for any plan, that is said too: then no other seed need be tried.
 */
#include "cli.h"

typedef enum limit { L_STRIPS, L_COLUMNS, L_MARGIN, L_KEEP_OUTS, L_KEEP, L_LINK, L_LIES, L_COUNT } limit;

static const char *const limit_names[L_COUNT] = {"the limit of strips", "the limit of columns", "the margin",
                                                 "the keep-outs", "what is locked in the kept plan",
                                                 "the longest link allowed", "the ways parts may lie"};

static bool is_set(const sw_layout_options *o, limit l) {
    switch (l) {
    case L_STRIPS: return o->strips > 0;
    case L_COLUMNS: return o->columns > 0;
    case L_MARGIN: return o->margin > 0;
    case L_KEEP_OUTS: return o->keep_out_count > 0;
    case L_KEEP: return o->keep != NULL;
    case L_LINK: return o->longest_link > 0;
    case L_LIES: return o->lie_count > 0;
    case L_COUNT: break;
    }
    return false;
}

/* A fixed size without one of its sides is no fixed size. */
static void leave_out(sw_layout_options *o, limit l) {
    switch (l) {
    case L_STRIPS: o->strips = 0; o->fixed_size = false; break;
    case L_COLUMNS: o->columns = 0; o->fixed_size = false; break;
    case L_MARGIN: o->margin = 0; break;
    case L_KEEP_OUTS: o->keep_out_count = 0; break;
    case L_KEEP: o->keep = NULL; break;
    case L_LINK: o->longest_link = 0; break;
    case L_LIES: o->lie_count = 0; break;
    case L_COUNT: break;
    }
}

/* The smallest plan that a quick search finds with these options, and what it cannot go below. */
static sw_status try_without(const cli_job *job, const sw_layout_options *options, sw_cost *cost, int *bound) {
    sw_layout_report report = {.lower_bound = 0};
    sw_plan *plan = NULL;
    sw_diags *quiet = sw_diags_new(NULL);
    sw_status status = quiet ? search_try(job, options, quiet, &plan, &report) : SW_SYSTEM;
    if (status == SW_OK)
        *cost = report.cost;
    *bound = report.lower_bound;
    sw_plan_free(plan);
    sw_diags_free(quiet);
    return status;
}

static void say_found(sw_buf *out, const char *left_out, const sw_cost *cost) {
    sw_buf_printf(out, "Without %s the smallest plan found has %d strips × %d columns = %d holes.\n", left_out, cost->strips,
                  cost->columns, cost->area);
}

/* Whether the board allowed has fewer holes than any plan, one of its sides left free. */
static void say_certain(sw_buf *out, const sw_layout_options *options, limit left_out, int bound) {
    int allowed = options->strips * options->columns;
    if ((left_out == L_STRIPS || left_out == L_COLUMNS) && bound > allowed && allowed > 0)
        sw_buf_printf(out, "It is certain that there is none on %d strips × %d columns: these are %d holes, and even without %s no plan "
                           "has fewer than %d.\n",
                      options->strips, options->columns, allowed, limit_names[left_out], bound);
}

static sw_status without_each(const cli_job *job, const sw_layout_options *options, sw_buf *out, int *set, int *reasons,
                              limit *reason) {
    sw_status status = SW_OK;
    for (int l = 0; l < L_COUNT && status != SW_SYSTEM && !search_asked_to_stop(); l++) {
        sw_layout_options tried = *options;
        sw_cost cost;
        int bound = 0;
        if (!is_set(options, (limit)l))
            continue;
        ++*set;
        leave_out(&tried, (limit)l);
        status = try_without(job, &tried, &cost, &bound);
        say_certain(out, options, (limit)l, bound);
        if (status != SW_OK)
            continue;
        say_found(out, limit_names[l], &cost);
        ++*reasons;
        *reason = (limit)l;
    }
    return status == SW_SYSTEM ? SW_SYSTEM : SW_OK;
}

static sw_status without_all(const cli_job *job, const sw_layout_options *options, sw_buf *out, int set) {
    sw_layout_options tried = *options;
    sw_cost cost;
    int bound;
    for (int l = 0; l < L_COUNT; l++)
        leave_out(&tried, (limit)l);
    sw_status status = set > 1 ? try_without(job, &tried, &cost, &bound) : SW_NO_PLAN;
    if (status == SW_OK) {
        sw_buf_puts(out, "No single limit is the reason that there is no plan, but they are together.\n");
        say_found(out, "any of them", &cost);
    } else if (status != SW_SYSTEM)
        sw_buf_puts(out, "A quick search finds no plan without the limits either: they are not the reason.\n");
    return status;
}

sw_status explain_no_plan(const cli_job *job, const sw_layout_options *asked) {
    sw_layout_options options = *asked;
    sw_buf text = SW_BUF_INIT;
    int set = 0, reasons = 0;
    limit reason = L_COUNT;
    options.effort = SW_EFFORT_QUICK;
    options.prefer = SW_PREFER_AREA;
    sw_status status = without_each(job, &options, &text, &set, &reasons, &reason);
    if (status == SW_OK && set == 0)
        sw_buf_puts(&text, "No limits were set: more effort (--effort thorough) or another --seed may find a plan.\n");
    else if (status == SW_OK && search_asked_to_stop())
        sw_buf_puts(&text, "Stopped by Ctrl-C before every limit was looked at.\n");
    else if (status == SW_OK && reasons == 0)
        status = without_all(job, &options, &text, set);
    else if (status == SW_OK && reasons == 1)
        sw_buf_printf(&text, "So %s %s the reason that there is no plan.\n", limit_names[reason],
                      reason == L_KEEP_OUTS || reason == L_LIES ? "are" : "is");
    else if (status == SW_OK)
        sw_buf_puts(&text, "So it is these together that leave no room: easing any one of them will do.\n");
    show_text(&text, stderr);
    sw_buf_free(&text);
    return status == SW_SYSTEM ? SW_SYSTEM : SW_OK;
}
