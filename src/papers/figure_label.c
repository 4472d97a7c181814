/* src/papers/figure_label.c: references, values and names of wires, each where it costs
 * least.
 *
 * A part's label may stand along or across its body in one piece, as reference and value
 * apart, with the value beside the body, or beside it whole, tied by a thin line.  Each
 * way is tried at several sizes and places; the cheapest wins, ties go to the first.
 */
#include "figure.h"

#include <math.h>
#include <string.h>

typedef struct spot {
    swi_words words;
    double x, y, cost;
} spot;

static const double worst = 1e9;
static const double crowded = 300; /* from here on the place is reported */
static const double listed = 70;   /* from here on a wire's name is left to the list of wires */

static void try_spot(const swi_figure *figure, const swi_words *words, double x, double y,
                     double base, uint32_t owner, spot *best) {
    if (base >= best->cost)
        return;
    double cost = base + swi_floor_cost(&figure->field, swi_words_box(words, x, y), owner);
    if (cost < best->cost - 1e-9)
        *best = (spot){*words, x, y, cost};
}

static double middle_x(const swi_item *item) {
    return (item->outline.x0 + item->outline.x1) / 2;
}

static double middle_y(const swi_item *item) {
    return (item->outline.y0 + item->outline.y1) / 2;
}

/* How far y is from midway between two strips, 0 … 1.27. */
static double off_midway(double y) {
    double t = y / SW_PITCH_MM - 0.5;
    return fabs(t - round(t)) * SW_PITCH_MM;
}

static bool box_in_body(const swi_item *item, sw_box box) {
    sw_box body = swi_box_grown(item->outline, -0.24);
    return item->round ? swi_box_within_disc(box, body) : swi_box_within(box, body);
}

/* Every place inside the body for words of this size, the middle first. */
static void search_inside(const swi_figure *figure, const swi_item *item, uint32_t owner,
                          const swi_words *words, double base, spot *best) {
    double width = item->outline.x1 - item->outline.x0, height = item->outline.y1 - item->outline.y0;
    sw_box at_0 = swi_words_box(words, 0, 0);
    double room_x = width - (at_0.x1 - at_0.x0) - 0.48, room_y = height - (at_0.y1 - at_0.y0) - 0.48;
    if (room_x < 0 || room_y < 0)
        return;
    double off_x = (at_0.x0 + at_0.x1) / 2, off_y = (at_0.y0 + at_0.y1) / 2;
    const double step = 0.254;
    int nx = (int)(room_x / 2 / step), ny = (int)(room_y / 2 / step);
    bool ruled = swi_is_ic(item); /* strips show: stand between them */
    for (int j = 0; j <= 2 * ny; j++)
        for (int i = 0; i <= 2 * nx; i++) {
            int di = (i + 1) / 2 * (i % 2 ? 1 : -1), dj = (j + 1) / 2 * (j % 2 ? 1 : -1);
            double x = middle_x(item) - off_x + di * step, y = middle_y(item) - off_y + dj * step;
            if (item->round && !box_in_body(item, swi_words_box(words, x, y)))
                continue;
            double away = base + 1.5 * (fabs(di * step) + fabs(dj * step));
            if (ruled && !words->upright)
                away += 10 * off_midway(y);
            try_spot(figure, words, x, y, away, owner, best);
        }
}

/* Level or along the body, from the usual size down. */
static void inside(const swi_figure *figure, const swi_item *item, uint32_t owner, swi_words words,
                   double base, spot *best) {
    double width = item->outline.x1 - item->outline.x0, height = item->outline.y1 - item->outline.y0;
    bool tall = height > 1.3 * width;
    double most = swi_is_ic(item) ? 1.4 : 1.45;
    for (int step = 0; step < 4; step++) {
        words.size = step ? 1.45 - 0.15 * step : most;
        for (int turn = 0; turn < 2; turn++) {
            words.upright = tall != (turn == 1) && !swi_is_ic(item);
            if (turn && swi_is_ic(item))
                words.upright = true;
            double other = turn ? 4 : 0; /* level in a tall body, or upright in a broad one */
            search_inside(figure, item, owner, &words, base + 7 * step + other, best);
        }
    }
}

static double gap_between(sw_box a, sw_box b) {
    double x = fmax(fmax(a.x0 - b.x1, b.x0 - a.x1), 0), y = fmax(fmax(a.y0 - b.y1, b.y0 - a.y1), 0);
    return hypot(x, y);
}

