/* The parts sheet: a table that a person reads and edits. */
#include "circuit/sheet.h"
#include "circuit/bill.h"
#include "base/csv.h"
#include "base/fault.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

const char *const swi_cell_names[SWI_CELL_COUNT] = {
    "ref", "device", "package", "unit", "pins", "value", "place", "omit", "supply"};

static const size_t offsets[SWI_CELL_COUNT] = {
    offsetof(sw_row, ref), offsetof(sw_row, device), offsetof(sw_row, package),
    offsetof(sw_row, unit), offsetof(sw_row, pins), offsetof(sw_row, value),
    offsetof(sw_row, place), offsetof(sw_row, omit), offsetof(sw_row, supply)};

static const char **cell_of(sw_row *row, swi_cell_id cell) {
    return (const char **)(void *)((char *)row + offsets[cell]);
}

const char *swi_row_cell(const sw_row *row, swi_cell_id cell) {
    const char *text = *(const char *const *)(const void *)((const char *)row + offsets[cell]);
    return text ? text : "";
}

sw_sheet *swi_sheet_new(void) {
    sw_sheet *sheet = calloc(1, sizeof *sheet);
    if (sheet && !(sheet->arena = swi_arena_new())) {
        free(sheet);
        return NULL;
    }
    return sheet;
}

void sw_sheet_free(sw_sheet *sheet) {
    if (!sheet)
        return;
    swi_arena_free(sheet->arena);
    free(sheet->rows);
    free(sheet);
}

sw_row *swi_sheet_add(sw_sheet *sheet) {
    if (!SWI_GROW(sheet->rows, sheet->room, sheet->count + 1))
        return NULL;
    sw_row *row = &sheet->rows[sheet->count++];
    *row = (sw_row){.name = "", .note = "", .path = ""};
    for (swi_cell_id cell = 0; cell < SWI_CELL_COUNT; cell++)
        *cell_of(row, cell) = "";
    return row;
}

size_t sw_sheet_count(const sw_sheet *sheet) {
    return sheet->count;
}

const sw_row *sw_sheet_row(const sw_sheet *sheet, size_t index) {
    return index < sheet->count ? &sheet->rows[index] : NULL;
}

/* ---- reading ---- */

/* What a column is: a cell, or …; of a bill a cell, SWI_BILL_REFERENCES or SWI_BILL_NOTHING. */
enum { COLUMN_NAME = SWI_CELL_COUNT, COLUMN_NOTE, COLUMNS };
enum { MOST_FIELDS = 64 };

typedef struct reading {
    sw_diags *diags;
    sw_sheet *sheet;
    int columns[MOST_FIELDS]; /* of each field of the header */
    int column_count;
    bool bill;                /* a bill of materials, no sheet of ours */
    bool good;                /* no fault so far */
    bool out;                 /* of memory */
} reading;

static int column_called(const char *name, size_t length) {
    while (length && swi_is_space(name[length - 1]))
        length--;
    while (length && swi_is_space(*name))
        name++, length--;
    for (int i = 0; i < SWI_CELL_COUNT; i++)
        if (swi_equal_fold_n(name, length, swi_cell_names[i]))
            return i;
    if (swi_equal_fold_n(name, length, "name"))
        return COLUMN_NAME;
    return swi_equal_fold_n(name, length, "note") ? COLUMN_NOTE : -1;
}

static void fault(reading *r, sw_diag_id id, sw_span span, const char *message) {
    sw_diag_add(r->diags, id, span, "%s", message);
    r->good = false;
}

static int name_column(const swi_csv_field *fields, int count) {
    for (int i = 0; i < count; i++)
        if (column_called(fields[i].text, fields[i].length) == COLUMN_NAME)
            return i;
    return -1;
}

static bool is_sheet_header(const swi_csv_field *fields, int count) {
    for (int i = 0; i < count; i++)
        if (swi_bill_is_certain(fields[i].text, fields[i].length))
            return false;
    return name_column(fields, count) >= 0;
}

