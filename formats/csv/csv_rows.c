/* Rows of the three circuit tables, and the lists of pins in their cells. */
#include "formats/csv/csv_rows.h"

#include <stdio.h>
#include <string.h>

static const sw_pin_id no_pin = {SW_NONE};
static const sw_part_id no_part = {SW_NONE};
static const sw_node_id no_node = {SW_NONE};

/* ---- lists ---- */

static bool parts_words(char c) {
    return swi_is_space(c) || c == ',' || c == ';';
}

bool swi_rows_word(swi_rows *r, swi_text *list, swi_text *word) {
    size_t from = 0, to;
    while (parts_words(list->text[from]))
        from++;
    for (to = from; list->text[to] && !parts_words(list->text[to]);)
        to++;
    if (to == from)
        return false;
    sw_span span = {list->span.source, list->span.offset + (uint32_t)from, (uint32_t)(to - from)};
    *word = (swi_text){sw_builder_text(r->builder, list->text + from, to - from), span};
    list->text += to;
    list->span.offset += (uint32_t)to;
    return *word->text != '\0';
}

/* ---- what fitting is to do with a part ---- */

/* As a row of a parts sheet, or a line `*@ K1 place=off` of a deck, says it. */
static void state_part(swi_rows *r, sw_part_id id) {
    swi_text place = swi_rows_cell(r, SWI_PLACE), omit = swi_rows_cell(r, SWI_OMIT);
    if ((!*place.text && !*omit.text) || swi_rows_said(r, SW_OWNER_PART, id.i, place.text, omit.text))
        return;
    sw_row row = {.name = sw_builder_part_at(r->builder, id)->ref, .place = place.text, .omit = omit.text,
                  .span = *place.text ? place.span : omit.span};
    sw_builder_row(r->builder, &row);
}

/* ---- a row a pin ---- */

static void set_pin_words(swi_rows *r, sw_pin_id id) {
    swi_text name = swi_rows_cell(r, SWI_NAME), word = swi_rows_cell(r, SWI_TYPE);
    sw_pin_type type = SW_PIN_UNKNOWN;
    if (*word.text && !sw_pin_type_read(word.text, strlen(word.text), &type))
        sw_diag_add(r->diags, SW_D_CSV_WORD, word.span,
                    "%s is no pin type; these are: in out bidirectional open positive negative "
                    "ground passive nc keep-open", word.text);
    sw_pin *pin = sw_builder_pin_at(r->builder, id);
    pin->name = name.text;
    pin->type = type;
}

static void take_pin_row(swi_rows *r) {
    sw_part_id part = swi_rows_row_part(r);
    swi_text number = swi_rows_cell(r, SWI_PIN), node_name = swi_rows_cell(r, SWI_NODE);
    if (part.i == SW_NONE)
        return;
    if (!*number.text && *node_name.text) {
        sw_diag_add(r->diags, SW_D_CSV_CELL, node_name.span,
                    "which pin of %s is on the node %s? Fill in the pin",
                    swi_rows_cell(r, SWI_REF).text, node_name.text);
        return;
    }
    sw_node_id node = no_node;
    sw_pin_id pin = no_pin;
    if (*number.text) { /* else a part without pins */
        node = swi_rows_row_node(r);
        pin = sw_builder_pin(r->builder, part, number.text, "", node, number.span);
        set_pin_words(r, pin);
    }
    state_part(r, part);
    swi_rows_properties(r, SW_OWNER_PIN, part, pin, node);
}

/* ---- a row a part ---- */

/* Where the pin ends in 1=VCC or 1:VCC; NULL: this is no pin and node. */
static const char *end_of_pin(const char *word) {
    const char *end = strchr(word, '=');
    if (!end)
        end = strchr(word, ':');
    return end && end > word ? end : NULL;
}

static void take_pin_of_part(swi_rows *r, sw_part_id part, swi_text word, const char *end) {
    size_t length = (size_t)(end - word.text);
    const char *number = sw_builder_text(r->builder, word.text, length);
    sw_span span = word.span, node_span = word.span;
    span.length = (uint32_t)length;
    node_span.offset += (uint32_t)length + 1;
    node_span.length -= (uint32_t)length + 1;
    swi_text name = {sw_builder_text(r->builder, end + 1, strlen(end + 1)), node_span};
    sw_builder_pin(r->builder, part, number, "", swi_rows_node(r, name), span);
}

