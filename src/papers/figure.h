/* src/papers/figure.h: the drawing of a plan, one side of the board.
 *
 * The board stands on squared paper of 2.54 mm squares; paper lines run midway between
 * holes.  Everything is placed in board mm (middle of hole A1 = 0, 0, seen from the side
 * that is drawn) and moved to the sheet when it goes into the scene.
 */
#ifndef SWI_FIGURE_H
#define SWI_FIGURE_H

#include "floor.h"
#include "scene.h"
#include "subject.h"

typedef struct swi_figure_options {
    bool copper;         /* the copper side, turned like a page */
    const char *prefix;  /* before ids; NULL: none */
} swi_figure_options;

typedef struct swi_figure {
    const swi_subject *subject;
    swi_scene *scene;
    sw_diags *diags;     /* or NULL */
    swi_floor field;
    swi_figure_options options;
    double width, height; /* of the sheet */
    double x, y;         /* of hole A1 (component side) or of strip A's leftmost hole */
    double left_wide, right_wide; /* mm beyond the letters, for names of wires */
    sw_box hang;         /* mm by which edge names stand further out at each side, for bodies
                            that hang over it */
    uint32_t crowded, left_out;   /* labels */
} swi_figure;

/* The whole drawing as a scene of its own: one side's sheet, or both, one below the other
 * (ids of the second then begin with "copper-").  prefix goes before all ids; NULL: none.
 * NULL when memory is out; `diags` may be NULL.  Labels that found no good place are
 * reported (`paper-label-crowded`). */
swi_scene *swi_figure_new(const swi_subject *subject, sw_side side, const char *prefix, sw_diags *diags);
/* A side's whole sheet (paper, board, legend, title block) as part of another scene, its
 * corner at x, y; and its size at 1:1 (`scene` only lends memory). */
void swi_figure_sheet_into(swi_scene *scene, const swi_subject *subject, const swi_figure_options *options,
                           double x, double y, double scale, sw_diags *diags);
void swi_figure_sheet_size(swi_scene *scene, const swi_subject *subject, bool copper, double *width,
                           double *height);

/* Size in mm that the bare board with its edge names takes, and where in it hole A1 (or
 * the leftmost of strip A) is. */
sw_box swi_figure_extent(const swi_subject *subject, bool copper);
/* Draws the bare board into a scene, the extent's corner at x, y.  window, if not NULL:
 * only this part is seen, in mm from the extent's corner, its own corner at x, y. */
void swi_figure_into(swi_scene *scene, const swi_subject *subject, const swi_figure_options *options,
                     double x, double y, double scale, const sw_box *window, sw_diags *diags);

/* ---- parts of the drawing, each in its own file ---- */

/* Board mm of a column's holes on the side that is drawn. */
double swi_board_x(const swi_figure *figure, double column);
/* Middle of a hole on the sheet, for the side drawn. */
double swi_figure_x(const swi_figure *figure, double column);
double swi_figure_y(const swi_figure *figure, double strip);

void swi_draw_sheet(swi_figure *figure, double board_bottom); /* paper, frame */
void swi_draw_edges(swi_figure *figure);
void swi_draw_legend(swi_figure *figure, double x, double y, double bottom);
/* mm that the legend with its list of wires takes. */
double swi_legend_height(const swi_figure *figure);
void swi_draw_title_block(swi_figure *figure, double x, double y, double width);
void swi_draw_findings(swi_figure *figure, double x, double y, double width);
double swi_findings_height(const swi_figure *figure, double width);
/* Text keeps off the rings: they are added to the field before it is placed. */
void swi_add_fault_rings(swi_figure *figure);
void swi_draw_fault_rings(swi_figure *figure);

/* figure_change.c: a change of a board that is built. */
/* The style of what is new or stays; as it is when all is to be built. */
const char *swi_change_style(const swi_figure *figure, const char *style, bool is_new);
/* Opens a group when the item stands already: the caller closes it then. */
bool swi_open_pale(swi_figure *figure, uint32_t item);
bool swi_rings_cut(const swi_figure *figure, uint32_t cut); /* a new one */
void swi_draw_cut_ring(swi_figure *figure, uint32_t cut);
/* Text keeps off crosses and rings; what comes off. */
void swi_add_change(swi_figure *figure);
void swi_draw_change(swi_figure *figure);

void swi_draw_component_side(swi_figure *figure);
void swi_draw_copper_side(swi_figure *figure);
void swi_draw_body(swi_figure *figure, uint32_t item);
/* The curved side of a TO-92, which is no side of its box: text keeps off it. */
void swi_add_curve(swi_figure *figure, const swi_item *item);
void swi_draw_labels(swi_figure *figure);
void swi_draw_node_numbers(swi_figure *figure);
void swi_draw_wire_names(swi_figure *figure);

/* Symbol of a lead: "#s-lead", "#s-pin1", …. */
const char *swi_lead_symbol(const swi_figure *figure, const swi_item *item, uint32_t lead);
bool swi_is_ic(const swi_item *item);
/* Whether the name of this terminal pin stands outside the board, at the edge where its
 * wire leaves: -1 left, 1 right, 0 not.  It does when the pin is in the outer three columns
 * and no other wire of its strip is nearer to the edge. */
int swi_wire_edge(const swi_subject *subject, const swi_item *item);

#endif
