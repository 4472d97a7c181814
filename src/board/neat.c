/* src/board/neat.c: how neat a plan is, counted as board.h defines it.
 *
 * Everything is looked up once, a thing a part; what is counted then needs only frames,
 * bodies and a few flags.
 */
#include "plan.h"

#include "base/text.h"
#include "geometry.h"

#include <stdlib.h>
#include <string.h>

enum { UP, DOWN, LEFT, RIGHT };

typedef struct thing {
    const sw_plan_part *part;
    const sw_package *package; /* NULL unknown */
    int top, bottom, left, right; /* the frame */
    bool has_body;
    swi_shape body;
    bool polarised, terminal, adjuster;
    sw_face face;
    int points;              /* way the positive end points */
} thing;

static void frame(thing *t, const sw_plan *plan) {
    t->top = t->left = INT16_MAX;
    t->bottom = t->right = -1;
    for (uint32_t i = 0; i < t->part->lead_count; i++) {
        sw_hole hole = plan->leads[t->part->first_lead + i].hole;
        t->top = hole.strip < t->top ? hole.strip : t->top;
        t->bottom = hole.strip > t->bottom ? hole.strip : t->bottom;
        t->left = hole.column < t->left ? hole.column : t->left;
        t->right = hole.column > t->right ? hole.column : t->right;
    }
}

/* Where the body is, when the leads stand as the package says. */
static bool find_body(thing *t, const sw_plan *plan) {
    const sw_package *package = t->package;
    if (package == NULL || t->part->lead_count != package->pin_count)
        return true;
    sw_hole *by_pin = calloc(package->pin_count, sizeof *by_pin);
    bool failed = by_pin == NULL, found = true;
    for (uint32_t i = 0; !failed && i < t->part->lead_count; i++) {
        const sw_plan_lead *lead = &plan->leads[t->part->first_lead + i];
        int pin = sw_package_pin_index(package, lead->pin);
        found = found && pin >= 0;
        if (pin >= 0)
            by_pin[pin] = lead->hole;
    }
    swi_stance stance = {.fits = false};
    if (!failed && found)
        stance = swi_stance_of(package, by_pin, t->part->turn, &failed);
    if (!failed && stance.fits) {
        t->has_body = true;
        t->face = sw_package_face(package, (unsigned)stance.turn);
        t->body = swi_shape_body(package, stance.turn, stance.span, by_pin[0]);
    }
    free(by_pin);
    return !failed;
}

/* The positive end is lead 1 of a capacitor and lead 2, the anode, of a diode. */
static int pointing(const thing *t, const sw_plan *plan, bool diode) {
    const sw_plan_lead *lead = &plan->leads[t->part->first_lead];
    sw_hole plus = lead[diode].hole, minus = lead[!diode].hole;
    if (plus.strip != minus.strip)
        return plus.strip < minus.strip ? UP : DOWN;
    return plus.column < minus.column ? LEFT : RIGHT;
}

static bool look_up(thing *t, const sw_plan *plan, const sw_circuit *fitted, const sw_library *library) {
    uint32_t id = fitted ? sw_circuit_part(fitted, t->part->ref).i : SW_NONE;
    const sw_part *known = id == SW_NONE ? NULL : &fitted->parts[id];
    t->package = swi_plan_package(t->part, known, library);
    const char *name = t->package ? t->package->name : t->part->package;
    char kind = known ? known->kind : sw_ref_kind(t->part->ref);
    t->terminal = (known && (known->terminal || t->part->lead_count == 1)) || sw_package_takes_wires(name);
    t->polarised = t->part->lead_count == 2 && !t->terminal &&
                   ((known && known->polarised) || kind == 'D' || swi_match("ELEC-*", name));
    t->adjuster = (t->package && t->package->face && !t->terminal) || swi_match("TRIM-*", name) || swi_match("BUTTON-*", name);
    frame(t, plan);
    if (t->polarised)
        t->points = pointing(t, plan, kind == 'D');
    return find_body(t, plan);
}

