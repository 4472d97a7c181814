/* The fit: from netlist lines to parts with packages: what decides, sources, rails, sheets. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"
#include "tests/lib/fit.h"

/* ---- order of what decides ---- */

static void stated_beats_netlist_beats_library_beats_kind(void **state) {
    (void)state;
    test_fitting f = test_fit_with("R1 R 1k - RES-1W 1=A 2=B\nR2 R 1k - RES-1W 1=A 2=B\n"
                         "D1 D - 1N4148 DO-41 A=A K=B\nD2 D - 1N4148 - A=A K=B\n"
                         "@ R1 package=RES-0.5W\n", "name,package\nR2,RES-2W\n", NULL);
    test_fit_part(&f, "R1 RES-0.5W//1k 1=A 2=B");
    test_fit_part(&f, "R2 RES-2W//1k 1=A 2=B");
    test_fit_part(&f, "D1 DO-41/1N4148/ 1=B 2=A");
    test_fit_part(&f, "D2 DO-35/1N4148/ 1=B 2=A");
    test_fit_done(&f);
}

static void instance_beats_model_beats_pattern(void **state) {
    (void)state;
    test_fitting f = test_fit("R1 R 1k RX - 1=A 2=B\nR2 R 1k RX - 1=A 2=B\nR3 R 1k - - 1=A 2=B\n"
                    "@ R* package=RES-1W value=2k\n@ RX package=RES-2W\n@ r1 package=RES-0.5W\n");
    test_fit_part(&f, "R1 RES-0.5W/RX/2k 1=A 2=B");
    test_fit_part(&f, "R2 RES-2W/RX/2k 1=A 2=B");
    test_fit_part(&f, "R3 RES-1W//2k 1=A 2=B");
    test_fit_done(&f);
}

static void a_pattern_without_reference_speaks_of_devices(void **state) {
    (void)state;
    test_fitting f = test_fit("D1 D - GREEN3 - A=A K=B\nD2 D - GRID - A=A K=B\n@ GREEN* package=LED-3\n");
    test_fit_part(&f, "D1 LED-3/GREEN3/ 1=B 2=A");
    test_fit_part(&f, "D2 DO-35/GRID/ 1=B 2=A");
    test_fit_done(&f);
}

static void the_users_sheet_beats_the_decks_line_of_the_same_rank(void **state) {
    (void)state;
    test_fitting f = test_fit_with("R1 R 1k - - 1=A 2=B\n@ R1 package=RES-1W value=3k\n",
                         "name,package\nR1,RES-2W\n", NULL);
    test_fit_part(&f, "R1 RES-2W//3k 1=A 2=B");
    assert_int_equal(test_count(f.diags, SW_D_FIT_ROW_CLASH), 0);
    test_fit_done(&f);
}

static void rows_of_one_rank_that_disagree_are_an_error(void **state) {
    (void)state;
    test_fit_fails("R1 R 1k - - 1=A 2=B\n@ R1 package=RES-1W\n@ R1 package=RES-2W\n",
                SW_D_FIT_ROW_CLASH, "package=RES-2W for R1");
    test_fitting f = test_fit("R1 R 1k - - 1=A 2=B\n@ R1 package=RES-1W\n@ r1 package=res-1w\n");
    test_fit_part(&f, "R1 RES-1W//1k 1=A 2=B");
    test_fit_done(&f);
}

static void a_row_that_nothing_answers_to_is_told(void **state) {
    (void)state;
    test_fitting f = test_fit("R1 R 1k - - 1=A 2=B\n@ R7 package=RES-1W\n@ Z* omit=yes\n@ R1 value=3k\n");
    assert_int_equal(f.status, SW_OK);
    assert_int_equal(test_count(f.diags, SW_D_FIT_ROW_UNUSED), 2);
    test_fit_done(&f);
}

static void cells_that_mean_nothing_are_an_error(void **state) {
    (void)state;
    test_fit_fails("R1 R 1k - - 1=A 2=B\n@ R1 place=roof\n", SW_D_FIT_ROW_CELL, "board or off");
    test_fit_fails("R1 R 1k - - 1=A 2=B\n@ R1 omit=perhaps\n", SW_D_FIT_ROW_CELL, "yes or no");
}

