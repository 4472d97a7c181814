/* formats/partslist: what to order, as a table. */
#include "base/csv.h"
#include "base/fault.h"
#include "formats/formats.h"
#include "papers/shopping.h"

static void put_line(const swi_buy *line, size_t item, bool guard, sw_buf *out) {
    sw_buf number = SW_BUF_INIT, quantity = SW_BUF_INIT;
    sw_buf_printf(&number, "%zu", item);
    sw_buf_printf(&quantity, "%u", (unsigned)line->quantity);
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

static bool write_lines(const swi_subject *subject, const sw_write_options *options, sw_buf *out) {
    swi_shopping *shopping = swi_shopping_new();
    size_t count = 0;
    uint32_t copies = options->copies > 0 ? (uint32_t)options->copies : 1;
    bool added = shopping && swi_shopping_add(shopping, subject, copies);
    const swi_buy *lines = added ? swi_shopping_finish(shopping, options->spare_percent,
                                                       subject->document->library, &count)
                                 : NULL;
    for (size_t i = 0; lines && i < count; i++)
        put_line(&lines[i], i + 1, options->spreadsheet, out);
    swi_shopping_free(shopping);
    return lines != NULL;
}

static sw_status write_partslist(const sw_document *document, const sw_write_options *options,
                                 sw_diags *diags, sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    sw_buf_puts(out, "item,qty,value,device,package,refs,marking,series,note\r\n");
    bool good = write_lines(subject, options, out) && !out->failed;
    swi_subject_free(subject);
    return good ? SW_OK : swi_out_of_memory(diags);
}

static const char *const extensions[] = {".parts.csv", NULL};

const sw_format swi_format_partslist = {
    .name = "partslist",
    .extensions = extensions,
    .summary = "parts to order, with board, sockets, terminal pins and wire",
    .standard = "RFC 4180, IEC 60062, IEC 60063",
    .keeps = "what is to be bought",
    .group = SW_GROUP_PAPER,
    .write = write_partslist,
};
