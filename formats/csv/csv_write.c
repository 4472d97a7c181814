/* Writing circuit tables, and telling what they have no place for. */
#include "formats/csv/csv.h"

#include "base/arena.h"
#include "base/csv.h"
#include "base/fault.h"
#include "base/num.h"
#include "base/text.h"
#include "circuit/circuit.h"
#include "circuit/losses.h"
#include "circuit/order.h"

#include <stdlib.h>
#include <string.h>

/* The columns of properties of one kind of owner. */
typedef struct keys {
    const char **key;
    uint32_t count;
} keys;

typedef struct writer {
    const sw_circuit *c;
    sw_diags *diags;
    sw_buf *out;
    swi_order order;
    swi_arena *arena;
    const char **node_names;         /* by node; "" for a lone pin without a name */
    const sw_row **rows;             /* by part: what fitting is to do with it; NULL */
    keys keys[SW_OWNER_NODE + 1];
    bool has[SWI_FIELD_COUNT];       /* fields with a column */
    bool guard, first, failed;
    swi_form form;
} writer;

static void put(writer *w, const char *text) {
    swi_csv_put(w->out, w->first, text, w->guard);
    w->first = false;
}

static void end_row(writer *w) {
    swi_csv_end(w->out);
    w->first = true;
}

/* ---- what there is to write ---- */

static void see_parts(writer *w) {
    char flags[SWI_FLAGS_LENGTH];
    for (uint32_t i = 0; i < w->c->part_count; i++) {
        const sw_part *part = &w->c->parts[i];
        w->has[SWI_KIND] |= part->kind != sw_ref_kind(part->ref);
        w->has[SWI_PATH] |= *part->path != '\0';
        w->has[SWI_FLAGS] |= *swi_part_flags(part, flags) != '\0';
    }
    for (uint32_t i = 0; i < w->c->pin_count; i++) {
        w->has[SWI_NAME] |= *w->c->pins[i].name != '\0';
        w->has[SWI_TYPE] |= w->c->pins[i].type != SW_PIN_UNKNOWN;
    }
    for (uint32_t i = 0; i < w->c->node_count; i++) {
        const sw_node *node = &w->c->nodes[i];
        w->has[SWI_RAIL] |= node->rail != SW_RAIL_NONE;
        w->has[SWI_VOLTS] |= node->volts < 0 || node->volts > 0;
        w->has[SWI_GLOBAL] |= node->global != (strcmp(node->name, "0") == 0);
    }
}

/* Rows that only place a part, or leave it out, have columns. */
static bool fits_columns(const sw_row *row) {
    const char *const others[] = {row->ref, row->device, row->package, row->unit, row->pins, row->supply,
                                  row->value, row->path, row->note ? row->note : ""};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (*others[i])
            return false;
    return *row->place || *row->omit;
}

static bool see_rows(writer *w) {
    const sw_circuit *c = w->c;
    w->rows = swi_arena_array(w->arena, c->part_count, sizeof *w->rows);
    for (uint32_t i = 0; w->rows && i < c->part_count; i++)
        w->rows[i] = NULL;
    for (uint32_t i = 0; w->rows && i < c->row_count; i++) {
        const sw_row *row = &c->rows[i];
        uint32_t part = sw_circuit_part(c, row->name).i;
        if (part == SW_NONE || w->rows[part] || !fits_columns(row))
            continue;
        w->rows[part] = row;
        w->has[SWI_PLACE] |= *row->place != '\0';
        w->has[SWI_OMIT] |= *row->omit != '\0';
    }
    return w->rows != NULL;
}

static int by_text(const void *left, const void *right) {
    const char *a = *(const char *const *)left, *b = *(const char *const *)right;
    int order = sw_natural_compare(a, b);
    return order ? order : strcmp(a, b);
}

