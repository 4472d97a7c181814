/* src/papers/shopping_extra.c: what has to be bought and is not in the circuit. */
#include "shopping_make.h"
#include "work.h"

#include "base/text.h"
#include <stripwright/papers.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- boards ---- */

static int compare_pieces(const void *left, const void *right) {
    const swi_piece *a = left, *b = right;
    return a->strips != b->strips ? b->strips - a->strips : b->columns - a->columns;
}

/* Pieces of one size are one kind, the widest first; a board that is built needs none. */
static size_t merge_pieces(swi_piece *pieces, size_t count) {
    size_t kept = 0;
    qsort(pieces, count, sizeof *pieces, compare_pieces);
    for (size_t i = 0; i < count; i++) {
        if (!pieces[i].copies)
            continue;
        if (kept && compare_pieces(&pieces[kept - 1], &pieces[i]) == 0)
            pieces[kept - 1].copies += pieces[i].copies;
        else
            pieces[kept++] = pieces[i];
    }
    return kept;
}

static void put_snap_lines(const swi_piece *one, const sw_stock *stock, sw_buf *note) {
    bool down = stock->strips > one->strips, along = stock->columns > one->columns;
    if (down) {
        char strip[8];
        sw_strip_write(one->strips, strip);
        sw_buf_printf(note, ", score along strip %s", strip);
    }
    if (along)
        sw_buf_printf(note, "%s column %d", down ? " and" : ", score along", one->columns + 1);
    if (down || along)
        sw_buf_puts(note, " (lost in snapping)");
}

static void put_piece(const swi_piece *one, const swi_stock_cut *cut, sw_buf *note) {
    if (one->copies > 1)
        sw_buf_printf(note, "%u pieces", (unsigned)one->copies);
    else
        sw_buf_puts(note, "piece");
    sw_buf_printf(note, " of %d strips × %d columns", one->strips, one->columns);
    if (!cut->stock) {
        sw_buf_puts(note, "; no listed size is large enough");
        return;
    }
    if (one->copies > 1 && cut->pieces > 1) { /* many lines to score: no names for them all */
        sw_stock_cut grid = sw_stock_yield(cut->stock, one->strips, one->columns);
        sw_buf_printf(note, "; one board yields %u (%u × %u): score along the line of holes after each "
                            "%d strips and %d columns (lost in snapping)",
                      (unsigned)grid.pieces, (unsigned)grid.down, (unsigned)grid.along, one->strips, one->columns);
        return;
    }
    put_snap_lines(one, cut->stock, note);
    if (cut->pieces > 1)
        sw_buf_printf(note, "; one board yields %u pieces", (unsigned)cut->pieces);
}

static bool add_board(swi_shopping *shopping, const swi_piece *one, const swi_stock_cut *cut) {
    swi_buy *line = swi_shopping_line(shopping, SWI_BUY_BOARD);
    if (!line)
        return false;
    line->quantity = cut->stock ? cut->boards : one->copies;
    line->device = "stripboard";
    sw_buf value = SW_BUF_INIT, note = SW_BUF_INIT;
    if (cut->stock)
        sw_buf_printf(&value, "%s holes", cut->stock->name);
    else
        sw_buf_printf(&value, "%d × %d holes", one->strips, one->columns);
    line->package = cut->stock ? cut->stock->note : "";
    put_piece(one, cut, &note);
    line->value = swi_shopping_keep(shopping, &value);
    line->note = swi_shopping_keep(shopping, &note);
    return line->value && line->note;
}

static bool add_shared_boards(swi_shopping *shopping, const swi_nest *nest) {
    swi_buy *line = swi_shopping_line(shopping, SWI_BUY_BOARD);
    if (!line)
        return false;
    sw_buf value = SW_BUF_INIT;
    sw_buf_printf(&value, "%s holes", nest->stock->name);
    line->quantity = nest->boards;
    line->device = "stripboard";
    line->package = nest->stock->note;
    line->note = nest->how;
    line->value = swi_shopping_keep(shopping, &value);
    return line->value != NULL;
}

/* Boards for all pieces: cut together where that takes less board than each size from
 * boards of its own. */
