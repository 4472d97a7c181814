/* src/board/mend_find.c: the smallest mend of each fault, by trying.
 *
 * All faults propose; proposals are tried on copies of the plan, the least work first.
 * One mistake often makes several faults (a part turned round shorts and opens), so
 * a trial is judged by what is left of all of them.
 */
#include "mend.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_ERRORS = 24,     /* a plan with more wants drawing anew */
       MOST_TRIALS = 1500, LEAST_TRIALS = 20,
       LARGE_NODE = 16, SMALL_PIECE = 2 }; /* leads */
#define TRIAL_WORK 60000000u  /* pairs of things and holes looked at in all trials */

void swi_propose(swi_mender *m, sw_mend mend, int work) {
    if (mend.ref == NULL)
        mend.ref = "";
    if (mend.pin == NULL)
        mend.pin = "";
    if (!SWI_GROW(m->list, m->room, m->count + 1)) {
        m->check->failed = true;
        return;
    }
    m->list[m->count] = (swi_candidate){mend, work, (uint32_t)m->count};
    m->count++;
}

/* ---- who proposes what ---- */

static void propose_parts_at(swi_mender *m, sw_hole hole) {
    for (uint32_t i = 0; i < m->check->plan->lead_count; i++)
        if (swi_same_hole(m->check->leads[i].plan->hole, hole))
            swi_propose_for_part(m, m->check->leads[i].part);
}

static void propose_links_at(swi_mender *m, sw_hole hole) {
    for (uint32_t i = 0; i < m->check->plan->link_count; i++)
        if (swi_same_hole(m->check->plan->links[i].from, hole) ||
            swi_same_hole(m->check->plan->links[i].to, hole))
            swi_propose_for_link(m, i);
}

static void propose_cuts_at(swi_mender *m, sw_hole hole) {
    for (uint32_t i = 0; i < m->check->plan->cut_count; i++)
        if (swi_same_hole(m->check->plan->cuts[i].hole, hole))
            swi_propose_for_cut(m, i);
}

static void propose_named_part(swi_mender *m, const char *ref) {
    uint32_t part = ref[0] == '\0' ? SW_NONE : swi_plan_find_part(m->check->plan, ref);
    if (part != SW_NONE)
        swi_propose_for_part(m, part);
}

/* Everything at the fault's holes and the part it names. */
static void propose_here(swi_mender *m, const sw_fault *fault) {
    sw_hole holes[2] = {fault->at, fault->to};
    propose_named_part(m, fault->ref);
    for (int i = 0; i < 2; i++) {
        propose_parts_at(m, holes[i]);
        propose_links_at(m, holes[i]);
        propose_cuts_at(m, holes[i]);
    }
}

/* Leads of the node, on the piece of copper alone unless that is SW_NONE. */
static uint32_t leads_of_node(const swi_check *check, uint32_t number, uint32_t copper) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < check->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        if (swi_net_number(check, lead->net) == number && lead->segment != SW_NONE &&
            (copper == SW_NONE || check->copper->segments[lead->segment].copper == copper))
            count++;
    }
    return count;
}

/* Parts with a lead on the node: one of them may be in the wrong place.  Of a large node,
 * those whose lead is on a small piece of it. */
static void propose_parts_of_node(swi_mender *m, uint32_t number) {
    const swi_check *check = m->check;
    if (number == 0)
        return;
    bool large = leads_of_node(check, number, SW_NONE) > LARGE_NODE;
    for (uint32_t i = 0; i < check->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        if (swi_net_number(check, lead->net) != number || lead->segment == SW_NONE)
            continue;
        uint32_t copper = check->copper->segments[lead->segment].copper;
        if (!large || leads_of_node(check, number, copper) <= SMALL_PIECE)
            swi_propose_for_part(m, lead->part);
    }
}

