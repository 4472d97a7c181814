/* Footprints: what drawing programs call packages. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>
#include <cmocka.h>

#include "parts/library.h"
#include "tests/lib/alloc.h"
#include "tests/lib/fit.h"

static sw_diags *diags;
static sw_library *library;

static int load(void **state) {
    (void)state;
    diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    return library == NULL;
}

static int unload(void **state) {
    (void)state;
    sw_library_free(library);
    sw_diags_free(diags);
    return 0;
}

/* Names as the open footprint library 6.0.11 has them. */
static void names_of_a_published_library(void **state) {
    (void)state;
    static const struct { const char *name, *package; } cases[] = {
        {"Resistor_THT:R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal", "RES-0.25W"},
        {"R_Axial_DIN0207_L6.3mm_D2.5mm_P2.54mm_Vertical", "RES-0.25W-UP"},
        {"Capacitor_THT:C_Disc_D5.0mm_W2.5mm_P2.50mm", "CAP-DISC-2.5"},
        {"Capacitor_THT:C_Disc_D5.0mm_W2.5mm_P5.00mm", "CAP-DISC-5"},
        {"Capacitor_THT:CP_Radial_D6.3mm_P2.50mm", "ELEC-6.3"},
        {"Diode_THT:D_DO-35_SOD27_P7.62mm_Horizontal", "DO-35"},
        {"LED_THT:LED_D5.0mm", "LED-5"},
        {"Package_DIP:DIP-8_W7.62mm_Socket", "DIP-8"},
        {"Package_DIP:DIP-28_W15.24mm", "DIP-28W"},
        {"Package_TO_SOT_THT:TO-92_Inline", "TO-92"},
        {"Package_TO_SOT_THT:TO-92", "TO-92"},
        {"package_to_sot_tht:to-220-3_vertical", "TO-220"},
        {"Connector_PinHeader_2.54mm:PinHeader_1x02_P2.54mm_Vertical", "HEADER-1x2"},
        {"TerminalBlock_Phoenix:TerminalBlock_Phoenix_MKDS-1,5-3-5.08_1x03_P5.08mm_Horizontal", "SCREW-3"},
        {"Potentiometer_THT:Potentiometer_Bourns_3296W_Vertical", "TRIM-MULTI"},
        {"Capacitor_THT:CP_Axial_L11.0mm_D5.0mm_P18.00mm_Horizontal", "ELEC-AXIAL-11"},
        {"Capacitor_THT:C_Rect_L10.0mm_W4.0mm_P7.50mm_MKS4", "CAP-FILM-7.5"},
        {"Connector_PinSocket_2.54mm:PinSocket_1x15_P2.54mm_Vertical", "HEADER-1x15"},
        {"Connector_PinHeader_2.54mm:PinHeader_2x20_P2.54mm_Vertical", "HEADER-2x20"},
        {"Button_Switch_THT:SW_DIP_SPSTx04_Slide_9.78x12.34mm_W7.62mm_P2.54mm", "DIP-8"},
        {"Button_Switch_THT:SW_PUSH-12mm", "BUTTON-12"},
        {"Package_TO_SOT_THT:TO-220-3_Horizontal_TabDown", "TO-220-FLAT"},
        {"Module:Arduino_Nano", "NANO-30"},
        {"0207/10", "RES-0.25W"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const sw_package *package = sw_library_package(library, cases[i].name);
        if (!package)
            fail_msg("%s is not known", cases[i].name);
        assert_string_equal(package->name, cases[i].package);
        assert_false(sw_library_package_vague(library, cases[i].name));
    }
    assert_null(sw_library_package(library, "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm"));
    assert_null(sw_library_package(library, "Package_DIP:DIP-8_W10.16mm")); /* rows four apart */
    assert_false(sw_library_package_vague(library, "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm"));
}

static void each_row_leads_somewhere(void **state) {
    (void)state;
    assert_true(library->footprint_count > 150);
    for (size_t i = 0; i < library->footprint_count; i++) {
        const swi_footprint *row = &library->footprints[i];
        if (*row->package && !sw_library_package(library, row->package))
            fail_msg("%s leads to %s, which is no package", row->pattern, row->package);
    }
}

/* What tells nothing is as if it were not there. */
static void names_that_tell_no_package(void **state) {
    (void)state;
    assert_null(sw_library_package(library, "AXIAL-0.4"));
    assert_true(sw_library_package_vague(library, "AXIAL-0.4"));
    test_fitting f = test_fit("R1 R 10k - AXIAL-0.4 1=A 2=B\nD1 D - 1N4007 AXIAL0.4 A=A K=B\nC1 C 10u - RB.1/.2 1=A 2=B\n");
    test_fit_part(&f, "R1 RES-0.25W//10k 1=A 2=B");
    test_fit_part(&f, "D1 DO-41/1N4007/ 1=B 2=A");
    test_fit_part(&f, "C1 ELEC-5//10u 1=A 2=B");
    test_fit_done(&f);
}

/* A push button's contacts are 1 and 2 in drawings; its legs 1 and 2 are joined. */
static void contacts_of_a_push_button(void **state) {
    (void)state;
    test_fitting f = test_fit("SW1 ? reset - Button_Switch_THT:SW_PUSH_6mm 1=A 2=B\n");
    test_fit_part(&f, "SW1 BUTTON-6//reset 1=A 2=A 3=B 4=B");
    test_fit_done(&f);
}

/* The pattern with more of the name, whatever its place; of equal ones the later. */
static void a_users_own(void **state) {
    (void)state;
    sw_library *own = sw_library_new(diags);
    static const char table[] = "footprint,package\nshed_*,TO-92\nshed_led_*,LED-3\nshed_led_*,LED-5\nDIP-8_W7.62mm*,DIP-6\n";
    sw_input input;
    assert_int_equal(sw_input_text(diags, "own.csv", table, strlen(table), &input), SW_OK);
    assert_int_equal(sw_library_add(own, &input, diags), SW_OK);
    assert_string_equal(sw_library_package(own, "SHED_Q")->name, "TO-92");
    assert_string_equal(sw_library_package(own, "box:shed_led_red")->name, "LED-5");
    assert_string_equal(sw_library_package(own, "DIP-8_W7.62mm")->name, "DIP-6");
    static const char bad[] = "footprint,package\n,TO-92\n";
    assert_int_equal(sw_input_text(diags, "bad.csv", bad, strlen(bad), &input), SW_OK);
    assert_int_equal(sw_library_add(own, &input, diags), SW_BAD_INPUT);
    assert_int_equal(sw_diags_of(diags, SW_ERROR), 1);
    sw_library_free(own);
}

static void memory_may_be_short(void **state) {
    (void)state;
    static const char table[] = "footprint,package\na*,TO-92\nb*,\n";
    for (long n = 0;; n++) {
        sw_diags *told = sw_diags_new(NULL);
        sw_library *own = sw_library_new_empty();
        sw_input input;
        assert_int_equal(sw_input_text(told, "own.csv", table, strlen(table), &input), SW_OK);
        test_alloc_fail(n);
        sw_status status = sw_library_add(own, &input, told);
        bool failed = test_alloc_reset();
        assert_int_equal(status, failed ? SW_SYSTEM : SW_OK);
        sw_library_free(own);
        sw_diags_free(told);
        if (!failed)
            break;
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_of_a_published_library),
        cmocka_unit_test(each_row_leads_somewhere),
        cmocka_unit_test(names_that_tell_no_package),
        cmocka_unit_test(contacts_of_a_push_button),
        cmocka_unit_test(a_users_own),
        cmocka_unit_test(memory_may_be_short),
    };
    return cmocka_run_group_tests_name("parts: footprints", tests, load, unload);
}
