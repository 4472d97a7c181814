/* tests/layout/harness.h: what tests of the search share. */
#ifndef LAYOUT_HARNESS_H
#define LAYOUT_HARNESS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "layout/lanes.h"
#include "tests/bench/circuits.h"

/* A circuit with what it needs, and the search's picture of it. */
typedef struct bed {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *circuit;
    sw_layout_options options;
    swi_params params;
    sw_layout_report report;
    swi_model *model;
} bed;

static inline void bed_open(bed *b) {
    memset(b, 0, sizeof *b);
    b->diags = sw_diags_new(NULL);
    b->library = sw_library_new(b->diags);
    assert_non_null(b->library);
    sw_layout_options_default(&b->options);
    b->options.effort = SW_EFFORT_QUICK;
    swi_params_default(&b->params);
    b->params.quick_moves = 20; /* enough for what is tested, quick under valgrind too */
}

/* A bench circuit, and enough moves for plans that matter. */
static inline void bed_open_named(bed *b, const char *name) {
    bed_open(b);
    b->circuit = bench_circuit(name, b->library, b->diags);
    assert_non_null(b->circuit);
    b->params.quick_moves = 100;
}

static inline void bed_model(bed *b) {
    sw_status status;
    b->model = swi_model_new(b->circuit, b->library, &b->options, &b->params, b->diags, &status);
    assert_non_null(b->model);
}

static inline void bed_close(bed *b) {
    swi_model_free(b->model);
    sw_circuit_free(b->circuit);
    sw_library_free(b->library);
    sw_diags_free(b->diags);
}

#endif