static void propose_for_short(swi_mender *m, const sw_fault *fault) {
    swi_propose_cuts(m, fault->at, fault->to);
    swi_propose_for_copper(m, fault->at);
    propose_here(m, fault);
    propose_parts_of_node(m, fault->node_a);
    propose_parts_of_node(m, fault->node_b);
}

/* A short through a link: a cut may be missing at either of its ends. */
static void propose_for_linked(swi_mender *m, const sw_fault *fault) {
    const swi_check *check = m->check;
    sw_hole holes[2] = {fault->at, fault->to};
    for (int i = 0; i < 2; i++) {
        uint32_t segment = sw_copper_segment(check->copper, check->plan, holes[i]);
        if (segment == SW_NONE)
            continue;
        const sw_segment *s = &check->copper->segments[segment];
        swi_propose_cuts(m, (sw_hole){s->strip, (int16_t)(s->first - 1)}, holes[i]);
        swi_propose_cuts(m, holes[i], (sw_hole){s->strip, (int16_t)(s->last + 1)});
    }
}

static void propose_for_open(swi_mender *m, const sw_fault *fault) {
    swi_propose_links(m, fault);
    propose_here(m, fault);
    for (uint32_t i = 0; i < m->check->plan->lead_count; i++)
        if (swi_net_number(m->check, m->check->leads[i].net) == fault->node_a)
            swi_propose_for_copper(m, m->check->leads[i].plan->hole);
    propose_parts_of_node(m, fault->node_a);
}

static void propose_slant(swi_mender *m, const sw_fault *fault) {
    sw_hole a = fault->at, b = fault->to;
    swi_propose(m, (sw_mend){.kind = SW_MEND_MOVE_LINK, .a = a, .b = b, .c = a,
                             .d = {b.strip, a.column}}, 60);
    swi_propose(m, (sw_mend){.kind = SW_MEND_MOVE_LINK, .a = a, .b = b,
                             .c = {a.strip, b.column}, .d = b}, 60);
    propose_here(m, fault);
}

static void propose_take_lead(swi_mender *m, const sw_fault *fault) {
    for (uint32_t i = 0; i < m->check->plan->lead_count; i++) {
        const swi_lead *lead = &m->check->leads[i];
        const char *ref = m->check->plan->parts[lead->part].ref;
        if (strcmp(ref, fault->ref) == 0 && strcmp(lead->plan->pin, fault->pin) == 0)
            swi_propose(m, (sw_mend){.kind = SW_MEND_TAKE_LEAD, .ref = ref,
                                     .pin = lead->plan->pin, .a = lead->plan->hole}, 10);
    }
}

static void propose_missing(swi_mender *m, const char *ref) {
    sw_part_id id = sw_circuit_part(m->check->fitted, ref);
    if (id.i != SW_NONE)
        swi_propose_new_part(m, &m->check->fitted->parts[id.i]);
}

static void propose(swi_mender *m, const sw_fault *fault) {
    sw_mend take = {.kind = SW_MEND_TAKE_PART, .ref = fault->ref};
    switch (fault->id) {
    case SW_D_BOARD_PART_MISSING:
        propose_missing(m, fault->ref);
        break;
    case SW_D_BOARD_PART_EXTRA:
    case SW_D_BOARD_PART_DOUBLED:
        swi_propose(m, take, 10);
        break;
    case SW_D_BOARD_PIN_EXTRA:
    case SW_D_BOARD_PIN_DOUBLED:
        propose_take_lead(m, fault);
        break;
    case SW_D_BOARD_LINK_SLANT:
        propose_slant(m, fault);
        break;
    case SW_D_BOARD_SHORT:
    case SW_D_BOARD_LONE_PIN:
        propose_for_short(m, fault);
        propose_for_linked(m, fault);
        break;
    case SW_D_BOARD_OPEN:
        propose_for_open(m, fault);
        break;
    default:
        propose_here(m, fault);
    }
}

/* ---- trials ---- */

