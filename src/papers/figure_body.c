/* src/papers/figure_body.c: bodies of parts, true to size, and which way round they go. */
#include "figure.h"

#include "base/text.h"
#include "change.h"

#include <math.h>
#include <string.h>

/* The body's box on the sheet. */
static sw_box on_sheet(const swi_figure *figure, sw_box box) {
    return (sw_box){box.x0 + figure->x, box.y0 + figure->y, box.x1 + figure->x, box.y1 + figure->y};
}

static bool is_package(const swi_item *item, const char *start) {
    return strncmp(item->package->name, start, strlen(start)) == 0;
}

/* From a lead outside its body to the body's nearest point: only the part outside is seen,
 * for the body is drawn above. */
static void draw_wires(swi_figure *figure, const swi_item *item) {
    if (item->package->form != SW_FORM_PAIR)
        return;
    double x = (item->outline.x0 + item->outline.x1) / 2, y = (item->outline.y0 + item->outline.y1) / 2;
    for (uint32_t i = 0; i < 2; i++) {
        sw_hole hole = item->leads[i].hole;
        double lx = SW_PITCH_MM * hole.column, ly = SW_PITCH_MM * hole.strip;
        if (lx > item->outline.x0 && lx < item->outline.x1 && ly > item->outline.y0 &&
            ly < item->outline.y1)
            continue;
        swi_line(figure->scene, "wire", figure->x + lx, figure->y + ly, figure->x + x, figure->y + y);
    }
}

/* A point of the body as it lies at turn 0, u to the right and v down from its middle. */
static void turned(const swi_item *item, double u, double v, double *x, double *y) {
    double a = item->turn == 90 ? -v : item->turn == 180 ? -u : item->turn == 270 ? v : u;
    double b = item->turn == 90 ? u : item->turn == 180 ? -v : item->turn == 270 ? -u : v;
    *x = (item->outline.x0 + item->outline.x1) / 2 + a;
    *y = (item->outline.y0 + item->outline.y1) / 2 + b;
}

static void to(swi_figure *figure, const swi_item *item, sw_buf *path, char command, double u, double v) {
    double x, y;
    turned(item, u, v, &x, &y);
    swi_path_to(path, command, figure->x + x, figure->y + y);
}

static void arc_to(swi_figure *figure, const swi_item *item, sw_buf *path, double rx, double ry,
                   bool sweep, double u, double v) {
    bool across = item->turn == 90 || item->turn == 270;
    swi_path_to(path, 'A', across ? ry : rx, across ? rx : ry);
    sw_buf_puts(path, sweep ? " 0 0 1" : " 0 0 0");
    to(figure, item, path, ' ', u, v);
}

/* Half width and half height at turn 0. */
static void halves(const swi_item *item, double *w, double *h) {
    bool across = item->turn == 90 || item->turn == 270;
    double x = (item->outline.x1 - item->outline.x0) / 2, y = (item->outline.y1 - item->outline.y0) / 2;
    *w = across ? y : x;
    *h = across ? x : y;
}

/* TO-92: facing the flat with the leads down, pin 1 is at the left (JEDEC TO-226, from
 * memory), so at turn 0 with pins downwards the flat is at the left. */
static void draw_half_round(swi_figure *figure, const swi_item *item) {
    double w, h;
    halves(item, &w, &h);
    sw_buf path = SW_BUF_INIT;
    to(figure, item, &path, 'M', -w, -h);
    to(figure, item, &path, 'L', -0.3 * w, -h);
    arc_to(figure, item, &path, 1.3 * w, h, true, -0.3 * w, h);
    to(figure, item, &path, 'L', -w, h);
    sw_buf_putc(&path, 'Z');
    swi_path(figure->scene, "body", &path);
}

static void add_point(swi_figure *figure, const swi_item *item, double u, double v) {
    double x, y;
    turned(item, u, v, &x, &y);
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, {x - 0.15, y - 0.15, x + 0.15, y + 0.15},
                                              SW_NONE, false});
}

/* Points close together, by their height where the curve runs up and down, else by their
 * width: roots are the same on every machine, sines are not. */
void swi_add_curve(swi_figure *figure, const swi_item *item) {
    enum { STEPS = 10 };
    double w, h;
    if (!is_package(item, "TO-92"))
        return;
    halves(item, &w, &h);
    for (int i = -STEPS; i <= STEPS; i++) {
        double t = 0.7 * i / STEPS;
        add_point(figure, item, -0.3 * w + 1.3 * w * sqrt(1 - t * t), h * t);
    }
    for (int i = 0; i <= STEPS; i++) {
        double s = 0.72 * i / STEPS, v = h * sqrt(1 - s * s);
        add_point(figure, item, -0.3 * w + 1.3 * w * s, v);
        add_point(figure, item, -0.3 * w + 1.3 * w * s, -v);
    }
}

