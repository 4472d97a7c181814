/* formats/edif/edif_flat.h: the state of flattening. */
#ifndef SWI_EDIF_FLAT_H
#define SWI_EDIF_FLAT_H

#include "formats/edif/edif.h"

/* A view that is being gone through. */
typedef struct swi_level {
    uint32_t view, instance, element; /* the next instance, and element of its array */
    const char *path;
    sw_node_id *port_nodes;           /* of the view's ports, seen from outside */
    sw_node_id *pin_nodes;            /* of its instances' pins */
    sw_node_id *net_nodes;            /* of its nets, so that pages go on with them */
} swi_level;

typedef struct swi_flat {
    swi_edif *e;
    swi_level *levels;
    size_t depth, level_room;
    uint32_t named;                   /* nets so far */
    sw_buf scratch;
    const char *said[SWI_M_NOTHING];  /* by the properties of one instance, by meaning */
    const swi_edif_pin **by_bit;      /* of one instance: what its portInstances say */
    size_t by_bit_room;
    uint32_t live;                    /* nodes in the levels' arrays */
    int64_t left;                     /* instances that may still be made */
    uint8_t *view_kinds;              /* by view: whether its instances are parts */
    struct swi_bearer *bearers;       /* of designators, see edif_unique.c */
    swi_map *bearers_at;
    size_t bearer_count, bearer_room;
    sw_buf lost;                      /* names of properties that are not kept */
    uint32_t lost_count;
} swi_flat;

/* path, a point, the name or the element of an array of that name; lives as long as the
 * reading. */
const char *swi_flat_name(swi_flat *flat, const char *path, const char *display, uint32_t shape,
                          uint32_t element);

/* ---- edif_unique.c ---- */
/* Whether the instance is a part, not a cell to go into. */
bool swi_flat_is_part(swi_flat *flat, const swi_edif_instance *instance);
/* Its reference was given to it, and is not its instance's name alone. */
bool swi_flat_designated(const swi_flat *flat, const swi_edif_instance *instance);
bool swi_flat_count_designators(swi_flat *flat, uint32_t top);
/* Whether the part that the instance is bears this designator alone in the design. */
bool swi_flat_stands_alone(const swi_flat *flat, const swi_edif_instance *instance,
                           const char *ref);

/* ---- edif_parts.c ---- */
/* "U1A": the length without the gate's letter, 0 when it is none such. */
size_t swi_flat_gate_base(const char *ref);
/* What the properties of a cell that is taken apart, and of its instance, say is not
 * kept. */
void swi_flat_lose_cell(swi_flat *flat, const swi_edif_instance *instance);
/* Finds instances of the view that are gates of one package. */
void swi_flat_gates(swi_flat *flat, uint32_t view);
/* The reference of an instance: its designator, else its name. */
const char *swi_flat_ref(swi_flat *flat, const swi_edif_instance *instance);
void swi_flat_part(swi_flat *flat, const swi_level *level, const swi_edif_instance *instance,
                   uint32_t element, const sw_node_id *nodes);
void swi_flat_terminal(swi_flat *flat, const swi_edif_port *port, uint32_t element,
                       sw_node_id node);
/* Tells what was not kept. */
void swi_flat_end(swi_flat *flat);

#endif