static bool see_keys(writer *w) {
    const sw_circuit *c = w->c;
    for (int owner = SW_OWNER_PART; owner <= SW_OWNER_NODE; owner++) {
        keys *k = &w->keys[owner];
        k->key = swi_arena_array(w->arena, c->property_count, sizeof *k->key);
        if (!k->key)
            return false;
        for (uint32_t i = 0; i < c->property_count; i++)
            if ((int)c->properties[i].owner == owner)
                k->key[k->count++] = c->properties[i].key;
        qsort(k->key, k->count, sizeof *k->key, by_text);
        uint32_t kept = 0;
        for (uint32_t i = 0; i < k->count; i++)
            if (kept == 0 || strcmp(k->key[kept - 1], k->key[i]) != 0)
                k->key[kept++] = k->key[i];
        k->count = kept;
    }
    return true;
}

/* ---- names of nodes: none twice, not even in another case ---- */

static const char *free_name(writer *w, swi_map *names, const sw_node *node, uint32_t number) {
    sw_buf text = SW_BUF_INIT;
    bool failed = false;
    for (unsigned copy = 2;; copy++) {
        text.length = 0;
        sw_buf_printf(&text, "%s~%u", node->name, copy);
        if (text.failed || swi_map_add(names, text.bytes, text.length, number, &failed) == number)
            break;
    }
    const char *kept =
        text.failed || failed ? NULL : swi_arena_text(w->arena, text.bytes, text.length);
    sw_buf_free(&text);
    if (kept)
        sw_diag_add(w->diags, SW_D_CSV_RENAMED, node->span,
                    "node %s is written as %s, for another node's name differs from it only in "
                    "case", node->name, kept);
    return kept;
}

static bool name_nodes(writer *w) {
    const sw_circuit *c = w->c;
    swi_map *names = swi_map_new(w->arena, true);
    bool failed = !names;
    for (uint32_t i = 0; !failed && i < c->node_count; i++) {
        uint32_t id = w->order.nodes[i].i;
        const sw_node *node = &c->nodes[id];
        w->node_names[id] = "";
        if (!node->named && node->pin_count == 1)
            continue;
        w->node_names[id] = node->name;
        if (swi_map_add(names, node->name, strlen(node->name), id, &failed) != id && !failed)
            failed = !(w->node_names[id] = free_name(w, names, node, id));
    }
    if (names)
        swi_map_free(names);
    return !failed;
}

/* ---- what is left out ---- */

/* Properties without a cell of their own: a second of one key, one without text, and
 * those of owners that the form has no rows for. */
static void lose_properties(swi_losses *l, const swi_order *order, bool pins, bool nodes) {
    for (uint32_t i = 0; i < order->property_count; i++) {
        const sw_property *p = order->properties[i];
        const sw_property *before = i ? order->properties[i - 1] : NULL;
        bool again = before && before->owner == p->owner && before->index == p->index &&
                     strcmp(before->key, p->key) == 0;
        if (again || !*p->value || p->owner == SW_OWNER_CIRCUIT ||
            (p->owner == SW_OWNER_PIN && !pins) || (p->owner == SW_OWNER_NODE && !nodes))
            swi_lose_property(l, p);
    }
}

static void lose_rows(swi_losses *l, const writer *w) {
    for (uint32_t i = 0; i < w->c->row_count; i++) {
        const sw_row *row = &w->c->rows[i];
        uint32_t part = sw_circuit_part(w->c, row->name).i;
        if (part == SW_NONE || w->rows[part] != row)
            swi_lose(l, SWI_LOSS_ROW, row->span, "%s", row->name);
    }
}

static bool tell_losses(const writer *w) {
    bool pins = w->form == SWI_FORM_PINS, nodes = w->form != SWI_FORM_PARTS;
    swi_losses l = {.circuit = w->c, .format = "this table"};
    l.hint[SWI_LOSS_ROW] = "write them as a parts sheet with fit";
    l.hint[SWI_LOSS_PIN_NAME] = l.hint[SWI_LOSS_PIN_TYPE] = l.hint[SWI_LOSS_RAIL] =
        l.hint[SWI_LOSS_GLOBAL] = "the form pins has it";
    if (*w->c->title)
        swi_lose(&l, SWI_LOSS_TITLE, SW_NOWHERE, "%s", w->c->title);
    swi_lose_models(&l);
    lose_rows(&l, w);
    bool whole = swi_lose_numbers(&l);
    swi_lose_rail_reasons(&l, !nodes);
    lose_properties(&l, &w->order, pins, nodes);
    if (!pins)
        swi_lose_pin_words(&l);
    if (!nodes)
        swi_lose_rails(&l);
    return swi_losses_tell(&l, w->diags, SW_D_CSV_LEFT_OUT) && whole;
}

