/* Instances become parts: references, gates of one package, pins and their numbers. */
#include "formats/edif/edif_flat.h"

#include "circuit/circuit.h"

#include <string.h>

static const char *text_or(const char *text, const char *otherwise) {
    return text && *text ? text : otherwise;
}

static void hear(swi_flat *f, uint32_t list) {
    for (; list != SWI_EDIF_NONE; list = f->e->properties[list].next) {
        const swi_edif_property *property = &f->e->properties[list];
        if (property->meaning != SWI_M_NOTHING && !f->said[property->meaning])
            f->said[property->meaning] = property->value;
    }
}

/* What an instance says, else its view, else its cell. */
static void hear_instance(swi_flat *f, const swi_edif_instance *instance) {
    const swi_edif *e = f->e;
    memset(f->said, 0, sizeof f->said);
    hear(f, instance->properties);
    if (instance->off_page)
        return;
    hear(f, e->views[instance->view].properties);
    hear(f, e->cells[e->views[instance->view].cell].properties);
}

const char *swi_flat_ref(swi_flat *f, const swi_edif_instance *instance) {
    const char *property = swi_edif_said(f->e, instance->properties, SWI_M_REF);
    return text_or(instance->designator, text_or(property, instance->name.display));
}

/* ---- what portInstances say, by bit of the instance's view ---- */

/* The element that a portInstance speaks of, the first of a whole port. */
static uint32_t element_of(const swi_edif *e, const swi_edif_pin *pin, const swi_edif_port *port) {
    return pin->index == SWI_EDIF_NONE ? 0
                                       : swi_edif_member(e, pin->index, port->shape, port->width);
}

static bool fill_by_bit(swi_flat *f, const swi_edif_instance *instance) {
    swi_edif *e = f->e;
    uint32_t bits = instance->off_page ? 1 : e->views[instance->view].bits;
    if (!SWI_GROW(f->by_bit, f->by_bit_room, (size_t)bits + 1))
        return swi_edif_out(e);
    for (uint32_t i = 0; i < bits; i++)
        f->by_bit[i] = NULL;
    for (uint32_t p = instance->pins; p != SWI_EDIF_NONE; p = e->pins[p].next) {
        const swi_edif_pin *pin = &e->pins[p];
        uint32_t port = instance->off_page || !pin->port
                            ? SWI_EDIF_NONE
                            : swi_edif_find(e, SWI_S_PORT, instance->view, pin->port);
        uint32_t element = port == SWI_EDIF_NONE ? 0 : element_of(e, pin, &e->ports[port]);
        if (port != SWI_EDIF_NONE && element != SWI_EDIF_NONE)
            f->by_bit[e->ports[port].first_bit + element] = pin;
        else
            sw_diag_add(e->diags, SW_D_EDIF_REFERENCE, swi_edif_at(e, pin->offset, 1),
                        "the cell of %s has no such port", instance->name.display);
    }
    return true;
}

static bool all_designated(const swi_flat *f, uint32_t bits) {
    for (uint32_t i = 0; i < bits; i++)
        if (!f->by_bit[i] || !f->by_bit[i]->designator)
            return false;
    return bits > 0;
}

static bool is_number(const char *text) {
    return swi_is_digit(*text) && !text[strspn(text, "0123456789")];
}

/* Whether each pin has a number of the package. */
static bool all_numbered(const swi_flat *f, const swi_edif_instance *instance) {
    const swi_edif *e = f->e;
    const swi_edif_view *view = &e->views[instance->view];
    for (uint32_t i = 0; i < view->port_count; i++) {
        const swi_edif_port *port = &e->ports[view->first_port + i];
        for (uint32_t k = 0; k < port->width; k++) {
            const swi_edif_pin *pin = f->by_bit[port->first_bit + k];
            if (!(pin && pin->designator) && !port->designator && !is_number(port->name.display))
                return false;
        }
    }
    return true;
}

/* ---- gates ---- */

