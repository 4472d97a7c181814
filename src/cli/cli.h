/* src/cli/cli.h: the command.  main.c finds the verb, args.c its options, one
 * verb_*.c a verb; job.c holds the steps that verbs share, each one call into
 * the library.  Only this room prints and exits.
 */
#ifndef CLI_H
#define CLI_H

#include <stdio.h>
#include <stripwright/stripwright.h>

/* The ending of a word behind a count: "1 link", "2 links". */
#define CLI_S(count) ((count) == 1 ? "" : "s")

/* Verbs as bits, for the options' table. */
enum {
    V_NODES = 1, V_FIT = 2, V_PLAN = 4, V_CHECK = 8, V_CONVERT = 16, V_WORKPACK = 32,
    V_LIST = 64, V_COMPARE = 128, V_ORDER = 256,
    V_SEARCH = V_PLAN | V_WORKPACK,
    V_CIRCUIT = V_NODES | V_FIT | V_PLAN | V_CHECK | V_CONVERT | V_WORKPACK | V_COMPARE,
    V_ALL = 511
};

typedef enum cli_option {
#define SW_OPTION(id, name, letter, argument, verbs, help) OPT_##id,
#include "options.def"
#undef SW_OPTION
    OPT_COUNT
} cli_option;

/* A value that the project file gave, and where it stands there. */
typedef struct cli_default { char *text; const char *option; sw_span span; } cli_default;

typedef struct cli_values { const char **items; size_t count; } cli_values;

typedef struct cli_args cli_args;
typedef struct cli_job cli_job;

typedef struct cli_verb {
    const char *name;
    unsigned bit;
    const char *usage;       /* after the verb's name */
    const char *summary;     /* one line */
    const char *text;        /* what it does, a few lines */
    size_t least_files, most_files;
    sw_status (*run)(cli_job *job);
} cli_verb;

struct cli_args {
    const cli_verb *verb;
    cli_values given[OPT_COUNT];
    size_t defaults[OPT_COUNT]; /* how many of those, in front, the project file gave */
    cli_values search;       /* "name=value" of the search's options */
    cli_values files;
    cli_default *project;    /* the project file's values, whose text others point to */
    size_t project_count;
};

/* What a verb works on; everything is freed by job_free. */
struct cli_job {
    const cli_args *args;
    sw_diags *diags;
    sw_library *library;
    sw_sheet *sheet;         /* the user's parts sheet or NULL */
    sw_input input;          /* the circuit's text */
    sw_circuit *netlist, *fitted;
    sw_sheet *assumed;       /* what fit stated or assumed */
    sw_plan *plan;
    sw_plan *built;          /* --built: the board as it is, or NULL */
    const sw_plan *like;     /* a plan whose node numbers the circuit keeps while it is fitted, or NULL */
    sw_check_report *check;
    sw_layout_report report;
    sw_plan **others;        /* alternatives to plan */
    size_t other_count;
    size_t shown;            /* diagnostics already shown */
    bool left_out;           /* a file that a deck includes, as asked */
    cli_values unfound;      /* packages that no folder of footprints has; copies */
    char title[128];         /* for a circuit that has none: from its file's name */
};

/* args.c.  SW_USAGE (reported) when the arguments make no sense. */
sw_status args_parse(cli_args *args, const cli_verb *verb, int argc, char **argv, sw_diags *diags);
void args_free(cli_args *args);
bool args_has(const cli_args *args, cli_option option);
const char *args_text(const cli_args *args, cli_option option); /* the last one given; NULL */
/* An integer option within its bounds; fallback when not given.  *ok is cleared and the
 * mistake reported otherwise. */
long args_int(const cli_job *job, cli_option option, long least, long most, long fallback, bool *ok);
void args_help(const cli_verb *verb, FILE *out);
bool args_add(cli_values *values, const char *text);
/* NULL-terminated copy; the caller frees the array.  NULL when memory is out. */
const char **args_list(const cli_values *values);
const char *option_name(cli_option option);
const char *option_argument(cli_option option); /* "" for a flag */
unsigned option_verbs(cli_option option);

