/* src/papers/steps_meter.c: continuity, and power before the ICs go in. */
#include "steps_make.h"

#include <math.h>
#include <string.h>

/* ---- continuity ---- */

bool swi_steps_has_sockets(const swi_subject *subject) {
    for (uint32_t i = 0; i < subject->item_count; i++)
        if (swi_is_socketed(&subject->items[i]))
            return true;
    return false;
}

static void probe_step(swi_step_maker *m, const char *word, uint32_t index) {
    const swi_probe *probe = &m->out->probes->probes[index];
    swi_step *step = swi_steps_add(m, word, index + 1);
    const char *a = swi_steps_hole(m, probe->a), *b = swi_steps_hole(m, probe->b);
    step->index = index;
    step->node = probe->kind == SWI_PROBE_WHOLE ? probe->node_a : 0;
    sw_buf_printf(&m->text, "%s (%s) and %s (%s)", a, probe->touch_a, b, probe->touch_b);
    step->title = swi_steps_take(m);
    sw_buf_printf(&m->text, "%s%s", probe->expect, probe->blind ? "; the meter cannot tell, so look" : "");
    step->text = swi_steps_take(m);
    step->watch = probe->why;
    sw_hole *holes = swi_steps_holes(m, step, 2);
    if (holes) {
        holes[0] = probe->a;
        holes[1] = probe->b;
    }
}

#define PROBING(how)                                                                                   \
    how ", not the solder: then the joint is proved too. “No beep” with a resistance means that "      \
        "parts lead from the one to the other: the meter shows about that, or less through other parts."

/* The probes that a change touches, or those that it leaves as they were. */
static void probe_steps(swi_step_maker *m, bool stood) {
    for (uint32_t i = 0; i < m->out->probes->count; i++) {
        const swi_probe *probe = &m->out->probes->probes[i];
        if (probe->kind != SWI_PROBE_SUPPLY && probe->stood == stood)
            probe_step(m, "probe", i);
    }
}

void swi_steps_of_probes(swi_step_maker *m) {
    if (!m->out->probes)
        return;
    swi_steps_chapter(m, SWI_CHAPTER_PROBES, m->subject->change ? "Prove the change with a meter" : "Prove the copper with a meter",
                      swi_steps_has_sockets(m->subject) ? PROBING("Sockets empty, nothing connected. Touch the leads or the sockets' contacts")
                                     : PROBING("Nothing connected. Touch the leads"), false);
    probe_steps(m, false);
    if (!m->subject->change)
        return;
    swi_steps_chapter(m, SWI_CHAPTER_PROBES, "If in doubt, prove the rest too",
                      "Nothing was done to these: they read as they did before the change.", false);
    probe_steps(m, true);
}

/* ---- power without ICs ---- */

/* Where a wire leaves the board: a terminal pin, or a lead of a connector. */
typedef struct outlet {
    const char *name;
    sw_hole hole;
    uint32_t node;
} outlet;

typedef struct outlets {
    outlet *items;
    uint32_t count;
} outlets;

static void add_outlet(swi_step_maker *m, outlets *out, const swi_item *item, uint32_t lead) {
    const char *name = item->name;
    if (!item->terminal) {
        sw_buf_printf(&m->text, "%s.%s", item->part->ref, item->leads[lead].pin);
        name = swi_steps_take(m);
    }
    out->items[out->count++] =
        (outlet){name, item->leads[lead].hole, m->subject->lead_nodes[item->leads + lead - m->plan->leads]};
}

/* Terminal pins first. */
static outlets find_outlets(swi_step_maker *m) {
    const swi_work *work = m->out->work;
    outlets out = {swi_arena_array(m->out->memory, m->plan->lead_count + 1, sizeof(outlet)), 0};
    m->failed |= !out.items;
    for (uint32_t i = 0; out.items && i < work->terminal_count; i++)
        add_outlet(m, &out, &m->subject->items[work->terminals[i]], 0);
    for (uint32_t i = 0; out.items && i < m->subject->item_count; i++) {
        const swi_item *item = &m->subject->items[i];
        for (uint32_t lead = 0; swi_is_connector(item) && lead < item->part->lead_count; lead++)
            add_outlet(m, &out, item, lead);
    }
    return out;
}

/* The first outlet on a ground rail; NULL when there is none. */
static const outlet *ground_of(const swi_step_maker *m, const outlets *all) {
    double volts;
    for (uint32_t i = 0; i < all->count; i++)
        if (swi_subject_rail(m->subject, all->items[i].node, &volts) == SW_RAIL_GROUND)
            return &all->items[i];
    return NULL;
}

static void put_volts(swi_step_maker *m, double volts) {
    sw_buf_puts(&m->text, "About ");
    sw_buf_real(&m->text, volts, 2);
    sw_buf_puts(&m->text, " V.");
}

