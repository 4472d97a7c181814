/* What a form means once it is whole: it enters the model, or tells the form around
 * it what it says. */
#include "formats/edif/edif_parser.h"

#include "base/num.h"

#include <string.h>

static sw_span form_span(const swi_parser *p, const swi_frame *f) {
    return swi_edif_at(p->e, f->offset, 1);
}

static bool needs_name(swi_parser *p, const swi_frame *f) {
    return f->named || swi_parser_complain(p, SW_D_EDIF_FORM, form_span(p, f),
                                           "this form lacks its name");
}

bool swi_parser_joint(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->joints, e->joint_room, e->joint_count + 1))
        return swi_edif_out(e);
    e->joints[e->joint_count++] = (swi_edif_joint){
        .port = f->name.ident, .instance = f->instance_ref, .index = f->index,
        .instance_index = f->instance_index, .offset = f->name.offset,
        .to_port = SWI_EDIF_NONE, .to_instance = SWI_EDIF_NONE};
    return true;
}

static bool close_port_ref(swi_parser *p, const swi_frame *f) {
    swi_frame *outer = p->depth > 1 ? &p->stack[p->depth - 2] : NULL;
    if (!needs_name(p, f) || !outer)
        return false;
    if (outer->form == SWI_F_PORT_INSTANCE) {
        outer->name = f->name;
        outer->index = f->index;
        outer->named = true;
    }
    return outer->form != SWI_F_JOINED || swi_parser_joint(p, f);
}

/* A port that is named in a list without a portRef round it. */
static bool close_bare_port(swi_parser *p, const swi_frame *f) {
    bool joined = p->depth > 1 && p->stack[p->depth - 2].form == SWI_F_JOINED;
    return needs_name(p, f) && (!joined || swi_parser_joint(p, f));
}

/* Properties are hung on in front; their owner turns the list round when closed. */
static void turn_round(swi_edif *e, uint32_t *list) {
    uint32_t turned = SWI_EDIF_NONE;
    while (*list != SWI_EDIF_NONE) {
        uint32_t next = e->properties[*list].next;
        e->properties[*list].next = turned;
        turned = *list;
        *list = next;
    }
    *list = turned;
}

static uint32_t *property_list(swi_parser *p, const swi_frame *owner) {
    swi_edif *e = p->e;
    switch (owner->form) {
    case SWI_F_CELL: return &e->cells[owner->object].properties;
    case SWI_F_VIEW: case SWI_F_INTERFACE: case SWI_F_CONTENTS: case SWI_F_PAGE:
        return &e->views[p->view].properties;
    case SWI_F_PORT: return &e->ports[owner->object].properties;
    case SWI_F_INSTANCE: case SWI_F_OFF_PAGE: return &e->instances[owner->object].properties;
    case SWI_F_NET: return &e->nets[owner->object].properties;
    case SWI_F_PORT_INSTANCE: return &e->pins[owner->object].properties;
    case SWI_F_DESIGN: return &e->design_properties;
    default: return NULL;
    }
}

/* A number with a unit of a value becomes the value as people write it. */
static const char *with_unit(swi_parser *p, const swi_frame *f) {
    static const struct { const char *unit; sw_quantity quantity; } units[] = {
        {"RESISTANCE", SW_OHMS}, {"CAPACITANCE", SW_FARADS}, {"INDUCTANCE", SW_HENRIES}};
    double value;
    const char *text = f->text ? f->text : "";
    for (size_t i = 0; f->unit && i < sizeof units / sizeof *units; i++) {
        if (!*text || !swi_equal_fold(f->unit, units[i].unit) ||
            swi_real_read(text, strlen(text), &value) != strlen(text))
            continue;
        sw_buf out = SW_BUF_INIT;
        sw_value_write(value, units[i].quantity, &out);
        const char *kept = out.bytes ? swi_edif_text(p->e, out.bytes, out.length) : text;
        sw_buf_free(&out);
        return kept;
    }
    return text;
}

