/* Decks: what each form of line gives. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/deck.h"

/* Reads the deck and compares what it tells; `findings` as test_deck_findings. */
static void expect(const char *text, const char *told, const char *findings) {
    test_deck deck = test_deck_bytes("a.cir", text, strlen(text), NULL);
    sw_buf got = SW_BUF_INIT, found = SW_BUF_INIT;
    test_deck_findings(deck.diags, &found);
    assert_string_equal(found.bytes ? found.bytes : "", findings);
    assert_non_null(deck.circuit);
    test_deck_tell(deck.circuit, &got);
    assert_string_equal(got.bytes ? got.bytes : "", told);
    sw_buf_free(&got);
    sw_buf_free(&found);
    test_deck_free(&deck);
}

static void the_first_line_is_the_title(void **state) {
    (void)state;
    const char *text = "\xEF\xBB\xBF*  Frost   alarm \r\nR1 a 0 1k\r\n";
    test_deck deck = test_deck_bytes("a.cir", text, strlen(text), NULL);
    assert_string_equal(deck.circuit->title, "Frost alarm");
    assert_int_equal(deck.circuit->part_count, 1);
    test_deck_free(&deck);
    expect("R1 a 0 1k\nR2 a 0 2k\n", "R2 R 2k 1=a 2=0\n", "spice-title 1:1\n");
    expect(".param a=1\nR2 a 0 2k\n", "R2 R 2k 1=a 2=0\n", "spice-title 1:1\n");
    expect("*@ R2 ref=R3\nR2 a 0 2k\n", "R2 R 2k 1=a 2=0\n", "spice-title 1:1\n");
    expect("Rainy days of May\nR2 a 0 2k\n", "R2 R 2k 1=a 2=0\n", "");
}

static void elements_have_their_pins(void **state) {
    (void)state;
    expect("t\nR1 a b 1k\nC1 a b 1n\nL1 a b 1m\nD1 a b 1N4148\nJ1 d g s J\nZ1 d g s Z\n"
           "M1 d g s b M\nV1 a 0 5\nI1 a 0 DC 1m\nT1 a b c d Z0=50\nU1 a b c UR L=1\n"
           "O1 a b c d LT\nS1 a b c d SW ON\nW1 a b V1 SW\n",
           "R1 R 1k 1=a 2=b\nC1 C 1n 1=a 2=b\nL1 L 1m 1=a 2=b\nD1 D dev=1N4148 A=a K=b\n"
           "J1 J dev=J D=d G=g S=s\nZ1 Z dev=Z D=d G=g S=s\nM1 M dev=M D=d G=g S=s B=b\n"
           "V1 V 5 +=a -=0\nI1 I 1m +=a -=0\nT1 T 1=a 2=b 3=c 4=d {spice.Z0=50}\n"
           "U1 U dev=UR 1=a 2=b 3=c {spice.L=1}\nO1 O dev=LT 1=a 2=b 3=c 4=d\n"
           "S1 S dev=SW +=a -=b C+=c C-=d {spice.args=ON}\n"
           "W1 W dev=SW +=a -=b {spice.control=V1}\n",
           "");
}

static void a_substrate_is_told_by_looking_the_model_up(void **state) {
    (void)state;
    expect("t\nQ1 c b e QA\nQ2 c b e s QA\nQ3 c b e QA 2\nQ4 c b e BC547\nQ5 c b e s BC547\n"
           "Q6 c b e BC547 2 OFF\nQ7 c b e QB QA\n.model QA NPN\n.model QB NPN\n",
           "Q1 Q dev=QA C=c B=b E=e\nQ2 Q dev=QA C=c B=b E=e S=s\n"
           "Q3 Q dev=QA C=c B=b E=e {spice.args=2}\nQ4 Q dev=BC547 C=c B=b E=e\n"
           "Q5 Q dev=BC547 C=c B=b E=e S=s\nQ6 Q dev=BC547 C=c B=b E=e {spice.args=2 OFF}\n"
           "Q7 Q dev=QB C=c B=b E=e {spice.args=QA}\nmodel QA NPN ()\nmodel QB NPN ()\n",
           "");
}

