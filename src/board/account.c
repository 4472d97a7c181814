/* src/board/account.c: what the rules look at: parts and leads resolved, the nodes
 * that should be, the copper that is. */
#include "check.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* ---- nets from the circuit ---- */

static bool nets_of_circuit(swi_check *check) {
    const sw_circuit *fitted = check->fitted;
    check->net_count = fitted->node_count;
    check->nets = swi_arena_array(check->arena, (size_t)fitted->node_count + 1,
                                  sizeof *check->nets);
    if (check->nets == NULL)
        return false;
    for (uint32_t i = 0; i < fitted->node_count; i++)
        check->nets[i] = (swi_net){fitted->nodes[i].number, fitted->nodes[i].name,
                                   fitted->nodes[i].pin_count, false, i};
    return true;
}

/* ---- nets from the numbers stated in the plan ---- */

static int compare_numbers(const void *a, const void *b) {
    uint32_t p = *(const uint32_t *)a, q = *(const uint32_t *)b;
    return (p > q) - (p < q);
}

static const char *stated_name(const sw_plan *plan, uint32_t number) {
    for (uint32_t i = 0; i < plan->node_count; i++)
        if (plan->nodes[i].number == number)
            return plan->nodes[i].name;
    return "";
}

static bool nets_of_plan(swi_check *check) {
    const sw_plan *plan = check->plan;
    uint32_t *numbers = malloc(((size_t)plan->lead_count + 1) * sizeof *numbers);
    check->nets = swi_arena_array(check->arena, (size_t)plan->lead_count + 1,
                                  sizeof *check->nets);
    if (numbers != NULL && check->nets != NULL) {
        for (uint32_t i = 0; i < plan->lead_count; i++)
            numbers[i] = plan->leads[i].node;
        if (plan->lead_count > 1)
            qsort(numbers, plan->lead_count, sizeof *numbers, compare_numbers);
        for (uint32_t i = 0; i < plan->lead_count; i++) {
            if (numbers[i] == 0)
                continue;
            uint32_t last = check->net_count;
            if (last == 0 || check->nets[last - 1].number != numbers[i]) {
                check->nets[last] = (swi_net){numbers[i], stated_name(plan, numbers[i]), 0,
                                              false, last};
                check->net_count++;
            }
            check->nets[check->net_count - 1].pins++;
        }
    }
    free(numbers);
    return numbers != NULL && check->nets != NULL;
}

static uint32_t net_of_number(const swi_check *check, uint32_t number) {
    uint32_t low = 0, high = check->net_count;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (check->nets[middle].number < number)
            low = middle + 1;
        else
            high = middle;
    }
    return low < check->net_count && check->nets[low].number == number ? low : SW_NONE;
}

/* ---- parts and leads ---- */

static void resolve_lead(swi_check *check, uint32_t index, uint32_t part_index) {
    swi_lead *lead = &check->leads[index];
    const swi_part *part = &check->parts[part_index];
    *lead = (swi_lead){.plan = &check->plan->leads[index], .part = part_index, .net = SW_NONE,
                       .pin = -1, .segment = SW_NONE, .circuit_pin = {SW_NONE}};
    const char *number = lead->plan->pin;
    if (part->fitted != NULL) {
        sw_part_id id = {(uint32_t)(part->fitted - check->fitted->parts)};
        lead->circuit_pin = sw_circuit_pin(check->fitted, id, number);
        if (lead->circuit_pin.i != SW_NONE) {
            const sw_pin *pin = &check->fitted->pins[lead->circuit_pin.i];
            lead->net = pin->node.i;
            number = pin->number;
        }
    } else if (check->fitted == NULL) {
        lead->net = net_of_number(check, lead->plan->node);
    }
    if (part->package != NULL)
        lead->pin = sw_package_pin_index(part->package, number);
}

/* Each pin of the package on the board just once. */
static bool place_pins(swi_check *check, swi_part *part) {
    if (part->package == NULL)
        return true;
    uint32_t pins = part->package->pin_count, placed = 0;
    part->by_pin = swi_arena_array(check->arena, (size_t)pins + 1, sizeof *part->by_pin);
    if (part->by_pin == NULL)
        return false;
    for (uint32_t i = 0; i < pins; i++)
        part->by_pin[i] = SWI_NO_HOLE;
    bool once = true;
    for (uint32_t i = 0; i < part->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[part->plan->first_lead + i];
        bool good = lead->pin >= 0 && swi_on_board(check->plan, lead->plan->hole) &&
                    swi_same_hole(part->by_pin[lead->pin], SWI_NO_HOLE);
        if (good)
            part->by_pin[lead->pin] = lead->plan->hole;
        once = once && good;
        placed += good ? 1 : 0;
    }
    part->whole = once && placed == pins;
    return true;
}

static void stand(swi_part *part, bool *failed) {
    part->stance = (swi_stance){.turn = -1};
    if (!part->whole)
        return;
    part->stance = swi_stance_of(part->package, part->by_pin, part->plan->turn, failed);
    if (!part->stance.fits)
        return;
    const sw_hole *holes = part->by_pin;
    part->body = swi_shape_body(part->package, part->stance.turn, part->stance.span, holes[0]);
    part->bendable = part->package->form == SW_FORM_PAIR;
    if (!part->bendable)
        return;
    unsigned span = part->stance.span;
    part->bendable = span >= part->package->span_least && span <= part->package->span_most;
    part->stance.fits = part->bendable; /* a span that cannot be: no body either */
    part->wire = swi_shape_wire(holes[0], holes[1]);
}

