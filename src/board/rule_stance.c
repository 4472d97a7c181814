/* src/board/rule_stance.c: rule 2: leads stand as the package says, in an allowed
 * turn and span. */
#include "check.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

static sw_fault about(const swi_part *part) {
    return (sw_fault){.ref = part->plan->ref,
                      .at = part->by_pin == NULL ? SWI_NO_HOLE : part->by_pin[0],
                      .to = SWI_NO_HOLE};
}

static int pitches(sw_hole a, sw_hole b) {
    int strips = abs(a.strip - b.strip), columns = abs(a.column - b.column);
    return strips > columns ? strips : columns;
}

/* Leads of a package at a turn (allowed or not), mirrored left to right on request:
 * how many are where they should be, and the first that is not. */
static uint32_t agreeing(const swi_part *part, const sw_offset *offsets, bool mirrored,
                         uint32_t *odd) {
    uint32_t good = 1;
    *odd = 0;
    for (uint32_t i = 1; i < part->package->pin_count; i++) {
        int row = part->by_pin[i].strip - part->by_pin[0].strip;
        int column = part->by_pin[i].column - part->by_pin[0].column;
        if (row == offsets[i].row && (mirrored ? -column : column) == offsets[i].column)
            good++;
        else if (*odd == 0)
            *odd = i;
    }
    return good;
}

/* The nearest explanation of leads that do not stand right. */
typedef struct guess {
    bool forbidden;          /* right, but for a turn that is not allowed */
    bool mirrored;
    uint32_t good, odd;      /* best agreement; the first lead that is off */
    sw_hole wanted;          /* where that lead should be */
    int turn;
} guess;

static guess explain(const swi_part *part, sw_offset *offsets) {
    guess best = {.wanted = SWI_NO_HOLE};
    uint32_t pins = part->package->pin_count, odd;
    unsigned span = part->stance.span;
    for (int turn = 0; turn < 360; turn += 90) {
        sw_package_leads(part->package, (unsigned)turn, span, offsets);
        uint32_t good = agreeing(part, offsets, false, &odd);
        if (good == pins && !best.forbidden) {
            best.forbidden = true;
            best.turn = turn;
        }
        if (good > best.good) {
            best.good = good;
            best.odd = odd;
            best.wanted.strip = (int16_t)(part->by_pin[0].strip + offsets[odd].row);
            best.wanted.column = (int16_t)(part->by_pin[0].column + offsets[odd].column);
        }
        best.mirrored = best.mirrored || agreeing(part, offsets, true, &odd) == pins;
    }
    return best;
}

static void fault_of_shape(swi_check *check, const swi_part *part, const guess *why) {
    const sw_plan_part *plan = part->plan;
    const char *package = part->package->name;
    sw_fault fault = about(part);
    if (why->forbidden)
        swi_fault(check, SW_D_BOARD_TURN, fault, plan->span,
                  "%s stands in turn %d, which %s does not allow", plan->ref, why->turn,
                  package);
    else if (why->mirrored)
        swi_fault(check, SW_D_BOARD_MIRRORED, fault, plan->span,
                  "the leads of %s are mirrored, as if seen from the copper side: from the "
                  "component side pins go counter-clockwise", plan->ref);
    else {
        fault.pin = part->package->pins[why->odd];
        fault.at = part->by_pin[why->odd];
        swi_fault(check, SW_D_BOARD_LEADS, fault, plan->span,
                  "the leads of %s do not stand as %s has them: with pin %s in %s, pin %s would "
                  "be in %s, not %s", plan->ref, package, part->package->pins[0],
                  swi_say_hole(check, part->by_pin[0]), fault.pin,
                  swi_say_hole(check, why->wanted), swi_say_hole(check, fault.at));
    }
}

static void fault_of_pair(swi_check *check, const swi_part *part) {
    const sw_package *package = part->package;
    sw_hole a = part->by_pin[0], b = part->by_pin[1];
    sw_fault fault = about(part);
    fault.to = b;
    if (a.strip != b.strip && a.column != b.column)
        swi_fault(check, SW_D_BOARD_LEADS, fault, part->plan->span,
                  "%s stands askew from %s to %s: its leads go in one column or one strip",
                  part->plan->ref, swi_say_hole(check, a), swi_say_hole(check, b));
    else
        swi_fault(check, SW_D_BOARD_SPAN, fault, part->plan->span,
                  "the leads of %s are %d pitches apart, from %s to %s: %s takes %d to %d",
                  part->plan->ref, pitches(a, b), swi_say_hole(check, a),
                  swi_say_hole(check, b), package->name, package->span_least,
                  package->span_most);
}

static bool is_span(const swi_part *part) {
    sw_hole a = part->by_pin[0], b = part->by_pin[1];
    int span = pitches(a, b);
    return (a.strip == b.strip || a.column == b.column) && span >= part->package->span_least &&
           span <= part->package->span_most;
}

