/* src/board/mend_place.c: proposals of other places for parts. */
#include "mend.h"

#include <stdlib.h>

enum { STATE_TURN = 5, PLACE = 35, NEW_PLACE = 55,
       MOST_PLACES = 40,     /* proposed for one part */
       LARGE_BOARD = 20000, AROUND = 30 };

/* What a part is placed by. */
typedef struct placing {
    swi_mender *m;
    const sw_package *package;
    uint32_t part;           /* SW_NONE: new */
    const char *ref;
    uint32_t *net;           /* of each pin; SW_NONE unknown */
    sw_copper *copper;       /* as it is without what the part joins inside */
    uint32_t *copper_net;    /* of each piece of copper without this part: SW_NONE none,
                                SW_NONE − 1 several */
    bool *elsewhere;         /* whether a net has leads of other parts */
    sw_hole *holes;          /* scratch: of each pin */
    sw_offset *offsets;      /* of each pin at the turn and span that is tried */
    swi_candidate *best;     /* MOST_PLACES nearest */
    uint32_t count;
} placing;

static bool own_lead(const placing *p, sw_hole hole) {
    if (p->part == SW_NONE)
        return false;
    const sw_plan_part *part = p->m->check->parts[p->part].plan;
    for (uint32_t i = 0; i < part->lead_count; i++)
        if (swi_same_hole(p->m->check->plan->leads[part->first_lead + i].hole, hole))
            return true;
    return false;
}

/* Every lead in a hole that is free, on copper of its node or on none when there is
 * nothing to join. */
static bool could_stand(const placing *p) {
    const swi_check *check = p->m->check;
    const sw_plan *plan = check->plan;
    for (uint32_t i = 0; i < p->package->pin_count; i++) {
        uint32_t segment = sw_copper_segment(p->copper, plan, p->holes[i]);
        if (segment == SW_NONE)
            return false;
        size_t hole = (size_t)p->holes[i].strip * (size_t)plan->columns +
                      (size_t)p->holes[i].column;
        if (p->m->taken[hole] && !own_lead(p, p->holes[i]))
            return false;
        uint32_t there = p->copper_net[p->copper->segments[segment].copper];
        uint32_t net = p->net[i];
        bool wanted = net != SW_NONE && p->elsewhere[net] ? there == net : there == SW_NONE;
        if (!wanted)
            return false;
    }
    return true;
}

static void keep_nearest(placing *p, sw_mend mend, int work) {
    uint32_t at = p->count;
    while (at > 0 && p->best[at - 1].work > work)
        at--;
    if (at == MOST_PLACES)
        return;
    uint32_t last = p->count < MOST_PLACES ? p->count++ : MOST_PLACES - 1;
    for (uint32_t i = last; i > at; i--)
        p->best[i] = p->best[i - 1];
    p->best[at] = (swi_candidate){.mend = mend, .work = work};
}

static void try_place(placing *p, sw_mend mend) {
    for (uint32_t i = 0; i < p->package->pin_count; i++)
        p->holes[i] = (sw_hole){(int16_t)(mend.a.strip + p->offsets[i].row),
                                (int16_t)(mend.a.column + p->offsets[i].column)};
    if (!could_stand(p))
        return;
    int work = NEW_PLACE;
    if (p->part != SW_NONE) {
        const swi_part *part = &p->m->check->parts[p->part];
        uint32_t moved = 0;
        int way = 0;
        for (uint32_t i = 0; i < p->package->pin_count; i++) {
            sw_hole was = part->by_pin[i], is = p->holes[i];
            moved += swi_same_hole(was, is) ? 0 : 1;
            way += was.strip < 0 ? 0 : abs(was.strip - is.strip) + abs(was.column - is.column);
        }
        work = PLACE + (int)moved + way;
    }
    keep_nearest(p, mend, work);
}

/* The holes that the first pin is tried in: all, but on a large board, when the part is
 * there already, those around it. */
typedef struct window { int top, left, bottom, right; } window;

static window window_of(const placing *p) {
    const sw_plan *plan = p->m->check->plan;
    window w = {0, 0, plan->strips, plan->columns};
    sw_hole now = p->part == SW_NONE ? SWI_NO_HOLE : p->m->check->parts[p->part].by_pin[0];
    if ((long)plan->strips * plan->columns <= LARGE_BOARD || !swi_on_board(plan, now))
        return w;
    w.top = now.strip > AROUND ? now.strip - AROUND : 0;
    w.left = now.column > AROUND ? now.column - AROUND : 0;
    w.bottom = now.strip + AROUND < plan->strips ? now.strip + AROUND : plan->strips;
    w.right = now.column + AROUND < plan->columns ? now.column + AROUND : plan->columns;
    return w;
}

static void try_window(placing *p, const window *w, sw_mend mend) {
    for (int strip = w->top; strip < w->bottom; strip++)
        for (int column = w->left; column < w->right; column++) {
            mend.a = (sw_hole){(int16_t)strip, (int16_t)column};
            try_place(p, mend);
        }
}

static void try_all_places(placing *p) {
    bool pair = p->package->form == SW_FORM_PAIR;
    unsigned least = pair ? p->package->span_least : 0, most = pair ? p->package->span_most : 0;
    window w = window_of(p);
    for (int turn = 0; turn < 360; turn += 90) {
        if ((swi_turn_bit(turn) & p->package->turns) == 0)
            continue;
        for (unsigned span = least; span <= most; span++) {
            sw_package_leads(p->package, (unsigned)turn, span, p->offsets);
            try_window(p, &w, (sw_mend){.kind = SW_MEND_PLACE, .ref = p->ref, .pin = "",
                                        .turn = (int16_t)turn, .span = (uint16_t)span});
        }
    }
}

