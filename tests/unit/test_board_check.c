/* The check: for each rule a plan that breaks just that one, found with its id, place
 * and words.  The plans are changes of a good one. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "tests/lib/alloc.h"
#include "tests/lib/plan.h"

typedef struct room {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *frost, *counter;
} room;

static int open_room(void **state) {
    room *r = calloc(1, sizeof *r);
    r->diags = sw_diags_new(NULL);
    r->library = sw_library_new(r->diags);
    r->frost = test_fitted(r->library, test_frost_circuit);
    r->counter = test_fitted(r->library, test_counter_circuit);
    *state = r;
    return r->frost == NULL || r->counter == NULL;
}

static int close_room(void **state) {
    room *r = *state;
    sw_circuit_free(r->frost);
    sw_circuit_free(r->counter);
    sw_library_free(r->library);
    sw_diags_free(r->diags);
    free(r);
    return 0;
}

/* The good plan's text with the line that begins with `line` replaced ("" adds) and
 * more lines at the end. */
static char *changed(const char *plan, const char *line, const char *by) {
    const char *at = line[0] == '\0' ? NULL : strstr(plan, line);
    size_t before = at == NULL ? strlen(plan) : (size_t)(at - plan);
    const char *rest = at == NULL ? "" : at + strcspn(at, "\n") + 1;
    if (line[0] != '\0')
        assert_non_null(at);
    char *text = malloc(strlen(plan) + strlen(by) + 1);
    memcpy(text, plan, before);
    strcpy(text + before, by);
    strcat(text, rest);
    return text;
}

/* What a case changes, and the finding that must be among the errors; `alone`: it must
 * be the only finding. */
typedef struct broken {
    const char *line, *by;
    sw_diag_id id;
    const char *at, *ref;    /* "" none */
    bool alone;
    const char *words;       /* in the text */
} broken;

static sw_check_report *report_of(const sw_plan *plan, const sw_circuit *circuit,
                                  const room *r) {
    sw_check_report *report = NULL;
    sw_status status = sw_check(plan, circuit, r->library, NULL, &report);
    assert_non_null(report);
    assert_int_equal(status, report->error_count ? SW_FINDINGS : SW_OK);
    return report;
}

static const char *hole_text(sw_hole hole, char out[12]) {
    if (hole.strip < 0)
        return "";
    sw_hole_write(hole, out);
    return out;
}

static void show(const sw_check_report *report) {
    char at[12], to[12];
    for (uint32_t i = 0; i < report->fault_count; i++) {
        const sw_fault *fault = &report->faults[i];
        print_message("#   [%s] %s-%s %s: %s: %s\n", sw_diag_name(fault->id),
                      hole_text(fault->at, at), hole_text(fault->to, to), fault->ref,
                      fault->text, fault->mend);
    }
}

static bool is_it(const sw_fault *fault, const broken *c) {
    char at[12];
    return fault->id == c->id && strcmp(hole_text(fault->at, at), c->at) == 0 &&
           strcmp(fault->ref, c->ref) == 0 && strstr(fault->text, c->words) != NULL;
}

static void check_broken(const room *r, const sw_circuit *circuit, const char *good,
                         const broken *c) {
    char *text = changed(good, c->line, c->by);
    sw_plan *plan = test_plan(circuit, r->library, text);
    sw_check_report *report = report_of(plan, circuit, r);
    uint32_t found = 0;
    for (uint32_t i = 0; i < report->fault_count; i++)
        found += is_it(&report->faults[i], c) ? 1 : 0;
    if (found != 1 || (c->alone && report->fault_count != 1)) {
        print_message("# wanted %s at %s %s: %s\n", sw_diag_name(c->id), c->at, c->ref,
                      c->words);
        show(report);
    }
    assert_int_equal(found, 1);
    if (c->alone)
        assert_int_equal(report->fault_count, 1);
    sw_check_report_free(report);
    sw_plan_free(plan);
    free(text);
}

static void check_all(void **state, const broken *cases, size_t count) {
    room *r = *state;
    for (size_t i = 0; i < count; i++)
        check_broken(r, r->frost, test_frost_plan, &cases[i]);
}
#define CHECK_ALL(state, cases) check_all(state, cases, sizeof cases / sizeof cases[0])