/* A line across: the metal tab is behind the pins as one faces the print. */
static void draw_tab(swi_figure *figure, const swi_item *item) {
    double w, h;
    halves(item, &w, &h);
    sw_buf path = SW_BUF_INIT;
    to(figure, item, &path, 'M', w - 1.2, -h);
    to(figure, item, &path, 'L', w - 1.2, h);
    swi_path(figure->scene, "mark", &path);
    double x0, y0, x1, y1;
    turned(item, w - 1.2, -h, &x0, &y0);
    turned(item, w - 1.2, h, &x1, &y1);
    sw_box line = {fmin(x0, x1) - 0.11, fmin(y0, y1) - 0.11, fmax(x0, x1) + 0.11, fmax(y0, y1) + 0.11};
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, line, SW_NONE, false});
}

/* The screw of a trimmer that is turned from the side: a head with its slot, where it is. */
static void draw_screw(swi_figure *figure, const swi_item *item) {
    static const struct { double u, v; } out[] = {{0, 0}, {0, -1}, {1, 0}, {0, 1}, {-1, 0}}; /* by sw_face */
    double w, h, u = out[item->package->face].u, v = out[item->package->face].v, x0, y0, x1, y1;
    halves(item, &w, &h);
    double mu = u * (w - 0.5), mv = v * (h - 0.5); /* middle of the head */
    turned(item, mu - 0.5 * fabs(u) - 1.1 * fabs(v), mv - 0.5 * fabs(v) - 1.1 * fabs(u), &x0, &y0);
    turned(item, mu + 0.5 * fabs(u) + 1.1 * fabs(v), mv + 0.5 * fabs(v) + 1.1 * fabs(u), &x1, &y1);
    sw_box head = {fmin(x0, x1), fmin(y0, y1), fmax(x0, x1), fmax(y0, y1)};
    swi_rect(figure->scene, "body", on_sheet(figure, head), 0);
    sw_buf slot = SW_BUF_INIT;
    to(figure, item, &slot, 'M', mu - 0.5 * u, mv - 0.5 * v);
    to(figure, item, &slot, 'L', mu + 0.5 * u, mv + 0.5 * v);
    swi_path(figure->scene, "mark", &slot);
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, head, SW_NONE, false});
}

/* The openings of a screw terminal, one a lead, where wires go in. */
static void draw_openings(swi_figure *figure, const swi_item *item) {
    const sw_box *o = &item->outline;
    sw_face side = sw_package_face(item->package, item->turn);
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        double x = SW_PITCH_MM * item->leads[i].hole.column, y = SW_PITCH_MM * item->leads[i].hole.strip;
        sw_box mouth = {x - 1.2, y - 1.2, x + 1.2, y + 1.2};
        switch (side) {
        case SW_FACE_UP: mouth.y0 = o->y0, mouth.y1 = o->y0 + 0.9; break;
        case SW_FACE_RIGHT: mouth.x0 = o->x1 - 0.9, mouth.x1 = o->x1; break;
        case SW_FACE_DOWN: mouth.y0 = o->y1 - 0.9, mouth.y1 = o->y1; break;
        case SW_FACE_LEFT: mouth.x0 = o->x0, mouth.x1 = o->x0 + 0.9; break;
        case SW_FACE_NONE: return;
        }
        swi_rect(figure->scene, "body", on_sheet(figure, mouth), 0);
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, mouth, SW_NONE, false});
    }
}

/* Where the cable of a board on two rows of pins goes in, as wide as that of a USB socket. */
static void draw_cable_socket(swi_figure *figure, const swi_item *item) {
    const sw_box *o = &item->outline;
    double x = (o->x0 + o->x1) / 2, y = (o->y0 + o->y1) / 2;
    sw_box mouth = {x - 4, y - 4, x + 4, y + 4};
    switch (sw_package_face(item->package, item->turn)) {
    case SW_FACE_UP: mouth.y0 = o->y0, mouth.y1 = o->y0 + 2; break;
    case SW_FACE_RIGHT: mouth.x0 = o->x1 - 2, mouth.x1 = o->x1; break;
    case SW_FACE_DOWN: mouth.y0 = o->y1 - 2, mouth.y1 = o->y1; break;
    case SW_FACE_LEFT: mouth.x0 = o->x0, mouth.x1 = o->x0 + 2; break;
    case SW_FACE_NONE: return;
    }
    swi_rect(figure->scene, "body", on_sheet(figure, mouth), 0);
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_LINE, mouth, SW_NONE, false});
}

