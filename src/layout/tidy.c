/* src/layout/tidy.c: at fixed size fewer links and cuts, shorter links, neater parts.
 *
 * Whatever was preferred while the size was sought, now the balanced weights rule:
 * the whole of a small plan, or a window of a large one, walks barely warm, and what is
 * legal and better by the preference is kept.
 */
#include "neat.h"

enum { SMALL = 24 };

bool swi_tidy(swi_walk *w, swi_sketch *best) {
    const swi_model *m = w->s->m;
    const swi_params *p = &m->params;
    swi_sketch *k = w->spare[1];
    swi_window all = {0, best->cols - 1, 0, best->rows - 1};
    w->s->moves += 50;
    if (swi_stopped(w->stop, SWI_POLL_TIDY) || !swi_sketch_load(w, best, &all))
        return false;
    swi_set_tidy_weights(w->s);
    if (m->part_count <= SMALL || swi_below(&w->rng, 4) == 0)
        swi_walk_whole(w);
    else {
        int col = swi_below(&w->rng, best->cols), half = swi_window_most(w->s->m);
        swi_walk_window(w, col - half, col + half, 0, best->rows - 1);
    }
    if (!swi_anneal(w, (int64_t)w->part_count * p->tidy_moves, p->tidy_heat, p->tidy_heat / 15 + 1, false) || !swi_legal(w->s))
        return false;
    swi_sketch_save(w->s, k);
    if (!swi_neater(m, k, best))
        return false;
    swi_sketch_copy(m, best, k);
    return true;
}
