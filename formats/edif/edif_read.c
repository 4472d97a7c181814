/* From words to the model: a stack of the forms that are open, each gathering what
 * its parts say; closing a form hands that on to the form around it. */
#include "formats/edif/edif.h"

#include "base/num.h"

#include <stdlib.h>
#include <string.h>

typedef struct frame {
    swi_edif_form form;
    uint32_t object;        /* what is being made, an index; or its owner's */
    uint32_t offset;        /* of the form */
    swi_edif_name name;
    bool named, array;
    uint32_t width;         /* of an array */
    uint32_t index;         /* of a member, NONE */
    const char *text;       /* a string, number or designator; NULL */
    const char *library_ref, *cell_ref, *view_ref, *instance_ref, *owner, *unit;
    uint32_t instance_index;
    sw_pin_type type;
    unsigned numbers;       /* words taken by a form of numbers */
} frame;

typedef struct parser {
    swi_edif *e;
    swi_edif_lexer lexer;
    frame *stack;
    size_t depth, most;
    uint32_t library, cell, view; /* in hand */
    bool good;
} parser;

static frame *top(parser *p) {
    return &p->stack[p->depth - 1];
}

/* The form around, lists of ports or nets passed over. */
static frame *around(parser *p, size_t level) {
    while (level > 0 && (p->stack[level - 1].form == SWI_F_LIST ||
                         p->stack[level - 1].form == SWI_F_PORT_BUNDLE))
        level--;
    return level ? &p->stack[level - 1] : NULL;
}

static bool complain(parser *p, sw_diag_id id, sw_span span, const char *what) {
    sw_diag_add(p->e->diags, id, span, "%s", what);
    p->good = false;
    return false;
}

static sw_span form_span(const parser *p, const frame *f) {
    return swi_edif_at(p->e, f->offset, 1);
}

/* ---- opening ---- */

#define IN(form) (1ull << (form))

/* Where the forms that build the model may stand. */
static uint64_t places_of(swi_edif_form form) {
    switch (form) {
    case SWI_F_LIBRARY: case SWI_F_DESIGN: return IN(SWI_F_EDIF);
    case SWI_F_CELL: return IN(SWI_F_LIBRARY);
    case SWI_F_VIEW: return IN(SWI_F_CELL);
    case SWI_F_INTERFACE: case SWI_F_CONTENTS: return IN(SWI_F_VIEW);
    case SWI_F_PAGE: return IN(SWI_F_CONTENTS);
    case SWI_F_PORT: return IN(SWI_F_INTERFACE);
    case SWI_F_INSTANCE: case SWI_F_OFF_PAGE: return IN(SWI_F_CONTENTS) | IN(SWI_F_PAGE);
    case SWI_F_NET: return IN(SWI_F_CONTENTS) | IN(SWI_F_PAGE) | IN(SWI_F_NET);
    case SWI_F_PORT_INSTANCE: return IN(SWI_F_INSTANCE);
    default: return ~0ull;
    }
}

static uint32_t new_library(parser *p, const char *keyword) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->libraries, e->library_room, e->library_count + 1))
        return swi_edif_out(e), 0;
    e->libraries[e->library_count] = (swi_edif_library){.external = swi_lower(*keyword) == 'e'};
    return p->library = (uint32_t)e->library_count++;
}

static uint32_t new_cell(parser *p) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->cells, e->cell_room, e->cell_count + 1))
        return swi_edif_out(e), 0;
    e->cells[e->cell_count] = (swi_edif_cell){
        .library = p->library, .first_view = SWI_EDIF_NONE, .last_view = SWI_EDIF_NONE,
        .properties = SWI_EDIF_NONE, .external = e->libraries[p->library].external};
    return p->cell = (uint32_t)e->cell_count++;
}

static uint32_t new_view(parser *p) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->views, e->view_room, e->view_count + 1))
        return swi_edif_out(e), 0;
    e->views[e->view_count] = (swi_edif_view){
        .cell = p->cell, .first_port = (uint32_t)e->port_count,
        .first_instance = (uint32_t)e->instance_count, .first_net = (uint32_t)e->net_count,
        .properties = SWI_EDIF_NONE};
    swi_edif_cell *cell = &e->cells[p->cell];
    if (cell->first_view == SWI_EDIF_NONE)
        cell->first_view = (uint32_t)e->view_count;
    cell->last_view = (uint32_t)e->view_count;
    return p->view = (uint32_t)e->view_count++;
}

