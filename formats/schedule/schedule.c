/* The schedule format: its descriptor, and which bytes need quotes. */
#include "formats/schedule/schedule.h"

#include <string.h>

bool swi_schedule_bare(unsigned char byte) {
    return byte > ' ' && byte != 0x7F && !strchr("\"\\=#:", byte);
}

static int probe(const char *bytes, size_t length) {
    static const char start[] = "stripwright schedule";
    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        length -= 3;
    }
    return length >= sizeof start - 1 && memcmp(bytes, start, sizeof start - 1) == 0 ? 100 : 0;
}

static const char *const extensions[] = {".sched", NULL};

const sw_format swi_format_schedule = {
    .name = "schedule",
    .extensions = extensions,
    .summary = "lossless text of a circuit, a line a part, pin and node",
    .standard = "",
    .keeps = "everything of a circuit",
    .group = SW_GROUP_CIRCUIT,
    .probe = probe,
    .read_circuit = swi_schedule_read,
    .write = swi_schedule_write,
};
