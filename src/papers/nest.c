/* src/papers/nest.c: pieces of several sizes from boards of one size.
 *
 * A board is scored from edge to edge into bands of strips, then each band into pieces, and
 * a piece lower than its band is scored once more: cuts that a knife and a rule can make.
 * The widest pieces open the bands and lower ones fill what is left (first fit, the highest
 * first).  Every score loses a line of holes, but not at the board's edge: so a board counts
 * as one line longer and wider, and each piece as well.
 */
#include "shopping.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

typedef struct band {
    uint32_t board;
    int strips;      /* of the piece that opened it */
    int room;        /* columns still free, with the one beyond the edge */
} band;

typedef struct cell {
    uint32_t band, piece, count;
} cell;

typedef struct nesting {
    const sw_stock *stock;
    band *bands;
    size_t band_count, band_room;
    cell *cells;
    size_t cell_count, cell_room;
    int *left;       /* for each board: strips still free, with the one beyond the edge */
    size_t board_count, board_room;
} nesting;

/* As many pieces as the band holds. */
static bool fill_band(nesting *n, size_t index, const swi_piece *piece, uint32_t number, uint32_t *wanted) {
    band *one = &n->bands[index];
    uint32_t fits = (uint32_t)(one->room / (piece->columns + 1));
    fits = fits < *wanted ? fits : *wanted;
    if (fits == 0 || one->strips < piece->strips)
        return true;
    if (!SWI_GROW(n->cells, n->cell_room, n->cell_count + 1))
        return false;
    n->cells[n->cell_count++] = (cell){(uint32_t)index, number, fits};
    one->room -= (int)fits * (piece->columns + 1);
    *wanted -= fits;
    return true;
}

/* A band of so many strips on the first board with room, or on a new one. */
static bool open_band(nesting *n, int strips) {
    size_t board = 0;
    while (board < n->board_count && n->left[board] < strips + 1)
        board++;
    if (board == n->board_count) {
        if (!SWI_GROW(n->left, n->board_room, n->board_count + 1))
            return false;
        n->left[n->board_count++] = n->stock->strips + 1;
    }
    if (!SWI_GROW(n->bands, n->band_room, n->band_count + 1))
        return false;
    n->left[board] -= strips + 1;
    n->bands[n->band_count++] = (band){(uint32_t)board, strips, n->stock->columns + 1};
    return true;
}

static bool place(nesting *n, const swi_piece *pieces, size_t count) {
    for (size_t i = 0; i < count; i++) {
        uint32_t wanted = pieces[i].copies;
        for (size_t k = 0; k < n->band_count; k++)
            if (!fill_band(n, k, &pieces[i], (uint32_t)i, &wanted))
                return false;
        while (wanted)
            if (!open_band(n, pieces[i].strips) || !fill_band(n, n->band_count - 1, &pieces[i], (uint32_t)i, &wanted))
                return false;
    }
    return true;
}

/* ---- in words ---- */

/* "10 strips (2 of 10 × 22, 1 of 8 × 15); 8 strips (…)" */
static void put_board(const nesting *n, const swi_piece *pieces, uint32_t board, sw_buf *out) {
    bool first = true;
    for (size_t b = 0; b < n->band_count; b++) {
        if (n->bands[b].board != board)
            continue;
        sw_buf_printf(out, "%s%d strips (", first ? "" : ", ", n->bands[b].strips);
        first = false;
        bool begun = false;
        for (size_t c = 0; c < n->cell_count; c++) {
            if (n->cells[c].band != b)
                continue;
            const swi_piece *piece = &pieces[n->cells[c].piece];
            sw_buf_printf(out, "%s%u of %d × %d", begun ? ", " : "", (unsigned)n->cells[c].count, piece->strips,
                          piece->columns);
            begun = true;
        }
        sw_buf_putc(out, ')');
    }
}

static void put_run(uint32_t count, const sw_buf *pattern, sw_buf *out) {
    if (pattern->bytes)
        sw_buf_printf(out, "; %u board%s in bands of %s", (unsigned)count, SWI_S(count), pattern->bytes);
}

/* Boards that are cut alike are said once. */
static const char *in_words(const nesting *n, const swi_piece *pieces, size_t count, swi_arena *memory) {
    sw_buf out = SW_BUF_INIT, last = SW_BUF_INIT;
    uint32_t run = 0;
    for (size_t i = 0; i < count; i++)
        sw_buf_printf(&out, "%s%u of %d × %d", i ? ", " : "pieces of strips × columns: ", (unsigned)pieces[i].copies,
                      pieces[i].strips, pieces[i].columns);
    for (uint32_t board = 0; board < n->board_count; board++) {
        sw_buf next = SW_BUF_INIT;
        put_board(n, pieces, board, &next);
        out.failed |= next.failed;
        if (run && next.bytes && strcmp(next.bytes, last.bytes) != 0) {
            put_run(run, &last, &out);
            run = 0;
        }
        run++;
        sw_buf_free(&last);
        last = next;
        if (next.failed)
            break;
    }
    put_run(run, &last, &out);
    sw_buf_puts(&out, "; a line of holes is lost at each score");
    const char *text = out.failed ? NULL : swi_arena_text(memory, out.bytes, out.length);
    sw_buf_free(&last);
    sw_buf_free(&out);
    return text;
}

static bool nest_on(const sw_stock *stock, const swi_piece *pieces, size_t count, swi_arena *memory, swi_nest *best) {
    nesting n = {.stock = stock};
    uint64_t area = (uint64_t)stock->strips * stock->columns;
    bool good = place(&n, pieces, count);
    if (good && (!best->stock ||
                 n.board_count * area < (uint64_t)best->boards * best->stock->strips * best->stock->columns)) {
        *best = (swi_nest){stock, (uint32_t)n.board_count, in_words(&n, pieces, count, memory)};
        good = best->how != NULL;
    }
    free(n.bands);
    free(n.cells);
    free(n.left);
    return good;
}

bool swi_nest_choose(const sw_library *library, const swi_piece *pieces, size_t count, swi_arena *memory,
                     swi_nest *best) {
    uint64_t all = 0;
    int strips = 0, columns = 0;
    *best = (swi_nest){0};
    for (size_t i = 0; i < count; i++) {
        all += pieces[i].copies;
        strips = pieces[i].strips > strips ? pieces[i].strips : strips;
        columns = pieces[i].columns > columns ? pieces[i].columns : columns;
    }
    for (size_t i = 0; library && all <= SWI_NEST_MOST && i < sw_library_stock_count(library); i++) {
        const sw_stock *stock = sw_library_stock_at(library, i);
        if (stock->strips >= strips && stock->columns >= columns &&
            !nest_on(stock, pieces, count, memory, best))
            return false;
    }
    return true;
}
