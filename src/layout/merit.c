/* src/layout/merit.c: what a legal plan is worth, by the preference asked for.
 *
 * Balanced is the sum in hole-equivalents of board.h: area + 2 × links + ½ × cuts + bends +
 * pitches of links beyond ten; only the search counts a link as more (balance_worth).  The other
 * preferences put one figure first and the balanced sum, scaled down, behind it.  The weights of an
 * annealing at fixed size are the same figures on the scale of the violations; but while the board
 * still shrinks a link weighs as more (balance_link), or there would be hardly fewer of them than
 * with least area.
 */
#include "sketch.h"

static int64_t area_of(const swi_model *m, int rows, int cols) {
    int lost = 2 * m->options->margin;
    return (int64_t)(rows + lost) * (cols + lost);
}

static bool too_large(const swi_model *m, int rows, int cols) {
    return rows > m->most_rows || cols > m->most_cols;
}

/* Holes, in thousandths, that a board is too large by: dearer than anything else, for no
 * preference matters before the board is within its limits. */
static int64_t excess(const swi_model *m, int rows, int cols) {
    int64_t more_rows = rows > m->most_rows ? rows - m->most_rows : 0, more_cols = cols > m->most_cols ? cols - m->most_cols : 0;
    return (INT64_C(1) << 40) + (more_rows * m->most_cols + more_cols * m->most_rows) * 5000;
}

enum { LINK = 2000 }; /* thousandths of a hole */

/* By the sum itself balanced plans would hardly be others than the smallest: a link less costs three
 * holes or more.  Searched for as if it cost more, plans of the same sums have a tenth fewer links
 * (DEVELOPERS.md).  A plan made by hand is not to become worse by the sum. */
static int64_t link_of(const swi_model *m) {
    return m->options->prefer == SW_PREFER_BALANCE && !m->options->from ? m->params.balance_worth : LINK;
}

/* All but the area, in thousandths of a hole. */
static int64_t rest_of(const swi_tally *t, int64_t link) {
    int64_t cuts = t->runs - t->used;
    return link * (int64_t)t->links + 500 * cuts + 1000 * (int64_t)t->beyond + t->soft + 10 * (int64_t)t->pitches;
}

int64_t swi_balance(const swi_model *m, int rows, int cols, const swi_tally *t) {
    return area_of(m, rows, cols) * 1000 + rest_of(t, LINK);
}

int64_t swi_merit(const swi_model *m, int rows, int cols, const swi_tally *t) {
    int64_t area = area_of(m, rows, cols) * 1000, rest = rest_of(t, link_of(m));
    if (too_large(m, rows, cols))
        return excess(m, rows, cols) + area + rest / 200;
    switch (m->options->prefer) {
    case SW_PREFER_AREA: return area + rest / 200;
    case SW_PREFER_STRIPS: return (int64_t)rows * 1000000 + (area + rest) / 10;
    case SW_PREFER_COLUMNS: return (int64_t)cols * 1000000 + (area + rest) / 10;
    case SW_PREFER_LINKS: return (int64_t)t->links * 1000000 + area + rest;
    case SW_PREFER_BALANCE:
    case SW_PREFER_SYMMETRY: break;
    }
    return area + rest;
}

int64_t swi_drive(const swi_state *s, const swi_sketch *k) {
    if (s->style == s->m->options->prefer || !k->legal)
        return k->merit;
    int64_t area = area_of(s->m, k->rows, k->cols) * 1000;
    return area + (k->merit - area) / 200;
}

void swi_set_tidy_weights(swi_state *s) {
    const swi_params *p = &s->m->params;
    swi_weights *w = &s->weights;
    int32_t hole = p->hole * 1000; /* millionths of an overlap for one hole */
    *w = (swi_weights){.overlap = p->overlap * 1000, .adjacent = p->adjacent * 1000, .open = p->open * 1000,
                       .spread = p->spread * 1000, .link = 2 * hole, .pitch = hole / 5, .beyond = hole, .cut = hole / 2,
                       .soft = hole / 1000};
    if (s->m->options->knife)
        w->adjacent = 0;
}

void swi_set_weights(swi_state *s) {
    const swi_params *p = &s->m->params;
    swi_weights *w = &s->weights;
    int32_t hole = p->hole * 1000;
    swi_set_tidy_weights(s);
    switch (too_large(s->m, s->rows, s->cols) ? SW_PREFER_AREA : s->style) {
    case SW_PREFER_AREA:
    case SW_PREFER_STRIPS:
    case SW_PREFER_COLUMNS:
        w->link = hole / 100 * p->area_link;
        w->pitch = hole / 100 * p->area_pitch;
        w->cut = hole / 100 * p->area_cut;
        w->copper = hole / 100 * p->area_copper;
        w->soft = w->soft * p->area_soft / 100;
        break;
    case SW_PREFER_LINKS:
        w->link = 4 * hole;
        break;
    case SW_PREFER_BALANCE:
        w->link = hole / 100 * p->balance_link;
        w->pitch = hole / 100 * p->balance_pitch;
        break;
    case SW_PREFER_SYMMETRY:
        w->link = 3 * hole;
        break;
    }
}
