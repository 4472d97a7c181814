/* tests/lib/losses.h: what a writer lost, against what it told.
 *
 * Both are lists of lines "KIND: THING", sorted, so that they can be compared as text:
 * kinds as src/circuit/losses.def has them, and "node name", "pin number" for what is
 * written under another name.
 */
#ifndef TEST_LOSSES_H
#define TEST_LOSSES_H

#include <stripwright/circuit.h>

/* What a circuit has that `after` has not, field by field. */
void test_losses_real(const sw_circuit *before, const sw_circuit *after, sw_buf *out);
/* What the diagnostics say is lost. */
void test_losses_told(const sw_diags *diags, sw_buf *out);

#endif
