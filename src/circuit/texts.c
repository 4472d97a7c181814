/* Texts that papers can show: names are checked, values tidied, before a circuit is
 * frozen.  The builder looks at each text as it comes in; only when one was more than
 * printable ASCII are all of them gone through here.
 */
#include "circuit/circuit.h"

#include <string.h>

/* Printable ASCII is nearly everything. */
static bool is_plain(const char *text) {
    while ((unsigned char)(*text - ' ') < 0x7F - ' ')
        text++;
    return *text == '\0';
}

/* XML 1.0 2.2: a plan in a file of ours cannot hold other characters. */
static bool is_fit(const char *text) {
    size_t length = strlen(text);
    if (!swi_utf8_valid(text, length))
        return false;
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        if (c < ' ' || c == 0x7F ||
            (c == 0xEF && (unsigned char)text[i + 1] == 0xBF && (unsigned char)text[i + 2] >= 0xBE))
            return false;
    }
    return true;
}

static void check_name(sw_builder *b, const char *what, const char *name, sw_span span) {
    if (!is_plain(name) && !is_fit(name))
        sw_diag_add(b->diags, SW_D_NAME_CONTROL, span,
                    "the %s %s has a control character or bytes that are no UTF-8, which no paper "
                    "can show: take them out", what, name);
}

static const char *tidy(sw_builder *b, const char *what, const char *text, const sw_part *part) {
    if (is_plain(text) || is_fit(text))
        return text;
    sw_buf clean = SW_BUF_INIT;
    size_t length = strlen(text);
    bool utf8 = swi_utf8_valid(text, length);
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        bool odd = c < ' ' || c == 0x7F || (c >= 0x80 && !utf8);
        sw_buf_putc(&clean, odd ? ' ' : text[i]);
    }
    sw_diag_add(b->diags, SW_D_TEXT_CONTROL, part->span,
                "the %s of %s has a line break, a control character or bytes that are no UTF-8: a "
                "blank stands for each now", what, part->ref);
    const char *kept = clean.failed ? "" : sw_builder_text(b, clean.bytes, clean.length);
    if (clean.failed)
        swi_builder_out(b);
    sw_buf_free(&clean);
    return kept;
}

void swi_builder_texts(sw_builder *b) {
    if (!b->odd)
        return;
    for (size_t i = 0; i < b->part_count; i++) {
        sw_part *part = &b->parts[i];
        check_name(b, "reference", part->ref, part->span);
        check_name(b, "path", part->path, part->span);
        part->value = tidy(b, "value", part->value, part);
        part->device = tidy(b, "device", part->device, part);
        part->package = tidy(b, "package", part->package, part);
    }
    for (size_t i = 0; i < b->pin_count; i++) {
        check_name(b, "pin", b->pins[i].number, b->pins[i].span);
        check_name(b, "pin", b->pins[i].name, b->pins[i].span);
    }
    for (size_t i = 0; i < b->node_count; i++)
        check_name(b, "node", b->nodes[i].name, b->nodes[i].span);
}
