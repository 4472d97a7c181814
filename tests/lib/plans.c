/* Plans for tests of papers: one by hand, any number by throwing parts at a board. */
#include "tests/lib/plans.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- small helpers to write a plan down ---- */

static void add_part(sw_plan *plan, const char *ref, const char *value, const char *package, int turn) {
    sw_plan_add_part(plan, (sw_plan_part){.ref = sw_plan_text(plan, ref), .value = sw_plan_text(plan, value),
                                          .device = "", .package = sw_plan_text(plan, package),
                                          .turn = (int16_t)turn});
}

static sw_hole hole_of(const char *name) {
    sw_hole hole = {-1, -1};
    sw_hole_read(name, &hole);
    return hole;
}

static void add_lead(sw_plan *plan, const char *pin, uint32_t node, sw_hole hole) {
    sw_plan_add_lead(plan, (sw_plan_lead){.pin = sw_plan_text(plan, pin), .node = node, .hole = hole});
}

/* pins: "1:3@C4 2:5@G4". */
static void part(sw_plan *plan, const char *ref, const char *value, const char *package, int turn,
                 const char *pins) {
    add_part(plan, ref, value, package, turn);
    char pin[8], name[12];
    unsigned node;
    int used;
    while (sscanf(pins, " %7[^:]:%u@%11[A-Z0-9]%n", pin, &node, name, &used) == 3) {
        add_lead(plan, pin, node, hole_of(name));
        pins += used;
    }
}

static void cut(sw_plan *plan, const char *hole) {
    sw_plan_add_cut(plan, (sw_cut){.hole = hole_of(hole)});
}

static void wire_link(sw_plan *plan, uint32_t node, const char *from, const char *to) {
    sw_plan_add_link(plan, (sw_link){.node = node, .from = hole_of(from), .to = hole_of(to)});
}

static void node(sw_plan *plan, uint32_t number, const char *name, sw_rail rail, bool unused) {
    sw_plan_add_node(plan, (sw_plan_node){number, sw_plan_text(plan, name), rail, unused});
}

sw_plan *test_plan_frost(void) {
    sw_plan *plan = sw_plan_new();
    if (!plan)
        return NULL;
    plan->title = sw_plan_text(plan, "Frost alarm for the lower greenhouse");
    plan->circuit_file = sw_plan_text(plan, "frost-alarm.cir");
    plan->strips = 8;
    plan->columns = 19;
    node(plan, 1, "VCC", SW_RAIL_POSITIVE, false);
    node(plan, 2, "0", SW_RAIL_GROUND, false);
    node(plan, 3, "sense", SW_RAIL_NONE, false);
    node(plan, 4, "ref", SW_RAIL_NONE, false);
    node(plan, 5, "out", SW_RAIL_NONE, false);
    node(plan, 6, "base", SW_RAIL_NONE, false);
    node(plan, 7, "buzz", SW_RAIL_NONE, false);
    node(plan, 8, "lamp", SW_RAIL_NONE, false);
    node(plan, 9, "U1.7", SW_RAIL_NONE, true);
    part(plan, "C1", "100n", "CAP-DISC-2.5", 0, "1:1@A10 2:2@B10");
    part(plan, "C2", "47µ", "ELEC-5", 0, "1:1@A8 2:2@B8");
    part(plan, "D1", "1N4148", "DO-35", 0, "1:1@A14 2:7@D14");
    part(plan, "VCC", "9", "PIN-1", 0, "1:1@A1");
    part(plan, "0V", "9", "PIN-1", 0, "1:2@F1");
    part(plan, "TH1.1", "", "PIN-1", 0, "1:3@E1");
    part(plan, "TH1.2", "", "PIN-1", 0, "1:2@G1");
    part(plan, "LS1.1", "", "PIN-1", 0, "1:1@A19");
    part(plan, "LS1.2", "", "PIN-1", 0, "1:7@D19");
    part(plan, "LED1.A", "", "PIN-1", 0, "1:8@G19");
    part(plan, "LED1.K", "", "PIN-1", 0, "1:7@D17");
    part(plan, "Q1", "BC547", "TO-92", 0, "1:7@D15 2:6@E15 3:2@F15");
    part(plan, "R1", "10k", "RES-0.25W", 0, "1:1@A3 2:3@E3");
    part(plan, "R2", "4k7", "RES-0.25W", 0, "1:1@A5 2:4@D5");
    part(plan, "R3", "4k7", "RES-0.25W", 0, "1:4@D2 2:2@G2");
    part(plan, "R4", "1M", "RES-0.25W", 0, "1:3@E6 2:5@H6");
    part(plan, "R5", "4k7", "RES-0.25W", 0, "1:1@C13 2:5@H13");
    part(plan, "R6", "10k", "RES-0.25W", 0, "1:6@E17 2:5@H17");
    part(plan, "R7", "680R", "RES-0.25W", 0, "1:1@C18 2:8@G18");
    part(plan, "U1", "LM393", "DIP-8", 0, "1:5@C8 2:4@D8 3:3@E8 4:2@F8 5:2@F11 6:2@E11 7:9@D11 8:1@C11");
    static const char *const cuts[] = {"C9", "D9", "D13", "E9", "E13", "G4"};
    for (size_t i = 0; i < sizeof cuts / sizeof *cuts; i++)
        cut(plan, cuts[i]);
    wire_link(plan, 2, "F3", "G3");
    wire_link(plan, 2, "B4", "F4");
    wire_link(plan, 5, "C7", "H7");
    wire_link(plan, 1, "A12", "C12");
    wire_link(plan, 2, "E12", "F12");
    return plan;
}

