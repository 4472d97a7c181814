/* src/layout/squeeze.c: out of the best plan a column or strip at a time.
 *
 * By far the strongest step of the search.  What a column or strip leaves behind when
 * it is taken out is a wound of a few parts; only a window around it walks from
 * hot to cold, most of the plan stays as good as it was.  Also tried: a strip more for
 * columns less, the reverse, other sizes of no more holes, and drifting (a window walks
 * warm with nothing taken).
 */
#include "sketch.h"

typedef enum attempt { TAKE_COLUMN, TAKE_STRIP, MORE_STRIPS, MORE_COLUMNS, RESIZE, DRIFT } attempt;

/* Whether walks are hot and end as soon as they are legal.  As long as most warm ones win
 * something, hot ones would melt more than they mend, and so they do in windows of large
 * circuits; and few links and symmetry come while it cools. */
static bool is_hot(const swi_walk *w) {
    const swi_model *m = w->s->m;
    sw_prefer prefer = m->options->prefer;
    return !swi_is_large(m) && w->misses >= m->params.patience && prefer != SW_PREFER_LINKS && prefer != SW_PREFER_SYMMETRY;
}

/* Of a thousand tries to take something, those for a strip: out of a tall board strips come away easily and
 * columns hardly, out of a long one the reverse. */
static int strips_in_thousand(const swi_model *m, const swi_sketch *k) {
    int64_t tall = (int64_t)k->rows * k->rows * 100, along = (int64_t)k->cols * k->cols * m->params.column_weight;
    return (int)(1000 * tall / (tall + along));
}

static attempt draw(swi_walk *w, const swi_sketch *best) {
    const swi_model *m = w->s->m;
    const swi_params *p = &m->params;
    int r = swi_below(&w->rng, 1000);
    /* Too large yet: what is too much goes first, or is traded for what is still allowed. */
    bool high = best->rows > m->most_rows, wide = best->cols > m->most_cols;
    if ((high || wide) && r < 750)
        return wide && (!high || r < 375) ? TAKE_COLUMN : high && best->cols < m->most_cols && r < 500 ? MORE_COLUMNS : TAKE_STRIP;
    if (m->fixed_size)
        return DRIFT;
    if (is_hot(w) && swi_below(&w->rng, 1000) < p->try_size)
        return RESIZE;
    bool strip = best->rows > m->tallest + 1, column = best->cols > m->widest + 1;
    /* A preference for few strips or columns takes these first. */
    if (m->options->prefer == SW_PREFER_STRIPS && r < 500 && strip)
        return r < 250 ? TAKE_STRIP : MORE_COLUMNS;
    if (m->options->prefer == SW_PREFER_COLUMNS && r < 500 && column && best->rows < m->most_rows)
        return r < 250 ? TAKE_COLUMN : MORE_STRIPS;
    if (r * 1000 < p->try_take * (1000 - strips_in_thousand(m, best)))
        return column ? TAKE_COLUMN : DRIFT;
    if (r < p->try_take)
        return strip ? TAKE_STRIP : DRIFT;
    r -= p->try_take;
    if (r < p->try_trade) {
        if (swi_below(&w->rng, 2) && !swi_is_large(m))
            return column && best->rows < m->most_rows ? MORE_STRIPS : DRIFT;
        return strip ? MORE_COLUMNS : DRIFT;
    }
    return DRIFT;
}

static void window_around(swi_walk *w, const swi_sketch *k, int col, swi_window *window) {
    const swi_params *p = &w->s->m->params;
    int half = p->window_least + swi_below(&w->rng, swi_window_most(w->s->m) - p->window_least + 1);
    *window = (swi_window){col - half < 0 ? 0 : col - half, col + half >= k->cols ? k->cols - 1 : col + half, 0, k->rows - 1};
}

/* Leads and links that stand on a strip. */
static int load_of(const swi_model *m, const swi_sketch *k, int row) {
    int count = 0;
    for (uint16_t p = 0; p < m->part_count; p++) {
        const swi_shape *shape = &m->parts[p].shapes[k->places[p].shape];
        for (unsigned i = 0; i < m->parts[p].pin_count; i++)
            count += k->places[p].row + shape->leads[i].row == row;
    }
    for (uint32_t i = 0; i < k->link_count; i++)
        count += k->links[i].from == row || k->links[i].to == row;
    return count;
}

