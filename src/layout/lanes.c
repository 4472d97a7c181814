/* src/layout/lanes.c: rounds of lanes on threads; see lanes.h. */
#include <config.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>
#include "lane.h"

double swi_seconds(void) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* A search settles early into a kind of plan that it does not leave again: many short
 * lanes find a better one than few long ones, within tight limits too, as long as each has
 * the moves to become legal and small.  Large circuits need more for that. */
static int lane_count(const swi_model *m) {
    static const int usual[3] = {2, 12, 32}, few[3] = {2, 4, 8};
    return (swi_is_large(m) ? few : usual)[m->options->effort];
}

uint64_t swi_planned_moves(const swi_model *m) {
    const swi_params *p = &m->params;
    int32_t per_part[3] = {p->quick_moves, p->normal_moves, p->thorough_moves};
    uint64_t parts = m->part_count > 16 ? m->part_count : 16;
    return (uint64_t)per_part[m->options->effort] * (parts + 8) * 1000;
}

swi_lanes *swi_lanes_new(const swi_model *m) {
    return swi_lanes_few(m, lane_count(m), swi_planned_moves(m));
}

swi_lanes *swi_lanes_few(const swi_model *m, int count, uint64_t moves) {
    swi_lanes *l = calloc(1, sizeof *l);
    if (!l)
        return NULL;
    l->m = m;
    l->count = count;
    l->planned = moves;
    pthread_condattr_t attr;
    pthread_condattr_init(&attr);
    pthread_condattr_setclock(&attr, CLOCK_MONOTONIC);
    pthread_mutex_init(&l->lock, NULL);
    pthread_cond_init(&l->done, &attr);
    pthread_condattr_destroy(&attr);
    l->lanes = calloc((size_t)l->count, sizeof *l->lanes);
    l->order = calloc((size_t)l->count, sizeof *l->order);
    bool ok = l->lanes && l->order;
    for (int i = 0; i < l->count && ok; i++) {
        swi_lane *lane = &l->lanes[i];
        swi_rng seeds = {m->options->seed * UINT64_C(0x9E3779B97F4A7C15) + (uint64_t)i};
        lane->number = i;
        lane->walk = swi_walk_new(m, swi_random(&seeds), &l->stop);
        lane->now = swi_sketch_new(m);
        lane->best = swi_sketch_new(m);
        ok = lane->walk && lane->now && lane->best;
    }
    if (ok)
        return l;
    swi_lanes_free(l);
    return NULL;
}

void swi_lanes_free(swi_lanes *l) {
    if (!l)
        return;
    for (int i = 0; i < l->count && l->lanes; i++) {
        swi_walk_free(l->lanes[i].walk);
        swi_sketch_free(l->lanes[i].now);
        swi_sketch_free(l->lanes[i].best);
    }
    free(l->lanes);
    free(l->order);
    pthread_mutex_destroy(&l->lock);
    pthread_cond_destroy(&l->done);
    free(l);
}

uint64_t swi_lanes_moves(const swi_lanes *l) {
    uint64_t moves = 0;
    for (int i = 0; i < l->count; i++)
        moves += l->lanes[i].walk->s->moves;
    return moves;
}

static int worker_count(const swi_lanes *l) {
    int workers = l->m->options->workers > 0 ? l->m->options->workers : (int)sysconf(_SC_NPROCESSORS_ONLN);
    workers = workers < 1 ? 1 : workers > 64 ? 64 : workers;
    return workers > l->running ? l->running : workers;
}

/* What is left of the round, shared among the lanes that have not had their turn. */
static void share_time(const swi_lanes *l, int at, swi_lane *lane) {
    int workers = worker_count(l), turns = (l->running - at + workers - 1) / workers;
    double now = swi_seconds(), left = l->round_end - now;
    uint64_t moves = lane->walk->s->moves;
    lane->until = l->round_end <= 0 ? 0 : left > 0 ? now + left / turns : now;
    lane->least = l->round == 0 && left > 0 ? moves + (lane->budget - moves) / 2 : 0;
}

static void *work(void *user) {
    swi_lanes *l = user;
    for (;;) {
        int at = atomic_fetch_add(&l->next, 1);
        if (at >= l->running)
            break;
        swi_lane *lane = &l->lanes[l->order[at]];
        share_time(l, at, lane);
        swi_lane_round(l, lane);
        atomic_store_explicit(&lane->turn, 1000, memory_order_relaxed);
    }
    pthread_mutex_lock(&l->lock);
    l->busy--;
    pthread_cond_signal(&l->done);
    pthread_mutex_unlock(&l->lock);
    return NULL;
}

