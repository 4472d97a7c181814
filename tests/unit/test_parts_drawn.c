/* Footprint files: what a drawing program draws becomes a package. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/alloc.h"
#include <stripwright/parts.h>

static sw_diags *diags;
static sw_library *library;

static int load(void **state) {
    (void)state;
    diags = sw_diags_new(NULL);
    library = sw_library_new_empty();
    return library == NULL;
}

static int unload(void **state) {
    (void)state;
    sw_library_free(library);
    sw_diags_free(diags);
    return 0;
}

static sw_status add(const char *text) {
    sw_input input;
    assert_int_equal(sw_input_text(diags, "drawn", text, strlen(text), &input), SW_OK);
    return sw_library_add(library, &input, diags);
}

static const sw_package *read_one(const char *name, const char *text) {
    assert_int_equal(add(text), SW_OK);
    const sw_package *package = sw_library_package(library, name);
    if (!package)
        fail_msg("%s is not in the library", name);
    return package;
}

static bool is_near(double a, double b) {
    return a - b < 0.01 && b - a < 0.01;
}

#define LINE(x0, y0, x1, y1, layer) \
    "(fp_line (start " #x0 " " #y0 ") (end " #x1 " " #y1 ") (layer \"" layer "\") (width 0.1))\n"
#define BOX(x0, y0, x1, y1, layer) \
    LINE(x0, y0, x1, y0, layer) LINE(x1, y0, x1, y1, layer) LINE(x1, y1, x0, y1, layer) LINE(x0, y1, x0, y0, layer)
#define PAD(name, x, y) "(pad \"" name "\" thru_hole circle (at " #x " " #y ") (size 1.6 1.6) (drill 0.8) (layers *.Cu))\n"

/* A body between its leads, whose wires are drawn too: it may be bent.  IPC-2221A lets leads be bent no
 * nearer than 0.8 mm from the body; 1 mm is kept. */
static void leads_of_a_lying_body_bend(void **state) {
    (void)state;
    const sw_package *p = read_one("CHOKE", "(footprint \"CHOKE\" (layer \"F.Cu\")\n"
        BOX(2, -1.5, 8.16, 1.5, "F.Fab") LINE(0, 0, 2, 0, "F.Fab") LINE(10.16, 0, 8.16, 0, "F.Fab")
        PAD("1", 0, 0) PAD("2", 10.16, 0) ")");
    assert_int_equal(p->form, SW_FORM_PAIR);
    assert_int_equal(p->span_least, 4); /* 6.16 + 2 mm do not go on three pitches */
    assert_int_equal(p->span_usual, 4);
    assert_int_equal(p->span_most, 10);
    assert_true(is_near(p->along_mm, 3) && is_near(p->across_mm, 6.16) && is_near(p->height_mm, 3));
    assert_true(is_near(p->shift_along_mm, 0) && is_near(p->shift_across_mm, 0));
}

/* The older word, words without quotes, the second lead above the first and said first. */
static void a_standing_body_is_as_drawn(void **state) {
    (void)state;
    const sw_package *p = read_one("BELL", "(module BELL (layer F.Cu) (tedit 0)\n"
        "(fp_circle (center 0 -2.5) (end 6 -2.5) (layer F.Fab) (width 0.1))\n"
        "(pad 2 thru_hole circle (at 0 -5 180) (size 2 2) (drill 1) (layers *.Cu))\n"
        "(pad 1 thru_hole rect (at 0 0) (size 2 2) (drill 1) (layers *.Cu)))");
    assert_int_equal(p->form, SW_FORM_PAIR);
    assert_int_equal(p->span_least, 2);
    assert_int_equal(p->span_most, 2);
    assert_int_equal(p->shape, SW_SHAPE_ROUND);
    assert_true(is_near(p->along_mm, 12) && is_near(p->across_mm, 12));
    assert_true(is_near(p->shift_across_mm, 0));
}

