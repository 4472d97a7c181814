/* src/parts/stock.c: sizes of stripboard as they are sold. */
#include "library.h"

#include "base/fault.h"
#include "base/num.h"

#include <string.h>

static bool read_count(swi_csv_field cell, uint16_t *out) {
    char text[8];
    long value;
    if (cell.length >= sizeof text)
        return false;
    memcpy(text, cell.text, cell.length);
    text[cell.length] = '\0';
    if (!swi_int_read(text, 1, 1000, &value))
        return false;
    *out = (uint16_t)value;
    return true;
}

sw_status swi_stock_row(const swi_table *table) {
    sw_library *library = table->library;
    sw_stock *stock = swi_arena_alloc(library->arena, sizeof *stock);
    if (!stock)
        return swi_out_of_memory(table->diags);
    swi_csv_field name = swi_cell(table, SWI_NAME), note = swi_cell(table, SWI_NOTE),
                  source = swi_cell(table, SWI_SOURCE), strips = swi_cell(table, SWI_STRIPS),
                  holes = swi_cell(table, SWI_HOLES);
    if (!name.length || !read_count(strips, &stock->strips) || !read_count(holes, &stock->columns)) {
        sw_diag_add(table->diags, SW_D_STOCK_FIELD, table->row,
                    "a size of stripboard wants a name, and strips and holes from 1 to 1000");
        return SW_BAD_INPUT;
    }
    stock->name = swi_keep(library, name.text, name.length);
    stock->note = swi_keep(library, note.text, note.length);
    stock->source = swi_keep(library, source.text, source.length);
    if (!stock->name || !stock->note || !stock->source)
        return swi_out_of_memory(table->diags);
    uint32_t slot;
    return swi_shelf_put(&library->stock, stock->name, stock, &slot, table->diags);
}

size_t sw_library_stock_count(const sw_library *library) {
    return library->stock.count;
}

const sw_stock *sw_library_stock_at(const sw_library *library, size_t index) {
    return index < library->stock.count ? library->stock.sorted[index] : NULL;
}
