/* formats/partslist: the list for programs (RFC 8259); its keys are in the README. */
#include "partslist.h"

#include "base/text.h"

#include <json-c/json.h>
#include <string.h>

/* Takes the value over, whatever becomes of it; value NULL: memory was out. */
static void add(struct json_object *object, const char *key, struct json_object *value, sw_buf *out) {
    if (value && json_object_object_add(object, key, value) == 0)
        return;
    json_object_put(value);
    out->failed = true;
}

static void append(struct json_object *array, struct json_object *value, sw_buf *out) {
    if (value && json_object_array_add(array, value) == 0)
        return;
    json_object_put(value);
    out->failed = true;
}

/* JSON text is UTF-8; bytes that are none become dots. */
static struct json_object *text_of(const char *text) {
    size_t length = strlen(text);
    if (swi_utf8_valid(text, length))
        return json_object_new_string(text);
    sw_buf seen = SW_BUF_INIT;
    swi_put_visible(&seen, text, length, false);
    struct json_object *value = seen.failed ? NULL : json_object_new_string(seen.bytes);
    sw_buf_free(&seen);
    return value;
}

/* Keys of text that are left out when there is none. */
static void add_text(struct json_object *object, const char *key, const char *text, sw_buf *out) {
    if (*text)
        add(object, key, text_of(text), out);
}

static struct json_object *board_of(const parts_list *list, const sw_document *board, sw_buf *out) {
    struct json_object *object = json_object_new_object();
    if (!object)
        return NULL;
    add(object, "title", text_of(parts_title(board)), out);
    add(object, "copies", json_object_new_int64(parts_copies(board, list->options)), out);
    add(object, "strips", json_object_new_int(board->plan->strips), out);
    add(object, "columns", json_object_new_int(board->plan->columns), out);
    return object;
}

static struct json_object *refs_of(const swi_buy *line, sw_buf *out) {
    struct json_object *array = json_object_new_array();
    for (uint32_t i = 0; array && i < line->each_count; i++) {
        struct json_object *one = json_object_new_object();
        if (one) {
            add(one, "board", json_object_new_int64(line->each[i].board), out);
            add(one, "ref", text_of(line->each[i].ref), out);
        }
        append(array, one, out);
    }
    return array;
}

static struct json_object *item_of(const swi_buy *line, sw_buf *out) {
    static const char *const kinds[] = {"part", "board", "socket", "pin", "wire"};
    struct json_object *object = json_object_new_object();
    if (!object)
        return NULL;
    bool wire = line->kind == SWI_BUY_WIRE;
    add(object, "kind", json_object_new_string(kinds[line->kind]), out);
    add(object, "quantity", json_object_new_int64((int64_t)line->quantity), out);
    add(object, "unit", json_object_new_string(wire ? "mm" : "piece"), out);
    if (!wire)
        add_text(object, "value", line->value, out);
    add_text(object, "written", line->written, out);
    add_text(object, "device", line->device, out);
    add_text(object, "package", line->package, out);
    add(object, "refs", refs_of(line, out), out);
    add_text(object, "bands_4", line->bands_4, out);
    add_text(object, "bands_5", line->bands_5, out);
    add_text(object, "code", line->code, out);
    add_text(object, "series", line->series, out);
    add_text(object, "note", line->note, out);
    return object;
}

static void fill(const parts_list *list, struct json_object *whole, sw_buf *out) {
    struct json_object *boards = json_object_new_array(), *items = json_object_new_array();
    for (const sw_document *board = list->document; boards && board; board = board->next)
        append(boards, board_of(list, board, out), out);
    for (size_t i = 0; items && i < list->count; i++)
        append(items, item_of(&list->lines[i], out), out);
    add(whole, "boards", boards, out);
    add(whole, "spare_percent", json_object_new_int(list->options->spare_percent), out);
    add(whole, "items", items, out);
}

void parts_write_json(const parts_list *list, sw_buf *out) {
    struct json_object *whole = json_object_new_object();
    if (!whole) {
        out->failed = true;
        return;
    }
    fill(list, whole, out);
    const char *text = json_object_to_json_string_ext(
        whole, JSON_C_TO_STRING_PRETTY | JSON_C_TO_STRING_SPACED | JSON_C_TO_STRING_NOSLASHESCAPE);
    out->failed |= text == NULL;
    if (text) {
        sw_buf_puts(out, text);
        sw_buf_putc(out, '\n');
    }
    json_object_put(whole);
}
