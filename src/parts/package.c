/* src/parts/package.c: rows of a table of packages. */
#include "library.h"

#include "base/fault.h"
#include "base/num.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

/* Nothing that stands on a board is further across than this, in pitches. */
enum { FARTHEST = 500 };

/* A package in the making. */
typedef struct draft {
    const swi_table *table;
    sw_package package;
    const char **pins;
    sw_offset *points;
    uint16_t *joined;
    size_t room; /* pins that the three arrays can hold */
} draft;

static sw_status bad(const swi_table *table, sw_diag_id id, const swi_csv_field *cell,
                     const char *todo) {
    sw_diag_add(table->diags, id, cell->span, "\"%s\": %s", cell->text, todo);
    return SW_BAD_INPUT;
}

static sw_status make_room(draft *d, size_t pins, const swi_csv_field *cell) {
    sw_diags *diags = d->table->diags;
    if (pins > sw_diags_limits(diags)->pins_per_part || pins > UINT16_MAX) {
        sw_diag_add(diags, SW_D_LIMIT_PINS, cell->span,
                    "a package of more than %lu pins: split it",
                    (unsigned long)sw_diags_limits(diags)->pins_per_part);
        return SW_BAD_INPUT;
    }
    swi_arena *arena = d->table->library->arena;
    d->pins = swi_arena_array(arena, pins, sizeof *d->pins);
    d->points = swi_arena_array(arena, pins, sizeof *d->points);
    d->joined = swi_arena_array(arena, pins, sizeof *d->joined);
    d->room = pins;
    return d->pins && d->points && d->joined ? SW_OK : swi_out_of_memory(diags);
}

static bool add_pin(draft *d, const char *name, size_t length, long row, long column) {
    size_t i = d->package.pin_count++;
    d->pins[i] = swi_keep(d->table->library, name, length);
    d->points[i] = (sw_offset){(int16_t)row, (int16_t)column};
    return d->pins[i] != NULL;
}

static bool add_numbered(draft *d, long row, long column) {
    char number[16];
    int length = snprintf(number, sizeof number, "%d", d->package.pin_count + 1);
    return add_pin(d, number, (size_t)length, row, column);
}

/* "8:3" and the like: `count` numbers within [least, most]; the whole rest. */
static bool take_numbers(const char *text, int count, long least, long most, long *out) {
    for (int i = 0; i < count; i++) {
        char number[8];
        size_t length = strcspn(text, ":");
        if (length >= sizeof number || (text[length] == ':') != (i < count - 1))
            return false;
        memcpy(number, text, length);
        number[length] = '\0';
        if (!swi_int_read(number, least, most, &out[i]))
            return false;
        text += length + 1;
    }
    return true;
}

/* Counter-clockwise from top left, seen from above (JEDEC MS-001). */
static sw_status form_dip(draft *d, const char *text, const swi_csv_field *cell) {
    long n[2];
    if (!take_numbers(text, 2, 1, FARTHEST, n))
        return bad(d->table, SW_D_PACKAGE_FORM, cell, "say dip:PINS:ROWS-APART, as in dip:8:3");
    if (n[0] % 2)
        return bad(d->table, SW_D_PACKAGE_PINS, cell, "a DIP has an even number of pins");
    sw_status status = make_room(d, (size_t)n[0], cell);
    if (status != SW_OK)
        return status;
    d->package.form = SW_FORM_DIP;
    d->package.pitch = (uint16_t)n[1];
    bool kept = true;
    for (long i = 0; i < n[0]; i++)
        kept &= i < n[0] / 2 ? add_numbered(d, i, 0) : add_numbered(d, n[0] - 1 - i, n[1]);
    return kept ? SW_OK : swi_out_of_memory(d->table->diags);
}

static sw_status form_line(draft *d, const char *text, const swi_csv_field *cell) {
    long n[2];
    if (!take_numbers(text, 2, 1, FARTHEST, n) || (n[0] - 1) * n[1] > FARTHEST)
        return bad(d->table, SW_D_PACKAGE_FORM, cell, "say line:PINS:PITCH, as in line:3:1");
    sw_status status = make_room(d, (size_t)n[0], cell);
    if (status != SW_OK)
        return status;
    d->package.form = SW_FORM_LINE;
    d->package.pitch = (uint16_t)n[1];
    bool kept = true;
    for (long i = 0; i < n[0]; i++)
        kept &= add_numbered(d, i * n[1], 0);
    return kept ? SW_OK : swi_out_of_memory(d->table->diags);
}

