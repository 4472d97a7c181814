/* formats/spice/spice.c: the format's descriptor, and reading from end to end. */
#include "spice.h"

#include <stdlib.h>
#include <string.h>

#include "circuit/circuit.h"
#include "formats/formats.h"

/* ---- is it a deck? ---- */

static bool is_element_line(const char *text, size_t length) {
    size_t words = 0, at = 0;
    while (at < length) {
        while (at < length && swi_is_space(text[at]))
            at++;
        words += at < length ? 1 : 0;
        while (at < length && !swi_is_space(text[at]))
            at++;
    }
    return words >= 4 && strchr("RCLVIDQJMXKEFGHBSWTOUZ", swi_upper(text[0])) != NULL;
}

/* Dot cards, fitting lines and elements speak for a deck; the first line says nothing. */
static int spice_probe(const char *bytes, size_t length) {
    size_t at = 0, lines = 0, cards = 0, elements = 0, others = 0;
    if (memchr(bytes, '\0', length) != NULL) return 0;
    while (at < length && lines < 200) {
        const char *newline = memchr(bytes + at, '\n', length - at);
        size_t end = newline != NULL ? (size_t)(newline - bytes) : length, next = end + 1;
        while (at < end && swi_is_space(bytes[at]))
            at++;
        char c = at < end ? bytes[at] : '*';
        cards += end - at > 3 && memcmp(bytes + at, "*@ ", 3) == 0 ? 1 : 0;
        if (lines++ > 0 && strchr("*+;$#", c) == NULL) {
            bool card = c == '.' && end - at > 2 && swi_is_alpha(bytes[at + 1]);
            bool element = !card && is_element_line(bytes + at, end - at);
            cards += card ? 1 : 0;
            elements += element ? 1 : 0;
            others += card || element ? 0 : 1;
        }
        at = next;
    }
    if (cards + elements == 0 || others > cards + elements) return 0;
    return cards > 0 ? 90 : others == 0 ? 60 : 30;
}

/* ---- reading ---- */

static bool digits_follow(const char *text, size_t length) {
    for (size_t i = 1; i < length; i++)
        if (!swi_is_digit(text[i])) return false;
    return length > 1;
}

/* The first line is the title even when it reads like an element or a card. */
static void warn_of_title(swi_deck *deck, swi_slice title) {
    swi_spice_join(&deck->line, title, false);
    size_t word = 0;
    while (word < title.length && !swi_is_space(title.text[word]))
        word++;
    bool card = title.length > 1 && title.text[0] == '.' && swi_is_alpha(title.text[1]) &&
                !swi_equal_fold_n(title.text, word, ".title");
    bool row = title.length > 2 && memcmp(title.text, "*@ ", 3) == 0;
    bool element = title.length > 0 && is_element_line(title.text, title.length) &&
                   digits_follow(title.text, word);
    if (card || row || element)
        sw_diag_add(deck->diags, SW_D_SPICE_TITLE, swi_slice_span(swi_slice_from(title, 0, word)),
                    "the first line of a deck is its title, so this was not read as %s: put a "
                    "title above it",
                    card  ? "a card"
                    : row ? "a fitting line"
                          : "an element");
}

