/* src/circuit/review.h: what the files of the review share. */
#ifndef SWI_REVIEW_H
#define SWI_REVIEW_H

#include "circuit/circuit.h"

typedef struct swi_review {
    const sw_circuit *c;
    sw_diags *diags;
    uint8_t *lone;     /* per node: its pins are one, or legs that one package joins */
    uint32_t *island;  /* per node: union-find of what parts and the world beside the board join */
    bool negative;     /* some rail is negative */
    uint32_t positives; /* positive rails */
    bool out;          /* of memory */
} swi_review;

bool swi_is_lone(const swi_review *review, const sw_pin *pin);
const sw_node *swi_node_of(const swi_review *review, const sw_pin *pin);
const sw_pin *swi_pin_of(const swi_review *review, const sw_part *part, uint32_t index);
/* " (IN+)", or "" for a pin without a name of its own. */
const char *swi_named(const sw_pin *pin, char out[40]);

void swi_review_pins(swi_review *review);   /* review_pins.c: open pins, units, parts */
void swi_review_nodes(swi_review *review);  /* review_nodes.c: names, islands, ground */
void swi_review_supply(swi_review *review); /* review_supply.c: supply, polarity, decoupling */
void swi_review_values(swi_review *review); /* review_values.c */

#endif
