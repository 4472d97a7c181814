/* src/base/diag.c: the sink that collects diagnostics. */
#include "fault.h"
#include "sink.h"
#include "text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const struct {
    const char *name;
    sw_severity severity;
} ids[SW_DIAG_COUNT] = {
#define SW_DIAG(name, text, severity) {text, severity},
#include <stripwright/diagnostics.def>
#undef SW_DIAG
};

const char *sw_diag_name(sw_diag_id id) {
    return ids[id].name;
}

sw_severity sw_diag_severity(sw_diag_id id) {
    return ids[id].severity;
}

const char *sw_severity_name(sw_severity severity) {
    static const char *const names[] = {"quiet", "note", "warning", "error"};
    return names[severity];
}

bool sw_diag_find(const char *name, sw_diag_id *id) {
    for (int i = 0; i < SW_DIAG_COUNT; i++) {
        if (strcmp(ids[i].name, name) == 0) {
            *id = (sw_diag_id)i;
            return true;
        }
    }
    return false;
}

sw_diags *sw_diags_new(const sw_limits *limits) {
    sw_diags *diags = calloc(1, sizeof *diags);
    if (!diags)
        return NULL;
    diags->arena = swi_arena_new();
    if (!diags->arena) {
        free(diags);
        return NULL;
    }
    if (limits)
        diags->limits = *limits;
    else
        sw_limits_default(&diags->limits);
    for (int i = 0; i < SW_DIAG_COUNT; i++)
        diags->treatment[i] = ids[i].severity;
    diags->memory = (sw_diag){SW_D_MEMORY, SW_ERROR, SW_NOWHERE,
                              "memory is out: not everything could be said"};
    return diags;
}

void sw_diags_free(sw_diags *diags) {
    if (!diags)
        return;
    for (size_t i = 0; i < diags->source_count; i++) {
        free(diags->sources[i].name);
        free(diags->sources[i].bytes);
        free(diags->sources[i].marks);
    }
    free(diags->sources);
    free(diags->list);
    swi_arena_free(diags->arena);
    free(diags);
}

const sw_limits *sw_diags_limits(const sw_diags *diags) {
    return &diags->limits;
}

enum { LONGEST = 600, LONGEST_WORD = 60 };

/* Bytes of the text up to `most` that do not end within a character. */
static size_t whole_characters(const char *text, size_t most) {
    while (most > 0 && ((unsigned char)text[most] & 0xC0) == 0x80)
        most--;
    return most;
}

/* Words of more than 60 bytes, which are names of strangers, lose their middle, so that
 * the end of the message stays, which says what to do. */
static void put_short_words(sw_buf *out, const char *text) {
    while (*text) {
        size_t length = strcspn(text, " "), blank = text[length] == ' ';
        if (length <= LONGEST_WORD) {
            sw_buf_put(out, text, length + blank);
        } else {
            size_t front = whole_characters(text, LONGEST_WORD / 2);
            size_t back = length - LONGEST_WORD / 2;
            while (((unsigned char)text[back] & 0xC0) == 0x80)
                back++;
            sw_buf_put(out, text, front);
            sw_buf_puts(out, "…");
            sw_buf_put(out, text + back, length - back + blank);
        }
        text += length + blank;
    }
}

/* The message as kept: one line that a terminal shows and does not obey. */
static const char *message_of(sw_diags *diags, const char *format, va_list arguments) {
    char text[LONGEST + 1];
    va_list again;
    va_copy(again, arguments);
    int wanted = vsnprintf(text, sizeof text, format, arguments);
    sw_buf whole = SW_BUF_INIT, visible = SW_BUF_INIT;
    if (wanted > LONGEST) {
        char *all = malloc((size_t)wanted + 1);
        if (all) {
            vsnprintf(all, (size_t)wanted + 1, format, again);
            put_short_words(&whole, all);
        }
        whole.failed |= !all;
        free(all);
    } else if (wanted >= 0) {
        sw_buf_puts(&whole, text);
    }
    va_end(again);
    const char *kept = NULL;
    if (wanted >= 0 && !whole.failed) {
        bool cut = whole.length > LONGEST;
        const char *shown = whole.bytes ? whole.bytes : "";
        swi_put_visible(&visible, shown, cut ? whole_characters(shown, LONGEST) : whole.length,
                        false);
        if (cut)
            sw_buf_puts(&visible, "…");
        kept = visible.failed ? NULL
                              : swi_arena_text(diags->arena, visible.bytes ? visible.bytes : "",
                                               visible.length);
    }
    sw_buf_free(&whole);
    sw_buf_free(&visible);
    return kept;
}

static bool keep(sw_diags *diags, const sw_diag *diag) {
    if (!diag->message || !SWI_GROW(diags->list, diags->capacity, diags->count + 1))
        return false;
    sw_diag *copy = swi_arena_alloc(diags->arena, sizeof *copy);
    if (!copy)
        return false;
    *copy = *diag;
    diags->list[diags->count++] = copy;
    diags->kept[diag->id]++;
    return true;
}

void sw_diag_add(sw_diags *diags, sw_diag_id id, sw_span span, const char *format, ...) {
    sw_severity severity = diags->treatment[id];
    if (severity == SW_QUIET)
        return;
    if (severity == SW_WARNING && diags->strict)
        severity = SW_ERROR;
    diags->of_severity[severity]++;
    if (diags->added[id]++ >= diags->limits.diagnostics)
        return;
    va_list arguments;
    va_start(arguments, format);
    sw_diag diag = {id, severity, span, message_of(diags, format, arguments)};
    va_end(arguments);
    if (!keep(diags, &diag))
        diags->short_of_memory = true;
}

size_t sw_diags_count(const sw_diags *diags) {
    return diags->count + diags->short_of_memory;
}

const sw_diag *sw_diags_get(const sw_diags *diags, size_t index) {
    return index < diags->count ? diags->list[index] : &diags->memory;
}

size_t sw_diags_of(const sw_diags *diags, sw_severity severity) {
    return diags->of_severity[severity];
}

size_t sw_diags_hidden(const sw_diags *diags, sw_diag_id id) {
    return diags->added[id] - diags->kept[id];
}

bool sw_diags_treat(sw_diags *diags, sw_diag_id id, sw_severity severity) {
    if (ids[id].severity == SW_ERROR && severity != SW_ERROR)
        return false;
    diags->treatment[id] = severity;
    return true;
}

void sw_diags_strict(sw_diags *diags, bool strict) {
    diags->strict = strict;
}

sw_status swi_sink_adopt(sw_diags *diags, const char *name, char *bytes, size_t length,
                         sw_input *out) {
    size_t name_size = strlen(name) + 1;
    char *name_copy = malloc(name_size);
    if (!name_copy || diags->source_count >= UINT32_MAX - 1 ||
        !SWI_GROW(diags->sources, diags->source_capacity, diags->source_count + 1)) {
        free(name_copy);
        free(bytes);
        return swi_out_of_memory(diags);
    }
    memcpy(name_copy, name, name_size);
    diags->sources[diags->source_count++] =
        (swi_source){.name = name_copy, .bytes = bytes, .length = length};
    *out = (sw_input){(uint32_t)diags->source_count, name_copy, bytes, length};
    return SW_OK;
}
