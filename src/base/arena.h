/* src/base/arena.h: memory that is freed all at once, and growing arrays.
 *
 * An arena a document (a circuit, a plan, a report).  Everything returns NULL
 * when memory is out; nothing here aborts.
 */
#ifndef SWI_ARENA_H
#define SWI_ARENA_H

#include <stripwright/base.h>

typedef struct swi_arena swi_arena;

swi_arena *swi_arena_new(void);
void swi_arena_free(swi_arena *arena);
/* Zeroed, aligned for any object; a size of 0 gives a pointer too. */
void *swi_arena_alloc(swi_arena *arena, size_t size);
void *swi_arena_array(swi_arena *arena, size_t count, size_t size); /* overflow-checked */
char *swi_arena_text(swi_arena *arena, const char *text, size_t length); /* NUL-terminated copy */
/* About so many bytes will be wanted: the next block is made accordingly. */
void swi_arena_expect(swi_arena *arena, size_t bytes);
/* Bytes handed out so far, padding included. */
size_t swi_arena_used(const swi_arena *arena);

/* Memory as of malloc, for free and realloc.  What is large is on large pages where the
 * system has them, for the first touch of each page costs as much as reading a hundred
 * bytes of a deck; *size becomes what there is then, at least what was asked for. */
void *swi_large_alloc(size_t *size);

/* Makes room for `need` items in all in a malloc'ed array, doubling its capacity;
 * new room is not zeroed.  false, and nothing changed, when memory is out.
 * `items` is the address of the array's pointer.  Use through SWI_GROW. */
bool swi_grow(void *items, size_t *capacity, size_t need, size_t size);
#define SWI_GROW(items, capacity, need) \
    ((need) <= (capacity) || swi_grow(&(items), &(capacity), (need), sizeof *(items)))

#endif