/* The outlet to measure a rail at: the one called as the rail, else the first. */
static const outlet *outlet_of_rail(const swi_step_maker *m, const outlets *all, uint32_t node) {
    const outlet *first = NULL;
    for (uint32_t i = 0; i < all->count; i++) {
        const outlet *one = &all->items[i];
        if (one->node != node)
            continue;
        if (strcmp(one->name, swi_subject_node_name(m->subject, node)) == 0)
            return one;
        first = first ? first : one;
    }
    return first;
}

static void rail_step(swi_step_maker *m, const outlet *at, const outlet *ground, sw_rail rail, double volts, uint32_t number) {
    swi_step *step = swi_steps_add(m, "power", number);
    const char *a = swi_steps_hole(m, at->hole), *b = swi_steps_hole(m, ground->hole);
    sw_buf_printf(&m->text, "Measure %s in %s against %s in %s", at->name, a, ground->name, b);
    step->title = swi_steps_take(m);
    if (fabs(volts) > 0)
        put_volts(m, volts);
    else
        sw_buf_puts(&m->text, rail == SW_RAIL_NEGATIVE ? "The supply's voltage, with a minus before it."
                                                        : "The supply's voltage.");
    step->text = swi_steps_take(m);
    step->node = at->node;
    sw_hole *holes = swi_steps_holes(m, step, 2);
    if (holes) {
        holes[0] = at->hole;
        holes[1] = ground->hole;
    }
}

/* One reading of each supply rail against ground, where wires leave the board. */
static void rail_steps(swi_step_maker *m, uint32_t *number) {
    outlets all = find_outlets(m);
    const outlet *ground = ground_of(m, &all);
    for (uint32_t node = 1; ground && node <= m->subject->node_count; node++) {
        double volts;
        sw_rail rail = swi_subject_rail(m->subject, node, &volts);
        const outlet *at = rail == SW_RAIL_NONE || rail == SW_RAIL_GROUND ? NULL : outlet_of_rail(m, &all, node);
        if (at)
            rail_step(m, at, ground, rail, volts, ++*number);
    }
}

static void supply_steps(swi_step_maker *m) {
    const swi_probe_list *probes = m->out->probes;
    for (uint32_t i = 0; probes && i < probes->count; i++) {
        const swi_probe *probe = &probes->probes[i];
        if (probe->kind != SWI_PROBE_SUPPLY)
            continue;
        probe_step(m, "supply", i);
        swi_step *step = &m->out->steps[m->out->step_count ? m->out->step_count - 1 : 0];
        if (m->failed)
            return;
        double high, low;
        swi_subject_rail(m->subject, probe->node_a, &high);
        swi_subject_rail(m->subject, probe->node_b, &low);
        const char *title = step->title;
        sw_buf_printf(&m->text, "At the empty socket: %s", title);
        step->title = swi_steps_take(m);
        if (fabs(high - low) > 0)
            put_volts(m, high - low);
        else
            sw_buf_printf(&m->text, "Expect %s.", probe->expect);
        step->text = swi_steps_take(m);
        step->watch = "";
    }
}

void swi_steps_of_power(swi_step_maker *m) {
    bool ics = swi_steps_has_sockets(m->subject);
    uint32_t number = 0;
    swi_steps_chapter(m, SWI_CHAPTER_POWER, ics ? "Power on, without the ICs" : "Power on",
                      "A supply whose current can be limited is best (50 mA to begin with); else a battery. One hand on the "
                      "switch.", false);
    swi_step *step;
    if (m->out->work->wire_count) {
        step = swi_steps_add(m, "power", ++number);
        step->title = "Solder the wires to their pins, and hold them";
        step->text = "Strip 5 mm, twist, tin, wrap once round the pin, solder, and slip sleeving over it. The supply's wires "
                     "stay unconnected at their other end.";
        step->watch = "Plus and minus: one colour for each, the same as on the supply. Relieve every wire of strain.";
    }
    step = swi_steps_add(m, "power", ++number);
    step->title = "Look once more";
    step->text = "No solder bridges, no trimmings between the leads, every polarised part the right way round, "
                 "plus and minus of the supply where they belong.";
    step = swi_steps_add(m, "power", ++number);
    step->title = ics ? "Sockets empty: switch the supply on" : "Switch the supply on";
    step->text = "Feel and smell for a minute: nothing gets warm.";
    step->watch = "If anything is warm, smokes or smells, switch off at once and go back to the meter.";
    rail_steps(m, &number);
    supply_steps(m);
    step = swi_steps_add(m, "power", ++number);
    step->title = ics ? "Switch off before the ICs go in" : "Try what it is to do";
    step->text = ics ? "Wait until the voltage has gone to nothing." : "Then put it in its box, with the wires held fast.";
}
