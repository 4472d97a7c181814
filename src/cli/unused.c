/* src/cli/unused.c: options that were given and have no effect on this job.  Those of a
 * project file are defaults for all that is done with a circuit, and not spoken of. */
#include <string.h>
#include "cli.h"

void option_unused(const cli_job *job, cli_option option, const char *why) {
    if (job->args->given[option].count > job->args->defaults[option])
        sw_diag_add(job->diags, SW_D_OPTION_UNUSED, SW_NOWHERE, "--%s has no effect here: %s", option_name(option),
                    why);
}

void unused_by_format(const cli_job *job, const sw_format *format) {
    static const cli_option options[] = {OPT_TOP, OPT_MAP};
    sw_buf why = SW_BUF_INIT;
    if (format->hierarchy)
        return;
    sw_buf_printf(&why, "it is for a netlist with cells and properties, and this is %s", format->name);
    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        option_unused(job, options[i], why.bytes ? why.bytes : "");
    sw_buf_free(&why);
}

void unused_without_fit(const cli_job *job) {
    static const cli_option options[] = {OPT_PARTS, OPT_LIBRARY, OPT_RAIL, OPT_NUMBERS, OPT_NUMBER, OPT_COMPACT};
    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        option_unused(job, options[i], "it is about the fitted circuit; add --fitted");
}

void unused_by_deck(const cli_job *job) {
    if (!job->left_out)
        option_unused(job, OPT_WITHOUT, "no .include or .lib that is read names such a file");
}

static bool lies_match(const sw_circuit *fitted, const char *pattern) {
    for (uint32_t i = 0; i < fitted->part_count; i++)
        if (sw_match(pattern, fitted->parts[i].ref) || sw_match(pattern, fitted->parts[i].package))
            return true;
    return false;
}

void unused_by_circuit(const cli_job *job, const sw_layout_options *options) {
    for (size_t i = job->args->defaults[OPT_LIE]; i < options->lie_count; i++)
        if (!lies_match(job->fitted, options->lies[i].pattern))
            sw_diag_add(job->diags, SW_D_OPTION_UNUSED, SW_NOWHERE,
                        "--lie has no effect here: no part and no package is called %s", options->lies[i].pattern);
}
