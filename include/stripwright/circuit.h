/* stripwright/circuit.h: the node graph.
 *
 * Model.  A circuit is parts with pins, and nodes that join pins.  A reader
 * feeds a builder; finishing the builder freezes it into flat arrays that
 * everything after only reads.  There are two stages of the same shape:
 *
 *   SW_STAGE_NETLIST  what the file said: a pin is known by the file's own
 *                     name for it ("C", "1", "port3"), nothing is physical yet.
 *   SW_STAGE_FITTED   after sw_fit (fit): every part has a package, every pin
 *                     of every package is present, off-board parts have become
 *                     terminal pins, pins have package numbers.
 *
 * Ids are one-member structs, indices into the arrays; SW_NONE is no object.
 * All text is owned by the circuit, never NULL ("" when unknown).  References
 * are compared without regard to case and written as first spelled.  Every
 * object keeps the span of the source it came from.
 */
#ifndef STRIPWRIGHT_CIRCUIT_H
#define STRIPWRIGHT_CIRCUIT_H

#include <stripwright/parts.h>

#define SW_NONE UINT32_MAX
typedef struct sw_part_id { uint32_t i; } sw_part_id;
typedef struct sw_pin_id { uint32_t i; } sw_pin_id;
typedef struct sw_node_id { uint32_t i; } sw_node_id;

typedef enum sw_stage { SW_STAGE_NETLIST, SW_STAGE_FITTED } sw_stage;

typedef enum sw_rail { SW_RAIL_NONE, SW_RAIL_POSITIVE, SW_RAIL_GROUND, SW_RAIL_NEGATIVE } sw_rail;

/* What a part is, one letter as in decks (Berkeley SPICE3 manual 3), so that a
 * kind from any format means the same: R C L resistor, capacitor, inductor; D
 * diode (also LED); Q J M Z transistors; V I sources; X subcircuit or IC;
 * E F G H B controlled sources; S W switches; T O U lines; K coupling.  Beside
 * those of decks: 'P' a preset or potentiometer; 'N' a terminal pin or connector;
 * 'Y' a crystal, 'f' a fuse, 'z' a buzzer; '?' not known (of a format that states
 * no kinds: fit then goes by the reference, sw_ref_kind). */
typedef struct sw_part {
    const char *ref;
    const char *value;
    const char *device;      /* model or part name as stated */
    const char *package;     /* package name as stated; after fit: the package's */
    const char *path;        /* "" or the subcircuit path it was flattened from, "X1.X2" */
    const sw_package *form;  /* fitted only (off-board parts have none left) */
    const sw_device *known;  /* fitted only; NULL for a part of no known device */
    sw_pin_id first_pin;     /* its pins are pins[first_pin.i …], pin_count of them */
    uint32_t pin_count;
    char kind;
    bool terminal;           /* fitted: a terminal pin for an off-board wire */
    bool polarised;          /* fitted: two leads that must not be swapped */
    bool flat;               /* netlist: its pin names are only positions */
    bool spice;              /* netlist: the value is text in a deck's language (a source's
                                "SIN(0 1 1k)", where M is milli), not as people write it */
    sw_span span;
} sw_part;

typedef struct sw_pin {
    const char *number;      /* netlist: the file's name of it; fitted: package number */
    const char *name;        /* function ("1IN-", "K"); "" when not known, also when the
                              * builder was given the number again */
    sw_part_id part;
    sw_node_id node;         /* always some node: a lone pin has a node of its own */
    sw_pin_type type;
    sw_span span;
} sw_pin;

typedef struct sw_node {
    const char *name;        /* as first spelled; "U2.11" for an unnamed lone pin */
    uint32_t number;         /* 0 until numbered, then 1, 2, … */
    sw_rail rail;
    const char *rail_why;    /* fitted: "" or why it is a rail, one clause */
    double volts;            /* fitted: the rail's voltage against ground where a source or
                                the node's name states it, else 0 */
    bool named;              /* the file gave the name; false: derived, or no other than
                                the derived one would be */
    bool global;             /* a `.global` node or ground: the same on every level */
    uint32_t first_pin;      /* its pins are node_pins[first_pin …] */
    uint32_t pin_count;
    sw_span span;
} sw_node;