static void good_plans_have_no_finding(void **state) {
    room *r = *state;
    sw_plan *frost = test_plan(r->frost, r->library, test_frost_plan);
    sw_plan *counter = test_plan(r->counter, r->library, test_counter_plan);
    assert_int_equal(sw_check(frost, r->frost, r->library, r->diags, NULL), SW_OK);
    assert_int_equal(sw_check(frost, NULL, r->library, r->diags, NULL), SW_OK);
    assert_int_equal(sw_check(counter, r->counter, r->library, r->diags, NULL), SW_OK);
    assert_int_equal(sw_check(frost, r->frost, NULL, r->diags, NULL), SW_OK);
    assert_int_equal(sw_diags_count(r->diags), 0);
    sw_plan_free(frost);
    sw_plan_free(counter);
}

static void rule_1_parts_and_pins(void **state) {
    static const broken cases[] = {
        {"R1 A3", "", SW_D_BOARD_PART_MISSING, "", "R1", false, "R1 is not on the board"},
        {"", "R9=RES-0.25W B14 F14\n", SW_D_BOARD_PART_EXTRA, "B14", "R9", false,
         "not in the circuit"},
        {"", "p1 C17\n", SW_D_BOARD_PART_DOUBLED, "C17", "p1", false, "twice"},
        {"R1 A3", "R1 A3\n", SW_D_BOARD_PIN_MISSING, "", "R1", false, "R1.2 has no lead"},
        {"R1 A3", "R1 A3 E3 E4\n", SW_D_BOARD_PIN_EXTRA, "E4", "R1", false, "no pin 3"},
        {"board", "board I500\nkeep A1 A1\n", SW_D_BOARD_KEEP_OUT, "A1", "P1", true, "P1 is"},
    };
    CHECK_ALL(state, cases);
}

static void a_pin_has_one_lead(void **state) {
    room *r = *state;
    sw_plan *plan = test_plan(r->frost, r->library, test_frost_plan);
    uint32_t first = plan->parts[10].first_lead;
    assert_string_equal(plan->parts[10].ref, "U1");
    plan->leads[first + 1].pin = "1";
    plan->leads[first + 1].node = 0;
    sw_check_report *report = report_of(plan, r->frost, r);
    assert_int_equal(report->faults[0].id, SW_D_BOARD_PIN_DOUBLED);
    assert_string_equal(report->faults[0].text, "U1.1 has a lead in D8 and one in E8: a pin has one");
    assert_int_equal(report->faults[1].id, SW_D_BOARD_PIN_MISSING);
    sw_check_report_free(report);
    sw_plan_free(plan);
}

static void rule_1_holes(void **state) {
    static const broken cases[] = {
        {"board I20", "board I19\n", SW_D_BOARD_OFF, "A20", "R5", false,
         "R5.1 is in A20, off the board, whose last hole is I19"},
        {"", "cut A1\n", SW_D_BOARD_HOLE_CUT, "A1", "P1", false, "lost to a cut"},
        {"", "cut G7\n", SW_D_BOARD_HOLE_CUT, "G7", "", false, "the link G7-I7"},
        {"", "cut K3\n", SW_D_BOARD_OFF, "K3", "", false, "the cut at K3"},
        {"", "knife A20\n", SW_D_BOARD_OFF, "A20", "", false, "at the board's edge"},
        {"P1 A1", "P1 A3\n", SW_D_BOARD_HOLE_SHARED, "A3", "R1", true, "P1 and R1.1"},
        {"link F13", "link F13 G13\nlink G13 I13\n", SW_D_BOARD_HOLE_SHARED, "G13", "", false,
         "one wire a hole"},
        {"board", "board I20\nmargin 1\n", SW_D_BOARD_MARGIN, "A1", "P1", false,
         "margin of 1"},
        {"", "keep B3 B3\n", SW_D_BOARD_KEEP_OUT, "A3", "R1", true, "kept free"},
        {"", "keep B12 C12 screw\n", SW_D_BOARD_KEEP_OUT, "A12", "", true, "(screw)"},
    };
    CHECK_ALL(state, cases);
}

