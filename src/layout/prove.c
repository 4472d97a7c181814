/* src/layout/prove.c: every board smaller than a plan is looked at, the largest of them first
 * of all.
 *
 * A plan that fits a board fits every larger one.  So of all sizes with fewer holes than
 * the plan in hand only those are asked about that do not fit into another one; when
 * they are refuted, so is everything smaller.  All of them are asked in turn with
 * few conflicts, then those still open with more, so that one hard size does not keep easy ones
 * waiting.  Before any of that, the clauses must accept the plan in hand itself: an
 * encoding that refuses a legal plan proves nothing.
 *
 * Small boards are asked about before and, with what was put aside, after that: so a proof
 * that is not finished still shows a bound.
 */
#include <stdio.h>
#include <string.h>
#include "boards.h"
#include "emit.h"
#include "lanes.h"
#include "prove.h"

enum { MOST_SIZES = 200, FIRST_CONFLICTS = 5000 };

typedef struct question {
    swi_size size;
    swi_prover *prover;      /* while it is open */
    bool refuted;
} question;

typedef struct proving {
    const swi_model *m;
    sw_proof *proof;
    sw_layout_watch watch;
    void *user;
    double until;            /* by the clock; 0: no cap */
    int64_t conflicts;       /* still to be spent */
    int64_t planned;         /* in all, for the watch */
    bool stopped;
    swi_boards boards;
    question questions[MOST_SIZES];
    int count;
    swi_sketch *found;
} proving;

bool sw_layout_can_prove(void) { return swi_prover_there(); }

static bool should_stop(void *user) {
    proving *v = user;
    sw_layout_progress now = {.lane = 0, .lanes = 1, .stage = "proving"};
    now.done = v->planned ? 1 - (double)v->conflicts / (double)v->planned : 0;
    if ((v->until > 0 && swi_seconds() > v->until) || (v->watch && !v->watch(v->user, &now)))
        v->stopped = true;
    return v->stopped;
}

/* Asks with so many conflicts at most, of those that are left. */
static swi_verdict ask(proving *v, swi_prover *p, int64_t most) {
    if (!p)
        return SWI_UNDECIDED;
    int64_t given = most < v->conflicts ? most : v->conflicts, left = given;
    swi_verdict verdict = swi_prover_run(p, &left, should_stop, v, v->found);
    v->conflicts -= given - left;
    v->proof->conflicts += (uint64_t)(given - left);
    return verdict;
}

static bool accepts(proving *v, const swi_sketch *known) {
    swi_prover *p = swi_prover_new(v->m, known->rows, known->cols, true);
    if (!p)
        return false;
    swi_prover_fix(p, known);
    swi_verdict verdict = ask(v, p, v->conflicts);
    swi_prover_free(p);
    return verdict == SWI_FOUND;
}

/* ---- all sizes below so many holes ---- */

/* One question gets so many conflicts more. */
static swi_verdict ask_one(proving *v, question *q, int64_t most) {
    if (!q->prover)
        q->prover = swi_prover_new(v->m, q->size.rows, q->size.cols, false);
    swi_verdict verdict = ask(v, q->prover, most);
    if (verdict == SWI_REFUTED) {
        q->refuted = true;
        swi_boards_refute(&v->boards, q->size);
        swi_prover_free(q->prover);
        q->prover = NULL;
    }
    return verdict;
}

static void close_questions(proving *v) {
    for (int i = 0; i < v->count; i++)
        swi_prover_free(v->questions[i].prover);
    v->count = 0;
}

static int open_questions(proving *v, int holes) {
    swi_size sizes[MOST_SIZES];
    v->count = swi_boards_list(&v->boards, holes, sizes, MOST_SIZES);
    for (int i = 0; i < v->count; i++)
        v->questions[i] = (question){.size = sizes[i]};
    return v->count;
}

/* Every size below so many holes, in rounds of more and more conflicts a size while more than
 * `reserve` of them are left, at most so many rounds. */
static swi_verdict ask_all(proving *v, int holes, int rounds, int64_t reserve) {
    int open = open_questions(v, holes);
    swi_verdict verdict = SWI_REFUTED;
    int64_t most = FIRST_CONFLICTS;
    for (int round = 0; open > 0 && round < rounds && v->conflicts > reserve && !v->stopped; round++, most *= 2)
        for (int i = 0; i < v->count && v->conflicts > reserve && verdict != SWI_FOUND; i++) {
            if (v->questions[i].refuted)
                continue;
            verdict = ask_one(v, &v->questions[i], most);
            open -= verdict == SWI_REFUTED;
        }
    if (verdict != SWI_FOUND)
        verdict = open == 0 && v->count < MOST_SIZES ? SWI_REFUTED : SWI_UNDECIDED;
    return verdict;
}

/* The smallest board not yet refuted, again and again while that goes. */
static swi_verdict raise_bound(proving *v) {
    swi_verdict verdict = SWI_REFUTED;
    question q = {.prover = NULL};
    while (verdict == SWI_REFUTED && !v->stopped && swi_boards_bound(&v->boards, v->proof->holes, &q.size) < v->proof->holes)
        verdict = ask_one(v, &q, v->conflicts);
    swi_prover_free(q.prover);
    return verdict;
}

