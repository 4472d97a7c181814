/* tests/lib/fit.c: see fit.h. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/fit.h"

test_fitting test_fit_with(const char *text, const char *sheet, const char *const *rails) {
    test_fitting f = {.diags = sw_diags_new(NULL)};
    f.library = sw_library_new(f.diags);
    assert_non_null(f.library);
    f.netlist = test_circuit(f.diags, SW_STAGE_NETLIST, text);
    assert_non_null(f.netlist);
    if (sheet) {
        sw_input input;
        assert_int_equal(sw_input_text(f.diags, "sheet", sheet, strlen(sheet), &input), SW_OK);
        assert_int_equal(sw_sheet_read(&input, f.diags, &f.sheet), SW_OK);
    }
    sw_fit_options options = {.sheet = f.sheet, .rails = rails};
    f.status = sw_fit(f.netlist, f.library, &options, f.diags, &f.c, &f.report);
    assert_true((f.c != NULL) == (f.status == SW_OK));
    return f;
}

test_fitting test_fit(const char *text) {
    return test_fit_with(text, NULL, NULL);
}

void test_fit_done(test_fitting *f) {
    sw_circuit_free(f->c);
    sw_circuit_free(f->netlist);
    sw_sheet_free(f->sheet);
    sw_sheet_free(f->report);
    sw_library_free(f->library);
    sw_diags_free(f->diags);
}

void test_fit_part(const test_fitting *f, const char *want) {
    assert_int_equal(f->status, SW_OK);
    char ref[32] = "";
    strncpy(ref, want, strcspn(want, " "));
    sw_part_id id = sw_circuit_part(f->c, ref);
    if (id.i == SW_NONE)
        fail_msg("no part %s", ref);
    const sw_part *part = &f->c->parts[id.i];
    sw_buf is = SW_BUF_INIT;
    sw_buf_printf(&is, "%s %s/%s/%s", part->ref, part->package, part->device, part->value);
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = &f->c->pins[part->first_pin.i + i];
        const sw_node *node = &f->c->nodes[pin->node.i];
        if (node->pin_count > 1 || node->named)
            sw_buf_printf(&is, " %s=%s", pin->number, node->name);
    }
    assert_string_equal(is.bytes, want);
    assert_int_equal(part->pin_count, part->form->pin_count);
    sw_buf_free(&is);
}

void test_fit_refs(const test_fitting *f, const char *want) {
    assert_int_equal(f->status, SW_OK);
    sw_buf is = SW_BUF_INIT;
    for (uint32_t i = 0; i < f->c->part_count; i++)
        sw_buf_printf(&is, "%s%s", i ? " " : "", f->c->parts[i].ref);
    assert_string_equal(is.bytes, want);
    sw_buf_free(&is);
}

void test_fit_fails(const char *text, sw_diag_id id, const char *part) {
    test_fitting f = test_fit(text);
    assert_int_equal(f.status, SW_NO_PLAN);
    assert_int_equal(sw_diags_of(f.diags, SW_ERROR), 1);
    if (!strstr(test_message(f.diags, id), part))
        fail_msg("%s: \"%s\" is not in \"%s\"", sw_diag_name(id), part,
                 test_message(f.diags, id));
    assert_non_null(f.report); /* it tells what there is to edit all the same */
    test_fit_done(&f);
}
