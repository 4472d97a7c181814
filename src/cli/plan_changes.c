/* src/cli/plan_changes.c: what differs between two plans, in sentences for people.  Where a
 * column or strip was won all that stands beyond it is elsewhere: what went the same way is
 * told together, so that what really changed can be seen.
 */
#include <stdlib.h>
#include <string.h>
#include "cli.h"

enum { TOGETHER = 3, WIDTH = 78 }; /* parts that are told together; columns of a line */

/* Parts that went the same way as they are, and the cuts and links that went with them. */
typedef struct shift {
    int16_t strips, columns;
    uint32_t parts, cuts, links;
} shift;

typedef struct changes {
    const sw_plan_difference *d;
    shift *shifts;                /* most parts first */
    uint32_t shift_count;
    bool *new_cuts, *gone_cuts, *new_links, *gone_links; /* told with a shift */
} changes;

static bool fits(const shift *s, const sw_plan_move *move) {
    return move->change == SW_PLAN_MOVED && !move->reshaped && move->strips == s->strips &&
           move->columns == s->columns;
}

static int more_parts(const void *a, const void *b) {
    const shift *s = a, *t = b;
    if (s->parts != t->parts)
        return s->parts > t->parts ? -1 : 1;
    if (s->columns != t->columns)
        return s->columns < t->columns ? -1 : 1;
    return s->strips < t->strips ? -1 : s->strips > t->strips;
}

static void find_shifts(changes *c) {
    uint32_t kept = 0;
    for (uint32_t i = 0; i < c->d->move_count; i++) {
        const sw_plan_move *move = &c->d->moves[i];
        if (move->change != SW_PLAN_MOVED || move->reshaped)
            continue;
        uint32_t k = 0;
        while (k < c->shift_count && !fits(&c->shifts[k], move))
            k++;
        if (k == c->shift_count)
            c->shifts[c->shift_count++] = (shift){.strips = move->strips, .columns = move->columns};
        c->shifts[k].parts++;
    }
    for (uint32_t k = 0; k < c->shift_count; k++)
        if (c->shifts[k].parts >= TOGETHER)
            c->shifts[kept++] = c->shifts[k];
    c->shift_count = kept;
    qsort(c->shifts, kept, sizeof *c->shifts, more_parts);
}

static bool went(sw_hole was, sw_hole is, const shift *s) {
    return was.strip + s->strips == is.strip && was.column + s->columns == is.column;
}

static void pair_cuts(changes *c, shift *s) {
    const sw_plan_difference *d = c->d;
    for (uint32_t i = 0; i < d->cuts_gone; i++)
        for (uint32_t k = 0; k < d->cuts_added && !c->gone_cuts[i]; k++)
            if (!c->new_cuts[k] && d->gone_cuts[i].knife == d->added_cuts[k].knife &&
                went(d->gone_cuts[i].hole, d->added_cuts[k].hole, s)) {
                c->gone_cuts[i] = c->new_cuts[k] = true;
                s->cuts++;
            }
}

static void pair_links(changes *c, shift *s) {
    const sw_plan_difference *d = c->d;
    for (uint32_t i = 0; i < d->links_gone; i++)
        for (uint32_t k = 0; k < d->links_added && !c->gone_links[i]; k++)
            if (!c->new_links[k] && d->gone_links[i].sleeved == d->added_links[k].sleeved &&
                went(d->gone_links[i].from, d->added_links[k].from, s) &&
                went(d->gone_links[i].to, d->added_links[k].to, s)) {
                c->gone_links[i] = c->new_links[k] = true;
                s->links++;
            }
}

void plan_move_write(const sw_plan_move *move, sw_buf *out) {
    char was[12], is[12];
    sw_hole_write(move->was, was);
    sw_hole_write(move->is, is);
    if (move->change == SW_PLAN_ADDED)
        sw_buf_printf(out, "%s is new, its first pin at %s", move->ref, is);
    else if (move->change == SW_PLAN_GONE)
        sw_buf_printf(out, "%s is gone, it was at %s", move->ref, was);
    else if (!move->strips && !move->columns)
        sw_buf_printf(out, "%s stands at %s as before, but turned or bent otherwise", move->ref, is);
    else
        sw_buf_printf(out, "%s stands at %s now, was at %s (%+d strips, %+d columns%s)", move->ref, is, was,
                      move->strips, move->columns, move->reshaped ? ", turned or bent otherwise" : "");
}

/* Words on lines of no more than WIDTH columns, behind a heading that stands only where there
 * are any. */
typedef struct list {
    sw_buf *out;
    const char *heading;
    size_t line;  /* where the line in hand begins */
    bool begun;
} list;

