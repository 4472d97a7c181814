/* src/layout/bound.c: a size that no legal plan can go below.
 *
 * Counted are holes that must be there whatever the plan:
 *   - every lead has a hole;
 *   - every strip in use that carries leads of k different nodes has k − 1 cuts at
 *     least, a hole each; with n nodes (of one pin and more) on r strips that makes n − r cuts;
 *   - links: a node needs two holes more for each link, and some nodes need a link.
 *     Only two-row ICs are looked at: of a node with pins on both sides of one none of
 *     whose rows has it on both, the copper must pass from one side to the other
 *     elsewhere (SEARCH: on a strip outside the IC's rows), which takes two link ends at
 *     least at each of two links, unless other leads of the node do it.
 */
#include <stdio.h>
#include "emit.h"

int swi_bound(const swi_model *m, char *why, size_t size) {
    int rows = m->tallest + 1, leads = (int)m->pin_count, nodes = m->node_count;
    int best = 0, best_rows = 0;
    /* For each number of strips: leads + cuts, rounded up to whole columns. */
    int most = m->most_rows < 200 ? m->most_rows : 200;
    for (int r = rows; r <= most; r++) {
        int holes = leads + (m->options->knife ? 0 : nodes > r ? nodes - r : 0);
        int cols = (holes + r - 1) / r;
        cols = cols < m->widest + 1 ? m->widest + 1 : cols;
        if (best == 0 || r * cols < best) {
            best = r * cols;
            best_rows = r;
        }
    }
    snprintf(why, size, "%d leads take a hole each, and %d nodes on %d strips want %d cuts", leads, nodes, best_rows,
             m->options->knife || nodes < best_rows ? 0 : nodes - best_rows);
    return best;
}