/* "width[2]", "size[0][1]" */
static const char *member_key(swi_parser *p, const swi_frame *f) {
    const uint32_t *many = f->index & SWI_EDIF_MANY ? &p->e->numbers[f->index & ~SWI_EDIF_MANY]
                                                    : NULL;
    sw_buf key = SW_BUF_INIT;
    sw_buf_puts(&key, f->name.display);
    for (uint32_t i = 0; i < (many ? *many : 1); i++)
        sw_buf_printf(&key, "[%u]", many ? many[i + 1] : f->index);
    const char *kept = key.failed ? NULL : swi_edif_text(p->e, key.bytes, key.length);
    if (!kept)
        swi_edif_out(p->e);
    sw_buf_free(&key);
    return kept ? kept : "";
}

static const char *joined_key(swi_parser *p, const char *outer, const char *key) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "%s %s", outer ? outer : "", key);
    const char *kept = text.failed ? NULL : swi_edif_text(p->e, text.bytes, text.length);
    if (!kept)
        swi_edif_out(p->e);
    sw_buf_free(&text);
    return kept ? kept : "";
}

static bool close_property(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    size_t depth = p->depth - 1; /* a property of a property is told as its owner's */
    while (depth > 0 && p->stack[depth - 1].form == SWI_F_PROPERTY)
        depth--;
    const swi_frame *owner = swi_parser_around(p, depth);
    uint32_t *list = owner ? property_list(p, owner) : NULL;
    if (!needs_name(p, f))
        return false;
    if (!list)
        return true;
    if (!SWI_GROW(e->properties, e->property_room, e->property_count + 1))
        return swi_edif_out(e);
    const char *value = with_unit(p, f), *key = f->name.display;
    if (f->index != SWI_EDIF_NONE) /* a member of a parameter */
        key = member_key(p, f);
    for (size_t i = p->depth - 1; i > depth; i--)
        key = joined_key(p, p->stack[i - 1].name.display, key);
    bool spent = f->unit && value != f->text;
    e->properties[e->property_count] = (swi_edif_property){
        .key = key, .meaning = swi_edif_meaning_of(e, key),
        .value = value, .owner = f->owner ? f->owner : "",
        .unit = f->unit && !spent ? f->unit : "", .offset = f->offset, .next = *list};
    *list = (uint32_t)e->property_count++;
    return true;
}

static bool doubled(swi_parser *p, const swi_frame *f, const char *what) {
    sw_diag_add(p->e->diags, SW_D_EDIF_DOUBLED, swi_edif_at(p->e, f->name.offset, 1),
                "there is a %s %s already: give one of the two another name", what, f->name.ident);
    p->good = false;
    return false;
}

static bool close_library(swi_parser *p, const swi_frame *f) {
    return needs_name(p, f); /* its cells have found it already, see name_library */
}

/* Cells are defined under their library as soon as both have names: a library of a
 * name that is there already goes on with that one. */
void swi_parser_name_library(swi_parser *p, const swi_frame *f) {
    p->e->libraries[f->object].name = f->name;
    p->library = swi_edif_define(p->e, SWI_S_LIBRARY, 0, f->name.ident, f->object);
}

static bool close_cell(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    if (!needs_name(p, f))
        return false;
    e->cells[f->object].name = f->name;
    e->cells[f->object].library = p->library;
    turn_round(e, &e->cells[f->object].properties);
    swi_edif_define(e, SWI_S_ANY_CELL, 0, f->name.ident, f->object);
    return swi_edif_define(e, SWI_S_CELL, p->library, f->name.ident, f->object) == f->object ||
           doubled(p, f, "cell");
}