static swi_verdict ask_about(proving *v) {
    enum { ALL = 60 };
    int holes = v->proof->holes;
    swi_verdict verdict = SWI_REFUTED;
    /* small boards are refuted soon: so something is shown in any case */
    for (int percent = 60; verdict == SWI_REFUTED && percent < 100; percent += 10) {
        verdict = ask_all(v, (holes * percent + 99) / 100, 1, 0);
        close_questions(v);
    }
    if (verdict != SWI_FOUND)
        verdict = ask_all(v, holes, ALL, v->planned / 5);
    v->proof->sizes = v->count;
    v->proof->refuted = 0;
    for (int i = 0; i < v->count; i++)
        v->proof->refuted += v->questions[i].refuted;
    close_questions(v);
    if (verdict == SWI_UNDECIDED && !v->stopped && raise_bound(v) == SWI_FOUND)
        verdict = SWI_FOUND;
    return verdict;
}

/* ---- what is shown ---- */

static void say(sw_proof *proof, swi_verdict verdict, bool accepted, bool smaller) {
    char found[60] = "";
    if (smaller)
        snprintf(found, sizeof found, "a smaller plan was found, of %d holes; ", proof->holes);
    if (!accepted)
        snprintf(proof->text, sizeof proof->text,
                 "nothing is shown: the question is too large, or the plan in hand is not of the kind that is asked about");
    else if (verdict == SWI_REFUTED)
        snprintf(proof->text, sizeof proof->text,
                 "%sno legal plan of fewer than %d holes exists: every board that would be smaller is impossible", found,
                 proof->holes);
    else
        snprintf(proof->text, sizeof proof->text,
                 "%snot decided whether a plan of fewer than %d holes exists; none of fewer than %d does, "
                 "then the budget was spent with %d of %d board sizes still open",
                 found, proof->holes, proof->bound, proof->sizes - proof->refuted, proof->sizes);
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

/* Whatever turns up is the next one to be gone below. */
static sw_status prove(proving *v, const swi_sketch *known, sw_plan **smaller) {
    bool accepted = accepts(v, known);
    swi_verdict verdict = accepted ? SWI_FOUND : SWI_UNDECIDED;
    sw_status status = SW_OK;
    while (verdict == SWI_FOUND && status == SW_OK) {
        verdict = ask_about(v);
        sw_plan *found = NULL;
        if (verdict == SWI_FOUND && (status = take_found(v, &found)) == SW_OK && !found)
            verdict = SWI_UNDECIDED; /* the clauses allow what the check does not: nothing is shown */
        if (found) {
            sw_plan_free(*smaller);
            *smaller = found;
            v->proof->holes = found->strips * found->columns;
        }
    }
    v->proof->proven = verdict == SWI_REFUTED;
    v->proof->bound = swi_boards_bound(&v->boards, v->proof->holes, NULL);
    say(v->proof, verdict, accepted, *smaller != NULL);
    return status;
}

static int64_t budget_of(const sw_layout_options *options) {
    static const int64_t budgets[] = {1000000, 6000000, 40000000}; /* conflicts, by effort */
    return budgets[options->effort];
}

static sw_status prove_on_model(const swi_model *m, const sw_plan *plan, sw_layout_watch watch, void *user,
                                int64_t conflicts, sw_plan **smaller, sw_proof *proof) {
    swi_sketch *known = swi_sketch_new(m), *found = swi_sketch_new(m);
    proving v = {.m = m, .proof = proof, .watch = watch, .user = user, .found = found};
    sw_status status = known && found ? SW_OK : SW_SYSTEM;
    v.until = m->options->seconds > 0 ? swi_seconds() + m->options->seconds : 0;
    v.conflicts = v.planned = conflicts;
    swi_boards_begin(&v.boards, m);
    proof->bound = swi_boards_bound(&v.boards, proof->holes, NULL);
    if (status == SW_OK && swi_sketch_from(m, plan, known))
        status = prove(&v, known, smaller);
    else
        say(proof, SWI_UNDECIDED, false, false);
    swi_sketch_free(known);
    swi_sketch_free(found);
    return status;
}

static sw_status prove_within(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                              const sw_plan *plan, sw_layout_watch watch, void *user, int64_t conflicts, sw_diags *diags,
                              sw_plan **smaller, sw_proof *proof) {
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
    status = prove_on_model(m, plan, watch, user, conflicts, smaller, proof);
    if (status == SW_SYSTEM)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while proving");
    swi_model_free(m);
    return status;
}

sw_status sw_layout_prove(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                          const sw_plan *plan, sw_layout_watch watch, void *user, sw_diags *diags, sw_plan **smaller,
                          sw_proof *proof) {
    return prove_within(fitted, library, options, plan, watch, user, budget_of(options), diags, smaller, proof);
}

sw_status sw_layout_bound(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                          const sw_plan *plan, sw_layout_watch watch, void *user, sw_diags *diags, sw_proof *proof) {
    enum { CONFLICTS = 100000 };
    sw_plan *smaller;
    sw_status status = prove_within(fitted, library, options, plan, watch, user, CONFLICTS, diags, &smaller, proof);
    sw_plan_free(smaller);
    return status;
}
