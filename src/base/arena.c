/* src/base/arena.c: blocks from which memory is cut, freed together. */
#include "arena.h"

#include <stdalign.h>
#include <stdlib.h>
#include <string.h>

typedef struct block {
    struct block *next;
    size_t size, used; /* of the bytes after this header */
} block;

enum {
    ALIGN = alignof(max_align_t),
    HEADER = (sizeof(block) + ALIGN - 1) / ALIGN * ALIGN,
    FIRST_BLOCK = 4096,        /* small documents stay small … */
    LARGEST_BLOCK = 1024 * 1024 /* … and large ones need few blocks */
};

struct swi_arena {
    block *current; /* new objects are cut from here; older blocks follow */
    size_t next_size, used;
};

swi_arena *swi_arena_new(void) {
    swi_arena *arena = calloc(1, sizeof *arena);
    if (arena)
        arena->next_size = FIRST_BLOCK;
    return arena;
}

void swi_arena_free(swi_arena *arena) {
    if (!arena)
        return;
    for (block *b = arena->current; b;) {
        block *next = b->next;
        free(b);
        b = next;
    }
    free(arena);
}

static block *new_block(size_t size) {
    if (size > SIZE_MAX - HEADER)
        return NULL;
    block *b = calloc(1, HEADER + size);
    if (b)
        b->size = size;
    return b;
}

/* An object too large to share a block gets its own, put behind the current
 * one so that the current one's rest is not lost. */
static block *block_for(swi_arena *arena, size_t size) {
    block *current = arena->current;
    if (current && current->size - current->used >= size)
        return current;
    bool own = size > arena->next_size / 4;
    block *b = new_block(own ? size : arena->next_size);
    if (!b)
        return NULL;
    if (own && current) {
        b->next = current->next;
        current->next = b;
        return b;
    }
    b->next = current;
    arena->current = b;
    if (!own && arena->next_size < LARGEST_BLOCK)
        arena->next_size *= 2;
    return b;
}

void *swi_arena_alloc(swi_arena *arena, size_t size) {
    if (size > SIZE_MAX - ALIGN)
        return NULL;
    size = size ? (size + ALIGN - 1) / ALIGN * ALIGN : ALIGN;
    block *b = block_for(arena, size);
    if (!b)
        return NULL;
    void *object = (char *)b + HEADER + b->used;
    b->used += size;
    arena->used += size;
    return object;
}

void *swi_arena_array(swi_arena *arena, size_t count, size_t size) {
    if (size && count > SIZE_MAX / size)
        return NULL;
    return swi_arena_alloc(arena, count * size);
}

char *swi_arena_text(swi_arena *arena, const char *text, size_t length) {
    if (length == SIZE_MAX)
        return NULL;
    char *copy = swi_arena_alloc(arena, length + 1);
    if (copy && length)
        memcpy(copy, text, length);
    return copy; /* the end is a NUL already: memory is zeroed */
}

size_t swi_arena_used(const swi_arena *arena) {
    return arena->used;
}

bool swi_grow(void *items, size_t *capacity, size_t need, size_t size) {
    if (need <= *capacity)
        return true;
    size_t most = SIZE_MAX / 2 / size;
    if (need > most)
        return false;
    size_t room = *capacity < 8 ? 8 : *capacity;
    while (room < need)
        room = room > most / 2 ? most : room * 2;
    /* The array's pointer is of any type: copying it keeps to the aliasing rules. */
    void *old;
    memcpy(&old, items, sizeof old);
    void *grown = realloc(old, room * size);
    if (!grown)
        return false;
    memcpy(items, &grown, sizeof grown);
    *capacity = room;
    return true;
}
