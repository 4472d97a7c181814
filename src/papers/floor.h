/* src/papers/floor.h: what stands where on a drawing, and what it costs to put text
 * there.
 *
 * Lengths are mm from the middle of hole A1.  A text's box is judged against everything
 * near it: other text, leads, cuts, links and rings 1000 each, the outline of a body or a wire
 * 400, being within another part's body 65, a number without an owner 40 (12 in an IC,
 * where there is room), a hole 45, a strip 6.  The lowest sum wins; the caller adds what distance is worth.
 */
#ifndef SWI_FLOOR_H
#define SWI_FLOOR_H

#include "scene.h"
#include "subject.h"

typedef enum swi_thing_kind {
    SWI_THING_TEXT,
    SWI_THING_DISC,    /* lead, link end, cut: the box of a disc */
    SWI_THING_BAR,     /* link, knife cut, cathode bar: a solid box */
    SWI_THING_LINE,    /* wire, edge: a solid box that may be crossed at need */
    SWI_THING_BODY,    /* box; its outline and its inside */
    SWI_THING_ROUND,   /* the same for a disc */
    SWI_THING_RING,    /* round a finding; only its number may be in it */
    SWI_THING_WISH     /* where a number would like to be later */
} swi_thing_kind;

typedef struct swi_thing {
    swi_thing_kind kind;
    sw_box box;
    uint32_t owner;    /* index of the item, SW_NONE */
    bool roomy;        /* BODY: an IC's */
} swi_thing;

/* Owners that are no items: rings round findings and their numbers; the board's edges and
 * what stands beyond them, which a body that hangs over covers. */
#define SWI_FINDINGS (SW_NONE - 1)
#define SWI_EDGES (SW_NONE - 2)

typedef struct swi_floor {
    const swi_subject *subject;
    swi_thing *things;
    size_t count, room;
    size_t *near;      /* things near the place in focus */
    size_t near_count, near_room;
    sw_box focus;
    unsigned char *hidden; /* strips × columns: 1 when a body covers the hole from sight */
    unsigned char *taken;  /* strips × columns: half the width, in hundredths of a
                              mm, of the cut, lead or link end there, else 0 */
    bool failed;
} swi_floor;

bool swi_floor_start(swi_floor *field, const swi_subject *subject);
void swi_floor_end(swi_floor *field);
void swi_floor_add(swi_floor *field, swi_thing thing);
/* Takes back what was added last. */
void swi_floor_drop(swi_floor *field);
/* From now on boxes inside `box` will be asked about. */
void swi_floor_focus(swi_floor *field, sw_box box);
/* What it costs to put text of this owner in the box. */
double swi_floor_cost(const swi_floor *field, sw_box box, uint32_t owner);

sw_box swi_box_grown(sw_box box, double by);
bool swi_box_within(sw_box inner, sw_box outer);
/* Whether all of the box lies in the disc that outer is the box of. */
bool swi_box_within_disc(sw_box inner, sw_box outer);

#endif
