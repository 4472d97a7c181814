/* Papers as files: goldens of what is text, well-formedness of what is drawn.  PDF and PNG
 * are looked at in tests/external/papers.t. */
#include "config.h"

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

#include <libxml/parser.h>

static sw_library *library;
static sw_diags *diags;
static sw_plan *plan;

static int load(void **state) {
    (void)state;
    diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    plan = test_plan_frost();
    return library == NULL || plan == NULL;
}

static int unload(void **state) {
    (void)state;
    sw_plan_free(plan);
    sw_library_free(library);
    sw_diags_free(diags);
    xmlCleanupParser();
    return 0;
}

static sw_buf write_as(const char *path, sw_write_options options) {
    sw_buf out = SW_BUF_INIT;
    sw_document document = {.plan = plan, .library = library, .date = "2026-11-25", .revision = "A"};
    options.path = path;
    options.made_by = "stripwright";
    const sw_format *format = sw_format_for_path(path);
    assert_non_null(format);
    assert_int_equal(sw_write(format, &document, &options, diags, &out), SW_OK);
    return out;
}

static void golden(const char *name) {
    char path[1024];
    const char *source = getenv("SW_SRCDIR");
    snprintf(path, sizeof path, "%s/tests/formats/papers/%s", source ? source : ".", name);
    sw_buf out = write_as(name, (sw_write_options){0});
    sw_input wanted;
    assert_int_equal(sw_input_open(diags, path, &wanted), SW_OK);
    assert_string_equal(out.bytes, wanted.bytes);
    sw_buf_free(&out);
}

static void text_as_expected(void **state) {
    (void)state;
    golden("frost.txt");
}

static void worklist_as_expected(void **state) {
    (void)state;
    golden("frost.worklist.csv");
    golden("frost.worklist.txt");
}

static void partslist_as_expected(void **state) {
    (void)state;
    golden("frost.parts.csv");
    golden("frost.parts.txt");
    golden("frost.parts.html");
    golden("frost.parts.json");
}

static void one_side_of_text(void **state) {
    (void)state;
    sw_buf out = write_as("x.txt", (sw_write_options){.side = SW_SIDE_COMPONENT});
    assert_non_null(strstr(out.bytes, "COMPONENT SIDE"));
    assert_null(strstr(out.bytes, "COPPER SIDE"));
    sw_buf_free(&out);
}

static void wide_boards_are_split(void **state) {
    (void)state;
    sw_plan *keep = plan;
    plan = test_plan_random(3, 10, 70, 30, library);
    sw_buf out = write_as("x.txt", (sw_write_options){.side = SW_SIDE_COMPONENT});
    assert_non_null(strstr(out.bytes, "Columns 1 to "));
    for (const char *line = out.bytes; line && *line; line = strchr(line, '\n')) {
        line += *line == '\n';
        size_t length = strcspn(line, "\n"), characters = 0;
        for (size_t i = 0; i < length; i++)
            characters += ((unsigned char)line[i] & 0xC0) != 0x80;
        assert_true(characters <= 100);
        if (!line[length] || strncmp(line, "Parts", 5) == 0)
            break;
    }
    sw_buf_free(&out);
    sw_plan_free(plan);
    plan = keep;
}

static void formulas_are_guarded(void **state) {
    (void)state;
    sw_plan *keep = plan;
    plan = sw_plan_copy(plan);
    plan->parts[0].value = sw_plan_text(plan, "=1+1");
    sw_buf plain = write_as("x.parts.csv", (sw_write_options){0}),
           guarded = write_as("x.parts.csv", (sw_write_options){.spreadsheet = true});
    assert_non_null(strstr(plain.bytes, ",=1+1,"));
    assert_non_null(strstr(guarded.bytes, "'=1+1"));
    sw_buf_free(&plain);
    sw_buf_free(&guarded);
    sw_plan_free(plan);
    plan = keep;
}