static uint32_t new_port(swi_edif *e) {
    if (!SWI_GROW(e->ports, e->port_room, e->port_count + 1))
        return swi_edif_out(e), 0;
    e->ports[e->port_count] = (swi_edif_port){.properties = SWI_EDIF_NONE};
    return (uint32_t)e->port_count++;
}

static uint32_t new_instance(swi_edif *e, bool off_page) {
    if (!SWI_GROW(e->instances, e->instance_room, e->instance_count + 1))
        return swi_edif_out(e), 0;
    e->instances[e->instance_count] = (swi_edif_instance){
        .view = SWI_EDIF_NONE, .pins = SWI_EDIF_NONE, .properties = SWI_EDIF_NONE,
        .off_page = off_page};
    return (uint32_t)e->instance_count++;
}

static uint32_t new_net(swi_edif *e) {
    if (!SWI_GROW(e->nets, e->net_room, e->net_count + 1))
        return swi_edif_out(e), 0;
    e->nets[e->net_count] = (swi_edif_net){.first_joint = (uint32_t)e->joint_count,
                                           .properties = SWI_EDIF_NONE};
    return (uint32_t)e->net_count++;
}

static uint32_t new_pin(swi_edif *e, uint32_t instance, uint32_t offset) {
    if (!SWI_GROW(e->pins, e->pin_room, e->pin_count + 1))
        return swi_edif_out(e), 0;
    e->pins[e->pin_count] = (swi_edif_pin){.index = SWI_EDIF_NONE, .offset = offset,
                                           .properties = SWI_EDIF_NONE,
                                           .next = e->instances[instance].pins};
    e->instances[instance].pins = (uint32_t)e->pin_count;
    return (uint32_t)e->pin_count++;
}

/* The object that a form makes, or that of the form around it. */
static uint32_t object_of(parser *p, swi_edif_form form, const frame *outer, uint32_t offset) {
    swi_edif *e = p->e;
    switch (form) {
    case SWI_F_LIBRARY: return new_library(p, p->lexer.text);
    case SWI_F_CELL: return new_cell(p);
    case SWI_F_VIEW: return new_view(p);
    case SWI_F_PORT: return new_port(e);
    case SWI_F_INSTANCE: return new_instance(e, false);
    case SWI_F_OFF_PAGE: return new_instance(e, true);
    case SWI_F_NET: return outer->form == SWI_F_NET ? outer->object : new_net(e);
    case SWI_F_PORT_INSTANCE: return new_pin(e, outer->object, offset);
    default: return outer ? outer->object : 0;
    }
}

/* Unknown forms are told of once a kind, then passed over with all that is in them. */
static bool skip_form(parser *p, swi_edif_form form) {
    char word[64];
    size_t length = p->lexer.length < sizeof word - 1 ? p->lexer.length : sizeof word - 1;
    memcpy(word, p->lexer.text, length);
    word[length] = '\0';
    swi_edif *e = p->e;
    if (form == SWI_F_UNKNOWN && swi_edif_find(e, (swi_edif_scope)'k', 0, word) == SWI_EDIF_NONE) {
        swi_edif_define(e, (swi_edif_scope)'k', 0, word, 1);
        sw_diag_add(e->diags, SW_D_EDIF_SKIPPED, swi_edif_span(&p->lexer),
                    "forms called %s are not known and are passed over", word);
    }
    sw_span span = swi_edif_span(&p->lexer);
    return swi_edif_skip(&p->lexer) ||
           complain(p, SW_D_EDIF_SYNTAX, span, "this form is never closed: is the file cut off?");
}

static bool push(parser *p, swi_edif_form form, uint32_t offset) {
    const frame *outer = around(p, p->depth);
    uint64_t places = places_of(form);
    if (outer ? !(places & IN(outer->form)) : form != SWI_F_EDIF)
        return complain(p, SW_D_EDIF_FORM, swi_edif_span(&p->lexer),
                        "this form cannot stand here");
    if (p->depth >= p->most)
        return complain(p, SW_D_LIMIT_NESTING, swi_edif_span(&p->lexer),
                        "forms stand inside one another too deep");
    frame f = {.form = form, .offset = offset, .index = SWI_EDIF_NONE, .width = 1,
               .instance_index = SWI_EDIF_NONE};
    f.object = object_of(p, form, outer, offset);
    if (p->e->failed)
        return false;
    if (form == SWI_F_CONTENTS)
        p->e->views[p->view].contents = true;
    p->stack[p->depth++] = f;
    return true;
}