/* The body is not in the way of a keep-out that it only touches. */
static void keep_outs_may_be_touched(void **state) {
    room *r = *state;
    char *text = changed(test_frost_plan, "", "keep B13 C17\nkeep B8 B10\n");
    sw_plan *plan = test_plan(r->frost, r->library, text);
    assert_int_equal(sw_check(plan, r->frost, r->library, r->diags, NULL), SW_OK);
    assert_int_equal(sw_diags_count(r->diags), 0);
    sw_plan_free(plan);
    free(text);
}

static void rule_2_how_leads_stand(void **state) {
    static const broken cases[] = {
        {"R1 A3", "R1@90 A3 E3\n", SW_D_BOARD_TURN, "A3", "R1", true, "turn 90"},
        {"R2 E5", "R2=RES-0.25W E5 F5\n", SW_D_BOARD_SPAN, "E5", "R2", false, "1 pitches apart"},
        {"R5 A20", "R5 A20 F19\n", SW_D_BOARD_LEADS, "A20", "R5", true, "askew"},
        {"U1 D8", "U1 D11 E11 F11 G11 G8 F8 E8 D8\n", SW_D_BOARD_MIRRORED, "D11", "U1", false,
         "counter-clockwise"},
        {"Q1 G16", "Q1 G16 H17 I16\n", SW_D_BOARD_LEADS, "H17", "Q1", true,
         "pin 2 would be in H16, not H17"},
        {"R1 A3", "R1=SOAP A3 E3\n", SW_D_BOARD_PACKAGE_UNKNOWN, "", "R1", true, "SOAP"},
        {"R1 A3", "R1=DIP-8 A3 E3\n", SW_D_BOARD_LEADS, "A3", "R1", true, "has not the pins"},
        {"R1 A3", "R1=RES-0.5W A3 E3\n", SW_D_BOARD_PACKAGE_DIFFERS, "A3", "R1", false,
         "RES-0.25W in the circuit"},
        {"D1 F18", "D1 F18 I18\n", SW_D_BOARD_SPAN, "F18", "D1", false, "LED-3 takes 1 to 2"},
    };
    CHECK_ALL(state, cases);
}

static void rule_3_bodies(void **state) {
    static const broken cases[] = {
        /* a disc of 3.9 against a transistor's corner */
        {"D1 F18", "D1 F17 G17\n", SW_D_BOARD_BODIES, "G16", "D1", true, "D1 and Q1"},
        /* a 1 W resistor is 5.0 wide and wants two columns */
        {"R1 A3", "R1=RES-1W A3 G3\n", SW_D_BOARD_BODIES, "A4", "R1", false, "bodies"},
        {"P1 A1", "P1 D10\n", SW_D_BOARD_BODIES, "D8", "P1", true, "P1 and U1"},
    };
    CHECK_ALL(state, cases);
}

static void rule_3_wires_and_links(void **state) {
    static const broken cases[] = {
        {"", "link H20 I20\nlink B3 C3\n", SW_D_BOARD_UNDER_BODY, "B3", "R1", false,
         "the end of the link B3-C3 at B3 is where the body of R1 is"},
        {"RT1 F6", "RT1 F5 I5\n", SW_D_BOARD_HOLE_SHARED, "I5", "RT1", false, "RT1.2"},
        {"R2 E5", "R2 D5 I5\n", SW_D_BOARD_SHORT, "D5", "R2", false, "OUT"},
        {"P2 I1", "P2 G2\n", SW_D_BOARD_BODIES, "D2", "P2", false, "P2 and R4"},
        {"R2 E5", "R2 D3 H3\n", SW_D_BOARD_UNDER_BODY, "E3", "R2", false,
         "a lead of R1 at E3 is where the body of R2 is"},
        {"link A12 D12", "link A9 D10\n", SW_D_BOARD_LINK_SLANT, "A9", "", false, "column"},
        {"", "link B19 B19\n", SW_D_BOARD_LINK_SLANT, "B19", "", false, "ends where it begins"},
        {"", "link B12 C12\n", SW_D_BOARD_CROSSING, "B12", "", false, "in each other's way"},
        {"link A12 D12", "link A15 D15\nlink B14 H14\nlink C14 I14\n", SW_D_BOARD_CROSSING,
         "C14", "", false, "the link B14-H14"},
        /* over a transistor's lead, and through a resistor's lead wire */
        {"", "link C16 G16\n", SW_D_BOARD_HOLE_SHARED, "G16", "", false, "Q1.1"},
        {"", "link B20 D20\n", SW_D_BOARD_UNDER_BODY, "D20", "R5", false, "R5"},
        {"", "link E20 G20\n", SW_D_BOARD_CROSSING, "E20", "R5", false, "a lead of R5"},
    };
    CHECK_ALL(state, cases);
}

