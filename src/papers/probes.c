/* src/papers/probes.c: which probes prove the copper. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "probes.h"

#include "board/plan.h"

/* A place where a probe can touch. */
typedef struct touch {
    sw_hole hole;
    uint32_t segment, node;
    uint32_t piece;          /* of copper, as the sockets are empty */
    const char *text;        /* "R1.2" */
} touch;

/* Two pieces of copper that could touch by one mistake. */
typedef struct neighbours {
    uint32_t a, b;           /* keys: a node's number, or UNUSED | segment */
    sw_hole at;
    bool cut;
    uint32_t places;         /* how many such places there are */
} neighbours;

#define UNUSED 0x80000000u

typedef struct making {
    const sw_plan *plan;
    const sw_circuit *circuit;
    sw_copper *copper;
    swi_network *network;
    swi_probe_list *list;
    size_t capacity;
    touch *touches;
    size_t touch_count;
    neighbours *pairs;
    size_t pair_count, pair_capacity;
    bool failed;
} making;

const char *swi_probe_kind_name(swi_probe_kind kind) {
    static const char *const names[] = {"whole", "apart", "rails", "supply"};
    return names[kind];
}

static const char *keep(making *m, sw_buf *text) {
    const char *kept = text->failed ? NULL : swi_arena_text(m->list->memory, text->bytes ? text->bytes : "", text->length);
    m->failed = m->failed || !kept;
    sw_buf_free(text);
    return kept ? kept : "";
}

static void add(making *m, swi_probe probe) {
    if (!SWI_GROW(m->list->probes, m->capacity, (size_t)m->list->count + 1)) {
        m->failed = true;
        return;
    }
    m->list->probes[m->list->count++] = probe;
}

/* ---- places to touch ---- */

static uint32_t number_of(const making *m, const sw_plan_part *part, const sw_plan_lead *lead) {
    sw_part_id id = sw_circuit_part(m->circuit, part->ref);
    sw_pin_id pin = id.i == SW_NONE ? (sw_pin_id){SW_NONE} : sw_circuit_pin(m->circuit, id, lead->pin);
    return pin.i == SW_NONE ? lead->node : m->circuit->nodes[m->circuit->pins[pin.i].node.i].number;
}

/* "R1.2"; a terminal pin is its only lead, and its name alone tells it. */
static void put_touch(sw_buf *out, const char *ref, const char *pin, uint32_t leads) {
    sw_buf_puts(out, ref);
    if (leads > 1)
        sw_buf_printf(out, ".%s", pin);
}

static void list_touches(making *m) {
    m->touches = calloc((size_t)m->plan->lead_count + 1, sizeof *m->touches);
    m->failed = !m->touches;
    for (uint32_t i = 0; !m->failed && i < m->plan->part_count; i++) {
        const sw_plan_part *part = &m->plan->parts[i];
        for (uint32_t k = 0; k < part->lead_count; k++) {
            const sw_plan_lead *lead = &m->plan->leads[part->first_lead + k];
            uint32_t segment = sw_copper_segment(m->copper, m->plan, lead->hole);
            sw_buf text = SW_BUF_INIT;
            if (segment == SW_NONE)
                continue;
            put_touch(&text, part->ref, lead->pin, part->lead_count);
            m->touches[m->touch_count++] = (touch){lead->hole, segment, number_of(m, part, lead),
                                                   m->copper->segments[segment].copper, keep(m, &text)};
        }
    }
}

static bool before(sw_hole a, sw_hole b) {
    return a.strip != b.strip ? a.strip < b.strip : a.column < b.column;
}

/* ---- each node whole ---- */

static int by_node(const void *a, const void *b) {
    const touch *x = a, *y = b;
    if (x->node != y->node)
        return x->node < y->node ? -1 : 1;
    if (x->piece != y->piece)
        return x->piece < y->piece ? -1 : 1;
    return before(x->hole, y->hole) ? -1 : before(y->hole, x->hole);
}

/* From lead to nearest lead, so that each is touched once more only to go on. */
static void chain(making *m, touch *leads, size_t count) {
    for (size_t i = 0; i + 1 < count; i++) {
        size_t best = i + 1;
        for (size_t k = i + 2; k < count; k++)
            if (swi_steps_between(leads[i].hole, leads[k].hole) < swi_steps_between(leads[i].hole, leads[best].hole))
                best = k;
        touch t = leads[best];
        memmove(&leads[i + 2], &leads[i + 1], (best - i - 1) * sizeof *leads);
        leads[i + 1] = t;
        sw_buf why = SW_BUF_INIT;
        sw_buf_printf(&why, "node %u is whole", t.node);
        add(m, (swi_probe){SWI_PROBE_WHOLE, leads[i].hole, t.hole, t.node, t.node, leads[i].text, t.text, "beep",
                           keep(m, &why), false, false});
    }
}

