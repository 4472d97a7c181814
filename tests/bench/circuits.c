/* tests/bench/circuits.c: circuits of the greenhouse, of the same make-up (parts,
 * pins, nodes) as published hand-made boards, and made-up ones of any size.
 *
 * The published sizes are facts of boards shown on a school electronics club's project
 * pages; the circuits here are our own.  A line is a part: reference, kind,
 * package, then the node of each package pin; "-" is a pin that connects to nothing.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "circuits.h"

typedef struct bench_entry {
    const char *name;
    int published;
    const char *lines;
} bench_entry;

/* 8 parts with terminals: a flasher that says the seed-tray heater is on; 6 × 21. */
static const char seed_flasher[] =
    "U1 X DIP-8 GND TRIG OUT VCC CONT TRIG DIS VCC\n"
    "R1 R RES-0.25W VCC DIS\n"
    "R2 R RES-0.25W DIS TRIG\n"
    "R3 R RES-0.25W OUT LAMP\n"
    "C1 C ELEC-5 TRIG GND\n"
    "D1 D LED-3 LAMP GND\n"
    "P1 N PIN-1 VCC\n"
    "P2 N PIN-1 GND\n";

/* 8 parts: a lamp at the door that only looks like an alarm; 8 × 16. */
static const char door_lamp[] =
    "U1 X DIP-8 GND TC OUT VCC - TC TC VCC\n"
    "R1 R RES-0.25W VCC X\n"
    "R2 R RES-0.25W X TC\n"
    "R3 R RES-0.25W OUT A\n"
    "C1 C ELEC-6.3 TC GND\n"
    "C2 C CAP-DISC-2.5 VCC GND\n"
    "D1 D LED-5 A GND\n"
    "P1 N HEADER-1x2 VCC GND\n";

/* 14 parts: a watering timer with two lamps; 10 × 22. */
static const char watering_timer[] =
    "U1 X DIP-8 GND TR OUT RES CV TH TH VCC\n"
    "R1 R RES-0.25W VCC W\n"
    "VR1 P TRIM-10 W TH -\n"
    "R2 R RES-0.25W VCC TR\n"
    "R3 R RES-0.25W VCC RES\n"
    "R4 R RES-0.25W OUT G1\n"
    "R5 R RES-0.25W VCC R1A\n"
    "D1 D LED-3 G1 GND\n"
    "D2 D LED-3 R1A OUT\n"
    "C1 C ELEC-6.3 TH GND\n"
    "C2 C CAP-DISC-2.5 CV GND\n"
    "S1 S BUTTON-6 TR TR GND GND\n"
    "P1 N PIN-1 VCC\n"
    "P2 N PIN-1 GND\n";

/* 16 parts: lamps among the beans that flash at random; 16 × 14. */
static const char bean_lights[] =
    "U1 X DIP-14 A B A B C D GND D C E F E F VCC\n"
    "R1 R RES-0.25W A X1\nR2 R RES-0.25W X1 B\nR3 R RES-0.25W C X2\nR4 R RES-0.25W X2 D\n"
    "R5 R RES-0.25W B L1\nR6 R RES-0.25W D L2\nR7 R RES-0.25W F L3\n"
    "C1 C CAP-DISC-2.5 X1 GND\nC2 C CAP-DISC-2.5 X2 GND\nC3 C ELEC-5 VCC GND\n"
    "D1 D LED-3 L1 GND\nD2 D LED-3 L2 GND\nD3 D LED-3 L3 GND\n"
    "P1 N PIN-1 VCC\nP2 N PIN-1 GND\n";

/* 19 parts, an 8-pin and a 16-pin IC: a ring of lamps around the rain gauge; 19 × 21. */
static const char gauge_ring[] =
    "U1 X DIP-8 GND TC CLK VCC CV TC DIS VCC\n"
    "U2 X DIP-16 Q5 Q1 Q0 Q2 RST - Q3 GND - Q4 - - GND CLK RST VCC\n"
    "R1 R RES-0.25W VCC DIS\nVR1 P TRIM-6 DIS TC TC\nR2 R RES-0.25W K GND\n"
    "C1 C ELEC-5 TC GND\nC2 C CAP-DISC-2.5 CV GND\nC3 C ELEC-6.3 VCC GND\n"
    "D1 D LED-5 Q0 K\nD2 D LED-5 Q1 K\nD3 D LED-5 Q2 K\nD4 D LED-5 Q3 K\nD5 D LED-5 Q4 K\nD6 D LED-5 Q5 K\n"
    "R3 R RES-0.25W RST GND\nR4 R RES-0.25W VCC B\nD7 D DO-35 B GND\n"
    "P1 N PIN-1 VCC\nP2 N PIN-1 GND\n";