static void rules_4_to_6_copper(void **state) {
    static const broken cases[] = {
        {"cut F15", "", SW_D_BOARD_SHORT, "F11", "U1", true,
         "meet on strip F between F11 (U1.6) and F18 (D1.1)"},
        {"cut D9", "", SW_D_BOARD_SHORT, "D8", "U1", true, "strip D between D8 (U1.1) and D11"},
        {"link G7", "", SW_D_BOARD_OPEN, "G8", "U1", false, "is in 2 pieces"},
        {"link A12", "", SW_D_BOARD_OPEN, "A1", "P1", true,
         "P1 in A1, R1.1 in A3, R3.1 in A4, R5.1 in A20 | U1.8 in D11"},
        {"cut E9", "", SW_D_BOARD_LONE_PIN, "E8", "U1", true,
         "U1.7 in E11 connects to nothing, but shares strip E with U1.2 in E8"},
        {"", "link B13 E13\n", SW_D_BOARD_LONE_PIN, "E11", "U1", true,
         "shares its strip with the link B13-E13"},
        {"", "link A13 C13\nlink C15 I15\n", SW_D_BOARD_SHORT, "C15", "", true,
         "meet through the link C15-I15"},
        {"", "cut H10\n", SW_D_BOARD_OPEN, "H2", "R4", true, "R4.2 in H2 | Q1.2 in H16"},
    };
    CHECK_ALL(state, cases);
}

static void rule_7_nothing_needless(void **state) {
    static const broken cases[] = {
        {"", "cut B5\n", SW_D_BOARD_CUT_NEEDLESS, "B5", "", true, "separates nothing"},
        {"", "cut D10\n", SW_D_BOARD_CUT_NEEDLESS, "D9", "", true, "at D9"},
        {"", "knife D9\n", SW_D_BOARD_CUT_NEEDLESS, "D9", "", true, "the cut at D9"},
        {"", "cut A20\ncut B1\n", SW_D_BOARD_HOLE_CUT, "A20", "R5", false, "R5.1"},
        {"", "link A13 B13\n", SW_D_BOARD_LINK_NEEDLESS, "A13", "", true, "joins nothing"},
        {"", "link A14 D14\n", SW_D_BOARD_LINK_NEEDLESS, "A14", "", true, "A14-D14"},
        {"", "link G14 I14\n", SW_D_BOARD_LINK_NEEDLESS, "G14", "", true, "G14-I14"},
    };
    CHECK_ALL(state, cases);
}

/* Asked-for cuts and cuts beside a screw are not needless; without them copper reaches
 * under the screw. */
static void cuts_may_have_other_reasons(void **state) {
    room *r = *state;
    char *text = changed(test_frost_plan, "board I20",
                         "board I23\nasked B5\nkeep H22 I23 screw\ncut H21\ncut I21\n");
    sw_plan *plan = test_plan(r->frost, r->library, text);
    sw_check_report *report = report_of(plan, r->frost, r);
    show(report);
    assert_int_equal(report->fault_count, 0);
    sw_check_report_free(report);
    sw_plan_free(plan);
    free(text);
    text = changed(test_frost_plan, "board I20", "board I23\nkeep H22 I23 screw\ncut H21\n");
    plan = test_plan(r->frost, r->library, text);
    report = report_of(plan, r->frost, r);
    assert_int_equal(report->fault_count, 1);
    assert_int_equal(report->faults[0].id, SW_D_BOARD_SCREW_COPPER);
    assert_int_equal(report->error_count, 0);
    sw_check_report_free(report);
    sw_plan_free(plan);
    free(text);
}