static sw_box board_box(const sw_plan *plan) {
    const double half = SW_PITCH_MM / 2;
    return (sw_box){-half, -half, SW_PITCH_MM * plan->columns - half, SW_PITCH_MM * plan->strips - half};
}

static double clamped(double value, double low, double high) {
    return value < low ? low : value > high ? high : value;
}

typedef struct stroke {
    double x0, y0, x1, y1;
} stroke;

/* From the box's nearest point to the body's. */
static stroke tie_between(sw_box box, sw_box body) {
    double x = (box.x0 + box.x1) / 2, y = (box.y0 + box.y1) / 2;
    double bx = clamped(x, body.x0, body.x1), by = clamped(y, body.y0, body.y1);
    return (stroke){clamped(bx, box.x0, box.x1), clamped(by, box.y0, box.y1), bx, by};
}

static const double tie_from = 1.1; /* mm between text and body that want a line */

/* What the line runs over on its way. */
static double tie_cost(const swi_figure *figure, stroke line, uint32_t owner) {
    double cost = 0;
    for (int i = 1; i < 8; i++) {
        double x = line.x0 + (line.x1 - line.x0) * i / 8, y = line.y0 + (line.y1 - line.y0) * i / 8;
        sw_box point = {x - 0.05, y - 0.05, x + 0.05, y + 0.05};
        double over = swi_floor_cost(&figure->field, point, owner);
        cost += over >= 1000 ? 500 : over >= 400 ? 200 : fmin(over, 60);
    }
    return 10 + 0.5 * cost;
}

/* One place beside a body: nearer is better. */
static void try_beside(const swi_figure *figure, sw_box body, uint32_t owner, const swi_words *words,
                       double x, double y, double base, spot *best) {
    sw_box box = swi_words_box(words, x, y);
    if (!swi_box_within(swi_box_grown(box, 0.2), board_box(figure->subject->plan)))
        return;
    double gap = gap_between(box, body);
    if (gap < 0.1)
        return;
    if (base + 8 * gap >= best->cost)
        return;
    if (gap >= tie_from)
        base += tie_cost(figure, tie_between(box, body), owner);
    double skew = fmin(fabs(x - (body.x0 + body.x1) / 2), fabs(y - (body.y0 + body.y1) / 2));
    try_spot(figure, words, x, y, base + 8 * gap + skew, owner, best);
}

/* Level text midway between strips, or upright text between two columns, around a body. */
static void beside(const swi_figure *figure, sw_box body, uint32_t owner, swi_words words,
                   double reach, double base, spot *best) {
    double half = swi_words_width(&words) / 2;
    const double pitch = SW_PITCH_MM, step = 0.254;
    int s0 = (int)floor((body.y0 - reach) / pitch), s1 = (int)ceil((body.y1 + reach) / pitch);
    words.upright = false;
    for (int s = s0; s <= s1; s++)
        for (double x = body.x0 - reach - half; x <= body.x1 + reach + half; x += step)
            try_beside(figure, body, owner, &words, x, (s + 0.5) * pitch, base, best);
    int c0 = (int)floor((body.x0 - reach) / pitch), c1 = (int)ceil((body.x1 + reach) / pitch);
    words.upright = true;
    for (int c = c0; c <= c1; c++)
        for (double y = body.y0 - reach - half; y <= body.y1 + reach + half; y += step)
            try_beside(figure, body, owner, &words, (c + 0.5) * pitch, y, base + 6, best);
}

static void note_text(swi_figure *figure, const spot *at) {
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_TEXT, swi_words_box(&at->words, at->x, at->y),
                                              SW_NONE, false});
}

/* What does not stand in its body gets a white plate: strips and holes may be behind it. */
static void put_plate(swi_figure *figure, const spot *at) {
    sw_box box = swi_box_grown(swi_words_box(&at->words, at->x, at->y), 0.1);
    swi_rect(figure->scene, "paper",
             (sw_box){box.x0 + figure->x, box.y0 + figure->y, box.x1 + figure->x, box.y1 + figure->y}, 0);
}

