/* The builder: what a reader says, in any order, in growing arrays. */
#include "base/fault.h"
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

static const char *ref_of(const void *owner, uint32_t number) {
    return ((const sw_builder *)owner)->parts[number].ref;
}

static const char *node_name_of(const void *owner, uint32_t number) {
    return ((const sw_builder *)owner)->nodes[number].name;
}

sw_builder *sw_builder_new(sw_stage stage, sw_diags *diags) {
    sw_builder *b = calloc(1, sizeof *b);
    if (!b)
        return NULL;
    b->stage = stage;
    b->diags = diags;
    b->most = sw_diags_limits(diags);
    b->title = "";
    b->arena = swi_arena_new();
    b->text = b->arena ? swi_interner_new(b->arena) : NULL;
    if (!b->text || !swi_names_init(&b->parts_by_ref, true, 0, NULL) ||
        !swi_names_init(&b->nodes_by_name, true, 0, NULL) ||
        !swi_names_init(&b->nodes_by_exact_name, false, 0, NULL)) {
        sw_builder_free(b);
        return NULL;
    }
    return b;
}

void sw_builder_free(sw_builder *b) {
    if (!b)
        return;
    swi_names_free(&b->parts_by_ref);
    swi_names_free(&b->nodes_by_name);
    swi_names_free(&b->nodes_by_exact_name);
    free(b->parts);
    free(b->pins);
    free(b->nodes);
    free(b->up);
    free(b->models);
    free(b->properties);
    free(b->rows);
    swi_interner_free(b->text);
    swi_arena_free(b->arena);
    free(b);
}

void swi_builder_out(sw_builder *b) {
    if (!b->failed)
        swi_out_of_memory(b->diags);
    b->failed = true;
}

void swi_builder_expect(sw_builder *b, size_t parts, size_t pins, size_t nodes) {
    parts = parts < b->most->parts ? parts : b->most->parts;
    nodes = nodes < b->most->nodes ? nodes : b->most->nodes;
    pins = pins < SW_NONE ? pins : SW_NONE - 1;
    if (b->failed)
        return;
    swi_arena_expect(b->arena, (parts + nodes) * 8);
    if (!SWI_GROW(b->parts, b->part_room, parts) || !SWI_GROW(b->pins, b->pin_room, pins) ||
        !SWI_GROW(b->nodes, b->node_room, nodes) || !SWI_GROW(b->up, b->up_room, nodes) ||
        !swi_names_reserve(&b->parts_by_ref, (uint32_t)parts) ||
        !swi_names_reserve(&b->nodes_by_name, (uint32_t)nodes))
        swi_builder_out(b);
}

static void over_limit(sw_builder *b, sw_diag_id id, sw_span span, uint32_t most, const char *what) {
    if (!b->failed)
        sw_diag_add(b->diags, id, span,
                    "more than %u %s: split the circuit or raise the limit", most, what);
    b->failed = true;
}

const char *swi_builder_line(sw_builder *builder, const char *text, size_t length, bool *failed) {
    sw_buf out = SW_BUF_INIT;
    swi_put_utf8(&out, text, length);
    for (size_t i = 0; i < out.length; i++)
        if ((unsigned char)out.bytes[i] < ' ')
            out.bytes[i] = ' ';
    *failed |= out.failed;
    const char *kept = out.failed || !out.length ? "" : sw_builder_text(builder, out.bytes, out.length);
    sw_buf_free(&out);
    return kept;
}

const char *sw_builder_text(sw_builder *b, const char *text, size_t length) {
    if (b->failed || !text || length == 0)
        return "";
    const char *kept = swi_intern(b->text, text, length);
    b->odd |= !swi_is_printable(text, length);
    if (!kept)
        swi_builder_out(b);
    return kept ? kept : "";
}

static const char *copy_text(sw_builder *b, const char *text) {
    return text ? sw_builder_text(b, text, strlen(text)) : "";
}

