/* Node numbers: they follow from references and pins alone, and stay. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"

static sw_circuit *numbered(sw_diags *diags, const char *text) {
    sw_circuit *c = test_circuit(diags, SW_STAGE_FITTED, text);
    assert_non_null(c);
    assert_int_equal(sw_circuit_number(c, diags), SW_OK);
    return c;
}

static void set_rail(sw_circuit *c, const char *node, sw_rail rail) {
    c->nodes[sw_circuit_node(c, node).i].rail = rail;
}

/* Worked by hand from the stated order: rails + 0 -; U1 has most pins, so its
 * pins 2, 3, 6, 10 in natural order (not 10 before 2); then Q1; then R2 before
 * R10; then the lone pins, again in natural order. */
static void numbers_by_the_stated_order(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = test_circuit(diags, SW_STAGE_FITTED,
        "R10 R 1k - - 1=h 2=GND\n"
        "R2 R 1k - - 1=g 2=h\n"
        "Q1 Q - - - 1=e 2=f 3=VEE\n"
        "C9 C - - - 1=e 2=f\n"
        "U1 X - - - 10=d 1=VCC 2=a 3=b 6=c 5=~ 4=~ 7=GND\n"
        "C1 C - - - 1=a 2=b\nC2 C - - - 1=c 2=d\nC3 C - - - 1=VCC 2=VEE\nC4 C - - - 1=g 2=~\n");
    set_rail(c, "GND", SW_RAIL_GROUND);
    set_rail(c, "VCC", SW_RAIL_POSITIVE);
    set_rail(c, "VEE", SW_RAIL_NEGATIVE);
    assert_int_equal(sw_circuit_number(c, diags), SW_OK);
    static const struct { const char *pin; uint32_t number; } want[] = {
        {"U1.1", 1}, {"U1.7", 2}, {"Q1.3", 3},
        {"U1.2", 4}, {"U1.3", 5}, {"U1.6", 6}, {"U1.10", 7},
        {"Q1.1", 8}, {"Q1.2", 9}, {"C4.1", 10}, {"R2.2", 11},
        {"C4.2", 12}, {"U1.4", 13}, {"U1.5", 14}};
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_int_equal(test_number_of(c, want[i].pin), want[i].number);
    for (uint32_t i = 0; i < c->node_count; i++)
        assert_int_equal(c->nodes[c->by_number[i].i].number, i + 1);
    assert_int_equal(sw_circuit_numbered(c, 9).i, c->by_number[8].i);
    assert_true(sw_circuit_numbered(c, 0).i == SW_NONE);
    assert_true(sw_circuit_numbered(c, 15).i == SW_NONE);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

/* ---- shuffled, renamed, in another case: the same numbers ---- */

enum { PARTS = 24, MOST_PINS = 16 };
typedef struct made_part { char ref[8]; int pins; int node[MOST_PINS]; } made_part;

static uint32_t next_random(uint32_t *seed) { /* Numerical Recipes' constants */
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

static void make_parts(made_part *parts, uint32_t *seed) {
    for (int i = 0; i < PARTS; i++) {
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "%c%d", "RCUQ"[next_random(seed) % 4], i);
        strcpy(parts[i].ref, text.bytes);
        sw_buf_free(&text);
        parts[i].pins = 2 + (int)(next_random(seed) % (MOST_PINS - 1));
        for (int p = 0; p < parts[i].pins; p++)
            parts[i].node[p] = (int)(next_random(seed) % 60);
    }
}

static void shuffle(int *order, int count, uint32_t *seed) {
    for (int i = 0; i < count; i++)
        order[i] = i;
    for (int i = count - 1; i > 0; i--) {
        int k = (int)(next_random(seed) % (uint32_t)(i + 1));
        int kept = order[i];
        order[i] = order[k];
        order[k] = kept;
    }
}

/* prefix: how nodes are called; shuffled: parts and pins in any order. */
static sw_circuit *build(sw_diags *diags, const made_part *parts, const char *prefix, bool lower,
                         uint32_t *seed, bool shuffled) {
    sw_builder *b = sw_builder_new(SW_STAGE_FITTED, diags);
    int order[PARTS], pins[MOST_PINS];
    shuffle(order, PARTS, seed);
    sw_buf text = SW_BUF_INIT;
    for (int i = 0; i < PARTS; i++) {
        const made_part *part = &parts[shuffled ? order[i] : i];
        char ref[8];
        strcpy(ref, part->ref);
        if (lower)
            ref[0] = swi_lower(ref[0]);
        sw_part_id id = sw_builder_part(b, ref, 'X', SW_NOWHERE);
        shuffle(pins, part->pins, seed);
        for (int p = 0; p < part->pins; p++) {
            int pin = shuffled ? pins[p] : p;
            text.length = 0;
            sw_buf_printf(&text, "%s%d", prefix, (part->node[pin] * 37) % 61);
            sw_node_id node = sw_builder_node(b, text.bytes, false, SW_NOWHERE);
            sw_builder_node_at(b, node)->rail = part->node[pin] < 4
                ? (sw_rail)(1 + part->node[pin] % 3) : SW_RAIL_NONE;
            text.length = 0;
            sw_buf_printf(&text, "%d", pin + 1);
            sw_builder_pin(b, id, text.bytes, "", node, SW_NOWHERE);
        }
    }
    sw_buf_free(&text);
    return sw_builder_finish(b);
}

static void numbers_do_not_depend_on_order_case_or_names(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    uint32_t seed = 7;
    for (int round = 0; round < 30; round++) {
        made_part parts[PARTS];
        make_parts(parts, &seed);
        sw_circuit *plain = build(diags, parts, "n", false, &seed, false);
        sw_circuit *other = build(diags, parts, "Zz", true, &seed, true);
        assert_int_equal(sw_circuit_number(plain, diags), SW_OK);
        assert_int_equal(sw_circuit_number(other, diags), SW_OK);
        assert_int_equal(plain->node_count, other->node_count);
        for (uint32_t i = 0; i < plain->pin_count; i++) {
            const sw_pin *pin = &plain->pins[i];
            sw_part_id part = sw_circuit_part(other, plain->parts[pin->part.i].ref);
            sw_pin_id same = sw_circuit_pin(other, part, pin->number);
            assert_true(same.i != SW_NONE);
            assert_int_equal(plain->nodes[pin->node.i].number,
                             other->nodes[other->pins[same.i].node.i].number);
        }
        sw_circuit_free(plain);
        sw_circuit_free(other);
    }
    sw_diags_free(diags);
}

/* ---- numbers that stay ---- */

static void a_numbering_is_gathered_in_any_order(void **state) {
    (void)state;
    sw_numbering *n = sw_numbering_new();
    assert_true(sw_numbering_add_pin(n, 7, "R2.1") && sw_numbering_add(n, 2, "VCC") &&
                sw_numbering_add(n, 7, "out") && sw_numbering_add_pin(n, 7, "R1.1") &&
                sw_numbering_add(n, 7, "other"));
    size_t count;
    const sw_old_node *nodes = sw_numbering_nodes(n, &count);
    assert_int_equal(count, 2);
    assert_int_equal(nodes[0].number, 2);
    assert_int_equal(nodes[0].pin_count, 0);
    assert_string_equal(nodes[1].name, "out");
    assert_int_equal(nodes[1].pin_count, 2);
    assert_string_equal(nodes[1].pins[0], "R2.1");
    assert_string_equal(nodes[1].pins[1], "R1.1");
    sw_numbering_free(n);
    sw_numbering_free(NULL);
}

static const char revision_1[] = /* A..F become 1..6, the lone pin 7 */
    "U1 X - - - 1=A 2=B 3=C 4=D 5=E 6=F\n"
    "R1 R - - - 1=A 2=B\nR2 R - - - 1=C 2=D\nR3 R - - - 1=E 2=F\nR4 R - - - 1=A 2=~\n";

static void check_numbers(const sw_circuit *c, const char *want) {
    sw_buf is = SW_BUF_INIT;
    for (uint32_t i = 0; i < c->node_count; i++) {
        const sw_node *node = &c->nodes[c->by_number[i].i];
        sw_buf_printf(&is, "%s%u=%s", i ? " " : "", node->number, node->name);
    }
    assert_string_equal(is.bytes, want);
    sw_buf_free(&is);
}

static void check_report(const sw_number_report *report, const char *want) {
    sw_buf is = SW_BUF_INIT;
    sw_number_report_write(report, &is);
    assert_string_equal(is.bytes, want);
    sw_buf_free(&is);
}

/* Numbers revision 1, then `text` keeping those numbers. */
static void keep_and_check(const char *text, const sw_number_options *options,
                           const char *numbers, const char *report_text) {
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *first = numbered(diags, revision_1);
    check_numbers(first, "1=A 2=B 3=C 4=D 5=E 6=F 7=R4.2");
    sw_numbering *old = sw_numbering_of(first);
    size_t count;
    const sw_old_node *nodes = sw_numbering_nodes(old, &count);
    assert_int_equal(count, 7);
    sw_circuit *now = test_circuit(diags, SW_STAGE_FITTED, text);
    sw_number_report *report = NULL;
    assert_int_equal(sw_circuit_number_keep(now, nodes, count, options, diags, &report),
                     SW_OK);
    check_numbers(now, numbers);
    check_report(report, report_text);
    for (uint32_t i = 0; i < now->node_count; i++) {
        uint32_t number = now->nodes[i].number;
        assert_int_equal(sw_circuit_numbered(now, number).i, i);
    }
    sw_number_report_free(report);
    sw_circuit_free(now);
    sw_circuit_free(first);
    sw_numbering_free(old);
    sw_diags_free(diags);
}

static void same_circuit_keeps_all(void **state) {
    (void)state;
    keep_and_check(revision_1, NULL, "1=A 2=B 3=C 4=D 5=E 6=F 7=R4.2",
                   "7 kept, 0 added, 0 gone, 0 split, 0 merged\n");
}

static void renamed_nodes_keep_their_numbers(void **state) {
    (void)state;
    keep_and_check("U1 X - - - 1=F 2=e 3=d 4=c 5=b 6=A\n"
                   "R1 R - - - 1=F 2=e\nR2 R - - - 1=d 2=c\nR3 R - - - 1=b 2=A\nR4 R - - - 1=F 2=~\n",
                   NULL, "1=F 2=e 3=d 4=c 5=b 6=A 7=R4.2",
                   "7 kept, 0 added, 0 gone, 0 split, 0 merged\n");
}

/* R9 with 20 pins would come first in a fresh numbering; R3 and so nodes E and F
 * go but for U1's pins; the lone pin is joined to a new part. */
static void new_nodes_come_after_all_old_ones(void **state) {
    (void)state;
    keep_and_check("U9 X - - - 1=new 2=A 3=B 4=C 5=D 6=R4b 7=x 8=y\n"
                   "R1 R - - - 1=A 2=B\nR2 R - - - 1=C 2=D\nR4 R - - - 1=A 2=R4b\n"
                   "R5 R - - - 1=new 2=x\nR6 R - - - 1=y 2=x\n",
                   NULL, "1=A 2=B 3=C 4=D 7=R4b 8=new 9=x 10=y",
                   "5 kept, 3 added, 2 gone, 0 split, 0 merged\n"
                   "node 8 (new) is new\nnode 9 (x) is new\nnode 10 (y) is new\n"
                   "node 5 (E) is gone\nnode 6 (F) is gone\n");
}

static void compact_takes_free_numbers(void **state) {
    (void)state;
    keep_and_check("U9 X - - - 1=new 2=A 3=B 4=C 5=D 6=R4b 7=x 8=y\n"
                   "R1 R - - - 1=A 2=B\nR2 R - - - 1=C 2=D\nR4 R - - - 1=A 2=R4b\n"
                   "R5 R - - - 1=new 2=x\nR6 R - - - 1=y 2=x\n",
                   &(sw_number_options){.compact = true},
                   "1=A 2=B 3=C 4=D 5=new 6=x 7=R4b 8=y",
                   "5 kept, 3 added, 2 gone, 0 split, 0 merged\n"
                   "node 5 (new) is new\nnode 6 (x) is new\nnode 8 (y) is new\n"
                   "node 5 (E) is gone\nnode 6 (F) is gone\n");
}

static void split_and_merged_nodes_are_told(void **state) {
    (void)state;
    /* A falls into A (U1.1, R1.1) and S (R4.1); C and D become one, called D. */
    keep_and_check("U1 X - - - 1=A 2=B 3=D 4=D 5=E 6=F\n"
                   "R1 R - - - 1=A 2=B\nR2 R - - - 1=D 2=D\nR3 R - - - 1=E 2=F\nR4 R - - - 1=S 2=~\n"
                   "R5 R - - - 1=S 2=B\n",
                   NULL, "1=A 2=B 3=D 5=E 6=F 7=R4.2 8=S",
                   "6 kept, 0 added, 0 gone, 1 split, 1 merged\n"
                   "node 8 (S) was split from node 1\n"
                   "node 4 is now part of node 3 (D)\n");
}

/* All parts of node E have new references: only its name is left to know it by. */
static void name_decides_where_pins_do_not(void **state) {
    (void)state;
    keep_and_check("U1 X - - - 1=A 2=B 3=C 4=D 6=F\n"
                   "R1 R - - - 1=A 2=B\nR2 R - - - 1=C 2=D\nR7 R - - - 1=E 2=F\nR8 R - - - 1=E 2=A\n"
                   "R4 R - - - 1=A 2=~\n",
                   NULL, "1=A 2=B 3=C 4=D 5=E 6=F 7=R4.2",
                   "7 kept, 0 added, 0 gone, 0 split, 0 merged\n");
}

static void stated_numbers_go_first(void **state) {
    (void)state;
    const char *const stated[] = {"F=1", "R4.2=50", NULL};
    keep_and_check(revision_1, &(sw_number_options){.stated = stated},
                   "1=F 2=B 3=C 4=D 5=E 50=R4.2 51=A",
                   "7 kept, 0 added, 0 gone, 0 split, 0 merged\n"
                   "node 1 (F) was node 6\nnode 50 (R4.2) was node 7\nnode 51 (A) was node 1\n");
}

static void bad_statements_are_refused(void **state) {
    (void)state;
    static const char *const bad[][3] = {
        {"F=0"}, {"F"}, {"=3"}, {"F=x"}, {"nowhere=3"}, {"F=2", "A=2"}, {"F=2", "F=3"}};
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *c = numbered(diags, revision_1);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        sw_number_options options = {.stated = bad[i]};
        assert_int_equal(sw_circuit_number_keep(c, NULL, 0, &options, diags, NULL), SW_USAGE);
        assert_int_equal(test_count(diags, SW_D_NUMBER_STATED), i + 1);
        check_numbers(c, "1=A 2=B 3=C 4=D 5=E 6=F 7=R4.2"); /* untouched */
    }
    sw_old_node doubled[] = {{.number = 2, .name = ""}, {.number = 2, .name = ""}};
    assert_int_equal(sw_circuit_number_keep(c, doubled, 2, NULL, diags, NULL), SW_BAD_INPUT);
    assert_int_equal(test_count(diags, SW_D_NUMBER_OLD), 1);
    sw_circuit_free(c);
    sw_diags_free(diags);
}

