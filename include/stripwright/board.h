/* stripwright/board.h: a plan on copper, its check and what it costs.
 *
 * Model.  A plan is a board of strips × columns with parts whose leads stand in
 * holes, cuts and links.  It holds what a person drew or a search found, legal or
 * not; it knows parts by reference and pins by number, as text, so it can be
 * read without the circuit.  Strips and columns count from 0 here and are shown
 * as A, B, … Z, AA, … and 1, 2, … .
 *
 * sw_check judges a plan from the geometry alone: strips, cuts and links become
 * copper, copper becomes nodes, and these are compared with the circuit.
 */
#ifndef STRIPWRIGHT_BOARD_H
#define STRIPWRIGHT_BOARD_H

#include <stripwright/circuit.h>

typedef struct sw_hole { int16_t strip, column; } sw_hole; /* from 0; -1,-1 none */

typedef struct sw_plan_node {
    uint32_t number;
    const char *name;
    sw_rail rail;
    bool unused;             /* a pin that connects to nothing */
} sw_plan_node;

typedef struct sw_plan_lead {
    const char *pin;
    uint32_t node;           /* number; 0: not stated, to be derived from the circuit */
    sw_hole hole;
    sw_span span;
} sw_plan_lead;

typedef struct sw_plan_part {
    const char *ref, *value, *device, *package;
    int16_t turn;            /* 0 90 180 270; -1: not stated, to be derived from the leads */
    bool locked;
    uint32_t first_lead, lead_count; /* leads[first_lead …] */
    sw_span span;
} sw_plan_part;

typedef struct sw_cut {
    sw_hole hole;            /* the lost hole; a knife cut: the hole left of the cut */
    bool knife;              /* between hole and the next column's hole of the same strip */
    bool asked;              /* wanted by the user even if it separates nothing */
    sw_span span;
} sw_cut;

typedef struct sw_link {
    uint32_t node;           /* 0: not stated */
    sw_hole from, to;        /* same column when legal */
    bool sleeved, locked;
    sw_span span;
} sw_link;

typedef struct sw_keep_out { sw_hole from, to; const char *why; sw_span span; } sw_keep_out;

/* Something of a foreign XML namespace that was read and is written back. */
typedef struct sw_foreign { const char *owner; /* element path, e.g. "part R1" */ const char *xml; bool attribute; } sw_foreign;

typedef struct sw_plan {
    const char *title, *circuit_file, *circuit_sha256;
    int16_t strips, columns, margin;
    uint32_t node_count, part_count, lead_count, cut_count, link_count, keep_out_count, foreign_count;
    sw_plan_node *nodes;
    sw_plan_part *parts;
    sw_plan_lead *leads;
    sw_cut *cuts;
    sw_link *links;
    sw_keep_out *keep_outs;
    sw_foreign *foreign;
    struct swi_plan_memory *memory; /* owns everything */
} sw_plan;

SW_API sw_plan *sw_plan_new(void);
SW_API void sw_plan_free(sw_plan *plan);
SW_API sw_plan *sw_plan_copy(const sw_plan *plan);
/* Text copied into the plan; NULL when memory is out. */
SW_API const char *sw_plan_text(sw_plan *plan, const char *text);
/* Add one object (text must belong to the plan); false when memory is out.
 * A lead belongs to the part added last. */
SW_API bool sw_plan_add_node(sw_plan *plan, sw_plan_node node);
SW_API bool sw_plan_add_part(sw_plan *plan, sw_plan_part part);
SW_API bool sw_plan_add_lead(sw_plan *plan, sw_plan_lead lead);
SW_API bool sw_plan_add_cut(sw_plan *plan, sw_cut cut);
SW_API bool sw_plan_add_link(sw_plan *plan, sw_link link);
SW_API bool sw_plan_add_keep_out(sw_plan *plan, sw_keep_out keep_out);
SW_API bool sw_plan_add_foreign(sw_plan *plan, sw_foreign foreign);
/* Says in the plan which circuit it was made from: the input's file name without its
 * folders, and the SHA-256 of its bytes (FIPS 180-4).  false when memory is out. */
SW_API bool sw_plan_from_input(sw_plan *plan, const sw_input *input);
/* Sorts parts (natural order; their leads by the order they were added), cuts
 * (strip, column), links (column, strip; from above to): one plan, one form. */
SW_API bool sw_plan_normalise(sw_plan *plan);
/* Fills what a hand-typed plan left out from the circuit: node numbers, values,
 * packages, turns, the node table.  A part whose leads stand as its package never has them,
 * but as it has them stood upright, gets that package (sw_library_upright). */
SW_API void sw_plan_complete(sw_plan *plan, const sw_circuit *fitted, const sw_library *library);

/* "C12" to a hole and back; AA follows Z.  read: length of the text used, 0 when
 * it is no hole.  write: at most 11 characters and a NUL into out. */
SW_API size_t sw_hole_read(const char *text, sw_hole *hole);
SW_API void sw_hole_write(sw_hole hole, char out[12]);
SW_API void sw_strip_write(int strip, char out[8]); /* "A", "AB" */

