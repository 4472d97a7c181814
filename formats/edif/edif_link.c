/* Names become indices, once everything has been read: cells may stand behind those
 * that use them. */
#include "formats/edif/edif.h"

#include <string.h>

static bool missing(swi_edif *e, uint32_t offset, const char *what, const char *name,
                    const char *where) {
    sw_diag_add(e->diags, SW_D_EDIF_REFERENCE, swi_edif_at(e, offset, 1),
                "there is no %s %s%s%s", what, name, *where ? " in " : "", where);
    return false;
}

/* The cell of a reference: in the library named, else in `library`, else anywhere. */
static uint32_t find_cell(swi_edif *e, const char *library_ref, uint32_t library,
                          const char *cell) {
    uint32_t found;
    if (library_ref) {
        library = swi_edif_find(e, SWI_S_LIBRARY, 0, library_ref);
        return library == SWI_EDIF_NONE ? SWI_EDIF_NONE
                                        : swi_edif_find(e, SWI_S_CELL, library, cell);
    }
    found = swi_edif_find(e, SWI_S_CELL, library, cell);
    return found != SWI_EDIF_NONE ? found : swi_edif_find(e, SWI_S_ANY_CELL, 0, cell);
}

/* The view named, else the cell's only one: some writers name views loosely. */
static uint32_t find_view(swi_edif *e, uint32_t cell, const char *view_ref) {
    uint32_t view = view_ref ? swi_edif_find(e, SWI_S_VIEW, cell, view_ref) : SWI_EDIF_NONE;
    const swi_edif_cell *c = &e->cells[cell];
    if (view == SWI_EDIF_NONE && c->first_view == c->last_view)
        view = c->first_view;
    return view;
}

static bool link_instance(swi_edif *e, const swi_edif_view *view, swi_edif_instance *instance) {
    if (instance->off_page)
        return true;
    uint32_t cell = find_cell(e, instance->library_ref, e->cells[view->cell].library,
                              instance->cell_ref);
    if (cell == SWI_EDIF_NONE)
        return missing(e, instance->name.offset, "cell", instance->cell_ref,
                       instance->library_ref ? instance->library_ref : "");
    instance->view = find_view(e, cell, instance->view_ref);
    if (instance->view == SWI_EDIF_NONE)
        return missing(e, instance->name.offset, "view",
                       instance->view_ref ? instance->view_ref : "", instance->cell_ref);
    e->views[instance->view].used = true;
    return true;
}

static uint32_t bits_of(const swi_edif *e, const swi_edif_instance *instance) {
    return instance->off_page ? 1 : e->views[instance->view].bits;
}

static bool link_instances(swi_edif *e, swi_edif_view *view) {
    uint64_t bits = 0;
    bool good = true;
    for (uint32_t i = 0; i < view->instance_count; i++) {
        swi_edif_instance *instance = &e->instances[view->first_instance + i];
        if (!link_instance(e, view, instance)) {
            good = false;
            continue;
        }
        instance->first_bit = (uint32_t)bits;
        bits += (uint64_t)bits_of(e, instance) * instance->width;
        if (bits > sw_diags_limits(e->diags)->nodes) {
            sw_diag_add(e->diags, SW_D_LIMIT_NODES, swi_edif_at(e, instance->name.offset, 1),
                        "more pins of instances than a circuit may have nodes");
            return false;
        }
    }
    view->instance_bits = (uint32_t)bits;
    return good;
}

/* Tells which members there are. */
static bool outside(swi_edif *e, uint32_t offset, const char *name, uint32_t shape,
                    uint32_t width) {
    sw_buf sizes = SW_BUF_INIT;
    uint32_t count = shape == SWI_EDIF_NONE || shape == 0 ? 0 : e->numbers[shape];
    for (uint32_t i = 1; i <= count; i++)
        sw_buf_printf(&sizes, "%s%u", i > 1 ? " x " : "", e->numbers[shape + i]);
    if (count == 0)
        sw_buf_printf(&sizes, "%u", width);
    sw_diag_add(e->diags, SW_D_EDIF_MEMBER, swi_edif_at(e, offset, 1),
                "%s has %s elements, counted from 0, and no such member: write %s", name,
                sizes.bytes ? sizes.bytes : "", count ? "an index a dimension"
                                                      : "one index within them");
    sw_buf_free(&sizes);
    return false;
}

