/* The same circuit in whatever order a file says it, and in whatever letter case where
 * the format ignores that: the same canonical circuit, the same numbers of nodes. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/text.h"
#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

enum { ROUNDS = 25, MOST = 4096 };

static uint32_t seed;
static uint32_t draw(uint32_t below) { /* a linear congruential generator */
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) % below;
}

/* ---- pieces of a text, in another order ---- */

typedef struct pieces {
    char *at[MOST];
    size_t count;
} pieces;

static void add_piece(pieces *p, const char *from, size_t length) {
    assert_true(p->count < MOST);
    p->at[p->count] = malloc(length + 1);
    memcpy(p->at[p->count], from, length);
    p->at[p->count++][length] = '\0';
}

static void shuffle(pieces *p) {
    for (size_t i = p->count; i > 1; i--) {
        size_t k = draw((uint32_t)i);
        char *other = p->at[k];
        p->at[k] = p->at[i - 1];
        p->at[i - 1] = other;
    }
}

static void put_pieces(pieces *p, sw_buf *out, const char *between) {
    for (size_t i = 0; i < p->count; i++) {
        sw_buf_printf(out, "%s%s", i ? between : "", p->at[i]);
        free(p->at[i]);
    }
    p->count = 0;
}

/* Words of a list. */
static void put_words_shuffled(const char *from, size_t length, sw_buf *out) {
    static pieces words;
    for (size_t at = 0; at < length;) {
        size_t word = 0;
        bool quoted = false;
        while (at + word < length && (quoted || from[at + word] != ' ')) {
            quoted ^= from[at + word] == '"';
            word++;
        }
        if (word)
            add_piece(&words, from + at, word);
        at += word + 1;
    }
    shuffle(&words);
    put_pieces(&words, out, " ");
}

/* ---- lines of one format ---- */

/* A line ends with its line end; the length without that. */
static size_t line_of(const char *text, size_t *whole) {
    *whole = strcspn(text, "\n");
    size_t length = *whole && text[*whole - 1] == '\r' ? *whole - 1 : *whole;
    *whole += text[*whole] == '\n';
    return length;
}

/* Schedule: parts with their properties, pins likewise, nodes with theirs and their pins
 * in another order; each kind behind the one before. */
static void shuffle_schedule(const char *text, sw_buf *out) {
    static const char *const kinds[] = {"part ", "pin ", "node ", "model ", "row "};
    static pieces groups[5];
    size_t whole, kind = 5;
    for (; *text; text += whole) {
        line_of(text, &whole);
        size_t k = 0;
        while (k < 5 && strncmp(text, kinds[k], strlen(kinds[k])) != 0)
            k++;
        if (k == 5 && kind == 5) { /* the first lines */
            sw_buf_put(out, text, whole);
        } else if (k == 5) { /* a property of what is above */
            char **last = &groups[kind].at[groups[kind].count - 1];
            *last = realloc(*last, strlen(*last) + whole + 1);
            strncat(*last, text, whole);
        } else {
            kind = k;
            const char *colon = k == 2 ? strstr(text, " : ") : NULL;
            sw_buf line = SW_BUF_INIT;
            sw_buf_put(&line, text, colon ? (size_t)(colon - text) + 3 : whole);
            if (colon) {
                put_words_shuffled(colon + 3, whole - (size_t)(colon - text) - 4, &line);
                sw_buf_putc(&line, '\n');
            }
            add_piece(&groups[k], line.bytes, line.length);
            sw_buf_free(&line);
        }
    }
    for (size_t k = 0; k < 5; k++) {
        shuffle(&groups[k]);
        put_pieces(&groups[k], out, "");
    }
}

/* A deck: elements, models and definitions, with their continuations and `*@` lines. */
static void shuffle_deck(const char *text, sw_buf *out) {
    static pieces groups;
    size_t whole;
    bool inside = false;
    line_of(text, &whole);
    sw_buf_put(out, text, whole);
    for (text += whole; *text && strncmp(text, ".end\n", 5) != 0; text += whole) {
        line_of(text, &whole);
        bool more = inside || *text == '+' || *text == '*';
        if (more) {
            char **last = &groups.at[groups.count - 1];
            *last = realloc(*last, strlen(*last) + whole + 1);
            strncat(*last, text, whole);
        } else {
            add_piece(&groups, text, whole);
        }
        inside = (inside && strncmp(text, ".ends", 5) != 0) || strncmp(text, ".subckt", 7) == 0;
    }
    shuffle(&groups);
    put_pieces(&groups, out, "");
    sw_buf_puts(out, text);
}

