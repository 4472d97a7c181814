/* The failing allocator of tests/lib fails when told to, and only then. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/alloc.h"

/* Through pointers, so that no compiler leaves the calls out. */
static void *(*volatile allocate)(size_t size) = malloc;
static void *(*volatile reallocate)(void *memory, size_t size) = realloc;
static char *(*volatile copy)(const char *text) = strdup;

static void counts_without_failing(void **state) {
    (void)state;
    test_alloc_fail(1000);
    free(allocate(10));
    free(copy("frost"));
    assert_false(test_alloc_reset());
    assert_int_equal(test_alloc_count(), 2);
}

static void fails_each_in_turn(void **state) {
    (void)state;
    for (long n = 0; n < 3; n++) {
        test_alloc_fail(n);
        void *first = allocate(10), *text = copy("frost");
        void *second = reallocate(NULL, 10), *third = allocate(10);
        assert_true(test_alloc_reset());
        assert_int_equal(first == NULL, n == 0);
        assert_int_equal(text == NULL, n == 1);
        assert_int_equal(second == NULL, n == 2);
        assert_non_null(third);
        free(first);
        free(text);
        free(second);
        free(third);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts_without_failing),
        cmocka_unit_test(fails_each_in_turn),
    };
    return cmocka_run_group_tests_name("failing allocator", tests, NULL, NULL);
}
