/* Values: there, a number, and one that is sold (IEC 60063:2015). */
#include "circuit/review.h"
#include "circuit/fit.h"

#include <string.h>

static const char *unit_word(char kind) {
    return kind == 'R' ? "resistor" : kind == 'C' ? "capacitor" : "inductor";
}

static void report_series(swi_review *r, const sw_part *part, double value) {
    double below, above;
    sw_quantity quantity = swi_quantity_of(part->kind);
    sw_buf text = SW_BUF_INIT;
    sw_series_nearest(SW_E24, value, &below, &above);
    sw_value_write(below, quantity, &text);
    sw_buf_puts(&text, " and ");
    sw_value_write(above, quantity, &text);
    sw_diag_add(r->diags, SW_D_VALUE_NO_SERIES, part->span,
                "%s: %s is in no preferred series, so no shop has it: the nearest of E24 are %s",
                part->ref, part->value, text.bytes ? text.bytes : "");
    sw_buf_free(&text);
}

/* What is sold with wire leads, generously (common practice): a value beyond it has lost its letter, or
 * the part is another, such as a memory capacitor of 1 F, whose device tells. */
static bool is_unlikely(char kind, double value, const char **range) {
    static const struct { double least, most; const char *range; } ranges[] = { /* R, C, L */
        {0.01, 1e9, "10 milliohms to 1 gigaohm"}, {0.4e-12, 0.1, "0.5 pF to 0.1 F"}, {1e-8, 2, "10 nH to 2 H"}};
    int i = kind == 'R' ? 0 : kind == 'C' ? 1 : 2;
    *range = ranges[i].range;
    return value != 0 && (value < ranges[i].least || value > ranges[i].most);
}

static void review_value(swi_review *r, const sw_part *part) {
    double value;
    const char *range;
    if (!*part->value && *part->device)
        return; /* a type of its own: an array, a thermistor */
    if (*swi_word_package(part->kind, "", part->device, part->value))
        return; /* LDR, NTC 10k: it says what it is */
    if (!*part->value)
        sw_diag_add(r->diags, SW_D_VALUE_MISSING, part->span,
                    "%s has no value: state one, or nobody can buy the %s", part->ref,
                    unit_word(part->kind));
    else if (!swi_fit_value(part->kind, part->value, &value))
        sw_diag_add(r->diags, SW_D_VALUE_NOT_NUMBER, part->span,
                    "%s: %s is no value of a %s that can be read: write it as 4k7, 100n or 10m",
                    part->ref, part->value, unit_word(part->kind));
    else if (!*part->device && is_unlikely(part->kind, value, &range))
        sw_diag_add(r->diags, SW_D_VALUE_UNLIKELY, part->span,
                    "%s: no %s for such a board has %s, they go from %s: if a letter such as u, k or MEG is "
                    "missing, write it; if %s is something else, state its device", part->ref,
                    unit_word(part->kind), part->value, range, part->ref);
    else if (value > 0 && sw_value_series(value) == SW_NO_SERIES)
        report_series(r, part, value);
}

void swi_review_values(swi_review *r) {
    for (uint32_t i = 0; i < r->c->part_count; i++) {
        const sw_part *part = &r->c->parts[i];
        if (strchr("RCL", part->kind) && !part->terminal)
            review_value(r, part);
    }
}