/* Either order is common practice: ngspice 39 takes R1 a 0 RM 1k for 1k, too. */
static void a_model_may_stand_before_or_behind_the_value(void **state) {
    (void)state;
    expect("t\nR1 a b CERMET 1k\nR2 a b 1k CERMET\nR3 a b RM 1k\nR4 a b RM\n.model RM R(rsh=5)\n",
           "R1 R 1k dev=CERMET 1=a 2=b\nR2 R 1k dev=CERMET 1=a 2=b\n"
           "R3 R 1k dev=RM 1=a 2=b\nR4 R dev=RM 1=a 2=b\nmodel RM R (rsh=5)\n",
           "");
    expect("t\nR1 a b CERMET\n", "R1 R CERMET 1=a 2=b\n", "spice-value 2:8\n");
}

/* What the reader itself notes of a line has names in small letters. */
static void options_are_not_taken_for_notes(void **state) {
    (void)state;
    expect("t\nX1 a b c pot value=0.5 Scope=1\nR1 a b 1k args=2 tc=3\n",
           "X1 X dev=pot flat 1=a 2=b 3=c {spice.VALUE=0.5} {spice.SCOPE=1}\n"
           "R1 R 1k 1=a 2=b {spice.ARGS=2} {spice.tc=3}\n",
           "spice-subckt-missing 2:10\n");
}

/* The value that an expression gives a resistor, told by the number it was built with. */
static void gives(const char *expression, const char *value) {
    sw_buf text = SW_BUF_INIT, told = SW_BUF_INIT;
    sw_buf_printf(&text, "t\n.param a=2 b={a*3} two=2\n.func par(x,y) {x*y/(x+y)}\nI1 0 n {%s}\n",
                  expression);
    sw_buf_printf(&told, "I1 I %s +=0 -=n\n", value);
    expect(text.bytes, told.bytes, "");
    sw_buf_free(&text);
    sw_buf_free(&told);
}

static void expressions_have_values(void **state) {
    (void)state;
    gives("1+2*3", "7");
    gives("(1+2)*3", "9");
    gives("2**3**2", "512");
    gives("-2^2", "-4");
    gives("7%4 - 10/4", "500m");
    gives("b + A", "8");
    gives("a > 1 && b <= 6 ? 1k : 2k", "1k");
    gives("!(a==2) || a!=2", "0");
    gives("(a=2) + (b=2)", "1"); /* one sign of equality does as well: it sets nothing */
    gives("par(10k,10k)", "5k");
    gives("max(1,b,3)+min(2,1)+limit(9,0,5)", "12");
    gives("if(a<b,10,20)", "10");
    gives("agauss(4.7k,0.1,3)", "4.7k");
    gives("sqrt(16)+abs(-1)+int(2.9)+sgn(-3)", "6");
    gives("10pF*1e12", "10");
    gives("round(100*sin(pi/2))", "100");
}

static void what_depends_on_voltages_stays_text(void **state) {
    (void)state;
    expect("t\n.subckt s p\nVm p x 0\nB1 x 0 I={k*v(p)}+i(Vm)\nR1 x 0 {1k*v(x)}\n"
           ".param k=3\n.ends\nX1 n s\n",
           "X1.Vm V 0 path=X1 +=n -=X1.x\n"
           "X1.B1 B I={3*v(n)}+i(X1.Vm) path=X1 +=X1.x -=0\n"
           "X1.R1 R {1k*v(x)} path=X1 1=X1.x 2=0\n",
           "");
}

static void fitting_lines_are_rows(void **state) {
    (void)state;
    expect("t\n*@ Q* pins=C,B,E place=\"board\"\nQ1 c b e BC547\n*@ X1 ref=U1 unit=A\n"
           "*@ X2 ref=U1 unit=B note='the other half'\nX1 a amp\nX2 b amp\n"
           ".subckt amp p\nR1 p 0 1k\n*@ R1 package=RES-0.25W\n.ends\nX3 c amp\n",
           "Q1 Q dev=BC547 C=c B=b E=e\nX1 X dev=amp p=a\nX2 X dev=amp p=b\n"
           "X3.R1 R 1k path=X3 1=c 2=0\n"
           "row R1 path=X3 package=RES-0.25W\n"
           "row Q* pins=C,B,E place=board\nrow X1 ref=U1 unit=A\nrow X2 ref=U1 unit=B\n",
           "");
}

