/* formats/spice/spice_write_part.c: one part, one line, and what the line cannot
 * say as a `*@` line behind it. */
#include "spice_write.h"

#include <string.h>

#include "circuit/circuit.h"

/* ---- which letter ---- */

static const sw_pin *pin_at(const swi_writer *w, uint32_t part, uint32_t i) {
    return &w->circuit->pins[w->circuit->parts[part].first_pin.i + i];
}

static const sw_pin *pin_called(const swi_writer *w, uint32_t part, const char *name) {
    for (uint32_t i = 0; i < w->circuit->parts[part].pin_count; i++)
        if (strcmp(pin_at(w, part, i)->number, name) == 0) return pin_at(w, part, i);
    return NULL;
}

static const sw_property *property_of(const swi_writer *w, uint32_t part, const char *key) {
    for (uint32_t i = w->first_property[part]; i < w->first_property[part + 1]; i++)
        if (strcmp(w->circuit->properties[i].key, key) == 0) return &w->circuit->properties[i];
    return NULL;
}

/* E and G: the two nodes, then as many pairs of controlling nodes as there are. */
static bool is_controlled(const swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    if (p->pin_count < 2 || p->pin_count % 2 != 0 || strcmp(pin_at(w, part, 0)->number, "+") != 0 ||
        strcmp(pin_at(w, part, 1)->number, "-") != 0)
        return false;
    if (p->pin_count == 2)
        return swi_spells_text(p->value) &&
               (p->value[0] == '{' || (strpbrk(p->value, "={") != NULL && swi_is_alpha(*p->value)));
    for (uint32_t i = 2; i < p->pin_count; i++) {
        const char *number = pin_at(w, part, i)->number;
        size_t n = strlen(number);
        if (number[0] != 'C' || number[n - 1] != (i % 2 == 0 ? '+' : '-')) return false;
    }
    return true;
}

static bool spells_controls(const sw_property *controls) {
    bool good = controls != NULL && swi_spells_text(controls->value);
    return good && strpbrk(controls->value, "\"'{}") == NULL;
}

char swi_letter_of(const swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    bool controls = spells_controls(property_of(w, part, "spice.control"));
    const swi_letter *form = swi_letter_find(p->kind);
    if (p->kind == 'K') return p->pin_count == 0 && controls ? 'K' : 'X';
    if (p->kind == 'E' || p->kind == 'G') return is_controlled(w, part) ? p->kind : 'X';
    if (form == NULL || p->terminal || p->flat || (form->controls > 0 && !controls)) return 'X';
    if (p->kind == 'V' && p->value[0] == '\0' && !p->spice)
        return 'X'; /* not stated: a V line without a value would say 0 V */
    bool optional = p->kind == 'Q' || p->kind == 'M';
    if (p->pin_count != form->pins && !(optional && p->pin_count + 1 == form->pins)) return 'X';
    for (uint32_t i = 0; i < p->pin_count; i++)
        if (pin_called(w, part, form->names[i]) == NULL) return 'X';
    return p->kind;
}

/* ---- texts that speak of other parts ---- */

static const char *written_name(const swi_writer *w, const char *ref) {
    sw_part_id id = sw_circuit_part(w->circuit, ref);
    return id.i != SW_NONE ? w->parts[id.i].name : ref;
}

static void put_named(swi_writer *w, sw_buf *out, const char *text, size_t length) {
    char *ref = swi_arena_text(w->arena, text, length);
    w->failed = w->failed || ref == NULL;
    sw_buf_puts(out, ref != NULL ? written_name(w, ref) : "");
}

