/* The report: one row a part, with everything that was stated or assumed. */
#include "circuit/fit.h"

#include <stdlib.h>
#include <string.h>

static const char *pins_cell(const swi_fit *fit, const swi_member *m, sw_buf *text) {
    const swi_group *g = &fit->groups[m->group];
    text->length = 0;
    for (uint32_t i = 0; i < m->part->pin_count; i++) {
        uint32_t index = fit->pin_to[m->part->first_pin.i + i];
        sw_buf_printf(text, "%s%s", i ? "," : "", index == SW_NONE ? "-" : g->form->pins[index]);
    }
    return text->length ? text->bytes : "";
}

/* Everything as it was decided, so that reading it back decides the same. */
static bool report_row(const swi_fit *fit, sw_sheet *sheet, const swi_member *m, sw_buf *text) {
    const char unit[] = {(char)('A' + m->unit - 1), '\0'}; /* more than 26 units no device has */
    sw_row *row = swi_sheet_add(sheet);
    if (!row)
        return false;
    const swi_group *g = m->group == SW_NONE ? NULL : &fit->groups[m->group];
    row->name = m->part->ref;
    row->span = m->part->span;
    row->note = m->note;
    row->ref = strcmp(m->ref, m->part->ref) == 0 ? "" : m->ref;
    row->place = m->fate == SWI_OFF_BOARD || m->fate == SWI_SOURCE ? "off" : "";
    row->omit = m->fate == SWI_LEFT_OUT ? "yes" : "";
    row->value = m->fate == SWI_ON_BOARD ? g->value : m->stated.cell[SWI_CELL_VALUE];
    row->device = m->fate == SWI_ON_BOARD ? g->device : m->stated.cell[SWI_CELL_DEVICE];
    row->pins = m->stated.cell[SWI_CELL_PINS];
    row->supply = m->stated.cell[SWI_CELL_SUPPLY];
    if (m->fate == SWI_ON_BOARD && g->form) {
        row->package = g->package;
        row->unit = m->unit ? unit : "";
        if (!m->failed)
            row->pins = pins_cell(fit, m, text);
    }
    const char **cells[] = {&row->name, &row->note, &row->ref, &row->place, &row->omit, &row->value,
                            &row->device, &row->pins, &row->supply, &row->package, &row->unit};
    bool done = !text->failed;
    for (size_t i = 0; done && i < sizeof cells / sizeof *cells; i++) {
        *cells[i] = swi_arena_text(sheet->arena, *cells[i], strlen(*cells[i]));
        done = *cells[i] != NULL;
    }
    return done;
}

static int by_name(const void *left, const void *right) {
    const sw_row *a = left, *b = right;
    return swi_natural_compare(a->name, b->name);
}

bool swi_fit_report(const swi_fit *fit, sw_sheet **report) {
    sw_buf text = SW_BUF_INIT;
    sw_sheet *sheet = swi_sheet_new();
    bool done = sheet != NULL;
    for (uint32_t i = 0; done && i < fit->netlist->part_count; i++)
        done = report_row(fit, sheet, &fit->members[i], &text);
    sw_buf_free(&text);
    if (!done) {
        sw_sheet_free(sheet);
        return false;
    }
    if (sheet->count)
        qsort(sheet->rows, sheet->count, sizeof *sheet->rows, by_name);
    *report = sheet;
    return true;
}
