/* Packages on the grid: JEDEC MS-001 and MS-011, turns, spans, outlines. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <math.h>

#include <stripwright/parts.h>

static sw_diags *diags;
static sw_library *library;

static int make_library(void **state) {
    (void)state;
    diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    return library && sw_diags_count(diags) == 0 ? 0 : -1;
}

static int free_library(void **state) {
    (void)state;
    sw_library_free(library);
    sw_diags_free(diags);
    return 0;
}

static const sw_package *package(const char *name) {
    const sw_package *p = sw_library_package(library, name);
    if (!p)
        print_error("no %s\n", name);
    assert_non_null(p);
    return p;
}

/* A lead's place in mm from pin 1, x to the right, y down. */
static void lead_at(const char *name, unsigned turn, int pin, double x, double y) {
    sw_offset leads[64];
    const sw_package *p = package(name);
    sw_package_leads(p, turn, 0, leads);
    char number[8];
    snprintf(number, sizeof number, "%d", pin);
    int i = sw_package_pin_index(p, number);
    assert_true(i >= 0);
    assert_true(fabs(leads[i].column * SW_PITCH_MM - x) < 1e-9);
    assert_true(fabs(leads[i].row * SW_PITCH_MM - y) < 1e-9);
}

/* JEDEC MS-001: e 2.54, eA 7.62; MS-011: eA 15.24; numbered counter-clockwise seen from
 * above, pin 1 opposite pin N. */
static void dual_in_line(void **state) {
    (void)state;
    lead_at("DIP-8", 0, 4, 0, 7.62);
    lead_at("DIP-8", 0, 5, 7.62, 7.62);
    lead_at("DIP-8", 0, 8, 7.62, 0);
    lead_at("DIP-14", 0, 7, 0, 15.24);
    lead_at("DIP-14", 0, 8, 7.62, 15.24);
    lead_at("DIP-28W", 0, 14, 0, 33.02);
    lead_at("DIP-28W", 0, 15, 15.24, 33.02);
    lead_at("DIP-40W", 0, 40, 15.24, 0);
    /* Clockwise: what was to the right goes down, what was down goes left. */
    lead_at("DIP-8", 90, 8, 0, 7.62);
    lead_at("DIP-8", 90, 4, -7.62, 0);
    lead_at("DIP-8", 180, 8, -7.62, 0);
    lead_at("DIP-8", 180, 4, 0, -7.62);
    lead_at("DIP-8", 270, 8, 0, -7.62);
    lead_at("DIP-8", 270, 4, 7.62, 0);
}

/* Twice the area that the pins go round, positive when clockwise (y down): a mirrored
 * package would show. */
static long way_round(const sw_package *p, unsigned turn) {
    sw_offset leads[64];
    long area = 0;
    sw_package_leads(p, turn, 0, leads);
    for (int i = 0; i < p->pin_count; i++) {
        sw_offset a = leads[i], b = leads[(i + 1) % p->pin_count];
        area += a.column * b.row - b.column * a.row;
    }
    return area;
}

static void no_turn_mirrors(void **state) {
    (void)state;
    for (unsigned turn = 0; turn < 360; turn += 90) {
        assert_true(way_round(package("DIP-16"), turn) < 0);
        assert_true(way_round(package("DIP-24W"), turn) < 0);
        assert_int_equal(way_round(package("TO-18"), turn), way_round(package("TO-18"), 0));
        assert_int_equal(way_round(package("TRIM-6"), turn), way_round(package("TRIM-6"), 0));
    }
}

static void quarter_turns_add_up(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_library_package_count(library); i++) {
        const sw_package *p = sw_library_package_at(library, i);
        for (unsigned turn = 0; turn < 360; turn += 90) {
            sw_offset now[64], next[64];
            sw_package_leads(p, turn, 0, now);
            sw_package_leads(p, (turn + 90) % 360, 0, next);
            assert_int_equal(now[0].row, 0);
            assert_int_equal(now[0].column, 0);
            for (int pin = 0; pin < p->pin_count; pin++) {
                assert_int_equal(next[pin].row, now[pin].column);
                assert_int_equal(next[pin].column, -now[pin].row);
            }
        }
    }
}