/* Leads that have names keep them. */
static void leads_with_names(void **state) {
    (void)state;
    const sw_package *p = read_one("CELL", "(footprint \"CELL\"\n" BOX(-3, -3, 13, 3, "F.Fab") PAD("-", 10.16, 0) PAD("+", 0, 0) ")");
    assert_int_equal(p->form, SW_FORM_POINTS);
    assert_string_equal(p->pins[0], "-");
    assert_string_equal(p->pins[1], "+");
    assert_int_equal(p->points[1].column, -4);
}

/* A tab lying flat: the body is beside its leads, at every turn. */
static void a_body_beside_its_leads(void **state) {
    (void)state;
    const sw_package *p = read_one("FLAT", "(footprint \"FLAT\"\n" BOX(-2.5, -18, 7.6, -3, "F.Fab")
        LINE(0, -3, 0, 0, "F.Fab") LINE(2.54, -3, 2.54, 0, "F.Fab") LINE(5.08, -3, 5.08, 0, "F.Fab")
        PAD("1", 0, 0) PAD("2", 2.54, 0) PAD("3", 5.08, 0)
        "(pad \"\" np_thru_hole circle (at 2.54 -15) (size 3.5 3.5) (drill 3.5) (layers *.Cu)))");
    assert_int_equal(p->form, SW_FORM_POINTS);
    assert_int_equal(p->points[2].column, 2);
    assert_int_equal(p->points[2].row, 0);
    sw_box box = sw_package_outline(p, 0, 0);
    assert_true(is_near(box.x0, -2.5) && is_near(box.x1, 7.6) && is_near(box.y0, -18) && is_near(box.y1, 0));
    box = sw_package_outline(p, 90, 0); /* a quarter clockwise: what was above is to the right */
    assert_true(is_near(box.x0, 0) && is_near(box.x1, 18) && is_near(box.y0, -2.5) && is_near(box.y1, 7.6));
    assert_int_equal(sw_diags_count(diags), 1);
    assert_int_equal(sw_diags_get(diags, 0)->id, SW_D_FOOTPRINT_PEG);
}

/* Both legs of a side of a push button have one number; a shield's tab has none. */
static void pads_of_one_number_are_joined(void **state) {
    (void)state;
    const sw_package *p = read_one("PUSH", "(footprint \"PUSH\"\n" BOX(0.5, -3.5, 12, 8.5, "F.Fab")
        PAD("1", 0, 0) PAD("1", 12.5, 0) PAD("2", 0, 5) PAD("2", 12.5, 5) PAD("", 5, -2.54) ")");
    assert_int_equal(p->pin_count, 5);
    assert_int_equal(p->joined[0], p->joined[1]);
    assert_int_equal(p->joined[2], p->joined[3]);
    assert_int_not_equal(p->joined[0], p->joined[2]);
    assert_string_equal(p->pins[1], "1~2");
    assert_string_equal(p->pins[4], "tab");
    assert_int_equal(p->joined[4], 0);
    assert_int_equal(p->points[3].row, 2);
    assert_int_equal(p->points[3].column, 5);
}

/* A pad of a tab on the copper has its lead beside it. */
static void pads_without_holes(void **state) {
    (void)state;
#define FLAT(name) "(pad \"" name "\" smd rect (at 0 9) (size 9 9) (layers \"F.Cu\"))\n"
    const sw_package *p = read_one("TAB", "(footprint \"TAB\"\n" PAD("1", 0, 0) PAD("2", 2.54, 0) PAD("3", 5.08, 0) FLAT("2") ")");
    assert_int_equal(p->pin_count, 3);
    assert_int_equal(add("(footprint \"MIXED\"\n" PAD("1", 0, 0) PAD("2", 2.54, 0) FLAT("3") FLAT("2") ")"), SW_NO_PLAN);
}

