/* The fit: from netlist lines to parts with packages, every rule and worked case. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "tests/lib/alloc.h"
#include "tests/lib/circuit.h"

/* One fit with everything that it gave. */
typedef struct fitting {
    sw_diags *diags;
    sw_library *library;
    sw_circuit *netlist, *c;
    sw_sheet *sheet, *report;
    sw_status status;
} fitting;

static fitting fit_with(const char *text, const char *sheet, const char *const *rails) {
    fitting f = {.diags = sw_diags_new(NULL)};
    f.library = sw_library_new(f.diags);
    assert_non_null(f.library);
    f.netlist = test_circuit(f.diags, SW_STAGE_NETLIST, text);
    assert_non_null(f.netlist);
    if (sheet) {
        sw_input input;
        assert_int_equal(sw_input_text(f.diags, "sheet", sheet, strlen(sheet), &input), SW_OK);
        assert_int_equal(sw_sheet_read(&input, f.diags, &f.sheet), SW_OK);
    }
    sw_fit_options options = {.sheet = f.sheet, .rails = rails};
    f.status = sw_fit(f.netlist, f.library, &options, f.diags, &f.c, &f.report);
    assert_true((f.c != NULL) == (f.status == SW_OK));
    return f;
}

static fitting fit(const char *text) {
    return fit_with(text, NULL, NULL);
}

static void done(fitting *f) {
    sw_circuit_free(f->c);
    sw_circuit_free(f->netlist);
    sw_sheet_free(f->sheet);
    sw_sheet_free(f->report);
    sw_library_free(f->library);
    sw_diags_free(f->diags);
}

/* A part as text: REF package/device/value pin=node …, lone pins left out. */
static void check_part(const fitting *f, const char *want) {
    assert_int_equal(f->status, SW_OK);
    char ref[32] = "";
    strncpy(ref, want, strcspn(want, " "));
    sw_part_id id = sw_circuit_part(f->c, ref);
    if (id.i == SW_NONE)
        fail_msg("no part %s", ref);
    const sw_part *part = &f->c->parts[id.i];
    sw_buf is = SW_BUF_INIT;
    sw_buf_printf(&is, "%s %s/%s/%s", part->ref, part->package, part->device, part->value);
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = &f->c->pins[part->first_pin.i + i];
        const sw_node *node = &f->c->nodes[pin->node.i];
        if (node->pin_count > 1 || node->named)
            sw_buf_printf(&is, " %s=%s", pin->number, node->name);
    }
    assert_string_equal(is.bytes, want);
    assert_int_equal(part->pin_count, part->form->pin_count);
    sw_buf_free(&is);
}

/* The refs of all parts, in order. */
static void check_refs(const fitting *f, const char *want) {
    assert_int_equal(f->status, SW_OK);
    sw_buf is = SW_BUF_INIT;
    for (uint32_t i = 0; i < f->c->part_count; i++)
        sw_buf_printf(&is, "%s%s", i ? " " : "", f->c->parts[i].ref);
    assert_string_equal(is.bytes, want);
    sw_buf_free(&is);
}

/* The fit fails with just this error, whose message has `part` in it. */
static void check_fails(const char *text, sw_diag_id id, const char *part) {
    fitting f = fit(text);
    assert_int_equal(f.status, SW_NO_PLAN);
    assert_int_equal(sw_diags_of(f.diags, SW_ERROR), 1);
    if (!strstr(test_message(f.diags, id), part))
        fail_msg("%s: \"%s\" is not in \"%s\"", sw_diag_name(id), part,
                 test_message(f.diags, id));
    assert_non_null(f.report); /* it tells what there is to edit all the same */
    done(&f);
}

/* ---- what kind and value suggest ---- */

static void packages_by_kind_and_value(void **state) {
    (void)state;
    fitting f = fit("R1 R 10k - - 1=A 2=B\nC1 C 10u - - 1=A 2=0\nC2 C 100n - - 1=A 2=0\n"
                    "C3 C 220n - - 1=A 2=0\nC4 C 1000u - - 1=A 2=0\nC5 C 220u - - 1=A 2=0\n"
                    "C6 C 100u - - 1=A 2=0\nC7 C 22p - - 1=A 2=0\nL1 L 1m - - 1=A 2=B\n"
                    "D1 D - DXYZ - A=A K=B\nD2 D - 1N4007 - A=A K=B\nD3 D - MYLED - A=A K=B\n"
                    "C8 C 1u - - 1=A 2=0\nD4 D - BZX85C5V1 - A=A K=B\n"
                    "RV1 ? 10k - - 1=A 2=B 3=0\nX2 X 1 x HEADER-1x2 1=A 2=B\n");
    check_part(&f, "R1 RES-0.25W//10k 1=A 2=B");
    check_part(&f, "C1 ELEC-5//10u 1=A 2=0");
    check_part(&f, "C2 CAP-DISC-2.5//100n 1=A 2=0");
    check_part(&f, "C3 CAP-BOX-5//220n 1=A 2=0");
    check_part(&f, "C4 ELEC-10//1000u 1=A 2=0");
    check_part(&f, "C5 ELEC-8//220u 1=A 2=0");
    check_part(&f, "C6 ELEC-6.3//100u 1=A 2=0");
    check_part(&f, "C7 CAP-DISC-2.5//22p 1=A 2=0");
    check_part(&f, "C8 ELEC-5//1u 1=A 2=0");
    check_part(&f, "L1 IND-AXIAL//1m 1=A 2=B");
    check_part(&f, "D1 DO-35/DXYZ/ 1=B 2=A"); /* pin 1 is K */
    check_part(&f, "D2 DO-41/1N4007/ 1=B 2=A");
    check_part(&f, "D3 LED-5/MYLED/ 1=B 2=A");
    check_part(&f, "D4 DO-41/BZX85C5V1/ 1=B 2=A");
    check_part(&f, "RV1 TRIM-6//10k 1=A 2=B 3=0");
    assert_true(f.c->parts[sw_circuit_part(f.c, "C1").i].polarised);
    assert_false(f.c->parts[sw_circuit_part(f.c, "C2").i].polarised);
    assert_true(f.c->parts[sw_circuit_part(f.c, "D1").i].polarised);
    assert_true(f.c->parts[sw_circuit_part(f.c, "D3").i].polarised);
    assert_false(f.c->parts[sw_circuit_part(f.c, "R1").i].polarised);
    assert_int_equal(test_count(f.diags, SW_D_FIT_GUESSED), 1);
    done(&f);
}