static sw_status form_pair(draft *d, const char *text, const swi_csv_field *cell) {
    long n[3];
    if (!take_numbers(text, 3, 1, UINT8_MAX, n) || n[0] > n[1] || n[1] > n[2])
        return bad(d->table, SW_D_PACKAGE_FORM, cell,
                   "say pair:LEAST:USUAL:MOST, spans in rising order, as in pair:3:4:10");
    sw_status status = make_room(d, 2, cell);
    if (status != SW_OK)
        return status;
    d->package.form = SW_FORM_PAIR;
    d->package.span_least = (uint8_t)n[0];
    d->package.span_usual = (uint8_t)n[1];
    d->package.span_most = (uint8_t)n[2];
    return add_numbered(d, 0, 0) && add_numbered(d, n[1], 0) ? SW_OK
                                                             : swi_out_of_memory(d->table->diags);
}

/* PIN@row,column */
static bool take_point(const char *word, size_t length, size_t *name_length, long *row,
                       long *column) {
    char place[24];
    const char *at = memchr(word, '@', length);
    if (!at || at == word)
        return false;
    *name_length = (size_t)(at - word);
    size_t rest = length - *name_length - 1;
    if (rest >= sizeof place)
        return false;
    memcpy(place, at + 1, rest);
    place[rest] = '\0';
    char *comma = strchr(place, ',');
    if (!comma)
        return false;
    *comma = '\0';
    return swi_int_read(place, -FARTHEST, FARTHEST, row) &&
           swi_int_read(comma + 1, -FARTHEST, FARTHEST, column);
}

static sw_status add_point(draft *d, const char *word, size_t length, const swi_csv_field *cell) {
    size_t name;
    long row, column;
    sw_diags *diags = d->table->diags;
    sw_span span = swi_piece(cell, word, length);
    if (!take_point(word, length, &name, &row, &column)) {
        sw_diag_add(diags, SW_D_PACKAGE_FORM, span,
                    "\"%.*s\": say PIN@ROW,COLUMN, as in 2@1,0 (at most %d pitches away)",
                    (int)length, word, FARTHEST);
        return SW_BAD_INPUT;
    }
    for (size_t i = 0; i < d->package.pin_count; i++) {
        bool same_pin = swi_equal_fold_n(word, name, d->pins[i]);
        if (same_pin || (d->points[i].row == row && d->points[i].column == column)) {
            sw_diag_add(diags, SW_D_PACKAGE_PINS, span, "\"%.*s\": %s pin %s already",
                        (int)length, word, same_pin ? "there is a" : "this hole holds",
                        d->pins[i]);
            return SW_BAD_INPUT;
        }
    }
    return add_pin(d, word, name, row, column) ? SW_OK : swi_out_of_memory(diags);
}

static sw_status form_points(draft *d, const char *text, const swi_csv_field *cell) {
    const char *word, *at = text;
    size_t length, pins = 0;
    while (swi_next_word(&at, &word, &length))
        pins++;
    if (pins == 0)
        return bad(d->table, SW_D_PACKAGE_FORM, cell, "say points:PIN@ROW,COLUMN …");
    d->package.form = SW_FORM_POINTS;
    sw_status status = make_room(d, pins, cell);
    for (at = text; status == SW_OK && swi_next_word(&at, &word, &length);)
        status = add_point(d, word, length, cell);
    /* Positions count from the first pin. */
    for (size_t i = pins; status == SW_OK && i-- > 0;) {
        d->points[i].row = (int16_t)(d->points[i].row - d->points[0].row);
        d->points[i].column = (int16_t)(d->points[i].column - d->points[0].column);
    }
    return status;
}

