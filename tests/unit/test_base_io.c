/* Inputs and outputs: files, folders, devices, gzip, and SHA-256. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

#include "base/fault.h"
#include "base/sha256.h"

static char folder[] = "/tmp/stripwright-io-XXXXXX";
static char path[400];

static const char *in_folder(const char *name) {
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static int make_folder(void **state) {
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state) {
    (void)state;
    DIR *dir = opendir(folder);
    for (struct dirent *entry; dir && (entry = readdir(dir));)
        if (entry->d_name[0] != '.')
            remove(in_folder(entry->d_name));
    closedir(dir);
    return rmdir(folder); /* fails when a temporary was left behind */
}

static void put_file(const char *name, const void *bytes, size_t length) {
    FILE *file = fopen(in_folder(name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

/* Reads a path; what it holds must be these bytes. */
static void reads_as(const char *name, const char *bytes, size_t length) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input = {0};
    assert_int_equal(sw_input_open(diags, name, &input), SW_OK);
    assert_int_equal(sw_diags_count(diags), 0);
    assert_int_equal(input.source, 1);
    assert_int_equal(input.length, length);
    assert_memory_equal(input.bytes, bytes, length);
    assert_int_equal(input.bytes[length], '\0');
    sw_diags_free(diags);
}

/* Reading a path must fail so. */
static void refuses(const char *name, const sw_limits *limits, sw_status status, sw_diag_id id) {
    sw_diags *diags = sw_diags_new(limits);
    sw_input input = {0};
    assert_int_equal(sw_input_open(diags, name, &input), status);
    assert_int_equal(sw_diags_count(diags), 1);
    assert_int_equal(sw_diags_get(diags, 0)->id, id);
    assert_non_null(strstr(sw_diags_get(diags, 0)->message, name));
    sw_diags_free(diags);
}

static void plain_files(void **state) {
    (void)state;
    put_file("plain", "R1 a b 10k\n", 11);
    reads_as(in_folder("plain"), "R1 a b 10k\n", 11);
    put_file("empty", "", 0);
    reads_as(in_folder("empty"), "", 0);
    put_file("nul", "a\0b", 3);
    reads_as(in_folder("nul"), "a\0b", 3);
    put_file("one", "\x1F", 1); /* half of gzip's magic */
    reads_as(in_folder("one"), "\x1F", 1);
    reads_as("/dev/null", "", 0);
}

static void large_files(void **state) {
    (void)state;
    enum { SIZE = 5000001 };
    char *bytes = malloc(SIZE);
    for (size_t i = 0; i < SIZE; i++)
        bytes[i] = (char)(i * 7 % 251);
    put_file("large", bytes, SIZE);
    reads_as(in_folder("large"), bytes, SIZE);
    free(bytes);
}

static void what_cannot_be_read(void **state) {
    (void)state;
    refuses(in_folder("missing"), NULL, SW_SYSTEM, SW_D_INPUT_MISSING);
    refuses(folder, NULL, SW_SYSTEM, SW_D_INPUT_UNREADABLE);
    put_file("plain", "x", 1);
    refuses(in_folder("plain/x"), NULL, SW_SYSTEM, SW_D_INPUT_UNREADABLE);
}

static void limit_of_size(void **state) {
    (void)state;
    sw_limits limits;
    sw_limits_default(&limits);
    limits.file_bytes = 10;
    put_file("ten", "0123456789", 10);
    put_file("eleven", "0123456789a", 11);
    sw_diags *diags = sw_diags_new(&limits);
    sw_input input;
    assert_int_equal(sw_input_open(diags, in_folder("ten"), &input), SW_OK);
    assert_int_equal(sw_input_text(diags, "t", "0123456789a", 11, &input), SW_BAD_INPUT);
    sw_diags_free(diags);
    refuses(in_folder("eleven"), &limits, SW_BAD_INPUT, SW_D_LIMIT_FILE);
    refuses("/dev/zero", &limits, SW_BAD_INPUT, SW_D_LIMIT_FILE); /* one without an end */
}

/* Packs as any program might: with a name and a time. */
static size_t packed(const char *bytes, size_t length, unsigned char *out, size_t room) {
    z_stream z = {0};
    gz_header header = {.os = 3, .time = 1234567, .name = (Bytef *)"deck.cir"};
    assert_int_equal(deflateInit2(&z, 6, Z_DEFLATED, 31, 8, Z_DEFAULT_STRATEGY), Z_OK);
    deflateSetHeader(&z, &header);
    z.next_in = (Bytef *)bytes;
    z.avail_in = (uInt)length;
    z.next_out = out;
    z.avail_out = (uInt)room;
    assert_int_equal(deflate(&z, Z_FINISH), Z_STREAM_END);
    size_t size = room - z.avail_out;
    deflateEnd(&z);
    return size;
}

static void gzip_is_unpacked(void **state) {
    (void)state;
    unsigned char out[4096];
    size_t first = packed("V1 vcc 0 9\n", 11, out, sizeof out);
    put_file("a.gz", out, first);
    reads_as(in_folder("a.gz"), "V1 vcc 0 9\n", 11);
    put_file("named-otherwise", out, first); /* by its magic, not by its name */
    reads_as(in_folder("named-otherwise"), "V1 vcc 0 9\n", 11);
    /* RFC 1952 section 2.2: members follow one another. */
    size_t second = packed("R1 vcc 0 1k\n", 12, out + first, sizeof out - first);
    put_file("two.gz", out, first + second);
    reads_as(in_folder("two.gz"), "V1 vcc 0 9\nR1 vcc 0 1k\n", 23);
    memset(out + first + second, 0, 512); /* padding */
    put_file("padded.gz", out, first + second + 512);
    reads_as(in_folder("padded.gz"), "V1 vcc 0 9\nR1 vcc 0 1k\n", 23);
    put_file("empty.gz", out, packed("", 0, out, sizeof out));
    reads_as(in_folder("empty.gz"), "", 0);
}

/* The Unicode Standard, table 3-6 (bit distribution of UTF-8) and 3.9: U+1D11E is D834 DD1E. */
static void utf_16_becomes_utf_8(void **state) {
    (void)state;
    put_file("little", "\xFF\xFE" "R\0\xB5\0\xAC\x20\n\0\x34\xD8\x1E\xDD", 14);
    reads_as(in_folder("little"), "R\xC2\xB5\xE2\x82\xAC\n\xF0\x9D\x84\x9E", 11);
    put_file("big", "\xFE\xFF\0R\0\xB5\x20\xAC\0\n\xD8\x34\xDD\x1E", 14);
    reads_as(in_folder("big"), "R\xC2\xB5\xE2\x82\xAC\n\xF0\x9D\x84\x9E", 11);
    put_file("halves", "\xFE\xFF\xD8\x34\0a\xDD\x1E\0", 9); /* two lone surrogates, half a unit */
    reads_as(in_folder("halves"), "\xEF\xBF\xBD" "a\xEF\xBF\xBD\xEF\xBF\xBD", 10);
    put_file("mark", "\xFF\xFE", 2);
    reads_as(in_folder("mark"), "", 0);
}

static void damaged_gzip(void **state) {
    (void)state;
    unsigned char out[4096];
    size_t size = packed("a deck of some length, so that it packs, packs, packs", 53, out, sizeof out);
    for (size_t kept = 2; kept < size; kept++) { /* cut at every byte */
        put_file("cut.gz", out, kept);
        refuses(in_folder("cut.gz"), NULL, SW_BAD_INPUT, SW_D_INPUT_GZIP);
    }
    out[size - 6] ^= 1; /* the check sum */
    put_file("sum.gz", out, size);
    refuses(in_folder("sum.gz"), NULL, SW_BAD_INPUT, SW_D_INPUT_GZIP);
    out[size - 6] ^= 1;
    out[size] = 'x';
    put_file("byte.gz", out, size + 1);
    refuses(in_folder("byte.gz"), NULL, SW_BAD_INPUT, SW_D_INPUT_GZIP);
    memcpy(out + size, "rubbish", 7);
    put_file("rubbish.gz", out, size + 7);
    refuses(in_folder("rubbish.gz"), NULL, SW_BAD_INPUT, SW_D_INPUT_GZIP);
}

/* Little that unpacks to much stops at the limit. */
static void gzip_bomb(void **state) {
    (void)state;
    enum { SIZE = 8000000 };
    char *zeros = calloc(1, SIZE);
    unsigned char *out = malloc(SIZE);
    size_t size = packed(zeros, SIZE, out, SIZE);
    assert_true(size < 20000);
    put_file("bomb.gz", out, size);
    reads_as(in_folder("bomb.gz"), zeros, SIZE);
    sw_limits limits;
    sw_limits_default(&limits);
    limits.file_bytes = 1000000;
    refuses(in_folder("bomb.gz"), &limits, SW_BAD_INPUT, SW_D_LIMIT_FILE);
    free(zeros);
    free(out);
}

static void standard_input(void **state) {
    (void)state;
    put_file("stdin", "from a pipe\n", 12);
    int saved = dup(STDIN_FILENO);
    for (int round = 0; round < 2; round++) {
        int ends[2];
        if (round == 0) {
            assert_int_equal(pipe(ends), 0);
            assert_int_equal(write(ends[1], "from a pipe\n", 12), 12);
            close(ends[1]);
        } else {
            ends[0] = open(in_folder("stdin"), O_RDONLY);
        }
        dup2(ends[0], STDIN_FILENO);
        close(ends[0]);
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        assert_int_equal(sw_input_open(diags, "-", &input), SW_OK);
        assert_string_equal(input.name, "standard input");
        assert_string_equal(input.bytes, "from a pipe\n");
        sw_diags_free(diags);
    }
    dup2(saved, STDIN_FILENO);
    close(saved);
}

static void inputs_keep_their_place(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input first, input;
    assert_int_equal(sw_input_text(diags, "first", "abc", 3, &first), SW_OK);
    const char *bytes = first.bytes, *name = first.name;
    for (uint32_t i = 2; i < 100; i++) {
        assert_int_equal(sw_input_text(diags, "more", "x", 1, &input), SW_OK);
        assert_int_equal(input.source, i);
    }
    assert_string_equal(bytes, "abc");
    assert_string_equal(name, "first");
    sw_diags_free(diags);
}

/* ---- outputs ---- */

static sw_status write_to(const char *name, const char *bytes, size_t length, sw_diag_id *id) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_status status = sw_output_write(diags, name, bytes, length);
    assert_int_equal(sw_diags_count(diags), status == SW_OK ? 0 : 1);
    if (status != SW_OK)
        *id = sw_diags_get(diags, 0)->id;
    sw_diags_free(diags);
    return status;
}

static void writes(const char *name, const char *bytes, size_t length) {
    sw_diag_id id;
    assert_int_equal(write_to(name, bytes, length, &id), SW_OK);
}

static void cannot_write(const char *name) {
    sw_diag_id id = SW_DIAG_COUNT;
    assert_int_equal(write_to(name, "bytes", 5, &id), SW_SYSTEM);
    assert_int_equal(id, SW_D_OUTPUT_FAILED);
}

static unsigned mode_of(const char *name) {
    struct stat about;
    assert_int_equal(stat(name, &about), 0);
    return (unsigned)about.st_mode & 07777u;
}

static void files_are_written_whole(void **state) {
    (void)state;
    mode_t mask = umask(027);
    writes(in_folder("new"), "first", 5);
    umask(mask);
    assert_int_equal(mode_of(in_folder("new")), 0640); /* as the umask says */
    reads_as(in_folder("new"), "first", 5);
    assert_int_equal(chmod(in_folder("new"), 0604), 0);
    writes(in_folder("new"), "", 0);
    assert_int_equal(mode_of(in_folder("new")), 0604); /* as it was */
    reads_as(in_folder("new"), "", 0);
}

static void links_stay_links(void **state) {
    (void)state;
    put_file("target", "old", 3);
    char target[400];
    strcpy(target, in_folder("target"));
    assert_int_equal(symlink(target, in_folder("link")), 0);
    writes(in_folder("link"), "new", 3);
    struct stat about;
    assert_int_equal(lstat(in_folder("link"), &about), 0);
    assert_true(S_ISLNK(about.st_mode));
    reads_as(target, "new", 3);
}

static void packed_outputs(void **state) {
    (void)state;
    enum { SIZE = 100000 };
    char *bytes = malloc(SIZE);
    for (size_t i = 0; i < SIZE; i++)
        bytes[i] = (char)("strips and columns\n"[i % 19] + (i % 1000 == 0));
    writes(in_folder("a.GZ"), bytes, SIZE);
    writes(in_folder("b.gz"), bytes, SIZE);
    reads_as(in_folder("a.GZ"), bytes, SIZE);
    writes(in_folder("none.gz"), "", 0);
    reads_as(in_folder("none.gz"), "", 0);
    free(bytes);
    /* RFC 1952 2.3: no flags, no time, operating system unknown; the same twice. */
    unsigned char a[200], b[200];
    FILE *file = fopen(in_folder("a.GZ"), "rb");
    size_t size = fread(a, 1, sizeof a, file);
    fclose(file);
    file = fopen(in_folder("b.gz"), "rb");
    assert_int_equal(fread(b, 1, sizeof b, file), size);
    fclose(file);
    assert_memory_equal(a, b, size);
    assert_memory_equal(a, "\x1F\x8B\x08\0\0\0\0\0", 8);
    assert_int_equal(a[9], 255);
}

static void failures_leave_nothing_behind(void **state) {
    (void)state;
    cannot_write(folder);
    cannot_write(in_folder("no-such-folder/x"));
    char name[400];
    memset(name, 'n', sizeof name);
    memcpy(name, folder, strlen(folder));
    name[strlen(folder)] = '/';
    name[sizeof name - 1] = '\0';
    cannot_write(name); /* the name is too long, also for the rename */
}

/* What is no regular file is written into and never replaced.  A pipe of the test's
 * own stands for all of these: run as root, a fault here would otherwise put a file
 * in the place of the machine's devices. */
static void pipes_are_written_directly(void **state) {
    (void)state;
    assert_int_equal(mkfifo(in_folder("pipe"), 0600), 0);
    int reader = open(in_folder("pipe"), O_RDWR | O_NONBLOCK);
    assert_true(reader >= 0);
    writes(in_folder("pipe"), "into the pipe", 13);
    char got[32];
    assert_int_equal(read(reader, got, sizeof got), 13);
    assert_memory_equal(got, "into the pipe", 13);
    close(reader);
    struct stat about;
    assert_int_equal(stat(in_folder("pipe"), &about), 0);
    assert_true(S_ISFIFO(about.st_mode));
}

/* A full disk too: the descriptor is the device's, no path leads to it. */
static void standard_output(void **state) {
    (void)state;
    fflush(stdout);
    int saved = dup(STDOUT_FILENO), ends[2];
    assert_int_equal(pipe(ends), 0);
    dup2(ends[1], STDOUT_FILENO);
    sw_diag_id id;
    sw_status status = write_to("-", "to a pipe", 9, &id);
    int full = open("/dev/full", O_WRONLY);
    dup2(full, STDOUT_FILENO);
    sw_status full_status = write_to("-", "x", 1, &id);
    dup2(saved, STDOUT_FILENO);
    close(saved);
    close(full);
    close(ends[1]);
    char got[32];
    assert_int_equal(read(ends[0], got, sizeof got), 9);
    close(ends[0]);
    assert_memory_equal(got, "to a pipe", 9);
    assert_int_equal(status, SW_OK);
    assert_int_equal(full_status, SW_SYSTEM);
    assert_int_equal(id, SW_D_OUTPUT_FAILED);
}

static void errno_in_english(void **state) {
    (void)state;
    assert_string_equal(swi_errno_text(ENOSPC), "the disk is full");
    assert_string_equal(swi_errno_text(123456), "the system refused");
}

/* ---- SHA-256 ---- */

static void sha256_is(const char *bytes, size_t length, const char *wanted) {
    char hex[65];
    swi_sha256(bytes, length, hex);
    assert_string_equal(hex, wanted);
}

/* NIST, "Examples with Intermediate Values" for FIPS 180-4: SHA-256; the million of
 * a and the empty message: NIST's SHA test vectors. */
static void sha256_vectors(void **state) {
    (void)state;
    sha256_is("abc", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    sha256_is("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", 56,
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    sha256_is("", 0, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    char *many = malloc(1000000);
    memset(many, 'a', 1000000);
    sha256_is(many, 1000000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    free(many);
    /* 112 bytes: the length takes a block of its own (same source, two blocks). */
    sha256_is("abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklm"
              "nopqrlmnopqrsmnopqrstnopqrstu", 112,
              "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_files),          cmocka_unit_test(large_files),
        cmocka_unit_test(what_cannot_be_read),  cmocka_unit_test(limit_of_size),
        cmocka_unit_test(gzip_is_unpacked),     cmocka_unit_test(damaged_gzip),
        cmocka_unit_test(utf_16_becomes_utf_8),
        cmocka_unit_test(gzip_bomb),            cmocka_unit_test(standard_input),
        cmocka_unit_test(inputs_keep_their_place), cmocka_unit_test(files_are_written_whole),
        cmocka_unit_test(links_stay_links),     cmocka_unit_test(packed_outputs),
        cmocka_unit_test(failures_leave_nothing_behind),
        cmocka_unit_test(pipes_are_written_directly), cmocka_unit_test(standard_output),
        cmocka_unit_test(errno_in_english),     cmocka_unit_test(sha256_vectors),
    };
    return cmocka_run_group_tests_name("base: inputs and outputs", tests, make_folder,
                                       remove_folder);
}