/* ---- cuts ---- */

static int cuts_between(const sw_plan *plan, const thing *t, int column) {
    int count = 0;
    for (uint32_t i = 0; i < plan->cut_count; i++) {
        const sw_cut *cut = &plan->cuts[i];
        count += !cut->knife && cut->hole.column == column && cut->hole.strip >= t->top && cut->hole.strip <= t->bottom;
    }
    return count;
}

static void count_cuts(const sw_plan *plan, const thing *t, sw_neatness *n) {
    if (t->package == NULL || t->package->form != SW_FORM_DIP || t->right - t->left != t->package->pitch)
        return;
    int most = 0;
    for (int column = t->left + 1; column < t->right; column++) {
        int count = cuts_between(plan, t, column);
        n->cuts_under += count;
        most = count > most ? count : most;
    }
    n->cuts_in_line += most;
}

/* ---- lines ---- */

static bool same_kind(const thing *a, const thing *b) {
    return a->package && a->package == b->package && (a->bottom - a->top > a->right - a->left) == (b->bottom - b->top > b->right - b->left);
}

static void count_lines(const thing *all, uint32_t count, const thing *t, sw_neatness *n) {
    if (t->part->lead_count < 2 || t->terminal || t->package == NULL)
        return;
    int others = 0, line[4] = {0};
    for (uint32_t i = 0; i < count; i++) {
        const thing *o = &all[i];
        if (o == t || o->package != t->package)
            continue;
        others++;
        if (!same_kind(o, t))
            continue;
        line[UP] += o->top == t->top;
        line[DOWN] += o->bottom == t->bottom;
        line[LEFT] += o->left == t->left;
        line[RIGHT] += o->right == t->right;
    }
    int wanted = others < 2 ? others : 2;
    n->of_a_kind += others > 0;
    n->in_line += others > 0 && (line[UP] >= wanted || line[DOWN] >= wanted || line[LEFT] >= wanted || line[RIGHT] >= wanted);
}

/* ---- within reach ---- */

/* Which side of t the other body hems in; -1 none. */
static int hemmed_side(const sw_box *t, const sw_box *o) {
    bool beside = o->y0 < t->y1 && o->y1 > t->y0, above = o->x0 < t->x1 && o->x1 > t->x0;
    if (beside && o->x1 <= t->x0 + SWI_FORGIVEN_MM && t->x0 - o->x1 < SW_PITCH_MM)
        return LEFT;
    if (beside && o->x0 >= t->x1 - SWI_FORGIVEN_MM && o->x0 - t->x1 < SW_PITCH_MM)
        return RIGHT;
    if (above && o->y1 <= t->y0 + SWI_FORGIVEN_MM && t->y0 - o->y1 < SW_PITCH_MM)
        return UP;
    if (above && o->y0 >= t->y1 - SWI_FORGIVEN_MM && o->y0 - t->y1 < SW_PITCH_MM)
        return DOWN;
    return -1;
}

static bool in_reach(const sw_plan *plan, const thing *all, uint32_t count, const thing *t) {
    const sw_box *b = &t->body.box;
    if (t->face != SW_FACE_NONE)
        return swi_to_edge(plan, b, t->face) < SW_PITCH_MM;
    bool hemmed[4] = {false};
    for (uint32_t i = 0; i < count; i++) {
        const thing *o = &all[i];
        int side = o == t || !o->has_body || o->package->height_mm <= t->package->height_mm ? -1 : hemmed_side(b, &o->body.box);
        if (side >= 0)
            hemmed[side] = true;
    }
    return !(hemmed[LEFT] && hemmed[RIGHT]) && !(hemmed[UP] && hemmed[DOWN]);
}

/* ---- symmetry ---- */

static double common(double a0, double a1, double b0, double b1) {
    double least = a0 > b0 ? a0 : b0, most = a1 < b1 ? a1 : b1;
    return most > least ? most - least : 0;
}