static sw_status read_form(draft *d) {
    static const struct {
        const char *word;
        sw_status (*read)(draft *, const char *, const swi_csv_field *);
    } forms[] = {{"dip:", form_dip}, {"line:", form_line}, {"pair:", form_pair},
                 {"points:", form_points}};
    swi_csv_field cell = swi_cell(d->table, SWI_FORM);
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        size_t length = strlen(forms[i].word);
        if (cell.length > length && swi_equal_fold_n(cell.text, length, forms[i].word))
            return forms[i].read(d, cell.text + length, &cell);
    }
    return bad(d->table, SW_D_PACKAGE_FORM, &cell, "a form is dip:, line:, pair: or points:");
}

static sw_status read_turns(draft *d) {
    swi_csv_field cell = swi_cell(d->table, SWI_TURNS);
    const char *at = cell.text, *word;
    size_t length;
    unsigned turns = 0;
    while (swi_next_word(&at, &word, &length)) {
        if (swi_equal_fold_n(word, length, "0"))
            turns |= SW_TURN_0;
        else if (swi_equal_fold_n(word, length, "90"))
            turns |= SW_TURN_90;
        else if (swi_equal_fold_n(word, length, "180"))
            turns |= SW_TURN_180;
        else if (swi_equal_fold_n(word, length, "270"))
            turns |= SW_TURN_270;
        else
            return bad(d->table, SW_D_PACKAGE_FIELD, &cell, "turns are some of 0 90 180 270");
    }
    d->package.turns = (uint8_t)(turns ? turns
                                       : SW_TURN_0 | SW_TURN_90 | SW_TURN_180 | SW_TURN_270);
    return SW_OK;
}

static sw_status read_mm(draft *d, swi_column column, double *out) {
    enum { LONGEST_MM = 2000 };
    swi_csv_field cell = swi_cell(d->table, column);
    double mm;
    if (cell.length == 0 || swi_real_read(cell.text, cell.length, &mm) != cell.length ||
        mm <= 0 || mm > LONGEST_MM)
        return bad(d->table, SW_D_PACKAGE_FIELD, &cell,
                   "a size in millimetres is wanted, as in 7.62 (up to 2000)");
    *out = mm;
    return SW_OK;
}

/* "ALONG ACROSS"; either may be negative. */
static sw_status read_shift(draft *d) {
    enum { FARTHEST_MM = 1000 };
    swi_csv_field cell = swi_cell(d->table, SWI_SHIFT);
    double *mm[] = {&d->package.shift_along_mm, &d->package.shift_across_mm};
    const char *at = cell.text, *word;
    size_t length, count = 0;
    for (; swi_next_word(&at, &word, &length); count++)
        if (count == 2 || swi_real_read(word, length, mm[count]) != length || *mm[count] > FARTHEST_MM ||
            *mm[count] < -FARTHEST_MM)
            return bad(d->table, SW_D_PACKAGE_FIELD, &cell,
                       "say by how many millimetres the body is to the right of its leads' middle and below it, as in 0 12.5");
    return count == 1 ? bad(d->table, SW_D_PACKAGE_FIELD, &cell, "say both: along the strips and across them, as in 0 12.5")
                      : SW_OK;
}

static sw_status read_face(draft *d) {
    static const char *const sides[] = {"none", "up", "right", "down", "left"};
    swi_csv_field cell = swi_cell(d->table, SWI_FACE);
    for (int i = 0; cell.length && i < 5; i++)
        if (swi_equal_fold(cell.text, sides[i])) {
            d->package.face = (sw_face)i;
            return SW_OK;
        }
    return cell.length ? bad(d->table, SW_D_PACKAGE_FIELD, &cell,
                             "a face is up, right, down or left: the side at turn 0 that "
                             "must be got at")
                       : SW_OK;
}

