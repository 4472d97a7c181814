/* The fit: worked cases, and X lines of known devices. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/circuit.h"
#include "tests/lib/fit.h"

/* ---- worked cases ---- */

static void preset_from_two_resistors(void **state) {
    (void)state;
    test_fitting f = test_fit("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=W 2=0\nR5 R 1k - - 1=W 2=OUT\n"
                    "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n");
    test_fit_part(&f, "RV1 TRIM-6/preset/10k 1=VCC 2=W 3=0");
    test_fit_refs(&f, "R5 RV1");
    test_fit_done(&f);
    test_fit_fails("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=U 2=0\n"
                "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n",
                SW_D_FIT_PIN_CLASH, "node W is already");
}

static void dual_op_amp_from_two_lines(void **state) {
    (void)state;
    test_fitting f = test_fit("X1 X - LM358 - IN+=A IN-=B OUT=C\nX2 X - LM358 - IN+=D IN-=E OUT=F\n"
                    "R1 R 1k - - 1=VCC 2=0\n"
                    "@ LM358 ref=U1 supply=VCC:8,0:4\n@ X1 unit=A\n@ X2 unit=B\n");
    test_fit_part(&f, "U1 DIP-8/LM358/ 1=C 2=B 3=A 4=0 5=D 6=E 7=F 8=VCC");
    test_fit_refs(&f, "R1 U1");
    assert_string_equal(f.c->pins[sw_circuit_pin_spelled(f.c, "U1.1").i].name, "1OUT");
    test_fit_done(&f);
}

static void supply_pins_of_units_are_shared(void **state) {
    (void)state;
    const char *same = "X1 X - LM358 - 1=A 2=B 3=VCC 4=0 5=C\nX2 X - LM358 - 1=D 2=E 3=VCC 4=0 5=F\n"
                       "@ LM358 ref=U1 pins=IN+,IN-,V+,V-,OUT\n@ X1 unit=A\n@ X2 unit=2\n";
    test_fitting f = test_fit(same);
    test_fit_part(&f, "U1 DIP-8/LM358/ 1=C 2=B 3=A 4=0 5=D 6=E 7=F 8=VCC");
    test_fit_done(&f);
    test_fit_fails("X1 X - LM358 - IN+=A IN-=B VCC=VCC VEE=0 OUT=C\n"
                "X2 X - LM358 - IN+=D IN-=E VCC=VDD VEE=0 OUT=F\n"
                "@ LM358 ref=U1\n@ X1 unit=A\n@ X2 unit=B\n", SW_D_FIT_SUPPLY_CLASH, "VDD");
    test_fit_fails("X1 X - LM358 - IN+=A IN-=B VCC=VCC VEE=0 OUT=C\n@ X1 supply=VX:8\n",
                SW_D_FIT_SUPPLY_CLASH, "VX");
}

static void quad_gate_with_a_spare_unit(void **state) {
    (void)state;
    test_fitting f = test_fit("X1 X - CD4011 - A=a B=b Y=c\nX2 X - CD4011 - A=c B=c Y=d\n"
                    "X3 X - CD4011 - A=d B=b Y=a\n@ CD4011 ref=U2 supply=VDD:14,0:VSS\n"
                    "@ X1 unit=A\n@ X2 unit=B\n@ X3 unit=C\n");
    test_fit_part(&f, "U2 DIP-14/CD4011/ 1=a 2=b 3=c 4=d 5=c 6=c 7=0 8=d 9=b 10=a 14=VDD");
    assert_string_equal(test_node_of(f.c, "U2.11"), "U2.11"); /* present, and alone */
    assert_string_equal(test_node_of(f.c, "U2.4A"), "U2.12");
    assert_int_equal(test_count(f.diags, SW_D_FIT_NODE_NEW), 2); /* VDD, 0: nowhere else */
    test_fit_done(&f);
}

