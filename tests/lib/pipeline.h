/* tests/lib/pipeline.h: bytes through the whole pipeline, as the command does it.
 *
 * What is read is fitted, numbered, reviewed, checked and written.  Nothing is expected of
 * the bytes but an end: a finding where there is no result; and of a circuit that was read,
 * that each format gives it back, or tells what it has no place for.
 */
#ifndef TEST_PIPELINE_H
#define TEST_PIPELINE_H

#include <stripwright/stripwright.h>

/* A circuit or a plan in whatever format the bytes are; the name's ending counts as for the
 * command. */
void test_pipeline_file(const char *name, const char *bytes, size_t length);
/* A table of packages or devices, and a parts sheet, which serve the lamp. */
void test_pipeline_table(const char *name, const char *bytes, size_t length);
void test_pipeline_sheet(const char *name, const char *bytes, size_t length);
/* The lamp that plans are checked against, fitted. */
sw_circuit *test_pipeline_lamp(const sw_library *library, const sw_sheet *sheet, sw_diags *diags);

#endif
