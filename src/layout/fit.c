/* src/layout/fit.c: moves that put two-lead parts where both leads are on their nodes at once.
 *
 * What swi_join_near is for links: from each strip where one node can be tapped the columns
 * that a wire could go down are followed as bits to strips of the other node, over every span
 * that the part allows.  A part is taken up first, so that its own body and leads bar nothing;
 * two parts taken up together can change places or make room for one another.
 */
#include "view.h"
#include "neat.h"

enum { MOST_FITS = 48, MOST_SPAN = 24, MOST_TRIES = 6, NEAR = 8 };

/* Where ends of wires would be on copper of a part's two nodes, strip by strip of the window:
 * found once, for every upper strip looks at many lower ones. */
typedef struct copper {
    uint64_t of[2][SWI_MOST_SIDE];
} copper;

/* Places found; of more than there is room for, a fair choice. */
typedef struct fits {
    swi_place at[MOST_FITS];
    int count, seen;
} fits;

static void add_fit(swi_walk *w, fits *f, swi_place place) {
    f->seen++;
    int at = f->count < MOST_FITS ? f->count++ : swi_below(&w->rng, f->seen);
    if (at < MOST_FITS)
        f->at[at] = place;
}

/* The part's shapes across the strips by their span, those with pin `upper` on the upper
 * strip; -1 where there is none.  The longest span, 0 when there are none at all. */
static int shapes_by_span(const swi_part *p, unsigned upper, int16_t by_span[MOST_SPAN]) {
    int longest = 0;
    for (int i = 0; i < MOST_SPAN; i++)
        by_span[i] = -1;
    for (int16_t i = 0; i < p->shape_count; i++) {
        const swi_shape *shape = &p->shapes[i];
        if (shape->cols || shape->rows >= MOST_SPAN || shape->leads[upper].row)
            continue;
        by_span[shape->rows] = i;
        longest = shape->rows > longest ? shape->rows : longest;
    }
    return longest;
}

/* Places from the upper node's strip `row`, where it can be tapped at `open`, down to strips
 * of the lower node. */
static void fit_down(swi_walk *w, fits *f, const swi_view *view, int row, uint64_t open, const uint64_t *lower,
                     const int16_t *by_span, int longest) {
    const swi_state *s = w->s;
    int last = row + longest < w->window.bottom ? row + longest : w->window.bottom;
    for (int at = row + 1; at <= last; at++) {
        open &= ~swi_see(s, s->gap, at - 1, view);
        if (!open)
            return;
        uint64_t ends = by_span[at - row] >= 0 ? open & lower[at] : 0;
        for (; ends; ends &= ends - 1)
            add_fit(w, f, (swi_place){(int16_t)row, (int16_t)(view->first + __builtin_ctzll(ends)), by_span[at - row]});
        open &= ~swi_see(s, s->through, at, view);
    }
}

static void find_copper(const swi_walk *w, const swi_part *p, const swi_view *view, copper *c) {
    for (int k = 0; k < 2; k++)
        for (int row = w->window.top; row <= w->window.bottom; row++)
            c->of[k][row] = swi_has_lead(w->s, p->node[k], row) ? swi_reach(w->s, p->node[k], row, view) : 0;
}

static void find_fits(swi_walk *w, uint16_t part, int col, fits *f) {
    const swi_part *p = &w->s->m->parts[part];
    swi_view view = swi_view_around(w->s, &w->window, col, 31);
    int16_t by_span[MOST_SPAN];
    copper c;
    find_copper(w, p, &view, &c);
    for (unsigned upper = 0; upper < 2; upper++) {
        int longest = shapes_by_span(p, upper, by_span);
        for (int row = w->window.top; longest && row < w->window.bottom; row++) {
            uint64_t start = c.of[upper][row] & view.mask;
            if (start)
                fit_down(w, f, &view, row, start, c.of[1 - upper], by_span, longest);
        }
    }
}

/* Whether the body, which is wider than the wire that found the place, is in nothing's way. */
static bool has_room(const swi_state *s, uint16_t part, swi_place place) {
    const swi_form *form = &s->m->forms[s->m->parts[part].shapes[place.shape].form];
    if (!swi_can_stand(s, part, place))
        return false;
    for (uint32_t i = 0; i < form->cell_count; i++) {
        int row = place.row + form->cells[i].row;
        size_t cell = swi_cell_at(s, row, place.col + form->cells[i].col);
        if (swi_link_in_the_way(s, cell, row, form->cells[i].flags))
            return false;
    }
    return swi_part_overlap(s, part, place) == 0;
}

/* Puts a part that is off the board to another place than `old` where it fits; false when a
 * few tries find none. */
static bool put_fitting(swi_walk *w, uint16_t part, swi_place old) {
    fits f = {.count = 0};
    find_fits(w, part, old.col, &f);
    for (int tries = 0; tries < MOST_TRIES && f.count > 0; tries++) {
        int k = swi_below(&w->rng, f.count);
        swi_place place = f.at[k];
        f.at[k] = f.at[--f.count];
        bool same = place.row == old.row && place.col == old.col && place.shape == old.shape;
        if (same || !has_room(w->s, part, place))
            continue;
        swi_part_put(w->s, part, place);
        swi_settle(w->s);
        return true;
    }
    return false;
}

/* Two leads of different nodes, each with others to be joined to. */
static bool can_fit(const swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    return p->pin_count == 2 && p->node[0] != p->node[1] && s->m->nodes[p->node[0]].pin_count > 1 &&
           s->m->nodes[p->node[1]].pin_count > 1;
}

/* Links that the part's nodes want, or want no longer. */
static void mend_around(swi_walk *w, uint16_t part) {
    const swi_part *p = &w->s->m->parts[part];
    for (int i = 0; i < 2; i++) {
        if (w->s->pieces[p->node[i]] > 1)
            swi_mend_node(w, p->node[i], part);
        if (w->s->link_count[p->node[i]])
            swi_prune(w->s, p->node[i]);
    }
}

static void fit_all(swi_walk *w, const uint16_t *parts, int count) {
    swi_state *s = w->s;
    int64_t limit = swi_limit(w);
    swi_place old[2];
    for (int i = 0; i < count; i++) {
        old[i] = s->places[parts[i]];
        swi_part_take(s, parts[i]);
    }
    swi_settle(s);
    for (int i = 0; i < count; i++)
        if (!put_fitting(w, parts[i], old[i])) {
            swi_revert(s);
            return;
        }
    for (int i = 0; i < count; i++)
        mend_around(w, parts[i]);
    swi_judge(w, limit);
}

void swi_move_fit(swi_walk *w) {
    uint16_t part = w->parts[swi_below(&w->rng, w->part_count)];
    if (can_fit(w->s, part))
        fit_all(w, &part, 1);
}

/* Another part that can fit, near this one; false when a few draws met none. */
static bool draw_partner(swi_walk *w, uint16_t part, uint16_t *partner) {
    const swi_state *s = w->s;
    for (int draws = 0; draws < 8; draws++) {
        uint16_t other = w->parts[swi_below(&w->rng, w->part_count)];
        int rows = s->places[other].row - s->places[part].row, cols = s->places[other].col - s->places[part].col;
        if (other == part || rows * rows + cols * cols >= NEAR * NEAR || !can_fit(s, other))
            continue;
        *partner = other;
        return true;
    }
    return false;
}

void swi_move_fit_two(swi_walk *w) {
    uint16_t parts[2] = {w->parts[swi_below(&w->rng, w->part_count)], 0};
    if (can_fit(w->s, parts[0]) && draw_partner(w, parts[0], &parts[1]))
        fit_all(w, parts, 2);
}
