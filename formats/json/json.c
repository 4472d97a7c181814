/* JSON of a circuit and a plan, for scripts: the descriptor, and values. */
#include "formats/json/json.h"

#include "base/fault.h"
#include "base/text.h"
#include "circuit/circuit.h"

#include <string.h>

/* Puts a value where it belongs, or lets go of it. */
static json_object *keep(swi_json *j, json_object *in, const char *key, json_object *value) {
    int result = -1;
    if (in && value)
        result = key ? json_object_object_add(in, key, value) : json_object_array_add(in, value);
    if (result == 0)
        return value;
    json_object_put(value);
    j->failed = true;
    return NULL;
}

json_object *swi_json_object(swi_json *j, json_object *in, const char *key) {
    return keep(j, in, key, json_object_new_object());
}

json_object *swi_json_array(swi_json *j, json_object *in, const char *key) {
    return keep(j, in, key, json_object_new_array());
}

/* JSON is UTF-8 (RFC 8259, 8.1): what is none becomes U+FFFD. */
static void put_replaced(sw_buf *out, const char *text) {
    size_t left = strlen(text);
    while (left) {
        size_t size = swi_utf8_length(text, left);
        bool whole = size > 1 || (unsigned char)*text < 0x80;
        if (whole)
            sw_buf_put(out, text, size);
        else
            sw_buf_puts(out, "\xEF\xBF\xBD");
        text += size;
        left -= size;
    }
}

void swi_json_text(swi_json *j, json_object *in, const char *key, const char *text) {
    if (swi_utf8_valid(text, strlen(text))) {
        keep(j, in, key, json_object_new_string(text));
        return;
    }
    sw_buf replaced = SW_BUF_INIT;
    put_replaced(&replaced, text);
    keep(j, in, key, replaced.failed ? NULL : json_object_new_string(replaced.bytes));
    sw_buf_free(&replaced);
    j->replaced++;
}

void swi_json_text_if(swi_json *j, json_object *in, const char *key, const char *text) {
    if (text && *text)
        swi_json_text(j, in, key, text);
}

void swi_json_whole(swi_json *j, json_object *in, const char *key, int64_t value) {
    keep(j, in, key, json_object_new_int64(value));
}

void swi_json_real(swi_json *j, json_object *in, const char *key, double value, int decimals) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_real(&text, value, decimals); /* the library's own form follows the locale */
    keep(j, in, key, text.failed ? NULL : json_object_new_double_s(value, text.bytes));
    sw_buf_free(&text);
}

void swi_json_flag(swi_json *j, json_object *in, const char *key, bool value) {
    keep(j, in, key, json_object_new_boolean(value));
}

void swi_json_flag_if(swi_json *j, json_object *in, const char *key, bool value) {
    if (value)
        swi_json_flag(j, in, key, true);
}

void swi_json_rail(swi_json *j, json_object *in, sw_rail rail) {
    if (rail != SW_RAIL_NONE)
        swi_json_text(j, in, "rail", swi_rail_name(rail));
}

void swi_json_hole(swi_json *j, json_object *in, const char *key, sw_hole hole) {
    char name[12];
    sw_hole_write(hole, name);
    swi_json_text(j, in, key, name);
}

static bool write_root(swi_json *j, json_object *root, const char *made_by, sw_buf *out) {
    sw_buf version = SW_BUF_INIT;
    sw_buf_printf(&version, "stripwright %s", sw_version());
    swi_json_whole(j, root, "stripwright", 1);
    swi_json_text(j, root, "made_by", made_by ? made_by : version.bytes ? version.bytes : "");
    j->failed |= version.failed;
    sw_buf_free(&version);
    if (j->document->circuit)
        swi_json_circuit(j, root);
    if (j->document->plan)
        swi_json_plan(j, root);
    const char *text = j->failed ? NULL
                                 : json_object_to_json_string_ext(
                                       root, JSON_C_TO_STRING_PRETTY | JSON_C_TO_STRING_SPACED |
                                                 JSON_C_TO_STRING_NOSLASHESCAPE);
    if (!text)
        return false;
    sw_buf_puts(out, text);
    sw_buf_putc(out, '\n');
    return true;
}

static sw_status write_json(const sw_document *document, const sw_write_options *options,
                            sw_diags *diags, sw_buf *out) {
    swi_json j = {.document = document};
    json_object *root = json_object_new_object();
    bool done = root && write_root(&j, root, options->made_by, out);
    json_object_put(root);
    if (j.replaced)
        sw_diag_add(diags, SW_D_JSON_REPLACED, SW_NOWHERE,
                    "%u texts hold bytes that are not UTF-8; each such byte is written as U+FFFD",
                    j.replaced);
    return done ? SW_OK : swi_out_of_memory(diags);
}

static const char *const extensions[] = {".json", NULL};

const sw_format swi_format_json = {
    .name = "json",
    .extensions = extensions,
    .summary = "circuit and plan as JSON, for scripts",
    .standard = "RFC 8259",
    .keeps = "everything of the circuit, the plan and its check, in one direction",
    .group = SW_GROUP_PAPER,
    .write = write_json,
};
