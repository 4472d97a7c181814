/* src/parts/drawn.c: reads footprint files.
 *
 * They begin `(footprint NAME …` or, older, `(module NAME …`.  There is no need to know more of them than
 * this (checked against the 12 500 files of a published library, 6.0.11):
 *
 *     (fp_line (start 0 0) (end 10.16 0) (layer "F.Fab") …)      fp_rect, fp_arc (and mid) likewise
 *     (fp_circle (center 0 0) (end 2.5 0) (layer "F.Fab") …)
 *     (fp_poly (pts (xy 0 0) …) (layer "F.Fab") …)
 *     (pad "1" thru_hole circle (at 0 0 90) …)
 *
 * An item is looked at when its list closes.  Nothing recurses.
 */
#include "drawn.h"

#include "library.h"

#include "base/fault.h"
#include "base/lists.h"
#include "base/num.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum word { OTHER, FOOTPRINT, MODULE, LINE, RECT, ARC, CIRCLE, POLY, PAD, AT, START, MID, END, CENTER, XY, LAYER } word;
static const char *const words[] = {"", "footprint", "module", "fp_line", "fp_rect", "fp_arc", "fp_circle", "fp_poly",
                                    "pad", "at", "start", "mid", "end", "center", "xy", "layer"};

enum { MOST_DEPTH = 64 };

/* A list that is open: its word and the two atoms after it. */
typedef struct level {
    word word;
    int atoms;
    swi_list_token atom[2];
} level;

typedef struct reader {
    sw_library *library;
    sw_diags *diags;
    swi_drawn *drawn;
    swi_list_lexer lexer;
    level levels[MOST_DEPTH];
    int depth;
    /* of the item that is open */
    sw_box box;
    double x, y;             /* its first point: where a pad is, a circle's centre */
    double end_x, end_y;     /* its last point */
    swi_list_token layer;
    bool too_many;           /* pads: told */
    bool failed;             /* memory is out */
} reader;

const sw_box swi_no_box = {INFINITY, INFINITY, -INFINITY, -INFINITY};

void swi_widen(sw_box *box, const sw_box *by) {
    box->x0 = fmin(box->x0, by->x0);
    box->y0 = fmin(box->y0, by->y0);
    box->x1 = fmax(box->x1, by->x1);
    box->y1 = fmax(box->y1, by->y1);
}

static bool is(const swi_list_token *token, const char *text) {
    return token->length == strlen(text) && memcmp(token->text, text, token->length) == 0;
}

static void syntax(reader *r, sw_span span, const char *what) {
    sw_diag_add(r->diags, SW_D_FOOTPRINT_SYNTAX, span, "%s: this footprint is damaged or cut off; take it from its library again",
                what);
}

/* ---- items ---- */

static void take_point(reader *r, const level *list) {
    enum { LONGEST_MM = 2000 };
    double at[2];
    for (int i = 0; i < 2; i++) {
        const swi_list_token *atom = &list->atom[i];
        if (list->atoms <= i || swi_real_read(atom->text, atom->length, &at[i]) != atom->length || !(fabs(at[i]) < LONGEST_MM))
            return;
    }
    if (r->box.x0 > r->box.x1) {
        r->x = at[0];
        r->y = at[1];
    }
    r->end_x = at[0];
    r->end_y = at[1];
    swi_widen(&r->box, &(sw_box){at[0], at[1], at[0], at[1]});
}

static void take_lines(reader *r, word what) {
    swi_drawn *d = r->drawn;
    if (r->box.x0 > r->box.x1)
        return; /* nowhere */
    if (what == CIRCLE) {
        double radius = hypot(r->end_x - r->x, r->end_y - r->y);
        r->box = (sw_box){r->x - radius, r->y - radius, r->x + radius, r->y + radius};
    }
    if (is(&r->layer, "F.Fab")) {
        if (SWI_GROW(d->lines, d->line_capacity, d->line_count + 1))
            d->lines[d->line_count++] = r->box;
        else
            r->failed = true;
        if (what == CIRCLE && !(r->box.x1 - r->box.x0 <= d->circle.x1 - d->circle.x0))
            d->circle = r->box;
    } else if (is(&r->layer, "F.CrtYd")) {
        swi_widen(&d->yard, &r->box);
    } else if (is(&r->layer, "F.SilkS")) {
        swi_widen(&d->ink, &r->box);
    }
}

