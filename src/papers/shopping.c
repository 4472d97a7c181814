/* src/papers/shopping.c: what to order. */
#include "shopping.h"

#include "base/text.h"
#include "work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* One thing to buy, before grouping. */
typedef struct want {
    const char *ref, *value, *device, *package;
    char kind;
    double number;          /* the value read, 0 when it is none */
    uint32_t copies;
} want;

typedef struct piece {
    int strips, columns;
    uint32_t copies;
} piece;

struct swi_shopping {
    swi_arena *memory;
    want *wants;
    size_t want_count, want_room;
    piece *pieces;
    size_t piece_count, piece_room;
    uint32_t pins;          /* terminal pins */
    double wire;            /* mm */
    swi_buy *lines;
    size_t line_count, line_room;
};

swi_shopping *swi_shopping_new(void) {
    swi_shopping *shopping = calloc(1, sizeof *shopping);
    if (!shopping)
        return NULL;
    shopping->memory = swi_arena_new();
    if (!shopping->memory) {
        free(shopping);
        return NULL;
    }
    return shopping;
}

void swi_shopping_free(swi_shopping *shopping) {
    if (!shopping)
        return;
    swi_arena_free(shopping->memory);
    free(shopping->wants);
    free(shopping->pieces);
    free(shopping->lines);
    free(shopping);
}

static const char *keep(swi_shopping *shopping, const char *text) {
    return swi_arena_text(shopping->memory, text, strlen(text));
}

/* What a buffer holds, kept; NULL when memory is out.  Frees the buffer. */
static const char *keep_buf(swi_shopping *shopping, sw_buf *buf) {
    const char *text = buf->failed ? NULL : keep(shopping, buf->bytes ? buf->bytes : "");
    sw_buf_free(buf);
    return text;
}

static bool quantity_of(char kind, sw_quantity *quantity) {
    switch (kind) {
    case 'R': case 'P': *quantity = SW_OHMS; return true;
    case 'C': *quantity = SW_FARADS; return true;
    case 'L': *quantity = SW_HENRIES; return true;
    default: return false;
    }
}

/* The value in its normal form (4k7, 100n) when it is one. */
static const char *normal_value(swi_shopping *shopping, const swi_item *item, double *number) {
    sw_quantity quantity;
    *number = 0;
    if (!quantity_of(item->kind, &quantity) || !sw_value_read(item->value, quantity, false, number) ||
        *number <= 0) {
        *number = 0;
        return keep(shopping, item->value);
    }
    sw_buf text = SW_BUF_INIT;
    sw_value_write(*number, quantity, &text);
    return keep_buf(shopping, &text);
}

static bool add_want(swi_shopping *shopping, const swi_item *item, uint32_t copies) {
    if (!SWI_GROW(shopping->wants, shopping->want_room, shopping->want_count + 1))
        return false;
    want *one = &shopping->wants[shopping->want_count++];
    *one = (want){.kind = item->kind, .copies = copies};
    one->ref = keep(shopping, item->part->ref);
    one->value = normal_value(shopping, item, &one->number);
    const char *device = item->part->device && *item->part->device ? item->part->device
                       : item->known ? item->known->device : "";
    const char *package = item->package ? item->package->name : item->part->package;
    one->device = keep(shopping, device);
    one->package = keep(shopping, package);
    if (!one->ref || !one->value || !one->device || !one->package)
        return false;
    if (swi_equal_fold(one->value, one->device)) /* said once is enough */
        one->value = "";
    return true;
}

/* A part beside the board has left a terminal pin a lead, "LS1.1", "LS1.2": once is enough. */
static bool add_off_board(swi_shopping *shopping, const swi_item *item, size_t first, uint32_t copies) {
    const char *ref = item->part->ref, *dot = strrchr(ref, '.');
    if (!item->known || !dot || dot == ref)
        return true;
    const char *base = swi_arena_text(shopping->memory, ref, (size_t)(dot - ref));
    if (!base)
        return false;
    for (size_t i = first; i < shopping->want_count; i++)
        if (swi_equal_fold(shopping->wants[i].ref, base))
            return true;
    if (!SWI_GROW(shopping->wants, shopping->want_room, shopping->want_count + 1))
        return false;
    want *one = &shopping->wants[shopping->want_count++];
    *one = (want){.ref = base, .kind = 'N', .copies = copies, .package = "beside the board"};
    one->value = keep(shopping, item->known->value);
    one->device = keep(shopping, item->known->device);
    return one->value && one->device;
}

bool swi_shopping_add(swi_shopping *shopping, const swi_subject *subject, uint32_t copies) {
    if (!SWI_GROW(shopping->pieces, shopping->piece_room, shopping->piece_count + 1))
        return false;
    shopping->pieces[shopping->piece_count++] =
        (piece){subject->plan->strips, subject->plan->columns, copies};
    size_t first = shopping->want_count;
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const swi_item *item = &subject->items[i];
        if (item->terminal)
            shopping->pins += copies * item->part->lead_count;
        if (!(item->terminal ? add_off_board(shopping, item, first, copies) : add_want(shopping, item, copies)))
            return false;
    }
    shopping->wire += copies * swi_links_wire(subject->plan);
    return true;
}

