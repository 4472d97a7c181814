/* JSON: read back with the library that any script might use. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>
#include <json-c/json.h>

#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

static const char lamp[] =
    "stripwright schedule 1\n"
    "title \"Moisture \\\"lamp\\\" / 2\"\n"
    "part Q1 kind=Q value= device=BC547 package= flat\n"
    "part R1 kind=R value=10k device= package=\n"
    "property tolerance=5%\n"
    "property tolerance=x\n"
    "pin Q1.C name=collector type=open\n"
    "node 1 name=VCC rail=positive : R1.1\n"
    "node 2 name=base rail= : Q1.B R1.2\n"
    "node 3 name=Q1.C rail= derived : Q1.C\n"
    "model BC547 type=NPN text=\"BF=1\"\n";

static json_object *at(json_object *in, const char *key) {
    json_object *value = NULL;
    if (!json_object_object_get_ex(in, key, &value))
        fail_msg("no member %s", key);
    return value;
}

static const char *text_at(json_object *in, const char *key) {
    return json_object_get_string(at(in, key));
}

static json_object *item(json_object *in, const char *key, size_t index) {
    return json_object_array_get_idx(at(in, key), index);
}

static json_object *parse(const sw_document *document, sw_diags *diags) {
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sw_write(sw_format_find("json"), document, NULL, diags, &out), SW_OK);
    assert_int_equal(out.bytes[out.length - 1], '\n');
    json_object *root = json_tokener_parse(out.bytes);
    assert_non_null(root);
    sw_buf_free(&out);
    return root;
}

static sw_circuit *read_lamp(sw_diags *diags) {
    sw_input input;
    sw_circuit *circuit = NULL;
    sw_input_text(diags, "lamp.sched", lamp, sizeof lamp - 1, &input);
    sw_read_circuit(NULL, &input, NULL, diags, &circuit);
    return circuit;
}

static void a_circuit_is_all_there(void **state) {
    (void)state;
    test_reading r = test_read_text("schedule", lamp);
    assert_non_null(r.circuit);
    sw_document document = {.circuit = r.circuit};
    json_object *root = parse(&document, r.diags), *circuit = at(root, "circuit");
    assert_int_equal(json_object_get_int(at(root, "stripwright")), 1);
    assert_string_equal(text_at(circuit, "title"), "Moisture \"lamp\" / 2");
    json_object *q1 = item(circuit, "parts", 0), *r1 = item(circuit, "parts", 1);
    assert_string_equal(text_at(q1, "ref"), "Q1");
    assert_true(json_object_get_boolean(at(q1, "flat")));
    assert_false(json_object_object_get_ex(q1, "terminal", NULL));
    assert_string_equal(text_at(item(q1, "pins", 1), "name"), "collector");
    assert_string_equal(text_at(item(q1, "pins", 1), "type"), "open");
    assert_string_equal(text_at(item(r1, "pins", 0), "node"), "VCC");
    assert_int_equal(json_object_array_length(at(r1, "properties")), 2);
    json_object *base = item(circuit, "nodes", 1);
    assert_int_equal(json_object_get_int(at(base, "number")), 2);
    assert_string_equal(text_at(item(base, "pins", 1), "ref"), "R1");
    assert_string_equal(text_at(item(base, "pins", 1), "pin"), "2");
    assert_string_equal(text_at(item(circuit, "nodes", 0), "rail"), "positive");
    assert_false(json_object_get_boolean(at(item(circuit, "nodes", 2), "named")));
    assert_string_equal(text_at(item(circuit, "models", 0), "text"), "BF=1");
    json_object_put(root);
    test_reading_free(&r);
}

static sw_plan *make_plan(void) {
    sw_plan *plan = sw_plan_new();
    plan->title = sw_plan_text(plan, "Lamp");
    plan->strips = 3;
    plan->columns = 5;
    sw_plan_add_node(plan, (sw_plan_node){.number = 1, .name = sw_plan_text(plan, "VCC"),
                                          .rail = SW_RAIL_POSITIVE});
    sw_plan_add_part(plan, (sw_plan_part){.ref = "R1", .value = "10k", .device = "",
                                          .package = "RES-0.25W", .turn = 90});
    sw_plan_add_lead(plan, (sw_plan_lead){.pin = "1", .node = 1, .hole = {0, 0}});
    sw_plan_add_lead(plan, (sw_plan_lead){.pin = "2", .hole = {0, 4}});
    sw_plan_add_cut(plan, (sw_cut){.hole = {0, 2}});
    sw_plan_add_cut(plan, (sw_cut){.hole = {1, 2}, .knife = true});
    sw_plan_add_link(plan, (sw_link){.node = 1, .from = {0, 1}, .to = {2, 1}, .sleeved = true});
    sw_plan_add_keep_out(plan, (sw_keep_out){.from = {2, 3}, .to = {2, 4}, .why = "screw"});
    return plan;
}

static void a_plan_is_all_there(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_plan *made = make_plan();
    sw_document document = {.plan = made};
    json_object *root = parse(&document, diags), *plan = at(root, "plan");
    assert_false(json_object_object_get_ex(root, "circuit", NULL));
    assert_int_equal(json_object_get_int(at(plan, "strips")), 3);
    assert_string_equal(text_at(plan, "pitch_mm"), "2.54");
    json_object *r1 = item(plan, "parts", 0);
    assert_int_equal(json_object_get_int(at(r1, "turn")), 90);
    assert_string_equal(text_at(item(r1, "leads", 1), "hole"), "A5");
    assert_false(json_object_object_get_ex(item(r1, "leads", 1), "node", NULL));
    assert_string_equal(text_at(item(plan, "cuts", 0), "hole"), "A3");
    assert_string_equal(text_at(item(plan, "cuts", 1), "between"), "B3");
    assert_string_equal(text_at(item(plan, "cuts", 1), "and"), "B4");
    assert_int_equal(json_object_get_int(at(item(plan, "links", 0), "pitches")), 2);
    assert_true(json_object_get_boolean(at(item(plan, "links", 0), "sleeved")));
    assert_string_equal(text_at(item(plan, "keep_out", 0), "why"), "screw");
    /* 15 holes + 2 for a link + 1 for two cuts, and no bend without a library. */
    assert_string_equal(text_at(at(plan, "cost"), "balanced"), "18");
    json_object_put(root);
    sw_plan_free(made);
    sw_diags_free(diags);
}