static void words_say_what_stands_on_the_board(void **state) {
    (void)state;
    fitting f = fit("LDR1 ? - - - 1=A 2=B\nR5 R 10k NTC - 1=A 2=B\nTH2 ? 4k7 - - 1=A 2=B\n"
                    "RV1 ? - varistor - 1=A 2=0\nD1 ? red - - K=0 A=B\nD2 D - photodiode - A=A K=0\n"
                    "JP1 ? - - - 1=A 2=B\nSW3 ? - push_button - 1=A 2=B\nR6 R 10k - - 1=A 2=B\n");
    check_part(&f, "LDR1 LDR-5// 1=A 2=B");
    check_part(&f, "R5 NTC-5/NTC/10k 1=A 2=B");
    check_part(&f, "TH2 NTC-5//4k7 1=A 2=B");
    check_part(&f, "RV1 VARISTOR-7/varistor/ 1=A 2=0");
    check_part(&f, "D1 LED-5//red 1=0 2=B");
    check_part(&f, "D2 LED-5/photodiode/ 1=0 2=A");
    check_part(&f, "JP1 HEADER-1x2// 1=A 2=B");
    check_part(&f, "SW3 BUTTON-6/push_button/ 1=A 2=A 3=B 4=B"); /* 1 and 2 are its contacts */
    check_part(&f, "R6 RES-0.25W//10k 1=A 2=B");
    assert_int_equal(test_count(f.diags, SW_D_FIT_BESIDE), 0);
    done(&f);
}

static void words_say_what_is_beside_it(void **state) {
    (void)state;
    fitting f = fit("SW1 ? - slide_switch - 1=A 2=B 3=C\nLS1 ? 8 - - 1=A 2=B\nX1 X! - LAMP - a=A b=C\n"
                    "R1 R 1k - - 1=A 2=B\nR2 R 1k - - 1=B 2=C\nM1 M - 2N7000 - D=A G=B S=C\n"
                    "SW2 ? - switch HEADER-1x2 1=A 2=C\n");
    check_refs(&f, "LS1.1 LS1.2 M1 R1 R2 SW1.1 SW1.2 SW1.3 SW2 X1.a X1.b");
    assert_int_equal(test_count(f.diags, SW_D_FIT_BESIDE), 1);
    assert_non_null(strstr(test_message(f.diags, SW_D_FIT_BESIDE), "called: SW1, LS1, X1: state package="));
    done(&f);
    /* what a subcircuit drives, and what a relay is made of, is not what it is */
    check_fails("X1 X! - LAMP_DRIVER - a=A b=C\n", SW_D_FIT_NO_PACKAGE, "X1 (LAMP_DRIVER)");
    check_fails("K1 ? - reed_relay - 1=A 2=B\n", SW_D_FIT_NO_PACKAGE, "K1 (reed_relay)");
}

/* Models of things to hold are not laid flat; what tells a voltage is, and what drives a thing. */
static void words_of_subcircuits(void **state) {
    (void)state;
    static const char *const things[] = {"SPEAKER", "DC_MOTOR", "ldr", "toggle switch", "PUSHBUTTON", "MOTOR12"};
    static const char *const circuits[] = {"LAMP_DRIVER", "BATTERY", "VOLTMETER", "RELAY", "LM358", ""};
    for (size_t i = 0; i < sizeof things / sizeof *things; i++)
        assert_true(sw_names_a_thing(things[i]));
    for (size_t i = 0; i < sizeof circuits / sizeof *circuits; i++)
        assert_false(sw_names_a_thing(circuits[i]));
    fitting f = fit("X1 X! - LDR - 1=a 2=b\nX2 X! - SPDT_SWITCH - 1=a 2=b 3=0\nR1 R 1k - - 1=a 2=0\n");
    check_part(&f, "X1 LDR-5/LDR/ 1=a 2=b");
    check_refs(&f, "R1 X1 X2.1 X2.2 X2.3");
    done(&f);
    check_fails("X1 X! - SWITCH - 1=a 2=b 3=c 4=0\n", SW_D_FIT_NO_PACKAGE, "X1 (SWITCH)");
}

/* XU1 of a deck is U1, unless another part is, or XTAL1, or a deck did not say so. */
static void references_of_subcircuits(void **state) {
    (void)state;
    fitting f = fit("XU1 X - NE555 - GND=0 TRIG=a\nXU2 X - NE555 - GND=0 TRIG=a\nU2 X - NE555 - GND=0 TRIG=a\n"
                    "XU5 X - NE555 - GND=0 TRIG=a\nX7 X - NE555 - GND=0 TRIG=a\n@ X7 ref=U5\n"
                    "XTAL1 X! - - XTAL-HC49 1=a 2=0\nXR9 ? 1k - RES-0.25W 1=a 2=0\nX3.XU1 X - NE555 - GND=0 TRIG=a\n");
    check_refs(&f, "U1 U2 U5 X3.U1 XR9 XTAL1 XU2 XU5");
    done(&f);
}

/* ---- order of what decides ---- */

static void stated_beats_netlist_beats_library_beats_kind(void **state) {
    (void)state;
    fitting f = fit_with("R1 R 1k - RES-1W 1=A 2=B\nR2 R 1k - RES-1W 1=A 2=B\n"
                         "D1 D - 1N4148 DO-41 A=A K=B\nD2 D - 1N4148 - A=A K=B\n"
                         "@ R1 package=RES-0.5W\n", "name,package\nR2,RES-2W\n", NULL);
    check_part(&f, "R1 RES-0.5W//1k 1=A 2=B");
    check_part(&f, "R2 RES-2W//1k 1=A 2=B");
    check_part(&f, "D1 DO-41/1N4148/ 1=B 2=A");
    check_part(&f, "D2 DO-35/1N4148/ 1=B 2=A");
    done(&f);
}

static void instance_beats_model_beats_pattern(void **state) {
    (void)state;
    fitting f = fit("R1 R 1k RX - 1=A 2=B\nR2 R 1k RX - 1=A 2=B\nR3 R 1k - - 1=A 2=B\n"
                    "@ R* package=RES-1W value=2k\n@ RX package=RES-2W\n@ r1 package=RES-0.5W\n");
    check_part(&f, "R1 RES-0.5W/RX/2k 1=A 2=B");
    check_part(&f, "R2 RES-2W/RX/2k 1=A 2=B");
    check_part(&f, "R3 RES-1W//2k 1=A 2=B");
    done(&f);
}

static void a_pattern_without_reference_speaks_of_devices(void **state) {
    (void)state;
    fitting f = fit("D1 D - GREEN3 - A=A K=B\nD2 D - GRID - A=A K=B\n@ GREEN* package=LED-3\n");
    check_part(&f, "D1 LED-3/GREEN3/ 1=B 2=A");
    check_part(&f, "D2 DO-35/GRID/ 1=B 2=A");
    done(&f);
}

