/* Order of work, what to buy, what boards yield, cautions. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>
#include <limits.h>

#include "papers/shopping.h"
#include "papers/work.h"
#include "tests/lib/alloc.h"
#include "tests/lib/plans.h"
#include <stripwright/papers.h>

static sw_library *library;

static int load(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    sw_diags_free(diags);
    return library == NULL;
}

static int unload(void **state) {
    (void)state;
    sw_library_free(library);
    return 0;
}

static sw_hole hole(const char *name) {
    sw_hole h;
    assert_true(sw_hole_read(name, &h) > 0);
    return h;
}

/* ---- order of work ---- */

static void cuts_then_links_strip_by_strip(void **state) {
    (void)state;
    sw_plan *plan = sw_plan_new();
    plan->strips = 9;
    plan->columns = 30;
    static const char *const cuts[] = {"C10", "A20", "C9", "B1", "A3"};
    for (size_t i = 0; i < 5; i++)
        sw_plan_add_cut(plan, (sw_cut){.hole = hole(cuts[i])});
    sw_plan_add_link(plan, (sw_link){.from = hole("F2"), .to = hole("B2")});
    sw_plan_add_link(plan, (sw_link){.from = hole("A9"), .to = hole("I9")});
    sw_plan_add_link(plan, (sw_link){.from = hole("B1"), .to = hole("C1")});
    sw_document document = {.plan = plan, .library = library};
    swi_subject *subject = swi_subject_new(&document);
    swi_work *work = swi_work_new(subject);
    static const char *const order[] = {"A3", "A20", "B1", "C9", "C10"};
    assert_int_equal(work->cut_count, 5);
    for (size_t i = 0; i < 5; i++) {
        char name[12];
        sw_hole_write(plan->cuts[work->cuts[i]].hole, name);
        assert_string_equal(name, order[i]);
    }
    assert_int_equal(work->links[0], 1); /* from A */
    assert_int_equal(work->links[1], 2); /* from B1, then B2 (drawn from below) */
    assert_int_equal(work->links[2], 0);
    assert_int_equal(swi_link_pitches(&plan->links[1]), 8);
    assert_true(fabs(swi_link_wire(&plan->links[1]) - (8 * 2.54 + 10)) < 1e-9);
    assert_true(fabs(swi_links_wire(subject) - ((4 + 8 + 1) * 2.54 + 30)) < 1e-9);
    swi_work_free(work);
    swi_subject_free(subject);
    sw_plan_free(plan);
}

static void parts_from_low_to_high(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library};
    swi_subject *subject = swi_subject_new(&document);
    swi_work *work = swi_work_new(subject);
    assert_int_equal(work->part_count, 12);
    assert_int_equal(work->wire_count, 8);
    assert_string_equal(subject->items[work->parts[0]].part->ref, "D1"); /* 2.2 mm */
    assert_string_equal(subject->items[work->parts[1]].part->ref, "R1"); /* 2.7 mm */
    assert_string_equal(subject->items[work->parts[11]].part->ref, "U1"); /* into its socket last */
    for (uint32_t i = 2; i + 1 < work->part_count; i++)
        assert_true(subject->items[work->parts[i - 1]].package->height_mm <=
                    subject->items[work->parts[i]].package->height_mm);
    swi_work_free(work);
    swi_subject_free(subject);
    sw_plan_free(plan);
}

/* ---- what to buy ---- */

static const swi_buy *find(const swi_buy *lines, size_t count, const char *device, const char *value) {
    for (size_t i = 0; i < count; i++)
        if (strcmp(lines[i].device, device) == 0 && strcmp(lines[i].value, value) == 0)
            return &lines[i];
    return NULL;
}