static double cover(const sw_box *a, const sw_box *b) {
    double both = common(a->x0, a->x1, b->x0, b->x1) * common(a->y0, a->y1, b->y0, b->y1);
    double sum = (a->x1 - a->x0) * (a->y1 - a->y0) + (b->x1 - b->x0) * (b->y1 - b->y0) - both;
    return sum > 0 ? both / sum : 0;
}

static double symmetry(const sw_plan *plan, const thing *all, uint32_t count, bool vertical) {
    double sum = 0, width = (plan->columns - 1) * SW_PITCH_MM, height = (plan->strips - 1) * SW_PITCH_MM;
    uint32_t bodies = 0;
    for (uint32_t i = 0; i < count; i++) {
        if (!all[i].has_body)
            continue;
        sw_box b = all[i].body.box, image = {width - b.x1, b.y0, width - b.x0, b.y1};
        if (vertical)
            image = (sw_box){b.x0, height - b.y1, b.x1, height - b.y0};
        double best = 0;
        for (uint32_t k = 0; k < count; k++) {
            double here = all[k].has_body ? cover(&image, &all[k].body.box) : 0;
            best = here > best ? here : best;
        }
        sum += best;
        bodies++;
    }
    return bodies ? 100 * sum / bodies : 100;
}

/* ---- terminals ---- */

/* A screw terminal's openings look to the edge; of the others any lead is at the left or right. */
static bool at_side(const sw_plan *plan, const thing *t) {
    if (t->has_body && t->face != SW_FACE_NONE)
        return swi_to_edge(plan, &t->body.box, t->face) < SW_PITCH_MM;
    return t->left == plan->margin || t->right == plan->columns - 1 - plan->margin;
}

static sw_rail rail_of(const sw_plan *plan, uint32_t number) {
    for (uint32_t i = 0; i < plan->node_count; i++)
        if (plan->nodes[i].number == number)
            return plan->nodes[i].rail;
    return SW_RAIL_NONE;
}

/* Pitches from a lead to the nearest ground lead of a terminal; -1 none. */
static int to_ground(const sw_plan *plan, const thing *all, uint32_t count, sw_hole from) {
    int nearest = -1;
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = 0; all[i].terminal && k < all[i].part->lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[all[i].part->first_lead + k];
            int d = abs(lead->hole.strip - from.strip) + abs(lead->hole.column - from.column);
            if (rail_of(plan, lead->node) == SW_RAIL_GROUND && (nearest < 0 || d < nearest))
                nearest = d;
        }
    return nearest;
}

static int supply_apart(const sw_plan *plan, const thing *all, uint32_t count) {
    int nearest = -1;
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = 0; all[i].terminal && k < all[i].part->lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[all[i].part->first_lead + k];
            int d = rail_of(plan, lead->node) == SW_RAIL_POSITIVE ? to_ground(plan, all, count, lead->hole) : -1;
            if (d >= 0 && (nearest < 0 || d < nearest))
                nearest = d;
        }
    return nearest;
}

/* ---- capacitors by their ICs ---- */

static const thing *find_part(const thing *all, uint32_t count, const char *ref) {
    for (uint32_t i = 0; i < count; i++)
        if (swi_equal_fold(all[i].part->ref, ref))
            return &all[i];
    return NULL;
}

static int outside(int first, int last, int at) {
    return at < first ? first - at : at > last ? at - last : 0;
}

static void count_decoupling(const sw_plan *plan, const sw_circuit *fitted, const thing *all, uint32_t count, sw_neatness *n) {
    for (uint32_t p = 0; p < fitted->part_count; p++) {
        sw_pin_id id = sw_circuit_decoupled(fitted, (sw_part_id){p});
        if (id.i == SW_NONE)
            continue;
        const sw_pin *pin = &fitted->pins[id.i];
        const thing *c = find_part(all, count, fitted->parts[p].ref), *ic = find_part(all, count, fitted->parts[pin->part.i].ref);
        for (uint32_t i = 0; c && ic && i < ic->part->lead_count; i++) {
            const sw_plan_lead *lead = &plan->leads[ic->part->first_lead + i];
            if (!swi_equal_fold(lead->pin, pin->number))
                continue;
            n->decoupling++;
            n->by_ic += outside(c->top, c->bottom, lead->hole.strip) + outside(c->left, c->right, lead->hole.column) <=
                        SW_DECOUPLED_PITCHES;
        }
    }
}

