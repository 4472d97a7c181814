/* src/parts/table.c: tables of packages, devices, pin names, families, stock and footprints. */
#include "library.h"

#include "base/fault.h"
#include "base/text.h"
#include "data.h"
#include "drawn.h"

#include <stdlib.h>
#include <string.h>

static const char *const column_names[SWI_COLUMNS] = {
    [SWI_NAME] = "name",           [SWI_FORM] = "form",
    [SWI_TURNS] = "turns",         [SWI_SHAPE] = "shape",
    [SWI_ALONG] = "body_along_mm", [SWI_ACROSS] = "body_across_mm",
    [SWI_HEIGHT] = "height_mm",    [SWI_SHIFT] = "body_shift_mm",
    [SWI_UNDER] = "under",         [SWI_FACE] = "face",
    [SWI_JOINED] = "joined",       [SWI_SOURCE] = "source",
    [SWI_ALIAS] = "alias",         [SWI_PART] = "part",
    [SWI_PACKAGE] = "package",     [SWI_PINS_LISTED] = "pins_listed",
    [SWI_PINOUT] = "pinout",       [SWI_NOTE] = "note",
    [SWI_TYPES] = "types",         [SWI_PIN] = "pin",
    [SWI_TYPE] = "type",           [SWI_PREFIX] = "prefix",
    [SWI_AS] = "as",               [SWI_STRIPS] = "strips",
    [SWI_HOLES] = "holes",         [SWI_FOOTPRINT] = "footprint",
};

/* A table is what its header must have. */
typedef struct kind {
    swi_column must[6];
    int must_count;
    sw_status (*row)(const swi_table *);
} kind;

static const kind kinds[] = {
    {{SWI_NAME, SWI_FORM, SWI_ALONG, SWI_ACROSS, SWI_HEIGHT}, 5, swi_package_row},
    {{SWI_PART, SWI_PACKAGE, SWI_PINOUT}, 3, swi_device_row},
    {{SWI_PIN, SWI_TYPE}, 2, swi_rule_row},
    {{SWI_PREFIX, SWI_AS}, 2, swi_family_row},
    {{SWI_NAME, SWI_STRIPS, SWI_HOLES}, 3, swi_stock_row},
    {{SWI_FOOTPRINT, SWI_PACKAGE}, 2, swi_footprint_row},
};

sw_span swi_piece(const swi_csv_field *cell, const char *from, size_t length) {
    size_t quote = cell->span.length == cell->length + 2;
    if (cell->span.length != cell->length + 2 * quote)
        return cell->span; /* doubled quotes inside: the text is not the source's */
    size_t offset = quote + (size_t)(from - cell->text);
    return (sw_span){cell->span.source, cell->span.offset + (uint32_t)offset, (uint32_t)length};
}

bool swi_next_word(const char **at, const char **word, size_t *length) {
    const char *s = *at;
    while (swi_is_space(*s))
        s++;
    *word = s;
    while (*s && !swi_is_space(*s))
        s++;
    *length = (size_t)(s - *word);
    *at = s;
    return *length > 0;
}

/* Blanks around a cell's text are of no meaning in these tables.  The length
 * leaves them out; the text itself still ends where the field did. */
static swi_csv_field trimmed(swi_csv_field field) {
    size_t before = 0, length = field.length;
    while (length && swi_is_space(field.text[length - 1]))
        length--;
    while (before < length && swi_is_space(field.text[before]))
        before++;
    length -= before;
    field.span = swi_piece(&field, field.text + before, length);
    field.text += before;
    field.length = length;
    return field;
}

swi_csv_field swi_cell(const swi_table *table, swi_column column) {
    int i = table->column[column];
    if (i < 0 || i >= table->field_count)
        return (swi_csv_field){"", 0, table->row};
    return trimmed(table->fields[i]);
}

static void take_header(swi_table *table, const swi_csv_field *fields, int count) {
    for (int c = 0; c < SWI_COLUMNS; c++)
        table->column[c] = -1;
    for (int i = 0; i < count; i++) {
        swi_csv_field field = trimmed(fields[i]);
        bool known = field.length == 0;
        for (int c = 0; c < SWI_COLUMNS && !known; c++) {
            known = swi_equal_fold_n(field.text, field.length, column_names[c]);
            if (known && table->column[c] < 0)
                table->column[c] = i;
        }
        if (!known)
            sw_diag_add(table->diags, SW_D_TABLE_COLUMN, fields[i].span,
                        "no column is called \"%s\": it is left out", fields[i].text);
    }
}

