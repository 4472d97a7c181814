/* src/base/sha256.h: SHA-256 (FIPS 180-4), to tell whether an input is the same. */
#ifndef SWI_SHA256_H
#define SWI_SHA256_H

#include <stripwright/base.h>

/* Writes the digest as 64 lower-case hexadecimal digits and a NUL. */
void swi_sha256(const char *bytes, size_t length, char hex[65]);

#endif
