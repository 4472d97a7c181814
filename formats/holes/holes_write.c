/* formats/holes/holes_write.c: writing a hole list. */
#include "holes.h"

#include "base/csv.h"
#include "base/fault.h"

typedef struct hole_row {
    const char *kind, *ref, *pin;
    uint32_t node;           /* 0 none */
    sw_hole hole, to;        /* to −1,−1 none */
} hole_row;

static void put_row(sw_buf *out, const hole_row *row, bool guard) {
    char hole[12], to[12] = "";
    sw_buf number = SW_BUF_INIT;
    sw_hole_write(row->hole, hole);
    if (row->to.strip >= 0)
        sw_hole_write(row->to, to);
    if (row->node != 0)
        sw_buf_printf(&number, "%u", (unsigned)row->node);
    out->failed = out->failed || number.failed;
    swi_csv_put(out, true, row->kind, false);
    swi_csv_put(out, false, row->ref, guard);
    swi_csv_put(out, false, row->pin, guard);
    swi_csv_put(out, false, number.bytes == NULL ? "" : number.bytes, false);
    swi_csv_put(out, false, hole, false);
    swi_csv_put(out, false, to, false);
    swi_csv_end(out);
    sw_buf_free(&number);
}

static const sw_hole nowhere = {-1, -1};

static void put_leads(sw_buf *out, const sw_plan *plan, bool guard) {
    for (uint32_t i = 0; i < plan->part_count; i++) {
        const sw_plan_part *part = &plan->parts[i];
        for (uint32_t k = 0; k < part->lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[part->first_lead + k];
            put_row(out, &(hole_row){"lead", part->ref, lead->pin, lead->node, lead->hole, nowhere},
                    guard);
        }
    }
}

static void put_cuts(sw_buf *out, const sw_plan *plan) {
    for (uint32_t i = 0; i < plan->cut_count; i++) {
        const sw_cut *cut = &plan->cuts[i];
        sw_hole right = {cut->hole.strip, (int16_t)(cut->hole.column + 1)};
        put_row(out, &(hole_row){"cut", "", "", 0, cut->hole, cut->knife ? right : nowhere}, false);
    }
}

/* What a circuit brings again, when one is given with the list. */
static bool has_names(const sw_plan *plan) {
    for (uint32_t i = 0; i < plan->part_count; i++)
        if (plan->parts[i].value[0] || plan->parts[i].device[0] || plan->parts[i].package[0])
            return true;
    for (uint32_t i = 0; i < plan->node_count; i++)
        if (plan->nodes[i].name[0])
            return true;
    return false;
}

/* One clause a kind of thing that the rows have no place for. */
static void say_losses(const sw_plan *plan, sw_diags *diags) {
    bool asked = false, sleeved = false, locked = false, why = false;
    for (uint32_t i = 0; i < plan->cut_count; i++)
        asked = asked || plan->cuts[i].asked;
    for (uint32_t i = 0; i < plan->link_count; i++) {
        sleeved = sleeved || plan->links[i].sleeved;
        locked = locked || plan->links[i].locked;
    }
    for (uint32_t i = 0; i < plan->part_count; i++)
        locked = locked || plan->parts[i].locked;
    for (uint32_t i = 0; i < plan->keep_out_count; i++)
        why = why || plan->keep_outs[i].why[0] != '\0';
    const char *lost[] = {asked ? "which cuts were asked for" : NULL,
                          sleeved ? "which links are sleeved" : NULL,
                          locked ? "what is locked" : NULL,
                          why ? "what keep-outs are for" : NULL,
                          plan->margin != 0 ? "the margin" : NULL,
                          plan->foreign_count != 0 ? "content of other namespaces" : NULL,
                          has_names(plan) ? "values, packages and names of nodes (the circuit that "
                                            "it is checked against tells them)" : NULL};
    for (size_t i = 0; i < sizeof lost / sizeof lost[0]; i++)
        if (lost[i] != NULL)
            sw_diag_add(diags, SW_D_HOLES_LOST, SW_NOWHERE,
                        "a hole list does not keep %s: write a placement file to keep it",
                        lost[i]);
}

sw_status swi_holes_write(const sw_document *document, const sw_write_options *options,
                          sw_diags *diags, sw_buf *out) {
    sw_plan *plan = sw_plan_copy(document->plan);
    if (plan == NULL || !sw_plan_normalise(plan)) {
        sw_plan_free(plan);
        return swi_out_of_memory(diags);
    }
    for (int i = 0; i < SWI_HOLES_COLUMNS; i++)
        swi_csv_put(out, i == 0, swi_holes_columns[i], false);
    swi_csv_end(out);
    put_row(out, &(hole_row){"board", "", "", 0,
                        {(int16_t)(plan->strips - 1), (int16_t)(plan->columns - 1)}, nowhere},
            false);
    for (uint32_t i = 0; i < plan->keep_out_count; i++)
        put_row(out, &(hole_row){"keep-out", "", "", 0, plan->keep_outs[i].from,
                            plan->keep_outs[i].to}, false);
    put_leads(out, plan, options->spreadsheet);
    put_cuts(out, plan);
    for (uint32_t i = 0; i < plan->link_count; i++)
        put_row(out, &(hole_row){"link", "", "", plan->links[i].node, plan->links[i].from,
                            plan->links[i].to}, false);
    say_losses(plan, diags);
    sw_plan_free(plan);
    return SW_OK;
}
