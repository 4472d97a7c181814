/* src/cli/search_options.c: what the search is asked for.
 *
 * The plain options come from the search's own table (layout-options.def); the
 * ones that name parts, holes or plans are read here.
 */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

struct search_memory {
    sw_keep_out *keep_outs;
    sw_wish *wishes;
    sw_lie_rule *lies;
    sw_plan *keep, *from;
    const char **loose;      /* --move */
    char **texts;
    size_t text_count;
};

static const search_option table[] = {
#define SW_LAYOUT_OPTION(field, name, type, least, most, start, argument, help) {name, argument, help},
#include <stripwright/layout-options.def>
#undef SW_LAYOUT_OPTION
};

const search_option *search_option_at(size_t index) {
    return index < sizeof table / sizeof *table ? &table[index] : NULL;
}

/* A copy of a stretch of an option's value that lives as long as the options. */
static const char *keep_text(search_memory *memory, const char *text, size_t length) {
    char *copy = malloc(length + 1);
    char **grown = realloc(memory->texts, (memory->text_count + 1) * sizeof *grown);
    if (grown)
        memory->texts = grown;
    if (!copy || !grown) {
        free(copy);
        return NULL;
    }
    memcpy(copy, text, length);
    copy[length] = '\0';
    return memory->texts[memory->text_count++] = copy;
}

sw_status piece_read(const cli_job *job, int *strips, int *columns) {
    const char *text = args_text(job->args, OPT_PIECE);
    int used = 0;
    *strips = *columns = 0;
    if (!text)
        return SW_OK;
    if (sscanf(text, "%4dx%4d%n", strips, columns, &used) != 2 || text[used] || *strips < 1 || *columns < 1)
        return usage(job, "--piece wants strips x columns such as 9x25, not '%s'", text);
    return SW_OK;
}

static sw_status read_piece(const cli_job *job, sw_layout_options *options) {
    int strips, columns;
    sw_status status = piece_read(job, &strips, &columns);
    if (status != SW_OK || !strips)
        return status;
    if (options->strips == 0 || strips < options->strips)
        options->strips = strips;
    if (options->columns == 0 || columns < options->columns)
        options->columns = columns;
    return SW_OK;
}

static sw_status read_keep_outs(const cli_job *job, sw_layout_options *options, search_memory *memory) {
    const cli_values *given = &job->args->given[OPT_KEEP_OUT];
    memory->keep_outs = calloc(given->count + 1, sizeof *memory->keep_outs);
    if (!memory->keep_outs)
        return SW_SYSTEM;
    for (size_t i = 0; i < given->count; i++) {
        sw_keep_out *area = &memory->keep_outs[i];
        size_t used = sw_hole_read(given->items[i], &area->from);
        const char *rest = given->items[i] + used;
        if (!used || *rest != ':' || sw_hole_read(rest + 1, &area->to) != strlen(rest + 1) || !rest[1])
            return usage(job, "--keep-out wants two corner holes such as A1:C3, not '%s'", given->items[i]);
        area->why = "kept free";
    }
    options->keep_outs = memory->keep_outs;
    options->keep_out_count = given->count;
    return SW_OK;
}

static sw_status read_edge(const cli_job *job, search_memory *memory, const char *text, sw_wish *wish) {
    static const char *const sides[] = {"left", "right", "top", "bottom"};
    const char *equals = strrchr(text, '=');
    for (int i = 0; equals && i < 4; i++)
        if (strcmp(equals + 1, sides[i]) == 0) {
            wish->kind = (sw_wish_kind)(SW_WISH_EDGE_LEFT + i);
            wish->ref = keep_text(memory, text, (size_t)(equals - text));
            return wish->ref ? SW_OK : SW_SYSTEM;
        }
    return usage(job, "--edge wants REF=left, right, top or bottom, not '%s'", text);
}

static sw_status read_pair(const cli_job *job, search_memory *memory, const char *text, cli_option option,
                           sw_wish *wish) {
    const char *equals = strchr(text, '='), *colon = equals ? strrchr(equals, ':') : NULL;
    char *end = NULL;
    long pitches = colon ? strtol(colon + 1, &end, 10) : -1;
    if (!colon || *end || !colon[1] || pitches < 1 || pitches > 500)
        return usage(job, "--%s wants REF=REF:N, N in pitches, not '%s'", option_name(option), text);
    wish->kind = option == OPT_NEAR ? SW_WISH_NEAR : SW_WISH_APART;
    wish->ref = keep_text(memory, text, (size_t)(equals - text));
    wish->other = keep_text(memory, equals + 1, (size_t)(colon - equals - 1));
    wish->pitches = (int)pitches;
    return wish->ref && wish->other ? SW_OK : SW_SYSTEM;
}