static void one_instance_of_a_ref_bears_it(void **state) {
    (void)state;
    expect("t\nDLED1 a 0 RED\n*@ DLED1 ref=LED1 package=LED-5\n*@ DLED1 place=off\n",
           "LED1 D dev=RED pack=LED-5 A=a K=0\nrow LED1 place=off\n", "");
}

static void devices_that_are_known_stay_whole(void **state) {
    (void)state;
    expect("t\nX1 a b LM358\nX2 c d stub\nX3 e f opamp\n.subckt stub IN OUT\n.ends\n"
           ".subckt opamp 101 102\nR1 101 102 1\n.ends\n*@ opamp device=TL071\n"
           "A1 [a] b gate\n*@ A1 omit=yes\n",
           "X1 X dev=LM358 flat 1=a 2=b\nX2 X dev=stub IN=c OUT=d\nX3 X dev=opamp flat 1=e 2=f\n"
           "row opamp device=TL071\nrow A1 omit=yes\n",
           "spice-subckt-missing 2:8\n");
}

/* What is flattened is still found where it is written. */
static void flattened_parts_keep_their_places(void **state) {
    (void)state;
    const char *text = "t\n.subckt s p\n  R1 p q 1k\nC1 q 0 1n\n.ends\nX1 a s\nX2 b s\n";
    test_deck deck = test_deck_bytes("a.cir", text, strlen(text), NULL);
    static const struct { const char *ref, *path; unsigned line, column; } parts[] = {
        {"X1.R1", "X1", 3, 3}, {"X2.C1", "X2", 4, 1}};
    for (size_t i = 0; i < 2; i++) {
        const sw_part *part = &deck.circuit->parts[sw_circuit_part(deck.circuit, parts[i].ref).i];
        sw_place place;
        assert_string_equal(part->path, parts[i].path);
        assert_true(sw_diags_place(deck.diags, part->span, &place));
        assert_int_equal(place.line, parts[i].line);
        assert_int_equal(place.column, parts[i].column);
    }
    test_deck_free(&deck);
}

/* A deck's parameters hold wherever they stand, but those of branches and subcircuits. */
static void branches_heed_parameters_below_them(void **state) {
    (void)state;
    expect("t\n.if (a==1)\nR1 a 0 1\n.param b=2\n.else\nR2 a 0 2\n.param b=3\n.endif\n"
           ".if (b==2)\nR3 a 0 3\n.endif\n.if (c)\nR4 a 0 4\n.endif\n"
           ".subckt s p\n.param a=2\nR1 p 0 {b}\n.ends\n.control\n.param a=7\n.endc\n"
           ".param a=1 c={d(0)}\n.func d(x) {x}\nX1 a s\n",
           "R1 R 1R 1=a 2=0\nR3 R 3R 1=a 2=0\nX1.R1 R 2R path=X1 1=a 2=0\n", "");
    /* What is wrong below is told once. */
    expect("t\n.if (a==1)\nR1 a 0 1\n.endif\n.param a=1\n.modle x\n",
           "R1 R 1R 1=a 2=0\n", "spice-card-unknown 6:1\n");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_line_is_the_title),
        cmocka_unit_test(elements_have_their_pins),
        cmocka_unit_test(expressions_have_values),
        cmocka_unit_test(what_depends_on_voltages_stays_text),
        cmocka_unit_test(fitting_lines_are_rows),
        cmocka_unit_test(branches_heed_parameters_below_them),
        cmocka_unit_test(flattened_parts_keep_their_places),
        cmocka_unit_test(one_instance_of_a_ref_bears_it),
        cmocka_unit_test(devices_that_are_known_stay_whole),
        cmocka_unit_test(a_substrate_is_told_by_looking_the_model_up),
        cmocka_unit_test(a_model_may_stand_before_or_behind_the_value),
        cmocka_unit_test(options_are_not_taken_for_notes),
    };
    return cmocka_run_group_tests_name("formats/test_spice_read", tests, NULL, NULL);
}
