/* Which nodes are rails, and why: the user's word, else the file's, else a source to ground, else a
 * name for ground, else a known device's supply pin, else a name.
 */
#include "circuit/fit.h"
#include "base/num.h"

#include <math.h>
#include <string.h>

static void mark(swi_fit *fit, uint32_t node, sw_rail rail, const char *why) {
    sw_node *m = &fit->marks[node];
    if (*m->rail_why)
        return;
    m->rail = rail;
    m->rail_why = why;
}

/* ---- the user's word ---- */

static void stated_rail(swi_fit *fit, const char *text) {
    const char *sign = strrchr(text, '=');
    sw_rail rail;
    uint32_t node = SW_NONE;
    if (sign && swi_rail_read(sign + 1, &rail)) {
        size_t length = (size_t)(sign - text);
        node = swi_circuit_node_n(fit->netlist, text, length).i;
        sw_pin_id pin = swi_circuit_pin_spelled_n(fit->netlist, text, length);
        if (node == SW_NONE && pin.i != SW_NONE)
            node = fit->netlist->pins[pin.i].node.i;
        for (uint32_t i = fit->netlist->node_count; node == SW_NONE && i < fit->node_count; i++)
            if (swi_equal_fold_n(text, length, swi_fit_node_name(fit, i)))
                node = i;
        if (node != SW_NONE) {
            mark(fit, swi_fit_node(fit, node), rail, "stated by the user");
            return;
        }
    }
    sw_diag_add(fit->diags, SW_D_FIT_RAIL, SW_NOWHERE,
                "the stated rail %s is %s", text,
                sign && swi_rail_read(sign + 1, &rail)
                    ? "of no node of this circuit: check the name"
                    : "not NODE=KIND with positive, ground, negative or none");
    fit->usage = true;
}

/* What the file says of its nodes. */
static void rails_of_file(swi_fit *fit) {
    for (uint32_t i = 0; i < fit->netlist->node_count; i++) {
        const sw_node *from = &fit->netlist->nodes[i];
        uint32_t node = swi_fit_node(fit, i);
        if (from->rail != SW_RAIL_NONE)
            mark(fit, node, from->rail, *from->rail_why ? from->rail_why : "stated in the file");
        if (fit->marks[node].volts == 0)
            fit->marks[node].volts = from->volts;
    }
}

/* ---- sources ---- */

static void write_volts(sw_buf *out, double volts) {
    sw_buf_real(out, volts, 3);
    sw_buf_puts(out, " V");
}

static void report_two_supplies(swi_fit *fit, const swi_supply *a, const swi_supply *b) {
    sw_buf text = SW_BUF_INIT;
    write_volts(&text, a->volts);
    sw_buf_printf(&text, " from %s and ", a->source->ref);
    write_volts(&text, b->volts);
    sw_diag_add(fit->diags, SW_D_RAIL_TWO_SUPPLIES, b->source->span,
                "node %s is given %s from %s: two supplies of different voltage on one node fight "
                "each other; part the nodes or take one out",
                swi_fit_node_name(fit, b->node), text.bytes ? text.bytes : "", b->source->ref);
    sw_buf_free(&text);
}

static void rails_by_source(swi_fit *fit) {
    for (size_t i = 0; i < fit->supply_count; i++) {
        const swi_supply *s = &fit->supplies[i];
        uint32_t node = swi_fit_node(fit, s->node);
        for (size_t k = 0; k < i; k++)
            if (swi_fit_node(fit, fit->supplies[k].node) == node &&
                fabs(fit->supplies[k].volts - s->volts) > 1e-9)
                report_two_supplies(fit, &fit->supplies[k], s);
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "source %s gives it ", s->source->ref);
        write_volts(&text, s->volts);
        const char *why = text.bytes ? swi_fit_copy(fit, text.bytes, text.length) : "";
        fit->out = fit->out || text.failed;
        sw_buf_free(&text);
        mark(fit, node, s->volts > 0 ? SW_RAIL_POSITIVE : SW_RAIL_NEGATIVE, why);
        if (fit->marks[node].volts == 0)
            fit->marks[node].volts = s->volts;
    }
}

/* ---- names ---- */

