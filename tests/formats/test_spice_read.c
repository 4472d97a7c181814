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

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_line_is_the_title),
        cmocka_unit_test(elements_have_their_pins),
        cmocka_unit_test(a_substrate_is_told_by_looking_the_model_up),
    };
    return cmocka_run_group_tests_name("formats/test_spice_read", tests, NULL, NULL);
}
