/* Reading a schedule: line by line. */
#include "formats/schedule/schedule_read.h"

#include "base/arena.h"
#include "base/num.h"
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

/* ---- what the words mean ---- */

static bool unknown_word(swi_sched *r, const swi_pair *word, const char *where) {
    sw_diag_add(r->diags, SW_D_SCHEDULE_WORD, word->span, "%s%s means nothing in a %s line",
                word->key, word->value ? "=" : "", where);
    return false;
}

typedef struct text_field {
    const char *key;
    const char **text;
} text_field;

/* Sets the one of the fields that the word speaks of; false when none is. */
static bool set_text(const swi_pair *word, const text_field *fields) {
    for (; word->value && fields->key; fields++)
        if (strcmp(word->key, fields->key) == 0) {
            *fields->text = word->value;
            return true;
        }
    return false;
}

static bool is_flag(const swi_pair *word, const char *name) {
    return !word->value && strcmp(word->key, name) == 0;
}

static bool part_word(swi_sched *r, sw_part *part, const swi_pair *word) {
    const text_field fields[] = {{"value", &part->value}, {"device", &part->device},
                                 {"package", &part->package}, {"path", &part->path}, {NULL, NULL}};
    if (set_text(word, fields))
        return true;
    if (word->value && strcmp(word->key, "kind") == 0 && strlen(word->value) == 1)
        part->kind = *word->value;
    else if (word->value || !swi_part_flag_read(part, word->key, strlen(word->key)))
        return unknown_word(r, word, "part");
    return true;
}

static bool missing(swi_sched *r, const char *what) {
    size_t from = r->at;
    return swi_sched_complain(r, SW_D_SCHEDULE_LINE, swi_sched_span(r, from), what);
}

/* The word that says what the line is about. */
static bool has_subject(swi_sched *r) {
    return (r->pair_count && !r->pairs[0].value) ||
           missing(r, "the line must name what it speaks of before any key=value");
}

static bool part_line(swi_sched *r) {
    if (!swi_sched_pairs(r) || !has_subject(r))
        return false;
    sw_part_id id = sw_builder_part(r->builder, r->pairs[0].key, '?', r->pairs[0].span);
    r->owner = SW_OWNER_PART;
    r->owner_index = id.i;
    sw_part *part = sw_builder_part_at(r->builder, id);
    bool good = true;
    for (size_t i = 1; i < r->pair_count; i++)
        good &= part_word(r, part, &r->pairs[i]);
    return good;
}

/* ---- pins, and the lines that say more of them ---- */

/* The key of a pin in the map of those that wait; NULL when memory is out. */
static const char *pin_key(swi_sched *r, const char *ref, const char *pin) {
    r->scratch.length = 0;
    sw_buf_printf(&r->scratch, "%s\x1F%s", ref, pin);
    if (r->scratch.failed)
        swi_sched_out(r);
    return r->scratch.failed ? NULL : r->scratch.bytes;
}

static bool pin_word(swi_sched *r, swi_waiting *pin, const swi_pair *word) {
    sw_pin_type type;
    if (word->value && strcmp(word->key, "name") == 0)
        pin->name = word->value;
    else if (word->value && strcmp(word->key, "type") == 0 &&
             sw_pin_type_read(word->value, strlen(word->value), &type))
        pin->type = type;
    else
        return unknown_word(r, word, "pin");
    return true;
}

static bool pin_line(swi_sched *r) {
    const char *ref, *number;
    swi_waiting pin = {.name = "", .first_property = r->property_count};
    if (!swi_sched_blanks(r))
        return missing(r, "a pin line names its pin: pin REF.PIN");
    if (!swi_sched_pin(r, &ref, &number, &pin.span) || !swi_sched_pairs(r))
        return false;
    bool good = true;
    for (size_t i = 0; i < r->pair_count; i++)
        good &= pin_word(r, &pin, &r->pairs[i]);
    const char *key = pin_key(r, ref, number);
    if (!key || !SWI_GROW(r->waiting, r->waiting_room, r->waiting_count + 1))
        return swi_sched_out(r);
    bool failed = false;
    uint32_t index = (uint32_t)r->waiting_count;
    uint32_t there = swi_map_add(r->waiting_at, key, r->scratch.length, index, &failed);
    if (failed)
        return swi_sched_out(r);
    r->waiting[r->waiting_count++] = pin;
    r->owner = SW_OWNER_PIN;
    r->owner_index = index;
    return there == index ? good
                          : swi_sched_complain(r, SW_D_SCHEDULE_LINE, pin.span,
                                     "a pin has one pin line: join the two lines of this pin");
}

