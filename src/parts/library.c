/* src/parts/library.c: packages and devices by name. */
#include "library.h"

#include "base/fault.h"

#include <stdlib.h>
#include <string.h>

/* ---- shelves ---- */

static bool shelf_set_up(swi_shelf *shelf, swi_arena *arena) {
    shelf->names = swi_map_new(arena, true);
    shelf->aliases = swi_map_new(arena, true);
    return shelf->names && shelf->aliases;
}

static void shelf_free(swi_shelf *shelf) {
    swi_map_free(shelf->names);
    swi_map_free(shelf->aliases);
    free(shelf->slots);
    free(shelf->sorted);
}

const void *swi_shelf_find(const swi_shelf *shelf, const char *name, size_t length) {
    uint32_t slot = swi_map_get(shelf->names, name, length, UINT32_MAX);
    if (slot == UINT32_MAX)
        slot = swi_map_get(shelf->aliases, name, length, UINT32_MAX);
    return slot == UINT32_MAX ? NULL : shelf->slots[slot];
}

/* Both structs begin with their name. */
static const char *name_of(const void *thing) {
    return *(const char *const *)thing;
}

/* Where the name stands in the sorted list, or belongs. */
static size_t sorted_place(const swi_shelf *shelf, const char *name) {
    size_t low = 0, high = shelf->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (swi_natural_compare(name_of(shelf->sorted[middle]), name) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

sw_status swi_shelf_hide(swi_shelf *shelf, const void *thing, uint32_t *slot, sw_diags *diags) {
    if (!SWI_GROW(shelf->slots, shelf->slot_capacity, shelf->slot_count + 1))
        return swi_out_of_memory(diags);
    *slot = (uint32_t)shelf->slot_count++;
    shelf->slots[*slot] = thing;
    return SW_OK;
}

sw_status swi_shelf_put(swi_shelf *shelf, const char *name, const void *thing, uint32_t *slot,
                        sw_diags *diags) {
    size_t place = sorted_place(shelf, name);
    *slot = swi_map_get(shelf->names, name, strlen(name), UINT32_MAX);
    if (*slot != UINT32_MAX) {
        shelf->slots[*slot] = thing;
        shelf->sorted[place] = thing;
        return SW_OK;
    }
    if (!SWI_GROW(shelf->sorted, shelf->capacity, shelf->count + 1))
        return swi_out_of_memory(diags);
    sw_status status = swi_shelf_hide(shelf, thing, slot, diags);
    if (status != SW_OK)
        return status;
    bool out = false;
    swi_map_add(shelf->names, name, strlen(name), *slot, &out);
    if (out)
        return swi_out_of_memory(diags);
    memmove(shelf->sorted + place + 1, shelf->sorted + place,
            (shelf->count - place) * sizeof *shelf->sorted);
    shelf->sorted[place] = thing;
    shelf->count++;
    return SW_OK;
}

sw_status swi_shelf_alias(swi_shelf *shelf, const char *alias, size_t length, uint32_t slot,
                          sw_diags *diags) {
    bool out = false;
    swi_map_set(shelf->aliases, alias, length, slot, &out);
    return out ? swi_out_of_memory(diags) : SW_OK;
}

/* ---- the library ---- */

sw_library *sw_library_new_empty(void) {
    sw_library *library = calloc(1, sizeof *library);
    if (!library)
        return NULL;
    library->arena = swi_arena_new();
    if (library->arena)
        library->texts = swi_interner_new(library->arena);
    if (!library->texts || !shelf_set_up(&library->packages, library->arena) ||
        !shelf_set_up(&library->devices, library->arena) ||
        !shelf_set_up(&library->stock, library->arena)) {
        sw_library_free(library);
        return NULL;
    }
    return library;
}

void sw_library_free(sw_library *library) {
    if (!library)
        return;
    shelf_free(&library->packages);
    shelf_free(&library->devices);
    shelf_free(&library->stock);
    free(library->rules);
    free(library->families);
    free(library->footprints);
    swi_interner_free(library->texts);
    swi_arena_free(library->arena);
    free(library);
}

const char *swi_keep(sw_library *library, const char *text, size_t length) {
    return swi_intern(library->texts, text, length);
}

size_t sw_library_package_count(const sw_library *library) {
    return library->packages.count;
}

const sw_package *sw_library_package_at(const sw_library *library, size_t index) {
    return library->packages.sorted[index];
}

size_t sw_library_device_count(const sw_library *library) {
    return library->devices.count;
}

const sw_device *sw_library_device_at(const sw_library *library, size_t index) {
    return library->devices.sorted[index];
}

const sw_package *sw_library_upright(const sw_library *library, const sw_package *package) {
    sw_buf name = SW_BUF_INIT;
    sw_buf_printf(&name, "%s-UP", package->name);
    const sw_package *up = name.failed ? NULL : sw_library_package(library, name.bytes);
    sw_buf_free(&name);
    return up != NULL && up->pin_count == package->pin_count ? up : NULL;
}

/* ---- pin names and families ---- */

sw_status swi_rule_row(const swi_table *table) {
    sw_library *library = table->library;
    swi_csv_field pin = swi_cell(table, SWI_PIN), type = swi_cell(table, SWI_TYPE);
    swi_pin_rule rule;
    if (pin.length == 0 || !sw_pin_type_read(type.text, type.length, &rule.type)) {
        sw_diag_add(table->diags, SW_D_DEVICE_TYPE, type.span, "\"%s\" is no type of pin: say "
                    "in, out, bidirectional, open, positive, negative, ground, passive, nc or "
                    "keep-open", type.text);
        return SW_BAD_INPUT;
    }
    rule.pattern = swi_keep(library, pin.text, pin.length);
    if (!rule.pattern || !SWI_GROW(library->rules, library->rule_capacity, library->rule_count + 1))
        return swi_out_of_memory(table->diags);
    library->rules[library->rule_count++] = rule;
    return SW_OK;
}

sw_status swi_family_row(const swi_table *table) {
    sw_library *library = table->library;
    swi_csv_field prefix = swi_cell(table, SWI_PREFIX), as = swi_cell(table, SWI_AS);
    if (prefix.length == 0) {
        sw_diag_add(table->diags, SW_D_TABLE_HEADER, prefix.span, "a family wants a prefix");
        return SW_BAD_INPUT;
    }
    swi_family family = {swi_keep(library, prefix.text, prefix.length),
                         swi_keep(library, as.text, as.length)};
    if (!family.prefix || !family.as ||
        !SWI_GROW(library->families, library->family_capacity, library->family_count + 1))
        return swi_out_of_memory(table->diags);
    size_t at = library->family_count++;
    for (; at && strlen(library->families[at - 1].prefix) < prefix.length; at--)
        library->families[at] = library->families[at - 1];
    library->families[at] = family;
    return SW_OK;
}

/* ---- devices by the many names they go by ---- */

enum { LONGEST_NAME = 64 };

/* By name or alias, else with the beginning of one family changed for that of the
 * family it is pinned like; a maker's prefix may stand before that: two steps. */
static const sw_device *find_in_families(const sw_library *library, const char *name,
                                         size_t length, int steps) {
    const sw_device *device = swi_shelf_find(&library->devices, name, length);
    for (size_t i = 0; !device && steps > 0 && i < library->family_count; i++) {
        const swi_family *family = &library->families[i];
        size_t prefix = strlen(family->prefix), as = strlen(family->as);
        char other[LONGEST_NAME + 1];
        if (length <= prefix || !swi_equal_fold_n(name, prefix, family->prefix) ||
            as + length - prefix > LONGEST_NAME)
            continue;
        memcpy(other, family->as, as);
        memcpy(other + as, name + prefix, length - prefix);
        device = find_in_families(library, other, as + length - prefix, steps - 1);
    }
    return device;
}

static bool has_digit(const char *name, size_t length) {
    for (size_t i = 0; i < length; i++)
        if (swi_is_digit(name[i]))
            return true;
    return false;
}

const sw_device *sw_library_device(const sw_library *library, const char *name) {
    enum { STEPS = 2 };
    size_t length = strlen(name);
    const sw_device *device = find_in_families(library, name, length, STEPS);
    if (device || length > LONGEST_NAME)
        return device;
    size_t stem = strcspn(name, "-/+#. ");
    if (stem < length && has_digit(name, stem))
        device = find_in_families(library, name, length = stem, STEPS);
    while (!device && length > 1 && swi_is_alpha(name[length - 1]) && has_digit(name, length - 1))
        device = find_in_families(library, name, --length, STEPS);
    return device;
}