/* 26 parts, two ICs, six diodes: a die that says which bed to water; 20 × 22. */
static const char bed_die[] =
    "U1 X DIP-8 GND TC CLK VCC CV TC DIS VCC\n"
    "U2 X DIP-16 Q5 Q1 Q0 Q2 RST - Q3 GND - Q4 - - EN CLK RST VCC\n"
    "R1 R RES-0.25W VCC DIS\nR2 R RES-0.25W DIS TC\nR3 R RES-0.25W EN GND\nR4 R RES-0.25W L1 J1\n"
    "R5 R RES-0.25W L2 J2\nR6 R RES-0.25W L3 J3\nR7 R RES-0.25W VCC L4\n"
    "C1 C CAP-DISC-2.5 TC GND\nC2 C CAP-DISC-2.5 CV GND\n"
    "D1 D DO-35 Q0 L1\nD2 D DO-35 Q1 L2\nD3 D DO-35 Q2 L1\nD4 D DO-35 Q3 L3\nD5 D DO-35 Q4 L2\nD6 D DO-35 Q5 L3\n"
    "D7 D LED-5 J1 GND\nD8 D LED-5 J2 M2\nD9 D LED-5 M2 GND\nD10 D LED-5 J3 M3\nD11 D LED-5 M3 GND\n"
    "D12 D LED-5 L4 EN\n"
    "S1 N HEADER-1x2 VCC EN\nP1 N PIN-1 VCC\nP2 N PIN-1 GND\n";

/* 25 parts, two ICs: the allotment society's badge; 16 × 19. */
static const char badge[] =
    "U1 X DIP-8 GND TC CLK VCC CV TC DIS VCC\n"
    "U2 X DIP-16 - Q1 Q0 Q2 - - Q3 GND - Q4 - - GND CLK RST VCC\n"
    "R1 R RES-0.25W VCC DIS\nR2 R RES-0.25W DIS TC\n"
    "R3 R RES-0.25W Q0 A0\nR4 R RES-0.25W Q1 A1\nR5 R RES-0.25W Q2 A2\nR6 R RES-0.25W Q3 A3\n"
    "C1 C ELEC-4 TC GND\nC2 C CAP-DISC-2.5 CV GND\nC3 C ELEC-5 VCC GND\n"
    "D1 D LED-3 A0 B0\nD2 D LED-3 B0 GND\nD3 D LED-3 A1 B1\nD4 D LED-3 B1 GND\n"
    "D5 D LED-3 A2 B2\nD6 D LED-3 B2 GND\nD7 D LED-3 A3 B3\nD8 D LED-3 B3 GND\n"
    "D9 D DO-35 Q4 RST\nR7 R RES-0.25W RST GND\nR8 R RES-0.25W VCC PL\nD10 D LED-3 PL GND\n"
    "P1 N PIN-1 VCC\nP2 N PIN-1 GND\n";

/* 45 parts, four 8-pin ICs: who has spotted the greenfly first; 10 × 50. */
#define QUIZ_STATION(n, p, q, r) \
    "U" n " X DIP-8 GND T" n " O" n " H" n " CV" n " H" n " H" n " VCC\n" \
    "R" p "1 R RES-0.25W VCC T" n "\nR" p "2 R RES-0.25W O" n " A" n "\nR" p "3 R RES-0.25W O" n " B" n "\n" \
    "C" n "1 C CAP-DISC-2.5 CV" n " GND\nC" n "2 C CAP-DISC-2.5 T" n " S" n "\n" \
    "D" n "1 D LED-3 A" n " GND\nD" n "2 D DO-35 B" n " BUZ\nR" q "4 R RES-0.25W H" n " LOCK\nS" n " N PIN-1 S" n "\n"
static const char quiz[] =
    QUIZ_STATION("1", "1", "1", "1") QUIZ_STATION("2", "2", "2", "2")
    QUIZ_STATION("3", "3", "3", "3") QUIZ_STATION("4", "4", "4", "4")
    "Q1 Q TO-92 BC BB GND\nR51 R RES-0.25W BUZ BB\nP3 N PIN-1 BC\n"
    "P1 N PIN-1 VCC\nP2 N PIN-1 GND\n";