static void parts_are_grouped(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library};
    swi_subject *subject = swi_subject_new(&document);
    swi_shopping *shopping = swi_shopping_new();
    size_t count;
    assert_true(swi_shopping_add(shopping, subject, 1));
    const swi_buy *lines = swi_shopping_finish(shopping, 0, library, &count);
    assert_non_null(lines);
    const swi_buy *r = find(lines, count, "", "4k7");
    assert_int_equal(r->quantity, 3);
    assert_string_equal(r->refs, "R2 R3 R5");
    assert_string_equal(r->series, "E3");
    /* IEC 60062: 4.7 kΩ is yellow violet red, with a third digit yellow violet black brown. */
    assert_non_null(strstr(r->marking, "yellow violet red gold"));
    assert_non_null(strstr(r->marking, "yellow violet black brown brown"));
    assert_non_null(strstr(r->marking, "4K7"));
    assert_non_null(strstr(find(lines, count, "", "100n")->marking, "104"));
    assert_int_equal(find(lines, count, "IC socket", "8 pins")->quantity, 1);
    assert_int_equal(find(lines, count, "terminal pin", "1 mm")->quantity, 8);
    const swi_buy *board = find(lines, count, "stripboard", "9 × 25 holes");
    assert_non_null(board);
    assert_non_null(strstr(board->note, "strip I and column 20")); /* the ninth strip is lost */
    /* Natural order of references. */
    assert_string_equal(lines[0].refs, "C1");
    swi_shopping_free(shopping);
    swi_subject_free(subject);
    sw_plan_free(plan);
}

static void copies_and_spares(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library};
    swi_subject *subject = swi_subject_new(&document);
    swi_shopping *shopping = swi_shopping_new();
    size_t count;
    assert_true(swi_shopping_add(shopping, subject, 12)); /* a class */
    const swi_buy *lines = swi_shopping_finish(shopping, 10, library, &count);
    assert_int_equal(find(lines, count, "", "4k7")->quantity, 40);  /* 36 and 3.6, rounded up */
    assert_int_equal(find(lines, count, "", "LM393")->quantity, 12); /* no spare of ICs */
    assert_int_equal(find(lines, count, "terminal pin", "1 mm")->quantity, 106);
    swi_shopping_free(shopping);
    swi_subject_free(subject);
    sw_plan_free(plan);
}

/* Two plans in one list: equal parts come together, each has its own piece of board. */
static void two_plans_add_up(void **state) {
    (void)state;
    sw_plan *a = test_plan_frost(), *b = test_plan_frost();
    sw_document document_a = {.plan = a, .library = library}, document_b = {.plan = b, .library = library};
    swi_subject *one = swi_subject_new(&document_a), *two = swi_subject_new(&document_b);
    swi_shopping *shopping = swi_shopping_new();
    size_t count;
    assert_true(swi_shopping_add(shopping, one, 1) && swi_shopping_add(shopping, two, 2));
    const swi_buy *lines = swi_shopping_finish(shopping, 0, library, &count);
    assert_int_equal(find(lines, count, "", "4k7")->quantity, 9);
    assert_string_equal(find(lines, count, "", "4k7")->refs, "board 1: R2 R3 R5; board 2: R2 R3 R5");
    assert_int_equal(find(lines, count, "", "4k7")->each_count, 6);
    assert_int_equal(find(lines, count, "", "4k7")->each[3].board, 2);
    assert_string_equal(find(lines, count, "IC socket", "8 pins")->note, "for board 1: U1; board 2: U1");
    assert_int_equal(find(lines, count, "stripboard", "9 × 25 holes")->quantity, 3); /* one size: one line */
    swi_shopping_free(shopping);
    swi_subject_free(one);
    swi_subject_free(two);
    sw_plan_free(a);
    sw_plan_free(b);
}

static sw_plan *small_plan(void) {
    sw_plan *plan = sw_plan_new();
    plan->strips = 5;
    plan->columns = 5;
    return plan;
}

/* What there is to buy for a plan, which goes with it. */
typedef struct bought {
    sw_plan *plan;
    sw_document document;
    swi_subject *subject;
    swi_shopping *shopping;
    const swi_buy *lines;
} bought;

static bought *buy(sw_plan *plan) {
    bought *b = test_calloc(1, sizeof *b);
    size_t count;
    b->plan = plan;
    b->document = (sw_document){.plan = plan, .library = library};
    b->subject = swi_subject_new(&b->document);
    b->shopping = swi_shopping_new();
    assert_true(swi_shopping_add(b->shopping, b->subject, 1));
    b->lines = swi_shopping_finish(b->shopping, 0, library, &count);
    return b;
}

static void bought_free(bought *b) {
    swi_shopping_free(b->shopping);
    swi_subject_free(b->subject);
    sw_plan_free(b->plan);
    test_free(b);
}

