/* The plan, what it costs and what its check found, as JSON. */
#include "formats/json/json.h"

#include <stdlib.h>

static void put_nodes(swi_json *j, json_object *plan, const sw_plan *p) {
    json_object *nodes = swi_json_array(j, plan, "nodes");
    for (uint32_t i = 0; i < p->node_count; i++) {
        json_object *node = swi_json_object(j, nodes, NULL);
        swi_json_whole(j, node, "number", p->nodes[i].number);
        swi_json_text(j, node, "name", p->nodes[i].name ? p->nodes[i].name : "");
        swi_json_rail(j, node, p->nodes[i].rail);
        swi_json_flag_if(j, node, "unused", p->nodes[i].unused);
    }
}

/* A node that the plan does not state is left out. */
static void put_node_number(swi_json *j, json_object *in, uint32_t number) {
    if (number)
        swi_json_whole(j, in, "node", number);
}

static void put_part(swi_json *j, json_object *parts, const sw_plan *p, const sw_plan_part *part) {
    json_object *object = swi_json_object(j, parts, NULL);
    swi_json_text(j, object, "ref", part->ref);
    swi_json_text(j, object, "value", part->value ? part->value : "");
    swi_json_text(j, object, "device", part->device ? part->device : "");
    swi_json_text(j, object, "package", part->package ? part->package : "");
    if (part->turn >= 0)
        swi_json_whole(j, object, "turn", part->turn);
    swi_json_flag_if(j, object, "locked", part->locked);
    json_object *leads = swi_json_array(j, object, "leads");
    for (uint32_t i = 0; i < part->lead_count; i++) {
        const sw_plan_lead *lead = &p->leads[part->first_lead + i];
        json_object *one = swi_json_object(j, leads, NULL);
        swi_json_text(j, one, "pin", lead->pin);
        put_node_number(j, one, lead->node);
        swi_json_hole(j, one, "hole", lead->hole);
    }
}

static void put_cuts(swi_json *j, json_object *plan, const sw_plan *p) {
    json_object *cuts = swi_json_array(j, plan, "cuts");
    for (uint32_t i = 0; i < p->cut_count; i++) {
        const sw_cut *cut = &p->cuts[i];
        json_object *object = swi_json_object(j, cuts, NULL);
        swi_json_hole(j, object, cut->knife ? "between" : "hole", cut->hole);
        if (cut->knife)
            swi_json_hole(j, object, "and",
                          (sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)});
        swi_json_flag_if(j, object, "asked", cut->asked);
    }
}

static void put_links(swi_json *j, json_object *plan, const sw_plan *p) {
    json_object *links = swi_json_array(j, plan, "links");
    for (uint32_t i = 0; i < p->link_count; i++) {
        const sw_link *link = &p->links[i];
        json_object *object = swi_json_object(j, links, NULL);
        put_node_number(j, object, link->node);
        swi_json_hole(j, object, "from", link->from);
        swi_json_hole(j, object, "to", link->to);
        swi_json_whole(j, object, "pitches", abs(link->to.strip - link->from.strip));
        swi_json_flag_if(j, object, "sleeved", link->sleeved);
        swi_json_flag_if(j, object, "locked", link->locked);
    }
}

static void put_keep_outs(swi_json *j, json_object *plan, const sw_plan *p) {
    json_object *areas = swi_json_array(j, plan, "keep_out");
    for (uint32_t i = 0; i < p->keep_out_count; i++) {
        json_object *area = swi_json_object(j, areas, NULL);
        swi_json_hole(j, area, "from", p->keep_outs[i].from);
        swi_json_hole(j, area, "to", p->keep_outs[i].to);
        swi_json_text_if(j, area, "why", p->keep_outs[i].why);
    }
}