/* The text with the written names of the sources in its i(…). */
static void put_source_text(swi_writer *w, const char *text) {
    sw_buf out = SW_BUF_INIT;
    size_t at = 0;
    char before = ' ';
    while (text[at] != '\0') {
        bool current = swi_lower(text[at]) == 'i' && text[at + 1] == '(' && !swi_is_alpha(before) &&
                       !swi_is_digit(before) && before != '_';
        before = text[at];
        sw_buf_putc(&out, text[at++]);
        if (!current) continue;
        size_t length = strcspn(text + at + 1, "),");
        sw_buf_putc(&out, text[at]);
        put_named(w, &out, text + at + 1, length);
        at += length + 1;
    }
    w->failed = w->failed || out.failed;
    if (out.length > 0 && !out.failed) swi_put_text(w, out.bytes);
    swi_drop(w, &out);
}

static void put_controls(swi_writer *w, uint32_t part, bool couples) {
    const sw_property *controls = property_of(w, part, "spice.control");
    const char *at = controls != NULL ? controls->value : "";
    size_t count = 1;
    for (size_t i = 0; at[i] != '\0'; i++)
        count += at[i] == ' ' ? 1 : 0;
    if (!couples && count > 1) {
        sw_buf poly = SW_BUF_INIT;
        sw_buf_printf(&poly, "POLY(%zu)", count);
        swi_put_string(w, poly.bytes != NULL ? poly.bytes : "");
        swi_drop(w, &poly);
    }
    while (*at != '\0') {
        size_t length = strcspn(at, " ");
        sw_buf name = SW_BUF_INIT;
        put_named(w, &name, at, length);
        swi_put_string(w, name.bytes != NULL ? name.bytes : "");
        swi_drop(w, &name);
        at += length + (at[length] == ' ' ? 1 : 0);
    }
}

/* ---- what is said of a part beside its line ---- */

typedef struct beside {
    const char *value, *device; /* NULL: the line says it */
} beside;

/* What reading the line gives the part besides its pins; row: with a `*@` line. */
static sw_part reads_as(const swi_writer *w, uint32_t part, char letter, bool row) {
    const sw_part *p = &w->circuit->parts[part];
    char kind = letter != 'X' ? letter : row ? sw_ref_kind(p->ref) : 'X';
    return (sw_part){.kind = kind, .value = p->value, .spice = letter == 'V',
                     .flat = swi_by_position(w, part)};
}

/* As swi_rename_take works it out. */
static bool path_comes_back(const sw_part *p, bool row) {
    const char *point = row && swi_upper(p->ref[0]) == 'X' ? strrchr(p->ref, '.') : NULL;
    size_t length = point != NULL ? (size_t)(point - p->ref) : 0;
    return strlen(p->path) == length && strncmp(p->path, p->ref, length) == 0;
}

static void put_row(swi_writer *w, uint32_t part, char letter, beside more) {
    const sw_part *p = &w->circuit->parts[part];
    const char *name = w->parts[part].name;
    char flags[SWI_FLAGS_LENGTH], others[SWI_FLAGS_LENGTH];
    sw_part bare = reads_as(w, part, letter, false), reads = reads_as(w, part, letter, true);
    bool flagged = strcmp(swi_part_flags(p, flags), swi_part_flags(&reads, others)) != 0;
    if (strcmp(name, p->ref) == 0 && path_comes_back(p, false) && p->package[0] == '\0' &&
        bare.kind == p->kind && !flagged && more.value == NULL && more.device == NULL)
        return;
    sw_buf_printf(w->out, "*@ %s", name);
    swi_put_cell(w, "ref", p->ref);
    if (more.device != NULL) swi_put_cell(w, "device", more.device);
    if (p->package[0] != '\0') swi_put_cell(w, "package", p->package);
    if (more.value != NULL) swi_put_cell(w, "value", more.value);
    if (reads.kind != p->kind) swi_put_cell(w, "kind", (const char[2]){p->kind, '\0'});
    if (flagged) swi_put_cell(w, "flags", *flags != '\0' ? flags + 1 : "");
    if (!path_comes_back(p, true))
        swi_put_cell(w, "path", p->path[0] != '\0' ? p->path : SWI_NO_PATH);
    sw_buf_putc(w->out, '\n');
}

/* ---- the line ---- */

