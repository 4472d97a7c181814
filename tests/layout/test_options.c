/* Each option of the search on a circuit where it matters. */
#include <stdio.h>
#include "tests/layout/harness.h"
#include "tests/lib/circuit.h"

static sw_plan *lay_out(bed *b) {
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    sw_status status = swi_layout(b->circuit, b->library, &b->options, &b->params, &asked, b->diags, &plan, &b->report);
    assert_int_equal(status, SW_OK);
    assert_int_equal(sw_check(plan, b->circuit, b->library, b->diags, NULL), SW_OK);
    return plan;
}

static const sw_plan_part *part_of(const sw_plan *plan, const char *ref) {
    for (uint32_t i = 0; i < plan->part_count; i++)
        if (strcmp(plan->parts[i].ref, ref) == 0)
            return &plan->parts[i];
    fail_msg("no part %s", ref);
    return NULL;
}

static sw_hole lead(const sw_plan *plan, const char *ref, uint32_t pin) {
    return plan->leads[part_of(plan, ref)->first_lead + pin].hole;
}

static void edges_are_taken(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "watering-timer");
    sw_wish wishes[] = {{SW_WISH_EDGE_LEFT, "P1", NULL, 0}, {SW_WISH_EDGE_RIGHT, "P2", NULL, 0},
                        {SW_WISH_EDGE_TOP, "C1", NULL, 0}, {SW_WISH_EDGE_BOTTOM, "C2", NULL, 0}};
    b.options.wishes = wishes;
    b.options.wish_count = 4;
    b.params.quick_moves = 300;
    sw_plan *plan = lay_out(&b);
    assert_int_equal(lead(plan, "P1", 0).column, 0);
    assert_int_equal(lead(plan, "P2", 0).column, plan->columns - 1);
    assert_true(lead(plan, "C1", 0).strip == 0 || lead(plan, "C1", 1).strip == 0);
    assert_true(lead(plan, "C2", 0).strip == plan->strips - 1 || lead(plan, "C2", 1).strip == plan->strips - 1);
    sw_plan_free(plan);
    bed_close(&b);
}

static int steps(sw_hole a, sw_hole b) {
    return abs(a.strip - b.strip) + abs(a.column - b.column);
}

static void near_and_apart(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "gauge-ring");
    sw_wish wishes[] = {{SW_WISH_NEAR, "C1", "D1", 2}, {SW_WISH_APART, "D1", "D2", 9}};
    b.options.wishes = wishes;
    b.options.wish_count = 2;
    sw_plan *plan = lay_out(&b);
    int nearest = 1000, apart = 1000;
    for (uint32_t i = 0; i < 2; i++)
        for (uint32_t k = 0; k < 2; k++) {
            int d = steps(lead(plan, "C1", i), lead(plan, "D1", k)), e = steps(lead(plan, "D1", i), lead(plan, "D2", k));
            nearest = d < nearest ? d : nearest;
            apart = e < apart ? e : apart;
        }
    assert_true(nearest <= 2);
    assert_true(apart >= 9);
    sw_plan_free(plan);
    bed_close(&b);
}

/* A wish is dearer than the board's size, also when area is preferred: over several seeds
 * it is met each time, against the circuit's own grain. */