static bool resolve_parts(swi_check *check) {
    const sw_plan *plan = check->plan;
    check->parts = swi_arena_array(check->arena, (size_t)plan->part_count + 1,
                                   sizeof *check->parts);
    check->leads = swi_arena_array(check->arena, (size_t)plan->lead_count + 1,
                                   sizeof *check->leads);
    swi_map *seen = swi_map_new(check->arena, true);
    bool failed = check->parts == NULL || check->leads == NULL || seen == NULL;
    for (uint32_t i = 0; !failed && i < plan->part_count; i++) {
        swi_part *part = &check->parts[i];
        part->plan = &plan->parts[i];
        const char *ref = part->plan->ref;
        part->doubled = swi_map_add(seen, ref, strlen(ref), i, &failed) != i;
        if (check->fitted != NULL) {
            sw_part_id id = sw_circuit_part(check->fitted, ref);
            part->fitted = id.i == SW_NONE ? NULL : &check->fitted->parts[id.i];
        }
        part->package = swi_plan_package(part->plan, part->fitted, check->library);
        for (uint32_t k = 0; k < part->plan->lead_count; k++)
            resolve_lead(check, part->plan->first_lead + k, i);
        failed = failed || !place_pins(check, part);
        if (!failed)
            stand(part, &failed);
    }
    swi_map_free(seen);
    return !failed;
}

/* ---- lone pins ---- */

static unsigned group_of(const swi_part *part, const swi_lead *lead) {
    return lead->pin < 0 || part->package->joined == NULL ? 0
                                                          : part->package->joined[lead->pin];
}

bool swi_joined_inside(const swi_part *part, const swi_lead *a, const swi_lead *b) {
    unsigned group = part->package == NULL ? 0 : group_of(part, a);
    return group != 0 && group == group_of(part, b) && a->segment != SW_NONE &&
           b->segment != SW_NONE;
}

/* Lone pins joined inside their package to another pin are that pin's node. */
static void join_inside(swi_check *check, const swi_part *part, uint32_t *parent) {
    const swi_lead *leads = check->leads + part->plan->first_lead;
    for (uint32_t i = 0; i < part->plan->lead_count; i++) {
        unsigned group = group_of(part, &leads[i]);
        for (uint32_t k = 0; group != 0 && k < i; k++) {
            uint32_t a = leads[i].net, b = leads[k].net;
            if (group_of(part, &leads[k]) != group || a == SW_NONE || b == SW_NONE)
                continue;
            a = swi_root(parent, a);
            b = swi_root(parent, b);
            bool a_lone = check->nets[a].lone, b_lone = check->nets[b].lone;
            if (!a_lone && !b_lone)
                continue; /* two nodes of some size: that is a short, not a name */
            swi_unite(parent, a, b);
            check->nets[swi_root(parent, a)].lone = a_lone && b_lone;
        }
    }
}

static bool join_lone_nets(swi_check *check) {
    uint32_t *parent = malloc(((size_t)check->net_count + 1) * sizeof *parent);
    if (parent == NULL)
        return false;
    for (uint32_t i = 0; i < check->net_count; i++) {
        parent[i] = i;
        check->nets[i].lone = check->nets[i].pins == 1;
    }
    for (uint32_t i = 0; i < check->plan->part_count; i++)
        if (check->parts[i].package != NULL)
            join_inside(check, &check->parts[i], parent);
    /* The one that connects to something, if any, gives its name. */
    for (uint32_t i = 0; i < check->net_count; i++)
        if (check->nets[i].pins != 1)
            check->nets[swi_root(parent, i)].same = i;
    for (uint32_t i = 0; i < check->net_count; i++) {
        uint32_t root = swi_root(parent, i), named = check->nets[root].same;
        check->nets[i].same = named;
        check->nets[i].lone = check->nets[root].lone;
    }
    for (uint32_t i = 0; i < check->plan->lead_count; i++)
        if (check->leads[i].net != SW_NONE)
            check->leads[i].net = check->nets[check->leads[i].net].same;
    free(parent);
    return true;
}

static bool lay_copper(swi_check *check) {
    const sw_plan *plan = check->plan;
    const sw_package **packages = malloc(((size_t)plan->part_count + 1) * sizeof *packages);
    if (packages == NULL)
        return false;
    for (uint32_t i = 0; i < plan->part_count; i++)
        packages[i] = check->parts[i].package;
    check->copper = swi_copper_build(plan, packages);
    free(packages);
    if (check->copper == NULL)
        return false;
    for (uint32_t i = 0; i < plan->lead_count; i++)
        check->leads[i].segment =
            sw_copper_segment(check->copper, plan, check->leads[i].plan->hole);
    return true;
}

bool swi_check_account(swi_check *check) {
    bool nets = check->fitted != NULL ? nets_of_circuit(check) : nets_of_plan(check);
    return nets && resolve_parts(check) && join_lone_nets(check) && lay_copper(check);
}
