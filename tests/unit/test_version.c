/* The library says the version it was configured with. */
#include <config.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <cmocka.h>

#include <stripwright/base.h>

static void says_configured_version(void **state) {
    (void)state;
    assert_string_equal(sw_version(), PACKAGE_VERSION);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(says_configured_version),
    };
    return cmocka_run_group_tests_name("version", tests, NULL, NULL);
}