/* A .model card or its like in other formats. */
typedef struct sw_model {
    const char *name;
    const char *type;        /* "NPN", "D", … */
    const char *text;        /* parameters as written, blanks normalised */
    const char *path;        /* subcircuit it is local to, "" for the deck */
    sw_span span;
} sw_model;

/* What a format carries and the model has no field for: kept so that a writer
 * of the same or another format can hand it on or say that it cannot. */
typedef enum sw_owner { SW_OWNER_CIRCUIT, SW_OWNER_PART, SW_OWNER_PIN, SW_OWNER_NODE } sw_owner;
typedef struct sw_property {
    sw_owner owner;
    uint32_t index;          /* of the owner in its array */
    const char *key, *value;
    sw_span span;
} sw_property;

/* One row of a parts sheet, from a CSV, or from a `*@` line of a deck.
 * Absent cells are "". */
typedef struct sw_row {
    const char *name;        /* instance, model or pattern with * */
    const char *ref, *device, *package, *unit, *pins, *supply, *value, *place, *omit;
    const char *path;        /* instance ("X1.X2") in whose subcircuit a `*@` line stood, ""
                                outside: it speaks of that instance's parts alone, by their
                                names inside */
    sw_span span;
    const char *note;        /* said of the row, without effect; may be NULL */
} sw_row;

typedef struct sw_circuit {
    sw_stage stage;
    const char *title;
    uint32_t part_count, pin_count, node_count, model_count, property_count, row_count;
    sw_part *parts;
    sw_pin *pins;
    sw_node *nodes;
    sw_pin_id *node_pins;    /* pins grouped by node, pin_count of them */
    sw_node_id *by_number;   /* node_count, by ascending number; NULL until numbered.
                                by_number[n - 1] is node n unless numbers of an earlier
                                revision were kept: use sw_circuit_numbered */
    sw_model *models;
    sw_property *properties; /* grouped by owner kind, then index */
    sw_row *rows;            /* fitting rows that the file itself carried */
    struct swi_circuit_memory *memory; /* owns everything above */
} sw_circuit;

SW_API void sw_circuit_free(sw_circuit *circuit);
/* By reference, without regard to case; i == SW_NONE when there is none. */
SW_API sw_part_id sw_circuit_part(const sw_circuit *circuit, const char *ref);
/* By the file's name, as spelled first, then without regard to case. */
SW_API sw_node_id sw_circuit_node(const sw_circuit *circuit, const char *name);
/* By number or name of the pin, without case. */
SW_API sw_pin_id sw_circuit_pin(const sw_circuit *circuit, sw_part_id part, const char *pin);
/* "U1.3", "X1.R5.1": reference and pin at once. */
SW_API sw_pin_id sw_circuit_pin_spelled(const sw_circuit *circuit, const char *ref_and_pin);
/* The node of that number; i == SW_NONE when there is none or before numbering. */
SW_API sw_node_id sw_circuit_numbered(const sw_circuit *circuit, uint32_t number);

/* ---- building ---- */

typedef struct sw_builder sw_builder;

/* The builder reports doubled references, pins joined to two nodes, and limits.
 * After an allocation failure all calls do nothing and finish returns NULL. */
SW_API sw_builder *sw_builder_new(sw_stage stage, sw_diags *diags);
SW_API void sw_builder_free(sw_builder *builder); /* only when not finished */
SW_API void sw_builder_title(sw_builder *builder, const char *title);
/* A new part.  A reference that is there already (without case) is reported
 * (`part-doubled`) and i == SW_NONE returned. */
SW_API sw_part_id sw_builder_part(sw_builder *builder, const char *ref, char kind, sw_span span);
SW_API sw_part_id sw_builder_find_part(const sw_builder *builder, const char *ref);
/* The part may be changed freely until finish; text must be interned with
 * sw_builder_text.  The pointer is valid until the next sw_builder_part.  For
 * SW_NONE (here and for nodes and pins) it is a stand-in that goes nowhere, so
 * that a caller need not ask after each call. */
SW_API sw_part *sw_builder_part_at(sw_builder *builder, sw_part_id part);
SW_API const char *sw_builder_text(sw_builder *builder, const char *text, size_t length);
/* A node by name.  Names differing in case are the same node when fold is
 * true.  The first spelling is kept. */
