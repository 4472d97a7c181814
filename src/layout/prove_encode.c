/* src/layout/prove_encode.c: the clauses that every legal plan of one size meets. */
#include "config.h"

#include <stdlib.h>
#include "prove.h"

#ifdef HAVE_CADICAL
#include <ccadical.h>

/* Beyond this a question is not worth asking. */
#define MOST_CLAUSES 12000000

bool swi_prover_there(void) { return true; }

int swi_prove_var(swi_prover *p) { return ++p->vars; }

void swi_prove_clause(swi_prover *p, const int *literals, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (literals[i])
            ccadical_add(p->solver, literals[i]);
    ccadical_add(p->solver, 0);
    p->clauses++;
    p->failed |= p->clauses > MOST_CLAUSES;
}

bool swi_prove_value(const swi_prover *p, int var) { return var && ccadical_val(p->solver, var) > 0; }

static int *new_vars(swi_prover *p, size_t count) {
    int *vars = swi_arena_array(p->arena, count + 1, sizeof *vars);
    for (size_t i = 0; vars && i < count; i++)
        vars[i] = swi_prove_var(p);
    p->failed |= !vars;
    return vars;
}

static int leads_of(const swi_prover *p, int node) { return (int)p->m->nodes[node].pin_count; }

/* ---- stand ---- */

static bool allowed(const swi_part *part, int shape, int row, int col) {
    return part->fixed_shape < 0 || (shape == part->fixed_shape && row == part->fixed_row && col == part->fixed_col);
}

/* The cover of a stand, new or of one before it: shapes of one form are neighbours
 * in a part's list, and stands go shape by shape. */
static int cover_of(swi_prover *p, uint16_t part, uint16_t form, int row, int col) {
    swi_cover *list = p->covers[part];
    uint32_t count = p->cover_counts[part];
    for (uint32_t i = 0; i < count; i++)
        if (list[i].form == form && list[i].row == row && list[i].col == col)
            return list[i].var;
    list[count] = (swi_cover){form, (int16_t)row, (int16_t)col, swi_prove_var(p)};
    p->cover_counts[part]++;
    return list[count].var;
}

static void add_stand(swi_prover *p, uint16_t part, int s, int row, int col) {
    swi_stand *stand = &p->stands[part][p->stand_counts[part]++];
    *stand = (swi_stand){{(int16_t)row, (int16_t)col, (int16_t)s}, swi_prove_var(p), 0};
    stand->cover = cover_of(p, part, p->m->parts[part].shapes[s].form, row, col);
    SWI_CLAUSE(p, -stand->var, stand->cover);
}

static void list_stands(swi_prover *p, uint16_t part) {
    const swi_part *a = &p->m->parts[part];
    size_t most = (size_t)a->shape_count * (size_t)p->holes + 1;
    p->stands[part] = swi_arena_array(p->arena, most, sizeof **p->stands);
    p->covers[part] = swi_arena_array(p->arena, most, sizeof **p->covers);
    if (!p->stands[part] || !p->covers[part]) {
        p->failed = true;
        return;
    }
    for (int s = 0; s < a->shape_count; s++)
        for (int r = 0; r + a->shapes[s].rows < p->rows; r++)
            for (int c = 0; c + a->shapes[s].cols < p->cols; c++)
                if (allowed(a, s, r, c))
                    add_stand(p, part, s, r, c);
}

/* At most one of many, by a chain of helping variables. */
static void at_most_one(swi_prover *p, const swi_stand *list, uint32_t count) {
    int before = 0;
    for (uint32_t i = 0; i < count; i++) {
        int here = swi_prove_var(p);
        SWI_CLAUSE(p, -list[i].var, here);
        if (before) {
            SWI_CLAUSE(p, -before, here);
            SWI_CLAUSE(p, -before, -list[i].var);
        }
        before = here;
    }
}

static void one_stand(swi_prover *p, uint16_t part) {
    const swi_stand *list = p->stands[part];
    for (uint32_t i = 0; i < p->stand_counts[part]; i++)
        ccadical_add(p->solver, list[i].var);
    swi_prove_clause(p, NULL, 0);
    at_most_one(p, list, p->stand_counts[part]);
}

