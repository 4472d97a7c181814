/* One part on the board from all netlist parts of one reference. */
#include "circuit/fit.h"

#include <string.h>

static sw_span group_span(const swi_fit *fit, const swi_group *g) {
    return fit->members[g->first].part->span;
}

/* ---- what the members say together ---- */

static const char *said_by_part(const swi_member *m, swi_cell_id cell) {
    switch (cell) {
    case SWI_CELL_DEVICE: return m->part->device;
    case SWI_CELL_PACKAGE: return m->part->package;
    default: return "";
    }
}

/* The cell as any member states it; those that do must agree. */
static const char *agreed(swi_fit *fit, const swi_group *g, swi_cell_id cell) {
    const char *text = "";
    const swi_member *by = NULL;
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next) {
        const swi_member *m = &fit->members[i];
        const char *said = *m->stated.cell[cell] ? m->stated.cell[cell] : said_by_part(m, cell);
        if (!*said || (by && swi_equal_fold(said, text)))
            continue;
        if (by) {
            sw_diag_add(fit->diags, SW_D_FIT_ROW_CLASH, swi_fit_span(m, cell),
                        "%s and %s are one part (%s), but one says %s=%s and the other %s=%s: make "
                        "them agree", by->part->ref, m->part->ref, g->ref, swi_cell_names[cell],
                        text, swi_cell_names[cell], said);
            fit->impossible = true;
            return text;
        }
        text = said;
        by = m;
    }
    return text;
}

static bool is_adjustable(const char *device) {
    return swi_equal_fold(device, "preset") || swi_equal_fold(device, "trimmer") ||
           swi_equal_fold(device, "potentiometer");
}

/* A device's name may stand where the value is: people write U1 LM358 so, and drawings have a
 * symbol NPN with the value BC547. */
static bool value_may_name(char kind) {
    return !strchr("RCLPVI", kind);
}

static void choose_device(swi_fit *fit, swi_group *g) {
    swi_member *first = &fit->members[g->first];
    g->kind = first->kind;
    g->device = agreed(fit, g, SWI_CELL_DEVICE);
    g->known = *g->device ? sw_library_device(fit->library, g->device) : NULL;
    bool stated = *first->stated.cell[SWI_CELL_DEVICE];
    const char *value = swi_fit_value_said(first);
    if (!g->known && !stated && *value && value_may_name(g->kind)) {
        g->known = sw_library_device(fit->library, value);
        if (g->known)
            g->device = value;
    }
    const char *word = g->known ? "" : swi_word_device(g->kind, g->device, value);
    if (*word) {
        g->known = sw_library_device(fit->library, word);
        g->worded = g->known != NULL;
    }
    if (is_adjustable(g->device) || (g->known && swi_match("TRIM-*", g->known->package)))
        g->kind = 'P';
    if (g->known && !swi_equal_fold(g->known->name, g->device))
        swi_fit_note(fit, first, SWI_CAT(fit, "pinned as ", g->known->name));
}

/* ---- package ---- */

static void report_no_package(swi_fit *fit, const swi_group *g) {
    const swi_member *m = &fit->members[g->first];
    bool transistor = strchr("QJMZ", g->kind) != NULL;
    if (transistor)
        sw_diag_add(fit->diags, SW_D_FIT_PIN_ORDER, m->part->span,
                    "%s: the pin order of %s is not known: state its package and, from the data "
                    "sheet, the package's pins for its nodes %s, such as `*@ %s package=TO-92 "
                    "pins=%s`, or those cells in a parts sheet", g->ref,
                    *g->device ? g->device : "this transistor", g->kind == 'Q' ? "C,B,E" : "D,G,S",
                    *g->device ? g->device : g->ref, m->part->pin_count == 4 ? "1,2,3,-" : "1,2,3");
    else
        sw_diag_add(fit->diags, SW_D_FIT_NO_PACKAGE, m->part->span,
                    "%s%s%s%s: no package is stated and none follows from its kind and value: "
                    "state %spackage= (and pins= if the line does not number them), or place=off for "
                    "a part beside the board, or omit=yes", g->ref, *g->device ? " (" : "",
                    g->device, *g->device ? ")" : "", *g->device || *g->value ? "" : "its value or device, or ");
    fit->impossible = true;
}