static void wishes_come_before_area(void **state) {
    (void)state;
    sw_wish wishes[] = {{SW_WISH_NEAR, "C2", "U1", 1}, {SW_WISH_APART, "D1", "D2", 8}, {SW_WISH_EDGE_TOP, "VR1", NULL, 0},
                        {SW_WISH_EDGE_RIGHT, "S1", NULL, 0}};
    for (uint64_t seed = 1; seed <= 3; seed++) {
        bed b;
        bed_open_named(&b, "watering-timer");
        b.options.prefer = SW_PREFER_AREA;
        b.options.wishes = wishes;
        b.options.wish_count = 4;
        b.options.seed = seed;
        sw_plan *plan = lay_out(&b);
        assert_int_equal(sw_diags_of(b.diags, SW_WARNING), 0);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

/* Between the rows of an IC a link's ends find no room beside the cut, unless that is made with
 * a knife: it saves links. */
static void a_knife_saves_links(void **state) {
    (void)state;
    int links[2];
    for (int knife = 0; knife < 2; knife++) {
        bed b;
        bed_open_named(&b, "seed-flasher");
        b.options.prefer = SW_PREFER_LINKS;
        b.options.strips = 6;
        b.options.columns = 21;
        b.options.fixed_size = true;
        b.options.knife = knife;
        sw_plan *plan = lay_out(&b);
        links[knife] = (int)plan->link_count;
        sw_plan_free(plan);
        bed_close(&b);
    }
    assert_true(links[1] < links[0]);
}

static void lies_along_and_upright(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "seed-flasher");
    sw_lie_rule lies[] = {{"R1", SW_LIE_ALONG}, {"R2", SW_LIE_UPRIGHT}};
    b.options.lies = lies;
    b.options.lie_count = 2;
    sw_plan *plan = lay_out(&b);
    assert_int_equal(lead(plan, "R1", 0).strip, lead(plan, "R1", 1).strip);
    assert_string_equal(part_of(plan, "R2")->package, "RES-0.25W-UP");
    assert_int_equal(lead(plan, "R3", 0).column, lead(plan, "R3", 1).column);
    sw_plan_free(plan);
    bed_close(&b);
}

/* With knife cuts leads of different nodes may be neighbours: a resistor network stood
 * along would be out of the question without. */
static void knife_cuts_go_between_holes(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "door-lamp");
    sw_lie_rule lies[] = {{"P1", SW_LIE_ALONG}};
    b.options.lies = lies;
    b.options.lie_count = 1;
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = NULL};
    assert_int_equal(swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report), SW_NO_PLAN);
    assert_int_equal(sw_diags_get(b.diags, 0)->id, SW_D_LAYOUT_NO_TURN);
    b.options.knife = true;
    plan = lay_out(&b);
    assert_int_equal(lead(plan, "P1", 0).strip, lead(plan, "P1", 1).strip);
    int knives = 0;
    for (uint32_t i = 0; i < plan->cut_count; i++)
        knives += plan->cuts[i].knife;
    assert_true(knives > 0);
    sw_plan_free(plan);
    bed_close(&b);
}

static void links_are_no_longer_than_allowed(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "badge");
    b.options.longest_link = 4;
    sw_plan *plan = lay_out(&b);
    assert_true(plan->link_count > 0);
    for (uint32_t i = 0; i < plan->link_count; i++)
        assert_true(plan->links[i].to.strip - plan->links[i].from.strip <= 4);
    sw_plan_free(plan);
    bed_close(&b);
}

static void margin_and_keep_outs_stay_free(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "door-lamp");
    sw_keep_out keep_outs[] = {{{0, 0}, {2, 2}, "screw", SW_NOWHERE}, {{11, 17}, {13, 19}, "screw", SW_NOWHERE},
                               {{6, 9}, {7, 10}, "battery clip", SW_NOWHERE}};
    b.options.keep_outs = keep_outs;
    b.options.keep_out_count = 3;
    b.options.margin = 1;
    b.options.strips = 14;
    b.options.columns = 20;
    b.options.fixed_size = true;
    sw_plan *plan = lay_out(&b);
    assert_int_equal(plan->margin, 1);
    assert_int_equal(plan->strips, 14);
    assert_int_equal(plan->columns, 20);
    assert_int_equal(plan->keep_out_count, 3);
    assert_int_equal(sw_diags_of(b.diags, SW_WARNING), 0);
    sw_plan_free(plan);
    bed_close(&b);
}

/* A board hardly larger than the smallest plan: a start on it fails, one on a larger board
 * that is squeezed to it does not. */
static void a_tight_board_in_hand_is_used(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "bean-lights");
    b.options.strips = b.options.columns = 13;
    b.options.fixed_size = true;
    b.options.seed = 2;
    sw_plan *plan = lay_out(&b);
    assert_int_equal(plan->strips, 13);
    assert_int_equal(plan->columns, 13);
    sw_plan_free(plan);
    bed_close(&b);
}

