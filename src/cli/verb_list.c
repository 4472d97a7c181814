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

/* "6 pieces (3 × 2), 5 strips and 2 columns left" */
static void put_yield(const sw_stock *stock, int strips, int columns, sw_buf *out) {
    sw_stock_cut cut = sw_stock_yield(stock, strips, columns);
    if (cut.pieces == 0)
        sw_buf_puts(out, "too small");
    else
        sw_buf_printf(out, "%u piece%s (%u × %u), %d strip%s and %d column%s left", cut.pieces,
                      CLI_S(cut.pieces), cut.down, cut.along, cut.strips_left,
                      CLI_S(cut.strips_left), cut.columns_left, CLI_S(cut.columns_left));
}

static void list_stock(const cli_job *job, sw_buf *out) {
    int strips, columns;
    piece_read(job, &strips, &columns); /* run has asked whether it is right */
    if (strips)
        sw_buf_printf(out, "Pieces of %d strips × %d columns; a line of holes is lost where a board is snapped\n",
                      strips, columns);
    for (size_t i = 0; i < sw_library_stock_count(job->library); i++) {
        const sw_stock *s = sw_library_stock_at(job->library, i);
        sw_buf_printf(out, "%-10s %3u strips × %3u columns  ", s->name, s->strips, s->columns);
        if (strips)
            put_yield(s, strips, columns, out);
        else
            sw_buf_printf(out, "%s  [%s]", s->note, s->source);
        sw_buf_putc(out, '\n');
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

static void tell_folders(const cli_job *job) {
    const cli_values *tables = &job->args->given[OPT_LIBRARY];
    for (size_t i = job->args->defaults[OPT_LIBRARY]; i < tables->count; i++)
        if (is_folder(tables->items[i]))
            sw_diag_add(job->diags, SW_D_OPTION_UNUSED, SW_NOWHERE,
                        "--library %s has no effect here: a folder of footprints is looked into for what a circuit asks for",
                        tables->items[i]);
}

static sw_status run(cli_job *job) {
    const char *name = job->args->files.items[0];
    int strips, columns;
    if (args_has(job->args, OPT_PIECE) && strcmp(name, "stock") != 0)
        return usage(job, "--piece goes with list stock, not with list %s", name);
    if (piece_read(job, &strips, &columns) != SW_OK)
        return SW_USAGE;
    tell_folders(job);
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
    "packages, devices or sizes of stripboard of yours.  stock --piece SxC says how\n"
    "many such pieces each size yields and what is left.",
    1, 1, run};
