/* src/papers/scene.c: collecting the marks of a drawing. */
#include "scene.h"

#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

swi_scene *swi_scene_new(double width, double height) {
    swi_scene *scene = calloc(1, sizeof *scene);
    if (!scene)
        return NULL;
    *scene = (swi_scene){.width = width, .height = height, .title = "", .description = "",
                         .scale = 1, .prefix = "", .memory = swi_arena_new()};
    if (!scene->memory) {
        free(scene);
        return NULL;
    }
    return scene;
}

void swi_scene_free(swi_scene *scene) {
    if (!scene)
        return;
    swi_arena_free(scene->memory);
    free(scene->marks);
    free(scene->boxes);
    free(scene);
}

const char *swi_scene_text(swi_scene *scene, const char *text) {
    if (!text || !*text)
        return "";
    sw_buf seen = SW_BUF_INIT; /* XML takes no control characters */
    swi_put_visible(&seen, text, strlen(text), false);
    const char *copy = seen.failed ? NULL : swi_arena_text(scene->memory, seen.bytes, seen.length);
    sw_buf_free(&seen);
    scene->failed |= !copy;
    return copy ? copy : "";
}

const char *swi_scene_format(swi_scene *scene, const char *format, ...) {
    char few[256];
    va_list arguments, again;
    va_start(arguments, format);
    va_copy(again, arguments);
    int length = vsnprintf(few, sizeof few, format, arguments);
    va_end(arguments);
    char *text = length < 0 ? NULL : swi_arena_alloc(scene->memory, (size_t)length + 1);
    if (text)
        vsnprintf(text, (size_t)length + 1, format, again);
    va_end(again);
    scene->failed |= !text;
    return text ? text : "";
}

static swi_mark *add(swi_scene *scene, swi_mark_kind kind, const char *style) {
    static const swi_mark none = {.style = "", .text = "", .rest = ""};
    if (scene->failed || !SWI_GROW(scene->marks, scene->mark_room, scene->mark_count + 1)) {
        scene->failed = true;
        return NULL;
    }
    swi_mark *mark = &scene->marks[scene->mark_count++];
    *mark = none;
    mark->kind = kind;
    mark->style = style;
    return mark;
}

static const char *or_empty(const char *text) {
    return text ? text : "";
}

void swi_open(swi_scene *scene, const swi_tags *tags) {
    swi_tags *own = swi_arena_alloc(scene->memory, sizeof *own);
    swi_mark *mark = own ? add(scene, SWI_OPEN, "") : NULL;
    if (!mark) {
        scene->failed = true;
        return;
    }
    *own = *tags;
    own->id = or_empty(tags->id);
    own->style = or_empty(tags->style);
    own->title = swi_scene_text(scene, tags->title);
    own->ref = or_empty(tags->ref);
    own->hole = swi_scene_text(scene, tags->hole);
    own->step = swi_scene_text(scene, tags->step);
    mark->tags = own;
    if (tags->node > scene->node_most)
        scene->node_most = tags->node;
    if (tags->scale > 0) { /* only one such group is open at a time */
        scene->scale = tags->scale;
        scene->move_x = tags->x - (tags->window ? tags->scale * tags->window->x0 : 0);
        scene->move_y = tags->y - (tags->window ? tags->scale * tags->window->y0 : 0);
        mark->r = 1;
        if (tags->window) {
            sw_box *window = swi_arena_alloc(scene->memory, sizeof *window);
            scene->failed |= !window;
            if (window)
                *window = *tags->window;
            own->window = window;
        }
    }
}

void swi_open_layer(swi_scene *scene, const char *id, const char *title) {
    swi_open(scene, &(swi_tags){.id = swi_scene_format(scene, "%s%s", scene->prefix, id),
                                .title = title});
}

/* Whether the group now closing moved its contents: its own mark says so. */
static bool closes_move(const swi_scene *scene) {
    size_t depth = 1;
    for (size_t i = scene->mark_count; i-- > 0;) {
        if (scene->marks[i].kind == SWI_CLOSE)
            depth++;
        else if (scene->marks[i].kind == SWI_OPEN && --depth == 0)
            return scene->marks[i].r > 0;
    }
    return false;
}

void swi_close(swi_scene *scene) {
    if (scene->scale != 1 || scene->move_x != 0 || scene->move_y != 0)
        if (closes_move(scene)) {
            scene->move_x = scene->move_y = 0;
            scene->scale = 1;
        }
    add(scene, SWI_CLOSE, "");
}

void swi_rect(swi_scene *scene, const char *style, sw_box box, double corner) {
    swi_mark *mark = add(scene, SWI_RECT, style);
    if (!mark)
        return;
    mark->x = box.x0;
    mark->y = box.y0;
    mark->w = box.x1 - box.x0;
    mark->h = box.y1 - box.y0;
    mark->r = corner;
}