static bool open_form(parser *p) {
    uint32_t offset = (uint32_t)p->lexer.from;
    swi_edif_token token = swi_edif_next(&p->lexer);
    if (token != SWI_EDIF_WORD)
        return token != SWI_EDIF_BAD &&
               complain(p, SW_D_EDIF_SYNTAX, swi_edif_at(p->e, offset, 1),
                        "a word that names the form must follow this parenthesis");
    swi_edif_form form = swi_edif_form_of(p->lexer.text, p->lexer.length);
    if (form == SWI_F_UNKNOWN || form == SWI_F_QUIET)
        return skip_form(p, form);
    /* Interfaces may say what is joined inside a part: that is the part's affair. */
    const frame *outer = around(p, p->depth);
    if (form == SWI_F_JOINED && outer && outer->form != SWI_F_NET && outer->form != SWI_F_JOINED)
        return skip_form(p, SWI_F_QUIET);
    return push(p, form, offset);
}

static bool needs_name(parser *p, const frame *f) {
    return f->named || complain(p, SW_D_EDIF_FORM, form_span(p, f), "this form lacks its name");
}

/* ---- words ---- */

static bool take_name(parser *p, frame *f) {
    const char *text = p->lexer.text;
    size_t length = p->lexer.length;
    if (length > 1 && *text == '&') { /* the mark is no part of the name */
        text++;
        length--;
    }
    f->name.ident = f->name.display = swi_edif_text(p->e, text, length);
    f->name.offset = (uint32_t)p->lexer.from;
    f->named = true;
    return !p->e->failed;
}

/* The word as a whole number within bounds. */
static bool take_count(parser *p, long least, long most, long *value) {
    char text[16] = "";
    if (p->lexer.length < sizeof text)
        memcpy(text, p->lexer.text, p->lexer.length);
    return swi_int_read(text, least, most, value) ||
           complain(p, SW_D_EDIF_FORM, swi_edif_span(&p->lexer),
                    "a whole number within bounds must stand here");
}

static bool take_array_size(parser *p, frame *f) {
    long count;
    uint32_t most = sw_diags_limits(p->e->diags)->nodes;
    if (!take_count(p, 1, 100000000, &count))
        return false;
    if ((uint64_t)f->width * (uint64_t)count > most)
        return complain(p, SW_D_LIMIT_NODES, swi_edif_span(&p->lexer),
                        "an array of more elements than a circuit may have nodes");
    f->width *= (uint32_t)count;
    return true;
}

static bool take_member_index(parser *p, frame *f) {
    long index;
    if (!take_count(p, 0, UINT32_MAX - 1, &index))
        return false;
    if (f->index != SWI_EDIF_NONE)
        return complain(p, SW_D_EDIF_FORM, swi_edif_span(&p->lexer),
                        "arrays of more than one dimension have no members here");
    f->index = (uint32_t)index;
    return true;
}

static void take_direction(parser *p, frame *f) {
    static const struct { const char *word; sw_pin_type type; } words[] = {
        {"input", SW_PIN_INPUT}, {"output", SW_PIN_OUTPUT}, {"inout", SW_PIN_BIDIRECTIONAL}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_equal_fold_n(p->lexer.text, p->lexer.length, words[i].word))
            f->type = words[i].type;
}

/* (e 47 -10) is 47e-10. */
static bool take_e(parser *p, frame *f) {
    sw_buf text = SW_BUF_INIT;
    if (f->text)
        sw_buf_printf(&text, "%se", f->text);
    sw_buf_put(&text, p->lexer.text, p->lexer.length);
    f->text = text.failed ? NULL : swi_edif_text(p->e, text.bytes, text.length);
    bool done = !text.failed;
    sw_buf_free(&text);
    return done || swi_edif_out(p->e);
}

static bool check_version(parser *p, frame *f) {
    if (f->numbers++ || swi_equal_fold_n(p->lexer.text, p->lexer.length, "2"))
        return true;
    return complain(p, SW_D_EDIF_VERSION, swi_edif_span(&p->lexer),
                    "only EDIF 2 0 0 is read: write that version");
}

