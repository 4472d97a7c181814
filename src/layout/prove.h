/* src/layout/prove.h: shows that no smaller plan exists.
 *
 * A board size is turned into clauses that every legal plan of that size meets; when a
 * SAT solver finds no way to meet them all, no legal plan of that size exists.  Only
 * what every legal plan can be made to meet is stated, so a refutation never depends on a
 * clause that was left out:
 *
 *   stand     each part stands in one of its ways, clear of the others;
 *   label     holes whose copper is used have one node, neighbours on a strip the same one: a cut
 *             is wherever no label is, so cuts have no variables;
 *   link      a column's holes are joined to the next ones or not: a link is a run of such
 *             joints, and both its ends are labelled with its node; kept ones are there;
 *   cross     when a node has leads on both sides of a line between two columns, some
 *             strip carries it across; of a line between two strips, some link does;
 *   support   a lead whose node has leads on other strips is on a run of holes with a link's end;
 *   count     no more nodes pass a line between two columns than there are strips; between two
 *             strips, nodes that pass and parts that shut the line take a column each;
 *   join      added only when the solver's answer leaves a node in pieces: when a lead
 *             of the node is in the set of holes of one piece and another lead is not,
 *             something of that node leads out of the set.
 *
 * The last kind is true of every plan, not only of the one that called for it.
 */
#ifndef SWI_PROVE_H
#define SWI_PROVE_H

#include "boards.h"
#include "sketch.h"

typedef struct swi_prover swi_prover;

typedef enum swi_verdict {
    SWI_REFUTED,   /* no legal plan of this size */
    SWI_FOUND,     /* the sketch is one, as far as the clauses tell */
    SWI_UNDECIDED, /* the budget is spent */
    SWI_NO_MEMORY
} swi_verdict;

/* false when the build has no solver. */
bool swi_prover_there(void);
/* Parts that are tied to places, the first ones of an order. */
typedef struct swi_cube {
    const uint16_t *order;    /* all parts, the largest first */
    swi_place *places;        /* of the first `depth` of them; room for all */
    int depth;
    bool half;                /* of plans that are each other turned by half a turn only one */
} swi_cube;

/* prove_cube.c: */
void swi_prove_order(const swi_model *m, uint16_t *order);
/* A plan turned by half a turn is a plan: when every part may be turned so and nothing is tied
 * to a place. */
bool swi_prove_half_turn(const swi_model *m);
bool swi_cube_allows(const swi_model *m, const swi_cube *cube, uint16_t part, swi_place place);

/* A size, and how far it is asked about. */
typedef struct swi_quest {
    const swi_model *m;
    swi_size size;
    swi_cube cube;            /* the next one to be asked about; at first none is tied */
} swi_quest;

/* Goes on asking with about so many conflicts (lowered by what was spent; the answer is the same on
 * any machine).  stop: asked now and then, ends it. */
swi_verdict swi_quest_ask(swi_quest *q, int64_t *conflicts, bool (*stop)(void *user), void *user, swi_sketch *found);

/* prove_solve.c: the clauses for a board, parts standing as the cube allows; NULL when memory
 * is out or the question is too large (some million clauses). */
swi_prover *swi_prover_new(const swi_model *m, swi_size size, const swi_cube *cube);
void swi_prover_free(swi_prover *p);
/* Asks for a plan, joining what is left in pieces, with so many conflicts at most
 * (*conflicts is lowered by what was spent; tallied in solver calls of fixed size, so
 * the answer is the same on any machine).  stop: asked between calls. */
swi_verdict swi_prover_run(swi_prover *p, int64_t *conflicts, bool (*stop)(void *user), void *user, swi_sketch *found);
/* Ties the plan to a known sketch: the clauses must accept it, or no refutation counts. */
void swi_prover_fix(swi_prover *p, const swi_sketch *known);

/* ---- between the files of the prover ---- */

/* One place of one part; what it covers: its form at the place, shared with the stands
 * that differ only in which pin is where. */
typedef struct swi_stand {
    swi_place place;
    int var, cover;
} swi_stand;

typedef struct swi_cover {
    uint16_t form;
    int16_t row, col;
    int var;
} swi_cover;

struct swi_prover {
    const swi_model *m;
    const swi_cube *cube;
    int rows, cols, holes, vars;
    void *solver;
    int64_t clauses;
    bool failed;
    swi_stand **stands;       /* of each part */
    uint32_t *stand_counts;
    swi_cover **covers;       /* of each part */
    uint32_t *cover_counts;
    int *through, *gap, *end; /* of each hole: links kept from it by what stands */
    int *lead;                /* holes × nodes: a lead of the node is there */
    int *label;               /* holes × nodes */
    int *carry;               /* (hole to the one right of it) × nodes: both of this node */
    int *joint;               /* hole to the one below: a link passes or joins */
    int *of_node;             /* joints × nodes: that link carries the node */
    int *ends;                /* holes × nodes: a link's end is there */
    int *spans;               /* (hole, strip below it) × nodes: a whole link; 0 not asked for yet */
    int *before_col, *after_col, *before_row, *after_row; /* (node, line): leads on that side */
    swi_arena *arena;
};

int swi_prove_var(swi_prover *p);
int *swi_prove_vars(swi_prover *p, size_t count);
/* One clause of n literals; 0 literals are left out. */
void swi_prove_clause(swi_prover *p, const int *literals, size_t n);
#define SWI_CLAUSE(p, ...) \
    swi_prove_clause((p), (const int[]){__VA_ARGS__}, sizeof((const int[]){__VA_ARGS__}) / sizeof(int))
/* A clause literal by literal, closed with 0. */
void swi_prove_add(swi_prover *p, int literal);
bool swi_prove_value(const swi_prover *p, int var);

static inline int swi_prove_hole(const swi_prover *p, int row, int col) { return row * p->cols + col; }
static inline int swi_prove_of(const swi_prover *p, const int *vars, int hole, int node) {
    return vars[hole * p->m->node_count + node];
}
static inline int swi_prove_line(const swi_prover *p, const int *vars, int node, int line) {
    return vars[node * (p->rows > p->cols ? p->rows : p->cols) + line];
}
/* Nodes of one lead need no copper. */
static inline bool swi_prove_wired(const swi_prover *p, int node) { return p->m->nodes[node].pin_count > 1; }

/* prove_stand.c: where parts stand; prove_wire.c: what copper and links do; prove_count.c: how
 * much room there is for it. */
void swi_prove_stands(swi_prover *p);
void swi_prove_wires(swi_prover *p);
void swi_prove_counts(swi_prover *p);
/* The variable of the link in column col between two strips with that node. */
int swi_prove_span(swi_prover *p, int col, int from, int to, int node);
/* prove_join.c: adds clauses for nodes that the solver's answer leaves in pieces: how many,
 * -1 when memory is out. */
int swi_prove_joins(swi_prover *p);
/* The solver's answer as a sketch, without links that it does not need; false when memory
 * is out. */
bool swi_prove_read(swi_prover *p, swi_sketch *found);

#endif
