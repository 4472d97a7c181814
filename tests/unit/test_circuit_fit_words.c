/* The fit: what kinds, values and words suggest. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/circuit.h"
#include "tests/lib/fit.h"

/* ---- what kind and value suggest ---- */

static void packages_by_kind_and_value(void **state) {
    (void)state;
    test_fitting f = test_fit("R1 R 10k - - 1=A 2=B\nC1 C 10u - - 1=A 2=0\nC2 C 100n - - 1=A 2=0\n"
                    "C3 C 220n - - 1=A 2=0\nC4 C 1000u - - 1=A 2=0\nC5 C 220u - - 1=A 2=0\n"
                    "C6 C 100u - - 1=A 2=0\nC7 C 22p - - 1=A 2=0\nL1 L 1m - - 1=A 2=B\n"
                    "D1 D - DXYZ - A=A K=B\nD2 D - 1N4007 - A=A K=B\nD3 D - MYLED - A=A K=B\n"
                    "C8 C 1u - - 1=A 2=0\nD4 D - BZX85C5V1 - A=A K=B\n"
                    "RV1 ? 10k - - 1=A 2=B 3=0\nX2 X 1 x HEADER-1x2 1=A 2=B\n");
    test_fit_part(&f, "R1 RES-0.25W//10k 1=A 2=B");
    test_fit_part(&f, "C1 ELEC-5//10u 1=A 2=0");
    test_fit_part(&f, "C2 CAP-DISC-2.5//100n 1=A 2=0");
    test_fit_part(&f, "C3 CAP-BOX-5//220n 1=A 2=0");
    test_fit_part(&f, "C4 ELEC-10//1000u 1=A 2=0");
    test_fit_part(&f, "C5 ELEC-8//220u 1=A 2=0");
    test_fit_part(&f, "C6 ELEC-6.3//100u 1=A 2=0");
    test_fit_part(&f, "C7 CAP-DISC-2.5//22p 1=A 2=0");
    test_fit_part(&f, "C8 ELEC-5//1u 1=A 2=0");
    test_fit_part(&f, "L1 IND-AXIAL//1m 1=A 2=B");
    test_fit_part(&f, "D1 DO-35/DXYZ/ 1=B 2=A"); /* pin 1 is K */
    test_fit_part(&f, "D2 DO-41/1N4007/ 1=B 2=A");
    test_fit_part(&f, "D3 LED-5/MYLED/ 1=B 2=A");
    test_fit_part(&f, "D4 DO-41/BZX85C5V1/ 1=B 2=A");
    test_fit_part(&f, "RV1 TRIM-6//10k 1=A 2=B 3=0");
    assert_true(f.c->parts[sw_circuit_part(f.c, "C1").i].polarised);
    assert_false(f.c->parts[sw_circuit_part(f.c, "C2").i].polarised);
    assert_true(f.c->parts[sw_circuit_part(f.c, "D1").i].polarised);
    assert_true(f.c->parts[sw_circuit_part(f.c, "D3").i].polarised);
    assert_false(f.c->parts[sw_circuit_part(f.c, "R1").i].polarised);
    assert_int_equal(test_count(f.diags, SW_D_FIT_GUESSED), 1);
    test_fit_done(&f);
}

static void words_say_what_stands_on_the_board(void **state) {
    (void)state;
    test_fitting f = test_fit("LDR1 ? - - - 1=A 2=B\nR5 R 10k NTC - 1=A 2=B\nTH2 ? 4k7 - - 1=A 2=B\n"
                    "RV1 ? - varistor - 1=A 2=0\nD1 ? red - - K=0 A=B\nD2 D - photodiode - A=A K=0\n"
                    "JP1 ? - - - 1=A 2=B\nSW3 ? - push_button - 1=A 2=B\nR6 R 10k - - 1=A 2=B\n");
    test_fit_part(&f, "LDR1 LDR-5// 1=A 2=B");
    test_fit_part(&f, "R5 NTC-5/NTC/10k 1=A 2=B");
    test_fit_part(&f, "TH2 NTC-5//4k7 1=A 2=B");
    test_fit_part(&f, "RV1 VARISTOR-7/varistor/ 1=A 2=0");
    test_fit_part(&f, "D1 LED-5//red 1=0 2=B");
    test_fit_part(&f, "D2 LED-5/photodiode/ 1=0 2=A");
    test_fit_part(&f, "JP1 HEADER-1x2// 1=A 2=B");
    test_fit_part(&f, "SW3 BUTTON-6/push_button/ 1=A 2=A 3=B 4=B"); /* 1 and 2 are its contacts */
    test_fit_part(&f, "R6 RES-0.25W//10k 1=A 2=B");
    assert_int_equal(test_count(f.diags, SW_D_FIT_BESIDE), 0);
    test_fit_done(&f);
}

