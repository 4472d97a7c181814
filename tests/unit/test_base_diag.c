/* Diagnostics: collecting, treating, finding the place, showing. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <stripwright/diag.h>

#include "base/text.h"

static sw_input text_input(sw_diags *diags, const char *text) {
    sw_input input;
    assert_int_equal(sw_input_text(diags, "frost.cir", text, strlen(text), &input), SW_OK);
    return input;
}

static void ids_have_names(void **state) {
    (void)state;
    for (int i = 0; i < SW_DIAG_COUNT; i++) {
        sw_diag_id id;
        assert_true(sw_diag_find(sw_diag_name((sw_diag_id)i), &id));
        assert_int_equal(id, i); /* so no name stands twice */
        assert_in_range(sw_diag_severity(id), SW_NOTE, SW_ERROR);
    }
    sw_diag_id id;
    assert_false(sw_diag_find("no-such-thing", &id));
    assert_string_equal(sw_diag_name(SW_D_INPUT_MISSING), "input-missing");
    assert_string_equal(sw_severity_name(SW_NOTE), "note");
    assert_string_equal(sw_severity_name(SW_WARNING), "warning");
    assert_string_equal(sw_severity_name(SW_ERROR), "error");
}

static void counts_and_keeps(void **state) {
    (void)state;
    sw_limits limits;
    sw_limits_default(&limits);
    limits.diagnostics = 3;
    sw_diags *diags = sw_diags_new(&limits);
    assert_int_equal(sw_diags_limits(diags)->diagnostics, 3);
    for (int i = 0; i < 10; i++)
        sw_diag_add(diags, SW_D_CSV_QUOTE, SW_NOWHERE, "number %d", i);
    sw_diag_add(diags, SW_D_TABLE_COLUMN, SW_NOWHERE, "a note");
    assert_int_equal(sw_diags_count(diags), 4);
    assert_int_equal(sw_diags_of(diags, SW_ERROR), 10);
    assert_int_equal(sw_diags_of(diags, SW_NOTE), 1);
    assert_int_equal(sw_diags_of(diags, SW_WARNING), 0);
    assert_int_equal(sw_diags_hidden(diags, SW_D_CSV_QUOTE), 7);
    assert_string_equal(sw_diags_get(diags, 2)->message, "number 2");
    sw_buf out = SW_BUF_INIT;
    sw_diags_show(diags, &out);
    assert_string_equal(out.bytes, "error: number 0  [csv-quote]\n"
                                   "error: number 1  [csv-quote]\n"
                                   "error: number 2  [csv-quote]\n"
                                   "note: a note  [table-column]\n"
                                   "… and 7 more  [csv-quote]\n");
    sw_buf_free(&out);
    sw_diags_free(diags);
    sw_diags_free(NULL);
}

static void severities_can_be_changed(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    assert_false(sw_diags_treat(diags, SW_D_CSV_QUOTE, SW_WARNING)); /* an error by nature */
    assert_false(sw_diags_treat(diags, SW_D_CSV_QUOTE, SW_QUIET));
    assert_true(sw_diags_treat(diags, SW_D_CSV_QUOTE, SW_ERROR));
    assert_true(sw_diags_treat(diags, SW_D_TABLE_COLUMN, SW_WARNING));
    sw_diag_add(diags, SW_D_TABLE_COLUMN, SW_NOWHERE, "x");
    assert_int_equal(sw_diags_get(diags, 0)->severity, SW_WARNING);
    sw_diags_strict(diags, true);
    sw_diag_add(diags, SW_D_TABLE_COLUMN, SW_NOWHERE, "x");
    assert_int_equal(sw_diags_get(diags, 1)->severity, SW_ERROR);
    assert_int_equal(sw_diags_get(diags, 0)->severity, SW_WARNING); /* only from now on */
    sw_diags_treat(diags, SW_D_TABLE_COLUMN, SW_NOTE);
    sw_diag_add(diags, SW_D_TABLE_COLUMN, SW_NOWHERE, "x");
    assert_int_equal(sw_diags_get(diags, 2)->severity, SW_NOTE); /* notes are no warnings */
    sw_diags_treat(diags, SW_D_TABLE_COLUMN, SW_QUIET);
    sw_diag_add(diags, SW_D_TABLE_COLUMN, SW_NOWHERE, "x");
    assert_int_equal(sw_diags_count(diags), 3);
    sw_diags_free(diags);
}

static void place_is(sw_diags *diags, sw_input input, uint32_t offset, uint32_t line,
                     uint32_t column, const char *text) {
    sw_place place;
    assert_true(sw_diags_place(diags, (sw_span){input.source, offset, 1}, &place));
    assert_string_equal(place.name, "frost.cir");
    assert_int_equal(place.line, line);
    assert_int_equal(place.column, column);
    assert_int_equal(place.line_length, strlen(text));
    assert_memory_equal(place.line_text, text, strlen(text));
}