static bool close_view(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    swi_edif_view *view = &e->views[f->object];
    view->name = f->name;
    view->port_count = (uint32_t)e->port_count - view->first_port;
    view->instance_count = (uint32_t)e->instance_count - view->first_instance;
    view->net_count = (uint32_t)e->net_count - view->first_net;
    turn_round(e, &view->properties);
    return needs_name(p, f) &&
           (swi_edif_define(e, SWI_S_VIEW, p->cell, f->name.ident, f->object) == f->object ||
            doubled(p, f, "view"));
}

static bool close_port(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    swi_edif_port *port = &e->ports[f->object];
    swi_edif_view *view = &e->views[p->view];
    port->name = f->name;
    port->designator = f->text;
    port->type = f->type;
    port->shape = f->shape;
    port->width = f->width;
    port->first_bit = view->bits;
    if (view->bits > sw_diags_limits(e->diags)->nodes - f->width)
        return swi_parser_complain(p, SW_D_LIMIT_NODES, form_span(p, f),
                        "more elements of ports than a circuit may have nodes");
    view->bits += f->width;
    turn_round(e, &port->properties);
    return needs_name(p, f) &&
           (swi_edif_define(e, SWI_S_PORT, p->view, f->name.ident, f->object) == f->object ||
            doubled(p, f, "port"));
}

static bool close_instance(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    swi_edif_instance *instance = &e->instances[f->object];
    instance->name = f->name;
    instance->designator = f->text;
    instance->view_ref = f->view_ref;
    instance->cell_ref = f->cell_ref;
    instance->library_ref = f->library_ref;
    instance->shape = f->shape;
    instance->width = f->width;
    turn_round(e, &instance->properties);
    if (!needs_name(p, f))
        return false;
    if (!instance->off_page && !f->cell_ref)
        return swi_parser_complain(p, SW_D_EDIF_FORM, form_span(p, f),
                        "this instance does not say of which cell it is: (viewRef … (cellRef …))");
    return swi_edif_define(e, SWI_S_INSTANCE, p->view, f->name.ident, f->object) == f->object ||
           doubled(p, f, "instance");
}

static bool close_net(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    swi_edif_net *net = &e->nets[f->object];
    const swi_frame *outer = swi_parser_around(p, p->depth - 1);
    if (outer && outer->form == SWI_F_NET)
        return true; /* a part of that net */
    net->name = f->name;
    net->shape = f->shape;
    net->width = f->width;
    net->joint_count = (uint32_t)e->joint_count - net->first_joint;
    turn_round(e, &net->properties);
    return needs_name(p, f);
}

static bool close_port_instance(swi_parser *p, const swi_frame *f) {
    swi_edif_pin *pin = &p->e->pins[f->object];
    pin->port = f->name.ident;
    pin->index = f->index;
    pin->designator = f->text;
    turn_round(p->e, &pin->properties);
    return needs_name(p, f);
}

static bool close_design(swi_parser *p, const swi_frame *f) {
    swi_edif *e = p->e;
    if (!needs_name(p, f))
        return false;
    if (!f->cell_ref)
        return swi_parser_complain(p, SW_D_EDIF_FORM, form_span(p, f),
                        "the design does not say which cell it is: (cellRef … (libraryRef …))");
    e->design = f->name;
    e->design_cell = f->cell_ref;
    e->design_library = f->library_ref;
    e->design_offset = f->offset;
    turn_round(e, &e->design_properties);
    return true;
}

static void hand_name(swi_frame *outer, const swi_frame *f) {
    if (outer->named)
        return;
    outer->name = f->name;
    outer->named = f->named;
    outer->width = f->width;
    outer->shape = f->shape;
    outer->index = f->index;
}

