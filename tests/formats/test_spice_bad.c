/* One deck a defect: each is told by its id, at its place, and nothing else is. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/corpus.h"
#include "tests/lib/deck.h"

static char *expected; /* the text of EXPECTED */

static int load_expected(void **state) {
    (void)state;
    char path[4096];
    snprintf(path, sizeof path, "%s/tests/formats/spice/bad/EXPECTED", getenv("SW_SRCDIR"));
    FILE *file = fopen(path, "rb");
    expected = calloc(1, 1 << 16);
    size_t length = file && expected ? fread(expected, 1, (1 << 16) - 1, file) : 0;
    if (file)
        fclose(file);
    return length > 0 ? 0 : -1;
}

static int drop_expected(void **state) {
    (void)state;
    free(expected);
    return 0;
}

/* The lines of EXPECTED about a deck, without its name. */
static void lines_about(const char *name, size_t length, sw_buf *out) {
    for (const char *line = expected; *line;) {
        size_t n = strcspn(line, "\n");
        if (n > length && strncmp(line, name, length) == 0 && line[length] == ' ')
            sw_buf_printf(out, "%.*s\n", (int)(n - length - 1), line + length + 1);
        line += n + (line[n] == '\n');
    }
}

/* "id *" stands for the id at any place. */
static bool same_findings(const char *found, const char *wanted) {
    const char *star = strstr(wanted, " *\n");
    if (!star)
        return strcmp(found, wanted) == 0;
    size_t id = (size_t)(star - wanted) + 1;
    const char *end = strchr(found, '\n');
    return strncmp(found, wanted, id) == 0 && end && end[1] == '\0';
}

static void check_deck(const char *path, void *user) {
    (void)user;
    const char *name = strrchr(path, '/') + 1;
    sw_buf found = SW_BUF_INIT, wanted = SW_BUF_INIT;
    test_deck deck = test_deck_file(path);
    test_deck_findings(deck.diags, &found);
    lines_about(name, strlen(name) - 4, &wanted);
    if (!wanted.bytes)
        fail_msg("%s is not in EXPECTED", name);
    if (!same_findings(found.bytes ? found.bytes : "", wanted.bytes))
        fail_msg("%s\nfound:\n%swanted:\n%s", name, found.bytes ? found.bytes : "", wanted.bytes);
    bool error = sw_diags_of(deck.diags, SW_ERROR) > 0;
    assert_int_equal(deck.status,
                     !error ? SW_OK : strncmp(found.bytes, "input-", 6) == 0 ? SW_SYSTEM : SW_BAD_INPUT);
    sw_buf_free(&found);
    sw_buf_free(&wanted);
    test_deck_free(&deck);
}

static void each_defect_is_told_at_its_place(void **state) {
    (void)state;
    assert_true(test_corpus("tests/formats/spice/bad", ".cir", check_deck, NULL) > 70);
}

static void every_finding_of_reading_has_a_deck(void **state) {
    (void)state;
    for (int i = 0; i < SW_DIAG_COUNT; i++) {
        const char *name = sw_diag_name((sw_diag_id)i);
        if (strncmp(name, "spice-", 6) != 0 || strncmp(name, "spice-write-", 12) == 0 ||
            strcmp(name, "spice-include-refused") == 0) /* below */
            continue;
        char word[80];
        snprintf(word, sizeof word, " %s ", name);
        if (!strstr(expected, word))
            fail_msg("no deck triggers %s", name);
    }
}

static void files_are_opened_only_by_the_caller(void **state) {
    (void)state;
    const sw_read_options closed = {0};
    const char *text = "t\nR1 a 0 1k\n.include parts.inc\n.lib 'x y' wet\n";
    test_deck deck = test_deck_bytes("a.cir", text, strlen(text), &closed);
    sw_buf found = SW_BUF_INIT;
    test_deck_findings(deck.diags, &found);
    assert_string_equal(found.bytes, "spice-include-refused 3:10\nspice-include-refused 4:7\n");
    assert_int_equal(deck.status, SW_BAD_INPUT);
    sw_buf_free(&found);
    test_deck_free(&deck);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_defect_is_told_at_its_place),
        cmocka_unit_test(every_finding_of_reading_has_a_deck),
        cmocka_unit_test(files_are_opened_only_by_the_caller),
    };
    return cmocka_run_group_tests_name("formats/test_spice_bad", tests, load_expected,
                                       drop_expected);
}