static sw_quantity quantity_of(char kind) {
    return kind == 'R' ? SW_OHMS : kind == 'C' ? SW_FARADS : SW_HENRIES;
}

static bool is_number(const char *text) {
    double value = 0;
    bool coded = false;
    return swi_spice_value(text, strlen(text), &value, &coded);
}

static bool exact_value(const sw_property *exact) {
    return exact != NULL && is_number(exact->value);
}

/* R, C or L: its line has a number. */
static bool takes_number(const swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    double value = 0;
    return exact_value(property_of(w, part, "spice.value")) ||
           sw_value_read(p->value, quantity_of(p->kind), p->spice, &value);
}

/* Writes the number of R, C or L; tells whether it reads back as the value's text. */
static bool put_value(swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    const sw_property *exact = property_of(w, part, "spice.value");
    double value = 0;
    sw_buf text = SW_BUF_INIT;
    bool same = p->value[0] == '\0';
    if (exact_value(exact)) {
        swi_put_string(w, exact->value);
        same = true;
    } else if (sw_value_read(p->value, quantity_of(p->kind), p->spice, &value)) {
        swi_spice_put_number(&text, value);
        swi_put_string(w, text.bytes != NULL ? text.bytes : "0");
        text.length = 0;
        sw_value_write(value, quantity_of(p->kind), &text);
        same = text.bytes != NULL && strcmp(text.bytes, p->value) == 0;
    }
    w->failed = w->failed || text.failed;
    swi_drop(w, &text);
    return same;
}

/* Writes a source's text; tells whether it reads back as it is. */
static bool put_text_value(swi_writer *w, const sw_part *p) {
    double value = 0;
    bool coded = false, same = true;
    if (p->value[0] == '\0' || !swi_spells_text(p->value)) return p->value[0] == '\0';
    put_source_text(w, p->value);
    if ((p->kind == 'V' || p->kind == 'I') &&
        swi_spice_value(p->value, strlen(p->value), &value, &coded)) {
        sw_buf text = SW_BUF_INIT;
        swi_spice_put_number(&text, value);
        same = text.bytes != NULL && strcmp(text.bytes, p->value) == 0;
        swi_drop(w, &text);
    }
    return same;
}

/* A model's name, or the placeholder; tells whether the device reads back. */
static bool put_model(swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    const char *name = swi_written_model(w, p->device, property_of(w, part, "spice.scope"));
    bool spelled = swi_spells_word(name) && !is_number(name) && name[0] != '$' && name[0] != '_';
    swi_put_string(w, spelled ? name : SWI_PLACEHOLDER);
    return spelled || p->device[0] == '\0';
}

/* The deck has a model of the part's device. */
static bool has_model(const swi_writer *w, uint32_t part) {
    const char *device = w->circuit->parts[part].device;
    const char *name = swi_written_model(w, device, property_of(w, part, "spice.scope"));
    for (uint32_t i = 0; i < w->circuit->model_count; i++)
        if (swi_equal_fold(w->models[i], name)) return true;
    return false;
}

/* Behind R, C and L a word is read as a model when there is one of that name, or behind a
 * number; else it would be read as the value. */
static bool takes_model(const swi_writer *w, uint32_t part) {
    const char *device = w->circuit->parts[part].device;
    if (!swi_is_alpha(device[0]) || !swi_spells_word(device)) return false;
    return has_model(w, part) || takes_number(w, part);
}

/* Q and M have a node more when what follows the model can be one. */
static bool widens(const swi_writer *w, uint32_t part, const char *args) {
    char letter = w->parts[part].letter;
    size_t length = strcspn(args, " ");
    return (letter == 'Q' || letter == 'M') && w->circuit->parts[part].pin_count == 3 &&
           !has_model(w, part) && !swi_equal_fold_n(args, length, "off") && !is_number(args);
}

