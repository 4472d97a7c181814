/* src/base/arena.c: blocks from which memory is cut, freed together. */
#include "arena.h"

#include <stdalign.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

typedef struct block {
    struct block *next;
    size_t size, used; /* of the bytes after this header */
} block;

enum {
    ALIGN = alignof(max_align_t),
    HEADER = (sizeof(block) + ALIGN - 1) / ALIGN * ALIGN,
    FIRST_BLOCK = 4096,             /* small documents stay small … */
    LARGEST_BLOCK = 4 * 1024 * 1024 /* … and large ones need few blocks */
};

/* Of the system's large pages, where it has them; a power of two. */
#define LARGE_PAGE ((size_t)2 * 1024 * 1024)

void *swi_large_alloc(size_t *size) {
    if (*size < LARGE_PAGE)
        return malloc(*size);
    if (*size > SIZE_MAX - LARGE_PAGE)
        return NULL;
    size_t whole = (*size + LARGE_PAGE - 1) & ~(LARGE_PAGE - 1);
    void *memory = aligned_alloc(LARGE_PAGE, whole);
#ifdef MADV_HUGEPAGE
    if (memory)
        madvise(memory, whole, MADV_HUGEPAGE); /* advice: that it is refused means nothing */
#endif
    *size = whole;
    return memory;
}

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

/* A block of at least so many bytes after its header. */
static block *new_block(size_t size) {
    if (size > SIZE_MAX - HEADER)
        return NULL;
    size_t whole = HEADER + size;
    block *b = swi_large_alloc(&whole);
    if (b)
        *b = (block){NULL, whole - HEADER, 0};
    return b;
}

/* An object too large to share a block gets its own, put behind the current
 * one so that the current one's rest is not lost. */
static block *block_for(swi_arena *arena, size_t size) {
    bool own = size > arena->next_size / 4;
    block *b = new_block(own ? size : arena->next_size - HEADER);
    if (!b)
        return NULL;
    if (own && arena->current) {
        b->next = arena->current->next;
        arena->current->next = b;
        return b;
    }
    b->next = arena->current;
    arena->current = b;
    if (!own && arena->next_size < LARGEST_BLOCK)
        arena->next_size *= 4;
    return b;
}

void swi_arena_expect(swi_arena *arena, size_t bytes) {
    while (arena->next_size < bytes && arena->next_size < LARGEST_BLOCK)
        arena->next_size *= 4;
}

/* Bytes at a multiple of `align`, a power of two; not zeroed. */
static inline void *cut(swi_arena *arena, size_t size, size_t align) {
    block *b = arena->current;
    size_t from = b ? (b->used + align - 1) & ~(align - 1) : 0;
    if (!b || b->size < from || b->size - from < size) {
        b = block_for(arena, size);
        from = 0;
    }
    if (!b)
        return NULL;
    arena->used += from - b->used + size;
    b->used = from + size;
    return (char *)b + HEADER + from;
}

void *swi_arena_alloc(swi_arena *arena, size_t size) {
    void *object = cut(arena, size ? size : 1, ALIGN);
    return object ? memset(object, 0, size) : NULL;
}

void *swi_arena_array(swi_arena *arena, size_t count, size_t size) {
    if (size && count > SIZE_MAX / size)
        return NULL;
    return swi_arena_alloc(arena, count * size);
}

char *swi_arena_text(swi_arena *arena, const char *text, size_t length) {
    if (length == SIZE_MAX)
        return NULL;
    char *copy = cut(arena, length + 1, 1);
    if (!copy)
        return NULL;
    if (length)
        memcpy(copy, text, length);
    copy[length] = '\0';
    return copy;
}

size_t swi_arena_used(const swi_arena *arena) {
    return arena->used;
}

/* More room for what is in `old`; of large arrays on large pages, which outweighs the
 * copying: each small page costs its first touch. */
static void *move(void *old, size_t used, size_t *size) {
    if (*size < LARGE_PAGE)
        return realloc(old, *size);
    void *grown = swi_large_alloc(size);
    if (!grown)
        return NULL;
    if (used)
        memcpy(grown, old, used);
    free(old);
    return grown;
}

bool swi_grow(void *items, size_t *capacity, size_t need, size_t size) {
    if (need <= *capacity)
        return true;
    size_t most = SIZE_MAX / 2 / size;
    if (need > most)
        return false;
    size_t room = *capacity ? *capacity : need < 8 ? 8 : need;
    while (room < need)
        room = room > most / 2 ? most : room * 2;
    /* The array's pointer is of any type: copying it keeps to the aliasing rules. */
    void *old;
    memcpy(&old, items, sizeof old);
    size_t bytes = room * size;
    void *grown = move(old, *capacity * size, &bytes);
    if (!grown)
        return false;
    memcpy(items, &grown, sizeof grown);
    *capacity = bytes / size;
    return true;
}
