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

typedef struct chain {
    unsigned files, times; /* opened so far; how often each includes the next */
} chain;

static sw_status open_next(void *user, const char *path, const sw_input *asking, sw_span span,
                           sw_diags *diags, sw_input *out) {
    (void)path;
    (void)asking;
    (void)span;
    chain *c = user;
    char name[32], text[64] = "* a file\n";
    snprintf(name, sizeof name, "file %u", c->files++);
    for (unsigned i = 0; i < c->times; i++)
        strcat(text, ".include next\n");
    return sw_input_text(diags, name, text, strlen(text), out);
}

static void expect_limit(const char *text, unsigned times, uint32_t expansion, sw_diag_id id) {
    sw_limits limits;
    sw_limits_default(&limits);
    limits.expansion = expansion;
    limits.nesting = 20;
    chain c = {0, times};
    sw_read_options options = {.include = open_next, .include_user = &c};
    sw_diags *diags = sw_diags_new(&limits);
    sw_input input;
    sw_circuit *circuit = NULL;
    assert_int_equal(sw_input_text(diags, "deck", text, strlen(text), &input), SW_OK);
    assert_int_equal(sw_read_circuit(sw_format_find("spice"), &input, &options, diags, &circuit),
                     SW_BAD_INPUT);
    bool found = false;
    for (size_t i = 0; i < sw_diags_count(diags); i++) {
        const sw_diag *diag = sw_diags_get(diags, i);
        sw_place place;
        found = found || (diag->id == id && sw_diags_place(diags, diag->span, &place) &&
                          strncmp(place.name, "file ", 5) == 0);
    }
    assert_true(found);
    assert_true(c.files <= expansion + 2);
    sw_diags_free(diags);
}

/* Files that include one another without an end, one each or two each. */
static void includes_are_bounded(void **state) {
    (void)state;
    static const char *const decks[] = {
        "t\nR1 a 0 1k\n.include next\n",
        "t\nR1 a 0 1k\n.if (0)\n.endif\n.include next\n", /* looked through ahead */
    };
    for (size_t i = 0; i < 2; i++) {
        expect_limit(decks[i], 1, 1000, SW_D_LIMIT_NESTING);
        expect_limit(decks[i], 2, 1000, SW_D_LIMIT_FILE);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_defect_is_told_at_its_place),
        cmocka_unit_test(includes_are_bounded),
        cmocka_unit_test(every_finding_of_reading_has_a_deck),
        cmocka_unit_test(files_are_opened_only_by_the_caller),
    };
    return cmocka_run_group_tests_name("formats/test_spice_bad", tests, load_expected,
                                       drop_expected);
}