static bool meet(const swi_prover *p, const swi_cover *x, const swi_cover *y) {
    return swi_clash(p->m, x->form, y->form, y->row - x->row, y->col - x->col);
}

static void clear_of(swi_prover *p, uint16_t a, uint16_t b) {
    for (uint32_t i = 0; i < p->cover_counts[a] && !p->failed; i++)
        for (uint32_t k = 0; k < p->cover_counts[b]; k++)
            if (meet(p, &p->covers[a][i], &p->covers[b][k]))
                SWI_CLAUSE(p, -p->covers[a][i].var, -p->covers[b][k].var);
}

/* Keep-outs are things that stand where they are. */
static void clear_of_keep_outs(swi_prover *p, uint16_t part) {
    for (uint16_t t = p->m->part_count; t < p->m->thing_count; t++) {
        const swi_part *thing = &p->m->parts[t];
        swi_cover there = {thing->shapes[0].form, thing->fixed_row, thing->fixed_col, 0};
        for (uint32_t i = 0; i < p->cover_counts[part]; i++)
            if (meet(p, &p->covers[part][i], &there))
                SWI_CLAUSE(p, -p->covers[part][i].var);
    }
}

/* A plan turned by half a turn is a plan: one part with ways that differ by it need
 * only stand in one of them.  Only when every part may be turned so and nothing is
 * tied to a place. */
static bool half_turn_allowed(const swi_model *m) {
    for (uint16_t i = 0; i < m->part_count; i++) {
        unsigned turns = 0, turned = 0;
        for (uint16_t s = 0; s < m->parts[i].shape_count; s++) {
            turns |= 1u << m->parts[i].shapes[s].turn / 90;
            turned |= 1u << (m->parts[i].shapes[s].turn / 90 + 2) % 4;
        }
        if ((turns != turned && m->parts[i].pin_count > 1) || m->parts[i].edge)
            return false;
    }
    return !m->has_fixed;
}

static void break_symmetry(swi_prover *p) {
    const swi_model *m = p->m;
    if (!half_turn_allowed(m))
        return;
    uint16_t part = m->by_rank[0];
    for (uint32_t i = 0; i < p->stand_counts[part]; i++)
        if (m->parts[part].shapes[p->stands[part][i].place.shape].turn >= 180)
            SWI_CLAUSE(p, -p->stands[part][i].var);
}

/* ---- what a stand does to the holes ---- */

static void block_links(swi_prover *p, uint16_t form, int row, int col, int cover) {
    const swi_form *f = &p->m->forms[form];
    for (uint32_t i = 0; i < f->cell_count; i++) {
        int r = row + f->cells[i].row, c = col + f->cells[i].col;
        if (r < 0 || r >= p->rows || c < 0 || c >= p->cols)
            continue; /* no link is there */
        int hole = swi_prove_hole(p, r, c);
        if (f->cells[i].flags & SWI_CELL_THROUGH)
            SWI_CLAUSE(p, -cover, p->through[hole]);
        if (f->cells[i].flags & SWI_CELL_GAP)
            SWI_CLAUSE(p, -cover, p->gap[hole]);
        if (f->cells[i].flags & SWI_CELL_END)
            SWI_CLAUSE(p, -cover, p->end[hole]);
    }
}

static void stand_on_copper(swi_prover *p, uint16_t part) {
    const swi_part *a = &p->m->parts[part];
    for (uint32_t i = 0; i < p->stand_counts[part]; i++) {
        const swi_stand *stand = &p->stands[part][i];
        const swi_shape *shape = &a->shapes[stand->place.shape];
        for (unsigned k = 0; k < a->pin_count; k++) {
            int hole = swi_prove_hole(p, stand->place.row + shape->leads[k].row, stand->place.col + shape->leads[k].column);
            SWI_CLAUSE(p, -stand->var, swi_prove_label(p, hole, a->node[k]));
            SWI_CLAUSE(p, -stand->var, -p->cut[hole]);
        }
    }
    for (uint32_t i = 0; i < p->cover_counts[part]; i++) {
        const swi_cover *cover = &p->covers[part][i];
        block_links(p, cover->form, cover->row, cover->col, cover->var);
    }
}

