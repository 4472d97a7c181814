/* formats/sheet/pages.h: the pages of the print sheet. */
#ifndef SWI_SHEET_PAGES_H
#define SWI_SHEET_PAGES_H

#include "papers/figure.h"
#include "papers/work.h"

typedef struct swi_sheet {
    const swi_subject *subject;
    const swi_work *work;
    sw_diags *diags;
    double width, height;  /* of the paper held upright, mm */
    const char *made_by;
    swi_scene **pages;
    size_t count, room;
    double y;              /* next free mm on the last page */
    bool failed;
} swi_sheet;

/* mm at all four edges that printers leave white. */
#define SWI_SHEET_MARGIN 10.0

/* The one sheet that most people use: both sides, key, cuts, links and nodes. */
void swi_sheet_overview(swi_sheet *sheet);
/* True to size, to lay on the board, with a ruler to check the printer by. */
void swi_sheet_true_size(swi_sheet *sheet);
/* As large as the paper takes, to read from. */
void swi_sheet_enlarged(swi_sheet *sheet);

/* A new page with its heading; NULL when memory is out. */
swi_scene *swi_sheet_page(swi_sheet *sheet, bool lying, const char *what);
/* Page numbers and maker at the foot of every page. */
void swi_sheet_feet(swi_sheet *sheet);
/* "2.4 : 1". */
const char *swi_sheet_scale_text(swi_scene *scene, double scale);

#endif