static void the_users_sheet_beats_the_decks_line_of_the_same_rank(void **state) {
    (void)state;
    fitting f = fit_with("R1 R 1k - - 1=A 2=B\n@ R1 package=RES-1W value=3k\n",
                         "name,package\nR1,RES-2W\n", NULL);
    check_part(&f, "R1 RES-2W//3k 1=A 2=B");
    assert_int_equal(test_count(f.diags, SW_D_FIT_ROW_CLASH), 0);
    done(&f);
}

static void rows_of_one_rank_that_disagree_are_an_error(void **state) {
    (void)state;
    check_fails("R1 R 1k - - 1=A 2=B\n@ R1 package=RES-1W\n@ R1 package=RES-2W\n",
                SW_D_FIT_ROW_CLASH, "package=RES-2W for R1");
    fitting f = fit("R1 R 1k - - 1=A 2=B\n@ R1 package=RES-1W\n@ r1 package=res-1w\n");
    check_part(&f, "R1 RES-1W//1k 1=A 2=B");
    done(&f);
}

static void a_row_that_nothing_answers_to_is_told(void **state) {
    (void)state;
    fitting f = fit("R1 R 1k - - 1=A 2=B\n@ R7 package=RES-1W\n@ Z* omit=yes\n@ R1 value=3k\n");
    assert_int_equal(f.status, SW_OK);
    assert_int_equal(test_count(f.diags, SW_D_FIT_ROW_UNUSED), 2);
    done(&f);
}

static void cells_that_mean_nothing_are_an_error(void **state) {
    (void)state;
    check_fails("R1 R 1k - - 1=A 2=B\n@ R1 place=roof\n", SW_D_FIT_ROW_CELL, "board or off");
    check_fails("R1 R 1k - - 1=A 2=B\n@ R1 omit=perhaps\n", SW_D_FIT_ROW_CELL, "yes or no");
}

static void rows_inside_a_subcircuit_speak_of_its_parts(void **state) {
    (void)state;
    sw_diags *diags = sw_diags_new(NULL);
    sw_builder *b = sw_builder_new(SW_STAGE_NETLIST, diags);
    static const char *const refs[] = {"X1.R3", "X1.R4", "X2.R3", "X2.R4"};
    for (int i = 0; i < 4; i++) {
        sw_part_id id = sw_builder_part(b, refs[i], 'R', SW_NOWHERE);
        const char *path = sw_builder_text(b, refs[i], 2);
        sw_builder_part_at(b, id)->path = path;
        const char *value = sw_builder_text(b, "5k", 2);
        sw_builder_part_at(b, id)->value = value;
        const char *nodes[] = {"top", "mid", "mid", "low"};
        for (int p = 0; p < 2; p++) {
            sw_buf name = SW_BUF_INIT;
            sw_buf_printf(&name, "%s.%s", path, nodes[(i % 2) * 2 + p]);
            sw_builder_pin(b, id, p ? "2" : "1", "",
                           sw_builder_node(b, name.bytes, true, SW_NOWHERE), SW_NOWHERE);
            sw_buf_free(&name);
        }
    }
    for (int i = 0; i < 2; i++) {
        const char *path = i ? "X2" : "X1";
        sw_builder_row(b, &(sw_row){.name = "R3", .ref = "RV1", .device = "preset", .pins = "1,2",
                                    .path = path});
        sw_builder_row(b, &(sw_row){.name = "R4", .ref = "RV1", .device = "preset", .pins = "2,3",
                                    .path = path});
    }
    sw_circuit *netlist = sw_builder_finish(b), *c = NULL;
    sw_library *library = sw_library_new(diags);
    assert_int_equal(sw_fit(netlist, library, NULL, diags, &c, NULL), SW_OK);
    assert_int_equal(c->part_count, 2);
    assert_string_equal(test_node_of(c, "X1.RV1.2"), "X1.mid");
    assert_string_equal(test_node_of(c, "X2.RV1.3"), "X2.low");
    sw_circuit_free(c);
    sw_circuit_free(netlist);
    sw_library_free(library);
    sw_diags_free(diags);
}

/* ---- worked cases ---- */

static void preset_from_two_resistors(void **state) {
    (void)state;
    fitting f = fit("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=W 2=0\nR5 R 1k - - 1=W 2=OUT\n"
                    "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n");
    check_part(&f, "RV1 TRIM-6/preset/10k 1=VCC 2=W 3=0");
    check_refs(&f, "R5 RV1");
    done(&f);
    check_fails("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=U 2=0\n"
                "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n",
                SW_D_FIT_PIN_CLASH, "node W is already");
}

static void dual_op_amp_from_two_lines(void **state) {
    (void)state;
    fitting f = fit("X1 X - LM358 - IN+=A IN-=B OUT=C\nX2 X - LM358 - IN+=D IN-=E OUT=F\n"
                    "R1 R 1k - - 1=VCC 2=0\n"
                    "@ LM358 ref=U1 supply=VCC:8,0:4\n@ X1 unit=A\n@ X2 unit=B\n");
    check_part(&f, "U1 DIP-8/LM358/ 1=C 2=B 3=A 4=0 5=D 6=E 7=F 8=VCC");
    check_refs(&f, "R1 U1");
    assert_string_equal(f.c->pins[sw_circuit_pin_spelled(f.c, "U1.1").i].name, "1OUT");
    done(&f);
}

static void supply_pins_of_units_are_shared(void **state) {
    (void)state;
    const char *same = "X1 X - LM358 - 1=A 2=B 3=VCC 4=0 5=C\nX2 X - LM358 - 1=D 2=E 3=VCC 4=0 5=F\n"
                       "@ LM358 ref=U1 pins=IN+,IN-,V+,V-,OUT\n@ X1 unit=A\n@ X2 unit=2\n";
    fitting f = fit(same);
    check_part(&f, "U1 DIP-8/LM358/ 1=C 2=B 3=A 4=0 5=D 6=E 7=F 8=VCC");
    done(&f);
    check_fails("X1 X - LM358 - IN+=A IN-=B VCC=VCC VEE=0 OUT=C\n"
                "X2 X - LM358 - IN+=D IN-=E VCC=VDD VEE=0 OUT=F\n"
                "@ LM358 ref=U1\n@ X1 unit=A\n@ X2 unit=B\n", SW_D_FIT_SUPPLY_CLASH, "VDD");
    check_fails("X1 X - LM358 - IN+=A IN-=B VCC=VCC VEE=0 OUT=C\n@ X1 supply=VX:8\n",
                SW_D_FIT_SUPPLY_CLASH, "VX");
}