/* A name that is in an index of its own, so that it need not be interned as well. */
static const char *keep_name(sw_builder *b, const char *name, size_t length) {
    const char *kept = length ? swi_arena_text(b->arena, name, length) : "";
    b->odd |= !swi_is_printable(name, length);
    if (!kept)
        swi_builder_out(b);
    return kept ? kept : "";
}

void sw_builder_title(sw_builder *b, const char *title) {
    b->title = copy_text(b, title);
}

/* ---- parts ---- */

static const sw_part_id no_part = {SW_NONE};

sw_part_id swi_builder_find_part(const sw_builder *b, const char *ref, size_t length) {
    return (sw_part_id){swi_names_find(&b->parts_by_ref, ref, length, ref_of, b)};
}

sw_part_id sw_builder_find_part(const sw_builder *b, const char *ref) {
    return swi_builder_find_part(b, ref, strlen(ref));
}

static bool room_for_part(sw_builder *b, sw_span span) {
    if (b->part_count >= b->most->parts)
        over_limit(b, SW_D_LIMIT_PARTS, span, b->most->parts, "parts");
    else if (!SWI_GROW(b->parts, b->part_room, b->part_count + 1))
        swi_builder_out(b);
    return !b->failed;
}

static void report_doubled_part(sw_builder *b, const sw_part *first, const char *ref,
                                size_t length, sw_span span) {
    sw_place place;
    if (sw_diags_place(b->diags, first->span, &place))
        sw_diag_add(b->diags, SW_D_PART_DOUBLED, span,
                    "%.*s is there already (%s, line %u): give one of the two another reference",
                    (int)length, ref, place.name, place.line);
    else
        sw_diag_add(b->diags, SW_D_PART_DOUBLED, span,
                    "%.*s is there already: give one of the two another reference", (int)length,
                    ref);
}

sw_part_id swi_builder_part(sw_builder *b, const char *ref, size_t length, char kind,
                            sw_span span) {
    if (b->failed)
        return no_part;
    uint32_t slot, hash = swi_names_hash(&b->parts_by_ref, ref, length);
    uint32_t there = swi_names_find_hashed(&b->parts_by_ref, hash, ref, length, ref_of, b, &slot);
    if (there != SW_NONE) {
        report_doubled_part(b, &b->parts[there], ref, length, span);
        return no_part;
    }
    if (!room_for_part(b, span))
        return no_part;
    uint32_t id = (uint32_t)b->part_count;
    b->parts[id] = (sw_part){.ref = keep_name(b, ref, length), .value = "", .device = "",
                             .package = "", .path = "", .kind = kind, .span = span};
    if (!b->failed && !swi_names_add_at(&b->parts_by_ref, slot, hash, id))
        swi_builder_out(b);
    if (b->failed)
        return no_part;
    b->part_count++;
    return (sw_part_id){id};
}

sw_part_id sw_builder_part(sw_builder *b, const char *ref, char kind, sw_span span) {
    return swi_builder_part(b, ref, strlen(ref), kind, span);
}

sw_part *sw_builder_part_at(sw_builder *b, sw_part_id part) {
    if (part.i < b->part_count)
        return &b->parts[part.i];
    b->no_part = (sw_part){.ref = "", .value = "", .device = "", .package = "", .path = "",
                           .kind = '?'};
    return &b->no_part;
}

/* ---- nodes ---- */

static const sw_node_id no_node = {SW_NONE};

/* Path halving: every second node on the way up is hung one higher (Tarjan and
 * van Leeuwen 1984), so joins cost next to nothing in any order. */
uint32_t swi_builder_root(const sw_builder *b, uint32_t node) {
    uint32_t *up = b->up;
    while (up[node] != node) {
        up[node] = up[up[node]];
        node = up[node];
    }
    return node;
}

