/* src/cli/show.c: text for people: findings to standard error, answers to standard
 * output or standard error.
 */
#include <string.h>
#include <unistd.h>
#include "cli.h"

/* Whether a finding was shown before: three drawings of one plan say the same. */
static bool repeated(const sw_diags *diags, size_t index) {
    const sw_diag *diag = sw_diags_get(diags, index);
    for (size_t i = 0; i < index; i++) {
        const sw_diag *before = sw_diags_get(diags, i);
        if (before->id == diag->id && before->span.source == diag->span.source &&
            before->span.offset == diag->span.offset && strcmp(before->message, diag->message) == 0)
            return true;
    }
    return false;
}

void show_diags(const sw_diags *diags, size_t *from) {
    sw_buf text = SW_BUF_INIT;
    for (; *from < sw_diags_count(diags); (*from)++)
        if (!repeated(diags, *from))
            sw_diag_show(diags, sw_diags_get(diags, *from), &text);
    if (text.bytes)
        fwrite(text.bytes, 1, text.length, stderr);
    sw_buf_free(&text);
}

void show_hidden(const sw_diags *diags) {
    sw_buf text = SW_BUF_INIT;
    sw_diags_show_hidden(diags, &text);
    if (text.bytes)
        fwrite(text.bytes, 1, text.length, stderr);
    sw_buf_free(&text);
}

/* Bytes of a control character that a terminal may obey: C0 but for tab and line end,
 * DEL, and C1 in UTF-8. */
static size_t control_length(const char *bytes, size_t length) {
    unsigned char first = (unsigned char)bytes[0];
    if ((first < 0x20 && first != '\n' && first != '\t') || first == 0x7f)
        return 1;
    return first == 0xc2 && length > 1 && ((unsigned char)bytes[1] & 0xe0) == 0x80 ? 2 : 0;
}

void show_text(const sw_buf *text, FILE *out) {
    size_t start = 0, at = 0;
    bool terminal = isatty(fileno(out)) == 1;
    while (terminal && at < text->length) {
        size_t control = control_length(text->bytes + at, text->length - at);
        if (control) {
            fwrite(text->bytes + start, 1, at - start, out);
            fputs("·", out);
            start = at + control;
        }
        at += control ? control : 1;
    }
    if (start < text->length)
        fwrite(text->bytes + start, 1, text->length - start, out);
}