/* ---- grouping ---- */

static int compare_wants(const void *left, const void *right) {
    const want *a = left, *b = right;
    int order = swi_natural_compare(a->ref, b->ref);
    return order ? order : strcmp(a->ref, b->ref);
}

static bool alike(const want *a, const want *b) {
    return a->kind == b->kind && swi_equal_fold(a->device, b->device) &&
           swi_equal_fold(a->package, b->package) && strcmp(a->value, b->value) == 0;
}

static swi_buy *add_line(swi_shopping *shopping) {
    if (!SWI_GROW(shopping->lines, shopping->line_room, shopping->line_count + 1))
        return NULL;
    swi_buy *line = &shopping->lines[shopping->line_count++];
    *line = (swi_buy){.value = "", .device = "", .package = "", .refs = "", .marking = "",
                      .series = "", .note = ""};
    return line;
}

static uint32_t with_spare(double count, int percent) {
    return (uint32_t)ceil(count * (100 + percent) / 100 - 1e-9);
}

/* Cheap and easily lost: what spares are bought of. */
static bool is_small(const want *one) {
    return strchr("RCLDQ", one->kind) != NULL;
}

/* What is printed on a resistor: bands in words for both usual kinds, and letters. */
static void put_resistor_marking(double ohms, sw_buf *out) {
    size_t start = out->length;
    if (sw_marking_bands(ohms, 4, out))
        sw_buf_puts(out, " (4 bands, 5 %)");
    if (out->length > start)
        sw_buf_puts(out, "; ");
    size_t second = out->length;
    if (sw_marking_bands(ohms, 5, out))
        sw_buf_puts(out, " (5 bands, 1 %)");
    if (out->length > second)
        sw_buf_puts(out, "; ");
    if (!sw_marking_letters(ohms, out) && out->length >= start + 2)
        out->length -= 2;
}

static bool is_electrolytic(const want *one) {
    return strncmp(one->package, "ELEC", 4) == 0;
}

static bool describe(swi_shopping *shopping, const want *one, swi_buy *line) {
    sw_buf marking = SW_BUF_INIT, note = SW_BUF_INIT;
    sw_quantity quantity;
    if (one->kind == 'R' && one->number > 0)
        put_resistor_marking(one->number, &marking);
    if (one->kind == 'C' && one->number > 0 && is_electrolytic(one))
        sw_buf_puts(&marking, "value in words; stripe at the negative lead");
    else if (one->kind == 'C' && one->number > 0 && sw_marking_capacitor(one->number, &marking))
        sw_buf_puts(&marking, " (in pF)");
    if (quantity_of(one->kind, &quantity) && one->number > 0) {
        sw_series series = sw_value_series(one->number);
        line->series = series == SW_NO_SERIES ? "none" : sw_series_name(series);
        if (series == SW_NO_SERIES) {
            double below, above;
            sw_series_nearest(SW_E24, one->number, &below, &above);
            sw_buf_puts(&note, "in no series of IEC 60063; nearest of E24: ");
            sw_value_write(below, quantity, &note);
            sw_buf_puts(&note, " and ");
            sw_value_write(above, quantity, &note);
        }
    }
    line->marking = keep_buf(shopping, &marking);
    line->note = keep_buf(shopping, &note);
    return line->marking && line->note;
}

/* Takes all wants that are like the one at `first`, which is the first of its kind. */
static bool group(swi_shopping *shopping, size_t first, bool *taken, int spare) {
    const want *one = &shopping->wants[first];
    swi_buy *line = add_line(shopping);
    if (!line)
        return false;
    double count = 0;
    sw_buf refs = SW_BUF_INIT;
    for (size_t i = first; i < shopping->want_count; i++) {
        if (taken[i] || !alike(one, &shopping->wants[i]))
            continue;
        taken[i] = true;
        count += shopping->wants[i].copies;
        if (refs.length)
            sw_buf_putc(&refs, ' ');
        sw_buf_puts(&refs, shopping->wants[i].ref);
    }
    line->quantity = with_spare(count, is_small(one) ? spare : 0);
    line->value = one->value;
    line->device = one->device;
    line->package = one->package;
    line->refs = keep_buf(shopping, &refs);
    return line->refs && describe(shopping, one, line);
}

/* ---- what is not in the circuit ---- */

