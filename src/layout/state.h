/* src/layout/state.h: a plan in the making, with its cost kept up to date.
 *
 * A state is a board of rows × cols holes (strips run along a row) with parts and
 * links.  Parts may be in each other's way and leads of different nodes may be
 * neighbours (both cost); links are always exactly legal and a hole never holds
 * two leads.  Cuts are not kept: a strip can be cut exactly when no two leads of
 * different nodes stand in neighbouring holes, so one cut for each gap between
 * leads of different nodes is counted, and its hole is chosen when the plan is
 * written.
 *
 * Copper is counted in runs: the leads of one node on one strip that no other
 * node's lead separates.  A node's pieces are its runs less the joins that its
 * links (and pins joined inside a package) really make.
 *
 * Everything that a move changes lies in one block and every word changed is
 * noted first, so a move is undone by putting the words back, byte for byte; the tally
 * is copied whole.
 */
#ifndef SWI_STATE_H
#define SWI_STATE_H

#include <string.h>
#include "model.h"

enum { SWI_SLOTS = 6 }; /* things that may share a cell */

/* What is in a cell.  The counts have four bits each: things, and of them those that bar
 * links as the flags of cells say (model.h: through, gap, end).  Counts and the first three
 * things are in one word of the journal. */
typedef struct swi_pile {
    uint16_t counts;
    uint16_t things[SWI_SLOTS + 1]; /* thing, or thing_count + link; the last stays empty */
} swi_pile;

/* A hole. */
typedef struct swi_lead {
    uint16_t node;  /* + 1 of the lead there, 0 none */
    uint16_t owner; /* thing + 1, or thing_count + link + 1 */
} swi_lead;

/* What is counted; the cost is the sum of counts × weights. */
typedef struct swi_tally {
    int32_t overlap;  /* cells that two parts in each other's way share */
    int32_t adjacent; /* neighbouring leads of different nodes */
    int32_t open;     /* pieces of nodes above one each */
    int32_t spread;   /* rows and columns spanned by nodes in pieces */
    int32_t links;
    int32_t pitches;  /* of all links */
    int32_t beyond;   /* pitches of links beyond ten */
    int32_t runs;     /* of all nodes */
    int32_t used;     /* strips with leads; runs − used = cuts */
    int32_t copper;   /* pitches of strip between neighbouring leads of one node */
    int32_t soft;     /* wishes and neatness, thousandths of a hole */
} swi_tally;

typedef struct swi_weights {
    int32_t overlap, adjacent, open, spread, link, pitch, beyond, cut, copper; /* millionths */
    int32_t soft;                                                      /* for a thousandth of a hole */
} swi_weights;

typedef struct swi_place {
    int16_t row, col, shape; /* shape < 0: not on the board */
} swi_place;

/* Rows and columns from the first to before the last; all 0: not known. */
typedef struct swi_box {
    int16_t top, left, bottom, right;
} swi_box;

typedef struct swi_wire {
    uint16_t node; /* SWI_NO_NODE: a free slot */
    int16_t col, from, to;
    uint16_t next, before; /* of the same node; SWI_NO_LINK at the ends */
    uint32_t spare;
} swi_wire;

#define SWI_NO_NODE UINT16_MAX
#define SWI_NO_LINK UINT16_MAX

/* Eight bytes of the block as they were. */
typedef struct swi_undo {
    unsigned char *at;
    uint64_t old;
} swi_undo;

/* Union of runs: who belongs together, for one node at a time. */
typedef struct swi_web {
    uint32_t stamp;
    uint32_t count;
    uint32_t stamps[1024];
    uint32_t keys[1024];
    uint16_t slots[1024];
    uint16_t *parent;
    uint16_t *order;        /* links of a node, to break a cycle */
    uint32_t capacity;
} swi_web;

