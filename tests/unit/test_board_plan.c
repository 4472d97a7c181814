/* Plans: names of holes, the normal form, copies, completion, copper, costs and the
 * comparison of two. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "board/geometry.h"
#include "tests/lib/alloc.h"
#include "tests/lib/plan.h"

static void holes_have_names(void **state) {
    (void)state;
    static const struct {
        const char *name;
        int strip, column;
        size_t used;
    } cases[] = {
        {"A1", 0, 0, 2}, {"C12", 2, 11, 3}, {"Z9", 25, 8, 2}, {"AA1", 26, 0, 3},
        {"AZ1", 51, 0, 3}, {"BA1", 52, 0, 3}, {"ZZ1", 701, 0, 3}, {"AAA10", 702, 9, 5},
        {"c12", 2, 11, 3}, {"C12 D3", 2, 11, 3}, {"C32767", 2, 32766, 6},
        {"", -1, -1, 0}, {"C", -1, -1, 0}, {"12", -1, -1, 0}, {"C0", -1, -1, 0},
        {"C012", -1, -1, 0}, {"C32768", -1, -1, 0}, {"ZZZZ1", -1, -1, 0}, {" C1", -1, -1, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        sw_hole hole;
        assert_int_equal(sw_hole_read(cases[i].name, &hole), cases[i].used);
        assert_int_equal(hole.strip, cases[i].strip);
        assert_int_equal(hole.column, cases[i].column);
    }
    for (int16_t strip = 0; strip < 2000; strip++) {
        char name[12];
        sw_hole hole;
        sw_hole_write((sw_hole){strip, 499}, name);
        assert_int_equal(sw_hole_read(name, &hole), strlen(name));
        assert_int_equal(hole.strip, strip);
        assert_int_equal(hole.column, 499);
    }
    char name[12];
    sw_hole_write((sw_hole){-1, -1}, name); /* nowhere: still text */
    assert_string_equal(name, "??");
    sw_hole_write((sw_hole){INT16_MAX, INT16_MAX}, name);
    assert_string_equal(name, "AVLH32768");
}

static void one_plan_has_one_form(void **state) {
    (void)state;
    sw_plan *plan = test_plan_bare("board I20\nR10 A1 A2\nR2 C1 C2\nr2 B1 -\ncut D9\ncut B3\n"
                                   "knife B3\nlink F3 B3\nlink A1 B1\nkeep C3 A1 screw\n");
    sw_plan_add_node(plan, (sw_plan_node){.number = 7, .name = "X"});
    sw_plan_add_node(plan, (sw_plan_node){.number = 2, .name = "Y"});
    assert_true(sw_plan_normalise(plan));
    assert_string_equal(plan->parts[0].ref, "R2");
    assert_string_equal(plan->parts[1].ref, "r2");
    assert_string_equal(plan->parts[2].ref, "R10");
    assert_int_equal(plan->parts[2].first_lead, 3);
    assert_int_equal(plan->leads[3].hole.strip, 0);
    assert_int_equal(plan->nodes[0].number, 2);
    assert_false(plan->cuts[0].knife);
    assert_true(plan->cuts[1].knife);
    assert_int_equal(plan->links[0].from.strip, 0); /* column before strip */
    assert_int_equal(plan->links[1].from.strip, 1); /* from above to */
    assert_int_equal(plan->keep_outs[0].from.column, 0);
    assert_int_equal(plan->keep_outs[0].to.column, 2);
    sw_plan_free(plan);
}

static void segments_end_at_cuts(void **state) {
    (void)state;
    sw_plan *plan = test_plan_bare("board B9\nP1=PIN-1 A1\nP2=PIN-1 A9\ncut A3\nknife A6\n"
                                   "cut B1\ncut B9\nlink A7 B7\n");
    plan->leads[0].node = 1;
    plan->leads[1].node = 2;
    sw_copper *copper = sw_copper_new(plan, NULL);
    static const int wanted[][5] = {/* strip, first, last, copper, node */
        {0, 0, 1, 0, 1}, {0, 3, 5, 1, 0}, {0, 6, 8, 2, 2}, {1, 1, 7, 2, 2}};
    assert_int_equal(copper->segment_count, 4);
    assert_int_equal(copper->copper_count, 3);
    for (uint32_t i = 0; i < 4; i++) {
        const sw_segment *segment = &copper->segments[i];
        assert_int_equal(segment->strip, wanted[i][0]);
        assert_int_equal(segment->first, wanted[i][1]);
        assert_int_equal(segment->last, wanted[i][2]);
        assert_int_equal(segment->copper, wanted[i][3]);
        assert_int_equal(segment->node, wanted[i][4]);
        assert_int_equal(segment->used, i != 1);
    }
    assert_int_equal(sw_copper_segment(copper, plan, test_hole("A3")), SW_NONE);
    assert_int_equal(sw_copper_segment(copper, plan, test_hole("B1")), SW_NONE);
    assert_int_equal(sw_copper_segment(copper, plan, test_hole("C1")), SW_NONE);
    assert_int_equal(sw_copper_segment(copper, plan, test_hole("A7")), 2);
    sw_copper_free(copper);
    plan->leads[1].node = 1;
    plan->leads[0].hole = test_hole("B2"); /* two nodes on one copper have no name */
    plan->leads[0].node = 3;
    copper = sw_copper_new(plan, NULL);
    assert_int_equal(copper->segments[2].node, 0);
    sw_copper_free(copper);
    plan->strips = 0;
    copper = sw_copper_new(plan, NULL);
    assert_int_equal(copper->segment_count, 0);
    sw_copper_free(copper);
    sw_plan_free(plan);
}

