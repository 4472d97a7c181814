/* src/circuit/bill.h: bills of materials as parts sheets. */
#ifndef SWI_BILL_H
#define SWI_BILL_H

#include "base/csv.h"
#include "circuit/sheet.h"

/* Columns of a bill beside those that are cells of a row. */
enum { SWI_BILL_REFERENCES = SWI_CELL_COUNT, SWI_BILL_NOTHING };

/* What a column of that heading is: a swi_cell_id, SWI_BILL_REFERENCES or SWI_BILL_NOTHING. */
int swi_bill_column(const char *heading, size_t length);

/* The next reference of a list, "R1, R2 R5-R8": false at its end.  `at` moves on, `left` counts what is to
 * come of a run; both zero in the beginning.  The reference is in `out`. */
typedef struct swi_bill_list {
    size_t at, from, length; /* the word that is taken apart: its first reference */
    long next, last;         /* of a run: numbers; next > last: none */
    size_t letters;
} swi_bill_list;
bool swi_bill_next(swi_bill_list *list, const char *text, char *out, size_t room);

#endif