static void words_say_what_is_beside_it(void **state) {
    (void)state;
    test_fitting f = test_fit("SW1 ? - slide_switch - 1=A 2=B 3=C\nLS1 ? 8 - - 1=A 2=B\nX1 X! - LAMP - a=A b=C\n"
                    "R1 R 1k - - 1=A 2=B\nR2 R 1k - - 1=B 2=C\nM1 M - 2N7000 - D=A G=B S=C\n"
                    "SW2 ? - switch HEADER-1x2 1=A 2=C\n");
    test_fit_refs(&f, "LS1.1 LS1.2 M1 R1 R2 SW1.1 SW1.2 SW1.3 SW2 X1.a X1.b");
    assert_int_equal(test_count(f.diags, SW_D_FIT_BESIDE), 1);
    assert_non_null(strstr(test_message(f.diags, SW_D_FIT_BESIDE), "called: SW1, LS1, X1: state package="));
    test_fit_done(&f);
    /* what a subcircuit drives, and what a relay is made of, is not what it is */
    test_fit_fails("X1 X! - LAMP_DRIVER - a=A b=C\n", SW_D_FIT_NO_PACKAGE, "X1 (LAMP_DRIVER)");
    test_fit_fails("K1 ? - reed_relay - 1=A 2=B\n", SW_D_FIT_NO_PACKAGE, "K1 (reed_relay)");
}

/* Models of things to hold are not laid flat; what tells a voltage is, and what drives a thing. */
static void words_of_subcircuits(void **state) {
    (void)state;
    static const char *const things[] = {"SPEAKER", "DC_MOTOR", "ldr", "toggle switch", "PUSHBUTTON", "MOTOR12"};
    static const char *const circuits[] = {"LAMP_DRIVER", "BATTERY", "VOLTMETER", "RELAY", "LM358", ""};
    for (size_t i = 0; i < sizeof things / sizeof *things; i++)
        assert_true(sw_names_a_thing(things[i]));
    for (size_t i = 0; i < sizeof circuits / sizeof *circuits; i++)
        assert_false(sw_names_a_thing(circuits[i]));
    test_fitting f = test_fit("X1 X! - LDR - 1=a 2=b\nX2 X! - SPDT_SWITCH - 1=a 2=b 3=0\nR1 R 1k - - 1=a 2=0\n");
    test_fit_part(&f, "X1 LDR-5/LDR/ 1=a 2=b");
    test_fit_refs(&f, "R1 X1 X2.1 X2.2 X2.3");
    test_fit_done(&f);
    test_fit_fails("X1 X! - SWITCH - 1=a 2=b 3=c 4=0\n", SW_D_FIT_NO_PACKAGE, "X1 (SWITCH)");
}

/* XU1 of a deck is U1, unless another part is, or XTAL1, or a deck did not say so. */
static void references_of_subcircuits(void **state) {
    (void)state;
    test_fitting f = test_fit("XU1 X - NE555 - GND=0 TRIG=a\nXU2 X - NE555 - GND=0 TRIG=a\nU2 X - NE555 - GND=0 TRIG=a\n"
                    "XU5 X - NE555 - GND=0 TRIG=a\nX7 X - NE555 - GND=0 TRIG=a\n@ X7 ref=U5\n"
                    "XTAL1 X! - - XTAL-HC49 1=a 2=0\nXR9 ? 1k - RES-0.25W 1=a 2=0\nX3.XU1 X - NE555 - GND=0 TRIG=a\n");
    test_fit_refs(&f, "U1 U2 U5 X3.U1 XR9 XTAL1 XU2 XU5");
    test_fit_done(&f);
}

/* Buzzers have + and -; a processor's pins have several names (data sheets of the ATtiny85 and of
 * TI's CD4017B, from memory). */
static void other_names_of_pins(void **state) {
    (void)state;
    test_fitting f = test_fit("BZ1 z - - - -=B +=A\nLED9 D bicolour - - K=B A2=C A1=A\nU1 X ATtiny85 - - PB0=C PB5=D VCC=A GND=B XTAL1=E\n"
                              "U2 X CD4017 - - CLOCK=C INHIBIT=B MR=E CARRY=F VDD=A VSS=B\n"
                              "U3 X ATtiny85 - - RESET=F PB3=E PB4=C VCC=A GND=B\n");
    test_fit_part(&f, "BZ1 BUZZER-12// 1=A 2=B");
    test_fit_part(&f, "LED9 LED-3LEADS//bicolour 1=A 2=B 3=C");
    test_fit_part(&f, "U1 DIP-8/ATtiny85/ATtiny85 1=D 2=E 4=B 5=C 8=A");
    test_fit_part(&f, "U2 DIP-16/CD4017/CD4017 8=B 12=F 13=B 14=C 15=E 16=A");
    test_fit_part(&f, "U3 DIP-8/ATtiny85/ATtiny85 1=F 2=E 3=C 4=B 8=A");
    test_fit_done(&f);
    /* An enable is not any inhibit: of a multiplexer's only the latter is known. */
    test_fit_fails("U1 X CD4051 - - ENABLE=A VDD=A VSS=B VEE=B\n", SW_D_FIT_PIN_LOST, "ENABLE (node A)");
    /* One name of two letters and a stroke is no two names. */
    test_fit_fails("U1 X CD4516 - - D=A VDD=A VSS=B\n", SW_D_FIT_PIN_LOST, "D (node A)");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(packages_by_kind_and_value),
        cmocka_unit_test(words_say_what_stands_on_the_board),
        cmocka_unit_test(words_say_what_is_beside_it),
        cmocka_unit_test(words_of_subcircuits),
        cmocka_unit_test(references_of_subcircuits),
        cmocka_unit_test(other_names_of_pins),
    };
    return cmocka_run_group_tests_name("circuit: fit by words", tests, NULL, NULL);
}
