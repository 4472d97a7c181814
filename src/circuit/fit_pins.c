/* Which pin of the package each node of a netlist line goes to. */
#include "circuit/fit.h"

#include <string.h>

/* What one netlist part is being mapped with. */
typedef struct mapping {
    swi_fit *fit;
    const swi_group *group;
    swi_member *member;
    swi_made_pin *pins;
} mapping;

/* ---- putting a node on a pin ---- */

static void fail(mapping *m) {
    m->member->failed = true;
    m->fit->impossible = true;
}

static const char *pin_name(const swi_group *g, int index) {
    return g->known ? g->known->pins[index].name : "";
}

static void put(mapping *m, const sw_pin *pin, int index) {
    swi_made_pin *to = &m->pins[index];
    uint32_t node = swi_fit_node(m->fit, pin->node.i);
    if (to->stated && to->node != node) {
        const char *name = pin_name(m->group, index);
        bool supply = m->group->known && m->group->known->unit_count > 1 &&
                      m->group->known->pins[index].unit == 0;
        sw_diag_add(m->fit->diags, supply ? SW_D_FIT_SUPPLY_CLASH : SW_D_FIT_PIN_CLASH,
                    pin->span, "%s puts node %s on pin %s%s%s%s of %s, where node %s is already: %s",
                    m->member->part->ref, swi_fit_node_name(m->fit, node), to->number,
                    *name ? " (" : "", name, *name ? ")" : "", m->group->ref,
                    swi_fit_node_name(m->fit, to->node),
                    supply ? "units of one device share their supply, so give both the same nodes "
                             "or make them two parts (another ref=)"
                           : "correct pins= (or unit=) so that each pin has one node");
        fail(m);
        return;
    }
    to->node = node;
    to->stated = true;
    if (!m->group->known && *pin->name) /* of a device that is not known the netlist tells */
        to->name = pin->name;
    if (!m->group->known && pin->type != SW_PIN_UNKNOWN)
        to->type = pin->type;
    to->span = pin->span;
    m->fit->pin_to[pin - m->fit->netlist->pins] = (uint32_t)index;
}

/* ---- pins= ---- */

static bool is_between(char c) {
    return c == ',' || c == ';' || swi_is_space(c);
}

/* The next word of a list: false at its end. */
static bool next_word(const char **at, const char **word, size_t *length) {
    while (is_between(**at))
        ++*at;
    *word = *at;
    while (**at && !is_between(**at))
        ++*at;
    *length = (size_t)(*at - *word);
    return *length != 0;
}

static uint32_t count_words(const char *list) {
    const char *word;
    size_t length;
    uint32_t count = 0;
    while (next_word(&list, &word, &length))
        count++;
    return count;
}

static void put_stated(mapping *m, const char *list) {
    const sw_part *part = m->member->part;
    const sw_pin *pins = swi_fit_pins(m->fit, m->member);
    sw_span span = swi_fit_span(m->member, SWI_CELL_PINS);
    uint32_t count = count_words(list);
    if (count != part->pin_count) {
        sw_diag_add(m->fit->diags, SW_D_FIT_PINS, span,
                    "pins=%s names %u pins, but %s has %u nodes: name one pin for each node in "
                    "the line's order (- for a node that goes to no pin)",
                    list, count, part->ref, part->pin_count);
        fail(m);
        return;
    }
    const char *word, *at = list;
    size_t length;
    for (uint32_t i = 0; i < count && next_word(&at, &word, &length); i++) {
        if (length == 1 && *word == '-' && swi_fit_find_pin(m->group, word, 1, 0) < 0)
            continue;
        int index = swi_fit_find_pin(m->group, word, length, m->member->unit);
        if (index >= 0) {
            put(m, &pins[i], index);
            continue;
        }
        sw_diag_add(m->fit->diags, SW_D_FIT_PINS, span,
                    "pins=%s: %s has no pin %.*s%s", list,
                    m->group->known ? m->group->known->name : m->group->form->name, (int)length,
                    word, m->group->known ? "" : ": its pins go by number, since no device names "
                    "them");
        fail(m);
    }
}

