/* src/circuit/bill.h: bills of materials as parts sheets. */
#ifndef SWI_BILL_H
#define SWI_BILL_H

#include "circuit/sheet.h"

/* Columns of a bill beside those that are cells of a row. */
enum { SWI_BILL_REFERENCES = SWI_CELL_COUNT, SWI_BILL_NOTHING };

/* What a column of that heading is: a swi_cell_id, SWI_BILL_REFERENCES or SWI_BILL_NOTHING. */
int swi_bill_column(const char *heading, size_t length);
/* Whether only a bill has a column of that heading: "Designator", not "part". */
bool swi_bill_is_certain(const char *heading, size_t length);

/* A list of references being taken apart; all zero in the beginning. */
typedef struct swi_bill_list {
    size_t at, from, length; /* the word in hand, and where the next begins */
    size_t letters;          /* of a run such as R5-R8: the letters, and the numbers to come; next > last: none */
    long next, last;
} swi_bill_list;
/* The next reference of "R1, R2 R5-R8" into `out`; false at the end. */
bool swi_bill_next(swi_bill_list *list, const char *text, char *out, size_t room);

#endif