void swi_circle(swi_scene *scene, const char *style, double x, double y, double radius) {
    swi_mark *mark = add(scene, SWI_CIRCLE, style);
    if (!mark)
        return;
    mark->x = x;
    mark->y = y;
    mark->r = radius;
}

void swi_path_number(sw_buf *data, double value) {
    sw_buf_real(data, value, 3);
}

void swi_path_to(sw_buf *data, char command, double x, double y) {
    sw_buf_putc(data, command);
    swi_path_number(data, x);
    sw_buf_putc(data, ' ');
    swi_path_number(data, y);
}

void swi_path(swi_scene *scene, const char *style, sw_buf *data) {
    swi_mark *mark = add(scene, SWI_PATH, style);
    if (mark)
        mark->text = data->failed ? NULL : swi_arena_text(scene->memory, data->bytes, data->length);
    if (mark && !mark->text) {
        mark->text = "";
        scene->failed = true;
    }
    sw_buf_free(data);
}

void swi_line(swi_scene *scene, const char *style, double x0, double y0, double x1, double y1) {
    sw_buf data = SW_BUF_INIT;
    swi_path_to(&data, 'M', x0, y0);
    swi_path_to(&data, 'L', x1, y1);
    swi_path(scene, style, &data);
}

void swi_use(swi_scene *scene, const char *symbol, double x, double y) {
    swi_mark *mark = add(scene, SWI_USE, "");
    if (!mark)
        return;
    mark->text = symbol;
    mark->x = x;
    mark->y = y;
}

static void add_box(swi_scene *scene, sw_box box, const char *text) {
    if (!SWI_GROW(scene->boxes, scene->box_room, scene->box_count + 1)) {
        scene->failed = true;
        return;
    }
    double k = scene->scale, x = scene->move_x, y = scene->move_y;
    scene->boxes[scene->box_count++] = (swi_text_box){
        {x + k * box.x0, y + k * box.y0, x + k * box.x1, y + k * box.y1}, text};
}

double swi_words_width(const swi_words *words) {
    double width = swi_text_width(words->face, words->text);
    if (*words->rest)
        width += swi_text_width(SWI_SANS, " ") + swi_text_width(SWI_SANS, words->rest);
    return width * words->size;
}

sw_box swi_words_box(const swi_words *words, double x, double y) {
    double half = swi_words_width(words) / 2, up = SWI_CAP_HEIGHT * words->size / 2;
    bool hangs = swi_text_hangs(words->text) || swi_text_hangs(words->rest);
    double down = up + (hangs ? SWI_DESCENT * words->size : 0);
    if (words->upright) /* the top of the letters is to the left */
        return (sw_box){x - up, y - half, x + down, y + half};
    return (sw_box){x - half, y - up, x + half, y + down};
}

void swi_put_words(swi_scene *scene, const char *style, const swi_words *words, double x, double y,
                   uint32_t node) {
    swi_mark *mark = add(scene, SWI_TEXT, style);
    if (!mark)
        return;
    double drop = SWI_CAP_HEIGHT * words->size / 2;
    mark->x = words->upright ? x + drop : x;
    mark->y = words->upright ? y : y + drop;
    mark->h = words->size;
    mark->text = swi_scene_text(scene, words->text);
    mark->rest = swi_scene_text(scene, words->rest);
    mark->face = words->face;
    mark->align = SWI_MIDDLE;
    mark->upright = words->upright;
    mark->node = node;
    add_box(scene, swi_words_box(words, x, y), mark->text);
}

void swi_text_at(swi_scene *scene, const char *style, swi_face face, double size, swi_align align,
                  double x, double y, const char *text) {
    swi_mark *mark = *text ? add(scene, SWI_TEXT, style) : NULL;
    if (!mark)
        return;
    mark->x = x;
    mark->y = y;
    mark->h = size;
    mark->text = swi_scene_text(scene, text);
    mark->face = face;
    mark->align = align;
    double width = swi_text_width(face, text) * size;
    double start = align == SWI_START ? x : align == SWI_END ? x - width : x - width / 2;
    double hang = swi_text_hangs(text) ? SWI_DESCENT * size : 0;
    add_box(scene, (sw_box){start, y - SWI_CAP_HEIGHT * size, start + width, y + hang}, mark->text);
}

bool swi_boxes_meet(sw_box a, sw_box b) {
    const double slack = 0.01;
    return a.x0 + slack < b.x1 && b.x0 + slack < a.x1 && a.y0 + slack < b.y1 && b.y0 + slack < a.y1;
}
