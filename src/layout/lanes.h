/* src/layout/lanes.h: several walks, side by side, the best of them taken.
 *
 * A lane is a search of its own with a seed of its own and a budget of moves.  Lanes
 * run in rounds; after each the better half goes on with twice the moves.  What a
 * lane does depends on its seed alone and lanes meet only between rounds, so the
 * number of workers does not change the plan.  Where the limits are missed by little, all
 * lanes begin again.
 *
 * With a cap in seconds each round has its share of them, too, and each lane its share of
 * the round: a slow machine then makes all rounds with fewer moves, not the first one only.
 * In the first round half of a lane's moves is the least: fewer lanes have a turn then.
 * What a lane does depends on the clock then.
 */
#ifndef SWI_LANES_H
#define SWI_LANES_H

#include <pthread.h>
#include "sketch.h"

typedef struct swi_lane {
    int number;
    swi_walk *walk;
    bool begun;            /* now holds a plan, perhaps larger than the limits allow */
    swi_sketch *now;       /* wanders */
    swi_sketch *best;      /* legal and within the limits, once best->legal */
    uint64_t budget;       /* moves at which this round ends */
    double until;          /* seconds at which it ends with fewer moves; 0: no cap */
    uint64_t least;        /* moves before which it does not */
    uint64_t began;        /* moves at which it began */
    atomic_int stage;
    atomic_int turn;       /* thousandths of its turn in this round that are done, for the watch */
} swi_lane;

typedef struct swi_lanes {
    const swi_model *m;
    swi_stop stop;
    swi_lane *lanes;       /* in order of number */
    int count;
    int16_t *order;        /* lanes that go on, best first */
    int running;           /* how many of them */
    atomic_int next;       /* of order: to be taken by a worker */
    int busy;              /* workers at work */
    pthread_mutex_t lock;
    pthread_cond_t done;
    swi_tally best_tally;  /* under lock: best legal so far, for the watch */
    int best_rows, best_cols;
    int64_t best_merit;
    bool has_best;
    uint64_t planned;      /* moves of all rounds */
    int round, rounds;
    int again;             /* how often all lanes have begun again */
    double round_end;      /* seconds; 0: no cap */
    atomic_bool cut;       /* a lane's share of the time was less than its moves take */
    bool stopped, by_watch;
    bool tidying;          /* the last round: the best lane tidies */
    const swi_sketch *from; /* every lane starts here; or NULL */
} swi_lanes;

/* Who may stop a search, and where tests do. */
typedef struct swi_asked {
    sw_layout_watch watch;
    void *user;
    int test_poll;
    uint64_t test_after;
    double from, to;       /* where searches follow one another: the part of the whole that this one is;
                              to = 0: all */
} swi_asked;

/* layout.c: sw_layout with other tuning; report is not NULL. */
sw_status swi_layout(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                     const swi_params *params, swi_asked *asked, sw_diags *diags, sw_plan **out, sw_layout_report *report);

/* layout.c: asks an swi_asked, telling it the share of the whole that is done. */
bool swi_on_watch(void *user, const sw_layout_progress *progress);

/* Runs all rounds; the best lane's sketch, or NULL when none is legal. */
const swi_sketch *swi_lanes_run(swi_lanes *l, sw_layout_watch watch, void *user);
swi_lanes *swi_lanes_new(const swi_model *m);
/* So many lanes, with so many moves together, whatever the effort. */
swi_lanes *swi_lanes_few(const swi_model *m, int count, uint64_t moves);
/* Moves of a search of the effort asked for. */
uint64_t swi_planned_moves(const swi_model *m);
void swi_lanes_free(swi_lanes *l);
uint64_t swi_lanes_moves(const swi_lanes *l);
/* Seconds since the search began, by the clock that does not jump. */
double swi_seconds(void);

#endif
