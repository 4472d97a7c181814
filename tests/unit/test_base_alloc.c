/* Each allocation of the rooms base and parts made to fail in turn: an error is
 * returned and said, nothing is lost (valgrind and the sanitizers look on). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <unistd.h>

#include "base/csv.h"
#include "base/text.h"
#include "tests/lib/alloc.h"
#include <stripwright/parts.h>

/* More allocations than any of these jobs needs. */
enum { ENOUGH = 20000 };

static void sinks(void **state) {
    (void)state;
    long n = 0;
    for (; n < ENOUGH; n++) {
        test_alloc_fail(n);
        sw_diags *diags = sw_diags_new(NULL);
        if (!test_alloc_reset()) {
            sw_diags_free(diags);
            break;
        }
        assert_null(diags);
    }
    assert_in_range(n, 1, ENOUGH - 1);
}

/* What cannot be kept is counted, and that memory was out can still be said. */
static void diagnostics(void **state) {
    (void)state;
    long n = 0;
    for (bool failed = true; failed; n++) {
        assert_true(n < ENOUGH);
        sw_diags *diags = sw_diags_new(NULL);
        test_alloc_fail(n);
        for (int i = 0; i < 50; i++)
            sw_diag_add(diags, SW_D_CSV_QUOTE, SW_NOWHERE, "number %d of some", i);
        failed = test_alloc_reset();
        assert_int_equal(sw_diags_of(diags, SW_ERROR), 50);
        assert_int_equal(sw_diags_count(diags), 50);
        if (failed) {
            assert_int_equal(sw_diags_get(diags, 49)->id, SW_D_MEMORY);
            assert_int_equal(sw_diags_hidden(diags, SW_D_CSV_QUOTE), 1);
        }
        sw_diags_free(diags);
    }
    assert_true(n > 1);
}

static void expect(sw_status status, bool failed, sw_diags *diags) {
    assert_int_equal(status, failed ? SW_SYSTEM : SW_OK);
    assert_int_equal(sw_diags_of(diags, SW_ERROR) > 0, failed);
    bool said = false;
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        said |= sw_diags_get(diags, i)->id == SW_D_MEMORY;
    assert_int_equal(said, failed);
}

static void inputs_and_outputs(void **state) {
    (void)state;
    char path[] = "/tmp/stripwright-alloc-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0);
    close(file);
    for (int job = 0; job < 3; job++) {
        long n = 0;
        for (bool failed = true; failed; n++) {
            assert_true(n < ENOUGH);
            sw_diags *diags = sw_diags_new(NULL);
            sw_input input;
            sw_status status;
            test_alloc_fail(n);
            if (job == 0)
                status = sw_output_write(diags, path, "R1 a b 10k\n", 11);
            else if (job == 1)
                status = sw_input_open(diags, path, &input);
            else
                status = sw_input_text(diags, "text", "R1 a b 10k\n", 11, &input);
            failed = test_alloc_reset();
            /* An output says what failed in its own words. */
            if (job == 0)
                assert_int_equal(status, failed ? SW_SYSTEM : SW_OK);
            else
                expect(status, failed, diags);
            sw_diags_free(diags);
        }
        assert_true(n > 1);
    }
    unlink(path);
}

static sw_status read_table(sw_diags *diags, const sw_input *input) {
    swi_csv *csv = swi_csv_new(input, 0, diags);
    if (!csv)
        return SW_SYSTEM;
    const swi_csv_field *fields;
    int count, records = 0;
    while ((count = swi_csv_next(csv, &fields)) > 0)
        records++;
    swi_csv_free(csv);
    if (count < 0)
        return SW_SYSTEM;
    assert_int_equal(records, 2);
    return SW_OK;
}

static void tables(void **state) {
    (void)state;
    static const char text[] = "a,b,c,d,e,f,g,h,i,\"j\"\"j\"\n1,2,3,4,5,6,7,8,9,a long last field";
    long n = 0;
    for (bool failed = true; failed; n++) {
        assert_true(n < ENOUGH);
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        assert_int_equal(sw_input_text(diags, "t", text, sizeof text - 1, &input), SW_OK);
        test_alloc_fail(n);
        sw_status status = read_table(diags, &input);
        failed = test_alloc_reset();
        expect(status, failed, diags);
        sw_diags_free(diags);
    }
    assert_true(n > 2);
}

