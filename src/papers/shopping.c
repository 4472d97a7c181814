/* src/papers/shopping.c: what to order. */
#include "shopping_make.h"

#include "base/text.h"
#include "circuit/fit.h"
#include "work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

const char *swi_shopping_keep(swi_shopping *shopping, sw_buf *buf) {
    const char *text = buf->failed ? NULL : keep(shopping, buf->bytes ? buf->bytes : "");
    sw_buf_free(buf);
    return text;
}

/* The value in its normal form (4k7, 100n) when it is one; what stands behind it, such as
 * a voltage, stays. */
static bool take_value(swi_shopping *shopping, const swi_item *item, swi_want *one) {
    sw_quantity quantity = swi_quantity_of(item->kind);
    const char *beside;
    if (quantity == SW_OTHER || !sw_value_read_beside(item->value, quantity, &one->number, &beside) || one->number <= 0) {
        one->number = 0;
        one->value = keep(shopping, item->value);
        return one->value != NULL;
    }
    sw_buf text = SW_BUF_INIT;
    sw_value_write(one->number, quantity, &text);
    sw_buf_puts(&text, swi_is_digit(*beside) ? " " : "");
    sw_buf_puts(&text, beside);
    one->value = swi_shopping_keep(shopping, &text);
    if (!one->value || strcmp(one->value, item->value) == 0)
        return one->value != NULL;
    one->written = keep(shopping, item->value);
    return one->written != NULL;
}

static swi_want *new_want(swi_shopping *shopping, char kind, uint32_t copies) {
    if (!SWI_GROW(shopping->wants, shopping->want_room, shopping->want_count + 1))
        return NULL;
    swi_want *one = &shopping->wants[shopping->want_count++];
    *one = (swi_want){.kind = kind, .copies = copies, .package = "",
                      .board = (uint32_t)shopping->piece_count - 1};
    return one;
}

static bool add_want(swi_shopping *shopping, const swi_item *item, uint32_t copies) {
    swi_want *one = new_want(shopping, item->kind, copies);
    if (!one)
        return false;
    one->two_leads = item->part->lead_count == 2;
    const char *device = item->part->device && *item->part->device ? item->part->device
                       : item->known ? item->known->device : "";
    const char *package = item->package ? item->package->name : item->part->package;
    one->ref = keep(shopping, item->part->ref);
    one->device = keep(shopping, device);
    one->package = keep(shopping, package);
    if (!one->ref || !one->device || !one->package || !take_value(shopping, item, one))
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
    swi_want *one = new_want(shopping, 'N', copies);
    if (!one)
        return false;
    one->ref = base;
    one->package = "beside the board";
    one->value = keep(shopping, item->known->value);
    one->device = keep(shopping, item->known->device);
    return one->value && one->device;
}

/* The number of the rail that a terminal pin of a supply brings in; 0: it brings in none, or ground. */
static uint32_t supply_rail(const swi_subject *subject, const swi_item *item) {
    double volts;
    if (!item->terminal || !item->part->lead_count || !swi_is_volts(item))
        return 0;
    uint32_t number = subject->lead_nodes[item->leads - subject->plan->leads];
    sw_rail rail = swi_subject_rail(subject, number, &volts);
    return rail == SW_RAIL_POSITIVE || rail == SW_RAIL_NEGATIVE ? number : 0;
}

/* Once a rail, however many pins it has. */
static bool add_supply(swi_shopping *shopping, const swi_subject *subject, uint32_t index, uint32_t copies) {
    const swi_item *item = &subject->items[index];
    uint32_t rail = supply_rail(subject, item);
    for (uint32_t i = 0; rail && i < index; i++)
        if (supply_rail(subject, &subject->items[i]) == rail)
            return true;
    swi_want *one = rail ? new_want(shopping, 'N', copies) : NULL;
    if (!one)
        return !rail;
    sw_buf value = SW_BUF_INIT;
    sw_buf_printf(&value, "%s%s", item->value + (*item->value == '+'), strpbrk(item->value, "Vv") ? "" : " V");
    one->ref = keep(shopping, item->part->ref);
    one->package = "beside the board";
    one->device = "battery or closed supply";
    one->value = swi_shopping_keep(shopping, &value);
    return one->ref && one->value;
}

/* What stays on a built board, or only goes elsewhere on it, is not bought; what goes into a
 * socket that is there needs none. */
static bool add_item(swi_shopping *shopping, const swi_subject *subject, uint32_t index, size_t first, uint32_t copies) {
    const swi_item *item = &subject->items[index];
    swi_part_change what = swi_part_changes(subject, index);
    if (what == SWI_PART_STAYS || what == SWI_PART_MOVED)
        return true;
    if (item->terminal) {
        shopping->pins += (uint64_t)copies * item->part->lead_count;
        return add_off_board(shopping, item, first, copies) && add_supply(shopping, subject, index, copies);
    }
    if (!add_want(shopping, item, copies))
        return false;
    shopping->wants[shopping->want_count - 1].has_socket = what == SWI_PART_SWAPPED;
    return true;
}

bool swi_shopping_add(swi_shopping *shopping, const swi_subject *subject, uint32_t copies) {
    if (!SWI_GROW(shopping->pieces, shopping->piece_room, shopping->piece_count + 1))
        return false;
    shopping->pieces[shopping->piece_count++] =
        (swi_piece){subject->plan->strips, subject->plan->columns, subject->change ? 0 : copies};
    size_t first = shopping->want_count;
    for (uint32_t i = 0; i < subject->item_count; i++)
        if (!add_item(shopping, subject, i, first, copies))
            return false;
    shopping->wire += copies * swi_links_wire(subject);
    return true;
}