static void rows_inside_a_subcircuit_speak_of_its_parts(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    static const char *const refs[] = {"X1.R3", "X1.R4", "X2.R3", "X2.R4"};
    for (int i = 0; i < 4; i++) {
        sw_part_id id = sw_builder_part(b, refs[i], 'R', SW_NOWHERE);
        const char *path = sw_builder_text(b, refs[i], 2);
        sw_builder_part_at(b, id)->path = path;
        const char *value = sw_builder_text(b, "5k", 2);
        sw_builder_part_at(b, id)->value = value;
        const char *nodes[] = {"top", "mid", "mid", "low"};
        for (int p = 0; p < 2; p++) {
            sw_buf name = SW_BUF_INIT;
            sw_buf_printf(&name, "%s.%s", path, nodes[(i % 2) * 2 + p]);
            sw_builder_pin(b, id, p ? "2" : "1", "",
                           sw_builder_node(b, name.bytes, true, SW_NOWHERE), SW_NOWHERE);
            sw_buf_free(&name);
        }
    }
    for (int i = 0; i < 2; i++) {
        const char *path = i ? "X2" : "X1";
        sw_builder_row(b, &(sw_row){.name = "R3", .ref = "RV1", .device = "preset", .pins = "1,2",
                                    .path = path});
        sw_builder_row(b, &(sw_row){.name = "R4", .ref = "RV1", .device = "preset", .pins = "2,3",
                                    .path = path});
    }
    sw_circuit *netlist = sw_builder_finish(b), *c = NULL;
    sw_library *library = sw_library_new(diags);
    assert_int_equal(sw_fit(netlist, library, NULL, diags, &c, NULL), SW_OK);
    assert_int_equal(c->part_count, 2);
    assert_string_equal(test_node_of(c, "X1.RV1.2"), "X1.mid");
    assert_string_equal(test_node_of(c, "X2.RV1.3"), "X2.low");
    sw_circuit_free(c);
    sw_circuit_free(netlist);
    sw_library_free(library);
    sw_diags_free(diags);
}

/* ---- sources, models ---- */

static void controlled_sources_are_fitted_or_omitted(void **state) {
    (void)state;
    test_fit_fails("E1 E 10 - - 1=a 2=0 3=b 4=0\n", SW_D_FIT_CONTROLLED, "omit=yes");
    test_fitting f = test_fit("E1 E 10 - - 1=a 2=0 3=b 4=0\nR1 R 1k - - 1=a 2=b\n"
                    "E2 E 10 - - 1=a 2=0 3=b 4=0\nB3 B - - - 1=a 2=0\n@ E1 omit=yes\n@ B3 place=off\n"
                    "@ E2 ref=U1 device=LM358 unit=A pins=OUT,-,IN+,IN-\n");
    test_fit_part(&f, "U1 DIP-8/LM358/ 1=a 2=0 3=b");
    assert_true(sw_circuit_part(f.c, "E1").i == SW_NONE);
    assert_true(sw_circuit_part(f.c, "B3.1").i != SW_NONE);
    test_fit_done(&f);
}

static void couplings_are_left_out(void **state) {
    (void)state;
    test_fitting f = test_fit("L1 L 1m - - 1=a 2=0\nL2 L 1m - - 1=b 2=0\nK1 K 0.9 - -\n");
    test_fit_refs(&f, "L1 L2");
    assert_int_equal(test_count(f.diags, SW_D_FIT_COUPLING), 1);
    test_fit_done(&f);
}

static void a_source_without_value_never_shorts_a_rail(void **state) {
    (void)state;
    test_fitting f = test_fit("V1 V - - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nV2 V SIN(0 - - +=in -=0\n"
                    "R2 R 1k - - 1=in 2=0\nBT1 ? - - - 1=VCC 2=in\n");
    test_fit_refs(&f, "0V in R1 R2 VCC");
    assert_int_equal(test_count(f.diags, SW_D_FIT_SOURCE_EMPTY), 1);
    test_fit_done(&f);
}

/* ---- rails ---- */

static void check_rail(const test_fitting *f, const char *node, sw_rail rail, double volts,
                       const char *why) {
    const sw_node *n = &f->c->nodes[sw_circuit_node(f->c, node).i];
    assert_int_equal(n->rail, rail);
    assert_true(n->volts == volts);
    assert_string_equal(n->rail_why, why);
}

