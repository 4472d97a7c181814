/* src/base/utf16.h: text in UTF-16, as some programs export tables. */
#ifndef SWI_UTF16_H
#define SWI_UTF16_H

#include <stripwright/base.h>

/* Whether the bytes begin with a byte order mark of UTF-16, of either order. */
bool swi_is_utf16(const char *bytes, size_t length);
/* Appends that text in UTF-8, without the mark; what is no character, a half of a surrogate pair or half a unit
 * at the end, as U+FFFD (The Unicode Standard, 3.9). */
void swi_put_utf16(sw_buf *out, const char *bytes, size_t length);

#endif
