/* tests/lib/alloc.c: allocations that fail when a test says so. */
#include "alloc.h"

#include <stdatomic.h>
#include <stddef.h>

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *memory, size_t size);
void *__real_aligned_alloc(size_t align, size_t size);
char *__real_strdup(const char *text);
char *__real_strndup(const char *text, size_t length);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *memory, size_t size);
void *__wrap_aligned_alloc(size_t align, size_t size);
char *__wrap_strdup(const char *text);
char *__wrap_strndup(const char *text, size_t length);

/* Atomic, since the search allocates from several threads. */
static atomic_long made, failing = -1;
static atomic_bool failed;

void test_alloc_fail(long n) {
    atomic_store(&made, 0);
    atomic_store(&failed, false);
    atomic_store(&failing, n);
}

bool test_alloc_reset(void) {
    atomic_store(&failing, -1);
    return atomic_load(&failed);
}

long test_alloc_count(void) {
    return atomic_load(&made);
}

static bool fails_now(void) {
    bool now = atomic_fetch_add(&made, 1) == atomic_load(&failing);
    if (now) atomic_store(&failed, true);
    return now;
}

void *__wrap_malloc(size_t size) {
    return fails_now() ? NULL : __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size) {
    return fails_now() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *memory, size_t size) {
    return fails_now() ? NULL : __real_realloc(memory, size);
}

void *__wrap_aligned_alloc(size_t align, size_t size) {
    return fails_now() ? NULL : __real_aligned_alloc(align, size);
}

char *__wrap_strdup(const char *text) {
    return fails_now() ? NULL : __real_strdup(text);
}

char *__wrap_strndup(const char *text, size_t length) {
    return fails_now() ? NULL : __real_strndup(text, length);
}