static void quad_gate_with_a_spare_unit(void **state) {
    (void)state;
    fitting f = fit("X1 X - CD4011 - A=a B=b Y=c\nX2 X - CD4011 - A=c B=c Y=d\n"
                    "X3 X - CD4011 - A=d B=b Y=a\n@ CD4011 ref=U2 supply=VDD:14,0:VSS\n"
                    "@ X1 unit=A\n@ X2 unit=B\n@ X3 unit=C\n");
    check_part(&f, "U2 DIP-14/CD4011/ 1=a 2=b 3=c 4=d 5=c 6=c 7=0 8=d 9=b 10=a 14=VDD");
    assert_string_equal(test_node_of(f.c, "U2.11"), "U2.11"); /* present, and alone */
    assert_string_equal(test_node_of(f.c, "U2.4A"), "U2.12");
    assert_int_equal(test_count(f.diags, SW_D_FIT_NODE_NEW), 2); /* VDD, 0: nowhere else */
    done(&f);
}

static void units_are_checked(void **state) {
    (void)state;
    const char *two = "X1 X - LM358 - IN+=A IN-=B OUT=C\nX2 X - LM358 - IN+=D IN-=E OUT=F\n";
    char text[400];
    strcpy(text, two);
    check_fails(strcat(text, "@ LM358 ref=U1 unit=A\n"), SW_D_FIT_UNIT, "taken by another");
    strcpy(text, two);
    check_fails(strcat(text, "@ LM358 ref=U1\n@ X1 unit=A\n"), SW_D_FIT_UNIT, "to be stated");
    strcpy(text, two);
    check_fails(strcat(text, "@ LM358 ref=U1\n@ X1 unit=A\n@ X2 unit=C\n"), SW_D_FIT_UNIT,
                "none of its units");
    check_fails("X1 X - FOO DIP-8 1=A\n@ X1 unit=A\n", SW_D_FIT_UNIT, "device=");
    fitting f = fit(two); /* two chips then, and a word on it */
    check_part(&f, "X1 DIP-8/LM358/ 1=C 2=B 3=A");
    assert_int_equal(test_count(f.diags, SW_D_FIT_UNITS_APART), 1);
    done(&f);
}

static void transistor_of_unknown_order(void **state) {
    (void)state;
    check_fails("Q1 Q - BCX99 - C=A B=B E=0\n", SW_D_FIT_PIN_ORDER, "*@ BCX99 package=TO-92 pins=");
    check_fails("Q1 Q - BCX99 TO-92 C=A B=B E=0\n", SW_D_FIT_PIN_ORDER, "C,B,E");
    check_fails("X1 X - LM99 TO-92 in=A gnd=B out=0\n", SW_D_FIT_PIN_ORDER, "in,gnd,out");
    check_fails("J1 J - J999 - D=A G=B S=0\n", SW_D_FIT_PIN_ORDER, "D,G,S");
    fitting f = fit("Q1 Q - BCX99 - C=A B=B E=0\n@ BCX99 package=TO-92 pins=3,2,1\n");
    check_part(&f, "Q1 TO-92/BCX99/ 1=0 2=B 3=A");
    done(&f);
}

/* TO-92 orders as published: BC547 C B E, 2N3904 E B C (data sheets; seen in an open
 * symbol library, Oct 2020). */
static void transistors_by_the_devices_pin_names(void **state) {
    (void)state;
    fitting f = fit("Q1 Q - BC547B - C=A B=B E=0\nQ2 Q - 2N3904 - C=A B=B E=0\n"
                    "Q3 Q! - BC557 - 1=A 2=B 3=0\nM1 M - 2N7000 - D=A G=B S=0 B=0\n"
                    "Q4 ? - 2N3904 - 1=0 2=B 3=A\nQ5 Q - BC547 - C=A B=B E=0\n@ Q5 pins=E,B,C\n");
    check_part(&f, "Q1 TO-92/BC547B/ 1=A 2=B 3=0");
    check_part(&f, "Q2 TO-92/2N3904/ 1=0 2=B 3=A");
    check_part(&f, "Q3 TO-92/BC557/ 1=A 2=B 3=0");
    check_part(&f, "M1 TO-92/2N7000/ 1=0 2=B 3=A");
    check_part(&f, "Q4 TO-92/2N3904/ 1=0 2=B 3=A"); /* numbers are the package's */
    check_part(&f, "Q5 TO-92/BC547/ 1=0 2=B 3=A");
    done(&f);
    check_fails("M1 M - 2N7000 - D=A G=B S=0 B=C\n", SW_D_FIT_PIN_LOST, "node C");
}

static void unsafe_orders_are_warned_of(void **state) {
    (void)state;
    fitting f = fit("J1 J - 2N3819 - D=A G=B S=0\n");
    assert_int_equal(f.status, SW_OK);
    assert_int_equal(test_count(f.diags, SW_D_FIT_UNSAFE_ORDER), 1);
    done(&f);
}

static void relay_off_board(void **state) {
    (void)state;
    fitting f = fit("X5 X - RELAY12 - coil1=VCC coil2=C com=M no=P\nR1 R 1k - - 1=VCC 2=C\n"
                    "@ RELAY12 ref=K1 place=off\n");
    check_refs(&f, "K1.coil1 K1.coil2 K1.com K1.no R1");
    check_part(&f, "K1.coil2 PIN-1/RELAY12/ 1=C");
    const sw_part *part = &f.c->parts[sw_circuit_part(f.c, "k1.com").i];
    assert_true(part->terminal);
    assert_int_equal(part->kind, 'N');
    assert_string_equal(f.c->pins[part->first_pin.i].name, "com");
    done(&f);
}

static void battery_switch_and_loudspeaker_off_board(void **state) {
    (void)state;
    fitting f = fit("V1 V 9 - - +=BATT -=0\nV2 V 0 - - +=SWD -=VCC\nI1 I 1m - - +=VCC -=0\n"
                    "S1 S - SWMOD - 1=BATT 2=SWD 3=ctl 4=0\nR9 R 8 - - 1=OUT 2=0\n"
                    "R1 R 1k - - 1=VCC 2=OUT\nX9 X - BATTERY - +=BATT -=0\n"
                    "@ S1 place=off\n@ R9 ref=LS1 place=off\n@ X9 ref=B1 place=off\n");
    /* one terminal pin a node for all sources, the ammeter's nodes one */
    check_refs(&f, "0V B1.+ B1.- BATT LS1.1 LS1.2 R1 S1.1 S1.2 VCC");
    check_part(&f, "R1 RES-0.25W//1k 1=VCC 2=OUT");
    check_part(&f, "0V PIN-1//9 1=0");
    assert_int_equal(test_count(f.diags, SW_D_FIT_AMMETER), 1);
    assert_int_equal(sw_circuit_node(f.c, "VCC").i, sw_circuit_node(f.c, "SWD").i);
    done(&f);
}