static void locked_parts_and_links_stay(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "watering-timer");
    sw_plan *first = lay_out(&b);
    assert_true(first->link_count > 0);
    for (uint32_t i = 0; i < first->part_count; i++)
        first->parts[i].locked = first->parts[i].ref[0] == 'U' || first->parts[i].ref[0] == 'P';
    first->links[0].locked = true;
    b.options.keep = first;
    b.options.seed = 5;
    sw_plan *plan = lay_out(&b);
    for (uint32_t pin = 0; pin < 8; pin++) {
        assert_int_equal(lead(plan, "U1", pin).strip, lead(first, "U1", pin).strip);
        assert_int_equal(lead(plan, "U1", pin).column, lead(first, "U1", pin).column);
    }
    assert_true(part_of(plan, "U1")->locked);
    int there = 0;
    for (uint32_t i = 0; i < plan->link_count; i++)
        there += plan->links[i].from.strip == first->links[0].from.strip && plan->links[i].to.strip == first->links[0].to.strip &&
                 plan->links[i].from.column == first->links[0].from.column && plan->links[i].locked;
    assert_int_equal(there, 1);
    sw_plan_free(plan);
    sw_plan_free(first);
    bed_close(&b);
}

/* Starting from a plan never ends with a worse one. */
static void from_a_plan_it_only_gets_better(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "gauge-ring");
    b.params.quick_moves = 5;
    sw_plan *first = lay_out(&b);
    double before = b.report.cost.balanced;
    b.options.from = first;
    b.params.quick_moves = 30;
    sw_plan *plan = lay_out(&b);
    assert_true(b.report.cost.balanced <= before);
    sw_plan_free(plan);
    sw_plan_free(first);
    bed_close(&b);
}

static void preferences_are_followed(void **state) {
    (void)state;
    sw_cost costs[SW_PREFER_SYMMETRY + 1];
    for (int prefer = 0; prefer <= SW_PREFER_SYMMETRY; prefer++) {
        bed b;
        bed_open_named(&b, "watering-timer");
        b.options.prefer = (sw_prefer)prefer;
        b.params.quick_moves = 150;
        sw_plan *plan = lay_out(&b);
        costs[prefer] = b.report.cost;
        assert_int_equal(b.report.cost.area, plan->strips * plan->columns);
        assert_true(b.report.lower_bound > 0 && b.report.lower_bound <= b.report.cost.area);
        assert_true(b.report.bound_why[0] != '\0');
        sw_plan_free(plan);
        bed_close(&b);
    }
    assert_true(costs[SW_PREFER_LINKS].links <= costs[SW_PREFER_AREA].links);
    assert_true(costs[SW_PREFER_STRIPS].strips <= costs[SW_PREFER_AREA].strips);
    assert_true(costs[SW_PREFER_COLUMNS].columns <= costs[SW_PREFER_AREA].columns);
}

/* What balanced plans of four searches come to, links counting as so much while they are compared. */
static sw_cost balanced_by(int32_t worth) {
    sw_cost all = {.links = 0};
    for (uint64_t seed = 1; seed <= 4; seed++) {
        bed b;
        bed_open_named(&b, "watering-timer");
        b.options.seed = seed;
        b.params.balance_worth = worth;
        sw_plan_free(lay_out(&b));
        all.links += b.report.cost.links;
        all.area += b.report.cost.area;
        bed_close(&b);
    }
    return all;
}

/* At most a tenth more board than where a link counts for nothing, and clearly fewer links. */
static void balance_saves_links(void **state) {
    (void)state;
    swi_params usual;
    swi_params_default(&usual);
    sw_cost with = balanced_by(usual.balance_worth), without = balanced_by(0);
    print_message("# %d holes and %d links, %d and %d\n", with.area, with.links, without.area, without.links);
    assert_true(10 * with.area <= 11 * without.area);
    assert_true(10 * with.links <= 9 * without.links);
}

static void sleeved_links_are_marked(void **state) {
    (void)state;
    int under = 0;
    for (uint64_t seed = 1; seed <= 6 && !under; seed++) {
        bed b;
        bed_open_named(&b, "gauge-ring");
        b.options.sleeved = true;
        b.options.seed = seed;
        sw_plan *plan = lay_out(&b);
        for (uint32_t i = 0; i < plan->link_count; i++)
            under += plan->links[i].sleeved;
        sw_plan_free(plan);
        bed_close(&b);
    }
    assert_true(under > 0);
}

