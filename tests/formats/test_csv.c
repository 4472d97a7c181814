/* Circuit tables: three forms in and out, as people and programs write them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/format.h"

#define HEAD "stripwright schedule 1\n"

/* The soil-moisture lamp's first stage, for all three forms. */
static const char lamp[] =
    HEAD
    "part D1 kind=D value= device=LED package=\n"
    "part Q1 kind=Q value= device=BC547 package=TO-92\n"
    "part R1 kind=R value=10k device= package=\n"
    "node - name=VCC rail= : D1.A R1.1\n"
    "node - name=OUT rail= : D1.K Q1.C\n"
    "node - name=BASE rail= : Q1.B R1.2\n"
    "node - name=GND rail= : Q1.E\n";

static void a_row_a_node_with_a_table_of_parts(void **state) {
    (void)state;
    test_golden("nodes",
                "node,pins\n"
                "VCC,R1.1 D1.A\n"
                "GND,Q1.E\n"
                "OUT,\"Q1.C, D1.K\"\n"
                "BASE,Q1-B;R1(2)\n"
                "\n"
                "ref,value,device,package\n"
                "R1,10k,,\n"
                "D1,,LED,\n"
                "Q1,,BC547,TO-92\n",
                lamp);
}

static void a_row_a_pin(void **state) {
    (void)state;
    test_golden("pins",
                "ref,pin,node,value,device,package\r\n"
                "R1,1,VCC,10k,,\r\n"
                "R1,2,BASE,,,\r\n"
                "Q1,C,OUT,,BC547,TO-92\r\n"
                "Q1,B,BASE,,BC547,TO-92\r\n"
                "Q1,E,GND,,BC547,TO-92\r\n"
                "D1,A,VCC,,LED,\r\n"
                "D1,K,OUT,,LED,",
                lamp);
}

static void a_row_a_pin_with_a_table_of_parts(void **state) {
    (void)state;
    test_golden("pins",
                "Net;Part;Pin\n"
                "VCC;R1;1\nBASE;R1;2\n\nOUT;Q1;C\nBASE;Q1;B\nGND;Q1;E\nVCC;D1;A\nOUT;D1;K\n"
                "\n"
                "Ref;Value;Device;Package\n"
                "R1;10k;;\n"
                "D1;;LED;\n"
                "Q1;;BC547;TO-92\n",
                lamp);
}

static void a_row_a_part(void **state) {
    (void)state;
    test_golden("parts",
                "ref,value,device,package,pins\n"
                "R1,10k,,,1=VCC 2=BASE\n"
                "D1,,LED,,\"A=VCC,K=OUT\"\n"
                "Q1,,BC547,TO-92,C=OUT B:BASE E:GND\n",
                lamp);
}

/* Nodes without pins, of parts that may be either way round and of connectors. */
static void nodes_in_order_where_the_order_does_not_matter(void **state) {
    (void)state;
    test_golden("parts",
                "ref,value,package,pins\n"
                "R1,10k,,VCC OUT\n"
                "C1,100n,,\"OUT, GND\"\n"
                "SW1,,,OUT GND\n"
                "J1,,HEADER-1x3,VCC OUT GND\n",
                HEAD "part C1 kind=C value=100n device= package=\n"
                     "part J1 kind=N value= device= package=HEADER-1x3\n"
                     "part R1 kind=R value=10k device= package=\n"
                     "part SW1 kind=? value= device= package=\n"
                     "node - name=OUT rail= : C1.1 J1.2 R1.2 SW1.1\n"
                     "node - name=GND rail= : C1.2 J1.3 SW1.2\n"
                     "node - name=VCC rail= : J1.1 R1.1\n");
    static const char *const others[] = {"D1,,,A B", "C1,10u,,A B", "C1,100n,ELEC-5,A B", "R1,,,A B C", "Q1,,,A B C",
                                         "MIC1,,,A B", "R1,,,1=A B"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "ref,value,package,pins\n%s\n", others[i]);
        test_reading r = test_read_text("parts", text.bytes);
        assert_null(r.circuit);
        assert_int_equal(test_count(r.diags, SW_D_CSV_PIN), 1);
        test_reading_free(&r);
        sw_buf_free(&text);
    }
}