static void terminal_pins_do_not_take_a_parts_reference(void **state) {
    (void)state;
    fitting f = fit("V1 V 9 - - +=R1 -=~\nR1 R 1k - - 1=R1 2=0\n");
    check_refs(&f, "R1 R1~2 V1-");
    done(&f);
}

static void off_board_potentiometer_shares_its_wiper(void **state) {
    (void)state;
    fitting f = fit("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=W 2=0\n"
                    "@ R3 ref=RV1 place=off pins=1,2\n@ R4 ref=RV1 place=off pins=2,3\n");
    check_refs(&f, "RV1.1 RV1.2 RV1.3");
    done(&f);
    check_fails("R3 R 4k - - 1=VCC 2=W\nR4 R 6k - - 1=W 2=0\n@ R3 ref=RV1 place=off pins=1,2\n"
                "@ R4 ref=RV1 pins=2,3 package=TRIM-6\n", SW_D_FIT_ROW_CLASH, "off it");
}

static void bridge_of_four_diodes(void **state) {
    (void)state;
    fitting f = fit("D1 D - 1N4001 - A=AC1 K=VP\nD2 D - 1N4001 - A=AC2 K=VP\n"
                    "D3 D - 1N4001 - A=0 K=AC1\nD4 D - 1N4001 - A=0 K=AC2\n");
    check_part(&f, "D1 DO-41/1N4001/ 1=VP 2=AC1");
    check_part(&f, "D2 DO-41/1N4001/ 1=VP 2=AC2");
    check_part(&f, "D3 DO-41/1N4001/ 1=AC1 2=0");
    check_part(&f, "D4 DO-41/1N4001/ 1=AC2 2=0");
    done(&f);
}

static void push_button_with_joined_legs(void **state) {
    (void)state;
    fitting f = fit("X1 X! - - BUTTON-6 1=A 2=B\nX2 X! - button - 1=A 2=B\nSW2 ? - - BUTTON-6 1=A 3=B\n"
                    "SW3 ? - - BUTTON-6 1=A 2=A 3=B 4=B\n");
    check_part(&f, "X1 BUTTON-6// 1=A 2=A 3=B 4=B");
    check_part(&f, "X2 BUTTON-6/button/ 1=A 2=A 3=B 4=B");
    check_part(&f, "SW2 BUTTON-6// 1=A 2=A 3=B 4=B");
    check_part(&f, "SW3 BUTTON-6// 1=A 2=A 3=B 4=B");
    done(&f);
    check_fails("SW1 ? - - BUTTON-6 1=A 2=B\n", SW_D_FIT_JOINED, "pins 1 and 2");
}

static void led_by_model_name(void **state) {
    (void)state;
    fitting f = fit("D1 D - RLED - A=A K=0\nD2 D - LED3MM - A=A K=0\nD3 D - LED - A=A K=0\n"
                    "LED4 ? red - - 1=0 2=A\n");
    check_part(&f, "D1 LED-5/RLED/ 1=0 2=A");
    check_part(&f, "D2 LED-3/LED3MM/ 1=0 2=A");
    check_part(&f, "D3 LED-5/LED/ 1=0 2=A");
    check_part(&f, "LED4 LED-5//red 1=0 2=A");
    assert_string_equal(f.c->pins[sw_circuit_pin_spelled(f.c, "D1.1").i].name, "K");
    done(&f);
}

static void resistor_array_in_a_sip(void **state) {
    (void)state;
    fitting f = fit("RN1 ? 10k - SIP-9 1=VCC 2=a 3=b 9=c\nX2 X! 10k - SIP-5 a=VCC b=a c=b d=c e=d\n");
    check_part(&f, "RN1 SIP-9//10k 1=VCC 2=a 3=b 9=c");
    check_part(&f, "X2 SIP-5//10k 1=VCC 2=a 3=b 4=c 5=d");
    assert_int_equal(test_count(f.diags, SW_D_FIT_BY_POSITION), 1);
    done(&f);
}

/* ---- X lines of known devices ---- */

static void ports_by_name(void **state) {
    (void)state;
    fitting f = fit("X4 X - 74LS47 - B=p a=q GND=0\nX1 X - NE555 - GND=0 TRIGGER=a OUTPUT=b RESET=VCC CV=c THR=a DIS=d VDD=VCC\n"
                    "X2 X - LM7805 - IN=VCC GND=0 OUT=e\nX3 X - LM311 - +=a -=b VCC=VCC VEE=0 OUT=c GND=0\n");
    check_part(&f, "X1 DIP-8/NE555/ 1=0 2=a 3=b 4=VCC 5=c 6=a 7=d 8=VCC");
    check_part(&f, "X2 TO-220/LM7805/ 1=VCC 2=0 3=e");
    check_part(&f, "X4 DIP-16/74LS47/ 1=p 8=0 13=q"); /* input B, segment a */
    check_part(&f, "X3 DIP-8/LM311/ 1=0 2=a 3=b 4=0 7=c 8=VCC");
    done(&f);
    check_fails("X1 X - NE555 - GND=0 FOO=a\n", SW_D_FIT_PIN_LOST, "2=TRIG");
    /* three legs by position would put the supply on ground: never by guess */
    check_fails("X2 X! - LM7805 - a=VCC b=e c=0\n", SW_D_FIT_PIN_ORDER, "LM7805");
    check_fails("X2 X! - LM358 - 1=a 2=b 3=VCC 4=0 5=c\n", SW_D_FIT_PIN_ORDER, "output last, `*@ X2 unit=A pins=IN+,IN-,V+,V-,OUT`, or");
}

/* LM393: eight pins, of which two are shared and three are a unit's. */
static void pins_that_no_device_has_are_told_a_part_at_a_time(void **state) {
    (void)state;
    check_fails("X1 X - LM393 - 1OUT=a 1IN-=b 1IN+=c V-=0 2IN+=d FOO=e 2OUT=f V+=VCC\n",
                SW_D_FIT_PIN_LOST, "LM393 has no pin FOO (node e) of X1's line");
    check_fails("X1 X - LM393 - o=a m=b p=c 0v=0 q=d n=e r=f v=VCC\n", SW_D_FIT_PIN_LOST,
                "no pins o (node a), m (node b), p (node c), q (node d), n (node e), r (node f) "
                "and 1 more of"); /* 0v is V- */
}

