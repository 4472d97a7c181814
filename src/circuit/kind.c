/* Kinds from the letters of references. */
#include "circuit/kind.h"

#include "base/text.h"

#include <string.h>

/* The kind for a part of two pins, of three, and of any other number. */
typedef struct letters {
    const char *prefix;
    char two, three, other;
} letters;

static const letters table[] = {
    {"R", 'R', 'R', 'R'},    {"RES", 'R', 'R', 'R'},  {"RT", 'R', 'R', 'R'},
    {"TH", 'R', 'R', 'R'},   {"NTC", 'R', 'R', 'R'},  {"PTC", 'R', 'R', 'R'},
    {"LDR", 'R', 'R', 'R'},  {"C", 'C', 'C', 'C'},    {"CV", 'C', 'C', 'C'},
    {"VC", 'C', 'C', 'C'},   {"L", 'L', 'L', 'L'},
    {"D", 'D', 'D', 'D'},    {"LED", 'D', 'D', 'D'},  {"ZD", 'D', 'D', 'D'},
    {"DZ", 'D', 'D', 'D'},   {"CR", 'D', 'D', 'D'},   {"VD", 'D', 'D', 'D'},
    {"Q", 'Q', 'Q', 'Q'},    {"VT", 'Q', 'Q', 'Q'},   {"T", '?', 'Q', '?'},
    {"TR", '?', 'Q', '?'},
    {"RV", 'P', 'P', 'P'},   {"VR", 'P', 'P', 'P'},   {"RP", 'P', 'P', 'P'},
    {"PR", 'P', 'P', 'P'},   {"POT", 'P', 'P', 'P'},  {"TRIM", 'P', 'P', 'P'},
    {"U", 'X', 'X', 'X'},    {"IC", 'X', 'X', 'X'},   {"N", 'X', 'X', 'X'},
    {"RN", 'X', 'X', 'X'},   {"RA", 'X', 'X', 'X'},   {"BR", 'X', 'X', 'X'},
    {"OC", 'X', 'X', 'X'},   {"OK", 'X', 'X', 'X'},   {"OPTO", 'X', 'X', 'X'},
    {"K", 'X', 'X', 'X'},    {"RL", 'R', 'X', 'X'},   {"RLY", 'X', 'X', 'X'},
    {"RLA", 'X', 'X', 'X'},
    {"J", 'N', 'N', 'N'},    {"P", 'N', 'P', 'N'},    {"X", 'N', 'N', 'N'},
    {"JP", 'N', 'N', 'N'},   {"CN", 'N', 'N', 'N'},   {"CON", 'N', 'N', 'N'},
    {"CONN", 'N', 'N', 'N'}, {"PL", 'N', 'N', 'N'},   {"SK", 'N', 'N', 'N'},
    {"TB", 'N', 'N', 'N'},   {"TP", 'N', 'N', 'N'},
    {"S", 'S', 'S', 'S'},    {"SW", 'S', 'S', 'S'},   {"PB", 'S', 'S', 'S'},
    {"B", 'V', '?', '?'},    {"BT", 'V', '?', '?'},   {"BAT", 'V', '?', '?'},
    {"BATT", 'V', '?', '?'}, {"V", 'V', '?', '?'},    {"I", 'I', '?', '?'},
    {"M", '?', 'M', 'M'},
    {"F", '?', '?', '?'},    {"FS", '?', '?', '?'},   {"BZ", '?', '?', '?'},
    {"LS", '?', '?', '?'},   {"Y", '?', '?', '?'},    {"XTAL", '?', '?', '?'},
    {"LP", '?', '?', '?'},
};

/* The letters that the reference begins with, behind its subcircuit's path. */
static size_t letters_of(const char *ref, const char **from) {
    const char *point = strrchr(ref, '.');
    *from = point ? point + 1 : ref;
    size_t length = 0;
    while (swi_is_alpha((*from)[length]))
        length++;
    return length;
}

static char by_count(const letters *row, uint32_t pins) {
    return pins == 2 ? row->two : pins == 3 ? row->three : row->other;
}

/* Words such as Rset or Cin: a first letter and a number of pins that agree. */
static char by_first_letter(char first, uint32_t pins) {
    if (pins == 2 && strchr("RCLD", first))
        return first;
    return pins == 3 && first == 'Q' ? 'Q' : '?';
}

char swi_kind_of_part(const sw_part *part) {
    const char *from;
    size_t length = letters_of(part->ref, &from);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        if (!swi_equal_fold_n(from, length, table[i].prefix))
            continue;
        char kind = by_count(&table[i], part->pin_count);
        /* P is a preset's letter and a plug's: a preset has a resistance. */
        if (length == 1 && kind == 'P' && !swi_is_digit(*part->value))
            return 'N';
        /* X is a socket's letter and a subcircuit's: the latter has a name. */
        if (length == 1 && kind == 'N' && swi_upper(*from) == 'X' && *part->device)
            return 'X';
        return kind;
    }
    return length ? by_first_letter(swi_upper(*from), part->pin_count) : '?';
}
