/* The review: each finding by a circuit that has just that mistake, and a sound
 * circuit that has none.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"

static sw_diags *review(const char *text, const char *const *rails) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *netlist = test_circuit(diags, SW_STAGE_NETLIST, text), *c = NULL;
    sw_fit_options options = {.rails = rails};
    assert_non_null(netlist);
    sw_status status = sw_fit(netlist, library, &options, diags, &c, NULL);
    if (status != SW_OK)
        fail_msg("%s", sw_diags_get(diags, 0)->message);
    assert_int_equal(sw_circuit_number(c, diags), SW_OK);
    assert_int_equal(sw_review(c, diags), SW_OK);
    sw_circuit_free(c);
    sw_circuit_free(netlist);
    sw_library_free(library);
    return diags;
}

/* The circuit has so many findings of this id, and the first says `part`. */
static void check_some(const char *text, sw_diag_id id, size_t count, const char *part) {
    sw_diags *diags = review(text, NULL);
    if (test_count(diags, id) != count)
        fail_msg("%s: %zu, not %zu: %s", sw_diag_name(id), test_count(diags, id), count, text);
    if (!strstr(test_message(diags, id), part))
        fail_msg("%s: \"%s\" is not in \"%s\"", sw_diag_name(id), part, test_message(diags, id));
    sw_diags_free(diags);
}

static void check(const char *text, sw_diag_id id, const char *part) {
    check_some(text, id, 1, part);
}

static void check_none(const char *text, sw_diag_id id) {
    check_some(text, id, 0, "");
}

/* Two batteries, a comparator with both halves in use, LED, electrolytic. */
static const char sound[] =
    "V1 V 9 - - +=VCC -=0\nU1 ? - LM393 - 1=o1 2=b 3=a 4=0 5=a 6=b 7=o2 8=VCC\n"
    "R1 R 10k - - 1=VCC 2=a\nR2 R 10k - - 1=a 2=0\nR3 R 4k7 - - 1=VCC 2=b\nR4 R 22k - - 1=b 2=0\n"
    "C1 C 100n - - 1=VCC 2=0\nC2 C 10u - - 1=VCC 2=0\nR5 R 1k - - 1=VCC 2=l\nD1 D - LED - A=l K=o1\n"
    "R6 R 10k - - 1=VCC 2=o2\n";

static void a_sound_circuit_has_no_findings(void **state) {
    (void)state;
    sw_diags *diags = review(sound, NULL);
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        if (sw_diags_get(diags, i)->id != SW_D_FIT_GUESSED)
            fail_msg("%s", sw_diags_get(diags, i)->message);
    sw_diags_free(diags);
}

/* ---- open pins by type ---- */

static void open_inputs(void **state) {
    (void)state;
    check("U1 ? - CD4017 - 16=VDD 8=0 14=c 15=0 3=d\nR1 R 1k - - 1=c 2=VDD\nR2 R 1k - - 1=d 2=0\n",
          SW_D_PIN_INPUT_OPEN, "input 13 (CKEN) of U1 (CD4017) is open");
    check("U1 ? - 74LS138 - 16=VCC 8=0 1=c 2=c 3=c 4=c 5=c 15=d\nR1 R 1k - - 1=c 2=VCC\n"
          "R2 R 1k - - 1=d 2=0\n", SW_D_PIN_INPUT_OPEN, "a TTL input");
    check_none("U1 ? - CD4017 - 16=VDD 8=0 14=c 15=0 3=d 13=0\nR1 R 1k - - 1=c 2=VDD\n"
               "R2 R 1k - - 1=d 2=0\n", SW_D_PIN_INPUT_OPEN);
}

static void open_outputs_are_only_told(void **state) {
    (void)state;
    check("U1 ? - CD4017 - 16=VDD 8=0 14=c 15=0 3=d 13=0 2=e 4=e 7=e 10=e 1=e 5=e\n"
          "R1 R 1k - - 1=c 2=VDD\nR2 R 1k - - 1=d 2=e\n", SW_D_PIN_OUTPUT_OPEN,
          "outputs 6 (Q7), 9 (Q8), 11 (Q9), 12 (Cout) of U1 are not used: they may stay open");
    check("U1 ? - NE555 - 8=VCC 1=0 2=a 6=a 4=VCC 5=b 3=a\nR1 R 1k - - 1=a 2=VCC\nC1 C 10n - - 1=b 2=0\n"
          "C2 C 10n - - 1=a 2=0\n", SW_D_PIN_OUTPUT_OPEN, "output 7 (DISCH) of U1 is not used: it may stay open");
}

