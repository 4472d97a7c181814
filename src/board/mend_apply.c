/* src/board/mend_apply.c: changing a plan as a mend says. */
#include "mend.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* ---- cuts and links ---- */

static uint32_t find_cut(const sw_plan *plan, sw_hole hole, bool knife) {
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if (swi_same_hole(plan->cuts[i].hole, hole) && plan->cuts[i].knife == knife)
            return i;
    return SW_NONE;
}

static uint32_t find_link(const sw_plan *plan, sw_hole a, sw_hole b) {
    for (uint32_t i = 0; i < plan->link_count; i++) {
        const sw_link *link = &plan->links[i];
        if ((swi_same_hole(link->from, a) && swi_same_hole(link->to, b)) ||
            (swi_same_hole(link->from, b) && swi_same_hole(link->to, a)))
            return i;
    }
    return SW_NONE;
}

static bool take_cut(sw_plan *plan, sw_hole hole, bool knife) {
    uint32_t at = find_cut(plan, hole, knife);
    if (at == SW_NONE)
        return false;
    memmove(plan->cuts + at, plan->cuts + at + 1,
            (plan->cut_count - at - 1) * sizeof *plan->cuts);
    plan->cut_count--;
    return true;
}

static bool move_cut(sw_plan *plan, const sw_mend *mend) {
    uint32_t at = find_cut(plan, mend->a, false);
    if (at != SW_NONE)
        plan->cuts[at].hole = mend->b;
    return at != SW_NONE;
}

static bool take_link(sw_plan *plan, sw_hole a, sw_hole b) {
    uint32_t at = find_link(plan, a, b);
    if (at == SW_NONE)
        return false;
    memmove(plan->links + at, plan->links + at + 1,
            (plan->link_count - at - 1) * sizeof *plan->links);
    plan->link_count--;
    return true;
}

static bool move_link(sw_plan *plan, const sw_mend *mend) {
    uint32_t at = find_link(plan, mend->a, mend->b);
    if (at == SW_NONE)
        return false;
    sw_link moved = plan->links[at];
    moved.from = mend->c;
    moved.to = mend->d;
    swi_link_downwards(&moved);
    plan->links[at] = moved;
    return true;
}

/* ---- parts ---- */

/* The second of two parts of one name, else the one. */
static uint32_t part_to_take(const sw_plan *plan, const char *ref) {
    uint32_t first = swi_plan_find_part(plan, ref);
    for (uint32_t i = first == SW_NONE ? plan->part_count : first + 1; i < plan->part_count; i++)
        if (swi_equal_fold(plan->parts[i].ref, ref))
            return i;
    return first;
}

static bool take_part(sw_plan *plan, const char *ref) {
    uint32_t at = part_to_take(plan, ref);
    if (at == SW_NONE || !swi_plan_set_leads(plan, at, NULL, 0))
        return false;
    memmove(plan->parts + at, plan->parts + at + 1,
            (plan->part_count - at - 1) * sizeof *plan->parts);
    plan->part_count--;
    return true;
}

static bool take_lead(sw_plan *plan, const sw_mend *mend) {
    uint32_t part = swi_plan_find_part(plan, mend->ref);
    if (part == SW_NONE)
        return false;
    sw_plan_part *owner = &plan->parts[part];
    for (uint32_t i = 0; i < owner->lead_count; i++) {
        sw_plan_lead *leads = plan->leads + owner->first_lead;
        if (!swi_equal_fold(leads[i].pin, mend->pin) || !swi_same_hole(leads[i].hole, mend->a))
            continue;
        memmove(leads + i, leads + i + 1, (owner->lead_count - i - 1) * sizeof *leads);
        owner->lead_count--;
        swi_plan_rebuild_leads(plan); /* only tidies: the gap does no harm */
        return true;
    }
    return false;
}

static const sw_part *fitted_part(const sw_circuit *fitted, const char *ref) {
    sw_part_id id = fitted == NULL ? (sw_part_id){SW_NONE} : sw_circuit_part(fitted, ref);
    return id.i == SW_NONE ? NULL : &fitted->parts[id.i];
}

const sw_package *swi_mend_lying(const sw_package *package, const sw_part *known,
                                 const sw_library *library) {
    const sw_package *form = known == NULL ? NULL : known->form;
    bool stood = form != NULL && library != NULL && form != package &&
                 sw_library_upright(library, form) == package;
    return stood ? form : NULL;
}

const sw_package *swi_mend_package(const sw_plan *plan, const sw_mend *mend,
                                   const sw_circuit *fitted, const sw_library *library) {
    const sw_part *known = fitted_part(fitted, mend->ref);
    uint32_t at = swi_plan_find_part(plan, mend->ref);
    if (at == SW_NONE)
        return known == NULL ? NULL : known->form;
    const sw_package *package = swi_plan_package(&plan->parts[at], known, library);
    const sw_package *lying = swi_mend_lying(package, known, library);
    return lying != NULL && mend->span > package->span_most ? lying : package;
}

bool swi_mend_holes(const sw_package *package, const sw_mend *mend, sw_hole *holes) {
    sw_offset *offsets = malloc(((size_t)package->pin_count + 1) * sizeof *offsets);
    if (offsets == NULL)
        return false;
    sw_package_leads(package, (unsigned)mend->turn, mend->span, offsets);
    for (uint32_t i = 0; i < package->pin_count; i++)
        holes[i] = (sw_hole){(int16_t)(mend->a.strip + offsets[i].row),
                             (int16_t)(mend->a.column + offsets[i].column)};
    free(offsets);
    return true;
}

