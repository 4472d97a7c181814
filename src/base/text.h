/* src/base/text.h: interned text, maps from text to numbers, comparing. */
#ifndef SWI_TEXT_H
#define SWI_TEXT_H

#include "arena.h"
#include "hash.h"

/* Text to uint32 map, keys compared exactly or (fold) without ASCII case.  Keys
 * are copied into the arena. */
typedef struct swi_map swi_map;
swi_map *swi_map_new(swi_arena *arena, bool fold);
void swi_map_free(swi_map *map);              /* the table; keys stay in the arena */
/* The value under key, or absent. */
uint32_t swi_map_get(const swi_map *map, const char *key, size_t length, uint32_t absent);
/* Sets unless there; returns the value now under key (the old one when it was there).
 * *failed is set when memory is out, and left alone otherwise. */
uint32_t swi_map_add(swi_map *map, const char *key, size_t length, uint32_t value, bool *failed);
/* Sets in any case. */
void swi_map_set(swi_map *map, const char *key, size_t length, uint32_t value, bool *failed);
size_t swi_map_count(const swi_map *map);

/* One copy of each text: equal texts are the same pointer. */
typedef struct swi_interner swi_interner;
swi_interner *swi_interner_new(swi_arena *arena);
void swi_interner_free(swi_interner *interner); /* the table; the text stays in the arena */
const char *swi_intern(swi_interner *interner, const char *text, size_t length); /* NULL: memory is out */

/* The ending of a word behind a count: "1 link", "2 links". */
#define SWI_S(count) ((count) == 1 ? "" : "s")

/* Characters, ASCII only whatever the locale; here, for readers ask of each byte. */
static inline char swi_lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}
static inline char swi_upper(char c) {
    return c >= 'a' && c <= 'z' ? (char)(c - ('a' - 'A')) : c;
}
static inline bool swi_is_digit(char c) {
    return c >= '0' && c <= '9';
}
static inline bool swi_is_alpha(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
static inline bool swi_is_space(char c) { /* blank, tab, CR, LF, VT, FF */
    return c == ' ' || (c >= '\t' && c <= '\r');
}

/* Whether a text is printable ASCII alone, eight bytes at a time: what is below the blank
 * borrows, what is above the tilde carries, or is beyond ASCII already, and each shows in a
 * byte's high bit. */
static inline bool swi_is_printable(const char *text, size_t length) {
    const uint64_t blanks = UINT64_C(0x2020202020202020), ones = UINT64_C(0x0101010101010101);
    uint64_t seen = 0, word;
    for (; length >= 8; length -= 8, text += 8) {
        word = swi_hash_word(text, 8);
        seen |= (word - blanks) | (word + ones) | word;
    }
    word = swi_hash_rest(text, length) | (length >= 4 ? 0 : length ? blanks << 24 : blanks);
    seen |= (word - blanks) | (word + ones) | word;
    return !(seen & (ones << 7));
}

/* ASCII only, whatever the locale. */
int swi_compare_fold(const char *a, const char *b);             /* <0 0 >0 */
bool swi_equal_fold(const char *a, const char *b);
bool swi_equal_fold_n(const char *a, size_t na, const char *b); /* a by length, b a string */
/* Natural order: runs of digits by value, letters without case: R2 < R10.  0 only
 * for texts that are equal but for case: R2 < R02. */
int swi_natural_compare(const char *a, const char *b);
/* A pattern with * (any run of characters), without case. */
bool swi_match(const char *pattern, const char *text);
/* Whether the text is a list in parentheses that begins with the word, in any case: "(edif", also behind
 * a byte order mark and blanks. */
bool swi_begins_list(const char *bytes, size_t length, const char *word);
/* Bytes of the UTF-8 character at text (1 for a byte that is none). */
size_t swi_utf8_length(const char *text, size_t left);
bool swi_utf8_valid(const char *text, size_t length);
/* Appends text as UTF-8: one that is not is taken as Latin-1 (ISO 8859-1). */
void swi_put_utf8(sw_buf *out, const char *text, size_t length);
/* Appends text so that a terminal shows it and does nothing else: control
 * characters, invisible direction marks and bytes that are no UTF-8 become "·".
 * A tab is kept when tabs is true. */
void swi_put_visible(sw_buf *out, const char *text, size_t length, bool tabs);

#endif