/* BOARD: area + 2 links + 1/2 cuts + bends + link pitches beyond 10. */
static void a_plan_costs(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_plan *plan = test_plan_bare("board T10\nR1=RES-0.25W A1 D1\nR2=RES-0.25W A2 G2\n"
                                   "U1=DIP-8 A4 B4 C4 D4 D7 C7 B7 A7\ncut A5\ncut B5\ncut C5\n"
                                   "link A9 B9\nlink A10 M10\n");
    sw_cost cost;
    sw_plan_cost(plan, library, &cost);
    assert_int_equal(cost.strips, 20);
    assert_int_equal(cost.columns, 10);
    assert_int_equal(cost.area, 200);
    assert_int_equal(cost.links, 2);
    assert_int_equal(cost.cuts, 3);
    assert_int_equal(cost.link_pitches, 13);
    assert_int_equal(cost.long_pitches, 2);
    assert_int_equal(cost.bend_pitches, 1 + 2); /* usual 4: 3 and 6 */
    assert_true(cost.balanced == 200 + 4 + 1.5 + 3 + 2);
    sw_plan_cost(plan, NULL, &cost);
    assert_int_equal(cost.bend_pitches, 0);
    sw_plan_free(plan);
    sw_library_free(library);
    sw_diags_free(diags);
}

static void a_typed_plan_is_completed(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *circuit = test_fitted(library, test_frost_circuit);
    sw_plan *plan = test_plan(circuit, library, test_frost_plan);
    sw_plan_normalise(plan);
    assert_int_equal(plan->node_count, circuit->node_count);
    assert_string_equal(plan->nodes[0].name, circuit->nodes[circuit->by_number[0].i].name);
    assert_true(plan->nodes[circuit->node_count - 1].unused); /* U1.7 */
    uint32_t r1 = 4;
    assert_string_equal(plan->parts[r1].ref, "R1");
    assert_string_equal(plan->parts[r1].value, "10k");
    assert_string_equal(plan->parts[r1].package, "RES-0.25W");
    assert_int_equal(plan->parts[r1].turn, 0);
    for (uint32_t i = 0; i < plan->link_count; i++)
        assert_int_not_equal(plan->links[i].node, 0);
    sw_plan_free(plan);
    sw_circuit_free(circuit);
    sw_library_free(library);
    sw_diags_free(diags);
}

/* Leads too near for a part lying down say that it stands; where the plan says otherwise,
 * or standing does not explain them either, it is left as it is. */
static void a_part_with_near_leads_stands_upright(void **state) {
    static const struct { const char *line, *package; int turn; } cases[] = {
        {"R1 A3 D3\n", "RES-0.25W", 0},        {"R1 A3 B3\n", "RES-0.25W-UP", 0},
        {"R1 C3 A3\n", "RES-0.25W-UP", 180},   {"R1 A3 A4\n", "RES-0.25W-UP", 270},
        {"R1=RES-0.25W A3 B3\n", "RES-0.25W", -1}, {"R1 A3 B4\n", "RES-0.25W", -1},
        {"R1 A3 -\n", "RES-0.25W", -1},
    };
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *circuit = test_fitted(library, test_frost_circuit);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "board I20\n%s", cases[i].line);
        sw_plan *plan = test_plan(circuit, library, text.bytes);
        assert_string_equal(plan->parts[0].package, cases[i].package);
        assert_int_equal(plan->parts[0].turn, cases[i].turn);
        sw_plan_free(plan);
        sw_buf_free(&text);
    }
    sw_circuit_free(circuit);
    sw_library_free(library);
    sw_diags_free(diags);
}

