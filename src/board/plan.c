/* src/board/plan.c: a plan's memory, adding to it, and its normal form. */
#include "plan.h"

#include <stdlib.h>
#include <string.h>

/* Text lives in the arena, the arrays grow on their own. */
struct swi_plan_memory {
    swi_arena *arena;
    size_t nodes, parts, leads, cuts, links, keep_outs, foreign; /* capacities */
};

sw_plan *sw_plan_new(void) {
    sw_plan *plan = calloc(1, sizeof *plan);
    if (plan == NULL)
        return NULL;
    plan->memory = calloc(1, sizeof *plan->memory);
    if (plan->memory != NULL)
        plan->memory->arena = swi_arena_new();
    if (plan->memory == NULL || plan->memory->arena == NULL) {
        free(plan->memory);
        free(plan);
        return NULL;
    }
    plan->title = plan->circuit_file = plan->circuit_sha256 = "";
    return plan;
}

void sw_plan_free(sw_plan *plan) {
    if (plan == NULL)
        return;
    free(plan->nodes);
    free(plan->parts);
    free(plan->leads);
    free(plan->cuts);
    free(plan->links);
    free(plan->keep_outs);
    free(plan->foreign);
    swi_arena_free(plan->memory->arena);
    free(plan->memory);
    free(plan);
}

const char *sw_plan_text(sw_plan *plan, const char *text) {
    if (text == NULL || text[0] == '\0')
        return "";
    return swi_arena_text(plan->memory->arena, text, strlen(text));
}

/* Callers may leave text out; readers of a plan never meet NULL. */
static const char *never_null(const char *text) {
    return text == NULL ? "" : text;
}

/* Appends `item` to plan->`list`. */
#define APPEND(plan, list, count, item)                                              \
    (SWI_GROW((plan)->list, (plan)->memory->list, (size_t)(plan)->count + 1)         \
         ? ((plan)->list[(plan)->count++] = (item), true)                            \
         : false)

bool sw_plan_add_node(sw_plan *plan, sw_plan_node node) {
    node.name = never_null(node.name);
    return APPEND(plan, nodes, node_count, node);
}

bool sw_plan_add_part(sw_plan *plan, sw_plan_part part) {
    part.ref = never_null(part.ref);
    part.value = never_null(part.value);
    part.device = never_null(part.device);
    part.package = never_null(part.package);
    part.first_lead = plan->lead_count;
    part.lead_count = 0;
    return APPEND(plan, parts, part_count, part);
}

bool sw_plan_add_lead(sw_plan *plan, sw_plan_lead lead) {
    lead.pin = never_null(lead.pin);
    if (plan->part_count == 0 || !APPEND(plan, leads, lead_count, lead))
        return false;
    plan->parts[plan->part_count - 1].lead_count++;
    return true;
}

bool sw_plan_add_cut(sw_plan *plan, sw_cut cut) {
    return APPEND(plan, cuts, cut_count, cut);
}

bool sw_plan_add_link(sw_plan *plan, sw_link link) {
    return APPEND(plan, links, link_count, link);
}

bool sw_plan_add_keep_out(sw_plan *plan, sw_keep_out keep_out) {
    keep_out.why = never_null(keep_out.why);
    return APPEND(plan, keep_outs, keep_out_count, keep_out);
}

bool sw_plan_add_foreign(sw_plan *plan, sw_foreign foreign) {
    foreign.owner = never_null(foreign.owner);
    foreign.xml = never_null(foreign.xml);
    return APPEND(plan, foreign, foreign_count, foreign);
}

/* Text of another plan into this one; *ok is cleared when memory is out. */
static const char *adopt(sw_plan *plan, const char *text, bool *ok) {
    const char *own = sw_plan_text(plan, text);
    if (own == NULL)
        *ok = false;
    return own;
}

