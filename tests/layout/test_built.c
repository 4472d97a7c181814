/* A board that is built gets what is new in its circuit: everything on it stays. */
#include <stdio.h>
#include "tests/layout/harness.h"

#define TIMER                                                                                                   \
    "U1 X DIP-8 GND TRIG OUT VCC CONT TRIG DIS VCC\nR1 R RES-0.25W VCC DIS\nR2 R RES-0.25W DIS TRIG\n"          \
    "R3 R RES-0.25W OUT LAMP\nC1 C ELEC-5 TRIG GND\nD1 D LED-3 LAMP GND\nP1 N PIN-1 VCC\nP2 N PIN-1 GND\n"

static sw_plan *plan_of(const char *lines, const sw_plan *built, int strips, int columns, uint64_t seed, bed *b) {
    sw_plan *plan = NULL;
    bed_open(b);
    b->circuit = bench_lines(lines, b->library, b->diags);
    b->options.seed = seed;
    b->options.strips = strips;
    b->options.columns = columns;
    b->options.fixed_size = true;
    b->options.keep = built;
    b->options.built = built != NULL;
    b->params.quick_moves = 100;
    swi_asked asked = {.watch = NULL};
    sw_status status = swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report);
    assert_int_equal(status, plan ? SW_OK : SW_NO_PLAN);
    return plan;
}

static bool same_hole(sw_hole a, sw_hole b) {
    return a.strip == b.strip && a.column == b.column;
}

static const sw_plan_part *find(const sw_plan *plan, const char *ref) {
    for (uint32_t i = 0; i < plan->part_count; i++)
        if (strcmp(plan->parts[i].ref, ref) == 0)
            return &plan->parts[i];
    return NULL;
}

static bool has_link(const sw_plan *plan, const sw_link *link) {
    for (uint32_t i = 0; i < plan->link_count; i++)
        if (same_hole(plan->links[i].from, link->from) && same_hole(plan->links[i].to, link->to))
            return true;
    return false;
}

static bool has_cut(const sw_plan *plan, const sw_cut *cut) {
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if (same_hole(plan->cuts[i].hole, cut->hole) && !plan->cuts[i].knife)
            return true;
    return false;
}

/* All of before that the circuit still has is in after, where it was; parts that are gone aside. */
static void all_stays(const sw_plan *before, const sw_plan *after) {
    for (uint32_t i = 0; i < before->part_count; i++) {
        const sw_plan_part *was = &before->parts[i], *is = find(after, was->ref);
        for (uint32_t k = 0; is && k < was->lead_count; k++)
            assert_true(same_hole(before->leads[was->first_lead + k].hole, after->leads[is->first_lead + k].hole));
    }
    for (uint32_t i = 0; i < before->link_count; i++)
        assert_true(has_link(after, &before->links[i]));
    for (uint32_t i = 0; i < before->cut_count; i++)
        assert_true(has_cut(after, &before->cuts[i]));
}

static void nothing_new_changes_nothing(void **state) {
    (void)state;
    bed b, again;
    sw_plan *built = plan_of(TIMER, NULL, 7, 14, 1, &b);
    assert_non_null(built);
    sw_plan *plan = plan_of(TIMER, built, 7, 14, 2, &again);
    assert_non_null(plan);
    all_stays(built, plan);
    sw_proof proof;
    sw_plan *smaller;
    assert_int_equal(sw_layout_prove(again.circuit, again.library, &again.options, plan, NULL, NULL, again.diags, &smaller, &proof), SW_OK);
    assert_null(smaller);
    assert_string_equal(proof.text, "nothing is shown: a board that is built has the size that it has");
    assert_int_equal(plan->link_count, built->link_count);
    assert_int_equal(plan->cut_count, built->cut_count);
    sw_plan_free(plan);
    sw_plan_free(built);
    bed_close(&again);
    bed_close(&b);
}

static const char *message_of(const bed *b, sw_diag_id id) {
    for (size_t i = 0; i < sw_diags_count(b->diags); i++)
        if (sw_diags_get(b->diags, i)->id == id)
            return sw_diags_get(b->diags, i)->message;
    return "";
}

/* A second lamp and a capacitor, on boards that different seeds made. */
static void new_parts_go_where_there_is_room(void **state) {
    (void)state;
    for (uint64_t seed = 1; seed <= 4; seed++) {
        bed b, more;
        sw_plan *built = plan_of(TIMER, NULL, 12, 24, seed, &b);
        assert_non_null(built);
        sw_plan *plan = plan_of(TIMER "R4 R RES-0.25W OUT L2\nD2 D LED-3 VCC L2\nC2 C CAP-DISC-2.5 VCC GND\n", built, 12, 24, 1, &more);
        if (!plan)
            fail_msg("seed %d: %s", (int)seed, message_of(&more, SW_D_LAYOUT_NO_PLAN));
        all_stays(built, plan);
        assert_true(find(plan, "R4") && find(plan, "D2") && find(plan, "C2"));
        sw_check_report *report = NULL;
        assert_int_equal(sw_check(plan, more.circuit, more.library, NULL, &report), SW_OK);
        assert_int_equal(report->fault_count, 0); /* no cut that parts nothing is held against it */
        sw_check_report_free(report);
        sw_plan_free(plan);
        sw_plan_free(built);
        bed_close(&more);
        bed_close(&b);
    }
}

