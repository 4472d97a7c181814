/* formats/text: the plan drawn with characters, for a terminal.
 *
 * A hole is four characters wide and two rows high, so that the drawing is nearly true
 * to shape.  Strips are rows; links and parts run down between them.
 */
#include "formats/text/canvas.h"

#include "base/fault.h"
#include "base/text.h"
#include "formats/formats.h"
#include "formats/text/lists.h"
#include "papers/change.h"
#include "papers/subject.h"

#include <stdlib.h>
#include <string.h>

static const int wide = 4, high = 2, pad = 4; /* of a hole; beside the outermost */
static const int most_width = 100;            /* of a line: wider boards are split */

typedef struct picture {
    const swi_subject *subject;
    const sw_plan *plan;
    swi_canvas canvas;
    bool copper, failed;
} picture;

static int x_of(const picture *p, int column) {
    return pad + wide * (p->copper ? p->plan->columns - 1 - column : column);
}

static int y_of(int strip) {
    return 1 + high * strip;
}

static void put(picture *p, sw_hole hole, const char *mark) {
    swi_canvas_put(&p->canvas, x_of(p, hole.column), y_of(hole.strip), mark);
}

/* ---- strips ---- */

static void draw_segment(picture *p, const sw_segment *segment) {
    int from = x_of(p, p->copper ? segment->last : segment->first),
        to = x_of(p, p->copper ? segment->first : segment->last), y = y_of(segment->strip);
    for (int x = from; x <= to; x++)
        if ((x - pad) % wide == 0)
            swi_canvas_put(&p->canvas, x, y, segment->used ? "○" : "·");
        else if (segment->used)
            swi_canvas_put(&p->canvas, x, y, "─");
}

/* Numbers at both ends, in the space before the cut or outside the board. */
static void number_segment(picture *p, const sw_segment *segment) {
    if (!segment->node)
        return;
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "%u", (unsigned)segment->node);
    if (!text.failed) {
        int y = y_of(segment->strip), length = swi_canvas_length(text.bytes);
        bool left_edge = segment->first == 0, right_edge = segment->last == p->plan->columns - 1;
        int left = x_of(p, segment->first) - length - (left_edge ? 1 : 0),
            right = x_of(p, segment->last) + (right_edge ? 2 : 1);
        if (left_edge || segment->first != segment->last || right_edge)
            swi_canvas_put(&p->canvas, left, y, text.bytes);
        if (right_edge || segment->first != segment->last || !left_edge)
            swi_canvas_put(&p->canvas, right, y, text.bytes);
    }
    p->failed |= text.failed;
    sw_buf_free(&text);
}

static void draw_strips(picture *p) {
    const sw_copper *copper = p->subject->copper;
    for (uint32_t i = 0; i < copper->segment_count; i++)
        draw_segment(p, &copper->segments[i]);
    for (uint32_t i = 0; i < copper->segment_count && !p->copper; i++)
        number_segment(p, &copper->segments[i]);
}

static void draw_cuts(picture *p) {
    for (uint32_t i = 0; i < p->plan->cut_count; i++) {
        const sw_cut *cut = &p->plan->cuts[i];
        int x = x_of(p, cut->hole.column), side = p->copper ? -1 : 1;
        if (cut->knife)
            swi_canvas_put(&p->canvas, x + side * wide / 2, y_of(cut->hole.strip), "¦");
        else
            swi_canvas_put(&p->canvas, x, y_of(cut->hole.strip), "×");
    }
}

/* ---- links ---- */

static void draw_links(picture *p) {
    for (uint32_t i = 0; i < p->plan->link_count; i++) {
        const sw_link *link = &p->plan->links[i];
        if (p->copper) {
            put(p, link->from, "◇");
            put(p, link->to, "◇");
            continue;
        }
        sw_hole top = link->from.strip < link->to.strip ? link->from : link->to,
                bottom = link->from.strip < link->to.strip ? link->to : link->from;
        for (int y = y_of(top.strip); y < y_of(bottom.strip); y++)
            swi_canvas_put(&p->canvas, x_of(p, top.column), y, "┃");
        put(p, top, "┳");
        put(p, bottom, "┻");
    }
}

/* ---- parts ---- */

