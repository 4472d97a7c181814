/* src/circuit/order.h: a circuit's canonical order, for whatever writes it.
 *
 * The order does not depend on that of the file a circuit came from: parts by
 * reference; pins of a part by number; pins of a node by reference, then number;
 * nodes by number, those without one behind, by their first pin; properties of an
 * object by key.  All in natural order, ties as strcmp has them.
 */
#ifndef SWI_ORDER_H
#define SWI_ORDER_H

#include <stripwright/circuit.h>

typedef struct swi_order {
    sw_part_id *parts;     /* part_count */
    sw_pin_id *part_pins;  /* pin_count; grouped as circuit->pins is: those of part p at
                              p->first_pin.i … */
    sw_node_id *nodes;     /* node_count */
    sw_pin_id *node_pins;  /* pin_count; grouped as circuit->node_pins is */
    const sw_property **properties; /* property_count; grouped as circuit->properties is */
    uint32_t property_count;
    struct swi_arena *memory;
} swi_order;

/* false when memory is out; swi_order_free may be called all the same. */
bool swi_order_work_out(swi_order *order, const sw_circuit *circuit);
void swi_order_free(swi_order *order);
/* The properties of one object by key, *count of them. */
const sw_property *const *swi_order_properties(const swi_order *order, sw_owner owner,
                                               uint32_t index, uint32_t *count);

#endif