static bool room_for_node(sw_builder *b, sw_span span) {
    if (b->node_count >= b->most->nodes)
        over_limit(b, SW_D_LIMIT_NODES, span, b->most->nodes, "nodes");
    else if (!SWI_GROW(b->nodes, b->node_room, b->node_count + 1) ||
             !SWI_GROW(b->up, b->up_room, b->node_count + 1))
        swi_builder_out(b);
    return !b->failed;
}

static sw_node_id new_node(sw_builder *b, const char *name, size_t length, sw_span span) {
    if (!room_for_node(b, span))
        return no_node;
    uint32_t id = (uint32_t)b->node_count;
    b->nodes[id] = (sw_node){.name = keep_name(b, name, length), .rail_why = "",
                             .named = length > 0, .span = span};
    b->up[id] = id;
    if (b->failed)
        return no_node;
    b->node_count++;
    return (sw_node_id){id};
}

/* By a name's exact spelling when it is not the first of those that differ in case. */
static uint32_t find_exact(const sw_builder *b, const char *name, size_t length) {
    const swi_names *names = &b->nodes_by_exact_name;
    return names->count ? swi_names_find(names, name, length, node_name_of, b) : SW_NONE;
}

sw_node_id swi_builder_find_node(const sw_builder *b, const char *name, size_t length,
                                 bool fold) {
    uint32_t there = find_exact(b, name, length);
    uint32_t first = swi_names_find(&b->nodes_by_name, name, length, node_name_of, b);
    if (there == SW_NONE && first != SW_NONE &&
        (fold || memcmp(b->nodes[first].name, name, length) == 0))
        there = first;
    return there == SW_NONE ? no_node : (sw_node_id){swi_builder_root(b, there)};
}

sw_node_id swi_builder_node(sw_builder *b, const char *name, size_t length, bool fold,
                            sw_span span) {
    if (b->failed)
        return no_node;
    const swi_names *names = &b->nodes_by_name;
    uint32_t slot, hash = swi_names_hash(names, name, length);
    uint32_t first = swi_names_find_hashed(names, hash, name, length, node_name_of, b, &slot);
    uint32_t there = find_exact(b, name, length);
    if (there == SW_NONE && first != SW_NONE &&
        (fold || memcmp(b->nodes[first].name, name, length) == 0))
        there = first;
    if (there != SW_NONE)
        return (sw_node_id){swi_builder_root(b, there)};
    sw_node_id id = new_node(b, name, length, span);
    if (id.i == SW_NONE)
        return id;
    bool added = first == SW_NONE
                     ? swi_names_add_at(&b->nodes_by_name, slot, hash, id.i)
                     : swi_names_add(&b->nodes_by_exact_name, id.i, node_name_of, b);
    if (added)
        return id;
    swi_builder_out(b);
    return no_node;
}

sw_node_id sw_builder_node(sw_builder *b, const char *name, bool fold, sw_span span) {
    return swi_builder_node(b, name, strlen(name), fold, span);
}

sw_node_id sw_builder_lone_node(sw_builder *b, sw_span span) {
    return b->failed ? no_node : new_node(b, "", 0, span);
}

sw_node *sw_builder_node_at(sw_builder *b, sw_node_id node) {
    if (node.i < b->node_count)
        return &b->nodes[swi_builder_root(b, node.i)];
    b->no_node = (sw_node){.name = "", .rail_why = ""};
    return &b->no_node;
}

/* The name that is left over stays in the index: both find the one node. */
void sw_builder_join(sw_builder *b, sw_node_id a, sw_node_id c) {
    if (b->failed || a.i >= b->node_count || c.i >= b->node_count)
        return;
    uint32_t keep = swi_builder_root(b, a.i), gone = swi_builder_root(b, c.i);
    if (keep == gone)
        return;
    sw_node *to = &b->nodes[keep];
    const sw_node *from = &b->nodes[gone];
    if (!to->named && from->named) {
        to->name = from->name;
        to->named = true;
        to->span = from->span;
    }
    to->global |= from->global;
    if (to->rail == SW_RAIL_NONE) {
        to->rail = from->rail;
        to->rail_why = from->rail_why;
    }
    b->up[gone] = keep;
    b->joined = true;
}

