/* What turns a board that is built into a plan: what is new and what comes off, as every paper
 * has it.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <stripwright/stripwright.h>

#include "papers/shopping.h"
#include "papers/steps.h"
#include "tests/lib/alloc.h"
#include "tests/lib/plans.h"

static sw_library *library;
static sw_diags *diags;
static sw_plan *plan, *built;
static sw_circuit *circuit;
static sw_document document;
static swi_subject *subject;
static swi_steps *steps;

static sw_plan_part *part_of(sw_plan *of, const char *ref) {
    for (uint32_t i = 0; i < of->part_count; i++)
        if (strcmp(of->parts[i].ref, ref) == 0)
            return &of->parts[i];
    fail_msg("no part %s", ref);
    return NULL;
}

static sw_hole hole(const char *name) {
    sw_hole at = {-1, -1};
    sw_hole_read(name, &at);
    return at;
}

/* The frost alarm as it was built: another value, another comparator, R4 called R9 and elsewhere,
 * a wire too many; a cut and a link that the plan has not, a cut and a link of the plan missing;
 * R6 a column further left. */
static sw_plan *as_built(void) {
    sw_plan *was = test_plan_frost();
    part_of(was, "R1")->value = "22k";
    part_of(was, "U1")->value = "LM311";
    part_of(was, "R4")->ref = "R9";
    part_of(was, "R5")->value = "4700";
    for (uint32_t k = 0; k < 2; k++)
        was->leads[part_of(was, "R6")->first_lead + k].hole.column--;
    sw_plan_add_part(was, (sw_plan_part){.ref = "TP1", .value = "", .device = "", .package = "PIN-1"});
    sw_plan_add_lead(was, (sw_plan_lead){.pin = "1", .node = 5, .hole = hole("H1")});
    was->cuts[0].hole = hole("B15");                       /* for C9 */
    was->links[1].from = hole("B6"), was->links[1].to = hole("F6"); /* for B4-F4 */
    return was;
}

/* The circuit is numbered anew: the plan's nodes get its numbers. */
static void number_leads(sw_plan *of, const sw_circuit *numbered) {
    for (uint32_t i = 0; i < of->part_count; i++)
        for (uint32_t k = 0; k < of->parts[i].lead_count; k++) {
            sw_plan_lead *lead = &of->leads[of->parts[i].first_lead + k];
            sw_pin_id pin = sw_circuit_pin(numbered, sw_circuit_part(numbered, of->parts[i].ref), lead->pin);
            lead->node = numbered->nodes[numbered->pins[pin.i].node.i].number;
        }
}

static int load(void **state) {
    (void)state;
    diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    plan = test_plan_frost();
    built = as_built();
    sw_status status = sw_plan_circuit(plan, library, diags, &circuit);
    number_leads(plan, circuit);
    document = (sw_document){.plan = plan, .library = library, .circuit = circuit, .built = built, .date = "", .revision = ""};
    subject = swi_subject_new(&document);
    steps = subject ? swi_steps_new(subject) : NULL;
    return status != SW_OK || !steps;
}

static int unload(void **state) {
    (void)state;
    swi_steps_free(steps);
    swi_subject_free(subject);
    sw_circuit_free(circuit);
    sw_plan_free(plan);
    sw_plan_free(built);
    sw_library_free(library);
    sw_diags_free(diags);
    return 0;
}

static uint32_t item(const char *ref) {
    return (uint32_t)(part_of(plan, ref) - plan->parts);
}

static void what_is_new(void **state) {
    (void)state;
    assert_int_equal(swi_part_changes(subject, item("R1")), SWI_PART_NEW); /* of another value */
    assert_int_equal(swi_part_changes(subject, item("R4")), SWI_PART_NEW);
    assert_int_equal(swi_part_changes(subject, item("R6")), SWI_PART_MOVED);
    assert_int_equal(swi_part_changes(subject, item("U1")), SWI_PART_SWAPPED); /* its socket stays */
    assert_int_equal(swi_part_changes(subject, item("R5")), SWI_PART_STAYS); /* 4700 is 4k7 */
    assert_int_equal(swi_part_changes(subject, item("C2")), SWI_PART_STAYS);
    for (uint32_t i = 0; i < plan->cut_count; i++)
        assert_int_equal(swi_cut_is_work(subject, i), i == 0);
    for (uint32_t i = 0; i < plan->link_count; i++)
        assert_int_equal(swi_link_is_work(subject, i), i == 1);
    assert_int_equal(subject->change->off_count, 4); /* R1, R9, R6, TP1 */
    assert_int_equal(swi_comes_off(subject), 6);
}