static void units_are_checked(void **state) {
    (void)state;
    const char *two = "X1 X - LM358 - IN+=A IN-=B OUT=C\nX2 X - LM358 - IN+=D IN-=E OUT=F\n";
    char text[400];
    strcpy(text, two);
    test_fit_fails(strcat(text, "@ LM358 ref=U1 unit=A\n"), SW_D_FIT_UNIT, "taken by another");
    strcpy(text, two);
    test_fit_fails(strcat(text, "@ LM358 ref=U1\n@ X1 unit=A\n"), SW_D_FIT_UNIT, "to be stated");
    strcpy(text, two);
    test_fit_fails(strcat(text, "@ LM358 ref=U1\n@ X1 unit=A\n@ X2 unit=C\n"), SW_D_FIT_UNIT,
                "none of its units");
    test_fit_fails("X1 X - FOO DIP-8 1=A\n@ X1 unit=A\n", SW_D_FIT_UNIT, "device=");
    test_fitting f = test_fit(two); /* two chips then, and a word on it */
    test_fit_part(&f, "X1 DIP-8/LM358/ 1=C 2=B 3=A");
    assert_int_equal(test_count(f.diags, SW_D_FIT_UNITS_APART), 1);
    test_fit_done(&f);
}

static void transistor_of_unknown_order(void **state) {
    (void)state;
    test_fit_fails("Q1 Q - BCX99 - C=A B=B E=0\n", SW_D_FIT_PIN_ORDER, "*@ BCX99 package=TO-92 pins=");
    test_fit_fails("Q1 Q - BCX99 TO-92 C=A B=B E=0\n", SW_D_FIT_PIN_ORDER, "C,B,E");
    test_fit_fails("X1 X - LM99 TO-92 in=A gnd=B out=0\n", SW_D_FIT_PIN_ORDER, "in,gnd,out");
    test_fit_fails("J1 J - J999 - D=A G=B S=0\n", SW_D_FIT_PIN_ORDER, "D,G,S");
    test_fitting f = test_fit("Q1 Q - BCX99 - C=A B=B E=0\n@ BCX99 package=TO-92 pins=3,2,1\n");
    test_fit_part(&f, "Q1 TO-92/BCX99/ 1=0 2=B 3=A");
    test_fit_done(&f);
}

/* TO-92 orders as published: BC547 C B E, 2N3904 E B C (data sheets; seen in an open
 * symbol library, Oct 2020). */
static void transistors_by_the_devices_pin_names(void **state) {
    (void)state;
    test_fitting f = test_fit("Q1 Q - BC547B - C=A B=B E=0\nQ2 Q - 2N3904 - C=A B=B E=0\n"
                    "Q3 Q! - BC557 - 1=A 2=B 3=0\nM1 M - 2N7000 - D=A G=B S=0 B=0\n"
                    "Q4 ? - 2N3904 - 1=0 2=B 3=A\nQ5 Q - BC547 - C=A B=B E=0\n@ Q5 pins=E,B,C\n");
    test_fit_part(&f, "Q1 TO-92/BC547B/ 1=A 2=B 3=0");
    test_fit_part(&f, "Q2 TO-92/2N3904/ 1=0 2=B 3=A");
    test_fit_part(&f, "Q3 TO-92/BC557/ 1=A 2=B 3=0");
    test_fit_part(&f, "M1 TO-92/2N7000/ 1=0 2=B 3=A");
    test_fit_part(&f, "Q4 TO-92/2N3904/ 1=0 2=B 3=A"); /* numbers are the package's */
    test_fit_part(&f, "Q5 TO-92/BC547/ 1=0 2=B 3=A");
    test_fit_done(&f);
    test_fit_fails("M1 M - 2N7000 - D=A G=B S=0 B=C\n", SW_D_FIT_PIN_LOST, "node C");
}

static void unsafe_orders_are_warned_of(void **state) {
    (void)state;
    test_fitting f = test_fit("J1 J - 2N3819 - D=A G=B S=0\n");
    assert_int_equal(f.status, SW_OK);
    assert_int_equal(test_count(f.diags, SW_D_FIT_UNSAFE_ORDER), 1);
    test_fit_done(&f);
}

static void relay_off_board(void **state) {
    (void)state;
    test_fitting f = test_fit("X5 X - RELAY12 - coil1=VCC coil2=C com=M no=P\nR1 R 1k - - 1=VCC 2=C\n"
                    "@ RELAY12 ref=K1 place=off\n");
    test_fit_refs(&f, "K1.coil1 K1.coil2 K1.com K1.no R1");
    test_fit_part(&f, "K1.coil2 PIN-1/RELAY12/ 1=C");
    const sw_part *part = &f.c->parts[sw_circuit_part(f.c, "k1.com").i];
    assert_true(part->terminal);
    assert_int_equal(part->kind, 'N');
    assert_string_equal(f.c->pins[part->first_pin.i].name, "com");
    test_fit_done(&f);
}

