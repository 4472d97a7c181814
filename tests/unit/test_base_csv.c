/* Tables: the rules of RFC 4180 section 2, by their numbers, and what practice adds. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/csv.h"

/* Reads a whole table and writes it down plainly: fields in [], a record a line;
 * "error LINE:COLUMN id" at its end when it breaks off. */
static sw_buf read_back(const char *bytes, size_t length, char delimiter) {
    sw_buf out = SW_BUF_INIT;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    assert_int_equal(sw_input_text(diags, "table.csv", bytes, length, &input), SW_OK);
    swi_csv *csv = swi_csv_new(&input, delimiter, diags);
    const swi_csv_field *fields;
    int count;
    while ((count = swi_csv_next(csv, &fields)) > 0) {
        for (int i = 0; i < count; i++) {
            assert_int_equal(strlen(fields[i].text), fields[i].length);
            sw_buf_printf(&out, "[%s]", fields[i].text);
        }
        sw_buf_putc(&out, '\n');
    }
    assert_int_equal(swi_csv_next(csv, &fields), count); /* the end stays the end */
    assert_int_equal(sw_diags_count(diags), count < 0 ? 1 : 0);
    if (count < 0) {
        sw_place place;
        const sw_diag *diag = sw_diags_get(diags, 0);
        assert_true(sw_diags_place(diags, diag->span, &place));
        sw_buf_printf(&out, "error %u:%u %s", place.line, place.column, sw_diag_name(diag->id));
    }
    sw_buf_puts(&out, "");
    swi_csv_free(csv);
    sw_diags_free(diags);
    return out;
}

static void reads(const char *text, const char *wanted) {
    sw_buf out = read_back(text, strlen(text), 0);
    assert_string_equal(out.bytes, wanted);
    sw_buf_free(&out);
}

