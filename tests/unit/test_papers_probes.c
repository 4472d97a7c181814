/* The probe list proves the copper: every single fault of the soldered board makes a
 * probe read otherwise.  The board is simulated here from the plan alone. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "papers/probes.h"
#include "tests/lib/circuit.h"
#include "tests/lib/plan.h"

typedef struct bench {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *circuit;
    sw_plan *plan;
    swi_probe_list *list;
} bench;

static bench open_bench(const char *circuit, const char *plan) {
    bench b = {.diags = sw_diags_new(NULL)};
    b.library = sw_library_new(b.diags);
    b.circuit = test_fitted(b.library, circuit);
    assert_non_null(b.circuit);
    assert_int_equal(sw_circuit_number(b.circuit, b.diags), SW_OK);
    b.plan = test_plan(b.circuit, b.library, plan);
    assert_int_equal(sw_check(b.plan, b.circuit, b.library, NULL, NULL), SW_OK);
    b.list = swi_probes_new(b.plan, b.circuit, b.library);
    assert_non_null(b.list);
    return b;
}

static void close_bench(bench *b) {
    swi_probes_free(b->list);
    sw_plan_free(b->plan);
    sw_circuit_free(b->circuit);
    sw_library_free(b->library);
    sw_diags_free(b->diags);
}

/* One thing wrong with the board; -1 or none where it does not apply. */
typedef struct fault {
    int cut, link, lead;     /* missing cut, missing link, unsoldered lead */
    sw_hole bridge;          /* to the hole below it; -1,-1 none */
} fault;
static const fault no_fault = {-1, -1, -1, {-1, -1}};

/* The board as a graph of wires: first a point a hole, then a point a lead. */
typedef struct wires {
    uint32_t *up;
    const sw_plan *plan;
} wires;

static uint32_t find(wires *w, uint32_t i) {
    while (w->up[i] != i)
        i = w->up[i];
    return i;
}

static void join(wires *w, uint32_t a, uint32_t b) { w->up[find(w, a)] = find(w, b); }

static uint32_t at(const wires *w, sw_hole hole) {
    return (uint32_t)(hole.strip * w->plan->columns + hole.column);
}

static uint32_t lead_point(const wires *w, uint32_t lead) {
    return (uint32_t)(w->plan->strips * w->plan->columns) + lead;
}

static bool is_cut(const sw_plan *plan, sw_hole hole, int missing, bool knife) {
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if ((int)i != missing && plan->cuts[i].knife == knife && plan->cuts[i].hole.strip == hole.strip &&
            plan->cuts[i].hole.column == hole.column)
            return true;
    return false;
}

static void join_strips(wires *w, const fault *f) {
    for (int16_t s = 0; s < w->plan->strips; s++)
        for (int16_t c = 0; c + 1 < w->plan->columns; c++) {
            sw_hole here = {s, c}, next = {s, (int16_t)(c + 1)};
            if (!is_cut(w->plan, here, f->cut, false) && !is_cut(w->plan, next, f->cut, false) &&
                !is_cut(w->plan, here, f->cut, true))
                join(w, at(w, here), at(w, next));
        }
}

static void join_inside(wires *w, const bench *b, const sw_plan_part *part) {
    const sw_package *package = sw_library_package(b->library, part->package);
    for (uint32_t i = 0; i < part->lead_count; i++)
        for (uint32_t k = i + 1; k < part->lead_count; k++)
            if (package->joined && package->joined[i] && package->joined[i] == package->joined[k])
                join(w, lead_point(w, part->first_lead + i), lead_point(w, part->first_lead + k));
}

static wires build(const bench *b, const fault *f) {
    const sw_plan *plan = b->plan;
    uint32_t points = (uint32_t)(plan->strips * plan->columns) + plan->lead_count;
    wires w = {malloc(points * sizeof *w.up), plan};
    for (uint32_t i = 0; i < points; i++)
        w.up[i] = i;
    join_strips(&w, f);
    for (uint32_t i = 0; i < plan->link_count; i++)
        if ((int)i != f->link)
            join(&w, at(&w, plan->links[i].from), at(&w, plan->links[i].to));
    for (uint32_t i = 0; i < plan->lead_count; i++)
        if ((int)i != f->lead)
            join(&w, lead_point(&w, i), at(&w, plan->leads[i].hole));
    for (uint32_t i = 0; i < plan->part_count; i++)
        join_inside(&w, b, &plan->parts[i]);
    if (f->bridge.strip >= 0)
        join(&w, at(&w, f->bridge), at(&w, (sw_hole){(int16_t)(f->bridge.strip + 1), f->bridge.column}));
    return w;
}