static void put_piece(const piece *one, const swi_stock_cut *cut, sw_buf *note) {
    char strip[8];
    sw_buf_printf(note, "piece of %d strips × %d columns", one->strips, one->columns);
    if (!cut->stock) {
        sw_buf_puts(note, "; no listed size is large enough");
        return;
    }
    bool snaps = cut->stock->strips > one->strips || cut->stock->columns > one->columns;
    if (cut->stock->strips > one->strips) {
        sw_strip_write(one->strips, strip);
        sw_buf_printf(note, ", score along strip %s", strip);
    }
    if (cut->stock->columns > one->columns)
        sw_buf_printf(note, "%s column %d", cut->stock->strips > one->strips ? " and" : ", score along",
                      one->columns + 1);
    if (snaps)
        sw_buf_puts(note, " (lost in snapping)");
    if (cut->pieces > 1)
        sw_buf_printf(note, "; one board yields %u pieces", (unsigned)cut->pieces);
}

static bool add_boards(swi_shopping *shopping, const sw_library *library) {
    for (size_t i = 0; i < shopping->piece_count; i++) {
        const piece *one = &shopping->pieces[i];
        swi_stock_cut cut = swi_stock_choose(library, one->strips, one->columns, one->copies);
        swi_buy *line = add_line(shopping);
        if (!line)
            return false;
        line->quantity = cut.stock ? cut.boards : one->copies;
        line->device = "stripboard";
        sw_buf value = SW_BUF_INIT, note = SW_BUF_INIT;
        if (cut.stock)
            sw_buf_printf(&value, "%s holes", cut.stock->name);
        else
            sw_buf_printf(&value, "%d × %d holes", one->strips, one->columns);
        line->value = keep_buf(shopping, &value);
        line->package = cut.stock ? cut.stock->note : "";
        put_piece(one, &cut, &note);
        line->note = keep_buf(shopping, &note);
        if (!line->value || !line->note)
            return false;
    }
    return true;
}

static bool is_dip(const want *one) {
    return strncmp(one->package, "DIP-", 4) == 0;
}

/* A line for each kind of socket, in the order in which the parts come. */
static bool add_sockets(swi_shopping *shopping, bool *taken) {
    memset(taken, 0, shopping->want_count * sizeof *taken);
    for (size_t i = 0; i < shopping->want_count; i++) {
        const want *one = &shopping->wants[i];
        if (taken[i] || !is_dip(one))
            continue;
        swi_buy *line = add_line(shopping);
        if (!line)
            return false;
        sw_buf refs = SW_BUF_INIT, value = SW_BUF_INIT;
        for (size_t k = i; k < shopping->want_count; k++) {
            if (taken[k] || !swi_equal_fold(shopping->wants[k].package, one->package))
                continue;
            taken[k] = true;
            line->quantity += shopping->wants[k].copies;
            if (refs.length)
                sw_buf_putc(&refs, ' ');
            sw_buf_puts(&refs, shopping->wants[k].ref);
        }
        sw_buf_printf(&value, "%d pins", atoi(one->package + 4));
        line->value = keep_buf(shopping, &value);
        line->device = "IC socket";
        line->package = one->package;
        sw_buf note = SW_BUF_INIT;
        sw_buf_printf(&note, "for %s", refs.failed || !refs.bytes ? "" : refs.bytes);
        note.failed |= refs.failed;
        sw_buf_free(&refs);
        line->note = keep_buf(shopping, &note);
        if (!line->value || !line->note)
            return false;
    }
    return true;
}

static bool add_small_things(swi_shopping *shopping, int spare) {
    if (shopping->pins) {
        swi_buy *line = add_line(shopping);
        if (!line)
            return false;
        line->quantity = with_spare(shopping->pins, spare);
        line->device = "terminal pin";
        line->value = "1 mm";
        line->package = "PIN-1";
        line->note = "one for each wire that leaves the board";
    }
    if (shopping->wire > 0) {
        swi_buy *line = add_line(shopping);
        if (!line)
            return false;
        line->quantity = 10 * (uint32_t)ceil(with_spare(shopping->wire, spare) / 10.0);
        line->device = "tinned copper wire";
        line->value = "mm";
        line->note = "for links, 0.6 mm thick; quantity is mm, 10 mm a link for bends and ends included";
    }
    return true;
}

const swi_buy *swi_shopping_finish(swi_shopping *shopping, int spare_percent, const sw_library *library,
                                   size_t *count) {
    bool *taken = swi_arena_array(shopping->memory, shopping->want_count, sizeof *taken);
    *count = 0;
    if (!taken)
        return NULL;
    if (shopping->want_count)
        qsort(shopping->wants, shopping->want_count, sizeof *shopping->wants, compare_wants);
    for (size_t i = 0; i < shopping->want_count; i++)
        if (!taken[i] && !group(shopping, i, taken, spare_percent))
            return NULL;
    if (!add_boards(shopping, library) || !add_sockets(shopping, taken) ||
        !add_small_things(shopping, spare_percent))
        return NULL;
    *count = shopping->line_count;
    return shopping->lines;
}