static void no_connects_are_fine_and_open_pins_told(void **state) {
    (void)state;
    const char *one = "U1 ? - LM741 - 2=a 3=b 4=0 6=a 7=VCC\nR1 R 1k - - 1=b 2=VCC\n"
                      "R2 R 1k - - 1=b 2=0\n";
    check_some(one, SW_D_PIN_OPEN, 1, "pins 1 (NULL), 5 (NULL) of U1"); /* 8 is NC */
    check_none(one, SW_D_LEAD_OPEN);
    check("R1 R 1k - - 1=a 2=~\nR2 R 1k - - 1=a 2=0\n", SW_D_LEAD_OPEN, "lead 2 of R1");
    check_some("U1 ? - - DIP-8 1=a 2=0\nR1 R 1k - - 1=a 2=0\n", SW_D_PIN_OPEN, 1, "pins 3, 4, 5, 6, 7, 8 of U1 connect to nothing");
}

static void keep_open_pins(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_FITTED, diags);
    sw_part_id u = sw_builder_part(b, "U1", 'X', SW_NOWHERE);
    sw_part_id v = sw_builder_part(b, "U2", 'X', SW_NOWHERE);
    sw_node_id n = sw_builder_node(b, "n", false, SW_NOWHERE);
    sw_pin_id used = sw_builder_pin(b, u, "5", "DNC", n, SW_NOWHERE);
    sw_builder_pin(b, v, "1", "", n, SW_NOWHERE);
    sw_pin_id open = sw_builder_pin(b, v, "2", "DNC", sw_builder_lone_node(b, SW_NOWHERE),
                                    SW_NOWHERE);
    sw_builder_pin_at(b, used)->type = SW_PIN_KEEP_OPEN;
    sw_builder_pin_at(b, open)->type = SW_PIN_KEEP_OPEN;
    sw_circuit *c = sw_builder_finish(b);
    for (uint32_t i = 0; i < c->node_count; i++)
        c->nodes[i].rail_why = "";
    assert_int_equal(sw_review(c, diags), SW_OK);
    assert_int_equal(test_count(diags, SW_D_PIN_KEEP_OPEN), 1);
    assert_non_null(strstr(test_message(diags, SW_D_PIN_KEEP_OPEN), "pin 5 (DNC) of U1"));
    assert_int_equal(test_count(diags, SW_D_PIN_OPEN), 0);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void legs_joined_inside_lead_nowhere(void **state) {
    (void)state;
    check_some("SW1 ? - - BUTTON-6 1=a 3=~\nR1 R 1k - - 1=a 2=0\nR2 R 1k - - 1=a 2=0\n",
               SW_D_PIN_OPEN, 1, "pins 3, 4 of SW1");
    check("SW1 ? - - BUTTON-6 1=a 3=b\nR1 R 1k - - 1=a 2=0\nR2 R 1k - - 1=a 2=0\n",
          SW_D_NODE_SINGLE, "node b");
}

static void unused_units(void **state) {
    (void)state;
    check("U1 ? - LM358 - 8=VCC 4=0 1=o 2=o 3=i\nR1 R 1k - - 1=i 2=VCC\nR2 R 1k - - 1=i 2=0\n",
          SW_D_UNIT_UNUSED, "unit B of U1 (LM358) is not used: left open it may swing");
    check("U1 ? - LM393 - 8=VCC 4=0 1=o 2=i 3=0\nR1 R 1k - - 1=i 2=VCC\nR2 R 1k - - 1=o 2=VCC\n",
          SW_D_UNIT_UNUSED, "tie both inputs");
    const char *gate = "U1 ? - CD4011 - 14=VDD 7=0 1=a 2=a 3=b 4=c 5=b 6=b 8=c 9=c 10=d\n"
                       "R1 R 1k - - 1=d 2=a\n";
    check(gate, SW_D_UNIT_UNUSED, "unit D of U1 (CD4011)");
    check_none(gate, SW_D_PIN_INPUT_OPEN); /* said once, of the unit */
}

/* ---- parts and nodes ---- */