/* Tables: rows below a header; lists in cells. */
static void shuffle_table(const char *text, sw_buf *out) {
    static pieces rows;
    size_t whole;
    bool header = true;
    for (; *text; text += whole) {
        size_t length = line_of(text, &whole);
        if (length == 0) { /* the table of parts begins */
            shuffle(&rows);
            put_pieces(&rows, out, "");
        }
        if (header || length == 0)
            sw_buf_put(out, text, whole);
        else
            add_piece(&rows, text, whole);
        header = length == 0;
    }
    shuffle(&rows);
    put_pieces(&rows, out, "");
}

static size_t form_length(const char *text) {
    size_t depth = 0, at = 0;
    bool quoted = false;
    do {
        quoted ^= text[at] == '"';
        depth += !quoted && text[at] == '(';
        depth -= !quoted && text[at] == ')';
        at++;
    } while (depth);
    return at;
}

/* The forms of a form's rest in another order, those that `mixed` begins with only. */
static size_t put_forms_shuffled(const char *text, const char *mixed, sw_buf *out,
                                 void (*inside)(const char *form, sw_buf *out)) {
    pieces *forms = calloc(1, sizeof *forms);
    size_t at = 0;
    for (;;) {
        size_t blank = strspn(text + at, " \n");
        if (strncmp(text + at + blank, mixed, strlen(mixed)) != 0)
            break;
        size_t length = form_length(text + at + blank);
        add_piece(forms, text + at + blank, length);
        at += blank + length;
    }
    shuffle(forms);
    for (size_t i = 0; i < forms->count; i++) {
        sw_buf_putc(out, '\n');
        inside(forms->at[i], out);
        free(forms->at[i]);
    }
    free(forms);
    return at;
}

static void as_it_is(const char *form, sw_buf *out) {
    sw_buf_puts(out, form);
}

/* A net's portRefs. */
static void mix_net(const char *form, sw_buf *out) {
    const char *joined = strstr(form, "(joined");
    size_t head = (size_t)(joined - form) + strlen("(joined");
    sw_buf_put(out, form, head);
    head += put_forms_shuffled(form + head, "(portRef", out, as_it_is);
    sw_buf_puts(out, form + head);
}

/* EDIF: cells of the external library, instances, nets and what they join; nets may
 * stand before instances. */
static void shuffle_edif(const char *text, sw_buf *out) {
    const char *cells = strstr(text, "\n    (cell ");
    sw_buf_put(out, text, (size_t)(cells - text));
    cells += put_forms_shuffled(cells, "(cell ", out, as_it_is);
    const char *contents = strstr(cells, "(contents") + strlen("(contents");
    sw_buf_put(out, cells, (size_t)(contents - cells));
    sw_buf instances = SW_BUF_INIT, nets = SW_BUF_INIT;
    contents += put_forms_shuffled(contents, "(instance ", &instances, as_it_is);
    contents += put_forms_shuffled(contents, "(net ", &nets, mix_net);
    bool nets_first = draw(2);
    sw_buf_puts(out, nets_first ? nets.bytes : instances.bytes);
    sw_buf_puts(out, nets_first ? instances.bytes : nets.bytes);
    sw_buf_puts(out, contents);
    sw_buf_free(&instances);
    sw_buf_free(&nets);
}

/* ---- letter case ---- */

/* Any case outside quotes; of a table the header alone. */
static void mix_case(char *text, bool header) {
    bool quoted = false;
    for (; *text && !(header && *text == '\n'); text++) {
        quoted ^= *text == '"';
        if (!quoted && draw(2))
            *text = swi_is_alpha(*text) ? (char)(*text ^ 0x20) : *text;
    }
}

/* ---- the test ---- */

typedef struct way {
    const char *format;
    void (*shuffle)(const char *text, sw_buf *out);
    enum { STATES_CASE, IGNORES_CASE, HEADER_ONLY } letters;
} way;

