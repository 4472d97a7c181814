/* formats/spice/spice_scope.c: which definition, model and parameter a name
 * means at a place: what is nearest outwards, definition by definition. */
#include "spice.h"

#include <stdlib.h>
#include <string.h>

/* Most definitions hold few kinds of names, so a map is made when first needed. */
uint32_t swi_spice_put(swi_deck *deck, swi_map **map, const char *name, size_t length,
                       uint32_t value) {
    bool failed = false;
    if (*map == NULL) *map = swi_map_new(deck->arena, true);
    if (*map != NULL) value = swi_map_add(*map, name, length, value, &failed);
    if (*map == NULL || failed) swi_deck_out_of_memory(deck);
    return value;
}

uint32_t swi_spice_get(const swi_map *map, const char *name, size_t length) {
    return map != NULL ? swi_map_get(map, name, length, SW_NONE) : SW_NONE;
}

swi_def *swi_def_new(swi_deck *deck, const char *name, swi_def *outer, sw_span span) {
    swi_def *def = swi_arena_alloc(deck->arena, sizeof *def);
    if (def == NULL || !SWI_GROW(deck->defs, deck->def_capacity, deck->def_count + 1)) {
        swi_deck_out_of_memory(deck);
        return NULL;
    }
    deck->defs[deck->def_count++] = def;
    *def = (swi_def){.name = name, .path = name, .outer = outer, .span = span};
    if (outer != NULL && outer->outer != NULL) {
        sw_buf path = SW_BUF_INIT;
        sw_buf_printf(&path, "%s.%s", outer->path, name);
        def->path = path.failed ? name : swi_deck_text(deck, path.bytes, path.length);
        swi_deck_drop(deck, &path);
    }
    return deck->failed ? NULL : def;
}

void swi_def_free(swi_def *def) {
    swi_map_free(def->names);
    swi_map_free(def->models);
    swi_map_free(def->param_map);
    swi_map_free(def->function_map);
    swi_map_free(def->port_map);
    free(def->cards);
    free(def->params);
    free(def->functions);
    free(def->rows);
}

/* A parameter set again is changed: the last setting holds. */
void swi_def_param(swi_deck *deck, swi_def *def, const char *name, size_t length, swi_slice value) {
    uint32_t next = (uint32_t)def->param_count;
    uint32_t i = swi_spice_put(deck, &def->param_map, name, length, next);
    if (!deck->failed && i == next && !SWI_GROW(def->params, def->param_capacity, next + 1))
        swi_deck_out_of_memory(deck);
    if (deck->failed) return;
    if (i == next) {
        def->params[i].name = swi_deck_text(deck, name, length);
        def->param_count++;
    }
    def->params[i].expression = swi_deck_keep(deck, value);
}

swi_def *swi_scope_def(const swi_deck *deck, swi_scope *scope, const char *name, size_t length,
                       swi_scope **holder) {
    for (; scope != NULL; scope = scope->outer) {
        uint32_t i = swi_spice_get(scope->def->names, name, length);
        if (i != SW_NONE) {
            *holder = scope;
            return deck->defs[i];
        }
    }
    return NULL;
}

swi_deck_model *swi_scope_model(const swi_deck *deck, const swi_scope *scope, const char *name,
                                size_t length) {
    for (const swi_def *def = scope->def; def != NULL; def = def->outer) {
        uint32_t i = swi_spice_get(def->models, name, length);
        if (i != SW_NONE) return &deck->models[i];
    }
    return NULL;
}

/* ---- name=expression lists ---- */

static bool ends_name(char c) {
    return swi_is_space(c) || c == ',' || c == '=' || c == ';';
}

/* An = that is no part of ==, <=, >= or !=. */
static bool is_assignment(const char *text, size_t at, size_t length) {
    return text[at] == '=' && (at + 1 == length || text[at + 1] != '=') &&
           (at == 0 || strchr("=<>!", text[at - 1]) == NULL);
}

/* Where the name before this = begins. */
static size_t name_start(const char *text, size_t from, size_t equals) {
    size_t at = equals;
    while (at > from && swi_is_space(text[at - 1]))
        at--;
    if (at > from && text[at - 1] == ')') /* f(x,y) = */
        while (at > from && text[at - 1] != '(')
            at--;
    while (at > from && text[at - 1] == '(')
        at--;
    while (at > from && !ends_name(text[at - 1]) && text[at - 1] != ')')
        at--;
    return at;
}

/* Where the value that begins at `at` ends: before the next name, or at the end. */
static size_t value_end(const char *text, size_t at, size_t length) {
    unsigned depth = 0;
    for (size_t i = at; i < length; i++) {
        char c = text[i];
        if (c == '\'' || c == '"') {
            const char *end = memchr(text + i + 1, c, length - i - 1);
            i = end != NULL ? (size_t)(end - text) : length - 1;
        } else if (c == '(' || c == '{') {
            depth++;
        } else if ((c == ')' || c == '}') && depth > 0) {
            depth--;
        } else if (depth == 0 && is_assignment(text, i, length)) {
            size_t name = name_start(text, at, i);
            return name > at ? name : i;
        }
    }
    return length;
}