static void copies_multiply(void **state) {
    (void)state;
    sw_buf out = write_as("x.parts.csv", (sw_write_options){.copies = 3, .spare_percent = 10});
    assert_non_null(strstr(out.bytes, ",10,4k7,")); /* 9 and 0.9 */
    sw_buf_free(&out);
}

static sw_status write_chain(const char *path, int copies, sw_diags *own, sw_buf *out) {
    sw_document second = {.plan = plan, .library = library, .date = "", .revision = "", .copies = 2};
    sw_document first = second;
    first.next = &second;
    first.copies = copies;
    return sw_write(sw_format_for_path(path), &first, &(sw_write_options){.path = path, .copies = 3}, own, out);
}

static void boards_add_up(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(write_chain("x.parts.csv", 1, diags, &out), SW_OK);
    assert_non_null(strstr(out.bytes, ",27,4k7,,RES-0.25W,\"board 1: R2 R3 R5; board 2: R2 R3 R5\",")); /* 3 × (1 + 2) × 3 */
    sw_buf_free(&out);
    assert_int_equal(write_chain("x.parts.json", 1, diags, &out), SW_OK);
    assert_non_null(strstr(out.bytes, "\"quantity\": 27"));
    assert_non_null(strstr(out.bytes, "\"board\": 2"));
    sw_buf_free(&out);
}

static void other_papers_show_one_board(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    sw_diags *own = sw_diags_new(NULL);
    assert_int_equal(write_chain("x.svg", 1, own, &out), SW_USAGE);
    assert_int_equal(sw_diags_get(own, 0)->id, SW_D_FORMAT_ONE_BOARD);
    assert_int_equal(write_chain("x.parts.csv", 400000, own, &out), SW_USAGE);
    assert_int_equal(sw_diags_get(own, 1)->id, SW_D_PARTSLIST_COPIES);
    sw_buf_free(&out);
    sw_diags_free(own);
}

/* Text of plans that strangers wrote: no markup in the page, no control characters. */
static void hostile_text_stays_text(void **state) {
    (void)state;
    sw_plan *keep = plan;
    plan = sw_plan_copy(plan);
    plan->title = sw_plan_text(plan, "<script>&\x1b[2J");
    plan->parts[0].value = sw_plan_text(plan, "\"><img src=x>\xff");
    sw_buf page = write_as("x.parts.html", (sw_write_options){0}), text = write_as("x.parts.txt", (sw_write_options){0}),
           json = write_as("x.parts.json", (sw_write_options){0});
    test_page("hostile list", page.bytes, page.length);
    assert_null(strstr(page.bytes, "<script"));
    assert_null(strstr(page.bytes, "<img"));
    assert_non_null(strstr(page.bytes, "&lt;script&gt;&amp;·[2J"));
    assert_null(strchr(text.bytes, '\x1b'));
    assert_null(strchr(json.bytes, '\x1b'));
    assert_null(strchr(json.bytes, '\xff'));
    sw_buf_free(&page);
    sw_buf_free(&text);
    sw_buf_free(&json);
    sw_plan_free(plan);
    plan = keep;
}

static void drawing_is_xml(void **state) {
    (void)state;
    sw_buf out = write_as("x.svg", (sw_write_options){.scale = 2});
    xmlDocPtr xml = xmlReadMemory(out.bytes, (int)out.length, "x.svg", NULL, XML_PARSE_NONET | XML_PARSE_NOERROR);
    assert_non_null(xml);
    xmlNodePtr root = xmlDocGetRootElement(xml);
    xmlChar *role = xmlGetProp(root, (const xmlChar *)"role");
    assert_string_equal((const char *)role, "img");
    xmlFree(role);
    /* Every id once. */
    xmlFreeDoc(xml);
    for (const char *at = strstr(out.bytes, " id=\""); at; at = strstr(at + 1, " id=\"")) {
        char id[80];
        size_t length = strcspn(at + 5, "\"") + 6;
        assert_true(length + 1 < sizeof id);
        snprintf(id, sizeof id, "%.*s", (int)length, at);
        if (strncmp(id, " id=\"s-", 7) != 0)
            assert_null(strstr(at + 1, id));
    }
    assert_non_null(strstr(out.bytes, "data-hole=\"G4\""));
    assert_non_null(strstr(out.bytes, "C8: U1 pin 1, node 5"));
    sw_buf_free(&out);
}