SW_API sw_node_id sw_builder_node(sw_builder *builder, const char *name, bool fold, sw_span span);
SW_API sw_node_id sw_builder_lone_node(sw_builder *builder, sw_span span); /* unnamed */
SW_API sw_node *sw_builder_node_at(sw_builder *builder, sw_node_id node);
/* Makes two nodes one (an ammeter source, a 0 Ω join); the first keeps its name
 * unless only the second has one. */
SW_API void sw_builder_join(sw_builder *builder, sw_node_id a, sw_node_id b);
/* Adds a pin.  A pin of the same number (without case) that is there already on
 * another node is reported when finishing (`pin-doubled`), for joins may still
 * make the nodes one; the first stays.  On the same node it is harmless. */
SW_API sw_pin_id sw_builder_pin(sw_builder *builder, sw_part_id part, const char *number,
                                const char *name, sw_node_id node, sw_span span);
/* Its names and type may be changed until finish, its part and node not. */
SW_API sw_pin *sw_builder_pin_at(sw_builder *builder, sw_pin_id pin);
SW_API void sw_builder_model(sw_builder *builder, const sw_model *model); /* text is copied */
SW_API void sw_builder_property(sw_builder *builder, sw_owner owner, uint32_t index,
                                const char *key, const char *value, sw_span span);
/* Text is copied; a cell that is NULL is absent. */
SW_API void sw_builder_row(sw_builder *builder, const sw_row *row);
/* Freezes: drops nodes without pins, groups, and names each node that has no name
 * after its first pin in natural order ("U2.11").  Parts keep the order in which
 * they were added, so do the pins of a part and the nodes; pin and node ids are
 * new ones (properties follow).  The name of a node that was joined into another
 * goes on finding it with sw_circuit_node.
 * Frees the builder in any case.  NULL when memory is out or a limit was hit
 * (already reported). */
SW_API sw_circuit *sw_builder_finish(sw_builder *builder);

/* ---- fit: from a netlist to parts that one can hold ---- */

/* A parts sheet: rows of CSV with a header.  Columns by name, in any order and case:
 * name (needed), ref, device, package, unit, pins, value, place, omit, supply, note.  Or, without name, a
 * bill of materials: a column of references, "R1, R2 R5-R8", each of which the row speaks of. */
typedef struct sw_sheet sw_sheet;
SW_API sw_status sw_sheet_read(const sw_input *csv, sw_diags *diags, sw_sheet **out);
SW_API void sw_sheet_free(sw_sheet *sheet);
SW_API size_t sw_sheet_count(const sw_sheet *sheet);
SW_API const sw_row *sw_sheet_row(const sw_sheet *sheet, size_t index);
SW_API void sw_sheet_write(const sw_sheet *sheet, sw_buf *out); /* CSV */

typedef struct sw_fit_options {
    const sw_sheet *sheet;        /* the user's rows or NULL */
    const char *const *rails;     /* user-stated: "VCC=positive", "A=ground", "B=negative",
                                     "C=none"; NULL-terminated or NULL */
} sw_fit_options;

/* The fitted circuit in *out, parts in natural order of reference, pins in package
 * order.  *report (may be NULL) gets one row a part of the netlist, in natural order,
 * with everything that was stated or assumed (the note says which): read back as a
 * sheet it gives the same circuit.  It is made also when the fit fails.
 * SW_NO_PLAN when a part cannot be fitted: reported with what to state; SW_USAGE for
 * an options->rails that is of no node.  `netlist` and `library` must outlive the
 * result. */
SW_API sw_status sw_fit(const sw_circuit *netlist, const sw_library *library,
                        const sw_fit_options *options, sw_diags *diags,
                        sw_circuit **out, sw_sheet **report);

/* ---- numbering, review, strip budget ---- */

/* Numbers the nodes 1, 2, …: rails first (positive, ground, negative), then
 * nodes of two and more pins in the order of the part with most pins first, then
 * natural order of reference and pin; single-pin nodes last.  References and
 * pins are the identity, so the same circuit gives the same numbers whatever
 * the format, order, letter case or node names. */
SW_API sw_status sw_circuit_number(sw_circuit *circuit, sw_diags *diags);

