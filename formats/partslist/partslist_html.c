/* formats/partslist: the list as a page of its own: nothing from any network, no script,
 * dark and light, boxes to tick on screen and on paper. */
#include "partslist.h"

#include "base/text.h"

static const char style[] =
    ":root{color-scheme:light dark;--back:#fff;--front:#1a1a1a;--soft:#5a5a5a;--line:#c9c9c9}\n"
    "@media(prefers-color-scheme:dark){:root{--back:#17191b;--front:#e8e6e3;--soft:#aaa8a4;--line:#44484b}}\n"
    "body{margin:1.5rem auto;padding:0 1rem;max-width:64rem;background:var(--back);color:var(--front);"
    "font:1rem/1.45 system-ui,sans-serif;overflow-wrap:break-word}\n"
    "h1{margin:0 0 .4rem;font-size:1.6rem}p,ul{margin:.2rem 0}ul{padding-left:1.2rem}\n"
    ".wide{overflow-x:auto}table{border-collapse:collapse;width:100%;margin-top:1rem}\n"
    "th,td{text-align:left;vertical-align:top;padding:.35rem .7rem .35rem 0;border-bottom:1px solid var(--line)}\n"
    "thead th,tbody th[colspan]{font-size:.85rem;color:var(--soft);font-weight:600}tbody th[colspan]{padding-top:1rem}\n"
    ".number{text-align:right;white-space:nowrap}tbody th{font-weight:600}\n"
    "small{display:block;color:var(--soft);font-size:.85em}input{width:1.1rem;height:1.1rem}\n"
    "@media print{:root{color-scheme:light;--back:#fff;--front:#000;--soft:#333;--line:#999}@page{margin:15mm}"
    "body{margin:0;padding:0;max-width:none;font-size:10pt}.wide{overflow:visible}thead{display:table-header-group}"
    "tr{break-inside:avoid}}\n";

static void put_boards(const parts_list *list, sw_buf *out) {
    sw_buf_puts(out, list->document->next ? "<ol>\n" : "<ul>\n");
    for (const sw_document *board = list->document; board; board = board->next) {
        uint32_t copies = parts_copies(board, list->options);
        sw_buf_puts(out, "<li>");
        sw_buf_markup(out, parts_title(board));
        if (copies > 1)
            sw_buf_printf(out, ", built %u times", (unsigned)copies);
        if (board->built)
            sw_buf_puts(out, ": what is new on the built board");
        sw_buf_puts(out, "</li>\n");
    }
    sw_buf_puts(out, list->document->next ? "</ol>\n" : "</ul>\n");
    if (list->options->spare_percent > 0)
        sw_buf_printf(out, "<p>With %d&#160;%% spare of small parts, terminal pins and wire.</p>\n",
                      list->options->spare_percent);
}

static void put_small(sw_buf *out, const char *text) {
    if (!*text)
        return;
    sw_buf_puts(out, "<small>");
    sw_buf_markup(out, text);
    sw_buf_puts(out, "</small>");
}

static void put_line(const swi_buy *line, size_t number, sw_buf *out) {
    bool wire = line->kind == SWI_BUY_WIRE;
    sw_buf_printf(out, "<tr><td><input type=\"checkbox\" aria-labelledby=\"item-%zu\"/></td><td class=\"number\">", number);
    sw_buf_real(out, (double)line->quantity, 0);
    sw_buf_printf(out, "%s</td><th scope=\"row\" id=\"item-%zu\">", wire ? "&#160;mm" : "", number);
    if (!wire)
        sw_buf_markup(out, line->value);
    if (!wire && *line->value && *line->device)
        sw_buf_putc(out, ' ');
    sw_buf_markup(out, line->device);
    if (!*line->value && !*line->device)
        sw_buf_puts(out, "(value not stated)");
    sw_buf_puts(out, "</th><td>");
    sw_buf_markup(out, line->package);
    sw_buf_puts(out, "</td><td>");
    sw_buf_markup(out, line->refs);
    sw_buf_puts(out, "</td><td>");
    put_small(out, line->bands_4);
    put_small(out, line->bands_5);
    if (*line->code)
        put_small(out, line->code);
    else if (!*line->bands_4 && !*line->bands_5)
        put_small(out, line->marking);
    put_small(out, line->note);
    sw_buf_puts(out, "</td></tr>\n");
}

static void put_table(const parts_list *list, sw_buf *out) {
    sw_buf_puts(out, "<div class=\"wide\">\n<table>\n<thead><tr><th scope=\"col\">Have</th><th scope=\"col\" class=\"number\">"
                     "Number</th><th scope=\"col\">What</th><th scope=\"col\">Package, size</th><th scope=\"col\">For</th>"
                     "<th scope=\"col\">Marking, notes</th></tr></thead>\n");
    for (size_t i = 0; i < list->count; i++) {
        bool part = list->lines[i].kind == SWI_BUY_PART;
        bool before = i > 0 && list->lines[i - 1].kind == SWI_BUY_PART;
        if (i == 0 || part != before)
            sw_buf_printf(out, "%s<tbody>\n<tr><th colspan=\"6\" scope=\"rowgroup\">%s</th></tr>\n", i ? "</tbody>\n" : "",
                          part ? "Parts" : "Board, sockets, pins, wire");
        put_line(&list->lines[i], i + 1, out);
    }
    sw_buf_puts(out, list->count ? "</tbody>\n</table>\n</div>\n" : "</table>\n</div>\n");
}

void parts_write_html(const parts_list *list, sw_buf *out) {
    const char *title = list->document->next ? "several boards" : parts_title(list->document);
    sw_buf_puts(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
                     "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>Parts to order: ");
    sw_buf_markup(out, title);
    sw_buf_puts(out, "</title>\n<style>\n");
    sw_buf_puts(out, style);
    sw_buf_puts(out, "</style>\n</head>\n<body>\n<h1>Parts to order</h1>\n");
    put_boards(list, out);
    put_table(list, out);
    sw_buf_puts(out, "<p><small>Colour bands: four for 5&#160;% resistors, five for 1&#160;% ones (IEC 60062).</small></p>\n"
                     "</body>\n</html>\n");
}
