/* src/papers/svg.c: a scene as SVG through libxml2's writer. */
#include "svg.h"

#include <libxml/xmlwriter.h>
#include <string.h>

typedef struct svg_writer {
    xmlTextWriterPtr xml;
    bool failed;
} svg_writer;

#define TEXT(s) ((const xmlChar *)(s))

static void start(svg_writer *w, const char *name) {
    w->failed |= xmlTextWriterStartElement(w->xml, TEXT(name)) < 0;
}

static void raw(svg_writer *w, const char *text) {
    w->failed |= xmlTextWriterWriteRaw(w->xml, TEXT(text)) < 0;
}

static void end(svg_writer *w) {
    w->failed |= xmlTextWriterEndElement(w->xml) < 0;
    raw(w, "\n");
}

static void attribute(svg_writer *w, const char *name, const char *value) {
    w->failed |= xmlTextWriterWriteAttribute(w->xml, TEXT(name), TEXT(value)) < 0;
}

/* An attribute that is left out when it says nothing. */
static void wanted(svg_writer *w, const char *name, const char *value) {
    if (*value)
        attribute(w, name, value);
}

static void number(svg_writer *w, const char *name, double value, const char *unit) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_real(&text, value, 3);
    sw_buf_puts(&text, unit);
    if (text.failed)
        w->failed = true;
    else
        attribute(w, name, text.bytes);
    sw_buf_free(&text);
}

static void count(svg_writer *w, const char *name, uint32_t value) {
    if (value)
        number(w, name, value, "");
}

static void words(svg_writer *w, const char *text) {
    w->failed |= xmlTextWriterWriteString(w->xml, TEXT(text)) < 0;
}

static void element(svg_writer *w, const char *name, const char *text) {
    start(w, name);
    words(w, text);
    end(w);
}

static void view_box(svg_writer *w, sw_box box) {
    sw_buf view = SW_BUF_INIT;
    const double numbers[] = {box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0};
    for (int i = 0; i < 4; i++) {
        if (i)
            sw_buf_putc(&view, ' ');
        sw_buf_real(&view, numbers[i], 3);
    }
    w->failed |= view.failed;
    if (!view.failed)
        attribute(w, "viewBox", view.bytes);
    sw_buf_free(&view);
}

/* An inner drawing of which only a window is seen. */
static void open_window(svg_writer *w, const swi_tags *tags) {
    number(w, "x", tags->x, "");
    number(w, "y", tags->y, "");
    number(w, "width", (tags->window->x1 - tags->window->x0) * tags->scale, "");
    number(w, "height", (tags->window->y1 - tags->window->y0) * tags->scale, "");
    view_box(w, *tags->window);
}

static void write_open(svg_writer *w, const swi_tags *tags) {
    start(w, tags->window ? "svg" : "g");
    wanted(w, "id", tags->id);
    wanted(w, "class", tags->style);
    wanted(w, "data-ref", tags->ref);
    count(w, "data-node", tags->node);
    wanted(w, "data-hole", tags->hole);
    wanted(w, "data-step", tags->step);
    if (tags->window) {
        open_window(w, tags);
    } else if (tags->scale > 0) {
        sw_buf text = SW_BUF_INIT;
        sw_buf_puts(&text, "translate(");
        sw_buf_real(&text, tags->x, 3);
        sw_buf_putc(&text, ' ');
        sw_buf_real(&text, tags->y, 3);
        sw_buf_puts(&text, ") scale(");
        sw_buf_real(&text, tags->scale, 4);
        sw_buf_puts(&text, ")");
        w->failed |= text.failed;
        if (!text.failed)
            attribute(w, "transform", text.bytes);
        sw_buf_free(&text);
    }
    if (*tags->title)
        element(w, "title", tags->title);
    else
        raw(w, "\n");
}

static void write_text(svg_writer *w, const swi_mark *mark) {
    static const char *const faces[SWI_FACES] = {"", "b ", "serif ", "n "};
    static const char *const aligns[] = {"", "m ", "e "};
    char style[64];
    size_t length = 0;
    for (const char *part[] = {faces[mark->face], aligns[mark->align], mark->style, NULL}, **p = part;
         *p && length + strlen(*p) < sizeof style; p++) {
        memcpy(style + length, *p, strlen(*p));
        length += strlen(*p);
    }
    while (length && style[length - 1] == ' ')
        length--;
    style[length] = '\0';
    start(w, "text");
    number(w, "x", mark->x, "");
    number(w, "y", mark->y, "");
    number(w, "font-size", mark->h, "");
    wanted(w, "class", style);
    count(w, "data-node", mark->node);
    if (mark->upright) {
        sw_buf turn = SW_BUF_INIT;
        sw_buf_puts(&turn, "rotate(-90 ");
        sw_buf_real(&turn, mark->x, 3);
        sw_buf_putc(&turn, ' ');
        sw_buf_real(&turn, mark->y, 3);
        sw_buf_putc(&turn, ')');
        w->failed |= turn.failed;
        if (!turn.failed)
            attribute(w, "transform", turn.bytes);
        sw_buf_free(&turn);
    }
    words(w, mark->text);
    if (*mark->rest) {
        words(w, " ");
        start(w, "tspan");
        attribute(w, "class", "r");
        words(w, mark->rest);
        w->failed |= xmlTextWriterEndElement(w->xml) < 0;
    }
    end(w);
}