static void draw_notch(swi_figure *figure, const swi_item *item) {
    double w, h;
    halves(item, &w, &h);
    sw_buf path = SW_BUF_INIT;
    to(figure, item, &path, 'M', -0.6, -h);
    arc_to(figure, item, &path, 0.6, 0.6, false, 0.6, -h);
    swi_path(figure->scene, "mark", &path);
}

/* Strips and holes beneath an IC: dashes, for its pins and cuts want them to be read. */
static void draw_beneath(swi_figure *figure, const swi_item *item) {
    const swi_subject *subject = figure->subject;
    const sw_plan *plan = subject->plan;
    for (uint32_t i = 0; i < subject->copper->segment_count; i++) {
        const sw_segment *segment = &subject->copper->segments[i];
        double y = SW_PITCH_MM * segment->strip;
        double x0 = fmax(SW_PITCH_MM * segment->first, item->outline.x0),
               x1 = fmin(SW_PITCH_MM * segment->last, item->outline.x1);
        if (y <= item->outline.y0 || y >= item->outline.y1 || x0 >= x1)
            continue;
        swi_open(figure->scene, &(swi_tags){.style = "seg", .node = segment->node});
        swi_line(figure->scene, segment->used ? "hid" : "idle", figure->x + x0, figure->y + y,
                 figure->x + x1, figure->y + y);
        swi_close(figure->scene);
    }
    for (int s = 0; s < plan->strips; s++)
        for (int c = 0; c < plan->columns; c++) {
            double x = SW_PITCH_MM * c, y = SW_PITCH_MM * s;
            size_t at = (size_t)s * (size_t)plan->columns + (size_t)c;
            if (x > item->outline.x0 && x < item->outline.x1 && y > item->outline.y0 &&
                y < item->outline.y1 && !figure->field.taken[at])
                swi_circle(figure->scene, "ghost", figure->x + x, figure->y + y, 0.4);
        }
}

static bool lies_upright(const swi_item *item) {
    return item->outline.y1 - item->outline.y0 > item->outline.x1 - item->outline.x0;
}

/* Heavy bar across a lying diode near its cathode. */
static void draw_cathode_band(swi_figure *figure, const swi_item *item) {
    sw_hole k = item->leads[item->cathode].hole;
    sw_box box = item->outline, bar = box;
    double length = lies_upright(item) ? box.y1 - box.y0 : box.x1 - box.x0;
    double from = fmin(0.18 * length, 0.9);
    double at;
    if (lies_upright(item)) {
        at = SW_PITCH_MM * k.strip < (box.y0 + box.y1) / 2 ? box.y0 + from : box.y1 - from;
        bar.y0 = at - 0.3;
        bar.y1 = at + 0.3;
        swi_line(figure->scene, "bar", figure->x + box.x0, figure->y + at, figure->x + box.x1,
                 figure->y + at);
    } else {
        at = SW_PITCH_MM * k.column < (box.x0 + box.x1) / 2 ? box.x0 + from : box.x1 - from;
        bar.x0 = at - 0.3;
        bar.x1 = at + 0.3;
        swi_line(figure->scene, "bar", figure->x + at, figure->y + box.y0, figure->x + at,
                 figure->y + box.y1);
    }
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_BAR, bar, SW_NONE, false});
}

/* The flat of a round diode (LED), on its cathode's side. */
static void draw_flat(swi_figure *figure, const swi_item *item) {
    sw_hole k = item->leads[item->cathode].hole, a = item->leads[!item->cathode].hole;
    double x = (item->outline.x0 + item->outline.x1) / 2, y = (item->outline.y0 + item->outline.y1) / 2;
    double r = (item->outline.x1 - item->outline.x0) / 2, off = 0.86 * r, half = sqrt(r * r - off * off);
    int dx = (k.column > a.column) - (k.column < a.column), dy = (k.strip > a.strip) - (k.strip < a.strip);
    double mx = x + dx * off, my = y + dy * off;
    double ax = dy ? half : 0, ay = dx ? half : 0;
    swi_line(figure->scene, "flat", figure->x + mx - ax, figure->y + my - ay, figure->x + mx + ax,
             figure->y + my + ay);
    sw_box bar = {mx - ax - 0.25, my - ay - 0.25, mx + ax + 0.25, my + ay + 0.25};
    swi_floor_add(&figure->field, (swi_thing){SWI_THING_BAR, bar, SW_NONE, false});
}

