/* formats/spice/spice_include.c: cards that open other files.  The reader opens
 * nothing itself: it asks the caller, who may refuse. */
#include "spice.h"

#include <string.h>

static bool line_is(const char *text, size_t length, const char *word) {
    size_t n = strlen(word);
    return length >= n && swi_equal_fold_n(text, n, word) && (length == n || swi_is_space(text[n]));
}

const swi_file *swi_deck_file(swi_deck *deck, uint32_t number) {
    swi_file *file = &deck->files[number];
    const char *text = file->input.bytes;
    size_t left = file->input.length, begun = 0, ended = 0;
    while (!file->looked_through && left > 0) {
        const char *newline = memchr(text, '\n', left);
        size_t length = newline != NULL ? (size_t)(newline - text) : left;
        size_t start = 0;
        while (start < length && swi_is_space(text[start]))
            start++;
        if (start < length && text[start] == '.') {
            const char *word = text + start;
            size_t n = length - start;
            begun += line_is(word, n, ".subckt") || line_is(word, n, ".macro") ? 1 : 0;
            ended += line_is(word, n, ".ends") || line_is(word, n, ".eom") ? 1 : 0;
            file->has_endl = file->has_endl || line_is(word, n, ".endl");
        }
        size_t step = length < left ? length + 1 : left;
        text += step;
        left -= step;
    }
    if (!file->looked_through) file->short_of_ends = ended < begun;
    file->looked_through = true;
    return file;
}

/* The file's name on the card: quoted, or as far as the next blank. */
static swi_slice path_on(const swi_line *line) {
    if (line->tokens[1].kind != SWI_WORD) return swi_token_slice(line, 1);
    swi_slice rest = swi_line_rest(line, 1);
    size_t n = 0;
    while (n < rest.length && !swi_is_space(rest.text[n]))
        n++;
    return swi_slice_from(rest, 0, n);
}

static bool is_open(const swi_deck *deck, const sw_input *input) {
    for (size_t i = 0; i < deck->include_depth; i++)
        if (strcmp(deck->files[deck->including[i]].input.name, input->name) == 0) return true;
    return false;
}

/* The caller's answer as a file of the deck. */
static bool open_file(swi_deck *deck, const char *path, uint32_t asking, sw_span span,
                    uint32_t *number) {
    sw_input found = {0};
    if (deck->options->include == NULL) {
        sw_diag_add(deck->diags, SW_D_SPICE_INCLUDE_REFUSED, span,
                    "the file %s is not opened: allow its folder with --allow, or put its text "
                    "into the deck",
                    path);
        return false;
    }
    sw_status status = deck->options->include(
        deck->options->include_user, path, &deck->files[asking].input, span, deck->diags, &found);
    if (status != SW_OK) { /* the caller has said why */
        deck->unreadable = deck->unreadable || status == SW_SYSTEM;
        return false;
    }
    if (is_open(deck, &found)) {
        sw_diag_add(deck->diags, SW_D_SPICE_INCLUDE_CYCLE, span,
                    "%s includes itself by way of this card: leave one of the cards out",
                    found.name);
        return false;
    }
    if (!SWI_GROW(deck->files, deck->file_capacity, deck->file_count + 1)) {
        swi_deck_out_of_memory(deck);
        return false;
    }
    *number = (uint32_t)deck->file_count;
    deck->files[deck->file_count++] = (swi_file){.input = found};
    return true;
}

/* Files that were asked for ahead are not asked for again, nor their faults told. */
static bool ask_for(swi_deck *deck, const char *path, uint32_t asking, sw_span span,
                    uint32_t *number) {
    sw_buf key = SW_BUF_INIT;
    sw_buf_printf(&key, "%u %s", asking, path);
    uint32_t known = SW_NONE;
    bool fine = false;
    if (!key.failed) known = swi_spice_get(deck->asked, key.bytes, key.length);
    if (known != SW_NONE) {
        *number = known;
        fine = known < deck->file_count;
    } else {
        fine = open_file(deck, path, asking, span, number);
        uint32_t answer = fine ? *number : SW_NONE - 1;
        if (!key.failed && deck->quiet != NULL)
            swi_spice_put(deck, &deck->asked, key.bytes, key.length, answer);
    }
    swi_deck_drop(deck, &key);
    return fine;
}

static bool within_limits(swi_deck *deck, sw_span span) {
    if (deck->include_depth > deck->limits->nesting) {
        sw_diag_add(deck->diags, SW_D_LIMIT_NESTING, span,
                    "files include one another more than %u deep", deck->limits->nesting);
        return false;
    }
    if (deck->file_bytes > deck->limits->file_bytes ||
        deck->include_count > deck->limits->expansion) {
        sw_diag_add(deck->diags, SW_D_LIMIT_FILE, span,
                    "this deck includes more than %zu bytes or %u files in all",
                    deck->limits->file_bytes, deck->limits->expansion);
        deck->stopped = true;
        return false;
    }
    return true;
}

static void include(swi_deck *deck, swi_card card, swi_slice path, swi_slice wanted) {
    sw_span span = swi_slice_span(path);
    const char *section = NULL;
    if (wanted.text != NULL) section = swi_deck_text(deck, wanted.text, wanted.length);
    const char *name = swi_deck_text(deck, path.text, path.length);
    uint32_t number = 0;
    if (!within_limits(deck, span) || !ask_for(deck, name, card.input, span, &number)) return;
    if (!SWI_GROW(deck->including, deck->include_capacity, deck->include_depth + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    deck->including[deck->include_depth++] = number;
    deck->include_count++; /* also of a file that was opened ahead: it is read again */
    deck->file_bytes += deck->files[number].input.length;
    swi_deck_read_file(deck, number, 0, section, swi_slice_span(wanted));
    deck->include_depth--;
}

void swi_card_include(swi_deck *deck, swi_card card) {
    if (deck->line.count < 2) {
        sw_diag_add(deck->diags, SW_D_SPICE_CARD, swi_token_span(&deck->line, 0),
                    "the name of the file to include is missing");
        return;
    }
    include(deck, card, path_on(&deck->line), (swi_slice){0});
}

/* `.lib file section`; `.lib file`, all of it; or, within a library made of
 * sections, `.lib section`, which nobody asked for here. */
swi_after swi_card_library(swi_deck *deck, swi_card card, bool in_section) {
    const swi_line *line = &deck->line;
    if (line->count < 2) {
        swi_card_include(deck, card); /* says what is missing */
    } else if (line->count == 2 && !in_section && swi_deck_file(deck, card.input)->has_endl) {
        return SWI_SKIP_SECTION;
    } else if (line->count == 2) {
        include(deck, card, path_on(line), (swi_slice){0});
    } else {
        include(deck, card, path_on(line), swi_token_slice(line, line->count - 1));
    }
    return SWI_GO_ON;
}