static void count_all(const sw_plan *plan, const thing *all, uint32_t count, sw_neatness *n) {
    int ways[4] = {0};
    for (uint32_t i = 0; i < count; i++) {
        const thing *t = &all[i];
        count_cuts(plan, t, n);
        count_lines(all, count, t, n);
        if (t->polarised)
            ways[t->points]++;
        n->polarised += t->polarised;
        n->terminals += t->terminal;
        n->at_sides += t->terminal && at_side(plan, t);
        n->adjusters += t->adjuster && t->has_body;
        n->in_reach += t->adjuster && t->has_body && in_reach(plan, all, count, t);
    }
    for (int i = 0; i < 4; i++)
        n->one_way = ways[i] > n->one_way ? ways[i] : n->one_way;
}

bool sw_plan_neatness(const sw_plan *plan, const sw_circuit *fitted, const sw_library *library, sw_neatness *n) {
    memset(n, 0, sizeof *n);
    thing *all = calloc((size_t)plan->part_count + 1, sizeof *all);
    bool ok = all != NULL;
    uint32_t count = 0;
    for (uint32_t i = 0; i < plan->part_count && ok; i++) {
        if (plan->parts[i].lead_count == 0)
            continue;
        all[count].part = &plan->parts[i];
        ok = look_up(&all[count++], plan, fitted, library);
    }
    if (ok) {
        count_all(plan, all, count, n);
        if (fitted)
            count_decoupling(plan, fitted, all, count, n);
        n->supply_apart = supply_apart(plan, all, count);
        int done = n->cuts_in_line + n->in_line + n->one_way + n->at_sides + n->in_reach + n->by_ic;
        int of = n->cuts_under + n->of_a_kind + n->polarised + n->terminals + n->adjusters + n->decoupling;
        n->tidy = of ? 100.0 * done / of : 100;
        double across = symmetry(plan, all, count, false), down = symmetry(plan, all, count, true);
        n->top_to_bottom = down > across;
        n->symmetry = down > across ? down : across;
    }
    free(all);
    return ok;
}

static void put(sw_buf *out, size_t start, const char *what, int done, int of) {
    if (of)
        sw_buf_printf(out, "%s%s %d of %d", out->length > start ? ", " : "", what, done, of);
}

void sw_neatness_write(const sw_neatness *n, sw_buf *out) {
    size_t start = out->length;
    put(out, start, "cuts in line", n->cuts_in_line, n->cuts_under);
    put(out, start, "parts of a kind in line", n->in_line, n->of_a_kind);
    put(out, start, "polarised one way", n->one_way, n->polarised);
    put(out, start, "terminals at the sides", n->at_sides, n->terminals);
    put(out, start, "adjusters in reach", n->in_reach, n->adjusters);
    put(out, start, "capacitors by their ICs", n->by_ic, n->decoupling);
    if (n->supply_apart == 0 || n->supply_apart == 1)
        sw_buf_puts(out, out->length > start ? ", supply pins together" : "supply pins together");
    else if (n->supply_apart > 1)
        sw_buf_printf(out, "%ssupply pins %d pitches apart", out->length > start ? ", " : "", n->supply_apart);
    sw_buf_puts(out, out->length > start ? "; tidy " : "tidy ");
    sw_buf_real(out, n->tidy, 0);
    sw_buf_puts(out, " %, symmetry ");
    sw_buf_real(out, n->symmetry, 0);
    sw_buf_puts(out, n->top_to_bottom ? " % top to bottom" : " % left to right");
}
