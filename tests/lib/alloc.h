/* tests/lib/alloc.h: lets a test make one allocation of the library fail.
 *
 * Test programs are linked so that the library's own calls of malloc, calloc,
 * realloc, aligned_alloc, strdup and strndup come here (the linker's --wrap); those inside
 * outside libraries do not.  The usual loop:
 *
 *     for (long n = 0;; n++) {
 *         test_alloc_fail(n);
 *         status = the_call(…);
 *         if (!test_alloc_reset()) break;   // the call needed no more than n
 *         assert_int_equal(status, SW_SYSTEM);
 *         …free what there is…
 *     }
 */
#ifndef TEST_ALLOC_H
#define TEST_ALLOC_H

#include <stdbool.h>

/* The n-th allocation from now (0: the next) returns NULL, the others work. */
void test_alloc_fail(long n);
/* Ends that; tells whether an allocation was made to fail. */
bool test_alloc_reset(void);
/* Allocations since test_alloc_fail, the failed one counted. */
long test_alloc_count(void);

#endif
