/* Who looks on while a plan is searched: it stops wherever it looks whether it should, and tells how far it is. */
#include "tests/layout/harness.h"

static void stops_wherever_it_looks(void **state) {
    (void)state;
    static const char *const names[] = {
#define X(name, text) text,
        SWI_POLLS(X)
#undef X
    };
    for (int poll = 0; poll < SWI_POLL_COUNT; poll++) {
        bed b;
        bed_open_named(&b, "quiz");
        b.options.workers = 1;
        b.params.quick_moves = 40;
        if (poll == SWI_POLL_FORCE) { /* so little walking that room must be forced */
            b.params.join_moves = b.params.place_moves = 10;
            b.params.chase_moves = 10;
        }
        sw_plan *plan = NULL;
        swi_asked asked = {.test_poll = poll, .test_after = 1};
        sw_status status = swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report);
        if (!b.report.stopped)
            fail_msg("%s was never asked", names[poll]);
        assert_true(status == SW_OK || (status == SW_STOPPED && plan == NULL));
        if (status == SW_OK)
            assert_int_equal(sw_check(plan, b.circuit, b.library, b.diags, NULL), SW_OK);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

static bool stop_at_first_plan(void *user, const sw_layout_progress *progress) {
    int *calls = user;
    ++*calls;
    return progress->best.area == 0;
}

static void the_watch_stops_it(void **state) {
    (void)state;
    bed b;
    bed_open_named(&b, "quiz");
    b.options.effort = SW_EFFORT_THOROUGH;
    int calls = 0;
    sw_plan *plan = NULL;
    swi_asked asked = {.watch = stop_at_first_plan, .user = &calls};
    assert_int_equal(swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report), SW_OK);
    assert_true(b.report.stopped);
    assert_true(calls > 0);
    sw_plan_free(plan);
    bed_close(&b);
}

/* Shares of the whole that a watch was told, and how often one was less than the one before. */
typedef struct shares {
    double last, most_step;
    int count, falls;
} shares;

static bool note(void *user, const sw_layout_progress *progress) {
    shares *s = user;
    assert_true(progress->done >= 0 && progress->done <= 1);
    s->falls += progress->done < s->last;
    if (progress->done - s->last > s->most_step)
        s->most_step = progress->done - s->last;
    s->last = progress->done;
    s->count++;
    return true;
}

/* Without a cap the share goes by moves; two searches that follow one another are one whole. */
static void the_share_done_grows(void **state) {
    (void)state;
    static const sw_prefer prefer[] = {SW_PREFER_BALANCE, SW_PREFER_STRIPS};
    for (int i = 0; i < 2; i++) {
        bed b;
        bed_open_named(&b, "seed-flasher");
        b.options.prefer = prefer[i];
        b.options.workers = 1;
        sw_plan *plan = NULL;
        shares s = {.last = 0};
        swi_asked asked = {.watch = note, .user = &s};
        assert_int_equal(swi_layout(b.circuit, b.library, &b.options, &b.params, &asked, b.diags, &plan, &b.report), SW_OK);
        print_message("# %d calls, steps of at most %.2f, to %.2f\n", s.count, s.most_step, s.last);
        assert_int_equal(s.falls, 0);
        assert_true(s.last > 0.9);
        sw_plan_free(plan);
        bed_close(&b);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stops_wherever_it_looks),
        cmocka_unit_test(the_watch_stops_it),
        cmocka_unit_test(the_share_done_grows),
    };
    return cmocka_run_group_tests_name("who looks on", tests, NULL, NULL);
}