size_t swi_flat_gate_base(const char *ref) {
    size_t length = strlen(ref);
    bool letter = length > 2 && swi_is_alpha(ref[length - 1]) && swi_is_digit(ref[length - 2]) &&
                  swi_is_alpha(ref[0]);
    return letter ? length - 1 : 0;
}

static const char *base_text(swi_flat *f, const char *ref) {
    return sw_builder_text(f->e->builder, ref, swi_flat_gate_base(ref));
}

enum { FIRST_GATE = 'g', PACKAGE_OF_GATES = 'h' };

/* Whether two instances of one cell have their ports on different pins; by_bit is
 * the second one's. */
static bool pins_differ(const swi_flat *f, const swi_edif_instance *first) {
    swi_edif *e = f->e;
    for (uint32_t p = first->pins; p != SWI_EDIF_NONE; p = e->pins[p].next) {
        const swi_edif_pin *pin = &e->pins[p];
        uint32_t port = swi_edif_find(e, SWI_S_PORT, first->view, pin->port);
        uint32_t element = port == SWI_EDIF_NONE ? 0 : element_of(e, pin, &e->ports[port]);
        if (port == SWI_EDIF_NONE || element == SWI_EDIF_NONE)
            continue;
        const swi_edif_pin *other = f->by_bit[e->ports[port].first_bit + element];
        if (strcmp(pin->designator, other->designator) != 0)
            return true;
    }
    return false;
}

/* One instance that might be a gate: is there another of its package before it? */
static void see_gate(swi_flat *f, uint32_t view, uint32_t index, const char *ref) {
    swi_edif *e = f->e;
    const swi_edif_instance *instance = &e->instances[index];
    const char *base = base_text(f, ref);
    uint32_t first = swi_edif_define(e, (swi_edif_scope)FIRST_GATE, view, base, index);
    if (first == index || e->instances[first].view != instance->view ||
        swi_edif_find(e, (swi_edif_scope)PACKAGE_OF_GATES, view, base) != SWI_EDIF_NONE ||
        !pins_differ(f, &e->instances[first]))
        return;
    swi_edif_define(e, (swi_edif_scope)PACKAGE_OF_GATES, view, base, index);
    sw_diag_add(e->diags, SW_D_EDIF_GATES,
                swi_edif_at(e, instance->name.offset, strlen(instance->name.ident)),
                "%s and %s are of one cell and on different pins: they are taken as gates of %s",
                swi_flat_ref(f, &e->instances[first]), ref, base);
}

/* U1A and U1B are gates of U1 when they are of one cell and each has the numbers of
 * its own pins: that is how packaged gates are written. */
void swi_flat_gates(swi_flat *f, uint32_t view_index) {
    swi_edif *e = f->e;
    const swi_edif_view *view = &e->views[view_index];
    for (uint32_t i = 0; i < view->instance_count && !e->failed; i++) {
        uint32_t index = view->first_instance + i;
        const swi_edif_instance *instance = &e->instances[index];
        const char *ref = swi_flat_ref(f, instance);
        if (!instance->off_page && instance->pins != SWI_EDIF_NONE && swi_flat_gate_base(ref) &&
            fill_by_bit(f, instance) && all_designated(f, e->views[instance->view].bits))
            see_gate(f, view_index, index, ref);
    }
}

typedef struct naming {
    const char *ref, *unit; /* unit: "" or the gate's letter, for a fitting row */
    bool merge;             /* into a part of this reference that may be there */
} naming;

static naming name_part(swi_flat *f, const swi_level *level, const swi_edif_instance *instance) {
    const char *ref = swi_flat_ref(f, instance);
    if (instance->off_page)
        return (naming){ref, "", true};
    const char *gate = text_or(f->said[SWI_M_GATE], "");
    size_t base = swi_flat_gate_base(ref);
    bool numbered = all_numbered(f, instance);
    if (!*gate) {
        bool packaged = base && swi_edif_find(f->e, (swi_edif_scope)PACKAGE_OF_GATES, level->view,
                                              base_text(f, ref)) != SWI_EDIF_NONE;
        return (naming){packaged ? base_text(f, ref) : ref, "", numbered};
    }
    if (base && swi_equal_fold(ref + base, gate))
        ref = base_text(f, ref);
    return (naming){ref, numbered ? "" : gate, numbered};
}