/* 12 parts: two lamps at the gate that flash in turn, the same on both sides; 11 parts: a
 * frost lamp.  Of our own, no published board. */
static const char gate_lamps[] =
    "Q1 Q TO-92 K1 B1 GND\nQ2 Q TO-92 K2 B2 GND\n"
    "R1 R RES-0.25W VCC A1\nR2 R RES-0.25W VCC A2\nR3 R RES-0.25W VCC B1\nR4 R RES-0.25W VCC B2\n"
    "C1 C ELEC-5 K1 B2\nC2 C ELEC-5 K2 B1\nD1 D LED-3 K1 A1\nD2 D LED-3 K2 A2\n"
    "P1 N PIN-1 VCC\nP2 N PIN-1 GND\n";
static const char frost_lamp[] =
    "U1 X DIP-8 - REF SENSE GND - OUT VCC -\n"
    "R1 R RES-0.25W VCC SENSE\nR2 R RES-0.25W VCC REF\nR3 R RES-0.25W REF GND\nR4 R RES-0.25W OUT A\n"
    "R5 R RES-0.25W OUT SENSE\nRT1 R NTC-5 SENSE GND\nC1 C CAP-DISC-2.5 VCC GND\nD1 D LED-3 GND A\n"
    "P1 N PIN-1 VCC\nP2 N PIN-1 GND\n";

static const bench_entry entries[] = {
    {"seed-flasher", 126, seed_flasher}, {"door-lamp", 128, door_lamp},  {"watering-timer", 220, watering_timer},
    {"bean-lights", 224, bean_lights},   {"gauge-ring", 399, gauge_ring}, {"bed-die", 440, bed_die},
    {"badge", 304, badge},               {"quiz", 500, quiz},
    {"gate-lamps", 0, gate_lamps},       {"frost-lamp", 0, frost_lamp},
};

const char *bench_circuit_name(int index) {
    return index >= 0 && index < (int)(sizeof entries / sizeof *entries) ? entries[index].name : NULL;
}

int bench_circuit_published(int index) {
    return entries[index].published;
}

/* One blank-separated word of the line; its length. */
static size_t word(const char **at, const char *end, const char **out) {
    while (*at < end && **at == ' ')
        ++*at;
    *out = *at;
    while (*at < end && **at != ' ')
        ++*at;
    return (size_t)(*at - *out);
}

static sw_rail rail_of(const char *name) {
    return strcmp(name, "VCC") == 0 ? SW_RAIL_POSITIVE : strcmp(name, "GND") == 0 ? SW_RAIL_GROUND : SW_RAIL_NONE;
}

static void add_pin(sw_builder *b, sw_part_id part, const char *number, const char *name) {
    sw_node_id node;
    if (strcmp(name, "-") == 0)
        node = sw_builder_lone_node(b, SW_NOWHERE);
    else {
        node = sw_builder_node(b, name, false, SW_NOWHERE);
        sw_builder_node_at(b, node)->rail = rail_of(name);
    }
    sw_builder_pin(b, part, number, "", node, SW_NOWHERE);
}

static bool add_line(sw_builder *b, const sw_library *library, const char *line, const char *end) {
    const char *ref, *kind, *name, *node;
    char text[64];
    size_t ref_length = word(&line, end, &ref);
    word(&line, end, &kind);
    size_t name_length = word(&line, end, &name);
    snprintf(text, sizeof text, "%.*s", (int)name_length, name);
    const sw_package *package = sw_library_package(library, text);
    if (!package) {
        fprintf(stderr, "no package %s\n", text);
        return false;
    }
    snprintf(text, sizeof text, "%.*s", (int)ref_length, ref);
    sw_part_id id = sw_builder_part(b, text, *kind, SW_NOWHERE);
    if (id.i == SW_NONE)
        return false;
    sw_part *part = sw_builder_part_at(b, id);
    part->form = package;
    part->package = sw_builder_text(b, package->name, strlen(package->name));
    part->terminal = *kind == 'N';
    for (uint16_t i = 0; i < package->pin_count; i++) {
        size_t length = word(&line, end, &node);
        snprintf(text, sizeof text, "%.*s", (int)length, node);
        if (!length)
            return false;
        add_pin(b, id, package->pins[i], text);
    }
    return true;
}