static void rails_and_why(void **state) {
    (void)state;
    static const char *const stated[] = {"aux=positive", "VBAT=none", NULL};
    test_fitting f = test_fit_with("V1 V 12 - - +=PWR -=0\nV2 V DC5 - - +=0 -=MINUS\nV3 V 1 - - +=aux -=0\n"
                         "R1 R 1k - - 1=aux 2=VBAT\nR2 R 1k - - 1=+3V3 2=-5V\nR3 R 1k - - 1=VEE 2=sig\n"
                         "U1 ? - LM358 - 8=amp 4=VEE 1=sig\nU2 ? - CD4011 - 14=amp 7=AGND 1=sig\n"
                         "R4 R 1k - - 1=PWR 2=MINUS\nR5 R 1k - - 1=VEE 2=AGND\nR6 R 1 - - 1=amp 2=VBAT\n",
                         NULL, stated);
    assert_int_equal(f.status, SW_OK);
    check_rail(&f, "aux", SW_RAIL_POSITIVE, 1, "stated by the user");
    check_rail(&f, "VBAT", SW_RAIL_NONE, 0, "stated by the user");
    check_rail(&f, "PWR", SW_RAIL_POSITIVE, 12, "source V1 gives it 12 V");
    check_rail(&f, "0", SW_RAIL_GROUND, 0, "called 0");
    check_rail(&f, "AGND", SW_RAIL_GROUND, 0, "called AGND");
    check_rail(&f, "amp", SW_RAIL_POSITIVE, 0, "supply pin V+ of U1");
    check_rail(&f, "VEE", SW_RAIL_NEGATIVE, 0, "supply pin V- of U1");
    check_rail(&f, "+3V3", SW_RAIL_POSITIVE, 3.3, "called +3V3");
    check_rail(&f, "-5V", SW_RAIL_NEGATIVE, -5, "called -5V");
    check_rail(&f, "sig", SW_RAIL_NONE, 0, "");
    test_fit_done(&f);
}

static void negative_supply_pin_without_other_ground_is_ground(void **state) {
    (void)state;
    test_fitting f = test_fit("U1 ? - LM358 - 8=p 4=m 1=s\nR1 R 1k - - 1=p 2=s\nR2 R 1k - - 1=m 2=s\n");
    check_rail(&f, "m", SW_RAIL_GROUND, 0, "supply pin V- of U1");
    test_fit_done(&f);
}

static void rails_of_no_node_are_wrong_usage(void **state) {
    (void)state;
    static const char *const bad[][2] = {{"NOPE=positive", NULL}, {"A=hot", NULL}, {"A", NULL}};
    for (size_t i = 0; i < 3; i++) {
        test_fitting f = test_fit_with("R1 R 1k - - 1=A 2=B\n", NULL, bad[i]);
        assert_int_equal(f.status, SW_USAGE);
        assert_int_equal(test_count(f.diags, SW_D_FIT_RAIL), 1);
        test_fit_done(&f);
    }
}

static void two_supplies_on_one_node(void **state) {
    (void)state;
    test_fitting f = test_fit("V1 V 12 - - +=PWR -=0\nV2 V 9 - - +=PWR -=0\nR1 R 1k - - 1=PWR 2=0\n"
                    "V3 V 12 - - +=PWR -=0\n");
    assert_int_equal(test_count(f.diags, SW_D_RAIL_TWO_SUPPLIES), 2); /* V2 against V1, V3 against V2 */
    test_fit_done(&f);
}

/* ---- sheets ---- */

static void sheet_columns_come_in_any_order(void **state) {
    (void)state;
    test_fitting f = test_fit_with("X1 X - BCX - a=A b=B c=C\n",
                         "\xEF\xBB\xBFNote; Pins;package ;NAME\r\nwhy;1,3,2;TO-92;BCX\r\n\r\n", NULL);
    test_fit_part(&f, "X1 TO-92/BCX/ 1=A 2=C 3=B");
    test_fit_done(&f);
}

