/* src/layout/options.c: the search's plain options by name. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include <stripwright/layout.h>

#include "base/num.h"
#include "base/text.h"

typedef enum option_type { TYPE_INT, TYPE_REAL, TYPE_SEED, TYPE_FLAG, TYPE_EFFORT, TYPE_PREFER } option_type;

typedef struct option_row {
    const char *name;
    option_type type;
    size_t offset;
    long least, most;
    const char *wants;
} option_row;

#define WORDS_INT(least, most) "a whole number from " #least " to " #most
#define WORDS_REAL(least, most) "a number from " #least " to " #most
#define WORDS_SEED(least, most) "a whole number"
#define WORDS_FLAG(least, most) "yes or no"
#define WORDS_EFFORT(least, most) "quick, normal or thorough"
#define WORDS_PREFER(least, most) "balance, area, strips, columns, links or symmetry"

static const option_row rows[] = {
#define SW_LAYOUT_OPTION(field, name, type, least, most, start, argument, help) \
    {name, TYPE_##type, offsetof(sw_layout_options, field), least, most, WORDS_##type(least, most)},
#include <stripwright/layout-options.def>
#undef SW_LAYOUT_OPTION
};

void sw_layout_options_default(sw_layout_options *options) {
    memset(options, 0, sizeof *options);
#define SW_LAYOUT_OPTION(field, name, type, least, most, start, argument, help) options->field = start;
#include <stripwright/layout-options.def>
#undef SW_LAYOUT_OPTION
}

/* The index of a word in a list; -1 when it is none. */
static int word_index(const char *const *words, const char *text) {
    for (int i = 0; words[i]; i++)
        if (strcmp(words[i], text) == 0)
            return i;
    return -1;
}

static bool set_seed(uint64_t *seed, const char *text) {
    char *end = NULL;
    if (!swi_is_digit(text[0]))
        return false;
    errno = 0;
    unsigned long long number = strtoull(text, &end, 10);
    if (*end || errno == ERANGE)
        return false;
    *seed = number;
    return true;
}

static bool set_flag(bool *flag, const char *text) {
    static const char *const words[] = {"no", "yes", "", NULL};
    int index = word_index(words, text);
    if (index >= 0)
        *flag = index > 0;
    return index >= 0;
}

static bool set_real(double *real, const option_row *row, const char *text) {
    double value;
    if (swi_real_read(text, strlen(text), &value) != strlen(text) || !text[0] || value < (double)row->least ||
        value > (double)row->most)
        return false;
    *real = value;
    return true;
}

static bool set_row(void *field, const option_row *row, const char *text) {
    static const char *const efforts[] = {"quick", "normal", "thorough", NULL};
    static const char *const preferences[] = {"balance", "area", "strips", "columns", "links", "symmetry", NULL};
    long number;
    int index;
    switch (row->type) {
    case TYPE_INT:
        if (!swi_int_read(text, row->least, row->most, &number))
            return false;
        *(int *)field = (int)number;
        return true;
    case TYPE_REAL:
        return set_real(field, row, text);
    case TYPE_SEED:
        return set_seed(field, text);
    case TYPE_FLAG:
        return set_flag(field, text);
    case TYPE_EFFORT:
        index = word_index(efforts, text);
        if (index >= 0)
            *(sw_effort *)field = (sw_effort)index;
        return index >= 0;
    case TYPE_PREFER:
        index = word_index(preferences, text);
        if (index >= 0)
            *(sw_prefer *)field = (sw_prefer)index;
        return index >= 0;
    }
    return false;
}

const char *sw_layout_options_set(sw_layout_options *options, const char *name, const char *text) {
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].name, name) == 0)
            return set_row((char *)options + rows[i].offset, &rows[i], text) ? NULL : rows[i].wants;
    return "a name from the search's table";
}