static bool copy_parts(sw_plan *copy, const sw_plan *plan) {
    bool ok = true;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        sw_plan_part part = plan->parts[i];
        const sw_plan_lead *leads = plan->leads + part.first_lead;
        uint32_t lead_count = part.lead_count;
        part.ref = adopt(copy, part.ref, &ok);
        part.value = adopt(copy, part.value, &ok);
        part.device = adopt(copy, part.device, &ok);
        part.package = adopt(copy, part.package, &ok);
        ok = ok && sw_plan_add_part(copy, part);
        for (uint32_t k = 0; ok && k < lead_count; k++) {
            sw_plan_lead lead = leads[k];
            lead.pin = adopt(copy, lead.pin, &ok);
            ok = ok && sw_plan_add_lead(copy, lead);
        }
    }
    return ok;
}

static bool copy_board(sw_plan *copy, const sw_plan *plan) {
    bool ok = true;
    for (uint32_t i = 0; i < plan->node_count; i++) {
        sw_plan_node node = plan->nodes[i];
        node.name = adopt(copy, node.name, &ok);
        ok = ok && sw_plan_add_node(copy, node);
    }
    for (uint32_t i = 0; i < plan->cut_count; i++)
        ok = ok && sw_plan_add_cut(copy, plan->cuts[i]);
    for (uint32_t i = 0; i < plan->link_count; i++)
        ok = ok && sw_plan_add_link(copy, plan->links[i]);
    for (uint32_t i = 0; i < plan->keep_out_count; i++) {
        sw_keep_out keep_out = plan->keep_outs[i];
        keep_out.why = adopt(copy, keep_out.why, &ok);
        ok = ok && sw_plan_add_keep_out(copy, keep_out);
    }
    for (uint32_t i = 0; i < plan->foreign_count; i++) {
        sw_foreign foreign = plan->foreign[i];
        foreign.owner = adopt(copy, foreign.owner, &ok);
        foreign.xml = adopt(copy, foreign.xml, &ok);
        ok = ok && sw_plan_add_foreign(copy, foreign);
    }
    return ok;
}

sw_plan *sw_plan_copy(const sw_plan *plan) {
    sw_plan *copy = sw_plan_new();
    if (copy == NULL)
        return NULL;
    bool ok = true;
    copy->title = adopt(copy, plan->title, &ok);
    copy->circuit_file = adopt(copy, plan->circuit_file, &ok);
    copy->circuit_sha256 = adopt(copy, plan->circuit_sha256, &ok);
    copy->strips = plan->strips;
    copy->columns = plan->columns;
    copy->margin = plan->margin;
    if (ok && copy_parts(copy, plan) && copy_board(copy, plan))
        return copy;
    sw_plan_free(copy);
    return NULL;
}

bool swi_plan_rebuild_leads(sw_plan *plan) {
    size_t count = 0;
    for (uint32_t i = 0; i < plan->part_count; i++)
        count += plan->parts[i].lead_count;
    sw_plan_lead *leads = malloc((count + 1) * sizeof *leads);
    if (leads == NULL)
        return false;
    uint32_t next = 0;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        sw_plan_part *part = &plan->parts[i];
        if (part->lead_count != 0)
            memcpy(leads + next, plan->leads + part->first_lead,
                   part->lead_count * sizeof *leads);
        part->first_lead = next;
        next += part->lead_count;
    }
    free(plan->leads);
    plan->leads = leads;
    plan->lead_count = next;
    plan->memory->leads = count + 1;
    return true;
}

bool swi_plan_set_leads(sw_plan *plan, uint32_t part, const sw_plan_lead *leads,
                        uint32_t count) {
    sw_plan_part was = plan->parts[part];
    uint32_t first = plan->lead_count;
    for (uint32_t i = 0; i < count; i++)
        if (!APPEND(plan, leads, lead_count, leads[i])) {
            plan->lead_count = first;
            return false;
        }
    plan->parts[part].first_lead = first;
    plan->parts[part].lead_count = count;
    if (swi_plan_rebuild_leads(plan))
        return true;
    plan->parts[part] = was;
    plan->lead_count = first;
    return false;
}

