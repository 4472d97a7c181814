/* src/layout/prove_join.c: what the solver's answer leaves in pieces is forbidden, for
 * this and every plan like it.
 *
 * The answer's copper is worked out: runs of holes between cuts, joined by links and
 * by pins that packages join.  When a node's leads lie on several pieces, let H be the
 * holes of one of them.  In every legal plan, if one lead of the node lies in H and
 * another outside, then some strip or link (or joined pins) leads out of H with that
 * node.  That is the clause.
 */
#include "config.h"

#include <stdlib.h>
#include <string.h>
#include "prove.h"

#ifdef HAVE_CADICAL

/* The answer's copper, holes as points. */
typedef struct pieces {
    swi_prover *p;
    int *up;
    bool *inside;            /* H */
    const bool *without;     /* per hole: the link that begins there is left out; NULL none */
} pieces;

static int find(pieces *q, int i) {
    while (q->up[i] != i)
        i = q->up[i] = q->up[q->up[i]];
    return i;
}

static void join(pieces *q, int a, int b) { q->up[find(q, a)] = find(q, b); }

static const swi_stand *stand_of(const swi_prover *p, uint16_t part) {
    for (uint32_t i = 0; i < p->stand_counts[part]; i++)
        if (swi_prove_value(p, p->stands[part][i].var))
            return &p->stands[part][i];
    return &p->stands[part][0];
}

static int pin_hole(const swi_prover *p, uint16_t part, const swi_place *place, unsigned pin) {
    sw_offset lead = p->m->parts[part].shapes[place->shape].leads[pin];
    return swi_prove_hole(p, place->row + lead.row, place->col + lead.column);
}

static int label_of(const swi_prover *p, int hole) {
    for (int n = 0; n < p->m->node_count; n++)
        if (swi_prove_value(p, swi_prove_of(p, p->label, hole, n)))
            return n;
    return -1;
}

static bool joint_below(const swi_prover *p, int hole) {
    return hole >= 0 && hole + p->cols < p->holes && swi_prove_value(p, p->joint[hole]);
}

/* The other end of the link that begins at a hole and goes down; the hole itself when none
 * does. */
static int link_end(const swi_prover *p, int hole) {
    int end = hole;
    if (!joint_below(p, hole - p->cols))
        while (joint_below(p, end))
            end += p->cols;
    return end;
}

static void lay_copper(pieces *q) {
    swi_prover *p = q->p;
    for (int h = 0; h < p->holes; h++)
        q->up[h] = h;
    for (int h = 0; h + 1 < p->holes; h++)
        if ((h + 1) % p->cols && label_of(p, h) >= 0 && label_of(p, h) == label_of(p, h + 1))
            join(q, h, h + 1);
    for (int h = 0; h < p->holes; h++)
        if (link_end(p, h) > h && !(q->without && q->without[h]))
            join(q, h, link_end(p, h));
    for (uint16_t n = 0; n < p->m->node_count; n++)
        for (uint32_t k = 0; k < p->m->nodes[n].join_count; k++) {
            const swi_join *j = &p->m->joins[p->m->nodes[n].first_join + k];
            const swi_place *place = &stand_of(p, j->part)->place;
            join(q, pin_hole(p, j->part, place, j->pin_a), pin_hole(p, j->part, place, j->pin_b));
        }
}

static int hole_of(const swi_prover *p, swi_node_pin pin) {
    return pin_hole(p, pin.part, &stand_of(p, pin.part)->place, pin.pin);
}

/* A variable that is implied when the pin is in H (or, outside, when it is not). */
static int pin_is(pieces *q, swi_node_pin pin, bool outside) {
    swi_prover *p = q->p;
    int var = swi_prove_var(p);
    for (uint32_t i = 0; i < p->stand_counts[pin.part]; i++) {
        const swi_stand *stand = &p->stands[pin.part][i];
        if (q->inside[pin_hole(p, pin.part, &stand->place, pin.pin)] != outside)
            SWI_CLAUSE(p, -stand->var, var);
    }
    return var;
}

typedef struct way_list {
    int *literals;
    size_t count, room;
    bool failed;
} way_list;

static void add_way(way_list *w, int literal) {
    if (!SWI_GROW(w->literals, w->room, w->count + 1))
        w->failed = true;
    else
        w->literals[w->count++] = literal;
}

static void joined_ways(pieces *q, int node, way_list *w) {
    swi_prover *p = q->p;
    for (uint32_t k = 0; k < p->m->nodes[node].join_count; k++) {
        const swi_join *j = &p->m->joins[p->m->nodes[node].first_join + k];
        for (uint32_t i = 0; i < p->stand_counts[j->part]; i++) {
            const swi_stand *stand = &p->stands[j->part][i];
            if (q->inside[pin_hole(p, j->part, &stand->place, j->pin_a)] !=
                q->inside[pin_hole(p, j->part, &stand->place, j->pin_b)])
                add_way(w, stand->var);
        }
    }
}

