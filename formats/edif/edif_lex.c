/* Words of EDIF: parentheses, strings, and everything between blanks. */
#include "formats/edif/edif.h"

#include <string.h>

sw_span swi_edif_span(const swi_edif_lexer *lexer) {
    return (sw_span){lexer->input->source, (uint32_t)lexer->from,
                     (uint32_t)(lexer->at - lexer->from)};
}

/* "%34 37%": character codes between percent signs.  Anything else is no escape and
 * stands for itself.  Returns the bytes used, 0 for no escape. */
static size_t take_escape(swi_edif_lexer *x, const char *text, size_t left) {
    size_t at = 1, before = x->decoded.length;
    bool any = false;
    while (at < left && (swi_is_digit(text[at]) || swi_is_space(text[at]))) {
        unsigned code = 0;
        bool number = swi_is_digit(text[at]);
        while (at < left && swi_is_digit(text[at]) && code < 1000)
            code = code * 10 + (unsigned)(text[at++] - '0');
        if (!number) {
            at++;
            continue;
        }
        if (code == 0 || code > 255)
            break;
        sw_buf_putc(&x->decoded, (char)code);
        any = true;
    }
    if (any && at < left && text[at] == '%')
        return at + 1;
    x->decoded.length = before;
    return 0;
}

/* Line ends inside a string are not part of it. */
static void decode(swi_edif_lexer *x, const char *text, size_t length) {
    x->decoded.length = 0;
    for (size_t i = 0; i < length;) {
        size_t used = text[i] == '%' ? take_escape(x, text + i, length - i) : 0;
        if (used == 0) {
            if (text[i] != '\r' && text[i] != '\n')
                sw_buf_putc(&x->decoded, text[i]);
            used = 1;
        }
        i += used;
    }
    x->text = x->decoded.bytes ? x->decoded.bytes : "";
    x->length = x->decoded.length;
}

static swi_edif_token take_string(swi_edif_lexer *x) {
    const char *bytes = x->input->bytes, *from = bytes + x->from + 1;
    const char *end = memchr(from, '"', x->input->length - x->from - 1);
    if (!end) {
        x->at = x->from + 1;
        sw_diag_add(x->diags, SW_D_EDIF_STRING_OPEN, swi_edif_span(x),
                    "this string is never closed: is the file cut off?");
        return SWI_EDIF_BAD;
    }
    x->at = (size_t)(end - bytes) + 1;
    x->text = from;
    x->length = (size_t)(end - from);
    for (const char *at = from; at < end; at++)
        if (*at == '%' || *at == '\n' || *at == '\r') {
            decode(x, from, x->length);
            break;
        }
    return SWI_EDIF_STRING;
}

/* What a byte is to the lexer; all others are letters of words. */
enum { LETTER, SPACE, MARK };
static const unsigned char classes[256] = {
    [' '] = SPACE, ['\t'] = SPACE, ['\n'] = SPACE, ['\r'] = SPACE, ['\v'] = SPACE,
    ['\f'] = SPACE, ['('] = MARK, [')'] = MARK, ['"'] = MARK, [0] = MARK};

/* The blanks at the beginning of a line, of which writers put many, eight at a time. */
static const unsigned char *indented(const swi_edif_lexer *x, const unsigned char *at) {
    const unsigned char *end = (const unsigned char *)x->input->bytes + x->input->length;
    while (end - at > 8 && memcmp(at, "        ", 8) == 0)
        at += 8;
    return at;
}

swi_edif_token swi_edif_next(swi_edif_lexer *x) {
    /* The input holds no NUL, and ends with one beyond its length. */
    const unsigned char *bytes = (const unsigned char *)x->input->bytes, *at = bytes + x->at;
    while (classes[*at] == SPACE)
        at = *at == '\n' ? indented(x, at + 1) : at + 1;
    x->from = (size_t)(at - bytes);
    const unsigned char *end = at;
    while (classes[*end] == LETTER)
        end++;
    x->text = (const char *)at;
    x->length = (size_t)(end - at);
    x->at = x->from + x->length;
    if (x->length)
        return SWI_EDIF_WORD;
    if (*at == '"')
        return take_string(x);
    x->at += *at != '\0';
    return *at == '(' ? SWI_EDIF_OPEN : *at == ')' ? SWI_EDIF_CLOSE : SWI_EDIF_END;
}

bool swi_edif_skip(swi_edif_lexer *x) {
    const char *bytes = x->input->bytes;
    size_t depth = 1;
    for (; x->at < x->input->length; x->at++) {
        if (bytes[x->at] == '"') {
            const char *end = memchr(bytes + x->at + 1, '"', x->input->length - x->at - 1);
            if (!end) {
                x->from = x->at;
                return take_string(x) != SWI_EDIF_BAD;
            }
            x->at = (size_t)(end - bytes);
        } else if (bytes[x->at] == '(') {
            depth++;
        } else if (bytes[x->at] == ')' && --depth == 0) {
            x->at++;
            return true;
        }
    }
    return false;
}