/* What is done of all rounds when the first so many are. */
static double part_of(const swi_lanes *l, int round, int rounds) {
    double first = l->m->params.first_round / 1000.0;
    return round < 0 ? 0 : round + 1 == rounds ? 1 : first + (1 - first) * round / (rounds - 1);
}

/* The share of the search that is done by its moves; where lanes have begun again, of all that this makes. */
static double share_of_moves(const swi_lanes *l) {
    double turns = 0, tidying = l->m->params.tidy_share / 1000.0;
    for (int i = 0; i < l->running; i++)
        turns += atomic_load_explicit(&l->lanes[l->order[i]].turn, memory_order_relaxed) / 1000.0 / l->running;
    if (l->tidying)
        return 1 - tidying + tidying * turns;
    double before = part_of(l, l->round - 1, l->rounds), after = part_of(l, l->round, l->rounds);
    return (l->again + before + (after - before) * turns) / (l->again + 1) * (1 - tidying);
}

/* What the watch is told; lock held. */
static sw_layout_progress progress(swi_lanes *l, double done) {
    static const char *const stages[] = {"placing", "joining", "squeezing", "tidying"};
    const swi_tally *t = &l->best_tally;
    const swi_lane *lane = &l->lanes[l->order[0]];
    sw_layout_progress p = {.lane = lane->number, .lanes = l->count, .done = done,
                            .stage = stages[atomic_load_explicit(&lane->stage, memory_order_relaxed)]};
    if (l->has_best) {
        int lost = 2 * l->m->options->margin;
        p.best = (sw_cost){.strips = l->best_rows + lost, .columns = l->best_cols + lost, .links = t->links,
                           .cuts = t->runs - t->used, .link_pitches = t->pitches, .long_pitches = t->beyond};
        p.best.area = p.best.strips * p.best.columns;
        p.best.balanced = (double)swi_balance(l->m, l->best_rows, l->best_cols, t) / 1000;
    }
    return p;
}

/* Waits for the workers, asking the watch and the clock some fifty times a second. */
static void wait(swi_lanes *l, sw_layout_watch watch, void *user, double start, double end) {
    double cap = l->m->options->seconds;
    pthread_mutex_lock(&l->lock);
    while (l->busy > 0) {
        struct timespec until;
        clock_gettime(CLOCK_MONOTONIC, &until);
        until.tv_nsec += 20000000;
        until.tv_sec += until.tv_nsec / 1000000000;
        until.tv_nsec %= 1000000000;
        pthread_cond_timedwait(&l->done, &l->lock, &until);
        double now = swi_seconds();
        double moves = share_of_moves(l), time = cap > 0 && now < start + cap ? (now - start) / cap : 0;
        sw_layout_progress p = progress(l, time > moves ? time : moves);
        pthread_mutex_unlock(&l->lock);
        bool by_watch = watch && !watch(user, &p);
        if (by_watch || (end > start && now >= end)) {
            l->by_watch |= by_watch;
            l->stopped = true;
            atomic_store(&l->stop.asked, true);
        }
        pthread_mutex_lock(&l->lock);
    }
    pthread_mutex_unlock(&l->lock);
}

static bool run_round(swi_lanes *l, sw_layout_watch watch, void *user, double start, double end) {
    pthread_t threads[64];
    int workers = worker_count(l);
    atomic_store(&l->next, 0);
    l->busy = workers;
    int begun = 0;
    while (begun < workers && pthread_create(&threads[begun], NULL, work, l) == 0)
        begun++;
    pthread_mutex_lock(&l->lock);
    l->busy -= workers - begun;
    pthread_mutex_unlock(&l->lock);
    if (begun > 0)
        wait(l, watch, user, start, end);
    for (int i = 0; i < begun; i++)
        pthread_join(threads[i], NULL);
    return begun > 0 && !atomic_load(&l->stop.asked);
}

static bool better(const swi_lane *a, const swi_lane *b) {
    if (a->best->legal != b->best->legal)
        return a->best->legal;
    if (a->begun != b->begun)
        return a->begun;
    if (a->begun && a->best->merit != b->best->merit)
        return a->best->merit < b->best->merit;
    return a->number < b->number;
}

