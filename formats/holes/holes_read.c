/* formats/holes/holes_read.c: reading a hole list. */
#include "holes.h"

#include "base/csv.h"
#include "base/fault.h"
#include "base/num.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* A lead waits until all are read: its part's rows need not stand together. */
typedef struct row_lead {
    uint32_t part;
    sw_plan_lead lead;
} row_lead;

typedef struct row_part {
    const char *ref;
    sw_span span;
    uint32_t leads;
} row_part;

typedef struct reading {
    const sw_input *input;
    sw_diags *diags;
    sw_plan *plan;
    swi_arena *arena;        /* keys of the map */
    swi_map *refs;           /* without case */
    row_part *parts;
    row_lead *leads;
    size_t part_count, part_room, lead_count, lead_room;
    int column[SWI_HOLES_COLUMNS]; /* where each column stands; −1 it does not */
    const swi_csv_field *fields;
    int count;               /* of fields */
    sw_span row;             /* its first field that has something in it */
    bool board, memory;
} reading;

static const swi_csv_field *cell(const reading *r, int column) {
    int at = r->column[column];
    return at >= 0 && at < r->count && r->fields[at].length != 0 ? &r->fields[at] : NULL;
}

static const char *text_of(const reading *r, int column) {
    const swi_csv_field *field = cell(r, column);
    return field == NULL ? "" : field->text;
}

static sw_span span_of(const reading *r, int column) {
    const swi_csv_field *field = cell(r, column);
    return field == NULL ? r->row : field->span;
}

/* ---- header ---- */

static int column_named(const char *text) {
    for (int i = 0; i < SWI_HOLES_COLUMNS; i++)
        if (swi_equal_fold(text, swi_holes_columns[i]))
            return i;
    return -1;
}

static bool read_header(reading *r) {
    for (int i = 0; i < SWI_HOLES_COLUMNS; i++)
        r->column[i] = -1;
    for (int i = 0; i < r->count; i++) {
        int column = column_named(r->fields[i].text);
        if (column < 0 && r->fields[i].length != 0)
            sw_diag_add(r->diags, SW_D_HOLES_COLUMN, r->fields[i].span,
                        "the column \"%s\" is not read: a hole list has kind, ref, pin, node, "
                        "hole, to", r->fields[i].text);
        else if (column >= 0 && r->column[column] >= 0) {
            sw_diag_add(r->diags, SW_D_HOLES_HEADER, r->fields[i].span,
                        "the column %s is there twice", swi_holes_columns[column]);
            return false;
        } else if (column >= 0)
            r->column[column] = i;
    }
    if (r->column[HOLES_KIND] >= 0 && r->column[HOLES_HOLE] >= 0)
        return true;
    sw_diag_add(r->diags, SW_D_HOLES_HEADER, r->row,
                "the first row must name the columns: kind,ref,pin,node,hole,to (kind and hole "
                "at least)");
    return false;
}

/* ---- cells ---- */

static bool read_hole(reading *r, int column, sw_hole *hole) {
    const swi_csv_field *field = cell(r, column);
    if (field == NULL) {
        sw_diag_add(r->diags, SW_D_HOLES_MISSING, r->row, "this row has nothing in the column %s",
                    swi_holes_columns[column]);
        return false;
    }
    if (sw_hole_read(field->text, hole) == field->length)
        return true;
    sw_diag_add(r->diags, SW_D_HOLES_HOLE, field->span,
                "\"%s\" is no hole: write strip and column, as in C12", field->text);
    return false;
}

static bool read_node(reading *r, uint32_t *node) {
    const swi_csv_field *field = cell(r, HOLES_NODE);
    long number = 0;
    *node = 0;
    if (field == NULL)
        return true;
    if (swi_int_read(field->text, 1, INT32_MAX, &number)) {
        *node = (uint32_t)number;
        return true;
    }
    sw_diag_add(r->diags, SW_D_HOLES_NODE, field->span,
                "\"%s\" is no node number: a whole number from 1, or nothing (then the circuit "
                "tells)", field->text);
    return false;
}

/* A cell that this kind of row has no use for: better said than passed over. */
static void refuse(reading *r, const char *kind, int column) {
    const swi_csv_field *field = cell(r, column);
    sw_hole hole;
    if (field == NULL)
        return;
    bool mislaid = sw_hole_read(field->text, &hole) == field->length && cell(r, HOLES_HOLE) == NULL;
    sw_diag_add(r->diags, SW_D_HOLES_SURPLUS, span_of(r, column), "a %s row has nothing in the column %s%s", kind,
                swi_holes_columns[column], mislaid ? ": a hole goes into the column hole, so leave empty what is between" : "");
}

