/* src/layout/force.c: legal whatever it costs.
 *
 * When walking leaves a few violations, room is made where they are: two blank
 * columns beside one, now and then a blank strip; the order of leads on every
 * strip is kept.  With room enough everything can be joined; the squeeze takes the
 * room back later.
 */
#include "sketch.h"

enum { MOST_ROUNDS = 60 };

static bool make_room(swi_walk *w, int round) {
    const swi_model *m = w->s->m;
    swi_sketch *k = w->spare[1];
    int row, col;
    if (!swi_violation(w, &row, &col))
        return true;
    swi_sketch_save(w->s, k);
    bool strip = round % 4 == 3 && k->rows < m->most_rows, column = k->cols + 2 <= m->most_cols;
    if (m->fixed_size || (!strip && !column))
        return false;
    if (strip)
        swi_add_strip(m, k, swi_below(&w->rng, 2) ? k->rows : row + 1);
    for (int i = 0; i < 2 && column && !strip; i++)
        swi_add_column(m, k, col + i);
    swi_window all = {0, k->cols - 1, 0, k->rows - 1};
    return swi_sketch_load(w, k, &all);
}

bool swi_force(swi_walk *w) {
    for (int round = 0; round < MOST_ROUNDS && !swi_legal(w->s); round++) {
        if (swi_stopped(w->stop, SWI_POLL_FORCE))
            return false;
        bool room = make_room(w, round);
        swi_walk_whole(w);
        if (!swi_chase(w, room ? 4 : 12) && !room && round > 8)
            return false;
    }
    return swi_legal(w->s);
}
