/* tests/bench/bench_layout.c: how small, how soon, how fast.
 *
 *     bench_layout [circuit=NAME|synthetic=PARTS|links|recipes|preferences] [seconds=S] [seeds=N] [first=SEED]
 *                  [upright=PATTERN] [packages=FILE] [made=SEED] [ics=PERCENT] [local=N]
 *                  [OPTION=VALUE …]
 *
 * made, ics and local tell the made-up circuits apart (circuits.h); seeds are the search's.
 * Packages of the file (as `--library` takes it) stand for those of the same names.
 * Options are the search's own (layout-options.def) or its tuning
 * (layout-params.def).  Without a circuit the whole
 * table of the published boards and made-up circuits is run.  A line a run, then median
 * and worst; lines that begin with `run,` and `sum,` are for programs.
 * recipes: sixteen made-up circuits of 60 parts, eight of three and eight of four ICs, of the more
 * local kind.  preferences: the published boards' circuits by least area and balanced, and how much
 * area and how many links the one takes of the other.
 * Seconds are the processor's.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "circuits.h"
#include "layout/lanes.h"

typedef struct bench {
    const sw_library *library;
    sw_layout_options options;
    swi_params params;
    int seeds;
    int first;
    bench_recipe recipe; /* of made-up circuits */
} bench;

/* Time is the processor's, that of one worker that has a core to itself, whatever else the
 * machine does; but the search's cap is by the clock, as users have it. */
typedef struct first_legal {
    clock_t start;
    double seconds; /* to the first legal plan; < 0 not yet */
    int area;
} first_legal;

/* What runs came to together. */
typedef struct totals {
    int count, areas[100];
    double area, links, balanced;
} totals;

static double since(clock_t start) {
    return (double)(clock() - start) / CLOCKS_PER_SEC;
}

static bool watch(void *user, const sw_layout_progress *progress) {
    first_legal *f = user;
    if (f->seconds < 0 && progress->best.area) {
        f->seconds = since(f->start);
        f->area = progress->best.area;
    }
    return true;
}

static int by_value(const void *a, const void *b) {
    return *(const int *)a - *(const int *)b;
}

static void put_run(const char *name, int seed, const sw_layout_report *report, const first_legal *f, const sw_neatness *neat) {
    const sw_cost *c = &report->cost;
    double seconds = since(f->start);
    printf("run,%s,%d,%d,%d,%d,%d,%d,%.1f,%.2f,%.0f,%.1f,%d,%.0f,%.0f\n", name, seed, c->strips, c->columns, c->area, c->links, c->cuts,
           c->balanced, f->seconds, (double)report->moves / seconds / 1000, seconds, report->lower_bound, neat->tidy, neat->symmetry);
    fflush(stdout);
}

static void add_run(totals *all, const sw_cost *cost) {
    all->areas[all->count++] = cost->area;
    all->area += cost->area;
    all->links += cost->links;
    all->balanced += cost->balanced;
}

/* One search; seconds to its first legal plan. */
static double run_seed(const bench *b, const char *name, const sw_circuit *circuit, sw_diags *diags, int seed, totals *all) {
    sw_layout_options options = b->options;
    options.seed = (uint64_t)seed;
    sw_plan *plan = NULL;
    sw_layout_report report;
    sw_neatness neat;
    first_legal f = {.start = clock(), .seconds = -1};
    swi_asked asked = {.watch = watch, .user = &f};
    sw_status status = swi_layout(circuit, b->library, &options, &b->params, &asked, diags, &plan, &report);
    if (status != SW_OK) {
        printf("run,%s,%d,failed,%d\n", name, seed, (int)status);
        report.cost = (sw_cost){.area = 1000000};
    } else {
        sw_plan_neatness(plan, circuit, b->library, &neat);
        put_run(name, seed, &report, &f, &neat);
    }
    add_run(all, &report.cost);
    sw_plan_free(plan);
    return f.seconds;
}

static void put_sizes(totals *all) {
    qsort(all->areas, (size_t)all->count, sizeof *all->areas, by_value);
    printf("best %d,median %d,worst %d", all->areas[0], all->areas[all->count / 2], all->areas[all->count - 1]);
}

