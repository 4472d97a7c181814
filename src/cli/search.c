/* src/cli/search.c: runs the search, showing progress on a terminal.
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
} progress;

static void show(progress *p, const sw_layout_progress *now) {
    int percent = (int)(now->done * 100);
    if (percent == p->shown && now->stage == p->stage)
        return;
    p->shown = percent;
    p->stage = now->stage;
    if (now->best.area)
        fprintf(stderr, "\r%3d %%  %-10s best %d × %d = %d holes, %d links, %d cuts\033[K", percent, now->stage,
                now->best.strips, now->best.columns, now->best.area, now->best.links, now->best.cuts);
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

sw_status search_run(cli_job *job, const sw_layout_options *options) {
    progress p = {.terminal = isatty(STDERR_FILENO) == 1, .shown = -1, .stage = NULL};
    struct sigaction act = {.sa_handler = on_interrupt}, before;
    sigemptyset(&act.sa_mask);
    asked_to_stop = 0;
    sigaction(SIGINT, &act, &before);
    sw_status status = sw_layout(job->fitted, job->library, options, watch, &p, job->diags, &job->plan, &job->report);
    sigaction(SIGINT, &before, NULL);
    if (p.terminal)
        fputs("\r\033[K", stderr);
    if (status == SW_OK && asked_to_stop)
        sw_diag_add(job->diags, SW_D_SEARCH_STOPPED, SW_NOWHERE,
                    "stopped by Ctrl-C: this is the best plan found so far, and it is legal");
    else if (status == SW_OK && job->report.stopped)
        sw_diag_add(job->diags, SW_D_SEARCH_CAPPED, SW_NOWHERE,
                    "stopped by the time cap: the plan is legal, but another run may give another one");
    return status;
}