static void a_flat_link_passes_between_the_rows_of_a_dip(void **state) {
    room *r = *state;
    /* VCC to pin 8 from above, between the rows, its end beneath the socket. */
    char *text = changed(test_frost_plan, "link A12 D12", "link A10 D10\n");
    sw_plan *plan = test_plan(r->frost, r->library, text);
    assert_int_equal(sw_check(plan, r->frost, r->library, r->diags, NULL), SW_OK);
    sw_plan_free(plan);
    free(text);
    /* In a row's column it is not between the rows, and G8 to I8 meets a lead. */
    static const broken row = {"link G7", "link H8 I8\n", SW_D_BOARD_OPEN, "G8", "U1", false,
                               "pieces"};
    check_broken(r, r->frost, test_frost_plan, &row);
    /* A lead may not be there. */
    static const broken lead = {"R4 D2", "R4 D10 H10\n", SW_D_BOARD_BODIES, "D8", "R4", false,
                                "R4 and U1"};
    check_broken(r, r->frost, test_frost_plan, &lead);
}

/* Beneath a body that stands clear of the board, over no lead: sleeved, or not at all. */
static void a_sleeved_link_passes_beneath_a_raised_part(void **state) {
    room *r = *state;
    static const char table[] = "name,form,body_along_mm,body_across_mm,height_mm,under\n"
                                "RAISED,pair:3:3:3,15.2,15.2,10,sleeved-link\n";
    sw_input input;
    assert_int_equal(sw_input_text(r->diags, "raised.csv", table, strlen(table), &input), SW_OK);
    assert_int_equal(sw_library_add(r->library, &input, r->diags), SW_OK);
    sw_circuit *c = test_fitted(r->library, "BZ1 z x - RAISED 1=A 2=B\nP1 N - - PIN-1 1=A\nP2 N - - PIN-1 1=A\n"
                                            "P3 N - - PIN-1 1=B\n");
    assert_non_null(c);
    sw_plan *plan = test_plan(c, r->library, "board J12\nBZ1 C6 F6\nP1 A1\nP2 I1\nP3 F12\nlink A5 I5\nlink A7 C7\n");
    size_t before = sw_diags_of(r->diags, SW_ERROR);
    assert_int_equal(sw_check(plan, c, r->library, r->diags, NULL), SW_FINDINGS);
    assert_int_equal(sw_diags_of(r->diags, SW_ERROR), before + 2);
    plan->links[0].sleeved = plan->links[1].sleeved = true;
    assert_int_equal(sw_check(plan, c, r->library, r->diags, NULL), SW_OK);
    plan->links[0].from.column = plan->links[0].to.column = 5; /* over both leads */
    assert_int_equal(sw_check(plan, c, r->library, r->diags, NULL), SW_FINDINGS);
    sw_plan_free(plan);
    sw_circuit_free(c);
}

/* The last finding about a face; "" none. */
static const char *said_of_face(const sw_check_report *report) {
    const char *says = "";
    for (size_t k = 0; k < report->fault_count; k++)
        if (report->faults[k].id == SW_D_BOARD_FACE)
            says = report->faults[k].text;
    return says;
}

/* What a plan of the parts is told of faces, "" for nothing, and whether it has no errors at all. */
static bool expect_of_face(room *r, const char *parts, const char *drawn, const char *says) {
    sw_circuit *c = test_fitted(r->library, parts);
    assert_non_null(c);
    sw_plan *plan = test_plan(c, r->library, drawn);
    sw_check_report *report = report_of(plan, c, r);
    const char *said = said_of_face(report);
    if (*says ? !strstr(said, says) : *said)
        fail_msg("\"%s\" is told of %s", said, drawn);
    bool good = report->error_count == 0;
    sw_check_report_free(report);
    sw_plan_free(plan);
    sw_circuit_free(c);
    return good;
}

/* The body of SCREW-2, openings to the left at turn 0, reaches 4.15 mm beyond its leads; that of
 * TRIM-SIDE, screw upwards, 2.51 mm. */