static void write_shape(svg_writer *w, const swi_mark *mark) {
    switch (mark->kind) {
    case SWI_RECT:
        start(w, "rect");
        number(w, "x", mark->x, "");
        number(w, "y", mark->y, "");
        number(w, "width", mark->w, "");
        number(w, "height", mark->h, "");
        if (mark->r > 0)
            number(w, "rx", mark->r, "");
        break;
    case SWI_CIRCLE:
        start(w, "circle");
        number(w, "cx", mark->x, "");
        number(w, "cy", mark->y, "");
        number(w, "r", mark->r, "");
        break;
    case SWI_USE:
        start(w, "use");
        attribute(w, "href", mark->text);
        number(w, "x", mark->x, "");
        number(w, "y", mark->y, "");
        break;
    default:
        start(w, "path");
        attribute(w, "d", mark->text);
        break;
    }
    wanted(w, "class", mark->style);
    end(w);
}

static void write_mark(svg_writer *w, const swi_mark *mark) {
    if (mark->kind == SWI_OPEN)
        write_open(w, mark->tags);
    else if (mark->kind == SWI_CLOSE)
        end(w);
    else if (mark->kind == SWI_TEXT)
        write_text(w, mark);
    else
        write_shape(w, mark);
}

static void write_styles(svg_writer *w, const swi_scene *scene, const char *extra) {
    sw_buf css = SW_BUF_INIT;
    sw_buf_putc(&css, '\n');
    swi_svg_style(&css);
    if (extra)
        sw_buf_puts(&css, extra);
    w->failed |= css.failed;
    if (!css.failed)
        element(w, "style", css.bytes);
    css.length = 0;
    swi_svg_hover_style(&css, scene->node_most);
    w->failed |= css.failed;
    if (!css.failed && css.length) {
        start(w, "style");
        attribute(w, "media", "screen");
        words(w, css.bytes);
        end(w);
    }
    sw_buf_free(&css);
}

static void write_root(svg_writer *w, const swi_scene *scene, double scale) {
    start(w, "svg");
    attribute(w, "xmlns", "http://www.w3.org/2000/svg");
    number(w, "width", scene->width * scale, "mm");
    number(w, "height", scene->height * scale, "mm");
    view_box(w, (sw_box){0, 0, scene->width, scene->height});
    attribute(w, "role", "img");
    sw_buf names = SW_BUF_INIT;
    sw_buf_printf(&names, "%stitle %sdesc", scene->prefix, scene->prefix);
    w->failed |= names.failed;
    if (!names.failed)
        attribute(w, "aria-labelledby", names.bytes);
    sw_buf_free(&names);
    attribute(w, "lang", "en");
    raw(w, "\n");
}

/* title and desc, which the root names. */
static void write_named(svg_writer *w, const char *prefix, const char *name, const char *text) {
    char id[64] = "";
    strncat(id, prefix, 48);
    strcat(id, name);
    start(w, name);
    attribute(w, "id", id);
    words(w, text);
    end(w);
}

static void write_all(svg_writer *w, const swi_scene *scene, const swi_svg_options *options) {
    if (!options->part_of_page)
        w->failed |= xmlTextWriterStartDocument(w->xml, NULL, "UTF-8", NULL) < 0;
    write_root(w, scene, options->scale > 0 ? options->scale : 1);
    write_named(w, scene->prefix, "title", scene->title);
    write_named(w, scene->prefix, "desc", scene->description);
    if (!options->part_of_page) {
        write_styles(w, scene, options->extra);
        start(w, "defs");
        raw(w, "\n");
        raw(w, swi_svg_symbols);
        end(w);
    }
    for (size_t i = 0; i < scene->mark_count && !w->failed; i++)
        write_mark(w, &scene->marks[i]);
    w->failed |= xmlTextWriterEndElement(w->xml) < 0;
    raw(w, "\n");
    w->failed |= xmlTextWriterFlush(w->xml) < 0;
}

sw_status swi_svg_write(const swi_scene *scene, const swi_svg_options *options, sw_buf *out) {
    static const swi_svg_options usual = {0};
    xmlBufferPtr buffer = scene->failed ? NULL : xmlBufferCreate();
    if (!buffer)
        return SW_SYSTEM;
    svg_writer w = {xmlNewTextWriterMemory(buffer, 0), false};
    if (w.xml) {
        write_all(&w, scene, options ? options : &usual);
        xmlFreeTextWriter(w.xml);
    }
    bool good = w.xml && !w.failed;
    if (good)
        sw_buf_put(out, (const char *)xmlBufferContent(buffer), (size_t)xmlBufferLength(buffer));
    xmlBufferFree(buffer);
    return good && !out->failed ? SW_OK : SW_SYSTEM;
}
