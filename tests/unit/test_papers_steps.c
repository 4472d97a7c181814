/* The steps at the bench: their order, that nothing is forgotten or said twice, and what
 * they say about which way round. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "papers/steps.h"
#include "tests/lib/alloc.h"
#include "tests/lib/plans.h"

static sw_library *library;
static sw_plan *plan;
static sw_circuit *circuit;
static sw_document document;
static swi_subject *subject;
static swi_steps *steps;

static int load(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    plan = test_plan_frost();
    sw_status status = sw_plan_circuit(plan, library, diags, &circuit);
    sw_diags_free(diags);
    document = (sw_document){.plan = plan, .library = library, .circuit = circuit};
    subject = swi_subject_new(&document);
    steps = swi_steps_new(subject);
    return status != SW_OK || !steps;
}

static int unload(void **state) {
    (void)state;
    swi_steps_free(steps);
    swi_subject_free(subject);
    sw_circuit_free(circuit);
    sw_plan_free(plan);
    sw_library_free(library);
    return 0;
}

static const swi_step *find(const swi_steps *among, const char *title) {
    for (uint32_t i = 0; i < among->step_count; i++)
        if (strncmp(among->steps[i].title, title, strlen(title)) == 0)
            return &among->steps[i];
    fail_msg("no step begins with: %s", title);
    return NULL;
}

static void chapters_in_working_order(void **state) {
    (void)state;
    uint32_t next = 0;
    assert_int_equal(steps->chapter_count, 10);
    for (uint32_t i = 0; i < steps->chapter_count; i++) {
        assert_int_equal(steps->chapters[i].kind, (int)i);
        assert_int_equal(steps->chapters[i].first, next);
        assert_true(steps->chapters[i].count > 0);
        next += steps->chapters[i].count;
    }
    assert_int_equal(next, steps->step_count);
    /* Cuts are made, and checked, on the copper. */
    for (uint32_t i = 0; i < steps->chapter_count; i++)
        assert_int_equal(steps->chapters[i].copper, steps->chapters[i].kind == SWI_CHAPTER_CUTS ||
                                                        steps->chapters[i].kind == SWI_CHAPTER_CUT_CHECKS);
}

static const swi_chapter *chapter(const swi_steps *of, swi_chapter_kind kind) {
    for (uint32_t i = 0; i < of->chapter_count; i++)
        if (of->chapters[i].kind == kind)
            return &of->chapters[i];
    return NULL;
}

/* How many steps of the chapters are about this index. */
static uint32_t times(const swi_steps *of, uint32_t kinds, uint32_t index) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < of->chapter_count; i++)
        for (uint32_t k = 0; kinds >> of->chapters[i].kind & 1 && k < of->chapters[i].count; k++)
            count += of->steps[of->chapters[i].first + k].index == index;
    return count;
}

static void each_once(const swi_steps *of, const swi_subject *about) {
    const uint32_t kits = 1u << SWI_CHAPTER_PARTS | 1u << SWI_CHAPTER_WIRES | 1u << SWI_CHAPTER_ICS;
    for (uint32_t i = 0; i < about->plan->cut_count; i++) {
        assert_int_equal(times(of, 1u << SWI_CHAPTER_CUTS, i), 1);
        assert_int_equal(times(of, 1u << SWI_CHAPTER_CUT_CHECKS, i), 1);
    }
    for (uint32_t i = 0; i < about->plan->link_count; i++)
        assert_int_equal(times(of, 1u << SWI_CHAPTER_LINKS, i), 1);
    for (uint32_t i = 0; i < about->item_count; i++) {
        assert_int_equal(times(of, kits, i), 1);
        assert_int_equal(times(of, 1u << SWI_CHAPTER_SOCKETS, i), swi_is_socketed(&about->items[i]));
    }
    for (uint32_t i = 0; i < of->step_count; i++)
        for (uint32_t k = 0; k < i; k++)
            assert_string_not_equal(of->steps[i].key, of->steps[k].key);
}

static void everything_once(void **state) {
    (void)state;
    each_once(steps, subject);
    uint32_t supplies = 0;
    for (uint32_t i = 0; i < steps->probes->count; i++)
        supplies += steps->probes->probes[i].kind == SWI_PROBE_SUPPLY;
    assert_int_equal(chapter(steps, SWI_CHAPTER_PROBES)->count, steps->probes->count - supplies);
}

