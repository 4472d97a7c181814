/* tests/lib/format.c: what tests of formats share. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/alloc.h"
#include "tests/lib/format.h"

static const sw_format *format_called(const char *name) {
    const sw_format *format = name ? sw_format_find(name) : NULL;
    if (name && !format)
        fail_msg("no format is called %s", name);
    return format;
}

static test_reading read_with(const char *format, const char *name, const char *bytes,
                              size_t length, const sw_read_options *options) {
    test_reading reading = {.diags = sw_diags_new(NULL)};
    sw_input input;
    assert_non_null(reading.diags);
    assert_int_equal(sw_input_text(reading.diags, name, bytes, length, &input), SW_OK);
    reading.status = sw_read_circuit(format_called(format), &input, options, reading.diags,
                                     &reading.circuit);
    assert_int_equal(reading.status == SW_OK, reading.circuit != NULL);
    return reading;
}

test_reading test_read(const char *format, const char *name, const char *bytes, size_t length) {
    return read_with(format, name, bytes, length, NULL);
}

test_reading test_read_text(const char *format, const char *text) {
    return test_read(format, "test", text, strlen(text));
}

test_reading test_read_options(const char *format, const char *text,
                               const sw_read_options *options) {
    return read_with(format, "test", text, strlen(text), options);
}

test_reading test_read_file(const char *format, const char *path) {
    size_t length;
    char *bytes = test_file(path, &length);
    test_reading reading = test_read(format, path, bytes, length);
    free(bytes);
    return reading;
}

void test_reading_free(test_reading *reading) {
    sw_circuit_free(reading->circuit);
    sw_diags_free(reading->diags);
}

static FILE *open_below(const char *path) {
    const char *tree = getenv("SW_SRCDIR");
    char whole[1024];
    snprintf(whole, sizeof whole, "%s/%s", tree ? tree : ".", path);
    FILE *file = fopen(whole, "rb");
    if (!file)
        fail_msg("cannot open %s", whole);
    return file;
}

char *test_file(const char *path, size_t *length) {
    FILE *file = open_below(path);
    size_t room = 4096, used = 0, got;
    char *bytes = malloc(room);
    assert_non_null(bytes);
    while ((got = fread(bytes + used, 1, room - used - 1, file)) > 0) {
        used += got;
        if (used + 1 < room)
            continue;
        room *= 2;
        bytes = realloc(bytes, room);
        assert_non_null(bytes);
    }
    fclose(file);
    bytes[used] = '\0';
    *length = used;
    return bytes;
}

static void fail_with_diagnostics(const sw_diags *diags, const char *what) {
    sw_buf shown = SW_BUF_INIT;
    sw_diags_show(diags, &shown);
    print_message("%s\n", shown.bytes ? shown.bytes : "(no diagnostics)");
    sw_buf_free(&shown);
    fail_msg("%s", what);
}

char *test_write(const char *format, const sw_circuit *circuit, sw_diags *diags) {
    sw_diags *own = diags ? NULL : sw_diags_new(NULL);
    sw_document document = {.circuit = circuit};
    sw_buf out = SW_BUF_INIT;
    sw_status status = sw_write(format_called(format), &document, NULL, diags ? diags : own, &out);
    if (status != SW_OK || (own && sw_diags_count(own)))
        fail_with_diagnostics(diags ? diags : own, "writing failed or complained");
    sw_diags_free(own);
    sw_buf_putc(&out, '\0');
    assert_false(out.failed);
    return out.bytes;
}

char *test_schedule(const sw_circuit *circuit) {
    return test_write("schedule", circuit, NULL);
}

void test_golden(const char *format, const char *text, const char *schedule) {
    test_reading reading = test_read_text(format, text);
    if (!reading.circuit)
        fail_with_diagnostics(reading.diags, "reading failed");
    char *got = test_schedule(reading.circuit);
    assert_string_equal(got, schedule);
    free(got);
    test_reading_free(&reading);
}

/* ---- bad inputs ---- */

static const sw_diag *first_error(const sw_diags *diags) {
    for (size_t i = 0; i < sw_diags_count(diags); i++)
        if (sw_diags_get(diags, i)->severity == SW_ERROR)
            return sw_diags_get(diags, i);
    return NULL;
}

