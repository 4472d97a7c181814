/* src/circuit/names.h: an index from a name to the number of the object that
 * bears it, which keeps no name itself.
 *
 * A circuit of a million parts wants its references found again, but not stored
 * twice: a slot is one number, and the name is asked of whoever owns the
 * objects.  (swi_map of src/base keeps its keys; it serves where keys have no
 * other home.)
 */
#ifndef SWI_NAMES_H
#define SWI_NAMES_H

#include "base/arena.h"
#include "base/hash.h"
#include <stripwright/circuit.h>

/* The hash tells most other names apart without a look at the object. */
typedef struct swi_name_slot {
    uint32_t hash;
    uint32_t number; /* + 1; 0 empty */
} swi_name_slot;

typedef struct swi_names {
    swi_name_slot *slots; /* a power of two of them */
    uint32_t mask;    /* slots - 1 */
    uint32_t count;
    bool fold;        /* without regard to ASCII case */
    swi_arena *arena; /* where the slots are; NULL: malloc */
} swi_names;

/* The name of object `number`, never NULL. */
typedef const char *(*swi_name_of)(const void *owner, uint32_t number);

/* Room for `expected` names at once; false when memory is out. */
bool swi_names_init(swi_names *names, bool fold, uint32_t expected, swi_arena *arena);
/* The same for an index that may hold names already. */
bool swi_names_reserve(swi_names *names, uint32_t expected);
void swi_names_free(swi_names *names); /* only those without an arena */

/* The hash that an index knows a name by: worked out once, it serves to find the name
 * and, when it is not there, to add it. */
static inline uint32_t swi_names_hash(const swi_names *names, const char *text, size_t length) {
    return swi_hash(text, length, names->fold);
}
/* The object of that name, SW_NONE when there is none. */
uint32_t swi_names_find_hashed(const swi_names *names, uint32_t hash, const char *text,
                               size_t length, swi_name_of name_of, const void *owner);
uint32_t swi_names_find(const swi_names *names, const char *text, size_t length,
                        swi_name_of name_of, const void *owner);
/* Adds an object whose name is not there yet; false when memory is out. */
bool swi_names_add_hashed(swi_names *names, uint32_t hash, uint32_t number);
bool swi_names_add(swi_names *names, uint32_t number, swi_name_of name_of, const void *owner);

#endif