/* A gate whose pins have functions only: the fit gives it its place in the device. */
static void add_row(swi_flat *f, const char *name, const char *ref, const char *unit,
                    sw_span span) {
    sw_row row = {.name = name, .ref = ref, .unit = unit, .span = span};
    sw_builder_row(f->e->builder, &row);
}

/* ---- the part ---- */

static void set_flags(sw_part *part, const char *flags) {
    for (size_t length; *flags; flags += length + strspn(flags + length, " ")) {
        length = strcspn(flags, " ");
        swi_part_flag_read(part, flags, length);
    }
}

static const char *kept(swi_flat *f, const char *text) {
    return text ? sw_builder_text(f->e->builder, text, strlen(text)) : "";
}

static void describe(swi_flat *f, sw_part *part, const swi_level *level,
                     const swi_edif_instance *instance) {
    const swi_edif *e = f->e;
    const char *kind = f->said[SWI_M_KIND];
    const char *device = f->said[SWI_M_DEVICE];
    const char *path = f->said[SWI_M_PATH];
    if (!device && !instance->off_page)
        device = e->cells[e->views[instance->view].cell].name.display;
    part->kind = kind && *kind && !kind[1] ? *kind : instance->off_page ? 'N'
                                                                        : sw_ref_kind(part->ref);
    part->value = kept(f, f->said[SWI_M_VALUE]);
    part->device = kept(f, device);
    part->package = kept(f, f->said[SWI_M_PACKAGE]);
    part->path = path ? kept(f, path) : level->path;
    set_flags(part, text_or(f->said[SWI_M_FLAGS], ""));
}

/* The builder's text of a port that is no array: all its instances share it. */
static const char *port_text(swi_flat *f, swi_edif_port *port) {
    const char *name = *port->name.display ? port->name.display : port->name.ident;
    if (!port->kept)
        port->kept = kept(f, name);
    return port->kept;
}

static sw_pin_id new_pin(swi_flat *f, sw_part_id part, swi_edif_port *port, uint32_t element,
                         const char *number, sw_node_id node, sw_span span) {
    sw_builder *builder = f->e->builder;
    if (!number && port->shape == SWI_EDIF_NONE)
        return swi_builder_pin(builder, part, port_text(f, port), "", node, span);
    const char *name = swi_flat_name(f, "", port->name.display, port->shape, element);
    if (!*name)
        name = port->name.ident;
    return sw_builder_pin(builder, part, number ? number : name, number ? name : "", node, span);
}

static void add_pin(swi_flat *f, sw_part_id part, const swi_edif_instance *instance,
                    swi_edif_port *port, uint32_t element, sw_node_id node) {
    swi_edif *e = f->e;
    const swi_edif_pin *more = f->by_bit[port->first_bit + element];
    const char *number = more && more->designator           ? more->designator
                         : port->designator && port->shape == SWI_EDIF_NONE ? port->designator
                                                            : NULL;
    uint32_t offset = more ? more->offset : instance->name.offset;
    sw_span span = swi_edif_at(e, offset, more ? 1 : strlen(instance->name.ident));
    if (node.i == SW_NONE)
        node = sw_builder_lone_node(e->builder, span);
    sw_pin_id id = new_pin(f, part, port, element, number, node, span);
    sw_pin *pin = sw_builder_pin_at(e->builder, id);
    const char *type = swi_edif_said(e, port->properties, SWI_M_PIN_TYPE);
    pin->type = port->type;
    if (type)
        sw_pin_type_read(type, strlen(type), &pin->type);
    if (id.i == SW_NONE)
        return;
    uint32_t own = more ? more->properties : SWI_EDIF_NONE;
    swi_edif_keep(e, own, SW_OWNER_PIN, id.i);
    swi_edif_inherit(e, port->properties, own, SWI_EDIF_NONE, SW_OWNER_PIN, id.i);
}

