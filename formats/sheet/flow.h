/* formats/sheet/flow.h: lists that run through columns and pages. */
#ifndef SWI_SHEET_FLOW_H
#define SWI_SHEET_FLOW_H

#include "papers/scene.h"
#include "papers/work.h"

#define SWI_FLOW_CELLS 6

typedef struct swi_cell {
    double x;          /* mm from the column's left */
    bool tick;         /* a box to tick before the text */
    swi_face face;
    const char *text;
} swi_cell;

typedef struct swi_flow_line {
    bool heading;
    int count;
    swi_cell cells[SWI_FLOW_CELLS];
} swi_flow_line;

typedef struct swi_flow {
    swi_flow_line *lines;
    size_t count, room, next; /* next: the first not yet put */
    swi_arena *memory;
    bool failed;
} swi_flow;

bool swi_flow_start(swi_flow *flow);
void swi_flow_end(swi_flow *flow);
/* Cuts, links, wires and nodes; `width` of a column. */
void swi_flow_cuts(swi_flow *flow, const swi_subject *subject, const swi_work *work);
void swi_flow_links(swi_flow *flow, const swi_subject *subject, const swi_work *work);
void swi_flow_wires(swi_flow *flow, const swi_subject *subject, const swi_work *work);
void swi_flow_nodes(swi_flow *flow, const swi_subject *subject, double width);
/* Puts lines into so many columns of the region until it is full; true when all are put. */
bool swi_flow_put(swi_flow *flow, swi_scene *scene, sw_box region, int columns);

/* Whether all of it surely goes into the region. */
bool swi_flow_fits(const swi_flow *flow, sw_box region, int columns);

#endif