/* A thin line from text to what it speaks of, when it stands away from it. */
static void tie(swi_figure *figure, sw_box body, const spot *at) {
    sw_box box = swi_words_box(&at->words, at->x, at->y);
    if (gap_between(box, body) < 0.05) /* in its body */
        return;
    put_plate(figure, at);
    if (gap_between(box, body) < tie_from)
        return;
    stroke line = tie_between(box, body);
    swi_line(figure->scene, "call", figure->x + line.x0, figure->y + line.y0, figure->x + line.x1,
             figure->y + line.y1);
    for (int i = 0; i <= 8; i++) { /* later text keeps off it */
        double x = line.x0 + (line.x1 - line.x0) * i / 8, y = line.y0 + (line.y1 - line.y0) * i / 8;
        sw_box point = {x - 0.15, y - 0.15, x + 0.15, y + 0.15};
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, point, SW_NONE, false});
    }
}

static void put(swi_figure *figure, const spot *at) {
    swi_put_words(figure->scene, "", &at->words, figure->x + at->x, figure->y + at->y, 0);
    note_text(figure, at);
}

/* The ways of labelling a part: up to two pieces of text. */
typedef struct label {
    spot first, second;
    int pieces;
    double cost;
} label;

static void keep(label *best, label other) {
    if (other.cost < best->cost - 1e-9)
        *best = other;
}

static label in_one(const swi_figure *figure, const swi_item *item, uint32_t owner) {
    label way = {.first.cost = worst, .pieces = 1};
    swi_words words = {item->part->ref, item->value, SWI_SANS_BOLD, 0, false};
    inside(figure, item, owner, words, 0, &way.first);
    way.cost = way.first.cost;
    return way;
}

/* Reference and value apart: both inside, or the value beside the body. */
static label in_two(swi_figure *figure, const swi_item *item, uint32_t owner, bool value_beside) {
    label way = {.first.cost = worst, .second.cost = worst, .pieces = 2, .cost = worst};
    swi_words ref = {item->part->ref, "", SWI_SANS_BOLD, 0, false};
    swi_words value = {item->value, "", SWI_SANS, 1.15, false};
    inside(figure, item, owner, ref, 0, &way.first);
    if (way.first.cost >= worst)
        return way;
    note_text(figure, &way.first);
    if (value_beside) {
        beside(figure, item->outline, owner, value, 3, 15, &way.second);
        value.size = 1.0;
        beside(figure, item->outline, owner, value, 5, 22, &way.second);
    } else {
        inside(figure, item, owner, value, 6, &way.second);
    }
    swi_floor_drop(&figure->field);
    way.cost = way.first.cost + way.second.cost;
    return way;
}

static label all_beside(const swi_figure *figure, sw_box body, uint32_t owner, const swi_item *item) {
    label way = {.first.cost = worst, .pieces = 1};
    swi_words words = {item->part->ref, item->value, SWI_SANS_BOLD, 1.3, false};
    beside(figure, body, owner, words, 4, 40, &way.first);
    words.size = 1.0;
    if (way.first.cost > 60)
        beside(figure, body, owner, words, 9, 55, &way.first);
    way.cost = way.first.cost;
    return way;
}

/* Where a part without a body stands: its leads. */
static sw_box leads_box(const swi_item *item) {
    sw_box box = {worst, worst, -worst, -worst};
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        double x = SW_PITCH_MM * item->leads[i].hole.column, y = SW_PITCH_MM * item->leads[i].hole.strip;
        box = (sw_box){fmin(box.x0, x - 0.5), fmin(box.y0, y - 0.5), fmax(box.x1, x + 0.5),
                       fmax(box.y1, y + 0.5)};
    }
    return box;
}

static void report(swi_figure *figure, const char *ref, double cost) {
    if (cost < crowded)
        return;
    figure->crowded++;
    if (figure->diags)
        sw_diag_add(figure->diags, SW_D_PAPER_LABEL_CROWDED, SW_NOWHERE,
                    "the label of %s found no clear place on the drawing and runs over something; "
                    "leave a column more, or read it in the parts list", ref);
}

static void label_item(swi_figure *figure, uint32_t index) {
    const swi_item *item = &figure->subject->items[index];
    sw_box body = item->stands ? item->outline : leads_box(item);
    swi_floor_focus(&figure->field, swi_box_grown(body, 16));
    label best = {.cost = worst};
    if (item->stands) {
        keep(&best, in_one(figure, item, index));
        if (*item->value && best.cost > 1) {
            keep(&best, in_two(figure, item, index, false));
            keep(&best, in_two(figure, item, index, true));
        }
    }
    if (best.cost > 40)
        keep(&best, all_beside(figure, body, index, item));
    if (best.cost >= 1000 || !best.pieces) { /* never one text over another */
        figure->left_out++;
        report(figure, item->part->ref, worst);
        return;
    }
    report(figure, item->part->ref, best.cost);
    tie(figure, body, &best.first);
    put(figure, &best.first);
    if (best.pieces == 2) {
        tie(figure, body, &best.second);
        put(figure, &best.second);
    }
}

