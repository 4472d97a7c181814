/* src/layout/web.c: which runs of a node its links and joined pins bring together.
 *
 * Union-find over the ends of links only: a rail with forty leads and ten links has
 * twenty ends to look at.  Runs are found by a hash of their key.
 */
#include "state.h"

static uint32_t slot_of(const swi_web *web, uint32_t run) {
    uint32_t at = run * UINT32_C(2654435769) >> 22;
    while (web->stamps[at] == web->stamp && web->keys[at] != run)
        at = (at + 1) & 1023;
    return at;
}

static uint16_t index_of(swi_web *web, uint32_t run) {
    uint32_t at = slot_of(web, run);
    if (web->stamps[at] != web->stamp) {
        web->stamps[at] = web->stamp;
        web->keys[at] = run;
        web->slots[at] = (uint16_t)web->count;
        web->parent[web->count] = (uint16_t)web->count;
        web->count++;
    }
    return web->slots[at];
}

static uint16_t root_of(const swi_web *web, uint16_t i) {
    while (web->parent[i] != i)
        i = web->parent[i];
    return i;
}

static int join(swi_web *web, uint32_t run_a, uint32_t run_b) {
    if (run_a == run_b || web->count + 2 > 900)
        return 0;
    uint16_t a = root_of(web, index_of(web, run_a)), b = root_of(web, index_of(web, run_b));
    if (a == b)
        return 0;
    if (a > b)
        web->parent[a] = b;
    else
        web->parent[b] = a;
    return 1;
}

static int join_inside(swi_state *s, uint16_t node) {
    const swi_node *n = &s->m->nodes[node];
    int rank = 0;
    for (uint32_t i = 0; i < n->join_count; i++) {
        swi_join j = s->m->joins[n->first_join + i];
        swi_place place = s->places[j.part];
        if (place.shape < 0)
            continue;
        const sw_offset *leads = s->m->parts[j.part].shapes[place.shape].leads;
        sw_offset a = leads[j.pin_a], b = leads[j.pin_b];
        rank += join(&s->web, swi_run(s, node, place.row + a.row, place.col + a.column),
                     swi_run(s, node, place.row + b.row, place.col + b.column));
    }
    return rank;
}

int swi_web_load(swi_state *s, uint16_t node, int *spare) {
    swi_web *web = &s->web;
    if (++web->stamp == 0) {
        memset(web->stamps, 0, sizeof web->stamps);
        web->stamp = 1;
    }
    web->count = 0;
    int rank = join_inside(s, node), joined = 0;
    *spare = 0;
    for (uint16_t id = s->first_link[node]; id != SWI_NO_LINK; id = s->links[id].next) {
        const swi_wire *l = &s->links[id];
        joined = join(web, swi_run(s, node, l->from, l->col), swi_run(s, node, l->to, l->col));
        rank += joined;
        *spare += !joined;
    }
    return rank;
}

uint32_t swi_web_piece(const swi_state *s, uint32_t run) {
    const swi_web *web = &s->web;
    uint32_t at = slot_of(web, run);
    if (web->stamps[at] != web->stamp)
        return run + 65536u; /* met by no link: a piece of its own */
    return root_of(web, web->slots[at]);
}

/* The end of a link that no other lead of the node stands beside. */
static bool dangles(const swi_state *s, uint16_t node, int row, int col) {
    const uint64_t *w = s->leads + (size_t)row * (size_t)s->words;
    const uint16_t *holes = s->hole_node + swi_hole(s, row, 0);
    int left = swi_prev_bit(w, col), right = swi_next_bit(w, s->words, col);
    return !(left >= 0 && holes[left] == node + 1) && !(right >= 0 && holes[right] == node + 1);
}

/* The longest link with an end that no other lead of its node stands beside. */
static uint16_t find_dangling(const swi_state *s, uint16_t node) {
    uint16_t best = SWI_NO_LINK;
    int longest = -1;
    for (uint16_t id = s->first_link[node]; id != SWI_NO_LINK; id = s->links[id].next) {
        const swi_wire *l = &s->links[id];
        if (l->to - l->from > longest && (dangles(s, node, l->from, l->col) || dangles(s, node, l->to, l->col)) &&
            !swi_is_fixed(s, l)) {
            best = id;
            longest = l->to - l->from;
        }
    }
    return best;
}

/* The longest link without which the pieces are as many as with it; it is found by
 * trying, so the node's list is copied first. */
static bool break_cycle(swi_state *s, uint16_t node) {
    uint16_t ids[64];
    unsigned count = 0;
    for (uint16_t id = s->first_link[node]; id != SWI_NO_LINK && count < 64; id = s->links[id].next) {
        unsigned at = count++;
        int length = s->links[id].to - s->links[id].from;
        for (; at > 0 && s->links[ids[at - 1]].to - s->links[ids[at - 1]].from < length; at--)
            ids[at] = ids[at - 1];
        ids[at] = id;
    }
    int pieces = s->pieces[node];
    for (unsigned i = 0; i < count; i++) {
        swi_wire l = s->links[ids[i]];
        if (swi_is_fixed(s, &l))
            continue;
        swi_link_take(s, ids[i]);
        swi_settle(s);
        if (s->pieces[node] <= pieces)
            return true;
        swi_link_put(s, node, l.col, l.from, l.to);
        swi_settle(s);
    }
    return false;
}

void swi_prune(swi_state *s, uint16_t node) {
    while (s->link_count[node]) {
        uint16_t dangling = find_dangling(s, node);
        if (dangling != SWI_NO_LINK) {
            swi_link_take(s, dangling);
            swi_settle(s);
            continue;
        }
        if (!s->spare[node] || !break_cycle(s, node))
            return;
    }
}
