/* The strip budget against figures worked by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/circuit.h"

typedef struct counted {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *netlist, *c;
    sw_budget budget;
} counted;

static counted count(const char *text) {
    counted k = {.diags = sw_diags_new(NULL)};
    k.library = sw_library_new(k.diags);
    k.netlist = test_circuit(k.diags, SW_STAGE_NETLIST, text);
    assert_int_equal(sw_fit(k.netlist, k.library, NULL, k.diags, &k.c, NULL), SW_OK);
    assert_int_equal(sw_circuit_number(k.c, k.diags), SW_OK);
    sw_budget_work_out(k.c, &k.budget);
    return k;
}

static void done(counted *k) {
    sw_circuit_free(k->c);
    sw_circuit_free(k->netlist);
    sw_library_free(k->library);
    sw_diags_free(k->diags);
}

/* A comparator with two resistors: by hand.  Nodes: VCC (8, R1.1), 0 (4, R2.2), A (3,
 * R1.2, R2.1) joined; pins 1, 2, 5, 6, 7 lone: 8 nodes.  12 leads.  A DIP-8 has 4 rows:
 * S strips give S + 4 segments, so 4 strips do, which is also what the DIP-8 stands
 * on.  Between its rows 4 x 2 holes are shut: 12 + 8 = 20 holes. */
static void one_dip_by_hand(void **state) {
    (void)state;
    counted k = count("U1 ? - LM393 - 8=VCC 4=0 3=A\nR1 R 1k - - 1=VCC 2=A\nR2 R 1k - - 1=A 2=0\n");
    assert_int_equal(k.budget.nodes, 8);
    assert_int_equal(k.budget.joined_nodes, 3);
    assert_int_equal(k.budget.lone_pins, 5);
    assert_int_equal(k.budget.leads, 12);
    assert_int_equal(k.budget.split_strips, 4);
    assert_int_equal(k.budget.widest_strips, 4);
    assert_string_equal(k.budget.widest_ref, "U1");
    assert_int_equal(k.budget.least_strips, 4);
    assert_int_equal(k.budget.bound_strips, 4); /* turned, its pins would touch */
    assert_int_equal(k.budget.least_holes, 20);
    assert_int_equal(sw_budget_segments(&k.budget, 6), 10);
    done(&k);
}

static void the_account_in_sentences(void **state) {
    (void)state;
    counted k = count("U1 ? - LM393 - 8=VCC 4=0 3=A 2=B 1=C\nR1 R 1k - - 1=VCC 2=A\n"
                      "R2 R 1k - - 1=A 2=0\nR3 R 1k - - 1=B 2=D\nR4 R 1k - - 1=E 2=C\n"
                      "R5 R 1k - - 1=E 2=D\n");
    sw_buf text = SW_BUF_INIT;
    sw_budget_write(k.c, &k.budget, &text);
    assert_string_equal(text.bytes,
        "There are 10 nodes: 7 join two pins or more, 3 are pins that connect to nothing.\n"
        "  1 VCC: 2 pins\n  2 0: 2 pins\n  3 C: 2 pins\n  4 B: 2 pins\n  5 A: 3 pins\n"
        "  6 D: 2 pins\n  7 E: 2 pins\n"
        "U1 (DIP-8) stands across 4 strips; a cut between its rows on each makes 4 segments more.\n"
        "So a board has 4 segments more than strips.\n"
        "  4 strips: 8 segments, 2 more cuts needed\n"
        "  5 strips: 9 segments, 1 more cut needed\n"
        "  6 strips: 10 segments, enough for 10 nodes\n"
        "  7 strips: 11 segments, enough for 10 nodes\n"
        "  8 strips: 12 segments, enough for 10 nodes\n"
        "With no other cuts the least is 6 strips: 10 nodes need a segment each, and the cuts "
        "under the ICs give 4 of them beside the strips' own.\n"
        "With more cuts fewer may do, but never under 4: U1 needs 4 strips however it is turned "
        "(knife cuts aside).\n"
        "The board has 26 holes at least: 18 leads take a hole each, and 8 holes lie shut between "
        "the rows of ICs.\n");
    sw_buf_free(&text);
    done(&k);
}

/* A wide DIP-28W: 14 rows, 5 holes shut in each (15.24 mm is 6 pitches: JEDEC MS-011). */
static void a_wide_dip_decides_by_its_rows(void **state) {
    (void)state;
    counted k = count("U1 ? - - DIP-28W 1=A 28=B\nR1 R 1k - - 1=A 2=B\n");
    assert_int_equal(k.budget.nodes, 28);
    assert_int_equal(k.budget.least_strips, 14);
    assert_int_equal(k.budget.least_holes, 28 + 2 + 14 * 5);
    done(&k);
    k = count("U1 ? - - DIP-28W 1=A 28=A 2=A 27=A 3=A 26=A 4=A 25=A\nR1 R 1k - - 1=A 2=B\n");
    assert_int_equal(k.budget.least_strips, 14); /* 22 nodes, 8 would be enough */
    assert_non_null(strstr(k.budget.least_why, "for 22 nodes 8 would be enough"));
    done(&k);
}

static void no_ic_no_split(void **state) {
    (void)state;
    counted k = count("Q1 ? - - TO-92 1=A 2=B 3=C\nR1 R 1k - - 1=A 2=B\nR2 R 1k - - 1=C 2=D\n"
                      "R3 R 1k - - 1=D 2=A\n");
    assert_int_equal(k.budget.split_strips, 0);
    assert_int_equal(k.budget.least_strips, 4);
    assert_int_equal(k.budget.bound_strips, 3);
    assert_int_equal(k.budget.least_holes, 9);
    sw_buf text = SW_BUF_INIT;
    sw_budget_write(k.c, &k.budget, &text);
    assert_non_null(strstr(text.bytes, "No IC splits the strips"));
    sw_buf_free(&text);
    done(&k);
}

static void an_empty_circuit_wants_nothing(void **state) {
    (void)state;
    counted k = count("");
    assert_int_equal(k.budget.least_strips, 0);
    assert_int_equal(k.budget.least_holes, 0);
    done(&k);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_dip_by_hand),
        cmocka_unit_test(the_account_in_sentences),
        cmocka_unit_test(a_wide_dip_decides_by_its_rows),
        cmocka_unit_test(no_ic_no_split),
        cmocka_unit_test(an_empty_circuit_wants_nothing),
    };
    return cmocka_run_group_tests_name("circuit: budget", tests, NULL, NULL);
}
