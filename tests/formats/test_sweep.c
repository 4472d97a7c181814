/* Every pair of circuit formats that are read and written, as formats.def lists them:
 * what goes through both is the same circuit, or the loss is told. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/format.h"
#include "tests/lib/losses.h"

/* References of every kind, and nothing that some format has no place for. */
static const char plain[] =
    "stripwright schedule 1\n"
    "part BAT kind=V value=9V device= package=\n"
    "part C3 kind=C value=100n device= package=\n"
    "part LED1 kind=D value= device=LED package=LED-5\n"
    "part P1 kind=N value= device=HEADER package=\n"
    "part Q1 kind=Q value= device=BC547 package=TO-92\n"
    "part R1 kind=R value=10k device= package=RES-0.25W\n"
    "part R10 kind=R value=4k7 device= package=\n"
    "part SW2 kind=? value= device=SWITCH package=\n"
    "part U1A kind=X value= device=NE555 package=DIP-8\n"
    "node - name=VCC rail= : BAT.+ LED1.A P1.1 R1.1 U1A.8\n"
    "node - name=0 rail= global : BAT.- C3.2 P1.3 Q1.E U1A.1\n"
    "node - name=trig rail= : C3.1 R1.2 U1A.2 U1A.6\n"
    "node - name=lamp rail= : LED1.K Q1.C\n"
    "node - name=door rail= : P1.2 SW2.1\n"
    "node - name=base rail= : Q1.B R10.2\n"
    "node - name=out rail= : R10.1 U1A.3\n"
    "node - name=reset rail= : SW2.2 U1A.4\n"
    "node - name=U1A.5 rail= derived : U1A.5\n"
    "node - name=U1A.7 rail= derived : U1A.7\n";

/* What some of them have no place for, each kind at least once. */
static const char rich[] =
    "stripwright schedule 1\n"
    "title \"Frost alarm, 2nd\"\n"
    "property revision=B\n"
    "property spice.card=\".temp 4\"\n"
    "part C1 kind=C value=10u device= package=ELEC-5 polarised\n"
    "part D1 kind=D value= device=\"1N4148 / 75V\" package=\n"
    "part H1 kind=H value=5 device= package=\n"
    "property spice.control=\"\\\"\"\n"
    "part IC2 kind=X value=\"it's 2 k\" device=LM358 package=\"SO 8\"\n"
    "part J7 kind=N value= device= package= terminal\n"
    "part M1 kind=M value= device=BS170 package=\n"
    "property spice.args=wide\n"
    "part Q1 kind=Q value= device=qn package=\n"
    "property spice.args=OFF\n"
    "property spice.scope=amp\n"
    "part R1 kind=R value=10k device= package=\n"
    "property spice.W=10u\n"
    "property tolerance=5%\n"
    "property VALUE=other\n"
    "part R01 kind=R value=1k device= package=\n"
    "part R5 kind=D value= device= package=RES-0.25W\n"
    "part R6 kind=R value= device=CERMET package=\n"
    "property spice.r=3\n"
    "part R7 kind=R value=soft device=CERMET package=\n"
    "property spice.args=wide\n"
    "part R8* kind=R value=soft device= package=\n"
    "part U1 kind=X value= device=LM358 package= flat\n"
    "part U3 kind=X value= device=NE555 package= flat\n"
    "part V1 kind=V value= device= package= deck\n"
    "part V2 kind=V value= device= package=\n"
    "part X1_R3 kind=R value=1k device= package= path=X1\n"
    "pin IC2.1 name=OUT type=out\n"
    "property strength=2\n"
    "pin U1.8 name=V+ type=positive\n"
    "property net=3\n"
    "node 1 name=+12V rail=positive why=stated volts=12 : C1.1 IC2.8 J7.1 R1.1 U1.8 V1.+\n"
    "property class=thick\n"
    "node 2 name=zone(A) rail= : D1.A R1.2 R01.1 R5.1 R6.1 R7.1 R8*.1\n"
    "node 3 name=ZONE/a rail= : C1.2 D1.K U1.4 X1_R3.1\n"
    "node 4 name=zone/A rail= global : U1.5 V1.- V2.+ X1_R3.2\n"
    "node 5 name=R01.2 rail= derived : R01.2 U1.6\n"
    "node 6 name=GND rail=ground : IC2.1 IC2.4 Q1.E R5.2 M1.D M1.G M1.S R6.2 R7.2 R8*.2 U3.1\n"
    "node 9 name=b rail= : Q1.B Q1.C U3.2 V2.-\n"
    "node 10 name=//bus rail= : H1.+ H1.-\n"
    "model 1N4148 type=D text=\"IS=1n\"\n"
    "model bare type= text=\n"
    "model half type=D text=\"IS='1n\"\n"
    "model qn type=npn text=\"bf=100\"\n"
    "model qn type=npn path=amp text=\"bf=300\"\n"
    "row R* value=10k note=\"all of them\"\n"
    "row U1 unit=A\n"
    "row U7 ref=R01 value=2k place=off\n"
    "row \"U9 b\" place=\"say \\\"so\\\"\"\n"
    "row X1_R3 place=off\n";

