/* stripwright/papers.h: what papers say that other programs may ask too.
 *
 * Cautions: stripboard is for extra-low voltage.  The limits are data with their sources
 * (src/papers/caution.c).
 */
#ifndef STRIPWRIGHT_PAPERS_H
#define STRIPWRIGHT_PAPERS_H

#include <stripwright/board.h>

/* Clearance in mm that outer conductors without coating want between them at so many
 * volts (direct, or the peak of alternating ones): IPC-2221 table 6-1, column B2. */
SW_API double sw_clearance_needed(double volts);
/* Greatest volts, of the table's steps, that a gap in mm is good for; 0 when for none. */
SW_API double sw_clearance_volts(double gap_mm);
/* Amperes that make an outer copper track of this width and thickness warmer by `rise`
 * kelvins: IPC-2221, I = 0.048 · rise^0.44 · A^0.725, A in square mils. */
SW_API double sw_track_current(double width_mm, double thickness_mm, double rise);

/* Stripboard as the cautions take it to be, mm. */
#define SW_STRIP_WIDEST_MM 2.3      /* of the strips sold the widest has the least gap */
#define SW_STRIP_NET_MM 1.0         /* a 2.0 mm strip beside a 1.0 mm hole */
#define SW_STRIP_THICKNESS_MM 0.035
#define SW_STRIP_RISE 10.0          /* kelvins */

/* Adds a warning for each thing about the voltages and currents that stripboard, or a
 * person, is not good for: rails beyond extra-low voltage (`caution-voltage`), a source
 * that looks like the mains (`caution-mains`), neighbouring strips or segments with more
 * volts between them than the gap is good for (`caution-gap`), a source of more current
 * than a strip's net width takes (`caution-current`).  Only what is stated is known: volts
 * of the fitted circuit's rails, values of the netlist's sources.  netlist and plan may be
 * NULL.  SW_OK, whatever was added; SW_SYSTEM when memory is out. */
SW_API sw_status sw_cautions(const sw_circuit *netlist, const sw_circuit *fitted, const sw_plan *plan,
                             const sw_library *library, sw_diags *diags);

/* ---- pieces from stock ---- */

/* What a board yields when it is cut into pieces of one size, all lying the same way (the
 * strips must run along the piece).  Stock is scored along a line of holes and snapped, and
 * each snap line loses its line of holes; a piece that ends with the board needs none. */
typedef struct sw_stock_cut {
    uint32_t down, along;          /* pieces side by side across and along the strips */
    uint32_t pieces;               /* down × along; 0 when the board is too small */
    int strips_left, columns_left; /* beyond the pieces and the snap line behind them; the
                                      whole board when it yields nothing */
} sw_stock_cut;
SW_API sw_stock_cut sw_stock_yield(const sw_stock *stock, int strips, int columns);

/* What everybody should read before work, sentence by sentence; NULL beyond the last. */
SW_API const char *sw_caution_text(size_t index);
/* Whether the sentence matters for a job in which a piece is cut from a board, and strips are cut. */
SW_API bool sw_caution_matters(size_t index, bool piece, bool cuts);

#endif
