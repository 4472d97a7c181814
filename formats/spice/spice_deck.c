/* formats/spice/spice_deck.c: the pass over the text, from files to cards.
 *
 * Each line is looked at once.  A card is noted with the stretch of text that
 * it and its continuation lines take up; only dot cards are taken apart here.
 */
#include "spice.h"

#include <stdlib.h>
#include <string.h>

typedef enum skip { SKIP_NOTHING, SKIP_CONTROL, SKIP_DATA, SKIP_SECTION } skip;

/* One file while it is gone through. */
typedef struct swi_reading {
    struct swi_reading *outer; /* of the file that includes this one */
    swi_deck *deck;
    const sw_input *file;
    uint32_t input;
    const char *section; /* library section wanted, or NULL */
    bool selected;       /* lines count: no section is wanted, or it is open */
    bool found;          /* the section was met */
    bool ended;
    skip skipping;
    sw_span skipped; /* the card that began it */
    bool pending;
    swi_card card;      /* the pending one */
    swi_def *stored;    /* the card above is the last of this definition; NULL: it is not */
    swi_slice rows[16]; /* `*@` lines among its continuations */
    size_t row_count;
    unsigned defs, ifs; /* open ones, while looking ahead */
} reading;

void swi_deck_out_of_memory(swi_deck *deck) {
    if (!deck->failed)
        sw_diag_add(deck->diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while reading a deck");
    deck->failed = true;
}

void swi_deck_drop(swi_deck *deck, sw_buf *buf) {
    if (buf->failed) swi_deck_out_of_memory(deck);
    sw_buf_free(buf);
}

const char *swi_deck_text(swi_deck *deck, const char *text, size_t length) {
    const char *kept = NULL;
    if (swi_utf8_valid(text, length)) {
        kept = swi_intern(deck->interner, text, length);
    } else {
        sw_buf clean = SW_BUF_INIT;
        swi_put_utf8(&clean, text, length);
        if (!clean.failed) kept = swi_intern(deck->interner, clean.bytes, clean.length);
        sw_buf_free(&clean);
    }
    if (kept == NULL) swi_deck_out_of_memory(deck);
    return kept != NULL ? kept : "";
}

swi_slice swi_deck_keep(swi_deck *deck, swi_slice slice) {
    const char *kept = swi_arena_text(deck->arena, slice.text, slice.length);
    if (kept == NULL) swi_deck_out_of_memory(deck);
    slice.text = kept != NULL ? kept : "";
    slice.length = kept != NULL ? slice.length : 0;
    return slice;
}

static void store_card(swi_deck *deck, swi_card card) {
    swi_def *def = deck->open;
    if (!SWI_GROW(def->cards, def->card_capacity, def->card_count + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    def->cards[def->card_count++] = card;
    if (card.kind == SWI_CARD_ELEMENT) deck->elements_read++;
}

static bool starts_with(const reading *pass, swi_card card, const char *word) {
    size_t n = strlen(word);
    return card.length >= n && swi_equal_fold_n(pass->file->bytes + card.offset, n, word) &&
           (card.length == n || strchr(" \t\r\n(\"'", pass->file->bytes[card.offset + n]) != NULL);
}

static bool branch_kind(const reading *pass, swi_card card, swi_card_kind *kind) {
    static const struct {
        const char *word;
        swi_card_kind kind;
    } words[] = {{".if", SWI_CARD_IF},
                 {".elseif", SWI_CARD_ELSEIF},
                 {".else", SWI_CARD_ELSE},
                 {".endif", SWI_CARD_ENDIF}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (starts_with(pass, card, words[i].word)) {
            *kind = words[i].kind;
            return true;
        }
    }
    return false;
}

static void load_line(reading *pass, swi_card card) {
    swi_slice text = {pass->file->bytes + card.offset, card.length, pass->file->source,
                      card.offset};
    swi_spice_join(&pass->deck->line, text, card.many);
}

static void look_ahead(swi_deck *deck);

/* Dot cards that only say what follows; the rest goes to swi_card_take. */
static void take_branch(reading *pass, swi_card card) {
    swi_deck *deck = pass->deck;
    if (deck->open == deck->root) {
        look_ahead(deck);
        swi_scope *top = swi_scope_new(deck, deck->root, NULL);
        load_line(pass, card);
        if (top != NULL) swi_branches_card(deck, deck->branches, (swi_card_kind)card.kind, top);
        swi_scope_free(top);
        return;
    }
    deck->open->conditions += card.kind == SWI_CARD_IF ? 1 : 0;
    deck->open->conditions -= card.kind == SWI_CARD_ENDIF && deck->open->conditions > 0 ? 1 : 0;
    store_card(deck, card);
}

static void take_dot(reading *pass, swi_card card) {
    swi_deck *deck = pass->deck;
    load_line(pass, card);
    if (!swi_spice_split(&deck->line, deck->diags) || deck->line.count == 0) return;
    switch (swi_card_take(deck, card, pass->section != NULL)) {
    case SWI_AT_END:
        pass->ended = true;
        break;
    case SWI_SKIP_CONTROL:
        pass->skipping = SKIP_CONTROL;
        pass->skipped = swi_token_span(&deck->line, 0);
        break;
    case SWI_SKIP_DATA:
        pass->skipping = SKIP_DATA;
        break;
    case SWI_SKIP_SECTION:
        pass->skipping = SKIP_SECTION;
        break;
    case SWI_END_SECTION:
        pass->selected = false;
        break;
    case SWI_STORE:
        card.kind = SWI_CARD_PARAM;
        store_card(deck, card);
        break;
    case SWI_GO_ON:
        break;
    }
}

/* Outside the wanted section: is this the card that opens it? */
static void look_for_section(reading *pass, swi_card card) {
    swi_deck *deck = pass->deck;
    if (!starts_with(pass, card, ".lib")) return;
    load_line(pass, card);
    if (swi_spice_split(&deck->line, deck->quiet != NULL ? deck->quiet : deck->diags) &&
        deck->line.count == 2) {
        swi_slice name = swi_token_slice(&deck->line, 1);
        pass->selected = swi_equal_fold_n(name.text, name.length, pass->section);
        pass->found = pass->found || pass->selected;
    }
}

/* ---- looking ahead ----
 *
 * The deck's parameters hold wherever they stand, so those below its first `.if` are
 * taken in before that is judged: not the ones in branches or in subcircuits.
 */

static bool tracks_ahead(reading *pass, swi_card card) {
    swi_card_kind kind = SWI_CARD_ELEMENT;
    bool branch = branch_kind(pass, card, &kind);
    pass->ifs += branch && kind == SWI_CARD_IF;
    pass->ifs -= branch && kind == SWI_CARD_ENDIF && pass->ifs > 0;
    if (starts_with(pass, card, ".subckt") || starts_with(pass, card, ".macro") ||
        starts_with(pass, card, ".sub")) {
        pass->defs++;
    } else if ((starts_with(pass, card, ".ends") || starts_with(pass, card, ".eom")) &&
               pass->defs > 0) {
        bool all = swi_deck_file(pass->deck, pass->input)->short_of_ends;
        pass->defs = all ? 0 : pass->defs - 1;
    } else {
        return branch;
    }
    return true;
}

static void take_ahead(reading *pass, swi_card card) {
    swi_deck *deck = pass->deck;
    sw_diags *loud = deck->diags;
    if (pass->file->bytes[card.offset] != '.' || tracks_ahead(pass, card) || pass->defs > 0 ||
        pass->ifs > 0)
        return;
    load_line(pass, card);
    if (!swi_spice_split(&deck->line, deck->quiet) || deck->line.count == 0) return;
    if (swi_token_is(&deck->line, 0, ".end")) {
        pass->ended = true;
    } else if (swi_token_is(&deck->line, 0, ".endl")) {
        pass->selected = pass->section == NULL;
    } else if (swi_token_is(&deck->line, 0, ".control")) {
        pass->skipping = SKIP_CONTROL;
    } else if (swi_token_is(&deck->line, 0, ".data")) {
        pass->skipping = SKIP_DATA;
    } else if (swi_token_is(&deck->line, 0, ".lib")) {
        if (swi_card_library(deck, card, pass->section != NULL) == SWI_SKIP_SECTION)
            pass->skipping = SKIP_SECTION;
    } else if (swi_token_is(&deck->line, 0, ".include") || swi_token_is(&deck->line, 0, ".inc") ||
               swi_token_is(&deck->line, 0, ".incl")) {
        swi_card_include(deck, card);
    } else {
        deck->diags = deck->quiet;
        swi_card_parameters(deck);
        deck->diags = loud;
    }
}

static void take_card(reading *pass, swi_card card) {
    swi_deck *deck = pass->deck;
    char c = pass->file->bytes[card.offset];
    swi_card_kind kind = SWI_CARD_ELEMENT;
    if (!pass->selected) {
        look_for_section(pass, card);
    } else if (deck->quiet != NULL) {
        take_ahead(pass, card);
    } else if (c == '.' && branch_kind(pass, card, &kind)) {
        card.kind = (uint8_t)kind;
        take_branch(pass, card);
    } else if (deck->open == deck->root && !swi_branches_on(deck->branches)) {
        return; /* in a branch not taken */
    } else if (c == '.') {
        take_dot(pass, card);
    } else if (swi_is_alpha(c)) {
        store_card(deck, card);
    } else {
        sw_span span = {pass->file->source, card.offset, 1};
        sw_diag_add(deck->diags, SW_D_SPICE_LINE, span,
                    "a line that begins with this is no element, card or comment: begin it with "
                    "an element's letter, `.`, `+` or `*`");
    }
}

static void flush(reading *pass) {
    bool pending = pass->pending;
    pass->pending = false;
    pass->stored = NULL;
    if (pending) take_card(pass, pass->card);
    bool on = pass->selected &&
              (pass->deck->open != pass->deck->root || swi_branches_on(pass->deck->branches));
    for (size_t i = 0; i < pass->row_count && on; i++)
        swi_row_take(pass->deck, pass->rows[i]);
    pass->row_count = 0;
}

/* A line inside something that is skipped: does it end it? */
static void skip_line(reading *pass, swi_card line) {
    static const char *const ends[] = {
        [SKIP_CONTROL] = ".endc", [SKIP_DATA] = ".enddata", [SKIP_SECTION] = ".endl"};
    if (starts_with(pass, line, ends[pass->skipping])) pass->skipping = SKIP_NOTHING;
}

static void continue_card(reading *pass, swi_card line) {
    if (pass->pending || pass->stored != NULL) {
        swi_card *card =
            pass->pending ? &pass->card : &pass->stored->cards[pass->stored->card_count - 1];
        card->length = line.offset + line.length - card->offset;
        card->many = true;
    } else if (pass->selected && pass->skipping == SKIP_NOTHING && pass->deck->quiet == NULL) {
        sw_span span = {pass->file->source, line.offset, 1};
        sw_diag_add(pass->deck->diags, SW_D_SPICE_CONTINUATION, span,
                    "nothing stands before this + that it could continue: put the card above it");
    }
}

/* Nearly every line is an element's that counts: it is kept at once, and what may follow
 * goes on with it there. */
static bool store_element(reading *pass, swi_card line) {
    swi_deck *deck = pass->deck;
    if (!swi_is_alpha(pass->file->bytes[line.offset]) || pass->pending || pass->row_count > 0 ||
        pass->skipping != SKIP_NOTHING || !pass->selected || deck->quiet != NULL ||
        (deck->open == deck->root && !swi_branches_on(deck->branches)))
        return false;
    store_card(deck, line);
    pass->stored = deck->failed ? NULL : deck->open;
    return true;
}

static void comment_line(reading *pass, swi_card line) {
    const char *text = pass->file->bytes + line.offset;
    if (line.length < 3 || text[1] != '@' || (text[2] != ' ' && text[2] != '\t') ||
        pass->skipping != SKIP_NOTHING || pass->deck->quiet != NULL)
        return;
    if (pass->row_count == sizeof pass->rows / sizeof *pass->rows) flush(pass);
    pass->rows[pass->row_count++] = (swi_slice){text, line.length, pass->file->source, line.offset};
}

/* One line without its end; card.offset is at its first character. */
static void take_line(reading *pass, swi_card line) {
    const char *text = pass->file->bytes + line.offset;
    if (store_element(pass, line)) return;
    switch (text[0]) {
    case '*':
        comment_line(pass, line);
        return;
    case '$':
    case '#':
    case ';':
        return;
    case '/':
        if (line.length > 1 && text[1] == '/') return;
        break;
    case '+':
        continue_card(pass, line);
        return;
    default:
        break;
    }
    flush(pass);
    if (pass->ended) return;
    if (pass->skipping != SKIP_NOTHING) {
        skip_line(pass, line);
        return;
    }
    pass->card = line;
    pass->pending = true;
}

static void take_lines(reading *pass, size_t at) {
    const char *bytes = pass->file->bytes;
    size_t length = pass->file->length;
    while (at < length && !pass->ended && !pass->deck->failed && !pass->deck->stopped) {
        const char *newline = memchr(bytes + at, '\n', length - at);
        size_t end = newline != NULL ? (size_t)(newline - bytes) : length, next = end + 1;
        while (at < end && swi_is_space(bytes[at]))
            at++;
        while (end > at && swi_is_space(bytes[end - 1]))
            end--;
        if (at < end) {
            swi_card line = {.input = pass->input,
                             .offset = (uint32_t)at,
                             .length = (uint32_t)(end - at),
                             .kind = SWI_CARD_ELEMENT};
            take_line(pass, line);
        }
        at = next;
    }
    if (!pass->deck->stopped) flush(pass);
}

/* What is below the place in hand: in this file, then in those that include it. */
static void look_ahead(swi_deck *deck) {
    if (deck->looked_ahead) return;
    size_t depth = deck->include_depth, bytes = deck->file_bytes, count = deck->include_count;
    uint32_t *including = swi_arena_array(deck->arena, depth + 1, sizeof *including);
    deck->looked_ahead = true;
    deck->quiet = sw_diags_new(deck->limits);
    if (including == NULL || deck->quiet == NULL) {
        sw_diags_free(deck->quiet);
        deck->quiet = NULL;
        swi_deck_out_of_memory(deck);
        return;
    }
    memcpy(including, deck->including, depth * sizeof *including);
    reading *here = deck->reading;
    for (reading *at = here; at != NULL && !deck->failed; at = at->outer) {
        reading rest = {.deck = deck, .file = at->file, .input = at->input,
                        .section = at->section, .selected = at->selected};
        take_lines(&rest, at->card.offset + at->card.length);
        deck->include_depth--;
    }
    memcpy(deck->including, including, depth * sizeof *including);
    deck->include_depth = depth;
    deck->file_bytes = bytes;
    deck->include_count = count;
    sw_diags_free(deck->quiet);
    deck->quiet = NULL;
}

static void end_of_file(const reading *pass, sw_span asked) {
    swi_deck *deck = pass->deck;
    if (deck->failed || deck->stopped) return;
    if (pass->skipping == SKIP_CONTROL)
        sw_diag_add(deck->diags, SW_D_SPICE_BLOCK_OPEN, pass->skipped,
                    "this is not closed: everything after it was passed over; close it with .endc");
    if (pass->section != NULL && !pass->found)
        sw_diag_add(deck->diags, SW_D_SPICE_SECTION, asked, "%s has no section `%s`",
                    pass->file->name, pass->section);
    swi_branches_end(deck, deck->branches);
}

void swi_deck_read_file(swi_deck *deck, uint32_t number, size_t start, const char *section,
                        sw_span asked) {
    sw_input file = deck->files[number].input; /* the array may move below */
    swi_branches own = {.depth = 0}, *outer = deck->branches;
    reading pass = {.deck = deck,
                    .file = &file,
                    .input = number,
                    .section = section,
                    .selected = section == NULL};
    const char *nul = memchr(file.bytes, '\0', file.length);
    if (nul != NULL) {
        sw_span span = {file.source, (uint32_t)(nul - file.bytes), 1};
        sw_diag_add(deck->diags, SW_D_INPUT_BINARY, span,
                    "this is no text: a deck in UTF-16 must be saved as UTF-8 first");
        return;
    }
    if (deck->quiet != NULL) {
        take_lines(&pass, start);
        return;
    }
    pass.outer = deck->reading;
    deck->reading = &pass;
    deck->branches = &own;
    own.outer = outer;
    take_lines(&pass, start);
    end_of_file(&pass, asked);
    deck->branches = outer;
    deck->reading = pass.outer;
}
