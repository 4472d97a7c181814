/* Open addressing, linear probing, at most three quarters full. */
#include "circuit/names.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* FNV-1a, 64 bits (Fowler, Noll, Vo: published parameters), folded to 32. */
static uint32_t hash_of(const char *text, size_t length, bool fold) {
    uint64_t hash = 0xcbf29ce484222325u;
    for (size_t i = 0; i < length; i++) {
        hash ^= (unsigned char)(fold ? swi_lower(text[i]) : text[i]);
        hash *= 0x100000001b3u;
    }
    return (uint32_t)(hash ^ (hash >> 32));
}

static swi_name_slot *slots_new(const swi_names *names, size_t count) {
    if (names->arena)
        return swi_arena_array(names->arena, count, sizeof(swi_name_slot));
    return calloc(count, sizeof(swi_name_slot));
}

bool swi_names_init(swi_names *names, bool fold, uint32_t expected, swi_arena *arena) {
    size_t size = 16;
    while (size / 4 * 3 < expected)
        size *= 2;
    *names = (swi_names){.mask = (uint32_t)(size - 1), .fold = fold, .arena = arena};
    names->slots = slots_new(names, size);
    return names->slots != NULL;
}

void swi_names_free(swi_names *names) {
    if (!names->arena)
        free(names->slots);
    names->slots = NULL;
}

static bool is_name(const char *name, const char *text, size_t length, bool fold) {
    if (fold)
        return swi_equal_fold_n(text, length, name);
    return strncmp(name, text, length) == 0 && name[length] == '\0';
}

uint32_t swi_names_find(const swi_names *names, const char *text, size_t length,
                        swi_name_of name_of, const void *owner) {
    if (names->count == 0)
        return SW_NONE;
    uint32_t hash = hash_of(text, length, names->fold), slot = hash & names->mask;
    for (; names->slots[slot].number; slot = (slot + 1) & names->mask) {
        uint32_t number = names->slots[slot].number - 1;
        if (names->slots[slot].hash == hash &&
            is_name(name_of(owner, number), text, length, names->fold))
            return number;
    }
    return SW_NONE;
}

static void put(swi_names *names, swi_name_slot entry) {
    uint32_t slot = entry.hash & names->mask;
    while (names->slots[slot].number)
        slot = (slot + 1) & names->mask;
    names->slots[slot] = entry;
}

static bool grow(swi_names *names) {
    swi_name_slot *old = names->slots;
    uint32_t old_mask = names->mask;
    swi_name_slot *bigger = slots_new(names, ((size_t)old_mask + 1) * 2);
    if (!bigger)
        return false;
    names->slots = bigger;
    names->mask = old_mask * 2 + 1;
    for (uint32_t i = 0; i <= old_mask; i++)
        if (old[i].number)
            put(names, old[i]);
    if (!names->arena)
        free(old);
    return true;
}

bool swi_names_add(swi_names *names, uint32_t number, swi_name_of name_of, const void *owner) {
    if ((uint64_t)names->count * 4 >= ((uint64_t)names->mask + 1) * 3 &&
        !grow(names))
        return false;
    const char *name = name_of(owner, number);
    put(names, (swi_name_slot){hash_of(name, strlen(name), names->fold), number + 1});
    names->count++;
    return true;
}
