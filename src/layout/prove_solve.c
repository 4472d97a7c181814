/* src/layout/prove_solve.c: the question about one board, and the solver that answers it. */
#include "config.h"

#include <stdlib.h>
#include "prove.h"

#ifdef HAVE_CADICAL
#include <ccadical.h>

/* Beyond this a question is not worth asking. */
#define MOST_CLAUSES 12000000

bool swi_prover_there(void) { return true; }

int swi_prove_var(swi_prover *p) { return ++p->vars; }

int *swi_prove_vars(swi_prover *p, size_t count) {
    int *vars = swi_arena_array(p->arena, count + 1, sizeof *vars);
    for (size_t i = 0; vars && i < count; i++)
        vars[i] = swi_prove_var(p);
    p->failed |= !vars;
    return vars;
}

void swi_prove_add(swi_prover *p, int literal) { ccadical_add(p->solver, literal); }

void swi_prove_clause(swi_prover *p, const int *literals, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (literals[i])
            ccadical_add(p->solver, literals[i]);
    ccadical_add(p->solver, 0);
    p->clauses++;
    p->failed |= p->clauses > MOST_CLAUSES;
}

bool swi_prove_value(const swi_prover *p, int var) { return var && ccadical_val(p->solver, var) > 0; }

static bool room(swi_prover *p) {
    size_t holes = (size_t)p->holes, nodes = p->m->node_count, parts = (size_t)p->m->part_count + 1;
    size_t lines = nodes * (size_t)(p->rows > p->cols ? p->rows : p->cols);
    p->stands = swi_arena_array(p->arena, parts, sizeof *p->stands);
    p->stand_counts = swi_arena_array(p->arena, parts, sizeof *p->stand_counts);
    p->covers = swi_arena_array(p->arena, parts, sizeof *p->covers);
    p->cover_counts = swi_arena_array(p->arena, parts, sizeof *p->cover_counts);
    p->spans = swi_arena_array(p->arena, holes * (size_t)p->rows * nodes + 1, sizeof *p->spans);
    int **of_holes[] = {&p->through, &p->gap, &p->end, &p->joint};
    int **of_labels[] = {&p->lead, &p->label, &p->carry, &p->of_node, &p->ends};
    int **of_lines[] = {&p->before_col, &p->after_col, &p->before_row, &p->after_row};
    for (size_t i = 0; i < sizeof of_holes / sizeof *of_holes; i++)
        *of_holes[i] = swi_prove_vars(p, holes);
    for (size_t i = 0; i < sizeof of_labels / sizeof *of_labels; i++)
        *of_labels[i] = swi_prove_vars(p, holes * nodes);
    for (size_t i = 0; i < sizeof of_lines / sizeof *of_lines; i++)
        *of_lines[i] = swi_prove_vars(p, lines);
    p->failed |= !p->stands || !p->stand_counts || !p->covers || !p->cover_counts || !p->spans;
    return !p->failed;
}

swi_prover *swi_prover_new(const swi_model *m, swi_size size, const swi_cube *cube) {
    swi_prover *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    *p = (swi_prover){.m = m, .cube = cube, .rows = size.rows, .cols = size.cols, .holes = size.rows * size.cols};
    p->arena = swi_arena_new();
    p->solver = ccadical_init();
    p->failed = !p->arena || !p->solver;
    if (p->solver)
        ccadical_set_option(p->solver, "quiet", 1);
    if (!p->failed && room(p)) {
        swi_prove_stands(p);
        if (!p->failed)
            swi_prove_wires(p);
        if (!p->failed)
            swi_prove_counts(p);
    }
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
    for (uint32_t i = 0; i < known->link_count; i++) {
        const swi_fixed_link *l = &known->links[i];
        SWI_CLAUSE(p, swi_prove_span(p, l->col, l->from, l->to, l->node));
    }
}

enum { CONFLICTS_A_CALL = 1000 };

swi_verdict swi_prover_run(swi_prover *p, int64_t *conflicts, bool (*stop)(void *), void *user, swi_sketch *found) {
    while (*conflicts > 0 && !(stop && stop(user))) {
        ccadical_limit(p->solver, "conflicts", CONFLICTS_A_CALL);
        int answer = ccadical_solve(p->solver);
        *conflicts -= answer == 0 ? CONFLICTS_A_CALL : CONFLICTS_A_CALL / 5;
        if (answer == 20)
            return SWI_REFUTED;
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

swi_prover *swi_prover_new(const swi_model *m, swi_size size, const swi_cube *cube) {
    (void)m, (void)size, (void)cube;
    return NULL;
}

void swi_prover_free(swi_prover *p) { (void)p; }

void swi_prover_fix(swi_prover *p, const swi_sketch *known) { (void)p, (void)known; }

swi_verdict swi_prover_run(swi_prover *p, int64_t *conflicts, bool (*stop)(void *), void *user, swi_sketch *found) {
    (void)p, (void)conflicts, (void)stop, (void)user, (void)found;
    return SWI_UNDECIDED;
}

#endif
