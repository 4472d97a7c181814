/* Reading circuit tables: rows to parts, pins and nodes. */
#include "formats/csv/csv_rows.h"

#include "base/fault.h"
#include "base/num.h"
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

/* ---- cells ---- */

/* The text of a cell in UTF-8 and on one line: programs break lines inside cells. */
static const char *cell_text(const swi_rows *r, const char *text, size_t length, sw_span span) {
    size_t plain = 0;
    while (plain < length && (unsigned char)(text[plain] - ' ') < 0x7F - ' ')
        plain++;
    if (plain == length)
        return sw_builder_text(r->builder, text, length);
    sw_buf clean = SW_BUF_INIT;
    bool broken = false;
    swi_put_utf8(&clean, text, length);
    for (size_t i = 0; i < clean.length; i++)
        if (clean.bytes[i] >= '\t' && clean.bytes[i] <= '\r') {
            clean.bytes[i] = ' ';
            broken = true;
        }
    if (broken)
        sw_diag_add(r->diags, SW_D_TEXT_CONTROL, span,
                    "a line break or tab in this cell is taken as a blank");
    const char *kept = clean.failed ? "" : sw_builder_text(r->builder, clean.bytes, clean.length);
    if (clean.failed)
        swi_out_of_memory(r->diags);
    sw_buf_free(&clean);
    return kept;
}

/* Blanks round an unquoted cell are for the eye; a ' before what a spreadsheet would
 * take for a formula was put there by us (swi_csv_put). */
static swi_text trimmed(const swi_rows *r, const swi_csv_field *field) {
    bool quoted = r->input->bytes[field->span.offset] == '"' && field->span.length > 0;
    size_t from = 0, to = field->length;
    while (!quoted && from < to && swi_is_space(field->text[from]))
        from++;
    while (!quoted && to > from && swi_is_space(field->text[to - 1]))
        to--;
    if (to - from > 1 && field->text[from] == '\'' && strchr("=+-@\t\r", field->text[from + 1]))
        from++;
    sw_span span = field->span;
    span.offset += (uint32_t)(from + quoted);
    span.length = (uint32_t)(to - from);
    return (swi_text){cell_text(r, field->text + from, to - from, span), span};
}

swi_text swi_rows_cell(const swi_rows *r, swi_field field) {
    int column = r->header.at[field];
    return column >= 0 && column < r->cell_count ? r->cells[column]
                                                 : (swi_text){"", SW_NOWHERE};
}

/* ---- what a row says of its part ---- */

static void differs(swi_rows *r, const sw_part *part, const char *what, swi_text cell,
                    const char *before) {
    sw_place place = {.line = 0};
    sw_diags_place(r->diags, part->span, &place);
    sw_diag_add(r->diags, SW_D_CSV_DIFFERS, cell.span,
                "%s has the %s %s here and %s before (first row: line %u): correct one of them",
                part->ref, what, cell.text, before, place.line);
}

static void set_once(swi_rows *r, const sw_part *part, const char **text, swi_field field) {
    swi_text cell = swi_rows_cell(r, field);
    if (!*cell.text)
        return;
    if (!**text)
        *text = cell.text;
    else if (strcmp(*text, cell.text) != 0)
        differs(r, part, swi_field_names[field], cell, *text);
}

static void bad_word(swi_rows *r, swi_text cell, swi_field field, const char *words) {
    sw_diag_add(r->diags, SW_D_CSV_WORD, cell.span, "%s is no %s; these are: %s", cell.text,
                swi_field_names[field], words);
}

static void set_kind(swi_rows *r, sw_part *part) {
    swi_text cell = swi_rows_cell(r, SWI_KIND);
    if (!*cell.text)
        return;
    if (cell.text[1] || !strchr("RCLDQJMZVIXEFGHBSWTOUKPNYfz?A", *cell.text))
        bad_word(r, cell, SWI_KIND, "R C L D Q J M Z V I X E F G H B S W T O U K P N Y f z ?");
    else if (!part->kind)
        part->kind = *cell.text;
    else if (part->kind != *cell.text)
        differs(r, part, "kind", cell, (const char[2]){part->kind, '\0'});
}

