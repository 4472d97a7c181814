/* src/cli/job.c: the steps that verbs share. */
#include <limits.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>
#include "cli.h"

/* Where the project file gives the option and value that a complaint quotes. */
static sw_span complained_of(const cli_args *args, const char *text) {
    char option[48], value[200];
    for (size_t i = 0; i < args->project_count; i++) {
        const cli_default *given = &args->project[i];
        snprintf(option, sizeof option, "--%s ", given->option);
        snprintf(value, sizeof value, "'%s'", given->text);
        if (strstr(text, option) && strstr(text, value))
            return given->span;
    }
    return SW_NOWHERE;
}

sw_status usage(const cli_job *job, const char *format, ...) {
    char text[400];
    va_list list;
    va_start(list, format);
    vsnprintf(text, sizeof text, format, list);
    va_end(list);
    sw_diag_add(job->diags, SW_D_USAGE, complained_of(job->args, text), "%s", text);
    return SW_USAGE;
}

const char *file_base(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static sw_status treat_one(cli_job *job, const char *text) {
    static const struct { const char *name; sw_severity severity; } names[] = {
        {"quiet", SW_QUIET}, {"note", SW_NOTE}, {"warning", SW_WARNING}, {"error", SW_ERROR}};
    const char *equals = strchr(text, '=');
    char name[64];
    sw_diag_id id;
    if (!equals || (size_t)(equals - text) >= sizeof name)
        return usage(job, "--treat wants ID=SEVERITY, not '%s'", text);
    memcpy(name, text, (size_t)(equals - text));
    name[equals - text] = '\0';
    if (!sw_diag_find(name, &id))
        return usage(job, "there is no finding '%s'; stripwright list diagnostics names them", name);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(equals + 1, names[i].name) == 0)
            return sw_diags_treat(job->diags, id, names[i].severity)
                       ? SW_OK : usage(job, "'%s' is an error by nature and cannot be made less", name);
    return usage(job, "a severity is error, warning, note or quiet, not '%s'", equals + 1);
}

static sw_status load_tables(cli_job *job) {
    const cli_values *tables = &job->args->given[OPT_LIBRARY];
    sw_status status = SW_OK;
    for (size_t i = 0; i < tables->count && status == SW_OK; i++) {
        sw_input input;
        if (is_folder(tables->items[i]))
            continue; /* of footprints: looked into once it is known for what */
        status = sw_input_open(job->diags, tables->items[i], &input);
        if (status == SW_OK)
            status = sw_library_add(job->library, &input, job->diags);
        if (status == SW_NO_PLAN)
            status = SW_OK; /* a footprint that has no place on stripboard: told */
    }
    const char *sheet = args_text(job->args, OPT_PARTS);
    if (status == SW_OK && sheet) {
        sw_input input;
        status = sw_input_open(job->diags, sheet, &input);
        if (status == SW_OK)
            status = sw_sheet_read(&input, job->diags, &job->sheet);
    }
    return status;
}

sw_status job_start(cli_job *job, const cli_args *args, sw_diags *diags) {
    job->args = args;
    job->diags = diags;
    sw_diags_strict(diags, args_has(args, OPT_STRICT));
    const cli_values *treats = &args->given[OPT_TREAT];
    for (size_t i = 0; i < treats->count; i++)
        if (treat_one(job, treats->items[i]) != SW_OK)
            return SW_USAGE;
    job->library = sw_library_new(diags);
    return job->library ? load_tables(job) : SW_SYSTEM;
}

void job_free(cli_job *job) {
    sw_check_report_free(job->check);
    for (size_t i = 0; i < job->other_count; i++)
        sw_plan_free(job->others[i]);
    free(job->others);
    sw_plan_free(job->plan);
    sw_plan_free(job->built);
    sw_circuit_free(job->fitted);
    sw_circuit_free(job->netlist);
    sw_sheet_free(job->assumed);
    sw_sheet_free(job->sheet);
    sw_library_free(job->library);
    footprints_free(job);
}

/* --from as a format; NULL to detect.  With plan it is a plan, and convert's is that of
 * the input, not of the circuit that it goes with. */
static sw_status input_format(cli_job *job, const sw_format **format) {
    const char *name = job->args->verb->bit & (V_PLAN | V_CONVERT) ? NULL : args_text(job->args, OPT_FROM);
    *format = name ? sw_format_find(name) : NULL;
    if (name && !*format)
        return usage(job, "there is no format '%s'; stripwright list formats names them", name);
    return SW_OK;
}

/* A subcircuit that the library or the user's sheet knows, or that is named for a thing, is a
 * part, not a circuit to flatten. */
