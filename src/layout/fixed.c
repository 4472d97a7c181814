/* src/layout/fixed.c: whether what the user locked can stay where it is.
 *
 * Asked once before the search, for there nothing would ever move it: a locked thing that
 * cannot stand would make every board fail without a word why.
 */
#include "model.h"
#include "state.h"

static void refuse(sw_diags *diags, sw_span span, const char *what, const char *ref,
                   const char *why) {
    sw_diag_add(diags, SW_D_LAYOUT_KEEP, span, "the locked %s%s%s cannot stay where it is: %s",
                what, *ref ? " " : "", ref, why);
}

static bool beyond(const swi_model *m, int row, int col) {
    return row < 0 || col < 0 || row >= m->most_rows || col >= m->most_cols;
}

static const char too_far[] = "it is beyond the strips or columns that the board may have, or in its "
                              "margin; unlock it, or allow more";

/* The model's part of a locked one of the plan that is kept; NULL: not locked. */
static const swi_part *locked_part(const swi_model *m, const sw_plan_part *kept) {
    sw_part_id id = swi_stays(m, kept->locked) ? sw_circuit_part(m->circuit, kept->ref) : (sw_part_id){SW_NONE};
    return id.i == SW_NONE || m->parts[id.i].fixed_shape < 0 ? NULL : &m->parts[id.i];
}

/* Which of the fixed links it is; SW_NONE: it is not fixed. */
static uint32_t fixed_link(const swi_model *m, const sw_link *link) {
    int margin = m->options->margin, from = link->from.strip - margin, to = link->to.strip - margin;
    for (uint32_t i = 0; i < m->fixed_link_count; i++) {
        const swi_fixed_link *f = &m->fixed_links[i];
        if (f->col == link->from.column - margin && f->from == (from < to ? from : to) && f->to == (from < to ? to : from))
            return i;
    }
    return SW_NONE;
}

static bool within_limits(const swi_model *m, sw_diags *diags) {
    const sw_plan *keep = m->options->keep;
    for (uint32_t i = 0; keep && i < keep->part_count; i++) {
        const swi_part *part = locked_part(m, &keep->parts[i]);
        const swi_shape *shape = part ? &part->shapes[part->fixed_shape] : NULL;
        if (part && (beyond(m, part->fixed_row, part->fixed_col) ||
                     beyond(m, part->fixed_row + shape->rows, part->fixed_col + shape->cols))) {
            refuse(diags, keep->parts[i].span, "part", keep->parts[i].ref, too_far);
            return false;
        }
    }
    for (uint32_t i = 0; keep && i < keep->link_count; i++) {
        uint32_t at = fixed_link(m, &keep->links[i]);
        const swi_fixed_link *fixed = at == SW_NONE ? NULL : &m->fixed_links[at];
        if (fixed && (beyond(m, fixed->from, fixed->col) || beyond(m, fixed->to, fixed->col))) {
            refuse(diags, keep->links[i].span, "link", "", too_far);
            return false;
        }
    }
    return true;
}

/* The part whose lead is in a hole that was asked to be kept free; -1: none. */
static int in_keep_out(const swi_state *s) {
    const swi_model *m = s->m;
    for (uint16_t t = m->part_count; t < m->thing_count; t++) {
        const swi_part *hole = &m->parts[t];
        uint16_t owner = hole->fixed_row < s->rows && hole->fixed_col < s->cols
                             ? s->holes[swi_hole(s, hole->fixed_row, hole->fixed_col)].owner : 0;
        if (owner > 0 && owner <= m->part_count)
            return owner - 1;
    }
    return -1;
}

/* Says which locked thing was the first that did not fit in. */
static void tell_clash(const swi_state *s, sw_diags *diags) {
    const swi_model *m = s->m;
    const sw_plan *keep = m->options->keep;
    uint32_t put = s->link_room - *s->free_count;
    bool parts_first = !m->options->built || put == m->fixed_link_count; /* statemem.c */
    for (uint32_t i = 0; parts_first && keep && i < keep->part_count; i++) {
        const swi_part *part = locked_part(m, &keep->parts[i]);
        if (part && s->places[part - m->parts].shape < 0) {
            refuse(diags, keep->parts[i].span, "part", keep->parts[i].ref,
                   "another locked part has a lead in one of its holes; unlock one of them");
            return;
        }
    }
    for (uint32_t i = 0; keep && i < keep->link_count; i++)
        if (put < m->fixed_link_count && fixed_link(m, &keep->links[i]) == put) {
            refuse(diags, keep->links[i].span, "link", "",
                   "its way or one of its ends is taken or to be kept free, or it is longer than "
                   "allowed; unlock it");
            return;
        }
}

sw_status swi_fixed_allow(const swi_model *m, sw_diags *diags) {
    if (!m->has_fixed)
        return SW_OK;
    if (!within_limits(m, diags))
        return SW_NO_PLAN;
    swi_state *s = swi_state_new(m);
    int rows = m->fixed_rows > m->tallest ? m->fixed_rows : m->tallest + 1;
    int cols = m->fixed_cols > m->widest ? m->fixed_cols : m->widest + 1;
    bool stands = s && swi_state_clear(s, rows, cols);
    int kept_out = stands ? in_keep_out(s) : -1;
    sw_status status = !s || s->broken ? SW_SYSTEM : stands && kept_out < 0 ? SW_OK : SW_NO_PLAN;
    if (status == SW_SYSTEM)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while preparing the search");
    else if (kept_out >= 0)
        refuse(diags, SW_NOWHERE, "part", m->circuit->parts[m->parts[kept_out].part].ref,
               "one of its holes is to be kept free; unlock it, or keep other holes free");
    else if (!stands)
        tell_clash(s, diags);
    swi_state_free(s);
    return status;
}