/* A bill of materials, as drawing programs export it beside a netlist without values. */
static void a_bill_is_a_sheet(void **state) {
    (void)state;
    test_fitting f = test_fit_with("R1 R - - - 1=A 2=B\nR2 R - - - 1=A 2=B\nR3 R - - - 1=A 2=B\nR5 R - - - 1=A 2=B\nR6 R - - - 1=A 2=B\n"
                                   "U1 X - - - 1=0 8=A 3=B\nJ1-2 ? - - - 1=A 2=B\nC9 C 1n - - 1=A 2=B\nD1 D - - - 1=A 2=B\n",
                                   "Item;Part;Value;Footprint;Qty;DNP;Part number\n"
                                   "1;\"R1-R3, R5\";4k7;Resistor_THT:R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal;4;;x\n"
                                   "2;R6;1k;;1;x;\n3;U1;NE555;;1;0;\n4;J1-2;;HEADER-1x2;1;;\n5;D1;yellow;LED_THT:LED_D5.0mm;1;;\n"
                                   ";Total;;;8;;\n\n;;;;;;\n", NULL);
    test_fit_part(&f, "R1 RES-0.25W//4k7 1=A 2=B");
    test_fit_part(&f, "R2 RES-0.25W//4k7 1=A 2=B");
    test_fit_part(&f, "R5 RES-0.25W//4k7 1=A 2=B");
    test_fit_part(&f, "U1 DIP-8/NE555/NE555 1=0 3=B 8=A");
    test_fit_part(&f, "J1-2 HEADER-1x2// 1=A 2=B");
    test_fit_part(&f, "C9 CAP-DISC-2.5//1n 1=A 2=B");
    test_fit_part(&f, "D1 LED-5//yellow 1=A 2=B");
    assert_int_equal(sw_circuit_part(f.c, "R6").i, SW_NONE);
    assert_int_equal(test_count(f.diags, SW_D_FIT_ROW_UNUSED), 1); /* Total */
    test_fit_done(&f);
}

/* What a program writes above a bill's heading is passed over. */
static void a_bill_with_lines_above_it(void **state) {
    (void)state;
    test_fitting f = test_fit_with("R1 R - - - 1=A 2=B\nU1 X - - - 1=0 8=A 3=B\n",
                                   "\"Source:\",\"soil lamp\"\n\"Date:\",\"today\"\n\n\"Component Count:\",\"2\"\n"
                                   "\"Item\",\"Qty\",\"Reference(s)\",\"Value\"\n\"1\",\"1\",\"R1\",\"10k\"\n\"2\",\"1\",\"U1\",\"NE555\"\n", NULL);
    test_fit_part(&f, "R1 RES-0.25W//10k 1=A 2=B");
    test_fit_part(&f, "U1 DIP-8/NE555/NE555 1=0 3=B 8=A");
    test_fit_done(&f);
    f = test_fit_with("R1 R - - - 1=A 2=B\n", "ID\tName\tDesignator\tPackage\tQuantity\n1\t4k7\tR1\tRES-0.5W\t1\n", NULL);
    test_fit_part(&f, "R1 RES-0.5W//4k7 1=A 2=B");
    test_fit_done(&f);
}

static void bad_sheets_are_refused(void **state) {
    (void)state;
    static const struct { const char *csv; sw_diag_id id; } bad[] = {
        {"name,colour\nR1,red\n", SW_D_SHEET_COLUMN}, {"value,package\n1k,x\n", SW_D_SHEET_COLUMN},
        {"name,ref,name\n", SW_D_SHEET_COLUMN}, {"name,ref\nR1,a,b\n", SW_D_SHEET_ROW},
        {"name,ref\n,a\n", SW_D_SHEET_ROW}, {"name,ref\n\"R1,a\n", SW_D_CSV_QUOTE},
        {"from a program\n\"R1,a\n", SW_D_CSV_QUOTE}, {"value\n\n1k\n", SW_D_SHEET_COLUMN}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        sw_input_text(diags, "sheet", bad[i].csv, strlen(bad[i].csv), &input);
        sw_sheet *sheet;
        assert_int_equal(sw_sheet_read(&input, diags, &sheet), SW_BAD_INPUT);
        assert_null(sheet);
        assert_int_equal(test_count(diags, bad[i].id), 1);
        sw_diags_free(diags);
    }
}

static const char mixed[] =
    "V1 V 9 - - +=VCC -=0\nV2 V 0 - - +=VCC -=VX\nX1 X - LM358 - IN+=A IN-=B OUT=C\n"
    "X2 X - LM358 - IN+=D IN-=E OUT=F\nR3 R 4k - - 1=VCC 2=A\nR4 R 6k - - 1=A 2=0\n"
    "Q1 Q - BC547 - C=C B=D E=0\nM1 M - 2N7000 - D=F G=E S=0 B=0\nE9 E 1 - - 1=A 2=B\n"
    "C1 C 10u - - 1=VX 2=0\nD1 D - RLED - A=F K=0\nR8 R 8 - - 1=C 2=0\n"
    "@ LM358 ref=U1 supply=VCC:8,0:4\n@ X1 unit=A\n@ X2 unit=B\n@ E9 omit=yes\n"
    "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n"
    "@ R8 ref=LS1 place=off\n";