/* Everything that could lead out of H with this node. */
static void ways_out(pieces *q, int node, way_list *w) {
    swi_prover *p = q->p;
    for (int h = 0; h + 1 < p->holes; h++)
        if ((h + 1) % p->cols && q->inside[h] != q->inside[h + 1])
            add_way(w, swi_prove_of(p, p->carry, h, node));
    for (int c = 0; c < p->cols; c++)
        for (int r = 0; r < p->rows; r++)
            for (int to = r + 1; to < p->rows && to - r <= p->m->longest_link; to++)
                if (q->inside[swi_prove_hole(p, r, c)] != q->inside[swi_prove_hole(p, to, c)])
                    add_way(w, swi_prove_span(p, c, r, to, node));
    joined_ways(q, node, w);
}

/* What is in pieces, found before any clause is added: adding ends the answer. */
typedef struct split {
    int node;
    swi_node_pin in, out;
    int in_hole;
} split;

static bool forbid(pieces *q, const split *s) {
    swi_prover *p = q->p;
    way_list w = {0};
    int root = find(q, s->in_hole);
    for (int h = 0; h < p->holes; h++)
        q->inside[h] = find(q, h) == root;
    ways_out(q, s->node, &w);
    add_way(&w, -pin_is(q, s->in, false));
    add_way(&w, -pin_is(q, s->out, true));
    if (!w.failed)
        swi_prove_clause(p, w.literals, w.count);
    free(w.literals);
    return !w.failed;
}

static size_t find_splits(pieces *q, split *list) {
    swi_prover *p = q->p;
    size_t count = 0;
    for (int n = 0; n < p->m->node_count; n++) {
        const swi_node *node = &p->m->nodes[n];
        swi_node_pin first = p->m->node_pins[node->first_pin];
        for (uint32_t k = 1; k < node->pin_count; k++) {
            swi_node_pin pin = p->m->node_pins[node->first_pin + k];
            if (find(q, hole_of(p, pin)) == find(q, hole_of(p, first)))
                continue;
            list[count++] = (split){n, first, pin, hole_of(p, first)};
            list[count++] = (split){n, pin, first, hole_of(p, pin)};
            break;
        }
    }
    return count;
}

int swi_prove_joins(swi_prover *p) {
    pieces q = {p, malloc(((size_t)p->holes + 1) * sizeof *q.up), malloc(((size_t)p->holes + 1) * sizeof *q.inside), NULL};
    split *list = malloc((2u * p->m->node_count + 2u) * sizeof *list);
    int count = -1;
    if (q.up && q.inside && list) {
        lay_copper(&q);
        size_t splits = find_splits(&q, list);
        count = 0;
        for (size_t i = 0; i < splits && count >= 0; i++)
            count = forbid(&q, &list[i]) ? count + 1 : -1;
    }
    free(q.up);
    free(q.inside);
    free(list);
    return count;
}

static bool is_kept(const swi_prover *p, int hole) {
    for (uint32_t i = 0; i < p->m->fixed_link_count; i++)
        if (hole == swi_prove_hole(p, p->m->fixed_links[i].from, p->m->fixed_links[i].col))
            return true;
    return false;
}

/* The answer may have links that it does not need: those are left out. */
static void drop_needless(pieces *q, bool *without, split *list) {
    q->without = without;
    for (int h = q->p->holes; h-- > 0;) {
        if (link_end(q->p, h) == h || is_kept(q->p, h))
            continue;
        without[h] = true;
        lay_copper(q);
        without[h] = find_splits(q, list) == 0;
    }
}

static void read_links(const swi_prover *p, const bool *without, swi_sketch *found) {
    uint32_t room = 4u * p->m->part_count + p->m->fixed_link_count + 64u; /* as swi_sketch_new gives */
    for (int h = 0; h < p->holes && found->link_count < room; h++) {
        int end = link_end(p, h);
        if (end > h && !without[h])
            found->links[found->link_count++] = (swi_fixed_link){
                (uint16_t)label_of(p, h), (int16_t)(h % p->cols), (int16_t)(h / p->cols), (int16_t)(end / p->cols)};
    }
}

bool swi_prove_read(swi_prover *p, swi_sketch *found) {
    pieces q = {p, malloc(((size_t)p->holes + 1) * sizeof *q.up), NULL, NULL};
    split *list = malloc((2u * p->m->node_count + 2u) * sizeof *list);
    bool *without = calloc((size_t)p->holes + 1, sizeof *without);
    bool ok = q.up && list && without;
    found->rows = p->rows;
    found->cols = p->cols;
    found->link_count = 0;
    for (uint16_t a = 0; a < p->m->part_count; a++)
        found->places[a] = stand_of(p, a)->place;
    if (ok) {
        drop_needless(&q, without, list);
        read_links(p, without, found);
    }
    free(q.up);
    free(list);
    free(without);
    return ok;
}

#endif
