/* Devices: pin orders, units, types, the names they go by; tables of the user's. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include <stripwright/parts.h>

static sw_diags *diags;
static sw_library *library;

static int make_library(void **state) {
    (void)state;
    diags = sw_diags_new(NULL);
    library = sw_library_new(diags);
    return library ? 0 : -1;
}

static int free_library(void **state) {
    (void)state;
    sw_library_free(library);
    sw_diags_free(diags);
    return 0;
}

static const sw_device *device(const char *name) {
    const sw_device *d = sw_library_device(library, name);
    if (!d)
        print_error("no %s\n", name);
    assert_non_null(d);
    return d;
}

/* The names of all pins in order, blanks between. */
static void order_is(const char *name, const char *package, const char *wanted) {
    const sw_device *d = device(name);
    sw_buf out = SW_BUF_INIT;
    for (int i = 0; i < d->pin_count; i++)
        sw_buf_printf(&out, "%s%s", i ? " " : "", d->pins[i].name);
    assert_string_equal(out.bytes, wanted);
    assert_string_equal(d->package, package);
    sw_buf_free(&out);
}

/* Published symbol libraries and data sheets, as named in devices.csv. */
static void pin_orders(void **state) {
    (void)state;
    order_is("BC547", "TO-92", "C B E");
    order_is("2N3904", "TO-92", "E B C"); /* the other way round */
    order_is("PN2222A", "TO-92", "E B C");
    order_is("P2N2222A", "TO-92", "C B E"); /* opposite of the former */
    order_is("2SC1815", "TO-92", "E C B");
    order_is("BD139", "TO-126", "E C B");
    order_is("TIP31C", "TO-220", "B C E");
    order_is("2N7000", "TO-92", "S G D");
    order_is("BS170", "TO-92", "D G S");
    order_is("BC184", "TO-92", "C B E");
    order_is("BC184LC", "TO-92", "E C B"); /* the L makes the difference; from memory */
    order_is("BC639", "TO-92", "E C B");
    order_is("TIC106", "TO-220", "K A G");
    order_is("LM7805", "TO-220", "IN GND OUT");
    order_is("78L05", "TO-92", "OUT GND IN"); /* mirror image of the former */
    order_is("LM7905", "TO-220", "GND IN OUT");
    order_is("LM317T", "TO-220", "ADJ OUT IN");
    order_is("1N4148", "DO-35", "K A");
    order_is("LED", "LED-5", "K A");
    order_is("NE555", "DIP-8", "GND TRIG OUT /RESET CONT THRES DISCH VCC");
    order_is("LM358", "DIP-8", "1OUT 1IN- 1IN+ V- 2IN+ 2IN- 2OUT V+");
    order_is("74HCT125", "DIP-14", "1/OE 1A 1Y 2/OE 2A 2Y GND 3Y 3A 3/OE 4Y 4A 4/OE VCC");
    order_is("HEF4028B", "DIP-16", "Q4 Q2 Q0 Q7 Q9 Q5 Q6 VSS Q8 A D C B Q1 Q3 VDD");
    order_is("PIC16F88", "DIP-18", "RA2 RA3 RA4 /MCLR VSS RB0 RB1 RB2 RB3 RB4 RB5 RB6 RB7 VDD RA6 RA7 RA0 RA1");
    order_is("CD4049", "DIP-16", "VCC 1Y 1A 2Y 2A 3Y 3A VSS 4A 4Y 5A 5Y NC 6A 6Y NC");
}

static void omitted_pins_are_not_connected(void **state) {
    (void)state;
    const sw_device *d = device("CD4049");
    assert_int_equal(d->pin_count, 16);
    assert_string_equal(d->pins[12].number, "13");
    assert_int_equal(d->pins[12].type, SW_PIN_NOT_CONNECTED);
    assert_int_equal(d->pins[12].unit, 0);
    assert_int_equal(device("4N35")->pins[2].type, SW_PIN_NOT_CONNECTED); /* said NC */
    assert_int_equal(sw_device_pin_index(d, "NC"), 12);
}