static void odd_values_are_told(void **state) {
    (void)state;
    sw_plan *plan = small_plan();
    sw_plan_add_part(plan, (sw_plan_part){.ref = "R1", .value = "4k8", .device = "", .package = "RES-0.25W", .turn = 0});
    sw_plan_add_part(plan, (sw_plan_part){.ref = "R2", .value = "4.8k", .device = "", .package = "RES-0.25W", .turn = 0});
    sw_plan_add_part(plan, (sw_plan_part){.ref = "C1", .value = "0.1uF 16V", .device = "", .package = "CAP-DISC-2.5", .turn = 0});
    bought *b = buy(plan);
    const swi_buy *lines = b->lines;
    /* IEC 60063: 4.7 and 5.1 are E24's neighbours of 4.8; E192 has 4.81, not 4.8. */
    assert_string_equal(lines[0].value, "100n 16V");
    assert_string_equal(lines[0].note, "the plan writes 0.1uF 16V");
    lines++;
    assert_string_equal(lines[0].refs, "R1 R2");
    assert_string_equal(lines[0].written, "4.8k");
    assert_string_equal(lines[0].series, "none");
    assert_non_null(strstr(lines[0].note, "nearest of E12: 4k7 and 5k6, of E24: 4k7 and 5k1"));
    bought_free(b);
}

/* One line of a shop's list for each value, however it is written. */
static void values_are_one_however_written(void **state) {
    (void)state;
    static const char *const written[] = {"4k7", "4,7k", "4.7 k", "4700 ohms"};
    sw_plan *plan = small_plan();
    for (size_t i = 0; i < sizeof written / sizeof *written; i++) {
        const char *refs[] = {"R1", "R2", "R3", "R4"};
        sw_plan_add_part(plan, (sw_plan_part){.ref = refs[i], .value = written[i], .device = "", .package = "RES-0.25W", .turn = 0});
    }
    sw_plan_add_part(plan, (sw_plan_part){.ref = "C1", .value = "100uF16V", .device = "", .package = "ELEC-6.3", .turn = 0});
    bought *b = buy(plan);
    const swi_buy *lines = b->lines;
    assert_string_equal(lines[0].value, "100u 16V");
    assert_string_equal(lines[1].value, "4k7");
    assert_string_equal(lines[1].refs, "R1 R2 R3 R4");
    bought_free(b);
}

/* ---- stock ---- */

static void boards_yield_pieces(void **state) {
    (void)state;
    sw_stock board = {"", 24, 37, "", ""};
    assert_int_equal(sw_stock_yield(&board, 24, 37).pieces, 1); /* the whole board: nothing snapped */
    assert_int_equal(sw_stock_yield(&board, 25, 37).pieces, 0);
    assert_int_equal(sw_stock_yield(&board, 12, 37).pieces, 1); /* 12 + 1 + 12 = 25 strips would do */
    assert_int_equal(sw_stock_yield(&board, 11, 37).pieces, 2); /* 11 + 1 + 11 = 23 */
    assert_int_equal(sw_stock_yield(&board, 11, 18).pieces, 4); /* 18 + 1 + 18 = 37 */
    assert_int_equal(sw_stock_yield(&board, 7, 12).pieces, 6);  /* 3 × 7 + 2 = 23, 2 × 12 + 1 = 25, third ends at 38 */
    assert_int_equal(sw_stock_yield(&board, 0, 5).pieces, 0);
    assert_int_equal(sw_stock_yield(&board, INT_MAX, 5).pieces, 0);
    /* 39 × 62: 9 × 25 goes (40 / 10) × (63 / 26) = 4 × 2 times.  The fourth ends with strip 39
     * exactly (4 × 9 + 3); of 62 columns 2 × 25 and two snap lines leave 10. */
    sw_stock euro = {"", 39, 62, "", ""};
    sw_stock_cut cut = sw_stock_yield(&euro, 9, 25);
    assert_int_equal(cut.down, 4);
    assert_int_equal(cut.along, 2);
    assert_int_equal(cut.pieces, 8);
    assert_int_equal(cut.strips_left, 0);
    assert_int_equal(cut.columns_left, 10);
    euro.strips = 38; /* one strip less: three, and 38 − 3 × 10 = 8 strips left */
    cut = sw_stock_yield(&euro, 9, 25);
    assert_int_equal(cut.down, 3);
    assert_int_equal(cut.strips_left, 8);
    cut = sw_stock_yield(&euro, 38, 61); /* a column is left, and it is lost in snapping */
    assert_int_equal(cut.pieces, 1);
    assert_int_equal(cut.columns_left, 0);
    assert_int_equal(sw_stock_yield(&euro, 39, 61).strips_left, 38); /* too small: all of it is left */
}

