/* The circuit as JSON. */
#include "formats/json/json.h"

#include "circuit/order.h"

typedef struct circuit_writer {
    swi_json *j;
    const sw_circuit *c;
    swi_order order;
} circuit_writer;

/* A list, not an object: a key may be there twice. */
static void put_properties(circuit_writer *w, json_object *in, sw_owner owner, uint32_t index) {
    uint32_t count;
    const sw_property *const *list = swi_order_properties(&w->order, owner, index, &count);
    json_object *array = count ? swi_json_array(w->j, in, "properties") : NULL;
    for (uint32_t i = 0; i < count; i++) {
        json_object *property = swi_json_object(w->j, array, NULL);
        swi_json_text(w->j, property, "key", list[i]->key);
        swi_json_text(w->j, property, "value", list[i]->value);
    }
}

static void put_pin(circuit_writer *w, json_object *pins, uint32_t index) {
    const sw_pin *pin = &w->c->pins[index];
    const sw_node *node = &w->c->nodes[pin->node.i];
    json_object *object = swi_json_object(w->j, pins, NULL);
    swi_json_text(w->j, object, "number", pin->number);
    swi_json_text_if(w->j, object, "name", pin->name);
    if (pin->type != SW_PIN_UNKNOWN)
        swi_json_text(w->j, object, "type", sw_pin_type_name(pin->type));
    swi_json_text(w->j, object, "node", node->name);
    put_properties(w, object, SW_OWNER_PIN, index);
}

static void put_part(circuit_writer *w, json_object *parts, uint32_t index) {
    const sw_part *part = &w->c->parts[index];
    json_object *object = swi_json_object(w->j, parts, NULL);
    swi_json_text(w->j, object, "ref", part->ref);
    swi_json_text(w->j, object, "kind", (const char[2]){part->kind, '\0'});
    swi_json_text(w->j, object, "value", part->value);
    swi_json_text(w->j, object, "device", part->device);
    swi_json_text(w->j, object, "package", part->package);
    swi_json_text_if(w->j, object, "path", part->path);
    swi_json_flag_if(w->j, object, "terminal", part->terminal);
    swi_json_flag_if(w->j, object, "polarised", part->polarised);
    swi_json_flag_if(w->j, object, "flat", part->flat);
    put_properties(w, object, SW_OWNER_PART, index);
    json_object *pins = swi_json_array(w->j, object, "pins");
    for (uint32_t k = 0; k < part->pin_count; k++)
        put_pin(w, pins, w->order.part_pins[part->first_pin.i + k].i);
}

static void put_node(circuit_writer *w, json_object *nodes, uint32_t index) {
    const sw_node *node = &w->c->nodes[index];
    json_object *object = swi_json_object(w->j, nodes, NULL);
    if (node->number)
        swi_json_whole(w->j, object, "number", node->number);
    swi_json_text(w->j, object, "name", node->name);
    swi_json_flag(w->j, object, "named", node->named);
    swi_json_rail(w->j, object, node->rail);
    swi_json_text_if(w->j, object, "rail_why", node->rail_why);
    swi_json_flag_if(w->j, object, "global", node->global);
    put_properties(w, object, SW_OWNER_NODE, index);
    json_object *pins = swi_json_array(w->j, object, "pins");
    for (uint32_t k = 0; k < node->pin_count; k++) {
        const sw_pin *pin = &w->c->pins[w->order.node_pins[node->first_pin + k].i];
        json_object *one = swi_json_object(w->j, pins, NULL);
        swi_json_text(w->j, one, "ref", w->c->parts[pin->part.i].ref);
        swi_json_text(w->j, one, "pin", pin->number);
    }
}

static void put_models(circuit_writer *w, json_object *in) {
    json_object *models = swi_json_array(w->j, in, "models");
    for (uint32_t i = 0; i < w->c->model_count; i++) {
        const sw_model *model = &w->c->models[i];
        json_object *object = swi_json_object(w->j, models, NULL);
        swi_json_text(w->j, object, "name", model->name);
        swi_json_text(w->j, object, "type", model->type);
        swi_json_text_if(w->j, object, "path", model->path);
        swi_json_text_if(w->j, object, "text", model->text);
    }
}

static void put_rows(circuit_writer *w, json_object *in) {
    json_object *rows = swi_json_array(w->j, in, "rows");
    for (uint32_t i = 0; i < w->c->row_count; i++) {
        const sw_row *row = &w->c->rows[i];
        json_object *object = swi_json_object(w->j, rows, NULL);
        swi_json_text(w->j, object, "name", row->name);
        swi_json_text_if(w->j, object, "ref", row->ref);
        swi_json_text_if(w->j, object, "device", row->device);
        swi_json_text_if(w->j, object, "package", row->package);
        swi_json_text_if(w->j, object, "unit", row->unit);
        swi_json_text_if(w->j, object, "pins", row->pins);
        swi_json_text_if(w->j, object, "supply", row->supply);
        swi_json_text_if(w->j, object, "value", row->value);
        swi_json_text_if(w->j, object, "place", row->place);
        swi_json_text_if(w->j, object, "omit", row->omit);
        swi_json_text_if(w->j, object, "path", row->path);
    }
}

void swi_json_circuit(swi_json *j, json_object *root) {
    circuit_writer w = {.j = j, .c = j->document->circuit};
    if (!swi_order_work_out(&w.order, w.c)) {
        swi_order_free(&w.order);
        j->failed = true;
        return;
    }
    json_object *circuit = swi_json_object(j, root, "circuit");
    swi_json_text(j, circuit, "title", w.c->title);
    swi_json_text(j, circuit, "stage", w.c->stage == SW_STAGE_FITTED ? "fitted" : "netlist");
    put_properties(&w, circuit, SW_OWNER_CIRCUIT, 0);
    json_object *parts = swi_json_array(j, circuit, "parts");
    for (uint32_t i = 0; i < w.c->part_count; i++)
        put_part(&w, parts, w.order.parts[i].i);
    json_object *nodes = swi_json_array(j, circuit, "nodes");
    for (uint32_t i = 0; i < w.c->node_count; i++)
        put_node(&w, nodes, w.order.nodes[i].i);
    put_models(&w, circuit);
    put_rows(&w, circuit);
    swi_order_free(&w.order);
}
