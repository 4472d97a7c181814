/* Circuit tables: three descriptors of one reader and one writer. */
#include "formats/csv/csv.h"

#include "base/csv.h"
#include "base/text.h"

#include <string.h>

static swi_cell bare_cell(const char *from, const char *to) {
    while (from < to && (swi_is_space(*from) || *from == '"'))
        from++;
    while (to > from && (swi_is_space(to[-1]) || to[-1] == '"'))
        to--;
    return (swi_cell){from, (size_t)(to - from)};
}

/* The form that a header speaks of.  A table of holes has the columns of a pin
 * table and more. */
static swi_form form_of(const char *bytes, size_t length) {
    enum { MOST = 64, FAR = 4096 };
    swi_cell cells[MOST];
    int count = 0;
    size_t start = swi_csv_start(bytes, length);
    char delimiter = swi_csv_detect(bytes + start, length - start);
    const char *from = bytes + start, *end = bytes + (length - start > FAR ? start + FAR : length);
    for (const char *at = from; count < MOST; at++) {
        bool over = at == end || *at == '\n' || *at == '\r';
        if (!over && *at != delimiter)
            continue;
        cells[count++] = bare_cell(from, at);
        if (swi_equal_fold_n(cells[count - 1].text, cells[count - 1].length, "hole"))
            return SWI_FORM_NONE;
        if (over)
            break;
        from = at + 1;
    }
    swi_header header;
    swi_csv_header(&header, cells, count);
    return header.form;
}

/* Surer than a deck: a row of four words reads like an element, a node .x like a card. */
enum { TOLD_BY_HEADER = 95 };

static int probe_nodes(const char *bytes, size_t length) {
    return form_of(bytes, length) == SWI_FORM_NODES ? TOLD_BY_HEADER : 0;
}

static int probe_pins(const char *bytes, size_t length) {
    return form_of(bytes, length) == SWI_FORM_PINS ? TOLD_BY_HEADER : 0;
}

static int probe_parts(const char *bytes, size_t length) {
    return form_of(bytes, length) == SWI_FORM_PARTS ? TOLD_BY_HEADER : 0;
}

static sw_status read_nodes(const sw_input *input, const sw_read_options *options,
                            sw_diags *diags, sw_builder *builder) {
    (void)options;
    return swi_csv_read(SWI_FORM_NODES, input, diags, builder);
}

static sw_status read_pins(const sw_input *input, const sw_read_options *options,
                           sw_diags *diags, sw_builder *builder) {
    (void)options;
    return swi_csv_read(SWI_FORM_PINS, input, diags, builder);
}

static sw_status read_parts(const sw_input *input, const sw_read_options *options,
                            sw_diags *diags, sw_builder *builder) {
    (void)options;
    return swi_csv_read(SWI_FORM_PARTS, input, diags, builder);
}

static sw_status write_nodes(const sw_document *document, const sw_write_options *options,
                             sw_diags *diags, sw_buf *out) {
    return swi_csv_write(SWI_FORM_NODES, document, options, diags, out);
}

static sw_status write_pins(const sw_document *document, const sw_write_options *options,
                            sw_diags *diags, sw_buf *out) {
    return swi_csv_write(SWI_FORM_PINS, document, options, diags, out);
}

static sw_status write_parts(const sw_document *document, const sw_write_options *options,
                             sw_diags *diags, sw_buf *out) {
    return swi_csv_write(SWI_FORM_PARTS, document, options, diags, out);
}

static const char *const extensions[] = {".csv", NULL};

/* The first of the three is the one that a plain .csv is written in. */
const sw_format swi_format_pins = {
    .name = "pins",
    .extensions = extensions,
    .summary = "table with a row a pin: ref,pin,node,value,device,package",
    .standard = "RFC 4180",
    .keeps = "parts, pins, nodes, rails, their properties",
    .group = SW_GROUP_CIRCUIT,
    .probe = probe_pins,
    .read_circuit = read_pins,
    .write = write_pins,
};

const sw_format swi_format_nodes = {
    .name = "nodes",
    .extensions = extensions,
    .summary = "table with a row a node: node,pins; below it a table of parts",
    .standard = "RFC 4180",
    .keeps = "parts, pins, nodes, rails, properties of parts and nodes",
    .group = SW_GROUP_CIRCUIT,
    .probe = probe_nodes,
    .read_circuit = read_nodes,
    .write = write_nodes,
};

const sw_format swi_format_parts = {
    .name = "parts",
    .extensions = extensions,
    .summary = "table with a row a part: ref,value,device,package,pins",
    .standard = "RFC 4180",
    .keeps = "parts, pins, nodes, properties of parts",
    .group = SW_GROUP_CIRCUIT,
    .probe = probe_parts,
    .read_circuit = read_parts,
    .write = write_parts,
};