/* What a bill says beside is for the shop: how many, who makes it, who sells it. */
static bool read_bill_header(reading *r, const swi_csv_field *fields, int count) {
    bool seen[SWI_BILL_NOTHING + 1] = {false};
    int cells = 0;
    for (int i = 0; i < count && i < MOST_FIELDS; i++) {
        int column = swi_bill_column(fields[i].text, fields[i].length);
        cells += column < SWI_CELL_COUNT;
        r->columns[i] = seen[column] ? SWI_BILL_NOTHING : column;
        seen[column] = true;
    }
    r->column_count = count < MOST_FIELDS ? count : MOST_FIELDS;
    int name = seen[SWI_CELL_VALUE] ? -1 : name_column(fields, r->column_count);
    if (name >= 0) /* of the part: what it is worth, or which */
        r->columns[name] = SWI_CELL_VALUE;
    return seen[SWI_BILL_REFERENCES] && cells + (name >= 0) > 0;
}

/* A bill may begin with whose it is and when it was made. */
static bool find_bill_header(reading *r, swi_csv *csv, const swi_csv_field *fields, int count) {
    enum { ABOVE = 20 };
    for (int i = 0; i < ABOVE && count > 0; i++) {
        if (read_bill_header(r, fields, count))
            return true;
        count = swi_csv_next(csv, &fields);
    }
    r->good = count >= 0;
    return false;
}

static void read_header(reading *r, const swi_csv_field *fields, int count) {
    bool seen[COLUMNS] = {false};
    if (count > MOST_FIELDS)
        count = MOST_FIELDS;
    for (int i = 0; i < count; i++) {
        int column = column_called(fields[i].text, fields[i].length);
        r->columns[i] = column;
        if (column < 0)
            fault(r, SW_D_SHEET_COLUMN, fields[i].span,
                  "a parts sheet has no such column: it has name, ref, device, package, unit, "
                  "pins, value, place, omit, supply and note");
        else if (seen[column])
            fault(r, SW_D_SHEET_COLUMN, fields[i].span, "the column is there twice");
        else
            seen[column] = true;
    }
    r->column_count = count;
    if (!seen[COLUMN_NAME])
        fault(r, SW_D_SHEET_COLUMN, fields[0].span,
              "a parts sheet begins with a row of column names, and one of them is name; a bill of "
              "materials with one of them called reference");
}

static const char *kept(reading *r, const swi_csv_field *field) {
    const char *text = field->text;
    size_t length = field->length;
    while (length && swi_is_space(text[length - 1]))
        length--;
    while (length && swi_is_space(*text))
        text++, length--;
    if (length == 0)
        return "";
    const char *copy = swi_arena_text(r->sheet->arena, text, length);
    r->out = r->out || !copy;
    return copy ? copy : "";
}

static void read_row(reading *r, const swi_csv_field *fields, int count) {
    if (count == 1 && fields[0].length == 0)
        return;
    if (count > r->column_count) {
        fault(r, SW_D_SHEET_ROW, fields[r->column_count].span,
              "the row has more cells than the header has columns: text with commas goes into "
              "double quotes");
        return;
    }
    sw_row *row = swi_sheet_add(r->sheet);
    if (!row) {
        r->out = true;
        return;
    }
    row->span = fields[0].span;
    for (int i = 0; i < count; i++) {
        const char *text = kept(r, &fields[i]);
        if (r->columns[i] == COLUMN_NAME) {
            row->name = text;
            row->span = fields[i].span;
        } else if (r->columns[i] == COLUMN_NOTE) {
            row->note = text;
        } else if (r->columns[i] >= 0) {
            *cell_of(row, (swi_cell_id)r->columns[i]) = text;
        }
    }
    if (!*row->name)
        fault(r, SW_D_SHEET_ROW, row->span, "the row does not say which part it speaks of: give "
              "the name of an instance or model, or a pattern with *");
}

