/* The fit: from a netlist to parts that one can hold. */
#include "circuit/fit.h"
#include "base/fault.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* ---- small things for all ---- */

const char *swi_fit_copy(swi_fit *fit, const char *text, size_t length) {
    const char *copy = swi_arena_text(fit->arena, text, length);
    fit->out = fit->out || !copy;
    return copy ? copy : "";
}

const char *swi_fit_cat(swi_fit *fit, const char *const *texts) {
    size_t length = 0, at = 0;
    for (size_t i = 0; texts[i]; i++)
        length += strlen(texts[i]);
    char *joined = swi_arena_alloc(fit->arena, length + 1);
    if (!joined) {
        fit->out = true;
        return "";
    }
    for (size_t i = 0; texts[i]; i++) {
        size_t part = strlen(texts[i]);
        memcpy(joined + at, texts[i], part);
        at += part;
    }
    return joined;
}

void swi_fit_note(swi_fit *fit, swi_member *m, const char *note) {
    m->note = *m->note ? SWI_CAT(fit, m->note, "; ", note) : note;
}

uint32_t swi_fit_node(const swi_fit *fit, uint32_t node) {
    while (fit->join[node] != node)
        node = fit->join[node] = fit->join[fit->join[node]];
    return node;
}

const char *swi_fit_node_name(const swi_fit *fit, uint32_t node) {
    return node < fit->netlist->node_count ? fit->netlist->nodes[node].name
                                           : fit->made_nodes[node - fit->netlist->node_count];
}

const sw_pin *swi_fit_pins(const swi_fit *fit, const swi_member *m) {
    return &fit->netlist->pins[m->part->first_pin.i];
}

const char *swi_fit_value_said(const swi_member *m) {
    const char *stated = m->stated.cell[SWI_CELL_VALUE];
    return *stated ? stated : m->part->value;
}

sw_span swi_fit_span(const swi_member *m, swi_cell_id cell) {
    const sw_row *row = m->stated.row[cell];
    return row && row->span.source ? row->span : m->part->span;
}

static uint32_t make_node(swi_fit *fit, const char *name, size_t length) {
    uint32_t node = fit->node_count;
    size_t made = node - fit->netlist->node_count;
    if (!SWI_GROW(fit->join, fit->node_room, (size_t)node + 1) ||
        !SWI_GROW(fit->made_nodes, fit->made_nodes_room, made + 1)) {
        fit->out = true;
        return SW_NONE;
    }
    fit->join[node] = node;
    fit->made_nodes[made] = swi_fit_copy(fit, name, length);
    fit->node_count++;
    return node;
}

uint32_t swi_fit_node_called(swi_fit *fit, const char *name, size_t length, const char *path,
                             const swi_member *member) {
    sw_node_id found = {SW_NONE};
    if (*path) {
        const char *inside = SWI_CAT(fit, path, ".", swi_fit_copy(fit, name, length));
        found = sw_circuit_node(fit->netlist, inside);
    }
    if (found.i == SW_NONE)
        found = swi_circuit_node_n(fit->netlist, name, length);
    if (found.i != SW_NONE)
        return swi_fit_node(fit, found.i);
    for (uint32_t i = fit->netlist->node_count; i < fit->node_count; i++)
        if (swi_equal_fold_n(name, length, swi_fit_node_name(fit, i)))
            return i;
    sw_diag_add(fit->diags, SW_D_FIT_NODE_NEW, swi_fit_span(member, SWI_CELL_SUPPLY),
                "node %.*s, which supply= of %s names, is nowhere else in the circuit: it is made "
                "new", (int)length, name, member->part->ref);
    return make_node(fit, name, length);
}

/* ---- what becomes of each part ---- */

static void bad_cell(swi_fit *fit, swi_member *m, swi_cell_id cell, const char *may) {
    sw_diag_add(fit->diags, SW_D_FIT_ROW_CELL, swi_fit_span(m, cell), "%s=%s for %s: it may be %s",
                swi_cell_names[cell], m->stated.cell[cell], m->part->ref, may);
    fit->impossible = true;
}

static bool is_any(const char *text, const char *const *words) {
    for (; *words; words++)
        if (swi_equal_fold(text, *words))
            return true;
    return false;
}

static bool is_omitted(swi_fit *fit, swi_member *m) {
    static const char *const yes[] = {"yes", "y", "1", "true", "omit", NULL};
    static const char *const no[] = {"", "no", "n", "0", "false", NULL};
    const char *text = m->stated.cell[SWI_CELL_OMIT];
    if (is_any(text, yes))
        return true;
    if (!is_any(text, no))
        bad_cell(fit, m, SWI_CELL_OMIT, "yes or no");
    return false;
}

/* Something says that it is a thing to hold. */
static bool is_stated_part(const swi_member *m) {
    return *m->stated.cell[SWI_CELL_PACKAGE] || *m->stated.cell[SWI_CELL_DEVICE] ||
           *m->stated.cell[SWI_CELL_REF] || *m->part->package;
}