/* 24 × 37: a band of 12 strips with 12 × 20 and 11 × 16 (20 + 1 + 16 = 37 columns exactly), a
 * snap line, and 11 strips (12 + 1 + 11 = 24 exactly) with 11 × 18 twice (18 + 1 + 18 = 37). */
static void pieces_share_boards(void **state) {
    (void)state;
    static const char table[] = "name,strips,holes\nwhole,24,37\n";
    swi_piece pieces[] = {{12, 20, 1}, {11, 18, 2}, {11, 16, 1}};
    sw_library *own = sw_library_new_empty();
    swi_arena *memory = swi_arena_new();
    sw_input input;
    swi_nest nest;
    sw_diags *diags = sw_diags_new(NULL);
    assert_int_equal(sw_input_text(diags, "own.csv", table, strlen(table), &input), SW_OK);
    assert_int_equal(sw_library_add(own, &input, diags), SW_OK);
    assert_true(swi_nest_choose(own, pieces, 3, memory, &nest));
    assert_int_equal(nest.boards, 1);
    assert_non_null(strstr(nest.how, "1 board in bands of 12 strips (1 of 12 × 20, 1 of 11 × 16), 11 strips (2 of 11 × 18)"));
    pieces[2].columns = 17; /* one column too many: a second board */
    assert_true(swi_nest_choose(own, pieces, 3, memory, &nest));
    assert_int_equal(nest.boards, 2);
    pieces[0].copies = 4; /* boards that are cut alike are said once */
    assert_true(swi_nest_choose(own, pieces, 1, memory, &nest));
    assert_int_equal(nest.boards, 4);
    assert_non_null(strstr(nest.how, "; 4 boards in bands of 12 strips (1 of 12 × 20); "));
    pieces[0].strips = 25; /* too large for any */
    assert_true(swi_nest_choose(own, pieces, 3, memory, &nest));
    assert_null(nest.stock);
    pieces[0] = (swi_piece){12, 20, SWI_NEST_MOST};
    assert_true(swi_nest_choose(own, pieces, 3, memory, &nest));
    assert_null(nest.stock);
    swi_arena_free(memory);
    sw_library_free(own);
    sw_diags_free(diags);
}

static void the_least_board_is_taken(void **state) {
    (void)state;
    swi_stock_cut cut = swi_stock_choose(library, 8, 19, 1);
    assert_string_equal(cut.stock->name, "9 × 25");
    assert_int_equal(cut.boards, 1);
    assert_int_equal(cut.strips_left, 0);  /* nine strips: eight, and the one lost */
    assert_int_equal(cut.columns_left, 5);
    assert_string_equal(swi_stock_choose(library, 10, 20, 1).stock->name, "24 × 37");
    assert_null(swi_stock_choose(library, 100, 20, 1).stock);
    assert_int_equal(swi_stock_choose(library, 39, 62, 3).boards, 3);
}

/* A bad row of a table of sizes. */
static void stock_tables_are_checked(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *own = sw_library_new_empty();
    const char *table = "name,strips,holes\nbench,30,40\nbad,0,4\n,3,4\n";
    sw_input input;
    assert_int_equal(sw_input_text(diags, "stock.csv", table, strlen(table), &input), SW_OK);
    assert_int_equal(sw_library_add(own, &input, diags), SW_BAD_INPUT);
    assert_int_equal(sw_library_stock_count(own), 1);
    assert_int_equal(sw_library_stock_at(own, 0)->columns, 40);
    assert_null(sw_library_stock_at(own, 1));
    assert_int_equal(sw_diags_count(diags), 2);
    assert_int_equal(sw_diags_get(diags, 0)->id, SW_D_STOCK_FIELD);
    sw_library_free(own);
    sw_diags_free(diags);
}

/* ---- cautions ---- */