static void everything_once_on_any_board(void **state) {
    (void)state;
    for (uint32_t seed = 1; seed <= 4; seed++) {
        sw_plan *any = test_plan_random(seed, 18, 40, 50, library);
        sw_document about = {.plan = any, .library = library};
        swi_subject *one = swi_subject_new(&about);
        swi_steps *made = swi_steps_new(one);
        assert_non_null(made);
        assert_null(made->probes);
        each_once(made, one);
        swi_steps_free(made);
        swi_subject_free(one);
        sw_plan_free(any);
    }
}

static void parts_from_low_to_high(void **state) {
    (void)state;
    const swi_chapter *parts = chapter(steps, SWI_CHAPTER_PARTS);
    double before = 0;
    for (uint32_t i = 0; i < parts->count; i++) {
        const swi_item *item = &subject->items[steps->steps[parts->first + i].index];
        assert_true(item->package->height_mm >= before);
        before = item->package->height_mm;
    }
}

static void the_piece(void **state) {
    (void)state;
    /* 8 × 19 from 9 × 25: the ninth strip and the 20th column are lost in snapping, and 9
     * strips are 8 and the lost one, so only 25 − 20 = 5 columns are left over. */
    assert_string_equal(find(steps, "Count off")->title, "Count off 8 strips and 19 columns");
    assert_non_null(strstr(find(steps, "Count off")->text, "9 × 25"));
    const swi_step *score = find(steps, "Score");
    assert_string_equal(score->title, "Score and snap along strip I, then along column 20");
    assert_non_null(strstr(score->text, "What is left: 8 strips × 5 columns;"));
}

static void cuts_from_the_copper_side(void **state) {
    (void)state;
    /* 19 columns, turned like a page: column 9 is the 11th from the left. */
    const swi_step *cut = find(steps, "Cut at C9");
    assert_string_equal(cut->text, "Seen from the copper side: strip C, at hole 11 from the left.");
    assert_int_equal(cut->hole_count, 1);
    const swi_step *check = find(steps, "Cut at C9: touch");
    assert_string_equal(check->title, "Cut at C9: touch the copper at C8 and C10");
    assert_string_equal(check->mark, cut->mark);
}

static void links_have_lengths(void **state) {
    (void)state;
    /* 4 pitches of 2.54 mm, and 10 mm for the ends. */
    const swi_step *link = find(steps, "Link from B4 to F4");
    assert_string_equal(link->text, "4 pitches, 10.2 mm from hole to hole: cut 20 mm of wire.");
    assert_int_equal(link->hole_count, 2);
}

static void which_way_round(void **state) {
    (void)state;
    const char *diode = find(steps, "D1 ")->watch, *plus = find(steps, "C2 ")->watch, *transistor = find(steps, "Q1 ")->watch;
    assert_non_null(strstr(diode, "band (cathode) goes into A14, the other end into D14"));
    assert_non_null(strstr(plus, "plus, the longer lead, goes into A8; the stripe marks minus, which goes into B8"));
    /* JEDEC TO-226: facing the flat with the leads down pin 1 is at the left; pins run downwards on the
     * board, so the flat looks to the left. */
    assert_non_null(strstr(transistor, "flat side faces the left edge"));
    assert_non_null(strstr(find(steps, "Q1 ")->text, "pin 1 in D15, pin 2 in E15, pin 3 in F15"));
    const swi_step *socket = find(steps, "Socket of 8 pins for U1"), *ic = find(steps, "U1 LM393");
    assert_string_equal(socket->watch, "The notch points to the top edge, and pin 1 is in C8.");
    assert_string_equal(socket->watch, ic->watch);
    assert_non_null(strstr(socket->text, "C8 and F11 first")); /* pins 1 and 5, across */
    assert_string_equal(find(steps, "R1 ")->watch, "");
}

