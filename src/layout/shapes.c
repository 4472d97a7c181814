/* src/layout/shapes.c: the ways a part may stand, and the forms they have.
 *
 * By default two-lead parts and rows of pins stand across the strips (turns 0 and
 * 180), DIPs too, and parts with leads all over (trimmers, three-lead transistors)
 * in any turn their package allows.  A lie rule changes that by reference or
 * package.  A way in which one of the given plans has the part is always allowed:
 * who locked it there, or started there, wants it.
 */
#include <string.h>
#include "base/text.h"
#include "model.h"

#define WIRE 0.8

/* Where a plan has the leads of a part, in package pin order, within the margin. */
static bool plan_leads(const swi_model *m, const sw_part *part, const sw_plan *plan, sw_offset *out) {
    for (uint32_t i = 0; plan && i < plan->part_count; i++) {
        const sw_plan_part *there = &plan->parts[i];
        if (!swi_equal_fold(there->ref, part->ref))
            continue;
        uint32_t found = 0;
        for (uint32_t k = 0; k < there->lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[there->first_lead + k];
            int pin = sw_package_pin_index(part->form, lead->pin);
            if (pin < 0 || lead->hole.strip < 0)
                return false;
            out[pin].row = (int16_t)(lead->hole.strip - m->options->margin);
            out[pin].column = (int16_t)(lead->hole.column - m->options->margin);
            found++;
        }
        return found == part->form->pin_count;
    }
    return false;
}

static bool same_leads(const sw_offset *a, const sw_offset *b, uint32_t count) {
    for (uint32_t i = 0; i < count; i++)
        if (a[i].row - a[0].row != b[i].row - b[0].row || a[i].column - a[0].column != b[i].column - b[0].column)
            return false;
    return true;
}

static void add_wires_and_leads(const sw_package *package, const sw_offset *leads, swi_outline *out, uint32_t *count) {
    for (uint32_t i = 0; i < package->pin_count; i++) {
        double x = leads[i].column * SW_PITCH_MM, y = leads[i].row * SW_PITCH_MM;
        out[(*count)++] = (swi_outline){x, y, WIRE / 2, 0, true, false};
    }
    if (package->form != SW_FORM_PAIR)
        return;
    swi_outline wire = {leads[0].column * SW_PITCH_MM, leads[0].row * SW_PITCH_MM,
                        leads[1].column * SW_PITCH_MM, leads[1].row * SW_PITCH_MM, false, false};
    if (wire.x0 > wire.x1 || wire.y0 > wire.y1)
        wire = (swi_outline){wire.x1, wire.y1, wire.x0, wire.y0, false, false};
    if (leads[0].column == leads[1].column) {
        wire.x0 -= WIRE / 2;
        wire.x1 += WIRE / 2;
    } else {
        wire.y0 -= WIRE / 2;
        wire.y1 += WIRE / 2;
    }
    out[(*count)++] = wire;
}

static bool same_form(const swi_form *a, const swi_form *b) {
    if (a->outline_count != b->outline_count || a->under_first != b->under_first || a->under_last != b->under_last)
        return false;
    for (uint32_t i = 0; i < a->outline_count; i++) {
        const swi_outline *p = &a->outlines[i], *q = &b->outlines[i];
        double hair = 1e-9, d[4] = {p->x0 - q->x0, p->y0 - q->y0, p->x1 - q->x1, p->y1 - q->y1};
        if (p->disc != q->disc || p->body != q->body)
            return false;
        for (int k = 0; k < 4; k++)
            if (d[k] > hair || d[k] < -hair)
                return false;
    }
    return true;
}

/* The form's number: an equal one that is there already, else a new one; -1 when memory is
 * out.  forms has room for all. */
static int find_form(swi_model *m, swi_form *form) {
    for (uint16_t i = 0; i < m->form_count; i++)
        if (same_form(&m->forms[i], form))
            return i;
    if (!swi_form_cells(form, m->arena))
        return -1;
    m->forms[m->form_count] = *form;
    return m->form_count++;
}

/* Leads in an order that does not depend on pin numbers, so that turned parts share
 * their form. */
static void sort_discs(swi_outline *outlines, uint32_t count) {
    for (uint32_t i = 1; i < count; i++)
        for (uint32_t k = i; k > 0; k--) {
            swi_outline *a = &outlines[k - 1], *b = &outlines[k];
            if (a->y0 < b->y0 || (!(b->y0 < a->y0) && a->x0 <= b->x0))
                break;
            swi_outline keep = *a;
            *a = *b;
            *b = keep;
        }
}