/* How many words the list has when none of them names a pin, else 0. */
static uint32_t count_bare(swi_rows *r, swi_text list) {
    uint32_t count = 0;
    for (swi_text word; swi_rows_word(r, &list, &word); count++)
        if (end_of_pin(word.text))
            return 0;
    return count;
}

static void take_nodes_in_order(swi_rows *r, sw_part_id part, swi_text list) {
    uint32_t count = 0;
    for (swi_text word; swi_rows_word(r, &list, &word);) {
        char number[12];
        int length = snprintf(number, sizeof number, "%u", (unsigned)++count);
        sw_builder_pin(r->builder, part, sw_builder_text(r->builder, number, (size_t)length), "",
                       swi_rows_node(r, word), word.span);
    }
}

static void report_no_pin(swi_rows *r, const sw_part *part, swi_text word) {
    char kind = part->kind ? part->kind : sw_ref_kind(part->ref);
    const char *lead = kind == 'D' ? "A" : kind == 'C' ? "+" : NULL, *other = kind == 'D' ? "K" : "-";
    if (lead)
        sw_diag_add(r->diags, SW_D_CSV_PIN, word.span,
                    "%s tells no pin and node, and it matters which lead of %s this is: write %s=%s or %s=%s", word.text,
                    part->ref, lead, word.text, other, word.text);
    else
        sw_diag_add(r->diags, SW_D_CSV_PIN, word.span,
                    "%s tells no pin and node: write 1=VCC, or 1= for a pin that is on nothing", word.text);
}

/* ---- a row a part, a column a pin ---- */

static void take_named_columns(swi_rows *r, sw_part_id part) {
    for (int i = 0; i < r->cell_count && i < r->column_count; i++) {
        swi_text node = r->cells[i], word = r->columns[i];
        if (!*node.text || !swi_csv_is_pin_column(&r->header, i))
            continue;
        swi_cell pin = swi_csv_pin_of_column((swi_cell){word.text, strlen(word.text)});
        sw_builder_pin(r->builder, part, sw_builder_text(r->builder, pin.text, pin.length), "", swi_rows_node(r, node), node.span);
    }
}

static uint32_t count_columns(const swi_rows *r) {
    uint32_t count = 0;
    for (int i = 0; i < r->cell_count && i < r->column_count; i++)
        count += swi_csv_is_pin_column(&r->header, i) && *r->cells[i].text;
    return count;
}

/* Columns that are only in order; a cell may name its pin as lists do, A=VCC. */
static void take_ordered_columns(swi_rows *r, sw_part_id id) {
    const sw_part *part = sw_builder_part_at(r->builder, id);
    bool by_order = sw_pins_by_order(part, count_columns(r));
    unsigned order = 0;
    for (int i = 0; i < r->cell_count && i < r->column_count; i++) {
        swi_text word = r->cells[i];
        if (!swi_csv_is_pin_column(&r->header, i) || (order++, !*word.text))
            continue;
        const char *end = end_of_pin(word.text);
        if (!end && !by_order) {
            report_no_pin(r, part, word);
            return;
        }
        char number[12];
        int length = snprintf(number, sizeof number, "%u", order);
        if (end)
            take_pin_of_part(r, id, word, end);
        else
            sw_builder_pin(r->builder, id, sw_builder_text(r->builder, number, (size_t)length), "", swi_rows_node(r, word), word.span);
    }
}

static void take_listed_pins(swi_rows *r, sw_part_id id) {
    swi_text list = swi_rows_cell(r, SWI_PINS), word;
    uint32_t bare = count_bare(r, list);
    const sw_part *part = sw_builder_part_at(r->builder, id);
    if (bare && sw_pins_by_order(part, bare))
        take_nodes_in_order(r, id, list);
    else
        while (swi_rows_word(r, &list, &word)) {
            const char *end = end_of_pin(word.text);
            if (!end) { /* once a row: a list of nodes alone would be an error a word */
                report_no_pin(r, part, word);
                break;
            }
            take_pin_of_part(r, id, word, end);
        }
}

static void take_part_row(swi_rows *r) {
    sw_part_id id = swi_rows_row_part(r);
    if (id.i == SW_NONE)
        return;
    if (!r->header.pin_columns)
        take_listed_pins(r, id);
    else if (r->header.in_order)
        take_ordered_columns(r, id);
    else
        take_named_columns(r, id);
    state_part(r, id);
    swi_rows_properties(r, SW_OWNER_PART, id, no_pin, no_node);
}