static void put_cost(swi_json *j, json_object *plan) {
    sw_cost cost;
    sw_plan_cost(j->document->plan, j->document->library, &cost);
    json_object *object = swi_json_object(j, plan, "cost");
    swi_json_whole(j, object, "area", cost.area);
    swi_json_whole(j, object, "links", cost.links);
    swi_json_whole(j, object, "cuts", cost.cuts);
    swi_json_whole(j, object, "link_pitches", cost.link_pitches);
    swi_json_whole(j, object, "bend_pitches", cost.bend_pitches);
    swi_json_whole(j, object, "long_pitches", cost.long_pitches);
    swi_json_real(j, object, "balanced", cost.balanced, 1);
}

static void put_neatness(swi_json *j, json_object *plan) {
    sw_neatness n;
    if (!sw_plan_neatness(j->document->plan, j->document->circuit, j->document->library, &n)) {
        j->failed = true;
        return;
    }
    json_object *object = swi_json_object(j, plan, "neatness");
    swi_json_whole(j, object, "cuts_in_line", n.cuts_in_line);
    swi_json_whole(j, object, "cuts_under", n.cuts_under);
    swi_json_whole(j, object, "in_line", n.in_line);
    swi_json_whole(j, object, "of_a_kind", n.of_a_kind);
    swi_json_whole(j, object, "one_way", n.one_way);
    swi_json_whole(j, object, "polarised", n.polarised);
    swi_json_whole(j, object, "at_sides", n.at_sides);
    swi_json_whole(j, object, "terminals", n.terminals);
    if (n.supply_apart >= 0)
        swi_json_whole(j, object, "supply_apart", n.supply_apart);
    swi_json_whole(j, object, "in_reach", n.in_reach);
    swi_json_whole(j, object, "adjusters", n.adjusters);
    swi_json_whole(j, object, "by_ic", n.by_ic);
    swi_json_whole(j, object, "decoupling", n.decoupling);
    swi_json_real(j, object, "tidy", n.tidy, 1);
    swi_json_real(j, object, "symmetry", n.symmetry, 1);
}

static void put_faults(swi_json *j, json_object *plan) {
    static const char *const severities[] = {
        [SW_QUIET] = "quiet", [SW_NOTE] = "note", [SW_WARNING] = "warning", [SW_ERROR] = "error"};
    const sw_check_report *report = j->document->check;
    json_object *faults = report ? swi_json_array(j, plan, "faults") : NULL;
    for (uint32_t i = 0; report && i < report->fault_count; i++) {
        const sw_fault *fault = &report->faults[i];
        json_object *object = swi_json_object(j, faults, NULL);
        swi_json_text(j, object, "id", sw_diag_name(fault->id));
        swi_json_text(j, object, "severity", severities[fault->severity]);
        if (fault->at.strip >= 0)
            swi_json_hole(j, object, "at", fault->at);
        if (fault->to.strip >= 0)
            swi_json_hole(j, object, "to", fault->to);
        swi_json_text_if(j, object, "ref", fault->ref);
        swi_json_text_if(j, object, "pin", fault->pin);
        swi_json_text(j, object, "text", fault->text);
        swi_json_text_if(j, object, "mend", fault->mend);
    }
}

void swi_json_plan(swi_json *j, json_object *root) {
    const sw_plan *p = j->document->plan;
    json_object *plan = swi_json_object(j, root, "plan");
    swi_json_text(j, plan, "title", p->title ? p->title : "");
    swi_json_text_if(j, plan, "circuit_file", p->circuit_file);
    swi_json_text_if(j, plan, "circuit_sha256", p->circuit_sha256);
    swi_json_whole(j, plan, "strips", p->strips);
    swi_json_whole(j, plan, "columns", p->columns);
    swi_json_whole(j, plan, "margin", p->margin);
    swi_json_real(j, plan, "pitch_mm", SW_PITCH_MM, 2);
    put_cost(j, plan);
    put_neatness(j, plan);
    put_keep_outs(j, plan, p);
    put_nodes(j, plan, p);
    json_object *parts = swi_json_array(j, plan, "parts");
    for (uint32_t i = 0; i < p->part_count; i++)
        put_part(j, parts, p, &p->parts[i]);
    put_cuts(j, plan, p);
    put_links(j, plan, p);
    put_faults(j, plan);
}