/* With closed nothing passes beneath. */
static int make_form(swi_model *m, const sw_package *package, unsigned turn, unsigned span, const sw_offset *leads, bool closed) {
    swi_outline *outlines = swi_arena_array(m->arena, package->pin_count + 3u, sizeof *outlines);
    if (!outlines)
        return -1;
    uint32_t count = 0;
    add_wires_and_leads(package, leads, outlines, &count);
    sort_discs(outlines, package->pin_count);
    double x = leads[0].column * SW_PITCH_MM, y = leads[0].row * SW_PITCH_MM;
    if (package->face != SW_FACE_NONE && m->params.front && !m->options->keep && !m->options->from) {
        /* Kept free as if it were body; a given plan may have it otherwise, which is no fault of it. */
        sw_box front = sw_package_front(package, turn, span);
        outlines[count++] = (swi_outline){front.x0 + x, front.y0 + y, front.x1 + x, front.y1 + y, false, true};
    }
    sw_box box = sw_package_outline(package, turn, span);
    swi_outline body = {box.x0 + x, box.y0 + y, box.x1 + x, box.y1 + y, false, true};
    if (package->shape == SW_SHAPE_ROUND)
        body = (swi_outline){(box.x0 + box.x1) / 2 + x, (box.y0 + box.y1) / 2 + y, (box.x1 - box.x0) / 2, 0, true, true};
    outlines[count++] = body;
    swi_form form = {outlines, NULL, count, 0, 1, 0};
    if (closed)
        return find_form(m, &form);
    if (package->under == SW_UNDER_SLEEVED_LINK && m->options->sleeved) {
        form.under_first = INT16_MIN;
        form.under_last = INT16_MAX;
    } else if (package->form == SW_FORM_DIP && package->under != SW_UNDER_NONE && turn % 180 == 0)
        form.under_last = (int16_t)(package->pitch - 1);
    return find_form(m, &form);
}

/* Leads relative to the anchor; their extent in rows and cols. */
static void anchor(sw_offset *leads, uint32_t count, int16_t *rows, int16_t *cols) {
    int16_t r0 = leads[0].row, c0 = leads[0].column, r1 = r0, c1 = c0;
    for (uint32_t i = 1; i < count; i++) {
        r0 = leads[i].row < r0 ? leads[i].row : r0;
        r1 = leads[i].row > r1 ? leads[i].row : r1;
        c0 = leads[i].column < c0 ? leads[i].column : c0;
        c1 = leads[i].column > c1 ? leads[i].column : c1;
    }
    for (uint32_t i = 0; i < count; i++) {
        leads[i].row = (int16_t)(leads[i].row - r0);
        leads[i].column = (int16_t)(leads[i].column - c0);
    }
    *rows = (int16_t)(r1 - r0);
    *cols = (int16_t)(c1 - c0);
}

static unsigned lies_of(const swi_model *m, const sw_part *part) {
    unsigned lies = 0;
    for (size_t i = 0; i < m->options->lie_count; i++) {
        const sw_lie_rule *rule = &m->options->lies[i];
        if (swi_match(rule->pattern, part->ref) || swi_match(rule->pattern, part->form->name))
            lies = rule->lies;
    }
    return lies;
}

/* Turns that the package allows; all turns of a single pin are the same. */
static bool can_turn(const sw_package *package, unsigned turn) {
    return package->turns & (1u << turn / 90) && (package->pin_count > 1 || turn == 0);
}

static bool turn_wanted(const sw_package *package, unsigned turn, unsigned lies) {
    if (!can_turn(package, turn))
        return false;
    bool across = turn % 180 == 0;
    switch (package->form) {
    case SW_FORM_DIP: return across;
    case SW_FORM_POINTS: return true;
    case SW_FORM_LINE:
    case SW_FORM_PAIR: break;
    }
    if (!(lies & (SW_LIE_ACROSS | SW_LIE_ALONG)))
        return across;
    return across ? lies & SW_LIE_ACROSS : lies & SW_LIE_ALONG;
}