typedef struct swi_state {
    const swi_model *m;
    int rows, cols, words, pad, stride;
    bool knife;
    unsigned cut_mark; /* what holes[].node is where the board is cut already */
    sw_prefer style; /* what is sought: the preference, but for lanes that try another way */
    swi_weights weights;

    unsigned char *block;
    size_t block_size, block_room;
    swi_tally *tally;
    swi_place *places;      /* thing */
    int32_t *part_soft;     /* part: its share of soft */
    swi_lead *holes;        /* hole */
    uint64_t *leads;        /* strip masks: holes with leads */
    uint64_t *through, *gap, *end; /* strip masks: where links may not be (model.h) */
    uint64_t *mine;         /* node, strip masks: its leads */
    swi_pile *piles;        /* cell */
    int32_t *runs, *pieces, *spread; /* node */
    swi_box *boxes;         /* node: the smallest around its pins, while known */
    int32_t *spare;         /* node: links that join what is joined already */
    uint16_t *first_link, *link_count; /* node */
    swi_wire *links;
    uint16_t *free_links;   /* stack of free slots */
    uint32_t *free_count;
    uint16_t *open_list, *open_at; /* nodes in pieces; position + 1 of each node */
    uint32_t *open_count;
    uint32_t link_room;

    swi_undo *undo, *undo_top, *undo_end; /* the first, after the last, after its room */
    swi_tally tally_before; /* when the journal was begun: counted in more steps than words */
    uint16_t *dirty;
    uint32_t dirty_count;
    uint8_t *is_dirty;
    swi_web web;
    bool broken;            /* memory ran out: the state is of no more use */
    uint64_t moves;
} swi_state;

swi_state *swi_state_new(const swi_model *m);
void swi_state_free(swi_state *s);
/* An empty board of this size (fixed parts, keep-outs and links put on it); false
 * when memory is out or a fixed thing does not fit. */
bool swi_state_clear(swi_state *s, int rows, int cols);

void swi_part_put(swi_state *s, uint16_t part, swi_place place);
void swi_part_take(swi_state *s, uint16_t part);
/* Cells in which the part is in other parts' way there, or would be. */
int swi_part_overlap(const swi_state *s, uint16_t part, swi_place place);
/* The new link's slot.  The caller has seen that it is legal (swi_link_fits). */
uint16_t swi_link_put(swi_state *s, uint16_t node, int col, int from, int to);
void swi_link_take(swi_state *s, uint16_t link);
bool swi_link_fits(const swi_state *s, uint16_t node, int col, int from, int to);

/* Whether the link is one of these. */
static inline bool swi_is_among(const swi_fixed_link *links, uint32_t count, const swi_wire *l) {
    for (uint32_t i = 0; i < count; i++) {
        const swi_fixed_link *f = &links[i];
        if (f->node == l->node && f->col == l->col && f->from == l->from && f->to == l->to)
            return true;
    }
    return false;
}

/* A locked link of the kept plan. */
static inline bool swi_is_fixed(const swi_state *s, const swi_wire *l) {
    return swi_is_among(s->m->fixed_links, s->m->fixed_link_count, l);
}

/* Of a board that is built, fixed or not. */
static inline bool swi_is_kept(const swi_state *s, const swi_wire *l) {
    return swi_is_among(s->m->kept_links, s->m->kept_link_count, l);
}

/* Whether a link that is in a cell on row is in the way of what a form does there. */
static inline bool swi_in_the_way(const swi_wire *link, int row, unsigned flags) {
    return flags & SWI_CELL_THROUGH || (flags & SWI_CELL_GAP && link->to > row) ||
           (flags & SWI_CELL_END && (row == link->from || row == link->to));
}

/* Counts pieces of the nodes touched since; to be called before the cost is asked. */
void swi_settle(swi_state *s);
int64_t swi_cost(const swi_state *s);
/* Neither in the way, nor neighbours, nor open. */
static inline bool swi_legal(const swi_state *s) {
    return s->tally->overlap == 0 && s->tally->adjacent == 0 && s->tally->open == 0;
}

/* Forget how to go back; go back. */
static inline void swi_commit(swi_state *s) {
    s->undo_top = s->undo;
    s->tally_before = *s->tally;
}
void swi_revert(swi_state *s);