static void adopt_waiting(swi_sched *r, sw_pin_id id, const char *ref, const char *number) {
    const char *key = r->waiting_count ? pin_key(r, ref, number) : NULL;
    uint32_t index = key ? swi_map_get(r->waiting_at, key, r->scratch.length, SW_NONE) : SW_NONE;
    if (index == SW_NONE || id.i == SW_NONE)
        return;
    swi_waiting *more = &r->waiting[index];
    more->met = true;
    sw_pin *pin = sw_builder_pin_at(r->builder, id);
    pin->name = more->name;
    pin->type = more->type;
    for (size_t i = 0; i < more->property_count; i++) {
        const swi_pair *property = &r->properties[more->first_property + i];
        sw_builder_property(r->builder, SW_OWNER_PIN, id.i, property->key, property->value,
                            property->span);
    }
}

static bool take_node_pin(swi_sched *r, sw_node_id node) {
    const char *ref, *number;
    sw_span span;
    if (!swi_sched_pin(r, &ref, &number, &span))
        return false;
    sw_part_id part = sw_builder_find_part(r->builder, ref);
    if (part.i == SW_NONE) {
        sw_diag_add(r->diags, SW_D_SCHEDULE_PART, span,
                    "no part line above names %s: add one, or correct the reference", ref);
        return false;
    }
    adopt_waiting(r, sw_builder_pin(r->builder, part, number, "", node, span), ref, number);
    return true;
}

/* ---- nodes ---- */

typedef struct node_words {
    const char *name, *why;
    sw_rail rail;
    bool derived, global;
    double volts;
    long number;
} node_words;

static bool node_word(swi_sched *r, node_words *node, const swi_pair *word) {
    const text_field fields[] = {{"name", &node->name}, {"why", &node->why}, {NULL, NULL}};
    sw_rail rail = SW_RAIL_NONE;
    if (set_text(word, fields))
        return true;
    if (word->value && strcmp(word->key, "rail") == 0 &&
        (!*word->value || swi_rail_read(word->value, &rail)))
        node->rail = rail;
    else if (word->value && *word->value && strcmp(word->key, "volts") == 0 &&
             swi_real_read(word->value, strlen(word->value), &node->volts) == strlen(word->value))
        return true;
    else if (is_flag(word, "derived"))
        node->derived = true;
    else if (is_flag(word, "global"))
        node->global = true;
    else
        return unknown_word(r, word, "node");
    return true;
}

static bool node_number(swi_sched *r, node_words *node) {
    if (strcmp(r->pairs[0].key, "-") == 0 ||
        swi_int_read(r->pairs[0].key, 1, UINT32_MAX - 1, &node->number))
        return true;
    return swi_sched_complain(r, SW_D_SCHEDULE_LINE, r->pairs[0].span,
                    "a node line begins with the node's number from 1, or - when it has none");
}

static bool node_line(swi_sched *r) {
    node_words words = {.name = "", .why = ""};
    if (!swi_sched_pairs(r) || !has_subject(r))
        return false;
    bool good = node_number(r, &words);
    for (size_t i = 1; i < r->pair_count; i++)
        good &= node_word(r, &words, &r->pairs[i]);
    sw_span span = r->pairs[0].span;
    sw_node_id id = words.derived || !*words.name
                        ? sw_builder_lone_node(r->builder, span)
                        : sw_builder_node(r->builder, words.name, false, span);
    r->owner = SW_OWNER_NODE;
    r->owner_index = id.i;
    sw_node *node = sw_builder_node_at(r->builder, id);
    node->number = (uint32_t)words.number;
    node->rail = words.rail;
    node->rail_why = words.why;
    node->volts = words.volts;
    node->global = words.global;
    if (swi_sched_peek(r) != ':')
        return missing(r, "a colon and the node's pins are missing here");
    r->at++;
    while (swi_sched_blanks(r))
        if (!take_node_pin(r, id))
            return false; /* the rest of the line is likely to be wrong for the same reason */
    return good;
}

/* ---- the other lines ---- */

static bool title_line(swi_sched *r) {
    if (!swi_sched_pairs(r) || !has_subject(r))
        return false;
    sw_builder_title(r->builder, r->pairs[0].key);
    return r->pair_count == 1 || unknown_word(r, &r->pairs[1], "title");
}

static bool property_line(swi_sched *r) {
    swi_pair property;
    if (!swi_sched_blanks(r))
        return missing(r, "a property line is: property KEY=VALUE");
    if (!swi_sched_pair(r, &property))
        return false;
    if (!property.value || swi_sched_blanks(r))
        return missing(r, "a property line is: property KEY=VALUE, with quotes round texts with "
                          "blanks");
    if (r->owner != SW_OWNER_PIN) {
        sw_builder_property(r->builder, r->owner, r->owner_index, property.key, property.value,
                            property.span);
        return true;
    }
    if (!SWI_GROW(r->properties, r->property_room, r->property_count + 1))
        return swi_sched_out(r);
    r->properties[r->property_count++] = property;
    r->waiting[r->owner_index].property_count++;
    return true;
}

