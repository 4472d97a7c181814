/* src/layout/lane.c: what one lane does in a round. */
#include "lane.h"
#include "neat.h"

/* The search holds no more strips or columns anywhere. */
static int within_most(int64_t side) {
    return (int)(side < SWI_MOST_SIDE ? side : SWI_MOST_SIDE);
}

/* Sizes to begin with: about four times the bodies' area and what is to be kept free, in
 * proportions that differ from lane to lane, within the limits. */
static void first_size(const swi_model *m, int lane, int *rows, int *cols) {
    static const int proportion[8] = {20, 14, 28, 10, 24, 17, 34, 12}; /* columns for ten strips */
    int fill = swi_is_large(m) ? m->params.fill_large : m->params.fill;
    int64_t area = (int64_t)m->body_cells * 1000 / fill;
    int64_t most = (int64_t)m->most_rows * m->most_cols, kept_free = m->thing_count - m->part_count;
    area += most >= area + kept_free ? kept_free : 0;
    if (most < area) { /* larger than allowed, in length or both ways; squeezed down later */
        int64_t more = 16;
        while (lane % 2 && more * more * most / 256 < area)
            more++;
        *rows = within_most(m->most_rows * more / 16);
        *cols = within_most(area / *rows + 1);
        return;
    }
    if (m->fixed_size) {
        *rows = m->most_rows;
        *cols = m->most_cols;
        return;
    }
    int r = m->tallest + 3;
    while ((int64_t)r * r * proportion[lane % 8] / 10 < area)
        r++;
    r = r > m->most_rows ? m->most_rows : r;
    int64_t c = area / r + 1;
    c = c < m->widest + 3 ? m->widest + 3 : c;
    if (c > m->most_cols) {
        c = m->most_cols;
        int64_t need = area / c + 1;
        r = (int)(need > m->most_rows ? m->most_rows : need > r ? need : r);
    }
    *rows = r;
    *cols = (int)c;
}

void swi_lane_publish(swi_lanes *l, const swi_sketch *best) {
    pthread_mutex_lock(&l->lock);
    if (!l->has_best || best->merit < l->best_merit) {
        l->has_best = true;
        l->best_merit = best->merit;
        l->best_rows = best->rows;
        l->best_cols = best->cols;
        l->best_tally = best->tally;
    }
    pthread_mutex_unlock(&l->lock);
}

static bool all_stand(const swi_state *s) {
    for (uint16_t p = 0; p < s->m->part_count; p++)
        if (s->places[p].shape < 0)
            return false;
    return !s->broken;
}

/* What is locked must be on the board from the start. */
static bool start_fresh(swi_lanes *l, const swi_lane *lane) {
    int rows, cols;
    first_size(l->m, lane->number, &rows, &cols);
    rows = rows < l->m->fixed_rows ? l->m->fixed_rows : rows;
    cols = cols < l->m->fixed_cols ? l->m->fixed_cols : cols;
    return swi_start(lane->walk, rows, cols);
}

static bool has_best(swi_lanes *l) {
    pthread_mutex_lock(&l->lock);
    bool has = l->has_best;
    pthread_mutex_unlock(&l->lock);
    return has;
}

/* Whether the lane's moves or its share of the time are used up; without any plan yet, time
 * is no reason to begin with another lane. */
static bool is_spent(swi_lanes *l, const swi_lane *lane) {
    uint64_t moves = lane->walk->s->moves;
    if (moves >= lane->budget)
        return true;
    if (moves < lane->least || lane->until <= 0 || swi_seconds() < lane->until || !has_best(l))
        return false;
    atomic_store(&l->cut, true);
    return true;
}

static bool begin(swi_lanes *l, swi_lane *lane) {
    swi_walk *w = lane->walk;
    bool legal = false;
    if (l->from) {
        swi_window all = {0, l->from->cols - 1, 0, l->from->rows - 1};
        legal = swi_sketch_load(w, l->from, &all) && swi_legal(w->s);
        w->links = true;
    }
    if (!l->from || !all_stand(w->s))
        legal = start_fresh(l, lane);
    if (!all_stand(w->s)) { /* no room for all at this size: the next try strews anew */
        w->s->moves += 60 * l->m->part_count;
        return false;
    }
    swi_walk_whole(w);
    w->links = true;
    atomic_store_explicit(&lane->stage, 1, memory_order_relaxed);
    return legal || swi_chase(w, 12) || swi_force(w);
}

/* Whether the turn goes on; the watch is told how far it is. */
static bool goes_on(swi_lanes *l, swi_lane *lane) {
    uint64_t moves = lane->walk->s->moves, turn = lane->budget - lane->began;
    if (moves < lane->budget)
        atomic_store_explicit(&lane->turn, (int)((moves - lane->began) * 1000 / turn), memory_order_relaxed);
    return !swi_stopped(&l->stop, SWI_POLL_LANE);
}

static void tidy(swi_lanes *l, swi_lane *lane) {
    swi_walk *w = lane->walk;
    atomic_store_explicit(&lane->stage, 3, memory_order_relaxed);
    for (int tries = 0; lane->best->legal && w->s->moves < lane->budget && !w->s->broken; tries++) {
        if (!goes_on(l, lane))
            return;
        if (tries % 2 ? swi_neat(w, lane->best) : swi_tidy(w, lane->best))
            swi_lane_publish(l, lane->best);
    }
}

/* Where links count as holes do, half of the lanes begin as if area were all: small plans with few
 * links are found by either way, and none finds all (DEVELOPERS.md). */
static void choose_style(const swi_lanes *l, swi_lane *lane) {
    bool area = l->m->options->prefer == SW_PREFER_BALANCE && !swi_is_large(l->m) && l->round == 0 &&
                !l->tidying && lane->number * 7 % 12 < 6;
    sw_prefer style = area ? SW_PREFER_AREA : l->m->options->prefer;
    if (style == lane->walk->s->style)
        return;
    lane->walk->s->style = style;
    if (lane->best->legal)
        swi_sketch_copy(l->m, lane->now, lane->best);
}

void swi_lane_round(swi_lanes *l, swi_lane *lane) {
    swi_walk *w = lane->walk;
    choose_style(l, lane);
    if (l->tidying) {
        tidy(l, lane);
        return;
    }
    /* A first plan may be larger than allowed: then it is squeezed until it is within. */
    while (!lane->best->legal && !is_spent(l, lane) && !w->s->broken) {
        if (!goes_on(l, lane))
            return;
        w->s->moves += 50;
        atomic_store_explicit(&lane->stage, lane->begun ? 2 : 0, memory_order_relaxed);
        if (!lane->begun && begin(l, lane)) {
            lane->begun = true;
            swi_sketch_save(w->s, lane->best);
            swi_sketch_copy(l->m, lane->now, lane->best);
        } else if (lane->begun)
            swi_squeeze(w, lane->now, lane->best);
        if (lane->best->legal)
            swi_lane_publish(l, lane->best);
    }
    atomic_store_explicit(&lane->stage, 2, memory_order_relaxed);
    while (lane->best->legal && !is_spent(l, lane) && !w->s->broken) {
        if (!goes_on(l, lane))
            return;
        if (swi_squeeze(w, lane->now, lane->best))
            swi_lane_publish(l, lane->best);
    }
}
