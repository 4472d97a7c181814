/* tests/lib/circuit.h: circuits for tests, from a few lines of text.
 *
 * A line a part:  REF KIND VALUE DEVICE PACKAGE PIN=NODE PIN=NODE …
 * with - for what is not stated, "!" behind the kind for a part whose pin names
 * are only positions, NUMBER:NAME for a pin that has both, NODE ~ for a node of its
 * own, and a line `= A B` that joins two nodes.  Lines of pins alone go on with the part above: "+ PIN=NODE".
 * A line `@ NAME key=value …` is a fitting row.  Nothing here checks the text: a
 * test that spells it wrongly fails by its own claims.
 */
#ifndef TEST_CIRCUIT_H
#define TEST_CIRCUIT_H

#include <stripwright/circuit.h>

/* The text's source is taken into the sink as `name`, so that spans show. */
sw_circuit *test_circuit(sw_diags *diags, sw_stage stage, const char *text);
/* How many diagnostics of this id the sink keeps. */
size_t test_count(const sw_diags *diags, sw_diag_id id);
/* The first message of this id, "" when there is none. */
const char *test_message(const sw_diags *diags, sw_diag_id id);
/* The name and number of the node that a pin ("R1.2") is on; "" and 0: no such pin. */
const char *test_node_of(const sw_circuit *circuit, const char *pin);
uint32_t test_number_of(const sw_circuit *circuit, const char *pin);

#endif
