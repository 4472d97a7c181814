/* Which row states what of which part.
 *
 * An instance beats a model beats a pattern; within one of these the user's sheet
 * beats the lines that the netlist itself carries.  Two rows of one rank that
 * disagree on a cell are an error.
 */
#include "circuit/fit.h"

#include <stdlib.h>
#include <string.h>

typedef struct entry {
    const sw_row *row;
    const char *key;    /* path and name */
    bool own;           /* carried by the netlist */
    bool used;
    bool by_device;     /* a pattern that no reference matches: tried on devices */
    uint32_t next;      /* entry with the same key; SW_NONE */
    uint32_t last;      /* of the first with a key: the last */
} entry;

typedef struct stating {
    swi_fit *fit;
    entry *entries;
    uint32_t count, pattern_count;
    uint32_t *patterns; /* entries with * */
    swi_map *by_key;    /* first entry with that key */
    swi_map *refs;      /* references that rows state */
    bool paths;         /* some row has one */
} stating;

/* ---- the rows, found by name ---- */

static const char *key_of(swi_fit *fit, const sw_row *row) {
    size_t length = strlen(row->path);
    bool spelled_out = strlen(row->name) > length && row->name[length] == '.' &&
                       swi_equal_fold_n(row->name, length, row->path);
    return length && !spelled_out ? SWI_CAT(fit, row->path, ".", row->name) : row->name;
}

static bool enter(stating *s, const sw_row *row, bool own) {
    uint32_t index = s->count++;
    entry *e = &s->entries[index];
    *e = (entry){.row = row, .key = key_of(s->fit, row), .own = own, .next = SW_NONE,
                 .last = index};
    s->paths = s->paths || *row->path;
    bool failed = false;
    if (*row->ref) {
        const char *ref = *row->path ? SWI_CAT(s->fit, row->path, ".", row->ref) : row->ref;
        swi_map_add(s->refs, ref, strlen(ref), index, &failed);
    }
    if (strchr(e->key, '*')) {
        s->patterns[s->pattern_count++] = index;
        return !failed;
    }
    uint32_t first = swi_map_add(s->by_key, e->key, strlen(e->key), index, &failed);
    if (first != index) {
        s->entries[s->entries[first].last].next = index;
        s->entries[first].last = index;
    }
    return !failed;
}

static bool enter_all(stating *s) {
    const sw_circuit *netlist = s->fit->netlist;
    const sw_sheet *sheet = s->fit->options->sheet;
    size_t of_sheet = sheet ? sheet->count : 0;
    s->entries = swi_arena_array(s->fit->arena, of_sheet + netlist->row_count + 1, sizeof(entry));
    s->patterns = swi_arena_array(s->fit->arena, of_sheet + netlist->row_count + 1,
                                  sizeof(uint32_t));
    s->by_key = swi_map_new(s->fit->arena, true);
    s->refs = swi_map_new(s->fit->arena, true);
    bool done = s->entries && s->patterns && s->by_key && s->refs;
    for (size_t i = 0; done && i < of_sheet; i++)
        done = enter(s, &sheet->rows[i], false);
    for (uint32_t i = 0; done && i < netlist->row_count; i++)
        done = enter(s, &netlist->rows[i], true);
    return done;
}

/* A pattern speaks of references; only when none matches, of devices. */
static void aim_patterns(stating *s) {
    const sw_circuit *netlist = s->fit->netlist;
    for (uint32_t i = 0; i < s->pattern_count; i++) {
        entry *e = &s->entries[s->patterns[i]];
        e->by_device = true;
        for (uint32_t p = 0; e->by_device && p < netlist->part_count; p++)
            e->by_device = !swi_match(e->key, netlist->parts[p].ref);
    }
}

/* ---- what they state of one part ---- */

typedef struct weighing {
    stating *s;
    swi_member *member;
    int rank[SWI_CELL_COUNT]; /* of the row that holds the cell; greater is weaker */
} weighing;

static void report_clash(weighing *w, swi_cell_id cell, const sw_row *row) {
    const swi_member *m = w->member;
    const char *name = swi_cell_names[cell], *other = m->stated.cell[cell];
    sw_place place;
    sw_buf where = SW_BUF_INIT;
    if (sw_diags_place(w->s->fit->diags, m->stated.row[cell]->span, &place))
        sw_buf_printf(&where, " (%s, line %u)", place.name, place.line);
    sw_diag_add(w->s->fit->diags, SW_D_FIT_ROW_CLASH, row->span,
                "%s=%s for %s, but another row of the same rank%s says %s=%s: take one of them out",
                name, swi_row_cell(row, cell), m->part->ref, where.bytes ? where.bytes : "", name,
                other);
    sw_buf_free(&where);
    w->s->fit->impossible = true;
}

