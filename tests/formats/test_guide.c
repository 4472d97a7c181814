/* The build guide as text: its steps as a golden, what it lets in and what not.  How it
 * works in a browser is tried in tests/external/guide.t. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/alloc.h"
#include "tests/lib/page.h"
#include "tests/lib/plans.h"
#include <stripwright/format.h>

static sw_library *library;
static sw_plan *plan;
static sw_circuit *circuit;

static int load(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    plan = test_plan_frost();
    sw_status status = sw_plan_circuit(plan, library, diags, &circuit);
    sw_diags_free(diags);
    return status != SW_OK;
}

static int unload(void **state) {
    (void)state;
    sw_circuit_free(circuit);
    sw_plan_free(plan);
    sw_library_free(library);
    return 0;
}

static sw_buf write_guide(const sw_document *document) {
    sw_buf out = SW_BUF_INIT;
    sw_diags *diags = sw_diags_new(NULL);
    const sw_write_options options = {.made_by = "stripwright"};
    assert_int_equal(sw_write(sw_format_find("guide"), document, &options, diags, &out), SW_OK);
    sw_diags_free(diags);
    return out;
}

static sw_document usual(void) {
    return (sw_document){.plan = plan, .circuit = circuit, .library = library, .date = "2026-11-25", .revision = "A"};
}

static size_t count(const char *text, const char *part) {
    size_t found = 0;
    for (const char *at = text; (at = strstr(at, part)); at += strlen(part))
        found++;
    return found;
}

/* The steps, from the heading to the end of their section.  With SW_REWRITE set the golden is
 * written anew: read what changed before you commit it. */
static void steps_as_expected(void **state) {
    (void)state;
    const sw_document document = usual();
    sw_buf out = write_guide(&document);
    char *from = strstr(out.bytes, "<section id='steps'"), *to = strstr(out.bytes, "<section id='nodes'");
    assert_true(from && to && from < to);
    *to = '\0';
    char path[1024];
    const char *source = getenv("SW_SRCDIR"), *rewrite = getenv("SW_REWRITE");
    snprintf(path, sizeof path, "%s/tests/formats/papers/frost.steps.html", source ? source : ".");
    sw_diags *diags = sw_diags_new(NULL);
    sw_input wanted;
    if (rewrite)
        assert_int_equal(sw_output_write(diags, path, from, strlen(from)), SW_OK);
    assert_int_equal(sw_input_open(diags, path, &wanted), SW_OK);
    assert_string_equal(from, wanted.bytes);
    sw_diags_free(diags);
    sw_buf_free(&out);
}

static void same_plan_same_bytes(void **state) {
    (void)state;
    const sw_document document = usual();
    sw_buf one = write_guide(&document), two = write_guide(&document);
    assert_int_equal(one.length, two.length);
    assert_memory_equal(one.bytes, two.bytes, one.length);
    sw_buf_free(&one);
    sw_buf_free(&two);
}

/* Nothing in it points to anywhere but itself. */
static void nothing_from_outside(void **state) {
    (void)state;
    const sw_document document = usual();
    sw_buf out = write_guide(&document);
    size_t names = count(out.bytes, "http://www.w3.org/2000/svg"); /* a name, never fetched */
    assert_int_equal(count(out.bytes, "://"), names);
    assert_null(strstr(out.bytes, " src="));
    assert_null(strstr(out.bytes, " style="));
    assert_null(strstr(out.bytes, "eval("));
    assert_null(strstr(out.bytes, "innerHTML"));
    assert_int_equal(count(out.bytes, "<link "), 1);
    assert_non_null(strstr(out.bytes, "<link rel='icon' href='data:,'/>"));
    assert_non_null(strstr(out.bytes, "content=\"default-src 'none'; "));
    assert_int_equal(count(out.bytes, "'sha256-"), 2);
    sw_buf_free(&out);
}

static const char nasty[] = "</script></style><img src=x onerror=\"alert('1')\"><!--&\x01";

