/* Widths of text against the published figures, and what is made of them. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "papers/scene.h"
#include "papers/type.h"

/* Adobe Font Metrics 4.1 of the core faces: Helvetica, Helvetica-Bold, Times-Roman,
 * Times-Italic (WX of single characters, thousandths). */
static void widths_as_published(void **state) {
    (void)state;
    static const struct { swi_face face; const char *text; int width; } facts[] = {
        {SWI_SANS, " ", 278},        {SWI_SANS, "0", 556},        {SWI_SANS, "A", 667},
        {SWI_SANS, "C", 722},        {SWI_SANS, "M", 833},        {SWI_SANS, "W", 944},
        {SWI_SANS, "i", 222},        {SWI_SANS, "k", 500},        {SWI_SANS, "m", 833},
        {SWI_SANS, "@", 1015},       {SWI_SANS, "+", 584},        {SWI_SANS, "×", 584},
        {SWI_SANS_BOLD, "A", 722},   {SWI_SANS_BOLD, "I", 278},   {SWI_SANS_BOLD, "R", 722},
        {SWI_SANS_BOLD, "a", 556},   {SWI_SANS_BOLD, "b", 611},   {SWI_SANS_BOLD, "w", 778},
        {SWI_SANS_BOLD, "9", 556},   {SWI_SERIF, "A", 722},       {SWI_SERIF, "e", 444},
        {SWI_SERIF, "5", 500},       {SWI_SERIF, "M", 889},       {SWI_SERIF_ITALIC, "1", 500},
        {SWI_SERIF_ITALIC, "d", 500}, {SWI_SERIF_ITALIC, "e", 444}, {SWI_SERIF_ITALIC, "n", 500},
        {SWI_SERIF_ITALIC, "W", 833}, {SWI_SANS, "é", 556},        {SWI_SERIF, "ß", 500}};
    for (size_t i = 0; i < sizeof facts / sizeof *facts; i++)
        assert_int_equal(lround(1000 * swi_text_width(facts[i].face, facts[i].text)), facts[i].width);
}

static void widths_add_up(void **state) {
    (void)state;
    assert_int_equal(lround(1000 * swi_text_width(SWI_SANS, "4k7")), 556 + 500 + 556);
    assert_int_equal(lround(1000 * swi_text_width(SWI_SANS, "")), 0);
    assert_int_equal(lround(1000 * swi_text_width(SWI_SANS, "灯")), 1000); /* unknown: a full square */
}

static void text_is_broken_at_blanks(void **state) {
    (void)state;
    const char *text = "frost alarm for the greenhouse";
    size_t all = strlen(text);
    assert_int_equal(swi_text_fit(SWI_SANS, text, 1000), all);
    assert_int_equal(swi_text_break(SWI_SANS, text, 1000), all);
    double frost_a = swi_text_width(SWI_SANS, "frost a");
    assert_int_equal(swi_text_fit(SWI_SANS, text, frost_a), 7);
    assert_int_equal(swi_text_break(SWI_SANS, text, frost_a), 5);
    assert_int_equal(swi_text_break(SWI_SANS, "greenhouse", 1.0), swi_text_fit(SWI_SANS, "greenhouse", 1.0));
    assert_int_equal(swi_text_fit(SWI_SANS, "µµ", 0.6), 2); /* never half a character */
}

static void boxes_are_where_the_letters_are(void **state) {
    (void)state;
    swi_words words = {"R1", "", SWI_SANS, 2, false};
    sw_box level = swi_words_box(&words, 10, 20);
    assert_true(fabs(level.x1 - level.x0 - 2 * (0.722 + 0.556)) < 1e-9);
    assert_true(fabs((level.x0 + level.x1) / 2 - 10) < 1e-9);
    assert_true(fabs(level.y1 - level.y0 - 2 * SWI_CAP_HEIGHT) < 1e-9);
    words.upright = true;
    sw_box upright = swi_words_box(&words, 10, 20);
    assert_true(fabs(upright.y1 - upright.y0 - (level.x1 - level.x0)) < 1e-9);
    words = (swi_words){"g", "", SWI_SANS, 2, false};
    sw_box hangs = swi_words_box(&words, 10, 20);
    assert_true(hangs.y1 - 20 > 20 - hangs.y0 + 0.3);
    words = (swi_words){"R1", "4k7", SWI_SANS_BOLD, 1, false};
    assert_true(fabs(swi_words_width(&words) - (0.722 + 0.556 + 0.278 + 1.612)) < 1e-9);
}

static void boxes_meet_or_do_not(void **state) {
    (void)state;
    sw_box a = {0, 0, 2, 1};
    assert_true(swi_boxes_meet(a, (sw_box){1, 0.5, 3, 2}));
    assert_false(swi_boxes_meet(a, (sw_box){2, 0, 3, 1}));
    assert_false(swi_boxes_meet(a, (sw_box){0, 1.1, 2, 2}));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(widths_as_published),
        cmocka_unit_test(widths_add_up),
        cmocka_unit_test(text_is_broken_at_blanks),
        cmocka_unit_test(boxes_are_where_the_letters_are),
        cmocka_unit_test(boxes_meet_or_do_not),
    };
    return cmocka_run_group_tests_name("papers: type", tests, NULL, NULL);
}