/* Without the lamp some cuts part nothing any more; they stay and are no findings. */
static void what_is_gone_leaves_its_cuts(void **state) {
    (void)state;
    bed b, less;
    sw_plan *built = plan_of(TIMER "R4 R RES-0.25W OUT L2\nD2 D LED-3 L2 GND\n", NULL, 8, 16, 1, &b);
    assert_non_null(built);
    sw_plan *plan = plan_of(TIMER, built, 8, 16, 1, &less);
    assert_non_null(plan);
    all_stays(built, plan);
    assert_null(find(plan, "D2"));
    sw_plan_free(plan);
    sw_plan_free(built);
    bed_close(&less);
    bed_close(&b);
}

static void add_by_hand(sw_plan *plan, const char *ref, const char *package, const char *const *holes, uint32_t node) {
    char pin[2] = "1";
    sw_plan_add_part(plan, (sw_plan_part){.ref = ref, .value = "", .device = "", .package = package});
    for (; *holes; holes++, pin[0]++) {
        sw_plan_lead lead = {.pin = sw_plan_text(plan, pin), .node = node++};
        sw_hole_read(*holes, &lead.hole);
        sw_plan_add_lead(plan, lead);
    }
}

#define FOUR_COLUMNS "U1 X DIP-8 A B C D E F G H\n"

/* U1 fills four columns; strips A and F could be joined between its rows alone, where no wire gets in
 * once its socket is soldered. */
static void no_link_goes_beneath_a_soldered_socket(void **state) {
    (void)state;
    static const char *const eight[] = {"B1", "C1", "D1", "E1", "E4", "D4", "C4", "B4", NULL};
    sw_plan *built = sw_plan_new();
    built->strips = 6;
    built->columns = 4;
    add_by_hand(built, "U1", "DIP-8", eight, 1);
    add_by_hand(built, "P1", "PIN-1", (const char *const[]){"A1", NULL}, 9);
    add_by_hand(built, "P2", "PIN-1", (const char *const[]){"F4", NULL}, 10);
    for (int16_t strip = 1; strip <= 4; strip++)
        sw_plan_add_cut(built, (sw_cut){.hole = {strip, 1}});
    bed apart, joined, fresh;
    sw_plan *plan = plan_of(FOUR_COLUMNS "P1 N PIN-1 X\nP2 N PIN-1 Y\n", built, 6, 4, 1, &apart);
    assert_non_null(plan);
    sw_plan_free(plan);
    assert_null(plan_of(FOUR_COLUMNS "P1 N PIN-1 X\nP2 N PIN-1 X\n", built, 6, 4, 1, &joined));
    sw_link link = {.from = {0, 2}, .to = {5, 2}}; /* one that was there before the socket stays */
    link.node = joined.circuit->nodes[sw_circuit_node(joined.circuit, "X").i].number;
    bed_close(&joined);
    sw_plan_add_link(built, link);
    plan = plan_of(FOUR_COLUMNS "P1 N PIN-1 X\nP2 N PIN-1 X\n", built, 6, 4, 1, &fresh);
    assert_non_null(plan);
    assert_true(has_link(plan, &link));
    sw_plan_free(plan);
    sw_plan_free(built);
    bed_close(&fresh);
    bed_close(&apart);
}

/* A round body above a hole that is cut stays as any other does. */
static void round_bodies_stand_above_cuts(void **state) {
    (void)state;
    bed b;
    sw_plan *built = sw_plan_new();
    built->strips = 2;
    built->columns = 5;
    add_by_hand(built, "C1", "ELEC-6.3", (const char *const[]){"A3", "B3", NULL}, 1);
    add_by_hand(built, "P1", "PIN-1", (const char *const[]){"B5", NULL}, 3);
    add_by_hand(built, "P2", "PIN-1", (const char *const[]){"A1", NULL}, 1);
    add_by_hand(built, "P3", "PIN-1", (const char *const[]){"B1", NULL}, 2);
    sw_plan_add_cut(built, (sw_cut){.hole = {1, 3}});
    sw_plan *plan = plan_of("C1 C ELEC-6.3 X Y\nP1 N PIN-1 Z\nP2 N PIN-1 X\nP3 N PIN-1 Y\n", built, 2, 5, 1, &b);
    assert_non_null(plan);
    all_stays(built, plan);
    sw_plan_free(plan);
    sw_plan_free(built);
    bed_close(&b);
}