static swi_fate fate_by_kind(swi_fit *fit, swi_member *m) {
    switch (m->kind) {
    case 'V': case 'I':
        return SWI_SOURCE;
    case 'K':
        if (m->part->pin_count)
            return SWI_ON_BOARD;
        sw_diag_add(fit->diags, SW_D_FIT_COUPLING, m->part->span,
                    "%s couples inductors and is no part of its own: fit a transformer with "
                    "ref= and pins= of its windings", m->part->ref);
        return SWI_LEFT_OUT;
    case 'E': case 'F': case 'G': case 'H': case 'B':
        sw_diag_add(fit->diags, SW_D_FIT_CONTROLLED, m->part->span,
                    "%s is a controlled source, which nobody sells: state the part that it "
                    "stands for (device=, package=, pins=), or omit=yes if it is only of the model",
                    m->part->ref);
        fit->impossible = true;
        return SWI_LEFT_OUT;
    default:
        return SWI_ON_BOARD;
    }
}

/* What nobody says anything of, and no library knows, by what it is called. */
static bool is_beside(swi_fit *fit, swi_member *m) {
    enum { NAMED = 8 };
    const sw_part *part = m->part;
    const char *value = swi_fit_value_said(m);
    if (!swi_word_beside(m->kind, m->ref, part->device, value, part->pin_count) ||
        sw_library_device(fit->library, part->device) || sw_library_device(fit->library, value))
        return false;
    swi_fit_note(fit, m, "beside the board by its name");
    if (fit->beside_count++ < NAMED)
        sw_buf_printf(&fit->beside, "%s%s", fit->beside_count > 1 ? ", " : "", m->ref);
    else if (fit->beside_count == NAMED + 1)
        sw_buf_puts(&fit->beside, ", …");
    return true;
}

static swi_fate fate_of(swi_fit *fit, swi_member *m) {
    const char *place = m->stated.cell[SWI_CELL_PLACE];
    if (is_omitted(fit, m))
        return SWI_LEFT_OUT;
    bool off = swi_equal_fold(place, "off"), board = swi_equal_fold(place, "board");
    if (*place && !off && !board)
        bad_cell(fit, m, SWI_CELL_PLACE, "board or off");
    if (off)
        return strchr("VI", m->kind) ? SWI_SOURCE : SWI_OFF_BOARD;
    if (is_stated_part(m) || board)
        return SWI_ON_BOARD;
    return is_beside(fit, m) ? SWI_OFF_BOARD : fate_by_kind(fit, m);
}

static void decide_fates(swi_fit *fit) {
    for (uint32_t i = 0; i < fit->netlist->part_count; i++) {
        swi_member *m = &fit->members[i];
        m->kind = m->part->kind == '?' ? sw_ref_kind(m->ref) : m->part->kind;
        m->fate = fate_of(fit, m);
        if (m->fate == SWI_LEFT_OUT)
            swi_fit_note(fit, m, "left out");
        swi_fit_ammeter(fit, m);
    }
}

/* ---- parts to be ---- */

static bool same_fate(swi_fit *fit, swi_group *g, const swi_member *m) {
    if (g->fate == m->fate)
        return true;
    sw_diag_add(fit->diags, SW_D_FIT_ROW_CLASH, swi_fit_span(m, SWI_CELL_PLACE),
                "%s and %s are one part (%s), but one is on the board and the other off it: make "
                "place= agree", fit->members[g->first].part->ref, m->part->ref, g->ref);
    fit->impossible = true;
    return false;
}

static bool join_group(swi_fit *fit, uint32_t index) {
    swi_member *m = &fit->members[index];
    bool failed = false;
    uint32_t at = swi_map_add(fit->refs, m->ref, strlen(m->ref), fit->group_count, &failed);
    if (failed)
        return false;
    swi_group *g = &fit->groups[at];
    m->group = at;
    if (at == fit->group_count) {
        *g = (swi_group){.ref = m->ref, .fate = m->fate, .first = index, .last = index,
                         .device = "", .package = "", .value = ""};
        fit->group_count++;
    } else if (same_fate(fit, g, m)) {
        fit->members[g->last].next = index;
        g->last = index;
    }
    return true;
}

static bool make_groups(swi_fit *fit) {
    for (uint32_t i = 0; i < fit->netlist->part_count; i++) {
        swi_fate fate = fit->members[i].fate;
        if ((fate == SWI_ON_BOARD || fate == SWI_OFF_BOARD) && !join_group(fit, i))
            return false;
    }
    return true;
}