/* Digits raised: pins are told from nodes by it. */
static void raise(const char *pin, char out[32]) {
    static const char *const digits[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
    out[0] = '\0';
    for (int i = 0; pin[i] && i < 4; i++) {
        char plain[2] = {pin[i], '\0'};
        strcat(out, swi_is_digit(pin[i]) ? digits[pin[i] - '0'] : plain);
    }
}

static const char *lead_mark(const picture *p, const swi_item *item, uint32_t lead) {
    size_t index = (size_t)(item->leads - p->plan->leads) + lead;
    if (p->copper)
        return "●";
    if (item->terminal)
        return "◉";
    return p->subject->lead_unused[index] ? "ø" : "●";
}

static void draw_leads(picture *p, const swi_item *item) {
    for (uint32_t i = 0; i < item->part->lead_count; i++)
        put(p, item->leads[i].hole, lead_mark(p, item, i));
}

/* A line between the leads of a two-lead part, with its name in the middle. */
static void draw_pair(picture *p, const swi_item *item) {
    sw_hole a = item->leads[0].hole, b = item->leads[1].hole;
    const char *ref = item->part->ref;
    int length = swi_canvas_length(ref);
    if (a.column == b.column) {
        int x = x_of(p, a.column), y0 = y_of(a.strip), y1 = y_of(b.strip);
        for (int y = (y0 < y1 ? y0 : y1) + 1; y < (y0 < y1 ? y1 : y0); y++)
            swi_canvas_put(&p->canvas, x, y, "│");
        swi_canvas_put(&p->canvas, x - (length - 1) / 2, (y0 + y1) / 2, ref);
    } else if (a.strip == b.strip) {
        int y = y_of(a.strip), x0 = x_of(p, a.column), x1 = x_of(p, b.column);
        for (int x = (x0 < x1 ? x0 : x1) + 1; x < (x0 < x1 ? x1 : x0); x++)
            swi_canvas_put(&p->canvas, x, y, "═");
        swi_canvas_put(&p->canvas, (x0 + x1) / 2 - (length - 1) / 2, y, ref);
    }
    int marked = item->cathode >= 0 ? item->cathode : item->plus;
    if (marked >= 0)
        swi_canvas_put(&p->canvas, x_of(p, item->leads[marked].hole.column) + 1,
                       y_of(item->leads[marked].hole.strip), item->cathode >= 0 ? "k" : "+");
}

/* The holes that a part's leads span. */
static void span_of(const swi_item *item, sw_hole *low, sw_hole *most) {
    *low = *most = item->leads[0].hole;
    for (uint32_t i = 1; i < item->part->lead_count; i++) {
        sw_hole hole = item->leads[i].hole;
        if (hole.strip < low->strip) low->strip = hole.strip;
        if (hole.column < low->column) low->column = hole.column;
        if (hole.strip > most->strip) most->strip = hole.strip;
        if (hole.column > most->column) most->column = hole.column;
    }
}

/* Pin numbers outside the rows, a lid and a floor, the name in the lid. */
static void draw_ic(picture *p, const swi_item *item) {
    sw_hole low, most;
    span_of(item, &low, &most);
    int x0 = x_of(p, low.column), x1 = x_of(p, most.column), top = y_of(low.strip) - 1,
        bottom = y_of(most.strip) + 1;
    for (int x = x0; x <= x1; x++) {
        swi_canvas_put(&p->canvas, x, top, x == x0 ? "┌" : x == x1 ? "┐" : "─");
        swi_canvas_put(&p->canvas, x, bottom, x == x0 ? "└" : x == x1 ? "┘" : "─");
    }
    if (item->turn == 0 || item->turn == 180)
        swi_canvas_put(&p->canvas, (x0 + x1) / 2, item->turn ? bottom : top, "∪");
    swi_canvas_put(&p->canvas, (x0 + x1) / 2 - (swi_canvas_length(item->part->ref) - 1) / 2,
                   (top + bottom) / 2 + ((top + bottom) / 2 % 2 ? 1 : 0), item->part->ref);
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        char pin[32];
        raise(item->leads[i].pin, pin);
        sw_hole hole = item->leads[i].hole;
        bool left = hole.column == low.column && low.column != most.column;
        int x = x_of(p, hole.column);
        swi_canvas_put(&p->canvas, left ? x - swi_canvas_length(pin) : x + 1, y_of(hole.strip), pin);
    }
}

