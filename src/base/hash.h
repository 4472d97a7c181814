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

/* One to eight bytes in one word, each for itself. */
static inline uint64_t swi_hash_end(const char *text, size_t length) {
    return length == 8 ? swi_hash_word(text, 8) : swi_hash_rest(text, length);
}

enum { SWI_HASH_LAST = 15 }; /* the bits that are the last character's */

/* Names of large circuits are numbered, and stand in the order of their numbers: R10, R11,
 * R12, or Q[10], Q[11].  The low bits are those of the last character, or of the one
 * before a bracket, so that in a table ten such names are on two lines of the processor's
 * cache and not on ten; the others are of all characters before it.
 *
 * Eight bytes a step, each one to one, so that texts of one length up to nine never meet
 * before the last fold.  The factor is odd, its bits without pattern (the golden ratio's).
 * fold: bit 5, which tells ASCII letters' case, counts for nothing; other texts that differ
 * in it only share a hash, which costs a comparison.  On machines of another byte order
 * the hash is another, and nothing else: no output depends on it. */
static inline uint32_t swi_hash(const char *text, size_t length, bool fold) {
    const uint64_t factor = UINT64_C(0x9E3779B97F4A7C15);
    const uint64_t blind = fold ? UINT64_C(0x2020202020202020) : 0;
    if (length == 0)
        return 0;
    uint64_t hash = (uint64_t)length * factor;
    if (text[length - 1] == ']' && length > 1)
        hash = ~hash, length--;
    uint32_t last = (unsigned char)text[length - 1];
    for (length--; length >= 8; length -= 8, text += 8) {
        hash = (hash ^ (swi_hash_word(text, 8) | blind)) * factor;
        hash ^= hash >> 32;
    }
    hash = (hash ^ (swi_hash_rest(text, length) | blind)) * factor;
    hash = (hash ^ (hash >> 32)) * factor;
    return ((uint32_t)(hash >> 32) & ~(uint32_t)SWI_HASH_LAST) | (last & SWI_HASH_LAST);
}

#endif
