/* What does not go on the board: sources, ammeters, and parts beside it, which
 * leave terminal pins on it.
 */
#include "circuit/fit.h"
#include "base/num.h"

#include <string.h>

/* ---- what a source gives ---- */

static const char *skip_blanks(const char *text) {
    while (swi_is_space(*text) || *text == '=')
        text++;
    return text;
}

static bool skip_word(const char **at, const char *word) {
    size_t length = strlen(word);
    if (strlen(*at) < length || !swi_equal_fold_n(*at, length, word) || swi_is_alpha((*at)[length]))
        return false;
    *at = skip_blanks(*at + length);
    return true;
}

static bool varies(const char *at) {
    static const char *const words[] = {"AC", "SIN", "PULSE", "EXP", "PWL", "SFFM"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (skip_word(&at, words[i]))
            return true;
    return false;
}

/* Berkeley SPICE3 manual 3.2.1: <<DC> value> <AC …> <a function>.  A value alone is
 * direct; what varies with time is a signal, whatever its value at rest. */
bool swi_source_direct(const char *text, double *value) {
    const char *at = skip_blanks(text);
    *value = 0;
    if (!*at)
        return true;
    skip_word(&at, "DC");
    size_t used = swi_real_read(at, strlen(at), value);
    if (used == 0)
        return false;
    size_t end = used;
    while (at[end] && !swi_is_space(at[end]))
        end++;
    char word[48];
    if (end >= sizeof word)
        return false;
    memcpy(word, at, end);
    word[end] = '\0';
    bool deck = !strchr(word, ','); /* in a deck a comma parts words; in a table 4,5 is a number */
    if (!sw_value_read(word, SW_OTHER, deck, value))
        return false;
    at = skip_blanks(at + end);
    return !varies(at);
}

bool swi_is_ground_name(const char *name) {
    static const char *const names[] = {"0", "GND", "VSS", "AGND", "DGND", "0V"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (swi_equal_fold(name, names[i]))
            return true;
    return false;
}

static bool node_is_ground(const swi_fit *fit, uint32_t node) {
    return swi_is_ground_name(swi_fit_node_name(fit, node));
}

/* ---- ammeters ---- */

/* Is it a plain join?  A V line of 0 V is.  A deck's without a value is, too (manual
 * 3.2.1), but on paper, and to ground, it is a battery as often: never a short by
 * guess. */
static bool is_ammeter(swi_fit *fit, const swi_member *m) {
    const sw_pin *pins = swi_fit_pins(fit, m);
    const char *value = swi_fit_value_said(m);
    double volts;
    if (m->part->pin_count != 2 || !swi_source_direct(value, &volts) || volts != 0)
        return false;
    if (*skip_blanks(value))
        return true;
    bool to_ground = node_is_ground(fit, pins[0].node.i) || node_is_ground(fit, pins[1].node.i);
    if (m->part->spice && !to_ground)
        return true;
    if (!to_ground)
        sw_diag_add(fit->diags, SW_D_FIT_SOURCE_EMPTY, m->part->span,
                    "%s has no value and is taken as a source with a terminal pin a node: state "
                    "value=0 if it is an ammeter, whose nodes are one", m->part->ref);
    return false;
}

/* Of two nodes that become one, a rail's name is the one to keep. */
static int name_weight(const swi_fit *fit, uint32_t node) {
    const char *name = swi_fit_node_name(fit, node);
    return swi_is_ground_name(name) ? 2 : swi_rail_of_name(name) != SW_RAIL_NONE;
}

void swi_fit_ammeter(swi_fit *fit, swi_member *m) {
    if (m->fate != SWI_SOURCE || m->kind != 'V' || !is_ammeter(fit, m))
        return;
    const sw_pin *pins = swi_fit_pins(fit, m);
    uint32_t a = swi_fit_node(fit, pins[0].node.i), b = swi_fit_node(fit, pins[1].node.i);
    m->fate = SWI_AMMETER;
    if (a == b)
        return;
    sw_diag_add(fit->diags, SW_D_FIT_AMMETER, m->part->span,
                "%s is a source of 0 V, which measures current: nodes %s and %s are one node on "
                "the board", m->part->ref, swi_fit_node_name(fit, a), swi_fit_node_name(fit, b));
    swi_fit_note(fit, m, SWI_CAT(fit, "0 V: joins ", swi_fit_node_name(fit, a), " and ",
                                 swi_fit_node_name(fit, b)));
    bool keep_b = name_weight(fit, b) > name_weight(fit, a);
    fit->join[keep_b ? a : b] = keep_b ? b : a;
}

/* ---- terminal pins ---- */

/* The reference, or with ~2, ~3 … behind it when it is taken. */
static const char *free_ref(swi_fit *fit, const char *wanted) {
    bool failed = false;
    const char *ref = wanted;
    for (unsigned copy = 2; !fit->out; copy++) {
        size_t count = swi_map_count(fit->refs);
        swi_map_add(fit->refs, ref, strlen(ref), 0, &failed);
        fit->out = fit->out || failed;
        if (swi_map_count(fit->refs) > count)
            break;
        sw_buf number = SW_BUF_INIT;
        sw_buf_printf(&number, "~%u", copy);
        ref = SWI_CAT(fit, wanted, number.bytes ? number.bytes : "");
        sw_buf_free(&number);
    }
    return ref;
}

static void add_terminal(swi_fit *fit, const char *wanted, const char *label, uint32_t node,
                         const sw_part *of, sw_span span) {
    const sw_package *form = sw_library_package(fit->library, "PIN-1");
    if (!form) {
        sw_diag_add(fit->diags, SW_D_FIT_PACKAGE_UNKNOWN, span,
                    "%s is off the board, but the library has no package PIN-1 for its terminal "
                    "pins: use the built-in packages", of->ref);
        fit->impossible = true;
        return;
    }
    swi_made *made = swi_fit_made(fit, free_ref(fit, wanted), 'N', span, SW_NONE);
    if (!made)
        return;
    made->part.package = form->name;
    made->part.form = form;
    made->part.terminal = true;
    made->part.value = of->value;
    made->part.device = of->device;
    made->part.path = of->path;
    swi_made_pin *pin = swi_fit_made_pin(fit, form->pins[0], label, node, span);
    if (pin) {
        pin->type = SW_PIN_PASSIVE;
        pin->stated = true;
    }
}

/* ---- off-board parts ---- */

/* What the lead is called: as pins= says, else as the netlist does. */
static const char *lead_label(swi_fit *fit, const swi_member *m, uint32_t index) {
    const char *list = m->stated.cell[SWI_CELL_PINS];
    const sw_pin *pin = &swi_fit_pins(fit, m)[index];
    for (uint32_t i = 0; *list; i++) {
        size_t length = strcspn(list, ",; \t");
        if (i == index && length)
            return swi_fit_copy(fit, list, length);
        list += length;
        list += strspn(list, ",; \t");
    }
    return *pin->number ? pin->number : pin->name;
}

typedef struct leads {
    const char **labels;
    uint32_t *nodes;
    uint32_t count;
} leads;

/* Two lines of one part may share a lead (a potentiometer's wiper). */
static void add_lead(swi_fit *fit, const swi_group *g, const swi_member *m, uint32_t index,
                     leads *l) {
    const sw_pin *pin = &swi_fit_pins(fit, m)[index];
    const char *label = lead_label(fit, m, index);
    uint32_t node = swi_fit_node(fit, pin->node.i);
    for (uint32_t i = 0; i < l->count; i++) {
        if (!swi_equal_fold(l->labels[i], label))
            continue;
        if (l->nodes[i] == node)
            return;
        sw_diag_add(fit->diags, SW_D_FIT_PIN_CLASH, pin->span,
                    "%s puts node %s on lead %s of %s, where node %s is already: name the leads "
                    "with pins=", m->part->ref, swi_fit_node_name(fit, node), label, g->ref,
                    swi_fit_node_name(fit, l->nodes[i]));
        fit->impossible = true;
        return;
    }
    l->labels[l->count] = label;
    l->nodes[l->count++] = node;
    add_terminal(fit, SWI_CAT(fit, g->ref, ".", label), label, node, m->part, pin->span);
}

/* A switch's nodes beyond the second are what works it. */
static uint32_t leads_of(const swi_member *m) {
    bool works = m->part->kind == 'S' && !*m->stated.cell[SWI_CELL_PINS];
    return works && m->part->pin_count > 2 ? 2 : m->part->pin_count;
}

void swi_fit_off(swi_fit *fit, swi_group *g) {
    uint32_t total = 0;
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next)
        total += fit->members[i].part->pin_count;
    leads l = {.labels = swi_arena_array(fit->arena, (size_t)total + 1, sizeof *l.labels),
               .nodes = swi_arena_array(fit->arena, (size_t)total + 1, sizeof *l.nodes)};
    if (!l.labels || !l.nodes) {
        fit->out = true;
        return;
    }
    for (uint32_t i = g->first; i != SW_NONE; i = fit->members[i].next) {
        swi_member *m = &fit->members[i];
        swi_fit_note(fit, m, "off the board: a terminal pin a lead");
        for (uint32_t p = 0; p < leads_of(m); p++)
            add_lead(fit, g, m, p, &l);
    }
}

/* ---- sources ---- */

static void note_supply(swi_fit *fit, const swi_member *m) {
    const sw_pin *pins = swi_fit_pins(fit, m);
    const char *value = swi_fit_value_said(m);
    double volts;
    if (m->kind != 'V' || m->part->pin_count != 2 || !swi_source_direct(value, &volts) ||
        volts == 0)
        return;
    uint32_t plus = swi_fit_node(fit, pins[0].node.i), minus = swi_fit_node(fit, pins[1].node.i);
    bool to_ground = node_is_ground(fit, minus), from_ground = node_is_ground(fit, plus);
    if (to_ground == from_ground)
        return;
    if (!SWI_GROW(fit->supplies, fit->supply_room, fit->supply_count + 1)) {
        fit->out = true;
        return;
    }
    fit->supplies[fit->supply_count++] = to_ground ? (swi_supply){plus, volts, m->part}
                                                   : (swi_supply){minus, -volts, m->part};
}

/* A node's own name is the best label; a name without one is the source's lead. */
static const char *source_label(swi_fit *fit, const swi_member *m, uint32_t index, uint32_t node) {
    bool named = node >= fit->netlist->node_count || fit->netlist->nodes[node].named;
    if (!named)
        return SWI_CAT(fit, m->part->ref, index == 0 ? "+" : "-");
    const char *name = swi_fit_node_name(fit, node);
    return strcmp(name, "0") == 0 ? "0V" : name;
}

void swi_fit_sources(swi_fit *fit) {
    uint8_t *done = swi_arena_array(fit->arena, (size_t)fit->node_count + 1, 1);
    if (!done) {
        fit->out = true;
        return;
    }
    for (uint32_t i = 0; i < fit->netlist->part_count && !fit->out; i++) {
        swi_member *m = &fit->members[i];
        if (m->fate != SWI_SOURCE)
            continue;
        note_supply(fit, m);
        swi_fit_note(fit, m, "a source: a terminal pin a node");
        const sw_pin *pins = swi_fit_pins(fit, m);
        for (uint32_t p = 0; p < m->part->pin_count; p++) {
            uint32_t node = swi_fit_node(fit, pins[p].node.i);
            if (done[node])
                continue;
            done[node] = 1;
            const char *label = source_label(fit, m, p, node);
            add_terminal(fit, label, label, node, m->part, pins[p].span);
        }
    }
}
