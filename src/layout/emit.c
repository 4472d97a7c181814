/* src/layout/emit.c: writes a plan.
 *
 * What the search left open is settled here: which hole of a gap is cut (cuts.c),
 * and which links are sleeved: with --sleeved those that pass beneath a body.
 */
#include "emit.h"

static sw_hole hole(const swi_model *m, int row, int col) {
    return (sw_hole){(int16_t)(row + m->options->margin), (int16_t)(col + m->options->margin)};
}

static const char *text(sw_plan *plan, const char *from, bool *ok) {
    const char *copy = sw_plan_text(plan, from ? from : "");
    *ok &= copy != NULL;
    return copy;
}

static uint32_t number_of(const swi_model *m, uint16_t node) {
    return m->circuit->nodes[node].number;
}

static bool add_nodes(const swi_model *m, sw_plan *plan) {
    bool ok = true;
    for (uint32_t i = 0; i < m->circuit->node_count && ok; i++) {
        const sw_node *node = m->circuit->by_number ? &m->circuit->nodes[m->circuit->by_number[i].i] : &m->circuit->nodes[i];
        const char *name = text(plan, node->name, &ok);
        ok = ok && sw_plan_add_node(plan, (sw_plan_node){node->number, name, node->rail, node->pin_count == 1});
    }
    return ok;
}

static bool was_locked(const swi_model *m, uint16_t part) {
    return m->parts[part].fixed_shape >= 0;
}

static bool add_part(const swi_model *m, sw_plan *plan, uint16_t index, swi_place place) {
    const swi_part *part = &m->parts[index];
    const sw_part *source = &m->circuit->parts[part->part];
    const swi_shape *shape = &part->shapes[place.shape];
    bool ok = true;
    sw_plan_part out = {.ref = text(plan, source->ref, &ok), .value = text(plan, source->value, &ok),
                        .device = text(plan, source->device, &ok), .package = text(plan, shape->package->name, &ok),
                        .turn = (int16_t)shape->turn, .locked = was_locked(m, index)};
    if (!ok || !sw_plan_add_part(plan, out))
        return false;
    for (unsigned i = 0; i < part->pin_count && ok; i++) {
        const char *pin = text(plan, source->form->pins[i], &ok);
        ok = ok && sw_plan_add_lead(plan, (sw_plan_lead){.pin = pin, .node = number_of(m, part->node[i]),
                                     .hole = hole(m, place.row + shape->leads[i].row, place.col + shape->leads[i].column)});
    }
    return ok;
}

/* Whether a link runs beneath a body. */
static bool passes_under(const swi_model *m, const swi_sketch *k, const swi_fixed_link *l) {
    const double half = 0.4; /* of a wire's width, mm */
    for (uint16_t p = 0; p < m->part_count; p++) {
        const swi_form *form = &m->forms[m->parts[p].shapes[k->places[p].shape].form];
        double x = (l->col - k->places[p].col) * SW_PITCH_MM;
        swi_outline wire = {x - half, (l->from - k->places[p].row) * SW_PITCH_MM - half,
                            x + half, (l->to - k->places[p].row) * SW_PITCH_MM + half, false, false};
        if (swi_outlines_clash(&form->outlines[form->outline_count - 1], &wire, 0, 0)) /* the body */
            return true;
    }
    return false;
}

static bool link_locked(const swi_model *m, const swi_fixed_link *l) {
    for (uint32_t i = 0; i < m->fixed_link_count; i++)
        if (memcmp(&m->fixed_links[i], l, sizeof *l) == 0)
            return true;
    return false;
}

static bool add_rest(const swi_model *m, sw_plan *plan, const swi_sketch *k) {
    for (uint32_t i = 0; i < k->link_count; i++) {
        const swi_fixed_link *l = &k->links[i];
        sw_link link = {.node = number_of(m, l->node), .from = hole(m, l->from, l->col), .to = hole(m, l->to, l->col),
                        .sleeved = m->options->sleeved && passes_under(m, k, l), .locked = link_locked(m, l)};
        if (!sw_plan_add_link(plan, link))
            return false;
    }
    for (size_t i = 0; i < m->options->keep_out_count; i++) {
        bool ok = true;
        sw_keep_out keep_out = m->options->keep_outs[i];
        keep_out.why = text(plan, keep_out.why, &ok);
        if (!ok || !sw_plan_add_keep_out(plan, keep_out))
            return false;
    }
    return true;
}

/* Puts the sketch on a board of its own, for the cuts. */
static bool add_cuts(const swi_model *m, sw_plan *plan, const swi_sketch *k) {
    swi_stop stop = {.test_after = 0};
    swi_walk *w = swi_walk_new(m, 1, &stop);
    swi_window all = {0, k->cols - 1, 0, k->rows - 1};
    bool ok = w && swi_sketch_load(w, k, &all) && swi_emit_cuts(w->s, plan);
    swi_walk_free(w);
    return ok;
}

sw_plan *swi_emit(const swi_model *m, const swi_sketch *k) {
    sw_plan *plan = sw_plan_new();
    if (!plan)
        return NULL;
    bool ok = true;
    plan->title = text(plan, m->circuit->title, &ok);
    plan->strips = (int16_t)(k->rows + 2 * m->options->margin);
    plan->columns = (int16_t)(k->cols + 2 * m->options->margin);
    plan->margin = (int16_t)m->options->margin;
    ok = ok && add_nodes(m, plan);
    for (uint16_t p = 0; p < m->part_count && ok; p++)
        ok = add_part(m, plan, p, k->places[p]);
    ok = ok && add_rest(m, plan, k) && add_cuts(m, plan, k) && sw_plan_normalise(plan);
    if (ok)
        return plan;
    sw_plan_free(plan);
    return NULL;
}