/* Without lines of the body: the room it wants less its margin, else the print, else the pads. */
static void a_body_that_is_not_drawn(void **state) {
    (void)state;
    const sw_package *p = read_one("ROOM", "(footprint \"ROOM\"\n" BOX(-2, -2, 2, 7.08, "F.CrtYd") PAD("1", 0, 0)
                                   PAD("2", 0, 2.54) PAD("3", 0, 5.08) ")");
    assert_true(is_near(p->along_mm, 3.5) && is_near(p->across_mm, 8.58));
    p = read_one("PRINT", "(footprint \"PRINT\"\n" BOX(-2, -2, 2, 4.54, "F.SilkS") PAD("1", 0, 0) PAD("2", 0, 2.54) ")");
    assert_true(is_near(p->along_mm, 4) && is_near(p->across_mm, 6.54));
    p = read_one("BARE", "(footprint \"BARE\"\n" PAD("1", 0, 0) PAD("2", 0, 2.54) ")");
    assert_true(is_near(p->along_mm, 2.54) && is_near(p->across_mm, 5.08));
}

/* 5.0 mm between eight leads: the outermost are 0.28 mm off when the middle is right. */
static void leads_give_a_little(void **state) {
    (void)state;
    const sw_package *p = read_one("SCREWS", "(footprint \"SCREWS\"\n" BOX(-3, -5, 38, 5, "F.Fab") PAD("1", 0, 0)
        PAD("2", 5, 0) PAD("3", 10, 0) PAD("4", 15, 0) PAD("5", 20, 0) PAD("6", 25, 0) PAD("7", 30, 0) PAD("8", 35, 0) ")");
    for (int i = 0; i < 8; i++)
        assert_int_equal(p->points[i].column, 2 * i);
    sw_box box = sw_package_outline(p, 0, 0);
    assert_true(is_near(box.x1 - box.x0, 41) && is_near((box.x0 + box.x1) / 2, 7 * SW_PITCH_MM));
}

static void what_has_no_place_on_stripboard(void **state) {
    (void)state;
    static const struct { const char *text, *says, *there; } cases[] = {
        {"(footprint \"A\" (pad \"1\" smd rect (at 0 0) (size 1 1)) (pad \"2\" smd rect (at 2.54 0) (size 1 1)))",
         "surface mounting", "A\""},
        {"(footprint \"A\" (fp_line (start 0 0) (end 1 1) (layer \"F.Fab\")))", "no pads", "A\""},
        {"(footprint \"A\" (pad \"1\" thru_hole oval (at 0 0)) (pad \"2\" thru_hole oval (at 1.27 0))"
         " (pad \"3\" thru_hole oval (at 2.54 0)))", "0.4 mm off", "1\""},
        {"(footprint \"A\" (pad \"1\" thru_hole oval (at 0 0)) (pad \"2\" thru_hole oval (at 0.5 0))"
         " (pad \"3\" thru_hole oval (at 2.54 0)))", "one hole with another", "2\""},
        {"(footprint \"A\" (pad \"1\" thru_hole oval (at 0 0)) (pad \"2\" thru_hole oval (at 5.08 0))"
         " (pad \"3\" thru_hole oval (at 3.8 2.54)))", "0.4 mm off", "1\""},
        {"(footprint \"A\" (pad \"1 2\" thru_hole oval (at 0 0)))", "names of pins", "1 2"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t before = sw_diags_count(diags);
        assert_int_equal(add(cases[i].text), SW_NO_PLAN);
        assert_int_equal(sw_diags_count(diags), before + 1);
        const sw_diag *told = sw_diags_get(diags, before);
        assert_int_equal(told->id, SW_D_FOOTPRINT_LEADS);
        if (!strstr(told->message, cases[i].says))
            fail_msg("case %zu says: %s", i, told->message);
        const char *at = cases[i].text + told->span.offset;
        if (strncmp(at, cases[i].there, strlen(cases[i].there)) != 0)
            fail_msg("case %zu is at %s", i, at);
        assert_null(sw_library_package(library, "A"));
    }
}

static void damaged_files(void **state) {
    (void)state;
    static const char *const cases[] = {
        "(footprint", "(footprint \"A\"", "(footprint \"A", "(footprint)", "(footprint \"A\" () )",
        "(footprint \"A\" (pad \"1\"))", "(footprint \"A\" (pad \"1\" thru_hole oval))",
        "(footprint \"A\" (pad \"1\" thru_hole oval (at 0)))", "(footprint \"A\" (pad \"1\" thru_hole oval (at 0 1e9)))",
        "(footprint \"A\"))"};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        if (add(cases[i]) != SW_BAD_INPUT)
            fail_msg("taken: %s", cases[i]);
        assert_int_equal(sw_diags_get(diags, sw_diags_count(diags) - 1)->id, SW_D_FOOTPRINT_SYNTAX);
    }
    char deep[400] = "(footprint A";
    for (int i = 0; i < 100; i++)
        strcat(deep, "(a");
    assert_int_equal(add(deep), SW_BAD_INPUT);
    assert_null(sw_library_package(library, "A"));
}

