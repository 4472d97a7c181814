/* Reading a schedule: line by line, word by word. */
#include "formats/schedule/schedule.h"

#include "base/arena.h"
#include "base/fault.h"
#include "base/num.h"
#include "base/text.h"
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

/* What a pin line said, until its node's line makes the pin. */
typedef struct waiting {
    const char *name;
    sw_pin_type type;
    size_t first_property, property_count;
    sw_span span;
    bool met;
} waiting;

typedef struct pair {
    const char *key, *value; /* value NULL: a flag */
    sw_span span;
} pair;

typedef struct reader {
    const sw_input *input;
    sw_diags *diags;
    sw_builder *builder;
    size_t at, line_end;
    sw_buf scratch;
    swi_arena *arena;
    swi_map *waiting_at;     /* "ref US pin" -> waiting */
    waiting *waiting;
    size_t waiting_count, waiting_room;
    pair *properties;        /* of waiting pins */
    size_t property_count, property_room;
    pair *pairs;             /* of this line */
    size_t pair_count, pair_room;
    sw_owner owner;          /* of the next property line; its index */
    uint32_t owner_index;
    bool failed;             /* memory */
} reader;

static sw_span span_from(const reader *r, size_t from) {
    return (sw_span){r->input->source, (uint32_t)from, (uint32_t)(r->at - from)};
}

static bool out_of_memory(reader *r) {
    if (!r->failed)
        swi_out_of_memory(r->diags);
    r->failed = true;
    return false;
}

static bool complain(reader *r, sw_diag_id id, sw_span span, const char *what) {
    sw_diag_add(r->diags, id, span, "%s", what);
    return false;
}

/* ---- words ---- */

static char peek(const reader *r) {
    return r->at < r->line_end ? r->input->bytes[r->at] : '\n';
}

static bool skip_blanks(reader *r) {
    while (r->at < r->line_end && swi_is_space(peek(r)))
        r->at++;
    return r->at < r->line_end;
}

static int hex_value(char c) {
    if (swi_is_digit(c))
        return c - '0';
    char lower = swi_lower(c);
    return lower >= 'a' && lower <= 'f' ? lower - 'a' + 10 : -1;
}

/* What a backslash stands before: itself, a quote, or xHH. */
static bool take_escape(reader *r) {
    size_t from = r->at++;
    char c = peek(r);
    if (c == '"' || c == '\\') {
        sw_buf_putc(&r->scratch, c);
        r->at++;
        return true;
    }
    if (c == 'x' && r->at + 2 < r->line_end) {
        int high = hex_value(r->input->bytes[r->at + 1]), low = hex_value(r->input->bytes[r->at + 2]);
        if (high >= 0 && low >= 0 && high + low > 0) {
            sw_buf_putc(&r->scratch, (char)(high * 16 + low));
            r->at += 3;
            return true;
        }
    }
    return complain(r, SW_D_SCHEDULE_QUOTE, span_from(r, from),
                    "a backslash stands only before \" or \\, or as \\xHH with two hexadecimal "
                    "digits that are not 00");
}

static const char *take_quoted(reader *r) {
    size_t from = r->at++;
    r->scratch.length = 0;
    while (peek(r) != '"') {
        if (r->at >= r->line_end) {
            r->at = from + 1;
            complain(r, SW_D_SCHEDULE_QUOTE, span_from(r, from),
                     "this quote is not closed on its line: add \" behind the text");
            return NULL;
        }
        if (peek(r) != '\\') {
            sw_buf_putc(&r->scratch, peek(r));
            r->at++;
        } else if (!take_escape(r)) {
            return NULL;
        }
    }
    r->at++;
    if (r->scratch.failed) {
        out_of_memory(r);
        return NULL;
    }
    return sw_builder_text(r->builder, r->scratch.bytes, r->scratch.length);
}

/* A text, bare or quoted; NULL when it is reported to be none.  A bare one may be
 * empty. */
static const char *take_text(reader *r, bool points) {
    if (peek(r) == '"')
        return take_quoted(r);
    size_t from = r->at;
    while (r->at < r->line_end && swi_schedule_bare((unsigned char)peek(r)) &&
           (points || peek(r) != '.'))
        r->at++;
    return sw_builder_text(r->builder, r->input->bytes + from, r->at - from);
}

