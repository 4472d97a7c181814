/* src/parts/drawn_row.c: a footprint as a row of the table of packages.
 *
 * Leads go into the holes nearest to their pads once the whole is moved to where the farthest off is as
 * near as can be.  A lead can be pressed FORMED_MM aside, what is further off has no hole; two leads of a
 * two-lead part can be bent to any span.
 */
#include "drawn.h"

#include "base/csv.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Common practice: the holes are 1.0 mm, a lead is 0.5 to 0.8 mm and gives. */
#define FORMED_MM 0.4
/* Least wire between a lying body and the bend of its lead: half of the lead-bend rule's usual pitch. */
#define WIRE_MM 1.0
/* A file tells no height, and the order of fitting wants one.  What lies between its leads is as high as thick. */
#define HEIGHT_MM 10

static bool is_empty(const sw_box *box) {
    return !(box->x0 < box->x1) || !(box->y0 < box->y1);
}

static sw_box pads_box(const swi_drawn *d, double around) {
    sw_box box = swi_no_box;
    for (size_t i = 0; i < d->pad_count; i++)
        swi_widen(&box, &(sw_box){d->pads[i].x - around, d->pads[i].y - around, d->pads[i].x + around, d->pads[i].y + around});
    return box;
}

/* A straight line that begins or ends on a pad is the lead that runs there. */
static bool is_lead(const swi_drawn *d, const sw_box *line) {
    const double near = 0.05;
    bool straight = line->x1 - line->x0 < near || line->y1 - line->y0 < near;
    for (size_t i = 0; straight && i < d->pad_count; i++)
        if ((fabs(line->x0 - d->pads[i].x) < near && fabs(line->y0 - d->pads[i].y) < near) ||
            (fabs(line->x1 - d->pads[i].x) < near && fabs(line->y1 - d->pads[i].y) < near))
            return true;
    return false;
}

static sw_box lines_box(const swi_drawn *d, bool with_leads) {
    sw_box box = swi_no_box;
    for (size_t i = 0; i < d->line_count; i++) {
        const sw_box *line = &d->lines[i];
        if (with_leads || !is_lead(d, line))
            swi_widen(&box, line);
    }
    return box;
}

/* The body's lines; else the room it wants without its usual margin; else the print; else its pads. */
static sw_box outline(const swi_drawn *d, bool with_leads, bool *round) {
    const double margin = 0.25;
    sw_box body = lines_box(d, with_leads);
    *round = false;
    if (!is_empty(&body)) {
        double size = d->circle.x1 - d->circle.x0;
        *round = size > 0 && fabs(size - (body.x1 - body.x0)) < margin && fabs(size - (body.y1 - body.y0)) < margin;
        return *round ? d->circle : body;
    }
    if (d->yard.x1 - d->yard.x0 > 3 * margin && d->yard.y1 - d->yard.y0 > 3 * margin)
        return (sw_box){d->yard.x0 + margin, d->yard.y0 + margin, d->yard.x1 - margin, d->yard.y1 - margin};
    return is_empty(&d->ink) ? pads_box(d, SW_PITCH_MM / 2) : d->ink;
}

static void put_mm(sw_buf *out, double mm) {
    sw_buf_real(out, mm, 2);
}

/* What all forms end with: the body relative to the middle of the leads. */
static void put_body(sw_buf *out, double along, double across, double height, bool round, double shift_along,
                     double shift_across) {
    sw_buf_puts(out, round ? "round" : "rect");
    sw_buf_putc(out, ',');
    put_mm(out, along);
    sw_buf_putc(out, ',');
    put_mm(out, round ? along : across);
    sw_buf_putc(out, ',');
    put_mm(out, height);
    sw_buf_putc(out, ',');
    const double seen = 0.05; /* less is the drawing's rounding */
    if (fabs(shift_along) >= seen || fabs(shift_across) >= seen) {
        put_mm(out, shift_along);
        sw_buf_putc(out, ' ');
        put_mm(out, shift_across);
    }
}

/* ---- two leads ---- */

/* Least, usual and most span of two leads so far apart, with a body so long between them or upon them. */
static void spans(double apart, double body, bool between, int span[3]) {
    int usual = (int)fmax(1, round(apart / SW_PITCH_MM));
    span[0] = span[1] = span[2] = usual;
    if (between) {
        int least = (int)ceil((body + 2 * WIRE_MM) / SW_PITCH_MM - 0.01);
        span[0] = least < usual ? least : usual;
        span[2] = usual + 6;
    } else if (fabs(apart - usual * SW_PITCH_MM) > FORMED_MM) {
        span[2] = apart > usual * SW_PITCH_MM ? usual + 1 : usual;
    }
}

/* A body as it lies when the second lead is below the first, which (dx, dy) points at. */
typedef struct lain {
    double along, across, shift_along, shift_across;
    bool round, between; /* between: it leaves wire at both its leads */
} lain;

