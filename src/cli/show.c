/* src/cli/show.c: diagnostics to standard error. */
#include "cli.h"

void show_diags(const sw_diags *diags, size_t *from) {
    sw_buf text = SW_BUF_INIT;
    for (; *from < sw_diags_count(diags); (*from)++)
        sw_diag_show(diags, sw_diags_get(diags, *from), &text);
    if (text.bytes)
        fwrite(text.bytes, 1, text.length, stderr);
    sw_buf_free(&text);
}
