/* formats/schedule/schedule_read.h: the state of reading, shared by schedule_words.c
 * (texts, pairs, pins of a line) and schedule_read.c (what the lines mean).
 */
#ifndef SWI_SCHEDULE_READ_H
#define SWI_SCHEDULE_READ_H

#include "formats/schedule/schedule.h"

#include "base/text.h"

/* What a pin line said, until its node's line makes the pin. */
typedef struct swi_waiting {
    const char *name;
    sw_pin_type type;
    size_t first_property, property_count;
    sw_span span;
    bool met;
} swi_waiting;

typedef struct swi_pair {
    const char *key, *value; /* value NULL: a flag */
    sw_span span;
} swi_pair;

typedef struct swi_sched {
    const sw_input *input;
    sw_diags *diags;
    sw_builder *builder;
    size_t at, line_end;
    sw_buf scratch;
    swi_arena *arena;
    swi_map *waiting_at;     /* "ref US pin" -> waiting */
    swi_waiting *waiting;
    size_t waiting_count, waiting_room;
    swi_pair *properties;        /* of waiting pins */
    size_t property_count, property_room;
    swi_pair *pairs;             /* of this line */
    size_t pair_count, pair_room;
    sw_owner owner;          /* of the next property line; its index */
    uint32_t owner_index;
    bool failed;             /* memory */
} swi_sched;

/* From there to where the reader stands. */
sw_span swi_sched_span(const swi_sched *r, size_t from);
bool swi_sched_out(swi_sched *r); /* memory is out: says so once; always false */
bool swi_sched_complain(swi_sched *r, sw_diag_id id, sw_span span, const char *what); /* false */
char swi_sched_peek(const swi_sched *r); /* a line feed at the line's end */
/* Passes over blanks; false at the line's end. */
bool swi_sched_blanks(swi_sched *r);
bool swi_sched_word_end(const swi_sched *r);
/* What is taken is true, or reported and false. */
bool swi_sched_pair(swi_sched *r, swi_pair *out);   /* a word or key=text */
bool swi_sched_pairs(swi_sched *r);                 /* up to the line's end or a colon */
bool swi_sched_pin(swi_sched *r, const char **ref, const char **pin, sw_span *span);

#endif
