/* src/layout/prove_wire.c: clauses about copper and links. */
#include "config.h"

#include "prove.h"

#ifdef HAVE_CADICAL

/* ---- label ---- */

/* One node a hole, and no two nodes side by side: between them is a hole without, for a cut. */
static void label_holes(swi_prover *p) {
    int nodes = p->m->node_count;
    for (int h = 0; h < p->holes && !p->failed; h++)
        for (int n = 0; n < nodes; n++) {
            int here = swi_prove_of(p, p->label, h, n);
            SWI_CLAUSE(p, -swi_prove_of(p, p->lead, h, n), here);
            for (int o = n + 1; o < nodes; o++)
                SWI_CLAUSE(p, -here, -swi_prove_of(p, p->label, h, o));
            if ((h + 1) % p->cols == 0)
                continue;
            for (int o = 0; o < nodes; o++)
                if (o != n)
                    SWI_CLAUSE(p, -here, -swi_prove_of(p, p->label, h + 1, o));
            SWI_CLAUSE(p, -swi_prove_of(p, p->carry, h, n), here);
            SWI_CLAUSE(p, -swi_prove_of(p, p->carry, h, n), swi_prove_of(p, p->label, h + 1, n));
        }
}

/* ---- link ---- */

/* The joint from a strip to the next one below; 0 beyond the board. */
static int joint_at(const swi_prover *p, int row, int col) {
    return row < 0 || row + 1 >= p->rows ? 0 : p->joint[swi_prove_hole(p, row, col)];
}

static void joint_keeps_clear(swi_prover *p, int row, int col) {
    int joint = joint_at(p, row, col), hole = swi_prove_hole(p, row, col), below = hole + p->cols;
    SWI_CLAUSE(p, -joint, -p->through[hole]);
    SWI_CLAUSE(p, -joint, -p->through[below]);
    SWI_CLAUSE(p, -joint, -p->gap[hole]);
    SWI_CLAUSE(p, -joint, joint_at(p, row - 1, col), -p->end[hole]);
    SWI_CLAUSE(p, -joint, joint_at(p, row + 1, col), -p->end[below]);
}

/* One node all along a link, and at the holes of its ends. */
static void joint_carries(swi_prover *p, int row, int col) {
    int joint = joint_at(p, row, col), hole = swi_prove_hole(p, row, col), below = hole + p->cols;
    int above_joint = joint_at(p, row - 1, col), next_joint = joint_at(p, row + 1, col);
    for (int n = 0; n < p->m->node_count; n++) {
        int carried = swi_prove_of(p, p->of_node, hole, n);
        if (!swi_prove_wired(p, n)) {
            SWI_CLAUSE(p, -carried);
            continue;
        }
        SWI_CLAUSE(p, -carried, joint);
        SWI_CLAUSE(p, -carried, above_joint, swi_prove_of(p, p->label, hole, n));
        SWI_CLAUSE(p, -carried, next_joint, swi_prove_of(p, p->label, below, n));
        if (next_joint) {
            int next = swi_prove_of(p, p->of_node, below, n);
            SWI_CLAUSE(p, -carried, -next_joint, next);
            SWI_CLAUSE(p, -next, -joint, carried);
        }
        for (int o = n + 1; o < p->m->node_count; o++)
            SWI_CLAUSE(p, -carried, -swi_prove_of(p, p->of_node, hole, o));
    }
    for (int n = 0; n < p->m->node_count; n++)
        swi_prove_add(p, swi_prove_of(p, p->of_node, hole, n));
    SWI_CLAUSE(p, -joint);
}

static void not_too_long(swi_prover *p, int row, int col) {
    int most = p->m->longest_link;
    if (row + most + 1 >= p->rows)
        return;
    for (int i = 0; i <= most; i++)
        swi_prove_add(p, -joint_at(p, row + i, col));
    swi_prove_clause(p, NULL, 0);
}

