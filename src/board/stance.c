/* src/board/stance.c: which package a part is judged by, and how it stands. */
#include "plan.h"

#include "base/text.h"

#include <stdlib.h>

uint32_t swi_plan_find_part(const sw_plan *plan, const char *ref) {
    for (uint32_t i = 0; i < plan->part_count; i++)
        if (swi_equal_fold(plan->parts[i].ref, ref))
            return i;
    return SW_NONE;
}

const sw_package *swi_plan_package(const sw_plan_part *part, const sw_part *fitted,
                                   const sw_library *library) {
    const sw_package *form = fitted == NULL ? NULL : fitted->form;
    if (part->package[0] == '\0' || (form != NULL && swi_equal_fold(form->name, part->package)))
        return form;
    return library == NULL ? NULL : sw_library_package(library, part->package);
}

unsigned swi_turn_bit(int turn) {
    switch (turn) {
    case 0: return SW_TURN_0;
    case 90: return SW_TURN_90;
    case 180: return SW_TURN_180;
    case 270: return SW_TURN_270;
    default: return 0;
    }
}

/* Pitches between the leads of a pair. */
static unsigned span_of(const sw_hole *by_pin) {
    int rows = abs(by_pin[1].strip - by_pin[0].strip);
    int columns = abs(by_pin[1].column - by_pin[0].column);
    return (unsigned)(rows > columns ? rows : columns);
}

static bool stands_so(const sw_package *package, const sw_hole *by_pin, int turn, unsigned span,
                      sw_offset *offsets) {
    sw_package_leads(package, (unsigned)turn, span, offsets);
    for (uint32_t i = 1; i < package->pin_count; i++)
        if (by_pin[i].strip - by_pin[0].strip != offsets[i].row ||
            by_pin[i].column - by_pin[0].column != offsets[i].column)
            return false;
    return true;
}

swi_stance swi_stance_of(const sw_package *package, const sw_hole *by_pin, int stated,
                         bool *failed) {
    swi_stance stance = {false, false, -1, 0};
    sw_offset *offsets = malloc(((size_t)package->pin_count + 1) * sizeof *offsets);
    if (offsets == NULL) {
        *failed = true;
        return stance;
    }
    if (package->form == SW_FORM_PAIR && package->pin_count == 2) {
        stance.span = (uint16_t)span_of(by_pin);
        if (stance.span == 0) {
            free(offsets);
            return stance;
        }
    }
    /* The stated turn is tried first: a part may look the same in several turns. */
    for (int i = -1; i < 4 && !stance.fits; i++) {
        int turn = i < 0 ? stated : i * 90;
        if ((swi_turn_bit(turn) & package->turns) == 0 ||
            !stands_so(package, by_pin, turn, stance.span, offsets))
            continue;
        stance.fits = true;
        stance.turn = (int16_t)turn;
    }
    stance.turn_wrong = stance.fits && stated >= 0 && stated != stance.turn;
    free(offsets);
    return stance;
}
