/* formats/partslist/partslist.h: the four forms of the list of what to order. */
#ifndef PARTSLIST_H
#define PARTSLIST_H

#include "papers/shopping.h"

typedef struct parts_list {
    const sw_document *document; /* the first board; others hang on it */
    const sw_write_options *options;
    const swi_buy *lines;
    size_t count;
} parts_list;

/* How often a board is built: its own copies times those of the whole list. */
uint32_t parts_copies(const sw_document *board, const sw_write_options *options);
/* Its title, or a word for it. */
const char *parts_title(const sw_document *board);

void parts_write_csv(const parts_list *list, sw_buf *out);
void parts_write_text(const parts_list *list, sw_buf *out);
void parts_write_html(const parts_list *list, sw_buf *out);
void parts_write_json(const parts_list *list, sw_buf *out);

#endif
