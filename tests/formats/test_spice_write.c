/* Decks written: they read back to the same circuit, whatever it came from. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/deck.h"
#include "tests/lib/corpus.h"

static void write_deck(const sw_circuit *circuit, sw_diags *diags, sw_buf *out) {
    sw_document document = {.circuit = circuit};
    assert_int_equal(sw_write(sw_format_find("spice"), &document, NULL, diags, out), SW_OK);
    assert_non_null(out->bytes);
}

static void expect_narrow(const char *text, const char *name) {
    while (*text) {
        size_t length = strcspn(text, "\n");
        if (length > 80 && strncmp(text, "*@", 2) != 0)
            fail_msg("%s: a line of %zu columns: %.*s", name, length, (int)length, text);
        text += length + (text[length] == '\n');
    }
}

/* Written, read and told again, it tells the same; written again, the same bytes. */
static void expect_round(const sw_circuit *circuit, sw_diags *diags, const char *name) {
    sw_buf first = SW_BUF_INIT, again = SW_BUF_INIT, told = SW_BUF_INIT, retold = SW_BUF_INIT;
    write_deck(circuit, diags, &first);
    expect_narrow(first.bytes, name);
    test_deck back = test_deck_bytes("written.cir", first.bytes, first.length, NULL);
    if (!back.circuit) test_deck_findings(back.diags, &told);
    if (!back.circuit) fail_msg("%s: does not read back: %s\n%s", name, told.bytes, first.bytes);
    test_deck_tell(circuit, &told);
    test_deck_tell(back.circuit, &retold);
    if (strcmp(told.bytes, retold.bytes) != 0)
        fail_msg("%s\n--- was\n%s--- is\n%s--- deck\n%s", name, told.bytes, retold.bytes,
                 first.bytes);
    assert_string_equal(back.circuit->title, circuit->title);
    write_deck(back.circuit, back.diags, &again);
    assert_string_equal(first.bytes, again.bytes);
    sw_buf_free(&first);
    sw_buf_free(&again);
    sw_buf_free(&told);
    sw_buf_free(&retold);
    test_deck_free(&back);
}

static void corpus_decks_round(const char *path, void *user) {
    (void)user;
    test_deck deck = test_deck_file(path);
    assert_non_null(deck.circuit);
    expect_round(deck.circuit, deck.diags, path);
    test_deck_free(&deck);
}

static void every_deck_of_the_corpus_reads_back(void **state) {
    (void)state;
    assert_true(test_corpus("tests/formats/spice/good", ".cir", corpus_decks_round, NULL) >= 50);
}

static void round_of(const char *text) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *circuit = test_circuit(diags, SW_STAGE_NETLIST, text);
    assert_non_null(circuit);
    expect_round(circuit, diags, text);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
}

static void references_of_every_kind_come_back(void **state) {
    (void)state;
    round_of("R1 R 10k - RES-0.25W 1=VCC 2=n1\n"
             "LED1 D - LED-RED LED-5 A=n1 K=0\n"
             "BAT V 9V - - +=VCC -=0\n"
             "SW2 ? - - - 1=VCC 2=n2\n"
             "P1 N - - - 1=n2 2=0 3=n1\n"
             "U1A X - LM358 DIP-8 OUT=n2 IN-=n1 IN+=VCC\n"
             "BC1 Q - BC547 - C=n1 B=n2 E=0\n"
             "TR9 ? - BC557 TO-92 1=n1 2=n2 3=0\n"
             "C1 C 10uF - - 1=VCC 2=0\n"
             "J7 N - - - 1=VCC\n");
}

static void names_that_part_words_come_back_as_others(void **state) {
    (void)state;
    const char *text =
        "R1 R 10k - - 1=Net(1) 2=a,b\nR2 R 1k - - 1=A 2=a\nR3 R 1k - - 1=a,b 2=GND\n";
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *circuit = test_circuit(diags, SW_STAGE_NETLIST, text);
    sw_buf out = SW_BUF_INIT;
    write_deck(circuit, diags, &out);
    assert_string_equal(out.bytes, "*\nR1 Net_1_ a_b 10k\nR2 A a_2 1k\nR3 a_b 0 1k\n.end\n");
    assert_int_equal(test_count(diags, SW_D_SPICE_WRITE_NODE), 4); /* GND is node 0 */
    sw_buf_free(&out);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
}

