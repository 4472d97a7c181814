/* formats/spice/spice_keep.c: what a deck has a place for, and telling what it has none
 * for.
 */
#include "spice_write.h"

#include <string.h>

#include "base/num.h"
#include "circuit/circuit.h"

/* ---- cells of `*@` lines ---- */

/* The quote that a cell's text stands in; NUL when no quote will do. */
static char quote_of(const char *text) {
    size_t length = strlen(text);
    for (size_t i = 0; i < length; i++)
        if ((unsigned char)text[i] < 0x20) return '\0';
    if (strchr(text, '"') == NULL) return '"';
    return strchr(text, '\'') == NULL && swi_spice_content(text, length) == length ? '\'' : '\0';
}

bool swi_cell_keeps(const char *text) {
    return quote_of(text) != '\0';
}

void swi_put_cell(swi_writer *w, const char *key, const char *value) {
    bool plain = swi_spells_word(value) && strchr(value, '$') == NULL;
    char quote = quote_of(value);
    sw_buf_printf(w->out, " %s=", key);
    if (plain) {
        sw_buf_puts(w->out, value);
        return;
    }
    sw_buf_putc(w->out, quote != '\0' ? quote : '"');
    for (size_t i = 0; value[i] != '\0'; i++)
        sw_buf_putc(w->out, quote == '\0' && (value[i] == '"' || (unsigned char)value[i] < 0x20)
                                ? ' '
                                : value[i]);
    sw_buf_putc(w->out, quote != '\0' ? quote : '"');
}

/* ---- properties ---- */

static bool is_one_of(const char *key, const char *const *keys) {
    for (; *keys != NULL; keys++)
        if (strcmp(key, *keys) == 0) return true;
    return false;
}

/* A model's name means another where its scope is said only while models differ. */
static bool scope_is_needed(const swi_writer *w, uint32_t part, const char *scope) {
    const sw_circuit *c = w->circuit;
    const char *name = c->parts[part].device;
    const sw_model *mine = NULL;
    bool differs = false;
    for (uint32_t i = 0; i < c->model_count; i++)
        if (strcmp(c->models[i].path, scope) == 0 && swi_equal_fold(c->models[i].name, name))
            mine = &c->models[i];
    for (uint32_t i = 0; mine != NULL && i < c->model_count; i++)
        differs = differs || (swi_equal_fold(c->models[i].name, name) &&
                              (strcmp(c->models[i].text, mine->text) != 0 ||
                               strcmp(c->models[i].type, mine->type) != 0));
    return differs;
}

bool swi_keeps_option(const swi_writer *w, uint32_t part, const sw_property *property) {
    static const char *const others[] = {"spice.control", "spice.value", "spice.scope",
                                         "spice.card", NULL};
    char letter = w->parts[part].letter;
    const swi_letter *form = swi_letter_find(letter);
    bool options = letter == 'X' || (form != NULL && form->after != SWI_AFTER_TEXT);
    if (!options || strncmp(property->key, "spice.", 6) != 0 || is_one_of(property->key, others))
        return false;
    if (strcmp(property->key, "spice.args") == 0)
        return letter != 'X' && swi_spells_text(property->value) &&
               strpbrk(property->value, "=\"'{}") == NULL &&
               swi_option_comes_back(w, part, property);
    return swi_spells_word(property->key + 6) && property->key[6] != '$' &&
           swi_spells_word(property->value) && swi_option_comes_back(w, part, property);
}

static bool keeps_property(const swi_writer *w, uint32_t part, const sw_property *property) {
    char letter = w->parts[part].letter;
    const swi_letter *form = swi_letter_find(letter);
    double value = 0;
    bool coded = false;
    if (strcmp(property->key, "spice.control") == 0)
        return letter == 'K' || (form != NULL && form->controls > 0);
    if (strcmp(property->key, "spice.value") == 0)
        return form != NULL && form->after == SWI_AFTER_VALUE &&
               swi_spice_value(property->value, strlen(property->value), &value, &coded);
    if (strcmp(property->key, "spice.scope") == 0)
        return letter != 'X' && scope_is_needed(w, part, property->value);
    return swi_keeps_option(w, part, property);
}

bool swi_keeps_card(const sw_property *property) {
    return property->owner == SW_OWNER_CIRCUIT && strcmp(property->key, "spice.card") == 0 &&
           property->value[0] == '.' && swi_spells_text(property->value);
}

static void lose_properties(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    for (uint32_t i = 0; i < c->property_count; i++) {
        const sw_property *property = &c->properties[i];
        bool kept = property->owner == SW_OWNER_PART ? keeps_property(w, property->index, property)
                                                     : swi_keeps_card(property);
        if (!kept) swi_lose_property(&w->losses, property);
    }
}

/* ---- parts ---- */

bool swi_by_position(const swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    char number[16];
    for (uint32_t i = 0; p->flat && i < p->pin_count; i++)
        if (strcmp(w->circuit->pins[p->first_pin.i + i].number, swi_decimal(number, i + 1)) != 0)
            return false;
    return p->flat;
}

/* A source's text stands on its line, whatever quotes it has. */
static bool keeps_value(const swi_writer *w, uint32_t part) {
    const char *value = w->circuit->parts[part].value;
    char letter = w->parts[part].letter;
    const swi_letter *form = swi_letter_find(letter);
    bool text = letter != 'X' && (form == NULL || form->after == SWI_AFTER_TEXT);
    return swi_cell_keeps(value) || (text && swi_spells_text(value));
}