/* The strip to be taken: any; of a large board the emptiest of a few, for its strips are long
 * and most carry too much. */
static int draw_strip(swi_walk *w, const swi_sketch *k) {
    enum { DRAWS = 6 };
    int row = swi_below(&w->rng, k->rows), load = INT32_MAX;
    for (int i = 0; i < DRAWS && swi_is_large(w->s->m); i++) {
        int other = swi_below(&w->rng, k->rows), its = load_of(w->s->m, k, other);
        if (its < load) {
            load = its;
            row = other;
        }
    }
    return row;
}

/* A wound across a large board: the strips around it, over their whole length. */
static void window_along(swi_walk *w, const swi_sketch *k, int row, swi_window *window) {
    const swi_params *p = &w->s->m->params;
    int half = p->window_least + swi_below(&w->rng, swi_window_most(w->s->m) - p->window_least + 1);
    *window = (swi_window){0, k->cols - 1, row - half < 0 ? 0 : row - half, row + half >= k->rows ? k->rows - 1 : row + half};
}

static bool take_column(swi_walk *w, swi_sketch *k, swi_window *window) {
    if (!swi_find_seam(w, k, swi_below(&w->rng, 2)))
        return false;
    int col = w->seam[k->rows / 2];
    swi_take_seam(w->s->m, k, w->seam, swi_below(&w->rng, 2));
    window_around(w, k, col, window);
    return true;
}

/* Strips for columns: as many columns go as make the board smaller. */
static bool more_strips(swi_walk *w, swi_sketch *k) {
    int area = k->rows * k->cols, cols = (area - 1) / (k->rows + 1);
    swi_window window;
    if (w->s->m->options->prefer == SW_PREFER_COLUMNS)
        cols = k->cols - 1;
    if (k->cols - cols > 6 || cols <= w->s->m->widest)
        return false;
    swi_add_strip(w->s->m, k, swi_below(&w->rng, k->rows + 1));
    while (k->cols > cols)
        if (!take_column(w, k, &window))
            return false;
    return true;
}

static bool more_columns(swi_walk *w, swi_sketch *k, int row) {
    int area = k->rows * k->cols, cols = (area - 1) / (k->rows - 1);
    if (w->s->m->options->prefer == SW_PREFER_STRIPS)
        cols = k->cols + k->cols / k->rows + 2;
    if (cols > w->s->m->most_cols || cols - k->cols > 12)
        return false;
    swi_take_strip(w->s->m, k, row);
    while (k->cols < cols)
        swi_add_columns(w->s->m, k, swi_below(&w->rng, k->cols + 1), 1);
    return true;
}

/* Up to so many strips more or less, and as many columns as leave the board no larger: what a
 * circuit fits into is not known before it is tried. */
static bool resize(swi_walk *w, swi_sketch *k) {
    const swi_model *m = w->s->m;
    int step = m->params.size_step, area = k->rows * k->cols, rows = k->rows + swi_below(&w->rng, 2 * step + 1) - step;
    int cols = rows < 1 ? 0 : rows == k->rows ? k->cols - 1 : area / rows;
    swi_window window;
    if (rows <= m->tallest || rows > m->most_rows || cols <= m->widest || cols > m->most_cols)
        return false;
    while (k->rows < rows)
        swi_add_strip(m, k, swi_below(&w->rng, k->rows + 1));
    while (k->cols < cols)
        swi_add_columns(m, k, swi_below(&w->rng, k->cols + 1), 1);
    while (k->rows > rows)
        swi_take_strip(m, k, swi_below(&w->rng, k->rows));
    while (k->cols > cols)
        if (!take_column(w, k, &window))
            return false;
    return true;
}

static bool change(swi_walk *w, attempt what, swi_sketch *k, swi_window *window) {
    bool done = true;
    int row = what == TAKE_STRIP || what == MORE_COLUMNS ? draw_strip(w, k) : -1;
    switch (what) {
    case TAKE_COLUMN: return take_column(w, k, window);
    case DRIFT: window_around(w, k, swi_below(&w->rng, k->cols), window); return true;
    case TAKE_STRIP: swi_take_strip(w->s->m, k, row); break;
    case RESIZE: done = resize(w, k); break;
    case MORE_STRIPS: done = more_strips(w, k); break;
    case MORE_COLUMNS: done = more_columns(w, k, row); break;
    }
    if (row >= 0 && swi_is_large(w->s->m))
        window_along(w, k, row, window);
    else
        *window = (swi_window){0, k->cols - 1, 0, k->rows - 1};
    return done;
}

