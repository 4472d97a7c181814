/* Damaged files through the whole pipeline (tests/lib/pipeline.h): no crash, no hang, and
 * memory in proportion.  The damage is the same on every machine; SW_FUZZ_ROUNDS asks for
 * more rounds a file than check takes.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>
#include <cmocka.h>

#include "tests/lib/corpus.h"
#include "tests/lib/pipeline.h"

/* The sanitizers' own shadow memory is more than the bound that is set otherwise. */
#if defined(__SANITIZE_ADDRESS__)
#define SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define SANITIZED 1
#endif
#endif
#ifndef SANITIZED
#define SANITIZED 0
#endif

enum { MOST_SEEDS = 400, LARGEST = 24 * 1024, ROUNDS = 40 };

typedef struct seed {
    char *bytes;
    size_t length;
    const char *name;
    void (*run)(const char *name, const char *bytes, size_t length);
} seed;

static seed seeds[MOST_SEEDS];
static size_t seed_count;

/* ---- the corpus ---- */

static void add_seed(const char *name, const char *bytes, size_t length,
                     void (*run)(const char *, const char *, size_t)) {
    assert_true(seed_count < MOST_SEEDS);
    seed *s = &seeds[seed_count++];
    *s = (seed){malloc(length + 1), length, name, run};
    assert_non_null(s->bytes);
    memcpy(s->bytes, bytes, length);
}

/* Large tables are cut behind their first lines: damage there is as good. */
static void add_file(const char *path, void *run) {
    static char bytes[LARGEST];
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    size_t length = fread(bytes, 1, sizeof bytes, file);
    fclose(file);
    const char *dot = strrchr(path, '.');
    const char *name = !dot                         ? "damaged"
                       : strcmp(dot, ".csv") == 0   ? "damaged.csv"
                       : strcmp(dot, ".edf") == 0   ? "damaged.edf"
                       : strcmp(dot, ".sched") == 0 ? "damaged.sched"
                                                    : "damaged.cir";
    void (*const *function)(const char *, const char *, size_t) = run;
    add_seed(name, bytes, length, *function);
}

static void (*const file_run)(const char *, const char *, size_t) = test_pipeline_file;
static void (*const table_run)(const char *, const char *, size_t) = test_pipeline_table;

/* A plan of the lamp, and the lamp in every circuit format. */
static void add_written(void) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *fitted = test_pipeline_lamp(library, NULL, diags);
    sw_plan *plan = NULL;
    sw_layout_options options;
    sw_layout_options_default(&options);
    options.effort = SW_EFFORT_QUICK;
    assert_int_equal(sw_layout(fitted, library, &options, NULL, NULL, diags, &plan, NULL), SW_OK);
    sw_document document = {.circuit = fitted, .plan = plan, .library = library, .date = "", .revision = ""};
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        sw_buf out = SW_BUF_INIT;
        if (!format->write || !(format->read_circuit || format->read_plan))
            continue;
        assert_int_equal(sw_write(format, &document, NULL, diags, &out), SW_OK);
        for (int twice = 0; twice < 4; twice++) /* small, so several times as often */
            add_seed("damaged", out.bytes, out.length, test_pipeline_file);
        sw_buf_free(&out);
    }
    sw_plan_free(plan);
    sw_circuit_free(fitted);
    sw_library_free(library);
    sw_diags_free(diags);
}

static int load(void **state) {
    static const char *const folders[] = {"bed-waterer", "frost-alarm", "lamp-flasher", "moisture-amplifier", "pump-driver",
                                          "rain-counter", "tray-thermostat"};
    static const char sheet[] =
        "name,ref,device,package,unit,pins,value,place,omit\nR1,R9,,RES-0.25W,,\"1,2\",1k,,\n"
        "Q1,,BC547,TO-92,,\"C,B,E\",,,\nC*,,,ELEC-5,,,22u,board,\nLED1,,LED,,,,,off,\nR2,,,,,,,,yes\n";
    (void)state;
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++) {
        char path[100];
        snprintf(path, sizeof path, "examples/%s", folders[i]);
        assert_true(test_corpus(path, ".csv", add_file, (void *)&file_run) +
                        test_corpus(path, ".cir", add_file, (void *)&file_run) > 0);
    }
    assert_true(test_corpus("tests/formats/spice/good", ".cir", add_file, (void *)&file_run) > 0);
    assert_true(test_corpus("tests/formats/edif", ".edf", add_file, (void *)&file_run) > 0);
    assert_true(test_corpus("src/parts/data", ".csv", add_file, (void *)&table_run) > 0);
    for (int i = 0; i < 6; i++)
        add_seed("damaged.csv", sheet, sizeof sheet - 1, test_pipeline_sheet);
    add_written();
    return 0;
}

