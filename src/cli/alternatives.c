/* src/cli/alternatives.c: plan --alternatives N, plans of different shapes.
 *
 * From the plan in hand the search is pushed two ways in turn: fewer strips than any plan
 * so far, fewer columns than any plan so far, until either way ends; and once for few links.  Of
 * all plans those stay that no other one beats in strips, columns and links at once.
 * The same circuit, options and seed give the same list.
 */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

enum { MOST_PLANS = 24 };

typedef struct choice {
    sw_plan *plan;
    sw_layout_report report;
    bool chosen;             /* stays the first: its preference is not told by its cost */
} choice;

typedef struct choices {
    choice items[MOST_PLANS];
    int count;
} choices;

static sw_status look(const cli_job *job, const sw_layout_options *options, choices *all, bool *found) {
    sw_diags *quiet = sw_diags_new(NULL); /* a shape that cannot be had is no finding of the plan in hand */
    choice c = {.plan = NULL};
    *found = false;
    if (!quiet)
        return SW_SYSTEM;
    sw_status status = search_try(job, options, quiet, &c.plan, &c.report);
    sw_diags_free(quiet);
    if (status == SW_OK && sw_check(c.plan, job->fitted, job->library, NULL, NULL) == SW_OK) {
        all->items[all->count++] = c;
        *found = true;
    } else
        sw_plan_free(c.plan);
    return status == SW_SYSTEM ? SW_SYSTEM : SW_OK;
}

static int fewest(const choices *all, bool strips) {
    int least = 1000;
    for (int i = 0; i < all->count; i++) {
        const sw_cost *cost = &all->items[i].report.cost;
        int n = strips ? cost->strips : cost->columns;
        least = n < least ? n : least;
    }
    return least;
}

/* Pushes both ways until `most` plans are there or neither way leads on. */
static sw_status push(const cli_job *job, const sw_layout_options *asked, choices *all, int most) {
    bool open[2] = {true, true}, found;
    sw_status status = SW_OK;
    for (int turn = 0; status == SW_OK && all->count < most && (open[0] || open[1]) && !search_asked_to_stop(); turn++) {
        int way = turn % 2;
        sw_layout_options options = *asked;
        if (!open[way])
            continue;
        int limit = fewest(all, way == 0) - 1;
        if (way == 0)
            options.strips = limit;
        else
            options.columns = limit;
        found = false;
        if (limit > 0)
            status = look(job, &options, all, &found);
        open[way] = found;
    }
    return status;
}

static bool beats(const sw_cost *a, const sw_cost *b) {
    bool no_worse = a->strips <= b->strips && a->columns <= b->columns && a->links <= b->links;
    bool better = a->strips < b->strips || a->columns < b->columns || a->links < b->links;
    return no_worse && (better || a->balanced < b->balanced);
}

static bool beaten(const choices *all, int i) {
    const sw_cost *cost = &all->items[i].report.cost;
    for (int k = 0; !all->items[i].chosen && k < all->count; k++) {
        const sw_cost *other = &all->items[k].report.cost;
        if (k != i && (beats(other, cost) || (k < i && !beats(cost, other) && other->strips == cost->strips &&
                                              other->columns == cost->columns && other->links == cost->links)))
            return true;
    }
    return false;
}

/* The better half first, by preference. */
static void sort(choices *all, sw_prefer prefer) {
    for (int i = 1; i < all->count; i++)
        for (int k = i; k > 0 && !all->items[k - 1].chosen && search_better(prefer, &all->items[k].report.cost, &all->items[k - 1].report.cost); k--) {
            choice keep = all->items[k];
            all->items[k] = all->items[k - 1];
            all->items[k - 1] = keep;
        }
}

static void sift(choices *all, sw_prefer prefer, int most) {
    choices kept = {.count = 0};
    bool lost[MOST_PLANS];
    for (int i = 0; i < all->count; i++)
        lost[i] = beaten(all, i);
    for (int i = 0; i < all->count; i++)
        if (lost[i])
            sw_plan_free(all->items[i].plan);
        else
            kept.items[kept.count++] = all->items[i];
    sort(&kept, prefer);
    for (; kept.count > most; kept.count--)
        sw_plan_free(kept.items[kept.count - 1].plan);
    *all = kept;
}

/* The first to job->plan, the rest to job->others. */
static sw_status hand_over(cli_job *job, choices *all) {
    job->plan = all->items[0].plan;
    job->report = all->items[0].report;
    job->others = calloc((size_t)all->count, sizeof *job->others);
    for (int i = 1; i < all->count; i++)
        if (job->others)
            job->others[job->other_count++] = all->items[i].plan;
        else
            sw_plan_free(all->items[i].plan);
    return job->others ? SW_OK : SW_SYSTEM;
}

sw_status alternatives_find(cli_job *job, const sw_layout_options *asked, long most) {
    choices all = {.count = 1};
    bool found;
    sw_layout_options options = *asked;
    all.items[0] = (choice){job->plan, job->report, asked->prefer == SW_PREFER_SYMMETRY};
    job->plan = NULL;
    sw_status status = SW_OK;
    if (!asked->fixed_size) /* a board in hand has one shape */
        status = push(job, &options, &all, (int)most);
    options.prefer = SW_PREFER_LINKS;
    if (status == SW_OK && asked->prefer != SW_PREFER_LINKS && !search_asked_to_stop())
        status = look(job, &options, &all, &found);
    sift(&all, asked->prefer, (int)most);
    sw_status handed = hand_over(job, &all);
    return status == SW_OK ? handed : status;
}

/* NAME.ENDING becomes NAME-2.ENDING, the ending being the one that tells the format. */
static void numbered(const char *output, int number, sw_buf *name) {
    const sw_format *format = sw_format_for_path(output);
    size_t length = strlen(output), end = 0;
    for (size_t i = 0; format && format->extensions && format->extensions[i]; i++) {
        size_t size = strlen(format->extensions[i]);
        if (size > end && size < length && strcmp(output + length - size, format->extensions[i]) == 0)
            end = size;
    }
    sw_buf_printf(name, "%.*s-%d%s", (int)(length - end), output, number, output + length - end);
}

static sw_status write_one(cli_job *job, const sw_format *format, const char *name, sw_plan *plan) {
    sw_document document = job_document(job);
    sw_check_report *check = NULL;
    sw_status status = sw_check(plan, job->fitted, job->library, NULL, &check);
    document.plan = plan;
    document.check = check;
    if (status == SW_OK)
        status = job_write(job, format, &document, name);
    sw_check_report_free(check);
    return status;
}

sw_status alternatives_write(cli_job *job, const sw_format *format, const char *output) {
    bool to_file = output && strcmp(output, "-") != 0;
    sw_status status = SW_OK;
    for (size_t i = 0; job->others && i <= job->other_count && status == SW_OK; i++) {
        sw_cost cost = job->report.cost;
        sw_buf name = SW_BUF_INIT;
        if (i)
            sw_plan_cost(job->others[i - 1], job->library, &cost);
        if (i && to_file)
            numbered(output, (int)i + 1, &name);
        else
            sw_buf_puts(&name, to_file ? output : "");
        fprintf(stderr, "%s %2zu  %3d strips × %3d columns = %4d holes, %3d links, %3d cuts%s%s\n", i ? " " : ">", i + 1,
                cost.strips, cost.columns, cost.area, cost.links, cost.cuts, to_file ? "  " : "", name.bytes ? name.bytes : "");
        if (name.failed)
            status = SW_SYSTEM;
        else if (i && to_file)
            status = write_one(job, format, name.bytes, job->others[i - 1]);
        sw_buf_free(&name);
    }
    return status;
}
