/* Good plans broken in every way: each break is found, and the mends restore. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/plan.h"

/* Room for what is broken: one library for all. */
typedef struct bench {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *circuit;
    sw_plan *good;
    unsigned broken, mended;
} bench;

static bench open_bench(const char *circuit, const char *plan) {
    bench b = {.diags = sw_diags_new(NULL)};
    b.library = sw_library_new(b.diags);
    assert_non_null(b.library);
    b.circuit = test_fitted(b.library, circuit);
    assert_non_null(b.circuit);
    b.good = test_plan(b.circuit, b.library, plan);
    return b;
}

static void close_bench(bench *b) {
    sw_plan_free(b->good);
    sw_circuit_free(b->circuit);
    sw_library_free(b->library);
    sw_diags_free(b->diags);
}

static bool is_good(const bench *b, const sw_plan *plan) {
    sw_check_report *report = NULL;
    assert_int_not_equal(sw_check(plan, b->circuit, b->library, NULL, &report), SW_SYSTEM);
    bool good = true;
    for (uint32_t i = 0; i < report->fault_count; i++)
        good = good && report->faults[i].severity == SW_NOTE;
    sw_check_report_free(report);
    return good;
}

static bool mend_works(const bench *b, const sw_plan *broken, const sw_fault *fault) {
    sw_plan *plan = sw_plan_copy(broken);
    assert_non_null(plan);
    bool works = sw_plan_apply_mend(plan, &fault->fix, b->circuit, b->library) &&
                 is_good(b, plan);
    sw_plan_free(plan);
    return works;
}

static void show(const char *what, const sw_check_report *report) {
    print_message("# not mended: %s\n", what);
    for (uint32_t i = 0; i < report->fault_count; i++)
        print_message("#   %s: %s [%s]\n", report->faults[i].text, report->faults[i].mend,
                      sw_diag_name(report->faults[i].id));
}

/* Takes the plan. */
static void expect_mend(bench *b, sw_plan *plan, const char *what) {
    sw_check_report *report = NULL;
    assert_int_not_equal(sw_check(plan, b->circuit, b->library, NULL, &report), SW_SYSTEM);
    bool faulty = false, mended = false;
    for (uint32_t i = 0; i < report->fault_count; i++) {
        faulty = faulty || report->faults[i].severity != SW_NOTE;
        mended = mended || mend_works(b, plan, &report->faults[i]);
    }
    if (faulty) {
        b->broken++;
        b->mended += mended ? 1 : 0;
        if (!mended)
            show(what, report);
    }
    sw_check_report_free(report);
    sw_plan_free(plan);
}

static sw_plan *broken(const bench *b) {
    sw_plan *plan = sw_plan_copy(b->good);
    assert_non_null(plan);
    return plan;
}

static void break_cuts(bench *b) {
    for (uint32_t i = 0; i < b->good->cut_count; i++) {
        sw_plan *plan = broken(b);
        plan->cuts[i] = plan->cuts[--plan->cut_count];
        expect_mend(b, plan, "cut forgotten");
        for (int by = -2; by <= 2; by++) {
            if (by == 0)
                continue;
            plan = broken(b);
            plan->cuts[i].hole.column = (int16_t)(plan->cuts[i].hole.column + by);
            expect_mend(b, plan, "cut along the strip");
            plan = broken(b);
            plan->cuts[i].hole.strip = (int16_t)(plan->cuts[i].hole.strip + by);
            expect_mend(b, plan, "cut in another strip");
        }
    }
    for (int16_t strip = 0; strip < b->good->strips; strip++)
        for (int16_t column = 0; column < b->good->columns; column++) {
            sw_plan *plan = broken(b);
            sw_plan_add_cut(plan, (sw_cut){.hole = {strip, column}});
            expect_mend(b, plan, "one cut too many");
            if (column + 1 == b->good->columns)
                continue;
            plan = broken(b);
            sw_plan_add_cut(plan, (sw_cut){.hole = {strip, column}, .knife = true});
            expect_mend(b, plan, "one knife cut too many");
        }
}