/* Of parts and nodes, the builder lets no such bytes in; of a property, they come here. */
static void bytes_that_are_no_text_are_replaced_and_told(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *builder = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_builder_property(builder, SW_OWNER_CIRCUIT, 0, "note", "4\xB5", SW_NOWHERE);
    sw_circuit *circuit = sw_builder_finish(builder);
    sw_document document = {.circuit = circuit};
    json_object *root = parse(&document, diags);
    assert_string_equal(text_at(item(at(root, "circuit"), "properties", 0), "value"),
                        "4\xEF\xBF\xBD");
    assert_int_equal(test_count(diags, SW_D_JSON_REPLACED), 1);
    json_object_put(root);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
}

static void failing_memory_is_told(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *circuit = read_lamp(diags);
    assert_non_null(circuit);
    sw_plan *plan = make_plan();
    sw_document document = {.circuit = circuit, .plan = plan};
    for (long n = 0;; n++) {
        sw_diags *own = sw_diags_new(NULL);
        sw_buf out = SW_BUF_INIT;
        test_alloc_fail(n);
        sw_status status = sw_write(sw_format_find("json"), &document, NULL, own, &out);
        bool failed = test_alloc_reset();
        assert_int_equal(status, failed ? SW_SYSTEM : SW_OK);
        sw_buf_free(&out);
        sw_diags_free(own);
        if (!failed)
            break;
    }
    sw_plan_free(plan);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_circuit_is_all_there),
        cmocka_unit_test(a_plan_is_all_there),
        cmocka_unit_test(bytes_that_are_no_text_are_replaced_and_told),
        cmocka_unit_test(failing_memory_is_told),
    };
    return cmocka_run_group_tests_name("json", tests, NULL, NULL);
}