static bool fill_map(swi_arena *arena) {
    swi_map *map = swi_map_new(arena, true);
    swi_interner *texts = swi_interner_new(arena);
    bool failed = !map || !texts;
    for (uint32_t i = 0; i < 200 && !failed; i++) {
        char name[16];
        size_t length = (size_t)snprintf(name, sizeof name, "N%u", i);
        swi_map_add(map, name, length, i, &failed);
        failed |= !swi_intern(texts, name, length);
        for (uint32_t j = 0; j <= i && !failed; j += 50) {
            length = (size_t)snprintf(name, sizeof name, "n%u", j);
            assert_int_equal(swi_map_get(map, name, length, 9999), j);
        }
    }
    swi_map_free(map);
    swi_interner_free(texts);
    return failed;
}

static void maps(void **state) {
    (void)state;
    long n = 0;
    for (bool failed = true; failed; n++) {
        assert_true(n < ENOUGH);
        swi_arena *arena = swi_arena_new();
        test_alloc_fail(n);
        bool said = fill_map(arena);
        failed = test_alloc_reset();
        assert_int_equal(said, failed);
        swi_arena_free(arena);
    }
    assert_true(n > 4);
}

/* The whole library, built in; one allocation in seven, to be quick, and all of the
 * first hundred. */
static void library(void **state) {
    (void)state;
    long n = 0;
    for (bool failed = true; failed; n += n < 100 ? 1 : 7) {
        assert_true(n < ENOUGH);
        sw_diags *diags = sw_diags_new(NULL);
        test_alloc_fail(n);
        sw_library *made = sw_library_new(diags);
        failed = test_alloc_reset();
        assert_int_equal(made == NULL, failed);
        expect(made ? SW_OK : SW_SYSTEM, failed, diags);
        sw_library_free(made);
        sw_diags_free(diags);
    }
    assert_true(n > 20);
}

/* A user's table that replaces, aliases and adds. */
static void user_tables(void **state) {
    (void)state;
    static const char packages[] =
        "name,form,body_along_mm,body_across_mm,height_mm,joined,alias\n"
        "A-1,\"points:1@0,0 2@1,0 3@2,0\",5,6,7,1+2,A1 A-ONE\n"
        "A-1,line:3:1,5,6,7,,A1\n";
    static const char devices[] =
        "part,package,pinout,types,alias\nD1,A1,1=IN 2=OUT,*=passive 2=open,D1A D1B\n"
        "D1,A1,1=IN 3=OUT,,D1A\n";
    long n = 0;
    for (bool failed = true; failed; n++) {
        assert_true(n < ENOUGH);
        sw_diags *diags = sw_diags_new(NULL);
        sw_library *made = sw_library_new_empty();
        sw_input first, second;
        sw_input_text(diags, "p", packages, sizeof packages - 1, &first);
        sw_input_text(diags, "d", devices, sizeof devices - 1, &second);
        test_alloc_fail(n);
        sw_status status = sw_library_add(made, &first, diags);
        if (status == SW_OK)
            status = sw_library_add(made, &second, diags);
        failed = test_alloc_reset();
        expect(status, failed, diags);
        sw_library_free(made);
        sw_diags_free(diags);
    }
    assert_true(n > 4);
    for (n = 0; n < ENOUGH; n++) {
        test_alloc_fail(n);
        sw_library *made = sw_library_new_empty();
        if (!test_alloc_reset()) {
            sw_library_free(made);
            break;
        }
        assert_null(made);
    }
    assert_in_range(n, 1, ENOUGH - 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sinks),  cmocka_unit_test(diagnostics),
        cmocka_unit_test(inputs_and_outputs), cmocka_unit_test(tables),
        cmocka_unit_test(maps),   cmocka_unit_test(library),
        cmocka_unit_test(user_tables),
    };
    return cmocka_run_group_tests_name("base and parts: memory runs out", tests, NULL, NULL);
}