/* main.c: the verb of this name; NULL: none. */
const cli_verb *verb_find(const char *name, size_t length);

/* project.c: defaults from stripwright.ini. */
sw_status project_load(cli_args *args, sw_diags *diags);

/* unused.c: options given on the command line that have no effect are told. */
void option_unused(const cli_job *job, cli_option option, const char *why);
void unused_by_format(const cli_job *job, const sw_format *format); /* of the circuit read */
void unused_by_deck(const cli_job *job); /* once it is read, with what it includes */
void unused_without_fit(const cli_job *job);
void unused_by_circuit(const cli_job *job, const sw_layout_options *options); /* fitted */

/* footprints.c: adds to the library what the circuit, its sheet or a plan asks for and the folders of
 * footprints have. */
bool is_folder(const char *path);
sw_status footprints_of_circuit(cli_job *job, const sw_circuit *circuit);
sw_status footprints_of_plan(cli_job *job, const sw_plan *plan);
void footprints_free(cli_job *job);

/* job.c */
sw_status job_start(cli_job *job, const cli_args *args, sw_diags *diags);
void job_free(cli_job *job);
/* Reads a circuit as a netlist; the input's text stays in job->input. */
sw_status job_read_circuit(cli_job *job, const char *path, sw_circuit **out);
/* The same for job->input already open; format NULL: detect. */
sw_status job_read_opened(cli_job *job, const sw_format *format, sw_circuit **out);
/* Fits, numbers and, when asked, reviews job->netlist into job->fitted. */
sw_status job_fit(cli_job *job, bool review);
sw_status job_read_plan(cli_job *job, const char *path, sw_plan **out);
/* The circuit at --against, fitted, and from it what the job's plan leaves out. */
sw_status job_complete_plan(cli_job *job);
sw_document job_document(const cli_job *job);
/* Options of writing from the arguments; false (reported) when they make no sense. */
bool job_write_options(const cli_job *job, sw_write_options *options);
/* Writes the document in a format to a path ("-" or NULL: standard output). */
sw_status job_write(cli_job *job, const sw_format *format, const sw_document *document, const char *path);
/* Whether the folder of an output is there at all: asked before a search, not after it. */
sw_status job_can_write(cli_job *job, const char *path);
sw_status job_write_text(cli_job *job, const sw_buf *text, const char *path);
/* The format for an output: --to, else by the path's ending, else `fallback` by name;
 * NULL and a usage diagnostic when it is none. */
const sw_format *job_output_format(cli_job *job, const char *path, const char *fallback);
const char *file_base(const char *path);
sw_status usage(const cli_job *job, const char *format, ...) SW_PRINTF(2, 3);

/* search_options.c: options of the search, from layout-options.def and options.def. */
typedef struct search_option { const char *name, *argument, *help; } search_option;
const search_option *search_option_at(size_t index); /* NULL after the last */
/* Fills the search's options from the arguments; what they point to belongs to
 * *memory until search_options_free. */
typedef struct search_memory search_memory;
sw_status search_options(cli_job *job, sw_layout_options *options, search_memory **memory);
void search_options_free(search_memory *memory);
/* What a kept plan leaves out, as a hole list does, from the fitted circuit. */
sw_status search_complete(cli_job *job, search_memory *memory);

/* built.c: --built. */
/* SW_OK also without it.  What the options point to is the caller's: the plan, and *loose to be freed. */
sw_status built_read(cli_job *job, sw_layout_options *options, sw_plan **plan, const char ***loose);
/* Tells the plan's links their nodes in the fitted circuit; those that join two or none come off. */
sw_status built_fit(cli_job *job, sw_plan *plan);
/* Reads the built board beside a plan that is given, for papers of the change. */
sw_status built_of_plan(cli_job *job);
/* built_advise.c: after no room was found, what might be allowed to make room; to standard error. */
sw_status built_advise(cli_job *job, const sw_layout_options *asked);
/* What is to be done on the board, to standard error. */
sw_status built_say(cli_job *job);

/* --piece SxC; both 0 when it is not given. */
sw_status piece_read(const cli_job *job, int *strips, int *columns);

