/* Damaged files through the whole pipeline: what is read is fitted, numbered, reviewed,
 * checked and written, as the command does it.  Nothing is expected of a damaged file
 * but an end: no crash, no hang, a finding where there is no result, and memory in
 * proportion; and of a circuit that was read all the same that each format gives it back,
 * or tells what it has no place for.  The damage is the same on every machine; SW_FUZZ_ROUNDS asks for more
 * rounds a file than check takes.
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

#include <stripwright/stripwright.h>
#include "tests/lib/corpus.h"
#include "tests/lib/format.h"
#include "tests/lib/losses.h"

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

/* What damaged plans are checked against, and damaged sheets are used for. */
static const char lamp[] =
    "node,pins\nVCC,P1.1 R1.1 R2.1\nLAMP,R1.2 LED1.A\nCOLL,LED1.K Q1.C C1.1\n"
    "BASE,R2.2 Q1.B C1.2\nGND,P2.1 Q1.E\n\nref,value,device,package\nR1,470,,\nR2,47k,,\n"
    "C1,10u,,\nQ1,,BC547,\nLED1,red,LED,\nP1,+9 V,,PIN-1\nP2,0 V,,PIN-1\n";

/* ---- the pipeline ---- */

static sw_status refuse(void *user, const char *path, const sw_input *asking, sw_span span,
                        sw_diags *diags, sw_input *out) {
    (void)user, (void)path, (void)asking, (void)out;
    sw_diag_add(diags, SW_D_INCLUDE_REFUSED, span, "refused");
    return SW_BAD_INPUT;
}

/* In each format that can write such a document. */
static void write_all(const sw_document *document, sw_format_group group, sw_diags *diags) {
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        sw_buf out = SW_BUF_INIT;
        if (!format->write || format->group != group)
            continue;
        size_t errors = sw_diags_of(diags, SW_ERROR);
        if (sw_write(format, document, NULL, diags, &out) != SW_OK)
            assert_true(sw_diags_of(diags, SW_ERROR) > errors);
        sw_buf_free(&out);
    }
}

static sw_circuit *fitted_of(const sw_circuit *netlist, const sw_library *library, const sw_sheet *sheet,
                             sw_diags *diags) {
    sw_circuit *fitted = NULL;
    sw_sheet *assumed = NULL;
    sw_fit_options options = {.sheet = sheet};
    sw_status status = sw_fit(netlist, library, &options, diags, &fitted, &assumed);
    assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
    if (status == SW_OK) {
        sw_buf text = SW_BUF_INIT;
        sw_budget budget;
        assert_int_equal(sw_circuit_number(fitted, diags), SW_OK);
        assert_int_equal(sw_review(fitted, diags), SW_OK);
        sw_budget_work_out(fitted, &budget);
        sw_budget_write(fitted, &budget, &text);
        sw_buf_free(&text);
    }
    sw_sheet_free(assumed);
    return fitted;
}

static sw_circuit *lamp_of(const sw_library *library, const sw_sheet *sheet, sw_diags *diags) {
    sw_input input;
    sw_circuit *netlist = NULL;
    assert_int_equal(sw_input_text(diags, "lamp.csv", lamp, sizeof lamp - 1, &input), SW_OK);
    assert_int_equal(sw_read_circuit(sw_format_find("nodes"), &input, NULL, diags, &netlist), SW_OK);
    sw_circuit *fitted = fitted_of(netlist, library, sheet, diags);
    sw_circuit_free(netlist);
    return fitted;
}

/* ---- through each format and back ---- */

/* Bytes that messages show as they are. */
static bool is_plain(const sw_input *input) {
    for (size_t i = 0; i < input->length; i++) {
        unsigned char c = (unsigned char)input->bytes[i];
        if (c > 0x7E || (c < 0x20 && c != '\n' && c != '\r'))
            return false;
    }
    return true;
}

/* Lines that cannot be compared go: names that a message clips, or that hold its marks. */
static void drop_unclear(sw_buf *lines) {
    static const char *const unclear[] = {"a title:", "node name:", "derived:", "global nodes:", "pin number:",
                                          "properties of pins:", "property new: spice.value"};
    char *to = lines->bytes;
    for (char *from = to; from && *from;) {
        char *end = strchr(from, '\n');
        size_t length = end ? (size_t)(end - from) + 1 : strlen(from);
        bool drop = false;
        for (size_t i = 0; i < sizeof unclear / sizeof *unclear; i++)
            drop = drop || strncmp(from, unclear[i], strlen(unclear[i])) == 0;
        memmove(to, from, drop ? 0 : length);
        to += drop ? 0 : length;
        from += length;
    }
    if (to)
        *to = '\0';
}

static void compare_losses(const sw_circuit *circuit, const sw_circuit *back, const sw_diags *diags, const char *format) {
    sw_buf real = SW_BUF_INIT, told = SW_BUF_INIT;
    sw_buf_puts(&real, ""), sw_buf_puts(&told, "");
    test_losses_real(circuit, back, &real);
    test_losses_told(diags, &told);
    drop_unclear(&real);
    drop_unclear(&told);
    /* A message clips long names and parts them by commas and semicolons. */
    bool unclear = strstr(told.bytes, "\xE2\x80\xA6") || strstr(told.bytes, "more") || strpbrk(real.bytes, ",;");
    if (!unclear && strcmp(real.bytes, told.bytes) != 0)
        fail_msg("lost by %s:\n%stold:\n%s", format, real.bytes, told.bytes);
    sw_buf_free(&real);
    sw_buf_free(&told);
}