/* The copper and its nets as they are without the part. */
static void look_around(placing *p) {
    const swi_check *check = p->m->check;
    for (uint32_t i = 0; i < p->copper->copper_count; i++)
        p->copper_net[i] = SW_NONE;
    for (uint32_t i = 0; i < check->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        if (lead->part == p->part || lead->segment == SW_NONE)
            continue;
        uint32_t *net = &p->copper_net[p->copper->segments[lead->segment].copper];
        *net = *net == SW_NONE || *net == lead->net ? lead->net : SW_NONE - 1;
        if (lead->net != SW_NONE)
            p->elsewhere[lead->net] = true;
    }
}

static sw_copper *copper_without(const swi_check *check, uint32_t part) {
    const sw_package **packages =
        malloc(((size_t)check->plan->part_count + 1) * sizeof *packages);
    if (packages == NULL)
        return NULL;
    for (uint32_t i = 0; i < check->plan->part_count; i++)
        packages[i] = i == part ? NULL : check->parts[i].package;
    sw_copper *copper = swi_copper_build(check->plan, packages);
    free(packages);
    return copper;
}

static bool open_placing(placing *p) {
    const swi_check *check = p->m->check;
    p->copper = copper_without(check, p->part);
    if (p->copper == NULL)
        return false;
    p->copper_net = malloc(((size_t)p->copper->copper_count + 1) * sizeof *p->copper_net);
    p->elsewhere = calloc((size_t)check->net_count + 1, sizeof *p->elsewhere);
    p->holes = malloc(((size_t)p->package->pin_count + 1) * sizeof *p->holes);
    p->offsets = malloc(((size_t)p->package->pin_count + 1) * sizeof *p->offsets);
    p->best = malloc(MOST_PLACES * sizeof *p->best);
    return p->copper_net != NULL && p->elsewhere != NULL && p->holes != NULL &&
           p->offsets != NULL && p->best != NULL;
}

static void place(placing *p) {
    if (open_placing(p)) {
        look_around(p);
        try_all_places(p);
        for (uint32_t i = 0; i < p->count; i++)
            swi_propose(p->m, p->best[i].mend, p->best[i].work);
    } else {
        p->m->check->failed = true;
    }
    sw_copper_free(p->copper);
    free(p->copper_net);
    free(p->elsewhere);
    free(p->holes);
    free(p->offsets);
    free(p->best);
}

/* A lone pin that the package joins to another is of that one's node. */
static void join_pin_nets(placing *p) {
    const swi_net *nets = p->m->check->nets;
    const uint16_t *joined = p->package->joined;
    for (uint32_t i = 0; joined != NULL && i < p->package->pin_count; i++)
        for (uint32_t k = 0; k < p->package->pin_count; k++)
            if (joined[i] != 0 && joined[i] == joined[k] && p->net[i] != SW_NONE &&
                p->net[k] != SW_NONE && nets[p->net[i]].lone && !nets[p->net[k]].lone)
                p->net[i] = p->net[k];
}

/* Nets of the package's pins: by the circuit, else by the leads there are. */
static bool pin_nets(placing *p, const sw_part *fitted) {
    const swi_check *check = p->m->check;
    p->net = malloc(((size_t)p->package->pin_count + 1) * sizeof *p->net);
    for (uint32_t i = 0; p->net != NULL && i < p->package->pin_count; i++) {
        p->net[i] = SW_NONE;
        if (fitted == NULL)
            continue;
        sw_part_id id = {(uint32_t)(fitted - check->fitted->parts)};
        sw_pin_id pin = sw_circuit_pin(check->fitted, id, p->package->pins[i]);
        if (pin.i != SW_NONE)
            p->net[i] = check->nets[check->fitted->pins[pin.i].node.i].same;
    }
    return p->net != NULL;
}

void swi_propose_for_part(swi_mender *m, uint32_t index) {
    const swi_part *part = &m->check->parts[index];
    if (m->part_seen[index] || part->package == NULL || part->doubled)
        return;
    m->part_seen[index] = true;
    if (part->stance.turn_wrong)
        swi_propose(m, (sw_mend){.kind = SW_MEND_STATE_TURN, .ref = part->plan->ref, .pin = "",
                                 .turn = part->stance.turn}, STATE_TURN);
    placing p = {.m = m, .package = part->package, .part = index, .ref = part->plan->ref};
    if (!pin_nets(&p, part->fitted)) {
        m->check->failed = true;
        return;
    }
    for (uint32_t i = 0; m->check->fitted == NULL && i < part->plan->lead_count; i++) {
        const swi_lead *lead = &m->check->leads[part->plan->first_lead + i];
        if (lead->pin >= 0)
            p.net[lead->pin] = lead->net;
    }
    join_pin_nets(&p);
    place(&p);
    const sw_package *lying = swi_mend_lying(part->package, part->fitted, m->check->library);
    if (lying != NULL) { /* pins of a pair are the same either way */
        p = (placing){.m = m, .package = lying, .part = index, .ref = part->plan->ref, .net = p.net};
        place(&p);
    }
    free(p.net);
}

void swi_propose_new_part(swi_mender *m, const sw_part *fitted) {
    if (fitted->form == NULL)
        return;
    placing p = {.m = m, .package = fitted->form, .part = SW_NONE, .ref = fitted->ref};
    if (pin_nets(&p, fitted)) {
        join_pin_nets(&p);
        place(&p);
    } else {
        m->check->failed = true;
    }
    free(p.net);
}