static void parts_joined_to_nothing_or_to_one_node(void **state) {
    (void)state;
    check("R1 R 1k - - 1=~ 2=~\nR2 R 1k - - 1=a 2=0\nR3 R 1k - - 1=a 2=0\n", SW_D_PART_UNCONNECTED,
          "R1");
    check_none("R1 R 1k - - 1=~ 2=~\nR2 R 1k - - 1=a 2=0\nR3 R 1k - - 1=a 2=0\n", SW_D_LEAD_OPEN);
    check("R1 R 1k - - 1=a 2=a\nR2 R 1k - - 1=a 2=0\nR3 R 1k - - 1=a 2=0\n", SW_D_PART_SHORTED,
          "R1 are on node a");
}

static void single_pins_with_a_name(void **state) {
    (void)state;
    check("R1 R 1k - - 1=VCC 2=oout\nR2 R 1k - - 1=out 2=0\nR3 R 1k - - 1=out 2=VCC\n"
          "R4 R 1k - - 1=out 2=0\n",
          SW_D_NODE_SINGLE, "node oout joins nothing: only pin 2 of R1");
    check("U1 ? - CD4017 - 16=VDD 8=0 14=c 15=0 13=0 3=d 2=q1 4=q2 12=carry\nR1 R 1k - - 1=c 2=VDD\n"
          "R2 R 1k - - 1=d 2=0\n", SW_D_NODE_SINGLE,
          "each is on one pin of U1 alone: q1 (pin 2), q2 (pin 4), carry (pin 12):");
}

static void names_that_differ_in_case(void **state) {
    (void)state;
    check("R1 R 1k - - 1=Out 2=0\nR2 R 1k - - 1=OUT 2=0\nR3 R 1k - - 1=Out 2=OUT\n",
          SW_D_NODE_NAME_CASE, "nodes Out and OUT");
}

static void nodes_that_nothing_drives(void **state) {
    (void)state;
    check("C1 C 1n - - 1=a 2=b\nC2 C 1n - - 1=b 2=0\nR1 R 1k - - 1=a 2=0\nR2 R 1k - - 1=a 2=0\n",
          SW_D_NODE_FLOATING, "node b");
    check("U1 ? - CD4017 - 16=VDD 8=0 14=c 15=0 3=d 13=0\nR1 R 1k - - 1=d 2=0\n"
          "C1 C 1n - - 1=c 2=0\nR3 R 1k - - 1=d 2=0\nC2 C 100n - - 1=VDD 2=0\n",
          SW_D_NODE_FLOATING, "node c");
    check("U1 ? - CD4017 - 16=VDD 8=0 14=c 15=0 3=d 13=0\nR1 R 1k - - 1=d 2=c\n"
          "C2 C 100n - - 1=VDD 2=0\n", SW_D_RAIL_UNFED, "rail VDD");
}

static void islands_and_ground(void **state) {
    (void)state;
    check("R1 R 1k - - 1=a 2=0\nR2 R 1k - - 1=a 2=0\nR4 R 1k - - 1=a 2=0\n"
          "R8 R 1k - - 1=x 2=y\nR9 R 1k - - 1=x 2=y\n", SW_D_ISLAND,
          "and have no path to ground: R8 R9:");
    check_none("R1 R 1k - - 1=a 2=0\nR2 R 1k - - 1=a 2=0\nX1 X - BAT - p=x m=a\n"
               "R8 R 1k - - 1=x 2=y\nR9 R 1k - - 1=x 2=y\n@ BAT place=off\n", SW_D_ISLAND);
    check("R1 R 1k - - 1=a 2=b\nR2 R 1k - - 1=a 2=b\n", SW_D_GROUND_MISSING, "no node is ground");
    char many[3000] = "";
    for (int i = 0; i < 30; i++) { /* each pair an island of its own */
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "R%d R 1k - - 1=a%d 2=b%d\nC%d C 1n - - 1=a%d 2=b%d\n", i, i, i, i, i, i);
        strcat(many, text.bytes);
        sw_buf_free(&text);
    }
    check_some(many, SW_D_ISLAND, 21, "no path to ground");
}

/* ---- supply ---- */