static void take_pad(reader *r, const level *list) {
    swi_drawn *d = r->drawn;
    if (list->atoms < 2 || r->box.x0 > r->box.x1) {
        syntax(r, list->atoms ? list->atom[0].span : r->drawn->span, "a pad without its kind or place");
        return;
    }
    if (d->pad_count + d->flat_count >= sw_diags_limits(r->diags)->pins_per_part) {
        sw_diag_add(r->diags, SW_D_LIMIT_PINS, list->atom[0].span, "a footprint of more than %lu pads: split it",
                    (unsigned long)(d->pad_count + d->flat_count));
        r->too_many = true;
        return;
    }
    const char *name = swi_keep(r->library, list->atom[0].text, list->atom[0].length);
    r->failed |= !name;
    if (is(&list->atom[1], "np_thru_hole"))
        d->peg = list->atom[1].span;
    else if (is(&list->atom[1], "thru_hole") && !r->failed && SWI_GROW(d->pads, d->pad_capacity, d->pad_count + 1))
        d->pads[d->pad_count++] = (swi_pad){name, r->x, r->y, list->atom[0].span};
    else if (!is(&list->atom[1], "thru_hole") && !r->failed && SWI_GROW(d->flats, d->flat_capacity, d->flat_count + 1))
        d->flats[d->flat_count++] = name;
    else
        r->failed = true;
}

/* ---- lists ---- */

static word word_of(const swi_list_token *token) {
    for (size_t i = 1; i < sizeof words / sizeof *words; i++)
        if (is(token, words[i]))
            return (word)i;
    return OTHER;
}

static bool is_item(word what) {
    return what >= LINE && what <= PAD;
}

static bool open_list(reader *r, sw_span span) {
    swi_list_token token = swi_list_next(&r->lexer);
    if (token.kind != SWI_LIST_ATOM || r->depth == MOST_DEPTH) {
        syntax(r, span, r->depth == MOST_DEPTH ? "lists in lists, more than any editor writes" : "no word after this parenthesis");
        return false;
    }
    r->levels[r->depth++] = (level){.word = word_of(&token)};
    if (is_item(r->levels[r->depth - 1].word)) {
        r->box = swi_no_box;
        r->layer = (swi_list_token){.text = ""};
    }
    return true;
}

static void close_list(reader *r) {
    const level *list = &r->levels[--r->depth];
    if (is_item(list->word)) {
        if (list->word == PAD)
            take_pad(r, list);
        else
            take_lines(r, list->word);
    } else if (list->word >= AT && list->word <= XY) {
        take_point(r, list);
    } else if (list->word == LAYER && list->atoms) {
        r->layer = list->atom[0];
    }
}

static bool take(reader *r, const swi_list_token *token) {
    level *top = r->depth ? &r->levels[r->depth - 1] : NULL;
    switch (token->kind) {
    case SWI_LIST_OPEN: return open_list(r, token->span);
    case SWI_LIST_CLOSE:
        if (top)
            close_list(r);
        else
            syntax(r, token->span, "this closes nothing");
        return top != NULL;
    case SWI_LIST_ATOM:
        if (top && top->atoms < 2)
            top->atom[top->atoms++] = *token;
        if (top && r->depth == 1 && top->atoms == 1 && !r->drawn->name) {
            r->drawn->name = swi_keep(r->library, token->text, token->length);
            r->drawn->span = token->span;
            r->failed |= !r->drawn->name;
        }
        return true;
    case SWI_LIST_BROKEN: syntax(r, token->span, "no quote ends this string"); return false;
    case SWI_LIST_END:
        if (top)
            syntax(r, token->span, "the file ends within a list");
        return false;
    }
    return false;
}

sw_status swi_drawn_read(sw_library *library, const sw_input *input, sw_diags *diags, swi_drawn *drawn) {
    size_t errors = sw_diags_of(diags, SW_ERROR);
    *drawn = (swi_drawn){.yard = swi_no_box, .ink = swi_no_box, .circle = swi_no_box};
    reader r = {.library = library, .diags = diags, .drawn = drawn, .lexer = {input, 0}};
    swi_list_token token;
    do
        token = swi_list_next(&r.lexer);
    while (!r.failed && !r.too_many && take(&r, &token));
    if (r.failed)
        return swi_out_of_memory(diags);
    if (!drawn->name && sw_diags_of(diags, SW_ERROR) == errors)
        syntax(&r, token.span, "no name after the first word");
    return sw_diags_of(diags, SW_ERROR) == errors ? SW_OK : SW_BAD_INPUT;
}

void swi_drawn_free(swi_drawn *drawn) {
    free(drawn->pads);
    free(drawn->flats);
    free(drawn->lines);
    *drawn = (swi_drawn){.pads = NULL};
}