static void every_allocation_may_fail(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_circuit *first = numbered(diags, revision_1);
    const char *const stated[] = {"F=1", NULL};
    sw_number_options options = {.stated = stated};
    for (long n = 0;; n++) {
        sw_circuit *c = test_circuit(diags, SW_STAGE_FITTED, revision_1);
        sw_number_report *report = NULL;
        test_alloc_fail(n);
        sw_status status = sw_circuit_number(c, diags);
        size_t count = 0;
        sw_numbering *old = sw_numbering_of(first);
        const sw_old_node *nodes = old ? sw_numbering_nodes(old, &count) : NULL;
        if (!nodes)
            status = SW_SYSTEM;
        if (status == SW_OK)
            status = sw_circuit_number_keep(c, nodes, count, &options, diags, &report);
        bool failed = test_alloc_reset();
        sw_numbering_free(old);
        sw_number_report_free(report);
        sw_circuit_free(c);
        if (!failed) {
            assert_int_equal(status, SW_OK);
            assert_true(n > 10);
            break;
        }
        assert_int_equal(status, SW_SYSTEM);
    }
    sw_circuit_free(first);
    sw_diags_free(diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_by_the_stated_order),
        cmocka_unit_test(numbers_do_not_depend_on_order_case_or_names),
        cmocka_unit_test(a_numbering_is_gathered_in_any_order),
        cmocka_unit_test(same_circuit_keeps_all),
        cmocka_unit_test(renamed_nodes_keep_their_numbers),
        cmocka_unit_test(new_nodes_come_after_all_old_ones),
        cmocka_unit_test(compact_takes_free_numbers),
        cmocka_unit_test(split_and_merged_nodes_are_told),
        cmocka_unit_test(name_decides_where_pins_do_not),
        cmocka_unit_test(stated_numbers_go_first),
        cmocka_unit_test(bad_statements_are_refused),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests_name("circuit: numbering", tests, NULL, NULL);
}
