/* tests/lib/run.c: test programs run in the locale that TEST_LOCALE names, if any.
 *
 * The linker sends cmocka's entry, which every test program calls, here (--wrap), so
 * that tests/external/locale.t can run them all where numbers have a decimal comma.
 */
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <cmocka.h>

int __real__cmocka_run_group_tests(const char *name, const struct CMUnitTest *tests, size_t count,
                                   CMFixtureFunction setup, CMFixtureFunction teardown);
int __wrap__cmocka_run_group_tests(const char *name, const struct CMUnitTest *tests, size_t count,
                                   CMFixtureFunction setup, CMFixtureFunction teardown);

int __wrap__cmocka_run_group_tests(const char *name, const struct CMUnitTest *tests, size_t count,
                                   CMFixtureFunction setup, CMFixtureFunction teardown) {
    const char *wanted = getenv("TEST_LOCALE");
    if (wanted != NULL && setlocale(LC_ALL, wanted) == NULL) {
        printf("Bail out! there is no locale %s\n", wanted);
        return 1;
    }
    return __real__cmocka_run_group_tests(name, tests, count, setup, teardown);
}