static sw_circuit *from_lines(const char *lines, const char *title, const sw_library *library, sw_diags *diags) {
    sw_builder *b = sw_builder_new(SW_STAGE_FITTED, diags);
    if (!b)
        return NULL;
    sw_builder_title(b, title);
    while (*lines) {
        const char *end = strchr(lines, '\n');
        if (!add_line(b, library, lines, end)) {
            fprintf(stderr, "bad line: %.*s\n", (int)(end - lines), lines);
            sw_builder_free(b);
            return NULL;
        }
        lines = end + 1;
    }
    sw_circuit *circuit = sw_builder_finish(b);
    if (circuit)
        sw_circuit_number(circuit, diags);
    return circuit;
}

sw_circuit *bench_lines(const char *lines, const sw_library *library, sw_diags *diags) {
    return from_lines(lines, "lines", library, diags);
}

sw_circuit *bench_circuit(const char *name, const sw_library *library, sw_diags *diags) {
    for (size_t i = 0; i < sizeof entries / sizeof *entries; i++)
        if (strcmp(entries[i].name, name) == 0)
            return from_lines(entries[i].lines, name, library, diags);
    return NULL;
}

/* ---- made-up circuits ---- */

static uint32_t draw(uint64_t *seed, uint32_t n) {
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (uint32_t)(*seed >> 33) % n;
}

/* As real circuits are: two rails that many pins share, local nodes of two to five pins
 * between parts that follow each other, some IC pins unused.  No part but an IC has two
 * leads of one node, and no local node is left with a single pin. */
enum { POOL = 8, MOST_PINS = 16, RAIL_GROUND = 0, RAIL_POSITIVE = -1 };

typedef struct maker {
    sw_buf lines;
    uint64_t seed;
    int pool; /* how many local nodes may want pins at a time */
    int open[POOL]; /* local nodes that want more pins: number, and how many more */
    int wants[POOL];
    int has[POOL]; /* how many pins they have */
    int open_count, next;
    int taken[MOST_PINS]; /* nodes that the part being made has already */
    int taken_count;
} maker;

static bool is_taken(const maker *m, int node) {
    for (int i = 0; i < m->taken_count; i++)
        if (m->taken[i] == node)
            return true;
    return false;
}

static void put_node(maker *m, int node) {
    m->taken[m->taken_count++] = node;
    if (node == RAIL_GROUND || node == RAIL_POSITIVE)
        sw_buf_puts(&m->lines, node == RAIL_GROUND ? " GND" : " VCC");
    else
        sw_buf_printf(&m->lines, " N%d", node);
}

/* The pool's node gets a pin; it leaves the pool when it wants no more. */
static int give_pin(maker *m, int at) {
    int node = m->open[at];
    m->has[at]++;
    if (--m->wants[at] == 0) {
        m->open_count--;
        m->open[at] = m->open[m->open_count];
        m->wants[at] = m->wants[m->open_count];
        m->has[at] = m->has[m->open_count];
    }
    return node;
}

static int new_node(maker *m) {
    m->open[m->open_count] = m->next++;
    m->wants[m->open_count] = 2 + (int)draw(&m->seed, 3) + (draw(&m->seed, 4) == 0);
    m->has[m->open_count] = 0;
    return m->open_count++;
}

/* A node for one more pin: a rail, a local node that wants one, or a new one. */
static int choose_node(maker *m, int rails, bool twice) {
    if ((int)draw(&m->seed, 100) < rails) {
        int rail = draw(&m->seed, 100) < 55 ? RAIL_GROUND : RAIL_POSITIVE;
        if (twice || !is_taken(m, rail))
            return rail;
    }
    bool fresh = draw(&m->seed, 100) >= 68;
    if (m->open_count && (!fresh || m->open_count == m->pool)) {
        int first = (int)draw(&m->seed, (uint32_t)m->open_count);
        for (int i = 0; i < m->open_count; i++)
            if (twice || !is_taken(m, m->open[(first + i) % m->open_count]))
                return give_pin(m, (first + i) % m->open_count);
    }
    return m->open_count < m->pool ? give_pin(m, new_node(m)) : RAIL_GROUND;
}