static bool add_joint(parser *p, const frame *f) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->joints, e->joint_room, e->joint_count + 1))
        return swi_edif_out(e);
    e->joints[e->joint_count++] = (swi_edif_joint){
        .port = f->name.ident, .instance = f->instance_ref, .index = f->index,
        .instance_index = f->instance_index, .offset = f->name.offset,
        .to_port = SWI_EDIF_NONE, .to_instance = SWI_EDIF_NONE};
    return true;
}

static bool close_port_ref(parser *p, const frame *f) {
    frame *outer = p->depth > 1 ? &p->stack[p->depth - 2] : NULL;
    if (!needs_name(p, f) || !outer)
        return false;
    if (outer->form == SWI_F_PORT_INSTANCE) {
        outer->name = f->name;
        outer->index = f->index;
        outer->named = true;
    }
    return outer->form != SWI_F_JOINED || add_joint(p, f);
}

/* A port that is named in a list without a portRef round it. */
static bool close_bare_port(parser *p, const frame *f) {
    bool joined = p->depth > 1 && p->stack[p->depth - 2].form == SWI_F_JOINED;
    return needs_name(p, f) && (!joined || add_joint(p, f));
}

/* Likewise, as a mere word. */
static bool take_bare_port(parser *p) {
    frame port = {.index = SWI_EDIF_NONE, .instance_index = SWI_EDIF_NONE};
    return take_name(p, &port) && add_joint(p, &port);
}

static bool take_word(parser *p) {
    frame *f = top(p);
    switch (f->form) {
    case SWI_F_ARRAY: return f->named ? take_array_size(p, f) : take_name(p, f);
    case SWI_F_MEMBER: return f->named ? take_member_index(p, f) : take_name(p, f);
    case SWI_F_DIRECTION: take_direction(p, f); return true;
    case SWI_F_VERSION: return check_version(p, f);
    case SWI_F_JOINED: return take_bare_port(p);
    case SWI_F_E: return take_e(p, f);
    case SWI_F_INTEGER: case SWI_F_NUMBER: case SWI_F_UNIT: case SWI_F_OWNER:
        f->text = swi_edif_text(p->e, p->lexer.text, p->lexer.length);
        return !p->e->failed;
    default: return f->named || take_name(p, f);
    }
}

static bool take_string(parser *p) {
    frame *f = top(p);
    if (f->form == SWI_F_RENAME) {
        f->name.display = swi_edif_text(p->e, p->lexer.text, p->lexer.length);
    } else if (!f->text) {
        f->text = swi_edif_text(p->e, p->lexer.text, p->lexer.length);
    } else if (f->form == SWI_F_STRING) { /* pieces of one string */
        sw_buf whole = SW_BUF_INIT;
        sw_buf_puts(&whole, f->text);
        sw_buf_put(&whole, p->lexer.text, p->lexer.length);
        f->text = whole.failed ? "" : swi_edif_text(p->e, whole.bytes, whole.length);
        if (whole.failed)
            swi_edif_out(p->e);
        sw_buf_free(&whole);
    }
    return !p->e->failed;
}

/* ---- closing ---- */

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