static bool add_boards(swi_shopping *shopping, const sw_library *library) {
    size_t count = merge_pieces(shopping->pieces, shopping->piece_count);
    uint64_t apart = 0;
    bool all = true;
    for (size_t i = 0; i < count; i++) {
        const swi_piece *one = &shopping->pieces[i];
        swi_stock_cut cut = swi_stock_choose(library, one->strips, one->columns, one->copies);
        all &= cut.stock != NULL;
        if (cut.stock)
            apart += (uint64_t)cut.boards * cut.stock->strips * cut.stock->columns;
    }
    swi_nest nest = {0};
    if (count > 1 && all && !swi_nest_choose(library, shopping->pieces, count, shopping->memory, &nest))
        return false;
    if (nest.stock && (uint64_t)nest.boards * nest.stock->strips * nest.stock->columns < apart)
        return add_shared_boards(shopping, &nest);
    for (size_t i = 0; i < count; i++) {
        const swi_piece *one = &shopping->pieces[i];
        swi_stock_cut cut = swi_stock_choose(library, one->strips, one->columns, one->copies);
        if (!add_board(shopping, one, &cut))
            return false;
    }
    return true;
}

/* ---- sockets, pins, wire ---- */

/* What the socket of that package is: NULL for a part that is soldered. */
static const sw_package *socketed(const swi_want *one, const sw_library *library) {
    const sw_package *package = one->has_socket ? NULL : sw_library_package(library, one->package);
    return package && package->form == SW_FORM_DIP ? package : NULL;
}

/* The socket for the ICs that are like the one at `first`; marks them. */
static bool add_socket(swi_shopping *shopping, const sw_package *package, size_t first, uint32_t *taken, uint32_t mark) {
    bool strips = swi_is_board_on_pins(package); /* two of them */
    const swi_want *one = &shopping->wants[first];
    swi_buy *line = swi_shopping_line(shopping, SWI_BUY_SOCKET);
    if (!line)
        return false;
    for (size_t k = first; k < shopping->want_count; k++) {
        if (taken[k] || shopping->wants[k].has_socket || !swi_equal_fold(shopping->wants[k].package, one->package))
            continue;
        taken[k] = mark;
        line->quantity += shopping->wants[k].copies * (strips ? 2 : 1);
    }
    const char *refs = swi_shopping_refs(shopping, taken, mark);
    if (!refs)
        return false;
    sw_buf value = SW_BUF_INIT, note = SW_BUF_INIT;
    sw_buf_printf(&value, "%d pins", package->pin_count / (strips ? 2 : 1));
    sw_buf_printf(&note, "for %s%s", refs, strips ? ", or cut from longer ones" : "");
    line->device = strips ? "socket strip" : "IC socket";
    line->package = strips ? "pitch 2.54 mm" : one->package;
    line->value = swi_shopping_keep(shopping, &value);
    line->note = swi_shopping_keep(shopping, &note);
    return line->value && line->note;
}

/* A line for each kind of socket, in the order in which the parts come. */
static bool add_sockets(swi_shopping *shopping, const sw_library *library) {
    uint32_t *taken = swi_arena_array(shopping->memory, shopping->want_count + 1, sizeof *taken);
    if (!taken)
        return false;
    for (size_t i = 0; i < shopping->want_count; i++) {
        const sw_package *package = taken[i] ? NULL : socketed(&shopping->wants[i], library);
        if (package && !add_socket(shopping, package, i, taken, (uint32_t)i + 1))
            return false;
    }
    return true;
}

static bool add_small_things(swi_shopping *shopping, int spare) {
    if (shopping->pins) {
        swi_buy *line = swi_shopping_line(shopping, SWI_BUY_PIN);
        if (!line)
            return false;
        line->quantity = swi_with_spare((double)shopping->pins, spare);
        line->device = "terminal pin";
        line->value = "1 mm";
        line->package = "PIN-1";
        line->note = "one for each wire that leaves the board";
    }
    if (shopping->wire > 0) {
        swi_buy *line = swi_shopping_line(shopping, SWI_BUY_WIRE);
        if (!line)
            return false;
        line->quantity = 10 * (uint64_t)ceil((double)swi_with_spare(shopping->wire, spare) / 10);
        line->device = "tinned copper wire";
        line->value = "mm";
        line->note = "for links, 0.6 mm thick; quantity is mm, 10 mm a link for bends and ends included";
    }
    return true;
}

bool swi_shopping_extras(swi_shopping *shopping, int spare, const sw_library *library) {
    return add_boards(shopping, library) && add_sockets(shopping, library) && add_small_things(shopping, spare);
}
