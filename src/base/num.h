/* src/base/num.h: numbers to and from text, the same in any locale. */
#ifndef SWI_NUM_H
#define SWI_NUM_H

#include <stripwright/base.h>

/* Reads digits [. digits] [e [sign] digits] with an optional sign from at most length
 * bytes; returns bytes used, 0 when it is no number. */
size_t swi_real_read(const char *text, size_t length, double *value);
/* Whole text must be a decimal integer within [least, most]. */
bool swi_int_read(const char *text, long least, long most, long *value);
/* Shortest text that reads back to the same double (at most 17 digits), point
 * as decimal sign: for files. */
void swi_real_write(sw_buf *out, double value);

#endif
