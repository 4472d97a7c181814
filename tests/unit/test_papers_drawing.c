/* The drawing: no text over another, every segment numbered, every thing named. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/num.h"
#include "papers/figure.h"
#include "papers/svg.h"
#include "tests/lib/alloc.h"
#include "tests/lib/plan.h"
#include "tests/lib/plans.h"

static sw_library *library;

static int load(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    sw_diags_free(diags);
    return library == NULL;
}

static int unload(void **state) {
    (void)state;
    sw_library_free(library);
    return 0;
}

/* ---- looking at a scene ---- */

static int overlaps(const swi_scene *scene) {
    int count = 0;
    for (size_t i = 0; i < scene->box_count; i++)
        for (size_t k = i + 1; k < scene->box_count; k++)
            if (swi_boxes_meet(scene->boxes[i].box, scene->boxes[k].box)) {
                print_message("# \"%s\" over \"%s\"\n", scene->boxes[i].text, scene->boxes[k].text);
                count++;
            }
    return count;
}

static void all_on_sheet(const swi_scene *scene) {
    for (size_t i = 0; i < scene->box_count; i++) {
        sw_box box = scene->boxes[i].box;
        assert_true(box.x0 >= 0 && box.y0 >= 0 && box.x1 <= scene->width && box.y1 <= scene->height);
    }
}

static bool has_text(const swi_scene *scene, const char *text) {
    for (size_t i = 0; i < scene->box_count; i++)
        if (strcmp(scene->boxes[i].text, text) == 0)
            return true;
    return false;
}

static swi_scene *draw(const sw_document *document, sw_side side, sw_diags *diags) {
    swi_subject *subject = swi_subject_new(document);
    assert_non_null(subject);
    swi_scene *scene = swi_figure_new(subject, side, "", diags);
    swi_subject_free(subject);
    assert_non_null(scene);
    return scene;
}

/* Numbers of nodes in the drawing: texts that carry a node. */
static int numbers(const swi_scene *scene) {
    int count = 0;
    for (size_t i = 0; i < scene->mark_count; i++)
        count += scene->marks[i].kind == SWI_TEXT && scene->marks[i].node != 0;
    return count;
}

/* Ends of segments that carry a node; a segment of one hole inside the board has one. */
static int ends(const sw_plan *plan) {
    sw_copper *copper = sw_copper_new(plan, library);
    int count = 0;
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        const sw_segment *s = &copper->segments[i];
        if (s->used && s->node) {
            bool edge = s->first == 0 || s->last == plan->columns - 1;
            count += s->first == s->last && (!edge || plan->columns > 1) ? 1 : 2;
        }
    }
    sw_copper_free(copper);
    return count;
}

/* ---- tests ---- */

static void frost_plan_is_legal(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_diags *diags = sw_diags_new(NULL);
    assert_int_equal(sw_check(plan, NULL, library, diags, NULL), SW_OK);
    assert_int_equal(sw_diags_of(diags, SW_ERROR), 0);
    sw_diags_free(diags);
    sw_plan_free(plan);
}

static void frost_drawing_is_whole(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    sw_diags *diags = sw_diags_new(NULL);
    swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, diags);
    assert_int_equal(sw_diags_count(diags), 0);
    assert_int_equal(overlaps(scene), 0);
    all_on_sheet(scene);
    assert_int_equal(numbers(scene), ends(plan));
    static const char *const words[] = {"U1", "R1", "R7", "C2", "Q1", "D1", "LM393", "680R", "BC547", "1N4148",
                                        "TH1.1", "LED1.K", "COMPONENT SIDE", "8 strips × 19 columns"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        bool found = has_text(scene, words[i]);
        for (size_t k = 0; k < scene->mark_count && !found; k++)
            found = scene->marks[k].kind == SWI_TEXT && strcmp(scene->marks[k].rest, words[i]) == 0;
        if (!found)
            print_message("# no \"%s\"\n", words[i]);
        assert_true(found);
    }
    /* Whole squares of 2.54 mm, at least 34 wide. */
    assert_true(fabs(scene->width / 2.54 - round(scene->width / 2.54)) < 1e-9);
    assert_true(fabs(scene->height / 2.54 - round(scene->height / 2.54)) < 1e-9);
    assert_true(scene->width >= 34 * 2.54 - 1e-9);
    swi_scene_free(scene);
    sw_diags_free(diags);
    sw_plan_free(plan);
}

