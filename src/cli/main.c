/* src/cli/main.c: the command. */
#include <stdio.h>
#include <string.h>

#include <stripwright/base.h>

static const char usage[] = "usage: stripwright VERB [ARGUMENTS]\n"
                            "       stripwright --help | --version\n";

int main(int argc, char **argv) {
    if (argc == 2 && strcmp(argv[1], "--version") == 0) {
        printf("stripwright %s\n", sw_version());
        return SW_OK;
    }
    if (argc == 2 && strcmp(argv[1], "--help") == 0) {
        fputs(usage, stdout);
        return SW_OK;
    }
    fputs(usage, stderr);
    return SW_USAGE;
}
