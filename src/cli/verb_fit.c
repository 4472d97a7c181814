/* src/cli/verb_fit.c: what each part was taken to be, as a sheet to edit. */
#include "cli.h"

static sw_status run(cli_job *job) {
    sw_buf text = SW_BUF_INIT;
    sw_status status = job_read_circuit(job, job->args->files.items[0], &job->netlist);
    if (status == SW_OK)
        status = job_fit(job, false);
    if (job->assumed) { /* also when fit failed: the sheet shows what is missing */
        sw_sheet_write(job->assumed, &text);
        sw_status wrote = job_write_text(job, &text, args_text(job->args, OPT_OUTPUT));
        if (status == SW_OK)
            status = wrote;
    }
    sw_buf_free(&text);
    return status;
}

const cli_verb verb_fit = {
    "fit", V_FIT, "FILE [-o parts.csv]", "list what each part was taken to be, as a sheet to edit",
    "Reads a circuit, decides for each part what it is physically (package, pins,\n"
    "on or off the board) and writes that as a parts sheet (CSV): stated, known or\n"
    "assumed.  Edit the sheet and give it back with --parts.",
    1, 1, run};
