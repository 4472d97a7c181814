/* Telling a circuit table from the words over its columns. */
#include "formats/csv/csv.h"

#include "base/text.h"

#include <string.h>

const char *const swi_field_names[SWI_FIELD_COUNT] = {
    [SWI_REF] = "ref", [SWI_PIN] = "pin", [SWI_NODE] = "node", [SWI_PINS] = "pins",
    [SWI_VALUE] = "value", [SWI_DEVICE] = "device", [SWI_PACKAGE] = "package",
    [SWI_KIND] = "kind", [SWI_PATH] = "path", [SWI_FLAGS] = "flags", [SWI_PLACE] = "place", [SWI_OMIT] = "omit", [SWI_NAME] = "pin name",
    [SWI_TYPE] = "pin type", [SWI_RAIL] = "rail", [SWI_VOLTS] = "volts", [SWI_GLOBAL] = "global",
};

typedef struct synonym {
    const char *word; /* in lower case, letters and digits only */
    swi_field field;
} synonym;

static const synonym synonyms[] = {
    {"ref", SWI_REF}, {"refs", SWI_REF}, {"reference", SWI_REF}, {"refdes", SWI_REF},
    {"designator", SWI_REF},
    {"pin", SWI_PIN}, {"pinno", SWI_PIN}, {"pinnr", SWI_PIN}, {"pinnumber", SWI_PIN},
    {"terminal", SWI_PIN}, {"lead", SWI_PIN},
    {"node", SWI_NODE}, {"nodename", SWI_NODE}, {"net", SWI_NODE}, {"netname", SWI_NODE},
    {"signal", SWI_NODE}, {"signalname", SWI_NODE},
    {"pins", SWI_PINS}, {"pinlist", SWI_PINS}, {"connections", SWI_PINS}, {"leads", SWI_PINS},
    {"value", SWI_VALUE}, {"val", SWI_VALUE},
    {"device", SWI_DEVICE}, {"model", SWI_DEVICE}, {"partnumber", SWI_DEVICE},
    {"partno", SWI_DEVICE}, {"partname", SWI_DEVICE}, {"mpn", SWI_DEVICE},
    {"package", SWI_PACKAGE}, {"footprint", SWI_PACKAGE}, {"case", SWI_PACKAGE},
    {"housing", SWI_PACKAGE},
    {"kind", SWI_KIND}, {"path", SWI_PATH}, {"flags", SWI_FLAGS}, {"place", SWI_PLACE}, {"omit", SWI_OMIT},
    {"pinname", SWI_NAME}, {"function", SWI_NAME},
    {"pintype", SWI_TYPE}, {"direction", SWI_TYPE},
    {"rail", SWI_RAIL}, {"volts", SWI_VOLTS}, {"global", SWI_GLOBAL},
};

enum { LONGEST_WORD = 24 };

/* The word without case, blanks and marks; "" when it is too long for a synonym. */
static const char *normal(swi_cell cell, char out[LONGEST_WORD]) {
    size_t length = 0;
    for (size_t i = 0; i < cell.length; i++) {
        char c = swi_lower(cell.text[i]);
        if (!swi_is_alpha(c) && !swi_is_digit(c) && !((unsigned char)c & 0x80) && c != ':')
            continue;
        if (length == LONGEST_WORD - 1)
            return strcpy(out, "");
        out[length++] = c;
    }
    out[length] = '\0';
    return out;
}

static swi_field field_called(const char *word) {
    for (size_t i = 0; i < sizeof synonyms / sizeof *synonyms; i++)
        if (strcmp(word, synonyms[i].word) == 0)
            return synonyms[i].field;
    return SWI_PROPERTY;
}

bool swi_csv_reserved(const char *word) {
    static const char *const others[] = {"part", "component", "name", "type", "hole"};
    char text[LONGEST_WORD];
    normal((swi_cell){word, strlen(word)}, text);
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (strcmp(text, others[i]) == 0)
            return true;
    return !*word || strchr(word, ':') || field_called(text) != SWI_PROPERTY;
}

/* "Part" and "component" are the reference when nothing else is, else the device. */
static void place_part_word(swi_header *h, int column) {
    if (h->at[SWI_REF] < 0)
        h->at[SWI_REF] = column;
    else if (h->at[SWI_DEVICE] < 0)
        h->at[SWI_DEVICE] = column;
}

static void be_vague(swi_header *h, int column, const char *between) {
    h->vague = column;
    h->vague_between = between;
}

/* Words that mean nothing certain, once it is known what is there. */
static void weigh_vague_word(swi_header *h, int column, const char *word) {
    bool needs_ref = h->at[SWI_REF] < 0 && (h->at[SWI_PIN] >= 0 || h->at[SWI_PINS] >= 0);
    bool needs_node = h->at[SWI_NODE] < 0 && (h->at[SWI_PIN] >= 0 || h->at[SWI_PINS] >= 0);
    if (strcmp(word, "name") == 0 && needs_ref && needs_node)
        be_vague(h, column, "ref or node");
    else if (strcmp(word, "name") == 0 && needs_node && h->at[SWI_PIN] >= 0)
        be_vague(h, column, "node or pin name");
    else if (strcmp(word, "type") == 0 && h->at[SWI_DEVICE] < 0)
        be_vague(h, column, "device, kind, package or pin type");
}

