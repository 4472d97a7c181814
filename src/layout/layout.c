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
    sw_layout_progress of_all = *progress;
    if (asked->to > 0)
        of_all.done = asked->from + (asked->to - asked->from) * progress->done;
    return !asked->watch || asked->watch(asked->user, &of_all);
}

/* What a search ended in. */
typedef struct outcome {
    sw_plan *plan;
    int64_t worth;  /* by the balanced preference, wishes included */
    bool by_watch;
} outcome;

static int64_t worth_of(const swi_model *m, const swi_sketch *k) {
    int64_t wishes = k->merit - swi_merit(m, k->rows, k->cols, &k->tally);
    return swi_balance(m, k->rows, k->cols, &k->tally) + wishes;
}

/* Lanes, and where a built board has no room for what is new, lanes with some of its parts taken off. */
static sw_status find(swi_model *m, swi_lanes *l, swi_asked *asked, sw_diags *diags, outcome *out) {
    const sw_layout_options *o = m->options;
    if (o->built && o->move_most > 0)
        asked->to = 0.5;
    const swi_sketch *best = swi_lanes_run(l, swi_on_watch, asked);
    out->by_watch = l->by_watch;
    out->plan = best ? swi_emit(m, best) : NULL;
    out->worth = best ? worth_of(m, best) : 0;
    if (!best && o->built && o->move_most > 0 && !l->stopped)
        out->plan = swi_loosen(m, asked, &out->by_watch);
    return out->plan ? SW_OK : best ? SW_SYSTEM : no_plan(m, diags, l, out->by_watch);
}

static sw_status search(swi_model *m, swi_asked *asked, sw_diags *diags, outcome *out, sw_layout_report *report) {
    swi_sketch *from = m->options->from ? swi_sketch_new(m) : NULL;
    swi_lanes *l = swi_lanes_new(m);
    sw_status status = SW_SYSTEM;
    if (l && (!m->options->from || from)) {
        if (from && swi_sketch_from(m, m->options->from, from))
            l->from = from;
        l->stop.test_poll = asked->test_poll;
        l->stop.test_after = asked->test_after;
        status = find(m, l, asked, diags, out);
        report->moves += swi_lanes_moves(l);
        report->stopped |= l->stopped;
    }
    if (status == SW_OK)
        status = judge(m, out->plan, diags);
    if (status == SW_SYSTEM)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while a plan was searched");
    swi_lanes_free(l);
    swi_sketch_free(from);
    return status;
}

/* The fewest strips (or columns) are found by a search that tries to lose one most of the time, and has
 * little left for the other way: another one within as many looks for the best plan. */
static bool goes_on(const sw_layout_options *o) {
    return (o->prefer == SW_PREFER_STRIPS || o->prefer == SW_PREFER_COLUMNS) && !o->fixed_size && !o->from && !o->built;
}

static void go_on(const swi_model *m, double until, swi_asked *asked, outcome *first, sw_layout_report *report) {
    sw_layout_options o = *m->options;
    bool strips = o.prefer == SW_PREFER_STRIPS;
    o.prefer = SW_PREFER_BALANCE;
    *(strips ? &o.strips : &o.columns) = strips ? first->plan->strips : first->plan->columns;
    o.seconds = until > 0 ? until - swi_seconds() : 0;
    if (until > 0 && o.seconds <= 0)
        return;
    asked->from = 0.5;
    asked->to = 1;
    outcome next = {NULL, 0, false};
    sw_status status;
    sw_diags *unheard = sw_diags_new(NULL);
    swi_model *narrow = unheard ? swi_model_new(m->circuit, m->library, &o, &m->params, unheard, &status) : NULL;
    if (narrow && search(narrow, asked, unheard, &next, report) == SW_OK) {
        int fewer = strips ? first->plan->strips - next.plan->strips : first->plan->columns - next.plan->columns;
        if (fewer > 0 || (fewer == 0 && next.worth < first->worth)) {
            sw_plan_free(first->plan);
            *first = next;
            next.plan = NULL;
        }
    }
    sw_plan_free(next.plan);
    swi_model_free(narrow);
    sw_diags_free(unheard);
}

static sw_status search_all(swi_model *m, double until, swi_asked *asked, sw_diags *diags, sw_plan **out, sw_layout_report *report) {
    double start = swi_seconds();
    outcome found = {NULL, 0, false};
    sw_status status = search(m, asked, diags, &found, report);
    if (status == SW_OK && goes_on(m->options) && !found.by_watch)
        go_on(m, until, asked, &found, report);
    *out = found.plan;
    if (status == SW_OK) {
        sw_plan_cost(*out, m->library, &report->cost);
        swi_tell_wishes(*out, m->options, diags);
    }
    report->lower_bound = swi_bound(m, report->bound_why, sizeof report->bound_why);
    report->seconds = swi_seconds() - start;
    return status;
}

sw_status swi_layout(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                     const swi_params *params, swi_asked *asked, sw_diags *diags, sw_plan **out, sw_layout_report *report) {
    memset(report, 0, sizeof *report);
    *out = NULL;
    sw_status status;
    sw_layout_options first = *options;
    double until = options->seconds > 0 ? swi_seconds() + options->seconds : 0;
    if (goes_on(options)) {
        first.seconds /= 2;
        asked->to = 0.5;
    }
    swi_model *m = swi_model_new(fitted, library, &first, params, diags, &status);
    if (!m)
        return status;
    status = limits_allow(m, diags);
    if (status == SW_OK)
        status = swi_fixed_allow(m, diags);
    if (status == SW_OK)
        status = search_all(m, until, asked, diags, out, report);
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
