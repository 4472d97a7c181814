/* src/parts/device.c: rows of a table of devices; types and units of pins. */
#include "library.h"

#include "base/fault.h"
#include "base/num.h"

#include <stdio.h>
#include <string.h>

static const struct {
    const char *word;
    sw_pin_type type;
} types[] = {
    {"unknown", SW_PIN_UNKNOWN},      {"in", SW_PIN_INPUT},
    {"out", SW_PIN_OUTPUT},           {"bidirectional", SW_PIN_BIDIRECTIONAL},
    {"open", SW_PIN_OPEN_OUTPUT},     {"positive", SW_PIN_POWER_POSITIVE},
    {"negative", SW_PIN_POWER_NEGATIVE}, {"ground", SW_PIN_GROUND},
    {"passive", SW_PIN_PASSIVE},      {"nc", SW_PIN_NOT_CONNECTED},
    {"keep-open", SW_PIN_KEEP_OPEN},
};

bool sw_pin_type_read(const char *word, size_t length, sw_pin_type *type) {
    for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
        if (swi_equal_fold_n(word, length, types[i].word)) {
            *type = types[i].type;
            return true;
        }
    }
    return false;
}

const char *sw_pin_type_name(sw_pin_type type) {
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (types[i].type == type)
            return types[i].word;
    return "unknown";
}

sw_pin_type swi_pin_type_of(const sw_library *library, const char *name) {
    for (size_t i = 0; i < library->rule_count; i++)
        if (swi_match(library->rules[i].pattern, name))
            return library->rules[i].type;
    return SW_PIN_UNKNOWN;
}

/* NUMBER=WHAT split at the first "=". */
static bool split(const char *word, size_t length, size_t *number) {
    const char *equals = memchr(word, '=', length);
    *number = equals ? (size_t)(equals - word) : 0;
    return equals && *number > 0 && *number + 1 < length;
}

static sw_status bad_word(const swi_table *table, sw_diag_id id, const swi_csv_field *cell,
                          const char *word, size_t length, const char *todo) {
    sw_diag_add(table->diags, id, swi_piece(cell, word, length), "\"%.*s\": %s", (int)length, word,
                todo);
    return SW_BAD_INPUT;
}

/* A pin of the device by its package's number, by length. */
static sw_device_pin *pin_numbered(sw_device_pin *pins, size_t count, const char *number,
                                   size_t length) {
    for (size_t i = 0; i < count; i++)
        if (swi_equal_fold_n(number, length, pins[i].number))
            return &pins[i];
    return NULL;
}

static sw_status read_pin(const swi_table *table, const swi_csv_field *cell, const char *word,
                          size_t length, sw_device_pin *pins, size_t count) {
    size_t number;
    if (!split(word, length, &number))
        return bad_word(table, SW_D_DEVICE_PINS, cell, word, length,
                        "say NUMBER=NAME for each pin, as in 1=OUT 2=GND");
    sw_device_pin *pin = pin_numbered(pins, count, word, number);
    if (!pin)
        return bad_word(table, SW_D_DEVICE_PINS, cell, word, length,
                        "its package has no pin of this number");
    if (pin->name)
        return bad_word(table, SW_D_DEVICE_PIN_DOUBLED, cell, word, length,
                        "this pin stands in the row twice: keep one");
    pin->name = swi_keep(table->library, word + number + 1, length - number - 1);
    return pin->name ? SW_OK : swi_out_of_memory(table->diags);
}

static sw_status read_pinout(const swi_table *table, sw_device_pin *pins, size_t count) {
    swi_csv_field cell = swi_cell(table, SWI_PINOUT), listed = swi_cell(table, SWI_PINS_LISTED);
    const char *at = cell.text, *word;
    size_t length;
    long said, found = 0;
    while (swi_next_word(&at, &word, &length)) {
        sw_status status = read_pin(table, &cell, word, length, pins, count);
        if (status != SW_OK)
            return status;
        found++;
    }
    if (listed.length && (!swi_int_read(listed.text, 0, UINT16_MAX, &said) || said != found)) {
        sw_diag_add(table->diags, SW_D_DEVICE_PINS, listed.span,
                    "\"%s\" pins are announced and %ld are listed: which is right?", listed.text,
                    found);
        return SW_BAD_INPUT;
    }
    for (size_t i = 0; i < count; i++) {
        if (pins[i].name)
            continue;
        pins[i].name = "NC"; /* left out of the row: nothing inside */
        pins[i].type = SW_PIN_NOT_CONNECTED;
    }
    return SW_OK;
}

/* The unit that a name speaks of: 1 in "1OUT"; 0 for names that do not begin with
 * one digit, and for names that are numbers. */
static unsigned unit_in(const char *name) {
    if (name[0] < '1' || name[0] > '9' || name[1] == '\0' || swi_is_digit(name[1]))
        return 0;
    return (unsigned)(name[0] - '0');
}

/* Units count when there are two and more of them, numbered without a gap; a lone
 * "5V" or "3V3" is just a name.  Returns their number. */
static uint8_t find_units(sw_device_pin *pins, size_t count) {
    bool seen[10] = {false};
    unsigned last = 0, many = 0;
    for (size_t i = 0; i < count; i++) {
        unsigned unit = unit_in(pins[i].name);
        many += unit && !seen[unit];
        seen[unit] = true;
        last = unit > last ? unit : last;
    }
    if (many < 2 || many != last)
        return 1;
    for (size_t i = 0; i < count; i++)
        pins[i].unit = (uint8_t)unit_in(pins[i].name);
    return (uint8_t)many;
}

