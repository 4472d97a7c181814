/* src/cli/explain.c: plan --explain.
 *
 * With a plan: what bounds its size, and how far the plan is from that.  Without one: the
 * search is run again with one limit left out at a time; a limit without which there is a plan is
 * the reason that there was none, or one of the reasons.
 */
#include "cli.h"

/* ---- what bounds the size ---- */

static int columns_of(const sw_package *form) {
    int least = 0, most = 0;
    for (int i = 0; i < form->pin_count; i++) {
        least = form->points[i].column < least ? form->points[i].column : least;
        most = form->points[i].column > most ? form->points[i].column : most;
    }
    return form->form == SW_FORM_PAIR ? 1 : most - least + 1;
}

static void say_widest(const sw_circuit *c, sw_buf *out) {
    const sw_part *widest = NULL;
    for (uint32_t i = 0; i < c->part_count; i++)
        if (c->parts[i].form && (!widest || columns_of(c->parts[i].form) > columns_of(widest->form)))
            widest = &c->parts[i];
    if (widest && columns_of(widest->form) > 1)
        sw_buf_printf(out, "%s (%s) takes most columns where it stands as usual: %d.\n", widest->ref, widest->package,
                      columns_of(widest->form));
}

/* Leads and the outlines of the bodies, as shares of the plan's holes. */
static void say_room(const cli_job *job, sw_buf *out) {
    const sw_circuit *c = job->fitted;
    double bodies = 0, pitch = SW_PITCH_MM * SW_PITCH_MM;
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_package *form = c->parts[i].form;
        if (!form)
            continue;
        sw_box box = sw_package_outline(form, 0, form->span_usual);
        bodies += (box.x1 - box.x0) * (box.y1 - box.y0) / pitch * (form->shape == SW_SHAPE_ROUND ? 0.785 : 1);
    }
    const sw_cost *cost = &job->report.cost;
    int used = (int)c->pin_count + 2 * cost->links + cost->cuts;
    sw_buf_printf(out, "Of the plan's %d holes %d are used: %u by leads, %d by ends of links, %d by cuts.\n", cost->area, used,
                  c->pin_count, 2 * cost->links, cost->cuts);
    sw_buf_printf(out, "The bodies lie over as much of the board as %d holes take, %d %% of it.\n", (int)(bodies + 0.5),
                  cost->area ? (int)(bodies * 100 / cost->area + 0.5) : 0);
}

static void say_gap(const cli_job *job, sw_buf *out) {
    const sw_layout_report *report = &job->report;
    int area = report->cost.area, bound = report->lower_bound;
    if (bound <= 0)
        return;
    sw_buf_printf(out, "No plan can have fewer than %d holes: %s.\n", bound, report->bound_why);
    if (area <= bound)
        sw_buf_printf(out, "The plan has just these %d holes: nothing smaller exists.\n", area);
    else
        sw_buf_printf(out, "The plan has %d holes, %d %% above that; what lies between is not known%s.\n", area,
                      ((area - bound) * 100 + bound / 2) / bound,
                      sw_layout_can_prove() ? " (--prove asks, for small circuits)" : "");
}

void explain_plan(const cli_job *job) {
    sw_budget budget;
    sw_buf text = SW_BUF_INIT;
    say_gap(job, &text);
    say_widest(job->fitted, &text);
    say_room(job, &text);
    sw_budget_work_out(job->fitted, &budget);
    sw_budget_write(job->fitted, &budget, &text);
    show_text(&text, stderr);
    sw_buf_free(&text);
}

/* ---- why there is no plan ---- */

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

/* The smallest plan that a quick search finds with these options. */
static sw_status try_without(const cli_job *job, const sw_layout_options *options, sw_cost *cost) {
    sw_layout_report report;
    sw_plan *plan = NULL;
    sw_diags *quiet = sw_diags_new(NULL);
    sw_status status = quiet ? search_try(job, options, quiet, &plan, &report) : SW_SYSTEM;
    if (status == SW_OK)
        *cost = report.cost;
    sw_plan_free(plan);
    sw_diags_free(quiet);
    return status;
}

static void say_found(sw_buf *out, const char *left_out, const sw_cost *cost) {
    sw_buf_printf(out, "Without %s the smallest plan found has %d strips × %d columns = %d holes.\n", left_out, cost->strips,
                  cost->columns, cost->area);
}

static sw_status without_each(const cli_job *job, const sw_layout_options *options, sw_buf *out, int *set, int *reasons,
                              limit *reason) {
    sw_status status = SW_OK;
    for (int l = 0; l < L_COUNT && status != SW_SYSTEM && !search_asked_to_stop(); l++) {
        sw_layout_options tried = *options;
        sw_cost cost;
        if (!is_set(options, (limit)l))
            continue;
        ++*set;
        leave_out(&tried, (limit)l);
        status = try_without(job, &tried, &cost);
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
    for (int l = 0; l < L_COUNT; l++)
        leave_out(&tried, (limit)l);
    sw_status status = set > 1 ? try_without(job, &tried, &cost) : SW_NO_PLAN;
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
