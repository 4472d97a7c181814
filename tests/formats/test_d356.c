/* The test netlist: columns as public descriptions of IPC-D-356A and open writers of it
 * have them (1-3 code, 4-17 net, 21-26 reference, 28-31 pin, 33-37 hole, 38 plating,
 * 39-41 access, 42-57 place, 58-67 size; 80 at most; 999 the last). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <stripwright/format.h>

#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"
#include "tests/lib/plan.h"

typedef struct made {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *circuit;
    sw_plan *plan;
    sw_buf text;
} made;

static made make(void) {
    made m = {.diags = sw_diags_new(NULL), .text = SW_BUF_INIT};
    m.library = sw_library_new(m.diags);
    m.circuit = test_fitted(m.library, test_frost_circuit);
    m.plan = test_plan(m.circuit, m.library, test_frost_plan);
    m.plan->title = "Frost alarm";
    return m;
}

static const char *write_it(made *m) {
    sw_document document = {.plan = m->plan};
    sw_buf_free(&m->text);
    m->text = (sw_buf)SW_BUF_INIT;
    assert_int_equal(sw_write(sw_format_find("d356"), &document, NULL, m->diags, &m->text),
                     SW_OK);
    return m->text.bytes;
}

static void unmake(made *m) {
    sw_buf_free(&m->text);
    sw_plan_free(m->plan);
    sw_circuit_free(m->circuit);
    sw_library_free(m->library);
    sw_diags_free(m->diags);
}

static void columns_are_where_they_belong(void **state) {
    (void)state;
    made m = make();
    const char *text = write_it(&m);
    /* R1.1 stands in A3, node VCC: 2 pitches right and 8 up of I1. */
    assert_non_null(strstr(text, "317VCC              R1    -1    D0394UA02X+002000Y+008000"
                                 "X0787Y0000R000 S0\n"));
    assert_non_null(strstr(text, "3170                VIA         D0394UA02X+006000Y+000000"
                                 "X0787Y0000R000 S0\n")); /* I7, a link's end */
    assert_non_null(strstr(text, "317N/C              U1    -7    "));
    assert_int_equal(sw_diags_count(m.diags), 0);
    unmake(&m);
}

static void records_come_in_order_and_fit(void **state) {
    (void)state;
    made m = make();
    const char *text = write_it(&m);
    assert_true(strncmp(text, "P  JOB   FROST ALARM\nP  CODE  00\nP  UNITS CUST 0\n", 48) == 0);
    assert_non_null(strstr(text, "P  VER   IPC-D-356A\nP  IMAGE PRIMARY\n317"));
    uint32_t points = 0;
    for (const char *line = text; *line != '\0'; line += strcspn(line, "\n") + 1) {
        assert_true(strcspn(line, "\n") <= 80);
        points += strncmp(line, "317", 3) == 0 ? 1 : 0;
    }
    assert_int_equal(points, m.plan->lead_count + 2 * m.plan->link_count);
    assert_string_equal(text + strlen(text) - 5, "\n999\n");
    unmake(&m);
}

static void names_that_do_not_fit_get_an_alias(void **state) {
    (void)state;
    made m = make();
    m.plan->nodes[0].name = "a_node_with_a_long_name";
    m.plan->nodes[1].name = "vcc"; /* VCC but for case */
    const char *text = write_it(&m);
    assert_non_null(strstr(text, "P  NNAME1  A_NODE_WITH_A_LONG_NAME\n"));
    assert_non_null(strstr(text, "317NNAME1        "));
    assert_non_null(strstr(text, "317VCC           ")); /* who comes first keeps it */
    assert_non_null(strstr(text, "P  NNAME2  VCC\n"));
    unmake(&m);
}

/* The legs of a push button join the node's strips, but the button is not there. */
static void what_a_part_joins_is_two_nets(void **state) {
    (void)state;
    made m = {.diags = sw_diags_new(NULL), .text = SW_BUF_INIT};
    m.library = sw_library_new(m.diags);
    m.circuit = test_fitted(m.library, "SW1 ? - - BUTTON-6 1=G 2=G 3=H 4=H\nR1 R 1k - - 1=G 2=H\n");
    m.plan = test_plan(m.circuit, m.library, "board G9\nSW1@90 A4 D4 A2 D2\nR1 D6 G6\ncut A3\ncut D3\nlink D1 G1\n");
    const char *text = write_it(&m);
    assert_non_null(strstr(text, "317G                SW1   -1   "));
    assert_non_null(strstr(text, "P  NNAME1  G,_PIECE_2\n317NNAME1           SW1   -2   "));
    assert_non_null(strstr(text, "317NNAME1           R1    -1   "));
    assert_non_null(strstr(text, "317H                SW1   -3   "));
    unmake(&m);
}

static void what_is_cut_short_or_left_out_is_said(void **state) {
    (void)state;
    made m = make();
    m.plan->parts[0].ref = "LAMP_RED";
    m.plan->leads[m.plan->parts[1].first_lead].hole.strip = 9;
    const char *text = write_it(&m);
    assert_non_null(strstr(text, "LAMP_R-1"));
    assert_int_equal(test_count(m.diags, SW_D_D356_SHORTENED), 1);
    assert_int_equal(test_count(m.diags, SW_D_D356_OFF), 1);
    unmake(&m);
}

static void it_needs_a_plan(void **state) {
    (void)state;
    made m = make();
    sw_document document = {.circuit = m.circuit};
    assert_int_equal(sw_write(sw_format_find("d356"), &document, NULL, m.diags, &m.text),
                     SW_USAGE);
    assert_int_equal(test_count(m.diags, SW_D_FORMAT_NEEDS), 1);
    unmake(&m);
}

static void memory_may_run_out(void **state) {
    (void)state;
    made m = make();
    sw_document document = {.plan = m.plan};
    for (long n = 0;; n++) {
        sw_buf out = SW_BUF_INIT;
        test_alloc_fail(n);
        sw_status status = sw_write(sw_format_find("d356"), &document, NULL, m.diags, &out);
        bool failed = test_alloc_reset();
        sw_buf_free(&out);
        if (!failed)
            break;
        assert_int_equal(status, SW_SYSTEM);
    }
    unmake(&m);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_are_where_they_belong),
        cmocka_unit_test(records_come_in_order_and_fit),
        cmocka_unit_test(names_that_do_not_fit_get_an_alias),
        cmocka_unit_test(what_a_part_joins_is_two_nets),
        cmocka_unit_test(what_is_cut_short_or_left_out_is_said),
        cmocka_unit_test(it_needs_a_plan),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests_name("test netlist", tests, NULL, NULL);
}