static void two_plans_are_compared(void **state) {
    (void)state;
    sw_plan *was = test_plan_bare("board I20\nR1 A3 D3\nR2 A5 D5\nR3 A7 D7\nR4 A9 D9\n"
                                  "cut B3\ncut B5\nlink A1 B1\nlink C1 D1\n");
    sw_plan *is = test_plan_bare("board I19\nr1 A3 D3\nR2 C4 F4\nR3 D7 A7\nR5 A9 D9\n"
                                 "cut B5\nknife B5\nlink B1 A1\nlink C1 E1\n");
    sw_plan_difference *d = sw_plan_compare(was, is, NULL);
    assert_true(d->differs);
    assert_int_equal(d->move_count, 4);
    assert_int_equal(d->moves[0].change, SW_PLAN_MOVED);
    assert_string_equal(d->moves[0].ref, "R2");
    assert_int_equal(d->moves[0].strips, 2);
    assert_int_equal(d->moves[0].columns, -1);
    assert_false(d->moves[0].reshaped);
    assert_string_equal(d->moves[1].ref, "R3");
    assert_true(d->moves[1].reshaped); /* turned round */
    assert_int_equal(d->moves[2].change, SW_PLAN_GONE);
    assert_int_equal(d->moves[3].change, SW_PLAN_ADDED);
    assert_int_equal(d->cuts_added, 1);
    assert_true(d->added_cuts[0].knife);
    assert_int_equal(d->cuts_gone, 1);
    assert_int_equal(d->gone_cuts[0].hole.column, 2);
    assert_int_equal(d->links_added, 1);
    assert_int_equal(d->links_gone, 1);
    assert_int_equal(d->added_links[0].to.strip, 4);
    assert_int_equal(d->was.area, 180);
    assert_int_equal(d->is.area, 171);
    sw_plan_difference_free(d);
    d = sw_plan_compare(was, was, NULL);
    assert_false(d->differs);
    sw_plan_difference_free(d);
    sw_plan_free(was);
    sw_plan_free(is);
}

/* Depth of overlap, worked out by hand. */
static void shapes_overlap(void **state) {
    (void)state;
    swi_shape square = {false, {0, 0, 4, 2}}, other = {false, {3, 1.5, 9, 9}};
    swi_shape disc = {true, {4, 0, 6, 2}}, far = {true, {7, 4, 9, 6}};
    assert_true(swi_overlap(&square, &other) == 0.5); /* 1 along x, 0.5 along y */
    assert_true(swi_overlap(&square, &disc) == 0);    /* touching */
    assert_false(swi_collide(&square, &disc));
    assert_true(swi_overlap(&disc, &far) == 2 - 5);   /* 3, 4, 5 */
    swi_shape inside = {true, {1, 0.5, 2, 1.5}};      /* centre 1.5, 1; nearest side 1 off */
    assert_true(swi_overlap(&square, &inside) == 0.5 + 1);
    swi_shape corner = {true, {4, 2, 14, 12}};        /* centre 9, 7 off corner 4, 2 */
    assert_true(swi_overlap(&square, &corner) < 0);
    swi_shape give = {false, {3.75, 0, 9, 2}}, more = {false, {3.74, 0, 9, 2}};
    assert_false(swi_collide(&square, &give)); /* 0.25 is forgiven */
    assert_true(swi_collide(&square, &more));
}

static void memory_may_run_out(void **state) {
    (void)state;
    sw_plan *plan = test_plan_bare("board I20\nR1=RES-0.25W A3 D3\ncut B3\nlink A1 B1\n"
                                   "keep A1 A2 screw\n");
    sw_plan_add_node(plan, (sw_plan_node){.number = 1, .name = "X"});
    sw_plan_add_foreign(plan, (sw_foreign){"board", "<x/>", false});
    for (long n = 0;; n++) {
        test_alloc_fail(n);
        sw_plan *copy = sw_plan_copy(plan);
        sw_copper *copper = copy == NULL ? NULL : sw_copper_new(copy, NULL);
        sw_plan_difference *d = copper == NULL ? NULL : sw_plan_compare(plan, copy, NULL);
        bool good = d != NULL && sw_plan_normalise(copy);
        bool failed = test_alloc_reset();
        sw_plan_difference_free(d);
        sw_copper_free(copper);
        sw_plan_free(copy);
        assert_int_equal(good, !failed);
        if (!failed)
            break;
    }
    sw_plan_free(plan);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(holes_have_names),
        cmocka_unit_test(one_plan_has_one_form),
        cmocka_unit_test(segments_end_at_cuts),
        cmocka_unit_test(a_plan_costs),
        cmocka_unit_test(a_typed_plan_is_completed),
        cmocka_unit_test(a_part_with_near_leads_stands_upright),
        cmocka_unit_test(two_plans_are_compared),
        cmocka_unit_test(shapes_overlap),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests_name("board plan", tests, NULL, NULL);
}
