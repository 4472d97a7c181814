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
#include "base/text.h"
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
/* Whether an object's name is this text, as this index compares them. */
static inline bool swi_names_are(const swi_names *names, const char *name, const char *text,
                                 size_t length) {
    size_t i = 0;
    while (i < length && name[i] == text[i])
        i++;
    if (i == length)
        return name[i] == '\0';
    return names->fold && swi_equal_fold_n(text + i, length - i, name + i);
}

/* The object of that name, SW_NONE when there is none: then *slot is where it would
 * stand.  Here, so that readers' inner loops ask the owner for names without a call. */
static inline uint32_t swi_names_find_hashed(const swi_names *names, uint32_t hash,
                                             const char *text, size_t length,
                                             swi_name_of name_of, const void *owner,
                                             uint32_t *slot) {
    uint32_t at = hash & names->mask, number;
    for (; (number = names->slots[at].number); at = (at + 1) & names->mask)
        if (names->slots[at].hash == hash &&
            swi_names_are(names, name_of(owner, number - 1), text, length))
            break;
    *slot = at;
    return number - 1; /* of an empty slot SW_NONE */
}
uint32_t swi_names_find(const swi_names *names, const char *text, size_t length,
                        swi_name_of name_of, const void *owner);
/* Adds an object whose name is not there yet, in the slot where it was looked for last;
 * false when memory is out. */
bool swi_names_add_at(swi_names *names, uint32_t slot, uint32_t hash, uint32_t number);
/* The same for a name that was not looked for. */
bool swi_names_add(swi_names *names, uint32_t number, swi_name_of name_of, const void *owner);

#endif
