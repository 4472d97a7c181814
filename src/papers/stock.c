/* src/papers/stock.c: how many pieces a board yields.
 *
 * Stock is scored along a line of holes and snapped: each snap line loses it.  n pieces
 * of s strips side by side take n·s + (n − 1) strips, for the last may end with the
 * board; so n = (strips + 1) / (s + 1).
 */
#include "shopping.h"

#include <stripwright/papers.h>

/* Lines of holes beyond n pieces of `each` and the snap line behind them. */
static int left_over(int whole, int each) {
    int pieces = (whole + 1) / (each + 1), rest = whole - pieces * (each + 1);
    return rest > 0 ? rest : 0;
}

sw_stock_cut sw_stock_yield(const sw_stock *stock, int strips, int columns) {
    sw_stock_cut cut = {.strips_left = stock->strips, .columns_left = stock->columns};
    if (strips < 1 || columns < 1 || strips > stock->strips || columns > stock->columns)
        return cut;
    cut.down = ((uint32_t)stock->strips + 1) / ((uint32_t)strips + 1);
    cut.along = ((uint32_t)stock->columns + 1) / ((uint32_t)columns + 1);
    cut.pieces = cut.down * cut.along;
    cut.strips_left = left_over(stock->strips, strips);
    cut.columns_left = left_over(stock->columns, columns);
    return cut;
}

swi_stock_cut swi_stock_choose(const sw_library *library, int strips, int columns, uint32_t copies) {
    swi_stock_cut best = {0};
    uint64_t least = UINT64_MAX;
    for (size_t i = 0; library && i < sw_library_stock_count(library); i++) {
        const sw_stock *stock = sw_library_stock_at(library, i);
        sw_stock_cut cut = sw_stock_yield(stock, strips, columns);
        if (!cut.pieces)
            continue;
        uint32_t boards = (copies + cut.pieces - 1) / cut.pieces;
        uint64_t area = (uint64_t)boards * stock->strips * stock->columns;
        if (area > least || (area == least && boards >= best.boards))
            continue;
        least = area;
        best = (swi_stock_cut){stock, cut.pieces, boards, cut.strips_left, cut.columns_left};
    }
    return best;
}