/* ---- label ---- */

static void label_holes(swi_prover *p) {
    int nodes = p->m->node_count;
    for (int h = 0; h < p->holes; h++) {
        for (int n = 0; n < nodes; n++) {
            SWI_CLAUSE(p, -p->cut[h], -swi_prove_label(p, h, n));
            for (int o = n + 1; o < nodes; o++)
                SWI_CLAUSE(p, -swi_prove_label(p, h, n), -swi_prove_label(p, h, o));
        }
    }
}

static void label_strips(swi_prover *p) {
    for (int r = 0; r < p->rows; r++)
        for (int c = 0; c + 1 < p->cols; c++) {
            int h = swi_prove_hole(p, r, c);
            for (int n = 0; n < p->m->node_count; n++) {
                int here = swi_prove_label(p, h, n), next = swi_prove_label(p, h + 1, n), carry = swi_prove_carry(p, h, n);
                SWI_CLAUSE(p, p->cut[h], p->cut[h + 1], -here, next);
                SWI_CLAUSE(p, p->cut[h], p->cut[h + 1], here, -next);
                SWI_CLAUSE(p, -carry, here);
                SWI_CLAUSE(p, -carry, next); /* a cut hole has no label: both are uncut */
            }
        }
}

/* ---- links ---- */

static void list_spans(swi_prover *p) {
    uint32_t most = (uint32_t)(p->cols * p->rows * (p->rows - 1) / 2), count = 0;
    p->spans = swi_arena_array(p->arena, most + 1, sizeof *p->spans);
    p->failed |= !p->spans;
    for (int c = 0; p->spans && c < p->cols; c++)
        for (int r = 0; r < p->rows; r++)
            for (int to = r + 1; to < p->rows && to - r <= p->m->longest_link; to++)
                p->spans[count++] = (swi_span){(int16_t)c, (int16_t)r, (int16_t)to, swi_prove_var(p), new_vars(p, p->m->node_count)};
    p->span_count = count;
}

static void span_keeps_clear(swi_prover *p, const swi_span *s) {
    for (int r = s->from; r <= s->to; r++) {
        int hole = swi_prove_hole(p, r, s->col);
        SWI_CLAUSE(p, -s->var, -p->through[hole]);
        if (r < s->to)
            SWI_CLAUSE(p, -s->var, -p->gap[hole]);
    }
    SWI_CLAUSE(p, -s->var, -p->end[swi_prove_hole(p, s->from, s->col)]);
    SWI_CLAUSE(p, -s->var, -p->end[swi_prove_hole(p, s->to, s->col)]);
}

/* A link carries a node of two leads and more, at both ends. */
static void span_carries(swi_prover *p, const swi_span *s) {
    int a = swi_prove_hole(p, s->from, s->col), b = swi_prove_hole(p, s->to, s->col);
    for (int n = 0; n < p->m->node_count; n++) {
        if (leads_of(p, n) < 2) {
            SWI_CLAUSE(p, -s->of_node[n]);
            continue;
        }
        SWI_CLAUSE(p, -s->of_node[n], s->var);
        SWI_CLAUSE(p, -s->of_node[n], swi_prove_label(p, a, n));
        SWI_CLAUSE(p, -s->of_node[n], swi_prove_label(p, b, n));
    }
    for (int n = 0; n < p->m->node_count; n++)
        ccadical_add(p->solver, s->of_node[n]);
    SWI_CLAUSE(p, -s->var);
}

static void spans_apart(swi_prover *p) {
    for (uint32_t i = 0; i < p->span_count; i++)
        for (uint32_t k = i + 1; k < p->span_count && p->spans[k].col == p->spans[i].col; k++)
            if (p->spans[k].from <= p->spans[i].to && p->spans[i].from <= p->spans[k].to)
                SWI_CLAUSE(p, -p->spans[i].var, -p->spans[k].var);
}