static void battery_switch_and_loudspeaker_off_board(void **state) {
    (void)state;
    test_fitting f = test_fit("V1 V 9 - - +=BATT -=0\nV2 V 0 - - +=SWD -=VCC\nI1 I 1m - - +=VCC -=0\n"
                    "S1 S - SWMOD - 1=BATT 2=SWD 3=ctl 4=0\nR9 R 8 - - 1=OUT 2=0\n"
                    "R1 R 1k - - 1=VCC 2=OUT\nX9 X - BATTERY - +=BATT -=0\n"
                    "@ S1 place=off\n@ R9 ref=LS1 place=off\n@ X9 ref=B1 place=off\n");
    /* one terminal pin a node for all sources, the ammeter's nodes one */
    test_fit_refs(&f, "0V B1.+ B1.- BATT LS1.1 LS1.2 R1 S1.1 S1.2 VCC");
    test_fit_part(&f, "R1 RES-0.25W//1k 1=VCC 2=OUT");
    test_fit_part(&f, "0V PIN-1//9 1=0");
    assert_int_equal(test_count(f.diags, SW_D_FIT_AMMETER), 1);
    assert_int_equal(sw_circuit_node(f.c, "VCC").i, sw_circuit_node(f.c, "SWD").i);
    test_fit_done(&f);
}

static void terminal_pins_do_not_take_a_parts_reference(void **state) {
    (void)state;
    test_fitting f = test_fit("V1 V 9 - - +=R1 -=~\nR1 R 1k - - 1=R1 2=0\n");
    test_fit_refs(&f, "R1 R1~2 V1-");
    test_fit_done(&f);
}

static void off_board_potentiometer_shares_its_wiper(void **state) {
    (void)state;
    test_fitting f = test_fit("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=W 2=0\n"
                    "@ R3 ref=RV1 place=off pins=1,2\n@ R4 ref=RV1 place=off pins=2,3\n");
    test_fit_refs(&f, "RV1.1 RV1.2 RV1.3");
    test_fit_done(&f);
    test_fit_fails("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=W 2=0\n@ R3 ref=RV1 place=off pins=1,2\n"
                "@ R4 ref=RV1 pins=2,3 package=TRIM-6\n", SW_D_FIT_ROW_CLASH, "off it");
}

static void bridge_of_four_diodes(void **state) {
    (void)state;
    test_fitting f = test_fit("D1 D - 1N4001 - A=AC1 K=VP\nD2 D - 1N4001 - A=AC2 K=VP\n"
                    "D3 D - 1N4001 - A=0 K=AC1\nD4 D - 1N4001 - A=0 K=AC2\n");
    test_fit_part(&f, "D1 DO-41/1N4001/ 1=VP 2=AC1");
    test_fit_part(&f, "D2 DO-41/1N4001/ 1=VP 2=AC2");
    test_fit_part(&f, "D3 DO-41/1N4001/ 1=AC1 2=0");
    test_fit_part(&f, "D4 DO-41/1N4001/ 1=AC2 2=0");
    test_fit_done(&f);
}

static void push_button_with_joined_legs(void **state) {
    (void)state;
    test_fitting f = test_fit("X1 X! - - BUTTON-6 1=A 2=B\nX2 X! - button - 1=A 2=B\nSW2 ? - - BUTTON-6 1=A 3=B\n"
                    "SW3 ? - - BUTTON-6 1=A 2=A 3=B 4=B\n");
    test_fit_part(&f, "X1 BUTTON-6// 1=A 2=A 3=B 4=B");
    test_fit_part(&f, "X2 BUTTON-6/button/ 1=A 2=A 3=B 4=B");
    test_fit_part(&f, "SW2 BUTTON-6// 1=A 2=A 3=B 4=B");
    test_fit_part(&f, "SW3 BUTTON-6// 1=A 2=A 3=B 4=B");
    test_fit_done(&f);
    test_fit_fails("SW1 ? - - BUTTON-6 1=A 2=B 3=C\n", SW_D_FIT_JOINED, "pins 1 and 2");
}