static totals run_circuit(const bench *b, const char *name, const sw_circuit *circuit, sw_diags *diags, int published) {
    totals all = {.count = 0};
    double slowest = 0;
    for (int i = 0; i < b->seeds && i < 100; i++) {
        double seconds = run_seed(b, name, circuit, diags, b->first + i, &all);
        slowest = seconds > slowest ? seconds : slowest;
    }
    printf("sum,%s,parts %d,published %d,", name, (int)circuit->part_count, published);
    put_sizes(&all);
    printf(",first legal %.2f s\n", slowest);
    fflush(stdout);
    return all;
}

static void show_diags(const sw_diags *diags) {
    sw_buf out = SW_BUF_INIT;
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        sw_diag_show(diags, sw_diags_get(diags, i), &out);
    if (out.bytes)
        fputs(out.bytes, stderr);
    sw_buf_free(&out);
}

static totals run_named(const bench *b, const char *name) {
    totals all = {.count = 0};
    sw_diags *diags = sw_diags_new(NULL);
    int published = 0;
    for (int i = 0; bench_circuit_name(i); i++)
        if (strcmp(bench_circuit_name(i), name) == 0)
            published = bench_circuit_published(i);
    sw_circuit *circuit = bench_circuit(name, b->library, diags);
    if (circuit)
        all = run_circuit(b, name, circuit, diags, published);
    show_diags(diags);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
    return all;
}

static totals run_synthetic(bench *b, int parts) {
    totals all = {.count = 0};
    sw_diags *diags = sw_diags_new(NULL);
    b->recipe.parts = parts;
    sw_circuit *circuit = bench_made_up(&b->recipe, b->library, diags);
    char name[80];
    snprintf(name, sizeof name, "synthetic-%d made %d ics %d local %d", parts, (int)b->recipe.seed,
             b->recipe.ics, b->recipe.local);
    if (circuit)
        all = run_circuit(b, name, circuit, diags, 0);
    show_diags(diags);
    sw_circuit_free(circuit);
    sw_diags_free(diags);
    return all;
}

/* Links on boards of fixed size: across only, then resistors also upright. */
static void run_links(bench *b) {
    static const struct { const char *name; int strips, columns; } boards[] = {{"seed-flasher", 6, 21}, {"frost-lamp", 8, 16}};
    static const sw_lie_rule upright = {"R*", SW_LIE_ACROSS | SW_LIE_UPRIGHT};
    b->options.prefer = SW_PREFER_LINKS;
    b->options.fixed_size = true;
    b->options.lies = &upright;
    for (int i = 0; i < 4; i++) {
        b->options.lie_count = i % 2 ? 1 : 0;
        b->options.strips = boards[i / 2].strips;
        b->options.columns = boards[i / 2].columns;
        printf("links,%s,%d,%d,%s\n", boards[i / 2].name, b->options.strips, b->options.columns, i % 2 ? "upright allowed" : "across");
        run_named(b, boards[i / 2].name);
    }
}

/* Sixteen circuits, a seed each: how large 60 parts become depends on the circuit more than on the seed. */
static void run_recipes(bench *b) {
    totals all = {.count = 0};
    b->seeds = 1;
    b->recipe.local = 5;
    for (int i = 0; i < 16; i++) {
        b->recipe.ics = i % 2 ? 7 : 5;
        b->recipe.seed = (uint64_t)(i / 2 + 1);
        totals one = run_synthetic(b, 60);
        if (one.count)
            all.areas[all.count++] = one.areas[0];
    }
    printf("sum,recipes,parts 60,circuits %d,", all.count);
    put_sizes(&all);
    putchar('\n');
}

/* Balanced beside least area: geometric means over the circuits. */
static void run_preferences(bench *b) {
    double area = 0, links = 0, sum = 0;
    int count = 0;
    for (; bench_circuit_published(count); count++) {
        b->options.prefer = SW_PREFER_AREA;
        totals least = run_named(b, bench_circuit_name(count));
        b->options.prefer = SW_PREFER_BALANCE;
        totals balanced = run_named(b, bench_circuit_name(count));
        area += log(balanced.area / least.area);
        links += log(balanced.links / least.links);
        sum += log(balanced.balanced / least.balanced);
    }
    printf("sum,balanced beside least area,circuits %d,area %.3f,links %.3f,balanced sum %.3f\n", count, exp(area / count),
           exp(links / count), exp(sum / count));
}

