/* formats/sexpr/sexpr.c: the descriptor of the netlist that an open schematic editor exports. */
#include "formats/sexpr/sexpr.h"

#include "base/text.h"

static int probe(const char *bytes, size_t length) {
    return swi_begins_list(bytes, length, "export") ? 100 : 0;
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