static void models_of_one_name_get_their_subcircuits_too(void **state) {
    (void)state;
    const char *text = "t\nX1 a b amp\nQ2 a b 0 qn\n.model qn npn(bf=100)\n"
                       ".subckt amp in out\nQ1 out in 0 qn\n.model qn npn(bf=300)\n.ends\n";
    test_deck deck = test_deck_bytes("a.cir", text, strlen(text), NULL);
    sw_buf out = SW_BUF_INIT;
    write_deck(deck.circuit, deck.diags, &out);
    assert_string_equal(out.bytes, "* t\n.model qn npn(bf=100)\n.model qn.amp npn(bf=300)\n"
                                   "*@ qn.amp model=qn scope=amp\n"
                                   "Q.X1.Q1 b a 0 qn.amp\n*@ Q.X1.Q1 ref=X1.Q1\n"
                                   "Q2 a b 0 qn\n.end\n");
    assert_int_equal(sw_diags_count(deck.diags), 0);
    expect_round(deck.circuit, deck.diags, text);
    sw_buf_free(&out);
    test_deck_free(&deck);
}

/* A node inside an instance, ground by its other name, a voltage alone. */
static void rails_get_a_line_each(void **state) {
    (void)state;
    const char *text = "t\nR1 a x 1k\nX1 a gnd two\n.subckt two p q\nR1 p n 1k\nR2 n q 1k\n.ends\n"
                       "*@ x1.n rail=negative volts=-4.5\n*@ gnd rail=ground\n*@ a volts=9\n";
    test_deck deck = test_deck_bytes("a.cir", text, strlen(text), NULL);
    assert_int_equal(sw_diags_count(deck.diags), 0);
    sw_buf out = SW_BUF_INIT;
    write_deck(deck.circuit, deck.diags, &out);
    assert_string_equal(out.bytes, "* t\nR1 a x 1k\nR.X1.R1 a X1.n 1k\n*@ R.X1.R1 ref=X1.R1\n"
                                   "R.X1.R2 X1.n 0 1k\n*@ R.X1.R2 ref=X1.R2\n"
                                   "*@ a volts=9\n*@ X1.n rail=negative volts=-4.5\n"
                                   "*@ 0 rail=ground\n.end\n");
    assert_int_equal(sw_diags_count(deck.diags), 0);
    expect_round(deck.circuit, deck.diags, text);
    sw_buf_free(&out);
    test_deck_free(&deck);
}

/* Only a name that holds both kinds of quotes does not come back. */
static void models_that_a_deck_cannot_spell_keep_their_names(void **state) {
    (void)state;
    static const struct { const char *name, *line; unsigned told; } cases[] = {
        {"a b", "*@ a_b model=\"a b\"\n", 0}, {"a'b\"", "*@ a_b_ model=", 1}};
    for (size_t i = 0; i < 2; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_builder *builder = sw_builder_new(SW_STAGE_NETLIST, diags);
        sw_part_id part = sw_builder_part(builder, "R1", 'R', SW_NOWHERE);
        sw_builder_pin(builder, part, "1", "", sw_builder_node(builder, "A", false, SW_NOWHERE),
                       SW_NOWHERE);
        sw_model model = {cases[i].name, "D", "", "", SW_NOWHERE};
        sw_builder_model(builder, &model);
        sw_circuit *circuit = sw_builder_finish(builder);
        sw_buf out = SW_BUF_INIT;
        write_deck(circuit, diags, &out);
        assert_non_null(strstr(out.bytes, cases[i].line));
        assert_int_equal(test_count(diags, SW_D_SPICE_WRITE_MODEL), cases[i].told);
        assert_int_equal(test_count(diags, SW_D_SPICE_WRITE_LOST), cases[i].told);
        sw_buf_free(&out);
        sw_circuit_free(circuit);
        sw_diags_free(diags);
    }
}

/* A pin name with a blank, a pin's function, a property of another format: what a deck
 * has no place for is told. */
static void what_a_deck_cannot_keep_is_told(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *builder = sw_builder_new(SW_STAGE_NETLIST, diags);
    sw_part_id part = sw_builder_part(builder, "U1", 'X', SW_NOWHERE);
    sw_node_id node = sw_builder_node(builder, "A", false, SW_NOWHERE);
    sw_builder_pin(builder, part, "IN 1", "IN", node, SW_NOWHERE);
    sw_builder_property(builder, SW_OWNER_PART, part.i, "colour", "green", SW_NOWHERE);
    sw_circuit *circuit = sw_builder_finish(builder);
    sw_buf out = SW_BUF_INIT;
    write_deck(circuit, diags, &out);
    assert_int_equal(test_count(diags, SW_D_SPICE_WRITE_PIN), 1);
    assert_int_equal(test_count(diags, SW_D_SPICE_WRITE_LOST), 2);
    sw_buf_free(&out);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_deck_of_the_corpus_reads_back),
        cmocka_unit_test(references_of_every_kind_come_back),
        cmocka_unit_test(models_of_one_name_get_their_subcircuits_too),
        cmocka_unit_test(rails_get_a_line_each),
        cmocka_unit_test(models_that_a_deck_cannot_spell_keep_their_names),
        cmocka_unit_test(names_that_part_words_come_back_as_others),
        cmocka_unit_test(what_a_deck_cannot_keep_is_told),
    };
    return cmocka_run_group_tests_name("formats/test_spice_write", tests, NULL, NULL);
}
