/* src/cli/verb_workpack.c: all papers for the bench, in one folder. */
#include <errno.h>
#include <limits.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "cli.h"

/* The papers of a workpack: file ending, format, what it is for.  The ending
 * follows the circuit's name; a format that this build does not have (pictures
 * are optional) is left out. */
static const struct paper {
    const char *ending, *format;
    sw_side side;
    const char *what;
} papers[] = {
    {".html", "guide", SW_SIDE_BOTH, "build guide: every step, with what to watch; works without a network"},
    {".pdf", "sheet", SW_SIDE_BOTH, "the sheet to print: both sides, true size, lists to tick off"},
    {"-component.svg", "drawing", SW_SIDE_COMPONENT, "drawing, component side"},
    {"-copper.svg", "drawing", SW_SIDE_COPPER, "drawing, copper side (turned over like a page)"},
    {".png", "picture", SW_SIDE_COMPONENT, "picture of the component side"},
    {".txt", "text", SW_SIDE_BOTH, "drawing in plain text"},
    {".worklist.txt", "worklist", SW_SIDE_BOTH, "cuts and links to tick off"},
    {".worklist.csv", "worklist", SW_SIDE_BOTH, "cuts and links for programs"},
    {".probes.csv", "probes", SW_SIDE_BOTH, "what to measure before the ICs go in"},
    {".parts.html", "partslist", SW_SIDE_BOTH, "parts to buy, with their markings"},
    {".parts.csv", "partslist", SW_SIDE_BOTH, "parts to buy, for programs"},
    {".sched", "schedule", SW_SIDE_BOTH, "schedule of nodes"},
    {".holes.csv", "holes", SW_SIDE_BOTH, "the plan as a list of holes"},
    {".placement.xml", "placement", SW_SIDE_BOTH, "the plan for programs"},
};
enum { PAPER_COUNT = sizeof papers / sizeof *papers };

/* Made before the search, so that a mistake in its name costs no waiting. */
static sw_status make_folder(cli_job *job, const char *folder, bool *made) {
    struct stat info;
    *made = mkdir(folder, 0777) == 0;
    if (*made)
        return SW_OK;
    if (errno == EEXIST && stat(folder, &info) == 0 && S_ISDIR(info.st_mode))
        return SW_OK;
    sw_diag_add(job->diags, SW_D_OUTPUT_FAILED, SW_NOWHERE, "cannot make the folder '%s': %s", folder,
                errno == EEXIST ? "a file of that name is there" : strerror(errno));
    return SW_SYSTEM;
}

/* The circuit's file name without its ending(s) names the papers. */
static void stem_of(const char *path, char out[NAME_MAX]) {
    const char *base = file_base(path);
    size_t length = strcmp(base, "-") == 0 ? 0 : strcspn(base, ".");
    if (length == 0 || length > 100)
        base = "circuit", length = 7;
    memcpy(out, base, length);
    out[length] = '\0';
}

/* What a hole list has no place for stands in the placement file beside it, so that is not
 * told; what goes wrong is. */
static sw_status write_text(cli_job *job, const sw_format *format, const sw_write_options *options, sw_buf *text) {
    sw_document document = job_document(job);
    if (strcmp(format->name, "holes") != 0)
        return sw_write(format, &document, options, job->diags, text);
    sw_diags *aside = sw_diags_new(sw_diags_limits(job->diags));
    sw_status status = aside ? sw_write(format, &document, options, aside, text) : SW_SYSTEM;
    sw_diags_free(aside);
    if (status != SW_OK) {
        sw_buf_free(text);
        status = sw_write(format, &document, options, job->diags, text);
    }
    return status;
}

static sw_status write_paper(cli_job *job, const struct paper *paper, const char *folder, const char *stem,
                             index_page *index) {
    char path[PATH_MAX], name[NAME_MAX + 32];
    const sw_format *format = sw_format_find(paper->format);
    if (!format || !format->write)
        return SW_OK;
    snprintf(name, sizeof name, "%s%s", stem, paper->ending);
    if ((size_t)snprintf(path, sizeof path, "%s/%s", folder, name) >= sizeof path)
        return usage(job, "the folder's name is too long");
    sw_write_options options;
    sw_buf text = SW_BUF_INIT;
    if (!job_write_options(job, &options))
        return SW_USAGE;
    options.side = paper->side;
    options.path = path;
    sw_status status = write_text(job, format, &options, &text);
    if (status == SW_OK)
        status = sw_output_write(job->diags, path, text.bytes ? text.bytes : "", text.length);
    if (status == SW_OK && strcmp(paper->ending, "-component.svg") == 0)
        index_drawing(index, &text);
    if (status == SW_OK)
        index_add(index, name, paper->what);
    sw_buf_free(&text);
    return status;
}

static sw_status write_papers(cli_job *job, const char *folder, const char *stem) {
    index_page index = {0};
    sw_status status = SW_OK;
    for (size_t i = 0; i < PAPER_COUNT && status == SW_OK; i++)
        status = write_paper(job, &papers[i], folder, stem, &index);
    if (status == SW_OK)
        status = index_write(&index, job, folder);
    index_free(&index);
    return status;
}

static sw_status run(cli_job *job) {
    char stem[NAME_MAX];
    const char *folder = args_text(job->args, OPT_DIRECTORY);
    if (!folder)
        return usage(job, "say with -d which folder the papers go into");
    sw_write_options ignored;
    if (!job_write_options(job, &ignored)) /* before the search, not after it */
        return SW_USAGE;
    bool made;
    sw_status status = make_folder(job, folder, &made);
    if (status == SW_OK)
        status = plan_make(job, job->args->files.items[0]);
    if (status != SW_OK) {
        if (made)
            rmdir(folder);
        return status;
    }
    stem_of(job->args->files.items[0], stem);
    plan_summary(job, stdout);
    return write_papers(job, folder, stem);
}

const cli_verb verb_workpack = {
    "workpack", V_WORKPACK, "FILE -d DIR", "the whole job: a checked plan and every paper for the bench",
    "Does what plan does and writes everything that is wanted beside the soldering\n"
    "iron into one folder, with an index page: build guide, drawings of both sides,\n"
    "cut and link list, parts list, measurements, schedule, and the plan itself.",
    1, 1, run};