static bool is_device(void *user, const char *name) {
    const cli_job *job = user;
    for (size_t i = 0; job->sheet && i < sw_sheet_count(job->sheet); i++)
        if (strcasecmp(sw_sheet_row(job->sheet, i)->name, name) == 0)
            return true;
    return sw_library_device(job->library, name) != NULL || sw_names_a_thing(name);
}

sw_status job_read_opened(cli_job *job, const sw_format *format, sw_circuit **out) {
    /* conversion between netlists flattens what a deck defines; everything else
     * wants devices whole */
    bool whole = !(job->args->verb->bit & V_CONVERT) || args_has(job->args, OPT_FITTED);
    if (!format)
        format = sw_format_detect(&job->input, job->diags);
    if (!format)
        return SW_BAD_INPUT;
    unused_by_format(job, format);
    const char **map = args_list(&job->args->given[OPT_MAP]);
    if (!map)
        return SW_SYSTEM;
    sw_read_options options = {.include = include_open, .include_user = job,
                               .is_device = whole ? is_device : NULL, .device_user = job,
                               .top = args_text(job->args, OPT_TOP), .map = map};
    sw_status status = sw_read_circuit(format, &job->input, &options, job->diags, out);
    unused_by_deck(job);
    free(map);
    return status;
}

sw_status job_read_circuit(cli_job *job, const char *path, sw_circuit **out) {
    const sw_format *format;
    sw_status status = input_format(job, &format);
    if (status == SW_OK)
        status = sw_input_open(job->diags, path, &job->input);
    return status == SW_OK ? job_read_opened(job, format, out) : status;
}

/* Where drawing programs leave the title they write the file's place on the machine that drew it. */
static bool is_path(const char *title) {
    bool drive = title[0] && title[1] == ':' && (title[2] == '/' || title[2] == '\\');
    return drive || title[0] == '/' || strncmp(title, "~/", 2) == 0 || strncmp(title, "\\\\", 2) == 0;
}

/* rain-counter.csv has no title of its own: "Rain counter"; so has a deck that is called
 * C:\drawings\rain-counter.sch. */
static void title_from_name(cli_job *job) {
    const char *title = job->netlist->title, *base = file_base(title[0] ? title : job->input.name);
    if (title[0] && strrchr(base, '\\'))
        base = strrchr(base, '\\') + 1;
    size_t length = strcspn(base, ".");
    if ((title[0] && !is_path(title)) || length == 0 || length >= sizeof job->title || base[0] == '-')
        return;
    for (size_t i = 0; i < length; i++)
        job->title[i] = base[i] == '-' || base[i] == '_' ? ' ' : base[i];
    if (job->title[0] >= 'a' && job->title[0] <= 'z')
        job->title[0] = (char)(job->title[0] - 'a' + 'A');
    job->netlist->title = job->title;
}

sw_status job_fit(cli_job *job, bool review) {
    title_from_name(job);
    const char **rails = args_list(&job->args->given[OPT_RAIL]);
    if (!rails)
        return SW_SYSTEM;
    sw_fit_options options = {.sheet = job->sheet, .rails = rails};
    sw_status status = footprints_of_circuit(job, job->netlist);
    if (status == SW_OK)
        status = sw_fit(job->netlist, job->library, &options, job->diags, &job->fitted, &job->assumed);
    free(rails);
    if (status == SW_OK)
        status = numbers_give(job);
    if (status == SW_OK && review)
        status = sw_review(job->fitted, job->diags);
    return status;
}

sw_status job_read_plan(cli_job *job, const char *path, sw_plan **out) {
    sw_input input;
    sw_status status = sw_input_open(job->diags, path, &input);
    if (status == SW_OK)
        status = sw_read_plan(NULL, &input, NULL, job->diags, out);
    return status == SW_OK ? footprints_of_plan(job, *out) : status;
}

/* Parts whose package the plan left open and that are not as the circuit has them. */
static void tell_upright(cli_job *job, const bool *open) {
    for (uint32_t i = 0; i < job->plan->part_count; i++) {
        const sw_plan_part *part = &job->plan->parts[i];
        sw_part_id id = sw_circuit_part(job->fitted, part->ref);
        const sw_package *form = id.i == SW_NONE ? NULL : job->fitted->parts[id.i].form;
        if (open[i] && form && strcmp(form->name, part->package) != 0)
            sw_diag_add(job->diags, SW_D_BOARD_UPRIGHT, part->span,
                        "%s is taken as stood upright (%s): a %s lying down has its leads %u to %u pitches apart",
                        part->ref, part->package, form->name, form->span_least, form->span_most);
    }
}

