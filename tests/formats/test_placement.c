/* The placement file: round trips, foreign namespaces, reader and schema of one mind. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <stripwright/format.h>

#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"
#include "tests/lib/format.h"
#include "tests/lib/plan.h"

#define HEAD "<stripboard xmlns=\"urn:stripwright:placement:1\">"
#define BOARD "<board strips=\"9\" columns=\"23\"/>"
#define FOOT "</stripboard>"

static sw_status read_text(sw_diags *diags, const char *text, size_t length, sw_plan **plan) {
    sw_input input;
    *plan = NULL;
    sw_status status = sw_input_text(diags, "test.placement.xml", text, length, &input);
    if (status != SW_OK)
        return status;
    return sw_read_plan(sw_format_find("placement"), &input, NULL, diags, plan);
}

static sw_buf written(sw_diags *diags, const sw_plan *plan) {
    sw_buf out = SW_BUF_INIT;
    sw_document document = {.plan = plan};
    sw_write_options options = {.made_by = "a test"};
    assert_int_equal(sw_write(sw_format_find("placement"), &document, &options, diags, &out),
                     SW_OK);
    return out;
}

static bool is_valid(sw_diags *diags, const char *text, size_t length) {
    sw_input input;
    assert_int_equal(sw_input_text(diags, "t", text, length, &input), SW_OK);
    return sw_placement_validate(&input, diags) == SW_OK;
}

/* Everything that a placement file has, with foreign content all over. */
static const char full[] =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<stripboard xmlns=\"urn:stripwright:placement:1\" title=\"Frost &amp; &quot;frozen&quot;\""
    " made-by=\"a test\" xml:lang=\"en\">\n"
    "  <circuit file=\"frost.cir\" sha256=\""
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855\"/>\n"
    "  <board strips=\"9\" columns=\"23\" pitch-mm=\"2.54\" margin=\"1\">\n"
    "    <keep-out from=\"A1\" to=\"C3\" why=\"screw\"/>\n"
    "    <s:stock xmlns:s=\"urn:shed\">the <b xmlns=\"\">left</b> shelf<!-- by the door -->"
    "</s:stock>\n"
    "  </board>\n"
    "  <nodes>\n"
    "    <node number=\"1\" name=\"VCC\" rail=\"positive\" xmlns:s=\"urn:shed\""
    " s:wire=\"red &lt;1\"/>\n"
    "    <node number=\"14\" name=\"U2.11\" unused=\"true\"/>\n"
    "  </nodes>\n"
    "  <parts>\n"
    "    <part ref=\"R1\" value=\"10k\" device=\"\" package=\"RES-0.25W\" turn=\"0\""
    " locked=\"true\">\n"
    "      <lead pin=\"1\" node=\"1\" hole=\"C4\"/>\n"
    "      <lead pin=\"2\" node=\"6\" hole=\"G4\"/>\n"
    "    </part>\n"
    "    <part ref=\"R2\" value=\"4k7\" device=\"\" package=\"\" locked=\"false\"/>\n"
    "  </parts>\n"
    "  <cuts>\n"
    "    <cut hole=\"D7\" asked=\"true\"/>\n"
    "    <cut between=\"D9 D10\"/>\n"
    "  </cuts>\n"
    "  <links>\n"
    "    <link node=\"6\" from=\"B3\" to=\"F3\" sleeved=\"true\" locked=\"true\">\n"
    "      <s:drum xmlns:s=\"urn:shed\" s:no=\"2\"><?cut here?></s:drum>\n"
    "    </link>\n"
    "  </links>\n"
    "  <s:end xmlns:s=\"urn:shed\"/>\n"
    "</stripboard>\n";