static uint32_t most_pins(const swi_fit *fit, const swi_group *g) {
    uint32_t most = 0;
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next)
        if (fit->members[i].part->pin_count > most)
            most = fit->members[i].part->pin_count;
    return most;
}

static const char *guess(swi_fit *fit, const swi_group *g) {
    swi_member *first = &fit->members[g->first];
    const char *package = swi_guess_package(g->kind, g->ref, g->value, g->device,
                                            most_pins(fit, g));
    if (!*package)
        return package;
    swi_fit_note(fit, first, "package by kind and value");
    fit->guessed++;
    return package;
}

static bool check_form(swi_fit *fit, const swi_group *g) {
    const swi_member *m = &fit->members[g->first];
    sw_span span = swi_fit_span(m, SWI_CELL_PACKAGE);
    if (!g->form) {
        sw_diag_add(fit->diags, SW_D_FIT_PACKAGE_UNKNOWN, span,
                    "%s: there is no package %s in the library: take one of `stripwright list "
                    "packages`, or give yours with --library: a table of packages, or the folder of the "
                    "drawing program's footprints", g->ref, g->package);
    } else if (g->known && g->form->pin_count != g->known->pin_count) {
        sw_diag_add(fit->diags, SW_D_FIT_PACKAGE_DEVICE, span,
                    "%s: %s has %u pins and %s %u: state the package that the device has, or "
                    "another device", g->ref, g->known->name, g->known->pin_count, g->form->name,
                    g->form->pin_count);
    } else {
        return true;
    }
    fit->impossible = true;
    return false;
}

static bool choose_package(swi_fit *fit, swi_group *g) {
    g->package = agreed(fit, g, SWI_CELL_PACKAGE);
    if (sw_library_package_vague(fit->library, g->package))
        g->package = "";
    if (!*g->package)
        g->package = g->known ? g->known->package : guess(fit, g);
    if (!*g->package) {
        report_no_package(fit, g);
        return false;
    }
    g->form = sw_library_package(fit->library, g->package);
    if (!check_form(fit, g))
        return false;
    g->package = g->form->name;
    if (sw_package_takes_wires(g->package))
        g->kind = 'N'; /* J1 is a connector here, whatever J is in a deck */
    if (g->known && g->known->unsafe_order)
        sw_diag_add(fit->diags, SW_D_FIT_UNSAFE_ORDER, group_span(fit, g),
                    "%s: makers of %s do not agree on the order of its pins (%s): read the data "
                    "sheet of the one in hand and state pins= if it differs", g->ref,
                    g->known->name, g->known->note);
    return true;
}

/* ---- value ---- */

/* Two resistors that make a preset are worth their sum. */
static const char *sum_of_values(swi_fit *fit, const swi_group *g) {
    double sum = 0, value;
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next) {
        const swi_member *m = &fit->members[i];
        if (m->kind != 'R' || !swi_fit_value('R', m->part->value, &value))
            return "";
        sum += value;
    }
    sw_buf text = SW_BUF_INIT;
    sw_value_write(sum, SW_OHMS, &text);
    fit->out = fit->out || text.failed;
    const char *kept = text.bytes ? swi_fit_copy(fit, text.bytes, text.length) : "";
    sw_buf_free(&text);
    return kept;
}

static void choose_value(swi_fit *fit, swi_group *g) {
    const swi_member *first = &fit->members[g->first];
    g->value = agreed(fit, g, SWI_CELL_VALUE);
    if (*g->value || strchr("EFGHB", first->part->kind)) /* a gain is of the model alone */
        return;
    g->value = first->next == SW_NONE ? first->part->value
               : g->kind == 'P'       ? sum_of_values(fit, g)
                                      : "";
}

/* ---- units ---- */

static bool report_unit(swi_fit *fit, swi_member *m, const char *device, const char *unit,
                        const char *why) {
    sw_diag_add(fit->diags, SW_D_FIT_UNIT, swi_fit_span(m, SWI_CELL_UNIT),
                "%s is a unit of %s: unit=%s %s", m->part->ref, device, unit, why);
    m->failed = true;
    fit->impossible = true;
    return false;
}