static void places(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input = text_input(diags, "one\r\n\ntwo µF x\n\xFFy");
    place_is(diags, input, 0, 1, 1, "one");
    place_is(diags, input, 2, 1, 3, "one");
    place_is(diags, input, 4, 1, 5, "one"); /* the line feed itself */
    place_is(diags, input, 5, 2, 1, "");
    place_is(diags, input, 10, 3, 5, "two µF x"); /* the mu */
    place_is(diags, input, 11, 3, 5, "two µF x"); /* inside it */
    place_is(diags, input, 12, 3, 6, "two µF x");
    place_is(diags, input, 17, 4, 2, "\xFFy"); /* a stray byte counts as one */
    place_is(diags, input, 18, 4, 3, "\xFFy"); /* the end */
    place_is(diags, input, 9999, 4, 3, "\xFFy");
    sw_place place;
    assert_false(sw_diags_place(diags, SW_NOWHERE, &place));
    assert_false(sw_diags_place(diags, (sw_span){7, 0, 0}, &place));
    sw_input empty = text_input(diags, "");
    place_is(diags, empty, 0, 1, 1, "");
    sw_diags_free(diags);
}

/* Against counting from the beginning, in a text of many marks, in odd order. */
static void places_in_large_inputs(void **state) {
    (void)state;
    enum { SIZE = 300000 };
    char *text = malloc(SIZE);
    for (size_t i = 0; i < SIZE; i++)
        text[i] = i % 977 == 976 && i < 200000 ? '\n' : i % 5 == 1 ? '\xC2' : i % 5 == 2 ? '\xB5' : 'a';
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    assert_int_equal(sw_input_text(diags, "big", text, SIZE, &input), SW_OK);
    for (size_t step = 0; step < 400; step++) {
        uint32_t offset = (uint32_t)(step * 104729 % SIZE); /* a prime */
        uint32_t line = 1, start = 0, column = 1;
        for (uint32_t i = 0; i < offset; i++)
            if (text[i] == '\n')
                line++, start = i + 1;
        for (uint32_t i = start; i < offset; i++) {
            bool second = text[i] == '\xB5' && i > start && text[i - 1] == '\xC2';
            column += !second;
        }
        if (text[offset] == '\xB5' && offset > start && text[offset - 1] == '\xC2')
            column--; /* inside a character */
        sw_place place;
        assert_true(sw_diags_place(diags, (sw_span){input.source, offset, 0}, &place));
        assert_int_equal(place.line, line);
        assert_int_equal(place.column, column);
        assert_ptr_equal(place.line_text, input.bytes + start);
    }
    free(text);
    sw_diags_free(diags);
}

static void shows(const char *text, uint32_t offset, uint32_t length, const char *wanted) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input = text_input(diags, text);
    sw_diag_add(diags, SW_D_CSV_QUOTE, (sw_span){input.source, offset, length}, "say so");
    sw_buf out = SW_BUF_INIT;
    sw_diag_show(diags, sw_diags_get(diags, 0), &out);
    assert_string_equal(out.bytes, wanted);
    sw_buf_free(&out);
    sw_diags_free(diags);
}

static void shows_the_mark(void **state) {
    (void)state;
    shows("title\nQ1 c b BC547\n", 13, 5, "frost.cir:2:8: error: say so  [csv-quote]\n"
                                          "   Q1 c b BC547\n"
                                          "          ^~~~~\n");
    shows("R1 a b 1µ5 x", 7, 4, "frost.cir:1:8: error: say so  [csv-quote]\n"
                                 "   R1 a b 1µ5 x\n"
                                 "          ^~~\n");
    shows("\tR1\tµ\tb", 7, 1, "frost.cir:1:7: error: say so  [csv-quote]\n"
                              "   \tR1\tµ\tb\n"
                              "   \t  \t \t^\n");
    shows("ab", 2, 0, "frost.cir:1:3: error: say so  [csv-quote]\n"
                      "   ab\n"
                      "     ^\n");
    shows("ab\ncd", 1, 3, "frost.cir:1:2: error: say so  [csv-quote]\n" /* to its line's end */
                          "   ab\n"
                          "    ^\n");
    shows("", 0, 0, "frost.cir:1:1: error: say so  [csv-quote]\n");
    shows("\x1b[31mred\x07", 5, 3, "frost.cir:1:6: error: say so  [csv-quote]\n"
                                   "   ·[31mred·\n"
                                   "        ^~~\n");
}

/* Of a line of 4000 characters about a hundred are shown, … where it goes on. */
static void long_lines_are_windowed(void **state) {
    (void)state;
    char text[4001];
    for (int i = 0; i < 4000; i++)
        text[i] = (char)('a' + i % 26);
    text[4000] = '\0';
    static const uint32_t offsets[] = {0, 30, 39, 41, 2000, 3970, 3999};
    for (size_t i = 0; i < sizeof offsets / sizeof *offsets; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input = text_input(diags, text);
        sw_diag_add(diags, SW_D_CSV_QUOTE, (sw_span){input.source, offsets[i], 1}, "m");
        sw_buf out = SW_BUF_INIT;
        sw_diag_show(diags, sw_diags_get(diags, 0), &out);
        char *line = strchr(out.bytes, '\n') + 1, *mark = strchr(line, '\n') + 1;
        assert_true(mark - line <= 100 + 10);
        /* The caret stands under the character of the offset: "…" is three bytes. */
        size_t at = (size_t)(strchr(mark, '^') - mark);
        size_t more = strncmp(line, "  …", 5) == 0 ? 2 : 0;
        assert_int_equal(line[at + more], text[offsets[i]]);
        assert_int_equal(more > 0, offsets[i] >= 40);
        sw_buf_free(&out);
        sw_diags_free(diags);
    }
}