static void set_flags(swi_rows *r, sw_part *part) {
    swi_text cell = swi_rows_cell(r, SWI_FLAGS);
    for (swi_text word; swi_rows_word(r, &cell, &word);) {
        if (!swi_part_flag_read(part, word.text, strlen(word.text)))
            bad_word(r, word, SWI_FLAGS, SWI_FLAG_WORDS);
    }
}

sw_part_id swi_rows_part(swi_rows *r, const char *ref, sw_span span) {
    sw_part_id id = sw_builder_find_part(r->builder, ref);
    if (id.i != SW_NONE)
        return id;
    id = sw_builder_part(r->builder, ref, '\0', span);
    if (id.i != SW_NONE && id.i >= r->part_count)
        r->part_count = id.i + 1;
    return id;
}

sw_part_id swi_rows_row_part(swi_rows *r) {
    swi_text ref = swi_rows_cell(r, SWI_REF);
    if (!*ref.text) {
        sw_diag_add(r->diags, SW_D_CSV_CELL, r->row_span, "this row has no reference: add it");
        return (sw_part_id){SW_NONE};
    }
    sw_part_id id = swi_rows_part(r, ref.text, ref.span);
    sw_part *part = sw_builder_part_at(r->builder, id);
    set_once(r, part, &part->value, SWI_VALUE);
    set_once(r, part, &part->device, SWI_DEVICE);
    set_once(r, part, &part->package, SWI_PACKAGE);
    set_once(r, part, &part->path, SWI_PATH);
    set_kind(r, part);
    set_flags(r, part);
    return id;
}

/* ---- nodes and pins ---- */

/* Nodes are called as spelled first: two spellings that differ in case are one node,
 * and that is told. */
static sw_node_id node_called(swi_rows *r, swi_text name) {
    sw_node_id id = sw_builder_node(r->builder, name.text, true, name.span);
    const sw_node *node = sw_builder_node_at(r->builder, id);
    sw_place place = {.line = 0};
    if (*node->name && strcmp(node->name, name.text) != 0) {
        sw_diags_place(r->diags, node->span, &place);
        sw_diag_add(r->diags, SW_D_CSV_NODE_CASE, name.span,
                    "%s is taken as the node %s of line %u: spell a node in one way", name.text,
                    node->name, place.line);
    }
    return id;
}

static void set_volts(swi_rows *r, sw_node *node) {
    swi_text cell = swi_rows_cell(r, SWI_VOLTS);
    double volts = 0;
    if (!*cell.text)
        return;
    if (swi_real_read(cell.text, strlen(cell.text), &volts) != strlen(cell.text))
        bad_word(r, cell, SWI_VOLTS, "numbers such as 9 or -12");
    else
        node->volts = volts;
}

static void set_node(swi_rows *r, sw_node_id id) {
    sw_node *node = sw_builder_node_at(r->builder, id);
    swi_text rail = swi_rows_cell(r, SWI_RAIL), global = swi_rows_cell(r, SWI_GLOBAL);
    sw_rail was = node->rail;
    if (*rail.text && !swi_rail_read(rail.text, &node->rail))
        bad_word(r, rail, SWI_RAIL, "positive ground negative none");
    else if (was != SW_RAIL_NONE && node->rail != was)
        sw_diag_add(r->diags, SW_D_CSV_DIFFERS, rail.span,
                    "node %s is a %s rail here and a %s one before: correct one of them",
                    node->name, rail.text, swi_rail_name(was));
    set_volts(r, node);
    if (swi_equal_fold(global.text, "yes"))
        node->global = true;
    else if (swi_equal_fold(global.text, "no"))
        node->global = false;
    else if (*global.text)
        bad_word(r, global, SWI_GLOBAL, "yes no");
}

sw_node_id swi_rows_node(swi_rows *r, swi_text name) {
    if (!*name.text)
        return sw_builder_lone_node(r->builder, name.span);
    sw_node_id id = node_called(r, name);
    sw_node *node = sw_builder_node_at(r->builder, id);
    if (strcmp(node->name, "0") == 0)
        node->global = true; /* ground of decks, on every level */
    return id;
}