/* ---- names and numbers ---- */

/* What a deck's line calls its nodes by place (Berkeley SPICE3 manual 3). */
static const char *name_by_place(char kind, uint32_t place) {
    static const struct { char kind; const char *names[4]; } lines[] = {
        {'Q', {"C", "B", "E", "S"}}, {'D', {"A", "K"}}, {'J', {"D", "G", "S"}},
        {'Z', {"D", "G", "S"}}, {'M', {"D", "G", "S", "B"}}, {'C', {"+", "-"}}};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (lines[i].kind == kind)
            return place < 4 && lines[i].names[place] ? lines[i].names[place] : "";
    return "";
}

static const char *called(const mapping *m, uint32_t i) {
    const sw_pin *pin = &swi_fit_pins(m->fit, m->member)[i];
    const char *name = m->member->part->flat ? name_by_place(m->member->part->kind, i) : "";
    return *name ? name : pin->number;
}

/* Which pin the name alone tells, when that is another than the number's; else -1. */
static int named_otherwise(const mapping *m, uint32_t i) {
    const sw_pin *pin = &swi_fit_pins(m->fit, m->member)[i];
    const char *number = called(m, i);
    int by_number = swi_fit_find_pin(m->group, number, strlen(number), m->member->unit);
    if (by_number < 0 || !*pin->name)
        return -1;
    int by_name = swi_fit_find_named(m->group, pin->name, m->member->unit);
    return by_name == by_number ? -1 : by_name;
}

/* Small parts are numbered by each drawing in its own way, but a collector is a collector. */
static bool names_beat_numbers(const mapping *m) {
    return m->group->form->pin_count <= 3;
}

static int find(const mapping *m, uint32_t i) {
    const sw_pin *pin = &swi_fit_pins(m->fit, m->member)[i];
    const char *name = called(m, i);
    int otherwise = named_otherwise(m, i);
    if (otherwise >= 0 && names_beat_numbers(m))
        return otherwise;
    int index = swi_fit_find_pin(m->group, name, strlen(name), m->member->unit);
    if (index < 0 && *pin->name)
        index = swi_fit_find_pin(m->group, pin->name, strlen(pin->name), m->member->unit);
    return index;
}

/* Number and name say different things: told once a part, by its first such pin. */
static void report_named(mapping *m, uint32_t leads) {
    const sw_pin *pins = swi_fit_pins(m->fit, m->member);
    uint32_t i = 0;
    while (i < leads && named_otherwise(m, i) < 0)
        i++;
    if (i == leads)
        return;
    const char *has = m->group->form->pins[named_otherwise(m, i)];
    const char *what = m->group->known ? m->group->known->name : m->group->form->name;
    if (names_beat_numbers(m)) {
        sw_diag_add(m->fit->diags, SW_D_FIT_PIN_NAMED, pins[i].span,
                    "the netlist calls pin %s of %s %s, but %s has its %s at pin %s: its pins are "
                    "taken by their names; state pins= if the numbers are right", pins[i].number,
                    m->member->part->ref, pins[i].name, what, pins[i].name, has);
        swi_fit_note(m->fit, m->member, "pins by name");
        return;
    }
    sw_diag_add(m->fit->diags, SW_D_FIT_PIN_CONFLICT, pins[i].span,
                "the netlist calls pin %s of %s %s, but %s has its %s at pin %s: state pins= from "
                "the data sheet of the one in hand, or correct the netlist", pins[i].number,
                m->member->part->ref, pins[i].name, what, pins[i].name, has);
    fail(m);
}

/* A node that a model has and the part has not: the bulk of a discrete MOSFET is
 * joined to its source, the substrate of a transistor to nothing that matters. */
static bool may_be_lost(const mapping *m, uint32_t i) {
    const sw_part *part = m->member->part;
    const sw_pin *pins = swi_fit_pins(m->fit, m->member);
    if (i != 3 || (part->kind != 'M' && part->kind != 'Q'))
        return false;
    return part->kind == 'Q' ||
           swi_fit_node(m->fit, pins[3].node.i) == swi_fit_node(m->fit, pins[2].node.i);
}

