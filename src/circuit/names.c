/* Open addressing, linear probing, at most half full. */
#include "circuit/names.h"

#include <stdlib.h>
#include <string.h>

static swi_name_slot *slots_new(const swi_names *names, size_t count) {
    if (names->arena)
        return swi_arena_array(names->arena, count, sizeof(swi_name_slot));
    size_t size = count * sizeof(swi_name_slot);
    void *slots = swi_large_alloc(&size);
    return slots ? memset(slots, 0, count * sizeof(swi_name_slot)) : NULL;
}

static size_t slots_for(uint32_t expected) {
    size_t size = 16;
    while (size / 2 < expected)
        size *= 2;
    return size;
}

bool swi_names_init(swi_names *names, bool fold, uint32_t expected, swi_arena *arena) {
    size_t size = slots_for(expected);
    *names = (swi_names){.mask = (uint32_t)(size - 1), .fold = fold, .arena = arena};
    names->slots = slots_new(names, size);
    return names->slots != NULL;
}

void swi_names_free(swi_names *names) {
    if (!names->arena)
        free(names->slots);
    names->slots = NULL;
}

uint32_t swi_names_find(const swi_names *names, const char *text, size_t length,
                        swi_name_of name_of, const void *owner) {
    if (names->count == 0)
        return SW_NONE;
    uint32_t slot;
    return swi_names_find_hashed(names, swi_names_hash(names, text, length), text, length,
                                 name_of, owner, &slot);
}

static void put(swi_names *names, swi_name_slot entry) {
    uint32_t slot = entry.hash & names->mask;
    while (names->slots[slot].number)
        slot = (slot + 1) & names->mask;
    names->slots[slot] = entry;
}

static bool resize(swi_names *names, size_t size) {
    swi_name_slot *old = names->slots;
    uint32_t old_mask = names->mask;
    swi_name_slot *bigger = slots_new(names, size);
    if (!bigger)
        return false;
    names->slots = bigger;
    names->mask = (uint32_t)(size - 1);
    for (uint32_t i = 0; i <= old_mask; i++)
        if (old[i].number)
            put(names, old[i]);
    if (!names->arena)
        free(old);
    return true;
}

bool swi_names_reserve(swi_names *names, uint32_t expected) {
    size_t size = slots_for(expected);
    return size <= (size_t)names->mask + 1 || resize(names, size);
}

/* Whether there is room for one more; *moved: not in the slots that were. */
static bool room_for_one(swi_names *names, bool *moved) {
    *moved = (uint64_t)names->count * 2 >= (uint64_t)names->mask + 1;
    return !*moved || resize(names, ((size_t)names->mask + 1) * 2);
}

bool swi_names_add_at(swi_names *names, uint32_t slot, uint32_t hash, uint32_t number) {
    swi_name_slot entry = {hash, number + 1};
    bool moved;
    if (!room_for_one(names, &moved))
        return false;
    if (moved)
        put(names, entry);
    else
        names->slots[slot] = entry;
    names->count++;
    return true;
}

bool swi_names_add(swi_names *names, uint32_t number, swi_name_of name_of, const void *owner) {
    const char *name = name_of(owner, number);
    bool moved;
    if (!room_for_one(names, &moved))
        return false;
    put(names, (swi_name_slot){swi_names_hash(names, name, strlen(name)), number + 1});
    names->count++;
    return true;
}