sw_node_id swi_rows_row_node(swi_rows *r) {
    sw_node_id id = swi_rows_node(r, swi_rows_cell(r, SWI_NODE));
    set_node(r, id);
    return id;
}

/* ---- the columns that are no fields ---- */

static bool belongs(const char *word, const char *owner) {
    size_t length = strlen(owner);
    return swi_equal_fold_n(word, strlen(word) < length ? strlen(word) : length, owner);
}

/* A column "node: class" is the node's whatever the table; without a word before it
 * is of what the row is about. */
static const char *column_owner(const char *word, sw_owner *owner) {
    static const struct { const char *word; sw_owner owner; } words[] = {
        {"part:", SW_OWNER_PART}, {"pin:", SW_OWNER_PIN}, {"node:", SW_OWNER_NODE}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (belongs(word, words[i].word)) {
            *owner = words[i].owner;
            word += strlen(words[i].word);
            break;
        }
    while (*word == ' ')
        word++;
    return word;
}

bool swi_rows_said(swi_rows *r, sw_owner owner, uint32_t index, const char *key, const char *value) {
    bool failed = false;
    r->scratch.length = 0;
    sw_buf_printf(&r->scratch, "%d\x1F%u\x1F%s\x1F%s", (int)owner, index, key, value);
    if (r->scratch.failed)
        return true;
    uint32_t turn = (uint32_t)swi_map_count(r->said);
    bool before = swi_map_add(r->said, r->scratch.bytes, r->scratch.length, turn, &failed) != turn;
    r->scratch.failed |= failed; /* told at the end */
    return before;
}

void swi_rows_properties(swi_rows *r, sw_owner subject, sw_part_id part, sw_pin_id pin,
                         sw_node_id node) {
    for (int i = 0; i < r->cell_count; i++) {
        if (!*r->cells[i].text || i >= r->column_count ||
            swi_csv_field_of(&r->header, i) != SWI_PROPERTY)
            continue;
        sw_owner owner = subject;
        const char *key = column_owner(r->columns[i].text, &owner);
        uint32_t index = owner == SW_OWNER_PART ? part.i : owner == SW_OWNER_PIN ? pin.i : node.i;
        if (index == SW_NONE || swi_rows_said(r, owner, index, key, r->cells[i].text))
            continue;
        sw_builder_property(r->builder, owner, index, key, r->cells[i].text, r->cells[i].span);
    }
}

/* ---- rows ---- */

static bool is_blank(const swi_csv_field *fields, int count) {
    for (int i = 0; i < count; i++)
        for (const char *c = fields[i].text; *c; c++)
            if (!swi_is_space(*c))
                return false;
    return true;
}

static bool is_comment(const swi_rows *r, const swi_csv_field *first) {
    const char *c = first->text;
    while (swi_is_space(*c))
        c++;
    return *c == '#' && r->input->bytes[first->span.offset] != '"';
}

static void check_width(swi_rows *r) {
    for (int i = r->column_count; i < r->cell_count; i++)
        if (*r->cells[i].text) {
            sw_diag_add(r->diags, SW_D_CSV_CELL, r->cells[i].span,
                        "this cell is beyond the last column (%d): put quotes round a cell that "
                        "holds the delimiter, or name the column", r->column_count);
            return;
        }
}

static bool keep_cells(swi_rows *r, const swi_csv_field *fields, int count) {
    if (!SWI_GROW(r->cells, r->cell_room, (size_t)count))
        return false;
    for (int i = 0; i < count; i++)
        r->cells[i] = trimmed(r, &fields[i]);
    r->cell_count = count;
    r->row_span = fields[0].span;
    r->row_span.length =
        fields[count - 1].span.offset + fields[count - 1].span.length - r->row_span.offset;
    return true;
}

/* The next row that says something, into cells; 0 at the end, -1 on an error.
 * *blank tells whether blank rows were passed. */
static int next_row(swi_rows *r, bool *blank) {
    *blank = false;
    for (;;) {
        const swi_csv_field *fields;
        int count = swi_csv_next(r->csv, &fields);
        if (count <= 0)
            return count;
        if (is_blank(fields, count))
            *blank = true;
        else if (!is_comment(r, &fields[0]))
            return keep_cells(r, fields, count) ? count : -1;
    }
}

/* The row in cells as a header. */
static bool try_header(swi_rows *r, swi_header *header) {
    swi_cell *cells = malloc((size_t)r->cell_count * sizeof *cells);
    if (!cells)
        return false;
    for (int i = 0; i < r->cell_count; i++)
        cells[i] = (swi_cell){r->cells[i].text, strlen(r->cells[i].text)};
    swi_csv_header(header, cells, r->cell_count);
    free(cells);
    return true;
}

static bool take_header(swi_rows *r, const swi_header *header) {
    if (!SWI_GROW(r->columns, r->column_room, (size_t)r->cell_count))
        return false;
    memcpy(r->columns, r->cells, (size_t)r->cell_count * sizeof *r->columns);
    r->column_count = r->cell_count;
    r->header = *header;
    return true;
}

/* ---- headers that will not do ---- */

static void put_missing(sw_buf *out, const swi_header *h, const swi_field *fields, int count) {
    const char *before = "";
    for (int i = 0; i < count; i++)
        if (h->at[fields[i]] < 0) {
            sw_buf_printf(out, "%s%s", before, swi_field_names[fields[i]]);
            before = " and ";
        }
}

static void report_missing(swi_rows *r, const swi_header *h, swi_form form) {
    static const swi_field needed[][3] = {
        [SWI_FORM_NODES] = {SWI_NODE, SWI_PINS, SWI_PINS},
        [SWI_FORM_PINS] = {SWI_REF, SWI_PIN, SWI_NODE},
        [SWI_FORM_PARTS] = {SWI_REF, SWI_PINS, SWI_PINS}};
    sw_buf missing = SW_BUF_INIT;
    put_missing(&missing, h, needed[form], form == SWI_FORM_PINS ? 3 : 2);
    sw_diag_add(r->diags, SW_D_CSV_COLUMN, r->row_span,
                "no column is called %s; a circuit table begins with node,pins or ref,pin,node or "
                "ref,value,device,package,pins", missing.bytes ? missing.bytes : "");
    sw_buf_free(&missing);
}

static bool knows_any(const swi_header *h) {
    return h->at[SWI_REF] >= 0 || h->at[SWI_PIN] >= 0 || h->at[SWI_NODE] >= 0 ||
           h->at[SWI_PINS] >= 0;
}

/* The form that a header without form comes nearest to. */
static swi_form nearest(const swi_header *h) {
    if (h->at[SWI_PIN] >= 0 || (h->at[SWI_REF] >= 0 && h->at[SWI_NODE] >= 0))
        return SWI_FORM_PINS;
    return h->at[SWI_NODE] >= 0 ? SWI_FORM_NODES : SWI_FORM_PARTS;
}

static bool check_header(swi_rows *r, const swi_header *h, swi_form wanted) {
    static const char *const names[] = {"", "nodes", "pins", "parts"};
    if (h->doubled >= 0)
        sw_diag_add(r->diags, SW_D_CSV_AMBIGUOUS, r->cells[h->doubled].span,
                    "the columns %s and %s mean the same: take one away or give it another name",
                    r->cells[h->twin].text, r->cells[h->doubled].text);
    else if (h->vague >= 0)
        sw_diag_add(r->diags, SW_D_CSV_AMBIGUOUS, r->cells[h->vague].span,
                    "the column %s may mean %s: call it what it is", r->cells[h->vague].text,
                    h->vague_between);
    else if (h->form == wanted)
        return true;
    else if (h->form != SWI_FORM_NONE)
        sw_diag_add(r->diags, SW_D_CSV_COLUMN, r->row_span,
                    "these are the columns of the form %s, not %s: read it as that",
                    names[h->form], names[wanted]);
    else if (h->at[SWI_PINS] >= 0 && h->at[SWI_REF] >= 0 && h->at[SWI_NODE] >= 0)
        sw_diag_add(r->diags, SW_D_CSV_AMBIGUOUS, r->cells[h->at[SWI_PINS]].span,
                    "with the columns %s, %s and %s a row may be a node or a part: take away one",
                    r->cells[h->at[SWI_REF]].text, r->cells[h->at[SWI_NODE]].text,
                    r->cells[h->at[SWI_PINS]].text);
    else if (!knows_any(h))
        sw_diag_add(r->diags, SW_D_CSV_HEADER, r->row_span,
                    "the first row must name the columns: node,pins or ref,pin,node or "
                    "ref,value,device,package,pins");
    else
        report_missing(r, h, nearest(h));
    return false;
}

/* Below a blank row a table of nodes or pins may be followed by one of parts. */
static bool parts_begin(const swi_header *h) {
    return h->at[SWI_REF] >= 0 && h->at[SWI_NODE] < 0 &&
           (h->at[SWI_VALUE] >= 0 || h->at[SWI_DEVICE] >= 0 || h->at[SWI_PACKAGE] >= 0 ||
            h->at[SWI_KIND] >= 0);
}

/* ---- the whole ---- */

static bool take_rows(swi_rows *r, swi_form form) {
    bool blank;
    int count;
    size_t rows = 0;
    while ((count = next_row(r, &blank)) > 0) {
        if (form != SWI_FORM_PARTS && blank) {
            swi_header header;
            if (!try_header(r, &header))
                return false;
            if (parts_begin(&header)) {
                form = SWI_FORM_PARTS;
                if (!take_header(r, &header))
                    return false;
                continue;
            }
        }
        rows++;
        check_width(r);
        swi_rows_take(r, form);
    }
    if (count == 0 && rows == 0)
        sw_diag_add(r->diags, SW_D_CSV_NO_ROWS, r->row_span,
                    "there is no row below the header: add the circuit");
    return count == 0;
}

static bool read_table(swi_rows *r, swi_form form) {
    bool blank;
    swi_header header;
    int count = next_row(r, &blank);
    if (count == 0)
        sw_diag_add(r->diags, SW_D_CSV_NO_ROWS, (sw_span){r->input->source, 0, 0},
                    "there are only comments: add a header and the circuit");
    return count > 0 && try_header(r, &header) && check_header(r, &header, form) &&
           take_header(r, &header) && take_rows(r, form) && swi_rows_finish(r);
}

static void name_kinds(swi_rows *r) {
    for (uint32_t i = 0; i < r->part_count; i++) {
        sw_part *part = sw_builder_part_at(r->builder, (sw_part_id){i});
        if (!part->kind)
            part->kind = sw_ref_kind(part->ref);
    }
}

sw_status swi_csv_read(swi_form form, const sw_input *input, sw_diags *diags,
                       sw_builder *builder) {
    size_t errors = sw_diags_of(diags, SW_ERROR);
    size_t start = swi_csv_start(input->bytes, input->length);
    char delimiter = swi_csv_detect(input->bytes + start, input->length - start);
    swi_rows r = {.input = input, .diags = diags, .builder = builder, .scratch = SW_BUF_INIT,
                  .csv = swi_csv_new(input, delimiter, diags), .arena = swi_arena_new()};
    r.said = r.arena ? swi_map_new(r.arena, false) : NULL;
    r.known = r.arena ? swi_map_new(r.arena, true) : NULL;
    bool done = r.csv && r.said && r.known && read_table(&r, form);
    name_kinds(&r);
    /* What stopped without an error of its own ran out of memory. */
    if ((!done && sw_diags_of(diags, SW_ERROR) == errors) || r.scratch.failed)
        swi_out_of_memory(diags);
    swi_csv_free(r.csv);
    if (r.said)
        swi_map_free(r.said);
    if (r.known)
        swi_map_free(r.known);
    swi_arena_free(r.arena);
    sw_buf_free(&r.scratch);
    free(r.cells);
    free(r.columns);
    free(r.items);
    return done ? SW_OK : SW_BAD_INPUT;
}
