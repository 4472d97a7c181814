/* tests/lib/pipeline.c: bytes through the whole pipeline, as the command does it. */
#include "pipeline.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/losses.h"

/* What damaged plans are checked against, and damaged sheets are used for. */
static const char lamp[] =
    "node,pins\nVCC,P1.1 R1.1 R2.1\nLAMP,R1.2 LED1.A\nCOLL,LED1.K Q1.C C1.1\n"
    "BASE,R2.2 Q1.B C1.2\nGND,P2.1 Q1.E\n\nref,value,device,package\nR1,470,,\nR2,47k,,\n"
    "C1,10u,,\nQ1,,BC547,\nLED1,red,LED,\nP1,+9 V,,PIN-1\nP2,0 V,,PIN-1\n";

/* ---- the pipeline ---- */

static sw_status refuse(void *user, const char *path, const sw_input *asking, sw_span span,
                        sw_diags *diags, sw_input *out) {
    (void)user, (void)path, (void)asking, (void)out;
    sw_diag_add(diags, SW_D_INCLUDE_REFUSED, span, "refused");
    return SW_BAD_INPUT;
}

/* In each format that can write such a document. */
static void write_all(const sw_document *document, sw_format_group group, sw_diags *diags) {
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        sw_buf out = SW_BUF_INIT;
        if (!format->write || format->group != group)
            continue;
        size_t errors = sw_diags_of(diags, SW_ERROR);
        if (sw_write(format, document, NULL, diags, &out) != SW_OK)
            assert_true(sw_diags_of(diags, SW_ERROR) > errors);
        sw_buf_free(&out);
    }
}

static sw_circuit *fitted_of(const sw_circuit *netlist, const sw_library *library, const sw_sheet *sheet,
                             sw_diags *diags) {
    sw_circuit *fitted = NULL;
    sw_sheet *assumed = NULL;
    sw_fit_options options = {.sheet = sheet};
    sw_status status = sw_fit(netlist, library, &options, diags, &fitted, &assumed);
    assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
    if (status == SW_OK) {
        sw_buf text = SW_BUF_INIT;
        sw_budget budget;
        assert_int_equal(sw_circuit_number(fitted, diags), SW_OK);
        assert_int_equal(sw_review(fitted, diags), SW_OK);
        sw_budget_work_out(fitted, &budget);
        sw_budget_write(fitted, &budget, &text);
        sw_buf_free(&text);
    }
    sw_sheet_free(assumed);
    return fitted;
}

sw_circuit *test_pipeline_lamp(const sw_library *library, const sw_sheet *sheet, sw_diags *diags) {
    sw_input input;
    sw_circuit *netlist = NULL;
    assert_int_equal(sw_input_text(diags, "lamp.csv", lamp, sizeof lamp - 1, &input), SW_OK);
    assert_int_equal(sw_read_circuit(sw_format_find("nodes"), &input, NULL, diags, &netlist), SW_OK);
    sw_circuit *fitted = fitted_of(netlist, library, sheet, diags);
    sw_circuit_free(netlist);
    return fitted;
}

/* ---- through each format and back ---- */

/* Bytes that messages show as they are. */
static bool is_plain(const sw_input *input) {
    for (size_t i = 0; i < input->length; i++) {
        unsigned char c = (unsigned char)input->bytes[i];
        if (c > 0x7E || (c < 0x20 && c != '\n' && c != '\r'))
            return false;
    }
    return true;
}

/* Lines that cannot be compared go: names that a message clips, or that hold its marks. */
static void drop_unclear(sw_buf *lines) {
    static const char *const unclear[] = {"a title:", "node name:", "derived:", "global nodes:", "pin number:",
                                          "properties of pins:", "property new: spice.value"};
    char *to = lines->bytes;
    for (char *from = to; from && *from;) {
        char *end = strchr(from, '\n');
        size_t length = end ? (size_t)(end - from) + 1 : strlen(from);
        bool drop = false;
        for (size_t i = 0; i < sizeof unclear / sizeof *unclear; i++)
            drop = drop || strncmp(from, unclear[i], strlen(unclear[i])) == 0;
        memmove(to, from, drop ? 0 : length);
        to += drop ? 0 : length;
        from += length;
    }
    if (to)
        *to = '\0';
}

static void compare_losses(const sw_circuit *circuit, const sw_circuit *back, const sw_diags *diags, const char *format) {
    sw_buf real = SW_BUF_INIT, told = SW_BUF_INIT;
    sw_buf_puts(&real, ""), sw_buf_puts(&told, "");
    test_losses_real(circuit, back, &real);
    test_losses_told(diags, &told);
    drop_unclear(&real);
    drop_unclear(&told);
    /* A message clips long names and parts them by commas and semicolons. */
    bool unclear = strstr(told.bytes, "\xE2\x80\xA6") || strstr(told.bytes, "more") || strpbrk(real.bytes, ",;");
    if (!unclear && strcmp(real.bytes, told.bytes) != 0)
        fail_msg("lost by %s:\n%stold:\n%s", format, real.bytes, told.bytes);
    sw_buf_free(&real);
    sw_buf_free(&told);
}

