/* src/papers/probe_network.c: what a meter sees between two nodes with the ICs out.
 *
 * The resistors are a network; the resistance between two nodes follows from
 * Kirchhoff's laws: one ampere in at the one, out at the other, solve for the
 * voltages (Gauss with pivoting over the nodes that resistors reach).  Diodes,
 * capacitors and coils mislead a meter in ways of their own: whether a way
 * through such parts exists is found by walking from the one node.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "probes.h"

typedef struct branch {
    uint32_t a, b;           /* nodes, from 0 */
    char kind;               /* R D C L */
    double ohms;
    const char *ref;
} branch;

struct swi_network {
    const sw_circuit *circuit;
    uint32_t node_count, branch_count;
    branch *branches;
};

enum { MOST_SOLVED = 400 };  /* nodes: a system of this size takes milliseconds */

/* A meter beeps below some 50 Ω: diodes, capacitors and coils behind more than this
 * do not mislead it (common practice). */
#define NEAR_OHMS 200.0

static char branch_kind(const sw_part *part) {
    switch (part->kind) {
    case 'R': case 'D': case 'C': case 'L':
        return part->kind;
    default:
        return 0;
    }
}

static bool add_branch(swi_network *n, size_t *capacity, branch b) {
    if (b.a == b.b)
        return true;
    if (!SWI_GROW(n->branches, *capacity, (size_t)n->branch_count + 1))
        return false;
    n->branches[n->branch_count++] = b;
    return true;
}

static uint32_t node_of(const sw_circuit *c, const sw_part *part, uint32_t pin) {
    return c->pins[part->first_pin.i + pin].node.i;
}

/* A preset's track is its value between the ends; the wiper may stand anywhere, so
 * it is taken in the middle. */
static bool add_preset(swi_network *n, size_t *capacity, const sw_circuit *c, const sw_part *part, double ohms) {
    uint32_t one = node_of(c, part, 0), wiper = node_of(c, part, 1), other = node_of(c, part, 2);
    return add_branch(n, capacity, (branch){one, wiper, 'R', ohms / 2, part->ref}) &&
           add_branch(n, capacity, (branch){wiper, other, 'R', ohms / 2, part->ref});
}

swi_network *swi_network_new(const sw_circuit *c) {
    swi_network *n = calloc(1, sizeof *n);
    size_t capacity = 0;
    bool ok = n != NULL;
    for (uint32_t i = 0; ok && i < c->part_count; i++) {
        const sw_part *part = &c->parts[i];
        char kind = branch_kind(part);
        double ohms = 0;
        bool known = (kind == 'R' || part->kind == 'P') && sw_value_read(part->value, SW_OHMS, false, &ohms);
        if (kind && part->pin_count == 2 && (kind != 'R' || known))
            ok = add_branch(n, &capacity, (branch){node_of(c, part, 0), node_of(c, part, 1), kind, ohms, part->ref});
        else if (part->kind == 'P' && part->pin_count == 3 && known)
            ok = add_preset(n, &capacity, c, part, ohms);
    }
    if (n) {
        n->circuit = c;
        n->node_count = c->node_count;
    }
    if (!ok) {
        swi_network_free(n);
        return NULL;
    }
    return n;
}

void swi_network_free(swi_network *n) {
    if (n)
        free(n->branches);
    free(n);
}

/* Marks what can be reached from `from` over branches of the given kinds, resistors
 * up to `most` ohms. */
static void reach(const swi_network *n, uint32_t from, const char *kinds, double most, bool *seen) {
    bool more = true;
    memset(seen, 0, n->node_count * sizeof *seen);
    seen[from] = true;
    while (more) {
        more = false;
        for (uint32_t i = 0; i < n->branch_count; i++) {
            const branch *b = &n->branches[i];
            if (strchr(kinds, b->kind) && (b->kind != 'R' || b->ohms <= most) && seen[b->a] != seen[b->b])
                seen[b->a] = seen[b->b] = more = true;
        }
    }
}

/* Solves m·x = right in place; false when singular. */
static bool solve(double *m, double *right, uint32_t size) {
    for (uint32_t k = 0; k < size; k++) {
        uint32_t best = k;
        for (uint32_t r = k + 1; r < size; r++)
            if (fabs(m[r * size + k]) > fabs(m[best * size + k]))
                best = r;
        if (fabs(m[best * size + k]) < 1e-18)
            return false;
        for (uint32_t c = 0; c < size; c++) {
            double t = m[k * size + c];
            m[k * size + c] = m[best * size + c];
            m[best * size + c] = t;
        }
        double t = right[k];
        right[k] = right[best];
        right[best] = t;
        for (uint32_t r = k + 1; r < size; r++) {
            double f = m[r * size + k] / m[k * size + k];
            for (uint32_t c = k; f != 0 && c < size; c++)
                m[r * size + c] -= f * m[k * size + c];
            right[r] -= f * right[k];
        }
    }
    for (uint32_t k = size; k-- > 0;) {
        for (uint32_t c = k + 1; c < size; c++)
            right[k] -= m[k * size + c] * right[c];
        right[k] /= m[k * size + k];
    }
    return true;
}

