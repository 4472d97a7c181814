/* stripwright/layout.h: the search for a plan.
 *
 * sw_layout takes a fitted, numbered circuit and returns the best legal plan it
 * finds.  Budgets are steps, not seconds: an effort is a fixed number of search
 * lanes and steps, each lane with a seed of its own, and the best by (cost,
 * lane) is taken, so the same circuit, options and seed give the same plan on
 * any machine with any number of workers.  A run that a time cap or a stop
 * request ended promises only legality and says so in its report.
 *
 * Options are one table, layout-options.def: name, type, range, default, help.
 * The same names serve the command (--name), the project file and this struct.
 */
#ifndef STRIPWRIGHT_LAYOUT_H
#define STRIPWRIGHT_LAYOUT_H

#include <stripwright/board.h>

typedef enum sw_effort { SW_EFFORT_QUICK, SW_EFFORT_NORMAL, SW_EFFORT_THOROUGH } sw_effort;
typedef enum sw_prefer {
    SW_PREFER_BALANCE, SW_PREFER_AREA, SW_PREFER_STRIPS, SW_PREFER_COLUMNS,
    SW_PREFER_LINKS, SW_PREFER_SYMMETRY
} sw_prefer;

/* A wish about one part: at an edge, or near another part. */
typedef enum sw_wish_kind { SW_WISH_EDGE_LEFT, SW_WISH_EDGE_RIGHT, SW_WISH_EDGE_TOP, SW_WISH_EDGE_BOTTOM,
                            SW_WISH_NEAR, SW_WISH_APART } sw_wish_kind;
typedef struct sw_wish {
    sw_wish_kind kind;
    const char *ref, *other; /* other: NEAR and APART */
    int pitches;             /* NEAR: at most; APART: at least */
} sw_wish;

/* Ways two-lead parts may lie, per reference or package name (pattern with *). */
typedef enum sw_lie { SW_LIE_ACROSS = 1, SW_LIE_ALONG = 2, SW_LIE_UPRIGHT = 4 } sw_lie;
typedef struct sw_lie_rule { const char *pattern; unsigned lies; } sw_lie_rule;

typedef struct sw_layout_options {
    int strips, columns;     /* greatest size allowed; 0: free */
    bool fixed_size;         /* use exactly strips × columns (the board in hand) */
    int margin;              /* holes kept free all round */
    sw_effort effort;
    sw_prefer prefer;
    double seconds;          /* cap, which the effort's rounds share; 0: none */
    uint64_t seed;
    int workers;             /* threads; 0: one a processor */
    int longest_link;        /* pitches; 0: no limit */
    bool knife;              /* knife cuts allowed */
    bool sleeved;            /* links may pass beneath packages that stand clear of the
                                board (SW_UNDER_SLEEVED_LINK), and what passes beneath any
                                body is marked as sleeved */
    const sw_keep_out *keep_outs; size_t keep_out_count;
    const sw_wish *wishes; size_t wish_count;
    const sw_lie_rule *lies; size_t lie_count;
    const sw_plan *keep;     /* its locked parts (and locked links) stay put; or NULL */
    bool built;              /* keep is a board that is built: all its parts that the circuit has stay put,
                                all its links and cuts (knife cuts are refused); no new link passes
                                beneath a socket that is soldered */
    int move_most;           /* built: where there is no room, at most so many of its parts of up to three
                                leads may go elsewhere; as few as are found to do */
    const char *const *loose; size_t loose_count; /* built: these of its parts may go elsewhere anyway */
    const sw_plan *from;     /* start from this plan; or NULL */
} sw_layout_options;

SW_API void sw_layout_options_default(sw_layout_options *options);
/* Sets one option of the table by its name from text ("yes" or "" sets a flag,
 * "no" clears it).  NULL when done, else what it wants instead ("a whole number
 * from 0 to 500"); also for a name that is not in the table. */
SW_API const char *sw_layout_options_set(sw_layout_options *options, const char *name, const char *text);

typedef struct sw_layout_progress {
    int lane, lanes;
    double done;             /* 0 … 1 of the whole */
    sw_cost best;            /* of the best legal plan so far; area 0: none yet */
    const char *stage;       /* "placing", "joining", "squeezing", "tidying" */
} sw_layout_progress;

/* Called from the calling thread now and then; returning false stops the search
 * (the best so far is returned). */
typedef bool (*sw_layout_watch)(void *user, const sw_layout_progress *progress);

typedef struct sw_layout_report {
    sw_cost cost;
    uint64_t moves;          /* tried */
    double seconds;
    bool stopped;            /* by cap or request: the bytes depend on the machine */
    int lower_bound;         /* holes no legal plan can go below; 0: not worked out */
    char bound_why[200];
} sw_layout_report;

/* SW_OK with *out a legal plan (nodes, parts, leads, cuts, links filled, normalised);
 * SW_NO_PLAN when none was found within the limits (reported, with the limit that
 * is the reason where that can be known); SW_USAGE for a wish of a part that is not
 * there; SW_STOPPED when stopped before the first legal plan.  watch and report may be NULL. */
SW_API sw_status sw_layout(const sw_circuit *fitted, const sw_library *library,
                           const sw_layout_options *options,
                           sw_layout_watch watch, void *user, sw_diags *diags,
                           sw_plan **out, sw_layout_report *report);

/* Pitches by which a plan misses the wishes of the options, all together; 0: all are met. */
SW_API int sw_layout_missed(const sw_plan *plan, const sw_layout_options *options);

/* ---- proof ---- */

/* What is known of plans smaller than one in hand. */
typedef struct sw_proof {
    bool proven;             /* no legal plan of fewer holes exists within the options */
    int holes;               /* of the plan in hand, or of the smaller one that turned up */
    int bound;               /* no legal plan has fewer holes than this: shown by counting, then
                                by refuting board after board from small to large */
    int sizes, refuted;      /* board sizes that would be smaller (those known before or that fit into
                                others left out), and how many of them are shown to be impossible */
    uint64_t conflicts;      /* what the solver spent, in conflicts */
    char text[240];          /* a sentence: what is shown, or how far it got */
} sw_proof;

/* Whether this build can prove at all (it has a SAT solver). */
SW_API bool sw_layout_can_prove(void);
/* Tries to show that no legal plan with fewer holes than `plan` exists for the same
 * circuit and options (limits, margin, keep-outs, locked parts, ways to lie; knife cuts
 * and boards that are built are not looked at: with them nothing is proven).  Seconds for
 * eight parts, minutes for twelve.  effort: quick, normal and thorough spend more and more solver conflicts;
 * the answer does not depend on the machine unless options->seconds or watch ends it.
 * When smaller plans turn up on the way, each is checked, the smallest is given in *smaller
 * (else NULL; wishes are not looked at: see sw_layout_missed), and the proof is about that
 * one.  SW_OK in all these cases; SW_SYSTEM when memory is out. */
SW_API sw_status sw_layout_prove(const sw_circuit *fitted, const sw_library *library,
                                 const sw_layout_options *options, const sw_plan *plan, sw_layout_watch watch,
                                 void *user, sw_diags *diags, sw_plan **smaller, sw_proof *proof);
/* A small part of that, some seconds at most for a circuit of ten parts: for proof->bound,
 * which is seldom below seven tenths of the least size there.  Smaller plans that turn up are
 * mentioned (proof->holes is theirs) and let go: sw_layout_prove gives them. */
SW_API sw_status sw_layout_bound(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                                 const sw_plan *plan, sw_layout_watch watch, void *user, sw_diags *diags, sw_proof *proof);

#endif