static void sides_to_be_got_at_look_to_their_edge(void **state) {
    room *r = *state;
    static const struct { const char *plan, *says; } cases[] = {
        {"board J14\nJ1@0 F1 H1\nVR1@0 B5 C5 D5\n", ""},
        {"board J14\nJ1@0 B3 D3\nVR1@180 I5 H5 G5\n", ""},
        {"board J14\nJ1@180 H12 F12\nVR1@0 B5 C5 D5\n", ""},
        {"board J14\nJ1@0 F12 H12\nVR1@0 B5 C5 D5\n",
         "the openings of J1 look to the left edge, which is 25 mm away: turn it or move it there"},
        {"board J14\nJ1@0 F1 H1\nVR1@180 D5 C5 B5\n", "the screw of VR1 looks to the bottom edge, which is 14 mm away"}};
    const char *board = "J1 N - - SCREW-2 1=A 2=B\nVR1 P 10k - TRIM-SIDE 1=C 2=D 3=E\n";
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_true(expect_of_face(r, board, cases[i].plan, cases[i].says));
}

/* A controller board of 34.2 mm, 8.2 mm beyond its pins at both ends; its cable goes in below at turn 0. */
static void the_cable_of_a_board_on_pins_comes_from_an_edge(void **state) {
    room *r = *state;
    static const struct { const char *plan, *says; } cases[] = {
        {"board H11\nU1@0 A1 B1 C1 D1 E1 F1 G1 H1 H10 G10 F10 E10 D10 C10 B10 A10\n", ""},
        {"board R11\nU1@180 H10 G10 F10 E10 D10 C10 B10 A10 A1 B1 C1 D1 E1 F1 G1 H1\n", ""},
        {"board R11\nU1@0 A1 B1 C1 D1 E1 F1 G1 H1 H10 G10 F10 E10 D10 C10 B10 A10\n",
         "the cable socket of U1 looks to the bottom edge, which is 18 mm away"}};
    const char *board = "U1 X - - D1-MINI-16 1=A 2=B 3=C 4=D 5=E 6=F 7=G 8=H 9=I 10=J 11=K 12=L 13=M 14=N 15=O 16=P\n";
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        expect_of_face(r, board, cases[i].plan, cases[i].says);
}

/* A tab that lies out over the edge, and the openings behind it. */
static void nothing_stands_before_openings(void **state) {
    room *r = *state;
    static const struct { const char *plan, *says; } cases[] = {
        {"board J14\nJ1@0 F3 H3\nU1@180 D1 C1 B1\n", ""},
        {"board J14\nJ1@0 F3 H3\nU1@180 I1 H1 G1\n", "U1 stands before the openings of J1"}};
    const char *board = "J1 N - - SCREW-2 1=A 2=B\nU1 X - - TO-220-FLAT 1=C 2=D 3=E\n";
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        expect_of_face(r, board, cases[i].plan, cases[i].says);
}

/* Legs that a push button joins inside: pin 4 alone on its node is of pin 3's. */
static void joined_pins_are_one_node(void **state) {
    room *r = *state;
    sw_plan *plan = test_plan(r->counter, r->library, test_counter_plan);
    sw_copper *copper = sw_copper_new(plan, r->library);
    assert_int_equal(copper->segments[2].strip, 2);
    assert_int_equal(copper->segments[2].copper, copper->segments[3].copper);
    sw_copper_free(copper);
    sw_plan_free(plan);
    /* A cut between the legs changes nothing: they are joined inside. */
    static const broken cut = {"", "cut C6\n", SW_D_BOARD_CUT_NEEDLESS, "C6", "", true,
                               "separates nothing"};
    check_broken(r, r->counter, test_counter_plan, &cut);
    /* Turned a quarter the legs short what they join. */
    static const broken turned = {"S1 C5", "S1 E5 C5 E7 C7\n", SW_D_BOARD_LEADS, "C5", "S1",
                                  false, ""};
    check_broken(r, r->counter, test_counter_plan, &turned);
}