/* ---- grouping ---- */

static int compare_wants(const void *left, const void *right) {
    const swi_want *a = left, *b = right;
    if (a->board != b->board)
        return a->board < b->board ? -1 : 1;
    int order = swi_natural_compare(a->ref, b->ref);
    return order ? order : strcmp(a->ref, b->ref);
}

static bool alike(const swi_want *a, const swi_want *b) {
    return a->kind == b->kind && swi_equal_fold(a->device, b->device) &&
           swi_equal_fold(a->package, b->package) && strcmp(a->value, b->value) == 0;
}

swi_buy *swi_shopping_line(swi_shopping *shopping, swi_buy_kind kind) {
    if (!SWI_GROW(shopping->lines, shopping->line_room, shopping->line_count + 1))
        return NULL;
    swi_buy *line = &shopping->lines[shopping->line_count++];
    *line = (swi_buy){.kind = kind, .value = "", .device = "", .package = "", .refs = "", .marking = "",
                      .bands_4 = "", .bands_5 = "", .code = "", .series = "", .written = "", .note = ""};
    return line;
}

uint64_t swi_with_spare(double count, int percent) {
    return (uint64_t)ceil(count * (100 + percent) / 100 - 1e-9);
}

/* Cheap and easily lost: what spares are bought of. */
static bool is_small(const swi_want *one) {
    return strchr("RCLDQ", one->kind) != NULL;
}

const char *swi_shopping_refs(swi_shopping *shopping, const uint32_t *taken, uint32_t mark) {
    sw_buf refs = SW_BUF_INIT;
    uint32_t board = SW_NONE;
    for (size_t i = 0; i < shopping->want_count; i++) {
        const swi_want *one = &shopping->wants[i];
        if (taken[i] != mark)
            continue;
        bool fresh = shopping->piece_count > 1 && one->board != board;
        if (refs.length)
            sw_buf_puts(&refs, fresh ? "; " : " ");
        if (fresh)
            sw_buf_printf(&refs, "board %u: ", (unsigned)one->board + 1);
        board = one->board;
        sw_buf_puts(&refs, one->ref);
    }
    return swi_shopping_keep(shopping, &refs);
}

/* The references of a line one by one. */
static bool list_refs(swi_shopping *shopping, const uint32_t *taken, uint32_t mark, swi_buy *line) {
    uint32_t count = 0;
    for (size_t i = 0; i < shopping->want_count; i++)
        count += taken[i] == mark;
    swi_buy_ref *each = swi_arena_array(shopping->memory, count, sizeof *each);
    if (!each)
        return false;
    for (size_t i = 0; i < shopping->want_count; i++)
        if (taken[i] == mark)
            each[line->each_count++] = (swi_buy_ref){shopping->wants[i].board + 1, shopping->wants[i].ref};
    line->each = each;
    return true;
}

/* The ways in which the values of a group are written that are not the normal one. */
static const char *written_values(swi_shopping *shopping, const uint32_t *taken, uint32_t mark) {
    sw_buf text = SW_BUF_INIT;
    for (size_t i = 0; i < shopping->want_count; i++) {
        const char *written = taken[i] == mark ? shopping->wants[i].written : NULL;
        bool told = written == NULL;
        for (size_t k = 0; k < i && !told; k++)
            told = taken[k] == mark && shopping->wants[k].written && strcmp(shopping->wants[k].written, written) == 0;
        if (told)
            continue;
        sw_buf_puts(&text, text.length ? ", " : "");
        sw_buf_puts(&text, written);
    }
    return swi_shopping_keep(shopping, &text);
}

/* Takes all wants that are like the one at `first`, which is the first of its kind. */
static bool group(swi_shopping *shopping, size_t first, uint32_t *taken, int spare) {
    const swi_want *one = &shopping->wants[first];
    swi_buy *line = swi_shopping_line(shopping, SWI_BUY_PART);
    if (!line)
        return false;
    uint32_t mark = (uint32_t)first + 1;
    double count = 0;
    for (size_t i = first; i < shopping->want_count; i++) {
        if (taken[i] || !alike(one, &shopping->wants[i]))
            continue;
        taken[i] = mark;
        count += shopping->wants[i].copies;
    }
    line->quantity = swi_with_spare(count, is_small(one) ? spare : 0);
    line->value = one->value;
    line->device = one->device;
    line->package = one->package;
    line->refs = swi_shopping_refs(shopping, taken, mark);
    line->written = written_values(shopping, taken, mark);
    return line->refs && line->written && list_refs(shopping, taken, mark, line) &&
           swi_shopping_describe(shopping, one, line);
}

const swi_buy *swi_shopping_finish(swi_shopping *shopping, int spare_percent, const sw_library *library,
                                   size_t *count) {
    uint32_t *taken = swi_arena_array(shopping->memory, shopping->want_count + 1, sizeof *taken);
    *count = 0;
    if (!taken || !SWI_GROW(shopping->lines, shopping->line_room, 1)) /* none may be needed */
        return NULL;
    if (shopping->want_count)
        qsort(shopping->wants, shopping->want_count, sizeof *shopping->wants, compare_wants);
    for (size_t i = 0; i < shopping->want_count; i++)
        if (!taken[i] && !group(shopping, i, taken, spare_percent))
            return NULL;
    if (!swi_shopping_extras(shopping, spare_percent, library))
        return NULL;
    *count = shopping->line_count;
    return shopping->lines;
}
