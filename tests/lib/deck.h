/* tests/lib/deck.h: decks read in tests, and circuits told in lines that are easy
 * to compare. */
#ifndef TEST_DECK_H
#define TEST_DECK_H

#include <stripwright/stripwright.h>

typedef struct test_deck {
    sw_diags *diags;
    sw_circuit *circuit; /* NULL when it could not be read */
    sw_status status;
} test_deck;

/* What a deck includes is opened beside it. */
test_deck test_deck_bytes(const char *name, const char *bytes, size_t length,
                          const sw_read_options *options);
test_deck test_deck_file(const char *path);
void test_deck_free(test_deck *deck);
/* For options: opens files beside the asking one. */
sw_status test_deck_include(void *user, const char *path, const sw_input *asking, sw_span span,
                            sw_diags *diags, sw_input *out);

/* A part a line, in the order of the deck, what is empty left out:
 *   R1 R 4k7 dev=CFR path=X1 pack=RES-0.25W flat 1=vcc 2=out {spice.tc=1}
 * then "model NAME TYPE (TEXT) PATH" and "row NAME key=value …" lines. */
void test_deck_tell(const sw_circuit *circuit, sw_buf *out);
/* A diagnostic a line: "id line:column", "id -" for one without a place. */
void test_deck_findings(const sw_diags *diags, sw_buf *out);

#endif
