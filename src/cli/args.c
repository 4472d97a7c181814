/* src/cli/args.c: options of a verb, from the one table options.def. */
#include <getopt.h>
#include <stdlib.h>
#include <string.h>
#include "cli.h"

typedef struct option_row {
    const char *name;
    char letter;
    const char *argument;
    unsigned verbs;
    const char *help;
} option_row;

static const option_row rows[OPT_COUNT] = {
#define SW_OPTION(id, name, letter, argument, verbs, help) {name, letter, argument, verbs, help},
#include "options.def"
#undef SW_OPTION
};

/* getopt's codes: the rows' own begin here, the search's options use one more. */
enum { CODE_FIRST = 256, CODE_SEARCH = CODE_FIRST + OPT_COUNT, MOST_OPTIONS = 160 };

typedef struct option_list {
    struct option items[MOST_OPTIONS];
    size_t count;
    char letters[2 * OPT_COUNT + 3];
} option_list;

static void list_add(option_list *list, const char *name, bool argument, int code) {
    if (list->count + 1 < MOST_OPTIONS)
        list->items[list->count++] = (struct option){name, argument ? required_argument : no_argument, NULL, code};
}

static void list_fill(option_list *list, const cli_verb *verb) {
    memset(list, 0, sizeof *list);
    size_t at = 0;
    list->letters[at++] = ':';
    for (int i = 0; i < OPT_COUNT; i++) {
        if (!(rows[i].verbs & verb->bit))
            continue;
        list_add(list, rows[i].name, rows[i].argument[0] != '\0', CODE_FIRST + i);
        if (rows[i].letter) {
            list->letters[at++] = rows[i].letter;
            if (rows[i].argument[0])
                list->letters[at++] = ':';
        }
    }
    if (verb->bit & V_SEARCH)
        for (size_t i = 0; search_option_at(i); i++)
            list_add(list, search_option_at(i)->name, search_option_at(i)->argument[0] != '\0', CODE_SEARCH);
}

const char *option_name(cli_option option) { return rows[option].name; }
const char *option_argument(cli_option option) { return rows[option].argument; }
unsigned option_verbs(cli_option option) { return rows[option].verbs; }

bool args_add(cli_values *values, const char *text) {
    const char **grown = realloc(values->items, (values->count + 1) * sizeof *grown);
    if (!grown)
        return false;
    values->items = grown;
    values->items[values->count++] = text;
    return true;
}

static int option_of_letter(int letter, const cli_verb *verb) {
    for (int i = 0; i < OPT_COUNT; i++)
        if (rows[i].letter == letter && (rows[i].verbs & verb->bit))
            return i;
    return -1;
}

static bool take_search(cli_args *args, const char *name, const char *value) {
    return args_add(&args->search, name) && args_add(&args->search, value ? value : "");
}

static sw_status take(cli_args *args, int code, const struct option *item, const char *value) {
    bool kept;
    if (code == CODE_SEARCH)
        kept = take_search(args, item->name, value);
    else {
        int option = code >= CODE_FIRST ? code - CODE_FIRST : option_of_letter(code, args->verb);
        kept = args_add(&args->given[option], value ? value : "");
    }
    return kept ? SW_OK : SW_SYSTEM;
}

static sw_status wrong_option(const cli_verb *verb, int code, char **argv, sw_diags *diags) {
    sw_diag_add(diags, SW_D_USAGE, SW_NOWHERE,
                code == ':' ? "%s wants a value; see stripwright %s --help"
                            : "%s is no option of this verb; see stripwright %s --help",
                argv[optind - 1], verb->name);
    return SW_USAGE;
}

static sw_status count_files(const cli_args *args, sw_diags *diags) {
    const cli_verb *verb = args->verb;
    if (args->files.count >= verb->least_files && args->files.count <= verb->most_files)
        return SW_OK;
    sw_diag_add(diags, SW_D_USAGE, SW_NOWHERE, "usage: stripwright %s %s", verb->name, verb->usage);
    return SW_USAGE;
}

sw_status args_parse(cli_args *args, const cli_verb *verb, int argc, char **argv, sw_diags *diags) {
    option_list list;
    sw_status status = SW_OK;
    args->verb = verb;
    list_fill(&list, verb);
    opterr = 0;
    optind = 1;
    while (status == SW_OK) {
        int index = 0;
        int code = getopt_long(argc, argv, list.letters, list.items, &index);
        if (code == -1)
            break;
        status = code == '?' || code == ':' ? wrong_option(verb, code, argv, diags)
                                            : take(args, code, &list.items[index], optarg);
    }
    for (; status == SW_OK && optind < argc; optind++)
        if (!args_add(&args->files, argv[optind]))
            status = SW_SYSTEM;
    if (status != SW_OK || args_has(args, OPT_HELP))
        return status;
    status = project_load(args, diags);
    return status == SW_OK ? count_files(args, diags) : status;
}

void args_free(cli_args *args) {
    for (int i = 0; i < OPT_COUNT; i++)
        free(args->given[i].items);
    free(args->search.items);
    free(args->files.items);
    for (size_t i = 0; i < args->project_count; i++)
        free(args->project[i].text);
    free(args->project);
}

bool args_has(const cli_args *args, cli_option option) { return args->given[option].count > 0; }

const char **args_list(const cli_values *values) {
    const char **list = calloc(values->count + 1, sizeof *list);
    if (list && values->count)
        memcpy(list, values->items, values->count * sizeof *list);
    return list;
}

const char *args_text(const cli_args *args, cli_option option) {
    const cli_values *values = &args->given[option];
    return values->count ? values->items[values->count - 1] : NULL;
}

long args_int(const cli_job *job, cli_option option, long least, long most, long fallback, bool *ok) {
    const char *text = args_text(job->args, option);
    if (!text)
        return fallback;
    char *end = NULL;
    long value = strtol(text, &end, 10);
    if (*text && !*end && value >= least && value <= most)
        return value;
    usage(job, "--%s wants a whole number from %ld to %ld, not '%s'", rows[option].name, least, most, text);
    *ok = false;
    return fallback;
}

static void help_line(FILE *out, char letter, const char *name, const char *argument, const char *help) {
    char left[48];
    int width = letter ? snprintf(left, sizeof left, "-%c, --%s %s", letter, name, argument)
                       : snprintf(left, sizeof left, "    --%s %s", name, argument);
    if (width > 25)
        fprintf(out, "  %s\n  %-25s %s\n", left, "", help);
    else
        fprintf(out, "  %-25s %s\n", left, help);
}

void args_help(const cli_verb *verb, FILE *out) {
    fprintf(out, "usage: stripwright %s %s\n\n%s\n\n", verb->name, verb->usage, verb->text);
    for (int i = 0; i < OPT_COUNT; i++)
        if (rows[i].verbs & verb->bit)
            help_line(out, rows[i].letter, rows[i].name, rows[i].argument, rows[i].help);
    if (!(verb->bit & V_SEARCH))
        return;
    fputs("\nThe search:\n", out);
    for (size_t i = 0; search_option_at(i); i++)
        help_line(out, 0, search_option_at(i)->name, search_option_at(i)->argument, search_option_at(i)->help);
}