static uint32_t touched(const wires *w, sw_hole hole, const char *touch) {
    if (strcmp(touch, "copper") == 0)
        return at(w, hole);
    for (uint32_t i = 0; i < w->plan->lead_count; i++)
        if (w->plan->leads[i].hole.strip == hole.strip && w->plan->leads[i].hole.column == hole.column)
            return lead_point(w, i);
    fail_msg("the list touches a lead where none is: %s", touch);
    return 0;
}

/* How many probes read otherwise than the list expects. */
static unsigned surprises(const bench *b, const fault *f) {
    wires w = build(b, f);
    unsigned count = 0;
    for (uint32_t i = 0; i < b->list->count; i++) {
        const swi_probe *p = &b->list->probes[i];
        if (p->kind == SWI_PROBE_SUPPLY || p->blind)
            continue;
        bool beeps = find(&w, touched(&w, p->a, p->touch_a)) == find(&w, touched(&w, p->b, p->touch_b));
        count += beeps != (p->kind == SWI_PROBE_WHOLE);
    }
    free(w.up);
    return count;
}

static bool joined_inside(const bench *b, uint32_t lead) {
    for (uint32_t i = 0; i < b->plan->part_count; i++) {
        const sw_plan_part *part = &b->plan->parts[i];
        const sw_package *package = sw_library_package(b->library, part->package);
        if (lead >= part->first_lead && lead < part->first_lead + part->lead_count)
            return package->joined && package->joined[lead - part->first_lead];
    }
    return false;
}

static unsigned node_leads(const sw_plan *plan, uint32_t node) {
    unsigned count = 0;
    for (uint32_t i = 0; i < plan->lead_count; i++)
        count += plan->leads[i].node == node;
    return count;
}

static void every_bridge(const bench *b) {
    sw_copper *copper = sw_copper_new(b->plan, b->library);
    unsigned tried = 0;
    for (int16_t s = 0; s + 1 < b->plan->strips; s++)
        for (int16_t c = 0; c < b->plan->columns; c++) {
            fault f = no_fault;
            f.bridge = (sw_hole){s, c};
            uint32_t up = sw_copper_segment(copper, b->plan, f.bridge);
            uint32_t down = sw_copper_segment(copper, b->plan, (sw_hole){(int16_t)(s + 1), c});
            if (up == SW_NONE || down == SW_NONE || copper->segments[up].copper == copper->segments[down].copper ||
                (!copper->segments[up].node && !copper->segments[down].node))
                continue;
            tried++;
            assert_true(surprises(b, &f) > 0);
        }
    assert_true(tried > 20);
    sw_copper_free(copper);
}

static void every_fault(const char *circuit, const char *plan) {
    bench b = open_bench(circuit, plan);
    assert_int_equal(surprises(&b, &no_fault), 0);
    for (uint32_t i = 0; i < b.plan->cut_count; i++) {
        fault f = no_fault;
        f.cut = (int)i;
        assert_true(surprises(&b, &f) > 0);
    }
    for (uint32_t i = 0; i < b.plan->link_count; i++) {
        fault f = no_fault;
        f.link = (int)i;
        assert_true(surprises(&b, &f) > 0);
    }
    for (uint32_t i = 0; i < b.plan->lead_count; i++) {
        fault f = no_fault;
        f.lead = (int)i;
        if (node_leads(b.plan, b.plan->leads[i].node) > 1 && !joined_inside(&b, i))
            assert_true(surprises(&b, &f) > 0);
    }
    every_bridge(&b);
    close_bench(&b);
}

static void frost_alarm(void **state) {
    (void)state;
    every_fault(test_frost_circuit, test_frost_plan);
}

static void rain_counter(void **state) {
    (void)state;
    every_fault(test_counter_circuit, test_counter_plan);
}