/* web.c */
/* Loads the node's runs that links and joined pins meet into s->web; rank of that
 * graph, and how many links join what is joined already. */
int swi_web_load(swi_state *s, uint16_t node, int *spare);
/* Number of the piece that a run belongs to, comparable until the next load. */
uint32_t swi_web_piece(const swi_state *s, uint32_t run);
/* Links of the node that join nothing are taken away. */
void swi_prune(swi_state *s, uint16_t node);

/* soft.c: wishes and neatness of one part where it stands, thousandths of a hole. */
int32_t swi_soft(const swi_state *s, uint16_t part);
/* The edge that a side of a part looks to; not for SW_FACE_NONE. */
sw_wish_kind swi_edge_of_face(sw_face face);
/* Pitches that the part is too far from the edge that a side of it must face. */
int swi_off_face(const swi_state *s, uint16_t part);
/* Pitches by which all wishes of the user together are not met, and parts too far from the
 * edge that they face. */
int32_t swi_unmet(const swi_state *s);

/* ---- what the inner loop asks of strips ---- */

static inline int swi_prev_bit(const uint64_t *w, int col) {
    int i = col >> 6;
    uint64_t x = w[i] & ((UINT64_C(1) << (col & 63)) - 1);
    while (!x) {
        if (--i < 0)
            return -1;
        x = w[i];
    }
    return i * 64 + 63 - __builtin_clzll(x);
}

static inline int swi_next_bit(const uint64_t *w, int words, int col) {
    int i = col >> 6;
    uint64_t x = w[i] & ((~UINT64_C(0) << (col & 63)) << 1);
    while (!x) {
        if (++i == words)
            return -1;
        x = w[i];
    }
    return i * 64 + __builtin_ctzll(x);
}

static inline uint64_t *swi_mine(const swi_state *s, uint16_t node, int row) {
    return s->mine + ((size_t)node * (size_t)s->rows + (size_t)row) * (size_t)s->words;
}

/* The nearest lead left of col on row that is of another node; -1 none. */
static inline int swi_prev_foreign(const swi_state *s, uint16_t node, int row, int col) {
    const uint64_t *all = s->leads + (size_t)row * (size_t)s->words, *own = swi_mine(s, node, row);
    int i = col >> 6;
    uint64_t x = all[i] & ~own[i] & ((UINT64_C(1) << (col & 63)) - 1);
    while (!x) {
        if (--i < 0)
            return -1;
        x = all[i] & ~own[i];
    }
    return i * 64 + 63 - __builtin_clzll(x);
}

/* The nearest one right of col; cols when there is none. */
static inline int swi_next_foreign(const swi_state *s, uint16_t node, int row, int col) {
    const uint64_t *all = s->leads + (size_t)row * (size_t)s->words, *own = swi_mine(s, node, row);
    int i = col >> 6;
    uint64_t x = all[i] & ~own[i] & ((~UINT64_C(0) << (col & 63)) << 1);
    while (!x) {
        if (++i == s->words)
            return s->cols;
        x = all[i] & ~own[i];
    }
    return i * 64 + __builtin_ctzll(x);
}

/* The run that a lead of the node at row, col is (or would be) of. */
static inline uint32_t swi_run(const swi_state *s, uint16_t node, int row, int col) {
    return (uint32_t)row * 1024u + (uint32_t)(swi_prev_foreign(s, node, row, col) + 1);
}

static inline size_t swi_hole(const swi_state *s, int row, int col) {
    return (size_t)row * (size_t)s->cols + (size_t)col;
}

static inline unsigned swi_things_in(const swi_pile *pile) {
    return pile->counts & 15u;
}

static inline size_t swi_cell_at(const swi_state *s, int row, int col) {
    return (size_t)(row + s->pad) * (size_t)s->stride + (size_t)(col + s->pad);
}

static inline const swi_shape *swi_shape_of(const swi_state *s, uint16_t part) {
    return &s->m->parts[part].shapes[s->places[part].shape];
}

#endif