static void a_line_of_more_nodes_than_a_unit_is_the_whole_device(void **state) {
    (void)state;
    fitting f = fit("X1 X! - LM339 - 1=a 2=b 3=VCC 4=c 5=d 6=e 7=f 8=g 9=h 10=i 11=j 12=0 13=k 14=l\n");
    check_part(&f, "X1 DIP-14/LM339/ 1=a 2=b 3=VCC 4=c 5=d 6=e 7=f 8=g 9=h 10=i 11=j 12=0 13=k 14=l");
    assert_string_equal(sw_sheet_row(f.report, 0)->unit, "");
    done(&f);
}

/* BC547: 1 is C, 2 B, 3 E; NE555: 3 is OUT, 7 DISCH. */
static void a_name_and_a_number_that_are_two_pins(void **state) {
    (void)state;
    fitting f = fit("Q1 Q - BC547 - 1:E=0 2:B=b 3:C=c\nQ2 Q - BC547 - 1:C=c 2:B=b 3:E=0\n"
                    "D1 D - - DO-35 1:A=b 2:K=c\nC1 C 10u - ELEC-5 1:-=0 2:+=c\n"
                    "C2 C 100n - - 1:-=0 2:+=c\nR1 R 1k - - 1:-=0 2:+=c\n");
    check_part(&f, "Q1 TO-92/BC547/ 1=c 2=b 3=0");
    check_part(&f, "Q2 TO-92/BC547/ 1=c 2=b 3=0");
    check_part(&f, "D1 DO-35// 1=c 2=b");
    check_part(&f, "C1 ELEC-5//10u 1=c 2=0");
    check_part(&f, "C2 CAP-DISC-2.5//100n 1=0 2=c");
    check_part(&f, "R1 RES-0.25W//1k 1=0 2=c");
    assert_int_equal(test_count(f.diags, SW_D_FIT_PIN_NAMED), 3); /* Q1, D1, C1 */
    assert_non_null(strstr(test_message(f.diags, SW_D_FIT_PIN_NAMED),
                           "calls pin 1 of Q1 E, but BC547 has its E at pin 3"));
    done(&f);
    check_fails("U1 X - NE555 - 3:DISCH=a 7:OUT=b\n", SW_D_FIT_PIN_CONFLICT,
                "calls pin 3 of U1 DISCH, but NE555 has its DISCH at pin 7");
    f = fit("U1 X - NE555 - 3:OUT=a 7:DISCH=b\nU2 X - NE555 - 3:Q=a 7:DIS=b\n"); /* other words */
    check_part(&f, "U1 DIP-8/NE555/ 3=a 7=b");
    check_part(&f, "U2 DIP-8/NE555/ 3=a 7=b");
    done(&f);
    f = fit("Q1 Q - BC547 - 1:E=0 2:B=b 3:C=c\n@ Q1 pins=1,2,3\n"); /* who says so is obeyed */
    check_part(&f, "Q1 TO-92/BC547/ 1=0 2=b 3=c");
    done(&f);
}

static void a_device_of_the_library_as_value_of_a_symbol(void **state) {
    (void)state;
    fitting f = fit("Q1 Q BC547 NPN - C=a B=b E=c\n");
    check_part(&f, "Q1 TO-92/BC547/BC547 1=a 2=b 3=c");
    done(&f);
    check_fails("Q1 Q BC547 - - C=a B=b E=c\n@ Q1 device=NPN\n", SW_D_FIT_PIN_ORDER, "NPN");
}

static void pins_are_checked(void **state) {
    (void)state;
    check_fails("X1 X - LM358 - 1=a 2=b\n@ X1 pins=1,2,3\n", SW_D_FIT_PINS, "names 3 pins");
    check_fails("X1 X - LM358 - 1=a 2=b\n@ X1 pins=1,9\n", SW_D_FIT_PINS, "no pin 9");
    check_fails("Q1 Q - NEW TO-92 C=a B=b E=c\n@ Q1 pins=C,2,3\n", SW_D_FIT_PINS, "by number");
    check_fails("X1 X - LM358 - 1=a 2=b\n@ X1 pins=1,1\n", SW_D_FIT_PIN_CLASH, "node a is already");
    check_fails("X1 X - LM358 - 1=a\n@ X1 supply=VCC:88\n", SW_D_FIT_SUPPLY, "VCC:88");
    check_fails("X1 X - LM358 - 1=a\n@ X1 supply=VCC\n", SW_D_FIT_SUPPLY, "NODE:PIN");
    fitting f = fit("X1 X - LM358 - 1=a 2=b 3=c\n@ X1 pins=2,-,7\n");
    check_part(&f, "X1 DIP-8/LM358/ 2=a 7=c");
    done(&f);
}

static void csv_parts_by_number_need_no_device(void **state) {
    (void)state;
    fitting f = fit("U1 X - - DIP-8 1=a 8=b\nU2 ? LM358 - - 1=a 4=0\nJ1 J - - HEADER-1x3 1=a 2=b\n");
    check_part(&f, "U1 DIP-8// 1=a 8=b");
    check_part(&f, "U2 DIP-8/LM358/LM358 1=a 4=0");
    check_part(&f, "J1 HEADER-1x3// 1=a 2=b");
    done(&f);
    check_fails("U1 X - - DIP-8 1=a 9=b\n", SW_D_FIT_PIN_ORDER, "U1");
    check_fails("U1 ? - - DIP-99 1=a\n", SW_D_FIT_PACKAGE_UNKNOWN, "DIP-99");
    check_fails("U1 ? - LM358 DIP-14 1=a\n", SW_D_FIT_PACKAGE_DEVICE, "8 pins");
    check_fails("U1 X - FOO - 1=a\n", SW_D_FIT_NO_PACKAGE, "package=");
}

/* ---- sources, models ---- */

static void controlled_sources_are_fitted_or_omitted(void **state) {
    (void)state;
    check_fails("E1 E 10 - - 1=a 2=0 3=b 4=0\n", SW_D_FIT_CONTROLLED, "omit=yes");
    fitting f = fit("E1 E 10 - - 1=a 2=0 3=b 4=0\nR1 R 1k - - 1=a 2=b\n"
                    "E2 E 10 - - 1=a 2=0 3=b 4=0\nB3 B - - - 1=a 2=0\n@ E1 omit=yes\n@ B3 place=off\n"
                    "@ E2 ref=U1 device=LM358 unit=A pins=OUT,-,IN+,IN-\n");
    check_part(&f, "U1 DIP-8/LM358/ 1=a 2=0 3=b");
    assert_true(sw_circuit_part(f.c, "E1").i == SW_NONE);
    assert_true(sw_circuit_part(f.c, "B3.1").i != SW_NONE);
    done(&f);
}