static void no_text_over_another(void **state) {
    (void)state;
    static const struct { int strips, columns, fill; } boards[] = {
        {6, 13, 60}, {9, 20, 60}, {12, 30, 50}, {12, 30, 90}, {20, 50, 70}, {3, 90, 60}, {1, 1, 0}};
    uint32_t segment_ends = 0, missing = 0;
    for (size_t b = 0; b < sizeof boards / sizeof *boards; b++)
        for (uint32_t seed = 1; seed <= 4; seed++) {
            sw_plan *plan = test_plan_random(seed, boards[b].strips, boards[b].columns, boards[b].fill, library);
            sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
            swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, NULL);
            assert_int_equal(overlaps(scene), 0);
            segment_ends += (uint32_t)ends(plan);
            missing += (uint32_t)(ends(plan) - numbers(scene));
            swi_scene_free(scene);
            scene = draw(&document, SW_SIDE_BOTH, NULL);
            assert_int_equal(overlaps(scene), 0);
            all_on_sheet(scene);
            swi_scene_free(scene);
            sw_plan_free(plan);
        }
    /* Boards thrown together are fuller than planned ones; yet hardly a number is left out. */
    print_message("# %u of %u ends without a number\n", (unsigned)missing, (unsigned)segment_ends);
    assert_true(segment_ends > 1000);
    assert_true(missing * 200 < segment_ends);
}

static void crowded_labels_are_reported(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    for (uint32_t seed = 1; seed <= 20 && !sw_diags_count(diags); seed++) {
        sw_plan *plan = test_plan_random(seed, 10, 20, 95, library);
        sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
        swi_scene_free(draw(&document, SW_SIDE_COMPONENT, diags));
        sw_plan_free(plan);
    }
    assert_true(sw_diags_count(diags) > 0);
    assert_int_equal(sw_diags_get(diags, 0)->id, SW_D_PAPER_LABEL_CROWDED);
    sw_diags_free(diags);
}

static void groups_close(void **state) {
    (void)state;
    sw_plan *plan = test_plan_random(5, 12, 30, 60, library);
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    swi_scene *scene = draw(&document, SW_SIDE_BOTH, NULL);
    int depth = 0;
    for (size_t i = 0; i < scene->mark_count; i++) {
        depth += (scene->marks[i].kind == SWI_OPEN) - (scene->marks[i].kind == SWI_CLOSE);
        assert_true(depth >= 0);
    }
    assert_int_equal(depth, 0);
    swi_scene_free(scene);
    sw_plan_free(plan);
}

/* Layers in the order in which they lie over one another. */
static void layers_are_in_order(void **state) {
    (void)state;
    static const char *const component[] = {"paper", "board", "edge-names", "strips", "holes", "links", "bodies",
                                            "link-ends", "leads", "cuts", "labels", "node-numbers", "legend",
                                            "title-block"};
    static const char *const copper[] = {"copper", "holes", "link-points", "lead-points", "cuts"};
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    for (int side = 0; side < 2; side++) {
        swi_scene *scene = draw(&document, side ? SW_SIDE_COPPER : SW_SIDE_COMPONENT, NULL);
        const char *const *wanted = side ? copper : component;
        size_t next = 0, count = side ? sizeof copper / sizeof *copper : sizeof component / sizeof *component;
        for (size_t i = 0; i < scene->mark_count && next < count; i++)
            if (scene->marks[i].kind == SWI_OPEN && strcmp(scene->marks[i].tags->id, wanted[next]) == 0)
                next++;
        assert_int_equal(next, count);
        swi_scene_free(scene);
    }
    sw_plan_free(plan);
}

