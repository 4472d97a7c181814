/* src/cli/main.c: finds the verb and runs it. */
#include <locale.h>
#include <signal.h>
#include <string.h>
#include "cli.h"

static const cli_verb *const verbs[] = {
    &verb_workpack, &verb_plan, &verb_check, &verb_nodes, &verb_fit, &verb_convert, &verb_compare, &verb_order,
    &verb_list,
};
enum { VERB_COUNT = sizeof verbs / sizeof *verbs };

static void help(FILE *out) {
    fputs("stripwright: from a circuit to a stripboard that can be built\n\n"
          "usage: stripwright VERB [OPTION…] [FILE…]\n\n", out);
    for (size_t i = 0; i < VERB_COUNT; i++)
        fprintf(out, "  %-9s %s\n", verbs[i]->name, verbs[i]->summary);
    fputs("\nstripwright VERB --help says what a verb takes.\n"
          "Exit status: 0 done; 1 check or compare found something; 2 wrong usage;\n"
          "3 an input cannot be understood; 4 no legal plan within the limits;\n"
          "5 file, disk or memory failed; 130 stopped before any plan was found.\n", out);
}

const cli_verb *verb_find(const char *name, size_t length) {
    for (size_t i = 0; i < VERB_COUNT; i++)
        if (strlen(verbs[i]->name) == length && memcmp(name, verbs[i]->name, length) == 0)
            return verbs[i];
    return NULL;
}

static sw_status run(const cli_verb *verb, int argc, char **argv, sw_diags *diags) {
    cli_args args;
    cli_job job;
    memset(&args, 0, sizeof args);
    memset(&job, 0, sizeof job);
    sw_status status = args_parse(&args, verb, argc, argv, diags);
    if (status == SW_OK && args_has(&args, OPT_HELP)) {
        args_help(verb, stdout);
    } else if (status == SW_OK) {
        status = job_start(&job, &args, diags);
        if (status == SW_OK)
            status = verb->run(&job);
        if (status == SW_OK && sw_diags_of(diags, SW_ERROR) > 0)
            status = SW_BAD_INPUT; /* --strict or --treat made an error of something */
    }
    show_diags(diags, &job.shown);
    show_hidden(diags);
    job_free(&job);
    args_free(&args);
    return status;
}

int main(int argc, char **argv) {
    setlocale(LC_CTYPE, "");
    signal(SIGPIPE, SIG_IGN); /* a pipe that closes is a failed write like others: status 5 */
    if (argc < 2) {
        help(stderr);
        return SW_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 || strcmp(argv[1], "help") == 0) {
        const cli_verb *about = argc > 2 ? verb_find(argv[2], strlen(argv[2])) : NULL;
        if (about)
            args_help(about, stdout);
        else
            help(stdout);
        return SW_OK;
    }
    if (strcmp(argv[1], "--version") == 0) {
        printf("stripwright %s\n", sw_version());
        return SW_OK;
    }
    const cli_verb *verb = verb_find(argv[1], strlen(argv[1]));
    if (!verb) {
        fprintf(stderr, "stripwright: there is no verb '%s'; stripwright --help lists them\n", argv[1]);
        return SW_USAGE;
    }
    sw_diags *diags = sw_diags_new(NULL);
    if (!diags) {
        fputs("stripwright: out of memory\n", stderr);
        return SW_SYSTEM;
    }
    sw_status status = run(verb, argc - 1, argv + 1, diags);
    sw_diags_free(diags);
    if ((fflush(stdout) != 0 || ferror(stdout)) && status == SW_OK) {
        fputs("stripwright: standard output could not be written\n", stderr);
        status = SW_SYSTEM;
    }
    return (int)status;
}