static int unload(void **state) {
    (void)state;
    for (size_t i = 0; i < seed_count; i++)
        free(seeds[i].bytes);
    return 0;
}

/* ---- the damage ---- */

/* xorshift (Marsaglia 2003): the same damage on every machine. */
static uint32_t next(uint32_t *state) {
    *state ^= *state << 13;
    *state ^= *state >> 17;
    *state ^= *state << 5;
    return *state;
}

static size_t below(uint32_t *state, size_t most) { return most ? next(state) % most : 0; }

typedef struct work { char bytes[2 * LARGEST]; size_t length; } work;

static void insert(work *w, size_t at, const char *bytes, size_t length) {
    if (w->length + length > sizeof w->bytes)
        return;
    memmove(w->bytes + at + length, w->bytes + at, w->length - at);
    memcpy(w->bytes + at, bytes, length);
    w->length += length;
}

/* Words that mean something to a reader, and numbers at the edge of its types. */
static void insert_word(work *w, uint32_t *state) {
    static const char *const words[] = {
        "\n", ",", "\"", "=", "(", ")", "<", "/>", "&#0;", "&amp;", " ", "-1", "0", "65536", "4294967296", "1e999",
        "18446744073709551616", "\xff\xfe", "\xc3", "+", "*@ R1 ref=", "U1.", ".subckt a b\n", ".ends\n", "{1/0}",
        "A1", "ZZ99999", "pins=", "unit=A", "VCC", "GND", "R1", "Q1", "\r\n", "$", ";", "part ", "node ", "\\", "\x1b["};
    const char *word = words[below(state, sizeof words / sizeof *words)];
    insert(w, below(state, w->length + 1), word, strlen(word));
}

/* A stretch goes away, comes twice, or comes from another file. */
static void move_stretch(work *w, uint32_t *state) {
    char stretch[512];
    size_t at = below(state, w->length + 1), length = 1 + below(state, sizeof stretch);
    length = length < w->length - at ? length : w->length - at;
    uint32_t what = next(state) % 3;
    memcpy(stretch, w->bytes + at, length);
    if (what == 0) {
        memmove(w->bytes + at, w->bytes + at + length, w->length - at - length);
        w->length -= length;
    } else if (what == 1) {
        insert(w, below(state, w->length + 1), stretch, length);
    } else {
        const seed *other = &seeds[below(state, seed_count)];
        size_t from = below(state, other->length), most = other->length - from;
        insert(w, at, other->bytes + from, most < sizeof stretch ? most : sizeof stretch);
    }
}

static void damage(work *w, uint32_t *state) {
    for (size_t i = 1 + below(state, 6); i > 0; i--) {
        uint32_t what = next(state) % 8;
        if (what < 3 && w->length)
            w->bytes[below(state, w->length)] = (char)(next(state) & 0xFF);
        else if (what < 6)
            insert_word(w, state);
        else
            move_stretch(w, state);
    }
}

static void damaged_files_end_well(void **state) {
    static work w;
    const char *more = getenv("SW_FUZZ_ROUNDS");
    unsigned rounds = more ? (unsigned)strtoul(more, NULL, 10) : ROUNDS;
    (void)state;
    for (unsigned round = 1; round <= rounds; round++)
        for (size_t i = 0; i < seed_count; i++) {
            uint32_t random = round * 2654435761u + (uint32_t)i * 40503u + 1;
            memcpy(w.bytes, seeds[i].bytes, w.length = seeds[i].length);
            damage(&w, &random);
            seeds[i].run(seeds[i].name, w.bytes, w.length);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(damaged_files_end_well)};
#if !SANITIZED
    struct rlimit most = {(rlim_t)1 << 30, (rlim_t)1 << 30};
    setrlimit(RLIMIT_DATA, &most);
#endif
    alarm(getenv("SW_FUZZ_ROUNDS") ? 0 : 300); /* a reader that does not come to an end */
    return cmocka_run_group_tests_name("damaged files through the pipeline", tests, load, unload);
}