/* ---- plans at random ---- */

typedef struct thrower {
    sw_plan *plan;
    const sw_library *library;
    uint64_t state;
    unsigned char *holes; /* strips × columns: in use */
    struct { sw_box box; } bodies[400];
    int body_count;
    int counts[128];
} thrower;

static uint32_t roll(thrower *t, uint32_t sides) {
    t->state = t->state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(t->state >> 33) % sides;
}

static bool meets(const thrower *t, sw_box box) {
    for (int i = 0; i < t->body_count; i++) {
        sw_box other = t->bodies[i].box;
        if (box.x0 < other.x1 && other.x0 < box.x1 && box.y0 < other.y1 && other.y0 < box.y1)
            return true;
    }
    return false;
}

static unsigned char *hole_at(thrower *t, int strip, int column) {
    return &t->holes[strip * t->plan->columns + column];
}

static sw_box grown(sw_box box, double by) {
    return (sw_box){box.x0 - by, box.y0 - by, box.x1 + by, box.y1 + by};
}

static sw_box leads_box(const sw_package *package, const sw_offset *leads) {
    sw_box box = {1e9, 1e9, -1e9, -1e9};
    for (int i = 0; i < package->pin_count; i++) {
        double x = SW_PITCH_MM * leads[i].column, y = SW_PITCH_MM * leads[i].row;
        box = (sw_box){fmin(box.x0, x), fmin(box.y0, y), fmax(box.x1, x), fmax(box.y1, y)};
    }
    return grown(box, 0.4);
}

static sw_box joined(sw_box a, sw_box b) {
    return (sw_box){fmin(a.x0, b.x0), fmin(a.y0, b.y0), fmax(a.x1, b.x1), fmax(a.y1, b.y1)};
}

static bool fits(thrower *t, const sw_offset *leads, int count, int strip, int column) {
    for (int i = 0; i < count; i++) {
        int s = strip + leads[i].row, c = column + leads[i].column;
        if (s < 0 || c < 0 || s >= t->plan->strips || c >= t->plan->columns || *hole_at(t, s, c))
            return false;
    }
    return true;
}

/* One try to put a part of this package somewhere. */
static bool throw_part(thrower *t, const char *package_name, const char *letter, const char *value) {
    const sw_package *package = sw_library_package(t->library, package_name);
    if (!package || package->pin_count > 64)
        return false;
    sw_offset leads[64];
    unsigned turn = roll(t, 5) ? 0 : 90 * roll(t, 4);
    if (!(package->turns & (1u << turn / 90)))
        turn = 0;
    unsigned span = package->span_usual;
    sw_package_leads(package, turn, span, leads);
    int strip = (int)roll(t, (uint32_t)t->plan->strips), column = (int)roll(t, (uint32_t)t->plan->columns);
    sw_box body = joined(sw_package_outline(package, turn, span), leads_box(package, leads));
    double x = SW_PITCH_MM * column, y = SW_PITCH_MM * strip;
    body = grown((sw_box){body.x0 + x, body.y0 + y, body.x1 + x, body.y1 + y}, -0.1);
    if (!fits(t, leads, package->pin_count, strip, column) || meets(t, body) || t->body_count >= 400)
        return false;
    char ref[16];
    snprintf(ref, sizeof ref, "%s%d", letter, ++t->counts[(int)letter[0]]);
    add_part(t->plan, ref, value, package->name, (int)turn);
    for (int i = 0; i < package->pin_count; i++) {
        sw_hole hole = {(int16_t)(strip + leads[i].row), (int16_t)(column + leads[i].column)};
        add_lead(t->plan, package->pins[i], 0, hole);
        *hole_at(t, hole.strip, hole.column) = 1;
    }
    t->bodies[t->body_count++].box = body;
    return true;
}