/* ---- copper ---- */

/* Segments of the board: maximal runs of uncut holes, found strip by strip from
 * the left. */
typedef struct sw_segment {
    int16_t strip, first, last; /* columns */
    uint32_t copper;         /* number of its piece of copper: segments joined by links
                                and by pins joined inside a package share it */
    uint32_t node;           /* node number when exactly one node has leads on its copper,
                                else 0 */
    bool used;               /* has a lead or a link end */
} sw_segment;
typedef struct sw_copper {
    uint32_t segment_count, copper_count;
    sw_segment *segments;
    uint32_t *at;            /* strips × columns: index of the segment of each hole, or
                                SW_NONE at a cut */
} sw_copper;
/* NULL when memory is out.  library may be NULL (then no joined pins). */
SW_API sw_copper *sw_copper_new(const sw_plan *plan, const sw_library *library);
SW_API void sw_copper_free(sw_copper *copper);
/* SW_NONE off the board or at a cut. */
SW_API uint32_t sw_copper_segment(const sw_copper *copper, const sw_plan *plan, sw_hole hole);

/* ---- check ---- */

/* One change of a plan, for programs: what `fault.mend` says in words.  The holes
 * a and b mean: */
typedef enum sw_mend_kind {
    SW_MEND_NONE,
    SW_MEND_CUT,             /* cut at a */
    SW_MEND_KNIFE,           /* knife cut between a and the hole right of it */
    SW_MEND_UNCUT,           /* take the cut at a away (join the copper again) */
    SW_MEND_UNKNIFE,         /* take the knife cut right of a away */
    SW_MEND_MOVE_CUT,        /* the cut at a goes to b */
    SW_MEND_LINK,            /* link from a to b */
    SW_MEND_UNLINK,          /* take the link from a to b away */
    SW_MEND_MOVE_LINK,       /* the link from a to b goes to c, d */
    SW_MEND_PLACE,           /* part `ref` stands with its package's first pin at a, turned
                                by `turn`, a bendable one with `span`: moved, turned, its
                                leads swapped, or fitted when it was not on the board */
    SW_MEND_STATE_TURN,      /* state `turn` for part `ref`: its leads stand so */
    SW_MEND_TAKE_LEAD,       /* take away the lead of `pin` of `ref` at a */
    SW_MEND_TAKE_PART        /* take away part `ref` (the second one when it is doubled) */
} sw_mend_kind;
typedef struct sw_mend {
    sw_mend_kind kind;
    sw_hole a, b, c, d;
    const char *ref, *pin;   /* "" none */
    int16_t turn;
    uint16_t span;
} sw_mend;

/* Which of the physical rules a fault breaks; the diagnostics' ids say more. */
typedef struct sw_fault {
    sw_diag_id id;
    sw_severity severity;
    sw_hole at, to;          /* where; to -1,-1 when it is one hole */
    uint32_t node_a, node_b; /* 0 none */
    const char *ref;         /* "" none */
    const char *pin;         /* "" none */
    const char *text;        /* the finding as a person would say it */
    const char *mend;        /* smallest mend as a sentence, "" when none is known */
    sw_mend fix;             /* the same, to be applied */
} sw_fault;
typedef struct sw_check_report {
    uint32_t fault_count;    /* at most 10000 are kept */
    uint32_t error_count;    /* all */
    sw_fault *faults;
    struct swi_arena *memory;
} sw_check_report;

/* Checks the plan against the fitted circuit by the rules that src/board/README.md
 * states to the last tenth of a millimetre; every fault goes to the sink (with
 * the plan's spans) and, when report is not NULL, into it.  SW_OK when there is
 * no error (notes and warnings are), SW_FINDINGS when there is, SW_SYSTEM when memory is
 * out.  With circuit NULL the nodes stated in the plan itself are taken as the circuit.
 * library NULL: packages are those that the circuit was fitted with.  diags may be
 * NULL; with report NULL too nothing is put in words and no mend is looked for, which
 * is quick. */
SW_API sw_status sw_check(const sw_plan *plan, const sw_circuit *fitted, const sw_library *library,
                          sw_diags *diags, sw_check_report **report);
SW_API void sw_check_report_free(sw_check_report *report);

/* Applies a mend to the plan: false (and the plan as it was) when what it speaks of is
 * not there or memory is out.  fitted and library as in sw_check: they tell where the leads
 * of a placed part go.  Text of the mend is copied into the plan. */
SW_API bool sw_plan_apply_mend(sw_plan *plan, const sw_mend *mend, const sw_circuit *fitted,
                               const sw_library *library);

/* ---- what a plan costs ---- */

typedef struct sw_cost {
    int32_t strips, columns, area;  /* area in holes */
    int32_t links, cuts;
    int32_t link_pitches;           /* sum of link lengths */
    int32_t bend_pitches;           /* sum over bendable parts of |span − usual| */
    int32_t long_pitches;           /* sum over links of pitches beyond 10 */
    double balanced;                /* area + 2 links + ½ cuts + bend + long, hole-equivalents */
} sw_cost;
/* library may be NULL: then nothing is known to be bendable. */
SW_API void sw_plan_cost(const sw_plan *plan, const sw_library *library, sw_cost *cost);

