/* src/base/limits.c: the stated maxima. */
#include <stripwright/base.h>

void sw_limits_default(sw_limits *limits) {
    *limits = (sw_limits){
        .file_bytes = (size_t)1 << 30,
        .nesting = 64,
        .expansion = 10000,
        .parts = 4000000,
        .pins_per_part = 4096,
        .nodes = 8000000,
        .strips = 500,
        .columns = 500,
        .diagnostics = 100,
    };
}
