/* The hierarchy laid flat: a stack of levels, one for each instance with contents
 * that is being gone through.  A level knows the nodes that its ports have outside. */
#include "formats/edif/edif_flat.h"

#include "base/num.h"
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

static const sw_node_id no_node = {SW_NONE};

static sw_node_id *new_nodes(swi_flat *f, uint32_t count) {
    uint32_t most = sw_diags_limits(f->e->diags)->nodes;
    if (f->live > most - count) {
        sw_diag_add(f->e->diags, SW_D_LIMIT_NODES, SW_NOWHERE,
                    "more than %u nodes within one another", most);
        return NULL;
    }
    sw_node_id *nodes = malloc(((size_t)count + 1) * sizeof *nodes);
    if (!nodes) {
        swi_edif_out(f->e);
        return NULL;
    }
    for (uint32_t i = 0; i <= count; i++)
        nodes[i] = no_node;
    f->live += count;
    return nodes;
}

/* ---- names ---- */

const char *swi_flat_name(swi_flat *f, const char *path, const char *display, uint32_t shape,
                          uint32_t element) {
    if (!*path && shape == SWI_EDIF_NONE)
        return display;
    f->scratch.length = 0;
    if (*path)
        sw_buf_printf(&f->scratch, "%s.", path);
    if (shape != SWI_EDIF_NONE)
        swi_edif_element(f->e, &f->scratch, display, shape, element);
    else
        sw_buf_puts(&f->scratch, display);
    if (f->scratch.failed)
        swi_edif_out(f->e);
    return f->scratch.failed
               ? ""
               : sw_builder_text(f->e->builder, f->scratch.bytes, f->scratch.length);
}

static bool is_taken(const swi_flat *f, const char *name) {
    return swi_builder_find_node(f->e->builder, name, strlen(name), false).i != SW_NONE;
}

/* Two nets of one name are two nodes: the second gets another name. */
static const char *free_name(swi_flat *f, const char *name, sw_span span) {
    uint32_t turn = f->named++;
    if (!is_taken(f, name))
        return name;
    /* ~2, and where many have that name, a number that is likely to be free. */
    const char *other = name;
    for (uint32_t copy = 2; !f->scratch.failed && is_taken(f, other);
         copy = copy == 2 ? turn + 3 : copy + 1) {
        f->scratch.length = 0;
        sw_buf_printf(&f->scratch, "%s~%u", name, copy);
        other = f->scratch.failed ? "" : f->scratch.bytes;
    }
    if (f->scratch.failed)
        swi_edif_out(f->e);
    sw_diag_add(f->e->diags, SW_D_EDIF_NAME_DOUBLED, span,
                "another net is called %s, too; this one becomes %s", name, other);
    return other;
}

/* ---- nets ---- */

static sw_node_id new_net_node(swi_flat *f, const swi_level *level, const swi_edif_net *net,
                               uint32_t element) {
    swi_edif *e = f->e;
    sw_span span = swi_edif_at(e, net->name.offset, strlen(net->name.ident));
    const char *name = swi_flat_name(f, level->path, net->name.display, net->shape, element);
    sw_node_id id = sw_builder_node(e->builder, free_name(f, name, span), false, span);
    sw_node *node = sw_builder_node_at(e->builder, id);
    node->global = strcmp(node->name, "0") == 0;
    return id;
}

/* What the net says of its node, which may be that of an outer net or of another page. */
static void describe_node(swi_flat *f, const swi_edif_net *net, sw_node_id id) {
    swi_edif *e = f->e;
    const char *said = swi_edif_said(e, net->properties, SWI_M_RAIL);
    const char *global = swi_edif_said(e, net->properties, SWI_M_GLOBAL);
    const char *volts = swi_edif_said(e, net->properties, SWI_M_VOLTS);
    sw_node *node = sw_builder_node_at(e->builder, id);
    sw_rail rail = SW_RAIL_NONE;
    if (said && !swi_rail_read(said, &rail))
        sw_diag_add(e->diags, SW_D_EDIF_WORD,
                    swi_edif_at(e, net->name.offset, strlen(net->name.ident)),
                    "%s is no rail: positive, ground or negative", said);
    if (node->rail == SW_RAIL_NONE)
        node->rail = rail;
    double value = 0;
    if (volts && swi_real_read(volts, strlen(volts), &value) == strlen(volts))
        node->volts = value;
    else if (volts)
        sw_diag_add(e->diags, SW_D_EDIF_WORD,
                    swi_edif_at(e, net->name.offset, strlen(net->name.ident)),
                    "%s is no number of volts: write VOLTS as a number", volts);
    if (global)
        node->global = swi_equal_fold(global, "true");
    swi_edif_keep(e, net->properties, SW_OWNER_NODE, id.i);
}

