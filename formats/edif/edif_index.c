/* What is called how, by where it stands: the one table of a reading.
 *
 * Identifiers live as long as the reading, so the table only points at them; often the one
 * that is looked up is the very text that was defined, and no characters are compared.
 */
#include "formats/edif/edif.h"

#include "base/hash.h"

#include <stdlib.h>
#include <string.h>

typedef struct entry {
    const char *ident; /* NULL: free */
    uint32_t inside, number, hash;
    swi_edif_scope scope;
} entry;

struct swi_edif_index {
    entry *entries; /* a power of two of them, five in eight full at most */
    size_t mask, count;
};

enum { FIRST_ENTRIES = 64 };

static entry *entries_new(size_t count) {
    size_t size = count * sizeof(entry);
    entry *entries = swi_large_alloc(&size);
    return entries ? memset(entries, 0, count * sizeof(entry)) : NULL;
}

swi_edif_index *swi_edif_index_new(void) {
    swi_edif_index *index = malloc(sizeof *index);
    entry *entries = index ? entries_new(FIRST_ENTRIES) : NULL;
    if (!entries) {
        free(index);
        return NULL;
    }
    *index = (swi_edif_index){entries, FIRST_ENTRIES - 1, 0};
    return index;
}

void swi_edif_index_free(swi_edif_index *index) {
    if (!index)
        return;
    free(index->entries);
    free(index);
}

/* The place counts beside the name, and leaves names in sequence side by side. */
static entry key_of(swi_edif_scope scope, uint32_t inside, const char *ident) {
    uint32_t place = (inside * 32 + (uint32_t)scope) * 0x9E3779B1u; /* the golden ratio's bits */
    uint32_t hash = swi_hash(ident, strlen(ident), true) ^ (place & ~(uint32_t)SWI_HASH_LAST);
    return (entry){.ident = ident, .inside = inside, .hash = hash, .scope = scope};
}

static bool same(const entry *a, const entry *b) {
    return a->hash == b->hash && a->inside == b->inside && a->scope == b->scope &&
           (a->ident == b->ident || strcmp(a->ident, b->ident) == 0 ||
            swi_equal_fold(a->ident, b->ident));
}

/* The key's entry, or the free one where it belongs. */
static entry *find(const swi_edif_index *index, const entry *key) {
    size_t i = key->hash & index->mask;
    while (index->entries[i].ident && !same(&index->entries[i], key))
        i = (i + 1) & index->mask;
    return &index->entries[i];
}

static bool grow(swi_edif_index *index) {
    size_t count = (index->mask + 1) * 2;
    entry *old = index->entries, *fresh = entries_new(count);
    if (!fresh)
        return false;
    for (size_t i = 0; i <= index->mask; i++) {
        size_t to = old[i].hash & (count - 1);
        while (old[i].ident && fresh[to].ident)
            to = (to + 1) & (count - 1);
        if (old[i].ident)
            fresh[to] = old[i];
    }
    free(old);
    index->entries = fresh;
    index->mask = count - 1;
    return true;
}

uint32_t swi_edif_find(swi_edif *e, swi_edif_scope scope, uint32_t inside, const char *ident) {
    entry key = key_of(scope, inside, ident);
    const entry *there = find(e->index, &key);
    return there->ident ? there->number : SWI_EDIF_NONE;
}

uint32_t swi_edif_define(swi_edif *e, swi_edif_scope scope, uint32_t inside, const char *ident,
                         uint32_t number) {
    swi_edif_index *index = e->index;
    entry key = key_of(scope, inside, ident);
    entry *there = find(index, &key);
    if (there->ident)
        return there->number;
    if ((index->count + 1) * 8 > (index->mask + 1) * 5) {
        if (!grow(index)) {
            swi_edif_out(e);
            return number;
        }
        there = find(index, &key);
    }
    key.number = number;
    *there = key;
    index->count++;
    return number;
}