/* A hole has one name: its mark on the copper side is where the board turned over has it. */
static void copper_side_is_turned_like_a_page(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    double at[2] = {0, 0};
    for (int side = 0; side < 2; side++) {
        swi_scene *scene = draw(&document, side ? SW_SIDE_COPPER : SW_SIDE_COMPONENT, NULL);
        double board = 0;
        for (size_t i = 0; i < scene->mark_count; i++) {
            const swi_mark *mark = &scene->marks[i];
            if (mark->kind == SWI_RECT && strcmp(mark->style, "edge") == 0)
                board = mark->x;
            if (mark->kind == SWI_OPEN && strcmp(mark->tags->hole, "G4") == 0 && strcmp(mark->tags->style, "cut") == 0)
                at[side] = scene->marks[i + 1].x - board;
        }
        swi_scene_free(scene);
    }
    assert_true(fabs(at[0] - 3.5 * 2.54) < 1e-9);
    assert_true(fabs(at[1] - 15.5 * 2.54) < 1e-9);
    sw_plan_free(plan);
}

static void faults_are_ringed_and_listed(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    plan->cut_count--; /* G4, the last one: nodes 2 and 8 meet */
    sw_check_report *report = NULL;
    assert_int_equal(sw_check(plan, NULL, library, NULL, &report), SW_FINDINGS);
    sw_document document = {.plan = plan, .library = library, .check = report, .date = "", .revision = ""};
    swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, NULL);
    int rings = 0;
    for (size_t i = 0; i < scene->mark_count; i++)
        rings += scene->marks[i].kind == SWI_CIRCLE && strcmp(scene->marks[i].style, "ringc") == 0;
    assert_int_equal(rings, report->fault_count);
    assert_true(has_text(scene, "FINDINGS OF THE CHECK"));
    assert_int_equal(overlaps(scene), 0);
    swi_scene_free(scene);
    sw_check_report_free(report);
    sw_plan_free(plan);
}

/* A lamp of 3 mm in the corner hangs over two edges, which it covers: its name has room in it
 * and is not to be sought elsewhere. */
static void a_body_over_the_edge_has_its_name_in_it(void **state) {
    (void)state;
    sw_circuit *circuit = test_fitted(library, "LED1 D green - LED-3 K=B A=A\nR1 R 1k - - 1=A 2=B\n");
    sw_plan *plan = test_plan(circuit, library, "board H9\nLED1 H1 G1\nR1 C4 G4\n");
    sw_document document = {.circuit = circuit, .plan = plan, .library = library, .date = "", .revision = ""};
    swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, NULL);
    double x = 0, y = 0;
    for (size_t i = 0; i < scene->mark_count; i++)
        if (scene->marks[i].kind == SWI_CIRCLE && strcmp(scene->marks[i].style, "body") == 0) {
            x = scene->marks[i].x;
            y = scene->marks[i].y;
        }
    bool inside = false;
    for (size_t i = 0; i < scene->box_count; i++) {
        sw_box box = scene->boxes[i].box;
        inside |= strncmp(scene->boxes[i].text, "LED1", 4) == 0 &&
                  hypot((box.x0 + box.x1) / 2 - x, (box.y0 + box.y1) / 2 - y) < 1;
    }
    assert_true(x > 0);
    assert_true(inside);
    swi_scene_free(scene);
    sw_plan_free(plan);
    sw_circuit_free(circuit);
}

