/* src/papers/probes.h: what to measure before the ICs go in.
 *
 * A list of meter probes in walking order that proves the copper of a built
 * board with its sockets empty:
 *   WHOLE   the two leads belong to one node: the meter must beep.  One lead is
 *           touched after the other (the wire or the socket's contact, not the
 *           copper), so that each solder joint and each link of the node is in
 *           some probe's way.
 *   APART   two pieces of copper that lie side by side, across a cut or on
 *           neighbouring strips, must not touch: the meter must not beep.  Where
 *           parts lead from the one to the other it says what to expect instead.
 *   RAILS   two supply rails: as APART, asked for wherever they lie.
 *   SUPPLY  with power on and the ICs still out: the voltage at a socket's supply
 *           contacts.
 * Any single missing cut, solder bridge between neighbouring strips, missing link
 * or missing joint (on a node of two and more leads) makes a probe read otherwise,
 * but for probes that are marked blind: a part of next to no resistance lies
 * between the two nodes.
 */
#ifndef SWI_PROBES_H
#define SWI_PROBES_H

#include <stripwright/board.h>
#include "base/arena.h"
#include "change.h"

typedef enum swi_probe_kind { SWI_PROBE_WHOLE, SWI_PROBE_APART, SWI_PROBE_RAILS, SWI_PROBE_SUPPLY } swi_probe_kind;

typedef struct swi_probe {
    swi_probe_kind kind;
    sw_hole a, b;
    uint32_t node_a, node_b;  /* numbers; 0: copper that no node uses */
    const char *touch_a, *touch_b; /* "R1.2", or "copper" */
    const char *expect;       /* "beep", "no beep", "about 1k through R3", … */
    const char *why;          /* "cut at D7", "strips D and E side by side", … */
    bool blind;               /* the meter cannot tell: look instead */
    bool stood;               /* of a built board: the change leaves it as it was */
} swi_probe;

typedef struct swi_probe_list {
    uint32_t count;
    swi_probe *probes;
    swi_arena *memory;
} swi_probe_list;

/* NULL when memory is out.  The plan should be one that sw_check accepts. */
swi_probe_list *swi_probes_new(const sw_plan *plan, const sw_circuit *fitted, const sw_library *library);
/* The same of the subject, whose circuit has numbers.  Of a change, what it touches comes first. */
swi_probe_list *swi_probes_of(const swi_subject *subject);
void swi_probes_free(swi_probe_list *list);
/* Puts them in walking order. */
void swi_probes_walk(swi_probe_list *list);
/* Strips and columns from one hole to another. */
int swi_steps_between(sw_hole a, sw_hole b);
const char *swi_probe_kind_name(swi_probe_kind kind); /* "whole", … */

/* What the meter sees between two nodes with the ICs out (probe_network.c): the
 * resistance through resistors alone, in ohms; infinite when there is no way.  Other
 * parts between the two nodes directly are named by kind. */
typedef struct swi_between {
    double ohms;             /* HUGE_VAL: open */
    const char *resistor;    /* the one resistor that makes it, "" when several */
    const char *diode, *capacitor, *coil; /* a part of that kind in a way between the two, "" none */
} swi_between;
typedef struct swi_network swi_network;
/* NULL when memory is out; the circuit must outlive it. */
swi_network *swi_network_new(const sw_circuit *fitted);
void swi_network_free(swi_network *network);
bool swi_network_between(const swi_network *network, uint32_t node_a, uint32_t node_b, swi_between *out);

#endif