/* Pieces of a node that only a part in its socket will join are not yet one. */
static void probe_nodes(making *m) {
    qsort(m->touches, m->touch_count, sizeof *m->touches, by_node);
    for (size_t i = 0; i < m->touch_count;) {
        size_t end = i;
        while (end < m->touch_count && m->touches[end].node == m->touches[i].node && m->touches[end].piece == m->touches[i].piece)
            end++;
        chain(m, &m->touches[i], end - i);
        i = end;
    }
}

/* ---- neighbours apart ---- */

static uint32_t key_of(const making *m, uint32_t segment) {
    uint32_t node = m->copper->segments[segment].node;
    return node ? node : UNUSED | segment;
}

static void add_pair(making *m, uint32_t first, uint32_t second, sw_hole at, bool cut) {
    uint32_t a = key_of(m, first), b = key_of(m, second);
    if (a == b || ((a & UNUSED) && (b & UNUSED) && !cut))
        return;
    if (!SWI_GROW(m->pairs, m->pair_capacity, m->pair_count + 1)) {
        m->failed = true;
        return;
    }
    m->pairs[m->pair_count++] = a < b ? (neighbours){a, b, at, cut, 1} : (neighbours){b, a, at, cut, 1};
}

static void pairs_at_cuts(making *m) {
    for (uint32_t i = 0; i < m->plan->cut_count; i++) {
        const sw_cut *cut = &m->plan->cuts[i];
        sw_hole left = cut->hole, right = cut->hole;
        left.column = (int16_t)(left.column - !cut->knife);
        right.column++;
        uint32_t a = sw_copper_segment(m->copper, m->plan, left), b = sw_copper_segment(m->copper, m->plan, right);
        if (a != SW_NONE && b != SW_NONE)
            add_pair(m, a, b, cut->hole, true);
    }
}

/* Segments come strip by strip from the left, so two cursors walk two strips. */
static void pairs_of_strips(making *m) {
    const sw_copper *copper = m->copper;
    uint32_t below = 0;
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        const sw_segment *s = &copper->segments[i];
        while (below < copper->segment_count && (copper->segments[below].strip <= s->strip ||
               (copper->segments[below].strip == s->strip + 1 && copper->segments[below].last < s->first)))
            below++;
        for (uint32_t k = below; k < copper->segment_count; k++) {
            const sw_segment *t = &copper->segments[k];
            if (t->strip != s->strip + 1 || t->first > s->last)
                break;
            int16_t from = s->first > t->first ? s->first : t->first, to = s->last < t->last ? s->last : t->last;
            add_pair(m, i, k, (sw_hole){s->strip, (int16_t)((from + to) / 2)}, false);
        }
    }
}

static int by_keys(const void *a, const void *b) {
    const neighbours *x = a, *y = b;
    if (x->a != y->a)
        return x->a < y->a ? -1 : 1;
    if (x->b != y->b)
        return x->b < y->b ? -1 : 1;
    if (x->cut != y->cut)
        return x->cut ? -1 : 1;
    return before(x->at, y->at) ? -1 : before(y->at, x->at);
}

static void merge_pairs(making *m) {
    size_t kept = 0;
    if (m->pair_count)
        qsort(m->pairs, m->pair_count, sizeof *m->pairs, by_keys);
    for (size_t i = 0; i < m->pair_count; i++) {
        if (kept && m->pairs[kept - 1].a == m->pairs[i].a && m->pairs[kept - 1].b == m->pairs[i].b)
            m->pairs[kept - 1].places++;
        else
            m->pairs[kept++] = m->pairs[i];
    }
    m->pair_count = kept;
}

/* The lead of a node nearest to a place; copper that no node uses is touched at
 * its hole nearest to it. */