static void rfc_4180_rules(void **state) {
    (void)state;
    reads("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "[aaa][bbb][ccc]\n[zzz][yyy][xxx]\n"); /* 1 */
    reads("aaa,bbb,ccc\r\nzzz,yyy,xxx", "[aaa][bbb][ccc]\n[zzz][yyy][xxx]\n");     /* 2 */
    reads("a b, c ,d", "[a b][ c ][d]\n");                                          /* 4 */
    reads("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "[aaa][bbb][ccc]\n[zzz][yyy][xxx]\n"); /* 5 */
    reads("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "[aaa][b\r\nbb][ccc]\n[zzz][yyy][xxx]\n");
    reads("\"aaa\",\"b\"\"bb\",\"ccc\"", "[aaa][b\"bb][ccc]\n");                      /* 7 */
}

static void practice(void **state) {
    (void)state;
    reads("", "");
    reads("\n", "[]\n");
    reads("a\n\nb\n", "[a]\n[]\n[b]\n");
    reads("a\rb\r\rc", "[a]\n[b]\n[]\n[c]\n");
    reads(",\n,,", "[][]\n[][][]\n");
    reads("\"\"", "[]\n");
    reads("\"\"\"\"", "[\"]\n");
    reads("\"a\"\n", "[a]\n");
    reads("\xEF\xBB\xBFref,node\nR1,1", "[ref][node]\n[R1][1]\n");
    reads("5\" pipe,x", "[5\" pipe][x]\n"); /* a quote inside an unquoted field is a quote */
}

static void delimiters(void **state) {
    (void)state;
    reads("ref;value;x\n R1;4,7k;\n", "[ref][value][x]\n[ R1][4,7k][]\n");
    reads("ref\tvalue\nR1\ta;b", "[ref][value]\n[R1][a;b]\n");
    reads("\"a;b;c\",d\n1;2,3", "[a;b;c][d]\n[1;2][3]\n"); /* those in quotes do not count */
    reads("a,b;c;d", "[a,b][c][d]\n");
    reads("a,b;c", "[a][b;c]\n"); /* as many of each: the comma, then the semicolon */
    reads("a;b\tc", "[a][b\tc]\n");
    sw_buf out = read_back("a;b,c", 5, ';');
    assert_string_equal(out.bytes, "[a][b,c]\n");
    sw_buf_free(&out);
}

static void errors_are_located(void **state) {
    (void)state;
    reads("a,b\nc,\"d\ne", "[a][b]\nerror 2:3 csv-quote");
    reads("a,\"b\"c\n", "error 1:6 csv-quote");
    reads("a\n\"", "[a]\nerror 2:1 csv-quote");
    sw_buf out = read_back("a,b\0c\n", 6, 0);
    assert_string_equal(out.bytes, "error 1:3 input-binary");
    sw_buf_free(&out);
}

static void too_many_fields(void **state) {
    (void)state;
    enum { MANY = 200000 };
    char *text = malloc(MANY);
    memset(text, ',', MANY);
    sw_buf out = read_back(text, MANY, 0);
    assert_string_equal(out.bytes, "error 1:100001 limit-fields");
    sw_buf_free(&out);
    free(text);
}

static void spans_point_at_fields(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_input input;
    sw_input_text(diags, "t", "a,\"b c\"\nd,", 10, &input);
    swi_csv *csv = swi_csv_new(&input, ',', diags);
    const swi_csv_field *fields;
    assert_int_equal(swi_csv_next(csv, &fields), 2);
    assert_int_equal(fields[1].span.source, input.source);
    assert_int_equal(fields[1].span.offset, 2);
    assert_int_equal(fields[1].span.length, 5);
    assert_int_equal(swi_csv_next(csv, &fields), 2);
    assert_int_equal(fields[1].span.offset, 10);
    assert_int_equal(fields[1].span.length, 0);
    swi_csv_free(csv);
    swi_csv_free(NULL);
    sw_diags_free(diags);
}

static void writes(const char *text, bool guard, const char *wanted) {
    sw_buf out = SW_BUF_INIT;
    swi_csv_put(&out, true, text, guard);
    assert_string_equal(out.bytes, wanted);
    sw_buf_free(&out);
}

static void quotes_what_needs_it(void **state) {
    (void)state;
    writes("", false, "");
    writes("plain text", false, "plain text");
    writes("a,b", false, "\"a,b\"");
    writes("5\"", false, "\"5\"\"\"");
    writes("a\nb", false, "\"a\nb\"");
    writes("-12V", false, "-12V");
}

/* OWASP ASVS 5, requirement 1.2.10: what a spreadsheet would compute. */
static void guards_formulas(void **state) {
    (void)state;
    writes("=A1", true, "'=A1");
    writes("+5V", true, "'+5V");
    writes("-12V", true, "'-12V");
    writes("@X", true, "'@X");
    writes("\tx", true, "\"'\tx\"");
    writes("\rx", true, "\"'\rx\"");
    writes("=\"a\",b", true, "\"'=\"\"a\"\",b\"");
    writes("VCC", true, "VCC");
    writes("", true, "");
}

static void written_reads_back(void **state) {
    (void)state;
    static const char *const fields[] = {"", "a", "a,b", "\"", "\"\"", "x;y;z;w", "1\t2\t3\t4",
                                         "line\r\nline", " spaces ", "µ", "'quoted'"};
    enum { COUNT = sizeof fields / sizeof *fields };
    sw_buf out = SW_BUF_INIT, wanted = SW_BUF_INIT;
    for (int row = 0; row < 2; row++) {
        for (int i = 0; i < COUNT; i++) {
            swi_csv_put(&out, i == 0, fields[(i + row) % COUNT], false);
            sw_buf_printf(&wanted, "[%s]", fields[(i + row) % COUNT]);
        }
        swi_csv_end(&out);
        sw_buf_putc(&wanted, '\n');
    }
    sw_buf back = read_back(out.bytes, out.length, 0);
    assert_string_equal(back.bytes, wanted.bytes);
    sw_buf_free(&out);
    sw_buf_free(&wanted);
    sw_buf_free(&back);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rfc_4180_rules),       cmocka_unit_test(practice),
        cmocka_unit_test(delimiters),           cmocka_unit_test(errors_are_located),
        cmocka_unit_test(too_many_fields),      cmocka_unit_test(spans_point_at_fields),
        cmocka_unit_test(quotes_what_needs_it), cmocka_unit_test(guards_formulas),
        cmocka_unit_test(written_reads_back),
    };
    return cmocka_run_group_tests_name("base: tables", tests, NULL, NULL);
}
