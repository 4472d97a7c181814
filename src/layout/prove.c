/* src/layout/prove.c: every board smaller than a plan is looked at, largest ones only.
 *
 * A plan that fits a board fits every larger one.  So of all sizes with fewer holes than
 * the plan in hand only those are asked about that do not fit into another one; when
 * they are refuted, so is everything smaller.  Before any of that, the clauses
 * must accept the plan in hand itself: an encoding that refuses a legal plan proves
 * nothing.
 */
#include <stdio.h>
#include <string.h>
#include "emit.h"
#include "lanes.h"
#include "prove.h"

typedef struct proving {
    const swi_model *m;
    sw_proof *proof;
    sw_layout_watch watch;
    void *user;
    double until;            /* by the clock; 0: no cap */
    int64_t conflicts;       /* still to be spent */
    int done, all;           /* sizes, for the watch */
    bool stopped;
    swi_sketch *found;
} proving;

bool sw_layout_can_prove(void) { return swi_prover_there(); }

static bool should_stop(void *user) {
    proving *v = user;
    sw_layout_progress now = {.lane = 0, .lanes = 1, .stage = "proving"};
    now.done = v->all ? (double)v->done / v->all : 0;
    if ((v->until > 0 && swi_seconds() > v->until) || (v->watch && !v->watch(v->user, &now)))
        v->stopped = true;
    return v->stopped;
}

/* Columns that a board of so many strips may have and still be smaller, margin and all. */
static int columns_below(const swi_model *m, int rows, int holes) {
    int lost = 2 * m->options->margin;
    int cols = (holes - 1) / (rows + lost) - lost;
    return cols < m->most_cols ? cols : m->most_cols;
}

/* The sizes to be asked about; returns how many. */
static int list_sizes(const swi_model *m, int holes, int (*sizes)[2], int most) {
    int count = 0, last = m->most_rows < holes ? m->most_rows : holes;
    for (int rows = m->tallest + 1; rows <= last && count < most; rows++) {
        int cols = columns_below(m, rows, holes);
        if (cols < m->widest + 1 || (m->fixed_size && rows != m->most_rows))
            continue;
        if (rows < last && columns_below(m, rows + 1, holes) == cols)
            continue; /* fits into the next one */
        sizes[count][0] = rows;
        sizes[count++][1] = cols;
    }
    return count;
}

static swi_verdict ask(proving *v, int rows, int cols, const swi_sketch *known) {
    swi_prover *p = swi_prover_new(v->m, rows, cols, known != NULL);
    if (!p)
        return SWI_NO_MEMORY;
    if (known)
        swi_prover_fix(p, known);
    int64_t before = v->conflicts;
    swi_verdict verdict = swi_prover_run(p, &v->conflicts, should_stop, v, v->found);
    v->proof->conflicts += (uint64_t)(before - v->conflicts);
    swi_prover_free(p);
    return verdict;
}

/* A size that is too much to ask is undecided. */
static swi_verdict ask_all(proving *v, int (*sizes)[2], int count) {
    swi_verdict worst = SWI_REFUTED;
    v->all = count;
    for (v->done = 0; v->done < count && !v->stopped; v->done++) {
        int64_t rest = v->conflicts; /* a fair share: one hard size must not take it all */
        v->conflicts = rest / (count - v->done);
        rest -= v->conflicts;
        swi_verdict verdict = ask(v, sizes[v->done][0], sizes[v->done][1], NULL);
        v->conflicts += rest;
        if (verdict == SWI_FOUND)
            return SWI_FOUND;
        if (verdict == SWI_REFUTED)
            v->proof->refuted++;
        else
            worst = SWI_UNDECIDED;
    }
    return v->stopped ? SWI_UNDECIDED : worst;
}

static void say(sw_proof *proof, const swi_verdict verdict, bool accepted) {
    if (!accepted)
        snprintf(proof->text, sizeof proof->text,
                 "nothing is shown: the question is too large, or the plan in hand is not of the kind that is asked about");
    else if (verdict == SWI_REFUTED)
        snprintf(proof->text, sizeof proof->text,
                 "no legal plan of fewer than %d holes exists: all %d board sizes that would be smaller are impossible",
                 proof->holes, proof->sizes);
    else if (verdict == SWI_FOUND)
        snprintf(proof->text, sizeof proof->text, "a smaller plan than %d holes was found while proving", proof->holes);
    else
        snprintf(proof->text, sizeof proof->text,
                 "not decided whether a plan of fewer than %d holes exists; none of fewer than %d does, "
                 "then the budget was spent at %d of %d board sizes",
                 proof->holes, proof->bound, proof->refuted, proof->sizes);
}