static void break_links(bench *b) {
    for (uint32_t i = 0; i < b->good->link_count; i++) {
        sw_plan *plan = broken(b);
        plan->links[i] = plan->links[--plan->link_count];
        expect_mend(b, plan, "link forgotten");
        for (int by = -2; by <= 2; by++) {
            if (by == 0)
                continue;
            for (int end = 0; end < 2; end++) {
                plan = broken(b);
                sw_hole *hole = end ? &plan->links[i].to : &plan->links[i].from;
                hole->strip = (int16_t)(hole->strip + by);
                expect_mend(b, plan, "link's end in another strip");
                plan = broken(b);
                hole = end ? &plan->links[i].to : &plan->links[i].from;
                hole->column = (int16_t)(hole->column + by);
                expect_mend(b, plan, "link aslant");
            }
            plan = broken(b);
            plan->links[i].from.column = (int16_t)(plan->links[i].from.column + by);
            plan->links[i].to.column = (int16_t)(plan->links[i].to.column + by);
            expect_mend(b, plan, "link in another column");
        }
    }
    for (int16_t column = 0; column < b->good->columns; column++)
        for (int16_t from = 0; from < b->good->strips; from++)
            for (int16_t to = (int16_t)(from + 1); to < b->good->strips; to++) {
                sw_plan *plan = broken(b);
                sw_plan_add_link(plan, (sw_link){.from = {from, column}, .to = {to, column}});
                expect_mend(b, plan, "one link too many");
            }
}

static void break_parts(bench *b) {
    for (uint32_t i = 0; i < b->good->part_count; i++) {
        uint32_t first = b->good->parts[i].first_lead, count = b->good->parts[i].lead_count;
        for (int by = -3; by <= 3; by++)
            for (int way = 0; way < 2; way++) {
                sw_plan *plan = broken(b);
                for (uint32_t k = first; k < first + count; k++) {
                    sw_hole *hole = &plan->leads[k].hole;
                    hole->strip = (int16_t)(hole->strip + (way ? by : 0));
                    hole->column = (int16_t)(hole->column + (way ? 0 : by));
                }
                expect_mend(b, plan, "part moved");
            }
        sw_plan *plan = broken(b);
        sw_mend away = {.kind = SW_MEND_TAKE_PART, .ref = plan->parts[i].ref};
        assert_true(sw_plan_apply_mend(plan, &away, b->circuit, b->library));
        expect_mend(b, plan, "part forgotten");
        for (uint32_t p = 0; p < count; p++)
            for (uint32_t q = 0; q < p; q++) {
                plan = broken(b);
                sw_hole hole = plan->leads[first + p].hole;
                plan->leads[first + p].hole = plan->leads[first + q].hole;
                plan->leads[first + q].hole = hole;
                plan->parts[i].turn = -1;
                expect_mend(b, plan, "leads swapped");
            }
        plan = broken(b);
        plan->parts[i].turn = plan->parts[i].turn == 90 ? 0 : 90;
        expect_mend(b, plan, "turn stated wrong");
    }
}

static void break_leads(bench *b) {
    static const int ways[4][2] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
    for (uint32_t i = 0; i < b->good->part_count; i++)
        for (uint32_t k = 0; k < b->good->parts[i].lead_count; k++) {
            uint32_t lead = b->good->parts[i].first_lead + k;
            for (int way = 0; way < 4; way++) {
                sw_plan *plan = broken(b);
                sw_hole *hole = &plan->leads[lead].hole;
                hole->strip = (int16_t)(hole->strip + ways[way][0]);
                hole->column = (int16_t)(hole->column + ways[way][1]);
                plan->parts[i].turn = -1;
                expect_mend(b, plan, "lead in a wrong hole");
            }
            sw_plan *plan = broken(b);
            sw_mend away = {.kind = SW_MEND_TAKE_LEAD, .ref = plan->parts[i].ref,
                            .pin = plan->leads[lead].pin, .a = plan->leads[lead].hole};
            assert_true(sw_plan_apply_mend(plan, &away, b->circuit, b->library));
            expect_mend(b, plan, "lead forgotten");
        }
}

/* A list of holes states no packages: where leads stand nearer together than the part lying
 * down has them, it is taken as stood upright. */
static void break_leads_of_a_list(bench *b) {
    for (uint32_t i = 0; i < b->good->part_count; i++)
        for (uint32_t k = 0; k < b->good->parts[i].lead_count; k++)
            for (int by = -3; by <= 3; by++) {
                sw_plan *plan = broken(b);
                sw_hole *hole = &plan->leads[b->good->parts[i].first_lead + k].hole;
                hole->strip = (int16_t)(hole->strip + by);
                plan->parts[i].turn = -1;
                plan->parts[i].package = "";
                sw_plan_complete(plan, b->circuit, b->library);
                expect_mend(b, plan, "lead in another strip of a list");
            }
}