static void encode_spans(swi_prover *p) {
    list_spans(p);
    for (uint32_t i = 0; i < p->span_count && !p->failed; i++) {
        span_keeps_clear(p, &p->spans[i]);
        span_carries(p, &p->spans[i]);
    }
    if (!p->failed)
        spans_apart(p);
}

/* ---- cross ---- */

static bool in_node(const swi_part *part, unsigned pin, int node) { return part->node[pin] == node; }

/* below: implied when a lead of the node is before the line; beyond: when one is after it. */
static void sides_of_line(swi_prover *p, int node, bool columns, int line, int below, int beyond) {
    for (uint16_t a = 0; a < p->m->part_count; a++)
        for (uint32_t i = 0; i < p->stand_counts[a]; i++) {
            const swi_stand *stand = &p->stands[a][i];
            const swi_part *part = &p->m->parts[a];
            const sw_offset *leads = part->shapes[stand->place.shape].leads;
            bool before = false, after = false;
            for (unsigned k = 0; k < part->pin_count; k++) {
                int at = columns ? stand->place.col + leads[k].column : stand->place.row + leads[k].row;
                before |= in_node(part, k, node) && at <= line;
                after |= in_node(part, k, node) && at > line;
            }
            if (before)
                SWI_CLAUSE(p, -stand->var, below);
            if (after)
                SWI_CLAUSE(p, -stand->var, beyond);
        }
}

static void cross_columns(swi_prover *p, int node) {
    for (int line = 0; line + 1 < p->cols && !p->failed; line++) {
        int below = swi_prove_var(p), beyond = swi_prove_var(p);
        sides_of_line(p, node, true, line, below, beyond);
        for (int r = 0; r < p->rows; r++)
            ccadical_add(p->solver, swi_prove_carry(p, swi_prove_hole(p, r, line), node));
        SWI_CLAUSE(p, -below, -beyond);
    }
}

static void cross_strips(swi_prover *p, int node) {
    for (int line = 0; line + 1 < p->rows && !p->failed; line++) {
        int below = swi_prove_var(p), beyond = swi_prove_var(p);
        sides_of_line(p, node, false, line, below, beyond);
        for (uint32_t i = 0; i < p->span_count; i++)
            if (p->spans[i].from <= line && p->spans[i].to > line)
                ccadical_add(p->solver, p->spans[i].of_node[node]);
        SWI_CLAUSE(p, -below, -beyond);
    }
}

/* A node that a package joins inside may cross through it: such nodes are left to the
 * clauses that are added later. */
static void encode_crossings(swi_prover *p) {
    for (int n = 0; n < p->m->node_count && !p->failed; n++)
        if (leads_of(p, n) > 1 && p->m->nodes[n].join_count == 0) {
            cross_columns(p, n);
            cross_strips(p, n);
        }
}

/* ---- all of it ---- */

static bool room(swi_prover *p) {
    size_t labels = (size_t)p->holes * p->m->node_count;
    p->stands = swi_arena_array(p->arena, (size_t)p->m->part_count + 1, sizeof *p->stands);
    p->stand_counts = swi_arena_array(p->arena, (size_t)p->m->part_count + 1, sizeof *p->stand_counts);
    p->covers = swi_arena_array(p->arena, (size_t)p->m->part_count + 1, sizeof *p->covers);
    p->cover_counts = swi_arena_array(p->arena, (size_t)p->m->part_count + 1, sizeof *p->cover_counts);
    p->cut = new_vars(p, (size_t)p->holes);
    p->through = new_vars(p, (size_t)p->holes);
    p->gap = new_vars(p, (size_t)p->holes);
    p->end = new_vars(p, (size_t)p->holes);
    p->label = new_vars(p, labels);
    p->carry = new_vars(p, labels);
    p->failed |= !p->stands || !p->stand_counts || !p->covers || !p->cover_counts;
    return !p->failed;
}