/* Members must be there, and what is joined be as wide as the net. */
static bool check_port(swi_edif *e, const swi_edif_net *net, swi_edif_joint *joint) {
    const swi_edif_port *port = &e->ports[joint->to_port];
    bool member = joint->index != SWI_EDIF_NONE;
    joint->index = swi_edif_member(e, joint->index, port->shape, port->width);
    if (member && joint->index == SWI_EDIF_NONE)
        return outside(e, joint->offset, port->name.display, port->shape, port->width);
    uint32_t width = member ? 1 : port->width;
    if (width == net->width)
        return true;
    sw_diag_add(e->diags, SW_D_EDIF_WIDTH, swi_edif_at(e, joint->offset, 1),
                "%s has %u elements here and the net %s has %u: say which member is joined",
                port->name.display, width, net->name.display, net->width);
    return false;
}

static bool check_instance(swi_edif *e, swi_edif_joint *joint) {
    const swi_edif_instance *instance = &e->instances[joint->to_instance];
    bool member = joint->instance_index != SWI_EDIF_NONE;
    joint->instance_index =
        swi_edif_member(e, joint->instance_index, instance->shape, instance->width);
    if (member ? joint->instance_index != SWI_EDIF_NONE : instance->width == 1)
        return true;
    return outside(e, joint->offset, instance->name.display, instance->shape, instance->width);
}

static bool link_own_port(swi_edif *e, uint32_t view_index, const swi_edif_net *net,
                          swi_edif_joint *joint) {
    joint->to_port = swi_edif_find(e, SWI_S_PORT, view_index, joint->port);
    if (joint->to_port != SWI_EDIF_NONE)
        return check_port(e, net, joint);
    /* Off-page connectors are named among the instances. */
    joint->to_instance = swi_edif_find(e, SWI_S_INSTANCE, view_index, joint->port);
    if (joint->to_instance != SWI_EDIF_NONE && e->instances[joint->to_instance].off_page)
        return true;
    return missing(e, joint->offset, "port", joint->port,
                   e->cells[e->views[view_index].cell].name.display);
}

static bool link_joint(swi_edif *e, uint32_t view_index, const swi_edif_net *net,
                       swi_edif_joint *joint) {
    if (!joint->instance)
        return link_own_port(e, view_index, net, joint);
    joint->to_instance = swi_edif_find(e, SWI_S_INSTANCE, view_index, joint->instance);
    if (joint->to_instance == SWI_EDIF_NONE)
        return missing(e, joint->offset, "instance", joint->instance,
                       e->cells[e->views[view_index].cell].name.display);
    uint32_t view = e->instances[joint->to_instance].view;
    if (view == SWI_EDIF_NONE)
        return true; /* told already, or an off-page connector's one pin */
    joint->to_port = swi_edif_find(e, SWI_S_PORT, view, joint->port);
    if (joint->to_port == SWI_EDIF_NONE)
        return missing(e, joint->offset, "port", joint->port,
                       e->cells[e->views[view].cell].name.display);
    return check_port(e, net, joint) && check_instance(e, joint);
}

/* Room for the nodes of a net: its own, or those of the net of the same identifier
 * on another page. */