/* A buzzer that covers most of the board: on legs that keep it clear of the board, links run
 * beneath it. */
static void sleeved_links_pass_beneath_raised_parts(void **state) {
    (void)state;
    static const char lines[] = "BZ1 z BUZZER-12 A B\nR1 R RES-0.25W A C\nR2 R RES-0.25W C D\nR3 R RES-0.25W D E\n"
                                "R4 R RES-0.25W E B\nR5 R RES-0.25W A E\nR6 R RES-0.25W D B\n";
    static const char *const beneath[2] = {"none", "sleeved-link"};
    int area[2], sleeved[2] = {0};
    for (int raised = 0; raised < 2; raised++) {
        bed b;
        char table[160];
        sw_input input;
        bed_open(&b);
        snprintf(table, sizeof table, "name,form,body_along_mm,body_across_mm,height_mm,under\nBUZZER-12,pair:3:3:3,25,25,15,%s\n",
                 beneath[raised]);
        assert_int_equal(sw_input_text(b.diags, "buzzer.csv", table, strlen(table), &input), SW_OK);
        assert_int_equal(sw_library_add(b.library, &input, b.diags), SW_OK);
        b.circuit = bench_lines(lines, b.library, b.diags);
        b.options.sleeved = true;
        b.options.prefer = SW_PREFER_AREA;
        b.params.quick_moves = 200;
        sw_plan *plan = lay_out(&b);
        area[raised] = plan->strips * plan->columns;
        for (uint32_t i = 0; i < plan->link_count; i++)
            sleeved[raised] += plan->links[i].sleeved;
        sw_plan_free(plan);
        bed_close(&b);
    }
    assert_int_equal(sleeved[0], 0);
    assert_true(sleeved[1] > 0);
    assert_true(area[1] <= area[0]);
}

/* The screw of a trimmer in the midst of a circuit comes to an edge, and so do a screw terminal's
 * openings and a pin header. */
static void sides_to_be_got_at_look_to_their_edge(void **state) {
    (void)state;
    static const char lines[] = "U1 X DIP-8 GND TR OUT RES CV TH TH VCC\nR1 R RES-0.25W VCC W\nVR1 P TRIM-SIDE W TH TR\n"
                                "R2 R RES-0.25W VCC TR\nR3 R RES-0.25W VCC RES\nR4 R RES-0.25W OUT A\nD1 D LED-3 A GND\n"
                                "C1 C CAP-DISC-2.5 CV GND\nJ1 N SCREW-2 VCC GND\nJ2 N HEADER-1x2 TR OUT\n"
                                "U2 X TO-220-FLAT VIN GND VCC\n"; /* hangs over an edge, but not before J1 */
    int at_sides = 0;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        bed b;
        sw_neatness n;
        bed_open(&b);
        b.circuit = bench_lines(lines, b.library, b.diags);
        b.options.seed = seed;
        b.options.prefer = seed == 2 ? SW_PREFER_AREA : SW_PREFER_BALANCE;
        b.params.quick_moves = 100;
        b.params.terminal_off = 50000; /* dearer than what a header saves in the midst */
        sw_plan *plan = lay_out(&b);
        assert_true(sw_plan_neatness(plan, b.circuit, b.library, &n));
        assert_int_equal(n.adjusters, 1);
        assert_int_equal(n.in_reach, 1);
        assert_int_equal(n.terminals, 2);
        assert_int_equal(sw_check(plan, b.circuit, b.library, b.diags, NULL), SW_OK);
        assert_int_equal(test_count(b.diags, SW_D_BOARD_FACE), 0);
        at_sides += n.at_sides;
        sw_plan_free(plan);
        bed_close(&b);
    }
    print_message("# %d at the sides\n", at_sides);
    assert_true(at_sides >= 5); /* least area hardly minds */
}