/* Fills the conductances among the reached nodes, b being ground. */
static void fill(const swi_network *n, const uint32_t *row, double *m, uint32_t size) {
    for (uint32_t i = 0; i < n->branch_count; i++) {
        const branch *x = &n->branches[i];
        if (x->kind != 'R')
            continue;
        double g = 1 / (x->ohms > 1e-3 ? x->ohms : 1e-3);
        uint32_t a = row[x->a], b = row[x->b];
        if (a != SW_NONE)
            m[a * size + a] += g;
        if (b != SW_NONE)
            m[b * size + b] += g;
        if (a != SW_NONE && b != SW_NONE) {
            m[a * size + b] -= g;
            m[b * size + a] -= g;
        }
    }
}

static bool resistance(const swi_network *n, uint32_t a, uint32_t b, const bool *seen, double *ohms) {
    uint32_t size = 0;
    uint32_t *row = calloc(n->node_count, sizeof *row);
    if (!row)
        return false;
    for (uint32_t i = 0; i < n->node_count; i++)
        row[i] = seen[i] && i != b ? size++ : SW_NONE;
    double *m = size <= MOST_SOLVED ? calloc((size_t)size * size, sizeof *m) : NULL;
    double *x = calloc(size, sizeof *x);
    bool ok = m && x;
    if (ok) {
        fill(n, row, m, size);
        x[row[a]] = 1;
        ok = solve(m, x, size);
        *ohms = ok ? x[row[a]] : HUGE_VAL;
    }
    free(row);
    free(m);
    free(x);
    return ok;
}

/* The one resistor right between the two, if what is read is its own value. */
static const char *sole_resistor(const swi_network *n, uint32_t a, uint32_t b, double ohms) {
    for (uint32_t i = 0; i < n->branch_count; i++) {
        const branch *x = &n->branches[i];
        bool between = (x->a == a && x->b == b) || (x->a == b && x->b == a);
        if (x->kind == 'R' && between && fabs(x->ohms - ohms) < 0.01 * x->ohms)
            return x->ref;
    }
    return "";
}

/* A part of this kind on a way of small resistors and such parts from a to b. */
static const char *on_the_way(const swi_network *n, uint32_t a, uint32_t b, char kind, bool *from_a, bool *from_b) {
    char kinds[3] = {'R', kind, '\0'};
    reach(n, a, kinds, NEAR_OHMS, from_a);
    if (!from_a[b])
        return "";
    reach(n, a, "R", NEAR_OHMS, from_a);
    reach(n, b, kinds, NEAR_OHMS, from_b);
    for (uint32_t i = 0; i < n->branch_count; i++) {
        const branch *x = &n->branches[i];
        if (x->kind == kind && from_b[x->a] && from_b[x->b] && from_a[x->a] != from_a[x->b])
            return x->ref;
    }
    return "";
}

bool swi_network_between(const swi_network *n, uint32_t node_a, uint32_t node_b, swi_between *out) {
    *out = (swi_between){HUGE_VAL, "", "", "", ""};
    uint32_t a = sw_circuit_numbered(n->circuit, node_a).i, b = sw_circuit_numbered(n->circuit, node_b).i;
    if (a == SW_NONE || b == SW_NONE || a == b)
        return true;
    bool *from_a = calloc(n->node_count, sizeof *from_a), *from_b = calloc(n->node_count, sizeof *from_b);
    bool ok = from_a && from_b;
    if (ok) {
        reach(n, a, "R", HUGE_VAL, from_a);
        if (from_a[b])
            ok = resistance(n, a, b, from_a, &out->ohms);
        if (ok && out->ohms < HUGE_VAL)
            out->resistor = sole_resistor(n, a, b, out->ohms);
        out->diode = on_the_way(n, a, b, 'D', from_a, from_b);
        out->capacitor = on_the_way(n, a, b, 'C', from_a, from_b);
        out->coil = on_the_way(n, a, b, 'L', from_a, from_b);
    }
    free(from_a);
    free(from_b);
    return ok;
}
