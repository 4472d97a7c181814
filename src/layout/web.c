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

static void begin_web(swi_web *web) {
    if (++web->stamp == 0) {
        memset(web->stamps, 0, sizeof web->stamps);
        web->stamp = 1;
    }
    web->count = 0;
}

int swi_web_load(swi_state *s, uint16_t node, int *spare) {
    swi_web *web = &s->web;
    begin_web(web);
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
    const swi_lead *holes = s->holes + swi_hole(s, row, 0);
    int left = swi_prev_bit(w, col), right = swi_next_bit(w, s->words, col);
    return !(left >= 0 && holes[left].node == node + 1) && !(right >= 0 && holes[right].node == node + 1);
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

/* The node's links into web->order: locked ones first, then the shorter the earlier; among
 * equals the later of the node's list comes first. */
static uint32_t order_links(swi_state *s, uint16_t node) {
    uint32_t starts[SWI_MOST_SIDE + 2] = {0}, count = 0;
    for (uint16_t id = s->first_link[node]; id != SWI_NO_LINK; id = s->links[id].next) {
        const swi_wire *l = &s->links[id];
        starts[swi_is_fixed(s, l) ? 0 : l->to - l->from]++;
        count++;
    }
    for (int length = 1; length < s->rows; length++)
        starts[length] += starts[length - 1];
    for (uint16_t id = s->first_link[node]; id != SWI_NO_LINK; id = s->links[id].next) {
        const swi_wire *l = &s->links[id];
        s->web.order[--starts[swi_is_fixed(s, l) ? 0 : l->to - l->from]] = id;
    }
    return count;
}

/* Takes the longest link without which the pieces are as many as with it: when links are
 * joined from the shortest on, the last that joins nothing new.  Rails of large circuits have
 * a hundred links, so each of them cannot be tried. */
static bool break_cycle(swi_state *s, uint16_t node) {
    uint32_t count = order_links(s, node);
    uint16_t found = SWI_NO_LINK;
    begin_web(&s->web);
    join_inside(s, node);
    for (uint32_t i = 0; i < count; i++) {
        const swi_wire *l = &s->links[s->web.order[i]];
        if (!join(&s->web, swi_run(s, node, l->from, l->col), swi_run(s, node, l->to, l->col)) && !swi_is_fixed(s, l))
            found = s->web.order[i];
    }
    if (found == SWI_NO_LINK)
        return false;
    swi_wire l = s->links[found];
    int32_t pieces = s->pieces[node];
    swi_link_take(s, found);
    swi_settle(s);
    if (s->pieces[node] <= pieces)
        return true;
    swi_link_put(s, node, l.col, l.from, l.to);
    swi_settle(s);
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
