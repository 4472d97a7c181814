/* tests/lib/corpus.h: the files of a folder of the source tree, by name. */
#ifndef TEST_CORPUS_H
#define TEST_CORPUS_H

#include <stddef.h>

/* Calls back with the path of each file whose name has that ending, in order of
 * names; returns how many there are.  The folder is below SW_SRCDIR. */
size_t test_corpus(const char *folder, const char *ending, void (*each)(const char *, void *),
                   void *user);

#endif
