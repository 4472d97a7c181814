/* tests/lib/plans.h: plans to try papers on. */
#ifndef TEST_PLANS_H
#define TEST_PLANS_H

#include <stripwright/board.h>

/* A frost alarm on 8 strips of 19 columns, drawn by hand: an 8-pin comparator, a
 * transistor, an LED, a diode, capacitors, resistors, wires to the thermistor, the buzzer
 * and the battery; legal.  NULL when memory is out. */
sw_plan *test_plan_frost(void);

/* Parts of the library thrown on a board until about `fill` percent of the holes are
 * covered, with cuts and links; nothing overlaps, nodes are what the copper joins.  The
 * same seed gives the same plan. */
sw_plan *test_plan_random(uint32_t seed, int strips, int columns, int fill, const sw_library *library);

#endif
