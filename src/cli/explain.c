/* src/cli/explain.c: plan --explain.
 *
 * What bounds the size of the plan: the least size that is known, the widest part, the room that
 * leads, links, cuts and parts take, the nodes and strips; and how far the plan is from that.
 */
#include <stdlib.h>
#include <string.h>
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

/* ---- which parts take how much ---- */

/* Parts of one package, and the board that they lie over in holes. */
typedef struct share {
    const sw_package *form;
    uint32_t count;
    double holes;
} share;

static double least(double a, double b) { return a < b ? a : b; }
static double greatest(double a, double b) { return a > b ? a : b; }

/* The body as a rectangle (a round one's is as large as its disc) and a square of one pitch around
 * each lead and along the wires between two, both counted once. */
static double holes_of(const sw_package *form) {
    sw_box box = sw_package_outline(form, 0, form->span_usual), leads = {0, 0, 0, 0};
    double round = form->shape == SW_SHAPE_ROUND ? 0.785 : 1, half = SW_PITCH_MM / 2;
    int last = form->form == SW_FORM_PAIR ? form->span_usual : 0;
    for (int i = 0; i < form->pin_count && last == 0; i++) {
        leads.x0 = least(leads.x0, form->points[i].column * SW_PITCH_MM);
        leads.x1 = greatest(leads.x1, form->points[i].column * SW_PITCH_MM);
        leads.y0 = least(leads.y0, form->points[i].row * SW_PITCH_MM);
        leads.y1 = greatest(leads.y1, form->points[i].row * SW_PITCH_MM);
    }
    leads = (sw_box){leads.x0 - half, leads.y0 - half, leads.x1 + half, leads.y1 + last * SW_PITCH_MM + half};
    double across = least(box.x1, leads.x1) - greatest(box.x0, leads.x0);
    double down = least(box.y1, leads.y1) - greatest(box.y0, leads.y0);
    double common = across > 0 && down > 0 ? across * down : 0, body = (box.x1 - box.x0) * (box.y1 - box.y0);
    return ((leads.x1 - leads.x0) * (leads.y1 - leads.y0) + (body - common) * round) / (SW_PITCH_MM * SW_PITCH_MM);
}

static int by_holes(const void *a, const void *b) {
    const share *x = a, *y = b;
    if (x->holes != y->holes)
        return x->holes < y->holes ? 1 : -1;
    return strcmp(x->form->name, y->form->name);
}

static size_t list_shares(const sw_circuit *c, share *shares) {
    size_t count = 0;
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_package *form = c->parts[i].form;
        size_t at = 0;
        while (form && at < count && shares[at].form != form)
            at++;
        if (!form)
            continue;
        if (at == count)
            shares[count++] = (share){.form = form};
        shares[at].count++;
        shares[at].holes += holes_of(form);
    }
    qsort(shares, count, sizeof *shares, by_holes);
    return count;
}

static int rounded(double x) { return (int)(x + 0.5); }

static void say_shares(const share *shares, size_t count, int area, sw_buf *out) {
    enum { NAMED = 6 };
    double all = 0, rest = 0;
    for (size_t i = 0; i < count; i++) {
        all += shares[i].holes;
        rest += i >= NAMED ? shares[i].holes : 0;
    }
    sw_buf_printf(out, "The parts with their leads lie over as much of the board as %d holes take, %d %% of it:", rounded(all),
                  area ? rounded(all * 100 / area) : 0);
    for (size_t i = 0; i < count && i < NAMED; i++)
        sw_buf_printf(out, "%s %u × %s %d", i ? "," : "", shares[i].count, shares[i].form->name, rounded(shares[i].holes));
    if (count > NAMED)
        sw_buf_printf(out, ", all others %d", rounded(rest));
    sw_buf_puts(out, ".\n");
}

static void say_room(const cli_job *job, sw_buf *out) {
    const sw_circuit *c = job->fitted;
    const sw_cost *cost = &job->report.cost;
    int used = (int)c->pin_count + 2 * cost->links + cost->cuts;
    sw_buf_printf(out, "Of the plan's %d holes %d are used: %u by leads, %d by ends of links, %d by cuts.\n", cost->area, used,
                  c->pin_count, 2 * cost->links, cost->cuts);
    share *shares = calloc((size_t)c->part_count + 1, sizeof *shares);
    if (shares)
        say_shares(shares, list_shares(c, shares), cost->area, out);
    else
        out->failed = true;
    free(shares);
}

/* ---- the bound and the gap ---- */

/* So many parts, terminal pins too, may have their bound from refuted boards. */
enum { MOST_REFUTED = 12 };

sw_status explain_bound(cli_job *job, const sw_layout_options *options) {
    sw_proof proof;
    sw_layout_report *report = &job->report;
    int counted = report->lower_bound;
    if (!sw_layout_can_prove() || options->knife || job->fitted->part_count > MOST_REFUTED)
        return SW_OK;
    sw_status status = search_bound(job, options, job->plan, &proof);
    if (status != SW_OK || proof.bound <= counted)
        return status;
    report->lower_bound = proof.bound;
    int used = snprintf(report->bound_why, sizeof report->bound_why,
                        "every smaller board was shown to be impossible (counting leads, links and cuts gives %d)", counted);
    if (proof.holes < report->cost.area)
        snprintf(report->bound_why + used, sizeof report->bound_why - (size_t)used,
                 "; a plan of %d turned up, --prove gives it", proof.holes);
    return SW_OK;
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
                      !sw_layout_can_prove() ? " (this build has no SAT solver, so the bound is by counting alone)"
                                             : " (--prove asks, for small circuits)");
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