static void couplings_are_left_out(void **state) {
    (void)state;
    fitting f = fit("L1 L 1m - - 1=a 2=0\nL2 L 1m - - 1=b 2=0\nK1 K 0.9 - -\n");
    check_refs(&f, "L1 L2");
    assert_int_equal(test_count(f.diags, SW_D_FIT_COUPLING), 1);
    done(&f);
}

static void a_source_without_value_never_shorts_a_rail(void **state) {
    (void)state;
    fitting f = fit("V1 V - - - +=VCC -=0\nR1 R 1k - - 1=VCC 2=0\nV2 V SIN(0 - - +=in -=0\n"
                    "R2 R 1k - - 1=in 2=0\nBT1 ? - - - 1=VCC 2=in\n");
    check_refs(&f, "0V in R1 R2 VCC");
    assert_int_equal(test_count(f.diags, SW_D_FIT_SOURCE_EMPTY), 1);
    done(&f);
}

/* ---- rails ---- */

static void check_rail(const fitting *f, const char *node, sw_rail rail, double volts,
                       const char *why) {
    const sw_node *n = &f->c->nodes[sw_circuit_node(f->c, node).i];
    assert_int_equal(n->rail, rail);
    assert_true(n->volts == volts);
    assert_string_equal(n->rail_why, why);
}

static void rails_and_why(void **state) {
    (void)state;
    static const char *const stated[] = {"aux=positive", "VBAT=none", NULL};
    fitting f = fit_with("V1 V 12 - - +=PWR -=0\nV2 V DC5 - - +=0 -=MINUS\nV3 V 1 - - +=aux -=0\n"
                         "R1 R 1k - - 1=aux 2=VBAT\nR2 R 1k - - 1=+3V3 2=-5V\nR3 R 1k - - 1=VEE 2=sig\n"
                         "U1 ? - LM358 - 8=amp 4=VEE 1=sig\nU2 ? - CD4011 - 14=amp 7=AGND 1=sig\n"
                         "R4 R 1k - - 1=PWR 2=MINUS\nR5 R 1k - - 1=VEE 2=AGND\nR6 R 1 - - 1=amp 2=VBAT\n",
                         NULL, stated);
    assert_int_equal(f.status, SW_OK);
    check_rail(&f, "aux", SW_RAIL_POSITIVE, 1, "stated by the user");
    check_rail(&f, "VBAT", SW_RAIL_NONE, 0, "stated by the user");
    check_rail(&f, "PWR", SW_RAIL_POSITIVE, 12, "source V1 gives it 12 V");
    check_rail(&f, "0", SW_RAIL_GROUND, 0, "called 0");
    check_rail(&f, "AGND", SW_RAIL_GROUND, 0, "called AGND");
    check_rail(&f, "amp", SW_RAIL_POSITIVE, 0, "supply pin V+ of U1");
    check_rail(&f, "VEE", SW_RAIL_NEGATIVE, 0, "supply pin V- of U1");
    check_rail(&f, "+3V3", SW_RAIL_POSITIVE, 3.3, "called +3V3");
    check_rail(&f, "-5V", SW_RAIL_NEGATIVE, -5, "called -5V");
    check_rail(&f, "sig", SW_RAIL_NONE, 0, "");
    done(&f);
}

static void negative_supply_pin_without_other_ground_is_ground(void **state) {
    (void)state;
    fitting f = fit("U1 ? - LM358 - 8=p 4=m 1=s\nR1 R 1k - - 1=p 2=s\nR2 R 1k - - 1=m 2=s\n");
    check_rail(&f, "m", SW_RAIL_GROUND, 0, "supply pin V- of U1");
    done(&f);
}

static void rails_of_no_node_are_wrong_usage(void **state) {
    (void)state;
    static const char *const bad[][2] = {{"NOPE=positive", NULL}, {"A=hot", NULL}, {"A", NULL}};
    for (size_t i = 0; i < 3; i++) {
        fitting f = fit_with("R1 R 1k - - 1=A 2=B\n", NULL, bad[i]);
        assert_int_equal(f.status, SW_USAGE);
        assert_int_equal(test_count(f.diags, SW_D_FIT_RAIL), 1);
        done(&f);
    }
}

static void two_supplies_on_one_node(void **state) {
    (void)state;
    fitting f = fit("V1 V 12 - - +=PWR -=0\nV2 V 9 - - +=PWR -=0\nR1 R 1k - - 1=PWR 2=0\n"
                    "V3 V 12 - - +=PWR -=0\n");
    assert_int_equal(test_count(f.diags, SW_D_RAIL_TWO_SUPPLIES), 2); /* V2 against V1, V3 against V2 */
    done(&f);
}

/* ---- sheets ---- */

static void sheet_columns_come_in_any_order(void **state) {
    (void)state;
    fitting f = fit_with("X1 X - BCX - a=A b=B c=C\n",
                         "\xEF\xBB\xBFNote; Pins;package ;NAME\r\nwhy;1,3,2;TO-92;BCX\r\n\r\n", NULL);
    check_part(&f, "X1 TO-92/BCX/ 1=A 2=C 3=B");
    done(&f);
}

static void bad_sheets_are_refused(void **state) {
    (void)state;
    static const struct { const char *csv; sw_diag_id id; } bad[] = {
        {"name,colour\nR1,red\n", SW_D_SHEET_COLUMN}, {"ref,package\nR1,x\n", SW_D_SHEET_COLUMN},
        {"name,ref,name\n", SW_D_SHEET_COLUMN}, {"name,ref\nR1,a,b\n", SW_D_SHEET_ROW},
        {"name,ref\n,a\n", SW_D_SHEET_ROW}, {"name,ref\n\"R1,a\n", SW_D_CSV_QUOTE}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        sw_diags *diags = sw_diags_new(NULL);
        sw_input input;
        sw_input_text(diags, "sheet", bad[i].csv, strlen(bad[i].csv), &input);
        sw_sheet *sheet;
        assert_int_equal(sw_sheet_read(&input, diags, &sheet), SW_BAD_INPUT);
        assert_null(sheet);
        assert_int_equal(test_count(diags, bad[i].id), 1);
        sw_diags_free(diags);
    }
}