/* Every text of a plan is nasty; the page has no element more for it. */
static void names_stay_text(void **state) {
    (void)state;
    const sw_document document = usual();
    sw_buf plain = write_guide(&document);
    sw_plan *bad = sw_plan_copy(plan);
    bad->title = nasty;
    for (uint32_t i = 0; i < bad->node_count; i++)
        bad->nodes[i].name = nasty;
    for (uint32_t i = 0; i < bad->part_count; i++)
        bad->parts[i].value = bad->parts[i].device = nasty;
    bad->parts[0].ref = nasty;
    for (uint32_t i = 0; i < bad->lead_count; i++)
        bad->leads[i].pin = bad->leads[i].pin[0] == '2' ? nasty : bad->leads[i].pin;
    sw_plan_add_keep_out(bad, (sw_keep_out){.from = {0, 0}, .to = {2, 2}, .why = nasty});
    sw_diags *review = sw_diags_new(NULL);
    sw_diag_add(review, SW_D_CAUTION_GAP, SW_NOWHERE, "%s", nasty);
    sw_diag_add(review, SW_D_PAPER_LABEL_CROWDED, SW_NOWHERE, "%s", nasty);
    const sw_document about = {.plan = bad, .library = library, .date = nasty, .revision = nasty, .diags = review};
    sw_buf out = write_guide(&about);
    test_page("nasty guide", out.bytes, out.length);
    assert_int_equal(count(out.bytes, "<script"), count(plain.bytes, "<script"));
    assert_int_equal(count(out.bytes, "</script"), count(plain.bytes, "</script"));
    assert_int_equal(count(out.bytes, "</style"), 1);
    assert_int_equal(count(out.bytes, "<img"), 0);
    assert_int_equal(count(out.bytes, "<!--"), 0);
    assert_null(strchr(out.bytes, '\x01'));
    assert_true(count(out.bytes, "&lt;/script&gt;&lt;/style&gt;&lt;img src=x onerror=&quot;alert(&#39;1&#39;)&quot;&gt;") > 30);
    sw_diags_free(review);
    sw_plan_free(bad);
    sw_buf_free(&out);
    sw_buf_free(&plain);
}

