/* src/cli/verb_list.c: what the program knows. */
#include <string.h>
#include "cli.h"

static void list_formats(const cli_job *job, sw_buf *out) {
    (void)job;
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *f = sw_format_at(i);
        sw_buf_printf(out, "%-10s %s%s  ", f->name, f->read_circuit || f->read_plan ? "r" : "-", f->write ? "w" : "-");
        sw_buf_printf(out, "%s", f->summary);
        for (size_t k = 0; f->extensions && f->extensions[k]; k++)
            sw_buf_printf(out, "%s%s", k ? " " : "  (", f->extensions[k]);
        sw_buf_puts(out, f->extensions && f->extensions[0] ? ")\n" : "\n");
    }
}

static void list_packages(const cli_job *job, sw_buf *out) {
    for (size_t i = 0; i < sw_library_package_count(job->library); i++) {
        const sw_package *p = sw_library_package_at(job->library, i);
        sw_buf_printf(out, "%-14s %2u pins  ", p->name, p->pin_count);
        sw_buf_real(out, p->along_mm, 2);
        sw_buf_puts(out, " × ");
        sw_buf_real(out, p->across_mm, 2);
        sw_buf_puts(out, " × ");
        sw_buf_real(out, p->height_mm, 2);
        sw_buf_printf(out, " mm  %s\n", p->source);
    }
}

static void list_devices(const cli_job *job, sw_buf *out) {
    for (size_t i = 0; i < sw_library_device_count(job->library); i++) {
        const sw_device *d = sw_library_device_at(job->library, i);
        sw_buf_printf(out, "%-12s %-10s", d->name, d->package);
        for (unsigned k = 0; k < d->pin_count; k++)
            sw_buf_printf(out, " %s=%s", d->pins[k].number, d->pins[k].name);
        sw_buf_printf(out, "  [%s]%s\n", d->source, d->unsafe_order ? "  makers differ: check yours" : "");
    }
}

static void list_stock(const cli_job *job, sw_buf *out) {
    for (size_t i = 0; i < sw_library_stock_count(job->library); i++) {
        const sw_stock *s = sw_library_stock_at(job->library, i);
        sw_buf_printf(out, "%-10s %3u strips × %3u columns  %s  [%s]\n", s->name, s->strips, s->columns, s->note,
                      s->source);
    }
}

static void list_diagnostics(const cli_job *job, sw_buf *out) {
    (void)job;
    for (int i = 0; i < SW_DIAG_COUNT; i++)
        sw_buf_printf(out, "%-28s %s\n", sw_diag_name((sw_diag_id)i), sw_severity_name(sw_diag_severity((sw_diag_id)i)));
}

static const struct list {
    const char *name;
    void (*put)(const cli_job *job, sw_buf *out);
} lists[] = {
    {"formats", list_formats}, {"packages", list_packages}, {"devices", list_devices},
    {"stock", list_stock}, {"diagnostics", list_diagnostics},
};

static sw_status run(cli_job *job) {
    const char *name = job->args->files.items[0];
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        if (strcmp(name, lists[i].name) != 0)
            continue;
        sw_buf text = SW_BUF_INIT;
        lists[i].put(job, &text);
        sw_status status = job_write_text(job, &text, NULL);
        sw_buf_free(&text);
        return status;
    }
    return usage(job, "list knows formats, packages, devices, stock and diagnostics, not '%s'", name);
}

const cli_verb verb_list = {
    "list", V_LIST, "formats|packages|devices|stock|diagnostics", "what formats, packages, devices, boards and findings there are",
    "Lists what the program knows, one a line.  --library FILE adds a table of\n"
    "packages or devices of yours.",
    1, 1, run};
