/* src/board/cost.c: what a plan costs: the balanced preference of board.h. */
#include "plan.h"

#include <stdlib.h>
#include <string.h>

#define LONG_LINK 10 /* pitches that a link may have before each more costs */

static int link_length(const sw_link *link) {
    int strips = abs(link->to.strip - link->from.strip);
    int columns = abs(link->to.column - link->from.column);
    return strips > columns ? strips : columns;
}

/* How far the leads of a bendable part stand from their usual distance. */
static int bend(const sw_plan *plan, const sw_plan_part *part, const sw_library *library) {
    const sw_package *package = swi_plan_package(part, NULL, library);
    if (package == NULL || package->form != SW_FORM_PAIR || part->lead_count != 2)
        return 0;
    sw_link way = {.from = plan->leads[part->first_lead].hole,
                   .to = plan->leads[part->first_lead + 1].hole};
    return abs(link_length(&way) - package->span_usual);
}

void sw_plan_cost(const sw_plan *plan, const sw_library *library, sw_cost *cost) {
    memset(cost, 0, sizeof *cost);
    cost->strips = plan->strips;
    cost->columns = plan->columns;
    cost->area = cost->strips * cost->columns;
    cost->links = (int32_t)plan->link_count;
    cost->cuts = (int32_t)plan->cut_count;
    for (uint32_t i = 0; i < plan->link_count; i++) {
        int length = link_length(&plan->links[i]);
        cost->link_pitches += length;
        if (length > LONG_LINK)
            cost->long_pitches += length - LONG_LINK;
    }
    for (uint32_t i = 0; i < plan->part_count; i++)
        cost->bend_pitches += bend(plan, &plan->parts[i], library);
    cost->balanced = cost->area + 2.0 * cost->links + 0.5 * cost->cuts + cost->bend_pitches +
                     cost->long_pitches;
}