static void link_ends(swi_prover *p, int row, int col) {
    int hole = swi_prove_hole(p, row, col), joint = joint_at(p, row, col), above = joint_at(p, row - 1, col);
    for (int n = 0; n < p->m->node_count; n++) {
        int end = swi_prove_of(p, p->ends, hole, n);
        SWI_CLAUSE(p, -end, swi_prove_of(p, p->label, hole, n));
        SWI_CLAUSE(p, -end, joint ? swi_prove_of(p, p->of_node, hole, n) : 0,
                   above ? swi_prove_of(p, p->of_node, hole - p->cols, n) : 0);
        if (joint && above)
            SWI_CLAUSE(p, -end, -joint, -above);
    }
}

static void encode_links(swi_prover *p) {
    for (int r = 0; r < p->rows && !p->failed; r++)
        for (int c = 0; c < p->cols; c++) {
            if (r + 1 < p->rows) {
                joint_keeps_clear(p, r, c);
                joint_carries(p, r, c);
                not_too_long(p, r, c);
            }
            link_ends(p, r, c);
        }
}

int swi_prove_span(swi_prover *p, int col, int from, int to, int node) {
    size_t at = ((size_t)swi_prove_hole(p, from, col) * (size_t)p->rows + (size_t)to) * p->m->node_count + (size_t)node;
    if (p->spans[at])
        return p->spans[at];
    int span = p->spans[at] = swi_prove_var(p);
    if (joint_at(p, from - 1, col))
        SWI_CLAUSE(p, -span, -joint_at(p, from - 1, col));
    if (joint_at(p, to, col))
        SWI_CLAUSE(p, -span, -joint_at(p, to, col));
    for (int r = from; r < to; r++)
        SWI_CLAUSE(p, -span, swi_prove_of(p, p->of_node, swi_prove_hole(p, r, col), node));
    return span;
}

/* ---- cross ---- */

/* Which side of the lines a stand's leads of a node are; the lines between are said by stairs. */
static void stand_sides(swi_prover *p, int node, const swi_part *part, const swi_stand *stand) {
    const sw_offset *leads = part->shapes[stand->place.shape].leads;
    int r0 = p->rows, r1 = -1, c0 = p->cols, c1 = -1;
    for (unsigned k = 0; k < part->pin_count; k++) {
        if (part->node[k] != node)
            continue;
        int r = stand->place.row + leads[k].row, c = stand->place.col + leads[k].column;
        r0 = r < r0 ? r : r0;
        r1 = r > r1 ? r : r1;
        c0 = c < c0 ? c : c0;
        c1 = c > c1 ? c : c1;
    }
    if (r1 < 0)
        return;
    SWI_CLAUSE(p, -stand->var, swi_prove_line(p, p->before_row, node, r0));
    SWI_CLAUSE(p, -stand->var, swi_prove_line(p, p->before_col, node, c0));
    if (r1 > 0)
        SWI_CLAUSE(p, -stand->var, swi_prove_line(p, p->after_row, node, r1 - 1));
    if (c1 > 0)
        SWI_CLAUSE(p, -stand->var, swi_prove_line(p, p->after_col, node, c1 - 1));
}

static void sides(swi_prover *p, int node) {
    for (uint16_t a = 0; a < p->m->part_count; a++)
        for (uint32_t i = 0; i < p->stand_counts[a]; i++)
            stand_sides(p, node, &p->m->parts[a], &p->stands[a][i]);
    for (int l = 0; l + 1 < p->rows; l++) {
        SWI_CLAUSE(p, -swi_prove_line(p, p->before_row, node, l), swi_prove_line(p, p->before_row, node, l + 1));
        SWI_CLAUSE(p, -swi_prove_line(p, p->after_row, node, l + 1), swi_prove_line(p, p->after_row, node, l));
    }
    for (int l = 0; l + 1 < p->cols; l++) {
        SWI_CLAUSE(p, -swi_prove_line(p, p->before_col, node, l), swi_prove_line(p, p->before_col, node, l + 1));
        SWI_CLAUSE(p, -swi_prove_line(p, p->after_col, node, l + 1), swi_prove_line(p, p->after_col, node, l));
    }
}

