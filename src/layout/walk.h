/* src/layout/walk.h: a walk from plan to plan by random moves (annealing).
 *
 * A walk has a state, a window outside which nothing is touched, the parts that are
 * movable in it, and a heat.  Each move draws the most that it may cost first (the
 * heat times −ln of a random number), so that a move that is bound to cost more
 * is given up before anything is changed.
 */
#ifndef SWI_WALK_H
#define SWI_WALK_H

#include <stdatomic.h>
#include "wiring.h"

/* Places where a search looks whether it should stop; each is tested by name. */
#define SWI_POLLS(X) X(ANNEAL, "anneal") X(SQUEEZE, "squeeze") X(CHASE, "chase") X(FORCE, "force") X(TIDY, "tidy") X(NEAT, "neat") X(LANE, "lane")
typedef enum swi_poll {
#define X(name, text) SWI_POLL_##name,
    SWI_POLLS(X)
#undef X
    SWI_POLL_COUNT
} swi_poll;

/* Shared by all lanes of a search. */
typedef struct swi_stop {
    atomic_bool asked;
    atomic_uint_fast64_t polls[SWI_POLL_COUNT]; /* how often each place was passed */
    int test_poll;          /* tests: stop at this place … */
    uint64_t test_after;    /* … after so many passes; 0: never */
} swi_stop;

/* Kinds of moves: four of parts alone, four of links, two of parts and links. */
enum { SWI_MOVES_OF_PARTS = 4, SWI_MOVES = 10 };

typedef struct swi_walk {
    swi_state *s;
    swi_rng rng;
    swi_window window;
    swi_stop *stop;
    uint16_t *parts;     /* movable in the window */
    int part_count;
    int64_t heat;        /* millionths */
    int64_t cost;
    int range;           /* rows and columns that a part is displaced at most */
    bool links;          /* whether links are made */
    int misses;          /* tries of squeezing in a row that won nothing */
    bool neat;           /* neatness counts, and its moves are made */
    uint16_t weights[SWI_MOVES]; /* running sums of the moves' frequencies */
    struct swi_sketch *spare[2]; /* for chasing and squeezing */
    int16_t *seam;       /* a column for each row */
    int32_t *grid;       /* rows × cols, twice; grows */
    size_t grid_room;
} swi_walk;

/* parts[] has room for all parts. */
swi_walk *swi_walk_new(const swi_model *m, uint64_t seed, swi_stop *stop);
void swi_walk_free(swi_walk *w);
bool swi_stopped(swi_stop *stop, swi_poll poll);

void swi_walk_window(swi_walk *w, int first, int last, int top, int bottom);
void swi_walk_whole(swi_walk *w);

/* Moves by the thousand, cooling from hot to cold; until_legal ends it early.  False when
 * asked to stop. */
bool swi_anneal(swi_walk *w, int64_t moves, int32_t hot, int32_t cold, bool until_legal);
/* One random move. */
void swi_move(swi_walk *w);

/* shift.c: tries parts at new places, mends links around, and keeps the change if
 * the cost stays within limit. */
bool swi_shift(swi_walk *w, int count, const uint16_t *parts, const swi_place *places, int64_t limit);
/* The most that the cost may be after the next move. */
int64_t swi_limit(swi_walk *w);
/* Keeps what was done if the cost is within limit, else goes back. */
bool swi_judge(swi_walk *w, int64_t limit);
/* Links that pieces of the node want, from the leads of a part (or from anywhere). */
void swi_mend_node(swi_walk *w, uint16_t node, uint16_t part);

/* link moves (linkmoves.c) */
void swi_move_link_random(swi_walk *w);
void swi_move_link_short(swi_walk *w);
void swi_move_link_delete(swi_walk *w);
void swi_move_route(swi_walk *w);
/* fit.c: a part, or two that are near each other, put where both leads are on their nodes. */
void swi_move_fit(swi_walk *w);
void swi_move_fit_two(swi_walk *w);

#endif
