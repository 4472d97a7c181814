/* formats/sexpr/sexpr.c: the descriptor of the netlist that an open schematic editor exports. */
#include "formats/sexpr/sexpr.h"

#include "base/text.h"

#include <string.h>

static int probe(const char *bytes, size_t length) {
    static const char word[] = "export";
    const size_t letters = sizeof word - 1;
    size_t at = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    while (at < length && swi_is_space(bytes[at]))
        at++;
    if (at == length || bytes[at++] != '(')
        return 0;
    while (at < length && swi_is_space(bytes[at]))
        at++;
    bool begins = length - at > letters && memcmp(bytes + at, word, letters) == 0;
    return begins && (swi_is_space(bytes[at + letters]) || bytes[at + letters] == '(') ? 100 : 0;
}

/* Decks are called so too; what is in the file decides. */
static const char *const extensions[] = {".net", NULL};

const sw_format swi_format_sexpr = {
    .name = "sexpr",
    .extensions = extensions,
    .summary = "netlist as an open schematic editor exports it: (export (version …",
    .standard = "",
    .keeps = "only read",
    .group = SW_GROUP_CIRCUIT,
    .probe = probe,
    .read_circuit = swi_sexpr_read,
};
