/* src/layout/bound.c: a size that no legal plan can go below.
 *
 * Three things are counted that must be there whatever the plan.
 *
 * Crossings.  Between the rows of an IC three pitches wide every strip carries two
 * nodes and is cut, unless both its pins are of one node; a link there stands
 * beside the one or the other row and joins nothing across (a cut takes the hole
 * beside it).  So a node with pins on both sides, but on no common strip, must pass the
 * IC on a strip outside its rows, each such node on one of its own, and wants a link at
 * least on either side.  (Not so with knife cuts or wider ICs.)
 *
 * Holes with something in them: leads, two ends for each of those links, and cuts: a
 * strip with leads of k nodes has k − 1 cuts, so n nodes on r strips want n − r.
 *
 * Holes that nothing else can use: what bendable parts stretch over at their
 * shortest, the other leads, and the links' ends; cuts may lie beneath.
 */
#include <stdio.h>
#include "emit.h"

typedef struct needs {
    int strips;     /* least, by crossings */
    int crossing;   /* different nodes that cross some IC */
    int stretched;  /* holes that parts stretch over */
    const char *ic; /* the IC that wants most strips; NULL none */
    int ic_nodes;
} needs;

/* A node with pins in both rows of a DIP, but never in the same strip. */
static bool crosses(const swi_part *p, uint16_t node) {
    unsigned rows = p->pin_count / 2u;
    bool left = false, right = false;
    for (unsigned i = 0; i < rows; i++) {
        bool l = p->node[i] == node, r = p->node[p->pin_count - 1u - i] == node;
        if (l && r)
            return false;
        left |= l;
        right |= r;
    }
    return left && right;
}

static bool is_barrier(const swi_model *m, const swi_part *p) {
    const sw_package *package = p->shapes[0].package;
    for (unsigned i = 0; package->joined && i < p->pin_count; i++)
        if (package->joined[i])
            return false;
    return package->form == SW_FORM_DIP && package->pitch == 3 && !m->options->knife;
}

static void count_crossings(const swi_model *m, needs *n) {
    for (uint16_t node = 0; node < m->node_count; node++) {
        bool once = false;
        for (uint16_t p = 0; p < m->part_count && !once; p++)
            once = is_barrier(m, &m->parts[p]) && crosses(&m->parts[p], node);
        n->crossing += once && m->nodes[node].join_count == 0;
    }
    for (uint16_t p = 0; p < m->part_count; p++) {
        int count = 0;
        for (uint16_t node = 0; is_barrier(m, &m->parts[p]) && node < m->node_count; node++)
            count += crosses(&m->parts[p], node) && m->nodes[node].join_count == 0;
        if (count && m->parts[p].pin_count / 2 + count > n->strips) {
            n->strips = m->parts[p].pin_count / 2 + count;
            n->ic = m->circuit->parts[m->parts[p].part].ref;
            n->ic_nodes = count;
        }
    }
}

static void count_stretched(const swi_model *m, needs *n) {
    for (uint16_t p = 0; p < m->part_count; p++) {
        const swi_part *part = &m->parts[p];
        int least = part->pin_count;
        for (unsigned i = 0; part->pair && i < part->shape_count; i++) {
            int holes = part->shapes[i].rows + part->shapes[i].cols + 1;
            least = i == 0 || holes < least ? holes : least;
        }
        n->stretched += least;
    }
}

int swi_bound(const swi_model *m, char *why, size_t size) {
    needs n = {.strips = m->tallest + 1};
    count_crossings(m, &n);
    count_stretched(m, &n);
    int ends = 4 * n.crossing, leads = (int)m->pin_count, nodes = m->node_count, best = 0;
    int lost = 2 * m->options->margin, most = n.strips + 200;
    bool by_cuts = false;
    for (int r = n.strips; r <= most; r++) {
        int cuts = m->options->knife || nodes <= r ? 0 : nodes - r, filled = leads + ends + cuts, taken = n.stretched + ends;
        int holes = filled > taken ? filled : taken, cols = (holes + r - 1) / r;
        cols = cols < m->widest + 1 ? m->widest + 1 : cols;
        if (best == 0 || (r + lost) * (cols + lost) < best) {
            best = (r + lost) * (cols + lost);
            by_cuts = filled > taken;
        }
    }
    int used = snprintf(why, size, by_cuts ? "%d leads, %d link ends and the cuts between %d nodes take a hole each"
                                           : "parts stretch over %d holes and %d link ends take one each",
                        by_cuts ? leads : n.stretched, ends, nodes);
    if (n.ic && used > 0 && (size_t)used < size)
        snprintf(why + used, size - (size_t)used, "; %d nodes must pass %s on strips beside it: %d strips at least", n.ic_nodes, n.ic,
                 n.strips);
    return best;
}