static void lines_and_pairs(void **state) {
    (void)state;
    lead_at("SIP-9", 0, 9, 0, 8 * 2.54);
    lead_at("SCREW-3", 0, 3, 0, 10.16);
    lead_at("TO-220", 0, 2, 0, 2.54);
    lead_at("TO-220", 90, 3, -5.08, 0);
    lead_at("RES-0.25W", 0, 2, 0, 10.16); /* usual span: the lead-bend rule of IPC-2221A */
    const sw_package *p = package("RES-0.25W");
    sw_offset leads[2];
    assert_int_equal(p->span_least, 3);
    assert_int_equal(p->span_usual, 4);
    assert_int_equal(p->span_most, 10);
    for (unsigned span = p->span_least; span <= p->span_most; span++) {
        sw_package_leads(p, 0, span, leads);
        assert_int_equal(leads[1].row, span);
        assert_int_equal(leads[1].column, 0);
        sw_package_leads(p, 90, span, leads);
        assert_int_equal(leads[1].column, -(int)span);
        sw_package_leads(p, 270, span, leads);
        assert_int_equal(leads[1].column, (int)span);
        assert_int_equal(leads[1].row, 0);
    }
}

static void box_is(sw_box box, double x0, double y0, double x1, double y1) {
    if (fabs(box.x0 - x0) > 1e-9 || fabs(box.y0 - y0) > 1e-9 || fabs(box.x1 - x1) > 1e-9 ||
        fabs(box.y1 - y1) > 1e-9)
        print_error("%g %g %g %g\n", box.x0, box.y0, box.x1, box.y1);
    assert_true(fabs(box.x0 - x0) < 1e-9 && fabs(box.y0 - y0) < 1e-9);
    assert_true(fabs(box.x1 - x1) < 1e-9 && fabs(box.y1 - y1) < 1e-9);
}

static void outlines(void **state) {
    (void)state;
    /* DIP-8 socket 10.2 × 10.16 about the middle of 7.62 × 7.62. */
    box_is(sw_package_outline(package("DIP-8"), 0, 0), -1.29, -1.27, 8.91, 8.89);
    box_is(sw_package_outline(package("DIP-8"), 90, 0), -8.89, -1.29, 1.27, 8.91);
    box_is(sw_package_outline(package("DIP-8"), 180, 0), -8.91, -8.89, 1.29, 1.27);
    box_is(sw_package_outline(package("DIP-8"), 270, 0), -1.27, -8.91, 8.89, 1.29);
    /* A resistor's body stays in the middle whatever the span. */
    box_is(sw_package_outline(package("RES-0.25W"), 0, 4), -1.25, 5.08 - 3.15, 1.25, 5.08 + 3.15);
    box_is(sw_package_outline(package("RES-0.25W"), 0, 0), -1.25, 5.08 - 3.15, 1.25, 5.08 + 3.15);
    box_is(sw_package_outline(package("RES-0.25W"), 0, 10), -1.25, 12.7 - 3.15, 1.25, 12.7 + 3.15);
    box_is(sw_package_outline(package("RES-0.25W"), 270, 6), 7.62 - 3.15, -1.25, 7.62 + 3.15, 1.25);
    /* On end: over its first lead in any turn and span. */
    box_is(sw_package_outline(package("RES-0.25W-UP"), 90, 2), -1.25, -1.25, 1.25, 1.25);
    assert_true(package("RES-0.25W-UP")->upright);
    assert_false(package("RES-0.25W")->upright);
    box_is(sw_package_outline(package("PIN-1"), 0, 0), -0.8, -0.8, 0.8, 0.8);
    box_is(sw_package_outline(package("HEADER-1x2"), 90, 0), -2.54 - 1.27, -1.25, 1.27, 1.25);
    box_is(sw_package_outline(package("ELEC-5"), 0, 1), -2.5, 1.27 - 2.5, 2.5, 1.27 + 2.5);
}