static void supply_pins(void **state) {
    (void)state;
    static const char *const none[] = {"P=none", NULL};
    check("U1 ? - LM358 - 4=0 1=o 2=o 3=i 5=i 6=q 7=q\nR1 R 1k - - 1=i 2=0\nR2 R 1k - - 1=i 2=0\n",
          SW_D_SUPPLY_OPEN, "supply pin 8 (V+) of U1");
    check_some("V1 V 9 - - +=VCC -=0\nU1 ? - LM358 - 4=VCC 8=0 1=o 2=o 3=i 5=i 6=q 7=q\n"
               "R1 R 1k - - 1=i 2=0\nR2 R 1k - - 1=i 2=VCC\n", SW_D_SUPPLY_WRONG_RAIL, 2,
               "pin 4 (V-) of U1 is on node VCC, a positive rail (source V1 gives it 9 V)");
    sw_diags *diags = review("U1 ? - LM358 - 4=0 8=P 1=o 2=o 3=i 5=i 6=q 7=q\nR1 R 1k - - 1=i 2=P\n"
                             "R2 R 1k - - 1=i 2=0\n", none);
    assert_int_equal(test_count(diags, SW_D_SUPPLY_NOT_RAIL), 1);
    sw_diags_free(diags);
    check("U1 ? - LM358 - 4=0 8=0 1=o 2=o 3=i 5=i 6=q 7=q\nR1 R 1k - - 1=i 2=0\nR2 R 1k - - 1=i 2=0\n",
          SW_D_SUPPLIES_JOINED, "both on node 0");
}

