/* src/papers/figure_number.c: node numbers at both ends of every segment.
 *
 * At a board edge the number stands outside, in a column headed "node".  At a cut it
 * stands on the strip between the last hole and the cut; else raised or lowered there;
 * else further in, on a white plate; smaller only when nothing else will do.  A segment
 * of one hole between two cuts has one end, and one number.
 */
#include "figure.h"

#include <math.h>

typedef struct number_spot {
    swi_words words;
    double x, y, cost;
    bool plate;
} number_spot;

static const double text_over_text = 900; /* what two texts in one place cost, less what is
                                             taken off again */
static const double sizes[] = {1.3, 1.15, 1.0};

static void try_number(const swi_figure *figure, swi_words words, double x, double y, double base,
                       bool plate, number_spot *best) {
    if (base >= best->cost)
        return;
    double cost = base + swi_floor_cost(&figure->field, swi_words_box(&words, x, y), SW_NONE);
    /* On its own strip it stands on purpose. */
    if (fabs(y - round(y / SW_PITCH_MM) * SW_PITCH_MM) < 0.01)
        cost = fmax(base, cost - 6);
    if (cost < best->cost - 1e-9)
        *best = (number_spot){words, x, y, cost, plate};
}

/* Half width of what stands in a hole. */
static double hole_half(const swi_figure *figure, int strip, int column) {
    size_t at = (size_t)strip * (size_t)figure->subject->plan->columns + (size_t)column;
    return figure->field.taken[at] ? figure->field.taken[at] / 100.0 : 0.44;
}

/* Places at one end: side -1 the left, 1 the right. */
static void try_end(const swi_figure *figure, const sw_segment *segment, const char *text, int side,
                    bool knife, number_spot *best) {
    const double pitch = SW_PITCH_MM;
    int end = side < 0 ? segment->first : segment->last;
    double y = pitch * segment->strip, hole = pitch * end;
    double near = hole + side * hole_half(figure, segment->strip, end);
    double far = knife ? hole + side * (pitch / 2 - 0.5) : hole + side * (pitch - 0.84);
    for (int k = 0; k < 3; k++) {
        swi_words words = {text, "", SWI_SERIF_ITALIC, sizes[k], false};
        double small = 5 * k, rise = pitch / 2, middle = (near + far) / 2;
        try_number(figure, words, middle, y, small, false, best);
        for (int shift = -1; shift <= 1; shift++) { /* a little to and fro, then higher, lower */
            try_number(figure, words, middle + 0.14 * shift, y, small + 1, false, best);
            double x = middle + 0.35 * shift;
            try_number(figure, words, x, y - rise, small + 14 + fabs(0.35 * shift), false, best);
            try_number(figure, words, x, y + rise, small + 14.5 + fabs(0.35 * shift), false, best);
        }
        /* inward: between the holes of the segment, then above and below them */
        int holes = segment->last - segment->first;
        for (int in = 0; in < holes && in < 6; in++) {
            int outer = end - side * in, inner = outer - side;
            double x = (pitch * (outer + inner) + side * (hole_half(figure, segment->strip, inner) -
                                                          hole_half(figure, segment->strip, outer))) / 2;
            try_number(figure, words, x, y, small + 20 + 6 * in, true, best);
            try_number(figure, words, x, y - rise, small + 30 + 6 * in, false, best);
            try_number(figure, words, x, y + rise, small + 31 + 6 * in, false, best);
        }
    }
}

static void put_number(swi_figure *figure, const sw_segment *segment, const number_spot *at) {
    sw_box box = swi_words_box(&at->words, at->x, at->y);
    if (at->plate)
        swi_rect(figure->scene, "paper",
                 swi_box_grown((sw_box){box.x0 + figure->x, box.y0 + figure->y, box.x1 + figure->x,
                                        box.y1 + figure->y}, 0.12), 0);
    swi_put_words(figure->scene, "", &at->words, figure->x + at->x, figure->y + at->y, segment->node);
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_TEXT, box, SW_NONE, false});
}

static void report(swi_figure *figure, const sw_segment *segment, double cost) {
    if (cost < 300)
        return;
    char hole[12];
    sw_hole_write((sw_hole){segment->strip, segment->first}, hole);
    figure->crowded++;
    if (figure->diags)
        sw_diag_add(figure->diags, SW_D_PAPER_LABEL_CROWDED, SW_NOWHERE,
                    "the number of node %u found no clear place at the segment of %s; read it in "
                    "the list of nodes", (unsigned)segment->node, hole);
}

static void focus(swi_figure *figure, const sw_segment *segment) {
    double y = SW_PITCH_MM * segment->strip;
    swi_floor_focus(&figure->field, (sw_box){SW_PITCH_MM * segment->first - 6, y - 5,
                                             SW_PITCH_MM * segment->last + 6, y + 5});
}

static void number_ends(swi_figure *figure, const sw_segment *segment, const char *text) {
    int last_column = figure->subject->plan->columns - 1;
    const sw_copper *copper = figure->subject->copper;
    const sw_plan *plan = figure->subject->plan;
    number_spot both = {.cost = 1e9};
    bool single = segment->first == segment->last, either = false;
    for (int side = -1; side <= 1; side += 2) {
        int end = side < 0 ? segment->first : segment->last;
        if (end == (side < 0 ? 0 : last_column)) {
            either = true;
            continue;
        }
        bool knife = copper->at[(size_t)segment->strip * (size_t)plan->columns + (size_t)(end + side)] != SW_NONE;
        number_spot best = {.cost = 1e9};
        try_end(figure, segment, text, side, knife, single ? &both : &best);
        if (single)
            continue;
        report(figure, segment, best.cost);
        if (best.cost < text_over_text)
            put_number(figure, segment, &best);
        else
            figure->left_out++;
    }
    if (!single || either)
        return;
    report(figure, segment, both.cost);
    if (both.cost < text_over_text)
        put_number(figure, segment, &both);
    else
        figure->left_out++;
}

/* Numbers outside the board, where the end of the segment is the board's. */
static void number_edges(swi_figure *figure, const sw_segment *segment, const char *text) {
    const sw_plan *plan = figure->subject->plan;
    double edge = SW_PITCH_MM * (plan->columns - 0.5), y = SW_PITCH_MM * segment->strip;
    swi_words words = {text, "", SWI_SERIF_ITALIC, 1.4, false};
    if (segment->first == 0)
        swi_put_words(figure->scene, "", &words, figure->x - SW_PITCH_MM / 2 - 1.6 - figure->hang.x0, figure->y + y,
                      segment->node);
    if (segment->last == plan->columns - 1)
        swi_put_words(figure->scene, "", &words, figure->x + edge + 1.6 + figure->hang.x1, figure->y + y, segment->node);
}

void swi_draw_node_numbers(swi_figure *figure) {
    const sw_copper *copper = figure->subject->copper;
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        const sw_segment *segment = &copper->segments[i];
        if (!segment->used || !segment->node)
            continue;
        const char *text = swi_scene_format(figure->scene, "%u", (unsigned)segment->node);
        number_edges(figure, segment, text);
        focus(figure, segment);
        number_ends(figure, segment, text);
    }
}
