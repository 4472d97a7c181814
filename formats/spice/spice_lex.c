/* formats/spice/spice_lex.c: lines, comments and words of a deck.
 *
 * Words are parted by blanks, commas, `=` and parentheses (Berkeley SPICE3
 * manual 2.1); extra ones are passed over.  Braces and quotes hold an
 * expression or a file name together.
 */
#include "spice.h"

#include <stdlib.h>
#include <string.h>

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == '\f' || c == '\v';
}

static bool is_separator(char c) {
    return is_blank(c) || c == ',' || c == '=' || c == '(' || c == ')';
}

/* The quote that closes this one on the same line; length when there is none. */
static size_t quote_end(const char *text, size_t at, size_t length) {
    const char *end = memchr(text + at + 1, text[at], length - at - 1);
    return end != NULL ? (size_t)(end - text) : length;
}

size_t swi_spice_content(const char *text, size_t length) {
    for (size_t i = 0; i < length; i++) {
        switch (text[i]) {
        case '"': {
            size_t end = quote_end(text, i, length);
            if (end < length) i = end;
            break;
        }
        case ';':
            return i;
        case '$':
            /* `$` alone is a comment; `$N_0001` is a node's name. */
            if ((i == 0 || is_blank(text[i - 1]) || text[i - 1] == ',') &&
                (i + 1 == length || is_blank(text[i + 1])))
                return i;
            break;
        case '/':
            if (i + 1 < length && text[i + 1] == '/' && (i == 0 || is_blank(text[i - 1]))) return i;
            break;
        default:
            break;
        }
    }
    return length;
}

/* Blanks what does not belong to the card in one of its lines. */
static void blank_line(char *text, size_t length, bool first) {
    size_t start = 0;
    while (start < length && is_blank(text[start]))
        start++;
    if (start == length) return;
    if (!first && text[start] != '+') { /* a comment between continuations */
        memset(text, ' ', length);
        return;
    }
    if (!first) text[start] = ' ';
    size_t content = swi_spice_content(text, length);
    memset(text + content, ' ', length - content);
}

static void join_lines(swi_line *line, swi_slice card) {
    line->joined.length = 0;
    sw_buf_put(&line->joined, card.text, card.length);
    if (line->joined.failed) return;
    char *text = line->joined.bytes;
    size_t at = 0;
    while (at < card.length) {
        char *end = memchr(text + at, '\n', card.length - at);
        size_t stop = end != NULL ? (size_t)(end - text) : card.length;
        blank_line(text + at, stop - at, at == 0);
        if (stop < card.length) text[stop] = ' ';
        at = stop + 1;
    }
}

void swi_spice_join(swi_line *line, swi_slice card, bool many) {
    line->count = 0;
    line->slice = card;
    line->plain = false;
    if (many) {
        join_lines(line, card);
        line->slice.text = line->joined.bytes;
        if (line->joined.failed) line->slice.length = 0;
    } else {
        line->slice.length = (uint32_t)swi_spice_content(card.text, card.length);
    }
}

/* Where the brace or quote at `at` closes; length when it does not. */
static size_t group_end(const char *text, size_t at, size_t length) {
    if (text[at] != '{') return quote_end(text, at, length);
    unsigned depth = 0;
    for (size_t i = at; i < length; i++) {
        if (text[i] == '{')
            depth++;
        else if (text[i] == '}' && --depth == 0)
            return i;
    }
    return length;
}

static bool open_group(const swi_line *line, size_t at, sw_diags *diags) {
    sw_span span = {line->slice.source, line->slice.offset + (uint32_t)at, 1};
    sw_diag_add(diags, SW_D_SPICE_QUOTE, span,
                "this %c is not closed: close it on the same card, or leave it out",
                line->slice.text[at]);
    return false;
}

/* A word runs to the next separator; a brace inside it runs to its end. */
static size_t word_end(const swi_line *line, size_t at, sw_diags *diags) {
    const char *text = line->slice.text;
    size_t length = line->slice.length;
    while (at < length && !is_separator(text[at])) {
        if (text[at] == '{') {
            size_t end = group_end(text, at, length);
            if (end == length) {
                open_group(line, at, diags);
                return SIZE_MAX;
            }
            at = end;
        }
        at++;
    }
    return at;
}

/* One token from a byte that is no separator on; 0 on an error. */
static size_t take_token(swi_line *line, size_t at, swi_token *token, sw_diags *diags) {
    const char *text = line->slice.text;
    size_t length = line->slice.length;
    char c = text[at];
    if (c == '{' || c == '\'' || c == '"') {
        size_t end = group_end(text, at, length);
        if (end == length) return open_group(line, at, diags), (size_t)0;
        if (end + 1 == length || is_separator(text[end + 1])) {
            token->kind = c == '"' ? SWI_QUOTED : SWI_BRACED;
            token->at = (uint32_t)at + 1;
            token->length = (uint32_t)(end - at - 1);
            return end + 1;
        }
    }
    size_t end = word_end(line, at, diags);
    if (end == SIZE_MAX) return 0;
    token->kind = SWI_WORD;
    token->at = (uint32_t)at;
    token->length = (uint32_t)(end - at);
    return end;
}