static void lose_of_part(swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    if (!swi_cell_keeps(p->path) || strcmp(p->path, SWI_NO_PATH) == 0)
        swi_lose_part(&w->losses, SWI_LOSS_PATH, part);
    if (!keeps_value(w, part)) swi_lose_part(&w->losses, SWI_LOSS_VALUE, part);
    if (!swi_cell_keeps(p->device)) swi_lose_part(&w->losses, SWI_LOSS_DEVICE, part);
    if (!swi_cell_keeps(p->package)) swi_lose_part(&w->losses, SWI_LOSS_PACKAGE, part);
}

/* ---- pins and nodes ---- */

static void lose_of_pins(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    for (uint32_t i = 0; i < c->pin_count; i++) {
        const sw_pin *pin = &c->pins[i];
        if (pin->name[0] != '\0')
            swi_lose_pin(&w->losses, SWI_LOSS_PIN_NAME, i);
        if (pin->type != SW_PIN_UNKNOWN) swi_lose_pin(&w->losses, SWI_LOSS_PIN_TYPE, i);
    }
}

static void lose_of_nodes(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    for (uint32_t i = 0; i < c->node_count; i++) {
        bool named = swi_row_can_name(w->nodes[i]);
        if (c->nodes[i].rail != SW_RAIL_NONE && !named)
            swi_lose_node(&w->losses, SWI_LOSS_RAIL, i);
        if ((c->nodes[i].volts < 0 || c->nodes[i].volts > 0) && !named)
            swi_lose_node(&w->losses, SWI_LOSS_VOLTS, i);
        if (!c->nodes[i].global && strcmp(w->nodes[i], "0") == 0)
            swi_lose_node(&w->losses, SWI_LOSS_GLOBAL, i);
    }
}

/* ---- rows ---- */

bool swi_row_can_name(const char *name) {
    return swi_spells_word(name) && strchr(name, '$') == NULL;
}

bool swi_keeps_row(const swi_writer *w, const sw_row *row) {
    const sw_circuit *c = w->circuit;
    const char *const cells[] = {row->ref,    row->device, row->package, row->unit, row->pins,
                                 row->supply, row->value,  row->place,   row->omit, row->note};
    bool kept = swi_row_can_name(row->name);
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++)
        kept = kept && swi_cell_keeps(cells[i]);
    /* The part that bears the ref would lose it: two lines of one ref name nothing. */
    if (kept && row->ref[0] != '\0' && sw_circuit_part(c, row->ref).i != SW_NONE) return false;
    if (!kept || !swi_is_rename(row) || sw_circuit_part(c, row->name).i == SW_NONE) return kept;
    /* A line with a ref alone would give a part that name. */
    bool shared = false;
    for (uint32_t i = 0; i < c->row_count; i++)
        shared = shared || (&c->rows[i] != row && swi_equal_fold(c->rows[i].ref, row->ref));
    return shared;
}

/* A name inside an instance that is no part's: it would speak of all there are. */
static bool row_widens(const swi_writer *w, const sw_row *row) {
    if (row->path[0] == '\0' || strchr(row->name, '*') != NULL) return false;
    sw_buf full = SW_BUF_INIT;
    sw_buf_printf(&full, "%s.%s", row->path, row->name);
    bool part = !full.failed && sw_circuit_part(w->circuit, full.bytes).i != SW_NONE;
    sw_buf_free(&full);
    return !part;
}

/* ---- the whole ---- */

/* As the first line is read: without stars and blanks before it, blanks made one. */
static bool keeps_title(const char *title) {
    size_t length = strlen(title);
    if (title[0] == '*' || title[0] == ' ' || (length > 0 && title[length - 1] == ' ')) return false;
    for (size_t i = 0; i < length; i++)
        if ((unsigned char)title[i] < 0x20 || (title[i] == ' ' && title[i + 1] == ' ')) return false;
    return true;
}

static void lose_models(swi_writer *w) {
    for (uint32_t i = 0; i < w->circuit->model_count; i++) {
        const sw_model *model = &w->circuit->models[i];
        bool text = model->text[0] == '\0' || swi_spells_text(model->text);
        if (!text || !swi_spells_word(model->type) || !swi_cell_keeps(model->name) ||
            !swi_cell_keeps(model->path))
            swi_lose(&w->losses, SWI_LOSS_MODEL, model->span, "%s", model->name);
    }
}

bool swi_tell_lost(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    w->losses.circuit = c;
    w->losses.format = "a deck";
    w->losses.hint[SWI_LOSS_RAIL] = "where nothing else tells them, state --rail NODE=KIND, for "
                                    "numbers of nodes begin with rails";
    if (!keeps_title(c->title)) swi_lose(&w->losses, SWI_LOSS_TITLE, SW_NOWHERE, "%s", c->title);
    lose_properties(w);
    lose_models(w);
    for (uint32_t i = 0; i < c->part_count; i++)
        lose_of_part(w, i);
    lose_of_pins(w);
    lose_of_nodes(w);
    bool whole = swi_lose_numbers(&w->losses);
    swi_lose_rail_reasons(&w->losses, false);
    for (uint32_t i = 0; i < c->row_count; i++)
        if (!swi_keeps_row(w, &c->rows[i]) || row_widens(w, &c->rows[i]))
            swi_lose(&w->losses, SWI_LOSS_ROW, c->rows[i].span, "%s", c->rows[i].name);
    return swi_losses_tell(&w->losses, w->diags, SW_D_SPICE_WRITE_LOST) && whole;
}