static touch touch_near(const making *m, uint32_t key, sw_hole at) {
    touch best = {at, 0, 0, 0, "copper"};
    if (key & UNUSED) {
        const sw_segment *s = &m->copper->segments[key & ~UNUSED];
        int16_t column = at.column < s->first ? s->first : at.column > s->last ? s->last : at.column;
        best.hole = (sw_hole){s->strip, column};
        return best;
    }
    int least = -1;
    for (size_t i = 0; i < m->touch_count; i++)
        if (m->touches[i].node == key && (least < 0 || swi_steps_between(at, m->touches[i].hole) < least)) {
            least = swi_steps_between(at, m->touches[i].hole);
            best = m->touches[i];
        }
    return best;
}

/* A meter through several parts shows no more than two digits; a resistor's own value may have
 * three, and others beside it change no more of it. */
static double rounded(double ohms, int digits) {
    double unit = pow(10, floor(log10(ohms)) - digits + 1);
    return floor(ohms / unit + 0.5) * unit;
}

/* What the meter shows between two nodes that do not touch. */
static const char *expect(making *m, uint32_t a, uint32_t b, bool *blind) {
    swi_between between;
    sw_buf text = SW_BUF_INIT;
    if (!swi_network_between(m->network, a & UNUSED ? 0 : a, b & UNUSED ? 0 : b, &between))
        m->failed = true;
    *blind = between.ohms < 2 || between.coil[0];
    if (between.coil[0])
        sw_buf_printf(&text, "the winding of %s beeps too: look instead", between.coil);
    else if (*blind)
        sw_buf_puts(&text, "almost no resistance lies between: look instead");
    else if (between.ohms < HUGE_VAL) {
        sw_buf_puts(&text, between.ohms < 50 ? "not 0: about " : "no beep: about ");
        sw_value_write(rounded(between.ohms, between.resistor[0] ? 3 : 2), SW_OHMS, &text);
        sw_buf_printf(&text, " through %s", between.resistor[0] ? between.resistor : "resistors");
    } else
        sw_buf_puts(&text, "no beep");
    if (between.diode[0])
        sw_buf_printf(&text, "; %s conducts one way: swap the probes", between.diode);
    if (between.capacitor[0])
        sw_buf_printf(&text, "; %s charges: a beep that fades is fine", between.capacitor);
    return keep(m, &text);
}

static const char *why_apart(making *m, const neighbours *pair) {
    char hole[12], strip[8], next[8];
    sw_buf text = SW_BUF_INIT;
    sw_hole_write(pair->at, hole);
    sw_strip_write(pair->at.strip, strip);
    sw_strip_write(pair->at.strip + 1, next);
    if (pair->cut)
        sw_buf_printf(&text, "cut at %s", hole);
    else
        sw_buf_printf(&text, "strips %s and %s side by side", strip, next);
    if (pair->places > 1)
        sw_buf_printf(&text, " and %u more place%s", pair->places - 1, pair->places == 2 ? "" : "s");
    return keep(m, &text);
}

static void add_apart(making *m, swi_probe_kind kind, uint32_t a, uint32_t b, sw_hole at, const char *why) {
    sw_hole below = {(int16_t)(at.strip + 1), at.column};
    touch one = touch_near(m, a, at), other = touch_near(m, b, below);
    swi_probe probe = {kind, one.hole, other.hole, a & UNUSED ? 0 : a, b & UNUSED ? 0 : b,
                       one.text, other.text, "", why, false, false};
    probe.expect = expect(m, a, b, &probe.blind);
    add(m, probe);
}

static bool is_rail(const making *m, uint32_t number) {
    sw_node_id node = sw_circuit_numbered(m->circuit, number);
    return node.i != SW_NONE && m->circuit->nodes[node.i].rail != SW_RAIL_NONE;
}

static bool paired(const making *m, uint32_t a, uint32_t b) {
    for (size_t i = 0; i < m->pair_count; i++)
        if (m->pairs[i].a == a && m->pairs[i].b == b)
            return true;
    return false;
}

static void probe_rails(making *m) {
    const sw_circuit *c = m->circuit;
    for (uint32_t i = 0; i < c->node_count; i++) {
        const sw_node *a = &c->nodes[c->by_number[i].i];
        for (uint32_t k = i + 1; a->rail != SW_RAIL_NONE && k < c->node_count; k++) {
            const sw_node *b = &c->nodes[c->by_number[k].i];
            if (b->rail != SW_RAIL_NONE && !paired(m, a->number, b->number))
                add_apart(m, SWI_PROBE_RAILS, a->number, b->number, (sw_hole){0, 0}, "rails not shorted");
        }
    }
}

