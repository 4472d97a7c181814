/* src/base/sink.h: what a diagnostics sink is made of; for diag.c, input.c and
 * place.c only. */
#ifndef SWI_SINK_H
#define SWI_SINK_H

#include "arena.h"
#include <stripwright/diag.h>

/* A point of a source whose line and column are known; one every few thousand
 * bytes, so that any place is found by counting a little. */
typedef struct swi_mark {
    uint32_t offset, line_start, line, column;
} swi_mark;

typedef struct swi_source {
    char *name, *bytes; /* malloc'ed; bytes end with a NUL that is not counted */
    size_t length;
    swi_mark *marks;    /* as far as places were asked for */
    size_t mark_count, mark_capacity;
} swi_source;

struct sw_diags {
    sw_limits limits;
    swi_arena *arena;      /* diagnostics and their messages */
    sw_diag **list;
    size_t count, capacity;
    swi_source *sources;   /* source n is sources[n - 1] */
    size_t source_count, source_capacity;
    bool strict, short_of_memory;
    sw_diag memory;        /* stands ready for when nothing more can be kept */
    sw_severity treatment[SW_DIAG_COUNT];
    size_t added[SW_DIAG_COUNT], kept[SW_DIAG_COUNT];
    size_t of_severity[SW_ERROR + 1];
};

/* Takes over malloc'ed bytes (freed here when it fails) as a new source. */
sw_status swi_sink_adopt(sw_diags *diags, const char *name, char *bytes, size_t length,
                         sw_input *out);

#endif
