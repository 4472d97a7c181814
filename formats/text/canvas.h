/* formats/text/canvas.h: a sheet of characters. */
#ifndef SWI_TEXT_CANVAS_H
#define SWI_TEXT_CANVAS_H

#include <stripwright/base.h>

typedef struct swi_canvas {
    int width, height;
    char (*cells)[5]; /* width × height characters, UTF-8, NUL-terminated */
} swi_canvas;

bool swi_canvas_start(swi_canvas *canvas, int width, int height);
void swi_canvas_end(swi_canvas *canvas);
/* Writes text to the right from x, y; what is off the canvas is dropped. */
void swi_canvas_put(swi_canvas *canvas, int x, int y, const char *text);
/* The same where only blanks and lines of strips are: false, and nothing done, else. */
bool swi_canvas_try(swi_canvas *canvas, int x, int y, const char *text);
/* Characters of text. */
int swi_canvas_length(const char *text);
/* Columns x0 … x1 - 1 of a row, without blanks at the end when trim is set. */
void swi_canvas_row(const swi_canvas *canvas, int y, int x0, int x1, bool trim, sw_buf *out);

#endif
