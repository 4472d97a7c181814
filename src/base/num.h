/* src/base/num.h: numbers to and from text, the same in any locale. */
#ifndef SWI_NUM_H
#define SWI_NUM_H

#include <stripwright/base.h>

/* Reads digits [. digits] [e [sign] digits] with an optional sign from at most length
 * bytes; returns bytes used, 0 when it is no number.  The result is the double
 * nearest to what is written (ties to even).  A number too large for a double is
 * no number; one too small is 0.  An e without digits after it is not part of the
 * number. */
size_t swi_real_read(const char *text, size_t length, double *value);
/* Whole text must be a decimal integer within [least, most]. */
bool swi_int_read(const char *text, long least, long most, long *value);
/* Shortest text that reads back to the same double (at most 17 digits), point
 * as decimal sign: for files.  Plain digits from 1e-5 to below 1e17, else an exponent:
 * 0.001, 1e-7, 2.5e20. */
void swi_real_write(sw_buf *out, double value);

/* The digits of a positive number, 0.d1d2d3… × 10^point, as short as reads back,
 * rounded to at most `most` (1 to 17) of them; the last one is no zero. */
typedef struct swi_digits {
    char d[24]; /* '0' to '9'; no NUL */
    int count, point;
} swi_digits;
swi_digits swi_real_digits(double value, int most);

#endif