static void expect_error(const test_reading *reading, const char *name, const char *id,
                         unsigned line, unsigned column) {
    const sw_diag *error = first_error(reading->diags);
    sw_place place = {.line = 0, .column = 0};
    if (!error)
        fail_msg("%s: no error was found", name);
    else
        sw_diags_place(reading->diags, error->span, &place);
    if (reading->status != SW_BAD_INPUT || strcmp(sw_diag_name(error->id), id) != 0 ||
        place.line != line || place.column != column) {
        print_message("%s: wanted %u:%u [%s], got %u:%u\n", name, line, column, id, place.line,
                      place.column);
        fail_with_diagnostics(reading->diags, "another error was expected first");
    }
}

void test_bad_text(const char *format, const char *text, const char *id, unsigned line,
                   unsigned column) {
    test_reading reading = test_read_text(format, text);
    expect_error(&reading, text, id, line, column);
    test_reading_free(&reading);
}

static unsigned files_in(const char *folder) {
    const char *tree = getenv("SW_SRCDIR");
    char whole[1024];
    unsigned count = 0;
    snprintf(whole, sizeof whole, "%s/%s", tree ? tree : ".", folder);
    DIR *open = opendir(whole);
    assert_non_null(open);
    for (struct dirent *entry = readdir(open); entry; entry = readdir(open))
        count += *entry->d_name != '.' && strcmp(entry->d_name, "EXPECTED") != 0;
    closedir(open);
    return count;
}

void test_bad_folder(const char *format, const char *folder) {
    char path[512], name[128], id[64];
    unsigned line, column, count = 0;
    snprintf(path, sizeof path, "%s/EXPECTED", folder);
    FILE *expected = open_below(path);
    while (fscanf(expected, "%127s %u:%u %63s", name, &line, &column, id) == 4) {
        snprintf(path, sizeof path, "%s/%s", folder, name);
        test_reading reading = test_read_file(format, path);
        expect_error(&reading, name, id, line, column);
        test_reading_free(&reading);
        count++;
    }
    assert_int_equal(feof(expected) != 0, 1);
    fclose(expected);
    assert_true(count > 0);
    assert_int_equal(count, files_in(folder));
}

/* ---- damaged inputs ---- */

static void read_or_refuse(const char *format, const char *bytes, size_t length) {
    test_reading reading = test_read(format, "test", bytes, length);
    if (reading.status != SW_OK && !first_error(reading.diags))
        fail_msg("refused (%d) without saying why", (int)reading.status);
    if (reading.circuit)
        free(test_schedule(reading.circuit));
    test_reading_free(&reading);
}

void test_cut_everywhere(const char *format, const char *text, size_t length) {
    for (size_t cut = 0; cut < length; cut++)
        read_or_refuse(format, text, cut);
}

/* xorshift32 (Marsaglia 2003): the same damage on every machine. */
static unsigned next_random(unsigned *state) {
    unsigned x = *state;
    x ^= x << 13;
    x ^= x >> 17;
    x ^= x << 5;
    return *state = x;
}

void test_damage(const char *format, const char *text, size_t length, unsigned rounds) {
    unsigned state = 2463534242u;
    char *bytes = malloc(length + 1);
    assert_non_null(bytes);
    for (unsigned round = 0; round < rounds; round++) {
        memcpy(bytes, text, length);
        for (size_t hits = length / 100 + 1; hits; hits--)
            bytes[next_random(&state) % length] = (char)(next_random(&state) & 0xFF);
        read_or_refuse(format, bytes, length);
    }
    free(bytes);
}

/* ---- memory ---- */

static sw_status there_and_back(const char *format, const sw_input *input, sw_diags *diags) {
    sw_circuit *circuit;
    sw_status status = sw_read_circuit(format_called(format), input, NULL, diags, &circuit);
    if (status == SW_OK && sw_format_find(format)->write) {
        sw_document document = {.circuit = circuit};
        sw_buf out = SW_BUF_INIT;
        status = sw_write(sw_format_find(format), &document, NULL, diags, &out);
        sw_buf_free(&out);
    }
    sw_circuit_free(circuit);
    return status;
}

void test_memory_out(const char *format, const char *text) {
    for (long n = 0;; n++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        assert_int_equal(sw_input_text(diags, "test", text, strlen(text), &input), SW_OK);
        test_alloc_fail(n);
        sw_status status = there_and_back(format, &input, diags);
        bool failed = test_alloc_reset();
        if (status != (failed ? SW_SYSTEM : SW_OK))
            fail_with_diagnostics(diags, "an allocation that failed was not told of");
        sw_diags_free(diags);
        if (!failed)
            break;
    }
}
