/* tests/lib/circuit.c: circuits for tests, from a few lines of text. */
#include "circuit.h"

#include <string.h>

typedef struct reading {
    sw_builder *builder;
    sw_input input;
    sw_part_id part;
} reading;

/* The next word from *at on; NULL at the end of the line. */
static const char *word(const char **at, const char *end, char *out, size_t size, sw_span *span) {
    while (*at < end && **at == ' ')
        ++*at;
    if (*at >= end)
        return NULL;
    size_t length = 0;
    while (*at + length < end && (*at)[length] != ' ')
        length++;
    span->offset += (uint32_t)(*at - (end - span->length));
    size_t kept = length < size - 1 ? length : size - 1;
    memcpy(out, *at, kept);
    out[kept] = '\0';
    *at += length;
    return out;
}

static const char *text_of(sw_builder *b, const char *text) {
    return strcmp(text, "-") == 0 ? "" : sw_builder_text(b, text, strlen(text));
}

static void pins(reading *r, const char *at, const char *end, sw_span line) {
    char text[128];
    sw_span span = line;
    while (word(&at, end, text, sizeof text, &span)) {
        char *sign = strrchr(text, '=');
        if (!sign)
            continue;
        *sign = '\0';
        sw_span here = {line.source, span.offset, (uint32_t)strlen(text)};
        sw_node_id node = strcmp(sign + 1, "~") == 0
            ? sw_builder_lone_node(r->builder, here)
            : sw_builder_node(r->builder, sign + 1, false, here);
        char *colon = strchr(text, ':');
        if (colon)
            *colon = '\0';
        sw_builder_pin(r->builder, r->part, text, colon ? colon + 1 : "", node, here);
        span = line;
    }
}

static void part(reading *r, const char *at, const char *end, sw_span line) {
    char ref[64], kind[8], field[3][64];
    sw_span span = line;
    word(&at, end, ref, sizeof ref, &span);
    sw_span here = {line.source, span.offset, (uint32_t)strlen(ref)};
    word(&at, end, kind, sizeof kind, &span);
    for (int i = 0; i < 3; i++)
        if (!word(&at, end, field[i], sizeof field[i], &span))
            strcpy(field[i], "-");
    r->part = sw_builder_part(r->builder, ref, kind[0], here);
    sw_part *made = sw_builder_part_at(r->builder, r->part);
    made->flat = kind[1] == '!';
    made->value = text_of(r->builder, field[0]);
    made = sw_builder_part_at(r->builder, r->part);
    made->device = text_of(r->builder, field[1]);
    made->package = text_of(r->builder, field[2]);
    pins(r, at, end, line);
}

static void row(reading *r, const char *at, const char *end, sw_span line) {
    static const char *const keys[] = {"ref", "device", "package", "unit", "pins", "supply",
                                       "value", "place", "omit"};
    char name[64], cell[9][64] = {{0}}, text[128];
    sw_span span = line;
    word(&at, end, name, sizeof name, &span);
    while (word(&at, end, text, sizeof text, &span)) {
        char *sign = strchr(text, '=');
        for (size_t i = 0; sign && i < 9; i++)
            if (strncmp(text, keys[i], (size_t)(sign - text)) == 0 && !keys[i][sign - text])
                strncpy(cell[i], sign + 1, sizeof cell[i] - 1);
        span = line;
    }
    sw_row made = {.name = name, .ref = cell[0], .device = cell[1], .package = cell[2],
                   .unit = cell[3], .pins = cell[4], .supply = cell[5], .value = cell[6],
                   .place = cell[7], .omit = cell[8], .path = "", .span = line};
    sw_builder_row(r->builder, &made);
}

static void join(reading *r, const char *at, const char *end, sw_span line) {
    char a[64], b[64];
    sw_span span = line;
    word(&at, end, a, sizeof a, &span);
    word(&at, end, b, sizeof b, &span);
    sw_node_id first = sw_builder_node(r->builder, a, false, line);
    sw_builder_join(r->builder, first, sw_builder_node(r->builder, b, false, line));
}

static void one_line(reading *r, const char *at, const char *end) {
    while (at < end && *at == ' ')
        at++;
    if (at == end)
        return;
    sw_span line = {r->input.source, (uint32_t)(at - r->input.bytes), (uint32_t)(end - at)};
    if (*at == '=')
        join(r, at + 1, end, line);
    else if (*at == '@')
        row(r, at + 1, end, line);
    else if (*at == '+')
        pins(r, at + 1, end, line);
    else
        part(r, at, end, line);
}

sw_circuit *test_circuit(sw_diags *diags, sw_stage stage, const char *text) {
    reading r = {.builder = sw_builder_new(stage, diags)};
    if (!r.builder)
        return NULL;
    if (sw_input_text(diags, "test", text, strlen(text), &r.input) != SW_OK) {
        sw_builder_free(r.builder);
        return NULL;
    }
    const char *at = r.input.bytes;
    while (*at) {
        const char *end = strchr(at, '\n');
        end = end ? end : at + strlen(at);
        one_line(&r, at, end);
        at = *end ? end + 1 : end;
    }
    return sw_builder_finish(r.builder);
}

size_t test_count(const sw_diags *diags, sw_diag_id id) {
    size_t count = 0;
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        count += sw_diags_get(diags, i)->id == id;
    return count;
}

const char *test_message(const sw_diags *diags, sw_diag_id id) {
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        if (sw_diags_get(diags, i)->id == id)
            return sw_diags_get(diags, i)->message;
    return "";
}

const char *test_node_of(const sw_circuit *circuit, const char *pin) {
    sw_pin_id id = sw_circuit_pin_spelled(circuit, pin);
    return id.i == SW_NONE ? "" : circuit->nodes[circuit->pins[id.i].node.i].name;
}

uint32_t test_number_of(const sw_circuit *circuit, const char *pin) {
    sw_pin_id id = sw_circuit_pin_spelled(circuit, pin);
    return id.i == SW_NONE ? 0 : circuit->nodes[circuit->pins[id.i].node.i].number;
}
