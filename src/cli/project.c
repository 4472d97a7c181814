/* src/cli/project.c: defaults from a project file.
 *
 * stripwright.ini in the circuit's folder (the current folder when no circuit is
 * named), or --project FILE.  Lines `name = value` with the options' own names,
 * `circuit = FILE` for the circuit itself, comments with # or ;, a flag is on
 * with `yes`.  Below `[verb]` lines count for that verb only.  What the command
 * line says wins; options that may be repeated add up.  Files are meant from the
 * project file's folder.
 *
 * A project file that merely lies beside a circuit may come from a stranger: it
 * may not name files outside its folder nor allow folders.
 */
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "cli.h"

typedef struct project {
    cli_args *args;
    sw_diags *diags;
    sw_input input;
    const char *folder;   /* "" or with its slash */
    bool trusted;         /* named by the user */
    bool active;          /* the section is meant for this verb */
    const char *option;   /* of the line at hand */
    cli_values files;     /* circuit = … */
    size_t inserted[OPT_COUNT];
    size_t searched;
} project;

static sw_span span_of(const project *p, const char *at, size_t length) {
    return (sw_span){p->input.source, (uint32_t)(at - p->input.bytes), (uint32_t)length};
}

static sw_status complain(const project *p, const char *at, size_t length, const char *text) {
    sw_diag_add(p->diags, SW_D_PROJECT_LINE, span_of(p, at, length), "%s", text);
    return SW_BAD_INPUT;
}

static const char *trim(const char *start, const char **end) {
    while (start < *end && (*start == ' ' || *start == '\t'))
        start++;
    while (*end > start && ((*end)[-1] == ' ' || (*end)[-1] == '\t' || (*end)[-1] == '\r'))
        (*end)--;
    return start;
}

/* A copy that lives as long as the arguments, with `prefix` before it. */
static const char *keep(project *p, const char *prefix, const char *text, size_t length) {
    size_t before = strlen(prefix);
    char *copy = malloc(before + length + 1);
    cli_default *grown = realloc(p->args->project, (p->args->project_count + 1) * sizeof *grown);
    if (grown)
        p->args->project = grown;
    if (!copy || !grown) {
        free(copy);
        return NULL;
    }
    memcpy(copy, prefix, before);
    memcpy(copy + before, text, length);
    copy[before + length] = '\0';
    grown[p->args->project_count++] = (cli_default){copy, p->option, span_of(p, text, length)};
    return copy;
}

static bool insert(cli_values *values, size_t at, const char *text) {
    if (!text || !args_add(values, text))
        return false;
    memmove(&values->items[at + 1], &values->items[at], (values->count - 1 - at) * sizeof *values->items);
    values->items[at] = text;
    return true;
}

static bool leaves_folder(const char *path, size_t length) {
    if (length && path[0] == '/')
        return true;
    for (size_t i = 0; i + 1 < length; i++)
        if (path[i] == '.' && path[i + 1] == '.' && (i == 0 || path[i - 1] == '/') &&
            (i + 2 == length || path[i + 2] == '/'))
            return true;
    return false;
}

static sw_status take_value(project *p, cli_values *values, size_t *at, bool file, const char *value,
                            size_t length) {
    if (file && !p->trusted && leaves_folder(value, length))
        return complain(p, value, length, "a project file may name only files of its own folder; "
                                          "give this one on the command line or name the project file with --project");
    bool relative = file && length && value[0] != '/';
    const char *text = keep(p, relative ? p->folder : "", value, length);
    return insert(values, (*at)++, text) ? SW_OK : SW_SYSTEM;
}

static sw_status take_search(project *p, const char *name, const char *value, size_t length) {
    const char *text = keep(p, "", value, length);
    if (!insert(&p->args->search, p->searched, name) || !insert(&p->args->search, p->searched + 1, text))
        return SW_SYSTEM;
    p->searched += 2;
    return SW_OK;
}