/* Names of pins that a deck cannot spell, and references that lists cannot. */
static const char pointed[] =
    "stripwright schedule 1\n"
    "part U4 kind=X value= device=CUBE package=\n"
    "part U5 kind=X value= device=CUBE package=\n"
    "part R7 kind=C value=1n device= package= path=X5 flat terminal\n"
    "part X1.R3 kind=R value=1k device= package= path=X1\n"
    "part X2.R3 kind=R value=1k device= package=\n"
    "part X3 kind=R value=1k device= package=\n"
    "node - name=0 rail= global : U4.\"IN 1\" U5.\"IN 1\" R7.1 \"X1.R3\".1 "
    "\"X2.R3\".1 X3.1\n"
    "node - name=\"zone A\" rail= : U4.b U5.b R7.2 \"X1.R3\".2 \"X2.R3\".2 X3.2\n";

static bool goes_both_ways(const sw_format *format) {
    return format->group == SW_GROUP_CIRCUIT && format->read_circuit && format->write;
}

/* The circuit written and read back, diagnostics into *told; NULL when refused. */
static sw_circuit *through(const sw_format *format, const sw_circuit *circuit, sw_diags *diags) {
    sw_document document = {.circuit = circuit};
    sw_buf out = SW_BUF_INIT;
    sw_circuit *back = NULL;
    sw_input input;
    if (sw_write(format, &document, NULL, diags, &out) == SW_OK) {
        assert_int_equal(sw_input_text(diags, format->name, out.bytes, out.length, &input), SW_OK);
        if (sw_read_circuit(NULL, &input, NULL, diags, &back) != SW_OK)
            print_message("%s\n", out.bytes);
    }
    sw_buf_free(&out);
    return back;
}

static void show(const char *from, const char *to, const sw_diags *diags) {
    sw_buf shown = SW_BUF_INIT;
    sw_diags_show(diags, &shown);
    print_message("%s to %s:\n%s\n", from, to, shown.bytes ? shown.bytes : "");
    sw_buf_free(&shown);
}

/* One way of a pair; NULL when it is refused. */
static sw_circuit *leg(const sw_format *format, const sw_circuit *circuit, bool exact,
                       const char *pair) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *back = through(format, circuit, diags);
    if (!back) {
        assert_false(exact);
        assert_true(test_count(diags, SW_D_CSV_LIST) > 0);
        sw_diags_free(diags);
        return NULL;
    }
    sw_buf real = SW_BUF_INIT, told = SW_BUF_INIT;
    test_losses_real(circuit, back, &real);
    test_losses_told(diags, &told);
    if (strcmp(real.bytes, told.bytes) != 0 || (exact && sw_diags_count(diags) > 0)) {
        show(pair, format->name, diags);
        fail_msg("lost by %s:\n%stold:\n%s", format->name, real.bytes, told.bytes);
    }
    sw_buf_free(&real);
    sw_buf_free(&told);
    sw_diags_free(diags);
    return back;
}

/* exact: nothing may be lost or said; else what is lost must be told, and nothing else. */
static void sweep_pair(const sw_format *from, const sw_format *to, const char *schedule,
                       bool exact) {
    test_reading r = test_read_text("schedule", schedule);
    assert_non_null(r.circuit);
    sw_circuit *first = leg(from, r.circuit, exact, "");
    sw_circuit *second = first ? leg(to, first, exact, from->name) : NULL;
    char *got = second ? test_schedule(second) : NULL;
    if (exact)
        assert_string_equal(got, schedule);
    free(got);
    sw_circuit_free(first);
    sw_circuit_free(second);
    test_reading_free(&r);
}

static size_t sweep(const char *schedule, bool exact) {
    size_t pairs = 0;
    for (size_t i = 0; i < sw_format_count(); i++)
        for (size_t k = 0; k < sw_format_count(); k++)
            if (goes_both_ways(sw_format_at(i)) && goes_both_ways(sw_format_at(k))) {
                sweep_pair(sw_format_at(i), sw_format_at(k), schedule, exact);
                pairs++;
            }
    return pairs;
}

static void references_of_every_kind_survive_every_pair(void **state) {
    (void)state;
    assert_true(sweep(plain, true) >= 25);
}

static void what_a_pair_loses_is_told(void **state) {
    (void)state;
    assert_true(sweep(rich, false) >= 25);
    assert_true(sweep(pointed, false) >= 25);
}

/* A message names the first ones and counts the others. */
static void many_losses_are_one_message(void **state) {
    (void)state;
    sw_buf text = SW_BUF_INIT;
    sw_buf_puts(&text, "stripwright schedule 1\npart R1 value=1k\nnode - name=A : R1.1 R1.2\n");
    for (unsigned i = 1; i <= 200; i++)
        sw_buf_printf(&text, "model M%u type=D\n", i);
    test_reading r = test_read_text("schedule", text.bytes);
    assert_non_null(r.circuit);
    free(test_write("pins", r.circuit, r.diags));
    assert_int_equal(test_count(r.diags, SW_D_CSV_LEFT_OUT), 1);
    const char *message = test_message(r.diags, SW_D_CSV_LEFT_OUT);
    unsigned named = 0, more = 0;
    for (const char *at = strchr(message, ':'); at; at = strchr(at + 1, ','))
        named++;
    assert_int_equal(sscanf(strstr(message, " and "), " and %u more", &more), 1);
    assert_int_equal(named + more, 200);
    assert_true(named > 20 && strlen(message) < 500);
    test_reading_free(&r);
    sw_buf_free(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(references_of_every_kind_survive_every_pair),
        cmocka_unit_test(what_a_pair_loses_is_told),
        cmocka_unit_test(many_losses_are_one_message),
    };
    return cmocka_run_group_tests_name("pairs of formats", tests, NULL, NULL);
}