static void check_stance(swi_check *check, const swi_part *part) {
    const sw_plan_part *plan = part->plan;
    if (part->stance.turn_wrong)
        swi_fault(check, SW_D_BOARD_TURN, about(part), plan->span,
                  "the plan says turn %d for %s, but its leads stand in turn %d", plan->turn,
                  plan->ref, part->stance.turn);
    if (part->stance.fits)
        return;
    if (part->package->form == SW_FORM_PAIR && !is_span(part)) {
        fault_of_pair(check, part);
        return;
    }
    sw_offset *offsets = malloc(((size_t)part->package->pin_count + 1) * sizeof *offsets);
    if (offsets == NULL) {
        check->failed = true;
        return;
    }
    guess found = explain(part, offsets);
    free(offsets);
    fault_of_shape(check, part, &found);
}

/* Nothing stands before it either, on the board or beyond its edge. */
static void check_front(swi_check *check, const swi_part *part, const char *what) {
    swi_shape front = swi_shape_front(part->package, part->stance.turn, part->stance.span, part->by_pin[0]);
    for (uint32_t i = 0; i < check->plan->part_count; i++) {
        const swi_part *other = &check->parts[i];
        if (other != part && other->stance.fits && swi_collide(&other->body, &front)) {
            swi_fault(check, SW_D_BOARD_FACE, about(part), part->plan->span,
                      "%s stands before the %s of %s: turn or move one of them", other->plan->ref, what, part->plan->ref);
            return;
        }
    }
}

/* What is turned or opened from a side stands at the edge that the side looks to. */
static void check_face(swi_check *check, const swi_part *part) {
    static const char *const edges[] = {"", "top", "right", "bottom", "left"}; /* by sw_face */
    const sw_package *package = part->package;
    if (!part->stance.fits || package->face == SW_FACE_NONE)
        return;
    sw_face face = sw_package_face(package, (unsigned)part->stance.turn);
    swi_shape body = swi_shape_body(package, part->stance.turn, part->stance.span, part->by_pin[0]);
    double away = swi_to_edge(check->plan, &body.box, face);
    const char *what = sw_package_face_name(package);
    if (away >= SW_PITCH_MM)
        swi_fault(check, SW_D_BOARD_FACE, about(part), part->plan->span,
                  "the %s of %s %s to the %s edge, which is %.0f mm away: turn it or move it there",
                  what, part->plan->ref, sw_package_takes_wires(package->name) ? "look" : "looks", edges[face], away);
    check_front(check, part, what);
}

static bool same_pins(const sw_package *package, const sw_circuit *fitted, const sw_part *part) {
    if (package->pin_count != part->pin_count)
        return false;
    for (uint32_t i = 0; i < part->pin_count; i++)
        if (sw_package_pin_index(package, fitted->pins[part->first_pin.i + i].number) < 0)
            return false;
    return true;
}

/* "RES-0.25W-UP" is "RES-0.25W" stood upright. */
static bool upright_of(const char *name, const char *of) {
    size_t length = strlen(of);
    return swi_equal_fold_n(name, strlen(name) < length ? strlen(name) : length, of) &&
           swi_equal_fold(name + length, "-UP");
}

static void check_package(swi_check *check, const swi_part *part) {
    const sw_plan_part *plan = part->plan;
    const sw_package *form = part->fitted == NULL ? NULL : part->fitted->form;
    if (part->package == NULL) {
        swi_fault(check, SW_D_BOARD_PACKAGE_UNKNOWN,
                  (sw_fault){.ref = plan->ref, .at = SWI_NO_HOLE, .to = SWI_NO_HOLE},
                  plan->span,
                  plan->package[0] == '\0' ? "the package of %s is not stated%s"
                                           : "the package of %s, %s, is not known",
                  plan->ref, plan->package);
        return;
    }
    if (form == NULL || swi_equal_fold(form->name, part->package->name))
        return;
    if (!same_pins(part->package, check->fitted, part->fitted))
        swi_fault(check, SW_D_BOARD_LEADS, about(part), plan->span,
                  "%s has not the pins that %s has in the circuit, where it is a %s",
                  part->package->name, plan->ref, form->name);
    else if (!upright_of(part->package->name, form->name))
        swi_fault(check, SW_D_BOARD_PACKAGE_DIFFERS, about(part), plan->span,
                  "%s is a %s in the circuit, a %s on the board: the plan's was checked",
                  plan->ref, form->name, part->package->name);
}

void swi_rule_stance(swi_check *check) {
    for (uint32_t i = 0; i < check->plan->part_count; i++) {
        const swi_part *part = &check->parts[i];
        if (part->doubled || (check->fitted != NULL && part->fitted == NULL))
            continue;
        check_package(check, part);
        if (part->whole) {
            check_stance(check, part);
            check_face(check, part);
        }
    }
}
