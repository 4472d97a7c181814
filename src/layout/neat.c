/* src/layout/neat.c: neatness of a plan in the making, and the moves that improve it.
 *
 * The same qualities as sw_plan_neatness counts (board.h), for the search: parts of a kind
 * in line, polarised parts facing one way, adjusters within reach, a common column for the
 * cuts under an IC; and, when symmetry is preferred, how far the outlines are from their
 * mirror images.  Counted afresh for each plan that is about to be kept, which only
 * the last stage asks for: neatness comes after area, links, cuts and bends.
 */
#include "neat.h"
#include "base/text.h"

enum { UP, DOWN, LEFT, RIGHT };

/* A body in hundredths of a mm. */
typedef struct box {
    int32_t x0, y0, x1, y1;
} box;

#define PITCH 254

/* ---- what the model notes of each part ---- */

static uint16_t kind_of(const swi_model *m, uint16_t part) {
    const sw_package *form = m->circuit->parts[m->parts[part].part].form;
    uint16_t first = SWI_NO_KIND;
    int count = 0;
    for (uint16_t q = 0; q < m->part_count; q++)
        if (m->circuit->parts[m->parts[q].part].form == form) {
            first = first == SWI_NO_KIND ? q : first;
            count++;
        }
    return count > 1 ? first : SWI_NO_KIND;
}

void swi_model_neat(swi_model *m) {
    for (uint16_t p = 0; p < m->part_count; p++) {
        swi_part *part = &m->parts[p];
        const sw_part *source = &m->circuit->parts[part->part];
        bool diode = source->kind == 'D';
        if (part->pin_count == 2 && !part->terminal && (source->polarised || diode || swi_match("ELEC-*", source->form->name)))
            part->plus = diode ? 2 : 1;
        part->adjuster = (source->form->face && !part->terminal) || swi_match("TRIM-*", source->form->name) || swi_match("BUTTON-*", source->form->name);
        part->kind = part->pin_count < 2 || part->terminal ? SWI_NO_KIND : kind_of(m, p);
    }
}

/* ---- lines ---- */

static int off_line(const swi_state *s, uint16_t part) {
    const swi_model *m = s->m;
    swi_place a = s->places[part];
    const swi_shape *as = swi_shape_of(s, part);
    int others = 0, line[4] = {0}, best = 0;
    for (uint16_t q = m->parts[part].kind; q < m->part_count; q++) {
        if (q == part || m->parts[q].kind != m->parts[part].kind)
            continue;
        others++;
        swi_place b = s->places[q];
        const swi_shape *bs = swi_shape_of(s, q);
        if (as->package != bs->package || (as->rows > as->cols) != (bs->rows > bs->cols))
            continue;
        line[UP] += a.row == b.row;
        line[DOWN] += a.row + as->rows == b.row + bs->rows;
        line[LEFT] += a.col == b.col;
        line[RIGHT] += a.col + as->cols == b.col + bs->cols;
    }
    for (int i = 0; i < 4; i++)
        best = line[i] > best ? line[i] : best;
    int wanted = others < 2 ? others : 2;
    return best >= wanted ? 0 : 1 + (wanted - best > 1);
}

static int pointing(const swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    const sw_offset *leads = swi_shape_of(s, part)->leads;
    sw_offset plus = leads[p->plus - 1], minus = leads[2 - p->plus];
    if (plus.row != minus.row)
        return plus.row < minus.row ? UP : DOWN;
    return plus.column < minus.column ? LEFT : RIGHT;
}

/* ---- cuts ---- */

/* Strips of an IC that cannot be cut in the column between its rows that suits most. */
static int off_cuts(const swi_state *s, uint16_t part) {
    const swi_shape *shape = swi_shape_of(s, part);
    if (shape->package->form != SW_FORM_DIP || shape->cols != shape->package->pitch)
        return 0;
    int least = INT16_MAX;
    for (int col = 1; col < shape->cols; col++) {
        int taken = 0;
        for (int row = 0; row <= shape->rows; row++)
            taken += s->holes[swi_hole(s, s->places[part].row + row, s->places[part].col + col)].node != 0;
        least = taken < least ? taken : least;
    }
    return least;
}

/* ---- bodies ---- */

static int32_t hundredths(double mm) {
    return (int32_t)(mm * 100 + (mm < 0 ? -0.5 : 0.5));
}

