/* formats/probes/probes.c: the list of meter probes as CSV. */
#include "formats/formats.h"

#include "base/csv.h"
#include "base/fault.h"
#include "papers/probes.h"

static void put_number(sw_buf *out, uint32_t number, const char *none) {
    sw_buf text = SW_BUF_INIT;
    if (number)
        sw_buf_printf(&text, "%u", number);
    swi_csv_put(out, false, number ? text.bytes : none, false);
    out->failed = out->failed || text.failed;
    sw_buf_free(&text);
}

static void put_probe(sw_buf *out, uint32_t step, const swi_probe *probe, bool change, bool guard) {
    char from[12], to[12];
    sw_hole_write(probe->a, from);
    sw_hole_write(probe->b, to);
    sw_buf_printf(out, "%u", step);
    swi_csv_put(out, false, swi_probe_kind_name(probe->kind), guard);
    swi_csv_put(out, false, from, guard);
    swi_csv_put(out, false, probe->touch_a, guard);
    put_number(out, probe->node_a, "");
    swi_csv_put(out, false, to, guard);
    swi_csv_put(out, false, probe->touch_b, guard);
    put_number(out, probe->node_b, "");
    swi_csv_put(out, false, probe->expect, guard);
    swi_csv_put(out, false, probe->blind ? "look" : "meter", guard);
    swi_csv_put(out, false, probe->why, guard);
    if (change)
        swi_csv_put(out, false, probe->stood ? "no" : "yes", guard);
    swi_csv_end(out);
}

static sw_status write_probes(const sw_document *document, const sw_write_options *options, sw_diags *diags,
                              sw_buf *out) {
    bool guard = options && options->spreadsheet;
    if (!document->plan) {
        sw_diag_add(diags, SW_D_FORMAT_NEEDS, SW_NOWHERE, "the format probes needs a plan, and there is none");
        return SW_USAGE;
    }
    swi_subject *subject = swi_subject_new(document);
    swi_probe_list *list = subject ? swi_probes_of(subject) : NULL;
    sw_buf_printf(out, "step,kind,from,touch,node,to,touch_to,node_to,expect,by,why%s", document->built ? ",touched" : "");
    swi_csv_end(out);
    for (uint32_t i = 0; list && i < list->count; i++)
        put_probe(out, i + 1, &list->probes[i], document->built, guard);
    bool ok = list && !out->failed;
    swi_probes_free(list);
    swi_subject_free(subject);
    return ok ? SW_OK : SW_SYSTEM;
}

static const char *const extensions[] = {".probes.csv", NULL};

const sw_format swi_format_probes = {
    .name = "probes",
    .extensions = extensions,
    .summary = "meter probes that prove the copper before the ICs go in",
    .standard = "CSV per RFC 4180",
    .keeps = "nothing is read back",
    .group = SW_GROUP_PAPER,
    .write = write_probes,
};