static void everything_comes_back_byte_for_byte(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan;
    assert_int_equal(read_text(diags, full, strlen(full), &plan), SW_OK);
    assert_int_equal(sw_diags_count(diags), 0);
    assert_string_equal(plan->title, "Frost & \"frozen\"");
    assert_int_equal(plan->margin, 1);
    assert_int_equal(plan->nodes[0].rail, SW_RAIL_POSITIVE);
    assert_true(plan->nodes[1].unused);
    assert_true(plan->parts[0].locked);
    assert_int_equal(plan->parts[1].turn, -1);
    assert_true(plan->cuts[0].asked && plan->cuts[1].knife && plan->links[0].sleeved);
    assert_int_equal(plan->foreign_count, 5);
    sw_buf out = written(diags, plan);
    assert_string_equal(out.bytes, full);
    assert_true(is_valid(diags, out.bytes, out.length));
    sw_buf_free(&out);
    sw_plan_free(plan);
    sw_diags_free(diags);
}

static void order_and_prefixes_do_not_matter(void **state) {
    (void)state;
    static const char other[] =
        "<p:stripboard p2:x='1' xmlns:p2='urn:b' xmlns:p='urn:stripwright:placement:1'>"
        "<p:links><p:link to='A3' from='C3'><p2:y><p:part p2:z='&#10;\"'/></p2:y></p:link>"
        "</p:links><p:board columns='4' strips='3'/></p:stripboard>";
    static const char same[] =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
        "<stripboard xmlns=\"urn:stripwright:placement:1\" title=\"\" made-by=\"a test\""
        " xmlns:p2=\"urn:b\" p2:x=\"1\">\n"
        "  <board strips=\"3\" columns=\"4\" pitch-mm=\"2.54\" margin=\"0\"/>\n"
        "  <nodes/>\n  <parts/>\n  <cuts/>\n"
        "  <links>\n"
        "    <link from=\"A3\" to=\"C3\" sleeved=\"false\" locked=\"false\">\n"
        "      <p2:y xmlns:p2=\"urn:b\"><p:part xmlns:p=\"urn:stripwright:placement:1\""
        " p2:z=\"&#10;&quot;\"/></p2:y>\n"
        "    </link>\n"
        "  </links>\n"
        "</stripboard>\n";
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan;
    assert_int_equal(read_text(diags, other, strlen(other), &plan), SW_OK);
    sw_buf out = written(diags, plan);
    assert_string_equal(out.bytes, same);
    sw_plan_free(plan);
    assert_int_equal(read_text(diags, out.bytes, out.length, &plan), SW_OK);
    sw_buf again = written(diags, plan);
    assert_string_equal(again.bytes, same);
    sw_buf_free(&again);
    sw_buf_free(&out);
    sw_plan_free(plan);
    sw_diags_free(diags);
}

static void a_plan_comes_back_legal(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *circuit = test_fitted(library, test_frost_circuit);
    sw_plan *plan = test_plan(circuit, library, test_frost_plan), *again;
    sw_buf out = written(diags, plan);
    assert_true(is_valid(diags, out.bytes, out.length));
    assert_int_equal(read_text(diags, out.bytes, out.length, &again), SW_OK);
    assert_int_equal(sw_check(again, circuit, library, diags, NULL), SW_OK);
    assert_int_equal(sw_check(again, NULL, library, diags, NULL), SW_OK); /* by itself */
    assert_int_equal(sw_diags_count(diags), 0);
    sw_plan_difference *difference = sw_plan_compare(plan, again, library);
    assert_false(difference->differs);
    sw_plan_difference_free(difference);
    sw_buf_free(&out);
    sw_plan_free(again);
    sw_plan_free(plan);
    sw_circuit_free(circuit);
    sw_library_free(library);
    sw_diags_free(diags);
}

static const char *const accepted[] = {
    HEAD BOARD FOOT,
    HEAD "<links/>" BOARD "<circuit/><nodes/><parts/><cuts/>" FOOT,
    HEAD BOARD "<!-- a comment --><?an instruction?>" FOOT,
    HEAD "<board strips=\"1\" columns=\"1\" margin=\"0\"><keep-out from=\"a1\" to=\"zz9\"/></board>"
    FOOT,
    HEAD BOARD "<parts><part ref=\"R 1\"><lead pin=\"K\" hole=\"AA1\"/></part></parts>" FOOT,
    HEAD BOARD "<a:b xmlns:a=\"u\" c=\"d\">text<stripboard/></a:b>" FOOT,
    HEAD BOARD "<cuts a:b=\"c\" xmlns:a=\"u\"/>" FOOT,
};

