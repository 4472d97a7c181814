/* src/base/hash.h: the hash of a text, for tables that find names. */
#ifndef SWI_HASH_H
#define SWI_HASH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

static inline uint64_t swi_hash_word(const char *text, size_t bytes) {
    uint64_t word = 0;
    memcpy(&word, text, bytes);
    return word;
}

/* The last bytes, fewer than eight, in one word: reads that may overlap, so that there
 * are no loops. */
static inline uint64_t swi_hash_rest(const char *text, size_t length) {
    if (length >= 4)
        return swi_hash_word(text, 4) | swi_hash_word(text + length - 4, 4) << 32;
    if (length == 0)
        return 0;
    return swi_hash_word(text, 1) | swi_hash_word(text + length / 2, 1) << 8 |
           swi_hash_word(text + length - 1, 1) << 16;
}

/* Eight bytes a step: each is one to one, so texts of one length up to eight bytes never
 * meet before the last fold.  The factors are odd, their bits without pattern (the golden
 * ratio's, and a prime).  fold: bit 5, which tells ASCII letters' case, counts for nothing;
 * other texts that differ in it only share a hash, which costs a comparison.  On machines
 * of another byte order the hash is another, and nothing else: no output depends on it. */
static inline uint32_t swi_hash(const char *text, size_t length, bool fold) {
    const uint64_t first = UINT64_C(0x9E3779B97F4A7C15), second = UINT64_C(0x100000001B3);
    const uint64_t blind = fold ? UINT64_C(0x2020202020202020) : 0;
    uint64_t hash = (uint64_t)length * second;
    for (; length >= 8; length -= 8, text += 8) {
        hash = (hash ^ (swi_hash_word(text, 8) | blind)) * first;
        hash ^= hash >> 32;
    }
    hash = (hash ^ (swi_hash_rest(text, length) | blind)) * first;
    hash = (hash ^ (hash >> 32)) * first;
    return (uint32_t)(hash >> 32);
}

#endif
