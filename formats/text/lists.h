/* formats/text/lists.h: the words around the drawing. */
#ifndef SWI_TEXT_LISTS_H
#define SWI_TEXT_LISTS_H

#include "papers/subject.h"

void swi_text_heading(const swi_subject *subject, sw_buf *out);
void swi_text_lists(const swi_subject *subject, sw_buf *out);

#endif
