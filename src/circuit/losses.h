/* src/circuit/losses.h: what a format has no place for, gathered while a circuit is
 * written and told at the end: one diagnostic a kind of thing, naming the things.
 */
#ifndef SWI_LOSSES_H
#define SWI_LOSSES_H

#include <stripwright/circuit.h>

typedef enum swi_loss {
#define SWI_LOSS(name, phrase) SWI_LOSS_##name,
#include "circuit/losses.def"
#undef SWI_LOSS
    SWI_LOSS_COUNT
} swi_loss;

/* What a kind is called in the message, "names of pins". */
const char *swi_loss_phrase(swi_loss kind);

typedef struct swi_losses {
    const sw_circuit *circuit;
    const char *format;               /* "a deck", "this table": it has no place for … */
    const char *hint[SWI_LOSS_COUNT]; /* what to do about it, behind the names; or NULL */
    uint32_t count[SWI_LOSS_COUNT];
    sw_span first[SWI_LOSS_COUNT];
    uint32_t named[SWI_LOSS_COUNT];
    sw_buf names[SWI_LOSS_COUNT];     /* of the first ones, `named` of them */
} swi_losses;

/* One thing of that kind is left out; the format spells its name. */
void swi_lose(swi_losses *losses, swi_loss kind, sw_span span, const char *format, ...)
    SW_PRINTF(4, 5);
/* By index in the circuit. */
void swi_lose_part(swi_losses *losses, swi_loss kind, uint32_t part);
void swi_lose_pin(swi_losses *losses, swi_loss kind, uint32_t pin);
void swi_lose_node(swi_losses *losses, swi_loss kind, uint32_t node);
void swi_lose_property(swi_losses *losses, const sw_property *property);
/* Everything of a kind that the circuit has. */
void swi_lose_models(swi_losses *losses);
void swi_lose_rows(swi_losses *losses);
/* Numbers that nodes would not get by themselves; false when memory is out. */
bool swi_lose_numbers(swi_losses *losses);
void swi_lose_pin_words(swi_losses *losses); /* names and types */
void swi_lose_rails(swi_losses *losses);     /* and marks of global nodes, but node 0's */
void swi_lose_rail_reasons(swi_losses *losses, bool volts); /* volts: voltages, too */
/* One diagnostic a kind.  Frees; false when memory was out. */
bool swi_losses_tell(swi_losses *losses, sw_diags *diags, sw_diag_id id);

#endif