static bool at_word_end(const reader *r) {
    return r->at >= r->line_end || swi_is_space(peek(r));
}

/* One word or key=value. */
static bool take_pair(reader *r, pair *out) {
    size_t from = r->at;
    bool quoted = peek(r) == '"';
    out->value = NULL;
    out->key = take_text(r, true);
    if (!out->key)
        return false;
    if (peek(r) == '=') {
        r->at++;
        out->value = take_text(r, true);
        if (!out->value)
            return false;
    }
    out->span = span_from(r, from);
    if (at_word_end(r) && (quoted || *out->key))
        return true;
    size_t here = r->at < r->line_end ? r->at++ : from;
    return complain(r, SW_D_SCHEDULE_QUOTE, span_from(r, here),
                    "this character stands only in a text in quotes: \"…\"");
}

/* The words up to the line's end or a colon. */
static bool take_pairs(reader *r) {
    r->pair_count = 0;
    while (skip_blanks(r) && peek(r) != ':') {
        if (!SWI_GROW(r->pairs, r->pair_room, r->pair_count + 1))
            return out_of_memory(r);
        if (!take_pair(r, &r->pairs[r->pair_count++]))
            return false;
    }
    return true;
}

/* REF.PIN */
static bool take_pin(reader *r, const char **ref, const char **pin, sw_span *span) {
    size_t from = r->at;
    *ref = take_text(r, false);
    if (!*ref)
        return false;
    if (peek(r) == '.') {
        r->at++;
        *pin = take_text(r, false);
        if (!*pin)
            return false;
        *span = span_from(r, from);
        if (at_word_end(r))
            return true;
    }
    while (!at_word_end(r))
        r->at++;
    return complain(r, SW_D_SCHEDULE_QUOTE, span_from(r, from),
                    "a pin is REF.PIN; a point inside either part asks for quotes round that part");
}

/* ---- what the words mean ---- */

static bool unknown_word(reader *r, const pair *word, const char *where) {
    sw_diag_add(r->diags, SW_D_SCHEDULE_WORD, word->span, "%s%s means nothing in a %s line",
                word->key, word->value ? "=" : "", where);
    return false;
}

typedef struct text_field {
    const char *key;
    const char **text;
} text_field;

/* Sets the one of the fields that the word speaks of; false when none is. */
static bool set_text(const pair *word, const text_field *fields) {
    for (; word->value && fields->key; fields++)
        if (strcmp(word->key, fields->key) == 0) {
            *fields->text = word->value;
            return true;
        }
    return false;
}

static bool is_flag(const pair *word, const char *name) {
    return !word->value && strcmp(word->key, name) == 0;
}

static bool part_word(reader *r, sw_part *part, const pair *word) {
    const text_field fields[] = {{"value", &part->value}, {"device", &part->device},
                                 {"package", &part->package}, {"path", &part->path}, {NULL, NULL}};
    if (set_text(word, fields))
        return true;
    if (word->value && strcmp(word->key, "kind") == 0 && strlen(word->value) == 1)
        part->kind = *word->value;
    else if (is_flag(word, "terminal"))
        part->terminal = true;
    else if (is_flag(word, "polarised"))
        part->polarised = true;
    else if (is_flag(word, "flat"))
        part->flat = true;
    else
        return unknown_word(r, word, "part");
    return true;
}

static bool missing(reader *r, const char *what) {
    size_t from = r->at;
    return complain(r, SW_D_SCHEDULE_LINE, span_from(r, from), what);
}

/* The word that says what the line is about. */
static bool has_subject(reader *r) {
    return (r->pair_count && !r->pairs[0].value) ||
           missing(r, "the line must name what it speaks of before any key=value");
}