/* Where a joint is among the nodes of the level: a port's or an instance pin's. */
static sw_node_id *joint_slot(const swi_flat *f, const swi_level *level,
                              const swi_edif_joint *joint, uint32_t element) {
    const swi_edif *e = f->e;
    uint32_t bit = 0;
    if (joint->to_port != SWI_EDIF_NONE) {
        const swi_edif_port *port = &e->ports[joint->to_port];
        bit = port->first_bit + (joint->index != SWI_EDIF_NONE ? joint->index
                                 : port->width == 1            ? 0
                                                               : element);
    }
    if (joint->to_instance == SWI_EDIF_NONE)
        return &level->port_nodes[bit];
    const swi_edif_instance *instance = &e->instances[joint->to_instance];
    uint32_t copy = joint->instance_index == SWI_EDIF_NONE ? 0 : joint->instance_index;
    uint32_t bits = instance->off_page ? 1 : e->views[instance->view].bits;
    return &level->pin_nodes[instance->first_bit + copy * bits + bit];
}

static void pin_twice(swi_flat *f, const swi_edif_joint *joint) {
    sw_diag_add(f->e->diags, SW_D_EDIF_PIN_TWICE, swi_edif_at(f->e, joint->offset, 1),
                "port %s of %s is on two nets: correct one, or make one net of the two",
                joint->port, joint->instance ? joint->instance : "the cell itself");
}

/* The node of a net's element: one that a port brings from outside, else a new one;
 * several ports on one net join what is outside. */
static sw_node_id net_node(swi_flat *f, const swi_level *level, const swi_edif_net *net,
                           uint32_t element) {
    sw_node_id node = level->net_nodes[net->first_bit + element];
    for (uint32_t i = 0; i < net->joint_count; i++) {
        const swi_edif_joint *joint = &f->e->joints[net->first_joint + i];
        if (joint->to_instance != SWI_EDIF_NONE)
            continue;
        sw_node_id outer = *joint_slot(f, level, joint, element);
        if (node.i == SW_NONE)
            node = outer;
        else if (outer.i != SW_NONE)
            sw_builder_join(f->e->builder, node, outer);
    }
    return node.i != SW_NONE ? node : new_net_node(f, level, net, element);
}

static void join_net(swi_flat *f, const swi_level *level, const swi_edif_net *net,
                     uint32_t element) {
    swi_edif *e = f->e;
    sw_node_id node = net_node(f, level, net, element);
    level->net_nodes[net->first_bit + element] = node;
    describe_node(f, net, node);
    for (uint32_t i = 0; i < net->joint_count; i++) {
        const swi_edif_joint *joint = &e->joints[net->first_joint + i];
        sw_node_id *slot = joint_slot(f, level, joint, element);
        if (slot->i != SW_NONE &&
            sw_builder_node_at(e->builder, *slot) != sw_builder_node_at(e->builder, node))
            pin_twice(f, joint);
        *slot = node;
    }
}

static void join_nets(swi_flat *f, const swi_level *level) {
    const swi_edif *e = f->e;
    const swi_edif_view *view = &e->views[level->view];
    for (uint32_t i = 0; i < view->net_count && !e->failed; i++) {
        const swi_edif_net *net = &e->nets[view->first_net + i];
        for (uint32_t k = 0; k < net->width; k++)
            join_net(f, level, net, k);
    }
}

/* ---- levels ---- */

static void leave(swi_flat *f) {
    swi_level *level = &f->levels[--f->depth];
    const swi_edif_view *view = &f->e->views[level->view];
    free(level->port_nodes);
    free(level->pin_nodes);
    free(level->net_nodes);
    f->live -= view->bits + view->instance_bits + view->net_bits;
}

static bool report_depth(swi_flat *f, uint32_t view) {
    const swi_edif_cell *cell = &f->e->cells[f->e->views[view].cell];
    for (size_t i = 0; i < f->depth; i++)
        if (f->levels[i].view == view) {
            sw_diag_add(f->e->diags, SW_D_EDIF_CYCLE, swi_edif_at(f->e, cell->name.offset, 1),
                        "the cell %s contains itself", cell->name.display);
            return false;
        }
    sw_diag_add(f->e->diags, SW_D_LIMIT_NESTING, swi_edif_at(f->e, cell->name.offset, 1),
                "cells stand inside one another deeper than %u",
                sw_diags_limits(f->e->diags)->nesting);
    return false;
}