static void units(void **state) {
    (void)state;
    const sw_device *d = device("LM324");
    assert_int_equal(d->unit_count, 4);
    assert_int_equal(d->pins[0].unit, 1);  /* 1OUT */
    assert_int_equal(d->pins[3].unit, 0);  /* V+ is common */
    assert_int_equal(d->pins[13].unit, 4); /* 4OUT */
    assert_int_equal(device("CD4069")->unit_count, 6);
    assert_int_equal(device("NE556")->unit_count, 2);
    assert_int_equal(device("L293D")->unit_count, 4);
    assert_int_equal(device("NE555")->unit_count, 1);
    assert_int_equal(device("button")->unit_count, 1); /* pins called 1 2 3 4 */
    assert_int_equal(device("CD4017")->unit_count, 1);
    assert_int_equal(device("BC547")->unit_count, 1);
}

static void type_is(const char *name, const char *pin, sw_pin_type wanted) {
    const sw_device *d = device(name);
    int i = sw_device_pin_index(d, pin);
    assert_true(i >= 0);
    if (d->pins[i].type != wanted)
        print_error("%s %s is %s\n", name, pin, sw_pin_type_name(d->pins[i].type));
    assert_int_equal(d->pins[i].type, wanted);
}

static void types(void **state) {
    (void)state;
    type_is("LM358", "V+", SW_PIN_POWER_POSITIVE);
    type_is("LM358", "V-", SW_PIN_POWER_NEGATIVE);
    type_is("LM358", "1IN-", SW_PIN_INPUT);
    type_is("LM358", "2OUT", SW_PIN_OUTPUT);
    type_is("LM393", "1OUT", SW_PIN_OPEN_OUTPUT); /* a comparator's collector */
    type_is("CD4093", "VDD", SW_PIN_POWER_POSITIVE);
    type_is("CD4093", "VSS", SW_PIN_GROUND);
    type_is("CD4093", "4Y", SW_PIN_OUTPUT);
    type_is("CD4093", "2B", SW_PIN_INPUT);
    type_is("NE555", "DISCH", SW_PIN_OPEN_OUTPUT);
    type_is("NE555", "/RESET", SW_PIN_INPUT);
    type_is("NE555", "CONT", SW_PIN_PASSIVE);
    type_is("LM741", "NULL", SW_PIN_PASSIVE);
    type_is("BC547", "B", SW_PIN_PASSIVE); /* though B of a gate is an input */
    type_is("LM7805", "IN", SW_PIN_POWER_POSITIVE);
    type_is("LM7905", "IN", SW_PIN_POWER_NEGATIVE);
    type_is("LM7805", "OUT", SW_PIN_OUTPUT);
    type_is("CD4066", "1X", SW_PIN_PASSIVE);
    type_is("CD4066", "1CTL", SW_PIN_INPUT);
    type_is("CD4051", "VEE", SW_PIN_POWER_NEGATIVE);
    type_is("24LC256", "SDA", SW_PIN_BIDIRECTIONAL);
    type_is("ULN2003A", "O7", SW_PIN_OPEN_OUTPUT);
    type_is("CD4017", "Q9", SW_PIN_OUTPUT);
    type_is("CD4017", "CKEN", SW_PIN_INPUT);
    type_is("preset", "WIPER", SW_PIN_PASSIVE);
}

/* No pin of a built-in device is left untold, and each says where it is from. */
static void every_device_is_sound(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_library_device_count(library); i++) {
        const sw_device *d = sw_library_device_at(library, i);
        const sw_package *p = sw_library_package(library, d->package);
        assert_non_null(p);
        assert_int_equal(d->pin_count, p->pin_count);
        assert_ptr_equal(sw_library_device(library, d->name), d);
        assert_true(*d->source);
        assert_int_equal(d->unit_count >= 1, 1);
        for (int pin = 0; pin < d->pin_count; pin++) {
            if (d->pins[pin].type == SW_PIN_UNKNOWN)
                print_error("%s pin %s %s\n", d->name, d->pins[pin].number, d->pins[pin].name);
            assert_int_not_equal(d->pins[pin].type, SW_PIN_UNKNOWN);
            assert_string_equal(d->pins[pin].number, p->pins[pin]);
            assert_int_equal(sw_device_pin_index(d, d->pins[pin].number), pin);
        }
    }
}