static void list_pins(const mapping *m, sw_buf *out) {
    const sw_device *d = m->group->known;
    for (int i = 0; i < m->group->form->pin_count && out->length < 160; i++) {
        sw_buf_printf(out, "%s%s", i ? " " : "", m->group->form->pins[i]);
        if (d && !swi_equal_fold(d->pins[i].name, m->group->form->pins[i]))
            sw_buf_printf(out, "=%s", d->pins[i].name);
    }
}

static bool is_lost(const mapping *m, uint32_t i) {
    return find(m, i) < 0 && !may_be_lost(m, i);
}

/* "o2 (node n2), o1 (node n1) and 4 more": the pins from `first` on that are lost. */
static uint32_t list_lost(const mapping *m, uint32_t first, uint32_t leads, sw_buf *out) {
    enum { NAMED = 6 };
    const sw_pin *pins = swi_fit_pins(m->fit, m->member);
    uint32_t count = 0;
    for (uint32_t i = first; i < leads; i++)
        if (is_lost(m, i) && count++ < NAMED)
            sw_buf_printf(out, "%s%s (node %s)", count > 1 ? ", " : "", called(m, i),
                          swi_fit_node_name(m->fit, pins[i].node.i));
    if (count > NAMED)
        sw_buf_printf(out, " and %u more", count - NAMED);
    return count;
}

/* All of a part at once: they have one cause and one mend. */
static void report_lost(mapping *m, uint32_t first, uint32_t leads) {
    sw_buf lost = SW_BUF_INIT, list = SW_BUF_INIT;
    uint32_t count = list_lost(m, first, leads, &lost);
    list_pins(m, &list);
    sw_diag_add(m->fit->diags, SW_D_FIT_PIN_LOST, swi_fit_pins(m->fit, m->member)[first].span,
                "%s has no pin%s %s of %s's line: state pins= with one of these for each node of "
                "the line: %s",
                m->group->known ? m->group->known->name : m->group->form->name,
                count > 1 ? "s" : "", lost.bytes ? lost.bytes : "", m->member->part->ref,
                list.bytes ? list.bytes : "");
    sw_buf_free(&lost);
    sw_buf_free(&list);
    fail(m);
}

/* Subcircuits of amplifiers and comparators with five nodes mostly have this order (common
 * practice), but not all. */
static void put_amplifier_order(const mapping *m, sw_buf *list) {
    static const char *const names[] = {"IN+", "IN-", "V+", "V-", "OUT"};
    unsigned unit = m->group->known->unit_count > 1;
    bool has = m->member->part->pin_count == 5;
    for (int i = 0; has && i < 5; i++)
        has = swi_fit_find_pin(m->group, names[i], strlen(names[i]), unit) >= 0;
    if (has)
        sw_buf_printf(list, "; if its model is one of those that have the inputs first and the output last, "
                            "`*@ %s%s pins=IN+,IN-,V+,V-,OUT`, or those cells in a parts sheet",
                      m->member->part->ref, unit ? " unit=A" : "");
}

/* No example to copy where the device's own names tell more. */
static void report_order_of_known(mapping *m) {
    const sw_part *part = m->member->part;
    sw_buf list = SW_BUF_INIT;
    list_pins(m, &list);
    put_amplifier_order(m, &list);
    sw_diag_add(m->fit->diags, SW_D_FIT_PIN_ORDER, part->span,
                "the nodes of %s (%s) are not named, so nobody says which pins of the device they "
                "are: state pins= with one of these for each node, in the line's order%s: %s",
                part->ref, m->group->known->name,
                m->group->known->unit_count > 1 ? " (and unit= for one unit of it)" : "",
                list.bytes ? list.bytes : "");
    sw_buf_free(&list);
    fail(m);
}