static uint32_t count_of(swi_chapter_kind kind) {
    for (uint32_t i = 0; i < steps->chapter_count; i++)
        if (steps->chapters[i].kind == kind)
            return steps->chapters[i].count;
    return 0;
}

static void nothing_that_stands_is_a_step(void **state) {
    (void)state;
    assert_int_equal(steps->chapters[0].kind, SWI_CHAPTER_OFF);
    assert_int_equal(count_of(SWI_CHAPTER_OFF), 1 + swi_comes_off(subject));
    assert_int_equal(count_of(SWI_CHAPTER_PIECE), 0);
    assert_int_equal(count_of(SWI_CHAPTER_CUTS), 1);
    assert_int_equal(count_of(SWI_CHAPTER_CUT_CHECKS), 1);
    assert_int_equal(count_of(SWI_CHAPTER_LINKS), 1);
    assert_int_equal(count_of(SWI_CHAPTER_PARTS), 3); /* R1, R4, R6 */
    assert_int_equal(count_of(SWI_CHAPTER_SOCKETS), 0);
    assert_int_equal(count_of(SWI_CHAPTER_WIRES), 0);
    assert_int_equal(count_of(SWI_CHAPTER_ICS), 2); /* U1 goes in, and the trial */
}

static const swi_step *find(const char *title) {
    for (uint32_t i = 0; i < steps->step_count; i++)
        if (strcmp(steps->steps[i].title, title) == 0)
            return &steps->steps[i];
    fail_msg("no step: %s", title);
    return NULL;
}

static void what_to_take_off(void **state) {
    (void)state;
    assert_string_equal(steps->steps[0].title, "Take the supply off, and the ICs out of their sockets");
    assert_non_null(strstr(find("R1 22k comes off")->text, "in A3 and E3"));
    assert_non_null(strstr(find("R1 22k comes off")->text, "10k comes instead"));
    assert_non_null(strstr(find("R6 10k comes off")->text, "It goes into E17 and H17 later"));
    assert_null(strstr(find("R9 1M comes off")->text, "instead"));
    assert_non_null(find("Wire and terminal pin TP1 come off"));
    assert_non_null(find("Link from B6 to F6 comes off"));
    assert_string_equal(find("Bridge the cut at B15")->mark, find("Bridge the cut at B15")->key);
    assert_non_null(strstr(find("U1 LM393")->text, "not the one that was there"));
}

static void only_what_is_new_is_bought(void **state) {
    (void)state;
    size_t count;
    swi_shopping *shopping = swi_shopping_new();
    assert_true(swi_shopping_add(shopping, subject, 1));
    const swi_buy *lines = swi_shopping_finish(shopping, 0, library, &count);
    assert_non_null(lines);
    assert_int_equal(count, 4); /* no board, socket, terminal pin */
    static const char *const refs[] = {"R1", "R4", "U1"};
    for (size_t i = 0; i < 3; i++)
        assert_string_equal(lines[i].refs, refs[i]);
    assert_int_equal(lines[3].kind, SWI_BUY_WIRE);
    assert_int_equal(lines[3].quantity, 30); /* 4 pitches of 2.54 mm and 10 mm, in tens */
    swi_shopping_free(shopping);
}

static void nothing_new_is_nothing_to_buy(void **state) {
    (void)state;
    size_t count;
    sw_document same = document;
    same.built = plan;
    swi_subject *about = swi_subject_new(&same);
    swi_shopping *shopping = swi_shopping_new();
    assert_true(swi_shopping_add(shopping, about, 1));
    assert_non_null(swi_shopping_finish(shopping, 0, library, &count));
    assert_int_equal(count, 0);
    assert_int_equal(swi_comes_off(about), 0);
    swi_shopping_free(shopping);
    swi_subject_free(about);
}

static uint32_t times(const char *text, const char *word) {
    uint32_t count = 0;
    for (; (text = strstr(text, word)) != NULL; text += strlen(word))
        count++;
    return count;
}