bool swi_option_comes_back(const swi_writer *w, uint32_t part, const sw_property *option) {
    char letter = w->parts[part].letter;
    const swi_letter *form = swi_letter_find(letter);
    const char *text = option->value, *key = option->key + 6;
    bool words = strcmp(option->key, "spice.args") == 0;
    if (form == NULL || form->after != SWI_AFTER_VALUE) return !words || !widens(w, part, text);
    if (!words) return takes_number(w, part) || !swi_is_value_key(letter, key, strlen(key));
    bool name = swi_is_alpha(text[0]) || text[0] == '_';
    return takes_model(w, part) || (takes_number(w, part) && !name);
}

static void put_options(swi_writer *w, uint32_t part) {
    const sw_property *words = property_of(w, part, "spice.args");
    if (words != NULL && swi_keeps_option(w, part, words)) swi_put_text(w, words->value);
    for (uint32_t i = w->first_property[part]; i < w->first_property[part + 1]; i++) {
        const sw_property *property = &w->circuit->properties[i];
        if (strcmp(property->key, "spice.args") == 0 || !swi_keeps_option(w, part, property))
            continue;
        sw_buf text = SW_BUF_INIT;
        sw_buf_printf(&text, "%s=%s", property->key + 6, property->value);
        swi_put_text(w, text.bytes != NULL ? text.bytes : "");
        w->failed = w->failed || text.failed;
        swi_drop(w, &text);
    }
}

static void put_node(swi_writer *w, const sw_pin *pin) {
    swi_put_string(w, pin != NULL ? w->nodes[pin->node.i] : "0");
}

static beside write_instance(swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    const swi_spelling *spelling = &w->parts[part];
    for (uint32_t i = 0; i < p->pin_count; i++)
        put_node(w, pin_at(w, part, i));
    swi_put_string(w, spelling->stub);
    put_options(w, part);
    bool same = strcmp(spelling->stub, p->device) == 0;
    return (beside){p->value[0] != '\0' ? p->value : NULL,
                    same || p->device[0] == '\0' ? NULL : p->device};
}

static void put_element_nodes(swi_writer *w, uint32_t part, const swi_letter *form) {
    const sw_part *p = &w->circuit->parts[part];
    for (uint32_t i = 0; i < p->pin_count; i++) {
        if (form == NULL && i == 2 && p->pin_count > 4) {
            sw_buf poly = SW_BUF_INIT;
            sw_buf_printf(&poly, "POLY(%u)", p->pin_count / 2 - 1);
            swi_put_string(w, poly.bytes != NULL ? poly.bytes : "");
            swi_drop(w, &poly);
        }
        put_node(w, form != NULL ? pin_called(w, part, form->names[i]) : pin_at(w, part, i));
    }
}

static beside write_element(swi_writer *w, uint32_t part, char letter) {
    const sw_part *p = &w->circuit->parts[part];
    const swi_letter *form = swi_letter_find(letter);
    bool value = p->value[0] == '\0', device = p->device[0] == '\0';
    put_element_nodes(w, part, form);
    if (letter == 'K' || (form != NULL && form->controls > 0)) put_controls(w, part, letter == 'K');
    if (form == NULL || form->after == SWI_AFTER_TEXT) {
        value = put_text_value(w, p);
        if (!value && letter == 'K') swi_put_string(w, "0"); /* its last word is its value */
    } else if (form->after == SWI_AFTER_VALUE) {
        value = put_value(w, part);
        if (!device && takes_model(w, part)) device = put_model(w, part);
    } else if (form->after == SWI_AFTER_MODEL) {
        device = put_model(w, part);
    }
    put_options(w, part);
    return (beside){value ? NULL : p->value, device ? NULL : p->device};
}

void swi_write_part(swi_writer *w, uint32_t part) {
    char letter = w->parts[part].letter;
    swi_put_string(w, w->parts[part].name);
    beside more = letter == 'X' ? write_instance(w, part) : write_element(w, part, letter);
    swi_end_line(w);
    put_row(w, part, letter, more);
}