/* ICs and lying parts, then round ones and the rest. */
static int rank(const swi_item *item) {
    if (!item->stands)
        return 2;
    return swi_is_ic(item) ? 0 : item->round ? 2 : 1;
}

void swi_draw_labels(swi_figure *figure) {
    for (int r = 0; r < 3; r++)
        for (uint32_t i = 0; i < figure->subject->item_count; i++) {
            const swi_item *item = &figure->subject->items[i];
            if (item->terminal || !item->part->lead_count || rank(item) != r)
                continue;
            bool pale = swi_open_pale(figure, i);
            label_item(figure, i);
            if (pale)
                swi_close(figure->scene);
        }
}

/* ---- terminal pins ---- */

static void name_wire(swi_figure *figure, uint32_t index) {
    const swi_item *item = &figure->subject->items[index];
    sw_hole hole = item->leads[0].hole;
    double x = SW_PITCH_MM * hole.column, y = SW_PITCH_MM * hole.strip;
    sw_box ring = {x - 0.91, y - 0.91, x + 0.91, y + 0.91};
    swi_floor_focus(&figure->field, swi_box_grown(ring, 16));
    spot best = {.cost = worst};
    for (int step = 0; step < 3; step++) {
        swi_words words = {item->name, "", SWI_SANS_BOLD, 1.3 - 0.15 * step, false};
        double half = swi_words_width(&words) / 2 + 0.25;
        for (int side = 1; side >= -1; side -= 2) /* on the strip, beside the ring */
            try_beside(figure, ring, index, &words, x + side * (half + 0.91), y, 2 + 8 * step, &best);
        beside(figure, ring, index, words, 2.2 + 2 * step, 4 + 8 * step, &best);
    }
    if (best.cost >= listed) /* the list of wires has it */
        return;
    tie(figure, ring, &best);
    put(figure, &best);
}

/* In the margin, in the row of its strip. */
static void name_wire_outside(swi_figure *figure, const swi_item *item, int side) {
    const sw_plan *plan = figure->subject->plan;
    double y = SW_PITCH_MM * item->leads[0].hole.strip;
    swi_words words = {item->name, "", SWI_SANS_BOLD, 1.3, false};
    double half = swi_words_width(&words) / 2, edge = SW_PITCH_MM * (plan->columns - 0.5);
    double x = side < 0 ? -SW_PITCH_MM / 2 - 5.3 - figure->hang.x0 - half : edge + 5.3 + figure->hang.x1 + half;
    swi_put_words(figure->scene, "", &words, figure->x + x, figure->y + y, 0);
}

/* Whether another wire leaves the same strip nearer to the edge at column 0 or the last. */
static bool nearer_wire(const swi_subject *subject, sw_hole hole, bool left) {
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const swi_item *item = &subject->items[i];
        if (!item->terminal || !item->part->lead_count || item->leads[0].hole.strip != hole.strip)
            continue;
        int column = item->leads[0].hole.column;
        if (left ? column < hole.column : column > hole.column)
            return true;
    }
    return false;
}

int swi_wire_edge(const swi_subject *subject, const swi_item *item) {
    const int reach = 3; /* columns */
    if (!item->terminal || item->part->lead_count != 1)
        return 0;
    sw_hole hole = item->leads[0].hole;
    int from_right = subject->plan->columns - 1 - hole.column;
    if (hole.column < reach && hole.column <= from_right && !nearer_wire(subject, hole, true))
        return -1;
    return from_right < reach && !nearer_wire(subject, hole, false) ? 1 : 0;
}

void swi_draw_wire_names(swi_figure *figure) {
    for (uint32_t i = 0; i < figure->subject->item_count; i++) {
        const swi_item *item = &figure->subject->items[i];
        int side = swi_wire_edge(figure->subject, item);
        if (!side && (!item->terminal || !item->part->lead_count))
            continue;
        bool pale = swi_open_pale(figure, i);
        if (side)
            name_wire_outside(figure, item, side);
        else
            name_wire(figure, i);
        if (pale)
            swi_close(figure->scene);
    }
}
