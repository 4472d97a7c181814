/* Damaged decks: cut at every byte, and with one byte in a hundred changed.  Nothing is
 * expected of them but an end: no crash, no hang, a circuit or a finding. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/alloc.h"
#include "tests/lib/corpus.h"
#include "tests/lib/deck.h"

enum { SMALL = 700, LARGEST = 64 * 1024 };
static const char *const folders[] = {"tests/formats/spice/good", "tests/formats/spice/bad"};

/* What is wrong in place of the file's own includes need not be read again. */
static sw_status refuse(void *user, const char *path, const sw_input *asking, sw_span span,
                        sw_diags *diags, sw_input *out) {
    (void)user, (void)path, (void)asking, (void)out;
    sw_diag_add(diags, SW_D_SPICE_INCLUDE_REFUSED, span, "refused");
    return SW_BAD_INPUT;
}

static const sw_read_options options = {.include = refuse};

/* An end without a circuit is told of, and what is a circuit can be written. */
static void read_damaged(const char *bytes, size_t length) {
    test_deck deck = test_deck_bytes("damaged.cir", bytes, length, &options);
    if (!deck.circuit) assert_true(sw_diags_of(deck.diags, SW_ERROR) > 0);
    if (deck.circuit) {
        sw_document document = {.circuit = deck.circuit};
        sw_buf out = SW_BUF_INIT;
        assert_int_equal(sw_write(sw_format_find("spice"), &document, NULL, deck.diags, &out),
                         SW_OK);
        sw_buf_free(&out);
    }
    test_deck_free(&deck);
}

static size_t load(const char *path, char bytes[LARGEST]) {
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = fread(bytes, 1, LARGEST, file);
    fclose(file);
    return length;
}

static void cut_at_every_byte(const char *path, void *user) {
    char *bytes = user;
    size_t length = load(path, bytes);
    for (size_t i = 1; i < length && length <= SMALL; i++)
        read_damaged(bytes, i);
}

/* Numerical Recipes' quick generator: the same damage on every machine. */
static uint32_t next(uint32_t *seed) {
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

static void change_one_in_a_hundred(const char *path, void *user) {
    static const char likely[] = "\n\n+*.{}()'\"=,;$ \txXeE9-\x80";
    char *bytes = user;
    size_t length = load(path, bytes);
    char *damaged = malloc(length + 1);
    assert_non_null(damaged);
    for (uint32_t seed = 1; seed <= 12; seed++) {
        uint32_t state = seed;
        memcpy(damaged, bytes, length);
        for (size_t i = 0; i < length / 100 + 1; i++) {
            uint32_t at = next(&state) % (uint32_t)length, what = next(&state);
            damaged[at] = seed % 2 ? likely[what % (sizeof likely - 1)] : (char)(what & 0xFF);
        }
        read_damaged(damaged, length);
    }
    free(damaged);
}

static void through_the_corpus(void (*each)(const char *, void *)) {
    char *bytes = malloc(LARGEST);
    assert_non_null(bytes);
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        assert_true(test_corpus(folders[i], ".cir", each, bytes) > 40);
    free(bytes);
}

static void decks_cut_at_every_byte_end_well(void **state) {
    (void)state;
    through_the_corpus(cut_at_every_byte);
}

static void decks_with_one_byte_in_a_hundred_changed_end_well(void **state) {
    (void)state;
    through_the_corpus(change_one_in_a_hundred);
}

/* Every allocation of a deck that uses every part of the reader fails in turn.  Nothing
 * is to be told of it: a finding for which there is no memory is only counted. */
static void memory_may_end_anywhere(void **state) {
    (void)state;
    const char *text =
        "t\n.param a={2*b} b=3\n.func f(x) {x*a}\n.model qn npn(bf=1\n+ is=2)\n"
        ".subckt s p q params: w=1\n.if (w)\nR1 p q {f(w)} tc=1,2\n.else\n.param v=2\n.endif\n"
        "*@ R1 package=RES-0.25W\n.model qn npn(bf=2)\nQ1 p q 0 qn\nB1 p q V=v(p,q)*w+i(Vx)\n"
        "Vx p 0 0\n.ends\nX1 n m s w=2\nX2 n m LM358\n.subckt LM358 a b\n.ends\nK1 L1 L2 1\nL1 n 0 "
        "1m\nL2 m 0 1m\n"
        "D1 n 0 LED\n*@ D1 ref=LED1 package=LED-5\nE1 n 0 POLY(2) n 0 m 0 1\n.global vcc\n"
        "R2 vcc 0 1.23456789k\n.tran 1u\n";
    long n = 0;
    for (bool failing = true; failing; n++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        sw_circuit *circuit = NULL;
        assert_int_equal(sw_input_text(diags, "a.cir", text, strlen(text), &input), SW_OK);
        test_alloc_fail(n);
        sw_status status =
            sw_read_circuit(sw_format_find("spice"), &input, &options, diags, &circuit);
        failing = test_alloc_reset();
        assert_int_equal(status, failing ? SW_SYSTEM : SW_OK);
        assert_true(failing == (circuit == NULL));
        sw_circuit_free(circuit);
        sw_diags_free(diags);
    }
    assert_true(n > 50);
}

static void memory_may_end_anywhere_in_writing(void **state) {
    (void)state;
    char path[4096];
    snprintf(path, sizeof path, "%s/tests/formats/spice/good/controlled.cir", getenv("SW_SRCDIR"));
    test_deck deck = test_deck_file(path);
    sw_document document = {.circuit = deck.circuit};
    long n = 0;
    for (bool failing = true; failing; n++) {
        sw_buf out = SW_BUF_INIT;
        sw_diags *diags = sw_diags_new(NULL); /* a sink that ran short stays so */
        test_alloc_fail(n);
        sw_status status = sw_write(sw_format_find("spice"), &document, NULL, diags, &out);
        failing = test_alloc_reset();
        assert_int_equal(status, failing ? SW_SYSTEM : SW_OK);
        sw_buf_free(&out);
        sw_diags_free(diags);
    }
    assert_true(n > 10);
    test_deck_free(&deck);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(decks_cut_at_every_byte_end_well),
        cmocka_unit_test(decks_with_one_byte_in_a_hundred_changed_end_well),
        cmocka_unit_test(memory_may_end_anywhere),
        cmocka_unit_test(memory_may_end_anywhere_in_writing),
    };
    return cmocka_run_group_tests_name("fuzz/test_spice_damage", tests, NULL, NULL);
}