/* Each cross in the drawing is of a step of the guide. */
static void the_drawing_shows_it(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    sw_write_options options = {.side = SW_SIDE_COMPONENT};
    assert_int_equal(sw_write(sw_format_find("drawing"), &document, &options, diags, &out), SW_OK);
    assert_int_equal(times(out.bytes, "class=\"part new\""), 4);
    assert_int_equal(times(out.bytes, "class=\"cut new\""), 1);
    assert_int_equal(times(out.bytes, "class=\"cut stays\""), 5);
    assert_int_equal(times(out.bytes, "id=\"comes-off\""), 1);
    assert_int_equal(times(out.bytes, "class=\"gone\""), 5); /* R1 is drawn as it will be */
    for (uint32_t i = 1; i < steps->chapters[0].count; i++) {
        char mark[32];
        snprintf(mark, sizeof mark, "data-step=\"%s\"", steps->steps[i].mark);
        assert_int_equal(times(out.bytes, mark), strncmp(steps->steps[i].title, "R1 ", 3) != 0);
    }
    sw_buf_free(&out);
}

/* Leads of three new parts, the ends of a link and a cut, on both sides. */
static void the_text_tells_it(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    sw_write_options options = {.side = SW_SIDE_COPPER};
    assert_int_equal(sw_write(sw_format_find("text"), &document, &options, diags, &out), SW_OK);
    assert_non_null(strstr(out.bytes, "\nWork on the board that is built\n"
                                      "  Comes off  R1 R9 R6 TP1 link B6-F6 (cut to bridge) B15\n"
                                      "  New cuts   C9\n  New links  B4-F4\n  New parts  R1 R4 R6 U1\n"));
    assert_int_equal(times(out.bytes, "»"), 2 * 3 + 2 + 1 + 1); /* and its legend */
    assert_non_null(strstr(out.bytes, "»× "));
    sw_buf_free(&out);
}

static void the_text_tells_of_no_work(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    sw_document same = document;
    same.built = plan;
    assert_int_equal(sw_write(sw_format_find("text"), &same, NULL, diags, &out), SW_OK);
    assert_non_null(strstr(out.bytes, "\nWork on the board that is built\n  none\n"));
    sw_buf_free(&out);
}

/* Nothing was done to the nodes of REF, the buzzer and the lamp and to U1's unused pin: two, three and one
 * probes of their leads, and the cuts at D9 and D13 between them.  All others read otherwise if the work
 * went wrong. */
static void only_what_is_touched_must_be_proved(void **state) {
    (void)state;
    static const char *const standing[] = {"R3.1 R2.2", "R2.2 U1.2", "D1.2 Q1.1", "Q1.1 LED1.K", "LED1.K LS1.2", "R7.2 LED1.A",
                                           "U1.2 U1.7", "D1.2 U1.7"};
    const swi_probe_list *list = steps->probes;
    uint32_t stood = 0;
    for (uint32_t i = 0; i < list->count; i++) {
        const swi_probe *p = &list->probes[i];
        if (stood)
            assert_true(p->stood || p->kind == SWI_PROBE_SUPPLY);
        if (!p->stood)
            continue;
        char pair[40];
        snprintf(pair, sizeof pair, "%s %s", p->touch_a, p->touch_b);
        assert_in_range(stood, 0, 7);
        assert_string_equal(pair, standing[stood++]);
    }
    assert_int_equal(stood, 8);
    assert_in_range(list->count, 40, 60);
}

/* On the board as it stands each probe stood. */
static void without_a_change_nothing_need_be_proved(void **state) {
    (void)state;
    sw_document same = document;
    same.built = plan;
    swi_subject *about = swi_subject_new(&same);
    swi_probe_list *list = swi_probes_of(about);
    for (uint32_t i = 0; i < list->count; i++)
        assert_true(list->probes[i].stood || list->probes[i].kind == SWI_PROBE_SUPPLY);
    swi_probes_free(list);
    swi_subject_free(about);
}

static void memory_may_be_short(void **state) {
    (void)state;
    bool went_short = true;
    for (long n = 0; went_short; n++) {
        test_alloc_fail(n);
        swi_subject *made = swi_subject_new(&document);
        went_short = test_alloc_reset();
        assert_int_equal(made != NULL, !went_short);
        swi_subject_free(made);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_new),
        cmocka_unit_test(nothing_that_stands_is_a_step),
        cmocka_unit_test(what_to_take_off),
        cmocka_unit_test(only_what_is_new_is_bought),
        cmocka_unit_test(nothing_new_is_nothing_to_buy),
        cmocka_unit_test(the_drawing_shows_it),
        cmocka_unit_test(the_text_tells_it),
        cmocka_unit_test(the_text_tells_of_no_work),
        cmocka_unit_test(only_what_is_touched_must_be_proved),
        cmocka_unit_test(without_a_change_nothing_need_be_proved),
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("papers: a change of a built board", tests, load, unload);
}