/* search.c: runs the search on job->fitted into job->plan, showing progress on a
 * terminal; Ctrl-C gives the best so far. */
sw_status search_run(cli_job *job, const sw_layout_options *options);
/* One more search beside it, its findings into `diags`, its plan the caller's. */
sw_status search_try(const cli_job *job, const sw_layout_options *options, sw_diags *diags, sw_plan **plan,
                     sw_layout_report *report);
/* The proof that nothing smaller than a plan exists, with the same progress and Ctrl-C. */
sw_status search_prove(const cli_job *job, const sw_layout_options *options, const sw_plan *plan, sw_plan **smaller,
                       sw_proof *proof);
/* A lower bound that is better than counting; some seconds. */
sw_status search_bound(const cli_job *job, const sw_layout_options *options, const sw_plan *plan, sw_proof *proof);
/* Whether Ctrl-C was pressed: what would still be searched is left out. */
bool search_asked_to_stop(void);
/* Whether cost a is the better one by a preference (as the search counts, neatness aside). */
bool search_better(sw_prefer prefer, const sw_cost *a, const sw_cost *b);

/* prove.c: asks whether anything smaller than job->plan exists; what turns up is tidied and
 * taken where the preference wants it.  The answer is a sentence on standard error. */
sw_status prove_plan(cli_job *job, const sw_layout_options *options);

/* explain.c: what bounds the size of job->plan; the bound itself is worked out better first. */
sw_status explain_bound(cli_job *job, const sw_layout_options *options);
void explain_plan(const cli_job *job);
/* explain_none.c: when there is no plan, which limit is the reason, by searches without it. */
sw_status explain_no_plan(const cli_job *job, const sw_layout_options *options);

/* alternatives.c: looks for up to `most` plans of different shapes, job->plan among them;
 * the best by preference becomes job->plan, the others job->others. */
sw_status alternatives_find(cli_job *job, const sw_layout_options *options, long most);
/* Lists them, and writes the others beside `output` where it is a file. */
sw_status alternatives_write(cli_job *job, const sw_format *format, const char *output);

/* plan_changes.c: what changed between two plans but their sizes, what went the same way
 * together; false when memory is out.  One move, without a line's end. */
bool plan_changes_write(const sw_plan_difference *difference, sw_buf *out);
void plan_move_write(const sw_plan_move *move, sw_buf *out);

/* verb_compare.c: what changed between two plans. */
sw_status compare_plans_say(const sw_plan *before, const sw_plan *after, const sw_library *library, sw_buf *out);
/* What a changed circuit has otherwise than a board that is built, as lines. */
sw_status compare_built_say(cli_job *job, const sw_plan *plan, const sw_circuit *after, sw_buf *out);

/* verb_plan.c: from the circuit's file to job->plan, checked. */
sw_status plan_make(cli_job *job, const char *path);
/* One line on the plan's size. */
void plan_summary(const cli_job *job, FILE *out);
/* A line: how neat the job's plan is. */
void say_neatness(const cli_job *job, sw_buf *out);

/* index.c: the page that leads to a workpack's papers. */
typedef struct index_page { sw_buf list, told, drawing; } index_page;
void index_add(index_page *index, const char *name, const char *what);
void index_drawing(index_page *index, const sw_buf *svg);
sw_status index_write(const index_page *index, cli_job *job, const char *folder);
void index_free(index_page *index);

/* numbers.c: numbers job->fitted: as stated, as an earlier revision had it, afresh. */
sw_status numbers_give(cli_job *job);

/* show.c: findings added since *from; those that are counted only; and any text, of
 * which a terminal gets no control characters (names come from strangers). */
void show_diags(const sw_diags *diags, size_t *from);
void show_hidden(const sw_diags *diags);
void show_text(const sw_buf *text, FILE *out);

/* include.c: opens files that a deck includes, below the allowed folders. */
sw_status include_open(void *user, const char *path, const sw_input *asking, sw_span span,
                       sw_diags *diags, sw_input *out);

extern const cli_verb verb_nodes, verb_fit, verb_plan, verb_check, verb_convert, verb_workpack,
    verb_list, verb_compare, verb_order;

#endif