/* ---- pins ---- */

static bool room_for_pin(sw_builder *b, const sw_part *part, sw_span span) {
    if (part->pin_count >= b->most->pins_per_part)
        over_limit(b, SW_D_LIMIT_PINS, span, b->most->pins_per_part, "pins on one part");
    else if (b->pin_count >= SW_NONE - 1 || !SWI_GROW(b->pins, b->pin_room, b->pin_count + 1))
        swi_builder_out(b);
    return !b->failed;
}

sw_pin_id swi_builder_pin(sw_builder *b, sw_part_id part, const char *number, const char *name,
                          sw_node_id node, sw_span span) {
    sw_pin_id none = {SW_NONE};
    if (b->failed || part.i >= b->part_count || node.i >= b->node_count ||
        !room_for_pin(b, &b->parts[part.i], span))
        return none;
    b->mixed |= b->pin_count && part.i < b->pins[b->pin_count - 1].part.i;
    b->parts[part.i].pin_count++;
    b->nodes[node.i].pin_count++;
    b->pins[b->pin_count] = (sw_pin){.number = number, .name = name, .part = part, .node = node,
                                     .type = SW_PIN_UNKNOWN, .span = span};
    return (sw_pin_id){(uint32_t)b->pin_count++};
}

sw_pin_id sw_builder_pin(sw_builder *b, sw_part_id part, const char *number, const char *name,
                         sw_node_id node, sw_span span) {
    const char *kept_number = copy_text(b, number), *kept_name = copy_text(b, name);
    return swi_builder_pin(b, part, kept_number, kept_name, node, span);
}

sw_pin *sw_builder_pin_at(sw_builder *b, sw_pin_id pin) {
    if (pin.i < b->pin_count)
        return &b->pins[pin.i];
    b->no_pin = (sw_pin){.number = "", .name = "", .part = {SW_NONE}, .node = {SW_NONE}};
    return &b->no_pin;
}

/* ---- what a format carries beside parts and nodes ---- */

void sw_builder_model(sw_builder *b, const sw_model *model) {
    if (b->failed)
        return;
    if (!SWI_GROW(b->models, b->model_room, b->model_count + 1)) {
        swi_builder_out(b);
        return;
    }
    b->models[b->model_count++] = (sw_model){
        .name = copy_text(b, model->name), .type = copy_text(b, model->type),
        .text = copy_text(b, model->text), .path = copy_text(b, model->path),
        .span = model->span};
}

void sw_builder_property(sw_builder *b, sw_owner owner, uint32_t index, const char *key,
                         const char *value, sw_span span) {
    if (b->failed)
        return;
    if (!SWI_GROW(b->properties, b->property_room, b->property_count + 1)) {
        swi_builder_out(b);
        return;
    }
    b->properties[b->property_count++] = (sw_property){
        .owner = owner, .index = index, .key = copy_text(b, key), .value = copy_text(b, value),
        .span = span};
}

void sw_builder_row(sw_builder *b, const sw_row *row) {
    if (b->failed)
        return;
    if (!SWI_GROW(b->rows, b->row_room, b->row_count + 1)) {
        swi_builder_out(b);
        return;
    }
    b->rows[b->row_count++] = (sw_row){
        .name = copy_text(b, row->name), .ref = copy_text(b, row->ref),
        .device = copy_text(b, row->device), .package = copy_text(b, row->package),
        .unit = copy_text(b, row->unit), .pins = copy_text(b, row->pins),
        .supply = copy_text(b, row->supply), .value = copy_text(b, row->value),
        .place = copy_text(b, row->place), .omit = copy_text(b, row->omit),
        .note = copy_text(b, row->note), .path = copy_text(b, row->path), .span = row->span};
}