/* ---- a row a node ---- */

static void know(swi_rows *r, const char *ref, size_t length) {
    bool failed = false;
    swi_map_add(r->known, ref, length, 1, &failed);
    if (failed)
        r->scratch.failed = true; /* told at the end */
}

static void keep_item(swi_rows *r, swi_text word, sw_node_id node) {
    swi_reading readings[SWI_MOST_READINGS];
    int count = swi_csv_split_pin(word.text, strlen(word.text), readings);
    if (count == 0) {
        sw_diag_add(r->diags, SW_D_CSV_PIN, word.span,
                    "%s is no pin of a part: write reference and pin as U1.3, U1-3 or U1(3)",
                    word.text);
        return;
    }
    if (count == 1)
        know(r, word.text, readings[0].ref_length);
    if (SWI_GROW(r->items, r->item_room, r->item_count + 1))
        r->items[r->item_count++] = (swi_item){word, node};
    else
        r->scratch.failed = true;
}

static void take_node_row(swi_rows *r) {
    swi_text name = swi_rows_cell(r, SWI_NODE), list = swi_rows_cell(r, SWI_PINS);
    sw_node_id node = *name.text ? swi_rows_row_node(r) : no_node;
    size_t before = r->item_count;
    for (swi_text word; swi_rows_word(r, &list, &word);)
        keep_item(r, word, node);
    if (r->item_count == before && *name.text)
        sw_diag_add(r->diags, SW_D_CSV_NODE_EMPTY, name.span,
                    "the node %s has no pins and is left out", name.text);
    swi_rows_properties(r, SW_OWNER_NODE, no_part, no_pin, node);
}

void swi_rows_take(swi_rows *r, swi_form form) {
    switch (form) {
    case SWI_FORM_PINS: take_pin_row(r); break;
    case SWI_FORM_PARTS: take_part_row(r); break;
    case SWI_FORM_NODES: take_node_row(r); break;
    case SWI_FORM_NONE: break;
    }
}

/* ---- pins of the lists, when all references are known ---- */

static bool is_known(swi_rows *r, const char *text, const swi_reading *reading) {
    if (swi_map_get(r->known, text, reading->ref_length, 0))
        return true;
    const char *ref = sw_builder_text(r->builder, text, reading->ref_length);
    return sw_builder_find_part(r->builder, ref).i != SW_NONE;
}

/* The one reading whose reference is known; NULL, reported, when there are several
 * or none. */
static const swi_reading *choose(swi_rows *r, swi_text pin, const swi_reading *readings,
                                 int count) {
    const swi_reading *known = NULL, *other = NULL;
    if (count == 1)
        return readings;
    for (int i = 0; i < count; i++)
        if (is_known(r, pin.text, &readings[i])) {
            other = known;
            known = &readings[i];
        }
    if (known && !other)
        return known;
    const swi_reading *a = known ? other : &readings[0], *b = known ? known : &readings[count - 1];
    sw_diag_add(r->diags, SW_D_CSV_PIN_AMBIGUOUS, pin.span,
                "%s may be pin %.*s of %.*s or pin %.*s of %.*s: %s", pin.text,
                (int)a->pin_length, pin.text + a->pin_from, (int)a->ref_length, pin.text,
                (int)b->pin_length, pin.text + b->pin_from, (int)b->ref_length, pin.text,
                known ? "use the form ref,pin,node"
                      : "list the parts in a table ref,value,device,package below a blank row");
    return NULL;
}

static void take_item(swi_rows *r, const swi_item *item) {
    swi_reading readings[SWI_MOST_READINGS];
    const char *text = item->pin.text;
    int count = swi_csv_split_pin(text, strlen(text), readings);
    const swi_reading *reading = choose(r, item->pin, readings, count);
    if (!reading)
        return;
    const char *ref = sw_builder_text(r->builder, text, reading->ref_length);
    const char *number = sw_builder_text(r->builder, text + reading->pin_from,
                                         reading->pin_length);
    sw_part_id part = swi_rows_part(r, ref, item->pin.span);
    sw_node_id node = item->node.i != SW_NONE ? item->node
                                              : sw_builder_lone_node(r->builder, item->pin.span);
    sw_builder_pin(r->builder, part, number, "", node, item->pin.span);
}

bool swi_rows_finish(swi_rows *r) {
    for (size_t i = 0; i < r->item_count; i++)
        take_item(r, &r->items[i]);
    return !r->scratch.failed;
}