/* What a small form tells the form around it. */
static void hand_on(swi_frame *outer, const swi_frame *f) {
    switch (f->form) {
    case SWI_F_RENAME: case SWI_F_NAME: case SWI_F_ARRAY: case SWI_F_MEMBER:
        hand_name(outer, f);
        break;
    case SWI_F_DISPLAY:
        if (outer->form == SWI_F_RENAME && f->text)
            outer->name.display = f->text;
        else if (!outer->text)
            outer->text = f->text;
        break;
    case SWI_F_STRING: case SWI_F_INTEGER: case SWI_F_NUMBER: case SWI_F_E:
    case SWI_F_BOOLEAN: case SWI_F_DESIGNATOR:
        outer->text = f->text ? f->text : "";
        break;
    case SWI_F_TRUE: outer->text = "true"; break;
    case SWI_F_FALSE: outer->text = "false"; break;
    case SWI_F_DIRECTION: outer->type = f->type; break;
    case SWI_F_OWNER: outer->owner = f->text; break;
    case SWI_F_UNIT: outer->unit = f->text; break;
    case SWI_F_LIBRARY_REF: outer->library_ref = f->name.ident; break;
    case SWI_F_CELL_REF:
        outer->cell_ref = f->name.ident;
        outer->library_ref = f->library_ref;
        break;
    case SWI_F_VIEW_REF: case SWI_F_VIEW_LIST:
        if (!outer->cell_ref) {
            outer->view_ref = f->form == SWI_F_VIEW_REF ? f->name.ident : f->view_ref;
            outer->cell_ref = f->cell_ref;
            outer->library_ref = f->library_ref;
        }
        break;
    case SWI_F_INSTANCE_REF:
        outer->instance_ref = f->name.ident;
        outer->instance_index = f->index;
        break;
    default: break;
    }
}

/* A number in scientific form becomes the shortest text of its value. */
static void tidy_number(swi_parser *p, swi_frame *f) {
    double value;
    size_t length = f->text ? strlen(f->text) : 0;
    if (length == 0 || swi_real_read(f->text, length, &value) != length)
        return;
    sw_buf out = SW_BUF_INIT;
    swi_real_write(&out, value);
    if (out.failed)
        swi_edif_out(p->e);
    else
        f->text = swi_edif_text(p->e, out.bytes, out.length);
    sw_buf_free(&out);
}

/* One dimension needs no list of them. */
static void close_array(swi_parser *p, swi_frame *f) {
    bool one = f->numbers_at == SWI_EDIF_NONE || p->e->numbers[f->numbers_at] == 1;
    f->shape = one ? 0 : f->numbers_at;
}

static bool close_object(swi_parser *p, swi_frame *f) {
    switch (f->form) {
    case SWI_F_LIBRARY: return close_library(p, f);
    case SWI_F_CELL: return close_cell(p, f);
    case SWI_F_VIEW: return close_view(p, f);
    case SWI_F_PORT: return close_port(p, f);
    case SWI_F_INSTANCE: case SWI_F_OFF_PAGE: return close_instance(p, f);
    case SWI_F_NET: return close_net(p, f);
    case SWI_F_PORT_REF: return close_port_ref(p, f);
    case SWI_F_PORT_INSTANCE: return close_port_instance(p, f);
    case SWI_F_PROPERTY: return close_property(p, f);
    case SWI_F_DESIGN: return close_design(p, f);
    case SWI_F_MEMBER: case SWI_F_NAME: return close_bare_port(p, f);
    case SWI_F_ARRAY: close_array(p, f); return needs_name(p, f);
    case SWI_F_RENAME:
    case SWI_F_CELL_REF: case SWI_F_LIBRARY_REF: case SWI_F_INSTANCE_REF: case SWI_F_VIEW_REF:
        return needs_name(p, f);
    case SWI_F_E: tidy_number(p, f); return !p->e->failed;
    default: return true;
    }
}

/* Goes on after a fault that was told, to find more of them. */
void swi_parser_close(swi_parser *p) {
    swi_frame *f = &p->stack[p->depth - 1];
    close_object(p, f);
    p->depth--;
    if (!p->depth)
        return;
    swi_frame *outer = &p->stack[p->depth - 1];
    bool named = outer->named;
    hand_on(outer, f);
    if (outer->form == SWI_F_LIBRARY && outer->named && !named)
        swi_parser_name_library(p, outer);
}