static void put_word(list *l, const char *word) {
    if (!l->begun) {
        l->line = l->out->length;
        sw_buf_puts(l->out, l->heading);
        l->begun = true;
    }
    if (l->out->length - l->line + 1 + strlen(word) > WIDTH) {
        sw_buf_puts(l->out, "\n ");
        l->line = l->out->length - 1;
    }
    sw_buf_putc(l->out, ' ');
    sw_buf_puts(l->out, word);
}

static void end_list(const list *l) {
    if (l->begun)
        sw_buf_putc(l->out, '\n');
}

static void put_way(sw_buf *out, const shift *s) {
    int columns = abs(s->columns), strips = abs(s->strips);
    if (strips)
        sw_buf_printf(out, "%d strip%s %s", strips, CLI_S(strips), s->strips < 0 ? "up" : "down");
    if (strips && columns)
        sw_buf_puts(out, " and ");
    if (columns)
        sw_buf_printf(out, "%d column%s to the %s", columns, CLI_S(columns),
                      s->columns < 0 ? "left" : "right");
}

static void put_count(sw_buf *out, uint32_t count, const char *what) {
    if (count)
        sw_buf_printf(out, ", %u %s%s", count, what, CLI_S(count));
}

static void put_shift(const changes *c, const shift *s, sw_buf *out) {
    sw_buf_printf(out, "%u parts", s->parts);
    put_count(out, s->cuts, "cut");
    put_count(out, s->links, "link");
    sw_buf_puts(out, " went ");
    put_way(out, s);
    sw_buf_puts(out, ":\n");
    list refs = {.out = out, .heading = " "};
    for (uint32_t i = 0; i < c->d->move_count; i++)
        if (fits(s, &c->d->moves[i]))
            put_word(&refs, c->d->moves[i].ref);
    end_list(&refs);
}

static void put_moves(const changes *c, sw_buf *out) {
    for (uint32_t i = 0; i < c->d->move_count; i++) {
        uint32_t k = 0;
        while (k < c->shift_count && !fits(&c->shifts[k], &c->d->moves[i]))
            k++;
        if (k < c->shift_count)
            continue;
        plan_move_write(&c->d->moves[i], out);
        sw_buf_putc(out, '\n');
    }
}

static void put_cuts(const sw_cut *cuts, const bool *told, uint32_t count, const char *heading, sw_buf *out) {
    list l = {.out = out, .heading = heading};
    for (uint32_t i = 0; i < count; i++) {
        char hole[12], word[32];
        if (told[i])
            continue;
        sw_hole_write(cuts[i].hole, hole);
        snprintf(word, sizeof word, "%s%s", cuts[i].knife ? "right-of-" : "", hole);
        put_word(&l, word);
    }
    end_list(&l);
}

static void put_links(const sw_link *links, const bool *told, uint32_t count, const char *heading, sw_buf *out) {
    list l = {.out = out, .heading = heading};
    for (uint32_t i = 0; i < count; i++) {
        char from[12], to[12], word[32];
        if (told[i])
            continue;
        sw_hole_write(links[i].from, from);
        sw_hole_write(links[i].to, to);
        snprintf(word, sizeof word, "%s-%s", from, to);
        put_word(&l, word);
    }
    end_list(&l);
}

static void put_all(changes *c, sw_buf *out) {
    const sw_plan_difference *d = c->d;
    find_shifts(c);
    for (uint32_t k = 0; k < c->shift_count; k++) {
        pair_cuts(c, &c->shifts[k]);
        pair_links(c, &c->shifts[k]);
        put_shift(c, &c->shifts[k], out);
    }
    put_moves(c, out);
    put_cuts(d->added_cuts, c->new_cuts, d->cuts_added, "new cuts:", out);
    put_cuts(d->gone_cuts, c->gone_cuts, d->cuts_gone, "cuts that are gone:", out);
    put_links(d->added_links, c->new_links, d->links_added, "new links:", out);
    put_links(d->gone_links, c->gone_links, d->links_gone, "links that are gone:", out);
}

bool plan_changes_write(const sw_plan_difference *d, sw_buf *out) {
    bool *told = calloc((size_t)d->cuts_added + d->cuts_gone + d->links_added + d->links_gone + 1, sizeof *told);
    changes c = {.d = d, .shifts = calloc(d->move_count + 1u, sizeof *c.shifts), .new_cuts = told};
    bool good = told && c.shifts;
    if (good) {
        c.gone_cuts = c.new_cuts + d->cuts_added;
        c.new_links = c.gone_cuts + d->cuts_gone;
        c.gone_links = c.new_links + d->links_added;
        put_all(&c, out);
    }
    free(told);
    free(c.shifts);
    return good && !out->failed;
}