static void without_a_circuit_stated_nodes_count(void **state) {
    room *r = *state;
    sw_plan *plan = test_plan(r->frost, r->library, test_frost_plan);
    plan->leads[plan->parts[0].first_lead].node = 0;
    sw_check_report *report = report_of(plan, NULL, r);
    assert_int_equal(report->faults[0].id, SW_D_BOARD_NODE_UNSTATED);
    sw_check_report_free(report);
    plan->leads[plan->parts[0].first_lead].node = 99;
    report = report_of(plan, r->frost, r); /* the circuit knows better */
    assert_int_equal(report->fault_count, 1);
    assert_int_equal(report->faults[0].id, SW_D_BOARD_NODE_DIFFERS);
    assert_int_equal(report->error_count, 0);
    sw_check_report_free(report);
    sw_plan_free(plan);
}

static void boards_have_a_size(void **state) {
    room *r = *state;
    static const int sizes[][2] = {{0, 9}, {9, -1}, {501, 9}, {9, 501}};
    for (size_t i = 0; i < 4; i++) {
        sw_plan *plan = test_plan(r->frost, r->library, test_frost_plan);
        plan->strips = (int16_t)sizes[i][0];
        plan->columns = (int16_t)sizes[i][1];
        sw_check_report *report = report_of(plan, r->frost, r);
        assert_int_equal(report->fault_count, 1);
        assert_int_equal(report->faults[0].id, SW_D_BOARD_SIZE);
        sw_check_report_free(report);
        sw_plan_free(plan);
    }
}

static void findings_go_to_the_sink_with_their_mend(void **state) {
    room *r = *state;
    sw_diags *diags = sw_diags_new(NULL);
    char *text = changed(test_frost_plan, "cut F15", "");
    sw_plan *plan = test_plan(r->frost, r->library, text);
    assert_int_equal(sw_check(plan, r->frost, r->library, diags, NULL), SW_FINDINGS);
    assert_int_equal(sw_diags_count(diags), 1);
    assert_string_equal(sw_diags_get(diags, 0)->message,
                        "node 4 (0) and node 8 (LEDA) meet on strip F between F11 (U1.6) and F18 "
                        "(D1.1): cut at F14");
    assert_int_equal(sw_check(plan, r->frost, r->library, NULL, NULL), SW_FINDINGS);
    sw_plan_free(plan);
    sw_diags_free(diags);
    free(text);
}

static void memory_may_run_out(void **state) {
    room *r = *state;
    char *text = changed(test_frost_plan, "cut F15", "cut B3\n");
    sw_plan *plan = test_plan(r->frost, r->library, text);
    for (long n = 0;; n = n < 400 ? n + 1 : n + n / 7) {
        sw_check_report *report = NULL;
        test_alloc_fail(n);
        sw_status status = sw_check(plan, r->frost, r->library, NULL, &report);
        bool failed = test_alloc_reset();
        assert_true((report == NULL) == (status == SW_SYSTEM));
        sw_check_report_free(report);
        if (!failed)
            break;
        assert_int_equal(status, SW_SYSTEM);
    }
    sw_plan_free(plan);
    free(text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(good_plans_have_no_finding),
        cmocka_unit_test(rule_1_parts_and_pins),
        cmocka_unit_test(a_pin_has_one_lead),
        cmocka_unit_test(rule_1_holes),
        cmocka_unit_test(keep_outs_may_be_touched),
        cmocka_unit_test(rule_2_how_leads_stand),
        cmocka_unit_test(rule_3_bodies),
        cmocka_unit_test(rule_3_wires_and_links),
        cmocka_unit_test(rules_4_to_6_copper),
        cmocka_unit_test(rule_7_nothing_needless),
        cmocka_unit_test(cuts_may_have_other_reasons),
        cmocka_unit_test(a_flat_link_passes_between_the_rows_of_a_dip),
        cmocka_unit_test(a_sleeved_link_passes_beneath_a_raised_part),
        cmocka_unit_test(sides_to_be_got_at_look_to_their_edge),
        cmocka_unit_test(the_cable_of_a_board_on_pins_comes_from_an_edge),
        cmocka_unit_test(nothing_stands_before_openings),
        cmocka_unit_test(joined_pins_are_one_node),
        cmocka_unit_test(without_a_circuit_stated_nodes_count),
        cmocka_unit_test(boards_have_a_size),
        cmocka_unit_test(findings_go_to_the_sink_with_their_mend),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests_name("board check", tests, open_room, close_room);
}