static void refuse_pin(reading *r, const char *kind) {
    refuse(r, kind, HOLES_REF);
    refuse(r, kind, HOLES_PIN);
}

/* ---- rows ---- */

static void read_board(reading *r) {
    sw_hole last;
    const sw_limits *limits = sw_diags_limits(r->diags);
    refuse_pin(r, "board");
    refuse(r, "board", HOLES_NODE);
    refuse(r, "board", HOLES_TO);
    if (r->board) {
        sw_diag_add(r->diags, SW_D_HOLES_BOARD, r->row, "the board is given twice");
        return;
    }
    r->board = true;
    if (!read_hole(r, HOLES_HOLE, &last))
        return;
    r->plan->strips = (int16_t)(last.strip + 1 > 0 ? last.strip + 1 : INT16_MAX);
    r->plan->columns = (int16_t)(last.column + 1 > 0 ? last.column + 1 : INT16_MAX);
    if ((uint32_t)last.strip >= limits->strips || (uint32_t)last.column >= limits->columns)
        sw_diag_add(r->diags, SW_D_LIMIT_BOARD, span_of(r, HOLES_HOLE),
                    "a board of %d strips by %d columns is more than the limit of %u by %u",
                    last.strip + 1, last.column + 1, (unsigned)limits->strips,
                    (unsigned)limits->columns);
}

/* Index of the part of that reference, a new one when it is new. */
static uint32_t part_of(reading *r, const char *ref) {
    bool failed = false;
    uint32_t at = swi_map_add(r->refs, ref, strlen(ref), (uint32_t)r->part_count, &failed);
    if (failed || at != r->part_count) {
        r->memory = r->memory && !failed;
        return at;
    }
    const sw_limits *limits = sw_diags_limits(r->diags);
    if (r->part_count == limits->parts)
        sw_diag_add(r->diags, SW_D_LIMIT_PARTS, r->row, "there are more than %u parts",
                    (unsigned)limits->parts);
    const char *text = sw_plan_text(r->plan, ref);
    if (text == NULL || !SWI_GROW(r->parts, r->part_room, r->part_count + 1)) {
        r->memory = false;
        return at;
    }
    r->parts[r->part_count++] = (row_part){text, r->row, 0};
    return at;
}

static void read_lead(reading *r) {
    sw_plan_lead lead = {.span = r->row};
    refuse(r, "lead", HOLES_TO);
    if (cell(r, HOLES_REF) == NULL || cell(r, HOLES_PIN) == NULL) {
        sw_diag_add(r->diags, SW_D_HOLES_MISSING, r->row,
                    "a lead row names part and pin in the columns ref and pin");
        return;
    }
    bool good = read_hole(r, HOLES_HOLE, &lead.hole);
    if (!read_node(r, &lead.node) || !good)
        return;
    uint32_t part = part_of(r, text_of(r, HOLES_REF));
    lead.pin = sw_plan_text(r->plan, text_of(r, HOLES_PIN));
    if (!r->memory || lead.pin == NULL || !SWI_GROW(r->leads, r->lead_room, r->lead_count + 1)) {
        r->memory = false;
        return;
    }
    r->leads[r->lead_count++] = (row_lead){part, lead};
    uint32_t most = sw_diags_limits(r->diags)->pins_per_part;
    if (r->parts[part].leads++ == most)
        sw_diag_add(r->diags, SW_D_LIMIT_PINS, r->row, "%s has more than %u leads",
                    r->parts[part].ref, (unsigned)most);
}

/* A cut at a hole, or with a knife between two neighbours. */
static void read_cut(reading *r) {
    sw_cut cut = {.span = r->row};
    sw_hole to;
    refuse_pin(r, "cut");
    refuse(r, "cut", HOLES_NODE);
    if (!read_hole(r, HOLES_HOLE, &cut.hole))
        return;
    if (cell(r, HOLES_TO) != NULL) {
        if (!read_hole(r, HOLES_TO, &to))
            return;
        if (to.strip != cut.hole.strip || abs(to.column - cut.hole.column) != 1) {
            sw_diag_add(r->diags, SW_D_HOLES_KNIFE, span_of(r, HOLES_TO),
                        "a knife cut goes between two neighbouring holes of one strip");
            return;
        }
        cut.knife = true;
        if (to.column < cut.hole.column)
            cut.hole = to;
    }
    r->memory = sw_plan_add_cut(r->plan, cut) && r->memory;
}

