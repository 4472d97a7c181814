/* src/cli/search.c: runs the search and the proof, showing progress on a terminal.
 *
 * Ctrl-C asks the search to stop: the best plan so far is used, with a warning;
 * a second Ctrl-C ends the program at once.
 */
#include <signal.h>
#include <unistd.h>
#include "cli.h"

static volatile sig_atomic_t asked_to_stop;

static void on_interrupt(int signal_number) {
    asked_to_stop = 1;
    signal(signal_number, SIG_DFL);
}

typedef struct progress {
    bool terminal;
    int shown; /* last percent shown, so that a line is written only when it changes */
    const char *stage;
    int area;  /* while proving: holes of the plan in hand */
} progress;

static void show(progress *p, const sw_layout_progress *now) {
    int percent = (int)(now->done * 100);
    if (percent == p->shown && now->stage == p->stage)
        return;
    p->shown = percent;
    p->stage = now->stage;
    if (p->area)
        fprintf(stderr, "\r%3d %%  %-10s whether fewer than %d holes will do\033[K", percent, now->stage, p->area);
    else if (now->best.area)
        fprintf(stderr, "\r%3d %%  %-10s best %d × %d = %d holes, %d link%s, %d cut%s\033[K", percent, now->stage,
                now->best.strips, now->best.columns, now->best.area, now->best.links, CLI_S(now->best.links),
                now->best.cuts, CLI_S(now->best.cuts));
    else
        fprintf(stderr, "\r%3d %%  %-10s no legal plan yet\033[K", percent, now->stage);
    fflush(stderr);
}

static bool watch(void *user, const sw_layout_progress *now) {
    progress *p = user;
    if (p->terminal)
        show(p, now);
    return !asked_to_stop;
}

/* Ctrl-C asks to stop while one of these is open.  A verb that searches several times is
 * stopped once for all: then the second Ctrl-C ends the program whenever it comes. */
typedef struct listening { struct sigaction before; } listening;

static void listen_begin(listening *l, progress *p) {
    struct sigaction act = {.sa_handler = on_interrupt};
    *p = (progress){.terminal = isatty(STDERR_FILENO) == 1, .shown = -1, .stage = NULL};
    sigemptyset(&act.sa_mask);
    if (asked_to_stop)
        act.sa_handler = SIG_DFL;
    sigaction(SIGINT, &act, &l->before);
}

static void listen_end(const listening *l, const progress *p) {
    sigaction(SIGINT, &l->before, NULL);
    if (p->terminal)
        fputs("\r\033[K", stderr);
}

bool search_asked_to_stop(void) { return asked_to_stop; }

sw_status search_try(const cli_job *job, const sw_layout_options *options, sw_diags *diags, sw_plan **plan,
                     sw_layout_report *report) {
    progress p;
    listening l;
    listen_begin(&l, &p);
    sw_status status = sw_layout(job->fitted, job->library, options, watch, &p, diags, plan, report);
    listen_end(&l, &p);
    return status;
}

sw_status search_prove(const cli_job *job, const sw_layout_options *options, const sw_plan *plan, sw_plan **smaller,
                       sw_proof *proof) {
    progress p;
    listening l;
    listen_begin(&l, &p);
    p.area = plan->strips * plan->columns;
    sw_status status = sw_layout_prove(job->fitted, job->library, options, plan, watch, &p, job->diags, smaller, proof);
    listen_end(&l, &p);
    return status;
}

sw_status search_bound(const cli_job *job, const sw_layout_options *options, const sw_plan *plan, sw_proof *proof) {
    progress p;
    listening l;
    listen_begin(&l, &p);
    p.area = plan->strips * plan->columns;
    sw_status status = sw_layout_bound(job->fitted, job->library, options, plan, watch, &p, job->diags, proof);
    listen_end(&l, &p);
    return status;
}

bool search_better(sw_prefer prefer, const sw_cost *a, const sw_cost *b) {
    int first = 0;
    switch (prefer) {
    case SW_PREFER_AREA: first = a->area - b->area; break;
    case SW_PREFER_STRIPS: first = a->strips - b->strips; break;
    case SW_PREFER_COLUMNS: first = a->columns - b->columns; break;
    case SW_PREFER_LINKS: first = a->links - b->links; break;
    case SW_PREFER_BALANCE:
    case SW_PREFER_SYMMETRY: break;
    }
    return first ? first < 0 : a->balanced < b->balanced;
}

sw_status search_run(cli_job *job, const sw_layout_options *options) {
    sw_status status = search_try(job, options, job->diags, &job->plan, &job->report);
    if (status == SW_OK && asked_to_stop)
        sw_diag_add(job->diags, SW_D_SEARCH_STOPPED, SW_NOWHERE,
                    "stopped by Ctrl-C: this is the best plan found so far, and it is legal");
    else if (status == SW_OK && job->report.stopped)
        sw_diag_add(job->diags, SW_D_SEARCH_CAPPED, SW_NOWHERE,
                    "stopped by the time cap: the plan is legal, but another run may give another one");
    return status;
}
