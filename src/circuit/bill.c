/* src/circuit/bill.c: headings and lists of references of bills of materials, as drawing programs and people
 * write them: a row a sort of part, with all its references in one cell.
 */
#include "circuit/bill.h"

#include "base/num.h"
#include "base/text.h"

#include <stdio.h>
#include <string.h>

/* In lower case, letters and digits only. */
static const struct { const char *heading; int column; } headings[] = {
    {"ref", SWI_BILL_REFERENCES},        {"refs", SWI_BILL_REFERENCES},       {"reference", SWI_BILL_REFERENCES},
    {"references", SWI_BILL_REFERENCES}, {"refdes", SWI_BILL_REFERENCES},     {"designator", SWI_BILL_REFERENCES},
    {"designators", SWI_BILL_REFERENCES}, {"part", SWI_BILL_REFERENCES},      {"parts", SWI_BILL_REFERENCES},
    {"referencedesignator", SWI_BILL_REFERENCES}, {"partreference", SWI_BILL_REFERENCES},
    {"value", SWI_CELL_VALUE},           {"val", SWI_CELL_VALUE},             {"comment", SWI_CELL_VALUE},
    {"package", SWI_CELL_PACKAGE},       {"footprint", SWI_CELL_PACKAGE},     {"case", SWI_CELL_PACKAGE},
    {"pattern", SWI_CELL_PACKAGE},       {"device", SWI_CELL_DEVICE},         {"pins", SWI_CELL_PINS},
    {"place", SWI_CELL_PLACE},           {"omit", SWI_CELL_OMIT},             {"dnp", SWI_CELL_OMIT},
    {"donotpopulate", SWI_CELL_OMIT},    {"donotfit", SWI_CELL_OMIT}};

enum { LONGEST = 24 };

static void normal(const char *heading, size_t length, char word[LONGEST]) {
    size_t n = 0;
    for (size_t i = 0; i < length && n < LONGEST - 1; i++)
        if (swi_is_alpha(heading[i]) || swi_is_digit(heading[i]))
            word[n++] = swi_lower(heading[i]);
    word[n] = '\0';
}

bool swi_bill_is_certain(const char *heading, size_t length) {
    char word[LONGEST];
    normal(heading, length, word);
    bool vague = strcmp(word, "ref") == 0 || strcmp(word, "part") == 0 || strcmp(word, "parts") == 0;
    return !vague && swi_bill_column(heading, length) == SWI_BILL_REFERENCES;
}

int swi_bill_column(const char *heading, size_t length) {
    char word[LONGEST];
    normal(heading, length, word);
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        if (strcmp(word, headings[i].heading) == 0)
            return headings[i].column;
    return SWI_BILL_NOTHING;
}

/* ---- lists of references ---- */

static bool parts_words(char c) {
    return swi_is_space(c) || c == ',' || c == ';';
}

/* Letters, then a number; false for other references. */
static bool take_number(const char *word, size_t length, size_t *letters, long *number) {
    char digits[8];
    for (*letters = 0; *letters < length && swi_is_alpha(word[*letters]);)
        ++*letters;
    size_t count = length - *letters;
    if (*letters == 0 || count == 0 || count >= sizeof digits)
        return false;
    memcpy(digits, word + *letters, count);
    digits[count] = '\0';
    return swi_int_read(digits, 0, 9999999, number);
}

/* R5-R8, and not more at a time than a board has. */
static bool is_run(const char *word, size_t length, swi_bill_list *list) {
    enum { MOST = 500 };
    const char *dash = memchr(word, '-', length);
    size_t before = dash ? (size_t)(dash - word) : 0, letters;
    long first, last;
    if (!dash || !take_number(word, before, &list->letters, &first) ||
        !take_number(dash + 1, length - before - 1, &letters, &last))
        return false;
    if (letters != list->letters || memcmp(word, dash + 1, letters) != 0 || last <= first || last - first >= MOST)
        return false;
    list->next = first;
    list->last = last;
    return true;
}

bool swi_bill_next(swi_bill_list *list, const char *text, char *out, size_t room) {
    if (list->length == 0 || list->next > list->last) {
        while (parts_words(text[list->at]))
            list->at++;
        list->from = list->at;
        while (text[list->at] && !parts_words(text[list->at]))
            list->at++;
        list->length = list->at - list->from;
        list->next = 1;
        list->last = 0;
        if (list->length == 0)
            return false;
        if (!is_run(text + list->from, list->length, list)) {
            snprintf(out, room, "%.*s", (int)list->length, text + list->from);
            return true;
        }
    }
    snprintf(out, room, "%.*s%ld", (int)list->letters, text + list->from, list->next++);
    return true;
}
