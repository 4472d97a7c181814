/* What changed between two circuits: parts, values, pins, nodes, and nothing else. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"

static const char before[] = "R1 R 4k7 - - 1=A 2=B\nR2 R 10k - - 1=B 2=0\nC1 C 100n - - 1=A 2=0\nQ1 Q - BC547 - C=A B=B E=0\n";

/* The changes from `before` to another text, one sentence a line. */
static char *changes(const char *after) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *a = test_circuit(diags, SW_STAGE_NETLIST, before), *b = test_circuit(diags, SW_STAGE_NETLIST, after);
    sw_comparison *comparison = NULL;
    sw_buf text = SW_BUF_INIT;
    sw_status status = sw_circuit_compare(a, b, &comparison);
    assert_non_null(comparison);
    assert_int_equal(status, comparison->change_count ? SW_FINDINGS : SW_OK);
    sw_buf_puts(&text, "");
    for (uint32_t i = 0; i < comparison->change_count; i++) {
        sw_change_write(&comparison->changes[i], &text);
        sw_buf_putc(&text, '\n');
    }
    sw_comparison_free(comparison);
    sw_circuit_free(a);
    sw_circuit_free(b);
    sw_diags_free(diags);
    return text.bytes ? text.bytes : calloc(1, 1);
}

static void expect(const char *after, const char *wanted) {
    char *got = changes(after);
    assert_string_equal(got, wanted);
    free(got);
}

static void other_spellings_are_no_change(void **state) {
    (void)state;
    expect("q1 Q - bc547 - E=gnd2 B=x C=y\nC1 C 0.1u - - 2=gnd2 1=y\nr2 R 10000 - - 1=x 2=gnd2\nR1 R 4700 - - 1=y 2=x\n",
           "");
}

static void values_and_types(void **state) {
    (void)state;
    expect("R1 R 5k6 - - 1=A 2=B\nR2 R 10k - - 1=B 2=0\nC1 C 100n - - 1=A 2=0\nQ1 Q - BC337 TO-92 C=A B=B E=0\n",
           "Q1 is of type BC337 now, was BC547\nQ1 is in package TO-92 now, was in nothing\nR1 is 5k6 now, was 4k7\n");
}

static void parts_and_pins(void **state) {
    (void)state;
    expect("R1 R 4k7 - - 1=A 2=B\nR2 R 10k - - 1=B 2=0\nR10 R 1k - - 1=B 2=A\nQ1 Q - BC547 - C=A B=B E=0 S=0\n",
           "C1 is gone\nQ1 pin S is new, on 0\nR10 is new: 1k\n");
}

static void one_pin_moved(void **state) {
    (void)state;
    expect("R1 R 4k7 - - 1=A 2=B\nR2 R 10k - - 1=A 2=0\nC1 C 100n - - 1=A 2=0\nQ1 Q - BC547 - C=A B=B E=0\n",
           "R2 pin 1 is on A now, was on B\n");
}

/* A node that is split: the greater part keeps it, the rest has moved. */
static void a_node_split(void **state) {
    (void)state;
    expect("R1 R 4k7 - - 1=NEW 2=B\nR2 R 10k - - 1=B 2=0\nC1 C 100n - - 1=A 2=0\nQ1 Q - BC547 - C=A B=B E=0\n",
           "R1 pin 1 is on NEW now, was on A\n");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(other_spellings_are_no_change), cmocka_unit_test(values_and_types),
        cmocka_unit_test(parts_and_pins), cmocka_unit_test(one_pin_moved), cmocka_unit_test(a_node_split),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