/* What was read is written and read back: the same, or the loss is told. */
static void keep_or_tell(const sw_circuit *circuit, const sw_library *library) {
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        if (format->group != SW_GROUP_CIRCUIT || !format->write || !format->read_circuit)
            continue;
        sw_diags *diags = sw_diags_new(NULL);
        sw_document document = {.circuit = circuit, .library = library};
        sw_buf out = SW_BUF_INIT;
        sw_circuit *back = NULL;
        sw_input input;
        if (sw_write(format, &document, NULL, diags, &out) == SW_OK) {
            char name[32];
            snprintf(name, sizeof name, "back%s", format->extensions[0]);
            assert_int_equal(sw_input_text(diags, name, out.bytes, out.length, &input), SW_OK);
            if (sw_read_circuit(NULL, &input, NULL, diags, &back) != SW_OK) {
                sw_buf shown = SW_BUF_INIT;
                sw_diags_show(diags, &shown);
                print_message("%s\n", out.bytes);
                fail_msg("does not read back as %s:\n%s", format->name, shown.bytes);
            }
            compare_losses(circuit, back, diags, format->name);
        }
        sw_circuit_free(back);
        sw_buf_free(&out);
        sw_diags_free(diags);
    }
}

static void run_circuit(const sw_input *input, const sw_format *format, const sw_library *library,
                        sw_diags *diags) {
    sw_circuit *netlist = NULL;
    sw_read_options options = {.include = refuse};
    sw_status status = sw_read_circuit(format, input, &options, diags, &netlist);
    assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
    if (status == SW_OK) {
        sw_document document = {.circuit = netlist, .library = library, .diags = diags, .date = "", .revision = ""};
        write_all(&document, SW_GROUP_CIRCUIT, diags);
        if (netlist->part_count > 0 && is_plain(input)) /* a deck of no parts is refused */
            keep_or_tell(netlist, library);
        sw_circuit_free(fitted_of(netlist, library, NULL, diags));
    }
    sw_circuit_free(netlist);
}

static void run_plan(const sw_input *input, const sw_format *format, const sw_library *library,
                     sw_diags *diags) {
    sw_plan *plan = NULL;
    sw_check_report *report = NULL;
    sw_status status = sw_read_plan(format, input, NULL, diags, &plan);
    assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
    sw_circuit *fitted = status == SW_OK ? lamp_of(library, NULL, diags) : NULL;
    if (fitted) {
        sw_plan_complete(plan, fitted, library);
        status = sw_check(plan, fitted, library, diags, &report);
        assert_true(status == SW_OK || sw_diags_of(diags, SW_ERROR) > 0);
        sw_document document = {.circuit = fitted, .plan = plan, .library = library, .check = report,
                                .diags = diags, .date = "", .revision = ""};
        write_all(&document, SW_GROUP_PLAN, diags);
        sw_buf out = SW_BUF_INIT;
        sw_write(sw_format_find("text"), &document, NULL, diags, &out);
        sw_buf_free(&out);
    }
    sw_check_report_free(report);
    sw_circuit_free(fitted);
    sw_plan_free(plan);
}

static void run_file(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_input input;
    assert_int_equal(sw_input_text(diags, name, bytes, length, &input), SW_OK);
    const sw_format *format = sw_format_detect(&input, diags);
    if (!format)
        assert_true(sw_diags_of(diags, SW_ERROR) > 0);
    else if (format->read_plan)
        run_plan(&input, format, library, diags);
    else
        run_circuit(&input, format, library, diags);
    sw_buf shown = SW_BUF_INIT;
    sw_diags_show(diags, &shown);
    sw_buf_free(&shown);
    sw_library_free(library);
    sw_diags_free(diags);
}

/* Tables and sheets serve the lamp. */
static void run_table(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_input input;
    assert_int_equal(sw_input_text(diags, name, bytes, length, &input), SW_OK);
    if (sw_library_add(library, &input, diags) == SW_OK)
        sw_circuit_free(lamp_of(library, NULL, diags));
    else
        assert_true(sw_diags_of(diags, SW_ERROR) > 0);
    sw_library_free(library);
    sw_diags_free(diags);
}

static void run_sheet(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_sheet *sheet = NULL;
    sw_input input;
    assert_int_equal(sw_input_text(diags, name, bytes, length, &input), SW_OK);
    if (sw_sheet_read(&input, diags, &sheet) == SW_OK)
        sw_circuit_free(lamp_of(library, sheet, diags));
    else
        assert_true(sw_diags_of(diags, SW_ERROR) > 0);
    sw_sheet_free(sheet);
    sw_library_free(library);
    sw_diags_free(diags);
}

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

static void (*const file_run)(const char *, const char *, size_t) = run_file;
static void (*const table_run)(const char *, const char *, size_t) = run_table;

/* A plan of the lamp, and the lamp in every circuit format. */
static void add_written(void) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_library *library = sw_library_new(diags);
    sw_circuit *fitted = lamp_of(library, NULL, diags);
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
            add_seed("damaged", out.bytes, out.length, run_file);
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
        add_seed("damaged.csv", sheet, sizeof sheet - 1, run_sheet);
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