/* Pins on no node have one node where the package joins them: a digit's common pins 3 and 8. */
static void joined_pins_on_no_node(void **state) {
    (void)state;
    test_fitting f = test_fit("U1 ? - - DISPLAY-10 1=A 2=B\n");
    assert_int_equal(f.status, SW_OK);
    sw_part_id u1 = sw_circuit_part(f.c, "U1");
    assert_int_not_equal(u1.i, SW_NONE);
    const sw_pin *pins = &f.c->pins[f.c->parts[u1.i].first_pin.i];
    assert_int_equal(pins[2].node.i, pins[7].node.i);
    assert_int_not_equal(pins[2].node.i, pins[3].node.i);
    assert_int_equal(f.c->node_count, 9);
    test_fit_done(&f);
}

static void led_by_model_name(void **state) {
    (void)state;
    test_fitting f = test_fit("D1 D - RLED - A=A K=0\nD2 D - LED3MM - A=A K=0\nD3 D - LED - A=A K=0\n"
                    "LED4 ? red - - 1=0 2=A\n");
    test_fit_part(&f, "D1 LED-5/RLED/ 1=0 2=A");
    test_fit_part(&f, "D2 LED-3/LED3MM/ 1=0 2=A");
    test_fit_part(&f, "D3 LED-5/LED/ 1=0 2=A");
    test_fit_part(&f, "LED4 LED-5//red 1=0 2=A");
    assert_string_equal(f.c->pins[sw_circuit_pin_spelled(f.c, "D1.1").i].name, "K");
    test_fit_done(&f);
}

static void resistor_array_in_a_sip(void **state) {
    (void)state;
    test_fitting f = test_fit("RN1 ? 10k - SIP-9 1=VCC 2=a 3=b 9=c\nX2 X! 10k - SIP-5 a=VCC b=a c=b d=c e=d\n");
    test_fit_part(&f, "RN1 SIP-9//10k 1=VCC 2=a 3=b 9=c");
    test_fit_part(&f, "X2 SIP-5//10k 1=VCC 2=a 3=b 4=c 5=d");
    assert_int_equal(test_count(f.diags, SW_D_FIT_BY_POSITION), 1);
    test_fit_done(&f);
}

/* ---- X lines of known devices ---- */

static void ports_by_name(void **state) {
    (void)state;
    test_fitting f = test_fit("X4 X - 74LS47 - B=p a=q GND=0\nX1 X - NE555 - GND=0 TRIGGER=a OUTPUT=b RESET=VCC CV=c THR=a DIS=d VDD=VCC\n"
                    "X2 X - LM7805 - IN=VCC GND=0 OUT=e\nX3 X - LM311 - +=a -=b VCC=VCC VEE=0 OUT=c GND=0\n");
    test_fit_part(&f, "X1 DIP-8/NE555/ 1=0 2=a 3=b 4=VCC 5=c 6=a 7=d 8=VCC");
    test_fit_part(&f, "X2 TO-220/LM7805/ 1=VCC 2=0 3=e");
    test_fit_part(&f, "X4 DIP-16/74LS47/ 1=p 8=0 13=q"); /* input B, segment a */
    test_fit_part(&f, "X3 DIP-8/LM311/ 1=0 2=a 3=b 4=0 7=c 8=VCC");
    test_fit_done(&f);
    test_fit_fails("X1 X - NE555 - GND=0 FOO=a\n", SW_D_FIT_PIN_LOST, "2=TRIG");
    /* three legs by position would put the supply on ground: never by guess */
    test_fit_fails("X2 X! - LM7805 - a=VCC b=e c=0\n", SW_D_FIT_PIN_ORDER, "LM7805");
    test_fit_fails("X2 X! - LM358 - 1=a 2=b 3=VCC 4=0 5=c\n", SW_D_FIT_PIN_ORDER, "output last, `*@ X2 unit=A pins=IN+,IN-,V+,V-,OUT`, or");
}