/* Leads of different nodes in neighbouring holes of a strip leave no hole for a cut. */
static bool can_be_cut(const swi_model *m, const swi_part *part, const sw_offset *leads) {
    for (uint32_t i = 0; !m->options->knife && i < part->pin_count; i++)
        for (uint32_t k = 0; k < part->pin_count; k++)
            if (leads[i].row == leads[k].row && leads[k].column - leads[i].column == 1 && part->node[i] != part->node[k])
                return false;
    return true;
}

typedef struct shape_list {
    swi_shape *items;
    uint16_t count, room;
    const sw_offset *asked[2]; /* how given plans have the part */
} shape_list;

/* The board ends half a pitch beyond its outermost holes. */
static int16_t face_reach(const swi_model *m, const swi_shape *shape) {
    const swi_form *form = &m->forms[shape->form];
    const swi_outline *o = &form->outlines[form->outline_count - 1]; /* the body comes last */
    double left = o->disc ? o->x0 - o->x1 : o->x0, top = o->disc ? o->y0 - o->x1 : o->y0;
    double right = o->disc ? o->x0 + o->x1 : o->x1, bottom = o->disc ? o->y0 + o->x1 : o->y1;
    double over = 0; /* mm that the body reaches beyond its leads there */
    switch (shape->face) {
    case SW_FACE_NONE: return 0;
    case SW_FACE_UP: over = -top; break;
    case SW_FACE_LEFT: over = -left; break;
    case SW_FACE_RIGHT: over = right - shape->cols * SW_PITCH_MM; break;
    case SW_FACE_DOWN: over = bottom - shape->rows * SW_PITCH_MM; break;
    }
    int reach = 0;
    while ((reach + 0.5) * SW_PITCH_MM < over)
        reach++;
    return (int16_t)reach;
}

static bool add_shape(swi_model *m, const swi_part *part, shape_list *list, const sw_package *package,
                      unsigned turn, unsigned span, bool wanted) {
    sw_offset *leads = swi_arena_array(m->arena, package->pin_count, sizeof *leads);
    if (!leads)
        return false;
    sw_package_leads(package, turn, span, leads);
    wanted = wanted && can_be_cut(m, part, leads);
    for (int i = 0; i < 2; i++)
        wanted |= can_turn(package, turn) && list->asked[i] && same_leads(leads, list->asked[i], package->pin_count);
    if (!wanted || list->count == list->room)
        return true;
    swi_shape *shape = &list->items[list->count];
    *shape = (swi_shape){.package = package, .turn = (uint16_t)turn, .span = (uint16_t)span, .leads = leads};
    if (package->form == SW_FORM_PAIR)
        shape->bend = span > package->span_usual ? (int)span - package->span_usual : package->span_usual - (int)span;
    anchor(leads, package->pin_count, &shape->rows, &shape->cols);
    /* A socket that is soldered lets no new link in; between two strips of sockets there is room. */
    bool closed = m->options->built && list->asked[0] && swi_match("DIP-*", package->name);
    int form = make_form(m, package, turn, span, leads, closed);
    if (form < 0)
        return false;
    shape->form = (uint16_t)form;
    shape->face = sw_package_face(package, turn);
    shape->face_reach = face_reach(m, shape);
    list->count++;
    return true;
}

static bool add_package(swi_model *m, const swi_part *part, shape_list *list, const sw_package *package, unsigned lies,
                        bool wanted) {
    unsigned least = package->form == SW_FORM_PAIR ? package->span_least : 0;
    unsigned most = package->form == SW_FORM_PAIR ? package->span_most : 0;
    for (unsigned turn = 0; turn < 360; turn += 90)
        for (unsigned span = least; span <= most; span++)
            if (!add_shape(m, part, list, package, turn, span, wanted && turn_wanted(package, turn, lies)))
                return false;
    return true;
}

bool swi_model_shapes(swi_model *m, uint16_t index) {
    swi_part *part = &m->parts[index];
    const sw_part *source = &m->circuit->parts[part->part];
    sw_offset *keep = swi_arena_array(m->arena, part->pin_count, sizeof *keep);
    sw_offset *from = swi_arena_array(m->arena, part->pin_count, sizeof *from);
    shape_list list = {.room = 64};
    list.items = swi_arena_array(m->arena, list.room, sizeof *list.items);
    if (!keep || !from || !list.items)
        return false;
    list.asked[0] = plan_leads(m, source, m->options->keep, keep) ? keep : NULL;
    list.asked[1] = plan_leads(m, source, m->options->from, from) ? from : NULL;
    unsigned lies = lies_of(m, source);
    const sw_package *up = m->library ? sw_library_upright(m->library, source->form) : NULL;
    bool lying = !lies || lies & (SW_LIE_ACROSS | SW_LIE_ALONG) || !up;
    if (!add_package(m, part, &list, source->form, lies, lying))
        return false;
    if (up && !add_package(m, part, &list, up, lies, lies & SW_LIE_UPRIGHT))
        return false;
    part->shapes = list.items;
    part->shape_count = list.count;
    return true;
}