static void probe_neighbours(making *m) {
    pairs_at_cuts(m);
    pairs_of_strips(m);
    merge_pairs(m);
    for (size_t i = 0; i < m->pair_count && !m->failed; i++) {
        const neighbours *p = &m->pairs[i];
        bool rails = !((p->a | p->b) & UNUSED) && is_rail(m, p->a) && is_rail(m, p->b);
        add_apart(m, rails ? SWI_PROBE_RAILS : SWI_PROBE_APART, p->a, p->b, p->at, why_apart(m, p));
    }
    probe_rails(m);
}

/* ---- power on ---- */

static const touch *touch_of_pin(const making *m, const sw_part *part, const sw_pin *pin) {
    sw_buf text = SW_BUF_INIT;
    const touch *found = NULL;
    put_touch(&text, part->ref, pin->number, part->pin_count);
    for (size_t i = 0; text.bytes && !found && i < m->touch_count; i++)
        if (strcmp(m->touches[i].text, text.bytes) == 0)
            found = &m->touches[i];
    sw_buf_free(&text);
    return found;
}

static const sw_pin *pin_of_type(const making *m, const sw_part *part, sw_pin_type type) {
    for (uint32_t k = 0; k < part->pin_count; k++)
        if (m->circuit->pins[part->first_pin.i + k].type == type)
            return &m->circuit->pins[part->first_pin.i + k];
    return NULL;
}

static void probe_supply(making *m, const sw_part *part) {
    const sw_pin *low = pin_of_type(m, part, SW_PIN_GROUND);
    if (!low)
        low = pin_of_type(m, part, SW_PIN_POWER_NEGATIVE);
    const touch *b = low ? touch_of_pin(m, part, low) : NULL;
    for (uint32_t k = 0; b && k < part->pin_count; k++) {
        const sw_pin *pin = &m->circuit->pins[part->first_pin.i + k];
        const touch *a = pin->type == SW_PIN_POWER_POSITIVE ? touch_of_pin(m, part, pin) : NULL;
        if (!a || a->node == b->node)
            continue;
        sw_buf text = SW_BUF_INIT, why = SW_BUF_INIT;
        sw_buf_printf(&text, "the voltage of %s against %s", m->circuit->nodes[pin->node.i].name,
                      m->circuit->nodes[low->node.i].name);
        sw_buf_printf(&why, "supply of %s, power on, IC out of its socket", part->ref);
        const char *wants = keep(m, &text), *reason = keep(m, &why);
        add(m, (swi_probe){SWI_PROBE_SUPPLY, a->hole, b->hole, a->node, b->node, a->text, b->text, wants, reason, false, false});
    }
}

static void probe_supplies(making *m) {
    for (uint32_t i = 0; i < m->circuit->part_count; i++)
        if (m->circuit->parts[i].form && m->circuit->parts[i].form->form == SW_FORM_DIP)
            probe_supply(m, &m->circuit->parts[i]);
}

/* ---- all of it ---- */

/* The copper without what parts in sockets join inside: they are not there yet. */
static sw_copper *copper_of(const sw_plan *plan, const sw_library *library) {
    const sw_package **packages = calloc((size_t)plan->part_count + 1, sizeof *packages);
    if (!packages)
        return NULL;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        packages[i] = swi_plan_package(&plan->parts[i], NULL, library);
        if (packages[i] && packages[i]->form == SW_FORM_DIP)
            packages[i] = NULL;
    }
    sw_copper *copper = swi_copper_build(plan, packages);
    free(packages);
    return copper;
}

swi_probe_list *swi_probes_new(const sw_plan *plan, const sw_circuit *fitted, const sw_library *library) {
    making m = {.plan = plan, .circuit = fitted};
    m.list = calloc(1, sizeof *m.list);
    if (!m.list)
        return NULL;
    m.list->memory = swi_arena_new();
    m.copper = copper_of(plan, library);
    m.network = swi_network_new(fitted);
    m.failed = !m.list->memory || !m.copper || !m.network;
    if (!m.failed)
        list_touches(&m);
    if (!m.failed) {
        probe_nodes(&m);
        probe_neighbours(&m);
        probe_supplies(&m);
        swi_probes_walk(m.list);
    }
    free(m.touches);
    free(m.pairs);
    sw_copper_free(m.copper);
    swi_network_free(m.network);
    if (m.failed) {
        swi_probes_free(m.list);
        return NULL;
    }
    return m.list;
}

void swi_probes_free(swi_probe_list *list) {
    if (!list)
        return;
    swi_arena_free(list->memory);
    free(list->probes);
    free(list);
}