/* A line of bad/EXPECTED: "FILE LINE:COLUMN ID valid|invalid", the last by the schema;
 * README.md lists why the reader refuses more. */
typedef struct bad {
    char name[96], id[48], schema[16];
    unsigned line, column;
} bad;

static void check_bad(const bad *b) {
    char path[256];
    size_t length;
    snprintf(path, sizeof path, "tests/formats/placement/bad/%s", b->name);
    char *text = test_file(path, &length);
    sw_diags *diags = sw_diags_new(NULL), *schema = sw_diags_new(NULL);
    sw_plan *plan;
    sw_place place = {.line = 0};
    print_message("# %s\n", b->name);
    assert_int_equal(read_text(diags, text, length, &plan), SW_BAD_INPUT);
    assert_null(plan);
    for (size_t i = sw_diags_count(diags); i-- > 0;) { /* the first of this id */
        const sw_diag *diag = sw_diags_get(diags, i);
        if (strcmp(sw_diag_name(diag->id), b->id) == 0)
            assert_true(sw_diags_place(diags, diag->span, &place));
    }
    assert_int_equal(place.line, b->line);
    assert_int_equal(place.column, b->column);
    assert_int_equal(is_valid(schema, text, length), strcmp(b->schema, "valid") == 0);
    sw_diags_free(diags);
    sw_diags_free(schema);
    free(text);
}

static void bad_files_are_refused_with_their_place(void **state) {
    (void)state;
    size_t length, count = 0;
    char *expected = test_file("tests/formats/placement/bad/EXPECTED", &length);
    bad b;
    int used;
    for (const char *at = expected; sscanf(at, "%95s %u:%u %47s %15s\n%n", b.name, &b.line,
                                           &b.column, b.id, b.schema, &used) == 5;
         at += used, count++)
        check_bad(&b);
    assert_true(count >= 41);
    free(expected);
}

static void reader_and_schema_accept_the_same(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof accepted / sizeof accepted[0]; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_plan *plan;
        assert_int_equal(read_text(diags, accepted[i], strlen(accepted[i]), &plan), SW_OK);
        assert_true(is_valid(diags, accepted[i], strlen(accepted[i])));
        assert_int_equal(sw_diags_count(diags), 0);
        sw_plan_free(plan);
        sw_diags_free(diags);
    }
}

static void the_schema_says_where(void **state) {
    (void)state;
    static const char text[] = HEAD "\n" BOARD "\n  <cuts>\n    <cut hole=\"D7\" at=\"x\"/>"
                                    "</cuts>" FOOT;
    sw_diags *diags = sw_diags_new(NULL);
    assert_false(is_valid(diags, text, strlen(text)));
    assert_true(test_count(diags, SW_D_PLACEMENT_SCHEMA) >= 1);
    bool found = false;
    for (size_t i = 0; i < sw_diags_count(diags); i++) {
        sw_place place;
        assert_true(sw_diags_place(diags, sw_diags_get(diags, i)->span, &place));
        /* Its checker points at the section, not at the element in it. */
        found = found || place.line == 3;
    }
    assert_true(found);
    sw_diags_free(diags);
}

static void nesting_has_a_limit(void **state) {
    (void)state;
    sw_buf text = SW_BUF_INIT;
    sw_buf_puts(&text, HEAD BOARD);
    for (int i = 0; i < 5000; i++)
        sw_buf_puts(&text, "<x:y xmlns:x=\"u\">");
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan;
    assert_int_equal(read_text(diags, text.bytes, text.length, &plan), SW_BAD_INPUT);
    assert_int_equal(test_count(diags, SW_D_LIMIT_NESTING), 1);
    assert_int_equal(sw_diags_count(diags), 1);
    sw_buf_free(&text);
    sw_diags_free(diags);
}

