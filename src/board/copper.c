/* src/board/copper.c: cuts make segments, links and joined pins make copper. */
#include "plan.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

uint32_t swi_root(uint32_t *parent, uint32_t i) {
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

void swi_unite(uint32_t *parent, uint32_t a, uint32_t b) {
    a = swi_root(parent, a);
    b = swi_root(parent, b);
    if (a < b)
        parent[b] = a;
    else
        parent[a] = b;
}

/* What ends a run at a hole. */
enum { LOST = 1, KNIFE = 2 };

static size_t index_of(const sw_plan *plan, sw_hole hole) {
    return (size_t)hole.strip * (size_t)plan->columns + (size_t)hole.column;
}

static void mark_cuts(const sw_plan *plan, unsigned char *breaks) {
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if (swi_on_board(plan, plan->cuts[i].hole))
            breaks[index_of(plan, plan->cuts[i].hole)] |= plan->cuts[i].knife ? KNIFE : LOST;
}

/* Walks the holes strip by strip; with copper->segments NULL it only counts. */
static uint32_t run_segments(const sw_plan *plan, const unsigned char *breaks,
                             sw_copper *copper) {
    uint32_t count = 0;
    for (int16_t strip = 0; strip < plan->strips; strip++) {
        bool open = false;
        for (int16_t column = 0; column < plan->columns; column++) {
            size_t hole = index_of(plan, (sw_hole){strip, column});
            if (breaks[hole] & LOST) {
                open = false;
                if (copper->segments != NULL)
                    copper->at[hole] = SW_NONE;
                continue;
            }
            if (!open)
                count++;
            if (copper->segments != NULL) {
                sw_segment *segment = &copper->segments[count - 1];
                if (!open)
                    *segment = (sw_segment){.strip = strip, .first = column};
                segment->last = column;
                copper->at[hole] = count - 1;
            }
            open = (breaks[hole] & KNIFE) == 0;
        }
    }
    return count;
}

static bool make_segments(const sw_plan *plan, sw_copper *copper) {
    size_t holes = (size_t)plan->strips * (size_t)plan->columns;
    unsigned char *breaks = calloc(holes + 1, 1);
    copper->at = malloc((holes + 1) * sizeof *copper->at);
    if (breaks != NULL && copper->at != NULL) {
        mark_cuts(plan, breaks);
        copper->segment_count = run_segments(plan, breaks, copper);
        copper->segments = calloc((size_t)copper->segment_count + 1, sizeof *copper->segments);
        if (copper->segments != NULL)
            run_segments(plan, breaks, copper);
    }
    free(breaks);
    return copper->segments != NULL;
}

uint32_t sw_copper_segment(const sw_copper *copper, const sw_plan *plan, sw_hole hole) {
    return swi_on_board(plan, hole) ? copper->at[index_of(plan, hole)] : SW_NONE;
}

static void join_links(const sw_plan *plan, sw_copper *copper, uint32_t *parent) {
    for (uint32_t i = 0; i < plan->link_count; i++) {
        uint32_t from = sw_copper_segment(copper, plan, plan->links[i].from);
        uint32_t to = sw_copper_segment(copper, plan, plan->links[i].to);
        if (from != SW_NONE)
            copper->segments[from].used = true;
        if (to != SW_NONE)
            copper->segments[to].used = true;
        if (from != SW_NONE && to != SW_NONE)
            swi_unite(parent, from, to);
    }
}

/* The group of pins joined inside the package that a lead belongs to; 0 none. */
static unsigned joined_group(const sw_package *package, const char *pin) {
    int index = package == NULL || package->joined == NULL ? -1
                                                           : sw_package_pin_index(package, pin);
    return index < 0 ? 0 : package->joined[index];
}

static void join_pins(const sw_plan *plan, const sw_package *const *packages, sw_copper *copper,
                      uint32_t *parent) {
    for (uint32_t p = 0; p < plan->part_count; p++) {
        const sw_plan_part *part = &plan->parts[p];
        const sw_plan_lead *leads = plan->leads ? plan->leads + part->first_lead : NULL;
        for (uint32_t i = 0; i < part->lead_count; i++) {
            uint32_t segment = sw_copper_segment(copper, plan, leads[i].hole);
            if (segment == SW_NONE)
                continue;
            copper->segments[segment].used = true;
            unsigned group = joined_group(packages[p], leads[i].pin);
            for (uint32_t k = 0; group != 0 && k < i; k++) {
                uint32_t other = sw_copper_segment(copper, plan, leads[k].hole);
                if (other != SW_NONE && joined_group(packages[p], leads[k].pin) == group)
                    swi_unite(parent, segment, other);
            }
        }
    }
}

static void number_copper(sw_copper *copper, uint32_t *parent) {
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        uint32_t root = swi_root(parent, i); /* never above i */
        copper->segments[i].copper =
            root == i ? copper->copper_count++ : copper->segments[root].copper;
    }
}

/* The node of a piece of copper: 0 none yet, SW_NONE several. */
static void tell_nodes(const sw_plan *plan, sw_copper *copper, uint32_t *node) {
    memset(node, 0, copper->segment_count * sizeof *node);
    for (uint32_t i = 0; i < plan->lead_count; i++) {
        uint32_t segment = sw_copper_segment(copper, plan, plan->leads[i].hole);
        if (segment == SW_NONE || plan->leads[i].node == 0)
            continue;
        uint32_t *known = &node[copper->segments[segment].copper];
        *known = *known == 0 || *known == plan->leads[i].node ? plan->leads[i].node : SW_NONE;
    }
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        uint32_t known = node[copper->segments[i].copper];
        copper->segments[i].node = known == SW_NONE ? 0 : known;
    }
}

sw_copper *swi_copper_build(const sw_plan *plan, const sw_package *const *packages) {
    sw_copper *copper = calloc(1, sizeof *copper);
    if (copper == NULL)
        return NULL;
    if (plan->strips <= 0 || plan->columns <= 0)
        return copper;
    uint32_t *parent = NULL;
    if (make_segments(plan, copper))
        parent = malloc(((size_t)copper->segment_count + 1) * sizeof *parent);
    if (parent == NULL) {
        sw_copper_free(copper);
        return NULL;
    }
    for (uint32_t i = 0; i < copper->segment_count; i++)
        parent[i] = i;
    join_links(plan, copper, parent);
    join_pins(plan, packages, copper, parent);
    number_copper(copper, parent);
    tell_nodes(plan, copper, parent); /* its work is done: used as scratch */
    free(parent);
    return copper;
}

sw_copper *sw_copper_new(const sw_plan *plan, const sw_library *library) {
    const sw_package **packages = calloc((size_t)plan->part_count + 1, sizeof *packages);
    if (packages == NULL)
        return NULL;
    for (uint32_t i = 0; i < plan->part_count; i++)
        packages[i] = swi_plan_package(&plan->parts[i], NULL, library);
    sw_copper *copper = swi_copper_build(plan, packages);
    free(packages);
    return copper;
}

void sw_copper_free(sw_copper *copper) {
    if (copper == NULL)
        return;
    free(copper->segments);
    free(copper->at);
    free(copper);
}