/* A column a pin; those that number nodes alone say no more than a list in order does. */
static void a_column_a_pin(void **state) {
    (void)state;
    static const char stage[] = HEAD
        "part Q1 kind=Q value= device=BC547 package=\n"
        "part R1 kind=R value=10k device= package=\n"
        "node - name=OUT rail= : Q1.1\n"
        "node - name=BASE rail= : Q1.2 R1.2\n"
        "node - name=GND rail= : Q1.3\n"
        "node - name=VCC rail= : R1.1\n";
    test_golden("parts", "ref,value,device,1,2,3\nR1,10k,,VCC,BASE,\nQ1,,BC547,OUT,BASE,GND\n", stage);
    test_golden("parts", "Component;Value;Device;Pin 1;Pin 2;Lead3\nR1;10k;;VCC;BASE\nQ1;;BC547;OUT;BASE;GND\n", stage);
    test_golden("nodes", "node,pins\nVCC,R1.1\n\nref,value,device,1,2,3\nR1,10k,,,BASE,\nQ1,,BC547,OUT,BASE,GND\n", stage);
    static const char ends[] = HEAD
        "part D1 kind=D value=LED device= package=\n"
        "part R1 kind=R value=10k device= package=\n"
        "node - name=LAMP rail= : D1.A R1.2\n"
        "node - name=GND rail= : D1.K\n"
        "node - name=VCC rail= : R1.1\n";
    test_golden("parts", "part,value,from,to\nR1,10k,VCC,LAMP\nD1,LED,A=LAMP,K=GND\n", ends);
    test_golden("parts", "ref,value,node 1,node 2\nR1,10k,VCC,LAMP\nD1,LED,A=LAMP,K=GND\n", ends);
    static const char *const bad[] = {"ref,from,to\nD1,A,B\n", "ref,node 1,net 2,node 3\nQ1,A,B,C\n"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        test_reading r = test_read_text("parts", bad[i]);
        assert_null(r.circuit);
        assert_int_equal(test_count(r.diags, SW_D_CSV_PIN), 1);
        test_reading_free(&r);
    }
    /* Where another column has the pins such words are properties, as they were. */
    test_reading r = test_read_text("pins", "ref,pin,node,from\nR1,1,A,bin 4\n");
    assert_non_null(r.circuit);
    assert_int_equal(r.circuit->property_count, 1);
    test_reading_free(&r);
}

/* As a row of a parts sheet says it; rows of a pin each repeat it. */
static void what_fitting_is_to_do_with_a_part(void **state) {
    (void)state;
    static const char fitting[] = HEAD
        "part K1 kind=? value=relay device= package=\n"
        "part V1 kind=V value= device= package=\n"
        "node - name=A rail= : K1.A1 V1.1\n"
        "node - name=B rail= : K1.A2 V1.2\n"
        "row K1 place=off\n"
        "row V1 omit=yes\n";
    test_golden("parts", "ref,value,pins,Place,omit\nK1,relay,A1=A A2=B,off,\nV1,,1=A 2=B,,yes\n", fitting);
    test_golden("pins", "ref,pin,node,value,place,omit\nK1,A1,A,relay,off,\nK1,A2,B,relay,off,\n"
                        "V1,1,A,,,yes\nV1,2,B,,,yes\n", fitting);
    test_golden("nodes", "node,pins\nA,K1.A1 V1.1\nB,K1.A2 V1.2\n\nref,value,place,omit\nK1,relay,off,\nV1,,,yes\n",
                fitting);
    static const char *const forms[] = {"pins", "nodes", "parts"};
    for (size_t i = 0; i < 3; i++) {
        test_reading r = test_read_text("schedule", fitting);
        char *table = test_write(forms[i], r.circuit, NULL);
        test_golden(forms[i], table, fitting);
        free(table);
        test_reading_free(&r);
    }
}