static bool part_line(reader *r) {
    if (!take_pairs(r) || !has_subject(r))
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
static const char *pin_key(reader *r, const char *ref, const char *pin) {
    r->scratch.length = 0;
    sw_buf_printf(&r->scratch, "%s\x1F%s", ref, pin);
    if (r->scratch.failed)
        out_of_memory(r);
    return r->scratch.failed ? NULL : r->scratch.bytes;
}

static bool pin_word(reader *r, waiting *pin, const pair *word) {
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

static bool pin_line(reader *r) {
    const char *ref, *number;
    waiting pin = {.name = "", .first_property = r->property_count};
    if (!skip_blanks(r))
        return missing(r, "a pin line names its pin: pin REF.PIN");
    if (!take_pin(r, &ref, &number, &pin.span) || !take_pairs(r))
        return false;
    bool good = true;
    for (size_t i = 0; i < r->pair_count; i++)
        good &= pin_word(r, &pin, &r->pairs[i]);
    const char *key = pin_key(r, ref, number);
    if (!key || !SWI_GROW(r->waiting, r->waiting_room, r->waiting_count + 1))
        return out_of_memory(r);
    bool failed = false;
    uint32_t index = (uint32_t)r->waiting_count;
    uint32_t there = swi_map_add(r->waiting_at, key, r->scratch.length, index, &failed);
    if (failed)
        return out_of_memory(r);
    r->waiting[r->waiting_count++] = pin;
    r->owner = SW_OWNER_PIN;
    r->owner_index = index;
    return there == index ? good
                          : complain(r, SW_D_SCHEDULE_LINE, pin.span,
                                     "a pin has one pin line: join the two lines of this pin");
}

static void adopt_waiting(reader *r, sw_pin_id id, const char *ref, const char *number) {
    const char *key = r->waiting_count ? pin_key(r, ref, number) : NULL;
    uint32_t index = key ? swi_map_get(r->waiting_at, key, r->scratch.length, SW_NONE) : SW_NONE;
    if (index == SW_NONE || id.i == SW_NONE)
        return;
    waiting *more = &r->waiting[index];
    more->met = true;
    sw_pin *pin = sw_builder_pin_at(r->builder, id);
    pin->name = more->name;
    pin->type = more->type;
    for (size_t i = 0; i < more->property_count; i++) {
        const pair *property = &r->properties[more->first_property + i];
        sw_builder_property(r->builder, SW_OWNER_PIN, id.i, property->key, property->value,
                            property->span);
    }
}

static bool take_node_pin(reader *r, sw_node_id node) {
    const char *ref, *number;
    sw_span span;
    if (!take_pin(r, &ref, &number, &span))
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
    long number;
} node_words;

static bool node_word(reader *r, node_words *node, const pair *word) {
    const text_field fields[] = {{"name", &node->name}, {"why", &node->why}, {NULL, NULL}};
    sw_rail rail = SW_RAIL_NONE;
    if (set_text(word, fields))
        return true;
    if (word->value && strcmp(word->key, "rail") == 0 &&
        (!*word->value || swi_rail_read(word->value, &rail)))
        node->rail = rail;
    else if (is_flag(word, "derived"))
        node->derived = true;
    else if (is_flag(word, "global"))
        node->global = true;
    else
        return unknown_word(r, word, "node");
    return true;
}

static bool node_number(reader *r, node_words *node) {
    if (strcmp(r->pairs[0].key, "-") == 0 ||
        swi_int_read(r->pairs[0].key, 1, UINT32_MAX - 1, &node->number))
        return true;
    return complain(r, SW_D_SCHEDULE_LINE, r->pairs[0].span,
                    "a node line begins with the node's number from 1, or - when it has none");
}

static bool node_line(reader *r) {
    node_words words = {.name = "", .why = ""};
    if (!take_pairs(r) || !has_subject(r))
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
    node->global = words.global;
    if (peek(r) != ':')
        return missing(r, "a colon and the node's pins are missing here");
    r->at++;
    while (skip_blanks(r))
        if (!take_node_pin(r, id))
            return false; /* the rest of the line is likely to be wrong for the same reason */
    return good;
}

/* ---- the other lines ---- */

static bool title_line(reader *r) {
    if (!take_pairs(r) || !has_subject(r))
        return false;
    sw_builder_title(r->builder, r->pairs[0].key);
    return r->pair_count == 1 || unknown_word(r, &r->pairs[1], "title");
}

static bool property_line(reader *r) {
    pair property;
    if (!skip_blanks(r))
        return missing(r, "a property line is: property KEY=VALUE");
    if (!take_pair(r, &property))
        return false;
    if (!property.value || skip_blanks(r))
        return missing(r, "a property line is: property KEY=VALUE, with quotes round texts with "
                          "blanks");
    if (r->owner != SW_OWNER_PIN) {
        sw_builder_property(r->builder, r->owner, r->owner_index, property.key, property.value,
                            property.span);
        return true;
    }
    if (!SWI_GROW(r->properties, r->property_room, r->property_count + 1))
        return out_of_memory(r);
    r->properties[r->property_count++] = property;
    r->waiting[r->owner_index].property_count++;
    return true;
}

static bool model_line(reader *r) {
    if (!take_pairs(r) || !has_subject(r))
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

static bool row_line(reader *r) {
    if (!take_pairs(r) || !has_subject(r))
        return false;
    sw_row row = {.name = r->pairs[0].key, .span = r->pairs[0].span};
    const text_field fields[] = {
        {"ref", &row.ref}, {"device", &row.device}, {"package", &row.package},
        {"unit", &row.unit}, {"pins", &row.pins}, {"supply", &row.supply}, {"value", &row.value},
        {"place", &row.place}, {"omit", &row.omit}, {"path", &row.path}, {NULL, NULL}};
    bool good = true;
    for (size_t i = 1; i < r->pair_count; i++)
        good &= set_text(&r->pairs[i], fields) || unknown_word(r, &r->pairs[i], "row");
    sw_builder_row(r->builder, &row); /* what is NULL becomes "" */
    return good;
}

typedef struct line_kind {
    const char *word;
    bool (*take)(reader *r);
} line_kind;

static const line_kind line_kinds[] = {
    {"part", part_line},         {"node", node_line}, {"pin", pin_line}, {"title", title_line},
    {"property", property_line}, {"model", model_line}, {"row", row_line},
};

static bool take_line(reader *r) {
    if (!skip_blanks(r) || peek(r) == '#')
        return true;
    size_t from = r->at;
    while (swi_is_alpha(peek(r)))
        r->at++;
    sw_span span = span_from(r, from);
    if (at_word_end(r))
        for (size_t i = 0; i < sizeof line_kinds / sizeof *line_kinds; i++)
            if (swi_equal_fold_n(r->input->bytes + from, span.length, line_kinds[i].word))
                return line_kinds[i].take(r);
    return complain(r, SW_D_SCHEDULE_LINE, span,
                    "a line begins with title, property, part, pin, node, model or row");
}

/* ---- the whole ---- */

static void find_line_end(reader *r) {
    const char *from = r->input->bytes + r->at;
    const char *end = memchr(from, '\n', r->input->length - r->at);
    r->line_end = end ? r->at + (size_t)(end - from) : r->input->length;
}

static bool first_line(reader *r) {
    if (r->input->length >= 3 && memcmp(r->input->bytes, "\xEF\xBB\xBF", 3) == 0)
        r->at = 3;
    find_line_end(r);
    size_t from = r->at, end = r->line_end;
    while (end > from && swi_is_space(r->input->bytes[end - 1]))
        end--;
    r->at = r->line_end;
    if (swi_equal_fold_n(r->input->bytes + from, end - from, SWI_SCHEDULE_FIRST_LINE))
        return true;
    return complain(r, SW_D_SCHEDULE_VERSION,
                    (sw_span){r->input->source, (uint32_t)from, (uint32_t)(end - from)},
                    "the first line must be: " SWI_SCHEDULE_FIRST_LINE);
}

static void report_unmet(reader *r) {
    for (size_t i = 0; i < r->waiting_count; i++)
        if (!r->waiting[i].met)
            complain(r, SW_D_SCHEDULE_PIN, r->waiting[i].span,
                     "no node line below names this pin: add it to its node, or take the line away");
}

static bool take_lines(reader *r) {
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
    reader r = {.input = input, .diags = diags, .builder = builder, .scratch = SW_BUF_INIT,
                .owner = SW_OWNER_CIRCUIT, .arena = swi_arena_new()};
    r.waiting_at = r.arena ? swi_map_new(r.arena, true) : NULL;
    bool good = r.waiting_at ? first_line(&r) && take_lines(&r) : out_of_memory(&r);
    if (r.waiting_at)
        swi_map_free(r.waiting_at);
    swi_arena_free(r.arena);
    sw_buf_free(&r.scratch);
    free(r.waiting);
    free(r.properties);
    free(r.pairs);
    return good ? SW_OK : r.failed ? SW_SYSTEM : SW_BAD_INPUT;
}