/* What was read is written and read back: the same, or the loss is told. */
static void keep_or_tell(const sw_circuit *circuit, const sw_library *library) {
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        if (format->group != SW_GROUP_CIRCUIT || !format->write || !format->read_circuit)
            continue;
        sw_diags *diags = sw_diags_new(NULL);
        sw_document document = {.circuit = circuit, .library = library};
        sw_buf out = SW_BUF_INIT;
        sw_circuit *back = NULL;
        sw_input input;
        if (sw_write(format, &document, NULL, diags, &out) == SW_OK) {
            char name[32];
            snprintf(name, sizeof name, "back%s", format->extensions[0]);
            assert_int_equal(sw_input_text(diags, name, out.bytes, out.length, &input), SW_OK);
            if (sw_read_circuit(NULL, &input, NULL, diags, &back) != SW_OK) {
                sw_buf shown = SW_BUF_INIT;
                sw_diags_show(diags, &shown);
                print_message("%s\n", out.bytes);
                fail_msg("does not read back as %s:\n%s", format->name, shown.bytes);
            }
            compare_losses(circuit, back, diags, format->name);
        }
        sw_circuit_free(back);
        sw_buf_free(&out);
        sw_diags_free(diags);
    }
}

static void run_circuit(const sw_input *input, const sw_format *format, const sw_library *library,
                        sw_diags *diags) {
    sw_circuit *netlist = NULL;
    sw_read_options options = {.include = refuse};
    sw_status status = sw_read_circuit(format, input, &options, diags, &netlist);
    assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
    if (status == SW_OK) {
        sw_document document = {.circuit = netlist, .library = library, .diags = diags, .date = "", .revision = ""};
        write_all(&document, SW_GROUP_CIRCUIT, diags);
        if (netlist->part_count > 0 && is_plain(input)) /* a deck of no parts is refused */
            keep_or_tell(netlist, library);
        sw_circuit_free(fitted_of(netlist, library, NULL, diags));
    }
    sw_circuit_free(netlist);
}

static void run_plan(const sw_input *input, const sw_format *format, const sw_library *library,
                     sw_diags *diags) {
    sw_plan *plan = NULL;
    sw_check_report *report = NULL;
    sw_status status = sw_read_plan(format, input, NULL, diags, &plan);
    assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
    sw_circuit *fitted = status == SW_OK ? test_pipeline_lamp(library, NULL, diags) : NULL;
    if (fitted) {
        sw_plan_complete(plan, fitted, library);
        status = sw_check(plan, fitted, library, diags, &report);
        assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
        sw_document document = {.circuit = fitted, .plan = plan, .library = library, .check = report,
                                .diags = diags, .date = "", .revision = ""};
        write_all(&document, SW_GROUP_PLAN, diags);
        sw_buf out = SW_BUF_INIT;
        sw_write(sw_format_find("text"), &document, NULL, diags, &out);
        sw_buf_free(&out);
    }
    sw_check_report_free(report);
    sw_circuit_free(fitted);
    sw_plan_free(plan);
}

void test_pipeline_file(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_input input;
    assert_int_equal(sw_input_text(diags, name, bytes, length, &input), SW_OK);
    const sw_format *format = sw_format_detect(&input, diags);
    if (!format)
        assert_true(sw_diags_of(diags, SW_ERROR) > 0);
    else if (format->read_plan)
        run_plan(&input, format, library, diags);
    else
        run_circuit(&input, format, library, diags);
    sw_buf shown = SW_BUF_INIT;
    sw_diags_show(diags, &shown);
    sw_buf_free(&shown);
    sw_library_free(library);
    sw_diags_free(diags);
}

/* Tables and sheets serve the lamp. */
void test_pipeline_table(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_input input;
    assert_int_equal(sw_input_text(diags, name, bytes, length, &input), SW_OK);
    if (sw_library_add(library, &input, diags) == SW_OK)
        sw_circuit_free(test_pipeline_lamp(library, NULL, diags));
    else
        assert_true(sw_diags_of(diags, SW_ERROR) > 0);
    sw_library_free(library);
    sw_diags_free(diags);
}

void test_pipeline_sheet(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_sheet *sheet = NULL;
    sw_input input;
    assert_int_equal(sw_input_text(diags, name, bytes, length, &input), SW_OK);
    if (sw_sheet_read(&input, diags, &sheet) == SW_OK)
        sw_circuit_free(test_pipeline_lamp(library, sheet, diags));
    else
        assert_true(sw_diags_of(diags, SW_ERROR) > 0);
    sw_sheet_free(sheet);
    sw_library_free(library);
    sw_diags_free(diags);
}
