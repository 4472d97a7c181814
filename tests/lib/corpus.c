/* The files of a folder of the source tree. */
#include "tests/lib/corpus.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

size_t test_corpus(const char *folder, const char *ending, void (*each)(const char *, void *),
                   void *user) {
    const char *top = getenv("SW_SRCDIR");
    char path[4096];
    struct dirent **files = NULL;
    size_t count = 0, n = strlen(ending);
    snprintf(path, sizeof path, "%s/%s", top ? top : ".", folder);
    int found = scandir(path, &files, NULL, alphasort);
    for (int i = 0; i < found; i++) {
        size_t length = strlen(files[i]->d_name);
        if (length > n && strcmp(files[i]->d_name + length - n, ending) == 0) {
            snprintf(path, sizeof path, "%s/%s/%s", top ? top : ".", folder, files[i]->d_name);
            each(path, user);
            count++;
        }
        free(files[i]);
    }
    free(files);
    return count;
}