/* The volts of the supply, with or without their unit in the netlist. */
static void wires_say_the_volts(void **state) {
    (void)state;
    static const struct { const char *value, *shown; } cases[] = {
        {"10k NTC", ">10k NTC<"}, {"9 V buzzer", ">9 V buzzer<"}, {"9", "supply, 9 V<"}, {"4,5 V", "supply, 4,5 V<"}, {"12V", "supply, 12V<"}, {"battery", "<td>battery<"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_plan *other = sw_plan_copy(plan);
        for (uint32_t p = 0; p < other->part_count; p++)
            if (strcmp(other->parts[p].package, "PIN-1") == 0)
                other->parts[p].value = cases[i].value;
        for (uint32_t n = 0; n < other->node_count; n++)
            other->nodes[n].rail = other->nodes[n].number == 1 ? SW_RAIL_POSITIVE : SW_RAIL_NONE;
        const sw_document about = {.plan = other, .library = library};
        sw_buf out = write_guide(&about);
        if (count(out.bytes, cases[i].shown) == 0)
            fail_msg("no %s for %s", cases[i].shown, cases[i].value);
        sw_plan_free(other);
        sw_buf_free(&out);
    }
}

/* A connector's pins are where wires leave, too; nothing is soldered on there. */
static void connectors_leave_the_board(void **state) {
    (void)state;
    sw_plan *other = sw_plan_new();
    other->strips = 6;
    other->columns = 9;
    assert_true(sw_plan_add_part(other, (sw_plan_part){.ref = "J1", .value = "pump", .device = "", .package = "SCREW-2", .turn = 0}));
    assert_true(sw_plan_add_lead(other, (sw_plan_lead){.pin = "1", .node = 1, .hole = {1, 2}}));
    assert_true(sw_plan_add_lead(other, (sw_plan_lead){.pin = "2", .node = 2, .hole = {3, 2}}));
    assert_true(sw_plan_add_node(other, (sw_plan_node){.number = 1, .name = "VIN", .rail = SW_RAIL_POSITIVE}));
    assert_true(sw_plan_add_node(other, (sw_plan_node){.number = 2, .name = "GND", .rail = SW_RAIL_GROUND}));
    const sw_document about = {.plan = other, .library = library};
    sw_buf out = write_guide(&about);
    assert_int_equal(count(out.bytes, "J1.1</th><td>B3</td><td>left</td>"), 1);
    assert_int_equal(count(out.bytes, "J1.2</th><td>D3</td>"), 1);
    assert_int_equal(count(out.bytes, "<td>pump</td>"), 2);
    assert_int_equal(count(out.bytes, "Its leads: pin 1 in B3, pin 2 in D3."), 1);
    assert_int_equal(count(out.bytes, "Its openings face the left edge."), 1);
    assert_int_equal(count(out.bytes, "Strain relief"), 0);
    assert_int_equal(count(out.bytes, "Measure J1.1 in B3 against J1.2 in D3"), 1);
    sw_plan_free(other);
    sw_buf_free(&out);
}

static void findings_are_listed(void **state) {
    (void)state;
    sw_diags *review = sw_diags_new(NULL);
    sw_diag_add(review, SW_D_CAUTION_GAP, SW_NOWHERE, "too near");
    sw_diag_add(review, SW_D_PAPER_LABEL_CROWDED, SW_NOWHERE, "no room");
    sw_document document = usual();
    document.diags = review;
    sw_buf out = write_guide(&document);
    char *cautions = strstr(out.bytes, "id='cautions'"), *found = strstr(out.bytes, "id='review'");
    assert_non_null(strstr(cautions, "<b>This circuit:</b> too near"));
    assert_non_null(strstr(found, "<b>note:</b> no room"));
    assert_null(strstr(found, "too near")); /* said once, where it is read first */
    sw_diags_free(review);
    sw_buf_free(&out);
}

static void a_page_by_the_standard(void **state) {
    (void)state;
    const sw_document document = usual();
    sw_buf out = write_guide(&document);
    test_page("guide", out.bytes, out.length);
    /* Strips come first, in mm as in holes and on the drawing: 8 and 19 pitches of 2.54. */
    assert_non_null(strstr(out.bytes, "<dd>8 strips × 19 columns</dd>"));
    assert_non_null(strstr(out.bytes, "<dd>20.3 × 48.3 mm</dd>"));
    sw_buf_free(&out);
}

static void without_a_circuit(void **state) {
    (void)state;
    const sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    sw_buf out = write_guide(&document);
    assert_non_null(strstr(out.bytes, "The list of meter probes needs the circuit"));
    assert_null(strstr(out.bytes, "class='probes'"));
    sw_buf_free(&out);
}

static void without_a_plan(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_buf out = SW_BUF_INIT;
    const sw_document document = {.circuit = circuit, .library = library};
    assert_int_equal(sw_write(sw_format_find("guide"), &document, NULL, diags, &out), SW_USAGE);
    assert_int_equal(sw_diags_get(diags, 0)->id, SW_D_FORMAT_NEEDS);
    assert_int_equal(out.length, 0);
    sw_buf_free(&out);
    sw_diags_free(diags);
}

/* Each allocation of the beginning, then ever fewer of the thousands. */
static void memory_may_be_short(void **state) {
    (void)state;
    sw_document document = usual();
    bool went_short = true;
    for (long n = 0; went_short; n += 1 + n / 12) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_buf out = SW_BUF_INIT;
        test_alloc_fail(n);
        sw_status status = sw_write(sw_format_find("guide"), &document, NULL, diags, &out);
        went_short = test_alloc_reset();
        assert_int_equal(status, went_short ? SW_SYSTEM : SW_OK);
        sw_buf_free(&out);
        sw_diags_free(diags);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_as_expected),
        cmocka_unit_test(same_plan_same_bytes),
        cmocka_unit_test(a_page_by_the_standard),
        cmocka_unit_test(nothing_from_outside),
        cmocka_unit_test(names_stay_text),
        cmocka_unit_test(wires_say_the_volts),
        cmocka_unit_test(connectors_leave_the_board),
        cmocka_unit_test(findings_are_listed),
        cmocka_unit_test(without_a_circuit),
        cmocka_unit_test(without_a_plan),
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("formats: guide", tests, load, unload);
}