/* LM393: eight pins, of which two are shared and three are a unit's. */
static void pins_that_no_device_has_are_told_a_part_at_a_time(void **state) {
    (void)state;
    test_fit_fails("X1 X - LM393 - 1OUT=a 1IN-=b 1IN+=c V-=0 2IN+=d FOO=e 2OUT=f V+=VCC\n",
                SW_D_FIT_PIN_LOST, "LM393 has no pin FOO (node e) of X1's line");
    test_fit_fails("X1 X - LM393 - o=a m=b p=c 0v=0 q=d n=e r=f v=VCC\n", SW_D_FIT_PIN_LOST,
                "no pins o (node a), m (node b), p (node c), q (node d), n (node e), r (node f) "
                "and 1 more of"); /* 0v is V- */
}

static void a_line_of_more_nodes_than_a_unit_is_the_whole_device(void **state) {
    (void)state;
    test_fitting f = test_fit("X1 X! - LM339 - 1=a 2=b 3=VCC 4=c 5=d 6=e 7=f 8=g 9=h 10=i 11=j 12=0 13=k 14=l\n");
    test_fit_part(&f, "X1 DIP-14/LM339/ 1=a 2=b 3=VCC 4=c 5=d 6=e 7=f 8=g 9=h 10=i 11=j 12=0 13=k 14=l");
    assert_string_equal(sw_sheet_row(f.report, 0)->unit, "");
    test_fit_done(&f);
}

/* BC547: 1 is C, 2 B, 3 E; NE555: 3 is OUT, 7 DISCH. */
static void a_name_and_a_number_that_are_two_pins(void **state) {
    (void)state;
    test_fitting f = test_fit("Q1 Q - BC547 - 1:E=0 2:B=b 3:C=c\nQ2 Q - BC547 - 1:C=c 2:B=b 3:E=0\n"
                    "D1 D - - DO-35 1:A=b 2:K=c\nC1 C 10u - ELEC-5 1:-=0 2:+=c\n"
                    "C2 C 100n - - 1:-=0 2:+=c\nR1 R 1k - - 1:-=0 2:+=c\n");
    test_fit_part(&f, "Q1 TO-92/BC547/ 1=c 2=b 3=0");
    test_fit_part(&f, "Q2 TO-92/BC547/ 1=c 2=b 3=0");
    test_fit_part(&f, "D1 DO-35// 1=c 2=b");
    test_fit_part(&f, "C1 ELEC-5//10u 1=c 2=0");
    test_fit_part(&f, "C2 CAP-DISC-2.5//100n 1=0 2=c");
    test_fit_part(&f, "R1 RES-0.25W//1k 1=0 2=c");
    assert_int_equal(test_count(f.diags, SW_D_FIT_PIN_NAMED), 3); /* Q1, D1, C1 */
    assert_non_null(strstr(test_message(f.diags, SW_D_FIT_PIN_NAMED),
                           "calls pin 1 of Q1 E, but BC547 has its E at pin 3"));
    test_fit_done(&f);
    test_fit_fails("U1 X - NE555 - 3:DISCH=a 7:OUT=b\n", SW_D_FIT_PIN_CONFLICT,
                "calls pin 3 of U1 DISCH, but NE555 has its DISCH at pin 7");
    f = test_fit("U1 X - NE555 - 3:OUT=a 7:DISCH=b\nU2 X - NE555 - 3:Q=a 7:DIS=b\n"); /* other words */
    test_fit_part(&f, "U1 DIP-8/NE555/ 3=a 7=b");
    test_fit_part(&f, "U2 DIP-8/NE555/ 3=a 7=b");
    test_fit_done(&f);
    f = test_fit("Q1 Q - BC547 - 1:E=0 2:B=b 3:C=c\n@ Q1 pins=1,2,3\n"); /* who says so is obeyed */
    test_fit_part(&f, "Q1 TO-92/BC547/ 1=0 2=b 3=c");
    test_fit_done(&f);
}

static void a_device_of_the_library_as_value_of_a_symbol(void **state) {
    (void)state;
    test_fitting f = test_fit("Q1 Q BC547 NPN - C=a B=b E=c\n");
    test_fit_part(&f, "Q1 TO-92/BC547/BC547 1=a 2=b 3=c");
    test_fit_done(&f);
    test_fit_fails("Q1 Q BC547 - - C=a B=b E=c\n@ Q1 device=NPN\n", SW_D_FIT_PIN_ORDER, "NPN");
}

