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
#include <stdlib.h>
#include <string.h>
#include "boards.h"
#include "emit.h"
#include "lanes.h"
#include "prove.h"

enum { MOST_SIZES = 100, FIRST_CONFLICTS = 5000 };

typedef struct proving {
    const swi_model *m;
    sw_proof *proof;
    sw_layout_watch watch;
    void *user;
    double until;            /* by the clock; 0: no cap */
    int64_t conflicts;       /* still to be spent */
    int64_t planned;         /* in all, for the watch */
    int64_t reserve;         /* of them, put aside for small boards */
    bool stopped;
    swi_boards boards;
    uint16_t *order;         /* of the parts, for cubes */
    bool half;
    swi_quest quests[MOST_SIZES];
    bool refuted[MOST_SIZES];
    int count;
    swi_arena *arena;
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

static bool accepts(proving *v, const swi_sketch *known) {
    swi_cube none = {.order = v->order};
    swi_prover *p = swi_prover_new(v->m, (swi_size){(int16_t)known->rows, (int16_t)known->cols}, &none);
    int64_t left = v->conflicts;
    if (!p)
        return false;
    swi_prover_fix(p, known);
    swi_verdict verdict = swi_prover_run(p, &left, should_stop, v, v->found);
    swi_prover_free(p);
    return verdict == SWI_FOUND;
}

/* ---- all sizes below so many holes ---- */

static bool begin_quest(proving *v, int i, swi_size size) {
    swi_place *places = v->quests[i].cube.places; /* room is used again */
    if (!places)
        places = swi_arena_array(v->arena, v->m->part_count, sizeof *places);
    v->quests[i] = (swi_quest){.m = v->m, .size = size, .cube = {v->order, places, 0, v->half}};
    v->refuted[i] = false;
    return places != NULL;
}

/* One size gets about so many conflicts more, of those that are left. */
static swi_verdict ask_one(proving *v, int i, int64_t most) {
    int64_t given = most < v->conflicts ? most : v->conflicts, left = given;
    swi_verdict verdict = swi_quest_ask(&v->quests[i], &left, should_stop, v, v->found);
    v->conflicts -= given - left;
    v->proof->conflicts += (uint64_t)(given - left);
    v->refuted[i] = verdict == SWI_REFUTED;
    if (verdict == SWI_REFUTED)
        swi_boards_refute(&v->boards, v->quests[i].size);
    return verdict;
}

static bool open_quests(proving *v, int holes) {
    swi_size sizes[MOST_SIZES];
    bool ok = true;
    v->count = swi_boards_list(&v->boards, holes, sizes, MOST_SIZES);
    for (int i = 0; i < v->count && ok; i++)
        ok = begin_quest(v, i, sizes[i]);
    return ok;
}

/* Every size below so many holes, in rounds of more and more conflicts a size while more than
 * `reserve` of them are left, at most so many rounds. */
static swi_verdict ask_all(proving *v, int holes, int rounds, int64_t reserve) {
    if (!open_quests(v, holes))
        return SWI_NO_MEMORY;
    int open = v->count;
    int64_t most = FIRST_CONFLICTS;
    for (int round = 0; open > 0 && round < rounds && v->conflicts > reserve && !v->stopped; round++, most *= 2)
        for (int i = 0; i < v->count && v->conflicts > reserve && !v->stopped; i++) {
            swi_verdict verdict = v->refuted[i] ? SWI_UNDECIDED : ask_one(v, i, most);
            if (verdict == SWI_FOUND || verdict == SWI_NO_MEMORY)
                return verdict;
            open -= verdict == SWI_REFUTED;
        }
    return open == 0 ? SWI_REFUTED : SWI_UNDECIDED;
}

/* The smallest board not yet refuted, again and again while that goes. */
static swi_verdict raise_bound(proving *v) {
    swi_verdict verdict = SWI_REFUTED;
    swi_size size;
    while (verdict == SWI_REFUTED && !v->stopped && swi_boards_bound(&v->boards, v->proof->holes, &size) < v->proof->holes)
        verdict = begin_quest(v, 0, size) ? ask_one(v, 0, v->conflicts) : SWI_NO_MEMORY;
    return verdict;
}

static swi_verdict ask_about(proving *v) {
    enum { ALL = 60 };
    int holes = v->proof->holes;
    swi_verdict verdict = SWI_REFUTED;
    /* small boards are refuted soon: so something is shown in any case */
    for (int percent = 60; verdict == SWI_REFUTED && percent < 100; percent += 10)
        verdict = ask_all(v, (holes * percent + 99) / 100, 1, 0);
    if (verdict == SWI_REFUTED || verdict == SWI_UNDECIDED)
        verdict = ask_all(v, holes, ALL, v->reserve);
    v->proof->sizes = v->count;
    v->proof->refuted = 0;
    for (int i = 0; i < v->count; i++)
        v->proof->refuted += v->refuted[i];
    return verdict == SWI_FOUND || verdict == SWI_REFUTED || v->stopped ? verdict : raise_bound(v);
}

/* ---- what is shown ---- */

static void say(sw_proof *proof, bool accepted, bool smaller) {
    char found[60] = "";
    if (smaller)
        snprintf(found, sizeof found, "a smaller plan was found, of %d holes; ", proof->holes);
    if (!accepted)
        snprintf(proof->text, sizeof proof->text,
                 "nothing is shown: the question is too large, or the plan in hand is not of the kind that is asked about");
    else if (proof->proven)
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
    bool accepted = known && accepts(v, known);
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
    v->proof->bound = swi_boards_bound(&v->boards, v->proof->holes, NULL);
    v->proof->proven = accepted && v->proof->bound == v->proof->holes;
    say(v->proof, accepted, *smaller != NULL);
    return status;
}

/* Conflicts that may be spent; so many percent of them are put aside for small boards. */
typedef struct budget {
    int64_t conflicts;
    int aside;
} budget;

static sw_status prove_on_model(const swi_model *m, const sw_plan *plan, sw_layout_watch watch, void *user, budget given,
                                sw_plan **smaller, sw_proof *proof) {
    proving *v = calloc(1, sizeof *v);
    swi_sketch *known = swi_sketch_new(m);
    sw_status status = SW_SYSTEM;
    if (v) {
        *v = (proving){.m = m, .proof = proof, .watch = watch, .user = user, .conflicts = given.conflicts, .planned = given.conflicts};
        v->until = m->options->seconds > 0 ? swi_seconds() + m->options->seconds : 0;
        v->reserve = given.conflicts * given.aside / 100;
        v->half = swi_prove_half_turn(m);
        v->found = swi_sketch_new(m);
        v->arena = swi_arena_new();
        v->order = v->arena ? swi_arena_array(v->arena, (size_t)m->part_count + 1, sizeof *v->order) : NULL;
    }
    if (v && known && v->found && v->order) {
        swi_prove_order(m, v->order);
        swi_boards_begin(&v->boards, m);
        status = prove(v, swi_sketch_from(m, plan, known) ? known : NULL, smaller);
    }
    swi_sketch_free(known);
    if (v) {
        swi_sketch_free(v->found);
        swi_arena_free(v->arena);
    }
    free(v);
    return status;
}

static sw_status prove_within(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                              const sw_plan *plan, sw_layout_watch watch, void *user, budget given, sw_diags *diags,
                              sw_plan **smaller, sw_proof *proof) {
    sw_status status = SW_OK;
    swi_params params;
    *smaller = NULL;
    *proof = (sw_proof){.holes = plan->strips * plan->columns};
    if (!swi_prover_there() || options->knife || options->built) {
        snprintf(proof->text, sizeof proof->text, "nothing is shown: %s",
                 options->knife   ? "plans with knife cuts are not looked at"
                 : options->built ? "a board that is built has the size that it has"
                                  : "this build has no SAT solver");
        return SW_OK;
    }
    sw_layout_options asked = *options;
    asked.from = plan; /* so that the ways its parts stand are among those looked at */
    swi_params_default(&params);
    params.front = 0; /* what is only warned of is no rule */
    swi_model *m = swi_model_new(fitted, library, &asked, &params, diags, &status);
    if (!m)
        return status;
    status = prove_on_model(m, plan, watch, user, given, smaller, proof);
    if (status == SW_SYSTEM)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while proving");
    swi_model_free(m);
    return status;
}

sw_status sw_layout_prove(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                          const sw_plan *plan, sw_layout_watch watch, void *user, sw_diags *diags, sw_plan **smaller,
                          sw_proof *proof) {
    static const int64_t conflicts[] = {1000000, 6000000, 40000000}; /* by effort */
    budget given = {conflicts[options->effort], 20};
    return prove_within(fitted, library, options, plan, watch, user, given, diags, smaller, proof);
}

sw_status sw_layout_bound(const sw_circuit *fitted, const sw_library *library, const sw_layout_options *options,
                          const sw_plan *plan, sw_layout_watch watch, void *user, sw_diags *diags, sw_proof *proof) {
    budget given = {60000, 90};
    sw_plan *smaller;
    sw_status status = prove_within(fitted, library, options, plan, watch, user, given, diags, &smaller, proof);
    sw_plan_free(smaller);
    return status;
}
