/* src/circuit/sheet.h: parts sheets from inside. */
#ifndef SWI_SHEET_H
#define SWI_SHEET_H

#include "base/arena.h"
#include <stripwright/circuit.h>

/* Cells of a row that fit decides by, in the order of the sheet's columns. */
typedef enum swi_cell_id {
    SWI_CELL_REF, SWI_CELL_DEVICE, SWI_CELL_PACKAGE, SWI_CELL_UNIT, SWI_CELL_PINS,
    SWI_CELL_VALUE, SWI_CELL_PLACE, SWI_CELL_OMIT, SWI_CELL_SUPPLY, SWI_CELL_COUNT
} swi_cell_id;

extern const char *const swi_cell_names[SWI_CELL_COUNT];
const char *swi_row_cell(const sw_row *row, swi_cell_id cell); /* never NULL */

struct sw_sheet {
    swi_arena *arena;
    sw_row *rows;
    size_t count, room;
};

sw_sheet *swi_sheet_new(void);
/* A row with every cell ""; NULL when memory is out.  Valid until the next. */
sw_row *swi_sheet_add(sw_sheet *sheet);

#endif
