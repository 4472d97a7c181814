/* src/base/version.c: the version of the library that runs. */
#include <config.h>
#include <stripwright/base.h>

const char *sw_version(void) {
    return PACKAGE_VERSION;
}