static void namespaces_have_a_limit(void **state) {
    (void)state;
    sw_buf text = SW_BUF_INIT;
    sw_buf_puts(&text, HEAD BOARD "<x:y xmlns:x=\"u\"");
    for (int i = 0; i < 300; i++)
        sw_buf_printf(&text, " xmlns:n%d=\"u%d\"", i, i);
    sw_buf_puts(&text, "/>" FOOT);
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan;
    assert_int_equal(read_text(diags, text.bytes, text.length, &plan), SW_BAD_INPUT);
    assert_int_equal(test_count(diags, SW_D_PLACEMENT_XML), 1);
    sw_buf_free(&text);
    sw_diags_free(diags);
}

static void what_cannot_be_written_is_said(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *plan = test_plan_bare("board C3\nR1 A1 B1\n"), *again;
    plan->title = "bell \a and \xFF";
    sw_plan_add_foreign(plan, (sw_foreign){"part R9", "<x:y xmlns:x=\"u\"/>", false});
    sw_buf out = written(diags, plan);
    assert_int_equal(test_count(diags, SW_D_PLACEMENT_CHARACTER), 1);
    assert_int_equal(test_count(diags, SW_D_PLACEMENT_FOREIGN_LOST), 1);
    assert_int_equal(read_text(diags, out.bytes, out.length, &again), SW_OK);
    assert_string_equal(again->title, "bell ? and ?");
    sw_buf_free(&out);
    sw_plan_free(again);
    sw_plan_free(plan);
    sw_diags_free(diags);
}

static void it_is_told_by_its_namespace(void **state) {
    (void)state;
    const sw_format *placement = sw_format_find("placement");
    assert_int_equal(placement->probe(full, strlen(full)), 100);
    assert_int_equal(placement->probe("<svg xmlns=\"x\"/>", 16), 0);
    assert_ptr_equal(sw_format_for_path("x.placement.xml"), placement);
}

static void damage_does_no_harm(void **state) {
    (void)state;
    char text[sizeof full];
    for (size_t length = 0; length < sizeof full; length++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_plan *plan;
        read_text(diags, full, length, &plan);
        sw_plan_free(plan);
        sw_diags_free(diags);
    }
    uint32_t seed = 1;
    for (int round = 0; round < 2000; round++) {
        memcpy(text, full, sizeof full);
        for (int i = 0; i < 1 + round % 20; i++) {
            seed = seed * 1664525u + 1013904223u;
            text[(seed >> 8) % (sizeof full - 1)] = (char)(seed >> 24);
        }
        sw_diags *diags = sw_diags_new(NULL);
        sw_plan *plan;
        if (read_text(diags, text, sizeof full - 1, &plan) == SW_OK) {
            sw_buf out = written(diags, plan);
            sw_buf_free(&out);
        }
        sw_plan_free(plan);
        sw_diags_free(diags);
    }
}

static void memory_may_run_out(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    assert_int_equal(sw_input_text(diags, "t", full, strlen(full), &input), SW_OK);
    for (long n = 0;; n++) {
        sw_plan *plan = NULL;
        sw_buf out = SW_BUF_INIT;
        test_alloc_fail(n);
        sw_status status = sw_read_plan(sw_format_find("placement"), &input, NULL, diags, &plan);
        if (status == SW_OK) {
            sw_document document = {.plan = plan};
            status = sw_write(sw_format_find("placement"), &document, NULL, diags, &out);
        }
        bool failed = test_alloc_reset();
        sw_plan_free(plan);
        sw_buf_free(&out);
        if (!failed)
            break;
        assert_int_equal(status, SW_SYSTEM);
    }
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(everything_comes_back_byte_for_byte),
        cmocka_unit_test(order_and_prefixes_do_not_matter),
        cmocka_unit_test(a_plan_comes_back_legal),
        cmocka_unit_test(bad_files_are_refused_with_their_place),
        cmocka_unit_test(reader_and_schema_accept_the_same),
        cmocka_unit_test(the_schema_says_where),
        cmocka_unit_test(nesting_has_a_limit),
        cmocka_unit_test(namespaces_have_a_limit),
        cmocka_unit_test(what_cannot_be_written_is_said),
        cmocka_unit_test(it_is_told_by_its_namespace),
        cmocka_unit_test(damage_does_no_harm),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests_name("placement file", tests, NULL, NULL);
}