/* Bytes that are no UTF-8 are a character each, whichever way they are counted: the mark
 * stands 40 characters behind the beginning, and nothing behind the line is read. */
static void windows_of_no_utf8_hold_the_mark(void **state) {
    static const char *const pieces[] = {"\x80", "\xE2\x82", "\xF0\x9F", "\xC3\xA9", "\xE2\x82\xAC\x82", "a\xBF\xBF\xBF\xBF"};
    (void)state;
    for (size_t p = 0; p < sizeof pieces / sizeof *pieces; p++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_buf text = SW_BUF_INIT, out = SW_BUF_INIT;
        while (text.length < 600)
            sw_buf_puts(&text, pieces[p]);
        sw_input input = text_input(diags, text.bytes);
        uint32_t offset = (uint32_t)(text.length - strlen(pieces[p]));
        sw_diag_add(diags, SW_D_CSV_QUOTE, (sw_span){input.source, offset, 1}, "m");
        sw_diag_show(diags, sw_diags_get(diags, 0), &out);
        const char *mark = strrchr(out.bytes, '^'), *line = mark;
        while (line[-1] != '\n')
            line--;
        assert_int_equal(mark - line, 3 + 40);
        assert_string_equal(mark, "^\n");
        sw_buf_free(&out);
        sw_buf_free(&text);
        sw_diags_free(diags);
    }
}

static void messages_are_one_clean_line(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_diag_add(diags, SW_D_CSV_QUOTE, SW_NOWHERE, "bad \"%s\"", "a\nb\x1b[2J\xFF");
    assert_string_equal(sw_diags_get(diags, 0)->message, "bad \"a·b·[2J·\"");
    char text[2001];
    for (size_t i = 0; i < sizeof text - 1; i++)
        text[i] = i % 10 == 9 ? ' ' : 'x'; /* words */
    memcpy(text + 594, "µµµµ", 8); /* the cut falls inside a mu */
    text[2000] = '\0';
    sw_diag_add(diags, SW_D_CSV_QUOTE, SW_NOWHERE, "-%s", text);
    const char *message = sw_diags_get(diags, 1)->message;
    assert_int_equal(strlen(message), 595 + 4 + 3);
    assert_string_equal(message + 595, "µµ…");
    sw_diags_free(diags);
}

/* Two names of a thousand characters: what to do about them is still there. */
static void long_names_lose_their_middle(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    char name[1001];
    memset(name, 'n', sizeof name - 1);
    memcpy(name, "begins", 6);
    memcpy(name + 29, "µ", 2); /* the cut falls behind it */
    memcpy(name + 969, "µ", 2); /* and inside this one */
    memcpy(name + 996, "ends", 5);
    sw_diag_add(diags, SW_D_CSV_QUOTE, SW_NOWHERE, "%s and %s: correct one", name, name);
    const char *message = sw_diags_get(diags, 0)->message;
    const char *middle = strstr(message, "…");
    assert_non_null(middle);
    assert_true(strlen(message) < 200);
    assert_memory_equal(message, "begins", 6);
    assert_non_null(strstr(message, "ends and begins"));
    assert_non_null(strstr(message, "ends: correct one"));
    assert_true(swi_utf8_valid(message, strlen(message)));
    /* A message that is short enough keeps its names whole. */
    name[400] = '\0';
    sw_diag_add(diags, SW_D_CSV_QUOTE, SW_NOWHERE, "%s: correct it", name);
    assert_null(strstr(sw_diags_get(diags, 1)->message, "…"));
    sw_diags_free(diags);
}

static void hostile_names_are_shown_tamely(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    sw_input_text(diags, "a\x1b]0;b\n\t.cir", "x", 1, &input);
    sw_diag_add(diags, SW_D_CSV_QUOTE, (sw_span){input.source, 0, 1}, "m");
    sw_buf out = SW_BUF_INIT;
    sw_diag_show(diags, sw_diags_get(diags, 0), &out);
    assert_non_null(strstr(out.bytes, "a·]0;b··.cir:1:1: "));
    sw_buf_free(&out);
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ids_have_names),
        cmocka_unit_test(counts_and_keeps),
        cmocka_unit_test(severities_can_be_changed),
        cmocka_unit_test(places),
        cmocka_unit_test(places_in_large_inputs),
        cmocka_unit_test(shows_the_mark),
        cmocka_unit_test(long_lines_are_windowed),
        cmocka_unit_test(windows_of_no_utf8_hold_the_mark),
        cmocka_unit_test(messages_are_one_clean_line),
        cmocka_unit_test(long_names_lose_their_middle),
        cmocka_unit_test(hostile_names_are_shown_tamely),
    };
    return cmocka_run_group_tests_name("base: diagnostics", tests, NULL, NULL);
}