/* Other parts: raised pin numbers, the name above or below the first lead. */
static void draw_other(picture *p, const swi_item *item) {
    for (uint32_t i = 0; i < item->part->lead_count && !item->terminal; i++) {
        char pin[32];
        raise(item->leads[i].pin, pin);
        swi_canvas_put(&p->canvas, x_of(p, item->leads[i].hole.column) + 1,
                       y_of(item->leads[i].hole.strip), pin);
    }
    const char *name = item->terminal ? item->name : item->part->ref;
    int x = x_of(p, item->leads[0].hole.column), y = y_of(item->leads[0].hole.strip);
    int length = swi_canvas_length(name), left = x - (length - 1) / 2;
    if (left < pad - 1)
        left = pad - 1;
    if (left + length > p->canvas.width)
        left = p->canvas.width - length;
    bool put_down = item->terminal && swi_canvas_try(&p->canvas, left, y - 1, name);
    if (!put_down && !swi_canvas_try(&p->canvas, left, y + 1, name))
        swi_canvas_try(&p->canvas, left, y - 1, name);
}

static bool is_ic(const swi_item *item) {
    return item->stands && item->package->form == SW_FORM_DIP;
}

static void draw_parts(picture *p) {
    for (int pass = 0; pass < 2; pass++) /* names of small parts go where bodies leave room */
        for (uint32_t i = 0; i < p->subject->item_count; i++) {
            const swi_item *item = &p->subject->items[i];
            if (!item->part->lead_count)
                continue;
            bool pair = item->part->lead_count == 2, ic = is_ic(item);
            if (pass == 0 && !p->copper && pair)
                draw_pair(p, item);
            if (pass == 0 && !p->copper && ic)
                draw_ic(p, item);
            if (pass == 1 && !p->copper && !pair && !ic)
                draw_other(p, item);
            if (pass == 0)
                draw_leads(p, item);
        }
}

/* ---- putting it on paper ---- */

static void put_numbers(const picture *p, int from, int to, sw_buf *out) {
    sw_buf_printf(out, "%*s", 4, "");
    int x = from;
    for (int c = 0; c < p->plan->columns; c++) {
        int column = p->copper ? p->plan->columns - 1 - c : c, at = pad + wide * c;
        if (at < from || at >= to)
            continue;
        int before = at - x;
        sw_buf_printf(out, "%*s%d", before, "", column + 1);
        x = at + (column + 1 < 10 ? 1 : column + 1 < 100 ? 2 : 3);
    }
    sw_buf_putc(out, '\n');
}

static void put_rows(const picture *p, int from, int to, sw_buf *out) {
    put_numbers(p, from, to, out);
    for (int y = 0; y < p->canvas.height; y++) {
        bool strip = y % high == 1;
        char name[8] = "";
        if (strip)
            sw_strip_write((y - 1) / high, name);
        size_t line = out->length;
        sw_buf_printf(out, "%3s ", name);
        swi_canvas_row(&p->canvas, y, from, to, !strip, out);
        if (strip)
            sw_buf_printf(out, " %s", name);
        while (out->bytes && out->length > line && out->bytes[out->length - 1] == ' ')
            out->bytes[--out->length] = '\0';
        sw_buf_putc(out, '\n');
    }
    put_numbers(p, from, to, out);
}

/* The whole board, or piece by piece when lines would be too long. */
static void put_picture(const picture *p, sw_buf *out) {
    int room = (most_width - 8 - 2 * pad) / wide, columns = p->plan->columns;
    int pieces = columns <= room ? 1 : (columns + room - 1) / room, each = (columns + pieces - 1) / pieces;
    for (int i = 0; i < pieces; i++) {
        int first = i * each, last = first + each < columns ? first + each : columns;
        int from = i == 0 ? 0 : pad + wide * first - 1,
            to = last == columns ? p->canvas.width : pad + wide * last;
        if (pieces > 1) {
            int a = p->copper ? columns - first : first + 1, b = p->copper ? columns - last + 1 : last;
            sw_buf_printf(out, "%sColumns %d to %d\n\n", i ? "\n" : "", a, b);
        }
        put_rows(p, from, to, out);
    }
}

