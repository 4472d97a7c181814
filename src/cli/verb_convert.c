/* src/cli/verb_convert.c: one format into another. */
#include <string.h>
#include "cli.h"

static const sw_format *from_format(cli_job *job, const sw_input *input) {
    const char *name = args_text(job->args, OPT_FROM);
    if (!name)
        return sw_format_detect(input, job->diags);
    const sw_format *format = sw_format_find(name);
    if (!format)
        usage(job, "there is no format '%s'; stripwright list formats names them", name);
    return format;
}

static sw_status read_either(cli_job *job, const char *path) {
    sw_input input;
    sw_status status = sw_input_open(job->diags, path, &input);
    if (status != SW_OK)
        return status;
    const sw_format *format = from_format(job, &input);
    if (!format)
        return args_has(job->args, OPT_FROM) ? SW_USAGE : SW_BAD_INPUT;
    if (format->read_plan)
        return sw_read_plan(format, &input, NULL, job->diags, &job->plan);
    job->input = input;
    return job_read_opened(job, format, &job->netlist);
}

/* A paper of a plan may want the circuit too: --against names it. */
static sw_status run(cli_job *job) {
    const char *path = args_text(job->args, OPT_OUTPUT);
    const sw_format *format = job_output_format(job, path, NULL);
    if (!format)
        return SW_USAGE;
    sw_status status = read_either(job, job->args->files.items[0]);
    if (status == SW_OK && job->netlist && args_has(job->args, OPT_FITTED))
        status = job_fit(job, false);
    if (!args_has(job->args, OPT_FITTED) && !args_has(job->args, OPT_AGAINST))
        unused_without_fit(job);
    if (status == SW_OK && !job->plan)
        option_unused(job, OPT_AGAINST, "it is the circuit of a plan, and the input is a circuit");
    if (status == SW_OK && job->plan && args_has(job->args, OPT_AGAINST))
        status = job_complete_plan(job);
    if (status == SW_OK && !job->plan)
        option_unused(job, OPT_BUILT, "it is the board before a plan, and the input is a circuit");
    else if (status == SW_OK)
        status = built_of_plan(job);
    if (status != SW_OK)
        return status;
    sw_document document = job_document(job);
    return job_write(job, format, &document, path);
}

const cli_verb verb_convert = {
    "convert", V_CONVERT, "IN -o OUT", "turn one format into another",
    "Reads a circuit or a plan and writes it in another format, told by OUT's ending\n"
    "or --to.  What the target cannot keep is said.  Netlists are converted as they\n"
    "are; --fitted converts the circuit with packages and every pin.  - is standard\n"
    "input or output.",
    1, 1, run};