static void electrolytics_backwards(void **state) {
    (void)state;
    const char *base = "V1 V 9 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=s\nR2 R 1k - - 1=s 2=0\n";
    static const struct { const char *line; size_t count; } cases[] = {
        {"C1 C 10u - - 1=0 2=VCC\n", 1}, {"C1 C 10u - - 1=VCC 2=0\n", 0},
        {"C1 C 10u - - 1=0 2=s\n", 1}, {"C1 C 10u - - 1=s 2=0\n", 0},
        {"C1 C 10u - - 1=s 2=VCC\n", 1}, {"C1 C 10u - - 1=VCC 2=s\n", 0},
        {"V2 V -9 - - +=VEE -=0\nC1 C 10u - - 1=0 2=s\n", 0}, /* s may be below ground */
        {"V2 V -9 - - +=VEE -=0\nC1 C 10u - - 1=VEE 2=0\n", 1},
        {"V2 V 12 - - +=V12 -=0\nC1 C 10u - - 1=VCC 2=V12\n", 1},
        {"V2 V 12 - - +=V12 -=0\nC1 C 10u - - 1=V12 2=VCC\n", 0},
        {"C1 C 100n - - 1=0 2=VCC\n", 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[300];
        strcpy(text, base);
        check_some(strcat(text, cases[i].line), SW_D_POLARITY, cases[i].count, "");
    }
}

static void diodes_against_the_rails(void **state) {
    (void)state;
    const char *base = "V1 V 9 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=s\nR2 R 1k - - 1=s 2=0\n";
    static const struct { const char *line; sw_diag_id id; size_t count; } cases[] = {
        {"D1 D - LED - A=s K=VCC\n", SW_D_POLARITY, 1}, {"D1 D - LED - A=s K=0\n", SW_D_POLARITY, 0},
        {"D1 D - LED - A=0 K=s\n", SW_D_POLARITY, 1},
        /* by way of a resistor, beside a capacitor and another LED of the kind */
        {"D1 D - LED - A=x K=s\nR3 R 1k - - 1=x 2=0\n", SW_D_POLARITY, 1},
        {"D1 D - LED - A=x K=s\nD2 D - LED - A=x K=s\nC1 C 1n - - 1=x 2=s\nR3 R 1k - - 1=x 2=0\n", SW_D_POLARITY, 2},
        {"D1 D - LED - A=x K=VCC\nR3 R 1k - - 1=x 2=0\n", SW_D_POLARITY, 1},
        {"D1 D - LED - A=s K=x\nR3 R 1k - - 1=x 2=VCC\n", SW_D_POLARITY, 1},
        {"D1 D - LED - A=x K=y\nR3 R 1k - - 1=x 2=0\nR4 R 1k - - 1=y 2=VCC\n", SW_D_POLARITY, 1},
        {"D1 D - LED - A=x K=s\nR3 R 1k - - 1=x 2=VCC\n", SW_D_POLARITY, 0},
        {"D1 D - LED - A=x K=s\nR3 R 1k - - 1=x 2=0\nR4 R 1k - - 1=x 2=s\n", SW_D_POLARITY, 0},
        {"D1 D - LED - A=x K=s\nR3 R 1k - - 1=x 2=0\nD2 D - 1N4148 - A=s K=x\n", SW_D_POLARITY, 0},
        {"D1 D - LED - A=VCC K=s\n", SW_D_POLARITY, 0},
        /* across a coil: in backwards, rightly, at the other rail, and beside a coil elsewhere */
        {"D1 D - 1N4148 - A=VCC K=s\nL1 L 100m - - 1=VCC 2=s\n", SW_D_POLARITY, 1},
        {"D1 D - 1N4148 - A=s K=VCC\nL1 L 100m - - 1=VCC 2=s\n", SW_D_POLARITY, 0},
        {"D1 D - 1N4148 - A=s K=0\nL1 L 100m - - 1=s 2=0\n", SW_D_POLARITY, 1},
        {"D1 D - 1N4148 - A=0 K=s\nL1 L 100m - - 1=s 2=0\n", SW_D_POLARITY, 0},
        {"D1 D - 1N4148 - A=VCC K=s\nL1 L 100m - - 1=VCC 2=x\nR3 R 1k - - 1=x 2=s\n", SW_D_POLARITY, 0},
        {"D1 D - 1N4148 - A=VCC K=s\nU1 ? - reed-relay - 1=s 3=VCC 5=s 7=0\n", SW_D_POLARITY, 1},
        {"D1 D - 1N4148 - A=VCC K=s\nU1 ? - reed-relay - 1=VCC 3=x 5=0 7=s\nR3 R 1k - - 1=x 2=s\n", SW_D_POLARITY, 0},
        {"D1 D - 1N4148 - A=s K=VCC\n", SW_D_POLARITY, 0}, /* a clamp */
        {"D1 D - 1N4001 - A=0 K=VCC\n", SW_D_DIODE_ACROSS_RAILS, 0}, /* against reversal */
        {"D1 D - 1N4001 - A=VCC K=0\n", SW_D_DIODE_ACROSS_RAILS, 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[300];
        strcpy(text, base);
        check_some(strcat(text, cases[i].line), cases[i].id, cases[i].count, "");
    }
}

/* The value's text goes into one word in these tests: "100u/16V". */
static void capacitors_below_their_supply(void **state) {
    (void)state;
    check("V1 V 24 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nC1 C 100u/16V - - 1=VCC 2=0\n",
          SW_D_CAPACITOR_VOLTAGE, "C1 is rated 16 V, but up to 24 V");
    check_none("V1 V 12 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nC1 C 100u/16V - - 1=VCC 2=0\n",
               SW_D_CAPACITOR_VOLTAGE);
    check_none("V1 V 24 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nC1 C 100u - - 1=VCC 2=0\n",
               SW_D_CAPACITOR_VOLTAGE);
    check("V1 V 4,5 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nC1 C 4,7u/2,5V - - 1=VCC 2=0\n",
          SW_D_CAPACITOR_VOLTAGE, "C1 is rated 2.5 V, but up to 4.5 V");
    check_none("V1 V 4,5 - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nC1 C 4,7u/6,3V - - 1=VCC 2=0\n",
               SW_D_CAPACITOR_VOLTAGE);
    check("V1 V 12 - - +=P -=0\nV2 V -12 - - +=M -=0\nR1 R 1k - - 1=P 2=M\nC1 C 100u/16V - - 1=P 2=M\n",
          SW_D_CAPACITOR_VOLTAGE, "up to 24 V");
}

static void decoupling_is_advised(void **state) {
    (void)state;
    char text[600];
    strcpy(text, sound);
    char *c1 = strstr(text, "C1 C 100n - - 1=VCC 2=0\nC2 C 10u - - 1=VCC 2=0\n");
    memmove(c1, strchr(strchr(c1, '\n') + 1, '\n') + 1, strlen(strchr(strchr(c1, '\n') + 1, '\n') + 1) + 1);
    check(text, SW_D_DECOUPLING, "node VCC feeds 1 IC, but there is no capacitor");
}

/* ---- values (IEC 60063:2015) ---- */

static void values(void **state) {
    (void)state;
    const char *base = "R9 R 1k - - 1=a 2=0\nR8 R 1k - - 1=a 2=0\n";
    static const struct { const char *line; sw_diag_id id; const char *part; } cases[] = {
        {"R1 R - - - 1=a 2=0\n", SW_D_VALUE_MISSING, "R1 has no value"},
        {"R1 R lots - - 1=a 2=0\n", SW_D_VALUE_NOT_NUMBER, "lots is no value of a resistor"},
        {"R1 R 8.3k - - 1=a 2=0\n", SW_D_VALUE_NO_SERIES, "8k2 and 9k1"},
        {"L1 L 3.77m - - 1=a 2=0\n", SW_D_VALUE_NO_SERIES, "3m6 and 3m9"},
        {"C1 C 100 - - 1=a 2=0\n", SW_D_VALUE_UNLIKELY, "no capacitor for such a board has 100"},
        {"C1 C 1e-15 - - 1=a 2=0\n", SW_D_VALUE_UNLIKELY, "0.5 pF to 0.1 F"},
        {"LS1 L 8 - - 1=a 2=0\n", SW_D_VALUE_UNLIKELY, "if LS1 is something else"},
        {"R1 R 1m - - 1=a 2=0\n", SW_D_VALUE_UNLIKELY, "no resistor"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[200];
        strcpy(text, base);
        check(strcat(text, cases[i].line), cases[i].id, cases[i].part);
    }
    check_none("R1 R 4k7 - - 1=a 2=0\nR2 R 4.99k - - 1=a 2=0\nR3 R 0 - - 1=a 2=0\n"
               "R4 R - NTC10K - 1=a 2=0\n", SW_D_VALUE_NO_SERIES);
    check_none("R1 R 100M - - 1=a 2=0\nR2 R 0.1 - - 1=a 2=0\nR3 R 0 - - 1=a 2=0\nC1 C 1p - - 1=a 2=0\n"
               "C3 C 1F supercap - 1=a 2=0\nC2 C 22m - - 1=a 2=0\nL1 L 1u - - 1=a 2=0\nL2 L 1 - - 1=a 2=0\n", SW_D_VALUE_UNLIKELY);
    check_none("R1 R 4,7k - - 1=a 2=0\nR2 R 4,7k - - 1=a 2=0\n", SW_D_VALUE_NO_SERIES);
    check_none("R4 R - NTC10K - 1=a 2=0\nR3 R 0 - - 1=a 2=0\n", SW_D_VALUE_MISSING);
    check_none("R1 R LDR - - 1=a 2=0\nR2 R NTC_10k - - 1=a 2=0\n", SW_D_VALUE_NOT_NUMBER);
}

static void every_allocation_may_fail(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *netlist = test_circuit(diags, SW_STAGE_NETLIST, sound), *c = NULL;
    assert_int_equal(sw_fit(netlist, library, NULL, diags, &c, NULL), SW_OK);
    long failures = 0;
    for (long n = 0;; n++) {
        test_alloc_fail(n);
        sw_status status = sw_review(c, diags);
        if (!test_alloc_reset())
            break;
        failures += status == SW_SYSTEM;
    }
    assert_int_equal(failures, 4); /* the review's own tables */
    sw_circuit_free(c);
    sw_circuit_free(netlist);
    sw_library_free(library);
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sound_circuit_has_no_findings),
        cmocka_unit_test(open_inputs),
        cmocka_unit_test(open_outputs_are_only_told),
        cmocka_unit_test(no_connects_are_fine_and_open_pins_told),
        cmocka_unit_test(keep_open_pins),
        cmocka_unit_test(legs_joined_inside_lead_nowhere),
        cmocka_unit_test(unused_units),
        cmocka_unit_test(parts_joined_to_nothing_or_to_one_node),
        cmocka_unit_test(single_pins_with_a_name),
        cmocka_unit_test(names_that_differ_in_case),
        cmocka_unit_test(nodes_that_nothing_drives),
        cmocka_unit_test(islands_and_ground),
        cmocka_unit_test(supply_pins),
        cmocka_unit_test(electrolytics_backwards),
        cmocka_unit_test(diodes_against_the_rails),
        cmocka_unit_test(capacitors_below_their_supply),
        cmocka_unit_test(decoupling_is_advised),
        cmocka_unit_test(values),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests_name("circuit: review", tests, NULL, NULL);
}