static void report_order(mapping *m) {
    if (m->group->known) {
        report_order_of_known(m);
        return;
    }
    const sw_part *part = m->member->part;
    const char *device = *m->member->device ? m->member->device : part->value;
    sw_buf nodes = SW_BUF_INIT, example = SW_BUF_INIT;
    for (uint32_t i = 0; i < part->pin_count && i < 8; i++) {
        sw_buf_printf(&nodes, "%s%s", i ? "," : "", called(m, i));
        sw_buf_printf(&example, "%s%u", i ? "," : "", i + 1);
    }
    sw_diag_add(m->fit->diags, SW_D_FIT_PIN_ORDER, part->span,
                "nobody says which pin of %s (%s) is which: state the package's pins for its "
                "nodes %s from the data sheet, such as `*@ %s package=%s pins=%s`, or those cells "
                "in a parts sheet", part->ref, *device ? device : "no device named",
                nodes.bytes ? nodes.bytes : "", *device ? device : part->ref,
                m->group->form ? m->group->form->name : "TO-92", example.bytes ? example.bytes : "");
    sw_buf_free(&nodes);
    sw_buf_free(&example);
    fail(m);
}

static bool is_transistor(char kind) {
    return kind == 'Q' || kind == 'J' || kind == 'M' || kind == 'Z';
}

/* Leads of a switch beyond the second are what works it, not contacts. */
static uint32_t leads_of(const sw_part *part) {
    return part->kind == 'S' && part->pin_count > 2 ? 2 : part->pin_count;
}

static void put_named(mapping *m) {
    const sw_part *part = m->member->part;
    uint32_t found = 0, leads = leads_of(part);
    for (uint32_t i = 0; i < leads; i++)
        found += find(m, i) >= 0;
    if (!m->group->known && found < leads && !may_be_lost(m, found) &&
        (is_transistor(part->kind) || part->kind == 'X')) {
        report_order(m);
        return;
    }
    uint32_t lost = leads; /* the first */
    for (uint32_t i = 0; i < leads; i++) {
        int index = find(m, i);
        if (index >= 0)
            put(m, &swi_fit_pins(m->fit, m->member)[i], index);
        else if (!may_be_lost(m, i))
            lost = lost < i ? lost : i;
    }
    if (lost < leads)
        report_lost(m, lost, leads);
    report_named(m, leads);
}

/* ---- positions ---- */

/* Points of the package that are one electrically count once. */
static bool is_first_of_joined(const sw_package *form, int index) {
    for (int i = 0; form->joined && form->joined[index] && i < index; i++)
        if (form->joined[i] == form->joined[index])
            return false;
    return true;
}

static uint32_t count_points(const sw_package *form) {
    uint32_t count = 0;
    for (int i = 0; i < form->pin_count; i++)
        count += is_first_of_joined(form, i);
    return count;
}

static void put_each(mapping *m, bool points) {
    const sw_package *form = m->group->form;
    const sw_pin *pins = swi_fit_pins(m->fit, m->member);
    uint32_t next = 0, leads = leads_of(m->member->part);
    for (int i = 0; i < form->pin_count && next < leads; i++)
        if (!points || is_first_of_joined(form, i))
            put(m, &pins[next++], i);
}

/* A push button's legs, say, have no names of their own: which contact is which makes no
 * difference. */
static bool names_its_pins(const swi_group *g) {
    for (int i = 0; g->known && i < g->form->pin_count; i++)
        if (!swi_equal_fold(g->known->pins[i].name, g->form->pins[i]))
            return true;
    return false;
}

/* Only for what has no other way: three legs and more in a device's package may
 * stand in any order, and for three nobody but the data sheet knows it. */
static void put_by_position(mapping *m) {
    const sw_part *part = m->member->part;
    const sw_package *form = m->group->form;
    uint32_t leads = leads_of(part);
    if (leads == count_points(form) && leads <= 2 && !(names_its_pins(m->group) && part->kind == 'X')) {
        put_each(m, true);
        return;
    }
    if (leads != form->pin_count || leads <= 3) {
        report_order(m);
        return;
    }
    sw_diag_add(m->fit->diags, SW_D_FIT_BY_POSITION, part->span,
                "the nodes of %s are taken as pins 1 to %u of %s in the line's order, since the "
                "line does not name them: state pins= to be sure", part->ref, leads, form->name);
    swi_fit_note(m->fit, m->member, "pins by position");
    put_each(m, false);
}

