/* formats/text/canvas.c: a sheet of characters. */
#include "formats/text/canvas.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

bool swi_canvas_start(swi_canvas *canvas, int width, int height) {
    canvas->width = width;
    canvas->height = height;
    canvas->cells = calloc((size_t)width * (size_t)height + 1, sizeof *canvas->cells);
    for (size_t i = 0; canvas->cells && i < (size_t)width * (size_t)height; i++)
        canvas->cells[i][0] = ' ';
    return canvas->cells != NULL;
}

void swi_canvas_end(swi_canvas *canvas) {
    free(canvas->cells);
}

static char *cell(const swi_canvas *canvas, int x, int y) {
    if (x < 0 || y < 0 || x >= canvas->width || y >= canvas->height)
        return NULL;
    return canvas->cells[(size_t)y * (size_t)canvas->width + (size_t)x];
}

void swi_canvas_put(swi_canvas *canvas, int x, int y, const char *text) {
    for (size_t left = strlen(text); left; x++) {
        size_t n = swi_utf8_length(text, left);
        char *at = cell(canvas, x, y);
        if (at && n < 5) {
            memcpy(at, text, n);
            at[n] = '\0';
        }
        text += n;
        left -= n;
    }
}

bool swi_canvas_try(swi_canvas *canvas, int x, int y, const char *text) {
    for (int i = 0; i < swi_canvas_length(text); i++) {
        const char *at = cell(canvas, x + i, y);
        if (!at || (strcmp(at, " ") != 0 && strcmp(at, "─") != 0))
            return false;
    }
    swi_canvas_put(canvas, x, y, text);
    return true;
}

int swi_canvas_length(const char *text) {
    int count = 0;
    for (size_t left = strlen(text), n; left; text += n, left -= n) {
        n = swi_utf8_length(text, left);
        count++;
    }
    return count;
}

void swi_canvas_row(const swi_canvas *canvas, int y, int x0, int x1, bool trim, sw_buf *out) {
    while (trim && x1 > x0 && strcmp(cell(canvas, x1 - 1, y), " ") == 0)
        x1--;
    for (int x = x0; x < x1; x++)
        sw_buf_puts(out, cell(canvas, x, y));
}
