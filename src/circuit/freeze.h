/* src/circuit/freeze.h: the state of freezing a builder. */
#ifndef SWI_FREEZE_H
#define SWI_FREEZE_H

#include "circuit/circuit.h"

typedef struct swi_freezing {
    sw_builder *b;
    sw_circuit *c;
    swi_circuit_memory *memory;
    size_t built_pins;  /* as many as pin_to has */
    uint32_t *pin_to;   /* builder's pin -> frozen pin, SW_NONE: dropped as a double;
                           NULL while every pin is where it was built */
    bool doubled;       /* pins were dropped */
    bool nodes_stay;    /* frozen nodes are the builder's own array */
    uint32_t *node_to;  /* builder's root node -> frozen node, SW_NONE: no pins */
} swi_freezing;

/* An array of the frozen circuit; one element at least, so that NULL means only
 * that memory is out. */
#define SWI_FROZEN(f, count, type) \
    ((type *)swi_arena_array((f)->b->arena, (count) ? (count) : 1, sizeof(type)))

/* The builder's array becomes the circuit's, without the room to grow; NULL when it is
 * empty or memory is out. */
void *swi_freeze_hand_over(swi_freezing *freezing, size_t slot, void *items, size_t size);

/* ---- freeze_pins.c ---- */
bool swi_freeze_pins(swi_freezing *freezing);

#endif
