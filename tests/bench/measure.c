/* tests/bench/measure.c: time, and the plain scan that readers are held against. */
#include "measure.h"

#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
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

/* The round in a process of its own, so that it finds no memory that another has used. */
static double take_alone(const char *path, const bench_job *job, bench_speed *speed) {
    struct { double seconds; bench_speed speed; } told = {-1, *speed};
    int ends[2];
    if (pipe(ends) != 0)
        return -1;
    pid_t child = fork();
    if (child == 0) {
        told.seconds = take(path, job, &told.speed);
        _exit(write(ends[1], &told, sizeof told) == (ssize_t)sizeof told ? 0 : 1);
    }
    close(ends[1]);
    bool heard = child > 0 && read(ends[0], &told, sizeof told) == (ssize_t)sizeof told;
    close(ends[0]);
    if (child > 0)
        waitpid(child, NULL, 0);
    if (!heard)
        return -1;
    *speed = told.speed;
    return told.seconds;
}

bool bench_measure(const char *path, const bench_job *job, bench_speed *speed) {
    double least_scan = 1e9, least_job = 1e9;
    *speed = (bench_speed){0};
    for (int round = 0; round < 7; round++) {
        double scan = take_alone(path, NULL, speed), done = take_alone(path, job, speed);
        if (scan < 0 || done < 0)
            return false;
        least_scan = scan < least_scan ? scan : least_scan;
        least_job = done < least_job ? done : least_job;
    }
    speed->scan = least_scan;
    speed->job = least_job;
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