/* "5V", "+12V", "3V3", "-5V": volts, 0 when the name is none of these. */
static double volts_of_name(const char *name) {
    double sign = *name == '-' ? -1 : 1, whole = 0, part = 0;
    if (*name == '+' || *name == '-')
        name++;
    size_t used = swi_real_read(name, strlen(name), &whole);
    if (used == 0 || !swi_is_digit(*name) || swi_lower(name[used]) != 'v')
        return 0;
    name += used + 1;
    for (double place = 0.1; swi_is_digit(*name); name++, place /= 10)
        part += place * (*name - '0');
    return *name ? 0 : sign * (whole + part);
}

sw_rail swi_rail_of_name(const char *name) {
    static const char *const positive[] = {"VCC", "VDD", "V+", "VBAT"};
    static const char *const negative[] = {"VEE", "V-"};
    for (size_t i = 0; i < sizeof positive / sizeof *positive; i++)
        if (swi_equal_fold(name, positive[i]))
            return SW_RAIL_POSITIVE;
    for (size_t i = 0; i < sizeof negative / sizeof *negative; i++)
        if (swi_equal_fold(name, negative[i]))
            return SW_RAIL_NEGATIVE;
    double volts = volts_of_name(name);
    return volts > 0 ? SW_RAIL_POSITIVE : volts < 0 ? SW_RAIL_NEGATIVE : SW_RAIL_NONE;
}

static bool is_named(const swi_fit *fit, uint32_t node) {
    return node >= fit->netlist->node_count || fit->netlist->nodes[node].named;
}

static void rails_by_name(swi_fit *fit, bool ground) {
    for (uint32_t i = 0; i < fit->node_count; i++) {
        const char *name = swi_fit_node_name(fit, i);
        uint32_t node = swi_fit_node(fit, i);
        if (!is_named(fit, i))
            continue;
        if (ground && swi_is_ground_name(name))
            mark(fit, node, SW_RAIL_GROUND, SWI_CAT(fit, "called ", name));
        sw_rail rail = ground ? SW_RAIL_NONE : swi_rail_of_name(name);
        if (rail != SW_RAIL_NONE)
            mark(fit, node, rail, SWI_CAT(fit, "called ", name));
        if (!ground && fit->marks[node].volts == 0)
            fit->marks[node].volts = volts_of_name(name);
    }
}

/* ---- supply pins ---- */

static bool has_ground(const swi_fit *fit) {
    for (uint32_t i = 0; i < fit->node_count; i++)
        if (fit->marks[i].rail == SW_RAIL_GROUND)
            return true;
    return false;
}

static void rail_by_pin(swi_fit *fit, const sw_part *part, const swi_made_pin *pin,
                        sw_pin_type type, sw_rail rail) {
    if (pin->type != type || !pin->stated)
        return;
    sw_rail by_name = is_named(fit, pin->node) ? swi_rail_of_name(swi_fit_node_name(fit, pin->node))
                                               : SW_RAIL_NONE;
    if (type == SW_PIN_POWER_NEGATIVE && by_name == SW_RAIL_NEGATIVE)
        rail = SW_RAIL_NEGATIVE;
    mark(fit, pin->node, rail,
         SWI_CAT(fit, "supply pin ", *pin->name ? pin->name : pin->number, " of ", part->ref));
}

static void rails_by_pins(swi_fit *fit, sw_pin_type type, sw_rail rail) {
    for (size_t i = 0; i < fit->made_count; i++) {
        const sw_part *part = &fit->made[i].part;
        for (uint32_t p = 0; part->known && p < part->pin_count; p++)
            rail_by_pin(fit, part, &fit->pins[part->first_pin.i + p], type, rail);
    }
}

void swi_fit_rails(swi_fit *fit) {
    for (uint32_t i = 0; i < fit->node_count; i++)
        fit->marks[i] = (sw_node){.rail_why = ""};
    for (const char *const *text = fit->options->rails; text && *text; text++)
        stated_rail(fit, *text);
    rails_of_file(fit);
    rails_by_source(fit);
    rails_by_name(fit, true);
    rails_by_pins(fit, SW_PIN_POWER_POSITIVE, SW_RAIL_POSITIVE);
    rails_by_pins(fit, SW_PIN_GROUND, SW_RAIL_GROUND);
    /* A negative supply pin is on ground where there is no other ground. */
    rails_by_pins(fit, SW_PIN_POWER_NEGATIVE, has_ground(fit) ? SW_RAIL_NEGATIVE : SW_RAIL_GROUND);
    rails_by_name(fit, false);
}