static void encode(swi_prover *p, bool any_turn) {
    uint16_t parts = p->m->part_count;
    for (uint16_t a = 0; a < parts && !p->failed; a++)
        list_stands(p, a);
    for (uint16_t a = 0; a < parts && !p->failed; a++) {
        one_stand(p, a);
        clear_of_keep_outs(p, a);
        stand_on_copper(p, a);
        for (uint16_t b = (uint16_t)(a + 1); b < parts; b++)
            clear_of(p, a, b);
    }
    if (p->failed)
        return;
    for (uint16_t t = parts; t < p->m->thing_count; t++) {
        int always = swi_prove_var(p);
        SWI_CLAUSE(p, always);
        block_links(p, p->m->parts[t].shapes[0].form, p->m->parts[t].fixed_row, p->m->parts[t].fixed_col, always);
    }
    if (!any_turn)
        break_symmetry(p);
    label_holes(p);
    label_strips(p);
    encode_spans(p);
    encode_crossings(p);
}

swi_prover *swi_prover_new(const swi_model *m, int rows, int cols, bool any_turn) {
    swi_prover *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    *p = (swi_prover){.m = m, .rows = rows, .cols = cols, .holes = rows * cols};
    p->arena = swi_arena_new();
    p->solver = ccadical_init();
    p->failed = !p->arena || !p->solver;
    if (!p->failed && room(p))
        encode(p, any_turn);
    if (p->failed) {
        swi_prover_free(p);
        return NULL;
    }
    return p;
}

void swi_prover_free(swi_prover *p) {
    if (!p)
        return;
    if (p->solver)
        ccadical_release(p->solver);
    swi_arena_free(p->arena);
    free(p);
}

void swi_prover_fix(swi_prover *p, const swi_sketch *known) {
    for (uint16_t a = 0; a < p->m->part_count; a++)
        for (uint32_t i = 0; i < p->stand_counts[a]; i++) {
            const swi_place *place = &p->stands[a][i].place, *there = &known->places[a];
            if (place->row == there->row && place->col == there->col && place->shape == there->shape)
                SWI_CLAUSE(p, p->stands[a][i].var);
        }
    for (uint32_t i = 0; i < known->link_count; i++)
        for (uint32_t k = 0; k < p->span_count; k++)
            if (p->spans[k].col == known->links[i].col && p->spans[k].from == known->links[i].from &&
                p->spans[k].to == known->links[i].to)
                SWI_CLAUSE(p, p->spans[k].of_node[known->links[i].node]);
}

enum { CONFLICTS_A_CALL = 20000 };

swi_verdict swi_prover_run(swi_prover *p, int64_t *conflicts, bool (*stop)(void *), void *user, swi_sketch *found) {
    while (*conflicts > 0 && !(stop && stop(user))) {
        ccadical_limit(p->solver, "conflicts", CONFLICTS_A_CALL);
        int answer = ccadical_solve(p->solver);
        if (answer == 20)
            return SWI_REFUTED;
        *conflicts -= answer == 10 ? CONFLICTS_A_CALL / 20 : CONFLICTS_A_CALL;
        if (answer != 10)
            continue;
        int added = swi_prove_joins(p);
        if (added < 0 || p->failed)
            return SWI_NO_MEMORY;
        if (added == 0)
            return swi_prove_read(p, found) ? SWI_FOUND : SWI_NO_MEMORY;
    }
    return SWI_UNDECIDED;
}

#else

bool swi_prover_there(void) { return false; }

swi_prover *swi_prover_new(const swi_model *m, int rows, int cols, bool any_turn) {
    (void)m, (void)rows, (void)cols, (void)any_turn;
    return NULL;
}

void swi_prover_free(swi_prover *p) { (void)p; }

void swi_prover_fix(swi_prover *p, const swi_sketch *known) { (void)p, (void)known; }

swi_verdict swi_prover_run(swi_prover *p, int64_t *conflicts, bool (*stop)(void *), void *user, swi_sketch *found) {
    (void)p, (void)conflicts, (void)stop, (void)user, (void)found;
    return SWI_UNDECIDED;
}

#endif
