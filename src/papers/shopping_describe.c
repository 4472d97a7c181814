/* src/papers/shopping_describe.c: what a part to buy looks like and what is odd about its
 * value. */
#include "shopping_make.h"

#include "circuit/fit.h"

#include <string.h>

static void put_part(sw_buf *out, const char *text, const char *tail) {
    if (!*text)
        return;
    if (out->length)
        sw_buf_puts(out, "; ");
    sw_buf_puts(out, text);
    sw_buf_puts(out, tail);
}

/* Colour bands for both usual kinds, and letters. */
static bool mark_resistor(swi_shopping *shopping, double ohms, swi_buy *line, sw_buf *marking) {
    sw_buf four = SW_BUF_INIT, five = SW_BUF_INIT, letters = SW_BUF_INIT;
    sw_marking_bands(ohms, 4, &four);
    sw_marking_bands(ohms, 5, &five);
    sw_marking_letters(ohms, &letters);
    line->bands_4 = swi_shopping_keep(shopping, &four);
    line->bands_5 = swi_shopping_keep(shopping, &five);
    line->code = swi_shopping_keep(shopping, &letters);
    if (!line->bands_4 || !line->bands_5 || !line->code)
        return false;
    put_part(marking, line->bands_4, " (4 bands, 5 %)");
    put_part(marking, line->bands_5, " (5 bands, 1 %)");
    put_part(marking, line->code, "");
    return true;
}

static bool mark_capacitor(swi_shopping *shopping, const swi_want *one, swi_buy *line, sw_buf *marking) {
    if (strncmp(one->package, "ELEC", 4) == 0) {
        sw_buf_puts(marking, "value in words; stripe at the negative lead");
        return true;
    }
    sw_buf code = SW_BUF_INIT;
    sw_marking_capacitor(one->number, &code);
    line->code = swi_shopping_keep(shopping, &code);
    if (!line->code)
        return false;
    put_part(marking, line->code, " (in pF)");
    return true;
}

static void put_nearest(sw_series series, double value, sw_quantity quantity, sw_buf *note) {
    double below, above;
    sw_series_nearest(series, value, &below, &above);
    sw_buf_printf(note, " of %s: ", sw_series_name(series));
    sw_value_write(below, quantity, note);
    sw_buf_puts(note, " and ");
    sw_value_write(above, quantity, note);
}

bool swi_shopping_describe(swi_shopping *shopping, const swi_want *one, swi_buy *line) {
    sw_buf marking = SW_BUF_INIT, note = SW_BUF_INIT;
    sw_quantity quantity = swi_quantity_of(one->kind);
    bool good = true;
    if (one->number > 0) {
        sw_series series = sw_value_series(one->number);
        line->series = series == SW_NO_SERIES ? "none" : sw_series_name(series);
        if (series == SW_NO_SERIES) {
            sw_buf_puts(&note, "in no series of IEC 60063; nearest");
            put_nearest(SW_E12, one->number, quantity, &note);
            sw_buf_puts(&note, ",");
            put_nearest(SW_E24, one->number, quantity, &note);
        }
        if (one->kind == 'R' && one->two_leads)
            good = mark_resistor(shopping, one->number, line, &marking);
        else if (one->kind == 'C' && one->two_leads)
            good = mark_capacitor(shopping, one, line, &marking);
    }
    if (*line->written) {
        put_part(&note, "the plan writes ", "");
        sw_buf_puts(&note, line->written);
    }
    line->marking = swi_shopping_keep(shopping, &marking);
    line->note = swi_shopping_keep(shopping, &note);
    return good && line->marking && line->note;
}