/* Takes the title off the deck's first line; returns where the second begins. */
static size_t take_title(swi_deck *deck) {
    const sw_input *file = &deck->files[0].input;
    size_t at = file->length >= 3 && memcmp(file->bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    const char *newline = memchr(file->bytes + at, '\n', file->length - at);
    size_t end = newline != NULL ? (size_t)(newline - file->bytes) : file->length;
    size_t next = newline != NULL ? end + 1 : end;
    while (end > at && swi_is_space(file->bytes[end - 1]))
        end--;
    while (at < end && swi_is_space(file->bytes[at]))
        at++;
    swi_slice title = {file->bytes + at, (uint32_t)(end - at), file->source, (uint32_t)at};
    warn_of_title(deck, title);
    size_t start = 0;
    if (title.length >= 7 && swi_equal_fold_n(title.text, 7, ".title ")) /* of later simulators */
        start = 7;
    while (start < title.length && (title.text[start] == '*' || swi_is_space(title.text[start])))
        start++;
    deck->text.length = 0;
    swi_spice_squeeze(&deck->text, swi_slice_from(title, start, title.length - start));
    sw_builder_title(deck->builder, deck->text.length > 0 ? deck->text.bytes : "");
    return next;
}

static void hand_on_models(swi_deck *deck) {
    for (size_t i = 0; i < deck->model_count; i++) {
        const swi_deck_model *model = &deck->models[i];
        if (model->included && !model->used)
            continue; /* a library holds many that this deck does not speak of */
        sw_model out = {model->name, model->type, model->text, model->path, model->span};
        sw_builder_model(deck->builder, &out);
    }
}

static void read_deck(swi_deck *deck) {
    deck->root = swi_def_new(deck, "", NULL, SW_NOWHERE);
    if (deck->root == NULL || !SWI_GROW(deck->including, deck->include_capacity, 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    deck->open = deck->root;
    deck->including[deck->include_depth++] = 0;
    swi_deck_read_file(deck, 0, take_title(deck), NULL, SW_NOWHERE);
    for (const swi_def *def = deck->stopped ? NULL : deck->open; def != NULL && def != deck->root;
         def = def->outer)
        sw_diag_add(deck->diags, SW_D_SPICE_ENDS_MISSING, def->span,
                    "the subcircuit %s is not ended: add .ends after its last line", def->name);
    if (deck->elements_read == 0 && !deck->failed && sw_diags_of(deck->diags, SW_ERROR) == 0)
        sw_diag_add(deck->diags, SW_D_SPICE_EMPTY, SW_NOWHERE,
                    "%s holds no element line: the first line is the title, elements follow it",
                    deck->files[0].input.name);
    swi_renames_collect(deck);
    swi_models_rename(deck);
    swi_scope *top = deck->failed || deck->stopped ? NULL : swi_scope_new(deck, deck->root, NULL);
    size_t elements = deck->elements_read; /* two pins or three, and fewer nodes than that */
    swi_builder_expect(deck->builder, elements, elements / 2 * 5, elements / 4 * 3);
    if (top != NULL) swi_deck_expand(deck, top);
    swi_scope_free(top);
    hand_on_models(deck);
    swi_rails_take(deck);
}

static void free_deck(swi_deck *deck) {
    for (size_t i = 0; i < deck->def_count; i++)
        swi_def_free(deck->defs[i]);
    free(deck->defs);
    free(deck->files);
    free(deck->including);
    free(deck->models);
    free(deck->row_patterns);
    free(deck->rename_list);
    free(deck->model_rows);
    free(deck->node_rows);
    free(deck->row_mores);
    swi_map_free(deck->renames);
    swi_map_free(deck->model_names);
    swi_map_free(deck->globals);
    swi_map_free(deck->asked);
    swi_map_free(deck->row_names);
    swi_line_free(&deck->line);
    sw_buf_free(&deck->name);
    sw_buf_free(&deck->text);
    swi_interner_free(deck->interner);
    swi_arena_free(deck->arena);
}

sw_status swi_spice_read(const sw_input *input, const sw_read_options *options, sw_diags *diags,
                         sw_builder *builder) {
    static const sw_read_options none = {0};
    swi_deck deck = {.options = options != NULL ? options : &none,
                     .diags = diags,
                     .builder = builder,
                     .limits = sw_diags_limits(diags)};
    size_t errors = sw_diags_of(diags, SW_ERROR);
    deck.arena = swi_arena_new();
    deck.interner = deck.arena != NULL ? swi_interner_new(deck.arena) : NULL;
    if (deck.interner == NULL || !SWI_GROW(deck.files, deck.file_capacity, 1)) {
        swi_deck_out_of_memory(&deck);
    } else {
        deck.files[0] = (swi_file){.input = *input};
        deck.file_count = 1;
        deck.file_bytes = input->length;
        read_deck(&deck);
    }
    if (deck.name.failed || deck.text.failed || deck.line.joined.failed)
        swi_deck_out_of_memory(&deck);
    bool failed = deck.failed || deck.unreadable;
    free_deck(&deck);
    return failed ? SW_SYSTEM : sw_diags_of(diags, SW_ERROR) > errors ? SW_BAD_INPUT : SW_OK;
}

static const char *const aliases[] = {"deck", "cir", NULL};
static const char *const extensions[] = {".cir", ".sp", ".spice", ".net", ".ckt", NULL};

const sw_format swi_format_spice = {
    .name = "spice",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "SPICE deck",
    .standard = "Berkeley SPICE3 user's manual, and what later simulators added",
    .keeps = "parts, nodes, rails, models, parameters, fitting lines; subcircuits are flattened",
    .group = SW_GROUP_CIRCUIT,
    .probe = spice_probe,
    .read_circuit = swi_spice_read,
    .write = swi_spice_write,
};