static void papers_want_a_plan(void **state) {
    (void)state;
    static const char *const names[] = {"worklist", "partslist", "drawing", "sheet", "picture", "text"};
    sw_document nothing = {.library = library, .date = "", .revision = ""};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        sw_buf out = SW_BUF_INIT;
        sw_diags *own = sw_diags_new(NULL);
        assert_int_equal(sw_write(sw_format_find(names[i]), &nothing, NULL, own, &out), SW_USAGE);
        assert_int_equal(sw_diags_get(own, 0)->id, SW_D_FORMAT_NEEDS);
        sw_diags_free(own);
        sw_buf_free(&out);
    }
}

static sw_status sheet_on(const char *paper, sw_plan *of, sw_diags *own, sw_buf *out) {
    sw_document document = {.plan = of, .library = library, .date = "2026-11-25", .revision = ""};
    return sw_write(sw_format_find("sheet"), &document, &(sw_write_options){.paper = paper}, own, out);
}

static bool has(const sw_diags *own, sw_diag_id id) {
    for (size_t i = 0; i < sw_diags_count(own); i++)
        if (sw_diags_get(own, i)->id == id)
            return true;
    return false;
}

#ifndef HAVE_RSVG

static void pictures_are_refused(void **state) {
    (void)state;
    sw_buf out = SW_BUF_INIT;
    sw_diags *own = sw_diags_new(NULL);
    assert_int_equal(sheet_on("A4", plan, own, &out), SW_USAGE);
    assert_true(has(own, SW_D_PICTURE_UNSUPPORTED));
    sw_diags_free(own);
    sw_buf_free(&out);
}

#endif

static void unknown_paper_is_refused(void **state) {
    (void)state;
    sw_diags *own = sw_diags_new(NULL);
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sheet_on("napkin", plan, own, &out), SW_USAGE);
    assert_true(has(own, SW_D_SHEET_PAPER));
    sw_buf_free(&out);
    sw_diags_free(own);
}

static void memory_may_be_short(void **state) {
    (void)state;
    static const char *const paths[] = {"x.txt", "x.worklist.csv", "x.worklist.txt", "x.parts.csv",
                                        "x.parts.txt", "x.parts.html", "x.parts.json"};
    sw_document document = {.plan = plan, .library = library, .date = "", .revision = ""};
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        bool went_short = true;
        for (long n = 0; went_short; n++) {
            sw_buf out = SW_BUF_INIT;
            sw_diags *own = sw_diags_new(NULL);
            test_alloc_fail(n);
            sw_status status = sw_write(sw_format_for_path(paths[i]), &document,
                                        &(sw_write_options){.path = paths[i]}, own, &out);
            went_short = test_alloc_reset();
            if (went_short != (status == SW_SYSTEM))
                print_message("# %s, allocation %ld\n", paths[i], n);
            assert_int_equal(status, went_short ? SW_SYSTEM : SW_OK);
            sw_buf_free(&out);
            sw_diags_free(own);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_as_expected),
        cmocka_unit_test(worklist_as_expected),
        cmocka_unit_test(partslist_as_expected),
        cmocka_unit_test(one_side_of_text),
        cmocka_unit_test(wide_boards_are_split),
        cmocka_unit_test(formulas_are_guarded),
        cmocka_unit_test(copies_multiply),
        cmocka_unit_test(boards_add_up),
        cmocka_unit_test(other_papers_show_one_board),
        cmocka_unit_test(hostile_text_stays_text),
        cmocka_unit_test(drawing_is_xml),
        cmocka_unit_test(papers_want_a_plan),
        cmocka_unit_test(unknown_paper_is_refused),
#ifndef HAVE_RSVG
        cmocka_unit_test(pictures_are_refused),
#endif
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("formats: papers", tests, load, unload);
}
