/* EDIF 2 0 0, netlist view: the descriptor, and reading from end to end. */
#include "formats/edif/edif.h"

static int probe(const char *bytes, size_t length) {
    return swi_begins_list(bytes, length, "edif") ? 100 : 0;
}

sw_status swi_edif_read(const sw_input *input, const sw_read_options *options, sw_diags *diags,
                        sw_builder *builder) {
    swi_edif e = {.input = input, .options = options, .diags = diags, .builder = builder};
    bool done = swi_edif_new(&e) && swi_edif_check_map(&e) && swi_edif_parse(&e) &&
                swi_edif_link(&e);
    if (done) {
        uint32_t top = swi_edif_top(&e);
        done = top != SWI_EDIF_NONE && swi_edif_flatten(&e, top);
        swi_edif_tell_map(&e);
    }
    bool failed = e.failed;
    swi_edif_free(&e);
    return done ? SW_OK : failed ? SW_SYSTEM : SW_BAD_INPUT;
}

static const char *const extensions[] = {".edf", ".edif", ".edn", NULL};

const sw_format swi_format_edif = {
    .name = "edif",
    .extensions = extensions,
    .summary = "EDIF netlist, hierarchy flattened",
    .standard = "EDIF 2 0 0 (ANSI/EIA-548-1988), netlist view",
    .keeps = "parts, pins, nodes, rails, their properties, the title",
    .group = SW_GROUP_CIRCUIT,
    .hierarchy = true,
    .probe = probe,
    .read_circuit = swi_edif_read,
    .write = swi_edif_write,
};