/* The cross stands in the body beside the positive lead: beyond it when there is room, at
 * its side, or before it. */
static void draw_plus(swi_figure *figure, const swi_item *item) {
    sw_hole p = item->leads[item->plus].hole, m = item->leads[!item->plus].hole;
    double px = SW_PITCH_MM * p.column, py = SW_PITCH_MM * p.strip;
    double dx = (p.column > m.column) - (p.column < m.column), dy = (p.strip > m.strip) - (p.strip < m.strip);
    const double tries[5][2] = {{dx, dy}, {dy, -dx}, {-dy, dx}, {-dx, -dy}, {0, 0}};
    for (int i = 0; i < 5; i++) {
        double x = px + 1.15 * tries[i][0], y = py + 1.15 * tries[i][1];
        sw_box cross = {x - 0.5, y - 0.5, x + 0.5, y + 0.5}, body = swi_box_grown(item->outline, -0.15);
        double off = hypot(x - (body.x0 + body.x1) / 2, y - (body.y0 + body.y1) / 2);
        bool fits = item->round ? off + 0.45 <= (body.x1 - body.x0) / 2 : swi_box_within(cross, body);
        if (i < 4 && !fits)
            continue;
        if (i == 4) { /* a small body: beside it */
            x = item->outline.x0 - 0.8;
            y = py;
            cross = (sw_box){x - 0.5, y - 0.5, x + 0.5, y + 0.5};
        }
        swi_use(figure->scene, "#s-plus", figure->x + x, figure->y + y);
        swi_floor_add(&figure->field, (swi_thing){SWI_THING_BAR, cross, SW_NONE, false});
        return;
    }
}

static void draw_shape(swi_figure *figure, const swi_item *item) {
    sw_box box = on_sheet(figure, item->outline);
    double least = fmin(box.x1 - box.x0, box.y1 - box.y0);
    if (item->round)
        swi_circle(figure->scene, "body", (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2, least / 2);
    else if (is_package(item, "TO-92"))
        draw_half_round(figure, item);
    else if (is_package(item, "CAP-DISC"))
        swi_rect(figure->scene, "body", box, least / 2);
    else
        swi_rect(figure->scene, "body", box, is_package(item, "RES-") ? 0.55 : 0);
    if (is_package(item, "TO-220") || is_package(item, "TO-126"))
        draw_tab(figure, item);
    if (item->package->face == SW_FACE_NONE)
        return;
    if (swi_is_ic(item))
        draw_cable_socket(figure, item);
    else
        (swi_is_connector(item) ? draw_openings : draw_screw)(figure, item);
}

/* A reference as part of an id: what XML names do not take becomes "_". */
static const char *id_of(swi_scene *scene, const char *ref) {
    char name[64];
    size_t n = 0;
    for (; ref[n] && n + 1 < sizeof name; n++)
        name[n] = swi_is_alpha(ref[n]) || swi_is_digit(ref[n]) || ref[n] == '-' || ref[n] == '.' ? ref[n] : '_';
    name[n] = '\0';
    return swi_scene_format(scene, "%spart-%s", scene->prefix, name);
}

void swi_draw_body(swi_figure *figure, uint32_t index) {
    const swi_item *item = &figure->subject->items[index];
    swi_scene *scene = figure->scene;
    const char *ref = swi_scene_text(scene, item->part->ref);
    sw_buf title = SW_BUF_INIT;
    sw_buf_puts(&title, ref);
    if (*item->value)
        sw_buf_printf(&title, " %s", item->value);
    swi_open(scene, &(swi_tags){.id = id_of(scene, ref),
                                .style = swi_change_style(figure, "part", swi_part_changes(figure->subject, index) != SWI_PART_STAYS),
                                .ref = ref, .title = title.failed ? "" : title.bytes});
    scene->failed |= title.failed;
    sw_buf_free(&title);
    if (item->stands && !item->terminal) {
        draw_wires(figure, item);
        draw_shape(figure, item);
        if (swi_is_ic(item)) {
            draw_notch(figure, item);
            draw_beneath(figure, item);
        }
        if (item->cathode >= 0 && item->round)
            draw_flat(figure, item);
        else if (item->cathode >= 0)
            draw_cathode_band(figure, item);
        if (item->plus >= 0)
            draw_plus(figure, item);
    }
    swi_close(scene);
}
