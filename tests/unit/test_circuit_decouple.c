/* Which capacitor belongs beside which supply pin. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"

/* Two amplifiers, a controller with two supply pins and a sensor, between VCC and ground. */
static const char gadget[] =
    "V1 V 5 - - 1=VCC 2=0\nU1 X - LM358 - 8=VCC 4=0 1=OUT 2=OUT\nU2 X - ATmega328 - 7=VCC 20=VCC 8=0 22=0\n"
    "TS1 X - LM35 - 1=VCC 3=0\nC1 C 100n - - 1=VCC 2=0\nC2 C 100n/50V - - 1=0 2=VCC\nC3 C 0.1uF - - 1=VCC 2=0\n"
    "C4 C 1u - CAP-BOX-5 1=VCC 2=0\nC5 C 100n - - 1=VCC 2=0\nC6 C 100u - - 1=VCC 2=0\nC7 C 22p - - 1=VCC 2=0\n"
    "C8 C 100n - - 1=OUT 2=0\nC9 C 1u - ELEC-5 1=VCC 2=0\n";

typedef struct fitting {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *netlist, *fitted;
} fitting;

static fitting fit(const char *text) {
    fitting f = {.diags = sw_diags_new(NULL)};
    f.library = sw_library_new(f.diags);
    f.netlist = test_circuit(f.diags, SW_STAGE_NETLIST, text);
    assert_non_null(f.netlist);
    assert_int_equal(sw_fit(f.netlist, f.library, NULL, f.diags, &f.fitted, NULL), SW_OK);
    return f;
}

static void done(fitting *f) {
    sw_circuit_free(f->fitted);
    sw_circuit_free(f->netlist);
    sw_library_free(f->library);
    sw_diags_free(f->diags);
}

static void belongs_beside(const fitting *f, const char *capacitor, const char *pin) {
    sw_pin_id id = sw_circuit_decoupled(f->fitted, sw_circuit_part(f->fitted, capacitor));
    assert_int_equal(id.i, pin ? sw_circuit_pin_spelled(f->fitted, pin).i : SW_NONE);
}

static void a_capacitor_a_supply_pin(void **state) {
    (void)state;
    fitting f = fit(gadget);
    belongs_beside(&f, "C1", "U1.8");
    belongs_beside(&f, "C2", "U2.7"); /* whichever way round it is */
    belongs_beside(&f, "C3", "U2.20");
    belongs_beside(&f, "C4", "TS1.1"); /* three legs come last */
    belongs_beside(&f, "C5", NULL);    /* one more than there are pins */
    belongs_beside(&f, "C6", NULL);    /* holds up the board */
    belongs_beside(&f, "C7", NULL);
    belongs_beside(&f, "C8", NULL); /* in the signal's way */
    belongs_beside(&f, "C9", NULL); /* an electrolytic */
    belongs_beside(&f, "U1", NULL);
    done(&f);
}

/* An amplifier without a ground pin: from rail to rail, or from each rail to ground; a pin is
 * held up once. */
static void split_supplies(void **state) {
    (void)state;
    static const char rails[] = "V1 V 9 - - 1=P9 2=0\nV2 V 9 - - 1=0 2=N9\nU1 X - TL072 - 8=P9 4=N9\n";
    char text[400];
    snprintf(text, sizeof text, "%sC1 C 100n - - 1=N9 2=P9\n", rails);
    fitting f = fit(text);
    belongs_beside(&f, "C1", "U1.8");
    done(&f);
    snprintf(text, sizeof text, "%sC1 C 100n - - 1=P9 2=0\nC2 C 100n - - 1=0 2=N9\nC3 C 100n - - 1=P9 2=0\n", rails);
    f = fit(text);
    belongs_beside(&f, "C1", "U1.8");
    belongs_beside(&f, "C2", "U1.4");
    belongs_beside(&f, "C3", NULL);
    done(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_capacitor_a_supply_pin),
        cmocka_unit_test(split_supplies),
    };
    return cmocka_run_group_tests_name("circuit: capacitors beside ICs", tests, NULL, NULL);
}