static lain lay(const swi_drawn *d, double apart, double dx, double dy, bool with_leads) {
    const swi_pad *a = &d->pads[0], *b = &d->pads[1]; /* in any order: their middle counts */
    lain l;
    sw_box box = outline(d, with_leads, &l.round);
    double x = (box.x0 + box.x1 - a->x - b->x) / 2, y = (box.y0 + box.y1 - a->y - b->y) / 2;
    l.shift_across = x * dx + y * dy;
    l.shift_along = x * dy - y * dx;
    l.across = fabs(dx * (box.x1 - box.x0) + dy * (box.y1 - box.y0));
    l.along = fabs(dy * (box.x1 - box.x0) + dx * (box.y1 - box.y0));
    l.between = !l.round && fabs(l.shift_across) < WIRE_MM / 2 && l.across + 2 * WIRE_MM <= apart;
    return l;
}

/* A pair's leads are called 1 and 2; others are points. */
static bool put_pair(const swi_drawn *d, sw_buf *out) {
    bool in_order = strcmp(d->pads[0].name, "1") == 0;
    const swi_pad *a = &d->pads[!in_order], *b = &d->pads[in_order];
    double apart = hypot(b->x - a->x, b->y - a->y);
    bool straight = fmin(fabs(b->x - a->x), fabs(b->y - a->y)) <= FORMED_MM && apart > 0;
    if (!straight || strcmp(a->name, "1") != 0 || strcmp(b->name, "2") != 0)
        return false;
    double dx = round((b->x - a->x) / apart), dy = round((b->y - a->y) / apart);
    lain body = lay(d, apart, dx, dy, false);
    if (!body.between) /* so the leads' lines are the body's */
        body = lay(d, apart, dx, dy, true);
    int span[3];
    spans(apart, body.across, body.between, span);
    if (span[2] > UINT8_MAX)
        return false;
    sw_buf_printf(out, "pair:%d:%d:%d,,", span[0], span[1], span[2]);
    put_body(out, body.along, body.across, body.between ? body.along : HEIGHT_MM, body.round, body.shift_along,
             body.between ? 0 : body.shift_across);
    return true;
}

/* ---- more leads ---- */