/* Two round bodies of 5 mm beside each other want three columns, and the first is in the middle. */
#define MIDDLE "C1 C ELEC-5 X Y\n"

static sw_plan *move_plan(const sw_plan *built, int most, const char *loose, bed *b) {
    sw_plan *plan = NULL;
    bed_open(b);
    b->circuit = bench_lines(MIDDLE "C2 C ELEC-5 X Y\n", b->library, b->diags);
    b->options.strips = 2;
    b->options.columns = 3;
    b->options.fixed_size = b->options.built = true;
    b->options.keep = built;
    b->options.move_most = most;
    b->options.loose = &loose;
    b->options.loose_count = loose != NULL;
    b->params.quick_moves = 100;
    swi_asked asked = {.watch = NULL};
    swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report);
    return plan;
}

static void a_part_goes_elsewhere_where_that_is_allowed(void **state) {
    (void)state;
    sw_plan *built = sw_plan_new();
    built->strips = 2;
    built->columns = 3;
    add_by_hand(built, "C1", "ELEC-5", (const char *const[]){"A2", "B2", NULL}, 1);
    bed b;
    assert_null(move_plan(built, 0, NULL, &b));
    assert_non_null(strstr(message_of(&b, SW_D_LAYOUT_NO_PLAN), "built for C2: let one or two of its parts go elsewhere"));
    bed_close(&b);
    for (int asked = 0; asked < 2; asked++) {
        sw_plan *plan = move_plan(built, asked ? 0 : 1, asked ? "C1" : NULL, &b);
        assert_non_null(plan);
        int first = plan->leads[find(plan, "C1")->first_lead].hole.column, second = plan->leads[find(plan, "C2")->first_lead].hole.column;
        assert_int_equal(first + second, 2); /* columns 1 and 3 */
        assert_int_equal(sw_check(plan, b.circuit, b.library, NULL, NULL), SW_OK);
        sw_plan_free(plan);
        bed_close(&b);
    }
    assert_null(move_plan(built, 0, "C7", &b));
    assert_non_null(strstr(message_of(&b, SW_D_LAYOUT_KEEP), "C7 cannot go elsewhere"));
    bed_close(&b);
    sw_plan_free(built);
}

/* Where there is room all stays, however many may go. */
static void nothing_moves_without_need(void **state) {
    (void)state;
    bed b, more;
    sw_plan *built = plan_of(TIMER, NULL, 10, 20, 2, &b), *plan = NULL;
    assert_non_null(built);
    bed_open(&more);
    more.circuit = bench_lines(TIMER "C2 C CAP-DISC-2.5 VCC GND\n", more.library, more.diags);
    more.options = (sw_layout_options){.effort = SW_EFFORT_QUICK, .seed = 1, .strips = 10, .columns = 20, .fixed_size = true, .built = true,
                                       .keep = built, .move_most = 4};
    assert_int_equal(sw_layout(more.circuit, more.library, &more.options, NULL, NULL, more.diags, &plan, &more.report), SW_OK);
    all_stays(built, plan);
    sw_plan_free(plan);
    sw_plan_free(built);
    bed_close(&more);
    bed_close(&b);
}

static void no_room_is_told_by_name(void **state) {
    (void)state;
    bed b, more;
    sw_plan *built = plan_of(TIMER, NULL, 7, 10, 1, &b);
    assert_non_null(built);
    assert_null(plan_of(TIMER "U2 X DIP-14 A B C D E F G H I J K L M N\n", built, 7, 10, 1, &more));
    assert_non_null(strstr(message_of(&more, SW_D_LAYOUT_NO_PLAN), "built for U2: let one or two of its parts"));
    bed_close(&more);
    built->cuts[0].knife = true;
    assert_null(plan_of(TIMER, built, 7, 10, 1, &more));
    assert_non_null(strstr(message_of(&more, SW_D_LAYOUT_KEEP), "cut between holes"));
    bed_close(&more);
    sw_plan_free(built);
    bed_close(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_new_changes_nothing),
        cmocka_unit_test(new_parts_go_where_there_is_room),
        cmocka_unit_test(what_is_gone_leaves_its_cuts),
        cmocka_unit_test(no_link_goes_beneath_a_soldered_socket),
        cmocka_unit_test(round_bodies_stand_above_cuts),
        cmocka_unit_test(a_part_goes_elsewhere_where_that_is_allowed),
        cmocka_unit_test(nothing_moves_without_need),
        cmocka_unit_test(no_room_is_told_by_name),
    };
    return cmocka_run_group_tests_name("layout: boards that are built", tests, NULL, NULL);
}
