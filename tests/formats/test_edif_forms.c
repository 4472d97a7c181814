/* EDIF: arrays, keywords, properties, hierarchy, as files in the wild have them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/circuit.h"
#include "tests/lib/edif.h"
#include "tests/lib/format.h"

/* What real files have in odd places: comments anywhere, an instance and a net of one
 * identifier, ranges in round brackets, cells without technology, cellType or library,
 * a keyword in any case, a cell behind its use. */
static void oddities_of_real_files_are_read(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        "(EDIF d (comment \"a\") (edifVersion 2 0 0) (edifLevel 0) (comment \"b\" \"c\")\n"
        "(LIBRARY w (edifLevel 0) (comment)"
        "(cell top (view v (viewType NETLIST) (comment \"d\") (INTERFACE (comment \"e\"))\n"
        "(Contents (comment \"(\") (instance A (viewRef v (cellRef R)) (comment \"f\"))"
        "(net A (joined (comment \"g\") (portRef &1 (instanceRef A (comment \"h\")))) (comment))"
        "(net B (joined (portRef (member BUS 2) (instanceRef A)) (portRef (member &2 0) (instanceRef "
        "A)))))))\n"
        "(cell R (comment) (view v (interface (port &1 (comment \"i\"))"
        "(port (array (rename BUS \"BUS(7:5)\") 3)) (port (array &2 2))))))"
        "(design d (cellRef top) (comment \"j\")))");
    assert_non_null(r.circuit);
    assert_int_equal(sw_diags_count(r.diags), 0);
    assert_string_equal(test_node_of(r.circuit, "A.1"), "A");
    assert_string_equal(test_node_of(r.circuit, "A.BUS(5)"), "B");
    assert_string_equal(test_node_of(r.circuit, "A.2[0]"), "B");
    test_reading_free(&r);
}

/* Pin numbers: of the portInstance, else of the port, else the port's name. */
static void pin_numbers_come_from_where_they_are_said(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START "(external p (edifLevel 0) (cell U (cellType GENERIC) (view v (viewType NETLIST) "
        "(interface (port A (designator \"9\")) (port B (designator \"8\")) (port &3) (port (rename "
        "P4 \"4\")) (port NAME)))))"
        TOP("", "(instance U1 (viewRef v (cellRef U)) (portInstance A (designator \"1\")))")
        DESIGN);
    assert_non_null(r.circuit);
    static const struct { const char *number, *name; } pins[] = {
        {"1", "A"}, {"8", "B"}, {"3", ""}, {"4", ""}, {"NAME", ""}};
    for (size_t i = 0; i < 5; i++) {
        assert_string_equal(r.circuit->pins[i].number, pins[i].number);
        assert_string_equal(r.circuit->pins[i].name, pins[i].name);
    }
    test_reading_free(&r);
}

/* A net of 4000 pins. */
static void wide_nets_are_read(void **state) {
    (void)state;
    enum { PINS = 2000 };
    sw_buf text = SW_BUF_INIT;
    sw_buf_puts(&text, START PARTS "(library w (edifLevel 0) (cell top (cellType GENERIC) (view v "
                                   "(viewType NETLIST) (interface) (contents ");
    for (unsigned i = 0; i < PINS; i++)
        sw_buf_printf(&text, "(instance R%u (viewRef v (cellRef R (libraryRef p))))", i);
    sw_buf_puts(&text, "(net GND (joined");
    for (unsigned i = 0; i < PINS; i++)
        sw_buf_printf(&text, "(portRef &1 (instanceRef R%u))(portRef &2 (instanceRef R%u))", i, i);
    sw_buf_puts(&text, "))))))" DESIGN);
    test_reading r = test_read_text("edif", text.bytes);
    assert_non_null(r.circuit);
    assert_int_equal(r.circuit->node_count, 1);
    assert_int_equal(r.circuit->nodes[0].pin_count, 2 * PINS);
    test_reading_free(&r);
    sw_buf_free(&text);
}

static bool has_property(const sw_circuit *c, sw_owner owner, const char *key,
                         const char *value) {
    for (uint32_t i = 0; i < c->property_count; i++)
        if (c->properties[i].owner == owner && strcmp(c->properties[i].key, key) == 0 &&
            strcmp(c->properties[i].value, value) == 0)
            return true;
    return false;
}