static void weigh_row(weighing *w, entry *e, int rank) {
    swi_stated *stated = &w->member->stated;
    e->used = true;
    rank = rank * 2 + e->own;
    for (swi_cell_id cell = 0; cell < SWI_CELL_COUNT; cell++) {
        const char *text = swi_row_cell(e->row, cell);
        if (!*text || (stated->row[cell] && w->rank[cell] < rank))
            continue;
        if (stated->row[cell] && w->rank[cell] == rank) {
            if (!swi_equal_fold(stated->cell[cell], text))
                report_clash(w, cell, e->row);
            continue;
        }
        w->rank[cell] = rank;
        stated->row[cell] = e->row;
        stated->cell[cell] = text;
    }
}

static void weigh_key(weighing *w, const char *key, int rank) {
    stating *s = w->s;
    uint32_t i = swi_map_get(s->by_key, key, strlen(key), SW_NONE);
    for (; i != SW_NONE; i = s->entries[i].next)
        weigh_row(w, &s->entries[i], rank);
}

/* A model's row outside every subcircuit, and those inside one that holds the part. */
static void weigh_model(weighing *w, const char *device) {
    const char *path = w->member->part->path;
    weigh_key(w, device, 1);
    if (!w->s->paths)
        return;
    for (size_t end = 0; *path && end <= strlen(path); end++)
        if (path[end] == '.' || path[end] == '\0')
            weigh_key(w, SWI_CAT(w->s->fit, swi_fit_copy(w->s->fit, path, end), ".", device), 1);
}

static bool in_path(const sw_part *part, const char *path) {
    size_t length = strlen(path), i = 0;
    while (i < length && swi_lower(path[i]) == swi_lower(part->path[i]))
        i++;
    return i == length && (length == 0 || !part->path[i] || part->path[i] == '.');
}

static void weigh_patterns(weighing *w, const char *device) {
    for (uint32_t i = 0; i < w->s->pattern_count; i++) {
        entry *e = &w->s->entries[w->s->patterns[i]];
        bool matches = e->by_device
            ? swi_match(e->row->name, device) && in_path(w->member->part, e->row->path)
            : swi_match(e->key, w->member->part->ref);
        if (matches)
            weigh_row(w, e, 2);
    }
}

/* A deck's XU1 is what drawings call U1: the X says only that a subcircuit models it.  Not where
 * another part has that reference, and XTAL1 is a crystal. */
static const char *board_ref(stating *s, const sw_part *part) {
    size_t letters;
    const char *last = swi_ref_letters(part->ref, &letters);
    if (part->kind != 'X' || swi_upper(*last) != 'X' || letters < 2 || !swi_is_digit(last[letters]) ||
        swi_equal_fold_n(last, letters, "XTAL"))
        return part->ref;
    const char *bare = last + 1;
    if (last != part->ref)
        bare = SWI_CAT(s->fit, swi_fit_copy(s->fit, part->ref, (size_t)(last - part->ref)), bare);
    bool taken = sw_circuit_part(s->fit->netlist, bare).i != SW_NONE ||
                 swi_map_get(s->refs, bare, strlen(bare), SW_NONE) != SW_NONE;
    return taken ? part->ref : bare;
}

static void state_part(stating *s, swi_member *m) {
    weighing w = {.s = s, .member = m};
    const sw_part *part = m->part;
    for (swi_cell_id cell = 0; cell < SWI_CELL_COUNT; cell++)
        m->stated.cell[cell] = "";
    const char *device = *part->device ? part->device : part->value;
    weigh_key(&w, part->ref, 0);
    if (*device && !swi_equal_fold(device, part->ref))
        weigh_model(&w, device);
    weigh_patterns(&w, device);
    const sw_row *row = m->stated.row[SWI_CELL_REF];
    m->ref = row ? m->stated.cell[SWI_CELL_REF] : board_ref(s, part);
    if (row && *row->path) /* each instance of the subcircuit has a part of its own */
        m->ref = SWI_CAT(s->fit, row->path, ".", m->ref);
    m->device = *m->stated.cell[SWI_CELL_DEVICE] ? m->stated.cell[SWI_CELL_DEVICE] : part->device;
}

/* ---- rows that nothing answers to ---- */

static void report_unused(stating *s) {
    for (uint32_t i = 0; i < s->count; i++) {
        if (s->entries[i].used)
            continue;
        sw_diag_add(s->fit->diags, SW_D_FIT_ROW_UNUSED, s->entries[i].row->span,
                    "no part, model or subcircuit of the circuit is called %s, so this row does "
                    "nothing: check its spelling", s->entries[i].key);
    }
}

bool swi_fit_state(swi_fit *fit) {
    stating s = {.fit = fit};
    bool done = enter_all(&s);
    if (done) {
        aim_patterns(&s);
        for (uint32_t i = 0; i < fit->netlist->part_count; i++)
            state_part(&s, &fit->members[i]);
        report_unused(&s);
    }
    swi_map_free(s.by_key);
    swi_map_free(s.refs);
    return done && !fit->out;
}
