/* src/layout/resize.c: sketches with a column or strip more or less. */
#include "sketch.h"

/* The shape of the same package and turn with so many rows; -1 none. */
static int16_t with_rows(const swi_part *p, int16_t shape, int rows) {
    const swi_shape *old = &p->shapes[shape];
    for (int16_t i = 0; i < p->shape_count; i++)
        if (p->shapes[i].package == old->package && p->shapes[i].turn == old->turn && p->shapes[i].rows == rows &&
            p->shapes[i].cols == old->cols)
            return i;
    return -1;
}

void swi_take_seam(const swi_model *m, swi_sketch *k, const int16_t *seam, bool at_seam) {
    for (uint16_t p = 0; p < m->part_count; p++) {
        swi_place *place = &k->places[p];
        if (m->parts[p].fixed_shape >= 0)
            continue;
        const swi_shape *shape = &m->parts[p].shapes[place->shape];
        int col = seam[place->row + shape->rows / 2];
        place->col = (int16_t)(place->col - (place->col > col || (at_seam && place->col == col && col > 0)));
        if (place->col + shape->cols > k->cols - 2)
            place->col = (int16_t)(k->cols - 2 - shape->cols);
    }
    for (uint32_t i = 0; i < k->link_count; i++) {
        int col = seam[(k->links[i].from + k->links[i].to) / 2];
        k->links[i].col = (int16_t)(k->links[i].col - (k->links[i].col > col || (at_seam && k->links[i].col == col)));
    }
    k->cols--;
}

void swi_take_strip(const swi_model *m, swi_sketch *k, int row) {
    for (uint16_t p = 0; p < m->part_count; p++) {
        swi_place *place = &k->places[p];
        if (m->parts[p].fixed_shape >= 0)
            continue;
        const swi_part *part = &m->parts[p];
        const swi_shape *shape = &part->shapes[place->shape];
        int last = place->row + shape->rows;
        if (place->row > row)
            place->row--;
        else if (last >= row && shape->rows > 0) {
            int16_t shorter = with_rows(part, place->shape, shape->rows - 1);
            if (shorter >= 0)
                place->shape = shorter;
            else if (last >= k->rows - 1 || row - place->row < shape->rows / 2)
                place->row = (int16_t)(place->row > 0 ? place->row - 1 : 0);
        } else if (last >= k->rows - 1)
            place->row--;
    }
    uint32_t count = 0;
    for (uint32_t i = 0; i < k->link_count; i++) {
        swi_fixed_link l = k->links[i];
        if (l.from == row || l.to == row)
            continue;
        l.from = (int16_t)(l.from - (l.from > row));
        l.to = (int16_t)(l.to - (l.to > row));
        if (l.from < l.to)
            k->links[count++] = l;
    }
    k->link_count = count;
    k->rows--;
}

void swi_add_column(const swi_model *m, swi_sketch *k, int col) {
    for (uint16_t p = 0; p < m->part_count; p++)
        if (k->places[p].col >= col && m->parts[p].fixed_shape < 0)
            k->places[p].col++;
    for (uint32_t i = 0; i < k->link_count; i++)
        k->links[i].col = (int16_t)(k->links[i].col + (k->links[i].col >= col));
    k->cols++;
}

void swi_add_strip(const swi_model *m, swi_sketch *k, int row) {
    for (uint16_t p = 0; p < m->part_count; p++) {
        swi_place *place = &k->places[p];
        const swi_part *part = &m->parts[p];
        if (part->fixed_shape >= 0)
            continue;
        const swi_shape *shape = &part->shapes[place->shape];
        if (place->row >= row)
            place->row++;
        else if (place->row + shape->rows >= row) {
            int16_t longer = with_rows(part, place->shape, shape->rows + 1);
            if (longer >= 0)
                place->shape = longer;
        }
    }
    for (uint32_t i = 0; i < k->link_count; i++) {
        k->links[i].from = (int16_t)(k->links[i].from + (k->links[i].from >= row));
        k->links[i].to = (int16_t)(k->links[i].to + (k->links[i].to >= row));
    }
    k->rows++;
}