static uint32_t *property_list(parser *p, const frame *owner) {
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
static const char *with_unit(parser *p, const frame *f) {
    static const struct { const char *unit; sw_quantity quantity; } units[] = {
        {"RESISTANCE", SW_OHMS}, {"CAPACITANCE", SW_FARADS}, {"INDUCTANCE", SW_HENRIES}};
    double value;
    const char *text = f->text ? f->text : "";
    for (size_t i = 0; f->unit && i < sizeof units / sizeof *units; i++) {
        if (!swi_equal_fold(f->unit, units[i].unit) ||
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

static bool close_property(parser *p, const frame *f) {
    swi_edif *e = p->e;
    const frame *owner = around(p, p->depth - 1);
    uint32_t *list = owner ? property_list(p, owner) : NULL;
    if (!needs_name(p, f))
        return false;
    if (!list)
        return true;
    if (!SWI_GROW(e->properties, e->property_room, e->property_count + 1))
        return swi_edif_out(e);
    const char *value = with_unit(p, f);
    bool spent = f->unit && value != f->text;
    e->properties[e->property_count] = (swi_edif_property){
        .key = f->name.display, .meaning = swi_edif_meaning_of(e, f->name.display), .value = value, .owner = f->owner ? f->owner : "",
        .unit = f->unit && !spent ? f->unit : "", .offset = f->offset, .next = *list};
    *list = (uint32_t)e->property_count++;
    return true;
}

static bool doubled(parser *p, const frame *f, const char *what) {
    sw_diag_add(p->e->diags, SW_D_EDIF_DOUBLED, swi_edif_at(p->e, f->name.offset, 1),
                "there is a %s %s already: give one of the two another name", what, f->name.ident);
    p->good = false;
    return false;
}

static bool close_library(parser *p, const frame *f) {
    return needs_name(p, f); /* its cells have found it already, see name_library */
}

/* Cells are defined under their library as soon as both have names: a library of a
 * name that is there already goes on with that one. */
static void name_library(parser *p, const frame *f) {
    p->e->libraries[f->object].name = f->name;
    p->library = swi_edif_define(p->e, SWI_S_LIBRARY, 0, f->name.ident, f->object);
}

static bool close_cell(parser *p, const frame *f) {
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

static bool close_view(parser *p, const frame *f) {
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

static bool close_port(parser *p, const frame *f) {
    swi_edif *e = p->e;
    swi_edif_port *port = &e->ports[f->object];
    swi_edif_view *view = &e->views[p->view];
    port->name = f->name;
    port->designator = f->text;
    port->type = f->type;
    port->array = f->array;
    port->width = f->width;
    port->first_bit = view->bits;
    if (view->bits > sw_diags_limits(e->diags)->nodes - f->width)
        return complain(p, SW_D_LIMIT_NODES, form_span(p, f),
                        "more elements of ports than a circuit may have nodes");
    view->bits += f->width;
    turn_round(e, &port->properties);
    return needs_name(p, f) &&
           (swi_edif_define(e, SWI_S_PORT, p->view, f->name.ident, f->object) == f->object ||
            doubled(p, f, "port"));
}

static bool close_instance(parser *p, const frame *f) {
    swi_edif *e = p->e;
    swi_edif_instance *instance = &e->instances[f->object];
    instance->name = f->name;
    instance->designator = f->text;
    instance->view_ref = f->view_ref;
    instance->cell_ref = f->cell_ref;
    instance->library_ref = f->library_ref;
    instance->array = f->array;
    instance->width = f->width;
    turn_round(e, &instance->properties);
    if (!needs_name(p, f))
        return false;
    if (!instance->off_page && !f->cell_ref)
        return complain(p, SW_D_EDIF_FORM, form_span(p, f),
                        "this instance does not say of which cell it is: (viewRef … (cellRef …))");
    return swi_edif_define(e, SWI_S_INSTANCE, p->view, f->name.ident, f->object) == f->object ||
           doubled(p, f, "instance");
}

static bool close_net(parser *p, const frame *f) {
    swi_edif *e = p->e;
    swi_edif_net *net = &e->nets[f->object];
    const frame *outer = around(p, p->depth - 1);
    if (outer && outer->form == SWI_F_NET)
        return true; /* a part of that net */
    net->name = f->name;
    net->array = f->array;
    net->width = f->width;
    net->joint_count = (uint32_t)e->joint_count - net->first_joint;
    turn_round(e, &net->properties);
    return needs_name(p, f);
}

static bool close_port_instance(parser *p, const frame *f) {
    swi_edif_pin *pin = &p->e->pins[f->object];
    pin->port = f->name.ident;
    pin->index = f->index;
    pin->designator = f->text;
    turn_round(p->e, &pin->properties);
    return needs_name(p, f);
}

static bool close_design(parser *p, const frame *f) {
    swi_edif *e = p->e;
    if (!needs_name(p, f))
        return false;
    if (!f->cell_ref)
        return complain(p, SW_D_EDIF_FORM, form_span(p, f),
                        "the design does not say which cell it is: (cellRef … (libraryRef …))");
    e->design = f->name;
    e->design_cell = f->cell_ref;
    e->design_library = f->library_ref;
    e->design_offset = f->offset;
    turn_round(e, &e->design_properties);
    return true;
}

static void hand_name(frame *outer, const frame *f) {
    if (outer->named)
        return;
    outer->name = f->name;
    outer->named = f->named;
    outer->array = outer->array || f->array || f->form == SWI_F_ARRAY;
    outer->width = f->width;
    outer->index = f->index;
}

/* What a small form tells the form around it. */
static void hand_on(frame *outer, const frame *f) {
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
static void tidy_number(parser *p, frame *f) {
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

static bool close_object(parser *p, frame *f) {
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
    case SWI_F_RENAME: case SWI_F_ARRAY:
    case SWI_F_CELL_REF: case SWI_F_LIBRARY_REF: case SWI_F_INSTANCE_REF: case SWI_F_VIEW_REF:
        return needs_name(p, f);
    case SWI_F_E: tidy_number(p, f); return !p->e->failed;
    default: return true;
    }
}

/* Closing goes on after a fault that was told, to find more of them. */
static bool close_form(parser *p) {
    if (p->depth == 0)
        return complain(p, SW_D_EDIF_SYNTAX, swi_edif_span(&p->lexer),
                        "this parenthesis closes nothing");
    frame *f = top(p);
    close_object(p, f);
    p->depth--;
    if (p->depth)
        hand_on(top(p), f);
    /* A library's name stands before its cells. */
    return !p->e->failed;
}

static void after_word(parser *p) {
    const frame *f = p->depth ? top(p) : NULL;
    if (f && f->form == SWI_F_LIBRARY && f->named && !p->e->libraries[f->object].name.ident)
        name_library(p, f);
}

/* ---- the whole ---- */

/* Files of chip makers come encrypted; those have no parenthesis to begin with. */
static bool check_start(parser *p) {
    size_t at = p->e->input->length >= 3 && memcmp(p->e->input->bytes, "\xEF\xBB\xBF", 3) == 0
                    ? 3 : 0;
    p->lexer.at = at;
    swi_edif_lexer probe = p->lexer;
    if (swi_edif_next(&probe) == SWI_EDIF_OPEN && swi_edif_next(&probe) == SWI_EDIF_WORD &&
        swi_equal_fold_n(probe.text, probe.length, "edif"))
        return true;
    size_t odd = 0, seen = p->e->input->length < 1024 ? p->e->input->length : 1024;
    for (size_t i = at; i < seen; i++) {
        unsigned char c = (unsigned char)p->e->input->bytes[i];
        odd += c >= 0x7F || (c < ' ' && !swi_is_space((char)c));
    }
    if (odd * 10 > seen)
        return complain(p, SW_D_EDIF_ENCRYPTED, swi_edif_at(p->e, (uint32_t)at, 1),
                        "this looks encrypted: only its maker's programs can read it; ask for the "
                        "plain netlist");
    return complain(p, SW_D_EDIF_START, swi_edif_at(p->e, (uint32_t)at, 1),
                    "an EDIF file begins with (edif");
}

static bool take_token(parser *p, swi_edif_token token) {
    switch (token) {
    case SWI_EDIF_OPEN: return open_form(p);
    case SWI_EDIF_CLOSE: return close_form(p);
    case SWI_EDIF_WORD: return p->depth == 0 || take_word(p);
    case SWI_EDIF_STRING: return p->depth == 0 || take_string(p);
    default: return false;
    }
}

static bool take_tokens(parser *p) {
    for (;;) {
        swi_edif_token token = swi_edif_next(&p->lexer);
        if (token == SWI_EDIF_END)
            break;
        if (!take_token(p, token))
            return false;
        after_word(p);
        if (p->depth == 0)
            return true; /* what follows the design is no part of it */
    }
    sw_diag_add(p->e->diags, SW_D_EDIF_SYNTAX, form_span(p, top(p)),
                "the file ends before this form is closed (%zu are open): is it cut off?",
                p->depth);
    return false;
}

bool swi_edif_parse(swi_edif *e) {
    parser p = {.e = e, .lexer = {.input = e->input, .diags = e->diags, .decoded = SW_BUF_INIT},
                .most = sw_diags_limits(e->diags)->nesting, .good = true};
    p.stack = malloc((p.most + 1) * sizeof *p.stack);
    bool done = p.stack ? check_start(&p) && take_tokens(&p) : swi_edif_out(e);
    if (p.lexer.decoded.failed)
        done = swi_edif_out(e);
    free(p.stack);
    sw_buf_free(&p.lexer.decoded);
    return done && p.good && !e->failed;
}
