/* Netlists in plain lines.  What such files hold is from memory; the shapes were compared with what an open
 * netlister's own tests expect of it (eight circuits, five kinds of files each: the same circuit from all). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

#define HEAD "stripwright schedule 1\n"

static const char blocks[] = "[\nR1\nAXIAL0.4\n10k\n\n\n]\n[\nC1\n\nPOLARIZED\n10u\n]\n[\nU1\nDIP8\nNE555\n]\n"
                             "(\nVCC line\nR1-1\nU1-8 passive\n)\n(\nA\nR1-2\nC1-1\n)\n{\nrule\n}\n";

static void parts_and_nets_in_blocks(void **state) {
    (void)state;
    test_golden("lines", blocks,
                HEAD "part C1 kind=C value=10u device=POLARIZED package=\n"
                     "part R1 kind=R value=10k device= package=AXIAL0.4\n"
                     "part U1 kind=X value=NE555 device= package=DIP8\n"
                     "node - name=A rail= : C1.1 R1.2\n"
                     "node - name=\"VCC line\" rail= : R1.1 U1.8\n");
}

static void blocks_that_name_their_fields(void **state) {
    (void)state;
    test_golden("lines", "PROTEL NETLIST 2.0\r\n[\r\nDESIGNATOR\r\nU1\r\nFOOTPRINT\r\nunknown\r\nPARTTYPE\r\nLM317\r\n"
                         "DESCRIPTION\r\nregulator\r\nPart Field 1\r\n*\r\n]\r\n(\r\nOUT\r\nU1-2 LM317-2 PASSIVE\r\n)\r\n",
                HEAD "part U1 kind=X value=LM317 device= package=\nnode - name=OUT rail= : U1.2\n");
}

static void sections(void **state) {
    (void)state;
    test_golden("lines", "*PADS-PCB*\n*REMARK* soil lamp\n*PART*\nU1\tNE555@DIP-8\nR1 RES-0.25W\nR2 ?\n\n*NET*\n*SIGNAL* VCC 8 mil\n"
                         " R1.1 U1.8\n R2.1\n*SIGNAL* A\n R1.2 R2.2\n*MISC*\nATTRIBUTE VALUES\n*END*\n",
                HEAD "part R1 kind=R value= device= package=RES-0.25W\n"
                     "part R2 kind=R value= device= package=\n"
                     "part U1 kind=X value= device=NE555 package=DIP-8\n"
                     "node - name=VCC rail= : R1.1 R2.1 U1.8\n"
                     "node - name=A rail= : R1.2 R2.2\n");
}

static void a_line_a_node(void **state) {
    (void)state;
    test_golden("lines", "# soil lamp\nVCC\tR1-1 U1-8 \\\n    lamp(2)-1\nNet-(R1-Pad2) R1-2 R2.1\n",
                HEAD "part lamp(2) kind=? value= device= package=\n"
                     "part R1 kind=R value= device= package=\n"
                     "part R2 kind=R value= device= package=\n"
                     "part U1 kind=X value= device= package=\n"
                     "node - name=VCC rail= : lamp(2).1 R1.1 U1.8\n"
                     "node - name=Net-(R1-Pad2) rail= : R1.2 R2.1\n");
    test_golden("lines", "VCC: U1.8, R1.1\nA = R1.2 R2.1\nGND : U1.1,\n  R2.2\n",
                HEAD "part R1 kind=R value= device= package=\n"
                     "part R2 kind=R value= device= package=\n"
                     "part U1 kind=X value= device= package=\n"
                     "node - name=VCC rail= : R1.1 U1.8\n"
                     "node - name=A rail= : R1.2 R2.1\n"
                     "node - name=GND rail= : R2.2 U1.1\n");
    test_golden("lines", "/VCC R1(1) U1(8),\nR2(1);\n/A-1 R1(2) R2(2);\n",
                HEAD "part R1 kind=R value= device= package=\n"
                     "part R2 kind=R value= device= package=\n"
                     "part U1 kind=X value= device= package=\n"
                     "node - name=VCC rail= : R1.1 R2.1 U1.8\n"
                     "node - name=A-1 rail= : R1.2 R2.2\n");
}

static void a_line_a_pin(void **state) {
    (void)state;
    test_golden("lines", "Netlist\n\nExported from soil.sch\n\nNet      Part     Pad      Pin        Sheet\n\n"
                         "VCC      R1       1        1          1\n         U1       8        VCC        1\n\n"
                         "N$1      R1       2        2          1\n\tU1\t3\tOUT\t1\n",
                HEAD "part R1 kind=R value= device= package=\n"
                     "part U1 kind=X value= device= package=\n"
                     "pin U1.3 name=OUT\n"
                     "pin U1.8 name=VCC\n"
                     "node - name=VCC rail= : R1.1 U1.8\n"
                     "node - name=N$1 rail= : R1.2 U1.3\n");
}

/* By their content, whatever they are called; decks and tables are not taken for them. */
static void which_files_they_are(void **state) {
    (void)state;
    static const struct { const char *text, *format; } cases[] = {
        {blocks, "lines"}, {"\n\n*PART*\nR1 x\n", "lines"}, {"!PADS-POWERPCB-V3.0-MILS!\n*NET*\n", "lines"},
        {"A R1-1 R2-1\n", "lines"}, {"*PAR of a deck\nR1 a b 1k\n.end\n", "spice"}, {"* lamp\nR1 a-1 b-1 1k\n.end\n", "spice"},
        {"node,pins\nA,R1-1 R2-1\n", "nodes"}, {"A R1-1\nR1 a b 1k\n.end\n", "spice"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        assert_int_equal(sw_input_text(diags, "it.net", cases[i].text, strlen(cases[i].text), &input), SW_OK);
        const sw_format *format = sw_format_detect(&input, diags);
        if (!format || strcmp(format->name, cases[i].format) != 0)
            fail_msg("case %zu: %s", i, format ? format->name : "nothing");
        sw_diags_free(diags);
    }
}

static void bad_netlists_are_told_with_their_place(void **state) {
    (void)state;
    test_bad_folder("lines", "tests/formats/lines/bad");
}

static void damaged_inputs_are_read_or_refused(void **state) {
    (void)state;
    test_cut_everywhere("lines", blocks, sizeof blocks - 1);
    test_damage("lines", blocks, sizeof blocks - 1, 500);
}

static void failing_memory_is_told(void **state) {
    (void)state;
    test_memory_out("lines", blocks);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parts_and_nets_in_blocks),
        cmocka_unit_test(blocks_that_name_their_fields),
        cmocka_unit_test(sections),
        cmocka_unit_test(a_line_a_node),
        cmocka_unit_test(a_line_a_pin),
        cmocka_unit_test(which_files_they_are),
        cmocka_unit_test(bad_netlists_are_told_with_their_place),
        cmocka_unit_test(damaged_inputs_are_read_or_refused),
        cmocka_unit_test(failing_memory_is_told),
    };
    return cmocka_run_group_tests_name("netlists in plain lines", tests, NULL, NULL);
}
