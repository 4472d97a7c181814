/* The model's memory, its names, and the elements of arrays. */
#include "formats/edif/edif.h"

#include "base/fault.h"

#include <stdlib.h>
#include <string.h>

bool swi_edif_new(swi_edif *e) {
    e->arena = swi_arena_new();
    e->words = e->arena ? swi_interner_new(e->arena) : NULL;
    e->index = e->words ? swi_map_new(e->arena, true) : NULL;
    e->design_properties = SWI_EDIF_NONE;
    return e->index ? true : swi_edif_out(e);
}

void swi_edif_free(swi_edif *e) {
    if (e->index)
        swi_map_free(e->index);
    if (e->words)
        swi_interner_free(e->words);
    swi_arena_free(e->arena);
    free(e->libraries);
    free(e->cells);
    free(e->views);
    free(e->ports);
    free(e->instances);
    free(e->nets);
    free(e->joints);
    free(e->pins);
    free(e->properties);
}

bool swi_edif_out(swi_edif *e) {
    if (!e->failed)
        swi_out_of_memory(e->diags);
    e->failed = true;
    return false;
}

const char *swi_edif_text(swi_edif *e, const char *text, size_t length) {
    const char *kept = swi_intern(e->words, text, length);
    if (!kept)
        swi_edif_out(e);
    return kept ? kept : "";
}

sw_span swi_edif_at(const swi_edif *e, uint32_t offset, size_t length) {
    return (sw_span){e->input->source, offset, (uint32_t)length};
}

enum { LONGEST_KEY = 320, PREFIX = 9 };

/* Scope letter, eight digits for what it is inside, then the identifier. */
static size_t key_of(char *key, swi_edif_scope scope, uint32_t inside, const char *ident) {
    key[0] = (char)scope;
    for (size_t i = 1; i < PREFIX; i++, inside >>= 4)
        key[i] = "0123456789abcdef"[inside & 15];
    size_t length = strlen(ident);
    if (length > LONGEST_KEY - PREFIX)
        length = LONGEST_KEY - PREFIX; /* the standard ends at 256 */
    memcpy(key + PREFIX, ident, length);
    return PREFIX + length;
}

uint32_t swi_edif_find(swi_edif *e, swi_edif_scope scope, uint32_t inside, const char *ident) {
    char key[LONGEST_KEY];
    return swi_map_get(e->index, key, key_of(key, scope, inside, ident), SWI_EDIF_NONE);
}

uint32_t swi_edif_define(swi_edif *e, swi_edif_scope scope, uint32_t inside, const char *ident,
                         uint32_t number) {
    char key[LONGEST_KEY];
    bool failed = false;
    uint32_t there =
        swi_map_add(e->index, key, key_of(key, scope, inside, ident), number, &failed);
    if (failed)
        swi_edif_out(e);
    return failed ? number : there;
}

/* ---- elements of arrays ---- */

static bool take_number(const char **at, long *value) {
    const char *from = *at;
    *value = 0;
    while (swi_is_digit(**at) && *value < 100000000)
        *value = *value * 10 + (*(*at)++ - '0');
    return *at > from;
}

/* "x[7:0]", "x<0:3>", "x(1:8)": where the bracket is and the two bounds. */
static const char *range_of(const char *display, long *left, long *right) {
    size_t length = strlen(display);
    const char *open = length ? strpbrk(display, "[<(") : NULL;
    for (const char *next; open && (next = strpbrk(open + 1, "[<(")) != NULL;)
        open = next;
    if (!open || open == display || !strchr("]>)", display[length - 1]))
        return NULL;
    const char *at = open + 1;
    if (!take_number(&at, left) || *at++ != ':' || !take_number(&at, right))
        return NULL;
    return at == display + length - 1 ? open : NULL;
}

void swi_edif_element(sw_buf *out, const char *display, uint32_t element) {
    long left, right;
    const char *open = range_of(display, &left, &right);
    if (!open) {
        sw_buf_printf(out, "%s[%u]", display, element);
        return;
    }
    long index = left <= right ? left + (long)element : left - (long)element;
    sw_buf_put(out, display, (size_t)(open - display) + 1);
    sw_buf_printf(out, "%ld%c", index, display[strlen(display) - 1]);
}