static sw_status read_wishes(const cli_job *job, sw_layout_options *options, search_memory *memory) {
    static const cli_option kinds[] = {OPT_EDGE, OPT_NEAR, OPT_APART};
    size_t count = 0;
    for (size_t k = 0; k < 3; k++)
        count += job->args->given[kinds[k]].count;
    memory->wishes = calloc(count + 1, sizeof *memory->wishes);
    if (!memory->wishes)
        return SW_SYSTEM;
    sw_status status = SW_OK;
    for (size_t k = 0; k < 3; k++)
        for (size_t i = 0; i < job->args->given[kinds[k]].count && status == SW_OK; i++) {
            const char *text = job->args->given[kinds[k]].items[i];
            sw_wish *wish = &memory->wishes[options->wish_count++];
            status = kinds[k] == OPT_EDGE ? read_edge(job, memory, text, wish)
                                          : read_pair(job, memory, text, kinds[k], wish);
        }
    options->wishes = memory->wishes;
    return status;
}

static sw_status read_ways(const cli_job *job, const char *text, unsigned *ways) {
    static const struct { const char *name; unsigned bit; } names[] = {
        {"across", SW_LIE_ACROSS}, {"along", SW_LIE_ALONG}, {"upright", SW_LIE_UPRIGHT}};
    *ways = 0;
    for (const char *at = text; *at;) {
        size_t length = strcspn(at, "+"), i = 0;
        while (i < 3 && (strlen(names[i].name) != length || memcmp(names[i].name, at, length) != 0))
            i++;
        if (i == 3)
            return usage(job, "a way to lie is across, along or upright, not '%s'", at);
        *ways |= names[i].bit;
        at += length + (at[length] == '+');
    }
    return *ways ? SW_OK : usage(job, "--lie wants NAME=across, along, upright, joined by +");
}

static sw_status read_lies(const cli_job *job, sw_layout_options *options, search_memory *memory) {
    const cli_values *given = &job->args->given[OPT_LIE];
    memory->lies = calloc(given->count + 1, sizeof *memory->lies);
    if (!memory->lies)
        return SW_SYSTEM;
    for (size_t i = 0; i < given->count; i++) {
        const char *equals = strrchr(given->items[i], '=');
        if (!equals)
            return usage(job, "--lie wants NAME=WAYS, not '%s'", given->items[i]);
        sw_status status = read_ways(job, equals + 1, &memory->lies[i].lies);
        if (status != SW_OK)
            return status;
        memory->lies[i].pattern = keep_text(memory, given->items[i], (size_t)(equals - given->items[i]));
    }
    options->lies = memory->lies;
    options->lie_count = given->count;
    return SW_OK;
}

static sw_status read_plans(cli_job *job, sw_layout_options *options, search_memory *memory) {
    const char *keep = args_text(job->args, OPT_KEEP);
    const char *from = job->args->verb->bit & V_PLAN ? args_text(job->args, OPT_FROM) : NULL;
    sw_status status = keep ? job_read_plan(job, keep, &memory->keep) : SW_OK;
    if (status == SW_OK && from)
        status = job_read_plan(job, from, &memory->from);
    options->keep = memory->keep;
    options->from = memory->from;
    return status == SW_OK ? built_read(job, options, &memory->keep, &memory->loose) : status;
}

static sw_status read_table(const cli_job *job, sw_layout_options *options) {
    const cli_values *given = &job->args->search;
    for (size_t i = 0; i + 1 < given->count; i += 2) {
        const char *wants = sw_layout_options_set(options, given->items[i], given->items[i + 1]);
        if (wants)
            return usage(job, "--%s wants %s, not '%s'", given->items[i], wants, given->items[i + 1]);
    }
    return SW_OK;
}

sw_status search_options(cli_job *job, sw_layout_options *options, search_memory **out) {
    search_memory *memory = *out = calloc(1, sizeof *memory);
    if (!memory)
        return SW_SYSTEM;
    sw_layout_options_default(options);
    sw_status status = read_table(job, options);
    if (status == SW_OK)
        status = read_piece(job, options);
    if (status == SW_OK && options->fixed_size && (!options->strips || !options->columns))
        status = usage(job, "--fixed-size wants the size: --strips and --columns, or --piece");
    if (status == SW_OK)
        status = read_keep_outs(job, options, memory);
    if (status == SW_OK)
        status = read_wishes(job, options, memory);
    if (status == SW_OK)
        status = read_lies(job, options, memory);
    return status == SW_OK ? read_plans(job, options, memory) : status;
}

sw_status search_complete(cli_job *job, search_memory *memory) {
    if (!memory->keep)
        return SW_OK;
    sw_plan_complete(memory->keep, job->fitted, job->library);
    return args_has(job->args, OPT_BUILT) ? built_fit(job, memory->keep) : SW_OK;
}

void search_options_free(search_memory *memory) {
    if (!memory)
        return;
    for (size_t i = 0; i < memory->text_count; i++)
        free(memory->texts[i]);
    free(memory->texts);
    free(memory->keep_outs);
    free(memory->wishes);
    free(memory->lies);
    free(memory->loose);
    sw_plan_free(memory->keep);
    sw_plan_free(memory->from);
    free(memory);
}
