/* Arenas, growing arrays, buffers, maps and interned text. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/text.h"

static void arena_gives_zeroed_aligned_memory(void **state) {
    (void)state;
    swi_arena *arena = swi_arena_new();
    static const size_t sizes[] = {0, 1, 7, 16, 100, 5000, 3, 70000, 2000000, 24, 900000};
    size_t sum = 0;
    for (int round = 0; round < 20; round++) {
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            unsigned char *p = swi_arena_alloc(arena, sizes[i]);
            assert_non_null(p);
            assert_int_equal((uintptr_t)p % sizeof(void *), 0);
            for (size_t j = 0; j < sizes[i]; j += 97)
                assert_int_equal(p[j], 0);
            memset(p, 0xA5, sizes[i]); /* would show in a neighbour's zeros */
            sum += sizes[i];
        }
    }
    assert_true(swi_arena_used(arena) >= sum);
    swi_arena_free(arena);
}

static void arena_refuses_what_cannot_be(void **state) {
    (void)state;
    swi_arena *arena = swi_arena_new();
    assert_null(swi_arena_alloc(arena, SIZE_MAX));
    assert_null(swi_arena_alloc(arena, SIZE_MAX - 32));
    assert_null(swi_arena_array(arena, SIZE_MAX / 2, 3));
    assert_null(swi_arena_text(arena, "x", SIZE_MAX));
    assert_non_null(swi_arena_array(arena, 0, 8));
    assert_string_equal(swi_arena_text(arena, "frost alarm", 5), "frost");
    assert_string_equal(swi_arena_text(arena, NULL, 0), "");
    swi_arena_free(arena);
    swi_arena_free(NULL);
}

static void arrays_grow_and_keep(void **state) {
    (void)state;
    int *items = NULL;
    size_t capacity = 0;
    for (size_t i = 0; i < 1000; i++) {
        assert_true(SWI_GROW(items, capacity, i + 1));
        assert_true(capacity > i);
        items[i] = (int)i;
    }
    for (size_t i = 0; i < 1000; i++)
        assert_int_equal(items[i], i);
    size_t before = capacity;
    assert_false(SWI_GROW(items, capacity, SIZE_MAX / 2));
    assert_int_equal(capacity, before);
    assert_int_equal(items[999], 999);
    free(items);
}

/* Beyond a large page, arrays move to large pages. */
static void large_arrays_grow_and_keep(void **state) {
    (void)state;
    uint32_t *items = NULL;
    size_t capacity = 0, count = 3000000;
    for (size_t i = 0; i < count; i++) {
        assert_true(SWI_GROW(items, capacity, i + 1));
        items[i] = (uint32_t)(i * 2654435761u);
    }
    for (size_t i = 0; i < count; i++)
        if (items[i] != (uint32_t)(i * 2654435761u))
            fail_msg("item %zu is %u", i, items[i]);
    uint32_t *less = realloc(items, 100 * sizeof *items); /* as of malloc */
    assert_non_null(less);
    assert_int_equal(less[99], (uint32_t)(99 * 2654435761u));
    free(less);
    size_t none = SIZE_MAX;
    assert_null(swi_large_alloc(&none));
}

static void texts_are_packed_and_objects_aligned(void **state) {
    (void)state;
    swi_arena *arena = swi_arena_new();
    const char *first = swi_arena_text(arena, "R1", 2), *second = swi_arena_text(arena, "R22", 3);
    assert_ptr_equal(second, first + 3);
    assert_int_equal((uintptr_t)swi_arena_alloc(arena, 8) % _Alignof(max_align_t), 0);
    assert_string_equal(first, "R1");
    assert_string_equal(second, "R22");
    swi_arena_expect(arena, (size_t)3 << 20);
    unsigned char *object = swi_arena_alloc(arena, 1 << 20);
    assert_non_null(object);
    for (size_t i = 0; i < 1 << 20; i++)
        if (object[i] != 0)
            fail_msg("byte %zu is %u", i, object[i]);
    swi_arena_free(arena);
}

static void buffers_end_with_a_nul(void **state) {
    (void)state;
    sw_buf buf = SW_BUF_INIT;
    sw_buf_put(&buf, "", 0);
    assert_string_equal(buf.bytes, "");
    sw_buf_puts(&buf, "U1");
    sw_buf_putc(&buf, '.');
    sw_buf_printf(&buf, "%d %u %s %.*s|%5d|%c", -4, 7u, "VCC", 2, "GND", 42, 'x');
    assert_string_equal(buf.bytes, "U1.-4 7 VCC GN|   42|x");
    assert_int_equal(buf.length, strlen(buf.bytes));
    sw_buf_free(&buf);
    assert_null(buf.bytes);
    sw_buf_puts(&buf, "again");
    assert_string_equal(buf.bytes, "again");
    sw_buf_free(&buf);
}

static void buffers_take_long_texts(void **state) {
    (void)state;
    sw_buf buf = SW_BUF_INIT;
    char *text = malloc(5001);
    memset(text, 'n', 5000);
    text[5000] = '\0';
    for (size_t length = 120; length < 140; length++) { /* about the short way's end */
        buf.length = 0;
        sw_buf_printf(&buf, "%.*s", (int)length, text);
        assert_int_equal(buf.length, length);
        assert_int_equal(buf.bytes[length], '\0');
    }
    sw_buf_printf(&buf, "<%s>", text);
    assert_int_equal(buf.length, 139 + 5002);
    free(text);
    sw_buf_free(&buf);
}