/* A smaller plan counts only when the check accepts it. */
static sw_status take_found(proving *v, sw_plan **smaller) {
    *smaller = swi_emit(v->m, v->found);
    if (!*smaller)
        return SW_SYSTEM;
    if (sw_check(*smaller, v->m->circuit, v->m->library, NULL, NULL) == SW_OK)
        return SW_OK;
    sw_plan_free(*smaller);
    *smaller = NULL;
    return SW_OK;
}

static sw_status prove(proving *v, const swi_sketch *known, sw_plan **smaller) {
    enum { MOST_SIZES = 200 };
    int sizes[MOST_SIZES][2];
    sw_proof *proof = v->proof;
    int64_t budget = v->conflicts;
    bool accepted = ask(v, known->rows, known->cols, known) == SWI_FOUND;
    swi_verdict verdict = SWI_UNDECIDED;
    v->conflicts = budget;
    /* small boards are refuted soon: so something is shown in any case */
    for (int percent = 60; accepted && percent <= 100; percent += 10) {
        int holes = (proof->holes * percent + 99) / 100;
        proof->refuted = 0;
        proof->sizes = list_sizes(v->m, holes, sizes, MOST_SIZES);
        verdict = ask_all(v, sizes, proof->sizes);
        if (verdict == SWI_REFUTED && proof->sizes < MOST_SIZES && holes > proof->bound)
            proof->bound = holes;
        if (verdict != SWI_REFUTED && percent < 100) {
            proof->sizes = list_sizes(v->m, proof->holes, sizes, MOST_SIZES);
            break;
        }
    }
    sw_status status = verdict == SWI_FOUND ? take_found(v, smaller) : SW_OK;
    if (verdict == SWI_FOUND && !*smaller)
        verdict = SWI_UNDECIDED; /* the clauses allow what the check does not: nothing is shown */
    proof->proven = verdict == SWI_REFUTED && proof->sizes < MOST_SIZES;
    say(proof, verdict, accepted);
    return status;
}

static int64_t budget_of(const sw_layout_options *options) {
    static const int64_t budgets[] = {1000000, 6000000, 40000000}; /* conflicts, by effort */
    return budgets[options->effort];
}

static sw_status prove_on_model(const swi_model *m, const sw_plan *plan, sw_layout_watch watch, void *user,
                                sw_plan **smaller, sw_proof *proof) {
    const sw_layout_options *options = m->options;
    char why[200];
    swi_sketch *known = swi_sketch_new(m), *found = swi_sketch_new(m);
    proving v = {.m = m, .proof = proof, .watch = watch, .user = user, .found = found};
    sw_status status = known && found ? SW_OK : SW_SYSTEM;
    v.until = options->seconds > 0 ? swi_seconds() + options->seconds : 0;
    v.conflicts = budget_of(options);
    proof->bound = swi_bound(m, why, sizeof why);
    if (status == SW_OK && swi_sketch_from(m, plan, known))
        status = prove(&v, known, smaller);
    else
        say(proof, SWI_UNDECIDED, false);
    swi_sketch_free(known);
    swi_sketch_free(found);
    return status;
}

sw_status sw_layout_prove(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                          const sw_plan *plan, sw_layout_watch watch, void *user, sw_diags *diags, sw_plan **smaller,
                          sw_proof *proof) {
    sw_status status = SW_OK;
    swi_params params;
    *smaller = NULL;
    *proof = (sw_proof){.holes = plan->strips * plan->columns};
    if (!swi_prover_there() || options->knife) {
        snprintf(proof->text, sizeof proof->text, "%s", options->knife ? "nothing is shown: plans with knife cuts are not looked at"
                                                          : "nothing is shown: this build has no SAT solver");
        return SW_OK;
    }
    sw_layout_options asked = *options;
    asked.from = plan; /* so that the ways its parts stand are among those looked at */
    swi_params_default(&params);
    swi_model *m = swi_model_new(fitted, library, &asked, &params, diags, &status);
    if (!m)
        return status;
    status = prove_on_model(m, plan, watch, user, smaller, proof);
    if (status == SW_SYSTEM)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while proving");
    swi_model_free(m);
    return status;
}