/* Numbers of an earlier revision are kept for every node that still means the
 * same: matched by pins first (the pair of an old and a new node that share most
 * pins, then the next, …; of equal pairs the lower old number), then by name.
 * New nodes take the numbers after the greatest old or stated one, in the order
 * of sw_circuit_number, so a number that is gone is not given to something else
 * (`compact`: they take the lowest free numbers instead). */
typedef struct sw_old_node {
    uint32_t number;            /* 1 … */
    const char *name;           /* "" when it had none */
    const char *const *pins;    /* "U1.3" each, as numbered then */
    size_t pin_count;
} sw_old_node;

/* Where such a list comes from: any file of an earlier revision, node by node, or
 * a numbered circuit.  A number that is added again is the same node; its first
 * name stays.  Calls after an allocation failure do nothing and return false. */
typedef struct sw_numbering sw_numbering;
SW_API sw_numbering *sw_numbering_new(void);
SW_API void sw_numbering_free(sw_numbering *numbering);
SW_API bool sw_numbering_add(sw_numbering *numbering, uint32_t number, const char *name);
SW_API bool sw_numbering_add_pin(sw_numbering *numbering, uint32_t number, const char *pin);
SW_API sw_numbering *sw_numbering_of(const sw_circuit *numbered); /* NULL: memory is out */
/* By ascending number; valid until the numbering is added to or freed.  NULL when memory
 * is out. */
SW_API const sw_old_node *sw_numbering_nodes(sw_numbering *numbering, size_t *count);

typedef struct sw_number_options {
    bool compact;
    const char *const *stated;  /* the user's own: "VCC=1" or "U1.3=7", NULL-terminated,
                                   or NULL; they go before everything else */
} sw_number_options;

typedef enum sw_number_fate {
    SW_NUMBER_KEPT,   /* node `number` is the one of old: equal numbers unless stated */
    SW_NUMBER_ADDED,  /* node `number` is new; old 0 */
    SW_NUMBER_GONE,   /* old has no node now; number 0 */
    SW_NUMBER_SPLIT,  /* node `number` is new and has pins that were old's */
    SW_NUMBER_MERGED  /* old has no node of its own now: its pins are in node `number` */
} sw_number_fate;
typedef struct sw_number_change {
    sw_number_fate fate;
    uint32_t number, old;
    const char *name;           /* of the node now; of the old one when it is gone */
} sw_number_change;
/* One entry a new node and one for each old node that has no successor, sorted by
 * fate, then number, then old. */
typedef struct sw_number_report {
    uint32_t kept, added, gone, split, merged; /* how many of each */
    size_t change_count;
    sw_number_change *changes;
    struct swi_arena *memory;
} sw_number_report;

/* As sw_circuit_number, keeping what `old` says.  options and report may be NULL.
 * SW_USAGE when a stated number is of no node, is 0, or is stated twice
 * (`number-stated`), SW_BAD_INPUT when old has a number twice (`number-old`). */
SW_API sw_status sw_circuit_number_keep(sw_circuit *circuit, const sw_old_node *old,
                                        size_t old_count, const sw_number_options *options,
                                        sw_diags *diags, sw_number_report **report);
SW_API void sw_number_report_free(sw_number_report *report);
/* The changes in sentences, a line each; the kept ones only counted. */
SW_API void sw_number_report_write(const sw_number_report *report, sw_buf *out);

/* Adds review findings to the sink. */
SW_API sw_status sw_review(const sw_circuit *fitted, sw_diags *diags);

/* The supply pin that this capacitor (1 nF to 1 µF, between two rails) belongs beside: the first
 * such capacitor is for the first pin that is supplied by these rails, and so on, pins of ICs
 * before those of three-legged things; i == SW_NONE when there is none. */
SW_API sw_pin_id sw_circuit_decoupled(const sw_circuit *fitted, sw_part_id capacitor);

/* How many strips and cuts a circuit wants, before any placing: a teacher's count.
 *
 * A strip is one segment.  A DIP stands across the strips, and a cut between its
 * rows makes two segments of each strip that it stands on, so a board of S strips
 * has S + split_strips segments.  Every node needs one at least, and every pin that
 * connects to nothing needs one alone.  More cuts than those under the ICs give
 * more segments still, so least_strips is where a plan begins to be easy, and
 * bound_strips what no plan goes below. */