/* A, B, … or 1, 2, …; 0 when it is neither. */
static unsigned read_unit(const char *text) {
    unsigned unit = 0;
    if (swi_is_alpha(text[0]) && !text[1])
        return (unsigned)(swi_upper(text[0]) - 'A') + 1;
    for (; swi_is_digit(*text) && unit < 1000; text++)
        unit = unit * 10 + (unsigned)(*text - '0');
    return *text ? 0 : unit;
}

/* A line of more nodes than one unit and the supply have pins is the whole device's,
 * whatever it calls them. */
static bool exceeds_a_unit(const sw_device *device, uint32_t nodes) {
    uint32_t pins = 0;
    for (int i = 0; i < device->pin_count; i++)
        pins += device->pins[i].unit <= 1; /* units are alike, 0 is what they share */
    return nodes > pins;
}

/* Whether numbers and names alone tell the pins, so that no unit is asked for. */
static bool names_whole_device(const swi_fit *fit, const swi_group *g, const swi_member *m) {
    const sw_pin *pins = swi_fit_pins(fit, m);
    if (m->part->flat)
        return false;
    for (uint32_t i = 0; i < m->part->pin_count; i++)
        if (swi_fit_find_pin(g, pins[i].number, strlen(pins[i].number), 0) < 0 &&
            swi_fit_find_pin(g, pins[i].name, strlen(pins[i].name), 0) < 0)
            return false;
    return true;
}

static bool choose_unit(swi_fit *fit, const swi_group *g, swi_member *m) {
    const char *stated = m->stated.cell[SWI_CELL_UNIT];
    if (*stated) {
        unsigned unit = read_unit(stated), count = g->known ? g->known->unit_count : 0;
        if (!g->known)
            return report_unit(fit, m, *g->device ? g->device : "no known device", stated,
                               "needs a device= whose units the library knows");
        if (unit < 1 || unit > count)
            return report_unit(fit, m, g->known->name, stated,
                               "is none of its units: they are A, B, … or 1, 2, …");
        for (uint32_t i = g->first; &fit->members[i] != m; i = fit->members[i].next)
            if (fit->members[i].unit == unit)
                return report_unit(fit, m, g->known->name, stated,
                                   "is taken by another line already");
        m->unit = (uint8_t)unit;
        return true;
    }
    if (!g->known || g->known->unit_count < 2 || *m->stated.cell[SWI_CELL_PINS] ||
        exceeds_a_unit(g->known, m->part->pin_count) || names_whole_device(fit, g, m))
        return true;
    if (g->first != g->last)
        return report_unit(fit, m, g->known->name, "…", "is to be stated for each of the lines");
    m->unit = 1;
    swi_fit_note(fit, m, "unit A, the first");
    return true;
}

/* ---- pins ---- */

static void name_pins(const swi_group *g, swi_made_pin *pins) {
    static const struct { char kind; const char *names[3]; } polar[] = {
        {'D', {"K", "A", NULL}}, {'C', {"+", "-", NULL}}};
    bool electrolytic = swi_match("ELEC-*", g->form->name);
    for (int i = 0; i < g->form->pin_count; i++) {
        pins[i] = (swi_made_pin){.number = g->form->pins[i], .name = "", .node = SW_NONE};
        if (g->known) {
            pins[i].name = g->known->pins[i].name;
            pins[i].type = g->known->pins[i].type;
            continue;
        }
        if (strchr("RCLDP", g->kind))
            pins[i].type = SW_PIN_PASSIVE;
        for (size_t k = 0; k < 2; k++)
            if (polar[k].kind == g->kind && g->form->pin_count == 2 && (k == 0 || electrolytic))
                pins[i].name = polar[k].names[i];
    }
}

/* The legs that a package joins inside are on one node, whether a line names all of
 * them or one. */
