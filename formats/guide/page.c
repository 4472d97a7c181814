/* formats/guide/page.c: putting text and markup down. */
#include "page.h"

#include "base/text.h"

#include <string.h>

void guide_put(guide_page *page, const char *markup) {
    sw_buf_puts(page->out, markup);
}

void guide_text(guide_page *page, const char *text) {
    sw_buf_markup(page->out, text);
}

void guide_fill(guide_page *page, const char *markup, const char *const *texts) {
    for (; *markup; markup++)
        if (*markup != '$')
            sw_buf_putc(page->out, *markup);
        else if (*texts)
            guide_text(page, *texts++);
}

void guide_number(guide_page *page, long number) {
    sw_buf_printf(page->out, "%ld", number);
}

void guide_real(guide_page *page, double number, int decimals) {
    sw_buf_real(page->out, number, decimals);
}

void guide_holes(guide_page *page, const sw_hole *holes, uint32_t count) {
    for (uint32_t i = 0; i < count; i++) {
        char name[12];
        sw_hole_write(holes[i], name);
        sw_buf_printf(page->out, "%s%s", i ? " " : "", name);
    }
}
