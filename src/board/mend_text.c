/* src/board/mend_text.c: mends as a person would say them. */
#include "mend.h"

#include <stdlib.h>

enum { SHOWN = 4 }; /* pins listed when a part moves */

/* Where a pin of the part has its lead now. */
static sw_hole hole_now(const swi_check *check, uint32_t part, int pin) {
    const sw_plan_part *plan = check->parts[part].plan;
    for (uint32_t i = 0; i < plan->lead_count; i++)
        if (check->leads[plan->first_lead + i].pin == pin)
            return check->leads[plan->first_lead + i].plan->hole;
    return SWI_NO_HOLE;
}

/* "pin 1 in C4, pin 2 in G4" */
static const char *say_pins(swi_check *check, const sw_package *package, const sw_hole *holes) {
    const char *text = "";
    for (uint32_t i = 0; i < package->pin_count; i++) {
        if (i == SHOWN && package->pin_count > SHOWN + 1)
            return swi_say(check, "%s, and so on", text);
        text = swi_say(check, "%s%spin %s in %s", text, i == 0 ? "" : ", ", package->pins[i],
                       swi_say_hole(check, holes[i]));
    }
    return text;
}

/* How the part's leads change. */
typedef struct change {
    uint32_t count;          /* leads in another hole */
    uint32_t first, second;  /* pins */
    bool same_holes;         /* the part keeps its set of holes */
} change;

static change changes(const swi_check *check, uint32_t part, const sw_package *package,
                      const sw_hole *holes) {
    change c = {.same_holes = true};
    for (uint32_t i = 0; i < package->pin_count; i++) {
        sw_hole now = hole_now(check, part, (int)i);
        bool kept = false;
        for (uint32_t k = 0; k < package->pin_count; k++)
            kept = kept || swi_same_hole(now, holes[k]);
        c.same_holes = c.same_holes && kept;
        if (swi_same_hole(now, holes[i]))
            continue;
        if (c.count == 0)
            c.first = i;
        else if (c.count == 1)
            c.second = i;
        c.count++;
    }
    return c;
}

static const char *say_moved(swi_check *check, const char *ref, uint32_t part,
                             const sw_package *package, const sw_hole *holes) {
    change c = changes(check, part, package, holes);
    if (c.count == 1) {
        sw_hole now = hole_now(check, part, (int)c.first);
        if (swi_same_hole(now, SWI_NO_HOLE))
            return swi_say(check, "put the lead of %s.%s in %s", ref, package->pins[c.first],
                           swi_say_hole(check, holes[c.first]));
        return swi_say(check, "move the lead of %s.%s from %s to %s", ref,
                       package->pins[c.first], swi_say_hole(check, now),
                       swi_say_hole(check, holes[c.first]));
    }
    if (c.count == 2 && c.same_holes)
        return swi_say(check, package->pin_count == 2 ? "turn %s round, so that pin %s is in %s "
                                                        "and pin %s in %s"
                                                      : "swap leads of %s: pin %s in %s and "
                                                        "pin %s in %s",
                       ref, package->pins[c.first], swi_say_hole(check, holes[c.first]),
                       package->pins[c.second], swi_say_hole(check, holes[c.second]));
    return swi_say(check, c.same_holes ? "turn %s round: %s" : "move %s: %s", ref,
                   say_pins(check, package, holes));
}

static const char *say_place(swi_check *check, const sw_mend *mend) {
    const sw_package *package =
        swi_mend_package(check->plan, mend, check->fitted, check->library);
    if (package == NULL)
        return "";
    sw_hole *holes = malloc(((size_t)package->pin_count + 1) * sizeof *holes);
    const char *text = "";
    if (holes != NULL && swi_mend_holes(package, mend, holes)) {
        uint32_t part = swi_plan_find_part(check->plan, mend->ref);
        text = part == SW_NONE
                   ? swi_say(check, "fit %s with %s", mend->ref,
                             say_pins(check, package, holes))
                   : say_moved(check, mend->ref, part, package, holes);
    } else {
        check->failed = true;
    }
    free(holes);
    return text;
}

const char *swi_say_mend(swi_check *check, const sw_mend *mend) {
    const char *a = swi_say_hole(check, mend->a), *b = swi_say_hole(check, mend->b);
    switch (mend->kind) {
    case SW_MEND_NONE:
        return "";
    case SW_MEND_CUT:
        return swi_say(check, "cut at %s", a);
    case SW_MEND_KNIFE:
        return swi_say(check, "cut with a knife between %s and the hole right of it", a);
    case SW_MEND_UNCUT:
        return swi_say(check, "leave out the cut at %s", a);
    case SW_MEND_UNKNIFE:
        return swi_say(check, "leave out the knife cut right of %s", a);
    case SW_MEND_MOVE_CUT:
        return swi_say(check, "cut at %s instead of %s", b, a);
    case SW_MEND_LINK:
        return swi_say(check, "put a link from %s to %s", a, b);
    case SW_MEND_UNLINK:
        return swi_say(check, "leave out the link %s-%s", a, b);
    case SW_MEND_MOVE_LINK:
        return swi_say(check, "put the link %s-%s from %s to %s instead", a, b,
                       swi_say_hole(check, mend->c), swi_say_hole(check, mend->d));
    case SW_MEND_PLACE:
        return say_place(check, mend);
    case SW_MEND_STATE_TURN:
        return swi_say(check, "state turn %d for %s", mend->turn, mend->ref);
    case SW_MEND_TAKE_LEAD:
        return swi_say(check, "take away the lead of %s.%s in %s", mend->ref, mend->pin, a);
    case SW_MEND_TAKE_PART:
        return swi_say(check, "take %s off", mend->ref);
    }
    return "";
}
