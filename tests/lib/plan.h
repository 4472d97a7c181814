/* tests/lib/plan.h: fitted circuits and plans for tests, from a few lines of text. */
#ifndef TEST_PLAN_H
#define TEST_PLAN_H

#include <stripwright/board.h>

/* test_circuit's text, fitted: packages are looked up in the library. */
sw_circuit *test_fitted(const sw_library *library, const char *text);

/* A line a thing, blanks between words:
 *   board I20            the bottom right hole
 *   margin 1
 *   R1 C4 G4 …           a part: the holes of its package's pins, in order;
 *                        - for a pin without a lead.  "R1@90" states the turn,
 *                        "R1=RES-0.5W" the package
 *   cut D7    knife D9    asked D7
 *   link B3 F3
 *   keep A1 C3 screw
 * Values, packages and nodes are left to sw_plan_complete, which is called. */
sw_plan *test_plan(const sw_circuit *fitted, const sw_library *library, const char *text);
/* The same, not completed, node numbers 0 and packages as stated only. */
sw_plan *test_plan_bare(const char *text);

sw_hole test_hole(const char *name);

/* A thermistor, a comparator, a lamp and its driver: the greenhouse's frost alarm,
 * and a good plan of it by hand. */
extern const char test_frost_circuit[], test_frost_plan[];
/* So many frost alarms side by side on one board with common rails, 11 parts and 21
 * columns each: texts for test_fitted and test_plan. */
void test_frost_row(int count, sw_buf *circuit, sw_buf *plan);
/* The rain counter's push button, whose legs are joined in pairs. */
extern const char test_counter_circuit[], test_counter_plan[];

#endif
