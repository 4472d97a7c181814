/* src/layout/model.h: the circuit as the search sees it.
 *
 * Everything that does not change while plans are tried: nodes as small numbers,
 * parts with all the ways each may stand (a shape: package, turn, span), and what
 * a shape covers.  Positions are whole pitches.  A part's position is its anchor:
 * the top left corner of the rectangle around its leads; leads, cells and
 * outlines of a shape are relative to it.
 *
 * Room is judged exactly as src/board/README.md states it, but worked out once:
 *   - a form is the geometry of a shape without its pin numbers (a resistor turned
 *     by 180 degrees has the same form);
 *   - for each pair of forms a table says at which offsets one is in the other's way;
 *   - a form's cells are the squares of one pitch around holes that it touches: two
 *     forms in each other's way always share a cell, so only things in the same
 *     cell are looked up.  Flags of a cell say what a form does to links there.
 *
 * A margin is taken off at the start and added when the plan is written, so the
 * search knows only the holes that may be used.
 */
#ifndef SWI_MODEL_H
#define SWI_MODEL_H

#include <stripwright/layout.h>
#include "base/arena.h"
#include "params.h"

enum {
    SWI_CELL_THROUGH = 1, /* a link may not pass or end at this hole */
    SWI_CELL_GAP = 2,     /* a link may not pass from this hole to the one below */
    SWI_CELL_END = 4      /* a link may not end at this hole */
};

/* Greatest board in holes each way, as sw_limits states it. */
#define SWI_MOST_SIDE 500
#define SWI_NO_KIND UINT16_MAX

typedef struct swi_cell {
    int16_t row, col;
    uint8_t flags;
} swi_cell;

/* One outline in mm: a rectangle x0 … x1, y0 … y1, or a disc with its centre at
 * x0, y0 and radius x1. */
typedef struct swi_outline {
    double x0, y0, x1, y1;
    bool disc;
    bool body;
} swi_outline;

typedef struct swi_form {
    const swi_outline *outlines;
    const swi_cell *cells;
    uint32_t outline_count, cell_count;
    int16_t under_first, under_last; /* columns between which links pass beneath the body;
                                        first > last: none */
} swi_form;

/* Offsets at which two forms are in each other's way: a byte each in model->clash
 * for rows first_row … and columns first_col … of the second less the first. */
typedef struct swi_pair {
    int16_t first_row, first_col;
    uint16_t rows, cols;
    uint32_t at;
} swi_pair;

/* One way a part may stand. */
typedef struct swi_shape {
    const sw_package *package;
    uint16_t turn, span;
    uint16_t form;
    int16_t rows, cols;   /* last row and column of its leads */
    int32_t bend;         /* pitches longer or shorter than usual */
    sw_face face;         /* where a side is that must be got at */
    int16_t face_reach;   /* how far from that edge its leads may be, pitches, for the body to
                             be within a pitch of it */
    const sw_offset *leads; /* of each pin */
} swi_shape;

typedef struct swi_part {
    uint32_t part;        /* index in the circuit */
    const uint16_t *node; /* of each pin */
    const swi_shape *shapes;
    uint16_t pin_count, shape_count;
    int16_t fixed_row, fixed_col, fixed_shape; /* fixed_shape < 0: free */
    int16_t home_row, home_col, home_shape; /* where it is on a board that is built; home_shape < 0: nowhere */
    bool terminal, pair, adjuster;
    uint8_t plus;         /* of two pins that must not be swapped: 1 + the positive one; or 0 */
    uint16_t kind;        /* the first part of the same package; SWI_NO_KIND: it is the only one */
    uint8_t edge;         /* 1 + sw_wish_kind of an edge that was asked for, or 0 */
    uint16_t first_bond, bond_count; /* wishes that tie it to other parts */
} swi_part;

/* Two pins of one part that its package joins inside. */
typedef struct swi_join {
    uint16_t part, pin_a, pin_b;
} swi_join;

typedef struct swi_node_pin {
    uint16_t part, pin;
} swi_node_pin;

typedef struct swi_node {
    uint32_t first_pin, pin_count;   /* in node_pins */
    uint32_t first_join, join_count; /* in joins */
} swi_node;

/* What ties two parts, seen from one of them. */
typedef struct swi_bond {
    uint16_t other;
    int16_t pin, other_pin; /* the lead that it is about; < 0: all of the part */
    int16_t pitches;  /* at most, or apart: at least */
    int32_t weight;   /* thousandths of a hole for each pitch that fails */
    bool apart;
    bool wish;        /* asked for by the user */
} swi_bond;

/* A link of the kept plan that stays. */
typedef struct swi_fixed_link {
    uint16_t node;
    int16_t col, from, to;
} swi_fixed_link;

