/* formats/holes/holes.c: the hole list, a plan as people type it. */
#include "holes.h"

#include "base/text.h"

#include <string.h>

const char *const swi_holes_columns[SWI_HOLES_COLUMNS] = {"kind", "ref", "pin",
                                                          "node", "hole", "to"};

/* The first line has the words kind and hole as cells of their own. */
static bool has_word(const char *line, size_t length, const char *word) {
    for (size_t at = 0; at < length;) {
        size_t end = at;
        while (end < length && strchr(",;\t\"\r", line[end]) == NULL)
            end++;
        if (swi_equal_fold_n(line + at, end - at, word))
            return true;
        at = end + 1;
    }
    return false;
}

static int probe(const char *bytes, size_t length) {
    if (length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        length -= 3;
    }
    const char *end = memchr(bytes, '\n', length);
    size_t line = end == NULL ? length : (size_t)(end - bytes);
    return has_word(bytes, line, "kind") && has_word(bytes, line, "hole") ? 90 : 0;
}

static const char *const aliases[] = {"hole-list", NULL};
static const char *const extensions[] = {".holes.csv", NULL};

const sw_format swi_format_holes = {
    .name = "holes",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "hole list: a plan as rows of leads, cuts and links, typed as easily as written",
    .standard = "RFC 4180",
    .keeps = "size, leads with their nodes, cuts, links, keep-outs; the rest comes from the circuit",
    .group = SW_GROUP_PLAN,
    .probe = probe,
    .read_plan = swi_holes_read,
    .write = swi_holes_write,
};