static void the_form_is_told_by_the_header(void **state) {
    (void)state;
    static const struct { const char *text, *format; } cases[] = {
        {"Net Name;Pin List\nA;R1.1\n", "nodes"},
        {"# lamp, of 3; parts\n\nnode\tpin\nA\tR1.1\n", "nodes"},
        {"\xEF\xBB\xBF\"RefDes\",\"Pin No.\",\"Net\"\nR1,1,A\n", "pins"},
        {"Designator,Value,Footprint,Connections\nR1,1k,,1=A\n", "parts"},
        {"Part,Pin,Signal\nR1,1,A\n", "pins"},
        /* Rows of four words and more that begin like a resistor, a supply's node. */
        {"ref,pins\nR1,1=A 2=B 3=C 4=D\n", "parts"},
        {"node,pins\nA,R1.1 R1.2 R2.1 R3.1\n", "nodes"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        sw_input_text(diags, "lamp", cases[i].text, strlen(cases[i].text), &input);
        const sw_format *format = sw_format_detect(&input, diags);
        assert_non_null(format);
        assert_string_equal(format->name, cases[i].format);
        sw_diags_free(diags);
        test_reading r = test_read_text(NULL, cases[i].text);
        assert_non_null(r.circuit);
        assert_int_equal(sw_diags_count(r.diags), 0);
        assert_string_equal(test_node_of(r.circuit, "R1.1"), "A");
        test_reading_free(&r);
    }
}

/* RFC 4180 section 2, rules 5 to 7, and what practice adds. */
static void quotes_blanks_comments_and_delimiters(void **state) {
    (void)state;
    test_golden("pins",
                "# written by hand\n"
                "ref ; pin ; node ; value ; package\n"
                " R1 ; 1 ; Zone 1 ;\"4\"\"7\"; \n"
                "# R2;1;Zone 1;;\n"
                "R1;2;\"A;\nB\";;\n"
                "\"#3\";1;Zone 1;;\n"
                "TP1;1;'-12V\n",
                HEAD "part \"#3\" kind=? value= device= package=\n"
                     "part R1 kind=R value=\"4\\\"7\" device= package=\n"
                     "part TP1 kind=N value= device= package=\n"
                     "node - name=\"Zone 1\" rail= : \"#3\".1 R1.1\n"
                     "node - name=\"A; B\" rail= : R1.2\n"
                     "node - name=-12V rail= : TP1.1\n");
}

static void synonyms_words_and_extra_columns(void **state) {
    (void)state;
    test_golden("pins",
                "Reference,Pin Number,Net,Rail,kind,flags,path,pin name,pin type,tolerance,"
                "part: maker,node: class\n"
                "X1.U1,1,VCC,positive,X,flat,X1,VDD,positive,x,Allotment Ltd,supply\n"
                "X1.U1,2,0,ground,X,flat,X1,,,,Allotment Ltd,\n"
                "X1.U1,3,,,,,,,nc,,,\n"
                "J1,1,VCC,+,,terminal,,,,,,supply\n",
                HEAD "part J1 kind=N value= device= package= terminal\n"
                     "part X1.U1 kind=X value= device= package= path=X1 flat\n"
                     "property maker=\"Allotment Ltd\"\n"
                     "pin \"X1.U1\".1 name=VDD type=positive\n"
                     "property tolerance=x\n"
                     "pin \"X1.U1\".3 type=nc\n"
                     "node - name=VCC rail=positive : J1.1 \"X1.U1\".1\n"
                     "property class=supply\n"
                     "node - name=0 rail=ground global : \"X1.U1\".2\n"
                     "node - name=X1.U1.3 rail= derived : \"X1.U1\".3\n");
}

static void lone_pins_in_each_form(void **state) {
    (void)state;
    static const char lone[] = HEAD
        "part R1 kind=R value= device= package=\n"
        "node - name=R1.1 rail= derived : R1.1\n"
        "node - name=R1.2 rail= derived : R1.2\n";
    test_golden("pins", "ref,pin,node\nR1,1,\nR1,2,\n", lone);
    test_golden("nodes", "node,pins\n,R1.1 R1.2\n", lone);
    test_golden("parts", "ref,pins\nR1,1= 2=\n", lone);
}

static void references_with_points_are_told_by_the_parts(void **state) {
    (void)state;
    test_golden("nodes", "node,pins\nA,X1.R3.1 U1.P0.3 U1.4\n\nref,value\nX1.R3,1k\n",
                HEAD "part U1 kind=X value= device= package=\n"
                     "part X1.R3 kind=R value=1k device= package=\n"
                     "node - name=A rail= : U1.4 U1.\"P0.3\" \"X1.R3\".1\n");
}

static void parts_without_pins_are_kept(void **state) {
    (void)state;
    static const char board[] = HEAD "part TP1 kind=N value= device= package=PIN\n";
    test_golden("pins", "ref,pin,node,package\nTP1,,,PIN\n", board);
    test_golden("parts", "ref,pins,package\nTP1,,PIN\n", board);
}

static void warnings_of_likely_slips(void **state) {
    (void)state;
    test_reading r = test_read_text("nodes", "node,pins\nVcc,R1.1\nVCC,R2.1\nSPARE,\n");
    assert_non_null(r.circuit);
    assert_int_equal(r.circuit->node_count, 1);
    assert_int_equal(test_count(r.diags, SW_D_CSV_NODE_CASE), 1);
    assert_int_equal(test_count(r.diags, SW_D_CSV_NODE_EMPTY), 1);
    test_reading_free(&r);
}

static void bad_tables_are_told_with_their_place(void **state) {
    (void)state;
    test_bad_folder("pins", "tests/formats/csv/bad/pins");
    test_bad_folder("nodes", "tests/formats/csv/bad/nodes");
    test_bad_folder("parts", "tests/formats/csv/bad/parts");
}

/* ---- writing ---- */

static const char rich[] =
    HEAD
    "part LED1 kind=D value= device=LED package=LED-5 polarised\n"
    "part R1 kind=R value=10k device= package=\n"
    "property tolerance=5%\n"
    "part U1 kind=X value= device=LM358 package= flat\n"
    "part X1 kind=X value= device= package=\n"
    "pin U1.8 name=VCC\n"
    "property note=low\n"
    "node - name=VCC rail=positive : LED1.A R1.1 U1.8\n"
    "property class=thick\n"
    "node - name=vcc rail= : LED1.K R1.2 X1.1\n"
    "node - name=0 rail=ground global : U1.4\n"
    "node - name=U1.5 rail= derived : U1.5\n";

static void expect_written(const char *format, const char *text) {
    test_reading r = test_read_text("schedule", rich);
    char *got = test_write(format, r.circuit, r.diags);
    assert_string_equal(got, text);
    free(got);
    test_reading_free(&r);
}

static void each_form_is_written(void **state) {
    (void)state;
    expect_written("pins",
                   "ref,pin,node,value,device,package,kind,flags,pin name,rail,part: tolerance,"
                   "note,node: class\r\n"
                   "LED1,A,VCC,,LED,LED-5,D,polarised,,positive,,,thick\r\n"
                   "LED1,K,vcc~2,,LED,LED-5,D,polarised,,,,,\r\n"
                   "R1,1,VCC,10k,,,R,,,positive,5%,,thick\r\n"
                   "R1,2,vcc~2,10k,,,R,,,,,,\r\n"
                   "U1,4,0,,LM358,,X,flat,,ground,,,\r\n"
                   "U1,5,,,LM358,,X,flat,,,,,\r\n"
                   "U1,8,VCC,,LM358,,X,flat,VCC,positive,,low,thick\r\n"
                   "X1,1,vcc~2,,,,X,,,,,,\r\n");
    expect_written("nodes",
                   "node,pins,rail,class\r\n"
                   "VCC,LED1.A R1.1 U1.8,positive,thick\r\n"
                   "vcc~2,LED1.K R1.2 X1.1,,\r\n"
                   "0,U1.4,ground,\r\n"
                   ",U1.5,,\r\n"
                   "\r\n"
                   "ref,value,device,package,kind,flags,tolerance\r\n"
                   "LED1,,LED,LED-5,D,polarised,\r\n"
                   "R1,10k,,,R,,5%\r\n"
                   "U1,,LM358,,X,flat,\r\n"
                   "X1,,,,X,,\r\n");
    expect_written("parts",
                   "ref,value,device,package,pins,kind,flags,tolerance\r\n"
                   "LED1,,LED,LED-5,A=VCC K=vcc~2,D,polarised,\r\n"
                   "R1,10k,,,1=VCC 2=vcc~2,R,,5%\r\n"
                   "U1,,LM358,,4=0 5= 8=VCC,X,flat,\r\n"
                   "X1,,,,1=vcc~2,X,,\r\n");
}

static void what_is_left_out_is_told(void **state) {
    (void)state;
    static const struct { const char *format; unsigned left_out; } cases[] = {
        {"pins", 0}, {"nodes", 2}, {"parts", 4}};
    for (size_t i = 0; i < 3; i++) {
        test_reading r = test_read_text("schedule", rich);
        free(test_write(cases[i].format, r.circuit, r.diags));
        assert_int_equal(test_count(r.diags, SW_D_CSV_LEFT_OUT), cases[i].left_out);
        assert_int_equal(test_count(r.diags, SW_D_CSV_RENAMED), 1);
        test_reading_free(&r);
    }
    test_reading r = test_read_text("schedule",
                                    HEAD "title Lamp\nproperty a=b\n"
                                         "part R1 kind=R\nproperty x=\nproperty y=1\nproperty y=2\n"
                                         "node 4 name=R1.1 derived : R1.1 R1.2\n"
                                         "model M type=D\nrow R1 package=RES-0.25W\n");
    assert_non_null(r.circuit);
    free(test_write("pins", r.circuit, r.diags));
    /* title, model, row, number, properties of the circuit and of parts */
    assert_int_equal(test_count(r.diags, SW_D_CSV_LEFT_OUT), 6);
    assert_string_equal(test_message(r.diags, SW_D_CSV_LEFT_OUT), 
                        "this table has no place for a title: Lamp");
    test_reading_free(&r);
}

static void lists_that_could_not_be_read_back_are_refused(void **state) {
    (void)state;
    static const struct { const char *format, *text; } cases[] = {
        {"nodes", HEAD "part R1\nnode - name=A : R1.\"a b\"\n"},
        {"nodes", HEAD "part U1\npart U1.P0\nnode - name=A : U1.\"P0.3\"\n"},
        {"parts", HEAD "part R1\nnode - name=\"A B\" : R1.1\n"},
        {"parts", HEAD "part R1\nnode - name=A : R1.\"=\"\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        test_reading r = test_read_text("schedule", cases[i].text);
        sw_document document = {.circuit = r.circuit};
        sw_buf out = SW_BUF_INIT;
        assert_non_null(r.circuit);
        assert_int_equal(sw_write(sw_format_find(cases[i].format), &document, NULL, r.diags, &out),
                         SW_USAGE);
        assert_int_equal(test_count(r.diags, SW_D_CSV_LIST), 1);
        assert_int_equal(out.length, 0);
        sw_buf_free(&out);
        char *pins = test_write("pins", r.circuit, r.diags); /* the form without lists can */
        char *before = test_schedule(r.circuit);
        test_reading again = test_read_text("pins", pins);
        char *after = test_schedule(again.circuit);
        free(pins);
        free(before);
        free(after);
        test_reading_free(&again);
        test_reading_free(&r);
    }
}

/* OWASP ASVS 5, 1.2.10: a ' before = + - @ tab; it goes again when read. */
static void guarded_cells_come_back(void **state) {
    (void)state;
    test_reading r = test_read_text("pins", "ref,pin,node\nR1,1,+5V\nR1,2,-12V\nR2,1,=A\nR2,2,@B\n");
    sw_document document = {.circuit = r.circuit};
    sw_write_options options = {.spreadsheet = true};
    sw_buf out = SW_BUF_INIT;
    assert_int_equal(sw_write(sw_format_find("pins"), &document, &options, r.diags, &out), SW_OK);
    assert_non_null(strstr(out.bytes, "R1,1,'+5V,"));
    assert_non_null(strstr(out.bytes, "R2,1,'=A,"));
    char *before = test_schedule(r.circuit);
    test_golden("pins", out.bytes, before);
    free(before);
    sw_buf_free(&out);
    test_reading_free(&r);
}

static const char nodes_text[] = "node,pins,rail,x\nVCC,\"R1.1, X1.R3.2\",+,y\n,R1(2)\n\n"
                                 "ref,value,device,package,note\nR1,\"1k\",,,\"a \"\"b\"\"\"\nX1.R3,,,,\n";

static void damaged_inputs_are_read_or_refused(void **state) {
    (void)state;
    char *pins = NULL;
    test_reading r = test_read_text("schedule", rich);
    pins = test_write("pins", r.circuit, r.diags);
    test_cut_everywhere(NULL, nodes_text, sizeof nodes_text - 1);
    test_cut_everywhere(NULL, pins, strlen(pins));
    test_damage("nodes", nodes_text, sizeof nodes_text - 1, 500);
    test_damage("pins", pins, strlen(pins), 500);
    free(pins);
    test_reading_free(&r);
}

static void failing_memory_is_told(void **state) {
    (void)state;
    test_memory_out("nodes", nodes_text);
    test_memory_out("pins", "ref,pin,node,a,node: b\nR1,1,A,x,y\nR1,2,,,\n");
    test_memory_out("parts", "ref,pins,a,place\nR1,1=A 2=,x,off\nR2,A B,,\n");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_a_node_with_a_table_of_parts),
        cmocka_unit_test(a_row_a_pin),
        cmocka_unit_test(a_row_a_pin_with_a_table_of_parts), cmocka_unit_test(a_row_a_part),
        cmocka_unit_test(a_column_a_pin),
        cmocka_unit_test(nodes_in_order_where_the_order_does_not_matter),
        cmocka_unit_test(what_fitting_is_to_do_with_a_part),
        cmocka_unit_test(the_form_is_told_by_the_header),
        cmocka_unit_test(quotes_blanks_comments_and_delimiters),
        cmocka_unit_test(synonyms_words_and_extra_columns),
        cmocka_unit_test(lone_pins_in_each_form),
        cmocka_unit_test(references_with_points_are_told_by_the_parts),
        cmocka_unit_test(parts_without_pins_are_kept),
        cmocka_unit_test(warnings_of_likely_slips),
        cmocka_unit_test(bad_tables_are_told_with_their_place),
        cmocka_unit_test(each_form_is_written),
        cmocka_unit_test(what_is_left_out_is_told),
        cmocka_unit_test(lists_that_could_not_be_read_back_are_refused),
        cmocka_unit_test(guarded_cells_come_back),
        cmocka_unit_test(damaged_inputs_are_read_or_refused),
        cmocka_unit_test(failing_memory_is_told),
    };
    return cmocka_run_group_tests_name("circuit tables", tests, NULL, NULL);
}