/* Two nodes on legs that are joined would be no switch: a drawing numbers the contacts 1 and 2, not
 * the legs. */
static bool names_joined_legs(const mapping *m) {
    const sw_pin *pins = swi_fit_pins(m->fit, m->member);
    const uint16_t *joined = m->group->form->joined;
    if (!joined || m->member->part->pin_count != 2 || pins[0].node.i == pins[1].node.i)
        return false;
    int a = swi_fit_find_pin(m->group, pins[0].number, strlen(pins[0].number), 0);
    int b = swi_fit_find_pin(m->group, pins[1].number, strlen(pins[1].number), 0);
    return a >= 0 && b >= 0 && joined[a] && joined[a] == joined[b];
}

/* A thing called by what it is, in a line that names no pins or counts its contacts. */
static bool is_by_order(const mapping *m) {
    uint32_t points = count_points(m->group->form);
    bool counted = points < m->group->form->pin_count || m->member->part->flat;
    if (leads_of(m->member->part) != points)
        return false;
    return (m->group->worded && counted) || names_joined_legs(m);
}

bool swi_fit_map(swi_fit *fit, const swi_group *group, swi_member *member, swi_made_pin *pins) {
    mapping m = {fit, group, member, pins};
    const char *stated = member->stated.cell[SWI_CELL_PINS];
    char kind = member->part->kind;
    if (*stated)
        put_stated(&m, stated);
    else if (is_by_order(&m))
        put_each(&m, true);
    else if (member->part->flat && !*name_by_place(kind, 0))
        put_by_position(&m);
    else
        put_named(&m);
    return !member->failed;
}

/* ---- supply=NODE:PIN,… ---- */

static void put_supply(swi_fit *fit, const swi_group *group, const swi_member *member,
                       swi_made_pin *pins, const char *word, size_t length) {
    sw_span span = swi_fit_span(member, SWI_CELL_SUPPLY);
    const char *colon = word + length;
    while (colon > word && *colon != ':')
        colon--;
    int index = -1;
    if (colon > word)
        index = swi_fit_find_pin(group, colon + 1, (size_t)(word + length - colon - 1), 0);
    if (index < 0) {
        sw_diag_add(fit->diags, SW_D_FIT_SUPPLY, span,
                    "supply=%s: %.*s is not NODE:PIN with a pin of %s",
                    member->stated.cell[SWI_CELL_SUPPLY], (int)length, word,
                    group->known ? group->known->name : group->form->name);
        fit->impossible = true;
        return;
    }
    uint32_t node = swi_fit_node_called(fit, word, (size_t)(colon - word),
                                        member->stated.row[SWI_CELL_SUPPLY]->path, member);
    if (node == SW_NONE)
        return;
    swi_made_pin *pin = &pins[index];
    if (pin->stated && pin->node != node) {
        sw_diag_add(fit->diags, SW_D_FIT_SUPPLY_CLASH, span,
                    "supply= puts node %s on pin %s of %s, where node %s is already: make them "
                    "agree", swi_fit_node_name(fit, node), pin->number, group->ref,
                    swi_fit_node_name(fit, pin->node));
        fit->impossible = true;
        return;
    }
    pin->node = node;
    pin->stated = true;
    pin->span = span;
}

bool swi_fit_map_supply(swi_fit *fit, const swi_group *group, const swi_member *member,
                        swi_made_pin *pins) {
    const char *at = member->stated.cell[SWI_CELL_SUPPLY], *word;
    size_t length;
    bool before = fit->impossible;
    fit->impossible = false;
    while (next_word(&at, &word, &length))
        put_supply(fit, group, member, pins, word, length);
    bool good = !fit->impossible;
    fit->impossible = fit->impossible || before;
    return good;
}