/* The package's index of a lead's pin, whatever name it goes by. */
static int pin_of_lead(const sw_package *package, const sw_circuit *fitted,
                       const sw_part *known, const char *pin) {
    int index = sw_package_pin_index(package, pin);
    if (index >= 0 || known == NULL)
        return index;
    sw_pin_id id = sw_circuit_pin(fitted, (sw_part_id){(uint32_t)(known - fitted->parts)}, pin);
    return id.i == SW_NONE ? -1 : sw_package_pin_index(package, fitted->pins[id.i].number);
}

static uint32_t node_of_pin(const sw_circuit *fitted, const sw_part *known, const char *pin) {
    if (known == NULL)
        return 0;
    sw_pin_id id = sw_circuit_pin(fitted, (sw_part_id){(uint32_t)(known - fitted->parts)}, pin);
    return id.i == SW_NONE ? 0 : fitted->nodes[fitted->pins[id.i].node.i].number;
}

/* The leads of the part in their new holes: those it has, as they were named, then
 * those it lacked. */
static bool stand_leads(sw_plan *plan, uint32_t part, const sw_package *package,
                        const sw_circuit *fitted, const sw_hole *holes) {
    const sw_part *known = fitted_part(fitted, plan->parts[part].ref);
    uint32_t had = plan->parts[part].lead_count, count = 0;
    sw_plan_lead *leads = malloc(((size_t)had + package->pin_count + 1) * sizeof *leads);
    bool *placed = calloc((size_t)package->pin_count + 1, sizeof *placed);
    bool good = leads != NULL && placed != NULL;
    for (uint32_t i = 0; good && i < had; i++) {
        sw_plan_lead lead = plan->leads[plan->parts[part].first_lead + i];
        int pin = pin_of_lead(package, fitted, known, lead.pin);
        if (pin >= 0) {
            lead.hole = holes[pin];
            placed[pin] = true;
        }
        leads[count++] = lead;
    }
    for (uint32_t i = 0; good && i < package->pin_count; i++) {
        if (placed[i])
            continue;
        const char *name = sw_plan_text(plan, package->pins[i]);
        good = name != NULL;
        leads[count++] = (sw_plan_lead){name, node_of_pin(fitted, known, name), holes[i],
                                        plan->parts[part].span};
    }
    good = good && swi_plan_set_leads(plan, part, leads, count);
    free(leads);
    free(placed);
    return good;
}

/* A part of the circuit that is not on the board yet. */
static bool add_fitted(sw_plan *plan, const sw_part *known) {
    sw_plan_part part = {.ref = sw_plan_text(plan, known->ref),
                         .value = sw_plan_text(plan, known->value),
                         .device = sw_plan_text(plan, known->device),
                         .package = sw_plan_text(plan, known->package),
                         .turn = -1};
    if (part.ref == NULL || part.value == NULL || part.device == NULL || part.package == NULL)
        return false;
    return sw_plan_add_part(plan, part);
}

static bool name_package(sw_plan *plan, uint32_t at, const sw_package *package,
                         const sw_circuit *fitted, const sw_library *library) {
    sw_plan_part *part = &plan->parts[at];
    if (swi_plan_package(part, fitted_part(fitted, part->ref), library) == package)
        return true;
    const char *name = sw_plan_text(plan, package->name);
    part->package = name != NULL ? name : part->package;
    return name != NULL;
}

static bool place(sw_plan *plan, const sw_mend *mend, const sw_circuit *fitted,
                  const sw_library *library) {
    const sw_package *package = swi_mend_package(plan, mend, fitted, library);
    uint32_t at = swi_plan_find_part(plan, mend->ref);
    if (package == NULL)
        return false;
    bool new = at == SW_NONE;
    sw_hole *holes = malloc(((size_t)package->pin_count + 1) * sizeof *holes);
    bool good = holes != NULL && swi_mend_holes(package, mend, holes) &&
                (!new || add_fitted(plan, fitted_part(fitted, mend->ref)));
    if (good && new)
        at = plan->part_count - 1;
    bool stands = good && stand_leads(plan, at, package, fitted, holes);
    if (good && new && !stands)
        plan->part_count--;
    if (stands)
        plan->parts[at].turn = mend->turn;
    if (stands && !new) /* one that stood upright may lie now */
        stands = name_package(plan, at, package, fitted, library);
    free(holes);
    return stands;
}

static bool state_turn(sw_plan *plan, const sw_mend *mend) {
    uint32_t at = swi_plan_find_part(plan, mend->ref);
    if (at != SW_NONE)
        plan->parts[at].turn = mend->turn;
    return at != SW_NONE;
}

bool sw_plan_apply_mend(sw_plan *plan, const sw_mend *mend, const sw_circuit *fitted,
                        const sw_library *library) {
    switch (mend->kind) {
    case SW_MEND_NONE:
        return false;
    case SW_MEND_CUT:
    case SW_MEND_KNIFE:
        return sw_plan_add_cut(plan, (sw_cut){.hole = mend->a,
                                              .knife = mend->kind == SW_MEND_KNIFE});
    case SW_MEND_UNCUT:
        return take_cut(plan, mend->a, false);
    case SW_MEND_UNKNIFE:
        return take_cut(plan, mend->a, true);
    case SW_MEND_MOVE_CUT:
        return move_cut(plan, mend);
    case SW_MEND_LINK:
        return sw_plan_add_link(plan, (sw_link){.from = mend->a, .to = mend->b});
    case SW_MEND_UNLINK:
        return take_link(plan, mend->a, mend->b);
    case SW_MEND_MOVE_LINK:
        return move_link(plan, mend);
    case SW_MEND_PLACE:
        return place(plan, mend, fitted, library);
    case SW_MEND_STATE_TURN:
        return state_turn(plan, mend);
    case SW_MEND_TAKE_LEAD:
        return take_lead(plan, mend);
    case SW_MEND_TAKE_PART:
        return take_part(plan, mend->ref);
    }
    return false;
}