/* Few enough violations that hunting them one at a time has a chance. */
static bool nearly_legal(const swi_state *s) {
    const swi_tally *t = s->tally;
    return t->overlap + t->adjacent + t->open <= s->m->params.chase_below;
}

static bool heal_warm(swi_walk *w, bool drift) {
    const swi_params *p = &w->s->m->params;
    /* Who wants area alone goes on as soon as it is legal; else links go while it cools. */
    bool at_once = !drift && w->s->style == SW_PREFER_AREA;
    return drift ? swi_anneal(w, (int64_t)w->part_count * p->drift_moves, p->drift_heat, p->squeeze_cold, at_once)
                 : swi_anneal(w, (int64_t)w->part_count * p->squeeze_moves, p->squeeze_warm, p->squeeze_cold, at_once);
}

/* Legal plans are passed by a walk that is much too hot to stay in one, more often than a walk that
 * cools ends in one; so the first is kept.  What it lacks in links and tidiness is polished after. */
static bool heal_hot(swi_walk *w, bool drift) {
    const swi_params *p = &w->s->m->params;
    if (drift && !swi_anneal(w, (int64_t)w->part_count * p->kick_moves, p->squeeze_hot, p->squeeze_hot, false))
        return false;
    return swi_anneal(w, (int64_t)w->part_count * p->squeeze_moves, p->squeeze_hot, p->squeeze_cold, true);
}

/* Walks until the wound has healed; false when it does not. */
static bool heal(swi_walk *w, bool drift) {
    if (!(is_hot(w) ? heal_hot(w, drift) : heal_warm(w, drift)))
        return false;
    return swi_legal(w->s) || (nearly_legal(w->s) && swi_chase(w, w->s->m->params.chases));
}

/* A short walk from warm to cold; the sketch is of the state, and after it of the better of the two.
 * False when the search is to stop. */
static bool polish(swi_walk *w, swi_sketch *k) {
    const swi_params *p = &w->s->m->params;
    if (!is_hot(w))
        return true;
    if (!swi_anneal(w, (int64_t)w->part_count * p->polish_moves, p->polish_heat, p->polish_heat / 5 + 1, false))
        return false;
    if (!swi_legal(w->s))
        return true;
    swi_sketch_save(w->s, w->spare[0]);
    if (w->spare[0]->merit < k->merit)
        swi_sketch_copy(w->s->m, k, w->spare[0]);
    return true;
}

/* The most that the merit may be worse by: like heat, so that plans of the same size are
 * wandered among. */
static int64_t slack(swi_walk *w) {
    w->heat = w->s->m->params.merit_heat;
    w->cost = 0;
    return swi_limit(w);
}

enum { WIN = 500 }; /* half a hole: what is won by wandering among plans of one size is less */

bool swi_squeeze(swi_walk *w, swi_sketch *now, swi_sketch *best) {
    const swi_model *m = w->s->m;
    swi_sketch *k = w->spare[1];
    swi_window window;
    w->misses++;
    attempt what = draw(w, now);
    w->s->moves += 50; /* a try that cannot be made is not free, or a search may never end */
    swi_sketch_copy(m, k, now);
    if (swi_stopped(w->stop, SWI_POLL_SQUEEZE) || !change(w, what, k, &window) || !swi_sketch_load(w, k, &window))
        return false;
    swi_walk_window(w, window.first, window.last, window.top, window.bottom);
    if (!heal(w, what == DRIFT))
        return false;
    swi_sketch_save(w->s, k);
    if (!polish(w, k))
        return false;
    if (best->merit - k->merit >= WIN)
        w->misses = 0;
    if (swi_drive(w->s, k) > swi_drive(w->s, now) + slack(w))
        return false;
    swi_sketch_copy(m, now, k);
    if (k->merit > best->merit)
        return false;
    swi_sketch_copy(m, best, k);
    return true;
}