/* Two chips each with one unit in use, where one would do. */
static void suggest_sharing(swi_fit *fit) {
    const swi_group *before = NULL;
    for (uint32_t i = 0; i < fit->group_count; i++) {
        const swi_group *g = &fit->groups[i];
        const swi_member *m = &fit->members[g->first];
        bool assumed = g->known && g->known->unit_count > 1 && m->unit == 1 &&
                       !*m->stated.cell[SWI_CELL_UNIT];
        if (!assumed)
            continue;
        if (before && before->known == g->known) {
            sw_diag_add(fit->diags, SW_D_FIT_UNITS_APART, m->part->span,
                        "%s and %s each use one of the %u units of a %s: one part would do, with "
                        "the same ref= and unit=A, unit=B for the two", before->ref, g->ref,
                        g->known->unit_count, g->known->name);
            before = NULL;
        } else {
            before = g;
        }
    }
}

static void report_guesses(swi_fit *fit) {
    if (fit->beside_count)
        sw_diag_add(fit->diags, SW_D_FIT_BESIDE, SW_NOWHERE,
                    "taken to be beside the board, on wires from terminal pins, by what they are called: %s: "
                    "state package= for one that stands on the board",
                    fit->beside.bytes ? fit->beside.bytes : "");
    if (fit->guessed == 0)
        return;
    sw_diag_add(fit->diags, SW_D_FIT_GUESSED, SW_NOWHERE,
                "%u part%s got a package by kind and value: `stripwright fit` lists them to be "
                "read and edited", fit->guessed, SWI_S(fit->guessed));
}

static bool make_parts(swi_fit *fit) {
    for (uint32_t i = 0; i < fit->group_count && !fit->out; i++)
        if (fit->groups[i].fate == SWI_ON_BOARD)
            swi_fit_part(fit, &fit->groups[i]);
    for (uint32_t i = 0; i < fit->group_count && !fit->out; i++)
        if (fit->groups[i].fate == SWI_OFF_BOARD)
            swi_fit_off(fit, &fit->groups[i]);
    swi_fit_sources(fit);
    if (fit->out)
        return false;
    suggest_sharing(fit);
    report_guesses(fit);
    fit->marks = swi_arena_array(fit->arena, (size_t)fit->node_count + 1, sizeof *fit->marks);
    if (fit->marks)
        swi_fit_rails(fit);
    return fit->marks && !fit->out;
}

/* ---- all of it ---- */

static bool set_up(swi_fit *fit) {
    const sw_circuit *netlist = fit->netlist;
    fit->arena = swi_arena_new();
    if (!fit->arena || !SWI_GROW(fit->join, fit->node_room, (size_t)netlist->node_count + 1))
        return false;
    fit->node_count = netlist->node_count;
    for (uint32_t i = 0; i < fit->node_count; i++)
        fit->join[i] = i;
    fit->members = swi_arena_array(fit->arena, (size_t)netlist->part_count + 1,
                                   sizeof *fit->members);
    fit->groups = swi_arena_array(fit->arena, (size_t)netlist->part_count + 1,
                                  sizeof *fit->groups);
    fit->pin_to = swi_arena_array(fit->arena, (size_t)netlist->pin_count + 1,
                                  sizeof *fit->pin_to);
    fit->refs = swi_map_new(fit->arena, true);
    if (!fit->members || !fit->groups || !fit->pin_to || !fit->refs)
        return false;
    for (uint32_t i = 0; i < netlist->pin_count; i++)
        fit->pin_to[i] = SW_NONE;
    for (uint32_t i = 0; i < netlist->part_count; i++)
        fit->members[i] = (swi_member){.part = &netlist->parts[i], .group = SW_NONE,
                                       .next = SW_NONE, .note = ""};
    return true;
}

static void tear_down(swi_fit *fit) {
    swi_map_free(fit->refs);
    sw_buf_free(&fit->beside);
    free(fit->join);
    free(fit->made_nodes);
    free(fit->made);
    free(fit->pins);
    free(fit->supplies);
    swi_arena_free(fit->arena);
}

static sw_status run(swi_fit *fit, sw_circuit **out, sw_sheet **report) {
    if (!set_up(fit) || !swi_fit_state(fit))
        return SW_SYSTEM;
    decide_fates(fit);
    if (!make_groups(fit) || !make_parts(fit) || (report && !swi_fit_report(fit, report)))
        return SW_SYSTEM;
    if (fit->usage)
        return SW_USAGE;
    if (fit->impossible)
        return SW_NO_PLAN;
    *out = swi_fit_emit(fit);
    return *out ? SW_OK : SW_SYSTEM;
}

sw_status sw_fit(const sw_circuit *netlist, const sw_library *library,
                 const sw_fit_options *options, sw_diags *diags, sw_circuit **out,
                 sw_sheet **report) {
    static const sw_fit_options plain = {NULL, NULL};
    swi_fit fit = {.netlist = netlist, .library = library,
                   .options = options ? options : &plain, .diags = diags, .beside = SW_BUF_INIT};
    *out = NULL;
    if (report)
        *report = NULL;
    sw_status status = run(&fit, out, report);
    tear_down(&fit);
    if (status != SW_SYSTEM)
        return status;
    if (report) {
        sw_sheet_free(*report);
        *report = NULL;
    }
    return swi_out_of_memory(diags);
}
