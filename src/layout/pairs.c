/* src/layout/pairs.c: at which offsets two forms are in each other's way.
 *
 * Worked out once for each pair of forms, over the offsets at which the
 * rectangles around them meet, so that the search asks a table.
 */
#include <math.h>
#include "model.h"

typedef struct extent {
    double x0, y0, x1, y1;
} extent;

static extent around(const swi_form *form) {
    if (form->outline_count == 0)
        return (extent){0, 0, 0, 0};
    extent e = {1e9, 1e9, -1e9, -1e9};
    for (uint32_t i = 0; i < form->outline_count; i++) {
        const swi_outline *o = &form->outlines[i];
        double half = o->disc ? o->x1 : 0;
        e.x0 = fmin(e.x0, o->x0 - half);
        e.y0 = fmin(e.y0, o->y0 - half);
        e.x1 = fmax(e.x1, (o->disc ? o->x0 : o->x1) + half);
        e.y1 = fmax(e.y1, (o->disc ? o->y0 : o->y1) + half);
    }
    return e;
}

static bool forms_clash(const swi_form *a, const swi_form *b, int row, int col) {
    double x = col * SW_PITCH_MM, y = row * SW_PITCH_MM;
    for (uint32_t i = 0; i < a->outline_count; i++)
        for (uint32_t j = 0; j < b->outline_count; j++)
            if (swi_outlines_clash(&a->outlines[i], &b->outlines[j], x, y))
                return true;
    return false;
}

/* The offsets of b at which the extents meet. */
static swi_pair pair_range(const extent *a, const extent *b) {
    int r0 = (int)floor((a->y0 - b->y1) / SW_PITCH_MM), r1 = (int)ceil((a->y1 - b->y0) / SW_PITCH_MM);
    int c0 = (int)floor((a->x0 - b->x1) / SW_PITCH_MM), c1 = (int)ceil((a->x1 - b->x0) / SW_PITCH_MM);
    return (swi_pair){(int16_t)r0, (int16_t)c0, (uint16_t)(r1 - r0 + 1), (uint16_t)(c1 - c0 + 1), 0};
}

static void fill(swi_model *m, uint16_t a, uint16_t b) {
    swi_pair *there = &m->pairs[(uint32_t)a * m->form_count + b];
    swi_pair *back = &m->pairs[(uint32_t)b * m->form_count + a];
    for (int r = 0; r < there->rows; r++)
        for (int c = 0; c < there->cols; c++) {
            int row = r + there->first_row, col = c + there->first_col;
            if (!forms_clash(&m->forms[a], &m->forms[b], row, col))
                continue;
            m->clash[there->at + (uint32_t)r * there->cols + (uint32_t)c] = 1;
            m->clash[back->at + (uint32_t)(-row - back->first_row) * back->cols +
                     (uint32_t)(-col - back->first_col)] = 1;
        }
}

bool swi_model_pairs(swi_model *m) {
    uint32_t n = m->form_count, at = 0;
    extent *extents = swi_arena_array(m->arena, n, sizeof *extents);
    m->pairs = swi_arena_array(m->arena, (size_t)n * n, sizeof *m->pairs);
    if (!extents || !m->pairs)
        return false;
    for (uint32_t i = 0; i < n; i++)
        extents[i] = around(&m->forms[i]);
    for (uint32_t a = 0; a < n; a++)
        for (uint32_t b = 0; b < n; b++) {
            swi_pair *pair = &m->pairs[a * n + b];
            *pair = pair_range(&extents[a], &extents[b]);
            pair->at = at;
            at += (uint32_t)pair->rows * pair->cols;
        }
    m->clash = swi_arena_alloc(m->arena, at + 1);
    if (!m->clash)
        return false;
    for (uint16_t a = 0; a < n; a++)
        for (uint16_t b = a; b < n; b++)
            fill(m, a, b);
    return true;
}
