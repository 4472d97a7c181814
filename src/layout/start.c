/* src/layout/start.c: the loose start.
 *
 * Parts are strewn over a board about four times their area; walking from hot to
 * cold without links brings what belongs together onto common strips, a second walk
 * with links makes the plan legal, usually within a second.  Starting on a tight board
 * takes ten times as long and ends larger.
 */
#include "sketch.h"

static bool strew(swi_walk *w) {
    swi_state *s = w->s;
    const swi_model *m = s->m;
    for (uint16_t rank = 0; rank < m->part_count; rank++) {
        uint16_t part = m->by_rank[rank];
        const swi_part *p = &m->parts[part];
        if (s->places[part].shape >= 0)
            continue;
        swi_place place = {0, 0, -1};
        for (int tries = 0; tries < 60 && place.shape < 0; tries++) {
            int shape = swi_below(&w->rng, p->shape_count), rows = s->rows - p->shapes[shape].rows, cols = s->cols - p->shapes[shape].cols;
            if (rows < 1 || cols < 1)
                continue;
            swi_place at = {(int16_t)swi_below(&w->rng, rows), (int16_t)swi_below(&w->rng, cols), (int16_t)shape};
            if (swi_can_stand(s, part, at))
                place = at;
        }
        if (place.shape >= 0) {
            swi_part_put(s, part, place);
            swi_settle(s);
            swi_commit(s);
        } else if (!swi_find_place(w, part, &(swi_window){0, s->cols - 1, 0, s->rows - 1}, (swi_place){0, 0, 0}))
            return false;
    }
    return !s->broken;
}

bool swi_start(swi_walk *w, int rows, int cols) {
    const swi_params *p = &w->s->m->params;
    if (!swi_state_clear(w->s, rows, cols))
        return false;
    swi_set_weights(w->s);
    if (!strew(w))
        return false;
    swi_walk_whole(w);
    w->links = false;
    bool large = swi_is_large(w->s->m);
    int64_t parts = w->part_count;
    int64_t placing = parts * (large ? p->place_moves_large : p->place_moves);
    int64_t joining = parts * (large ? p->join_moves_large : p->join_moves);
    bool going = swi_anneal(w, placing, p->place_hot, p->place_cold, false);
    w->links = true;
    if (going)
        swi_anneal(w, joining, p->join_hot, p->join_cold, true);
    return swi_legal(w->s);
}