static void pins_are_checked(void **state) {
    (void)state;
    test_fit_fails("X1 X - LM358 - 1=a 2=b\n@ X1 pins=1,2,3\n", SW_D_FIT_PINS, "names 3 pins");
    test_fit_fails("X1 X - LM358 - 1=a 2=b\n@ X1 pins=1,9\n", SW_D_FIT_PINS, "no pin 9");
    test_fit_fails("Q1 Q - NEW TO-92 C=a B=b E=c\n@ Q1 pins=C,2,3\n", SW_D_FIT_PINS, "by number");
    test_fit_fails("X1 X - LM358 - 1=a 2=b\n@ X1 pins=1,1\n", SW_D_FIT_PIN_CLASH, "node a is already");
    test_fit_fails("X1 X - LM358 - 1=a\n@ X1 supply=VCC:88\n", SW_D_FIT_SUPPLY, "VCC:88");
    test_fit_fails("X1 X - LM358 - 1=a\n@ X1 supply=VCC\n", SW_D_FIT_SUPPLY, "NODE:PIN");
    test_fitting f = test_fit("X1 X - LM358 - 1=a 2=b 3=c\n@ X1 pins=2,-,7\n");
    test_fit_part(&f, "X1 DIP-8/LM358/ 2=a 7=c");
    test_fit_done(&f);
}

static void csv_parts_by_number_need_no_device(void **state) {
    (void)state;
    test_fitting f = test_fit("U1 X - - DIP-8 1=a 8=b\nU2 ? LM358 - - 1=a 4=0\nJ1 J - - HEADER-1x3 1=a 2=b\n");
    test_fit_part(&f, "U1 DIP-8// 1=a 8=b");
    test_fit_part(&f, "U2 DIP-8/LM358/LM358 1=a 4=0");
    test_fit_part(&f, "J1 HEADER-1x3// 1=a 2=b");
    test_fit_done(&f);
    test_fit_fails("U1 X - - DIP-8 1=a 9=b\n", SW_D_FIT_PIN_ORDER, "U1");
    test_fit_fails("U1 ? - - DIP-99 1=a\n", SW_D_FIT_PACKAGE_UNKNOWN, "DIP-99");
    test_fit_fails("U1 ? - LM358 DIP-14 1=a\n", SW_D_FIT_PACKAGE_DEVICE, "8 pins");
    test_fit_fails("U1 X - FOO - 1=a\n", SW_D_FIT_NO_PACKAGE, "package=");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(preset_from_two_resistors),
        cmocka_unit_test(dual_op_amp_from_two_lines),
        cmocka_unit_test(supply_pins_of_units_are_shared),
        cmocka_unit_test(quad_gate_with_a_spare_unit),
        cmocka_unit_test(units_are_checked),
        cmocka_unit_test(transistor_of_unknown_order),
        cmocka_unit_test(transistors_by_the_devices_pin_names),
        cmocka_unit_test(unsafe_orders_are_warned_of),
        cmocka_unit_test(relay_off_board),
        cmocka_unit_test(battery_switch_and_loudspeaker_off_board),
        cmocka_unit_test(terminal_pins_do_not_take_a_parts_reference),
        cmocka_unit_test(off_board_potentiometer_shares_its_wiper),
        cmocka_unit_test(bridge_of_four_diodes),
        cmocka_unit_test(push_button_with_joined_legs),
        cmocka_unit_test(joined_pins_on_no_node),
        cmocka_unit_test(led_by_model_name),
        cmocka_unit_test(resistor_array_in_a_sip),
        cmocka_unit_test(ports_by_name),
        cmocka_unit_test(pins_that_no_device_has_are_told_a_part_at_a_time),
        cmocka_unit_test(a_line_of_more_nodes_than_a_unit_is_the_whole_device),
        cmocka_unit_test(a_name_and_a_number_that_are_two_pins),
        cmocka_unit_test(a_device_of_the_library_as_value_of_a_symbol),
        cmocka_unit_test(pins_are_checked),
        cmocka_unit_test(csv_parts_by_number_need_no_device),
    };
    return cmocka_run_group_tests_name("circuit: fit, worked cases", tests, NULL, NULL);
}
