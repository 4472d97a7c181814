/* src/base/place.c: lines and columns, worked out only when asked for, and the
 * diagnostic as people see it. */
#include "sink.h"
#include "text.h"

#include <string.h>

enum { MARK_EVERY = 4096 };

/* Moves a mark on to an offset, one character at a time. */
static void advance(const swi_source *source, swi_mark *at, size_t offset) {
    while (at->offset < offset) {
        const char *here = source->bytes + at->offset;
        if (*here == '\n') {
            at->offset++;
            at->line++;
            at->line_start = at->offset;
            at->column = 1;
        } else {
            size_t step = swi_utf8_length(here, source->length - at->offset);
            if (at->offset + step > offset)
                return; /* inside a character: its column */
            at->offset += (uint32_t)step;
            at->column++;
        }
    }
}

/* Makes marks up to the offset; when memory is out the last one made must do. */
static void make_marks(swi_source *source, size_t offset) {
    if (source->mark_count == 0) {
        if (!SWI_GROW(source->marks, source->mark_capacity, 1))
            return;
        source->marks[source->mark_count++] = (swi_mark){0, 0, 1, 1};
    }
    for (;;) {
        swi_mark mark = source->marks[source->mark_count - 1];
        size_t next = (size_t)mark.offset + MARK_EVERY;
        if (next > offset || !SWI_GROW(source->marks, source->mark_capacity,
                                       source->mark_count + 1))
            return;
        advance(source, &mark, next);
        source->marks[source->mark_count++] = mark;
    }
}

/* The last mark not behind the offset. */
static swi_mark mark_before(const swi_source *source, size_t offset) {
    if (source->mark_count == 0)
        return (swi_mark){0, 0, 1, 1};
    size_t low = 0, high = source->mark_count;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (source->marks[middle].offset <= offset)
            low = middle;
        else
            high = middle;
    }
    return source->marks[low];
}

bool sw_diags_place(const sw_diags *diags, sw_span span, sw_place *place) {
    if (span.source == 0 || span.source > diags->source_count)
        return false;
    swi_source *source = &diags->sources[span.source - 1];
    size_t offset = span.offset < source->length ? span.offset : source->length;
    make_marks(source, offset);
    swi_mark at = mark_before(source, offset);
    advance(source, &at, offset);
    const char *line = source->bytes + at.line_start;
    const char *end = memchr(source->bytes + at.offset, '\n', source->length - at.offset);
    size_t length = (size_t)((end ? end : source->bytes + source->length) - line);
    if (length && line[length - 1] == '\r')
        length--;
    *place = (sw_place){source->name, at.line, at.column, line, length};
    return true;
}

/* ---- showing ---- */

enum { WINDOW = 100, BEFORE = 40 }; /* characters of a line; of them before the mark */

/* The part of a line that is shown: bytes, and whether the line goes on. */
typedef struct view {
    const char *from, *mark, *end;
    bool more_before, more_after;
} view;

/* Where the character before `at` begins, so that going forward from there comes back to
 * `at` or beyond: what is no UTF-8 is a character a byte, both ways. */
static const char *character_before(const char *at, const char *start) {
    for (ptrdiff_t length = 2; length <= 4 && length <= at - start; length++)
        if (swi_utf8_length(at - length, (size_t)length) == (size_t)length)
            return at - length;
    return at - 1;
}

static view view_of(const sw_place *place, const char *mark) {
    const char *start = place->line_text, *end = start + place->line_length;
    view v = {mark, mark, mark, false, false};
    for (int i = 0; i < BEFORE && v.from > start; i++)
        v.from = character_before(v.from, start);
    /* A line that fits is shown from its beginning. */
    const char *whole = start;
    int count = 0;
    for (; whole < end && count < WINDOW; count++)
        whole += swi_utf8_length(whole, (size_t)(end - whole));
    if (mark <= whole && (whole == end || mark - start < BEFORE))
        v.from = start;
    v.end = v.from;
    for (int i = 0; i < WINDOW && v.end < end; i++)
        v.end += swi_utf8_length(v.end, (size_t)(end - v.end));
    v.more_before = v.from > start;
    v.more_after = v.end < end;
    return v;
}

static void show_line(sw_buf *out, const view *v) {
    sw_buf_puts(out, v->more_before ? "  …" : "   ");
    swi_put_visible(out, v->from, (size_t)(v->end - v->from), true);
    sw_buf_puts(out, v->more_after ? "…\n" : "\n");
}

/* Blanks as wide as the text before the mark (tabs stay tabs), then the mark. */
static void show_mark(sw_buf *out, const view *v, size_t length) {
    sw_buf_puts(out, "   ");
    const char *at = v->from;
    while (at < v->mark) {
        sw_buf_putc(out, *at == '\t' ? '\t' : ' ');
        at += swi_utf8_length(at, (size_t)(v->end - at));
    }
    sw_buf_putc(out, '^');
    const char *stop = length < (size_t)(v->end - v->mark) ? v->mark + length : v->end;
    if (at < stop)
        at += swi_utf8_length(at, (size_t)(v->end - at));
    while (at < stop) {
        sw_buf_putc(out, '~');
        at += swi_utf8_length(at, (size_t)(v->end - at));
    }
    sw_buf_putc(out, '\n');
}

void sw_diag_show(const sw_diags *diags, const sw_diag *diag, sw_buf *out) {
    sw_place place;
    bool placed = sw_diags_place(diags, diag->span, &place);
    if (placed) {
        swi_put_visible(out, place.name, strlen(place.name), false);
        sw_buf_printf(out, ":%lu:%lu: ", (unsigned long)place.line, (unsigned long)place.column);
    }
    sw_buf_puts(out, sw_severity_name(diag->severity));
    sw_buf_puts(out, ": ");
    sw_buf_puts(out, diag->message);
    sw_buf_printf(out, "  [%s]\n", sw_diag_name(diag->id));
    if (!placed || place.line_length == 0)
        return;
    const swi_source *source = &diags->sources[diag->span.source - 1];
    size_t line_start = (size_t)(place.line_text - source->bytes);
    size_t offset = diag->span.offset < source->length ? diag->span.offset : source->length;
    size_t within = offset - line_start;
    view v = view_of(&place, place.line_text + (within < place.line_length ? within
                                                                            : place.line_length));
    show_line(out, &v);
    show_mark(out, &v, diag->span.length);
}

void sw_diags_show_hidden(const sw_diags *diags, sw_buf *out) {
    for (int i = 0; i < SW_DIAG_COUNT; i++) {
        size_t hidden = sw_diags_hidden(diags, (sw_diag_id)i);
        if (hidden)
            sw_buf_printf(out, "… and %zu more  [%s]\n", hidden, sw_diag_name((sw_diag_id)i));
    }
}

void sw_diags_show(const sw_diags *diags, sw_buf *out) {
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        sw_diag_show(diags, sw_diags_get(diags, i), out);
    sw_diags_show_hidden(diags, out);
}
