/* src/cli/footprints.c: packages from folders of footprints that the user names with --library.
 *
 * A circuit's text never makes a path: its names are compared with those that the folders list.
 */
#include <dirent.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include "cli.h"

bool is_folder(const char *path) {
    struct stat about;
    return stat(path, &about) == 0 && S_ISDIR(about.st_mode);
}

/* The entry whose name is the stem and a dot with one more word behind it; the first by its bytes of several.
 * false: none. */
static bool find_entry(const char *folder, const char *stem, size_t length, char path[PATH_MAX]) {
    DIR *list = opendir(folder);
    char best[NAME_MAX + 1] = "";
    for (struct dirent *entry; list && (entry = readdir(list)) != NULL;) {
        const char *dot = strrchr(entry->d_name, '.');
        if (dot && (size_t)(dot - entry->d_name) == length && memcmp(entry->d_name, stem, length) == 0 &&
            strlen(entry->d_name) < sizeof best && (!*best || strcmp(entry->d_name, best) < 0))
            strcpy(best, entry->d_name);
    }
    if (list)
        closedir(list);
    return *best && (size_t)snprintf(path, PATH_MAX, "%s/%s", folder, best) < PATH_MAX;
}

/* The file of "LIBRARY:NAME": in the folder's folder of that library, or in the folder itself. */
static bool find_file(const char *folder, const char *name, char path[PATH_MAX]) {
    char library[PATH_MAX];
    const char *colon = strrchr(name, ':'), *bare = colon ? colon + 1 : name;
    size_t length = strlen(bare);
    if (length == 0)
        return false;
    if (colon && find_entry(folder, name, (size_t)(colon - name), library) && find_entry(library, bare, length, path))
        return true;
    return find_entry(folder, bare, length, path) && !is_folder(path);
}

static bool has_folders(const cli_job *job) {
    const cli_values *tables = &job->args->given[OPT_LIBRARY];
    for (size_t i = 0; i < tables->count; i++)
        if (is_folder(tables->items[i]))
            return true;
    return false;
}

/* A large netlist asks for the same again and again. */
static bool was_unfound(const cli_job *job, const char *name) {
    for (size_t i = 0; i < job->unfound.count; i++)
        if (strcmp(job->unfound.items[i], name) == 0)
            return true;
    return false;
}

/* A package that the library lacks, when a folder has it. */
static sw_status want(cli_job *job, const char *name) {
    const cli_values *tables = &job->args->given[OPT_LIBRARY];
    char path[PATH_MAX];
    if (!name || !*name || sw_library_package(job->library, name) || sw_library_package_vague(job->library, name) ||
        was_unfound(job, name))
        return SW_OK;
    for (size_t i = 0; i < tables->count; i++) {
        sw_input input;
        if (!is_folder(tables->items[i]) || !find_file(tables->items[i], name, path))
            continue;
        sw_status status = sw_input_open(job->diags, path, &input);
        if (status == SW_OK)
            status = sw_library_add_footprint(job->library, &input, name, job->diags);
        if (status != SW_NO_PLAN)
            return status;
        break; /* it has no place on stripboard: told once */
    }
    char *copy = strdup(name);
    if (copy && args_add(&job->unfound, copy))
        return SW_OK;
    free(copy);
    return SW_SYSTEM;
}

void footprints_free(cli_job *job) {
    for (size_t i = 0; i < job->unfound.count; i++)
        free((char *)job->unfound.items[i]);
    free(job->unfound.items);
}

sw_status footprints_of_circuit(cli_job *job, const sw_circuit *circuit) {
    sw_status status = SW_OK;
    if (!has_folders(job))
        return SW_OK;
    for (uint32_t i = 0; i < circuit->part_count && status == SW_OK; i++)
        status = want(job, circuit->parts[i].package);
    for (uint32_t i = 0; i < circuit->row_count && status == SW_OK; i++)
        status = want(job, circuit->rows[i].package);
    for (size_t i = 0; job->sheet && i < sw_sheet_count(job->sheet) && status == SW_OK; i++)
        status = want(job, sw_sheet_row(job->sheet, i)->package);
    return status;
}

sw_status footprints_of_plan(cli_job *job, const sw_plan *plan) {
    sw_status status = SW_OK;
    if (!has_folders(job))
        return SW_OK;
    for (uint32_t i = 0; i < plan->part_count && status == SW_OK; i++)
        status = want(job, plan->parts[i].package);
    return status;
}