static box body_of(const swi_state *s, uint16_t part) {
    const swi_form *form = &s->m->forms[swi_shape_of(s, part)->form];
    swi_place place = s->places[part];
    const swi_outline *o = &form->outlines[form->outline_count - 1]; /* the body comes last */
    int32_t x = place.col * PITCH, y = place.row * PITCH;
    if (o->disc)
        return (box){x + hundredths(o->x0 - o->x1), y + hundredths(o->y0 - o->x1), x + hundredths(o->x0 + o->x1),
                     y + hundredths(o->y0 + o->x1)};
    return (box){x + hundredths(o->x0), y + hundredths(o->y0), x + hundredths(o->x1), y + hundredths(o->y1)};
}

static int hemmed_side(box t, box o) {
    bool beside = o.y0 < t.y1 && o.y1 > t.y0, above = o.x0 < t.x1 && o.x1 > t.x0;
    const int32_t give = 25; /* what bodies may overlap */
    if (beside && o.x1 <= t.x0 + give && t.x0 - o.x1 < PITCH)
        return LEFT;
    if (beside && o.x0 >= t.x1 - give && o.x0 - t.x1 < PITCH)
        return RIGHT;
    if (above && o.y1 <= t.y0 + give && t.y0 - o.y1 < PITCH)
        return UP;
    if (above && o.y0 >= t.y1 - give && o.y0 - t.y1 < PITCH)
        return DOWN;
    return -1;
}

static bool is_hemmed(const swi_state *s, uint16_t part) {
    box body = body_of(s, part);
    bool hemmed[4] = {false};
    double height = swi_shape_of(s, part)->package->height_mm;
    for (uint16_t q = 0; q < s->m->part_count; q++) {
        int side = q == part || swi_shape_of(s, q)->package->height_mm <= height ? -1 : hemmed_side(body, body_of(s, q));
        if (side >= 0)
            hemmed[side] = true;
    }
    return (hemmed[LEFT] && hemmed[RIGHT]) || (hemmed[UP] && hemmed[DOWN]);
}

int32_t swi_untidy(const swi_state *s) {
    int32_t points = 0;
    int ways[4] = {0}, polarised = 0, most = 0;
    for (uint16_t p = 0; p < s->m->part_count; p++) {
        const swi_part *part = &s->m->parts[p];
        if (part->kind != SWI_NO_KIND)
            points += off_line(s, p);
        if (part->plus) {
            ways[pointing(s, p)]++;
            polarised++;
        }
        if (part->adjuster)
            points += 2 * (swi_shape_of(s, p)->face ? swi_off_face(s, p) > 0 : is_hemmed(s, p));
        if (part->pin_count >= 4)
            points += 2 * off_cuts(s, p);
    }
    for (int i = 0; i < 4; i++)
        most = ways[i] > most ? ways[i] : most;
    return points + 2 * (polarised - most);
}

/* ---- symmetry ---- */

static int64_t common(int32_t a0, int32_t a1, int32_t b0, int32_t b1) {
    int32_t least = a0 > b0 ? a0 : b0, most = a1 < b1 ? a1 : b1;
    return most > least ? most - least : 0;
}

/* Common area of two boxes in thousandths of what they cover together. */
static int cover(box a, box b) {
    int64_t both = common(a.x0, a.x1, b.x0, b.x1) * common(a.y0, a.y1, b.y0, b.y1);
    if (!both)
        return 0;
    int64_t sum = (int64_t)(a.x1 - a.x0) * (a.y1 - a.y0) + (int64_t)(b.x1 - b.x0) * (b.y1 - b.y0);
    return (int)(both * 1000 / (sum - both));
}

static int mirrored(const swi_state *s, bool vertical) {
    int count = s->m->part_count, width = (s->cols - 1) * PITCH, height = (s->rows - 1) * PITCH;
    int64_t sum = 0;
    for (uint16_t p = 0; p < count; p++) {
        box b = body_of(s, p), image = {width - b.x1, b.y0, width - b.x0, b.y1};
        if (vertical)
            image = (box){b.x0, height - b.y1, b.x1, height - b.y0};
        int best = 0;
        for (uint16_t q = 0; q < count && best < 1000; q++) {
            int here = cover(image, body_of(s, q));
            best = here > best ? here : best;
        }
        sum += best;
    }
    return (int)(sum / count);
}