/* ---- headers ---- */

static void put_field_names(writer *w, const swi_field *fields, int count) {
    for (int i = 0; i < count; i++)
        if (w->has[fields[i]])
            put(w, swi_field_names[fields[i]]);
}

static void put_key_names(writer *w, sw_owner owner, sw_owner subject) {
    static const char *const words[] = {"", "part: ", "pin: ", "node: "};
    for (uint32_t i = 0; i < w->keys[owner].count; i++) {
        const char *key = w->keys[owner].key[i];
        sw_buf text = SW_BUF_INIT;
        if (owner != subject || swi_csv_reserved(key))
            sw_buf_puts(&text, words[owner]);
        sw_buf_puts(&text, key);
        w->failed |= text.failed;
        put(w, text.bytes ? text.bytes : "");
        sw_buf_free(&text);
    }
}

static const swi_field part_more[] = {SWI_KIND, SWI_PATH, SWI_FLAGS, SWI_PLACE, SWI_OMIT};
enum { PART_MORE = sizeof part_more / sizeof *part_more };
static const swi_field pin_more[] = {SWI_NAME, SWI_TYPE};
static const swi_field node_more[] = {SWI_RAIL, SWI_VOLTS, SWI_GLOBAL};

/* ---- cells ---- */

static void put_keys(writer *w, sw_owner owner, uint32_t index, bool say) {
    uint32_t count, at = 0;
    const sw_property *const *list = swi_order_properties(&w->order, owner, index, &count);
    for (uint32_t i = 0; i < w->keys[owner].count; i++) {
        const char *key = w->keys[owner].key[i];
        while (at < count && by_text(&list[at]->key, &key) < 0)
            at++;
        bool here = say && at < count && strcmp(list[at]->key, key) == 0;
        put(w, here ? list[at]->value : "");
    }
}

static void put_part_base(writer *w, const sw_part *part) {
    put(w, part->value);
    put(w, part->device);
    put(w, part->package);
}

static void put_part_more(writer *w, uint32_t part_index) {
    const sw_part *part = &w->c->parts[part_index];
    const sw_row *row = w->rows[part_index];
    char flags[SWI_FLAGS_LENGTH];
    if (w->has[SWI_KIND])
        put(w, (const char[2]){part->kind, '\0'});
    if (w->has[SWI_PATH])
        put(w, part->path);
    if (w->has[SWI_FLAGS]) {
        swi_part_flags(part, flags);
        put(w, *flags ? flags + 1 : "");
    }
    if (w->has[SWI_PLACE])
        put(w, row ? row->place : "");
    if (w->has[SWI_OMIT])
        put(w, row ? row->omit : "");
}

static void put_volts(writer *w, double volts) {
    sw_buf text = SW_BUF_INIT;
    if (volts < 0 || volts > 0)
        swi_real_write(&text, volts);
    w->failed |= text.failed;
    put(w, text.bytes ? text.bytes : "");
    sw_buf_free(&text);
}

static void put_node_more(writer *w, const sw_node *node) {
    if (w->has[SWI_RAIL])
        put(w, node->rail ? swi_rail_name(node->rail) : "");
    if (w->has[SWI_VOLTS])
        put_volts(w, node->volts);
    if (w->has[SWI_GLOBAL])
        put(w, node->global ? "yes" : "no");
}

/* ---- the form pins ---- */