/* What a fit knows of the two timers: their rails, and which pins are for the supply. */
static void know_supplies(const bed *b) {
    sw_circuit *c = b->circuit;
    for (uint32_t i = 0; i < c->pin_count; i++) {
        sw_pin *pin = &c->pins[i];
        sw_part *part = &c->parts[pin->part.i];
        sw_node *node = &c->nodes[pin->node.i];
        node->rail = strcmp(node->name, "VCC") == 0   ? SW_RAIL_POSITIVE
                     : strcmp(node->name, "GND") == 0 ? SW_RAIL_GROUND : SW_RAIL_NONE;
        if (part->kind == 'X')
            pin->type = strcmp(pin->number, "8") == 0   ? SW_PIN_POWER_POSITIVE
                        : strcmp(pin->number, "1") == 0 ? SW_PIN_GROUND : SW_PIN_PASSIVE;
        if (part->kind == 'C')
            part->value = "100n";
    }
}

/* Two timers with a capacitor each, and enough between them that both could be elsewhere. */
static int by_their_ics(uint64_t seed, int weight) {
    static const char lines[] =
        "U1 X DIP-8 GND T1 O1 VCC V1 T1 D1 VCC\nU2 X DIP-8 GND T2 O2 O1 V2 T2 D2 VCC\nC1 C CAP-DISC-2.5 VCC GND\n"
        "C2 C CAP-DISC-2.5 VCC GND\nR1 R RES-0.25W VCC D1\nR2 R RES-0.25W D1 T1\nR3 R RES-0.25W VCC D2\nR4 R RES-0.25W D2 T2\n"
        "C3 C CAP-DISC-2.5 T1 GND\nC4 C CAP-DISC-2.5 T2 GND\nC5 C CAP-DISC-2.5 V1 GND\nC6 C CAP-DISC-2.5 V2 GND\n"
        "R5 R RES-0.25W O2 L1\nD1 D LED-3 L1 GND\nR6 R RES-0.25W O1 L2\nD2 D LED-3 L2 GND\nP1 N PIN-1 VCC\nP2 N PIN-1 GND\n";
    bed b;
    sw_neatness n;
    bed_open(&b);
    b.circuit = bench_lines(lines, b.library, b.diags);
    know_supplies(&b);
    b.options.seed = seed;
    b.params.quick_moves = 100;
    b.params.decoupling_pitch = weight;
    sw_plan *plan = lay_out(&b);
    assert_true(sw_plan_neatness(plan, b.circuit, b.library, &n));
    assert_int_equal(n.decoupling, 2);
    sw_plan_free(plan);
    bed_close(&b);
    return n.by_ic;
}

static void capacitors_come_to_their_ics(void **state) {
    (void)state;
    swi_params defaults;
    swi_params_default(&defaults);
    int with = 0, without = 0;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        with += by_their_ics(seed, defaults.decoupling_pitch);
        without += by_their_ics(seed, 0);
    }
    print_message("# %d of 16, %d when nothing draws them\n", with, without);
    assert_true(with >= 10);
    assert_true(with >= 2 * without);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edges_are_taken),
        cmocka_unit_test(near_and_apart),
        cmocka_unit_test(lies_along_and_upright),
        cmocka_unit_test(knife_cuts_go_between_holes),
        cmocka_unit_test(links_are_no_longer_than_allowed),
        cmocka_unit_test(margin_and_keep_outs_stay_free),
        cmocka_unit_test(wishes_come_before_area), cmocka_unit_test(a_knife_saves_links),
        cmocka_unit_test(a_tight_board_in_hand_is_used), cmocka_unit_test(locked_parts_and_links_stay),
        cmocka_unit_test(from_a_plan_it_only_gets_better),
        cmocka_unit_test(preferences_are_followed), cmocka_unit_test(balance_saves_links),
        cmocka_unit_test(sleeved_links_are_marked),
        cmocka_unit_test(sleeved_links_pass_beneath_raised_parts),
        cmocka_unit_test(sides_to_be_got_at_look_to_their_edge),
        cmocka_unit_test(capacitors_come_to_their_ics),
    };
    return cmocka_run_group_tests_name("layout options", tests, NULL, NULL);
}
