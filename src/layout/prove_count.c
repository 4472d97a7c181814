/* src/layout/prove_count.c: clauses that count, for what a solver does not see by itself.
 *
 * That ten nodes cannot pass a line on nine strips takes a solver that only draws
 * conclusions from clauses very long, unless it is given counters.  On a line
 * between two columns each strip carries one node at most.  On a line between two
 * strips each column has room for one thing: a link, or a part that lies deep
 * over the middle between its two holes.
 */
#include "config.h"

#include <stdlib.h>
#include "prove.h"

#ifdef HAVE_CADICAL

typedef struct literals {
    int *items;
    size_t count, room;
} literals;

static void add(swi_prover *p, literals *l, int literal) {
    if (SWI_GROW(l->items, l->room, l->count + 1))
        l->items[l->count++] = literal;
    else
        p->failed = true;
}

/* At most so many of them: sum[i] is implied when more than i of those so far are true. */
static void at_most(swi_prover *p, const literals *l, int most) {
    if (l->count <= (size_t)most)
        return;
    const int *before = NULL;
    for (size_t k = 0; k < l->count && !p->failed; k++) {
        const int *sum = swi_prove_vars(p, (size_t)most);
        if (!sum)
            return;
        SWI_CLAUSE(p, -l->items[k], sum[0]);
        for (int i = 0; before && i < most; i++) {
            SWI_CLAUSE(p, -before[i], sum[i]);
            if (i + 1 < most)
                SWI_CLAUSE(p, -l->items[k], -before[i], sum[i + 1]);
        }
        if (before)
            SWI_CLAUSE(p, -l->items[k], -before[most - 1]);
        before = sum;
    }
}

/* Implied when the node has leads on both sides of the line, and so passes it. */
static void add_passing(swi_prover *p, literals *l, const int *before, const int *after, int line) {
    for (int n = 0; n < p->m->node_count; n++) {
        if (!swi_prove_wired(p, n) || p->m->nodes[n].join_count > 0)
            continue;
        int passes = swi_prove_var(p);
        SWI_CLAUSE(p, -swi_prove_line(p, before, n, line), -swi_prove_line(p, after, n, line), passes);
        add(p, l, passes);
    }
}

/* Columns that a form shuts to links on a line so many half pitches below its anchor. */
static int shut_columns(const swi_form *form, int first_col, int last_col, double y) {
    int count = 0;
    for (int c = first_col; c <= last_col; c++) {
        bool shut = false;
        for (uint32_t i = 0; i < form->outline_count; i++) {
            const swi_outline *o = &form->outlines[i];
            shut |= swi_outline_holds(o, c * SW_PITCH_MM, y) && !(o->body && c >= form->under_first && c <= form->under_last);
        }
        count += shut;
    }
    return count;
}

/* step[i] is implied when the part takes more than i columns of the line. */
static void add_part(swi_prover *p, literals *l, uint16_t part, int line) {
    int *step = NULL, steps = 0;
    for (uint32_t i = 0; i < p->cover_counts[part] && !p->failed; i++) {
        const swi_cover *cover = &p->covers[part][i];
        int shut = shut_columns(&p->m->forms[cover->form], -cover->col, p->cols - 1 - cover->col,
                                (line - cover->row + 0.5) * SW_PITCH_MM);
        if (shut == 0)
            continue;
        if (!step && !(step = swi_prove_vars(p, (size_t)p->cols)))
            return;
        steps = shut > steps ? shut : steps;
        SWI_CLAUSE(p, -cover->var, step[shut - 1]);
    }
    for (int i = 0; i < steps; i++) {
        if (i > 0)
            SWI_CLAUSE(p, -step[i], step[i - 1]);
        add(p, l, step[i]);
    }
}

void swi_prove_counts(swi_prover *p) {
    literals l = {NULL, 0, 0};
    for (int line = 0; line + 1 < p->cols && !p->failed; line++) {
        l.count = 0;
        add_passing(p, &l, p->before_col, p->after_col, line);
        at_most(p, &l, p->rows);
    }
    for (int line = 0; line + 1 < p->rows && !p->failed; line++) {
        l.count = 0;
        add_passing(p, &l, p->before_row, p->after_row, line);
        for (uint16_t a = 0; a < p->m->part_count; a++)
            add_part(p, &l, a, line);
        at_most(p, &l, p->cols);
    }
    free(l.items);
}

#endif
