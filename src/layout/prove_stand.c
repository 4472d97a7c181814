/* src/layout/prove_stand.c: clauses about where parts stand and what they cover. */
#include "config.h"

#include "prove.h"

#ifdef HAVE_CADICAL

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
                if (swi_cube_allows(p->m, p->cube, part, (swi_place){(int16_t)r, (int16_t)c, (int16_t)s}))
                    add_stand(p, part, s, r, c);
}

/* ---- one stand a part ---- */

static int row_of(const swi_stand *s) { return s->place.row; }
static int col_of(const swi_stand *s) { return s->place.col; }
static int shape_of(const swi_stand *s) { return s->place.shape; }

/* A part's row (column, shape) as a staircase: step i says "at most i", so stands of different rows
 * exclude each other, and what the solver learns is about halves of the board. */
static void staircase(swi_prover *p, uint16_t part, int steps, int (*at)(const swi_stand *)) {
    const swi_stand *list = p->stands[part];
    int *most = swi_prove_vars(p, (size_t)steps);
    if (!most)
        return;
    for (int i = 0; i + 1 < steps; i++)
        SWI_CLAUSE(p, -most[i], most[i + 1]);
    SWI_CLAUSE(p, most[steps - 1]);
    for (int i = 0; i < steps; i++) {
        for (uint32_t k = 0; k < p->stand_counts[part]; k++)
            if (at(&list[k]) == i) {
                SWI_CLAUSE(p, -list[k].var, most[i]);
                if (i > 0)
                    SWI_CLAUSE(p, -list[k].var, -most[i - 1]);
            }
        for (uint32_t k = 0; k < p->stand_counts[part]; k++)
            if (at(&list[k]) == i)
                swi_prove_add(p, list[k].var);
        SWI_CLAUSE(p, -most[i], i > 0 ? most[i - 1] : 0);
    }
}

static void one_stand(swi_prover *p, uint16_t part) {
    staircase(p, part, p->rows, row_of);
    staircase(p, part, p->cols, col_of);
    staircase(p, part, p->m->parts[part].shape_count, shape_of);
}

/* ---- clear of each other ---- */

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
            SWI_CLAUSE(p, -stand->var, swi_prove_of(p, p->lead, hole, a->node[k]));
        }
    }
    for (uint32_t i = 0; i < p->cover_counts[part]; i++) {
        const swi_cover *cover = &p->covers[part][i];
        block_links(p, cover->form, cover->row, cover->col, cover->var);
    }
}

void swi_prove_stands(swi_prover *p) {
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
    for (uint16_t t = parts; t < p->m->thing_count && !p->failed; t++) {
        int always = swi_prove_var(p);
        SWI_CLAUSE(p, always);
        block_links(p, p->m->parts[t].shapes[0].form, p->m->parts[t].fixed_row, p->m->parts[t].fixed_col, always);
    }
}

#endif
