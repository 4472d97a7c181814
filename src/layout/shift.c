/* src/layout/shift.c: moving parts, with repair that stays local.
 *
 * Parts are tried at new places: links in the way there are dropped, then the new
 * leads and the ends of dropped links look for a new shortest link nearby, and links
 * that join nothing any more go.  Before any of this the least that the move can cost
 * is worked out from what stands where the parts would go, and most moves end there.
 */
#include "neat.h"

enum { MOST_HITS = 24, MOST_COPPER = 12 };

typedef struct shift {
    int count;
    const uint16_t *parts;
    const swi_place *places;
    int overlap, adjacent;   /* at the new places, the moved parts left out */
    int hit_count;
    uint16_t hits[MOST_HITS]; /* links in the way */
} shift;

static bool is_moved(const shift *sh, uint16_t thing) {
    return thing == sh->parts[0] || (sh->count > 1 && thing == sh->parts[1]);
}

static bool add_hit(shift *sh, uint16_t link) {
    for (int i = 0; i < sh->hit_count; i++)
        if (sh->hits[i] == link)
            return true;
    if (sh->hit_count == MOST_HITS)
        return false;
    sh->hits[sh->hit_count++] = link;
    return true;
}

/* Room for the part's body at its new place; false when it cannot be put there at all. */
static bool probe_cells(const swi_state *s, shift *sh, int k) {
    swi_place place = sh->places[k];
    const swi_shape *shape = &s->m->parts[sh->parts[k]].shapes[place.shape];
    const swi_form *form = &s->m->forms[shape->form];
    unsigned things = s->m->thing_count;
    for (uint32_t i = 0; i < form->cell_count; i++) {
        const swi_cell *c = &form->cells[i];
        int row = place.row + c->row, col = place.col + c->col;
        size_t cell = swi_cell_at(s, row, col);
        const swi_pile *pile = &s->piles[cell];
        unsigned n = swi_things_in(pile);
        if (!n)
            continue;
        if (n >= SWI_SLOTS - 1)
            return false;
        for (unsigned j = 0; j < n; j++) {
            uint16_t other = pile->things[j];
            if (other >= things) {
                const swi_wire *link = &s->links[other - things];
                if (swi_in_the_way(link, row, c->flags) && (swi_is_fixed(s, link) || !add_hit(sh, (uint16_t)(other - things))))
                    return false;
            } else if (!is_moved(sh, other)) {
                swi_place there = s->places[other];
                sh->overlap += swi_clash(s->m, shape->form, s->m->parts[other].shapes[there.shape].form,
                                         there.row - place.row, there.col - place.col);
            }
        }
    }
    return true;
}

/* A hole of the part's new place: free, or to be freed. */
static bool probe_hole(const swi_state *s, shift *sh, int row, int col) {
    uint16_t owner = s->holes[swi_hole(s, row, col)].owner;
    if (!owner || owner > s->m->thing_count)
        return true; /* a link there is hit by the lead's cell */
    return is_moved(sh, (uint16_t)(owner - 1));
}

static bool probe_leads(const swi_walk *w, shift *sh, int k) {
    const swi_state *s = w->s;
    const swi_part *p = &s->m->parts[sh->parts[k]];
    swi_place place = sh->places[k];
    const swi_shape *shape = &p->shapes[place.shape];
    if (place.col < w->window.first || place.col + shape->cols > w->window.last || place.row < w->window.top ||
        place.row + shape->rows > w->window.bottom)
        return false;
    for (unsigned i = 0; i < p->pin_count; i++)
        if (!probe_hole(s, sh, place.row + shape->leads[i].row, place.col + shape->leads[i].column))
            return false;
    return true;
}

static bool is_of(const swi_part *p, uint16_t node) {
    for (unsigned i = 0; i < p->pin_count; i++)
        if (p->node[i] == node)
            return true;
    return false;
}

/* Whether the link may go with this move: it is in the way, or of a node that loses a lead. */
static bool may_go(const swi_state *s, const shift *sh, uint16_t link) {
    for (int i = 0; i < sh->hit_count; i++)
        if (sh->hits[i] == link)
            return true;
    for (int k = 0; k < sh->count; k++)
        if (is_of(&s->m->parts[sh->parts[k]], s->links[link].node))
            return true;
    return false;
}