static void run_table(bench *b) {
    static const struct { int parts; double seconds; } made_up[] = {{60, 30}, {120, 60}, {300, 60}};
    for (int i = 0; bench_circuit_published(i); i++) {
        b->options.seconds = i < 7 ? 15 : 30;
        run_named(b, bench_circuit_name(i));
    }
    for (size_t i = 0; i < sizeof made_up / sizeof *made_up; i++) {
        b->options.seconds = made_up[i].seconds;
        run_synthetic(b, made_up[i].parts);
    }
}

typedef struct wanted {
    bool links, recipes, preferences;
    const char *circuit, *synthetic;
    sw_lie_rule upright; /* these may also stand upright */
} wanted;

static bool add_packages(const char *path, sw_library *library, sw_diags *diags) {
    sw_input table = {0};
    return sw_input_open(diags, path, &table) == SW_OK && sw_library_add(library, &table, diags) == SW_OK;
}

/* An option of the bench alone; false: it is none. */
static bool set_own(bench *b, wanted *w, const char *name, const char *value) {
    const struct { const char *name; int *number; } numbers[] = {
        {"seeds", &b->seeds}, {"first", &b->first}, {"ics", &b->recipe.ics}, {"local", &b->recipe.local}};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (strcmp(name, numbers[i].name) == 0) {
            *numbers[i].number = atoi(value);
            return true;
        }
    if (strcmp(name, "links") == 0)
        w->links = true;
    else if (strcmp(name, "recipes") == 0)
        w->recipes = true;
    else if (strcmp(name, "preferences") == 0)
        w->preferences = true;
    else if (strcmp(name, "circuit") == 0)
        w->circuit = value;
    else if (strcmp(name, "synthetic") == 0)
        w->synthetic = value;
    else if (strcmp(name, "made") == 0)
        b->recipe.seed = strtoull(value, NULL, 10);
    else if (strcmp(name, "upright") == 0) {
        w->upright.pattern = value;
        b->options.lies = &w->upright;
        b->options.lie_count = 1;
    } else
        return false;
    return true;
}

/* One NAME=VALUE; NULL, or what it should be. */
static const char *set(bench *b, wanted *w, sw_library *library, sw_diags *diags, char *argument) {
    char *equals = strchr(argument, '='), *value = equals ? equals + 1 : argument + strlen(argument);
    if (equals)
        *equals = '\0';
    if (strcmp(argument, "packages") == 0)
        return add_packages(value, library, diags) ? NULL : "a file of packages";
    if (set_own(b, w, argument, value) || swi_params_set(&b->params, argument, atol(value)))
        return NULL;
    return sw_layout_options_set(&b->options, argument, value);
}

static void run_wanted(bench *b, const wanted *w) {
    puts("run,circuit,seed,strips,columns,area,links,cuts,balanced,first legal s,moves a ms,seconds,bound,tidy %,symmetry %");
    if (w->links)
        run_links(b);
    else if (w->recipes)
        run_recipes(b);
    else if (w->preferences)
        run_preferences(b);
    else if (w->circuit)
        run_named(b, w->circuit);
    else if (w->synthetic)
        run_synthetic(b, atoi(w->synthetic));
    else
        run_table(b);
}

int main(int argc, char **argv) {
    bench b = {.seeds = 1, .first = 1, .recipe = {.seed = 1, .ics = 7, .local = 8}};
    wanted w = {.upright = {"", SW_LIE_ACROSS | SW_LIE_UPRIGHT}};
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    const char *wrong = NULL;
    b.library = library;
    sw_layout_options_default(&b.options);
    swi_params_default(&b.params);
    b.options.prefer = SW_PREFER_AREA;
    b.options.workers = 1;
    for (int i = 1; i < argc && !wrong; i++) {
        wrong = set(&b, &w, library, diags, argv[i]);
        if (wrong)
            fprintf(stderr, "%s: wants %s\n", argv[i], wrong);
    }
    if (wrong)
        show_diags(diags);
    else
        run_wanted(&b, &w);
    sw_library_free(library);
    sw_diags_free(diags);
    return wrong ? 2 : 0;
}