/* Rows and columns of lamps: (array X 2 3) has six elements, the last index fastest. */
static void arrays_of_several_dimensions_have_elements(void **state) {
    (void)state;
    static const char text[] =
        START PARTS
        "(external l (edifLevel 0) (cell MATRIX (cellType GENERIC) (view v (viewType NETLIST) "
        "(interface (port (array (rename L \"L[1:2][3:1]\") 2 3)) (port (array D 2 2))))))"
        TOP("", "(instance U1 (viewRef v (cellRef MATRIX (libraryRef l)))"
                " (portInstance (member L 1 0) (designator \"14\")))"
                "(instance (array R 2 2) (viewRef v (cellRef R (libraryRef p))))"
                "(net (array bus 2 3) (joined (portRef L (instanceRef U1))))"
                "(net one (joined (portRef (member D 1 0) (instanceRef U1))"
                " (portRef &1 (instanceRef (member R 1 1)))))")
        DESIGN;
    test_reading r = test_read_text("edif", text);
    assert_non_null(r.circuit);
    assert_int_equal(sw_diags_count(r.diags), 0);
    assert_int_equal(r.circuit->part_count, 5);
    assert_string_equal(test_node_of(r.circuit, "U1.L[1][3]"), "bus[0][0]");
    assert_string_equal(test_node_of(r.circuit, "U1.14"), "bus[1][0]");
    assert_string_equal(test_node_of(r.circuit, "U1.L[2][1]"), "bus[1][2]");
    assert_string_equal(test_node_of(r.circuit, "U1.D[1][0]"), "one");
    assert_string_equal(test_node_of(r.circuit, "R[1][1].1"), "one");
    test_reading_free(&r);
}

/* Another name for a keyword, and one for that name. */
static void keywords_of_the_files_own(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        "(edif d (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 1) (keywordAlias I "
        "instance) (keywordAlias N net) (keywordAlias NN n) (keywordAlias x external))"
        "(x p (edifLevel 0) (cell R (cellType GENERIC) (view v (viewType NETLIST) (interface "
        "(port &1) (port &2)))))"
        TOP("", "(i R1 (viewRef v (cellRef R (libraryRef p)))) (NN A (joined (portRef &1 "
                "(instanceRef R1))))")
        DESIGN);
    assert_non_null(r.circuit);
    assert_int_equal(sw_diags_count(r.diags), 0);
    assert_string_equal(test_node_of(r.circuit, "R1.1"), "A");
    test_reading_free(&r);
}

static void parameters_are_properties(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START "(external p (edifLevel 0) (cell R (cellType GENERIC) (view v (viewType NETLIST) "
        "(interface (parameter value (string \"1k\")) (parameter (array rating 2) (integer 1 2)) "
        "(port &1) (port &2)))))"
        TOP("", "(instance R1 (viewRef v (cellRef R)))"
                "(instance R2 (viewRef v (cellRef R)) (parameterAssign VALUE (string \"2k\"))"
                " (parameterAssign (member rating 1) (integer 5)))")
        DESIGN);
    assert_non_null(r.circuit);
    assert_string_equal(r.circuit->parts[0].value, "1k");
    assert_string_equal(r.circuit->parts[1].value, "2k");
    assert_true(has_property(r.circuit, SW_OWNER_PART, "rating", "1 2"));
    assert_true(has_property(r.circuit, SW_OWNER_PART, "rating[1]", "5"));
    test_reading_free(&r);
}

/* A part has what its cell says, and its pins what the ports say, unless it says it
 * itself; a property of a property is one, too. */