static void put_part(maker *m, int number, const char *kind, const char *package, int pins, int rails) {
    sw_buf_printf(&m->lines, "%s%d %c %s", kind, number, kind[0] == 'T' ? 'N' : kind[0] == 'U' ? 'X' : kind[0], package);
    m->taken_count = 0;
    for (int i = 0; i < pins; i++) {
        if (pins >= 8 && i == pins / 2 - 1)
            put_node(m, RAIL_GROUND);
        else if (pins >= 8 && i == pins - 1)
            put_node(m, RAIL_POSITIVE);
        else if (pins >= 8 && draw(&m->seed, 100) < 12)
            sw_buf_puts(&m->lines, " -");
        else
            put_node(m, choose_node(m, pins >= 8 ? 6 : rails, pins >= 8));
    }
    sw_buf_putc(&m->lines, '\n');
}

/* The pool's node with the fewest pins, taken out of the pool; the rail when it is empty. */
static int loneliest(maker *m, int rail) {
    int least = 0;
    if (m->open_count == 0)
        return rail;
    for (int i = 1; i < m->open_count; i++)
        if (m->has[i] < m->has[least])
            least = i;
    m->wants[least] = 1;
    return give_pin(m, least);
}

/* A resistor between the two nodes that need a second pin most: half a pool of these at
 * the end leaves no node alone. */
static void put_last(maker *m, int number) {
    sw_buf_printf(&m->lines, "R%d R RES-0.25W", number);
    m->taken_count = 0;
    put_node(m, loneliest(m, RAIL_POSITIVE));
    put_node(m, loneliest(m, RAIL_GROUND));
    sw_buf_putc(&m->lines, '\n');
}

static void put_small(maker *m, int number) {
    static const char *const kinds[] = {"R", "R", "R", "R", "C", "C", "D", "L"};
    static const char *const packages[] = {"RES-0.25W", "RES-0.25W", "RES-0.25W", "RES-0.25W",
                                           "CAP-DISC-2.5", "ELEC-5", "DO-35", "LED-3"};
    uint32_t k = draw(&m->seed, 8);
    put_part(m, number, k == 7 ? "D" : kinds[k], packages[k], 2, 30);
}

sw_circuit *bench_synthetic(int parts, uint64_t seed, const sw_library *library, sw_diags *diags) {
    bench_recipe recipe = {.parts = parts, .seed = seed, .ics = 7, .local = POOL};
    return bench_made_up(&recipe, library, diags);
}

sw_circuit *bench_made_up(const bench_recipe *r, const sw_library *library, sw_diags *diags) {
    int pool = r->local < 2 ? 2 : r->local > POOL ? POOL : r->local, parts = r->parts;
    maker m = {.lines = SW_BUF_INIT, .seed = r->seed * 2 + 1, .pool = pool, .next = 1};
    int dips = parts * r->ics / 100, bipolars = parts / 10, presets = parts / 40, terminals = parts < 40 ? 2 : 4;
    dips = dips ? dips : 1;
    for (int i = 0; i < 8; i++)
        draw(&m.seed, 2);
    sw_buf_puts(&m.lines, "T1 N PIN-1 VCC\nT2 N PIN-1 GND\n");
    for (int i = 2; i < terminals; i++)
        put_part(&m, i + 1, "T", "PIN-1", 1, 0);
    int left = parts - terminals - pool / 2, done = 0;
    /* Kinds are mixed so that local nodes join neighbours of all kinds. */
    for (int i = 0; i < left; i++) {
        if (dips && i * (parts * r->ics / 100 + 1) / left >= done) {
            static const char *const names[] = {"DIP-8", "DIP-14", "DIP-16"};
            static const int pins[] = {8, 14, 16};
            int k = done % 3;
            put_part(&m, i + 1, "U", names[k], pins[k], 0);
            dips--;
            done++;
        } else if (bipolars && draw(&m.seed, 100) < 12) {
            put_part(&m, i + 1, "Q", "TO-92", 3, 20);
            bipolars--;
        } else if (presets && draw(&m.seed, 100) < 5) {
            put_part(&m, i + 1, "P", "TRIM-6", 3, 10);
            presets--;
        } else
            put_small(&m, i + 1);
    }
    for (int i = 0; i < pool / 2; i++)
        put_last(&m, left + i + 1);
    char title[40];
    snprintf(title, sizeof title, "synthetic-%d-%d", parts, (int)r->seed);
    sw_circuit *circuit = m.lines.failed ? NULL : from_lines(m.lines.bytes, title, library, diags);
    sw_buf_free(&m.lines);
    return circuit;
}