/* Where the number at the word's end begins behind one of these words; NULL: it is no such column. */
static const char *number_behind(swi_cell word, const char *const *before) {
    size_t digits = 0;
    while (digits < word.length && swi_is_digit(word.text[word.length - 1 - digits]))
        digits++;
    char text[LONGEST_WORD];
    normal((swi_cell){word.text, word.length - digits}, text);
    for (; digits && digits < 4 && *before; before++)
        if (strcmp(text, *before) == 0)
            return word.text + word.length - digits;
    return NULL;
}

swi_cell swi_csv_pin_of_column(swi_cell word) {
    static const char *const before[] = {"", "pin", "lead", "terminal", NULL};
    const char *pin = number_behind(word, before);
    return pin ? (swi_cell){pin, (size_t)(word.text + word.length - pin)} : (swi_cell){"", 0};
}

static bool is_node_in_order(swi_cell cell) {
    static const char *const before[] = {"node", "net", NULL};
    char word[LONGEST_WORD];
    normal(cell, word);
    return strcmp(word, "from") == 0 || strcmp(word, "to") == 0 || number_behind(cell, before);
}

/* A column a pin, where no other says what the parts are joined to. */
static void find_pin_columns(swi_header *h, const swi_cell *cells, int count) {
    uint64_t named = 0, in_order = 0;
    int nodes = 0;
    if (h->at[SWI_REF] < 0 || h->at[SWI_PIN] >= 0 || h->at[SWI_NODE] >= 0 || h->at[SWI_PINS] >= 0)
        return;
    for (int i = 0; i < count && i < 64; i++) {
        bool node = is_node_in_order(cells[i]);
        nodes += node;
        in_order |= node ? UINT64_C(1) << i : 0;
        named |= swi_csv_pin_of_column(cells[i]).length ? UINT64_C(1) << i : 0;
    }
    h->in_order = !named && nodes > 1;
    h->pin_columns = h->in_order ? in_order : named;
}

static swi_form form_of(const swi_header *h) {
    bool ref = h->at[SWI_REF] >= 0, pin = h->at[SWI_PIN] >= 0;
    bool node = h->at[SWI_NODE] >= 0, pins = h->at[SWI_PINS] >= 0;
    if (ref && pin && node && !pins)
        return SWI_FORM_PINS;
    if (!ref && node && (pin != pins))
        return SWI_FORM_NODES; /* also with one pin a row */
    if (h->pin_columns || (ref && pins && !pin && !node))
        return SWI_FORM_PARTS;
    return SWI_FORM_NONE;
}

void swi_csv_header(swi_header *h, const swi_cell *cells, int count) {
    char word[LONGEST_WORD];
    *h = (swi_header){.doubled = -1, .twin = -1, .vague = -1, .vague_between = ""};
    for (int f = 0; f < SWI_FIELD_COUNT; f++)
        h->at[f] = -1;
    for (int i = 0; i < count; i++) {
        swi_field field = field_called(normal(cells[i], word));
        if (field == SWI_PROPERTY)
            continue;
        if (h->at[field] < 0) {
            h->at[field] = i;
        } else if (h->doubled < 0) {
            h->doubled = i;
            h->twin = h->at[field];
        }
    }
    for (int i = 0; i < count; i++) {
        normal(cells[i], word);
        if (strcmp(word, "part") == 0 || strcmp(word, "component") == 0)
            place_part_word(h, i);
    }
    for (int i = 0; i < count && h->vague < 0; i++)
        weigh_vague_word(h, i, normal(cells[i], word));
    find_pin_columns(h, cells, count);
    h->form = form_of(h);
    if (h->form == SWI_FORM_NODES && h->at[SWI_PINS] < 0) {
        h->at[SWI_PINS] = h->at[SWI_PIN];
        h->at[SWI_PIN] = -1;
    }
}

bool swi_csv_is_pin_column(const swi_header *h, int column) {
    return column < 64 && h->pin_columns >> column & 1;
}

swi_field swi_csv_field_of(const swi_header *h, int column) {
    if (swi_csv_is_pin_column(h, column))
        return SWI_PINS;
    for (int f = 0; f < SWI_FIELD_COUNT; f++)
        if (h->at[f] == column)
            return (swi_field)f;
    return SWI_PROPERTY;
}

/* Whether a row, from `from` to before `to`, is a comment or holds only blanks and
 * delimiters. */
static bool says_nothing(const char *bytes, size_t from, size_t to) {
    while (from < to && (swi_is_space(bytes[from]) || strchr(",;", bytes[from])))
        from++;
    return from == to || bytes[from] == '#';
}

size_t swi_csv_start(const char *bytes, size_t length) {
    size_t from = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    while (from < length) {
        size_t to = from;
        while (to < length && bytes[to] != '\n' && bytes[to] != '\r')
            to++;
        if (!says_nothing(bytes, from, to))
            return from;
        from = to < length ? to + 1 : to;
    }
    return from;
}