/* Orders.  Ties end at the place in the source, so that the C library's sort
 * cannot make a difference. */
static int by_number(long a, long b) {
    return (a > b) - (a < b);
}

int swi_compare_nodes(const void *a, const void *b) {
    const sw_plan_node *p = a, *q = b;
    int order = by_number(p->number, q->number);
    return order != 0 ? order : strcmp(p->name, q->name);
}

static int compare_parts(const void *a, const void *b) {
    const sw_plan_part *p = a, *q = b;
    int order = sw_natural_compare(p->ref, q->ref);
    if (order == 0)
        order = strcmp(p->ref, q->ref);
    if (order == 0)
        order = by_number(p->first_lead, q->first_lead);
    return order != 0 ? order : by_number(p->span.offset, q->span.offset);
}

static int compare_holes(sw_hole a, sw_hole b) {
    int order = by_number(a.strip, b.strip);
    return order != 0 ? order : by_number(a.column, b.column);
}

int swi_compare_cuts(const void *a, const void *b) {
    const sw_cut *p = a, *q = b;
    int order = compare_holes(p->hole, q->hole);
    if (order == 0)
        order = by_number(p->knife, q->knife);
    if (order == 0)
        order = by_number(q->asked, p->asked);
    return order != 0 ? order : by_number(p->span.offset, q->span.offset);
}

int swi_compare_links(const void *a, const void *b) {
    const sw_link *p = a, *q = b;
    int order = by_number(p->from.column, q->from.column);
    if (order == 0)
        order = by_number(p->from.strip, q->from.strip);
    if (order == 0)
        order = compare_holes(p->to, q->to);
    if (order == 0)
        order = by_number(p->sleeved, q->sleeved);
    return order != 0 ? order : by_number(p->span.offset, q->span.offset);
}

static int compare_keep_outs(const void *a, const void *b) {
    const sw_keep_out *p = a, *q = b;
    int order = compare_holes(p->from, q->from);
    if (order == 0)
        order = compare_holes(p->to, q->to);
    return order != 0 ? order : strcmp(p->why, q->why);
}

static void sort(void *items, uint32_t count, size_t size,
                 int (*compare)(const void *, const void *)) {
    if (count > 1)
        qsort(items, count, size, compare);
}

void swi_link_downwards(sw_link *link) {
    if (compare_holes(link->from, link->to) <= 0)
        return;
    sw_hole hole = link->from;
    link->from = link->to;
    link->to = hole;
}

void swi_keep_out_square(sw_keep_out *keep_out) {
    sw_hole a = keep_out->from, b = keep_out->to;
    keep_out->from.strip = a.strip < b.strip ? a.strip : b.strip;
    keep_out->from.column = a.column < b.column ? a.column : b.column;
    keep_out->to.strip = a.strip < b.strip ? b.strip : a.strip;
    keep_out->to.column = a.column < b.column ? b.column : a.column;
}

bool sw_plan_normalise(sw_plan *plan) {
    for (uint32_t i = 0; i < plan->link_count; i++)
        swi_link_downwards(&plan->links[i]);
    for (uint32_t i = 0; i < plan->keep_out_count; i++)
        swi_keep_out_square(&plan->keep_outs[i]);
    sort(plan->nodes, plan->node_count, sizeof *plan->nodes, swi_compare_nodes);
    sort(plan->parts, plan->part_count, sizeof *plan->parts, compare_parts);
    sort(plan->cuts, plan->cut_count, sizeof *plan->cuts, swi_compare_cuts);
    sort(plan->links, plan->link_count, sizeof *plan->links, swi_compare_links);
    sort(plan->keep_outs, plan->keep_out_count, sizeof *plan->keep_outs, compare_keep_outs);
    return swi_plan_rebuild_leads(plan);
}