/* The report is a sheet: with its own rows taken out of the netlist, it alone gives
 * the same fitted circuit. */
static void the_report_read_back_gives_the_same(void **state) {
    (void)state;
    test_fitting f = test_fit(mixed);
    assert_int_equal(f.status, SW_OK);
    sw_buf csv = SW_BUF_INIT;
    sw_sheet_write(f.report, &csv);
    char *plain = strdup(mixed);
    *strchr(plain, '@') = '\0';
    test_fitting again = test_fit_with(plain, csv.bytes, NULL);
    free(plain);
    assert_int_equal(again.status, SW_OK);
    assert_int_equal(sw_diags_of(again.diags, SW_WARNING), 0);
    assert_int_equal(f.c->part_count, again.c->part_count);
    assert_int_equal(f.c->node_count, again.c->node_count);
    for (uint32_t i = 0; i < f.c->part_count; i++) {
        const sw_part *a = &f.c->parts[i], *b = &again.c->parts[i];
        assert_string_equal(a->ref, b->ref);
        assert_string_equal(a->value, b->value);
        assert_string_equal(a->device, b->device);
        assert_string_equal(a->package, b->package);
    }
    for (uint32_t i = 0; i < f.c->pin_count; i++)
        assert_string_equal(f.c->nodes[f.c->pins[i].node.i].name,
                            again.c->nodes[again.c->pins[i].node.i].name);
    sw_buf twice = SW_BUF_INIT;
    sw_sheet_write(again.report, &twice);
    assert_non_null(strstr(csv.bytes, "C1,,,ELEC-5,,\"1,2\",10u,,,,package by kind and value\r\n"));
    assert_non_null(strstr(twice.bytes, "C1,,,ELEC-5,,\"1,2\",10u,,,,\r\n"));
    sw_buf_free(&csv);
    sw_buf_free(&twice);
    test_fit_done(&f);
    test_fit_done(&again);
}

static void every_allocation_may_fail(void **state) {
    (void)state;
    test_fitting f = test_fit(mixed);
    for (long n = 0;; n++) {
        sw_circuit *c = NULL;
        sw_sheet *report = NULL;
        test_alloc_fail(n);
        sw_status status = sw_fit(f.netlist, f.library, NULL, f.diags, &c, &report);
        bool failed = test_alloc_reset();
        if (failed && status != SW_SYSTEM) { /* a message that found no memory is no failure */
            assert_int_equal(status, SW_OK);
            assert_int_equal(c->part_count, f.c->part_count);
        }
        assert_true((c == NULL) == (status != SW_OK));
        sw_circuit_free(c);
        sw_sheet_free(report);
        if (!failed)
            break;
        assert_true(n < 2000);
    }
    test_fit_done(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stated_beats_netlist_beats_library_beats_kind),
        cmocka_unit_test(instance_beats_model_beats_pattern),
        cmocka_unit_test(a_pattern_without_reference_speaks_of_devices),
        cmocka_unit_test(the_users_sheet_beats_the_decks_line_of_the_same_rank),
        cmocka_unit_test(rows_of_one_rank_that_disagree_are_an_error),
        cmocka_unit_test(a_row_that_nothing_answers_to_is_told),
        cmocka_unit_test(cells_that_mean_nothing_are_an_error),
        cmocka_unit_test(rows_inside_a_subcircuit_speak_of_its_parts),
        cmocka_unit_test(controlled_sources_are_fitted_or_omitted),
        cmocka_unit_test(couplings_are_left_out),
        cmocka_unit_test(a_source_without_value_never_shorts_a_rail),
        cmocka_unit_test(rails_and_why),
        cmocka_unit_test(negative_supply_pin_without_other_ground_is_ground),
        cmocka_unit_test(rails_of_no_node_are_wrong_usage),
        cmocka_unit_test(two_supplies_on_one_node),
        cmocka_unit_test(sheet_columns_come_in_any_order),
        cmocka_unit_test(a_bill_is_a_sheet),
        cmocka_unit_test(a_bill_with_lines_above_it),
        cmocka_unit_test(bad_sheets_are_refused),
        cmocka_unit_test(the_report_read_back_gives_the_same),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests_name("circuit: fit", tests, NULL, NULL);
}