static bool model_line(swi_sched *r) {
    if (!swi_sched_pairs(r) || !has_subject(r))
        return false;
    sw_model model = {.name = r->pairs[0].key, .type = "", .text = "", .path = "",
                      .span = r->pairs[0].span};
    const text_field fields[] = {{"type", &model.type}, {"path", &model.path},
                                 {"text", &model.text}, {NULL, NULL}};
    bool good = true;
    for (size_t i = 1; i < r->pair_count; i++)
        good &= set_text(&r->pairs[i], fields) || unknown_word(r, &r->pairs[i], "model");
    sw_builder_model(r->builder, &model);
    return good;
}

static bool row_line(swi_sched *r) {
    if (!swi_sched_pairs(r) || !has_subject(r))
        return false;
    sw_row row = {.name = r->pairs[0].key, .span = r->pairs[0].span};
    const text_field fields[] = {
        {"ref", &row.ref}, {"device", &row.device}, {"package", &row.package},
        {"unit", &row.unit}, {"pins", &row.pins}, {"supply", &row.supply}, {"value", &row.value},
        {"place", &row.place}, {"omit", &row.omit}, {"note", &row.note},
        {"path", &row.path}, {NULL, NULL}};
    bool good = true;
    for (size_t i = 1; i < r->pair_count; i++)
        good &= set_text(&r->pairs[i], fields) || unknown_word(r, &r->pairs[i], "row");
    sw_builder_row(r->builder, &row); /* what is NULL becomes "" */
    return good;
}

typedef struct line_kind {
    const char *word;
    bool (*take)(swi_sched *r);
} line_kind;

static const line_kind line_kinds[] = {
    {"part", part_line},         {"node", node_line}, {"pin", pin_line}, {"title", title_line},
    {"property", property_line}, {"model", model_line}, {"row", row_line},
};

static bool take_line(swi_sched *r) {
    if (!swi_sched_blanks(r) || swi_sched_peek(r) == '#')
        return true;
    size_t from = r->at;
    while (swi_is_alpha(swi_sched_peek(r)))
        r->at++;
    sw_span span = swi_sched_span(r, from);
    if (swi_sched_word_end(r))
        for (size_t i = 0; i < sizeof line_kinds / sizeof *line_kinds; i++)
            if (swi_equal_fold_n(r->input->bytes + from, span.length, line_kinds[i].word))
                return line_kinds[i].take(r);
    return swi_sched_complain(r, SW_D_SCHEDULE_LINE, span,
                    "a line begins with title, property, part, pin, node, model or row");
}

/* ---- the whole ---- */

static void find_line_end(swi_sched *r) {
    const char *from = r->input->bytes + r->at;
    const char *end = memchr(from, '\n', r->input->length - r->at);
    r->line_end = end ? r->at + (size_t)(end - from) : r->input->length;
}

static bool first_line(swi_sched *r) {
    if (r->input->length >= 3 && memcmp(r->input->bytes, "\xEF\xBB\xBF", 3) == 0)
        r->at = 3;
    find_line_end(r);
    size_t from = r->at, end = r->line_end;
    while (end > from && swi_is_space(r->input->bytes[end - 1]))
        end--;
    r->at = r->line_end;
    if (swi_equal_fold_n(r->input->bytes + from, end - from, SWI_SCHEDULE_FIRST_LINE))
        return true;
    return swi_sched_complain(r, SW_D_SCHEDULE_VERSION,
                    (sw_span){r->input->source, (uint32_t)from, (uint32_t)(end - from)},
                    "the first line must be: " SWI_SCHEDULE_FIRST_LINE);
}

static void report_unmet(swi_sched *r) {
    for (size_t i = 0; i < r->waiting_count; i++)
        if (!r->waiting[i].met)
            swi_sched_complain(r, SW_D_SCHEDULE_PIN, r->waiting[i].span,
                     "no node line below names this pin: add it to its node, or take the line away");
}

static bool take_lines(swi_sched *r) {
    bool good = true;
    while (r->at < r->input->length && !r->failed) {
        r->at++; /* the line feed */
        find_line_end(r);
        good &= take_line(r);
        r->at = r->line_end;
    }
    if (good)
        report_unmet(r);
    return good;
}

sw_status swi_schedule_read(const sw_input *input, const sw_read_options *options,
                            sw_diags *diags, sw_builder *builder) {
    (void)options;
    swi_sched r = {.input = input, .diags = diags, .builder = builder, .scratch = SW_BUF_INIT,
                .owner = SW_OWNER_CIRCUIT, .arena = swi_arena_new()};
    r.waiting_at = r.arena ? swi_map_new(r.arena, true) : NULL;
    bool good = r.waiting_at ? first_line(&r) && take_lines(&r) : swi_sched_out(&r);
    if (r.waiting_at)
        swi_map_free(r.waiting_at);
    swi_arena_free(r.arena);
    sw_buf_free(&r.scratch);
    free(r.waiting);
    free(r.properties);
    free(r.pairs);
    return good ? SW_OK : r.failed ? SW_SYSTEM : SW_BAD_INPUT;
}