bool swi_spice_split(swi_line *line, sw_diags *diags) {
    const char *text = line->slice.text;
    size_t length = line->slice.length, at = 0;
    bool comma = false;
    line->count = 0;
    while (at < length) {
        char c = text[at];
        if (is_separator(c)) {
            comma = comma || c == ',';
            if (c == '=' && line->count > 0) line->tokens[line->count - 1].key = true;
            at++;
            continue;
        }
        if (line->count == line->capacity &&
            !SWI_GROW(line->tokens, line->capacity, line->count + 1))
            return sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory"), false;
        swi_token *token = &line->tokens[line->count];
        *token = (swi_token){.comma = comma};
        at = take_token(line, at, token, diags);
        if (at == 0) return false;
        line->count++;
        comma = false;
    }
    return true;
}

/* What a byte is on a line that holds no group, no comment and ASCII only. */
enum { LETTER, PART, NOT_PLAIN };
#define NOT_PLAIN_8(n)                                                                     \
    [n] = NOT_PLAIN, [(n) + 1] = NOT_PLAIN, [(n) + 2] = NOT_PLAIN, [(n) + 3] = NOT_PLAIN,  \
    [(n) + 4] = NOT_PLAIN, [(n) + 5] = NOT_PLAIN, [(n) + 6] = NOT_PLAIN, [(n) + 7] = NOT_PLAIN
static const unsigned char classes[256] = {
    [' '] = PART, ['\t'] = PART, ['\r'] = PART, ['\n'] = PART, ['\f'] = PART, ['\v'] = PART,
    [','] = PART, ['='] = PART, ['('] = PART, [')'] = PART, ['\0'] = PART,
    ['"'] = NOT_PLAIN, ['\''] = NOT_PLAIN, ['{'] = NOT_PLAIN, [';'] = NOT_PLAIN,
    ['$'] = NOT_PLAIN, ['/'] = NOT_PLAIN,
    NOT_PLAIN_8(0x80), NOT_PLAIN_8(0x88), NOT_PLAIN_8(0x90), NOT_PLAIN_8(0x98),
    NOT_PLAIN_8(0xA0), NOT_PLAIN_8(0xA8), NOT_PLAIN_8(0xB0), NOT_PLAIN_8(0xB8),
    NOT_PLAIN_8(0xC0), NOT_PLAIN_8(0xC8), NOT_PLAIN_8(0xD0), NOT_PLAIN_8(0xD8),
    NOT_PLAIN_8(0xE0), NOT_PLAIN_8(0xE8), NOT_PLAIN_8(0xF0), NOT_PLAIN_8(0xF8)};

/* A card ends before a blank, a line end or the input's NUL, so that words end by
 * themselves. */
bool swi_spice_split_plain(swi_line *line, swi_slice card) {
    const unsigned char *text = (const unsigned char *)card.text, *at = text;
    const unsigned char *end = text + card.length;
    swi_token *token = line->tokens, *room = token != NULL ? token + line->capacity : token;
    bool comma = false;
    while (at < end) {
        const unsigned char *from = at;
        while (classes[*at] == LETTER)
            at++;
        if (at > from) {
            if (token == room) return false;
            *token++ = (swi_token){(uint32_t)(from - text), (uint32_t)(at - from), SWI_WORD, false,
                                   comma};
            comma = false;
        }
        for (; at < end && classes[*at] != LETTER; at++) {
            if (classes[*at] == NOT_PLAIN) return false;
            comma |= *at == ',';
            if (*at == '=' && token > line->tokens) token[-1].key = true;
        }
    }
    line->slice = card;
    line->count = (size_t)(token - line->tokens);
    line->plain = true;
    return true;
}

void swi_line_free(swi_line *line) {
    sw_buf_free(&line->joined);
    free(line->tokens);
}

bool swi_token_is(const swi_line *line, size_t index, const char *word) {
    if (index >= line->count || line->tokens[index].kind != SWI_WORD) return false;
    swi_slice slice = swi_token_slice(line, index);
    return swi_equal_fold_n(slice.text, slice.length, word);
}

swi_slice swi_line_rest(const swi_line *line, size_t index) {
    if (index >= line->count) return swi_slice_from(line->slice, line->slice.length, 0);
    size_t at = line->tokens[index].at;
    if (line->tokens[index].kind != SWI_WORD) at--;
    return swi_slice_from(line->slice, at, line->slice.length - at);
}

void swi_spice_squeeze(sw_buf *out, swi_slice text) {
    size_t at = 0;
    bool any = false;
    while (at < text.length) {
        size_t start = at;
        while (at < text.length && !is_blank(text.text[at]))
            at++;
        if (at > start) {
            if (any) sw_buf_putc(out, ' ');
            any = true;
            swi_put_utf8(out, text.text + start, at - start);
        }
        while (at < text.length && is_blank(text.text[at]))
            at++;
    }
}
