/* src/layout/prove_cube.c: a question about one size, split where it is hard.
 *
 * The whole board is asked about first.  What takes too many conflicts is split by
 * the places of the next part, the one with the largest body first, and each place is a
 * question of its own: with a few large parts in their places little is left to
 * be tried.  The places that are still to be asked about are those after the
 * ones at hand, so nothing but these is kept between two rounds.
 */
#include <string.h>
#include "prove.h"

/* A question that takes more conflicts than this is split: the first one soon, for one large part
 * tied says much, the others late, for each further part makes many questions of one. */
static int64_t most_conflicts(int depth) { return depth == 0 ? 5000 : 100000; }

static uint32_t least_cells(const swi_model *m, uint16_t part) {
    uint32_t least = UINT32_MAX;
    for (uint16_t s = 0; s < m->parts[part].shape_count; s++) {
        uint32_t cells = m->forms[m->parts[part].shapes[s].form].cell_count;
        least = cells < least ? cells : least;
    }
    return least;
}

void swi_prove_order(const swi_model *m, uint16_t *order) {
    for (uint16_t i = 0; i < m->part_count; i++) {
        uint16_t k = i;
        for (; k > 0 && least_cells(m, order[k - 1]) < least_cells(m, i); k--)
            order[k] = order[k - 1];
        order[k] = i;
    }
}

static bool has_turned(const swi_part *part, const swi_shape *shape) {
    for (uint16_t i = 0; i < part->shape_count; i++) {
        const swi_shape *other = &part->shapes[i];
        if (other->package == shape->package && other->span == shape->span && other->turn == (shape->turn + 180) % 360)
            return true;
    }
    return part->pin_count == 1;
}

bool swi_prove_half_turn(const swi_model *m) {
    for (uint16_t i = 0; i < m->part_count; i++) {
        if (m->parts[i].edge)
            return false;
        for (uint16_t s = 0; s < m->parts[i].shape_count; s++)
            if (!has_turned(&m->parts[i], &m->parts[i].shapes[s]))
                return false;
    }
    return !m->has_fixed;
}

/* ---- what a cube allows ---- */

static bool clear_of(const swi_model *m, uint16_t a, const swi_place *at, uint16_t b, const swi_place *there) {
    return !swi_clash(m, m->parts[a].shapes[at->shape].form, m->parts[b].shapes[there->shape].form, there->row - at->row,
                      there->col - at->col);
}

bool swi_cube_allows(const swi_model *m, const swi_cube *cube, uint16_t part, swi_place place) {
    const swi_part *a = &m->parts[part];
    swi_place fixed = {a->fixed_row, a->fixed_col, a->fixed_shape};
    if (a->fixed_shape >= 0 && memcmp(&fixed, &place, sizeof place) != 0)
        return false;
    if (cube->half && part == cube->order[0] && a->shapes[place.shape].turn >= 180)
        return false;
    for (int i = 0; i < cube->depth; i++) {
        if (cube->order[i] == part)
            return memcmp(&cube->places[i], &place, sizeof place) == 0;
        if (!clear_of(m, cube->order[i], &cube->places[i], part, &place))
            return false;
    }
    return true;
}

/* ---- one after the other ---- */

static bool next_hole(const swi_quest *q, const swi_shape *shape, swi_place *place) {
    if (++place->col + shape->cols < q->size.cols)
        return true;
    place->col = 0;
    return ++place->row + shape->rows < q->size.rows;
}

/* The next place of the part that was tied last; false when there is none. */
static bool next_place(swi_quest *q) {
    swi_cube *cube = &q->cube;
    int last = --cube->depth; /* what is tied before it decides */
    const swi_part *part = &q->m->parts[cube->order[last]];
    swi_place *place = &cube->places[last];
    while (place->shape < part->shape_count) {
        const swi_shape *shape = &part->shapes[place->shape];
        if (!next_hole(q, shape, place)) {
            *place = (swi_place){0, -1, (int16_t)(place->shape + 1)};
            continue;
        }
        if (place->col + shape->cols >= q->size.cols || place->row + shape->rows >= q->size.rows ||
            !swi_cube_allows(q->m, cube, cube->order[last], *place))
            continue;
        cube->depth++;
        return true;
    }
    return false;
}

/* Done with the cube at hand: to the next one; false when all are. */
static bool go_on(swi_quest *q) {
    while (q->cube.depth > 0)
        if (next_place(q))
            return true;
    return false;
}

static bool split(swi_quest *q) {
    q->cube.places[q->cube.depth++] = (swi_place){0, -1, 0};
    return go_on(q);
}

swi_verdict swi_quest_ask(swi_quest *q, int64_t *conflicts, bool (*stop)(void *), void *user, swi_sketch *found) {
    while (*conflicts > 0 && !(stop && stop(user))) {
        swi_prover *p = swi_prover_new(q->m, q->size, &q->cube);
        int64_t given = most_conflicts(q->cube.depth), left = given;
        swi_verdict verdict = p ? swi_prover_run(p, &left, stop, user, found) : SWI_NO_MEMORY;
        swi_prover_free(p);
        *conflicts -= given - left;
        if (verdict == SWI_FOUND || verdict == SWI_NO_MEMORY)
            return verdict;
        if (verdict == SWI_UNDECIDED && left > 0)
            break; /* stopped */
        bool more = verdict == SWI_REFUTED || q->cube.depth == q->m->part_count ? go_on(q) : split(q);
        if (!more)
            return SWI_REFUTED;
    }
    return SWI_UNDECIDED;
}