/* IPC-2221 table 6-1 column B2, and its formula as worked in published examples: 1 A, 10 K,
 * 1 oz (1.378 mil), outside: 11.83 mil = 0.300 mm; 2 A: 30.76 mil; 5 A, 20 K: 71.49 mil. */
static void limits_as_published(void **state) {
    (void)state;
    static const double gaps[][2] = {{15, 0.1}, {30, 0.1}, {31, 0.6}, {100, 0.6}, {150, 0.6}, {151, 1.25},
                                     {300, 1.25}, {301, 2.5}, {500, 2.5}, {600, 3.0}, {1000, 5.0}};
    for (size_t i = 0; i < sizeof gaps / sizeof *gaps; i++)
        assert_true(fabs(sw_clearance_needed(gaps[i][0]) - gaps[i][1]) < 1e-9);
    assert_true(fabs(sw_clearance_volts(0.24) - 30) < 1e-9);
    assert_true(fabs(sw_clearance_volts(0.6) - 150) < 1e-9);
    assert_true(fabs(sw_clearance_volts(0.05)) < 1e-9);
    const double mil = 0.0254, ounce = 1.378 * mil;
    assert_true(fabs(sw_track_current(11.83 * mil, ounce, 10) - 1) < 0.001);
    assert_true(fabs(sw_track_current(30.76 * mil, ounce, 10) - 2) < 0.002);
    assert_true(fabs(sw_track_current(71.49 * mil, ounce, 20) - 5) < 0.005);
}

static sw_circuit *circuit_with(const char *ref, char kind, const char *value) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *builder = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_part_id part = sw_builder_part(builder, ref, kind, SW_NOWHERE);
    sw_builder_part_at(builder, part)->value = sw_builder_text(builder, value, strlen(value));
    sw_builder_pin(builder, part, "1", "", sw_builder_node(builder, "a", true, SW_NOWHERE), SW_NOWHERE);
    sw_builder_pin(builder, part, "2", "", sw_builder_node(builder, "0", true, SW_NOWHERE), SW_NOWHERE);
    sw_circuit *circuit = sw_builder_finish(builder);
    sw_diags_free(diags);
    return circuit;
}

static int caution_of(const char *ref, char kind, const char *value) {
    sw_circuit *circuit = circuit_with(ref, kind, value);
    sw_diags *diags = sw_diags_new(NULL);
    assert_int_equal(sw_cautions(circuit, NULL, NULL, NULL, diags), SW_OK);
    int id = sw_diags_count(diags) ? (int)sw_diags_get(diags, 0)->id : -1;
    assert_true(sw_diags_count(diags) <= 1);
    sw_diags_free(diags);
    sw_circuit_free(circuit);
    return id;
}

static void sources_are_judged(void **state) {
    (void)state;
    assert_int_equal(caution_of("V1", 'V', "9"), -1);
    assert_int_equal(caution_of("V1", 'V', "DC 60"), -1);
    assert_int_equal(caution_of("V1", 'V', "DC 61"), SW_D_CAUTION_VOLTAGE);
    assert_int_equal(caution_of("V1", 'V', "-150"), SW_D_CAUTION_VOLTAGE);
    assert_int_equal(caution_of("V1", 'V', "SIN(0 17 50)"), -1); /* 12 V rms */
    assert_int_equal(caution_of("V1", 'V', "SIN(0 42 50)"), SW_D_CAUTION_VOLTAGE); /* 30 V rms */
    assert_int_equal(caution_of("V1", 'V', "sin(0, 325, 50)"), SW_D_CAUTION_MAINS); /* 230 V rms */
    assert_int_equal(caution_of("V1", 'V', "PULSE(0 5 1u)"), -1);
    assert_int_equal(caution_of("V1", 'V', "PULSE(0 100 1u)"), SW_D_CAUTION_VOLTAGE);
    assert_int_equal(caution_of("I1", 'I', "2"), -1);
    assert_int_equal(caution_of("I1", 'I', "DC 2.5"), SW_D_CAUTION_CURRENT); /* 2.39 A is the limit */
    assert_int_equal(caution_of("I1", 'I', "500m"), -1);
}