static void buffers_remember_failure(void **state) {
    (void)state;
    sw_buf buf = SW_BUF_INIT;
    sw_buf_puts(&buf, "kept");
    sw_buf_put(&buf, "x", SIZE_MAX - 2);
    assert_true(buf.failed);
    sw_buf_puts(&buf, " not added");
    assert_string_equal(buf.bytes, "kept");
    sw_buf_free(&buf);
    assert_false(buf.failed);
}

static void map_keeps_the_first_value(void **state) {
    (void)state;
    swi_arena *arena = swi_arena_new();
    swi_map *map = swi_map_new(arena, false);
    bool failed = false;
    assert_int_equal(swi_map_get(map, "a", 1, 99), 99);
    assert_int_equal(swi_map_add(map, "a", 1, 5, &failed), 5);
    assert_int_equal(swi_map_add(map, "a", 1, 6, &failed), 5);
    assert_int_equal(swi_map_get(map, "A", 1, 99), 99);
    assert_int_equal(swi_map_add(map, "", 0, 7, &failed), 7);
    assert_int_equal(swi_map_get(map, "", 0, 99), 7);
    assert_int_equal(swi_map_add(map, "a\0b", 3, 8, &failed), 8);
    swi_map_set(map, "a", 1, 11, &failed);
    assert_int_equal(swi_map_get(map, "a", 1, 99), 11);
    assert_int_equal(swi_map_count(map), 3);
    assert_false(failed);
    swi_map_free(map);
    swi_map_free(NULL);
    swi_arena_free(arena);
}

static void map_can_fold_case(void **state) {
    (void)state;
    swi_arena *arena = swi_arena_new();
    swi_map *map = swi_map_new(arena, true);
    bool failed = false;
    swi_map_add(map, "Vcc", 3, 1, &failed);
    assert_int_equal(swi_map_get(map, "VCC", 3, 0), 1);
    assert_int_equal(swi_map_get(map, "vcc", 3, 0), 1);
    assert_int_equal(swi_map_get(map, "vcd", 3, 0), 0);
    /* ASCII only: the bytes of an umlaut are left alone. */
    swi_map_add(map, "\xC3\x84", 2, 2, &failed);
    assert_int_equal(swi_map_get(map, "\xC3\xA4", 2, 0), 0);
    swi_map_free(map);
    swi_arena_free(arena);
}

static void a_million_names(void **state) {
    (void)state;
    enum { MANY = 1000000 };
    swi_arena *arena = swi_arena_new();
    swi_map *map = swi_map_new(arena, false);
    bool failed = false;
    char name[24];
    for (uint32_t i = 0; i < MANY; i++) {
        int length = snprintf(name, sizeof name, "X%u.R%u", i / 100, i % 100);
        assert_int_equal(swi_map_add(map, name, (size_t)length, i, &failed), i);
    }
    assert_int_equal(swi_map_count(map), MANY);
    for (uint32_t i = 0; i < MANY; i += 7) {
        int length = snprintf(name, sizeof name, "X%u.R%u", i / 100, i % 100);
        assert_int_equal(swi_map_get(map, name, (size_t)length, UINT32_MAX), i);
    }
    swi_map_free(map);
    swi_arena_free(arena);
}

static void equal_texts_are_one(void **state) {
    (void)state;
    swi_arena *arena = swi_arena_new();
    swi_interner *texts = swi_interner_new(arena);
    const char *first = swi_intern(texts, "BC547B", 5);
    assert_string_equal(first, "BC547");
    assert_ptr_equal(first, swi_intern(texts, "BC547", 5));
    assert_ptr_not_equal(first, swi_intern(texts, "bc547", 5));
    char name[16];
    for (int i = 0; i < 500; i++) {
        int length = snprintf(name, sizeof name, "N%d", i);
        assert_non_null(swi_intern(texts, name, (size_t)length));
    }
    assert_ptr_equal(first, swi_intern(texts, "BC547", 5));
    assert_string_equal(swi_intern(texts, "", 0), "");
    swi_interner_free(texts);
    swi_interner_free(NULL);
    assert_string_equal(first, "BC547"); /* lives as long as the arena */
    swi_arena_free(arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arena_gives_zeroed_aligned_memory),
        cmocka_unit_test(arena_refuses_what_cannot_be),
        cmocka_unit_test(arrays_grow_and_keep),
        cmocka_unit_test(large_arrays_grow_and_keep),
        cmocka_unit_test(texts_are_packed_and_objects_aligned),
        cmocka_unit_test(buffers_end_with_a_nul),
        cmocka_unit_test(buffers_take_long_texts),
        cmocka_unit_test(buffers_remember_failure),
        cmocka_unit_test(map_keeps_the_first_value),
        cmocka_unit_test(map_can_fold_case),
        cmocka_unit_test(a_million_names),
        cmocka_unit_test(equal_texts_are_one),
    };
    return cmocka_run_group_tests_name("base: memory", tests, NULL, NULL);
}
