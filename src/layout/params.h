/* src/layout/params.h: what the search can be tuned by (layout-params.def). */
#ifndef SWI_PARAMS_H
#define SWI_PARAMS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct swi_params {
#define SWI_PARAM(field, start, least, most, meaning) int32_t field;
#include "layout-params.def"
#undef SWI_PARAM
} swi_params;

void swi_params_default(swi_params *params);
/* By name; false when there is no such parameter or the value is out of range. */
bool swi_params_set(swi_params *params, const char *name, long value);

#endif
