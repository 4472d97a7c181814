/* The fitted circuit and its numbers do not depend on how the netlist is written:
 * order of lines, letter case of references, names of inner nodes.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/circuit.h"

/* Inner nodes are $1, $2, …: what stands for each of them is up to the writing. */
static const char *const lines[] = {
    "V1 V 9 - - +=VCC -=0", "V2 V 0 - - +=VCC -=$1", "X1 X - LM358 - IN+=$2 IN-=$3 OUT=$4",
    "X2 X - LM358 - IN+=$5 IN-=$6 OUT=$7", "R3 R 4k - - 1=VCC 2=$2", "R4 R 6k - - 1=$2 2=0",
    "Q1 Q - BC547 - C=$4 B=$5 E=0", "M1 M - 2N7000 - D=$7 G=$6 S=0 B=0",
    "C1 C 10u - - 1=$1 2=0", "D1 D - RLED - A=$7 K=0", "R8 R 8 - - 1=$4 2=0",
    "U7 ? - CD4011 - 14=VCC 7=0 1=$8 2=$8 3=$9 4=$3 5=$9 6=$9", "R9 R 1k - - 1=$8 2=$5",
    "SW1 ? - - BUTTON-6 1=$8 3=$6", "R10 R 10k - - 1=$3 2=$4", "R11 R 1k - - 1=$5 2=$6"};
static const char rows[] =
    "@ LM358 ref=U1 supply=VCC:8,0:4\n@ X1 unit=A\n@ X2 unit=B\n"
    "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n"
    "@ R8 ref=LS1 place=off\n";
enum { LINES = sizeof lines / sizeof *lines, NODES = 10 };

static uint32_t next_random(uint32_t *seed) { /* Numerical Recipes' constants */
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

static void shuffle(int *order, int count, uint32_t *seed) {
    for (int i = 0; i < count; i++)
        order[i] = i;
    for (int i = count - 1; i > 0; i--) {
        int k = (int)(next_random(seed) % (uint32_t)(i + 1));
        int kept = order[i];
        order[i] = order[k];
        order[k] = kept;
    }
}

static void write_line(sw_buf *out, const char *line, const int *names, bool lower) {
    bool ref = true;
    for (; *line; line++) {
        ref = ref && *line != ' ';
        if (*line == '$') {
            sw_buf_printf(out, "q%dz", names[line[1] - '0'] * 7 + 3);
            line++;
        } else {
            sw_buf_putc(out, ref && lower ? swi_lower(*line) : *line);
        }
    }
    sw_buf_putc(out, '\n');
}

static void write_netlist(sw_buf *out, uint32_t seed) {
    int order[LINES], names[NODES];
    bool lower = seed & 1;
    shuffle(order, LINES, &seed);
    shuffle(names, NODES, &seed);
    bool rows_first = next_random(&seed) & 1;
    if (rows_first)
        sw_buf_puts(out, rows);
    for (int i = 0; i < LINES; i++)
        write_line(out, lines[order[i]], names, lower);
    if (!rows_first)
        sw_buf_puts(out, rows);
}

/* Everything but names: parts with what they are, pins with their node's number.
 * References in capitals: they are compared without case. */
static void describe(sw_buf *out, const sw_circuit *c) {
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_part *part = &c->parts[i];
        for (const char *at = part->ref; *at; at++)
            sw_buf_putc(out, swi_upper(*at));
        sw_buf_printf(out, " %s/%s/%s", part->package, part->device, part->value);
        for (uint32_t p = 0; p < part->pin_count; p++) {
            const sw_pin *pin = &c->pins[part->first_pin.i + p];
            sw_buf_printf(out, " %s=%u", pin->number, c->nodes[pin->node.i].number);
        }
        sw_buf_putc(out, '\n');
    }
}

static void fit_and_describe(uint32_t seed, sw_buf *out, sw_library *library, sw_diags *diags) {
    sw_buf text = SW_BUF_INIT;
    write_netlist(&text, seed);
    sw_circuit *netlist = test_circuit(diags, SW_STAGE_NETLIST, text.bytes), *c = NULL;
    assert_non_null(netlist);
    if (sw_fit(netlist, library, NULL, diags, &c, NULL) != SW_OK)
        fail_msg("%s", sw_diags_get(diags, 0)->message);
    assert_int_equal(sw_circuit_number(c, diags), SW_OK);
    describe(out, c);
    sw_circuit_free(c);
    sw_circuit_free(netlist);
    sw_buf_free(&text);
}

static void numbers_depend_on_references_and_pins_alone(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_buf first = SW_BUF_INIT;
    fit_and_describe(0, &first, library, diags);
    assert_non_null(strstr(first.bytes, "RV1 TRIM-6/preset/10k 1=1 "));
    for (uint32_t seed = 1; seed < 200; seed++) {
        sw_buf other = SW_BUF_INIT;
        fit_and_describe(seed, &other, library, diags);
        assert_string_equal(first.bytes, other.bytes);
        sw_buf_free(&other);
    }
    sw_buf_free(&first);
    sw_library_free(library);
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_depend_on_references_and_pins_alone),
    };
    return cmocka_run_group_tests_name("circuit: the same however written", tests, NULL, NULL);
}