static void apply_rules(const sw_library *library, sw_device_pin *pins, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (pins[i].type != SW_PIN_NOT_CONNECTED)
            pins[i].type = swi_pin_type_of(library, pins[i].name + (pins[i].unit > 0));
}

/* The row's own "*=passive 3=open": later words hold over earlier ones, and all
 * over the rules for names. */
static sw_status read_types(const swi_table *table, sw_device_pin *pins, size_t count) {
    swi_csv_field cell = swi_cell(table, SWI_TYPES);
    const char *at = cell.text, *word;
    size_t length, number;
    while (swi_next_word(&at, &word, &length)) {
        sw_pin_type type;
        if (!split(word, length, &number) ||
            !sw_pin_type_read(word + number + 1, length - number - 1, &type))
            return bad_word(table, SW_D_DEVICE_TYPE, &cell, word, length,
                            "say NUMBER=TYPE; types are in, out, bidirectional, open, positive, "
                            "negative, ground, passive, nc, keep-open");
        bool all = swi_equal_fold_n(word, number, "*");
        sw_device_pin *pin = all ? NULL : pin_numbered(pins, count, word, number);
        if (!all && !pin)
            return bad_word(table, SW_D_DEVICE_TYPE, &cell, word, length,
                            "its package has no pin of this number");
        for (size_t i = 0; all && i < count; i++)
            if (pins[i].type != SW_PIN_NOT_CONNECTED)
                pins[i].type = type;
        if (pin)
            pin->type = type;
    }
    return SW_OK;
}

static sw_status read_pins(const swi_table *table, sw_device *device) {
    swi_csv_field cell = swi_cell(table, SWI_PACKAGE);
    sw_library *library = table->library;
    const sw_package *package = swi_shelf_find(&library->packages, cell.text, cell.length);
    if (!package) {
        sw_diag_add(table->diags, SW_D_DEVICE_PACKAGE, cell.span,
                    "no package is called \"%s\": add the table that has it first", cell.text);
        return SW_BAD_INPUT;
    }
    sw_device_pin *pins = swi_arena_array(library->arena, package->pin_count, sizeof *pins);
    if (!pins)
        return swi_out_of_memory(table->diags);
    for (size_t i = 0; i < package->pin_count; i++)
        pins[i].number = package->pins[i];
    sw_status status = read_pinout(table, pins, package->pin_count);
    if (status != SW_OK)
        return status;
    device->package = package->name;
    device->pin_count = package->pin_count;
    device->pins = pins;
    device->unit_count = find_units(pins, package->pin_count);
    apply_rules(library, pins, package->pin_count);
    return read_types(table, pins, package->pin_count);
}

/* Under its name; and each of its aliases, being another part that is pinned the
 * same, gets a device of that name. */
static sw_status put_device(const swi_table *table, const sw_device *device) {
    sw_library *library = table->library;
    swi_shelf *shelf = &library->devices;
    uint32_t slot;
    sw_status status = swi_shelf_put(shelf, device->name, device, &slot, table->diags);
    const char *at = device->aliases, *word;
    size_t length;
    while (status == SW_OK && swi_next_word(&at, &word, &length)) {
        sw_device *other = swi_arena_alloc(library->arena, sizeof *other);
        const char *name = swi_keep(library, word, length);
        if (!other || !name)
            return swi_out_of_memory(table->diags);
        *other = *device;
        other->name = name;
        status = swi_shelf_hide(shelf, other, &slot, table->diags);
        if (status == SW_OK)
            status = swi_shelf_alias(shelf, word, length, slot, table->diags);
    }
    return status;
}

sw_status swi_device_row(const swi_table *table) {
    sw_library *library = table->library;
    swi_csv_field name = swi_cell(table, SWI_PART), source = swi_cell(table, SWI_SOURCE);
    swi_csv_field note = swi_cell(table, SWI_NOTE), aliases = swi_cell(table, SWI_ALIAS);
    if (name.length == 0) {
        sw_diag_add(table->diags, SW_D_DEVICE_PINS, table->row, "a device wants a name");
        return SW_BAD_INPUT;
    }
    sw_device *device = swi_arena_alloc(library->arena, sizeof *device);
    if (!device)
        return swi_out_of_memory(table->diags);
    device->name = swi_keep(library, name.text, name.length);
    device->source = swi_keep(library, source.text, source.length);
    device->note = swi_keep(library, note.text, note.length);
    device->aliases = swi_keep(library, aliases.text, aliases.length);
    device->unsafe_order =
        swi_match("*unsafe*", note.text) || swi_match("*maker dependent*", note.text);
    if (!device->name || !device->source || !device->note || !device->aliases)
        return swi_out_of_memory(table->diags);
    sw_status status = read_pins(table, device);
    if (status != SW_OK)
        return status;
    return put_device(table, device);
}

const sw_device *swi_device_at_odds(const sw_library *library, const sw_package *package) {
    for (size_t i = 0; i < library->devices.count; i++) {
        const sw_device *device = library->devices.sorted[i];
        if (!swi_equal_fold(device->package, package->name))
            continue;
        bool same = device->pin_count == package->pin_count;
        for (size_t pin = 0; same && pin < package->pin_count; pin++)
            same = swi_equal_fold(device->pins[pin].number, package->pins[pin]);
        if (!same)
            return device;
    }
    return NULL;
}
