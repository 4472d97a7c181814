/* src/parts/footprint.c: the names that drawing programs have for packages.
 *
 * A pattern leads to a package, or to none: "AXIAL-0.4" may be a resistor or a diode, and so says no
 * more than that it has two leads.
 */
#include "library.h"

#include "base/fault.h"

#include <string.h>

sw_status swi_footprint_row(const swi_table *table) {
    sw_library *library = table->library;
    swi_csv_field pattern = swi_cell(table, SWI_FOOTPRINT), package = swi_cell(table, SWI_PACKAGE);
    if (pattern.length == 0) {
        sw_diag_add(table->diags, SW_D_TABLE_HEADER, pattern.span, "a footprint wants a pattern, such as DIP-8_W7.62mm*");
        return SW_BAD_INPUT;
    }
    swi_footprint row = {swi_keep(library, pattern.text, pattern.length), swi_keep(library, package.text, package.length),
                         pattern.length};
    for (size_t i = 0; i < pattern.length; i++)
        row.literals -= pattern.text[i] == '*';
    if (!row.pattern || !row.package ||
        !SWI_GROW(library->footprints, library->footprint_capacity, library->footprint_count + 1))
        return swi_out_of_memory(table->diags);
    library->footprints[library->footprint_count++] = row;
    return SW_OK;
}

/* "Package_DIP:DIP-8_W7.62mm": what is before the colon is the drawing program's library. */
static const char *without_library(const char *name) {
    const char *colon = strrchr(name, ':');
    return colon ? colon + 1 : name;
}

/* The pattern that spells most of the name; of equal ones the later row, for users' tables come last. */
static const swi_footprint *find(const sw_library *library, const char *name) {
    const swi_footprint *best = NULL;
    for (size_t i = 0; i < library->footprint_count; i++) {
        const swi_footprint *row = &library->footprints[i];
        if ((!best || row->literals >= best->literals) && swi_match(row->pattern, name))
            best = row;
    }
    return best;
}

const sw_package *sw_library_package(const sw_library *library, const char *name) {
    const sw_package *package = swi_shelf_find(&library->packages, name, strlen(name));
    const char *bare = without_library(name);
    if (!package && bare != name)
        package = swi_shelf_find(&library->packages, bare, strlen(bare));
    if (package)
        return package;
    const swi_footprint *row = find(library, bare);
    return row ? swi_shelf_find(&library->packages, row->package, strlen(row->package)) : NULL;
}

bool sw_library_package_vague(const sw_library *library, const char *name) {
    const swi_footprint *row = sw_library_package(library, name) ? NULL : find(library, without_library(name));
    return row && !*row->package;
}