/* Goes into a view; outer are the nodes of its ports, or NULL at the top. */
static bool enter(swi_flat *f, uint32_t view_index, const char *path, const sw_node_id *outer) {
    const swi_edif_view *view = &f->e->views[view_index];
    if (f->depth >= sw_diags_limits(f->e->diags)->nesting)
        return report_depth(f, view_index);
    if (!SWI_GROW(f->levels, f->level_room, f->depth + 1))
        return swi_edif_out(f->e);
    swi_level level = {.view = view_index, .path = path};
    level.port_nodes = new_nodes(f, view->bits);
    level.pin_nodes = level.port_nodes ? new_nodes(f, view->instance_bits) : NULL;
    level.net_nodes = level.pin_nodes ? new_nodes(f, view->net_bits) : NULL;
    if (!level.net_nodes) {
        free(level.port_nodes);
        free(level.pin_nodes);
        return false;
    }
    if (outer && view->bits)
        memcpy(level.port_nodes, outer, view->bits * sizeof *outer);
    f->levels[f->depth++] = level;
    swi_flat_gates(f, view_index);
    join_nets(f, &f->levels[f->depth - 1]);
    return !f->e->failed;
}

static bool spend(swi_flat *f, const swi_edif_instance *instance) {
    if (f->left-- > 0)
        return true;
    sw_diag_add(f->e->diags, SW_D_LIMIT_EXPANSION, swi_edif_at(f->e, instance->name.offset, 1),
                "cells within cells multiply to more than %u instances for each one written",
                sw_diags_limits(f->e->diags)->expansion);
    return false;
}

/* The next instance of the level on top: a part, or a level of its own. */
static bool step(swi_flat *f) {
    swi_level *level = &f->levels[f->depth - 1];
    const swi_edif_view *view = &f->e->views[level->view];
    if (level->instance == view->instance_count) {
        leave(f);
        return true;
    }
    const swi_edif_instance *instance =
        &f->e->instances[view->first_instance + level->instance];
    uint32_t element = level->element++;
    if (level->element == instance->width) {
        level->instance++;
        level->element = 0;
    }
    if (!spend(f, instance))
        return false;
    uint32_t bits = instance->off_page ? 1 : f->e->views[instance->view].bits;
    const sw_node_id *nodes = level->pin_nodes + instance->first_bit + element * bits;
    if (swi_flat_is_part(f, instance)) {
        swi_flat_part(f, level, instance, element, nodes);
        return !f->e->failed;
    }
    swi_flat_lose_cell(f, instance);
    /* The level's path: its arrays stay where they are while levels grow. */
    const char *path = swi_flat_name(f, level->path, swi_flat_ref(f, instance), instance->shape,
                                     element);
    path = sw_builder_text(f->e->builder, path, strlen(path)); /* parts have it, too */
    return enter(f, instance->view, path, nodes);
}

/* What is joined to a port of the top goes off the page. */
static void make_terminals(swi_flat *f) {
    const swi_level *level = &f->levels[0];
    const swi_edif_view *view = &f->e->views[level->view];
    for (uint32_t i = 0; i < view->port_count; i++) {
        const swi_edif_port *port = &f->e->ports[view->first_port + i];
        for (uint32_t k = 0; k < port->width; k++)
            swi_flat_terminal(f, port, k, level->port_nodes[port->first_bit + k]);
    }
}

static void keep_design(swi_flat *f, uint32_t top) {
    swi_edif *e = f->e;
    const char *title = swi_edif_said(e, e->design_properties, SWI_M_TITLE);
    if (!title)
        title = e->design_cell ? e->design.display : "";
    sw_builder_title(e->builder, title);
    swi_edif_keep(e, e->design_properties, SW_OWNER_CIRCUIT, 0);
    swi_edif_keep(e, e->cells[e->views[top].cell].properties, SW_OWNER_CIRCUIT, 0);
    swi_edif_keep(e, e->views[top].properties, SW_OWNER_CIRCUIT, 0);
}

static bool run(swi_flat *f, uint32_t top) {
    const swi_edif_view *view = &f->e->views[top];
    uint32_t parts = view->instance_count + view->bits, pins = view->instance_bits + view->bits;
    swi_builder_expect(f->e->builder, parts, pins,
                       view->net_bits > pins / 2 ? view->net_bits : pins / 2);
    if (!enter(f, top, "", NULL))
        return false;
    while (f->depth > 1 || f->levels[0].instance < view->instance_count)
        if (!step(f))
            return false;
    make_terminals(f);
    keep_design(f, top);
    return !f->e->failed;
}

bool swi_edif_flatten(swi_edif *e, uint32_t top) {
    swi_flat f = {.e = e, .scratch = SW_BUF_INIT};
    f.left = (int64_t)sw_diags_limits(e->diags)->expansion * ((int64_t)e->instance_count + 1);
    bool done = swi_flat_count_designators(&f, top) && run(&f, top);
    while (f.depth)
        leave(&f);
    swi_flat_end(&f);
    free(f.levels);
    free(f.by_bit);
    free(f.view_kinds);
    free(f.bearers);
    if (f.bearers_at)
        swi_map_free(f.bearers_at);
    sw_buf_free(&f.scratch);
    return done;
}