typedef struct swi_model {
    const sw_circuit *circuit;
    const sw_library *library;
    const sw_layout_options *options;
    swi_params params;
    uint16_t part_count, node_count, form_count;
    uint16_t thing_count;      /* parts, then holes of keep-outs: both have forms and cells */
    uint32_t pin_count;
    uint32_t body_cells;       /* cells that parts cover in their usual shapes */
    int16_t tallest, widest;   /* least strips, columns any part needs, less one */
    int16_t reach;             /* cells that a form may stick out beyond its leads */
    int16_t longest_link;
    int16_t most_rows, most_cols; /* limits within the margin */
    bool fixed_size;
    bool has_fixed;            /* parts, links or keep-outs tied to their holes */
    int16_t fixed_rows, fixed_cols; /* that locked parts and links reach over; 0: none */
    uint16_t *by_rank;         /* parts, those with most leads first */
    swi_part *parts;           /* thing_count; keep-outs have no pins and one shape */
    swi_node *nodes;
    swi_node_pin *node_pins;
    swi_join *joins;
    swi_bond *bonds;
    swi_fixed_link *fixed_links;
    uint32_t fixed_link_count;
    swi_fixed_link *kept_links; /* all links of a board that is built, fixed or not */
    uint32_t kept_link_count;
    bool has_cuts;             /* of a board that is built: things behind the keep-outs, each a lead of
                                  the node behind the copper under screws, that needs no cut beside it */
    swi_form *forms;
    const swi_cell *link_cells; /* of the longest link, from its upper end on */
    swi_pair *pairs;           /* form_count × form_count */
    uint8_t *clash;
    swi_arena *arena;
} swi_model;

/* Nodes of no circuit: copper under screws, and holes that are cut already. */
static inline uint16_t swi_screw_node(const swi_model *m) {
    return m->node_count;
}
static inline uint16_t swi_cut_node(const swi_model *m) {
    return (uint16_t)(m->node_count + 1);
}
enum { SWI_NODES_BESIDE = 2 };

/* Whether what the kept plan marks as locked, or does not, stays where it is. */
static inline bool swi_stays(const swi_model *m, bool locked) {
    return locked || m->options->built;
}

/* ---- fixed.c ---- */
/* SW_NO_PLAN (reported) when what is locked cannot stay where it is. */
sw_status swi_fixed_allow(const swi_model *m, sw_diags *diags);

/* NULL when memory is out or the circuit cannot be laid out (reported; status says
 * which).  circuit, library and options must outlive it. */
swi_model *swi_model_new(const sw_circuit *circuit, const sw_library *library,
                         const sw_layout_options *options, const swi_params *params, sw_diags *diags,
                         sw_status *status);
void swi_model_free(swi_model *model);

/* loosen.c: on a board that is built these parts may go elsewhere, all others stay; with links also the links of
 * nodes that such or new parts are on. */
void swi_model_loosen(swi_model *m, const uint16_t *parts, int count, bool links);

/* geometry.c: the depth, in mm, to which two outlines overlap; the second is moved
 * by x, y first. */
bool swi_outlines_clash(const swi_outline *a, const swi_outline *b, double x, double y);
/* Whether the point is so deep within that no other outline can have it as deep. */
bool swi_outline_holds(const swi_outline *o, double x, double y);
/* Fills cells and flags of a form from its outlines. */
bool swi_form_cells(swi_form *form, swi_arena *arena);
/* neat.c: notes plus, adjuster and kind of each part. */
void swi_model_neat(swi_model *model);
/* pairs.c: fills model->pairs and clash. */
bool swi_model_pairs(swi_model *model);
/* shapes.c: the ways a part may stand.  For a part that the kept plan or the starting plan
 * has on the board, the way it stands there is among them; stands (may be NULL) tells
 * where the kept plan has it when it is locked. */
bool swi_model_shapes(swi_model *model, uint16_t part);
/* Adds things for a keep-out, one a hole. */
bool swi_model_keep_out(swi_model *model, const sw_keep_out *keep_out);
/* Adds a thing for a hole that is cut on the board already. */
bool swi_model_cut(swi_model *model, int row, int col);
/* Where the plan has a part: anchor and index of its shape; false when the part is not
 * (whole) on that plan or stands as no package allows. */
bool swi_plan_stands(const swi_model *model, uint16_t part, const sw_plan *plan, int16_t *row,
                     int16_t *col, int16_t *shape);

/* So many parts that a walk over all of them takes a second: tuned apart. */
static inline bool swi_is_large(const swi_model *m) {
    enum { MANY_PARTS = 150 };
    return m->part_count > MANY_PARTS;
}

/* Columns to each side of a wound, most. */
static inline int swi_window_most(const swi_model *m) {
    return swi_is_large(m) ? m->params.window_most_large : m->params.window_most;
}

/* Whether forms a and b are in each other's way when b's anchor is row, col from a's. */
static inline bool swi_clash(const swi_model *m, uint16_t a, uint16_t b, int row, int col) {
    const swi_pair *pair = &m->pairs[(uint32_t)a * m->form_count + b];
    unsigned r = (unsigned)(row - pair->first_row), c = (unsigned)(col - pair->first_col);
    return r < pair->rows && c < pair->cols && m->clash[pair->at + r * pair->cols + c];
}

#endif