static sw_circuit *rails(double volts) {
    sw_circuit *circuit = circuit_with("R1", 'R', "1k");
    circuit->stage = SW_STAGE_FITTED;
    circuit->nodes[0].rail = SW_RAIL_POSITIVE;
    circuit->nodes[0].volts = volts;
    circuit->nodes[1].rail = SW_RAIL_GROUND;
    sw_diags *diags = sw_diags_new(NULL);
    assert_int_equal(sw_circuit_number(circuit, diags), SW_OK);
    sw_diags_free(diags);
    return circuit;
}

/* Rails on neighbouring strips, or with an empty one between. */
static size_t gap_cautions(double volts, const char *second, sw_diag_id *id) {
    sw_circuit *circuit = rails(volts);
    sw_plan *plan = sw_plan_new();
    plan->strips = 5;
    plan->columns = 5;
    sw_plan_add_part(plan, (sw_plan_part){.ref = "R1", .value = "", .device = "", .package = "RES-0.25W"});
    sw_plan_add_lead(plan, (sw_plan_lead){.pin = "1", .node = 1, .hole = hole("A1")});
    sw_plan_add_lead(plan, (sw_plan_lead){.pin = "2", .node = 2, .hole = hole(second)});
    sw_diags *diags = sw_diags_new(NULL);
    assert_int_equal(sw_cautions(NULL, circuit, plan, library, diags), SW_OK);
    size_t count = sw_diags_count(diags);
    *id = count ? sw_diags_get(diags, count - 1)->id : SW_DIAG_COUNT;
    sw_diags_free(diags);
    sw_plan_free(plan);
    sw_circuit_free(circuit);
    return count;
}

static void neighbouring_strips_are_judged(void **state) {
    (void)state;
    sw_diag_id id;
    assert_int_equal(gap_cautions(24, "B1", &id), 0);
    assert_int_equal(gap_cautions(48, "B1", &id), 1);
    assert_int_equal(id, SW_D_CAUTION_GAP);
    assert_int_equal(gap_cautions(48, "C1", &id), 0); /* an empty strip between */
    assert_int_equal(gap_cautions(70, "C1", &id), 1); /* too much to touch */
    assert_int_equal(id, SW_D_CAUTION_VOLTAGE);
}

static void cautions_can_be_read(void **state) {
    (void)state;
    size_t count = 0;
    while (sw_caution_text(count))
        count++;
    assert_true(count >= 5);
    assert_non_null(strstr(sw_caution_text(0), "mains"));
    for (size_t i = 0; i < count; i++) { /* who cuts nothing need not read of it */
        assert_int_equal(sw_caution_matters(i, false, true), strstr(sw_caution_text(i), "snap the board") == NULL);
        assert_int_equal(sw_caution_matters(i, true, false), strstr(sw_caution_text(i), "spot-face") == NULL);
        assert_true(sw_caution_matters(i, true, true));
    }
}

static void memory_may_be_short(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library};
    bool went_short = true;
    for (long n = 0; went_short; n++) {
        test_alloc_fail(n);
        swi_subject *subject = swi_subject_new(&document);
        swi_work *work = subject ? swi_work_new(subject) : NULL;
        swi_shopping *shopping = swi_shopping_new();
        size_t count = 0;
        bool good = work && shopping && swi_shopping_add(shopping, subject, 2) &&
                    swi_shopping_finish(shopping, 10, library, &count);
        went_short = test_alloc_reset();
        assert_int_equal(good, !went_short);
        swi_shopping_free(shopping);
        swi_work_free(work);
        swi_subject_free(subject);
    }
    sw_plan_free(plan);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cuts_then_links_strip_by_strip),
        cmocka_unit_test(parts_from_low_to_high),
        cmocka_unit_test(parts_are_grouped),
        cmocka_unit_test(copies_and_spares),
        cmocka_unit_test(two_plans_add_up),
        cmocka_unit_test(odd_values_are_told),
        cmocka_unit_test(values_are_one_however_written),
        cmocka_unit_test(boards_yield_pieces),
        cmocka_unit_test(the_least_board_is_taken),
        cmocka_unit_test(pieces_share_boards),
        cmocka_unit_test(stock_tables_are_checked),
        cmocka_unit_test(limits_as_published),
        cmocka_unit_test(sources_are_judged),
        cmocka_unit_test(neighbouring_strips_are_judged),
        cmocka_unit_test(cautions_can_be_read),
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("papers: work, shopping, cautions", tests, load, unload);
}