typedef struct sw_budget {
    uint32_t nodes, joined_nodes, lone_pins; /* all; of two and more pins; of one pin */
    uint32_t leads;
    uint32_t widest_strips;   /* strips that the part spanning most strips needs, standing
                                 as is usual (two-lead parts may lie along, so not they) */
    const char *widest_ref;   /* "" when there is none; owned by the circuit */
    uint32_t split_strips;    /* segments that cuts under DIPs give: sum of their rows */
    uint32_t least_strips;    /* with no cuts but these */
    char least_why[160];
    uint32_t bound_strips;    /* with any cuts: every part in the turn that needs fewest */
    char bound_why[160];
    uint32_t least_holes;     /* area that no plan goes below */
    char holes_why[200];
} sw_budget;
SW_API void sw_budget_work_out(const sw_circuit *fitted, sw_budget *budget);
/* Segments that a board of that many strips has when every IC's rows are cut. */
SW_API uint32_t sw_budget_segments(const sw_budget *budget, uint32_t strips);
/* The whole account in sentences, a line each: nodes and their pins, which part
 * splits which strips, segments by number of strips, the least of strips and holes
 * with the reasons.  Numbered circuits show numbers. */
SW_API void sw_budget_write(const sw_circuit *fitted, const sw_budget *budget, sw_buf *out);

/* The kind that a reference's letters suggest (class letters of IEEE 315 and what
 * people write besides), '?' when they suggest none: "R1" 'R', "LED2" 'D',
 * "RV1" 'P', "U3" 'X', "J1" 'N', "BT1" 'V', "BZ1" 'z'. */
SW_API char sw_ref_kind(const char *ref);
/* Whether so many nodes in a list without pins can only be those of pins 1, 2 … in this order: of a
 * part with two leads that may be either way round (resistors, chokes, crystals, fuses, capacitors
 * of less than a microfarad, switches, lamps), or of a connector, whose pins are counted. */
SW_API bool sw_pins_by_order(const sw_part *part, uint32_t nodes);
/* Whether a subcircuit's name says that it stands for one thing to hold (SPEAKER, DC_MOTOR, LDR), whatever
 * it is modelled by: it is no circuit to flatten. */
SW_API bool sw_names_a_thing(const char *subcircuit);

/* ---- two circuits compared ---- */

/* What changed electrically between two circuits of the same stage.  References
 * and pins are the identity: a node that only has another name is no change, nor
 * is a value written another way (4k7, 4700). */
typedef enum sw_change_kind {
    SW_CHANGE_PART_GONE,     /* ref */
    SW_CHANGE_PART_NEW,
    SW_CHANGE_VALUE,         /* ref; before, after */
    SW_CHANGE_DEVICE,
    SW_CHANGE_PACKAGE,
    SW_CHANGE_PIN_GONE,      /* ref, pin: of a part that both have; before: its node */
    SW_CHANGE_PIN_NEW,       /* ref, pin; after: its node */
    SW_CHANGE_PIN_MOVED      /* ref, pin: was on node `before`, is on node `after` */
} sw_change_kind;
typedef struct sw_change {
    sw_change_kind kind;
    const char *ref, *pin;       /* pin "" where none is meant */
    const char *before, *after;  /* "" where there is none */
    uint32_t node_before, node_after; /* numbers of the nodes meant; 0 none */
} sw_change;
typedef struct sw_comparison {
    uint32_t change_count;
    sw_change *changes;          /* natural order of reference, then pin */
} sw_comparison;
/* SW_OK: no difference; SW_FINDINGS: changes are in *out; SW_SYSTEM: memory.  The text
 * in the result belongs to the circuits, which must outlive it. */
SW_API sw_status sw_circuit_compare(const sw_circuit *before, const sw_circuit *after, sw_comparison **out);
SW_API void sw_comparison_free(sw_comparison *comparison);
/* One change as a sentence: "R3 is 4k7 now, was 10k". */
SW_API void sw_change_write(const sw_change *change, sw_buf *out);

/* Natural order: runs of digits by value, letters without case: R2 < R10.  0 only
 * for texts that are equal but for case: R2 < R02. */
SW_API int sw_natural_compare(const char *a, const char *b);

#endif
