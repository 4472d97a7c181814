/* src/board/rule_holes.c: rule 1, holes: on the board, not cut, one wire each, off the
 * margin.  (Keep-outs are a matter of room: rule_room.c.) */
#include "check.h"

#include <stdlib.h>

/* An end of a wire that wants a hole. */
typedef struct wire_end {
    const char *ref, *pin;   /* of a lead; "" of a link */
    const char *name;        /* "R1.2", "the link B3-F3" */
    sw_hole hole;
    sw_span span;
} wire_end;

static const char *say_link(swi_check *check, const sw_link *link) {
    return swi_say(check, "the link %s-%s", swi_say_hole(check, link->from),
                   swi_say_hole(check, link->to));
}

static wire_end *gather_ends(swi_check *check, uint32_t *count) {
    const sw_plan *plan = check->plan;
    size_t most = (size_t)plan->lead_count + 2 * (size_t)plan->link_count;
    wire_end *ends = malloc((most + 1) * sizeof *ends);
    if (ends == NULL)
        return NULL;
    uint32_t n = 0;
    for (uint32_t i = 0; i < plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        ends[n++] = (wire_end){plan->parts[lead->part].ref, lead->plan->pin,
                               swi_say_lead(check, lead), lead->plan->hole, lead->plan->span};
    }
    for (uint32_t i = 0; i < plan->link_count; i++) {
        const sw_link *link = &plan->links[i];
        const char *name = say_link(check, link);
        ends[n++] = (wire_end){"", "", name, link->from, link->span};
        ends[n++] = (wire_end){"", "", name, link->to, link->span};
    }
    *count = n;
    return ends;
}

static sw_fault at_end(const wire_end *end) {
    return (sw_fault){.ref = end->ref, .pin = end->pin, .at = end->hole, .to = SWI_NO_HOLE};
}

static bool in_margin(const sw_plan *plan, sw_hole hole) {
    int margin = plan->margin;
    return hole.strip < margin || hole.column < margin || hole.strip >= plan->strips - margin ||
           hole.column >= plan->columns - margin;
}

static void check_end(swi_check *check, const wire_end *end) {
    const sw_plan *plan = check->plan;
    const char *hole = swi_say_hole(check, end->hole);
    if (!swi_on_board(plan, end->hole)) {
        swi_fault(check, SW_D_BOARD_OFF, at_end(end), end->span,
                  "%s is in %s, off the board, whose last hole is %s", end->name, hole,
                  swi_say_hole(check, (sw_hole){(int16_t)(plan->strips - 1),
                                                (int16_t)(plan->columns - 1)}));
        return;
    }
    if (sw_copper_segment(check->copper, plan, end->hole) == SW_NONE)
        swi_fault(check, SW_D_BOARD_HOLE_CUT, at_end(end), end->span,
                  "%s is in %s, which is lost to a cut", end->name, hole);
    if (in_margin(plan, end->hole))
        swi_fault(check, SW_D_BOARD_MARGIN, at_end(end), end->span,
                  "%s in %s is in the margin of %d that is to be kept free", end->name, hole,
                  plan->margin);
}

/* The second and later ends of a hole are faults. */
static void check_sharing(swi_check *check, wire_end *ends, uint32_t count) {
    const sw_plan *plan = check->plan;
    size_t holes = (size_t)plan->strips * (size_t)plan->columns;
    uint32_t *first = calloc(holes, sizeof *first);
    if (first == NULL) {
        check->failed = true;
        return;
    }
    for (uint32_t i = 0; i < count; i++) {
        if (!swi_on_board(plan, ends[i].hole))
            continue;
        uint32_t *head = &first[(size_t)ends[i].hole.strip * (size_t)plan->columns +
                                (size_t)ends[i].hole.column];
        if (*head != 0)
            swi_fault(check, SW_D_BOARD_HOLE_SHARED, at_end(&ends[i]), ends[i].span,
                      "%s and %s are both in %s: one wire a hole", ends[*head - 1].name,
                      ends[i].name, swi_say_hole(check, ends[i].hole));
        else
            *head = i + 1;
    }
    free(first);
}

static void check_cut(swi_check *check, const sw_cut *cut) {
    sw_hole right = {cut->hole.strip, (int16_t)(cut->hole.column + 1)};
    if (!swi_on_board(check->plan, cut->hole))
        swi_fault(check, SW_D_BOARD_OFF, (sw_fault){.at = cut->hole, .to = SWI_NO_HOLE},
                  cut->span, "the cut at %s is off the board", swi_say_hole(check, cut->hole));
    else if (cut->knife && !swi_on_board(check->plan, right))
        swi_fault(check, SW_D_BOARD_OFF, (sw_fault){.at = cut->hole, .to = right}, cut->span,
                  "the knife cut right of %s is at the board's edge: there is no hole beyond",
                  swi_say_hole(check, cut->hole));
}

void swi_rule_holes(swi_check *check) {
    uint32_t count = 0;
    wire_end *ends = gather_ends(check, &count);
    if (ends == NULL) {
        check->failed = true;
        return;
    }
    for (uint32_t i = 0; i < count; i++)
        check_end(check, &ends[i]);
    check_sharing(check, ends, count);
    for (uint32_t i = 0; i < check->plan->cut_count; i++)
        check_cut(check, &check->plan->cuts[i]);
    free(ends);
}
