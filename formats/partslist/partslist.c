/* formats/partslist: what to order, in four forms; the path's ending tells which. */
#include "partslist.h"

#include "base/csv.h"
#include "base/fault.h"
#include "base/text.h"
#include "formats/formats.h"

#include <string.h>

/* More of them are a slip, and numbers stay exact. */
enum { MOST_COPIES = 1000000 };

static uint32_t times(int copies) {
    return copies > 0 ? (uint32_t)copies : 1;
}

uint32_t parts_copies(const sw_document *board, const sw_write_options *options) {
    uint64_t all = (uint64_t)times(board->copies) * times(options->copies);
    return all < UINT32_MAX ? (uint32_t)all : UINT32_MAX;
}

const char *parts_title(const sw_document *board) {
    const char *title = board->plan->title ? board->plan->title : "";
    if (!*title && board->circuit && board->circuit->title)
        title = board->circuit->title;
    return *title ? title : "board without a title";
}

/* ---- table ---- */

static void put_line(const swi_buy *line, size_t item, bool guard, sw_buf *out) {
    sw_buf number = SW_BUF_INIT, quantity = SW_BUF_INIT;
    sw_buf_printf(&number, "%zu", item);
    sw_buf_real(&quantity, (double)line->quantity, 0);
    if (number.failed || quantity.failed) {
        out->failed = true;
    } else {
        const char *const cells[] = {number.bytes, quantity.bytes, line->value, line->device, line->package,
                                     line->refs, line->marking, line->series, line->note};
        for (size_t i = 0; i < sizeof cells / sizeof *cells; i++)
            swi_csv_put(out, i == 0, cells[i], guard);
        swi_csv_end(out);
    }
    sw_buf_free(&number);
    sw_buf_free(&quantity);
}

void parts_write_csv(const parts_list *list, sw_buf *out) {
    sw_buf_puts(out, "item,qty,value,device,package,refs,marking,series,note\r\n");
    for (size_t i = 0; i < list->count; i++)
        put_line(&list->lines[i], i + 1, list->options->spreadsheet, out);
}

/* ---- which form ---- */

static const struct form {
    const char *ending;
    void (*write)(const parts_list *list, sw_buf *out);
} forms[] = {
    {".csv", parts_write_csv}, {".txt", parts_write_text}, {".html", parts_write_html}, {".json", parts_write_json},
};

static const struct form *form_of(const char *path) {
    size_t n = path ? strlen(path) : 0;
    if (n >= 3 && swi_equal_fold(path + n - 3, ".gz"))
        n -= 3;
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        size_t length = strlen(forms[i].ending);
        if (n >= length && swi_equal_fold_n(path + n - length, length, forms[i].ending))
            return &forms[i];
    }
    return &forms[0];
}

/* ---- adding up ---- */

/* All boards of the chain into the list, which keeps what it needs of them. */
static sw_status add_boards(swi_shopping *shopping, const sw_document *document, const sw_write_options *options,
                            sw_diags *diags) {
    sw_status status = SW_OK;
    for (const sw_document *board = document; board && status == SW_OK; board = board->next) {
        swi_subject *subject;
        status = swi_subject_open(board, diags, &subject);
        if (status == SW_OK && !swi_shopping_add(shopping, subject, parts_copies(board, options)))
            status = swi_out_of_memory(diags);
        swi_subject_free(subject);
    }
    return status;
}

static sw_status refuse_too_many(const sw_document *document, const sw_write_options *options, sw_diags *diags) {
    uint64_t all = 0;
    for (const sw_document *board = document; board; board = board->next)
        all += parts_copies(board, options);
    if (all <= MOST_COPIES)
        return SW_OK;
    sw_diag_add(diags, SW_D_PARTSLIST_COPIES, SW_NOWHERE,
                "a parts list is for at most %d boards in all; ask for fewer copies", MOST_COPIES);
    return SW_USAGE;
}

static sw_status write_partslist(const sw_document *document, const sw_write_options *options,
                                 sw_diags *diags, sw_buf *out) {
    sw_status status = refuse_too_many(document, options, diags);
    if (status != SW_OK)
        return status;
    swi_shopping *shopping = swi_shopping_new();
    if (!shopping)
        return swi_out_of_memory(diags);
    status = add_boards(shopping, document, options, diags);
    if (status == SW_OK) {
        parts_list list = {.document = document, .options = options};
        list.lines = swi_shopping_finish(shopping, options->spare_percent, document->library, &list.count);
        if (list.lines)
            form_of(options->path)->write(&list, out);
        if (!list.lines || out->failed)
            status = swi_out_of_memory(diags);
    }
    swi_shopping_free(shopping);
    return status;
}

static const char *const extensions[] = {".parts.csv", ".parts.txt", ".parts.html", ".parts.json", NULL};

const sw_format swi_format_partslist = {
    .name = "partslist",
    .extensions = extensions,
    .summary = "parts to order, with board, sockets, terminal pins and wire",
    .standard = "RFC 4180, RFC 8259, IEC 60062, IEC 60063",
    .keeps = "what is to be bought",
    .group = SW_GROUP_PAPER,
    .several = true,
    .write = write_partslist,
};