static void share_joined(swi_fit *fit, const swi_group *g, swi_made_pin *pins) {
    const sw_package *form = g->form;
    for (int i = 0; form->joined && i < form->pin_count; i++) {
        for (int k = 0; form->joined[i] && pins[i].stated && k < form->pin_count; k++) {
            if (form->joined[k] != form->joined[i] || pins[k].node == pins[i].node)
                continue;
            if (!pins[k].stated) {
                pins[k].node = pins[i].node;
                pins[k].span = pins[i].span;
                continue;
            }
            sw_diag_add(fit->diags, SW_D_FIT_JOINED, pins[k].span,
                        "pins %s and %s of %s are joined inside its %s, so nodes %s and %s would "
                        "be one: use pins that are not joined, or make the nodes one",
                        pins[i].number, pins[k].number, g->ref, form->name,
                        swi_fit_node_name(fit, pins[i].node), swi_fit_node_name(fit, pins[k].node));
            fit->impossible = true;
            return;
        }
    }
}

/* ---- the part ---- */

swi_made *swi_fit_made(swi_fit *fit, const char *ref, char kind, sw_span span, uint32_t owner) {
    if (!SWI_GROW(fit->made, fit->made_room, fit->made_count + 1)) {
        fit->out = true;
        return NULL;
    }
    swi_made *made = &fit->made[fit->made_count++];
    *made = (swi_made){.owner = owner,
                       .part = {.ref = ref, .value = "", .device = "", .package = "", .path = "",
                                .kind = kind, .span = span,
                                .first_pin = {(uint32_t)fit->pin_count}}};
    return made;
}

swi_made_pin *swi_fit_made_pin(swi_fit *fit, const char *number, const char *name, uint32_t node,
                               sw_span span) {
    if (!SWI_GROW(fit->pins, fit->pin_room, fit->pin_count + 1)) {
        fit->out = true;
        return NULL;
    }
    swi_made_pin *pin = &fit->pins[fit->pin_count++];
    *pin = (swi_made_pin){.number = number, .name = name, .node = node, .span = span};
    fit->made[fit->made_count - 1].part.pin_count++;
    return pin;
}

static bool is_polarised(const swi_group *g) {
    if (g->form->pin_count != 2)
        return false;
    if (g->known && g->known->pin_count == 2)
        return swi_same_pin_name(g->known->pins[0].name, "K") ||
               swi_same_pin_name(g->known->pins[1].name, "K") ||
               swi_equal_fold(g->known->pins[0].name, "+");
    return g->kind == 'D' || (g->kind == 'C' && swi_match("ELEC-*", g->form->name));
}

static void make_part(swi_fit *fit, const swi_group *g, const swi_made_pin *pins) {
    const swi_member *first = &fit->members[g->first];
    swi_made *made = swi_fit_made(fit, g->ref, g->kind, first->part->span, g->first);
    if (!made)
        return;
    made->part.value = g->value;
    made->part.device = g->device;
    made->part.package = g->package;
    made->part.path = first->part->path;
    made->part.form = g->form;
    made->part.known = g->known;
    made->part.polarised = is_polarised(g) || first->part->polarised;
    made->part.terminal = first->part->terminal;
    for (int i = 0; i < g->form->pin_count; i++) {
        swi_made_pin *pin = swi_fit_made_pin(fit, pins[i].number, pins[i].name, pins[i].node,
                                             pins[i].stated ? pins[i].span : first->part->span);
        if (!pin)
            return;
        pin->type = pins[i].type;
        pin->stated = pins[i].stated;
    }
}

void swi_fit_part(swi_fit *fit, swi_group *g) {
    choose_device(fit, g);
    choose_value(fit, g);
    if (!choose_package(fit, g))
        return;
    swi_made_pin *pins = swi_arena_array(fit->arena, g->form->pin_count, sizeof *pins);
    if (!pins) {
        fit->out = true;
        return;
    }
    name_pins(g, pins);
    bool good = true;
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next) {
        swi_member *m = &fit->members[i];
        good = choose_unit(fit, g, m) && swi_fit_map(fit, g, m, pins) && good;
    }
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next)
        good = swi_fit_map_supply(fit, g, &fit->members[i], pins) && good;
    share_joined(fit, g, pins);
    if (good)
        make_part(fit, g, pins);
}