static bool place_net(swi_edif *e, uint32_t view_index, uint32_t index) {
    swi_edif_view *view = &e->views[view_index];
    swi_edif_net *net = &e->nets[index];
    uint32_t first = swi_edif_define(e, SWI_S_NET, view_index, net->name.ident, index);
    if (first != index && e->nets[first].width == net->width) {
        net->first_bit = e->nets[first].first_bit;
        return true;
    }
    net->first_bit = view->net_bits;
    if (view->net_bits > sw_diags_limits(e->diags)->nodes - net->width) {
        sw_diag_add(e->diags, SW_D_LIMIT_NODES, swi_edif_at(e, net->name.offset, 1),
                    "more nets than a circuit may have nodes");
        return false;
    }
    view->net_bits += net->width;
    return true;
}

static bool link_nets(swi_edif *e, uint32_t view_index) {
    const swi_edif_view *view = &e->views[view_index];
    bool good = true;
    for (uint32_t i = 0; i < view->net_count; i++) {
        const swi_edif_net *net = &e->nets[view->first_net + i];
        if (!place_net(e, view_index, view->first_net + i))
            return false;
        for (uint32_t k = 0; k < net->joint_count; k++)
            good &= link_joint(e, view_index, net, &e->joints[net->first_joint + k]);
    }
    return good;
}

bool swi_edif_link(swi_edif *e) {
    bool good = true;
    for (size_t i = 0; i < e->view_count; i++)
        good &= link_instances(e, &e->views[i]);
    for (size_t i = 0; good && i < e->view_count; i++)
        good &= link_nets(e, (uint32_t)i);
    return good && !e->failed;
}

/* ---- where to begin ---- */

static bool has_contents(const swi_edif *e, uint32_t view) {
    return view != SWI_EDIF_NONE && e->views[view].contents;
}

/* Of a cell's views, the first with contents. */
static uint32_t best_view(const swi_edif *e, uint32_t cell) {
    for (uint32_t i = 0; i < e->view_count; i++)
        if (e->views[i].cell == cell && e->views[i].contents)
            return i;
    return e->cells[cell].first_view;
}

static uint32_t stated_top(swi_edif *e) {
    const char *name = e->options->top;
    uint32_t found = SWI_EDIF_NONE;
    for (uint32_t i = 0; i < e->cell_count; i++)
        if (swi_equal_fold(e->cells[i].name.ident, name) ||
            swi_equal_fold(e->cells[i].name.display, name))
            found = has_contents(e, best_view(e, i)) || found == SWI_EDIF_NONE ? i : found;
    if (found != SWI_EDIF_NONE)
        return best_view(e, found);
    missing(e, 0, "cell to begin at called", name, "");
    return SWI_EDIF_NONE;
}

/* Without a design form: the last cell with contents that no instance is of. */
static uint32_t guessed_top(swi_edif *e) {
    uint32_t found = SWI_EDIF_NONE;
    for (uint32_t i = 0; i < e->view_count; i++)
        if (e->views[i].contents && !e->views[i].used)
            found = i;
    if (found == SWI_EDIF_NONE)
        sw_diag_add(e->diags, SW_D_EDIF_TOP, swi_edif_at(e, 0, 1),
                    "no design form tells the cell to begin at, and none has contents and is used "
                    "by no other: name it with --top");
    else
        sw_diag_add(e->diags, SW_D_EDIF_TOP_GUESSED,
                    swi_edif_at(e, e->cells[e->views[found].cell].name.offset, 1),
                    "no design form tells the cell to begin at; %s is taken",
                    e->cells[e->views[found].cell].name.display);
    return found;
}

uint32_t swi_edif_top(swi_edif *e) {
    if (e->options->top)
        return stated_top(e);
    if (!e->design_cell)
        return guessed_top(e);
    uint32_t cell = find_cell(e, e->design_library, SWI_EDIF_NONE, e->design_cell);
    if (cell == SWI_EDIF_NONE || e->cells[cell].first_view == SWI_EDIF_NONE) {
        missing(e, e->design_offset, "cell", e->design_cell,
                e->design_library ? e->design_library : "");
        return SWI_EDIF_NONE;
    }
    return best_view(e, cell);
}
