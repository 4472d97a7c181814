/* Tells a deck's elements as a simulator names them when it has flattened them: a line
 * "r.x1.r3 node node …", lower case, bytes beyond ASCII as `_`; or, with --write,
 * writes the deck anew. */
#include <stdio.h>
#include <string.h>

#include "tests/lib/deck.h"

static void put(const char *text) {
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;
        putchar(c >= 0x80 ? '_' : c >= 'A' && c <= 'Z' ? c + 32 : c);
    }
}

static void tell_part(const sw_circuit *circuit, const sw_part *part) {
    char letter[] = {part->kind, '.', '\0'};
    if (strchr(part->ref, '.'))
        put(letter);
    put(part->ref);
    for (uint32_t i = 0; i < part->pin_count; i++) {
        putchar(' ');
        put(circuit->nodes[circuit->pins[part->first_pin.i + i].node.i].name);
    }
    putchar('\n');
}

static int write_deck(test_deck *deck) {
    sw_document document = {.circuit = deck->circuit};
    sw_buf out = SW_BUF_INIT;
    if (sw_write(sw_format_find("spice"), &document, NULL, deck->diags, &out) != SW_OK)
        return 1;
    fwrite(out.bytes, 1, out.length, stdout);
    sw_buf_free(&out);
    return 0;
}

int main(int argc, char **argv) {
    bool writes = argc > 2 && strcmp(argv[1], "--write") == 0;
    test_deck deck = test_deck_file(argv[argc - 1]);
    int status = deck.circuit ? 0 : 1;
    if (deck.circuit && writes)
        status = write_deck(&deck);
    for (uint32_t i = 0; deck.circuit && !writes && i < deck.circuit->part_count; i++)
        tell_part(deck.circuit, &deck.circuit->parts[i]);
    test_deck_free(&deck);
    return status;
}