/* What the check found is marked left of its holes; the list below says what it is. */
static void mark_faults(picture *p) {
    const sw_check_report *check = p->subject->document->check;
    for (uint32_t i = 0; check && i < check->fault_count; i++) {
        const sw_hole holes[] = {check->faults[i].at, check->faults[i].to};
        for (int k = 0; k < 2; k++)
            if (holes[k].strip >= 0 && holes[k].strip < p->plan->strips && holes[k].column >= 0 &&
                holes[k].column < p->plan->columns)
                swi_canvas_put(&p->canvas, x_of(p, holes[k].column) - 1, y_of(holes[k].strip), "!");
    }
}

/* Left of what is new on a board that is built; of a node's number there, where there is room. */
static void mark_new_hole(picture *p, sw_hole hole) {
    int x = x_of(p, hole.column), y = y_of(hole.strip);
    if (!swi_canvas_try(&p->canvas, x - 1, y, "»") && !swi_canvas_try(&p->canvas, x - 2, y, "»"))
        swi_canvas_put(&p->canvas, x - 1, y, "»");
}

static void mark_new(picture *p) {
    const swi_subject *subject = p->subject;
    if (!subject->change)
        return;
    for (uint32_t i = 0; i < p->plan->cut_count; i++)
        if (swi_cut_is_work(subject, i))
            mark_new_hole(p, p->plan->cuts[i].hole);
    for (uint32_t i = 0; i < p->plan->link_count; i++)
        if (swi_link_is_work(subject, i)) {
            mark_new_hole(p, p->plan->links[i].from);
            mark_new_hole(p, p->plan->links[i].to);
        }
    for (uint32_t i = 0; i < subject->item_count; i++)
        for (uint32_t k = 0; swi_part_is_work(subject, i) && k < subject->items[i].part->lead_count; k++)
            mark_new_hole(p, subject->items[i].leads[k].hole);
}

static bool draw(const swi_subject *subject, bool copper, sw_buf *out) {
    picture p = {.subject = subject, .plan = subject->plan, .copper = copper};
    if (!swi_canvas_start(&p.canvas, 2 * pad + wide * (p.plan->columns - 1) + 1,
                          high * p.plan->strips + 1))
        return false;
    draw_strips(&p);
    draw_cuts(&p);
    draw_links(&p);
    draw_parts(&p);
    if (!copper)
        draw_cuts(&p); /* bodies do not hide them */
    mark_new(&p);
    mark_faults(&p);
    sw_buf_puts(out, copper ? "COPPER SIDE, turned over like a page: column 1 is at the right\n\n"
                            : "COMPONENT SIDE\n\n");
    put_picture(&p, out);
    sw_buf_puts(out, copper ? "\n● lead   ◇ link end   × cut at the hole   ¦ knife cut\n"
                            : "\n● lead   ○ hole   × cut at the hole   ¦ knife cut   ┳┃┻ link   "
                              "◉ terminal pin\nø pin that stays unconnected   ⁸ pin   8 node   "
                              "+ positive lead   k cathode\n");
    if (subject->change)
        sw_buf_puts(out, "» left of a hole: new on the board that is built\n");
    if (subject->document->check && subject->document->check->fault_count)
        sw_buf_puts(out, "! left of a hole: a finding of the check, listed below\n");
    swi_canvas_end(&p.canvas);
    return !p.failed;
}

static sw_status write_text(const sw_document *document, const sw_write_options *options,
                            sw_diags *diags, sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    swi_text_heading(subject, out);
    bool good = options->side == SW_SIDE_COPPER || draw(subject, false, out);
    if (good && options->side != SW_SIDE_COMPONENT) {
        sw_buf_puts(out, options->side == SW_SIDE_BOTH ? "\n\n" : "");
        good = draw(subject, true, out);
    }
    swi_text_lists(subject, out);
    swi_subject_free(subject);
    return good && !out->failed ? SW_OK : swi_out_of_memory(diags);
}

static const char *const extensions[] = {".txt", NULL};

const sw_format swi_format_text = {
    .name = "text",
    .extensions = extensions,
    .summary = "the plan drawn with characters, for a terminal",
    .standard = "",
    .keeps = "all of a plan, to be looked at; cannot be read back",
    .group = SW_GROUP_PAPER,
    .write = write_text,
};