/* ---- how neat a plan is ---- */

#define SW_DECOUPLED_PITCHES 4 /* common practice */

/* Counts: so many of so many.  None of it is a matter of legality, nor of cost.
 * A part's frame is the rectangle around its leads. */
typedef struct sw_neatness {
    /* Cuts between the rows of ICs (DIPs standing across): those in the column of the IC in
     * which most are; all.  Knife cuts are left out. */
    int32_t cuts_in_line, cuts_under;
    /* Parts of two or more leads of which there is another of the same package: those
     * whose frame has its top, bottom, left or right on one line with that of two others
     * of the package that lie the same way (of one, where there are but two); all. */
    int32_t in_line, of_a_kind;
    /* Two-lead parts that must not be swapped (diodes, electrolytic capacitors): those whose
     * positive end points the way that most do (up, down, left or right); all. */
    int32_t one_way, polarised;
    /* Terminal pins and connectors (sw_package_takes_wires): those in the first or last column
     * within the margin, of what has a face those that are at the edge it looks to; all. */
    int32_t at_sides, terminals;
    /* Pitches (along and across the strips) between the nearest terminal leads of the
     * positive rail and of ground; -1 when one of them has none. */
    int32_t supply_apart;
    /* Adjusters and push buttons (packages TRIM-* and BUTTON-*, and what else has a face): those
     * that a screwdriver or finger reaches, which is when no higher bodies are within a pitch
     * of the body on two opposite sides; with a face (a trimmer turned from the side) when
     * that side is within a pitch of the board's edge, the margin left out; all. */
    int32_t in_reach, adjusters;
    /* Capacitors that belong beside a supply pin of an IC (sw_circuit_decoupled): those whose
     * frame is within SW_DECOUPLED_PITCHES of its hole, along and across the strips; all. */
    int32_t by_ic, decoupling;
    /* The sum of the six firsts as per cent of the sum of the six seconds; 100 when
     * there is nothing that could be untidy. */
    double tidy;
    /* Mirror symmetry about the board's middle, left to right or top to bottom, whichever
     * is more, per cent: the mean over all parts of how well the body's outline (its box) and
     * the mirror image of a body cover each other: common area / area of both together,
     * with the image that does best.  A part on the middle line is its own image. */
    double symmetry;
    bool top_to_bottom;      /* the symmetry is about the middle strip, not column */
} sw_neatness;
/* fitted may be NULL: then what is polarised and what is a terminal is told by references
 * and packages.  false when memory is out. */
SW_API bool sw_plan_neatness(const sw_plan *plan, const sw_circuit *fitted, const sw_library *library,
                             sw_neatness *neatness);
/* In words, what there is none of left out: "cuts in line 6 of 7, polarised one way 3 of
 * 4, supply pins together; tidy 81 %, symmetry 34 % left to right". */
SW_API void sw_neatness_write(const sw_neatness *neatness, sw_buf *out);

/* ---- two plans of the same circuit, or of two revisions ---- */

typedef enum sw_plan_change {
    SW_PLAN_MOVED,           /* another place, turn or span */
    SW_PLAN_ADDED,           /* only in the second plan */
    SW_PLAN_GONE             /* only in the first */
} sw_plan_change;
typedef struct sw_plan_move {
    sw_plan_change change;
    const char *ref;
    sw_hole was, is;         /* of the first pin's lead; -1,-1 where the part is not */
    int16_t strips, columns; /* MOVED: how far, positive down and to the right */
    int16_t was_turn, is_turn; /* as stated */
    bool reshaped;           /* MOVED: turn, span or package differ */
} sw_plan_move;
typedef struct sw_plan_difference {
    bool differs;            /* in anything below; costs differ only if that does */
    sw_cost was, is;
    uint32_t move_count, cuts_added, cuts_gone, links_added, links_gone;
    sw_plan_move *moves;     /* natural order of reference */
    sw_cut *added_cuts, *gone_cuts;    /* by strip, column */
    sw_link *added_links, *gone_links; /* by column, strip; from above to; a changed sleeve
                                          is a change */
    struct swi_arena *memory;
} sw_plan_difference;
/* Parts are the same by reference without case.  Order of objects, titles, names and
 * numbers of nodes are no difference.  NULL when memory is out. */
SW_API sw_plan_difference *sw_plan_compare(const sw_plan *was, const sw_plan *is,
                                           const sw_library *library);
SW_API void sw_plan_difference_free(sw_plan_difference *difference);

/* The circuit that a plan builds by its own node numbers and names, numbered, to be
 * compared with a circuit that has changed since (sw_circuit_compare). */
SW_API sw_status sw_plan_circuit(const sw_plan *plan, const sw_library *library, sw_diags *diags,
                                 sw_circuit **out);

#endif
