/* src/cli/built_advise.c: when what is new finds no room on a board that is built: which of the
 * things that one might allow makes room, found out by searches with each.
 */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

typedef struct advice {
    sw_layout_options options; /* as asked, and more allowed */
    sw_lie_rule *lies;
    sw_buf words;              /* what to add to the command */
} advice;

static bool is_on(const sw_plan *plan, const char *ref) {
    for (uint32_t i = 0; i < plan->part_count; i++)
        if (strcmp(plan->parts[i].ref, ref) == 0)
            return true;
    return false;
}

/* The user has said how the part may lie. */
static bool is_ruled(const sw_layout_options *options, const sw_part *part) {
    for (size_t i = 0; i < options->lie_count; i++)
        if (strcmp(options->lies[i].pattern, part->ref) == 0 || strcmp(options->lies[i].pattern, part->form->name) == 0)
            return true;
    return false;
}

/* New parts that can may stand upright. */
static sw_status allow_upright(const cli_job *job, advice *a) {
    const sw_circuit *circuit = job->fitted;
    size_t given = a->options.lie_count;
    a->lies = calloc(given + circuit->part_count + 1, sizeof *a->lies);
    if (!a->lies)
        return SW_SYSTEM;
    if (given)
        memcpy(a->lies, a->options.lies, given * sizeof *a->lies);
    for (uint32_t i = 0; i < circuit->part_count; i++) {
        const sw_part *part = &circuit->parts[i];
        if (!part->form || is_on(a->options.keep, part->ref) || is_ruled(&a->options, part) ||
            !sw_library_upright(job->library, part->form))
            continue;
        a->lies[a->options.lie_count++] = (sw_lie_rule){.pattern = part->ref, .lies = SW_LIE_ACROSS | SW_LIE_UPRIGHT};
        sw_buf_printf(&a->words, " --lie %s=across+upright", part->ref);
    }
    a->options.lies = a->lies;
    return a->options.lie_count > given ? SW_OK : SW_NO_PLAN;
}

static int count_moved(const sw_plan *was, const sw_plan *is, const sw_library *library) {
    sw_plan_difference *d = sw_plan_compare(was, is, library);
    int count = 0;
    for (uint32_t i = 0; d && i < d->move_count; i++)
        count += d->moves[i].change == SW_PLAN_MOVED;
    sw_plan_difference_free(d);
    return count;
}

/* Whether a plan is found with all that is allowed, and with so many parts at most elsewhere. */
static bool makes_room(const cli_job *job, advice *a, int most) {
    sw_layout_report report;
    sw_plan *plan = NULL;
    sw_diags *quiet = sw_diags_new(NULL);
    a->options.move_most = most ? most : a->options.move_most;
    bool found = quiet && !search_asked_to_stop() && search_try(job, &a->options, quiet, &plan, &report) == SW_OK;
    if (found && most)
        sw_buf_printf(&a->words, " --move %d", count_moved(a->options.keep, plan, job->library));
    sw_plan_free(plan);
    sw_diags_free(quiet);
    return found;
}

static void tell(const sw_buf *words) {
    sw_buf text = SW_BUF_INIT;
    if (words && words->bytes)
        sw_buf_printf(&text, "There is room with%s.\n", words->bytes);
    else
        sw_buf_puts(&text, "There is none either with new parts standing upright, nor with two of the parts elsewhere.\n");
    show_text(&text, stderr);
    sw_buf_free(&text);
}

sw_status built_advise(cli_job *job, const sw_layout_options *asked) {
    enum { MOST_MOVED = 2 };
    advice lying = {.options = *asked, .words = SW_BUF_INIT}, upright = {.options = *asked, .words = SW_BUF_INIT};
    show_diags(job->diags, &job->shown); /* that there is no room */
    sw_status status = allow_upright(job, &upright);
    bool can_stand = status == SW_OK, more = asked->move_most < MOST_MOVED;
    const sw_buf *found = NULL;
    if (can_stand && makes_room(job, &upright, 0))
        found = &upright.words;
    else if (status != SW_SYSTEM && more && makes_room(job, &lying, MOST_MOVED))
        found = &lying.words;
    else if (can_stand && more && makes_room(job, &upright, MOST_MOVED))
        found = &upright.words;
    if (status != SW_SYSTEM && !search_asked_to_stop())
        tell(found);
    free(upright.lies);
    sw_buf_free(&upright.words);
    sw_buf_free(&lying.words);
    return status == SW_SYSTEM ? SW_SYSTEM : SW_OK;
}
