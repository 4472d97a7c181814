/* tests/lib/page.h: HTML pages, held against the rules that can be checked without a browser. */
#ifndef TEST_PAGE_H
#define TEST_PAGE_H

#include <stddef.h>

/* Fails the test unless the page is well-formed XML as well (so that nothing is open or ill
 * nested), has only elements of HTML (WHATWG, HTML Living Standard, index of elements) and,
 * within svg, of SVG, gives no id twice, and refers by id to nothing that is not there. */
void test_page(const char *name, const char *bytes, size_t length);

#endif
