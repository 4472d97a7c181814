/* src/layout/layout.c: the search as the public header has it. */
#include <string.h>
#include "emit.h"
#include "lanes.h"
#include "loosen.h"

/* What was to be placed on a board that is built, a few of it by name. */
static void no_room(const swi_model *m, sw_diags *diags) {
    enum { NAMED = 6 };
    sw_buf names = SW_BUF_INIT;
    int count = 0;
    for (uint16_t p = 0; p < m->part_count; p++)
        if (m->parts[p].home_shape < 0 && ++count <= NAMED)
            sw_buf_printf(&names, "%s%s", count > 1 ? ", " : "", m->circuit->parts[p].ref);
    sw_diag_add(diags, SW_D_LAYOUT_NO_PLAN, SW_NOWHERE,
                "no room was found on the board that is built for %s%s: let %s of its parts go elsewhere (--move), let it lie in "
                "more ways (--lie), put it on a piece of its own, or plan anew with --from",
                count ? names.bytes ? names.bytes : "" : "the links that are wanted", count > NAMED ? ", …" : "",
                m->options->move_most || m->options->loose_count ? "more" : "one or two");
    sw_buf_free(&names);
}

static sw_status no_plan(const swi_model *m, sw_diags *diags, const swi_lanes *l, bool by_watch) {
    const sw_layout_options *o = m->options;
    if (by_watch) {
        sw_diag_add(diags, SW_D_LAYOUT_STOPPED, SW_NOWHERE, "stopped before a legal plan was found: give it more time");
        return SW_STOPPED;
    }
    if (l->stopped)
        sw_diag_add(diags, SW_D_LAYOUT_NO_PLAN, SW_NOWHERE, "no legal plan was found within the time cap: allow more seconds, or none");
    else if (o->built)
        no_room(m, diags);
    else if (o->strips || o->columns || o->keep || o->keep_out_count || o->longest_link)
        sw_diag_add(diags, SW_D_LAYOUT_NO_PLAN, SW_NOWHERE,
                    "no legal plan was found within the limits: allow more strips or columns, unlock what is kept in place, or try "
                    "--effort thorough or another seed; --explain looks for the limit that is the reason");
    else
        sw_diag_add(diags, SW_D_LAYOUT_NO_PLAN, SW_NOWHERE, "no legal plan was found: try --effort thorough or another seed");
    return SW_NO_PLAN;
}

/* The limits that no plan can meet are known before any search. */
static sw_status limits_allow(const swi_model *m, sw_diags *diags) {
    int strips = m->tallest + 1, columns = m->widest + 1;
    if (m->most_rows >= strips && m->most_cols >= columns)
        return SW_OK;
    sw_diag_add(diags, SW_D_LAYOUT_LIMIT, SW_NOWHERE,
                "the board is too small for one of the parts: it needs at least %d strips and %d columns beside the margins, allowed are %d and %d",
                strips, columns, m->most_rows > 0 ? (int)m->most_rows : 0, m->most_cols > 0 ? (int)m->most_cols : 0);
    return SW_NO_PLAN;
}

/* The last guard: what the check refuses is never handed out. */
static sw_status judge(const swi_model *m, sw_plan *plan, sw_diags *diags) {
    sw_status status = sw_check(plan, m->circuit, m->library, NULL, NULL);
    if (status == SW_FINDINGS) {
        sw_check(plan, m->circuit, m->library, diags, NULL); /* says where */
        sw_diag_add(diags, SW_D_LAYOUT_REFUSED, SW_NOWHERE,
                    "the search made a plan that the check refuses: this is a fault of the program; another seed may do");
        return SW_NO_PLAN;
    }
    if (status != SW_OK)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while the plan was checked");
    return status;
}

bool swi_on_watch(void *user, const sw_layout_progress *progress) {
    const swi_asked *asked = user;
    return !asked->watch || asked->watch(asked->user, progress);
}

/* Lanes, and where a built board has no room for what is new, lanes with some of its parts taken off. */
static sw_status find(swi_model *m, swi_lanes *l, swi_asked *asked, sw_diags *diags, sw_plan **out) {
    const sw_layout_options *o = m->options;
    const swi_sketch *best = swi_lanes_run(l, swi_on_watch, asked);
    bool by_watch = l->by_watch;
    *out = best ? swi_emit(m, best) : NULL;
    if (!best && o->built && o->move_most > 0 && !l->stopped)
        *out = swi_loosen(m, asked, &by_watch);
    return *out ? SW_OK : best ? SW_SYSTEM : no_plan(m, diags, l, by_watch);
}

static sw_status search(swi_model *m, swi_asked *asked, sw_diags *diags, sw_plan **out, sw_layout_report *report) {
    double start = swi_seconds();
    swi_sketch *from = m->options->from ? swi_sketch_new(m) : NULL;
    swi_lanes *l = swi_lanes_new(m);
    sw_status status = SW_SYSTEM;
    if (l && (!m->options->from || from)) {
        if (from && swi_sketch_from(m, m->options->from, from))
            l->from = from;
        l->stop.test_poll = asked->test_poll;
        l->stop.test_after = asked->test_after;
        status = find(m, l, asked, diags, out);
        report->moves = swi_lanes_moves(l);
        report->stopped = l->stopped;
    }
    if (status == SW_OK)
        status = judge(m, *out, diags);
    if (status == SW_OK) {
        sw_plan_cost(*out, m->library, &report->cost);
        swi_tell_wishes(*out, m->options, diags);
    }
    if (status == SW_SYSTEM)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while a plan was searched");
    report->lower_bound = swi_bound(m, report->bound_why, sizeof report->bound_why);
    report->seconds = swi_seconds() - start;
    swi_lanes_free(l);
    swi_sketch_free(from);
    return status;
}

sw_status swi_layout(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                     const swi_params *params, swi_asked *asked, sw_diags *diags, sw_plan **out, sw_layout_report *report) {
    memset(report, 0, sizeof *report);
    *out = NULL;
    sw_status status;
    swi_model *m = swi_model_new(fitted, library, options, params, diags, &status);
    if (!m)
        return status;
    status = limits_allow(m, diags);
    if (status == SW_OK)
        status = swi_fixed_allow(m, diags);
    if (status == SW_OK)
        status = search(m, asked, diags, out, report);
    if (status != SW_OK) {
        sw_plan_free(*out);
        *out = NULL;
    }
    swi_model_free(m);
    return status;
}

sw_status sw_layout(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                    sw_layout_watch watch, void *user, sw_diags *diags, sw_plan **out, sw_layout_report *report) {
    sw_layout_report unused;
    swi_params params;
    swi_params_default(&params);
    swi_asked asked = {.watch = watch, .user = user};
    return swi_layout(fitted, library, options, &params, &asked, diags, out, report ? report : &unused);
}