static void no_more_pads_than_a_part_may_have(void **state) {
    (void)state;
    sw_limits few = *sw_diags_limits(diags);
    few.pins_per_part = 2;
    sw_diags *strict = sw_diags_new(&few);
    static const char text[] = "(footprint \"A\" " PAD("1", 0, 0) PAD("2", 0, 2.54) PAD("3", 0, 5.08) ")";
    sw_input input;
    assert_int_equal(sw_input_text(strict, "drawn", text, sizeof text - 1, &input), SW_OK);
    assert_int_equal(sw_library_add(library, &input, strict), SW_BAD_INPUT);
    assert_int_equal(sw_diags_get(strict, 0)->id, SW_D_LIMIT_PINS);
    sw_diags_free(strict);
}

static const char whole[] = "(footprint \"FLAT\"\n" BOX(-2.5, -18, 7.6, -3, "F.Fab") PAD("1", 0, 0) PAD("1", 2.54, 0)
                            PAD("3", 5.08, 0) ")";

/* Cut at every byte: an error, never less than the truth. */
static void a_file_cut_off(void **state) {
    (void)state;
    for (size_t length = 11; length < sizeof whole - 2; length++) {
        sw_diags *some = sw_diags_new(NULL);
        sw_input input;
        assert_int_equal(sw_input_text(some, "cut", whole, length, &input), SW_OK);
        assert_int_equal(sw_library_add(library, &input, some), SW_BAD_INPUT);
        sw_diags_free(some);
    }
    assert_int_equal(sw_library_package_count(library), 0);
}

static void memory_may_be_short(void **state) {
    (void)state;
    for (long n = 0;; n++) {
        sw_diags *told = sw_diags_new(NULL);
        sw_library *own = sw_library_new_empty();
        sw_input input;
        assert_int_equal(sw_input_text(told, "whole", whole, sizeof whole - 1, &input), SW_OK);
        test_alloc_fail(n);
        sw_status status = sw_library_add(own, &input, told);
        bool failed = test_alloc_reset();
        if (status != (failed ? SW_SYSTEM : SW_OK))
            fail_msg("allocation %ld: %d", n, (int)status);
        sw_library_free(own);
        sw_diags_free(told);
        if (!failed)
            break;
    }
}

int main(void) {
#define CASE(f) cmocka_unit_test_setup_teardown(f, load, unload)
    const struct CMUnitTest tests[] = {
        CASE(leads_of_a_lying_body_bend), CASE(a_standing_body_is_as_drawn), CASE(leads_with_names), CASE(a_body_beside_its_leads),
        CASE(pads_of_one_number_are_joined), CASE(pads_without_holes), CASE(a_body_that_is_not_drawn), CASE(leads_give_a_little),
        CASE(what_has_no_place_on_stripboard), CASE(damaged_files), CASE(no_more_pads_than_a_part_may_have),
        CASE(a_file_cut_off), CASE(memory_may_be_short)};
    return cmocka_run_group_tests_name("footprint files", tests, NULL, NULL);
}
