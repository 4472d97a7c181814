/* src/layout/params.c: the table of tuning, by name. */
#include <string.h>
#include "params.h"

static const struct row {
    const char *name;
    size_t at;
    int32_t start, least, most;
} rows[] = {
#define SWI_PARAM(field, start, least, most, meaning) {#field, offsetof(swi_params, field), start, least, most},
#include "layout-params.def"
#undef SWI_PARAM
};

static int32_t *field(swi_params *params, const struct row *row) {
    return (int32_t *)(void *)((char *)params + row->at);
}

void swi_params_default(swi_params *params) {
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        *field(params, &rows[i]) = rows[i].start;
}

bool swi_params_set(swi_params *params, const char *name, long value) {
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        if (strcmp(rows[i].name, name) == 0 && value >= rows[i].least && value <= rows[i].most) {
            *field(params, &rows[i]) = (int32_t)value;
            return true;
        }
    return false;
}
