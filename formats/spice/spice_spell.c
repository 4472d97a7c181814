/* formats/spice/spice_spell.c: names as a deck can spell them.
 *
 * A deck's words are parted by blanks, commas, `=` and parentheses, and letter
 * case means nothing; names of other formats may hold or differ in these.
 */
#include "spice_write.h"

#include <string.h>

/* Characters that part words, begin comments or hold expressions. */
static bool is_plain(char c) {
    return (unsigned char)c > 0x20 && c != 0x7F && strchr(",=(){}'\";", c) == NULL;
}

bool swi_spells_word(const char *text) {
    size_t length = strlen(text);
    if (length == 0 || strcmp(text, "$") == 0 || strncmp(text, "//", 2) == 0) return false;
    for (size_t i = 0; i < length; i++)
        if (!is_plain(text[i])) return false;
    return true;
}

/* Text that stands at the end of a line: quotes and braces close, nothing is
 * taken for a comment, blanks are single. */
bool swi_spells_text(const char *text) {
    size_t length = strlen(text);
    unsigned braces = 0;
    bool single = false, twice = false;
    if (length == 0 || text[0] == ' ' || text[length - 1] == ' ' ||
        swi_spice_content(text, length) != length)
        return false;
    for (size_t i = 0; i < length; i++) {
        char c = text[i];
        if ((unsigned char)c < 0x20 || c == 0x7F || (c == ' ' && text[i + 1] == ' ')) return false;
        single = c == '\'' ? !single : single;
        twice = c == '"' ? !twice : twice;
        if (c == '}' && braces == 0) return false;
        braces += c == '{' ? 1 : 0;
        braces -= c == '}' ? 1 : 0;
    }
    return braces == 0 && !single && !twice;
}

void swi_drop(swi_writer *w, sw_buf *buf) {
    w->failed = w->failed || buf->failed;
    sw_buf_free(buf);
}

/* The text with `_` for what a word cannot hold, and for stars where they mean more. */
static void put_plain(sw_buf *out, const char *text, bool stars) {
    for (size_t i = 0; text[i] != '\0'; i++)
        sw_buf_putc(out, is_plain(text[i]) && (stars || text[i] != '*') ? text[i] : '_');
}

static const char *spell(swi_writer *w, swi_map *taken, const char *before, const char *text,
                         bool stars) {
    sw_buf name = SW_BUF_INIT;
    bool failed = false;
    sw_buf_puts(&name, before);
    put_plain(&name, text, stars);
    if (!swi_spells_word(name.bytes != NULL ? name.bytes : "")) { /* nothing, $ or //… */
        name.length = 0;
        sw_buf_putc(&name, '_');
        put_plain(&name, text, stars);
    }
    size_t length = name.length;
    for (uint32_t n = 2; !name.failed && !failed; n++) {
        uint32_t mine = w->next++;
        if (swi_map_add(taken, name.bytes, name.length, mine, &failed) == mine) break;
        name.length = length;
        sw_buf_printf(&name, "_%u", n);
    }
    const char *kept = NULL;
    if (!name.failed && !failed) kept = swi_arena_text(w->arena, name.bytes, name.length);
    swi_drop(w, &name);
    w->failed = w->failed || kept == NULL;
    return kept != NULL ? kept : "";
}

const char *swi_spell(swi_writer *w, swi_map *taken, const char *before, const char *text) {
    return spell(w, taken, before, text, true);
}

const char *swi_spell_for_row(swi_writer *w, swi_map *taken, const char *before,
                              const char *text) {
    return spell(w, taken, before, text, false);
}

/* ---- lines folded at 80 columns ---- */

void swi_put_word(swi_writer *w, const char *text, size_t length) {
    if (w->column > 0 && w->column + 1 + length > SWI_FOLD) {
        sw_buf_puts(w->out, "\n+");
        w->column = 1;
    }
    if (w->column > 0) {
        sw_buf_putc(w->out, ' ');
        w->column++;
    }
    sw_buf_put(w->out, text, length);
    w->column += length;
}

void swi_put_string(swi_writer *w, const char *text) {
    swi_put_word(w, text, strlen(text));
}

void swi_end_line(swi_writer *w) {
    sw_buf_putc(w->out, '\n');
    w->column = 0;
}

/* Text with blanks, broken only at blanks that stand outside quotes. */
void swi_put_text(swi_writer *w, const char *text) {
    size_t start = 0, at = 0;
    char quote = '\0';
    for (; text[at] != '\0'; at++) {
        char c = text[at];
        if (quote == '\0' && (c == '"' || c == '\''))
            quote = c;
        else if (c == quote)
            quote = '\0';
        if (c != ' ' || quote != '\0') continue;
        swi_put_word(w, text + start, at - start);
        start = at + 1;
    }
    if (at > start) swi_put_word(w, text + start, at - start);
}
