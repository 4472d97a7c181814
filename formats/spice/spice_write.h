/* formats/spice/spice_write.h: what the files that write share. */
#ifndef SWI_SPICE_WRITE_H
#define SWI_SPICE_WRITE_H

#include "spice.h"

#include "circuit/losses.h"

#define SWI_FOLD 80 /* columns of a line */

/* How a part is written. */
typedef struct swi_spelling {
    const char *name; /* of its line */
    const char *stub; /* X: the subcircuit on its line; NULL: by its letter */
    char letter;
} swi_spelling;

typedef struct swi_stub {
    const char *name;
    uint32_t part; /* whose pins it names */
} swi_stub;

typedef struct swi_writer {
    const sw_circuit *circuit;
    sw_diags *diags;
    sw_buf *out;
    swi_arena *arena;
    swi_spelling *parts;
    const char **nodes;
    const char **models;      /* as written */
    uint32_t *first_property; /* of each part, into properties; one more at the end */
    swi_stub *stubs;
    size_t stub_count, stub_capacity;
    swi_map *stub_map; /* device and pins to stubs */
    swi_losses losses;
    uint32_t next;     /* a number that no name has yet */
    size_t column;
    bool failed;
} swi_writer;

/* ---- spice_spell.c ---- */
/* Frees a scratch buffer; when it had failed, so has the writing. */
void swi_drop(swi_writer *w, sw_buf *buf);
bool swi_spells_word(const char *text);
bool swi_spells_text(const char *text);
/* `before` and the text as a word that is not taken yet, without case. */
const char *swi_spell(swi_writer *w, swi_map *taken, const char *before, const char *text);
/* The same for what a `*@` line may have to name: a star there would speak of many. */
const char *swi_spell_for_row(swi_writer *w, swi_map *taken, const char *before, const char *text);
void swi_put_word(swi_writer *w, const char *text, size_t length);
void swi_put_string(swi_writer *w, const char *text);
void swi_put_text(swi_writer *w, const char *text);
void swi_end_line(swi_writer *w);

/* ---- spice_write_part.c ---- */
/* The part's letter when its line can be that letter's, else X. */
char swi_letter_of(const swi_writer *w, uint32_t part);
void swi_write_part(swi_writer *w, uint32_t part);
/* Whether an option (spice.…) is read back as one, and not as a value, model or node. */
bool swi_option_comes_back(const swi_writer *w, uint32_t part, const sw_property *option);

/* ---- spice_keep.c ---- */
/* One key=value of a `*@` line; whether its text comes back as it is. */
void swi_put_cell(swi_writer *w, const char *key, const char *value);
bool swi_cell_keeps(const char *text);
/* Its pins are 1, 2, … by their places on the line, and no more is known of them. */
bool swi_by_position(const swi_writer *w, uint32_t part);
/* Whether a property is written behind the part's line; a card of the deck; a row. */
bool swi_keeps_option(const swi_writer *w, uint32_t part, const sw_property *property);
bool swi_keeps_card(const sw_property *property);
bool swi_keeps_row(const swi_writer *w, const sw_row *row);
/* A `*@` line can name it. */
bool swi_row_can_name(const char *name);
/* Tells what was left out; false when memory is out. */
bool swi_tell_lost(swi_writer *w);

/* ---- spice_write.c ---- */
/* A model's written name; scope: the property that says whose model it is, or NULL. */
const char *swi_written_model(const swi_writer *w, const char *name, const sw_property *scope);

#endif
