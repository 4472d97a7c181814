/* Writing a schedule: a circuit in its canonical order. */
#include "formats/schedule/schedule.h"

#include "base/fault.h"
#include "base/num.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "circuit/order.h"

#include <stdlib.h>
#include <string.h>

typedef struct writer {
    const sw_circuit *c;
    swi_order order;
    sw_buf *out;
} writer;

/* ---- text ---- */

static bool is_bare(const char *text, size_t length, bool points) {
    for (size_t i = 0; i < length; i++)
        if (!swi_schedule_bare((unsigned char)text[i]) || (!points && text[i] == '.'))
            return false;
    return swi_utf8_valid(text, length);
}

static void put_hex(sw_buf *out, unsigned char byte) {
    static const char digits[] = "0123456789ABCDEF";
    sw_buf_puts(out, "\\x");
    sw_buf_putc(out, digits[byte >> 4]);
    sw_buf_putc(out, digits[byte & 15]);
}

static void put_quoted(sw_buf *out, const char *text, size_t length) {
    sw_buf_putc(out, '"');
    for (size_t i = 0; i < length;) {
        size_t size = swi_utf8_length(text + i, length - i);
        unsigned char byte = (unsigned char)text[i];
        if (size > 1) {
            sw_buf_put(out, text + i, size);
        } else if (byte < ' ' || byte >= 0x7F) {
            put_hex(out, byte);
        } else {
            if (byte == '"' || byte == '\\')
                sw_buf_putc(out, '\\');
            sw_buf_putc(out, (char)byte);
        }
        i += size;
    }
    sw_buf_putc(out, '"');
}

/* A text that stands by itself: an empty one is seen. */
static void put_word(sw_buf *out, const char *text, bool points) {
    size_t length = strlen(text);
    if (length && is_bare(text, length, points))
        sw_buf_put(out, text, length);
    else
        put_quoted(out, text, length);
}

/* " key=text"; nothing behind = is an empty text. */
static void put_pair(sw_buf *out, const char *key, const char *text) {
    sw_buf_printf(out, " %s=", key);
    if (*text)
        put_word(out, text, true);
}

static void put_pair_if(sw_buf *out, const char *key, const char *text) {
    if (*text)
        put_pair(out, key, text);
}

static void put_flag(sw_buf *out, const char *word, bool set) {
    if (set)
        sw_buf_printf(out, " %s", word);
}

/* ---- lines ---- */

static void put_properties(writer *w, sw_owner owner, uint32_t index) {
    uint32_t count;
    const sw_property *const *list = swi_order_properties(&w->order, owner, index, &count);
    for (uint32_t i = 0; i < count; i++) {
        sw_buf_puts(w->out, "property ");
        put_word(w->out, list[i]->key, true);
        sw_buf_putc(w->out, '=');
        if (*list[i]->value)
            put_word(w->out, list[i]->value, true);
        sw_buf_putc(w->out, '\n');
    }
}

static void put_part(writer *w, sw_part_id id) {
    const sw_part *part = &w->c->parts[id.i];
    const char kind[2] = {part->kind, '\0'};
    sw_buf_puts(w->out, "part ");
    put_word(w->out, part->ref, true);
    put_pair(w->out, "kind", kind);
    put_pair(w->out, "value", part->value);
    put_pair(w->out, "device", part->device);
    put_pair(w->out, "package", part->package);
    put_pair_if(w->out, "path", part->path);
    char flags[SWI_FLAGS_LENGTH];
    sw_buf_puts(w->out, swi_part_flags(part, flags));
    sw_buf_putc(w->out, '\n');
    put_properties(w, SW_OWNER_PART, id.i);
}

static void put_pin_name(writer *w, sw_pin_id id) {
    const sw_pin *pin = &w->c->pins[id.i];
    put_word(w->out, w->c->parts[pin->part.i].ref, false);
    sw_buf_putc(w->out, '.');
    put_word(w->out, pin->number, false);
}

/* Most pins are said by their node's line; those that have more to them have a
 * line of their own. */
static void put_pin(writer *w, sw_pin_id id) {
    const sw_pin *pin = &w->c->pins[id.i];
    uint32_t properties;
    swi_order_properties(&w->order, SW_OWNER_PIN, id.i, &properties);
    if (!*pin->name && pin->type == SW_PIN_UNKNOWN && !properties)
        return;
    sw_buf_puts(w->out, "pin ");
    put_pin_name(w, id);
    put_pair_if(w->out, "name", pin->name);
    if (pin->type != SW_PIN_UNKNOWN)
        put_pair(w->out, "type", sw_pin_type_name(pin->type));
    sw_buf_putc(w->out, '\n');
    put_properties(w, SW_OWNER_PIN, id.i);
}

