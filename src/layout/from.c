/* src/layout/from.c: a given plan as the start of a search. */
#include "sketch.h"

static void add_links(const swi_model *m, const sw_plan *plan, swi_sketch *k) {
    uint32_t room = 4u * m->part_count + m->fixed_link_count + 64u;
    int margin = m->options->margin;
    for (uint32_t i = 0; i < plan->link_count && k->link_count < room; i++) {
        const sw_link *l = &plan->links[i];
        if (sw_circuit_numbered(m->circuit, l->node).i == SW_NONE || l->from.column != l->to.column)
            continue;
        int from = l->from.strip - margin, to = l->to.strip - margin;
        k->links[k->link_count++] = (swi_fixed_link){(uint16_t)sw_circuit_numbered(m->circuit, l->node).i,
                                                     (int16_t)(l->from.column - margin), (int16_t)(from < to ? from : to),
                                                     (int16_t)(from < to ? to : from)};
    }
}

bool swi_sketch_from(const swi_model *m, const sw_plan *plan, swi_sketch *k) {
    int lost = 2 * m->options->margin;
    k->rows = plan->strips - lost;
    k->cols = plan->columns - lost;
    k->link_count = 0;
    if (m->fixed_size || k->rows > m->most_rows)
        k->rows = m->most_rows;
    if (m->fixed_size || k->cols > m->most_cols)
        k->cols = m->most_cols;
    if (k->rows <= m->tallest || k->cols <= m->widest)
        return false;
    for (uint16_t p = 0; p < m->part_count; p++) {
        swi_place *place = &k->places[p];
        if (!swi_plan_stands(m, p, plan, &place->row, &place->col, &place->shape))
            *place = (swi_place){-1, -1, 0};
    }
    add_links(m, plan, k);
    return true;
}