static sw_status take_option(project *p, cli_option option, const char *line, const char *value, size_t length) {
    if (!(option_verbs(option) & p->args->verb->bit))
        return SW_OK; /* meant for another verb */
    if (option == OPT_ALLOW && !p->trusted)
        return complain(p, line, 5, "only a project file named with --project may allow folders");
    const char *argument = option_argument(option);
    if (argument[0] == '\0' && length == 2 && memcmp(value, "no", 2) == 0)
        return SW_OK;
    if (argument[0] == '\0' && (length != 3 || memcmp(value, "yes", 3) != 0))
        return complain(p, value, length, "this option is on with yes and off with no");
    bool file = strcmp(argument, "FILE") == 0 || strcmp(argument, "DIR") == 0 || strcmp(argument, "PLAN") == 0 ||
                strcmp(argument, "CIRCUIT") == 0;
    return take_value(p, &p->args->given[option], &p->inserted[option], file, value, length);
}

static bool is_name(const char *name, size_t length, const char *option) {
    return strlen(option) == length && memcmp(name, option, length) == 0;
}

static sw_status take_pair(project *p, const char *name, size_t name_length, const char *value, size_t length) {
    size_t at = p->files.count;
    p->option = "circuit";
    if (is_name(name, name_length, p->option))
        return take_value(p, &p->files, &at, true, value, length);
    for (int i = 0; i < OPT_COUNT; i++)
        if (is_name(name, name_length, p->option = option_name((cli_option)i)))
            return take_option(p, (cli_option)i, value, value, length);
    for (size_t i = 0; search_option_at(i); i++)
        if (is_name(name, name_length, p->option = search_option_at(i)->name))
            return p->args->verb->bit & V_SEARCH ? take_search(p, p->option, value, length) : SW_OK;
    return complain(p, name, name_length, "there is no option of this name; the names are those of the command's options");
}

static sw_status take_line(project *p, const char *start, const char *end) {
    start = trim(start, &end);
    if (start == end || *start == '#' || *start == ';')
        return SW_OK;
    if (*start == '[') {
        size_t length = (size_t)(end - start);
        const cli_verb *verb = length > 2 && end[-1] == ']' ? verb_find(start + 1, length - 2) : NULL;
        p->active = verb == p->args->verb;
        return verb ? SW_OK : complain(p, start, length, "a section is a verb in brackets, such as [plan]");
    }
    const char *equals = memchr(start, '=', (size_t)(end - start));
    if (!equals)
        return complain(p, start, (size_t)(end - start), "a line is `name = value`");
    const char *name_end = equals, *value = equals + 1;
    trim(start, &name_end);
    value = trim(value, &end);
    return p->active ? take_pair(p, start, (size_t)(name_end - start), value, (size_t)(end - value)) : SW_OK;
}

static sw_status take_all(project *p) {
    sw_status status = SW_OK;
    const char *at = p->input.bytes, *stop = at + p->input.length;
    p->active = true;
    while (at < stop && status == SW_OK) {
        const char *end = memchr(at, '\n', (size_t)(stop - at));
        end = end ? end : stop;
        status = take_line(p, at, end);
        at = end + 1;
    }
    memcpy(p->args->defaults, p->inserted, sizeof p->inserted);
    if (status == SW_OK && p->args->files.count == 0)
        for (size_t i = 0; i < p->files.count && status == SW_OK; i++)
            status = args_add(&p->args->files, p->files.items[i]) ? SW_OK : SW_SYSTEM;
    return status;
}

/* The project file's path into out: named, or beside the circuit; false: none. */
static bool find(const cli_args *args, char out[PATH_MAX]) {
    const char *named = args_text(args, OPT_PROJECT);
    const char *circuit = args->files.count ? args->files.items[0] : "";
    const char *base = file_base(circuit);
    if (named)
        return (size_t)snprintf(out, PATH_MAX, "%s", named) < PATH_MAX;
    if ((size_t)snprintf(out, PATH_MAX, "%.*sstripwright.ini", (int)(base - circuit), circuit) >= PATH_MAX)
        return false;
    return access(out, R_OK) == 0;
}

sw_status project_load(cli_args *args, sw_diags *diags) {
    char path[PATH_MAX], folder[PATH_MAX];
    project p = {.args = args, .diags = diags};
    if ((args->verb->bit & V_LIST) || !find(args, path))
        return SW_OK;
    sw_status status = sw_input_open(diags, path, &p.input);
    if (status != SW_OK)
        return status;
    snprintf(folder, sizeof folder, "%.*s", (int)(file_base(path) - path), path);
    p.folder = folder;
    p.trusted = args_has(args, OPT_PROJECT);
    status = take_all(&p);
    free(p.files.items);
    return status;
}