/* A lead, or the end of a link, that stays beside, of another node. */
static int beside(const swi_state *s, const shift *sh, int row, int col, uint16_t node) {
    if (col < 0 || col >= s->cols)
        return 0;
    swi_lead there = s->holes[swi_hole(s, row, col)];
    if (!there.node || there.node == node + 1 || there.node == s->cut_mark)
        return 0;
    unsigned thing = there.owner - 1u, things = s->m->thing_count;
    return thing < things ? !is_moved(sh, (uint16_t)thing) : !may_go(s, sh, (uint16_t)(thing - things));
}

/* After the cells, which tell the links in the way. */
static void probe_neighbours(const swi_state *s, shift *sh, int k) {
    const swi_part *p = &s->m->parts[sh->parts[k]];
    swi_place place = sh->places[k];
    const sw_offset *leads = p->shapes[place.shape].leads;
    for (unsigned i = 0; i < p->pin_count; i++) {
        int row = place.row + leads[i].row, col = place.col + leads[i].column;
        sh->adjacent += beside(s, sh, row, col - 1, p->node[i]) + beside(s, sh, row, col + 1, p->node[i]);
    }
}

/* What the part's going away may save at most. */
static int64_t most_saved(const swi_state *s, uint16_t part) {
    const swi_part *p = &s->m->parts[part];
    const swi_weights *w = &s->weights;
    int64_t saved = 0;
    int links = 0;
    for (unsigned i = 0; i < p->pin_count; i++) {
        uint16_t node = p->node[i];
        bool seen = false;
        for (unsigned k = 0; k < i && !seen; k++)
            seen = p->node[k] == node;
        if (seen)
            continue;
        if (s->pieces[node] > 1)
            saved += (int64_t)(s->pieces[node] - 1) * w->open + (int64_t)s->spread[node] * w->spread;
        int most = s->link_count[node];
        links += most < 2 ? most : 2;
    }
    saved += (int64_t)links * (w->link + 6 * w->pitch) + 2 * (int64_t)p->pin_count * w->cut;
    saved += (int64_t)p->pin_count * MOST_COPPER * w->copper;
    saved += (int64_t)s->part_soft[part] * w->soft;
    for (unsigned i = 0; i < p->bond_count; i++)
        saved += (int64_t)s->part_soft[s->m->bonds[p->first_bond + i].other] * w->soft;
    if (s->tally->adjacent) {
        int most = 2 * p->pin_count < s->tally->adjacent ? 2 * p->pin_count : s->tally->adjacent;
        saved += (int64_t)most * w->adjacent;
    }
    return saved;
}

static bool is_hopeless(const swi_walk *w, const shift *sh, int64_t limit) {
    const swi_state *s = w->s;
    int64_t least = (int64_t)sh->overlap * s->weights.overlap + (int64_t)sh->adjacent * s->weights.adjacent;
    if (least == 0)
        return false;
    for (int k = 0; k < sh->count; k++) {
        least -= most_saved(s, sh->parts[k]);
        if (s->tally->overlap)
            least -= (int64_t)swi_part_overlap(s, sh->parts[k], s->places[sh->parts[k]]) * s->weights.overlap;
    }
    least -= (int64_t)sh->hit_count * (s->weights.link + 8 * s->weights.pitch + 2 * s->weights.cut);
    return w->cost + least > limit;
}

/* ---- doing it ---- */

typedef struct touched {
    uint16_t nodes[96];
    int count;
} touched;

static void add_node(touched *t, uint16_t node) {
    for (int i = 0; i < t->count; i++)
        if (t->nodes[i] == node)
            return;
    if (t->count < 96)
        t->nodes[t->count++] = node;
}

static void mend_from(swi_walk *w, uint16_t node, int row, int col) {
    while (w->s->pieces[node] > 1 && swi_join_near(w->s, &w->window, node, row, col, w->s->m->params.near))
        continue;
}

void swi_mend_node(swi_walk *w, uint16_t node, uint16_t part) {
    swi_state *s = w->s;
    const swi_part *p = &s->m->parts[part];
    const sw_offset *leads = swi_shape_of(s, part)->leads;
    for (unsigned i = 0; i < p->pin_count && s->pieces[node] > 1; i++)
        if (p->node[i] == node)
            mend_from(w, node, s->places[part].row + leads[i].row, s->places[part].col + leads[i].column);
}

