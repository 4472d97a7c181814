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

static void over_limit(sw_builder *b, sw_diag_id id, sw_span span, uint32_t most, const char *what) {
    if (!b->failed)
        sw_diag_add(b->diags, id, span,
                    "more than %u %s: split the circuit or raise the limit", most, what);
    b->failed = true;
}

const char *sw_builder_text(sw_builder *b, const char *text, size_t length) {
    if (b->failed || !text || length == 0)
        return "";
    const char *kept = swi_intern(b->text, text, length);
    if (!kept)
        swi_builder_out(b);
    return kept ? kept : "";
}

static const char *copy_text(sw_builder *b, const char *text) {
    return text ? sw_builder_text(b, text, strlen(text)) : "";
}

/* A name that is in an index of its own, so that it need not be interned as well. */
static const char *keep_name(sw_builder *b, const char *name) {
    const char *kept = *name ? swi_arena_text(b->arena, name, strlen(name)) : "";
    if (!kept)
        swi_builder_out(b);
    return kept ? kept : "";
}

void sw_builder_title(sw_builder *b, const char *title) {
    b->title = copy_text(b, title);
}

/* ---- parts ---- */

static const sw_part_id no_part = {SW_NONE};

sw_part_id sw_builder_find_part(const sw_builder *b, const char *ref) {
    return (sw_part_id){swi_names_find(&b->parts_by_ref, ref, strlen(ref), ref_of, b)};
}

static bool room_for_part(sw_builder *b, sw_span span) {
    uint32_t most = sw_diags_limits(b->diags)->parts;
    if (b->part_count >= most)
        over_limit(b, SW_D_LIMIT_PARTS, span, most, "parts");
    else if (!SWI_GROW(b->parts, b->part_room, b->part_count + 1))
        swi_builder_out(b);
    return !b->failed;
}

static void report_doubled_part(sw_builder *b, const sw_part *first, const char *ref,
                                sw_span span) {
    sw_place place;
    if (sw_diags_place(b->diags, first->span, &place))
        sw_diag_add(b->diags, SW_D_PART_DOUBLED, span,
                    "%s is there already (%s, line %u): give one of the two another reference",
                    ref, place.name, place.line);
    else
        sw_diag_add(b->diags, SW_D_PART_DOUBLED, span,
                    "%s is there already: give one of the two another reference", ref);
}

sw_part_id sw_builder_part(sw_builder *b, const char *ref, char kind, sw_span span) {
    if (b->failed)
        return no_part;
    sw_part_id there = sw_builder_find_part(b, ref);
    if (there.i != SW_NONE) {
        report_doubled_part(b, &b->parts[there.i], ref, span);
        return no_part;
    }
    if (!room_for_part(b, span))
        return no_part;
    sw_part part = {.value = "", .device = "", .package = "", .path = "",
                    .kind = kind, .span = span};
    part.ref = keep_name(b, ref);
    uint32_t id = (uint32_t)b->part_count;
    b->parts[id] = part;
    if (!b->failed && !swi_names_add(&b->parts_by_ref, id, ref_of, b))
        swi_builder_out(b);
    if (b->failed)
        return no_part;
    b->part_count++;
    return (sw_part_id){id};
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

static sw_node_id new_node(sw_builder *b, const char *name, sw_span span) {
    uint32_t most = sw_diags_limits(b->diags)->nodes;
    if (b->node_count >= most)
        over_limit(b, SW_D_LIMIT_NODES, span, most, "nodes");
    else if (!SWI_GROW(b->nodes, b->node_room, b->node_count + 1) ||
             !SWI_GROW(b->up, b->up_room, b->node_count + 1))
        swi_builder_out(b);
    if (b->failed)
        return no_node;
    uint32_t id = (uint32_t)b->node_count;
    const char *kept = keep_name(b, name);
    b->nodes[id] = (sw_node){.name = kept, .rail_why = "", .named = *name != '\0', .span = span};
    b->up[id] = id;
    if (b->failed)
        return no_node;
    b->node_count++;
    return (sw_node_id){id};
}

static uint32_t find_node(const sw_builder *b, const char *name, bool fold) {
    uint32_t exact = swi_names_find(&b->nodes_by_exact_name, name, strlen(name), node_name_of, b);
    if (exact != SW_NONE)
        return exact;
    uint32_t first = swi_names_find(&b->nodes_by_name, name, strlen(name), node_name_of, b);
    if (first == SW_NONE || fold || strcmp(b->nodes[first].name, name) == 0)
        return first;
    return SW_NONE;
}

sw_node_id sw_builder_node(sw_builder *b, const char *name, bool fold, sw_span span) {
    if (b->failed)
        return no_node;
    uint32_t there = find_node(b, name, fold);
    if (there != SW_NONE)
        return (sw_node_id){swi_builder_root(b, there)};
    sw_node_id id = new_node(b, name, span);
    if (id.i == SW_NONE)
        return id;
    /* Without regard to case it was not there: then it is the first of its spelling. */
    bool first = fold || swi_names_find(&b->nodes_by_name, name, strlen(name), node_name_of, b) ==
                             SW_NONE;
    if (!swi_names_add(first ? &b->nodes_by_name : &b->nodes_by_exact_name, id.i,
                       node_name_of, b)) {
        swi_builder_out(b);
        return no_node;
    }
    return id;
}

sw_node_id sw_builder_lone_node(sw_builder *b, sw_span span) {
    return b->failed ? no_node : new_node(b, "", span);
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
}

/* ---- pins ---- */

sw_pin_id sw_builder_pin(sw_builder *b, sw_part_id part, const char *number, const char *name,
                         sw_node_id node, sw_span span) {
    sw_pin_id none = {SW_NONE};
    if (b->failed || part.i >= b->part_count || node.i >= b->node_count)
        return none;
    uint32_t most = sw_diags_limits(b->diags)->pins_per_part;
    if (b->parts[part.i].pin_count >= most)
        over_limit(b, SW_D_LIMIT_PINS, span, most, "pins on one part");
    else if (b->pin_count >= SW_NONE - 1 || !SWI_GROW(b->pins, b->pin_room, b->pin_count + 1))
        swi_builder_out(b);
    if (b->failed)
        return none;
    sw_pin pin = {.part = part, .node = node, .type = SW_PIN_UNKNOWN, .span = span};
    pin.number = copy_text(b, number);
    pin.name = copy_text(b, name);
    if (b->failed)
        return none;
    b->parts[part.i].pin_count++;
    b->pins[b->pin_count] = pin;
    return (sw_pin_id){(uint32_t)b->pin_count++};
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