/* Corners of a box that lie within an ellipse. */
static int corners_within(sw_box box, double x, double y, double rx, double ry) {
    int count = 0;
    for (int i = 0; i < 4; i++) {
        double u = ((i & 1 ? box.x1 : box.x0) - x) / rx, v = ((i & 2 ? box.y1 : box.y0) - y) / ry;
        count += u * u + v * v < 1;
    }
    return count;
}

/* The first numbers of a path, in any locale. */
static void read_numbers(const char *text, double *numbers, int count) {
    for (int i = 0; i < count; i++) {
        text += strcspn(text, "-0123456789");
        size_t used = swi_real_read(text, strlen(text), &numbers[i]);
        assert_true(used > 0);
        text += used;
    }
}

/* The body is drawn from its flat to the side where the curve begins, which is half an
 * ellipse: what of a name is on that half is all within it or all outside. */
static void names_keep_off_the_curve_of_a_transistor(void **state) {
    (void)state;
    sw_circuit *circuit = test_fitted(library, "Q1 Q BC547 - TO-92 1=A 2=B 3=C\nR1 R 1k - RES-0.25W 1=A 2=B\n");
    sw_plan *plan = test_plan(circuit, library, "board J12\nQ1 C6 D6 E6\nR1 C9 H9\n");
    sw_document document = {.circuit = circuit, .plan = plan, .library = library, .date = "", .revision = ""};
    swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, NULL);
    double path[11] = {0}; /* flat from, x from, rx ry 0 0 1 x to */
    for (size_t i = 0; i < scene->mark_count && path[4] == 0; i++) /* the first: the legend has one, too */
        if (scene->marks[i].kind == SWI_PATH && strcmp(scene->marks[i].style, "body") == 0)
            read_numbers(scene->marks[i].text, path, 11);
    double flat = path[0], x = path[2], y = (path[1] + path[10]) / 2, rx = path[4], ry = path[5];
    assert_true(rx > 1 && ry > 1);
    int names = 0;
    for (size_t i = 0; i < scene->box_count; i++) {
        const char *text = scene->boxes[i].text;
        if (strncmp(text, "Q1", 2) != 0 && strncmp(text, "BC547", 5) != 0)
            continue;
        sw_box box = scene->boxes[i].box;
        if (flat < x)
            box.x0 = fmin(fmax(box.x0, x), box.x1);
        else
            box.x1 = fmax(fmin(box.x1, x), box.x0);
        assert_true(corners_within(box, x, y, rx, ry) % 4 == 0);
        names++;
    }
    assert_true(names > 0);
    swi_scene_free(scene);
    sw_plan_free(plan);
    sw_circuit_free(circuit);
}

/* Words, but for numbers, that a ring of radius 1.2 mm lies over. */
static int words_under_ring(const swi_scene *scene, double x, double y) {
    int count = 0;
    for (size_t i = 0; i < scene->box_count; i++) {
        sw_box box = scene->boxes[i].box;
        double dx = fmax(fmax(box.x0 - x, x - box.x1), 0), dy = fmax(fmax(box.y0 - y, y - box.y1), 0);
        const char *text = scene->boxes[i].text;
        if (hypot(dx, dy) < 1.2 && strspn(text, "0123456789") < strlen(text)) {
            print_message("# \"%s\" under a ring\n", text);
            count++;
        }
    }
    return count;
}

static void rings_lie_over_no_words(void **state) {
    (void)state;
    int rings = 0, words = 0;
    for (uint32_t left_out = 0; left_out < 6; left_out++) {
        sw_plan *plan = test_plan_frost();
        sw_check_report *report = NULL;
        assert_true(plan->cut_count > left_out);
        plan->cuts[left_out] = plan->cuts[--plan->cut_count];
        assert_int_equal(sw_check(plan, NULL, library, NULL, &report), SW_FINDINGS);
        sw_document document = {.plan = plan, .library = library, .check = report, .date = "", .revision = ""};
        swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, NULL);
        for (size_t i = 0; i < scene->mark_count; i++)
            if (scene->marks[i].kind == SWI_CIRCLE && strcmp(scene->marks[i].style, "ringc") == 0) {
                rings++;
                words += words_under_ring(scene, scene->marks[i].x, scene->marks[i].y);
            }
        swi_scene_free(scene);
        sw_check_report_free(report);
        sw_plan_free(plan);
    }
    assert_true(rings >= 6);
    assert_int_equal(words, 0);
}