static sw_status complete(cli_job *job) {
    bool *open = calloc((size_t)job->plan->part_count + 1, sizeof *open);
    if (!open)
        return SW_SYSTEM;
    for (uint32_t i = 0; i < job->plan->part_count; i++)
        open[i] = !*job->plan->parts[i].package;
    sw_plan_complete(job->plan, job->fitted, job->library);
    tell_upright(job, open);
    free(open);
    return SW_OK;
}

sw_status job_complete_plan(cli_job *job) {
    sw_status status = job_read_circuit(job, args_text(job->args, OPT_AGAINST), &job->netlist);
    job->like = job->plan;
    if (status == SW_OK)
        status = job_fit(job, false);
    job->like = NULL;
    return status == SW_OK ? complete(job) : status;
}

sw_document job_document(const cli_job *job) {
    return (sw_document){.circuit = job->fitted ? job->fitted : job->netlist, .plan = job->plan,
                         .library = job->library, .built = job->built, .check = job->check, .diags = job->diags,
                         .date = "", .revision = ""};
}

static bool side_of(const cli_job *job, sw_side *side) {
    const char *text = args_text(job->args, OPT_SIDE);
    if (!text || strcmp(text, "both") == 0)
        *side = SW_SIDE_BOTH;
    else if (strcmp(text, "component") == 0)
        *side = SW_SIDE_COMPONENT;
    else if (strcmp(text, "copper") == 0)
        *side = SW_SIDE_COPPER;
    else
        return usage(job, "a side is component, copper or both, not '%s'", text) == SW_OK;
    return true;
}

bool job_write_options(const cli_job *job, sw_write_options *options) {
    bool ok = true;
    memset(options, 0, sizeof *options);
    options->spreadsheet = args_has(job->args, OPT_SPREADSHEET);
    options->copies = (int)args_int(job, OPT_COPIES, 1, 10000, 1, &ok);
    options->spare_percent = (int)args_int(job, OPT_SPARE, 0, 1000, 0, &ok);
    options->paper = args_text(job->args, OPT_PAPER);
    if (options->paper && strcmp(options->paper, "A4") != 0 && strcmp(options->paper, "Letter") != 0) {
        usage(job, "--paper is A4 or Letter, not '%s'", options->paper);
        ok = false;
    }
    return side_of(job, &options->side) && ok;
}

sw_status job_can_write(cli_job *job, const char *path) {
    char folder[PATH_MAX];
    if (!path || strcmp(path, "-") == 0)
        return SW_OK;
    int length = (int)(file_base(path) - path);
    if ((size_t)snprintf(folder, sizeof folder, "%.*s", length, path) >= sizeof folder)
        return usage(job, "the output's name is too long");
    if (access(length ? folder : ".", X_OK) == 0)
        return SW_OK;
    sw_diag_add(job->diags, SW_D_OUTPUT_FAILED, SW_NOWHERE, "cannot write %s: its folder is not there or closed; "
                                                            "make it, or name another place", path);
    return SW_SYSTEM;
}

sw_status job_write_text(cli_job *job, const sw_buf *text, const char *path) {
    if (text->failed)
        return SW_SYSTEM;
    if (!path || strcmp(path, "-") == 0) {
        show_text(text, stdout);
        return SW_OK; /* main looks at stdout's errors at the end */
    }
    return sw_output_write(job->diags, path, text->bytes ? text->bytes : "", text->length);
}

sw_status job_write(cli_job *job, const sw_format *format, const sw_document *document, const char *path) {
    sw_write_options options;
    sw_buf text = SW_BUF_INIT;
    if (!job_write_options(job, &options))
        return SW_USAGE;
    options.path = path;
    sw_status status = sw_write(format, document, &options, job->diags, &text);
    if (status == SW_OK)
        status = job_write_text(job, &text, path);
    sw_buf_free(&text);
    return status;
}

const sw_format *job_output_format(cli_job *job, const char *path, const char *fallback) {
    const char *name = args_text(job->args, OPT_TO);
    const sw_format *format;
    if (name)
        format = sw_format_find(name);
    else if (path && strcmp(path, "-") != 0)
        format = sw_format_for_path(path);
    else
        format = fallback ? sw_format_find(fallback) : NULL;
    if (format && format->write)
        return format;
    if (name || !path)
        usage(job, "%s%s; stripwright list formats names those that can be written",
              name ? "cannot write format " : "say with --to which format to write", name ? name : "");
    else
        usage(job, "the ending of '%s' tells no format that can be written; say it with --to; stripwright list formats "
                   "names those that can be", path);
    return NULL;
}