static void read_link(reading *r) {
    sw_link link = {.span = r->row};
    refuse_pin(r, "link");
    bool good = read_hole(r, HOLES_HOLE, &link.from);
    good = read_hole(r, HOLES_TO, &link.to) && good;
    if (read_node(r, &link.node) && good)
        r->memory = sw_plan_add_link(r->plan, link) && r->memory;
}

static void read_keep_out(reading *r) {
    sw_keep_out keep_out = {.why = "", .span = r->row};
    refuse_pin(r, "keep-out");
    refuse(r, "keep-out", HOLES_NODE);
    bool good = read_hole(r, HOLES_HOLE, &keep_out.from);
    keep_out.to = keep_out.from;
    if (cell(r, HOLES_TO) != NULL)
        good = read_hole(r, HOLES_TO, &keep_out.to) && good;
    if (good)
        r->memory = sw_plan_add_keep_out(r->plan, keep_out) && r->memory;
}

static void read_row(reading *r) {
    static const struct {
        const char *kind;
        void (*read)(reading *);
    } kinds[] = {{"board", read_board}, {"lead", read_lead},         {"cut", read_cut},
                 {"link", read_link},   {"keep-out", read_keep_out}};
    const char *kind = text_of(r, HOLES_KIND);
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (swi_equal_fold(kind, kinds[i].kind)) {
            kinds[i].read(r);
            return;
        }
    sw_diag_add(r->diags, SW_D_HOLES_KIND, span_of(r, HOLES_KIND),
                "\"%s\" is no kind of row: there are board, lead, cut, link, keep-out", kind);
}

/* Blank rows and rows that begin with # say nothing. */
static bool says_something(reading *r) {
    for (int i = 0; i < r->count; i++)
        if (r->fields[i].length != 0) {
            r->row = r->fields[i].span;
            return i != 0 || r->fields[i].text[0] != '#';
        }
    return false;
}

/* ---- the whole ---- */

static sw_status read_rows(reading *r, swi_csv *csv) {
    bool header = false;
    while ((r->count = swi_csv_next(csv, &r->fields)) > 0 && r->memory) {
        if (!says_something(r))
            continue;
        if (header)
            read_row(r);
        else if (!read_header(r))
            return SW_BAD_INPUT;
        header = true;
    }
    if (r->count < 0)
        return SW_BAD_INPUT;
    if (!r->board)
        sw_diag_add(r->diags, SW_D_HOLES_BOARD, (sw_span){r->input->source, 0, 0},
                    "no row gives the board's size: add one like board,,,,I23, with the bottom "
                    "right hole");
    return SW_OK;
}

/* Hands the parts on, each with its leads in the order of the rows. */
static bool hand_on(reading *r) {
    size_t *next = calloc(r->part_count + 1, sizeof *next);
    row_lead *sorted = malloc((r->lead_count + 1) * sizeof *sorted);
    bool good = next != NULL && sorted != NULL;
    for (size_t i = 0; good && i < r->part_count; i++)
        next[i + 1] = next[i] + r->parts[i].leads;
    for (size_t i = 0; good && i < r->lead_count; i++)
        sorted[next[r->leads[i].part]++] = r->leads[i];
    for (size_t i = 0, lead = 0; good && i < r->part_count; i++) {
        good = sw_plan_add_part(r->plan, (sw_plan_part){.ref = r->parts[i].ref, .turn = -1,
                                                        .span = r->parts[i].span});
        for (uint32_t k = 0; good && k < r->parts[i].leads; k++)
            good = sw_plan_add_lead(r->plan, sorted[lead++].lead);
    }
    free(next);
    free(sorted);
    return good;
}

sw_status swi_holes_read(const sw_input *input, const sw_read_options *options, sw_diags *diags,
                         sw_plan *plan) {
    (void)options;
    reading r = {.input = input, .diags = diags, .plan = plan, .memory = true,
                 .arena = swi_arena_new()};
    swi_csv *csv = swi_csv_new(input, 0, diags);
    if (r.arena != NULL)
        r.refs = swi_map_new(r.arena, true);
    sw_status status = SW_OK;
    if (csv == NULL || r.refs == NULL)
        r.memory = false;
    else
        status = read_rows(&r, csv);
    if (status == SW_OK && r.memory)
        r.memory = hand_on(&r);
    free(r.parts);
    free(r.leads);
    swi_map_free(r.refs);
    swi_csv_free(csv);
    swi_arena_free(r.arena);
    return r.memory ? status : swi_out_of_memory(diags);
}
