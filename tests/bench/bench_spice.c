/* How fast and how small decks are read: a ladder of resistors and capacitors, of
 * 100 000 and 1 000 000 elements, and the smaller one loaded by a simulator on the same
 * machine at the same time.  Processor time, so that other work counts little; wanted
 * are a twentieth of the simulator's time, linear growth and 400 bytes an element. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <stripwright/stripwright.h>

enum { SMALL = 100000, LARGE = 1000000 };

typedef struct cost {
    double seconds; /* of processor */
    long kilobytes; /* at the most */
} cost;

static bool write_ladder(const char *path, int elements) {
    FILE *file = fopen(path, "w");
    if (!file) return false;
    fputs("ladder\nV1 n0 0 1\n", file);
    for (int i = 0; i < elements / 2; i++)
        fprintf(file, "R%d n%d n%d 1k\nC%d n%d 0 1n\n", i, i, i + 1, i, i + 1);
    fputs(".end\n", file);
    return fclose(file) == 0;
}

static int read_deck(const char *path) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    sw_circuit *circuit = NULL;
    sw_status status = sw_input_open(diags, path, &input);
    if (status == SW_OK)
        status = sw_read_circuit(sw_format_find("spice"), &input, NULL, diags, &circuit);
    return status == SW_OK ? 0 : 1; /* the process ends here: freeing would say nothing */
}

static int load_in_simulator(const char *path) {
    char commands[] = "commands.XXXXXX";
    FILE *file = fdopen(mkstemp(commands), "w+");
    if (!file) return 1;
    if (path) fprintf(file, "source %s\n", path);
    fputs("quit\n", file);
    rewind(file);
    dup2(fileno(file), STDIN_FILENO);
    unlink(commands);
    if (!freopen("/dev/null", "w", stdout) || !freopen("/dev/null", "w", stderr)) return 1;
    execlp("ngspice", "ngspice", "-n", "-p", (char *)NULL);
    return 127;
}

/* The job in a process of its own; seconds below 0 when it failed. */
static cost measure(int (*job)(const char *), const char *path) {
    struct rusage used;
    int status = 1;
    pid_t child = fork();
    if (child == 0) _exit(job(path));
    if (child < 0 || wait4(child, &status, 0, &used) != child || status != 0) return (cost){-1, 0};
    return (cost){(double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
                      (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec) * 1e-6,
                  used.ru_maxrss};
}

/* What is measured, in turns: a machine that other work slows for a while slows all of
 * them, so that each has met a quiet moment when the rounds are over. */
typedef struct job {
    int (*run)(const char *);
    const char *path;
    cost least; /* what disturbs only adds */
} job;

enum { ROUNDS = 9 };

static void take_turns(job *jobs, size_t count) {
    for (int round = 0; round < ROUNDS; round++)
        for (size_t i = 0; i < count; i++) {
            cost again = measure(jobs[i].run, jobs[i].path);
            if (round == 0 || again.seconds < jobs[i].least.seconds) jobs[i].least = again;
        }
}

int main(void) {
    char folder[] = "/tmp/stripwright-bench.XXXXXX";
    if (!mkdtemp(folder) || chdir(folder) != 0) return 1;
    bool written = write_ladder("empty.cir", 0) && write_ladder("small.cir", SMALL) &&
                   write_ladder("large.cir", LARGE);
    job jobs[] = {{.run = read_deck, .path = "empty.cir"},
                  {.run = read_deck, .path = "small.cir"},
                  {.run = read_deck, .path = "large.cir"},
                  {.run = load_in_simulator},
                  {.run = load_in_simulator, .path = "small.cir"}};
    take_turns(jobs, sizeof jobs / sizeof *jobs);
    cost none = jobs[0].least, small = jobs[1].least, large = jobs[2].least;
    cost idle = jobs[3].least, loaded = jobs[4].least;
    double per_small = (small.seconds - none.seconds) / SMALL * 1e9;
    double per_large = (large.seconds - none.seconds) / LARGE * 1e9;
    printf("100 000 elements: %.0f ns an element\n", per_small);
    printf("1 000 000 elements: %.0f ns an element, %.0f bytes an element with the text\n",
           per_large, (double)(large.kilobytes - none.kilobytes) * 1024 / LARGE);
    if (loaded.seconds > 0) {
        double theirs = (loaded.seconds - idle.seconds) / SMALL * 1e9;
        printf("the simulator: %.0f ns an element, %.1f times as long\n", theirs,
               theirs / per_small);
    } else {
        puts("the simulator (ngspice) is not here to compare with");
    }
    unlink("empty.cir");
    unlink("small.cir");
    unlink("large.cir");
    return chdir("/") == 0 && rmdir(folder) == 0 && written ? 0 : 1;
}
