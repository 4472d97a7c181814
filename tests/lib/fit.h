/* tests/lib/fit.h: circuits fitted for tests, and what is asked of them. */
#ifndef TEST_FIT_H
#define TEST_FIT_H

#include <stripwright/circuit.h>

/* One fit with everything that it gave. */
typedef struct test_fitting {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *netlist, *c;
    sw_sheet *sheet, *report;
    sw_status status;
} test_fitting;

/* Fits the lines of a circuit (tests/lib/circuit.h), with a sheet and with rails (`NODE=VOLTS`,
 * NULL at the end) or NULL; test_fit with neither.  Either ends with test_fit_done. */
test_fitting test_fit_with(const char *text, const char *sheet, const char *const *rails);
test_fitting test_fit(const char *text);
void test_fit_done(test_fitting *f);

/* A part as text: REF package/device/value pin=node …, lone pins left out. */
void test_fit_part(const test_fitting *f, const char *want);
/* The refs of all parts, in order. */
void test_fit_refs(const test_fitting *f, const char *want);
/* The fit fails with just this error, whose message has `part` in it. */
void test_fit_fails(const char *text, sw_diag_id id, const char *part);

#endif