static void throw_link(thrower *t) {
    int s = (int)roll(t, (uint32_t)t->plan->strips), c = (int)roll(t, (uint32_t)t->plan->columns),
        e = s + 1 + (int)roll(t, 8);
    if (e >= t->plan->strips || t->body_count >= 400 || *hole_at(t, s, c) || *hole_at(t, e, c))
        return;
    sw_box box = {SW_PITCH_MM * c - 0.4, SW_PITCH_MM * s - 0.4, SW_PITCH_MM * c + 0.4, SW_PITCH_MM * e + 0.4};
    for (int i = s; i <= e; i++)
        if (*hole_at(t, i, c) == 1)
            return;
    if (meets(t, box))
        return;
    sw_plan_add_link(t->plan, (sw_link){.from = {(int16_t)s, (int16_t)c}, .to = {(int16_t)e, (int16_t)c},
                                        .sleeved = roll(t, 8) == 0});
    *hole_at(t, s, c) = *hole_at(t, e, c) = 1;
    t->bodies[t->body_count++].box = box;
}

static void throw_cut(thrower *t) {
    int s = (int)roll(t, (uint32_t)t->plan->strips), c = (int)roll(t, (uint32_t)t->plan->columns);
    if (*hole_at(t, s, c))
        return;
    *hole_at(t, s, c) = 2;
    sw_plan_add_cut(t->plan, (sw_cut){.hole = {(int16_t)s, (int16_t)c}});
}

/* Every piece of copper with a lead is a node; leads and links get its number. */
static void number_nodes(sw_plan *plan, const sw_library *library) {
    sw_copper *copper = sw_copper_new(plan, library);
    uint32_t *numbers = calloc(copper->copper_count + 1, sizeof *numbers), count = 0;
    for (uint32_t i = 0; i < plan->lead_count; i++) {
        uint32_t piece = copper->segments[sw_copper_segment(copper, plan, plan->leads[i].hole)].copper;
        if (!numbers[piece])
            numbers[piece] = ++count;
        plan->leads[i].node = numbers[piece];
    }
    for (uint32_t i = 0; i < plan->link_count; i++)
        plan->links[i].node =
            numbers[copper->segments[sw_copper_segment(copper, plan, plan->links[i].from)].copper];
    free(numbers);
    sw_copper_free(copper);
}

sw_plan *test_plan_random(uint32_t seed, int strips, int columns, int fill, const sw_library *library) {
    static const struct { const char *package, *letter, *value; int weight; } kinds[] = {
        {"RES-0.25W", "R", "4k7", 12}, {"RES-0.25W", "R", "390R", 6}, {"DIP-8", "U", "LM393", 2},
        {"DIP-14", "U", "CD4011", 1}, {"CAP-DISC-2.5", "C", "100n", 5}, {"ELEC-5", "C", "47µ", 2},
        {"ELEC-8", "C", "470µ", 1}, {"DO-35", "D", "1N4148", 3}, {"LED-5", "D", "red", 2},
        {"TO-92", "Q", "BC547", 3}, {"PIN-1", "J", "sensor", 5}, {"TRIM-SQUARE", "P", "10k", 1},
        {"RES-0.25W-UP", "R", "1M", 2}, {"TO-220", "Q", "TIP31", 1}, {"DO-41", "D", "1N4007", 1}};
    thrower *t = calloc(1, sizeof *t);
    t->plan = sw_plan_new();
    t->library = library;
    t->state = seed * 2654435761u + 12345;
    t->plan->title = sw_plan_text(t->plan, "Rain counter");
    t->plan->strips = (int16_t)strips;
    t->plan->columns = (int16_t)columns;
    t->holes = calloc((size_t)(strips * columns), 1);
    int holes = strips * columns, tries = holes * 2;
    for (int i = 0; i < tries && (int)t->plan->lead_count * 400 < fill * holes; i++) {
        uint32_t pick = roll(t, 47);
        for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
            if (pick < (uint32_t)kinds[k].weight) {
                throw_part(t, kinds[k].package, kinds[k].letter, kinds[k].value);
                break;
            }
            pick -= (uint32_t)kinds[k].weight;
        }
    }
    for (int i = 0; i < holes / 12; i++)
        throw_link(t);
    for (int i = 0; i < holes / 8; i++)
        throw_cut(t);
    sw_plan *plan = t->plan;
    free(t->holes);
    free(t);
    number_nodes(plan, library);
    return plan;
}