static sw_status read_outline(draft *d) {
    swi_csv_field shape = swi_cell(d->table, SWI_SHAPE), under = swi_cell(d->table, SWI_UNDER);
    sw_package *p = &d->package;
    sw_status status = read_mm(d, SWI_ALONG, &p->along_mm);
    if (status == SW_OK)
        status = read_mm(d, SWI_ACROSS, &p->across_mm);
    if (status == SW_OK)
        status = read_mm(d, SWI_HEIGHT, &p->height_mm);
    if (status == SW_OK)
        status = read_shift(d);
    if (status != SW_OK)
        return status;
    if (swi_equal_fold(shape.text, "round"))
        p->shape = SW_SHAPE_ROUND;
    else if (shape.length && !swi_equal_fold(shape.text, "rect"))
        return bad(d->table, SW_D_PACKAGE_FIELD, &shape, "a shape is rect or round");
    if (p->shape == SW_SHAPE_ROUND && p->along_mm != p->across_mm)
        return bad(d->table, SW_D_PACKAGE_FIELD, &shape,
                   "what is round is as long along the strips as across them");
    if (swi_equal_fold(under.text, "flat-link"))
        p->under = SW_UNDER_FLAT_LINK;
    else if (swi_equal_fold(under.text, "sleeved-link"))
        p->under = SW_UNDER_SLEEVED_LINK;
    else if (under.length && !swi_equal_fold(under.text, "none"))
        return bad(d->table, SW_D_PACKAGE_FIELD, &under,
                   "beneath may go none, flat-link or sleeved-link");
    return read_face(d);
}

/* "1+2 3+4": groups of pins joined inside.  "tab=2" speaks of what is no lead. */
static sw_status read_joined(draft *d) {
    swi_csv_field cell = swi_cell(d->table, SWI_JOINED);
    const char *at = cell.text, *word;
    size_t length;
    uint16_t group = 0;
    while (swi_next_word(&at, &word, &length)) {
        if (memchr(word, '=', length))
            continue;
        group++;
        for (const char *end = word + length; word < end;) {
            size_t pin = strcspn(word, "+ ");
            d->package.pins = d->pins;
            char name[32];
            int index = -1;
            if (pin < sizeof name) {
                memcpy(name, word, pin);
                name[pin] = '\0';
                index = sw_package_pin_index(&d->package, name);
            }
            if (index < 0 || d->joined[index])
                return bad(d->table, SW_D_PACKAGE_PINS, &cell,
                           "say PIN+PIN …, each a pin of this package and named once");
            d->joined[index] = group;
            word += pin + 1;
        }
    }
    return SW_OK;
}

static sw_status check_used(draft *d, const sw_package *package) {
    const sw_device *device = swi_device_at_odds(d->table->library, package);
    if (!device)
        return SW_OK;
    swi_csv_field cell = swi_cell(d->table, SWI_NAME);
    sw_diag_add(d->table->diags, SW_D_PACKAGE_PINS, cell.span,
                "this %s has other pins than the one that device %s stands in: give it "
                "a name of its own", package->name, device->name);
    return SW_BAD_INPUT;
}

static sw_status put_package(draft *d) {
    sw_library *library = d->table->library;
    sw_package *p = swi_arena_alloc(library->arena, sizeof *p);
    if (!p)
        return swi_out_of_memory(d->table->diags);
    *p = d->package;
    sw_status status = check_used(d, p);
    if (status != SW_OK)
        return status;
    uint32_t slot;
    status = swi_shelf_put(&library->packages, p->name, p, &slot, d->table->diags);
    const char *at = p->aliases, *word;
    size_t length;
    while (status == SW_OK && swi_next_word(&at, &word, &length))
        status = swi_shelf_alias(&library->packages, word, length, slot, d->table->diags);
    return status;
}

sw_status swi_package_row(const swi_table *table) {
    draft d = {.table = table};
    swi_csv_field name = swi_cell(table, SWI_NAME), source = swi_cell(table, SWI_SOURCE);
    swi_csv_field aliases = swi_cell(table, SWI_ALIAS);
    if (name.length == 0)
        return bad(table, SW_D_PACKAGE_FIELD, &name, "a package wants a name");
    d.package.name = swi_keep(table->library, name.text, name.length);
    d.package.source = swi_keep(table->library, source.text, source.length);
    d.package.aliases = swi_keep(table->library, aliases.text, aliases.length);
    if (!d.package.name || !d.package.source || !d.package.aliases)
        return swi_out_of_memory(table->diags);
    d.package.upright = name.length > 3 && swi_equal_fold(name.text + name.length - 3, "-UP");
    sw_status status = read_form(&d);
    if (status == SW_OK)
        status = read_turns(&d);
    if (status == SW_OK)
        status = read_outline(&d);
    if (status == SW_OK)
        status = read_joined(&d);
    if (status != SW_OK)
        return status;
    d.package.pins = d.pins;
    d.package.points = d.points;
    d.package.joined = d.joined;
    return put_package(&d);
}