/* The same fault before and after a change: an open stays the same as long as its node is
 * not whole. */
static bool same_fault(const sw_fault *a, const sw_fault *b) {
    if (a->id != b->id || a->node_a != b->node_a || a->node_b != b->node_b)
        return false;
    if (a->id == SW_D_BOARD_OPEN)
        return true;
    return swi_same_hole(a->at, b->at) && swi_same_hole(a->to, b->to) &&
           strcmp(a->ref, b->ref) == 0 && strcmp(a->pin, b->pin) == 0;
}

static bool is_among(const sw_fault *fault, const sw_fault *faults, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (same_fault(fault, &faults[i]))
            return true;
    return false;
}

static bool is_needless(const sw_fault *fault) {
    return fault->id == SW_D_BOARD_CUT_NEEDLESS || fault->id == SW_D_BOARD_LINK_NEEDLESS;
}

/* What is left after a trial: lower is better. */
typedef struct verdict {
    bool better;             /* fewer errors, none of them new */
    size_t errors, needless;
} verdict;

static verdict judge(const swi_check *before, const swi_check *after) {
    verdict v = {.better = after->error_count < before->error_count,
                 .errors = after->error_count};
    for (size_t i = 0; i < after->fault_count; i++) {
        const sw_fault *fault = &after->faults[i];
        if (fault->severity == SW_ERROR && !is_among(fault, before->faults, before->fault_count))
            v.better = false;
        v.needless += is_needless(fault) ? 1 : 0;
    }
    return v;
}

/* The best verdict that each fault has seen. */
typedef struct best_mend {
    bool any;
    verdict verdict;
    sw_mend mend;
} best_mend;

static bool beats(const verdict *a, const best_mend *b) {
    if (!b->any || a->errors != b->verdict.errors)
        return !b->any || a->errors < b->verdict.errors;
    return a->needless < b->verdict.needless;
}

static void remember(const swi_check *before, const swi_check *after, const verdict *v,
                     const sw_mend *mend, best_mend *best) {
    for (size_t i = 0; i < before->fault_count; i++) {
        const sw_fault *fault = &before->faults[i];
        if (fault->severity == SW_ERROR && beats(v, &best[i]) &&
            !is_among(fault, after->faults, after->fault_count))
            best[i] = (best_mend){true, *v, *mend};
    }
}

/* true when nothing is left to wish for. */
static bool try_mend(swi_check *check, const sw_mend *mend, best_mend *best) {
    swi_arena *arena = swi_arena_new();
    sw_plan *plan = sw_plan_copy(check->plan);
    swi_check after = {0};
    bool perfect = false;
    if (arena == NULL || plan == NULL) {
        check->failed = true;
    } else if (sw_plan_apply_mend(plan, mend, check->fitted, check->library)) {
        if (swi_check_run(&after, plan, check->fitted, check->library, arena, false)) {
            verdict v = judge(check, &after);
            if (v.better)
                remember(check, &after, &v, mend, best);
            perfect = v.better && v.errors == 0 && v.needless == 0;
        } else {
            check->failed = true;
        }
        swi_check_end(&after);
    } else {
        check->failed = true; /* what is proposed can be done, given the memory */
    }
    sw_plan_free(plan);
    swi_arena_free(arena);
    return perfect;
}

static int compare_work(const void *a, const void *b) {
    const swi_candidate *p = a, *q = b;
    if (p->work != q->work)
        return p->work < q->work ? -1 : 1;
    return (p->order > q->order) - (p->order < q->order);
}

/* Fewer trials on large boards, so that a check stays a matter of a second. */
static size_t most_trials(const sw_plan *plan) {
    size_t things = (size_t)plan->part_count + plan->link_count;
    size_t work = things * things / 2 + (size_t)plan->strips * (size_t)plan->columns + 1;
    size_t trials = TRIAL_WORK / work;
    return trials < LEAST_TRIALS ? LEAST_TRIALS : trials > MOST_TRIALS ? MOST_TRIALS : trials;
}

