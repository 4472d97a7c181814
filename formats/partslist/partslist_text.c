/* formats/partslist: the list to read and to tick off. */
#include "partslist.h"

#include "base/text.h"

#include <string.h>

enum { PAGE_WIDTH = 96, MOST_WIDTH = 34, QUANTITY_WIDTH = 5 };
enum { BOX_WIDTH = 6, COLUMN_GAP = 2 };

/* Widths of the columns, in characters. */
typedef struct widths {
    int quantity, what, package;
} widths;

static int characters(const sw_buf *text) {
    int count = 0;
    for (size_t i = 0; i < text->length; i++)
        count += ((unsigned char)text->bytes[i] & 0xC0) != 0x80;
    return count;
}

static void pad(sw_buf *out, int count) {
    for (; count > 0; count--)
        sw_buf_putc(out, ' ');
}

/* "4k7", "LM393", "9 × 25 holes stripboard"; of wire the quantity has the unit. */
static void put_what(const swi_buy *line, sw_buf *out) {
    const char *value = line->kind == SWI_BUY_WIRE ? "" : line->value;
    swi_put_visible(out, value, strlen(value), false);
    if (*value && *line->device)
        sw_buf_putc(out, ' ');
    swi_put_visible(out, line->device, strlen(line->device), false);
    if (!*value && !*line->device)
        sw_buf_puts(out, "(value not stated)");
}

static void put_quantity(const swi_buy *line, sw_buf *out) {
    sw_buf_real(out, (double)line->quantity, 0);
    if (line->kind == SWI_BUY_WIRE)
        sw_buf_puts(out, " mm");
}

static void widen(int *width, const sw_buf *text) {
    int count = characters(text);
    if (count > *width)
        *width = count < MOST_WIDTH ? count : MOST_WIDTH;
}

static widths measure(const parts_list *list, sw_buf *out) {
    widths all = {QUANTITY_WIDTH, 0, 0};
    for (size_t i = 0; i < list->count; i++) {
        const swi_buy *line = &list->lines[i];
        sw_buf quantity = SW_BUF_INIT, what = SW_BUF_INIT, package = SW_BUF_INIT;
        put_quantity(line, &quantity);
        put_what(line, &what);
        swi_put_visible(&package, line->package, strlen(line->package), false);
        widen(&all.quantity, &quantity);
        widen(&all.what, &what);
        widen(&all.package, &package);
        out->failed |= quantity.failed || what.failed || package.failed;
        sw_buf_free(&quantity);
        sw_buf_free(&what);
        sw_buf_free(&package);
    }
    return all;
}

/* A cell, and the gap to the next one. */
static void put_cell(sw_buf *out, sw_buf *cell, int width, bool right) {
    int room = width - characters(cell);
    if (right)
        pad(out, room);
    if (cell->length)
        sw_buf_put(out, cell->bytes, cell->length);
    pad(out, right ? COLUMN_GAP : (room > 0 ? room : 0) + COLUMN_GAP);
    out->failed |= cell->failed;
    sw_buf_free(cell);
}

static void trim_line(sw_buf *out) {
    while (out->length && out->bytes[out->length - 1] == ' ')
        out->bytes[--out->length] = '\0';
    sw_buf_putc(out, '\n');
}

/* Words from this column on, broken before the page's edge and indented alike. */
static void put_wrapped(sw_buf *out, const char *text, size_t text_length, int indent) {
    sw_buf seen = SW_BUF_INIT;
    swi_put_visible(&seen, text, text_length, false);
    int at = indent;
    const char *word = seen.bytes ? seen.bytes : "";
    while (*word) {
        sw_buf one = SW_BUF_INIT;
        sw_buf_put(&one, word, strcspn(word, " "));
        word += strcspn(word, " ");
        word += strspn(word, " ");
        int length = characters(&one);
        if (at > indent && at + 1 + length > PAGE_WIDTH) {
            sw_buf_putc(out, '\n');
            pad(out, indent);
            at = indent;
        } else if (at > indent) {
            sw_buf_putc(out, ' ');
            at++;
        }
        if (one.length)
            sw_buf_put(out, one.bytes, one.length);
        at += length;
        out->failed |= one.failed;
        sw_buf_free(&one);
    }
    out->failed |= seen.failed;
    sw_buf_free(&seen);
    trim_line(out);
}

/* A line of its own for so much of the text as this, if there is any. */
static void put_below(sw_buf *out, const char *text, size_t most, int indent) {
    size_t length = strlen(text);
    if (!length || !most)
        return;
    pad(out, indent);
    put_wrapped(out, text, length < most ? length : most, indent);
}

/* Length of the marking for four bands when one for five follows: a line each. */
static size_t first_bands(const swi_buy *line) {
    const char *end = *line->bands_4 && *line->bands_5 ? strstr(line->marking, "; ") : NULL;
    return end ? (size_t)(end - line->marking) + 2 : 0;
}

/* Ends with the references; what is said of the part stands below, under its name. */
static void put_line(const swi_buy *line, const widths *all, sw_buf *out) {
    sw_buf quantity = SW_BUF_INIT, what = SW_BUF_INIT, package = SW_BUF_INIT;
    int under = BOX_WIDTH + all->quantity + COLUMN_GAP;
    put_quantity(line, &quantity);
    put_what(line, &what);
    swi_put_visible(&package, line->package, strlen(line->package), false);
    sw_buf_puts(out, "  [ ] ");
    put_cell(out, &quantity, all->quantity, true);
    put_cell(out, &what, all->what, false);
    put_cell(out, &package, all->package, false);
    put_wrapped(out, line->refs, strlen(line->refs), under + all->what + all->package + 2 * COLUMN_GAP);
    put_below(out, line->marking, first_bands(line), under + COLUMN_GAP);
    put_below(out, line->marking + first_bands(line), SIZE_MAX, under + COLUMN_GAP);
    put_below(out, line->note, SIZE_MAX, under + COLUMN_GAP);
}

static void put_boards(const parts_list *list, sw_buf *out) {
    unsigned number = 0;
    for (const sw_document *board = list->document; board; board = board->next) {
        uint32_t copies = parts_copies(board, list->options);
        number++;
        if (list->document->next)
            sw_buf_printf(out, "board %u: ", number);
        const char *title = parts_title(board);
        swi_put_visible(out, title, strlen(title), false);
        if (copies > 1)
            sw_buf_printf(out, ", built %u times", (unsigned)copies);
        if (board->built)
            sw_buf_puts(out, ": what is new on the built board");
        sw_buf_putc(out, '\n');
    }
    if (list->options->spare_percent > 0)
        sw_buf_printf(out, "with %d %% spare of small parts, terminal pins and wire\n", list->options->spare_percent);
}

void parts_write_text(const parts_list *list, sw_buf *out) {
    widths all = measure(list, out);
    sw_buf_puts(out, "PARTS TO ORDER\n\n");
    put_boards(list, out);
    for (size_t i = 0; i < list->count; i++) {
        bool part = list->lines[i].kind == SWI_BUY_PART;
        bool before = i > 0 && list->lines[i - 1].kind == SWI_BUY_PART;
        if (i == 0 || part != before)
            sw_buf_puts(out, part ? "\nPARTS\n\n" : "\nBOARD, SOCKETS, PINS, WIRE\n\n");
        put_line(&list->lines[i], &all, out);
    }
}
