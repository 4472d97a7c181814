/* formats/spice/spice_rename.c: references that a deck cannot spell.
 *
 * The letter that a line begins with says what an element is, so LED1 stands in
 * a deck as DLED1, and a line `*@ DLED1 ref=LED1` beside it says what it is on
 * the board.  When exactly one instance bears a `ref`, that is its reference
 * from reading on, and what the same line says of value, device and package is
 * the part's own.  Several instances of one `ref` are left to the fitting.
 *
 * A flat deck has one model of a name: `*@ qn.amp model=qn scope=amp` says which name
 * a model had, and in which definition.
 */
#include "spice.h"

#include "circuit/circuit.h"

#include <string.h>

bool swi_is_rename(const sw_row *row) {
    return row->ref[0] != '\0' && row->unit[0] == '\0' && row->pins[0] == '\0' &&
           row->supply[0] == '\0' && strchr(row->name, '*') == NULL;
}

/* Every row with a ref, those that share one marked. */
static void list_refs(swi_deck *deck) {
    swi_map *refs = NULL;
    size_t more = 0;
    for (size_t i = 0; i < deck->root->row_count; i++) {
        const sw_row *row = &deck->root->rows[i];
        uint32_t next = (uint32_t)deck->rename_count;
        if (row->ref[0] == '\0') continue;
        uint32_t first = swi_spice_put(deck, &refs, row->ref, strlen(row->ref), next);
        if (!SWI_GROW(deck->rename_list, deck->rename_capacity, next + 1))
            swi_deck_out_of_memory(deck);
        if (deck->failed) break;
        while (more < deck->row_more_count && deck->row_mores[more].row < i)
            more++;
        bool said = more < deck->row_more_count && deck->row_mores[more].row == i;
        deck->rename_list[next] =
            (swi_rename){.row = i, .more = said ? more : SIZE_MAX, .shared = first != next};
        deck->rename_list[first].shared = deck->rename_list[first].shared || first != next;
        deck->rename_count++;
    }
    swi_map_free(refs);
}

void swi_renames_collect(swi_deck *deck) {
    list_refs(deck);
    for (size_t i = 0; i < deck->rename_count && !deck->failed; i++) {
        const sw_row *row = &deck->root->rows[deck->rename_list[i].row];
        if (!deck->rename_list[i].shared && swi_is_rename(row))
            swi_spice_put(deck, &deck->renames, row->name, strlen(row->name), (uint32_t)i);
    }
}

static swi_rename *rename_of(const swi_deck *deck, const char *full) {
    uint32_t i = swi_spice_get(deck->renames, full, strlen(full));
    return i != SW_NONE ? &deck->rename_list[i] : NULL;
}

const char *swi_renamed(const swi_deck *deck, const char *full) {
    const swi_rename *rename = rename_of(deck, full);
    return rename != NULL ? deck->root->rows[rename->row].ref : full;
}

bool swi_rename_says_value(swi_deck *deck, const swi_scope *scope) {
    if (deck->renames == NULL) return false;
    swi_slice name = swi_token_slice(&deck->line, 0);
    const swi_rename *rename = rename_of(deck, swi_full_name(deck, scope, name));
    return rename != NULL && deck->root->rows[rename->row].value[0] != '\0';
}

/* The subcircuit that a flattened reference names: all before its last point. */
static void set_path(swi_deck *deck, sw_part *part, const char *ref) {
    const char *point = strrchr(ref, '.');
    if (point != NULL && swi_upper(ref[0]) == 'X')
        part->path = swi_deck_builder_text(deck, ref, (size_t)(point - ref));
}

static void take_more(swi_deck *deck, sw_part *part, const swi_row_more *more) {
    if (more->kind[0] != '\0' && more->kind[1] == '\0') part->kind = more->kind[0];
    bool none = strcmp(more->path, SWI_NO_PATH) == 0;
    if (more->path[0] != '\0')
        part->path = none ? "" : swi_deck_builder_text(deck, more->path, strlen(more->path));
    for (const char *at = more->flags; *at != '\0';) {
        size_t length = strcspn(at, " ");
        swi_part_flag_read(part, at, length);
        at += length + strspn(at + length, " ");
    }
}

void swi_rename_take(swi_deck *deck, sw_part_id id, const char *full) {
    swi_rename *rename = rename_of(deck, full);
    if (rename == NULL) return;
    const sw_row *row = &deck->root->rows[rename->row];
    sw_part *part = sw_builder_part_at(deck->builder, id);
    rename->used = true;
    set_path(deck, part, row->ref);
    if (row->value[0] != '\0')
        part->value = swi_deck_builder_text(deck, row->value, strlen(row->value));
    if (row->package[0] != '\0')
        part->package = swi_deck_builder_text(deck, row->package, strlen(row->package));
    rename->device = row->device[0] != '\0' && part->device[0] == '\0';
    if (rename->device)
        part->device = swi_deck_builder_text(deck, row->device, strlen(row->device));
    if (part->kind == 'X') part->kind = sw_ref_kind(part->ref);
    if (rename->more != SIZE_MAX) take_more(deck, part, &deck->row_mores[rename->more]);
}

static bool says_anything(const sw_row *row) {
    return row->ref[0] != '\0' || row->device[0] != '\0' || row->package[0] != '\0' ||
           row->unit[0] != '\0' || row->pins[0] != '\0' || row->supply[0] != '\0' ||
           row->value[0] != '\0' || row->place[0] != '\0' || row->omit[0] != '\0';
}

bool swi_rename_row(const swi_deck *deck, size_t index, sw_row *row) {
    const swi_rename *rename = rename_of(deck, row->name);
    if (rename == NULL || !rename->used) return true;
    row->name = deck->root->rows[rename->row].ref;
    if (rename->row != index) return true;
    row->ref = row->value = row->package = "";
    row->device = rename->device ? "" : row->device;
    return says_anything(row);
}

/* ---- models ---- */

void swi_model_note_clash(swi_deck *deck, uint32_t added) {
    const char *name = deck->models[added].name;
    uint32_t first = swi_spice_put(deck, &deck->model_names, name, strlen(name), added);
    if (strcmp(deck->models[first].text, deck->models[added].text) != 0 ||
        strcmp(deck->models[first].type, deck->models[added].type) != 0)
        deck->models[added].clash = deck->models[first].clash = true;
}

void swi_models_rename(swi_deck *deck) {
    for (size_t i = 0; i < deck->model_row_count; i++) {
        const swi_model_row *row = &deck->model_rows[i];
        uint32_t at = swi_spice_get(deck->root->models, row->name, strlen(row->name));
        if (at == SW_NONE) {
            sw_diag_add(deck->diags, SW_D_SPICE_ROW, row->span,
                        "no model of this deck is called %s: correct the name, or take the line "
                        "away",
                        row->name);
            continue;
        }
        swi_deck_model *model = &deck->models[at];
        if (row->model[0] != '\0') model->name = row->model;
        if (row->scope[0] != '\0') model->path = row->scope;
    }
    if (deck->model_row_count == 0 || deck->failed) return;
    swi_map_free(deck->model_names);
    deck->model_names = NULL;
    for (uint32_t i = 0; i < deck->model_count && !deck->failed; i++) {
        deck->models[i].clash = false;
        swi_model_note_clash(deck, i);
    }
}