static void properties_of_cells_and_ports_are_its_parts(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START "(external p (edifLevel 0) (cell R (cellType GENERIC) (property maker (string \"x\") "
        "(property town (string \"z\"))) (property class (string \"c\"))"
        "(view v (viewType NETLIST) (interface (port &1 (property delay (integer 3)))))))"
        TOP("(port IN (property side (string \"left\")) (designator \"7\"))",
            "(instance R1 (viewRef v (cellRef R (libraryRef p))) (property CLASS (string \"d\")))"
            "(net a (joined (portRef IN) (portRef &1 (instanceRef R1))) (property w (integer 1)))"
            "(net a (joined) (property h (integer 2)))")
        DESIGN);
    assert_non_null(r.circuit);
    assert_int_equal(sw_diags_count(r.diags), 0);
    assert_true(has_property(r.circuit, SW_OWNER_PART, "maker", "x"));
    assert_true(has_property(r.circuit, SW_OWNER_PART, "maker town", "z"));
    assert_true(has_property(r.circuit, SW_OWNER_PART, "CLASS", "d"));
    assert_false(has_property(r.circuit, SW_OWNER_PART, "class", "c"));
    assert_true(has_property(r.circuit, SW_OWNER_PIN, "delay", "3"));
    assert_true(has_property(r.circuit, SW_OWNER_PIN, "side", "left"));
    assert_true(has_property(r.circuit, SW_OWNER_PIN, "designator", "7"));
    assert_true(has_property(r.circuit, SW_OWNER_NODE, "w", "1"));
    assert_true(has_property(r.circuit, SW_OWNER_NODE, "h", "2"));
    test_reading_free(&r);
}

#define CELL(name, contents) \
    "(cell " name " (cellType GENERIC) (view v (viewType NETLIST) (interface) (contents " contents \
    ")))"
#define PART(name, more) "(instance " name " (viewRef v (cellRef R (libraryRef p))) " more ")"
#define IN_CELL(name, cell) "(instance " name " (viewRef v (cellRef " cell ")))"

/* What is designated stands as it is where it is alone in the design; an instance's
 * name, and what is there several times, get the path. */
static void designators_that_are_unique_stand_as_they_are(void **state) {
    (void)state;
    test_reading r = test_read_text(
        "edif",
        START PARTS "(library w (edifLevel 0)"
        CELL("once", PART("a", "(designator \"R5\")") PART("b", "(property REFDES (string \"R1\"))")
                     PART("c", ""))
        CELL("twice", PART("a", "(designator \"R9\")"))
        CELL("top", PART("R1", "") IN_CELL("X1", "once") IN_CELL("X2", "twice")
                    IN_CELL("X3", "twice"))
        ")" DESIGN);
    assert_non_null(r.circuit);
    static const char *const refs[] = {"R1", "R5", "X1.R1", "X1.c", "X2.R9", "X3.R9"};
    assert_int_equal(r.circuit->part_count, 6);
    for (size_t i = 0; i < 6; i++)
        assert_true(sw_circuit_part(r.circuit, refs[i]).i != SW_NONE);
    assert_string_equal(r.circuit->parts[sw_circuit_part(r.circuit, "R5").i].path, "X1");
    test_reading_free(&r);
}

/* Gates of one package in two blocks, as they say, are one part. */
static void gates_in_several_blocks_are_one_package(void **state) {
    (void)state;
#define GATE(letter, a, b) \
    PART("g", "(designator \"U1\") (property GATE (string \"" letter "\")) (portInstance &1 " \
              "(designator \"" a "\")) (portInstance &2 (designator \"" b "\"))")
    test_reading r = test_read_text(
        "edif",
        START PARTS "(library w (edifLevel 0)" CELL("left", GATE("A", "1", "2"))
        CELL("right", GATE("B", "3", "4"))
        CELL("top", IN_CELL("X1", "left") IN_CELL("X2", "right")) ")" DESIGN);
    assert_non_null(r.circuit);
    assert_int_equal(r.circuit->part_count, 1);
    assert_string_equal(r.circuit->parts[0].ref, "U1");
    assert_int_equal(r.circuit->parts[0].pin_count, 4);
    test_reading_free(&r);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(oddities_of_real_files_are_read),
        cmocka_unit_test(pin_numbers_come_from_where_they_are_said),
        cmocka_unit_test(wide_nets_are_read),
        cmocka_unit_test(arrays_of_several_dimensions_have_elements),
        cmocka_unit_test(keywords_of_the_files_own),
        cmocka_unit_test(parameters_are_properties),
        cmocka_unit_test(properties_of_cells_and_ports_are_its_parts),
        cmocka_unit_test(designators_that_are_unique_stand_as_they_are),
        cmocka_unit_test(gates_in_several_blocks_are_one_package),
    };
    return cmocka_run_group_tests_name("edif: forms", tests, NULL, NULL);
}