/* "x", "1", "DNP": what stands there leaves the part out. */
static const char *omitted(const char *cell) {
    static const char *const no[] = {"", "0", "-", "no", "n", "false"};
    for (size_t i = 0; i < sizeof no / sizeof *no; i++)
        if (swi_equal_fold(cell, no[i]))
            return "";
    return "yes";
}

/* A row of a bill speaks of each of its references; one without any is a heading or a sum. */
static void read_bill_row(reading *r, const swi_csv_field *fields, int count) {
    enum { LONGEST_REFERENCE = 64 };
    char name[LONGEST_REFERENCE];
    const swi_csv_field *references = NULL;
    for (int i = 0; i < count && i < r->column_count; i++)
        if (r->columns[i] == SWI_BILL_REFERENCES)
            references = &fields[i];
    for (swi_bill_list list = {0}; references && !r->out && swi_bill_next(&list, references->text, name, sizeof name);) {
        sw_row *row = swi_sheet_add(r->sheet);
        const char *copy = row ? swi_arena_text(r->sheet->arena, name, strlen(name)) : NULL;
        r->out = r->out || !copy;
        if (!copy)
            return;
        row->name = copy;
        row->span = references->span;
        for (int i = 0; i < count && i < r->column_count; i++)
            if (r->columns[i] < SWI_CELL_COUNT)
                *cell_of(row, (swi_cell_id)r->columns[i]) = kept(r, &fields[i]);
        row->omit = omitted(row->omit);
    }
}

/* false: the first row is no header, nor is there one of a bill further down. */
static bool read_all(reading *r, swi_csv *csv) {
    const swi_csv_field *fields;
    int count = swi_csv_next(csv, &fields);
    r->bill = count > 0 && !is_sheet_header(fields, count);
    if (r->bill && !find_bill_header(r, csv, fields, count))
        return false;
    if (count > 0 && !r->bill)
        read_header(r, fields, count);
    while (r->good && !r->out && (count = swi_csv_next(csv, &fields)) > 0)
        (r->bill ? read_bill_row : read_row)(r, fields, count);
    r->good = r->good && count == 0;
    return true;
}

/* The first row, read anew, tells what is wrong with it. */
static void refuse_header(reading *r, const sw_input *input) {
    const swi_csv_field *fields;
    if (!r->good)
        return; /* a quote is open: told */
    swi_csv *csv = swi_csv_new(input, 0, r->diags);
    int count = csv ? swi_csv_next(csv, &fields) : 0;
    if (count > 0)
        read_header(r, fields, count);
    r->out = r->out || !csv;
    r->good = false;
    swi_csv_free(csv);
}

sw_status sw_sheet_read(const sw_input *input, sw_diags *diags, sw_sheet **out) {
    *out = NULL;
    reading r = {.diags = diags, .sheet = swi_sheet_new(), .good = true};
    swi_csv *csv = r.sheet ? swi_csv_new(input, 0, diags) : NULL;
    if (csv && !read_all(&r, csv))
        refuse_header(&r, input);
    swi_csv_free(csv);
    if (csv && r.good && !r.out) {
        *out = r.sheet;
        return SW_OK;
    }
    sw_sheet_free(r.sheet);
    return !csv || r.out ? swi_out_of_memory(diags) : SW_BAD_INPUT;
}

/* ---- writing ---- */

void sw_sheet_write(const sw_sheet *sheet, sw_buf *out) {
    swi_csv_put(out, true, "name", false);
    for (swi_cell_id cell = 0; cell < SWI_CELL_COUNT; cell++)
        swi_csv_put(out, false, swi_cell_names[cell], false);
    swi_csv_put(out, false, "note", false);
    swi_csv_end(out);
    for (size_t i = 0; i < sheet->count; i++) {
        swi_csv_put(out, true, sheet->rows[i].name, false);
        for (swi_cell_id cell = 0; cell < SWI_CELL_COUNT; cell++)
            swi_csv_put(out, false, swi_row_cell(&sheet->rows[i], cell), false);
        swi_csv_put(out, false, sheet->rows[i].note, false);
        swi_csv_end(out);
    }
}