static void add_pins(swi_flat *f, sw_part_id part, const swi_edif_instance *instance,
                     const sw_node_id *nodes) {
    const swi_edif *e = f->e;
    const swi_edif_view *view = &e->views[instance->view];
    for (uint32_t i = 0; i < view->port_count && !e->failed; i++) {
        swi_edif_port *port = &e->ports[view->first_port + i];
        for (uint32_t k = 0; k < port->width; k++)
            add_pin(f, part, instance, port, k, nodes[port->first_bit + k]);
    }
}

static void add_off_page_pin(swi_flat *f, sw_part_id part, const swi_edif_instance *instance,
                             sw_node_id node) {
    sw_span span = swi_edif_at(f->e, instance->name.offset, 1);
    if (node.i == SW_NONE)
        node = sw_builder_lone_node(f->e->builder, span);
    sw_builder_pin(f->e->builder, part, "1", "", node, span);
}

/* ---- constants of logic ---- */

/* Writers of logic have cells VCC and GND with one output: no parts, but what makes
 * their net a rail. */
static sw_rail constant_of(const swi_edif *e, const swi_edif_instance *instance) {
    static const struct { const char *cell; sw_rail rail; } cells[] = {
        {"VCC", SW_RAIL_POSITIVE}, {"VDD", SW_RAIL_POSITIVE}, {"GND", SW_RAIL_GROUND},
        {"VSS", SW_RAIL_GROUND}};
    if (instance->off_page || instance->designator)
        return SW_RAIL_NONE;
    const swi_edif_view *view = &e->views[instance->view];
    if (view->bits != 1 || e->ports[view->first_port].type != SW_PIN_OUTPUT)
        return SW_RAIL_NONE;
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++)
        if (swi_equal_fold(e->cells[view->cell].name.display, cells[i].cell))
            return cells[i].rail;
    return SW_RAIL_NONE;
}

static bool take_constant(swi_flat *f, const swi_edif_instance *instance, sw_node_id node) {
    sw_rail rail = constant_of(f->e, instance);
    if (rail == SW_RAIL_NONE)
        return false;
    if (node.i == SW_NONE)
        return true;
    sw_node *made = sw_builder_node_at(f->e->builder, node);
    if (made->rail == SW_RAIL_NONE)
        made->rail = rail;
    sw_diag_add(f->e->diags, SW_D_EDIF_CONSTANT,
                swi_edif_at(f->e, instance->name.offset, strlen(instance->name.ident)),
                "%s is no part, but makes the node %s a %s rail: join that to the supply",
                instance->name.display, made->name, swi_rail_name(made->rail));
    return true;
}

/* ---- instances ---- */

/* What the view and the cell say of all their instances. */
static void inherit(swi_edif *e, const swi_edif_instance *instance, sw_part_id id) {
    const swi_edif_view *view = &e->views[instance->view];
    uint32_t own = instance->properties, of_cell = e->cells[view->cell].properties;
    swi_edif_inherit(e, view->properties, own, SWI_EDIF_NONE, SW_OWNER_PART, id.i);
    swi_edif_inherit(e, of_cell, own, view->properties, SW_OWNER_PART, id.i);
}

void swi_flat_part(swi_flat *f, const swi_level *level, const swi_edif_instance *instance,
                   uint32_t element, const sw_node_id *nodes) {
    swi_edif *e = f->e;
    if (take_constant(f, instance, nodes[0]) || !fill_by_bit(f, instance))
        return;
    hear_instance(f, instance);
    sw_span span = swi_edif_at(e, instance->name.offset, strlen(instance->name.ident));
    naming n = name_part(f, level, instance);
    const char *path = swi_flat_stands_alone(f, instance, n.ref) ? "" : level->path;
    const char *ref = swi_flat_name(f, path, n.ref, instance->shape, element);
    const char *name = ref;
    if (*n.unit) {
        f->scratch.length = 0;
        sw_buf_printf(&f->scratch, "%s%s", ref, n.unit);
        name = f->scratch.failed ? "" : kept(f, f->scratch.bytes);
        add_row(f, name, ref, n.unit, span);
    }
    sw_part_id there = n.merge ? sw_builder_find_part(e->builder, name) : (sw_part_id){SW_NONE};
    sw_part_id id = there.i != SW_NONE ? there : sw_builder_part(e->builder, name, '?', span);
    if (id.i == SW_NONE)
        return;
    if (there.i == SW_NONE)
        describe(f, sw_builder_part_at(e->builder, id), level, instance);
    swi_edif_keep(e, instance->properties, SW_OWNER_PART, id.i);
    if (there.i == SW_NONE && !instance->off_page)
        inherit(e, instance, id);
    if (instance->off_page)
        add_off_page_pin(f, id, instance, nodes[0]);
    else
        add_pins(f, id, instance, nodes);
}