/* The least that mending can leave the cost at: every piece joined by a link. */
static int64_t hope(const swi_state *s, const touched *t) {
    int64_t saved = 0;
    for (int i = 0; i < t->count; i++) {
        uint16_t node = t->nodes[i];
        if (s->pieces[node] > 1)
            saved += (int64_t)(s->pieces[node] - 1) * (s->weights.open - s->weights.link - s->weights.pitch) +
                     (int64_t)s->spread[node] * s->weights.spread;
        saved += (int64_t)s->spare[node] * (s->weights.link + 4 * s->weights.pitch);
    }
    return saved + s->weights.link + 6 * s->weights.pitch;
}

static void apply(swi_state *s, const shift *sh, touched *t, swi_wire *gone) {
    for (int k = 0; k < sh->count; k++)
        swi_part_take(s, sh->parts[k]);
    for (int i = 0; i < sh->hit_count; i++) {
        gone[i] = s->links[sh->hits[i]];
        swi_link_take(s, sh->hits[i]);
    }
    for (int k = 0; k < sh->count; k++) {
        const swi_part *p = &s->m->parts[sh->parts[k]];
        swi_part_put(s, sh->parts[k], sh->places[k]);
        for (unsigned i = 0; i < p->pin_count; i++)
            add_node(t, p->node[i]);
    }
    for (int i = 0; i < sh->hit_count; i++)
        add_node(t, gone[i].node);
    /* A lead may have come between others of its node's neighbours. */
    for (uint32_t i = 0; i < s->dirty_count; i++)
        add_node(t, s->dirty[i]);
    swi_settle(s);
}

static void mend(swi_walk *w, const shift *sh, const touched *t, const swi_wire *gone) {
    swi_state *s = w->s;
    for (int k = 0; k < sh->count; k++) {
        const swi_part *p = &s->m->parts[sh->parts[k]];
        for (unsigned i = 0; i < p->pin_count; i++)
            if (s->pieces[p->node[i]] > 1) {
                sw_offset lead = swi_shape_of(s, sh->parts[k])->leads[i];
                mend_from(w, p->node[i], s->places[sh->parts[k]].row + lead.row, s->places[sh->parts[k]].col + lead.column);
            }
    }
    for (int i = 0; i < sh->hit_count; i++)
        if (s->pieces[gone[i].node] > 1) {
            mend_from(w, gone[i].node, gone[i].from, gone[i].col);
            mend_from(w, gone[i].node, gone[i].to, gone[i].col);
        }
    for (int i = 0; i < t->count; i++)
        if (s->link_count[t->nodes[i]])
            swi_prune(s, t->nodes[i]);
}

static bool ends_overlap(const swi_state *s, const shift *sh) {
    /* Two parts that change places may want the same hole. */
    if (sh->count < 2)
        return false;
    const swi_part *p = &s->m->parts[sh->parts[0]], *q = &s->m->parts[sh->parts[1]];
    const sw_offset *a = p->shapes[sh->places[0].shape].leads, *b = q->shapes[sh->places[1].shape].leads;
    int rows = sh->places[1].row - sh->places[0].row, cols = sh->places[1].col - sh->places[0].col;
    for (unsigned i = 0; i < p->pin_count; i++)
        for (unsigned k = 0; k < q->pin_count; k++)
            if (a[i].row == b[k].row + rows && a[i].column == b[k].column + cols)
                return true;
    return false;
}

bool swi_judge(swi_walk *w, int64_t limit) {
    int64_t cost = swi_cost(w->s);
    if (cost <= limit)
        cost += swi_neat_cost(w);
    if (cost > limit || w->s->broken) {
        swi_revert(w->s);
        return false;
    }
    w->cost = cost;
    swi_commit(w->s);
    return true;
}

bool swi_shift(swi_walk *w, int count, const uint16_t *parts, const swi_place *places, int64_t limit) {
    swi_state *s = w->s;
    shift sh = {.count = count, .parts = parts, .places = places};
    for (int k = 0; k < count; k++)
        if (!probe_leads(w, &sh, k))
            return false;
    for (int k = 0; k < count; k++)
        if (!probe_cells(s, &sh, k))
            return false;
    for (int k = 0; k < count && !s->knife; k++)
        probe_neighbours(s, &sh, k);
    if (ends_overlap(s, &sh) || is_hopeless(w, &sh, limit))
        return false;
    touched t = {.count = 0};
    swi_wire gone[MOST_HITS];
    apply(s, &sh, &t, gone);
    if (w->links) {
        if (swi_cost(s) - hope(s, &t) > limit) {
            swi_revert(s);
            return false;
        }
        mend(w, &sh, &t, gone);
    }
    return swi_judge(w, limit);
}