static void put_pin_row(writer *w, const sw_part *part, uint32_t part_index, sw_pin_id id,
                        bool first) {
    const sw_pin *pin = &w->c->pins[id.i];
    const sw_node *node = &w->c->nodes[pin->node.i];
    put(w, part->ref);
    put(w, pin->number);
    put(w, w->node_names[pin->node.i]);
    put_part_base(w, part);
    put_part_more(w, part_index);
    if (w->has[SWI_NAME])
        put(w, pin->name);
    if (w->has[SWI_TYPE])
        put(w, pin->type == SW_PIN_UNKNOWN ? "" : sw_pin_type_name(pin->type));
    put_node_more(w, node);
    put_keys(w, SW_OWNER_PART, part_index, first);
    put_keys(w, SW_OWNER_PIN, id.i, true);
    put_keys(w, SW_OWNER_NODE, pin->node.i, true);
    end_row(w);
}

/* A part without pins has a row all the same. */
static void put_bare_row(writer *w, const sw_part *part, uint32_t part_index) {
    put(w, part->ref);
    put(w, "");
    put(w, "");
    put_part_base(w, part);
    put_part_more(w, part_index);
    for (int f = SWI_NAME; f <= SWI_GLOBAL; f++)
        if (w->has[f])
            put(w, "");
    put_keys(w, SW_OWNER_PART, part_index, true);
    put_keys(w, SW_OWNER_PIN, 0, false);
    put_keys(w, SW_OWNER_NODE, 0, false);
    end_row(w);
}

static bool put_pins(writer *w) {
    static const swi_field fields[] = {SWI_REF, SWI_PIN, SWI_NODE, SWI_VALUE, SWI_DEVICE,
                                       SWI_PACKAGE};
    put_field_names(w, fields, 6);
    put_field_names(w, part_more, PART_MORE);
    put_field_names(w, pin_more, 2);
    put_field_names(w, node_more, 3);
    put_key_names(w, SW_OWNER_PART, SW_OWNER_PIN);
    put_key_names(w, SW_OWNER_PIN, SW_OWNER_PIN);
    put_key_names(w, SW_OWNER_NODE, SW_OWNER_PIN);
    end_row(w);
    for (uint32_t i = 0; i < w->c->part_count; i++) {
        uint32_t index = w->order.parts[i].i;
        const sw_part *part = &w->c->parts[index];
        if (part->pin_count == 0)
            put_bare_row(w, part, index);
        for (uint32_t k = 0; k < part->pin_count; k++)
            put_pin_row(w, part, index, w->order.part_pins[part->first_pin.i + k], k == 0);
    }
    return true;
}

/* ---- lists ---- */

/* Appends a word to a list in a cell; false, reported, when the list could not be
 * read back. */
static bool add_word(writer *w, sw_buf *list, const sw_part *part, const sw_pin *pin,
                     const char *word, bool clear) {
    if (!clear || word[strcspn(word, " \t\r\n\v\f,;")]) {
        sw_diag_add(w->diags, SW_D_CSV_LIST, pin->span,
                    "pin %s of %s cannot be told in a list: write the form pins", pin->number,
                    part->ref);
        return false;
    }
    if (list->length)
        sw_buf_putc(list, ' ');
    sw_buf_puts(list, word);
    return true;
}

/* Whether REF.PIN can only be read as this pin among the circuit's references. */
static bool reads_alone(const writer *w, const char *word, size_t ref_length) {
    swi_reading readings[SWI_MOST_READINGS];
    int count = swi_csv_split_pin(word, strlen(word), readings), known = 0;
    bool ours = false;
    for (int i = 0; i < count; i++)
        if (swi_circuit_part_n(w->c, word, readings[i].ref_length).i != SW_NONE) {
            known++;
            ours |= readings[i].ref_length == ref_length && word[ref_length] == '.';
        }
    return known == 1 && ours;
}

static bool add_node_pin(writer *w, sw_buf *list, sw_pin_id id) {
    const sw_pin *pin = &w->c->pins[id.i];
    const sw_part *part = &w->c->parts[pin->part.i];
    sw_buf word = SW_BUF_INIT;
    sw_buf_printf(&word, "%s.%s", part->ref, pin->number);
    w->failed |= word.failed;
    bool done = !word.failed && add_word(w, list, part, pin, word.bytes,
                                         reads_alone(w, word.bytes, strlen(part->ref)));
    sw_buf_free(&word);
    return done;
}