int swi_asymmetry(const swi_state *s) {
    int across = mirrored(s, false), down = mirrored(s, true);
    return 1000 - (across > down ? across : down);
}

int64_t swi_neat_cost(const swi_walk *w) {
    const swi_state *s = w->s;
    const swi_params *p = &s->m->params;
    int64_t cost = w->neat ? (int64_t)swi_untidy(s) * p->neat_point * 1000 : 0;
    if (s->m->options->prefer == SW_PREFER_SYMMETRY)
        cost += (int64_t)swi_asymmetry(s) * s->rows * s->cols * p->hole / 100 * p->symmetry_trade;
    return cost;
}

/* ---- moves ---- */

/* Another part of the kind; the part itself when it is the only one. */
static uint16_t another(swi_walk *w, uint16_t part) {
    const swi_model *m = w->s->m;
    for (int tries = 0; tries < 8 && m->parts[part].kind != SWI_NO_KIND; tries++) {
        uint16_t q = (uint16_t)swi_below(&w->rng, m->part_count);
        if (q != part && m->parts[q].kind == m->parts[part].kind)
            return q;
    }
    return part;
}

/* In line with another, or its mirror image. */
static bool place_by(swi_walk *w, uint16_t other, swi_place *place, const swi_shape *shape) {
    const swi_state *s = w->s;
    swi_place to = s->places[other];
    const swi_shape *like = swi_shape_of(s, other);
    bool symmetry = s->m->options->prefer == SW_PREFER_SYMMETRY;
    switch (swi_below(&w->rng, symmetry ? 6 : 3)) {
    case 0: place->row = to.row; break;
    case 1: place->row = (int16_t)(to.row + like->rows - shape->rows); break;
    case 2: place->col = to.col; break;
    case 3:
    case 4: *place = (swi_place){to.row, (int16_t)(s->cols - 1 - to.col - shape->cols), place->shape}; break;
    default: *place = (swi_place){(int16_t)(s->rows - 1 - to.row - shape->rows), to.col, place->shape}; break;
    }
    return place->row >= 0 && place->col >= 0;
}

void swi_move_neat(swi_walk *w) {
    const swi_state *s = w->s;
    uint16_t part = w->parts[swi_below(&w->rng, w->part_count)], other = another(w, part);
    swi_place now = s->places[part], place = now;
    int64_t limit = swi_limit(w);
    const swi_part *p = &s->m->parts[part];
    if (swi_below(&w->rng, 3) == 0)
        place.shape = (int16_t)swi_below(&w->rng, p->shape_count);
    if (other == part) /* the only one: about the middle */
        place.col = (int16_t)((s->cols - 1 - p->shapes[place.shape].cols + swi_below(&w->rng, 2)) / 2);
    else if (!place_by(w, other, &place, &p->shapes[place.shape]))
        return;
    if (place.row != now.row || place.col != now.col || place.shape != now.shape)
        swi_shift(w, 1, &part, &place, limit);
}

/* ---- the stage ---- */

enum { PITCHES_A_POINT = 2 };

bool swi_neater(const swi_model *m, const swi_sketch *a, const swi_sketch *b) {
    if (a->firm != b->firm)
        return a->firm < b->firm;
    int point = m->params.neat_point ? PITCHES_A_POINT : 0;
    return a->tally.pitches + point * a->untidy < b->tally.pitches + point * b->untidy;
}

bool swi_neat(swi_walk *w, swi_sketch *best) {
    const swi_model *m = w->s->m;
    const swi_params *p = &m->params;
    swi_sketch *k = w->spare[1];
    swi_window all = {0, best->cols - 1, 0, best->rows - 1};
    w->s->moves += 50;
    if (swi_stopped(w->stop, SWI_POLL_NEAT) || !swi_sketch_load(w, best, &all))
        return false;
    swi_set_tidy_weights(w->s);
    swi_walk_whole(w);
    w->neat = true;
    bool done = swi_anneal(w, (int64_t)w->part_count * p->neat_moves, p->neat_heat, p->neat_heat / 15 + 1, false);
    w->neat = false;
    if (!done || !swi_legal(w->s))
        return false;
    swi_sketch_save(w->s, k);
    if (!swi_neater(m, k, best))
        return false;
    swi_sketch_copy(m, best, k);
    return true;
}
