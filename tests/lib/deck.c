/* Decks read in tests. */
#include "tests/lib/deck.h"

#include <string.h>

sw_status test_deck_include(void *user, const char *path, const sw_input *asking, sw_span span,
                            sw_diags *diags, sw_input *out) {
    (void)user;
    (void)span;
    const char *slash = strrchr(asking->name, '/');
    int folder = slash ? (int)(slash - asking->name) + 1 : 0;
    sw_buf name = SW_BUF_INIT;
    sw_buf_printf(&name, "%.*s%s", folder, asking->name, path);
    sw_status status = name.failed ? SW_SYSTEM : sw_input_open(diags, name.bytes, out);
    sw_buf_free(&name);
    return status;
}

static const sw_read_options beside = {.include = test_deck_include};

test_deck test_deck_bytes(const char *name, const char *bytes, size_t length,
                          const sw_read_options *options) {
    test_deck deck = {.diags = sw_diags_new(NULL)};
    sw_input input;
    deck.status = sw_input_text(deck.diags, name, bytes, length, &input);
    if (deck.status == SW_OK)
        deck.status = sw_read_circuit(sw_format_find("spice"), &input, options ? options : &beside,
                                      deck.diags, &deck.circuit);
    return deck;
}

test_deck test_deck_file(const char *path) {
    test_deck deck = {.diags = sw_diags_new(NULL)};
    sw_input input;
    deck.status = sw_input_open(deck.diags, path, &input);
    if (deck.status == SW_OK)
        deck.status =
            sw_read_circuit(sw_format_find("spice"), &input, &beside, deck.diags, &deck.circuit);
    return deck;
}

void test_deck_free(test_deck *deck) {
    sw_circuit_free(deck->circuit);
    sw_diags_free(deck->diags);
}

static void put_field(sw_buf *out, const char *key, const char *value) {
    if (*value) sw_buf_printf(out, " %s%s", key, value);
}

static void tell_part(const sw_circuit *c, uint32_t index, sw_buf *out) {
    const sw_part *part = &c->parts[index];
    sw_buf_printf(out, "%s %c", part->ref, part->kind);
    put_field(out, "", part->value);
    put_field(out, "dev=", part->device);
    put_field(out, "path=", part->path);
    put_field(out, "pack=", part->package);
    put_field(out, "", part->flat ? "flat" : "");
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = &c->pins[part->first_pin.i + i];
        sw_buf_printf(out, " %s=%s", pin->number, c->nodes[pin->node.i].name);
    }
    for (uint32_t i = 0; i < c->property_count; i++)
        if (c->properties[i].owner == SW_OWNER_PART && c->properties[i].index == index)
            sw_buf_printf(out, " {%s=%s}", c->properties[i].key, c->properties[i].value);
    sw_buf_putc(out, '\n');
}

void test_deck_tell(const sw_circuit *c, sw_buf *out) {
    for (uint32_t i = 0; i < c->part_count; i++)
        tell_part(c, i, out);
    for (uint32_t i = 0; i < c->model_count; i++) {
        const sw_model *model = &c->models[i];
        sw_buf_printf(out, "model %s %s (%s)", model->name, model->type, model->text);
        put_field(out, "", model->path);
        sw_buf_putc(out, '\n');
    }
    for (uint32_t i = 0; i < c->row_count; i++) {
        const sw_row *row = &c->rows[i];
        sw_buf_printf(out, "row %s", row->name);
        put_field(out, "path=", row->path);
        put_field(out, "ref=", row->ref);
        put_field(out, "device=", row->device);
        put_field(out, "package=", row->package);
        put_field(out, "unit=", row->unit);
        put_field(out, "pins=", row->pins);
        put_field(out, "supply=", row->supply);
        put_field(out, "value=", row->value);
        put_field(out, "place=", row->place);
        put_field(out, "omit=", row->omit);
        sw_buf_putc(out, '\n');
    }
}

void test_deck_findings(const sw_diags *diags, sw_buf *out) {
    for (size_t i = 0; i < sw_diags_count(diags); i++) {
        const sw_diag *diag = sw_diags_get(diags, i);
        sw_place place;
        sw_buf_puts(out, sw_diag_name(diag->id));
        if (sw_diags_place(diags, diag->span, &place))
            sw_buf_printf(out, " %u:%u\n", place.line, place.column);
        else
            sw_buf_puts(out, " -\n");
    }
}
