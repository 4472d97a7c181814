/* The fitted circuit, from what was decided. */
#include "circuit/fit.h"

#include <stdlib.h>
#include <string.h>

typedef struct emitting {
    swi_fit *fit;
    sw_builder *b;
    sw_node_id *node_to; /* per node: in the builder */
    uint32_t *part_to;   /* per netlist part: in the builder, SW_NONE */
    uint32_t *first_pin; /* per netlist part: the first pin of that */
} emitting;

static const char *text_in(emitting *e, const char *text) {
    return sw_builder_text(e->b, text, strlen(text));
}

static void emit_node(emitting *e, uint32_t node) {
    const swi_fit *fit = e->fit;
    bool of_netlist = node < fit->netlist->node_count;
    const sw_node *from = of_netlist ? &fit->netlist->nodes[node] : NULL;
    sw_span span = from ? from->span : SW_NOWHERE;
    if (from && !from->named) {
        e->node_to[node] = sw_builder_lone_node(e->b, span);
    } else {
        e->node_to[node] = sw_builder_node(e->b, swi_fit_node_name(fit, node), false, span);
    }
    const sw_node *mark = &fit->marks[node];
    const char *why = text_in(e, mark->rail_why);
    sw_node *to = sw_builder_node_at(e->b, e->node_to[node]);
    to->rail = mark->rail;
    to->rail_why = why;
    to->volts = mark->volts;
    to->global = from && from->global;
}

/* Joined nodes come second, so that they find what they are joined to. */
static void emit_nodes(emitting *e) {
    for (uint32_t i = 0; i < e->fit->node_count; i++)
        if (swi_fit_node(e->fit, i) == i)
            emit_node(e, i);
    for (uint32_t i = 0; i < e->fit->node_count; i++) {
        uint32_t root = swi_fit_node(e->fit, i);
        if (root == i)
            continue;
        emit_node(e, i);
        sw_builder_join(e->b, e->node_to[root], e->node_to[i]);
    }
}

/* A pin on no node has one of its own, with the pins that its package joins to it.  first: the part's
 * first pin, others follow it. */
static sw_node_id lone_node(emitting *e, const sw_package *form, uint32_t index, sw_pin_id first, sw_span span) {
    for (uint32_t k = 0; form && form->joined && form->joined[index] && k < index; k++)
        if (form->joined[k] == form->joined[index])
            return sw_builder_pin_at(e->b, (sw_pin_id){first.i + k})->node;
    return sw_builder_lone_node(e->b, span);
}

static void emit_part(emitting *e, const swi_made *made) {
    const sw_part *from = &made->part;
    sw_part_id id = sw_builder_part(e->b, from->ref, from->kind, from->span);
    sw_part copy = *from;
    copy.value = text_in(e, from->value);
    copy.device = text_in(e, from->device);
    copy.package = text_in(e, from->package);
    copy.path = text_in(e, from->path);
    sw_part *to = sw_builder_part_at(e->b, id);
    copy.ref = to->ref;
    copy.first_pin = to->first_pin;
    copy.pin_count = to->pin_count;
    *to = copy;
    if (made->owner != SW_NONE)
        e->part_to[made->owner] = id.i;
    sw_pin_id first = {SW_NONE};
    for (uint32_t i = 0; i < from->pin_count; i++) {
        const swi_made_pin *pin = &e->fit->pins[from->first_pin.i + i];
        sw_node_id node = pin->node == SW_NONE ? lone_node(e, from->form, i, first, pin->span)
                                               : e->node_to[pin->node];
        sw_pin_id made_pin = sw_builder_pin(e->b, id, pin->number, pin->name, node, pin->span);
        sw_builder_pin_at(e->b, made_pin)->type = pin->type;
        if (i == 0)
            first = made_pin;
    }
    if (made->owner != SW_NONE && first.i != SW_NONE)
        e->first_pin[made->owner] = first.i;
}

/* Where a property's owner is now; SW_NONE: it is not on the board. */
static uint32_t owner_now(const emitting *e, const sw_property *p) {
    const swi_fit *fit = e->fit;
    switch (p->owner) {
    case SW_OWNER_CIRCUIT: return 0;
    case SW_OWNER_NODE: return e->node_to[p->index].i;
    case SW_OWNER_PART: return e->part_to[p->index];
    case SW_OWNER_PIN: {
        uint32_t part = fit->netlist->pins[p->index].part.i, pin = fit->pin_to[p->index];
        bool there = e->part_to[part] != SW_NONE && pin != SW_NONE;
        return there ? e->first_pin[part] + pin : SW_NONE;
    }
    }
    return SW_NONE;
}

/* What formats carry goes on with the circuit, its nodes, and the parts and pins that
 * are on the board; several lines of one part share it. */
static void emit_properties(emitting *e) {
    const sw_circuit *from = e->fit->netlist;
    for (uint32_t i = 0; i < from->part_count; i++) {
        uint32_t group = e->fit->members[i].group;
        uint32_t first = group != SW_NONE ? e->fit->groups[group].first : SW_NONE;
        if (first == SW_NONE)
            continue;
        e->part_to[i] = e->part_to[first];
        e->first_pin[i] = e->first_pin[first];
    }
    for (uint32_t i = 0; i < from->property_count; i++) {
        const sw_property *p = &from->properties[i];
        uint32_t index = owner_now(e, p);
        if (index != SW_NONE)
            sw_builder_property(e->b, p->owner, index, p->key, p->value, p->span);
    }
    for (uint32_t i = 0; i < from->model_count; i++)
        sw_builder_model(e->b, &from->models[i]);
}

static int by_ref(const void *left, const void *right) {
    const swi_made *a = left, *b = right;
    return swi_natural_compare(a->part.ref, b->part.ref);
}

sw_circuit *swi_fit_emit(swi_fit *fit) {
    emitting e = {.fit = fit, .b = sw_builder_new(SW_STAGE_FITTED, fit->diags)};
    e.node_to = swi_arena_array(fit->arena, (size_t)fit->node_count + 1, sizeof *e.node_to);
    e.part_to = swi_arena_array(fit->arena, (size_t)fit->netlist->part_count + 1,
                                sizeof *e.part_to);
    e.first_pin = swi_arena_array(fit->arena, (size_t)fit->netlist->part_count + 1,
                                  sizeof *e.first_pin);
    if (!e.b || !e.node_to || !e.part_to || !e.first_pin) {
        sw_builder_free(e.b);
        return NULL;
    }
    for (uint32_t i = 0; i < fit->netlist->part_count; i++)
        e.part_to[i] = SW_NONE;
    sw_builder_title(e.b, fit->netlist->title);
    emit_nodes(&e);
    if (fit->made_count)
        qsort(fit->made, fit->made_count, sizeof *fit->made, by_ref);
    for (size_t i = 0; i < fit->made_count; i++)
        emit_part(&e, &fit->made[i]);
    emit_properties(&e);
    return sw_builder_finish(e.b);
}