static bool add_part_pin(writer *w, sw_buf *list, sw_pin_id id) {
    const sw_pin *pin = &w->c->pins[id.i];
    sw_buf word = SW_BUF_INIT;
    sw_buf_printf(&word, "%s=%s", pin->number, w->node_names[pin->node.i]);
    w->failed |= word.failed;
    bool done = !word.failed && add_word(w, list, &w->c->parts[pin->part.i], pin, word.bytes,
                                         *pin->number && !strchr(pin->number, '='));
    sw_buf_free(&word);
    return done;
}

static bool put_list(writer *w, const sw_pin_id *pins, uint32_t count,
                     bool (*add)(writer *, sw_buf *, sw_pin_id)) {
    sw_buf list = SW_BUF_INIT;
    bool done = true;
    for (uint32_t i = 0; done && i < count; i++)
        done = add(w, &list, pins[i]);
    put(w, list.bytes ? list.bytes : "");
    w->failed |= list.failed;
    sw_buf_free(&list);
    return done;
}

/* ---- the forms nodes and parts ---- */

static bool put_part_rows(writer *w, bool pins) {
    static const swi_field fields[] = {SWI_REF, SWI_VALUE, SWI_DEVICE, SWI_PACKAGE, SWI_PINS};
    put_field_names(w, fields, pins ? 5 : 4);
    put_field_names(w, part_more, PART_MORE);
    put_key_names(w, SW_OWNER_PART, SW_OWNER_PART);
    end_row(w);
    for (uint32_t i = 0; i < w->c->part_count; i++) {
        uint32_t index = w->order.parts[i].i;
        const sw_part *part = &w->c->parts[index];
        put(w, part->ref);
        put_part_base(w, part);
        if (pins && !put_list(w, w->order.part_pins + part->first_pin.i, part->pin_count,
                              add_part_pin))
            return false;
        put_part_more(w, index);
        put_keys(w, SW_OWNER_PART, index, true);
        end_row(w);
    }
    return true;
}

static bool put_nodes(writer *w) {
    static const swi_field fields[] = {SWI_NODE, SWI_PINS};
    put_field_names(w, fields, 2);
    put_field_names(w, node_more, 3);
    put_key_names(w, SW_OWNER_NODE, SW_OWNER_NODE);
    end_row(w);
    for (uint32_t i = 0; i < w->c->node_count; i++) {
        uint32_t index = w->order.nodes[i].i;
        const sw_node *node = &w->c->nodes[index];
        put(w, w->node_names[index]);
        if (!put_list(w, w->order.node_pins + node->first_pin, node->pin_count, add_node_pin))
            return false;
        put_node_more(w, node);
        put_keys(w, SW_OWNER_NODE, index, true);
        end_row(w);
    }
    end_row(w);
    return put_part_rows(w, false);
}

static bool prepare(writer *w) {
    for (int f = SWI_REF; f <= SWI_PACKAGE; f++)
        w->has[f] = true;
    w->arena = swi_arena_new();
    if (!w->arena || !swi_order_work_out(&w->order, w->c))
        return false;
    w->node_names = swi_arena_array(w->arena, w->c->node_count, sizeof *w->node_names);
    if (!w->node_names || !name_nodes(w) || !see_keys(w) || !see_rows(w))
        return false;
    see_parts(w);
    return true;
}

sw_status swi_csv_write(swi_form form, const sw_document *document,
                        const sw_write_options *options, sw_diags *diags, sw_buf *out) {
    writer w = {.c = document->circuit, .diags = diags, .out = out, .form = form,
                .guard = options->spreadsheet, .first = true};
    bool done = prepare(&w);
    if (!done)
        w.failed = true;
    else
        done = form == SWI_FORM_PINS    ? put_pins(&w)
               : form == SWI_FORM_NODES ? put_nodes(&w)
                                        : put_part_rows(&w, true);
    if (done && !tell_losses(&w))
        w.failed = true;
    swi_order_free(&w.order);
    swi_arena_free(w.arena);
    if (w.failed)
        return swi_out_of_memory(diags);
    return done ? SW_OK : SW_USAGE;
}