static const char mixed[] =
    "V1 V 9 - - +=VCC -=0\nV2 V 0 - - +=VCC -=VX\nX1 X - LM358 - IN+=A IN-=B OUT=C\n"
    "X2 X - LM358 - IN+=D IN-=E OUT=F\nR3 R 4k - - 1=VCC 2=A\nR4 R 6k - - 1=A 2=0\n"
    "Q1 Q - BC547 - C=C B=D E=0\nM1 M - 2N7000 - D=F G=E S=0 B=0\nE9 E 1 - - 1=A 2=B\n"
    "C1 C 10u - - 1=VX 2=0\nD1 D - RLED - A=F K=0\nR8 R 8 - - 1=C 2=0\n"
    "@ LM358 ref=U1 supply=VCC:8,0:4\n@ X1 unit=A\n@ X2 unit=B\n@ E9 omit=yes\n"
    "@ R3 ref=RV1 device=preset pins=1,2\n@ R4 ref=RV1 device=preset pins=2,3\n"
    "@ R8 ref=LS1 place=off\n";

/* The report is a sheet: with its own rows taken out of the netlist, it alone gives
 * the same fitted circuit. */
static void the_report_read_back_gives_the_same(void **state) {
    (void)state;
    fitting f = fit(mixed);
    assert_int_equal(f.status, SW_OK);
    sw_buf csv = SW_BUF_INIT;
    sw_sheet_write(f.report, &csv);
    char *plain = strdup(mixed);
    *strchr(plain, '@') = '\0';
    fitting again = fit_with(plain, csv.bytes, NULL);
    free(plain);
    assert_int_equal(again.status, SW_OK);
    assert_int_equal(sw_diags_of(again.diags, SW_WARNING), 0);
    assert_int_equal(f.c->part_count, again.c->part_count);
    assert_int_equal(f.c->node_count, again.c->node_count);
    for (uint32_t i = 0; i < f.c->part_count; i++) {
        const sw_part *a = &f.c->parts[i], *b = &again.c->parts[i];
        assert_string_equal(a->ref, b->ref);
        assert_string_equal(a->value, b->value);
        assert_string_equal(a->device, b->device);
        assert_string_equal(a->package, b->package);
    }
    for (uint32_t i = 0; i < f.c->pin_count; i++)
        assert_string_equal(f.c->nodes[f.c->pins[i].node.i].name,
                            again.c->nodes[again.c->pins[i].node.i].name);
    sw_buf twice = SW_BUF_INIT;
    sw_sheet_write(again.report, &twice);
    assert_non_null(strstr(csv.bytes, "C1,,,ELEC-5,,\"1,2\",10u,,,,package by kind and value\r\n"));
    assert_non_null(strstr(twice.bytes, "C1,,,ELEC-5,,\"1,2\",10u,,,,\r\n"));
    sw_buf_free(&csv);
    sw_buf_free(&twice);
    done(&f);
    done(&again);
}

static void every_allocation_may_fail(void **state) {
    (void)state;
    fitting f = fit(mixed);
    for (long n = 0;; n++) {
        sw_circuit *c = NULL;
        sw_sheet *report = NULL;
        test_alloc_fail(n);
        sw_status status = sw_fit(f.netlist, f.library, NULL, f.diags, &c, &report);
        bool failed = test_alloc_reset();
        if (failed && status != SW_SYSTEM) { /* a message that found no memory is no failure */
            assert_int_equal(status, SW_OK);
            assert_int_equal(c->part_count, f.c->part_count);
        }
        assert_true((c == NULL) == (status != SW_OK));
        sw_circuit_free(c);
        sw_sheet_free(report);
        if (!failed)
            break;
        assert_true(n < 2000);
    }
    done(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(packages_by_kind_and_value),
        cmocka_unit_test(words_say_what_stands_on_the_board),
        cmocka_unit_test(words_say_what_is_beside_it),
        cmocka_unit_test(words_of_subcircuits),
        cmocka_unit_test(references_of_subcircuits),
        cmocka_unit_test(stated_beats_netlist_beats_library_beats_kind),
        cmocka_unit_test(instance_beats_model_beats_pattern),
        cmocka_unit_test(a_pattern_without_reference_speaks_of_devices),
        cmocka_unit_test(the_users_sheet_beats_the_decks_line_of_the_same_rank),
        cmocka_unit_test(rows_of_one_rank_that_disagree_are_an_error),
        cmocka_unit_test(a_row_that_nothing_answers_to_is_told),
        cmocka_unit_test(cells_that_mean_nothing_are_an_error),
        cmocka_unit_test(rows_inside_a_subcircuit_speak_of_its_parts),
        cmocka_unit_test(preset_from_two_resistors),
        cmocka_unit_test(dual_op_amp_from_two_lines),
        cmocka_unit_test(supply_pins_of_units_are_shared),
        cmocka_unit_test(quad_gate_with_a_spare_unit),
        cmocka_unit_test(units_are_checked),
        cmocka_unit_test(transistor_of_unknown_order),
        cmocka_unit_test(transistors_by_the_devices_pin_names),
        cmocka_unit_test(unsafe_orders_are_warned_of),
        cmocka_unit_test(relay_off_board),
        cmocka_unit_test(battery_switch_and_loudspeaker_off_board),
        cmocka_unit_test(terminal_pins_do_not_take_a_parts_reference),
        cmocka_unit_test(off_board_potentiometer_shares_its_wiper),
        cmocka_unit_test(bridge_of_four_diodes),
        cmocka_unit_test(push_button_with_joined_legs),
        cmocka_unit_test(led_by_model_name),
        cmocka_unit_test(resistor_array_in_a_sip),
        cmocka_unit_test(ports_by_name),
        cmocka_unit_test(pins_that_no_device_has_are_told_a_part_at_a_time),
        cmocka_unit_test(a_line_of_more_nodes_than_a_unit_is_the_whole_device),
        cmocka_unit_test(a_name_and_a_number_that_are_two_pins),
        cmocka_unit_test(a_device_of_the_library_as_value_of_a_symbol),
        cmocka_unit_test(pins_are_checked),
        cmocka_unit_test(csv_parts_by_number_need_no_device),
        cmocka_unit_test(controlled_sources_are_fitted_or_omitted),
        cmocka_unit_test(couplings_are_left_out),
        cmocka_unit_test(a_source_without_value_never_shorts_a_rail),
        cmocka_unit_test(rails_and_why),
        cmocka_unit_test(negative_supply_pin_without_other_ground_is_ground),
        cmocka_unit_test(rails_of_no_node_are_wrong_usage),
        cmocka_unit_test(two_supplies_on_one_node),
        cmocka_unit_test(sheet_columns_come_in_any_order),
        cmocka_unit_test(bad_sheets_are_refused),
        cmocka_unit_test(the_report_read_back_gives_the_same),
        cmocka_unit_test(every_allocation_may_fail),
    };
    return cmocka_run_group_tests_name("circuit: fit", tests, NULL, NULL);
}