static const way ways[] = {
    {"schedule", shuffle_schedule, STATES_CASE}, {"spice", shuffle_deck, IGNORES_CASE},
    {"edif", shuffle_edif, IGNORES_CASE},        {"pins", shuffle_table, HEADER_ONLY},
    {"nodes", shuffle_table, HEADER_ONLY},       {"parts", shuffle_table, HEADER_ONLY},
};

/* The canonical circuit with its numbers; folded: in small letters. */
static char *canonical(const char *format, const char *text, bool folded) {
    test_reading r = test_read_text(format, text);
    if (!r.circuit) {
        sw_buf shown = SW_BUF_INIT;
        sw_diags_show(r.diags, &shown);
        fail_msg("%s\n%s", shown.bytes, text);
    }
    if (!r.circuit->by_number)
        assert_int_equal(sw_circuit_number(r.circuit, r.diags), SW_OK);
    char *told = test_schedule(r.circuit);
    for (char *c = told; folded && *c; c++)
        *c = swi_lower(*c);
    /* Whether a node is called as its pin is by chance a matter of letters, too. */
    for (char *c; folded && (c = strstr(told, " derived :")) != NULL;)
        memmove(c, c + 8, strlen(c + 8) + 1);
    test_reading_free(&r);
    return told;
}

static void expect_same(const way *w, const char *text, const char *other, bool folded) {
    char *wanted = canonical(w->format, text, folded);
    char *got = canonical(w->format, other, folded);
    if (strcmp(wanted, got) != 0)
        fprintf(stderr, "%s:\n%s\n--- is read as\n%s\n--- and not\n%s\n", w->format, other, got,
                wanted);
    assert_true(strcmp(wanted, got) == 0);
    free(wanted);
    free(got);
}

static void check_way(const way *w, const sw_circuit *circuit) {
    sw_diags *quiet = sw_diags_new(NULL);
    sw_document document = {.circuit = circuit};
    sw_buf written = SW_BUF_INIT;
    bool differs = false;
    sw_status status = sw_write(sw_format_find(w->format), &document, NULL, quiet, &written);
    const char *text = written.bytes;
    if (status != SW_OK) /* lists cannot spell every name */
        assert_true(test_count(quiet, SW_D_CSV_LIST) > 0);
    for (unsigned round = 0; status == SW_OK && round < ROUNDS; round++) {
        sw_buf out = SW_BUF_INIT;
        seed = round;
        w->shuffle(text, &out);
        differs |= strcmp(text, out.bytes) != 0;
        expect_same(w, text, out.bytes, false);
        if (w->letters != STATES_CASE) {
            mix_case(out.bytes, w->letters == HEADER_ONLY);
            expect_same(w, text, out.bytes, true);
        }
        sw_buf_free(&out);
    }
    assert_true(differs || status != SW_OK);
    sw_buf_free(&written);
    sw_diags_free(quiet);
}

static void check_circuit(const char *path) {
    test_reading r = test_read_file(NULL, path);
    assert_non_null(r.circuit);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        check_way(&ways[i], r.circuit);
    test_reading_free(&r);
}

static void the_order_of_a_file_means_nothing(void **state) {
    (void)state;
    check_circuit("examples/frost-alarm/frost-alarm.cir");
    check_circuit("examples/bed-waterer/bed-waterer.csv");
    check_circuit("examples/rain-counter/rain-counter.csv");
    check_circuit("tests/formats/edif/frost-alarm.edf");
}

/* A circuit format that is listed is shuffled here. */
static void each_circuit_format_is_tried(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_format_count(); i++) {
        const sw_format *format = sw_format_at(i);
        bool tried = false;
        for (size_t k = 0; k < sizeof ways / sizeof *ways; k++)
            tried |= strcmp(ways[k].format, format->name) == 0;
        if (format->group == SW_GROUP_CIRCUIT && format->read_circuit && format->write && !tried)
            fail_msg("%s is not shuffled", format->name);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_order_of_a_file_means_nothing),
        cmocka_unit_test(each_circuit_format_is_tried),
    };
    return cmocka_run_group_tests_name("order and letter case", tests, NULL, NULL);
}