/* The divider rule and resistors in parallel: common practice. */
static void expectations(void **state) {
    (void)state;
    bench b = open_bench(test_frost_circuit, test_frost_plan);
    swi_network *network = swi_network_new(b.circuit);
    swi_between between;
    uint32_t vcc = test_number_of(b.circuit, "R1.1"), ref = test_number_of(b.circuit, "R1.2");
    uint32_t ground = test_number_of(b.circuit, "R2.2"), out = test_number_of(b.circuit, "R4.1");
    assert_true(swi_network_between(network, vcc, ground, &between));
    /* 10k + 4k7 beside 10k + 10k: 14.7k || 20k = 8472.6 */
    assert_true(between.ohms > 8472 && between.ohms < 8473);
    assert_string_equal(between.resistor, "");
    assert_true(swi_network_between(network, vcc, ref, &between));
    /* 10k beside 20k + 4k7: 7118.2 */
    assert_true(between.ohms > 7118 && between.ohms < 7119);
    assert_true(swi_network_between(network, vcc, out, &between));
    assert_true(between.ohms > 1e300);
    uint32_t anode = test_number_of(b.circuit, "D1.1"), lamp = test_number_of(b.circuit, "D1.2");
    assert_true(swi_network_between(network, anode, lamp, &between));
    assert_string_equal(between.diode, "D1");
    /* Behind R5, 470 ohms, a diode does not make a meter beep. */
    assert_true(swi_network_between(network, vcc, lamp, &between));
    assert_string_equal(between.diode, "");
    swi_network_free(network);
    close_bench(&b);
}

static sw_pin *pin_of(const bench *b, const char *ref, const char *pin) {
    return &b->circuit->pins[sw_circuit_pin(b->circuit, sw_circuit_part(b->circuit, ref), pin).i];
}

/* What a fit would know of the circuit: rails, and an IC's supply pins. */
static void supplies_last_and_rails(void **state) {
    (void)state;
    bench b = open_bench(test_frost_circuit, test_frost_plan);
    sw_pin *positive = pin_of(&b, "U1", "8"), *ground = pin_of(&b, "U1", "4");
    positive->type = SW_PIN_POWER_POSITIVE;
    ground->type = SW_PIN_GROUND;
    b.circuit->nodes[positive->node.i].rail = SW_RAIL_POSITIVE;
    b.circuit->nodes[ground->node.i].rail = SW_RAIL_GROUND;
    swi_probes_free(b.list);
    b.list = swi_probes_new(b.plan, b.circuit, b.library);
    const swi_probe *last = &b.list->probes[b.list->count - 1];
    assert_int_equal(last->kind, SWI_PROBE_SUPPLY);
    assert_string_equal(last->touch_a, "U1.8");
    assert_string_equal(last->touch_b, "U1.4");
    unsigned rails = 0;
    for (uint32_t i = 0; i < b.list->count; i++)
        rails += b.list->probes[i].kind == SWI_PROBE_RAILS;
    assert_int_equal(rails, 1);
    close_bench(&b);
}

/* A digit in its socket joins its pins 3 and 8: with the socket empty the node is in two pieces. */
static void what_a_socket_joins_is_not_there_yet(void **state) {
    (void)state;
    bench b = open_bench("U1 ? - - DISPLAY-10 1=~ 2=~ 3=G 4=~ 5=~ 6=~ 7=~ 8=G 9=~ 10=~\nR1 R 1k - RES-0.25W 1=G 2=X\nR2 R 1k - RES-0.25W 1=G 2=Y\n",
                         "board G15\nU1 A4 B4 C4 D4 E4 E10 D10 C10 B10 A10\nR1 C2 F2\nR2 C12 F12\n"
                         "cut A7\ncut B7\nasked C7\ncut D7\ncut E7\ncut F7\n");
    uint32_t whole = 0;
    for (uint32_t i = 0; i < b.list->count; i++) {
        const swi_probe *p = &b.list->probes[i];
        if (p->kind != SWI_PROBE_WHOLE)
            continue;
        whole++;
        assert_true((p->a.column < 7) == (p->b.column < 7));
    }
    assert_int_equal(whole, 2);
    close_bench(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frost_alarm),
        cmocka_unit_test(rain_counter),
        cmocka_unit_test(expectations),
        cmocka_unit_test(supplies_last_and_rails),
        cmocka_unit_test(what_a_socket_joins_is_not_there_yet),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
