/* The model's memory, its names, and the elements of arrays. */
#include "formats/edif/edif.h"

#include "base/fault.h"
#include "base/hash.h"

#include <stdlib.h>
#include <string.h>

enum { RECENT = 512 };

bool swi_edif_new(swi_edif *e) {
    e->arena = swi_arena_new();
    e->recent = e->arena ? swi_arena_array(e->arena, RECENT, sizeof *e->recent) : NULL;
    e->index = e->recent ? swi_edif_index_new() : NULL;
    uint32_t none = SWI_EDIF_NONE;
    if (!swi_edif_number(e, &none, 0)) /* so that no shape is 0 */
        return false;
    e->design_properties = SWI_EDIF_NONE;
    return e->index ? true : swi_edif_out(e);
}

void swi_edif_free(swi_edif *e) {
    swi_edif_index_free(e->index);
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
    free(e->numbers);
}

bool swi_edif_out(swi_edif *e) {
    if (!e->failed)
        swi_out_of_memory(e->diags);
    e->failed = true;
    return false;
}

const char *swi_edif_copy(swi_edif *e, const char *text, size_t length) {
    const char *kept;
    if (swi_is_printable(text, length) || swi_utf8_valid(text, length)) {
        kept = swi_arena_text(e->arena, text, length);
    } else {
        sw_buf clean = SW_BUF_INIT;
        swi_put_utf8(&clean, text, length);
        kept = clean.failed ? NULL : swi_arena_text(e->arena, clean.bytes, clean.length);
        sw_buf_free(&clean);
    }
    if (!kept)
        swi_edif_out(e);
    return kept ? kept : "";
}

const char *swi_edif_text(swi_edif *e, const char *text, size_t length) {
    uint32_t hash = swi_hash(text, length, false);
    swi_edif_recent *word = &e->recent[hash % RECENT];
    if (word->text && word->hash == hash && word->length == length &&
        memcmp(word->text, text, length) == 0)
        return word->text;
    const char *kept = swi_edif_copy(e, text, length);
    if (!e->failed)
        *word = (swi_edif_recent){kept, length, hash};
    return kept;
}

sw_span swi_edif_at(const swi_edif *e, uint32_t offset, size_t length) {
    return (sw_span){e->input->source, offset, (uint32_t)length};
}

/* ---- elements of arrays ---- */

bool swi_edif_number(swi_edif *e, uint32_t *list, uint32_t number) {
    size_t more = *list == SWI_EDIF_NONE ? 2 : 1;
    if (e->number_count + more >= SWI_EDIF_MANY ||
        !SWI_GROW(e->numbers, e->number_room, e->number_count + more))
        return swi_edif_out(e);
    if (*list == SWI_EDIF_NONE) {
        *list = (uint32_t)e->number_count;
        e->numbers[e->number_count++] = 0;
    }
    e->numbers[*list]++;
    e->numbers[e->number_count++] = number;
    return true;
}

static uint32_t dimensions(const swi_edif *e, uint32_t shape) {
    return shape == SWI_EDIF_NONE ? 0 : shape == 0 ? 1 : e->numbers[shape];
}

uint32_t swi_edif_member(const swi_edif *e, uint32_t index, uint32_t shape, uint32_t width) {
    uint32_t count = dimensions(e, shape);
    if (index == SWI_EDIF_NONE)
        return index;
    if (!(index & SWI_EDIF_MANY))
        return count <= 1 && index < width ? index : SWI_EDIF_NONE;
    const uint32_t *given = &e->numbers[index & ~SWI_EDIF_MANY];
    if (count < 2 || *given != count)
        return SWI_EDIF_NONE;
    uint32_t element = 0;
    for (uint32_t i = 1; i <= count; i++) {
        if (given[i] >= e->numbers[shape + i])
            return SWI_EDIF_NONE;
        element = element * e->numbers[shape + i] + given[i];
    }
    return element < width ? element : SWI_EDIF_NONE; /* forms within may have spoilt the list */
}

static bool take_number(const char **at, const char *end, long *value) {
    const char *from = *at;
    *value = 0;
    while (*at < end && swi_is_digit(**at) && *value < 100000000)
        *value = *value * 10 + (*(*at)++ - '0');
    return *at > from;
}

/* The last range of the text, "[7:0]", "<0:3>", "(1:8)": where its bracket is. */
static const char *range_of(const char *text, size_t length, long *left, long *right) {
    const char *end = text + length - (length ? 1 : 0), *open = end;
    if (length == 0 || !strchr("]>)", *end))
        return NULL;
    while (open > text && !strchr("[<(", *open))
        open--;
    const char *at = open + 1;
    if (open == text || !take_number(&at, end, left) || at == end || *at++ != ':' ||
        !take_number(&at, end, right))
        return NULL;
    return at == end ? open : NULL;
}

enum { MOST_DIMENSIONS = 16 };
typedef struct range {
    long left, right;
    char open, close;
} range;

/* The ranges at the end of a name, one a dimension; the length of what is before them,
 * or all of it when there are not as many. */
static size_t take_ranges(const char *display, uint32_t count, range *ranges) {
    size_t length = strlen(display), left = length;
    for (uint32_t i = count; i-- > 0;) {
        const char *open = range_of(display, left, &ranges[i].left, &ranges[i].right);
        if (!open)
            return length;
        ranges[i].open = *open;
        ranges[i].close = display[left - 1];
        left = (size_t)(open - display);
    }
    return left;
}

void swi_edif_element(const swi_edif *e, sw_buf *out, const char *display, uint32_t shape,
                      uint32_t element) {
    range ranges[MOST_DIMENSIONS];
    uint32_t count = dimensions(e, shape), index[MOST_DIMENSIONS] = {element};
    if (count > MOST_DIMENSIONS) { /* so deep an array has but one number */
        count = 1;
        shape = 0;
    }
    for (uint32_t i = count; shape != 0 && i-- > 0; element /= e->numbers[shape + i + 1])
        index[i] = element % e->numbers[shape + i + 1];
    size_t base = take_ranges(display, count, ranges);
    bool ranged = base < strlen(display);
    sw_buf_put(out, display, base);
    for (uint32_t i = 0; i < count; i++) {
        const range *r = &ranges[i];
        long number = !ranged ? (long)index[i]
                      : r->left <= r->right ? r->left + (long)index[i]
                                            : r->left - (long)index[i];
        sw_buf_printf(out, "%c%ld%c", ranged ? r->open : '[', number, ranged ? r->close : ']');
    }
}