static void restores(const char *circuit, const char *plan, void (*breaks)(bench *)) {
    bench b = open_bench(circuit, plan);
    assert_true(is_good(&b, b.good));
    breaks(&b);
    print_message("# %u of %u mended\n", b.mended, b.broken);
    assert_true(b.broken > 10);
    assert_int_equal(b.mended, b.broken);
    close_bench(&b);
}

static void a_cut_forgotten_or_misplaced(void **state) {
    (void)state;
    restores(test_frost_circuit, test_frost_plan, break_cuts);
}

static void a_link_forgotten_or_misplaced(void **state) {
    (void)state;
    restores(test_frost_circuit, test_frost_plan, break_links);
    restores(test_counter_circuit, test_counter_plan, break_links);
}

static void a_part_forgotten_moved_or_turned(void **state) {
    (void)state;
    restores(test_frost_circuit, test_frost_plan, break_parts);
    restores(test_counter_circuit, test_counter_plan, break_parts);
}

static void a_lead_forgotten_or_misplaced(void **state) {
    (void)state;
    restores(test_frost_circuit, test_frost_plan, break_leads);
    restores(test_counter_circuit, test_counter_plan, break_leads);
}

static void a_lead_of_a_list_in_another_strip(void **state) {
    (void)state;
    restores(test_frost_circuit, test_frost_plan, break_leads_of_a_list);
    restores(test_counter_circuit, test_counter_plan, break_leads_of_a_list);
}

/* A large board: 253 parts, the rails with over a hundred leads. */
static void single_breaks_of_a_large_board(void **state) {
    (void)state;
    sw_buf circuit = SW_BUF_INIT, text = SW_BUF_INIT;
    test_frost_row(23, &circuit, &text);
    bench b = open_bench(circuit.bytes, text.bytes);
    assert_int_equal(b.good->part_count, 253);
    assert_true(is_good(&b, b.good));
    sw_plan *plan = broken(&b);
    plan->cuts[52] = plan->cuts[--plan->cut_count];
    expect_mend(&b, plan, "cut forgotten");
    plan = broken(&b);
    plan->links[31] = plan->links[--plan->link_count];
    expect_mend(&b, plan, "link forgotten");
    plan = broken(&b);
    for (uint32_t k = 0; k < 2; k++) /* R5x0, a rail and a node of its own */
        plan->leads[plan->parts[6].first_lead + k].hole.strip++;
    expect_mend(&b, plan, "part moved");
    plan = broken(&b);
    sw_mend away = {.kind = SW_MEND_TAKE_PART, .ref = "R1x9", .pin = ""};
    assert_true(sw_plan_apply_mend(plan, &away, b.circuit, b.library));
    expect_mend(&b, plan, "part forgotten");
    assert_int_equal(b.broken, 4);
    assert_int_equal(b.mended, 4);
    close_bench(&b);
    sw_buf_free(&circuit);
    sw_buf_free(&text);
}

/* Two mistakes on one board: each finding has the mend of its own mistake. */
static void two_breaks_are_mended_one_by_one(void **state) {
    (void)state;
    bench b = open_bench(test_frost_circuit, test_frost_plan);
    sw_plan *plan = broken(&b);
    plan->cuts[3] = plan->cuts[--plan->cut_count]; /* F15 */
    plan->links[1] = plan->links[--plan->link_count]; /* A12-D12 */
    for (int i = 0; i < 2; i++) {
        sw_check_report *report = NULL;
        assert_int_equal(sw_check(plan, b.circuit, b.library, NULL, &report), SW_FINDINGS);
        assert_int_equal(report->error_count, 2 - i);
        assert_true(sw_plan_apply_mend(plan, &report->faults[0].fix, b.circuit, b.library));
        sw_check_report_free(report);
    }
    assert_true(is_good(&b, plan));
    sw_plan_free(plan);
    close_bench(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_forgotten_or_misplaced),
        cmocka_unit_test(a_link_forgotten_or_misplaced),
        cmocka_unit_test(a_part_forgotten_moved_or_turned),
        cmocka_unit_test(a_lead_forgotten_or_misplaced),
        cmocka_unit_test(a_lead_of_a_list_in_another_strip),
        cmocka_unit_test(single_breaks_of_a_large_board),
        cmocka_unit_test(two_breaks_are_mended_one_by_one),
    };
    return cmocka_run_group_tests_name("board mends", tests, NULL, NULL);
}
