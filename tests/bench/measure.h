/* tests/bench/measure.h: what benches measure with. */
#ifndef BENCH_MEASURE_H
#define BENCH_MEASURE_H

#include <stripwright/stripwright.h>

/* Seconds of the processor, not of the clock on the wall: other work does not count. */
double bench_now(void);

/* A plain scan: each byte looked at by itself, in order, with the one bit of state that
 * nothing that reads quoted text can do without.  Returns the brackets outside of quotes:
 * those of EDIF and of XML.  No search that looks at many bytes at once. */
size_t bench_scan(const sw_input *input);

/* Seconds, the least of several rounds, each of which opens the file through the library's
 * input layer (that counts, too), in a process of its own as a command would: to scan it,
 * and to do the job. */
typedef struct bench_speed {
    double megabytes, scan, job;
    size_t brackets;
} bench_speed;
/* Makes something of the input, or NULL when that fails; what it made is released when the
 * time has been taken. */
typedef struct bench_job {
    void *(*run)(const sw_input *input, sw_diags *diags);
    void (*release)(void *made);
} bench_job;
/* false: the file cannot be opened, or the job failed. */
bool bench_measure(const char *path, const bench_job *job, bench_speed *speed);
/* "WHAT 270 MB/s, a plain scan 1010 MB/s: 3.7 times as long". */
void bench_show(const char *what, const bench_speed *speed);

/* Writes a file of a name in the folder for temporary files; false when it cannot. */
bool bench_write(const sw_buf *text, char path[64]);

#endif
