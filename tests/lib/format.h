/* tests/lib/format.h: what tests of formats share: reading, writing, goldens, bad
 * inputs, damaged inputs.
 *
 * Failing is done with cmocka's asserts, so these are for use inside tests.  Paths
 * are below the source tree (SW_SRCDIR).
 */
#ifndef TEST_FORMAT_H
#define TEST_FORMAT_H

#include <stripwright/format.h>

/* A circuit and the sink that it was read with. */
typedef struct test_reading {
    sw_diags *diags;
    sw_circuit *circuit; /* NULL when reading failed */
    sw_status status;
} test_reading;

/* format NULL: detected, by name too. */
test_reading test_read(const char *format, const char *name, const char *bytes, size_t length);
test_reading test_read_text(const char *format, const char *text);
test_reading test_read_options(const char *format, const char *text,
                               const sw_read_options *options);
test_reading test_read_file(const char *format, const char *path);
void test_reading_free(test_reading *reading);
/* Bytes of a file, malloc'ed and ended by a NUL; fails the test when it is not there. */
char *test_file(const char *path, size_t *length);

/* The circuit written in a format, malloc'ed; diagnostics go to diags (may be NULL:
 * then writing must add none). */
char *test_write(const char *format, const sw_circuit *circuit, sw_diags *diags);
char *test_schedule(const sw_circuit *circuit);
/* Reads text and compares its schedule with the golden text. */
void test_golden(const char *format, const char *text, const char *schedule);
/* Fails unless the first error is of this id and begins at line:column. */
void test_bad_text(const char *format, const char *text, const char *id, unsigned line,
                   unsigned column);
/* Each line of folder/EXPECTED is "FILE LINE:COLUMN ID" (0:0: nowhere), and each file
 * of the folder has a line: reading it must fail with that as first error. */
void test_bad_folder(const char *format, const char *folder);
/* Reads the text cut at every byte, or with 1 % of its bytes damaged in `rounds` ways:
 * each is read or refused with a diagnostic. */
void test_cut_everywhere(const char *format, const char *text, size_t length);
void test_damage(const char *format, const char *text, size_t length, unsigned rounds);
/* Reads the text, and writes it if the format can, with each allocation failing in turn. */
void test_memory_out(const char *format, const char *text);

#endif