void swi_flat_terminal(swi_flat *f, const swi_edif_port *port, uint32_t element,
                       sw_node_id node) {
    swi_edif *e = f->e;
    sw_span span = swi_edif_at(e, port->name.offset, strlen(port->name.ident));
    const char *name = swi_flat_name(f, "", port->name.display, port->shape, element);
    const char *ref = name;
    for (uint32_t copy = 2; sw_builder_find_part(e->builder, ref).i != SW_NONE && !e->failed;
         copy = copy == 2 ? port->first_bit + element + 3 : copy + 1) {
        f->scratch.length = 0;
        sw_buf_printf(&f->scratch, "%s~%u", name, copy);
        ref = f->scratch.failed ? "" : kept(f, f->scratch.bytes);
    }
    sw_part_id id = sw_builder_part(e->builder, ref, 'N', span);
    if (node.i == SW_NONE)
        node = sw_builder_lone_node(e->builder, span);
    sw_pin_id pin = sw_builder_pin(e->builder, id, "1", "", node, span);
    sw_builder_pin_at(e->builder, pin)->type = port->type;
    if (pin.i == SW_NONE)
        return;
    swi_edif_keep(e, port->properties, SW_OWNER_PIN, pin.i);
    if (port->designator)
        sw_builder_property(e->builder, SW_OWNER_PIN, pin.i, "designator", port->designator, span);
}

/* ---- what is not kept ---- */

static void lose(swi_flat *f, const char *name) {
    bool new = swi_edif_find(f->e, SWI_S_LOST, 0, name) == SWI_EDIF_NONE;
    if (!new)
        return;
    swi_edif_define(f->e, SWI_S_LOST, 0, name, 0);
    if (f->lost_count++ < 8)
        sw_buf_printf(&f->lost, "%s%s", f->lost_count > 1 ? ", " : "", name);
}

static void lose_properties(swi_flat *f, uint32_t list, bool of_instance) {
    for (; list != SWI_EDIF_NONE; list = f->e->properties[list].next)
        if (!of_instance || f->e->properties[list].meaning != SWI_M_REF)
            lose(f, f->e->properties[list].key);
}

void swi_flat_lose_cell(swi_flat *f, const swi_edif_instance *instance) {
    const swi_edif *e = f->e;
    const swi_edif_view *view = &e->views[instance->view];
    lose_properties(f, instance->properties, true);
    for (uint32_t p = instance->pins; p != SWI_EDIF_NONE; p = e->pins[p].next) {
        lose_properties(f, e->pins[p].properties, false);
        if (e->pins[p].designator)
            lose(f, "designator of a port");
    }
    lose_properties(f, view->properties, false);
    lose_properties(f, e->cells[view->cell].properties, false);
    for (uint32_t i = 0; i < view->port_count; i++)
        lose_properties(f, e->ports[view->first_port + i].properties, false);
}

void swi_flat_end(swi_flat *f) {
    if (f->lost_count > 8)
        sw_buf_printf(&f->lost, " and %u more", f->lost_count - 8);
    if (f->lost.failed)
        swi_edif_out(f->e);
    else if (f->lost_count)
        sw_diag_add(f->e->diags, SW_D_EDIF_NOT_KEPT, SW_NOWHERE,
                    "cells that are taken apart leave no part that could keep their properties, "
                    "their instances' and ports': %s", f->lost.bytes);
    sw_buf_free(&f->lost);
}