/* The outline is about the middle of the leads, and a DIP's and a line's hold them. */
static void outlines_hold_their_leads(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_library_package_count(library); i++) {
        const sw_package *p = sw_library_package_at(library, i);
        for (unsigned turn = 0; turn < 360; turn += 90) {
            sw_offset leads[64];
            sw_package_leads(p, turn, 0, leads);
            sw_box box = sw_package_outline(p, turn, 0);
            assert_true(box.x0 < box.x1 && box.y0 < box.y1);
            for (int pin = 0; p->form == SW_FORM_DIP && pin < p->pin_count; pin++) {
                double x = leads[pin].column * SW_PITCH_MM, y = leads[pin].row * SW_PITCH_MM;
                assert_true(x > box.x0 && x < box.x1 && y > box.y0 && y < box.y1);
            }
        }
        if (p->shape == SW_SHAPE_ROUND)
            assert_true(p->along_mm == p->across_mm);
    }
}

static void every_package_is_sound(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_library_package_count(library); i++) {
        const sw_package *p = sw_library_package_at(library, i);
        assert_true(p->pin_count > 0);
        assert_true(p->turns & SW_TURN_0);
        assert_true(*p->source);
        assert_null(strstr(p->source, "reference"));
        assert_ptr_equal(sw_library_package(library, p->name), p);
        assert_true(p->height_mm > 0 && p->height_mm < 50);
        for (int a = 0; a < p->pin_count; a++) {
            assert_int_equal(sw_package_pin_index(p, p->pins[a]), a);
            for (int b = 0; b < a; b++) /* one lead a hole */
                assert_true(p->points[a].row != p->points[b].row ||
                            p->points[a].column != p->points[b].column);
        }
    }
}

/* Trade sizes of the drawings named in packages.csv. */
static void published_figures(void **state) {
    (void)state;
    const sw_package *p = package("DIP-40W");
    assert_int_equal(p->pitch * 254, 1524); /* MS-011 */
    assert_int_equal(package("DIP-20")->pitch * 254, 762);
    p = package("BUTTON-6");
    assert_int_equal(p->joined[0], p->joined[1]);
    assert_int_equal(p->joined[2], p->joined[3]);
    assert_int_not_equal(p->joined[0], p->joined[2]);
    assert_int_equal(package("TO-220")->joined[1], 0); /* its tab is no lead */
    assert_int_equal(package("DIP-8")->under, SW_UNDER_FLAT_LINK);
    assert_int_equal(package("SIP-8")->under, SW_UNDER_NONE);
    assert_int_equal(package("PIN-1")->turns, SW_TURN_0);
    assert_int_equal(package("SIP-8")->turns, SW_TURN_0 | SW_TURN_180);
    /* Two-row headers are numbered zig-zag. */
    lead_at("HEADER-2x5", 0, 2, 2.54, 0);
    lead_at("HEADER-2x5", 0, 3, 0, 2.54);
    lead_at("HEADER-2x5", 0, 10, 2.54, 10.16);
}

static void names_of_packages(void **state) {
    (void)state;
    assert_ptr_equal(package("dip-8"), package("DIP-8"));
    assert_ptr_equal(package("DIL8"), package("DIP-8"));
    assert_ptr_equal(package("PDIP-14"), package("DIP-14"));
    assert_ptr_equal(package("TO92"), package("TO-92"));
    assert_ptr_equal(package("DIP-40"), package("DIP-40W"));
    assert_null(sw_library_package(library, "SO-8"));
    assert_null(sw_library_package(library, ""));
    assert_int_equal(sw_package_pin_index(package("DIP-8"), "9"), -1);
    /* Natural order. */
    for (size_t i = 1; i < sw_library_package_count(library); i++)
        assert_string_not_equal(sw_library_package_at(library, i - 1)->name,
                                sw_library_package_at(library, i)->name);
    size_t eight = 0, fourteen = 0;
    for (size_t i = 0; i < sw_library_package_count(library); i++) {
        const char *name = sw_library_package_at(library, i)->name;
        eight = strcmp(name, "DIP-8") ? eight : i;
        fourteen = strcmp(name, "DIP-14") ? fourteen : i;
    }
    assert_true(eight < fourteen);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dual_in_line),       cmocka_unit_test(no_turn_mirrors),
        cmocka_unit_test(quarter_turns_add_up), cmocka_unit_test(lines_and_pairs),
        cmocka_unit_test(outlines),           cmocka_unit_test(outlines_hold_their_leads),
        cmocka_unit_test(every_package_is_sound), cmocka_unit_test(published_figures),
        cmocka_unit_test(names_of_packages),
    };
    return cmocka_run_group_tests_name("parts: geometry", tests, make_library, free_library);
}
