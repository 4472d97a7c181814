/* src/cli/include.c: opens files that a deck includes.
 *
 * Only regular files below the deck's own folder, or below a folder that the
 * user allowed, are opened: decks come from strangers.  Folders are compared
 * after all symbolic links are resolved.
 */
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include "cli.h"

static bool below(const char *path, const char *folder) {
    size_t length = strlen(folder);
    return strncmp(path, folder, length) == 0 && (path[length] == '/' || strcmp(folder, "/") == 0);
}

/* The folder part of a path, "." for a bare name; false when too long. */
static bool folder_of(const char *path, char out[PATH_MAX]) {
    const char *slash = strrchr(path, '/');
    size_t length = slash ? (size_t)(slash - path) : 1;
    if (length >= PATH_MAX)
        return false;
    memcpy(out, slash ? path : ".", length);
    out[length] = '\0';
    if (slash == path)
        strcpy(out, "/");
    return true;
}

static bool allowed(const cli_job *job, const char *real) {
    char folder[PATH_MAX], resolved[PATH_MAX];
    if (folder_of(job->input.name, folder) && realpath(folder, resolved) && below(real, resolved))
        return true;
    const cli_values *folders = &job->args->given[OPT_ALLOW];
    for (size_t i = 0; i < folders->count; i++)
        if (realpath(folders->items[i], resolved) && below(real, resolved))
            return true;
    return false;
}

/* The file as named from the asking file's folder, or from a folder that the
 * user allowed. */
static bool resolve(const cli_job *job, const char *path, const char *asking, char real[PATH_MAX]) {
    char folder[PATH_MAX], joined[PATH_MAX];
    if (path[0] == '/')
        return realpath(path, real) != NULL;
    if (folder_of(asking, folder) &&
        (size_t)snprintf(joined, sizeof joined, "%s/%s", folder, path) < sizeof joined && realpath(joined, real))
        return true;
    const cli_values *folders = &job->args->given[OPT_ALLOW];
    for (size_t i = 0; i < folders->count; i++)
        if ((size_t)snprintf(joined, sizeof joined, "%s/%s", folders->items[i], path) < sizeof joined &&
            realpath(joined, real))
            return true;
    return false;
}

/* By the path as the deck has it, or by its last part: decks come with paths of other
 * people's machines. */
static bool left_out(const cli_job *job, const char *path) {
    const cli_values *names = &job->args->given[OPT_WITHOUT];
    const char *last = path;
    for (const char *c = path; *c; c++)
        last = *c == '/' || *c == '\\' ? c + 1 : last;
    for (size_t i = 0; i < names->count; i++)
        if (sw_match(names->items[i], path) || sw_match(names->items[i], last))
            return true;
    return false;
}

sw_status include_open(void *user, const char *path, const sw_input *asking, sw_span span,
                       sw_diags *diags, sw_input *out) {
    cli_job *job = user;
    char real[PATH_MAX];
    if (left_out(job, path)) {
        job->left_out = true;
        sw_diag_add(diags, SW_D_INCLUDE_LEFT_OUT, span,
                    "'%s' is left out as asked: models and subcircuits that it has are not known", path);
        return SW_BAD_INPUT;
    }
    if (!resolve(job, path, asking->name, real)) {
        sw_diag_add(diags, SW_D_INCLUDE_MISSING, span,
                    "'%s' is not there; put it beside the deck, name its folder with --allow, or leave it out with "
                    "--without when it has only models", path);
        return SW_BAD_INPUT;
    }
    if (!allowed(job, real)) {
        sw_diag_add(diags, SW_D_INCLUDE_REFUSED, span,
                    "'%s' lies outside the deck's folder; if you trust it, allow its folder with --allow", path);
        return SW_BAD_INPUT;
    }
    return sw_input_open(diags, real, out);
}