static swi_slice trimmed(swi_slice value) {
    const char *text = value.text;
    size_t start = 0, end = value.length;
    while (start < end && ends_name(text[start]))
        start++;
    while (end > start && ends_name(text[end - 1]))
        end--;
    if (end - start >= 2 && (text[start] == '\'' || text[start] == '"') &&
        text[end - 1] == text[start])
        start++, end--;
    return swi_slice_from(value, start, end - start);
}

void swi_params_each(swi_deck *deck, swi_slice rest, swi_each_param each, void *user) {
    size_t at = 0, length = rest.length;
    while (at < length) {
        while (at < length && ends_name(rest.text[at]))
            at++;
        size_t equals = at;
        while (equals < length && !is_assignment(rest.text, equals, length))
            equals++;
        if (at == length) break;
        swi_slice name = trimmed(swi_slice_from(rest, at, equals - at));
        if (equals == length || name.length == 0 || memchr(name.text, '\'', name.length) != NULL) {
            sw_diag_add(deck->diags, SW_D_SPICE_PARAM,
                        swi_slice_span(name.length > 0 ? name : rest),
                        "write a parameter as name=value");
            return;
        }
        size_t end = value_end(rest.text, equals + 1, length);
        swi_slice value = trimmed(swi_slice_from(rest, equals + 1, end - equals - 1));
        if (value.length == 0)
            sw_diag_add(deck->diags, SW_D_SPICE_PARAM, swi_slice_span(name),
                        "the parameter %.*s has no value", (int)name.length, name.text);
        else
            each(deck, user, name, value);
        at = end;
    }
}

/* ---- instances ---- */

swi_scope *swi_scope_new(swi_deck *deck, swi_def *def, swi_scope *outer) {
    swi_scope *scope = calloc(1, sizeof *scope);
    if (scope != NULL) {
        *scope = (swi_scope){.def = def, .outer = outer, .path = ""};
        scope->values = calloc(def->param_count + 1, sizeof *scope->values);
    }
    if (scope == NULL || scope->values == NULL) {
        swi_deck_out_of_memory(deck);
        free(scope);
        return NULL;
    }
    return scope;
}

void swi_scope_free(swi_scope *scope) {
    if (scope == NULL) return;
    free(scope->values);
    free(scope->extra);
    free(scope);
}

void swi_scope_set(swi_deck *deck, swi_scope *scope, const char *name, size_t length,
                   double value) {
    uint32_t i = swi_spice_get(scope->def->param_map, name, length);
    swi_setting setting = {.value = value, .state = SWI_SET};
    if (i != SW_NONE) {
        scope->values[i] = setting;
        return;
    }
    for (size_t j = 0; j < scope->extra_count; j++) {
        if (swi_equal_fold_n(name, length, scope->extra[j].name)) {
            scope->extra[j].value = value;
            return;
        }
    }
    if (!SWI_GROW(scope->extra, scope->extra_capacity, scope->extra_count + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    setting.name = swi_deck_text(deck, name, length);
    scope->extra[scope->extra_count++] = setting;
}

static swi_outcome declared_value(swi_deck *deck, swi_scope *scope, uint32_t i, sw_span span,
                                  double *value) {
    swi_setting *setting = &scope->values[i];
    if (setting->state == SWI_UNSET) {
        setting->state = SWI_BUSY;
        swi_outcome outcome =
            swi_evaluate(deck, scope, scope->def->params[i].expression, &setting->value);
        setting->state = outcome == SWI_VALUE       ? SWI_SET
                         : outcome == SWI_BEHAVIOUR ? SWI_MOVING
                                                    : SWI_FAILED;
    } else if (setting->state == SWI_BUSY) {
        sw_diag_add(deck->diags, SW_D_SPICE_PARAMETER, span, "the parameter %s depends on itself",
                    scope->def->params[i].name);
        setting->state = SWI_FAILED;
    }
    *value = setting->value;
    return setting->state == SWI_SET      ? SWI_VALUE
           : setting->state == SWI_MOVING ? SWI_BEHAVIOUR
                                          : SWI_WRONG;
}

swi_outcome swi_scope_value(swi_deck *deck, swi_scope *scope, const char *name, size_t length,
                            sw_span span, double *value, bool *found) {
    *found = true;
    for (; scope != NULL; scope = scope->outer) {
        for (size_t j = 0; j < scope->extra_count; j++) {
            if (swi_equal_fold_n(name, length, scope->extra[j].name)) {
                *value = scope->extra[j].value;
                return SWI_VALUE;
            }
        }
        uint32_t i = swi_spice_get(scope->def->param_map, name, length);
        if (i != SW_NONE) return declared_value(deck, scope, i, span, value);
    }
    *found = false;
    return SWI_VALUE;
}