/* ICs of more than one supply pin aside, a logic or amplifier IC has a pair. */
static void ics_have_supplies(void **state) {
    (void)state;
    for (size_t i = 0; i < sw_library_device_count(library); i++) {
        const sw_device *d = sw_library_device_at(library, i);
        if (strncmp(d->name, "74", 2) && strncmp(d->name, "CD4", 3) && strncmp(d->name, "TL0", 3))
            continue;
        int plus = 0, minus = 0;
        for (int pin = 0; pin < d->pin_count; pin++) {
            plus += d->pins[pin].type == SW_PIN_POWER_POSITIVE;
            minus += d->pins[pin].type == SW_PIN_GROUND ||
                     d->pins[pin].type == SW_PIN_POWER_NEGATIVE;
        }
        assert_int_equal(plus, 1);
        assert_in_range(minus, 1, 2);
    }
}

static void pins_by_name(void **state) {
    (void)state;
    const sw_device *d = device("74LS47"); /* inputs A to D, outputs a to g */
    assert_string_equal(d->pins[sw_device_pin_index(d, "A")].number, "7");
    assert_string_equal(d->pins[sw_device_pin_index(d, "a")].number, "13");
    d = device("LM358");
    assert_int_equal(sw_device_pin_index(d, "1out"), 0);
    assert_int_equal(sw_device_pin_index(d, "8"), 7);
    assert_int_equal(sw_device_pin_index(d, "3OUT"), -1);
    assert_int_equal(sw_device_pin_index(d, ""), -1);
    d = device("BC547");
    assert_int_equal(sw_device_pin_index(d, "e"), 2);
}

static void found_as(const char *name, const char *wanted) {
    const sw_device *d = sw_library_device(library, name);
    if (!wanted) {
        assert_null(d);
        return;
    }
    assert_non_null(d);
    assert_string_equal(d->name, wanted);
}

