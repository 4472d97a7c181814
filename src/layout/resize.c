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

/* For each row the rightmost cell of what stays; rows above and below the board count
 * too, for bodies hang over. */
typedef struct front {
    int16_t most[SWI_MOST_SIDE + 64];
} front;

enum { ABOVE = 32 };

static void stays_too(front *f, int row, int col) {
    int16_t *most = &f->most[row + ABOVE < 0 ? 0 : row + ABOVE];
    *most = (int16_t)(col > *most ? col : *most);
}

static bool is_behind(const front *f, int row, int col) {
    return col <= f->most[row + ABOVE < 0 ? 0 : row + ABOVE];
}

/* Whether the part has a cell at or left of the front; if so all its cells stay. */
static bool holds_part(front *f, const swi_form *form, swi_place place) {
    bool behind = false;
    for (uint32_t i = 0; i < form->cell_count && !behind; i++)
        behind = is_behind(f, place.row + form->cells[i].row, place.col + form->cells[i].col);
    for (uint32_t i = 0; i < form->cell_count && behind; i++)
        stays_too(f, place.row + form->cells[i].row, place.col + form->cells[i].col);
    return behind;
}

static bool holds_link(front *f, const swi_fixed_link *l) {
    bool behind = false;
    for (int row = l->from; row <= l->to && !behind; row++)
        behind = is_behind(f, row, l->col);
    for (int row = l->from; row <= l->to && behind; row++)
        stays_too(f, row, l->col);
    return behind;
}

static const swi_form *form_of(const swi_model *m, const swi_sketch *k, uint16_t part) {
    return &m->forms[m->parts[part].shapes[k->places[part].shape].form];
}

/* Lets everything stay that what stays has left or right of the front, until nothing more
 * is added: then on every strip all that moves is right of all that stays. */
static void hold(const swi_model *m, const swi_sketch *k, front *f) {
    for (bool more = true; more;) {
        front before = *f;
        for (uint16_t p = 0; p < m->part_count; p++)
            holds_part(f, form_of(m, k, p), k->places[p]);
        for (uint32_t i = 0; i < k->link_count; i++)
            holds_link(f, &k->links[i]);
        more = memcmp(&before, f, sizeof before) != 0;
    }
}

void swi_add_columns(const swi_model *m, swi_sketch *k, int col, int count) {
    front f;
    for (int i = 0; i < SWI_MOST_SIDE + 64; i++)
        f.most[i] = (int16_t)(col - 1);
    hold(m, k, &f);
    for (uint16_t p = 0; p < m->part_count; p++)
        if (m->parts[p].fixed_shape < 0 && !holds_part(&f, form_of(m, k, p), k->places[p]))
            k->places[p].col = (int16_t)(k->places[p].col + count);
    for (uint32_t i = 0; i < k->link_count; i++)
        if (!holds_link(&f, &k->links[i]))
            k->links[i].col = (int16_t)(k->links[i].col + count);
    k->cols += count;
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