static void put_node(writer *w, sw_node_id id) {
    const sw_node *node = &w->c->nodes[id.i];
    if (node->number)
        sw_buf_printf(w->out, "node %u", node->number);
    else
        sw_buf_puts(w->out, "node -");
    put_pair(w->out, "name", node->name);
    put_pair(w->out, "rail", node->rail ? swi_rail_name(node->rail) : "");
    put_pair_if(w->out, "why", node->rail_why ? node->rail_why : "");
    if (node->volts < 0 || node->volts > 0) {
        sw_buf_puts(w->out, " volts=");
        swi_real_write(w->out, node->volts);
    }
    put_flag(w->out, "derived", !node->named);
    put_flag(w->out, "global", node->global);
    sw_buf_puts(w->out, " :");
    for (uint32_t i = 0; i < node->pin_count; i++) {
        sw_buf_putc(w->out, ' ');
        put_pin_name(w, w->order.node_pins[node->first_pin + i]);
    }
    sw_buf_putc(w->out, '\n');
    put_properties(w, SW_OWNER_NODE, id.i);
}

static void put_model(writer *w, const sw_model *model) {
    sw_buf_puts(w->out, "model ");
    put_word(w->out, model->name, true);
    put_pair(w->out, "type", model->type);
    put_pair_if(w->out, "path", model->path);
    put_pair_if(w->out, "text", model->text);
    sw_buf_putc(w->out, '\n');
}

static void put_row(writer *w, const sw_row *row) {
    sw_buf_puts(w->out, "row ");
    put_word(w->out, row->name, true);
    put_pair_if(w->out, "ref", row->ref);
    put_pair_if(w->out, "device", row->device);
    put_pair_if(w->out, "package", row->package);
    put_pair_if(w->out, "unit", row->unit);
    put_pair_if(w->out, "pins", row->pins);
    put_pair_if(w->out, "supply", row->supply);
    put_pair_if(w->out, "value", row->value);
    put_pair_if(w->out, "place", row->place);
    put_pair_if(w->out, "omit", row->omit);
    put_pair_if(w->out, "note", row->note);
    put_pair_if(w->out, "path", row->path);
    sw_buf_putc(w->out, '\n');
}

/* ---- models and rows in natural order, equal ones as they came ---- */

static int by_names(const char *path_a, const char *path_b, const char *a, const char *b) {
    int order = sw_natural_compare(path_a, path_b);
    if (order == 0)
        order = sw_natural_compare(a, b);
    return order ? order : strcmp(a, b);
}

static int by_model(const void *left, const void *right) {
    const sw_model *a = *(const sw_model *const *)left, *b = *(const sw_model *const *)right;
    int order = by_names(a->path, b->path, a->name, b->name);
    return order ? order : a < b ? -1 : a > b;
}

static int by_row(const void *left, const void *right) {
    const sw_row *a = *(const sw_row *const *)left, *b = *(const sw_row *const *)right;
    int order = by_names(a->path, b->path, a->name, b->name);
    return order ? order : a < b ? -1 : a > b;
}

static bool put_models(writer *w) {
    uint32_t count = w->c->model_count;
    const sw_model **list = malloc((count + 1) * sizeof *list);
    if (!list)
        return false;
    for (uint32_t i = 0; i < count; i++)
        list[i] = &w->c->models[i];
    qsort(list, count, sizeof *list, by_model);
    for (uint32_t i = 0; i < count; i++)
        put_model(w, list[i]);
    free(list);
    return true;
}

static bool put_rows(writer *w) {
    uint32_t count = w->c->row_count;
    const sw_row **list = malloc((count + 1) * sizeof *list);
    if (!list)
        return false;
    for (uint32_t i = 0; i < count; i++)
        list[i] = &w->c->rows[i];
    qsort(list, count, sizeof *list, by_row);
    for (uint32_t i = 0; i < count; i++)
        put_row(w, list[i]);
    free(list);
    return true;
}

static bool put_circuit(writer *w) {
    const sw_circuit *c = w->c;
    sw_buf_puts(w->out, SWI_SCHEDULE_FIRST_LINE "\n");
    if (*c->title) {
        sw_buf_puts(w->out, "title ");
        put_word(w->out, c->title, true);
        sw_buf_putc(w->out, '\n');
    }
    put_properties(w, SW_OWNER_CIRCUIT, 0);
    for (uint32_t i = 0; i < c->part_count; i++)
        put_part(w, w->order.parts[i]);
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_part *part = &c->parts[w->order.parts[i].i];
        for (uint32_t k = 0; k < part->pin_count; k++)
            put_pin(w, w->order.part_pins[part->first_pin.i + k]);
    }
    for (uint32_t i = 0; i < c->node_count; i++)
        put_node(w, w->order.nodes[i]);
    return put_models(w) && put_rows(w);
}

sw_status swi_schedule_write(const sw_document *document, const sw_write_options *options,
                             sw_diags *diags, sw_buf *out) {
    (void)options;
    writer w = {.c = document->circuit, .out = out};
    bool done = swi_order_work_out(&w.order, w.c) && put_circuit(&w);
    swi_order_free(&w.order);
    return done ? SW_OK : swi_out_of_memory(diags);
}