static void rank(swi_lanes *l) {
    for (int i = 1; i < l->running; i++)
        for (int k = i; k > 0 && better(&l->lanes[l->order[k]], &l->lanes[l->order[k - 1]]); k--) {
            int16_t swap = l->order[k];
            l->order[k] = l->order[k - 1];
            l->order[k - 1] = swap;
        }
}

/* The first round, of all lanes, gets most; the others share the rest. */
static uint64_t budget_of(const swi_lanes *l, int round, int rounds) {
    uint64_t first = l->planned * (uint64_t)l->m->params.first_round / 1000;
    return round == 0 ? first : (l->planned - first) / (uint64_t)(rounds - 1);
}

/* Half of the lanes go on, but none that had no turn before the time was up. */
static int next_running(const swi_lanes *l) {
    int begun = 0, half = l->running > 1 ? l->running / 2 : 1;
    while (begun < half && l->lanes[l->order[begun]].begun)
        begun++;
    return l->round_end > 0 && begun > 0 ? begun : half;
}

static void set_budgets(swi_lanes *l, uint64_t moves) {
    for (int i = 0; i < l->running; i++) {
        swi_lane *lane = &l->lanes[l->order[i]];
        lane->began = lane->walk->s->moves;
        lane->budget = lane->began + moves / (uint64_t)l->running;
        atomic_store_explicit(&lane->turn, 0, memory_order_relaxed);
    }
}

/* The best lane tidies; after the cap's own share of the time, not when the watch stopped
 * the search. */
static void tidy_best(swi_lanes *l, sw_layout_watch watch, void *user, double start, double end) {
    if (l->stopped && !(end > start && swi_seconds() < end))
        return;
    l->tidying = true;
    l->running = 1;
    l->round_end = 0;
    atomic_store(&l->stop.asked, false);
    set_budgets(l, l->stopped ? UINT64_MAX / 2 : l->planned * (uint64_t)l->m->params.tidy_share / 1000);
    if (!run_round(l, watch, user, start, end))
        l->stopped = true;
}

/* All rounds, in what is left of the time from start to end; false when they were stopped. */
static bool run_rounds(swi_lanes *l, sw_layout_watch watch, void *user, double start, double end) {
    double now = swi_seconds();
    int rounds = 1;
    for (int n = l->count; n > 1; n /= 2)
        rounds++;
    for (int i = 0; i < l->count; i++)
        l->order[i] = (int16_t)i;
    l->running = l->count;
    l->rounds = rounds;
    for (int round = 0; round < rounds; round++) {
        set_budgets(l, budget_of(l, round, rounds));
        l->round = round;
        l->round_end = end > start ? now + (end - now) * part_of(l, round, rounds) : 0;
        bool on = run_round(l, watch, user, start, end);
        rank(l);
        if (!on) {
            /* Stopped neither by the watch nor by the cap: a test did it. */
            l->by_watch |= !l->stopped;
            l->stopped = true;
            return false;
        }
        l->running = next_running(l);
    }
    return true;
}

/* The best lane is a strip or two from a plan within the limits: other lanes may find one. */
static bool is_near(const swi_lanes *l) {
    const swi_model *m = l->m;
    const swi_lane *lane = &l->lanes[l->order[0]];
    int rows = lane->best->rows - m->most_rows, cols = lane->best->cols - m->most_cols;
    return lane->begun && (rows > 0 ? rows : 0) + (cols > 0 ? cols : 0) <= m->params.again_over;
}

/* Lanes as on the first day, but that they go on with their random numbers. */
static void begin_again(swi_lanes *l) {
    l->again++;
    for (int i = 0; i < l->count; i++) {
        l->lanes[i].begun = false;
        l->lanes[i].best->legal = false;
        l->lanes[i].walk->misses = 0;
    }
}

const swi_sketch *swi_lanes_run(swi_lanes *l, sw_layout_watch watch, void *user) {
    double start = swi_seconds(), cap = l->m->options->seconds, share = l->m->params.tidy_share / 1000.0;
    double end = start + cap * (1 - share);
    bool on = run_rounds(l, watch, user, start, end);
    for (int i = 0; on && i < l->m->params.again && !l->lanes[l->order[0]].best->legal && !l->from && is_near(l); i++) {
        begin_again(l);
        on = run_rounds(l, watch, user, start, end);
    }
    l->stopped |= atomic_load(&l->cut);
    const swi_sketch *best = l->lanes[l->order[0]].best;
    if (!best->legal)
        return NULL;
    if (!l->by_watch)
        tidy_best(l, watch, user, start, start + cap);
    return best;
}
