/* Finding a package's pin by what a netlist or a user calls it. */
#include "circuit/fit.h"

#include <string.h>

/* "1OUT" -> "OUT", "2/Q" -> "/Q": the name that a unit's pin has in its unit. */
static const char *name_in_unit(const sw_device_pin *pin) {
    const char *name = pin->name;
    if (pin->unit == 0)
        return name;
    while (swi_is_digit(*name))
        name++;
    return *name ? name : pin->name;
}

static bool in_unit(const sw_device_pin *pin, unsigned unit) {
    return unit == 0 || pin->unit == 0 || pin->unit == unit;
}

static bool is_text(const char *text, size_t length, const char *name) {
    return *name && swi_equal_fold_n(text, length, name);
}

/* By number, by name, by name within the unit, by a name that means the same when
 * only one pin has such a name. */
static int find_in_device(const sw_device *device, const char *text, size_t length,
                          unsigned unit) {
    char name[32];
    int same = -1;
    for (int i = 0; i < device->pin_count; i++)
        if (in_unit(&device->pins[i], unit) && is_text(text, length, device->pins[i].number))
            return i;
    for (int fold = 0; fold < 2; fold++) /* inputs A to D and segments a to g of one decoder */
        for (int i = 0; i < device->pin_count; i++)
            if (in_unit(&device->pins[i], unit) && is_text(text, length, device->pins[i].name) &&
                (fold || memcmp(text, device->pins[i].name, length) == 0))
                return i;
    for (int i = 0; unit && i < device->pin_count; i++)
        if (in_unit(&device->pins[i], unit) &&
            is_text(text, length, name_in_unit(&device->pins[i])))
            return i;
    if (length >= sizeof name)
        return -1;
    memcpy(name, text, length);
    name[length] = '\0';
    for (int i = 0; i < device->pin_count; i++) {
        const sw_device_pin *pin = &device->pins[i];
        if (!in_unit(pin, unit) || !swi_same_pin_name(name, unit ? name_in_unit(pin) : pin->name))
            continue;
        if (same >= 0)
            return -1; /* two it may be: not for us to choose */
        same = i;
    }
    return same;
}

/* What pins are called where no device says so: a diode's pin 1 is K, a polarised
 * capacitor's + (as the tables of devices and the capacitors' makers have it), a
 * buzzer's too, a preset's 2 the wiper. */
static int find_by_kind(char kind, const char *text, size_t length) {
    static const struct { char kind; const char *name; int index; } names[] = {
        {'D', "K", 0}, {'D', "CATHODE", 0}, {'D', "-", 0}, {'D', "A", 1}, {'D', "ANODE", 1},
        {'D', "+", 1}, {'C', "+", 0}, {'C', "-", 1}, {'C', "P", 0}, {'C', "N", 1},
        {'R', "+", 0}, {'R', "-", 1}, {'L', "+", 0}, {'L', "-", 1}, {'R', "P", 0}, {'R', "N", 1},
        {'L', "P", 0}, {'L', "N", 1}, {'P', "W", 1}, {'P', "WIPER", 1}, {'z', "+", 0}, {'z', "-", 1}};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (names[i].kind == kind && swi_equal_fold_n(text, length, names[i].name))
            return names[i].index;
    return -1;
}

int swi_fit_find_pin(const swi_group *g, const char *text, size_t length, unsigned unit) {
    if (g->known)
        return find_in_device(g->known, text, length, unit);
    for (int i = 0; i < g->form->pin_count; i++)
        if (is_text(text, length, g->form->pins[i]))
            return i;
    int index = find_by_kind(g->kind, text, length);
    return index < g->form->pin_count ? index : -1;
}

int swi_fit_find_named(const swi_group *g, const char *name, unsigned unit) {
    size_t length = strlen(name);
    if (strspn(name, "0123456789") == length)
        return -1; /* a number is no name */
    if (!g->known) {
        bool told = g->kind == 'D' || g->kind == 'P' || (g->kind == 'C' && swi_match("ELEC-*", g->form->name)) ||
                    (g->kind == 'z' && swi_match("BUZZER-*", g->form->name));
        int index = told ? find_by_kind(g->kind, name, length) : -1;
        return index < g->form->pin_count ? index : -1;
    }
    int found = -1;
    for (int i = 0; i < g->known->pin_count; i++) {
        const sw_device_pin *pin = &g->known->pins[i];
        if (!in_unit(pin, unit) || !is_text(name, length, unit ? name_in_unit(pin) : pin->name))
            continue;
        if (found >= 0)
            return -1; /* several grounds, or what is not connected */
        found = i;
    }
    return found;
}
