/* src/base/map.c: text to number, and interned text: one open-addressing table.
 *
 * Slots are probed in line; the table doubles when it is half full.  Nothing walks
 * the table, so that no output can depend on its order.
 */
#include "hash.h"
#include "text.h"

#include <stdlib.h>
#include <string.h>

typedef struct slot {
    const char *key; /* NULL: free */
    uint32_t length, hash, value;
} slot;

struct swi_map {
    swi_arena *arena;
    slot *slots;
    size_t mask, count; /* mask: number of slots less one */
    bool fold;
};

struct swi_interner {
    swi_map map;
};

enum { FIRST_SLOTS = 64 };

static slot *slots_new(size_t count) {
    size_t size = count * sizeof(slot);
    slot *slots = swi_large_alloc(&size);
    return slots ? memset(slots, 0, count * sizeof(slot)) : NULL;
}

static bool set_up(swi_map *map, swi_arena *arena, bool fold) {
    *map = (swi_map){.arena = arena, .mask = FIRST_SLOTS - 1, .fold = fold};
    map->slots = slots_new(FIRST_SLOTS);
    return map->slots != NULL;
}

swi_map *swi_map_new(swi_arena *arena, bool fold) {
    swi_map *map = malloc(sizeof *map);
    if (map && !set_up(map, arena, fold)) {
        free(map);
        return NULL;
    }
    return map;
}

void swi_map_free(swi_map *map) {
    if (!map)
        return;
    free(map->slots);
    free(map);
}

static uint32_t hash_of(const swi_map *map, const char *key, size_t length) {
    return swi_hash(key, length, map->fold);
}

static bool same_key(const swi_map *map, const slot *s, const char *key, size_t length,
                     uint32_t hash) {
    if (s->hash != hash || s->length != length)
        return false;
    size_t i = 0;
    while (i < length && s->key[i] == key[i])
        i++;
    for (; map->fold && i < length; i++)
        if (swi_lower(s->key[i]) != swi_lower(key[i]))
            return false;
    return i == length;
}

/* The key's slot, or the free one where it belongs. */
static slot *find(const swi_map *map, const char *key, size_t length, uint32_t hash) {
    size_t i = hash & map->mask;
    while (map->slots[i].key && !same_key(map, &map->slots[i], key, length, hash))
        i = (i + 1) & map->mask;
    return &map->slots[i];
}

static bool grow(swi_map *map) {
    size_t slots = (map->mask + 1) * 2;
    slot *old = map->slots, *fresh = slots_new(slots);
    if (!fresh)
        return false;
    for (size_t i = 0; i <= map->mask; i++) {
        if (!old[i].key)
            continue;
        size_t to = old[i].hash & (slots - 1);
        while (fresh[to].key)
            to = (to + 1) & (slots - 1);
        fresh[to] = old[i];
    }
    free(old);
    map->slots = fresh;
    map->mask = slots - 1;
    return true;
}

/* The slot that holds the key, put there when it was not; NULL: memory is out. */
static slot *find_or_add(swi_map *map, const char *key, size_t length, uint32_t value) {
    if (length > UINT32_MAX)
        return NULL;
    uint32_t hash = hash_of(map, key, length);
    slot *s = find(map, key, length, hash);
    if (s->key)
        return s;
    if (map->count + 1 > (map->mask + 1) / 2) {
        if (!grow(map))
            return NULL;
        s = find(map, key, length, hash);
    }
    const char *copy = swi_arena_text(map->arena, key, length);
    if (!copy)
        return NULL;
    *s = (slot){copy, (uint32_t)length, hash, value};
    map->count++;
    return s;
}

uint32_t swi_map_get(const swi_map *map, const char *key, size_t length, uint32_t absent) {
    const slot *s = find(map, key, length, hash_of(map, key, length));
    return s->key ? s->value : absent;
}

void swi_map_set(swi_map *map, const char *key, size_t length, uint32_t value, bool *failed) {
    slot *s = find_or_add(map, key, length, value);
    if (s)
        s->value = value;
    else
        *failed = true;
}

uint32_t swi_map_add(swi_map *map, const char *key, size_t length, uint32_t value, bool *failed) {
    const slot *s = find_or_add(map, key, length, value);
    if (!s)
        *failed = true;
    return s ? s->value : value;
}

size_t swi_map_count(const swi_map *map) {
    return map->count;
}

swi_interner *swi_interner_new(swi_arena *arena) {
    swi_interner *interner = malloc(sizeof *interner);
    if (interner && !set_up(&interner->map, arena, false)) {
        free(interner);
        return NULL;
    }
    return interner;
}

void swi_interner_free(swi_interner *interner) {
    if (!interner)
        return;
    free(interner->map.slots);
    free(interner);
}

const char *swi_intern(swi_interner *interner, const char *text, size_t length) {
    const slot *s = find_or_add(&interner->map, text, length, 0);
    return s ? s->key : NULL;
}