static void cross(swi_prover *p, int node) {
    for (int l = 0; l + 1 < p->cols; l++) {
        for (int r = 0; r < p->rows; r++)
            swi_prove_add(p, swi_prove_of(p, p->carry, swi_prove_hole(p, r, l), node));
        SWI_CLAUSE(p, -swi_prove_line(p, p->before_col, node, l), -swi_prove_line(p, p->after_col, node, l));
    }
    for (int l = 0; l + 1 < p->rows; l++) {
        for (int c = 0; c < p->cols; c++)
            swi_prove_add(p, swi_prove_of(p, p->of_node, swi_prove_hole(p, l, c), node));
        SWI_CLAUSE(p, -swi_prove_line(p, p->before_row, node, l), -swi_prove_line(p, p->after_row, node, l));
    }
}

/* ---- support ---- */

/* A variable a strip: all leads of the node are there. */
static bool all_on_one(swi_prover *p, int node, int *one) {
    int *vars = swi_prove_vars(p, (size_t)p->rows);
    for (int r = 0; vars && r < p->rows; r++) {
        one[r] = vars[r];
        if (r > 0)
            SWI_CLAUSE(p, -one[r], -swi_prove_line(p, p->before_row, node, r - 1));
        if (r + 1 < p->rows)
            SWI_CLAUSE(p, -one[r], -swi_prove_line(p, p->after_row, node, r));
    }
    return vars != NULL;
}

/* Support comes along the strip from a link's end on the left or on the right. */
static void support_row(swi_prover *p, int node, int row, int one) {
    int *left = swi_prove_vars(p, (size_t)p->cols), *right = swi_prove_vars(p, (size_t)p->cols);
    if (!left || !right)
        return;
    for (int c = 0; c < p->cols; c++) {
        int h = swi_prove_hole(p, row, c), end = swi_prove_of(p, p->ends, h, node);
        SWI_CLAUSE(p, -left[c], swi_prove_of(p, p->label, h, node));
        SWI_CLAUSE(p, -right[c], swi_prove_of(p, p->label, h, node));
        SWI_CLAUSE(p, -left[c], end, c > 0 ? left[c - 1] : 0);
        SWI_CLAUSE(p, -right[c], end, c + 1 < p->cols ? right[c + 1] : 0);
        SWI_CLAUSE(p, -swi_prove_of(p, p->lead, h, node), left[c], right[c], one);
    }
}

static void support(swi_prover *p, int node) {
    int one[SWI_MOST_SIDE];
    if (!all_on_one(p, node, one))
        return;
    for (int r = 0; r < p->rows && !p->failed; r++)
        support_row(p, node, r, one[r]);
}

/* Links of the kept plan that stay; on a board without their holes there is no plan. */
static void keep_links(swi_prover *p) {
    for (uint32_t i = 0; i < p->m->fixed_link_count; i++) {
        const swi_fixed_link *l = &p->m->fixed_links[i];
        bool there = l->to < p->rows && l->col < p->cols;
        int span = there ? swi_prove_span(p, l->col, l->from, l->to, l->node) : 0;
        SWI_CLAUSE(p, span);
    }
}

void swi_prove_wires(swi_prover *p) {
    label_holes(p);
    encode_links(p);
    keep_links(p);
    /* a node that a package joins inside may cross through it: such nodes are left to the
     * clauses that are added later */
    for (int n = 0; n < p->m->node_count && !p->failed; n++)
        if (swi_prove_wired(p, n) && p->m->nodes[n].join_count == 0) {
            sides(p, n);
            cross(p, n);
            support(p, n);
        }
}

#endif