static void the_names_devices_go_by(void **state) {
    (void)state;
    found_as("bc547", "BC547");
    found_as("BC548", "BC548"); /* another part, pinned the same */
    found_as("1N4007", "1N4007");
    found_as("BC547C", "BC547");
    found_as("BC337-40", "BC337");
    found_as("LM358N", "LM358");
    found_as("LM2904N", "LM2904");
    found_as("TL072CP", "TL072");
    found_as("NE555P", "NE555");
    found_as("74LS00", "74HC00");
    found_as("SN74LS00N", "74HC00");
    found_as("74HCT14", "74HC14");
    found_as("74LS47", "74LS47"); /* its own row before the family's */
    found_as("7400", "74HC00");
    found_as("4017", "CD4017");
    found_as("HEF4093BP", "CD4093");
    found_as("MC14069UBCP", "CD4069UB");
    found_as("7805", "LM7805");
    found_as("L7812CV", "LM7812");
    found_as("LM78L05ACZ", "78L05");
    found_as("uA741CN", "UA741");
    found_as("LM317", "LM317");
    found_as("LM317LZ", "LM317L"); /* TO-92, not the TO-220 part */
    found_as("ATtiny85-20PU", "ATtiny85");
    found_as("", NULL);
    found_as("N", NULL);
    found_as("LM", NULL);
    found_as("1", NULL);
    found_as("74", NULL);
    found_as("XR2206", NULL);
    found_as("2N3055", NULL); /* TO-3 is no board part */
    char name[300];
    memset(name, 'A', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    found_as(name, NULL);
}

static void doubtful_orders_say_so(void **state) {
    (void)state;
    assert_true(device("2N3819")->unsafe_order);
    assert_true(device("MPF102")->unsafe_order);
    assert_true(device("J113")->unsafe_order);
    assert_false(device("BC547")->unsafe_order);
    assert_false(device("P2N2222A")->unsafe_order);
}

/* ---- tables ---- */

static sw_status add(sw_library *to, sw_diags *sink, const char *text) {
    sw_input input;
    assert_int_equal(sw_input_text(sink, "mine.csv", text, strlen(text), &input), SW_OK);
    return sw_library_add(to, &input, sink);
}

static void a_users_tables(void **state) {
    (void)state;
    sw_diags *sink = sw_diags_new(NULL);
    sw_library *mine = sw_library_new(sink);
    size_t packages = sw_library_package_count(mine), devices = sw_library_device_count(mine);
    assert_int_equal(add(mine, sink,
                         "\xEF\xBB\xBF" "Form;Name;body_along_mm;body_across_mm;height_mm\r\n"
                         "pair:2:2:2; SENSOR ;4;8;9\r\n\r\n"
                         "dip:8:3;DIP-8;12;12;12\r\n"), SW_OK);
    assert_int_equal(sw_library_package_count(mine), packages + 1);
    assert_int_equal(sw_library_package(mine, "SENSOR")->span_usual, 2);
    assert_int_equal(sw_library_package(mine, "sensor")->turns, 15);
    assert_true(sw_library_package(mine, "DIL8")->height_mm == 12); /* aliases follow */
    assert_int_equal(add(mine, sink,
                         "part,package,pinout,types\n"
                         "SOIL-1,SENSOR,1=S 2=GND,1=out\n"
                         "BC547,TO-92,1=E 2=B 3=C,*=passive\n"), SW_OK);
    assert_int_equal(sw_library_device_count(mine), devices + 1);
    const sw_device *d = sw_library_device(mine, "SOIL-1");
    assert_int_equal(d->pins[0].type, SW_PIN_OUTPUT);
    assert_int_equal(d->pins[1].type, SW_PIN_GROUND); /* by the rules for names */
    assert_string_equal(sw_library_device(mine, "BC547")->pins[0].name, "E");
    assert_string_equal(sw_library_device(mine, "BC548")->pins[0].name, "C"); /* its own row's */
    assert_int_equal(add(mine, sink, "prefix,as\nDUNG-,SOIL-\n"), SW_OK);
    assert_string_equal(sw_library_device(mine, "DUNG-1")->name, "SOIL-1");
    assert_int_equal(add(mine, sink, "pin,type\nHEAT*,in\n"), SW_OK);
    assert_int_equal(add(mine, sink, "part,package,pinout\nH1,SENSOR,1=HEAT1 2=Z\n"), SW_OK);
    assert_int_equal(sw_library_device(mine, "H1")->pins[0].type, SW_PIN_INPUT);
    assert_int_equal(sw_library_device(mine, "H1")->pins[1].type, SW_PIN_UNKNOWN);
    /* Of two columns of one name the first counts; the rules can be taken back. */
    assert_int_equal(add(mine, sink, "part,package,pinout,pinout,types\n"
                                     "H2,SENSOR,1=VCC,1=GND,1=unknown\n"), SW_OK);
    assert_string_equal(sw_library_device(mine, "H2")->pins[0].name, "VCC");
    assert_int_equal(sw_library_device(mine, "H2")->pins[0].type, SW_PIN_UNKNOWN);
    /* As far as a form may reach, and no further (see bad_tables). */
    assert_int_equal(add(mine, sink, "name,form,body_along_mm,body_across_mm,height_mm\n"
                                     "FAR,line:2:500,1,1,1\n"), SW_OK);
    assert_int_equal(sw_library_package(mine, "FAR")->points[1].row, 500);
    assert_int_equal(sw_diags_count(sink), 0);
    sw_library_free(mine);
    sw_diags_free(sink);
}

#define PACKAGES "name,form,body_along_mm,body_across_mm,height_mm,turns,shape,under,joined,face\n"
#define DEVICES "part,package,pinout,pins_listed,types\n"

/* Each bad table is refused at the place of its fault, and a good row behind the bad
 * one is still taken. */
static void bad_tables(void **state) {
    (void)state;
    static const struct {
        const char *text;
        uint32_t line, column;
        sw_diag_id id;
    } cases[] = {
        {"", 0, 0, SW_D_TABLE_HEADER},
        {"ref,value\nR1,10k\n", 1, 1, SW_D_TABLE_HEADER},
        {"name,form\nX,line:3:1\n", 1, 1, SW_D_TABLE_HEADER},
        {PACKAGES ",line:3:1,1,1,1\n", 2, 1, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,ring:3:1,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,line:3,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,line:3:1:1,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,line:0:1,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,line:3:251,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,dip:8,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,dip:7:3,1,1,1\n", 2, 3, SW_D_PACKAGE_PINS},
        {PACKAGES "X,pair:4:3:5,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,pair:1:2:256,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,points: ,1,1,1\n", 2, 3, SW_D_PACKAGE_FORM},
        {PACKAGES "X,\"points:1@0,0 2@1\",1,1,1\n", 2, 17, SW_D_PACKAGE_FORM},
        {PACKAGES "X,\"points:1@0,0 2@9999,0\",1,1,1\n", 2, 17, SW_D_PACKAGE_FORM},
        {PACKAGES "X,\"points:1@0,0 1@1,0\",1,1,1\n", 2, 17, SW_D_PACKAGE_PINS},
        {PACKAGES "X,\"points:1@0,0 2@0,0\",1,1,1\n", 2, 17, SW_D_PACKAGE_PINS},
        {PACKAGES "X,line:3:1,x,1,1\n", 2, 12, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,0,1\n", 2, 14, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,1,99999\n", 2, 16, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,1\n", 2, 1, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,1,1,45\n", 2, 18, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,1,1,0,oval\n", 2, 20, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,2,1,0,round\n", 2, 20, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,1,1,0,rect,air\n", 2, 25, SW_D_PACKAGE_FIELD},
        {PACKAGES "X,line:3:1,1,1,1,0,rect,none,1+4\n", 2, 30, SW_D_PACKAGE_PINS},
        {PACKAGES "X,line:3:1,1,1,1,0,rect,none,1+2 2+3\n", 2, 30, SW_D_PACKAGE_PINS},
        {PACKAGES "X,line:3:1,1,1,1,0,rect,none,,north\n", 2, 31, SW_D_PACKAGE_FIELD},
        {PACKAGES "TO-92,line:4:1,1,1,1\n", 2, 1, SW_D_PACKAGE_PINS}, /* devices stand in it */
        {DEVICES ",TO-92,1=A\n", 2, 1, SW_D_DEVICE_PINS},
        {DEVICES "X,SO-8,1=A\n", 2, 3, SW_D_DEVICE_PACKAGE},
        {DEVICES "X,TO-92,1=A 4=B\n", 2, 13, SW_D_DEVICE_PINS},
        {DEVICES "X,TO-92,1=A 2\n", 2, 13, SW_D_DEVICE_PINS},
        {DEVICES "X,TO-92,1=A 2=\n", 2, 13, SW_D_DEVICE_PINS},
        {DEVICES "X,TO-92,1=A =B\n", 2, 13, SW_D_DEVICE_PINS},
        {DEVICES "X,TO-92,1=A 1=B\n", 2, 13, SW_D_DEVICE_PIN_DOUBLED},
        {DEVICES "X,TO-92,1=A 2=B,3\n", 2, 17, SW_D_DEVICE_PINS},
        {DEVICES "X,TO-92,1=A 2=B,two\n", 2, 17, SW_D_DEVICE_PINS},
        {DEVICES "X,TO-92,1=A,,1=inward\n", 2, 14, SW_D_DEVICE_TYPE},
        {DEVICES "X,TO-92,1=A,,*=in 4=in\n", 2, 19, SW_D_DEVICE_TYPE},
        {DEVICES "X,TO-92,\"1=A,\n", 2, 9, SW_D_CSV_QUOTE},
        {"pin,type\nQ,sideways\n", 2, 3, SW_D_DEVICE_TYPE},
        {"pin,type\n,in\n", 2, 2, SW_D_DEVICE_TYPE},
        {"prefix,as\n,X\n", 2, 1, SW_D_TABLE_HEADER},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sw_diags *sink = sw_diags_new(NULL);
        sw_library *mine = sw_library_new(sink);
        size_t packages = sw_library_package_count(mine), devices = sw_library_device_count(mine);
        assert_int_equal(add(mine, sink, cases[i].text), SW_BAD_INPUT);
        assert_int_equal(sw_diags_count(sink), 1 + (i == 1) * 2);
        const sw_diag *diag = sw_diags_get(sink, sw_diags_count(sink) - 1);
        sw_place place = {.line = 0};
        sw_diags_place(sink, diag->span, &place);
        if (diag->id != cases[i].id || place.line != cases[i].line ||
            place.column != cases[i].column)
            print_error("case %zu: %s at %u:%u\n", i, sw_diag_name(diag->id), place.line,
                        place.column);
        assert_int_equal(diag->id, cases[i].id);
        assert_int_equal(place.line, cases[i].line);
        assert_int_equal(place.column, cases[i].column);
        assert_int_equal(sw_library_package_count(mine), packages);
        assert_int_equal(sw_library_device_count(mine), devices);
        sw_library_free(mine);
        sw_diags_free(sink);
    }
}

static void rows_behind_a_bad_one(void **state) {
    (void)state;
    sw_diags *sink = sw_diags_new(NULL);
    sw_library *mine = sw_library_new_empty();
    assert_int_equal(add(mine, sink, PACKAGES "BAD,line:x,1,1,1\nGOOD,line:3:1,1,1,1\n"),
                     SW_BAD_INPUT);
    assert_non_null(sw_library_package(mine, "GOOD"));
    assert_null(sw_library_package(mine, "BAD"));
    sw_library_free(mine);
    sw_diags_free(sink);
}

static void unknown_columns_are_noted(void **state) {
    (void)state;
    sw_diags *sink = sw_diags_new(NULL);
    sw_library *mine = sw_library_new(sink);
    assert_int_equal(add(mine, sink, "part,package,pinout,tpyes\nX,TO-92,1=A 2=B\n"), SW_OK);
    assert_int_equal(sw_diags_count(sink), 1);
    assert_int_equal(sw_diags_get(sink, 0)->id, SW_D_TABLE_COLUMN);
    assert_int_equal(sw_diags_of(sink, SW_ERROR), 0);
    sw_library_free(mine);
    sw_diags_free(sink);
}

static void pins_beyond_the_limit(void **state) {
    (void)state;
    sw_limits limits;
    sw_limits_default(&limits);
    limits.pins_per_part = 10;
    sw_diags *sink = sw_diags_new(&limits);
    sw_library *mine = sw_library_new_empty();
    assert_int_equal(add(mine, sink, PACKAGES "X,line:11:1,1,1,1\n"), SW_BAD_INPUT);
    assert_int_equal(sw_diags_get(sink, 0)->id, SW_D_LIMIT_PINS);
    assert_int_equal(add(mine, sink, PACKAGES "X,line:10:1,1,1,1\n"), SW_OK);
    sw_library_free(mine);
    sw_diags_free(sink);
}

/* The built-in tables cut off at every 97th byte, and damaged: no crash, no leak. */
static void damaged_tables(void **state) {
    (void)state;
    char path[400];
    const char *folder = getenv("SW_SRCDIR");
    snprintf(path, sizeof path, "%s/src/parts/data/devices.csv", folder ? folder : ".");
    sw_diags *first = sw_diags_new(NULL);
    sw_input whole;
    assert_int_equal(sw_input_open(first, path, &whole), SW_OK);
    sw_library *mine = sw_library_new(first);
    char *bytes = malloc(whole.length + 1);
    for (size_t kept = 1; kept < whole.length; kept += 97) {
        memcpy(bytes, whole.bytes, kept);
        for (size_t i = kept / 3; i < kept; i += 101) /* about 1 % */
            bytes[i] = (char)(bytes[i] ^ (1 << (i % 8)));
        sw_diags *sink = sw_diags_new(NULL);
        sw_input input;
        assert_int_equal(sw_input_text(sink, "cut.csv", bytes, kept, &input), SW_OK);
        sw_status status = sw_library_add(mine, &input, sink);
        assert_true(status == SW_OK || status == SW_BAD_INPUT);
        assert_int_equal(status == SW_BAD_INPUT, sw_diags_of(sink, SW_ERROR) > 0);
        sw_diags_free(sink);
    }
    free(bytes);
    sw_library_free(mine);
    sw_diags_free(first);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pin_orders),
        cmocka_unit_test(omitted_pins_are_not_connected),
        cmocka_unit_test(units),
        cmocka_unit_test(types),
        cmocka_unit_test(every_device_is_sound),
        cmocka_unit_test(ics_have_supplies),
        cmocka_unit_test(pins_by_name),
        cmocka_unit_test(the_names_devices_go_by),
        cmocka_unit_test(doubtful_orders_say_so),
        cmocka_unit_test(a_users_tables),
        cmocka_unit_test(bad_tables),
        cmocka_unit_test(rows_behind_a_bad_one),
        cmocka_unit_test(unknown_columns_are_noted),
        cmocka_unit_test(pins_beyond_the_limit),
        cmocka_unit_test(damaged_tables),
    };
    return cmocka_run_group_tests_name("parts: devices and tables", tests, make_library,
                                       free_library);
}