bool swi_plan_stands(const swi_model *m, uint16_t index, const sw_plan *plan, int16_t *row, int16_t *col, int16_t *shape) {
    const swi_part *part = &m->parts[index];
    sw_offset *leads = swi_arena_array(m->arena, part->pin_count, sizeof *leads);
    if (!leads || !plan_leads(m, &m->circuit->parts[part->part], plan, leads))
        return false;
    for (uint16_t i = 0; i < part->shape_count; i++)
        if (same_leads(part->shapes[i].leads, leads, part->pin_count)) {
            *shape = (int16_t)i;
            *row = (int16_t)(leads[0].row - part->shapes[i].leads[0].row);
            *col = (int16_t)(leads[0].column - part->shapes[i].leads[0].column);
            return true;
        }
    return false;
}

/* A lead of a node that is of no circuit. */
static bool give_lead(swi_model *m, swi_part *part, swi_shape *shape, uint16_t its) {
    sw_offset *lead = swi_arena_alloc(m->arena, sizeof *lead);
    uint16_t *node = swi_arena_alloc(m->arena, sizeof *node);
    if (!lead || !node)
        return false;
    *node = its;
    part->node = node;
    part->pin_count = 1;
    shape->leads = lead;
    return true;
}

/* A thing that stays in a hole, as a square of half the side, or of no extent; NULL: memory is out. */
static swi_part *add_thing(swi_model *m, int row, int col, double half, swi_shape **its) {
    swi_outline *outline = swi_arena_alloc(m->arena, sizeof *outline);
    swi_shape *shape = *its = swi_arena_alloc(m->arena, sizeof *shape);
    if (!outline || !shape)
        return NULL;
    *outline = (swi_outline){-half, -half, half, half, false, false};
    swi_form form = {outline, NULL, half > 0 ? 1 : 0, 0, 1, 0};
    int index = find_form(m, &form);
    if (index < 0)
        return NULL;
    shape->form = (uint16_t)index;
    swi_part *part = &m->parts[m->thing_count++];
    *part = (swi_part){.shapes = shape, .shape_count = 1, .fixed_row = (int16_t)row, .fixed_col = (int16_t)col};
    return part;
}

/* Copper under a screw's head must carry nothing: holes in its middle get leads of a
 * node that is nobody's, so that cuts free the copper there like that of any other
 * node.  Of three and more columns the outermost are left to the cuts. */
static bool keep_hole(swi_model *m, int row, int col, bool lead) {
    swi_shape *shape;
    swi_part *part = add_thing(m, row, col, SW_PITCH_MM / 2, &shape);
    return part && (!lead || give_lead(m, part, shape, swi_screw_node(m)));
}

/* Bodies and links pass above a cut, so nothing of it is in their way; leads and ends of links find
 * the hole taken. */
bool swi_model_cut(swi_model *m, int row, int col) {
    swi_shape *shape;
    swi_part *part = add_thing(m, row, col, 0, &shape);
    m->has_cuts = true;
    return part && give_lead(m, part, shape, swi_cut_node(m));
}

/* A keep-out is kept hole by hole, so that what of it is beyond the board is of no
 * concern. */
bool swi_model_keep_out(swi_model *m, const sw_keep_out *keep_out) {
    sw_hole a = keep_out->from, b = keep_out->to;
    int top = a.strip < b.strip ? a.strip : b.strip, left = a.column < b.column ? a.column : b.column;
    int bottom = a.strip + b.strip - top, right = a.column + b.column - left, margin = m->options->margin;
    bool screw = keep_out->why && strncmp(keep_out->why, "screw", 5) == 0, wide = right - left >= 2;
    for (int row = top; row <= bottom; row++)
        for (int col = left; col <= right; col++) {
            bool lead = screw && (!wide || (col > left && col < right));
            if (row >= margin && col >= margin && !keep_hole(m, row - margin, col - margin, lead))
                return false;
        }
    return true;
}
