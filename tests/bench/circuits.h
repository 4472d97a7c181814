/* tests/bench/circuits.h: fitted circuits for tests and benches of the search. */
#ifndef BENCH_CIRCUITS_H
#define BENCH_CIRCUITS_H

#include <stripwright/stripwright.h>

/* One circuit of the list by name; NULL when unknown or memory is out. */
sw_circuit *bench_circuit(const char *name, const sw_library *library, sw_diags *diags);
/* One from lines of "REF KIND PACKAGE NODE…", each ended by a newline. */
sw_circuit *bench_lines(const char *lines, const sw_library *library, sw_diags *diags);
/* Names in order; NULL past the end. */
const char *bench_circuit_name(int index);
/* Holes of the published hand-made board of the same make-up; 0 none. */
int bench_circuit_published(int index);

/* A made-up circuit of so many parts: a few DIPs, transistors, presets and terminals, two
 * rails, the rest two-lead parts on small local nodes. */
typedef struct bench_recipe {
    int parts;
    uint64_t seed;
    int ics;   /* DIPs, per cent of the parts */
    int local; /* 2 to 8: the fewer, the nearer in the list are the parts that a node joins */
} bench_recipe;
sw_circuit *bench_made_up(const bench_recipe *recipe, const sw_library *library, sw_diags *diags);
/* Of 7 per cent DIPs, local 8. */
sw_circuit *bench_synthetic(int parts, uint64_t seed, const sw_library *library, sw_diags *diags);

#endif
