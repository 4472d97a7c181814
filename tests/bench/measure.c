/* tests/bench/measure.c: time, and the plain scan that readers are held against. */
#include "measure.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

double bench_now(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

size_t bench_scan(const sw_input *input) {
    size_t brackets = 0;
    bool quoted = false;
    for (size_t i = 0; i < input->length; i++) {
        char c = input->bytes[i];
        quoted ^= c == '"';
        brackets += !quoted && (c == '(' || c == ')' || c == '<' || c == '>');
    }
    return brackets;
}

/* One round: what it takes to open the file and to scan it or do the job; below 0 when
 * that failed. */
static double take(const char *path, const bench_job *job, bench_speed *speed) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    void *made = NULL;
    double start = bench_now(), taken = -1;
    bool done = diags && sw_input_open(diags, path, &input) == SW_OK;
    if (done && job)
        done = (made = job->run(&input, diags)) != NULL;
    else if (done)
        speed->brackets = bench_scan(&input);
    if (done) {
        taken = bench_now() - start;
        speed->megabytes = (double)input.length / 1e6;
    }
    if (made)
        job->release(made);
    sw_diags_free(diags);
    return taken;
}

bool bench_measure(const char *path, const bench_job *job, bench_speed *speed) {
    *speed = (bench_speed){.scan = 1e9, .job = 1e9};
    for (int round = 0; round < 7; round++) {
        double scan = take(path, NULL, speed), done = take(path, job, speed);
        if (scan < 0 || done < 0)
            return false;
        speed->scan = scan < speed->scan ? scan : speed->scan;
        speed->job = done < speed->job ? done : speed->job;
    }
    return true;
}

void bench_show(const char *what, const bench_speed *speed) {
    printf("%s %.0f MB/s, a plain scan %.0f MB/s: %.1f times as long\n", what,
           speed->megabytes / speed->job, speed->megabytes / speed->scan,
           speed->job / speed->scan);
}

bool bench_write(const sw_buf *text, char path[64]) {
    snprintf(path, 64, "/tmp/stripwright-bench.XXXXXX");
    int file = text->failed ? -1 : mkstemp(path);
    if (file < 0)
        return false;
    size_t written = 0;
    for (ssize_t more = 1; more > 0 && written < text->length; written += (size_t)more) {
        more = write(file, text->bytes + written, text->length - written);
        if (more < 0)
            break;
    }
    return close(file) == 0 && written == text->length;
}