static sw_buf svg_of(const sw_document *document) {
    sw_buf out = SW_BUF_INIT;
    swi_scene *scene = draw(document, SW_SIDE_BOTH, NULL);
    assert_int_equal(swi_svg_write(scene, NULL, &out), SW_OK);
    swi_scene_free(scene);
    return out;
}

static void same_plan_same_bytes(void **state) {
    (void)state;
    sw_plan *plan = test_plan_random(9, 12, 30, 60, library), *copy = sw_plan_copy(plan);
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    sw_buf one = svg_of(&document);
    document.plan = copy;
    sw_buf two = svg_of(&document);
    assert_string_equal(one.bytes, two.bytes);
    sw_buf_free(&one);
    sw_buf_free(&two);
    sw_plan_free(plan);
    sw_plan_free(copy);
}

/* Text from a file cannot break the drawing. */
static void odd_text_is_made_harmless(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    plan->title = sw_plan_text(plan, "a <b> & \"c\" \x01\xFF ]]>");
    plan->parts[0].ref = sw_plan_text(plan, "C<1>\n");
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    sw_buf svg = svg_of(&document);
    assert_null(strstr(svg.bytes, "<b>"));
    assert_null(strchr(svg.bytes, '\x01'));
    assert_non_null(strstr(svg.bytes, "part-C_1__"));
    sw_buf_free(&svg);
    sw_plan_free(plan);
}

static void a_plan_without_packages_is_still_drawn(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .date = "", .revision = ""};
    swi_scene *scene = draw(&document, SW_SIDE_COMPONENT, NULL);
    assert_true(has_text(scene, "R1"));
    assert_int_equal(overlaps(scene), 0);
    swi_scene_free(scene);
    sw_plan_free(plan);
}

static void memory_may_be_short(void **state) {
    (void)state;
    sw_plan *plan = test_plan_frost();
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    bool went_short = true;
    for (long n = 0; went_short; n = n < 100 ? n + 1 : n + n / 8) {
        sw_buf out = SW_BUF_INIT;
        test_alloc_fail(n);
        swi_subject *subject = swi_subject_new(&document);
        swi_scene *scene = subject ? swi_figure_new(subject, SW_SIDE_BOTH, "", NULL) : NULL;
        sw_status status = scene ? swi_svg_write(scene, NULL, &out) : SW_SYSTEM;
        went_short = test_alloc_reset();
        assert_int_equal(status, went_short ? SW_SYSTEM : SW_OK);
        sw_buf_free(&out);
        swi_scene_free(scene);
        swi_subject_free(subject);
    }
    sw_plan_free(plan);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frost_plan_is_legal),
        cmocka_unit_test(frost_drawing_is_whole),
        cmocka_unit_test(no_text_over_another),
        cmocka_unit_test(crowded_labels_are_reported),
        cmocka_unit_test(groups_close),
        cmocka_unit_test(layers_are_in_order),
        cmocka_unit_test(copper_side_is_turned_like_a_page),
        cmocka_unit_test(faults_are_ringed_and_listed),
        cmocka_unit_test(a_body_over_the_edge_has_its_name_in_it),
        cmocka_unit_test(names_keep_off_the_curve_of_a_transistor),
        cmocka_unit_test(rings_lie_over_no_words),
        cmocka_unit_test(same_plan_same_bytes),
        cmocka_unit_test(odd_text_is_made_harmless),
        cmocka_unit_test(a_plan_without_packages_is_still_drawn),
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("papers: drawing", tests, load, unload);
}