static int by_value(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* How far the holes are to be moved so that the farthest off is as near as can be: opposite to the middle of
 * the widest gap between the pads' places within a pitch.  `rest` has room for the pads. */
static double best_origin(double *rest, size_t count) {
    qsort(rest, count, sizeof *rest, by_value);
    double widest = rest[0] + SW_PITCH_MM - rest[count - 1], middle = (rest[0] + rest[count - 1]) / 2;
    for (size_t i = 1; i < count; i++)
        if (rest[i] - rest[i - 1] > widest) {
            widest = rest[i] - rest[i - 1];
            middle = (rest[i] + rest[i - 1] + SW_PITCH_MM) / 2;
        }
    return middle;
}

static double within_pitch(double mm) {
    return mm - SW_PITCH_MM * floor(mm / SW_PITCH_MM);
}

static bool find_origin(const swi_drawn *d, double *x, double *y) {
    double *rest = malloc(d->pad_count * sizeof *rest);
    if (!rest)
        return false;
    for (size_t i = 0; i < d->pad_count; i++)
        rest[i] = within_pitch(d->pads[i].x);
    *x = best_origin(rest, d->pad_count);
    for (size_t i = 0; i < d->pad_count; i++)
        rest[i] = within_pitch(d->pads[i].y);
    *y = best_origin(rest, d->pad_count);
    free(rest);
    return true;
}

static const char *shown(const char *name) {
    return *name ? name : "without a number";
}

/* How many pads before this one have its name, or no name as it has. */
static size_t alike_before(const swi_drawn *d, size_t i) {
    size_t count = 0;
    for (size_t k = 0; k < i; k++)
        count += strcmp(d->pads[k].name, d->pads[i].name) == 0;
    return count;
}

/* Pads of one number are joined inside: 1, 1~2, …; those without one are tabs that join nothing. */
static void put_name(const swi_drawn *d, size_t i, sw_buf *out) {
    size_t before = alike_before(d, i);
    sw_buf_puts(out, *d->pads[i].name ? d->pads[i].name : "tab");
    if (before)
        sw_buf_printf(out, "~%zu", before + 1);
}

typedef struct holes {
    double x, y; /* of a hole, mm */
    int *row, *column;
} holes;

static bool find_holes(const swi_drawn *d, const holes *h, const char *name, sw_diags *diags) {
    for (size_t i = 0; i < d->pad_count; i++) {
        const swi_pad *pad = &d->pads[i];
        h->row[i] = (int)round((pad->y - h->y) / SW_PITCH_MM);
        h->column[i] = (int)round((pad->x - h->x) / SW_PITCH_MM);
        double off = fmax(fabs(pad->x - h->x - h->column[i] * SW_PITCH_MM), fabs(pad->y - h->y - h->row[i] * SW_PITCH_MM));
        size_t other = 0;
        while (other < i && (h->row[other] != h->row[i] || h->column[other] != h->column[i]))
            other++;
        if (off <= FORMED_MM && other == i)
            continue;
        sw_diag_add(diags, SW_D_FOOTPRINT_LEADS, pad->span,
                    "lead %s of %s is %s: this part does not stand on stripboard; take one with leads 2.54 mm apart, or put "
                    "it beside the board (place=off)", shown(pad->name), name,
                    other < i ? "in one hole with another, for holes are 2.54 mm apart" : "more than 0.4 mm off the holes");
        return false;
    }
    return true;
}

static void put_points(const swi_drawn *d, const holes *h, sw_buf *out) {
    int top = h->row[0], bottom = top, left = h->column[0], right = left;
    sw_buf_puts(out, "\"points:");
    for (size_t i = 0; i < d->pad_count; i++) {
        sw_buf_puts(out, i ? " " : "");
        put_name(d, i, out);
        sw_buf_printf(out, "@%d,%d", h->row[i] - h->row[0], h->column[i] - h->column[0]);
        top = h->row[i] < top ? h->row[i] : top;
        bottom = h->row[i] > bottom ? h->row[i] : bottom;
        left = h->column[i] < left ? h->column[i] : left;
        right = h->column[i] > right ? h->column[i] : right;
    }
    sw_buf_puts(out, "\",,");
    bool is_round;
    sw_box box = outline(d, true, &is_round);
    put_body(out, box.x1 - box.x0, box.y1 - box.y0, HEIGHT_MM, is_round,
             (box.x0 + box.x1) / 2 - h->x - (left + right) * SW_PITCH_MM / 2,
             (box.y0 + box.y1) / 2 - h->y - (top + bottom) * SW_PITCH_MM / 2);
}

static bool put_many(const swi_drawn *d, const char *name, sw_diags *diags, sw_buf *out) {
    holes h = {0, 0, malloc(d->pad_count * sizeof *h.row), malloc(d->pad_count * sizeof *h.column)};
    bool ok = h.row && h.column && find_origin(d, &h.x, &h.y);
    if (!ok)
        out->failed = true;
    ok = ok && find_holes(d, &h, name, diags);
    if (ok)
        put_points(d, &h, out);
    free(h.row);
    free(h.column);
    return ok;
}

/* "1+1~2 2+2~2": each number that there is twice, at its second pad, with all its pads. */
static void put_joined(const swi_drawn *d, sw_buf *out) {
    const char *before = "";
    for (size_t i = 0; i < d->pad_count; i++) {
        if (!*d->pads[i].name || alike_before(d, i) != 1)
            continue;
        for (size_t k = 0; k < d->pad_count; k++)
            if (strcmp(d->pads[k].name, d->pads[i].name) == 0) {
                sw_buf_puts(out, before);
                put_name(d, k, out);
                before = "+";
            }
        before = " ";
    }
}

/* Names of pins are words of the row's lists: what would end one cannot be in it. */
static bool names_are_words(const swi_drawn *d, const char *name, sw_diags *diags) {
    for (size_t i = 0; i < d->pad_count; i++) {
        const char *pad = d->pads[i].name;
        bool joined = strchr(pad, '+') && alike_before(d, i);
        if (strpbrk(pad, " \t\r\n\"@,") || joined || strlen(pad) > 24) {
            sw_diag_add(diags, SW_D_FOOTPRINT_LEADS, d->pads[i].span,
                        "a lead of %s has a name with signs that names of pins cannot have: number it", name);
            return false;
        }
    }
    return true;
}

static bool has_hole(const swi_drawn *d, const char *name) {
    for (size_t i = 0; i < d->pad_count; i++)
        if (strcmp(d->pads[i].name, name) == 0)
            return true;
    return false;
}

/* A pad without a hole does no harm when another of its number has one. */
static bool has_leads(const swi_drawn *d, const char *name, sw_diags *diags) {
    size_t flat = 0;
    while (flat < d->flat_count && has_hole(d, d->flats[flat]))
        flat++;
    if (d->pad_count && flat == d->flat_count)
        return true;
    sw_diag_add(diags, SW_D_FOOTPRINT_LEADS, d->span,
                "%s %s: it has no leads to put through holes; take the part in a leaded package, or on an adapter", name,
                d->flat_count ? "is for surface mounting" : "has no pads");
    return false;
}

bool swi_drawn_as_row(const swi_drawn *d, const char *name, sw_diags *diags, sw_buf *table) {
    if (!has_leads(d, name, diags) || !names_are_words(d, name, diags))
        return false;
    sw_buf_puts(table, "name,form,turns,shape,body_along_mm,body_across_mm,height_mm,body_shift_mm,joined,source\r\n");
    swi_csv_put(table, true, name, false);
    sw_buf_putc(table, ',');
    if (!(d->pad_count == 2 && put_pair(d, table)) && !put_many(d, name, diags, table))
        return false;
    sw_buf_putc(table, ',');
    put_joined(d, table);
    sw_buf_puts(table, ",its footprint file; height not told there\r\n");
    if (d->peg.length)
        sw_diag_add(diags, SW_D_FOOTPRINT_PEG, d->peg,
                    "%s has a hole beside its leads: drill the board there for its screw or peg, or cut the peg off", name);
    return true;
}
