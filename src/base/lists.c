/* src/base/lists.c: parentheses, words and strings. */
#include "lists.h"

#include "text.h"

#include <string.h>

static bool ends_word(char c) {
    return swi_is_space(c) || c == '(' || c == ')' || c == '"';
}

static void skip_blanks(swi_list_lexer *x) {
    const char *bytes = x->input->bytes;
    if (x->at == 0 && x->input->length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0)
        x->at = 3;
    while (x->at < x->input->length && swi_is_space(bytes[x->at]))
        x->at++;
}

static swi_list_token make(const swi_list_lexer *x, swi_list_kind kind, size_t from, size_t to) {
    return (swi_list_token){kind, x->input->bytes + from, to - from, false,
                             {x->input->source, (uint32_t)from, (uint32_t)(to - from)}};
}

static swi_list_token take_string(swi_list_lexer *x) {
    const char *bytes = x->input->bytes;
    size_t from = x->at + 1, to = from;
    bool escapes = false;
    while (to < x->input->length && bytes[to] != '"') {
        escapes = escapes || bytes[to] == '\\';
        to += bytes[to] == '\\' && to + 1 < x->input->length ? 2 : 1;
    }
    if (to >= x->input->length) {
        x->at = x->input->length;
        return make(x, SWI_LIST_BROKEN, from - 1, from);
    }
    x->at = to + 1;
    swi_list_token token = make(x, SWI_LIST_ATOM, from, to);
    token.escapes = escapes;
    return token;
}

swi_list_token swi_list_next(swi_list_lexer *x) {
    skip_blanks(x);
    const char *bytes = x->input->bytes;
    size_t from = x->at;
    if (from >= x->input->length)
        return make(x, SWI_LIST_END, x->input->length, x->input->length);
    if (bytes[from] == '"')
        return take_string(x);
    x->at++;
    if (bytes[from] == '(' || bytes[from] == ')')
        return make(x, bytes[from] == '(' ? SWI_LIST_OPEN : SWI_LIST_CLOSE, from, x->at);
    while (x->at < x->input->length && !ends_word(bytes[x->at]))
        x->at++;
    return make(x, SWI_LIST_ATOM, from, x->at);
}