static void turned_parts(void **state) {
    (void)state;
    static const char *const flats[] = {"left", "top", "right", "bottom"}, *const notches[] = {"top", "right", "bottom", "left"};
    for (int turn = 0; turn < 4; turn++) {
        sw_plan *one = sw_plan_new();
        one->strips = one->columns = 12;
        static const char *const packages[] = {"TO-92", "DIP-8", "TRIM-SIDE", "SCREW-2"};
        static const char *const refs[] = {"Q1", "U1", "VR1", "J1"};
        for (int k = 0; k < 4; k++) {
            const sw_package *package = sw_library_package(library, packages[k]);
            sw_offset at[8];
            sw_package_leads(package, (unsigned)turn * 90, 0, at);
            sw_plan_add_part(one, (sw_plan_part){.ref = refs[k], .value = "", .device = "", .package = packages[k],
                                                 .turn = (int16_t)(turn * 90)});
            for (int i = 0; i < package->pin_count; i++)
                sw_plan_add_lead(one, (sw_plan_lead){.pin = package->pins[i], .node = (uint32_t)i + 1,
                                                     .hole = {(int16_t)(5 + at[i].row), (int16_t)(5 + at[i].column)}});
        }
        sw_document about = {.plan = one, .library = library};
        swi_subject *turned = swi_subject_new(&about);
        swi_steps *made = swi_steps_new(turned);
        char wanted[64];
        snprintf(wanted, sizeof wanted, "The flat side faces the %s edge.", flats[turn]);
        assert_non_null(strstr(find(made, "Q1")->watch, wanted));
        snprintf(wanted, sizeof wanted, "The notch points to the %s edge,", notches[turn]);
        assert_non_null(strstr(find(made, "U1")->watch, wanted));
        snprintf(wanted, sizeof wanted, "Its screw faces the %s edge.", notches[turn]);
        assert_non_null(strstr(find(made, "VR1")->watch, wanted));
        snprintf(wanted, sizeof wanted, "Its openings face the %s edge.", notches[(turn + 3) % 4]);
        assert_non_null(strstr(find(made, "J1")->watch, wanted));
        swi_steps_free(made);
        swi_subject_free(turned);
        sw_plan_free(one);
    }
}

static void bands_in_words(void **state) {
    (void)state;
    /* IEC 60062: 10 kΩ is brown black orange; with three digits brown black black red. */
    const char *text = find(steps, "R1 10k")->text;
    assert_non_null(strstr(text, "Leads in A3 and E3, bent 10.2 mm apart (4 pitches)."));
    assert_non_null(strstr(text, "Bands: brown black orange gold (5 %) or brown black black red brown (1 %)."));
    assert_non_null(strstr(find(steps, "C1 100n")->text, "Marked 104 (picofarads)."));
}

static void edges_of_wires(void **state) {
    (void)state;
    assert_non_null(strstr(find(steps, "Terminal pin VCC in A1")->text, "leaves at the left edge."));
    assert_non_null(strstr(find(steps, "Terminal pin LS1.2 in D19")->text, "leaves at the right edge."));
    assert_non_null(strstr(find(steps, "Terminal pin LED1.K in D17")->text, "at the right edge, past 2 holes."));
    sw_plan size = {.strips = 8, .columns = 19};
    int between;
    assert_int_equal(swi_edge_near(&size, (sw_hole){7, 9}, &between), SWI_EDGE_BOTTOM);
    assert_int_equal(between, 0);
    assert_int_equal(swi_edge_near(&size, (sw_hole){1, 9}, &between), SWI_EDGE_TOP);
    assert_int_equal(between, 1);
    assert_int_equal(swi_edge_near(&size, (sw_hole){0, 0}, &between), SWI_EDGE_LEFT);
}

static void the_hash_is_of_the_work(void **state) {
    (void)state;
    sw_plan *other = sw_plan_copy(plan);
    sw_document about = {.plan = other, .library = library, .circuit = circuit};
    swi_subject *one = swi_subject_new(&about);
    swi_steps *same = swi_steps_new(one);
    assert_string_equal(same->hash, steps->hash);
    other->cuts[0].hole.column++;
    swi_steps *moved = swi_steps_new(one);
    assert_string_not_equal(moved->hash, steps->hash);
    swi_steps_free(moved);
    swi_steps_free(same);
    swi_subject_free(one);
    sw_plan_free(other);
}

static void memory_may_be_short(void **state) {
    (void)state;
    bool went_short = true;
    for (long n = 0; went_short; n++) {
        test_alloc_fail(n);
        swi_steps *made = swi_steps_new(subject);
        went_short = test_alloc_reset();
        assert_int_equal(made != NULL, !went_short);
        swi_steps_free(made);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chapters_in_working_order),
        cmocka_unit_test(everything_once),
        cmocka_unit_test(everything_once_on_any_board),
        cmocka_unit_test(parts_from_low_to_high),
        cmocka_unit_test(the_piece),
        cmocka_unit_test(cuts_from_the_copper_side),
        cmocka_unit_test(links_have_lengths),
        cmocka_unit_test(which_way_round),
        cmocka_unit_test(turned_parts),
        cmocka_unit_test(bands_in_words),
        cmocka_unit_test(edges_of_wires),
        cmocka_unit_test(the_hash_is_of_the_work),
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("papers: steps", tests, load, unload);
}
