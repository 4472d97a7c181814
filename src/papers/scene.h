/* src/papers/scene.h: a drawing before any format writes it.
 *
 * A scene is a sheet of width × height mm and a list of marks in drawing order: groups
 * open and close around shapes, symbols and text.  x runs to the right, y down.  The
 * look of a mark is the name of a style (style.c has them all).  Every text also leaves
 * the box it takes, so that a test can compare all boxes of a sheet with one another.
 *
 * Adding never fails visibly: when memory is out `failed` is set and the rest is
 * dropped; check once at the end.
 */
#ifndef SWI_SCENE_H
#define SWI_SCENE_H

#include "base/arena.h"
#include "type.h"
#include <stripwright/board.h>

typedef enum swi_mark_kind {
    SWI_OPEN,   /* a group begins */
    SWI_CLOSE,
    SWI_RECT,   /* x y w h, corners rounded by r */
    SWI_CIRCLE, /* x y, radius r */
    SWI_PATH,   /* text: path data */
    SWI_USE,    /* text: a symbol's id, its middle at x y */
    SWI_TEXT    /* text, x y on the line it stands on, size h */
} swi_mark_kind;

typedef enum swi_align { SWI_START, SWI_MIDDLE, SWI_END } swi_align;

/* What a group is called; "" or 0 for nothing. */
typedef struct swi_tags {
    const char *id, *style, *title;
    const char *ref, *hole, *step; /* data-ref, data-hole, data-step */
    uint32_t node;                 /* data-node */
    double x, y, scale;            /* moved and scaled; scale 0: not */
    const sw_box *window;          /* only this part of the contents is seen, its corner at
                                      x, y; NULL: all */
} swi_tags;

typedef struct swi_mark {
    swi_mark_kind kind;
    const char *style;
    double x, y, w, h, r;
    const char *text, *rest; /* rest: TEXT: what follows in the regular face */
    swi_face face;
    swi_align align;
    bool upright;            /* TEXT turned by a quarter: read from the right */
    uint32_t node;           /* TEXT: data-node */
    const swi_tags *tags;    /* OPEN */
} swi_mark;

typedef struct swi_text_box {
    sw_box box;              /* on the sheet, moves and scales worked in */
    const char *text;
} swi_text_box;

typedef struct swi_scene {
    double width, height;    /* mm */
    const char *title, *description;
    swi_mark *marks;
    size_t mark_count, mark_room;
    swi_text_box *boxes;
    size_t box_count, box_room;
    double move_x, move_y, scale; /* of the groups that are open */
    uint32_t node_most;      /* greatest node number shown */
    const char *prefix;      /* before ids, "" usually; sheets with two drawings need it */
    swi_arena *memory;
    bool failed;
} swi_scene;

/* NULL when memory is out. */
swi_scene *swi_scene_new(double width, double height);
void swi_scene_free(swi_scene *scene);
/* A copy of text, fit to be shown, that lives as long as the scene; never NULL. */
const char *swi_scene_text(swi_scene *scene, const char *text);
/* The same from a format (as sw_buf_printf). */
const char *swi_scene_format(swi_scene *scene, const char *format, ...) SW_PRINTF(2, 3);

void swi_open(swi_scene *scene, const swi_tags *tags);
/* A group with an id and a title only. */
void swi_open_layer(swi_scene *scene, const char *id, const char *title);
void swi_close(swi_scene *scene);
void swi_rect(swi_scene *scene, const char *style, sw_box box, double corner);
void swi_circle(swi_scene *scene, const char *style, double x, double y, double radius);
void swi_line(swi_scene *scene, const char *style, double x0, double y0, double x1, double y1);
/* Path data is made with the two below, then handed in (the buffer is emptied). */
void swi_path(swi_scene *scene, const char *style, sw_buf *data);
void swi_path_to(sw_buf *data, char command, double x, double y); /* "M1 2" */
void swi_path_number(sw_buf *data, double value);
void swi_use(swi_scene *scene, const char *symbol, double x, double y);

/* Text as it will be placed: everything but where. */
typedef struct swi_words {
    const char *text, *rest; /* rest "" or what follows after a space in the regular face */
    swi_face face;
    double size;
    bool upright;
} swi_words;
/* Width along the line and the box of words whose middle (of the width, and of the
 * height of capitals) is at x, y. */
double swi_words_width(const swi_words *words);
sw_box swi_words_box(const swi_words *words, double x, double y);
/* Puts words with their middle at x, y. */
void swi_put_words(swi_scene *scene, const char *style, const swi_words *words, double x, double y,
                   uint32_t node);
/* Text on a line: x at its start, middle or end, y of the line. */
void swi_text_at(swi_scene *scene, const char *style, swi_face face, double size, swi_align align,
                  double x, double y, const char *text);

/* Overlap of two boxes by more than a hundredth of a millimetre each way. */
bool swi_boxes_meet(sw_box a, sw_box b);

#endif