static void try_all(swi_mender *m, best_mend *best) {
    if (m->count > 1)
        qsort(m->list, m->count, sizeof *m->list, compare_work);
    size_t most = most_trials(m->check->plan);
    for (size_t i = 0; i < m->count && i < most && !m->check->failed; i++)
        if (try_mend(m->check, &m->list[i].mend, best))
            return;
}

/* ---- the whole ---- */

static bool open_mender(swi_mender *m, swi_check *check) {
    const sw_plan *plan = check->plan;
    *m = (swi_mender){.check = check};
    m->part_seen = calloc((size_t)plan->part_count + 1, sizeof *m->part_seen);
    m->link_seen = calloc((size_t)plan->link_count + 1, sizeof *m->link_seen);
    m->cut_seen = calloc((size_t)plan->cut_count + 1, sizeof *m->cut_seen);
    m->copper_seen = calloc((size_t)check->copper->copper_count + 1, sizeof *m->copper_seen);
    m->taken = calloc((size_t)plan->strips * (size_t)plan->columns + 1, sizeof *m->taken);
    return m->part_seen != NULL && m->link_seen != NULL && m->cut_seen != NULL &&
           m->copper_seen != NULL && m->taken != NULL;
}

static void close_mender(swi_mender *m) {
    free(m->list);
    free(m->part_seen);
    free(m->link_seen);
    free(m->cut_seen);
    free(m->copper_seen);
    free(m->taken);
}

static void take(swi_mender *m, sw_hole hole) {
    if (swi_on_board(m->check->plan, hole))
        m->taken[(size_t)hole.strip * (size_t)m->check->plan->columns + (size_t)hole.column] =
            true;
}

static void mark_taken(swi_mender *m) {
    const sw_plan *plan = m->check->plan;
    for (uint32_t i = 0; i < plan->lead_count; i++)
        take(m, plan->leads[i].hole);
    for (uint32_t i = 0; i < plan->link_count; i++) {
        take(m, plan->links[i].from);
        take(m, plan->links[i].to);
    }
}

/* What is needless is to be left out: no trial needed. */
static void mend_needless(sw_fault *fault) {
    if (fault->id == SW_D_BOARD_LINK_NEEDLESS) {
        fault->fix = (sw_mend){.kind = SW_MEND_UNLINK, .a = fault->at, .b = fault->to,
                               .ref = "", .pin = ""};
        return;
    }
    bool knife = !swi_same_hole(fault->to, SWI_NO_HOLE);
    fault->fix = (sw_mend){.kind = knife ? SW_MEND_UNKNIFE : SW_MEND_UNCUT, .a = fault->at,
                           .b = SWI_NO_HOLE, .ref = "", .pin = ""};
}

static void search(swi_check *check, best_mend *best) {
    swi_mender m;
    if (open_mender(&m, check)) {
        mark_taken(&m);
        for (size_t i = 0; i < check->fault_count; i++)
            if (check->faults[i].severity == SW_ERROR)
                propose(&m, &check->faults[i]);
        try_all(&m, best);
    } else {
        check->failed = true;
    }
    close_mender(&m);
}

void swi_find_mends(swi_check *check) {
    if (check->fault_count == 0 || check->copper == NULL)
        return;
    best_mend *best = calloc(check->fault_count, sizeof *best);
    if (best == NULL) {
        check->failed = true;
        return;
    }
    if (check->error_count != 0 && check->error_count <= MOST_ERRORS)
        search(check, best);
    for (size_t i = 0; i < check->fault_count; i++) {
        sw_fault *fault = &check->faults[i];
        if (is_needless(fault))
            mend_needless(fault);
        else if (best[i].any)
            fault->fix = best[i].mend;
        fault->mend = swi_say_mend(check, &fault->fix);
    }
    free(best);
}