static const kind *kind_of(const swi_table *table) {
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        int have = 0;
        while (have < kinds[k].must_count && table->column[kinds[k].must[have]] >= 0)
            have++;
        if (have == kinds[k].must_count)
            return &kinds[k];
    }
    return NULL;
}

static bool is_blank(const swi_table *table) {
    for (int i = 0; i < table->field_count; i++)
        if (trimmed(table->fields[i]).length)
            return false;
    return true;
}

static sw_status read_rows(swi_table *table, const kind *k) {
    sw_status worst = SW_OK;
    while ((table->field_count = swi_csv_next(table->csv, &table->fields)) > 0) {
        if (is_blank(table))
            continue;
        table->row = table->fields[0].span;
        sw_status status = k->row(table);
        if (status == SW_SYSTEM)
            return status;
        if (status != SW_OK)
            worst = status;
    }
    return table->field_count < 0 ? swi_csv_status(table->csv) : worst;
}

static sw_status read_table(swi_table *table) {
    int count = swi_csv_next(table->csv, &table->fields);
    if (count < 0)
        return swi_csv_status(table->csv);
    take_header(table, table->fields, count);
    const kind *k = kind_of(table);
    if (k)
        return read_rows(table, k);
    sw_span header = {0, 0, 0};
    if (count)
        header = table->fields[0].span;
    sw_diag_add(table->diags, SW_D_TABLE_HEADER, header,
                "no table of parts: the header of one of packages has name, form, "
                "body_along_mm, body_across_mm, height_mm; of devices part, package, pinout");
    return SW_BAD_INPUT;
}

static sw_status add_table(sw_library *library, const sw_input *input, sw_diags *diags) {
    swi_table table = {.library = library, .diags = diags};
    table.csv = swi_csv_new(input, 0, diags);
    if (!table.csv)
        return SW_SYSTEM;
    sw_status status = read_table(&table);
    swi_csv_free(table.csv);
    return status;
}

sw_status sw_library_add_footprint(sw_library *library, const sw_input *input, const char *name, sw_diags *diags) {
    swi_drawn drawn;
    sw_buf row = SW_BUF_INIT;
    sw_status status = swi_drawn_read(library, input, diags, &drawn);
    if (status == SW_OK && !swi_drawn_as_row(&drawn, name ? name : drawn.name, diags, &row))
        status = SW_NO_PLAN;
    if (row.failed)
        status = swi_out_of_memory(diags);
    if (status == SW_OK) /* source 0: nobody wrote this table */
        status = add_table(library, &(sw_input){0, input->name, row.bytes, row.length}, diags);
    sw_buf_free(&row);
    swi_drawn_free(&drawn);
    return status;
}

sw_status sw_library_add(sw_library *library, const sw_input *input, sw_diags *diags) {
    bool footprint = swi_begins_list(input->bytes, input->length, "footprint") ||
                     swi_begins_list(input->bytes, input->length, "module");
    return footprint ? sw_library_add_footprint(library, input, NULL, diags) : add_table(library, input, diags);
}

/* Other data are built in too. */
static bool is_table(const char *name) {
    size_t length = strlen(name);
    return length > 4 && strcmp(name + length - 4, ".csv") == 0;
}

/* Read straight from the library's own bytes: source 0, for there is no file that a
 * diagnostic could point at. */
static sw_status add_built_in(sw_library *library, sw_diags *diags) {
    for (const swi_data_file *file = swi_data_files; file->name; file++) {
        if (!is_table(file->name))
            continue;
        sw_input input = {0, file->name, file->bytes, file->size};
        sw_status status = sw_library_add(library, &input, diags);
        if (status != SW_OK)
            return status;
    }
    return SW_OK;
}

sw_library *sw_library_new(sw_diags *diags) {
    sw_library *library = sw_library_new_empty();
    if (!library) {
        swi_out_of_memory(diags);
        return NULL;
    }
    if (add_built_in(library, diags) != SW_OK) {
        sw_library_free(library);
        return NULL;
    }
    return library;
}
