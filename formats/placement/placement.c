/* formats/placement/placement.c: the placement file, a plan whole, as XML. */
#include "placement.h"

#include <string.h>

static bool has(const char *bytes, size_t length, const char *what) {
    size_t n = strlen(what);
    for (size_t i = 0; i + n <= length; i++)
        if (bytes[i] == what[0] && memcmp(bytes + i, what, n) == 0)
            return true;
    return false;
}

static int probe(const char *bytes, size_t length) {
    size_t head = length < 4096 ? length : 4096;
    if (memchr(bytes, '<', head) == NULL)
        return 0;
    if (has(bytes, head, SWI_PLACEMENT_NS))
        return 100;
    return has(bytes, head, "<stripboard") ? 80 : 0;
}

static const char *const extensions[] = {".placement.xml", ".xml", NULL};

const sw_format swi_format_placement = {
    .name = "placement",
    .extensions = extensions,
    .summary = "placement file: a plan whole, as XML",
    .standard = "XML 1.0, Namespaces in XML 1.0, RELAX NG (ISO/IEC 19757-2)",
    .keeps = "everything of a plan, and content of foreign namespaces",
    .group = SW_GROUP_PLAN,
    .probe = probe,
    .read_plan = swi_placement_read,
    .write = swi_placement_write,
};
