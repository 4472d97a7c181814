/* src/cli/verb_order.c: one parts list for the boards of several plans. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>
#include "cli.h"

enum { MOST_COPIES = 10000 };

/* The boards of the list: the documents are a chain in the order of the arguments. */
typedef struct boards {
    sw_document *documents;
    sw_plan **plans;
    size_t count;
} boards;

/* PLAN or PLAN=COPIES; a file that is really called so is meant itself.  The path's copy is
 * the caller's. */
static sw_status read_argument(const cli_job *job, const char *text, char **path, int *copies) {
    const char *equals = strrchr(text, '=');
    *copies = 1;
    *path = strdup(text);
    if (!*path)
        return SW_SYSTEM;
    if (!equals || access(text, F_OK) == 0)
        return SW_OK;
    char *end = NULL;
    long value = strtol(equals + 1, &end, 10);
    if (end == equals + 1 || *end || value < 1 || value > MOST_COPIES)
        return usage(job, "behind %.*s= stands how often the board is built, from 1 to %d, not '%s'",
                     (int)(equals - text), text, MOST_COPIES, equals + 1);
    (*path)[equals - text] = '\0';
    *copies = (int)value;
    return SW_OK;
}

/* A hole list has no values: what it cannot say is said. */
static void note_missing_values(const cli_job *job, const char *path, const sw_plan *plan) {
    uint32_t missing = 0;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        const sw_plan_part *part = &plan->parts[i];
        missing += !(part->value && *part->value) && !(part->device && *part->device);
    }
    if (missing)
        sw_diag_add(job->diags, SW_D_ORDER_NO_VALUES, SW_NOWHERE,
                    "%s states neither value nor device of %u of its %u parts (a hole list has none); order from a "
                    "placement file, which convert --against CIRCUIT makes of it",
                    path, missing, plan->part_count);
}

static sw_status read_board(cli_job *job, boards *all, size_t index) {
    char *path = NULL;
    sw_document *document = &all->documents[index];
    *document = job_document(job);
    sw_status status = read_argument(job, job->args->files.items[index], &path, &document->copies);
    if (status == SW_OK)
        status = job_read_plan(job, path, &all->plans[index]);
    if (status == SW_OK) {
        document->plan = all->plans[index];
        if (index > 0)
            all->documents[index - 1].next = document;
        note_missing_values(job, path, all->plans[index]);
    }
    free(path);
    return status;
}

static sw_status read_boards(cli_job *job, boards *all) {
    sw_status status = SW_OK;
    all->count = job->args->files.count;
    all->documents = calloc(all->count, sizeof *all->documents);
    all->plans = calloc(all->count, sizeof *all->plans);
    if (!all->documents || !all->plans)
        return SW_SYSTEM;
    for (size_t i = 0; i < all->count && status == SW_OK; i++)
        status = read_board(job, all, i);
    return status;
}

static void free_boards(boards *all) {
    for (size_t i = 0; all->plans && i < all->count; i++)
        sw_plan_free(all->plans[i]);
    free(all->plans);
    free(all->documents);
}

/* A path whose ending tells the form: by --to, else OUT's own; text for reading on standard
 * output.  NULL (reported) when it is none. */
static const char *form_path(const cli_job *job, const char *output) {
    static const struct { const char *word, *path; } forms[] = {
        {"text", "list.parts.txt"}, {"csv", "list.parts.csv"}, {"html", "list.parts.html"},
        {"json", "list.parts.json"}, {"partslist", "list.parts.csv"}};
    const char *word = args_text(job->args, OPT_TO);
    bool named = output && strcmp(output, "-") != 0;
    if (!word && !named)
        return forms[0].path;
    for (size_t i = 0; word && i < sizeof forms / sizeof *forms; i++)
        if (strcasecmp(word, forms[i].word) == 0)
            return forms[i].path;
    const sw_format *format = word ? NULL : sw_format_for_path(output);
    if (format && strcmp(format->name, "partslist") == 0)
        return output;
    for (size_t i = 0; !word && i < 4; i++) { /* order.txt will do: no other paper is meant here */
        const char *dot = strrchr(forms[i].path, '.');
        size_t length = strlen(dot), whole = strlen(output);
        if (whole > length && strcasecmp(output + whole - length, dot) == 0)
            return forms[i].path;
    }
    if (word)
        usage(job, "order writes text, csv, html or json, not '%s'", word);
    else
        usage(job, "the ending of '%s' tells no form of the list: .txt, .csv, .html or .json; or say it with --to", output);
    return NULL;
}

static sw_status run(cli_job *job) {
    const char *output = args_text(job->args, OPT_OUTPUT), *path = form_path(job, output);
    sw_write_options options;
    boards all = {0};
    if (!path || !job_write_options(job, &options))
        return SW_USAGE;
    options.path = path;
    sw_buf text = SW_BUF_INIT;
    sw_status status = read_boards(job, &all);
    if (status == SW_OK)
        status = sw_write(sw_format_find("partslist"), &all.documents[0], &options, job->diags, &text);
    if (status == SW_OK)
        status = job_write_text(job, &text, output);
    sw_buf_free(&text);
    free_boards(&all);
    return status;
}

const cli_verb verb_order = {
    "order", V_ORDER, "PLAN[=COPIES]… [-o OUT]", "one parts list for several boards: a class, two projects",
    "Adds up what the boards of these plans need, each built COPIES times: like parts\n"
    "in one line, references told by board, stripboard for all pieces together, then\n"
    "sockets, terminal pins and wire.  OUT's ending tells the form: .txt to read, .csv,\n"
    ".html to print, .json for programs; text without -o.",
    1, 1000, run};
