/* src/layout/bound.c: a size that no legal plan can go below.
 *
 * Counted is only what every legal plan has, whatever way its parts stand (of the ways that
 * are allowed: the least of them is taken for each term on its own).
 *
 * Pieces.  A node's leads on different strips are in different segments, so a part
 * with leads of one node in k strips makes k pieces of it.  At a two-row IC more: in a row whose two
 * leads are of different nodes one of the two holes between them is cut, so everything left of
 * the cut ends at the first of these holes and everything right of it begins at the second, in
 * every such row.  A link joins holes of one column, so no link leads from left to right
 * within these rows.  A node with leads on both sides, none of whose rows has it on both,
 * therefore passes on a strip outside the IC's rows: a piece more, and a strip of its own
 * there, for at the line between the two holes each strip carries one node.
 *
 * Cuts and links.  A cut adds one segment at most: cuts ≥ pieces − strips (no cuts at holes are
 * needed with knife cuts).  A link, or a join inside a part, joins two pieces at most.
 *
 * Holes.  Leads, cuts and link ends are all in different holes.  A hole between a part's leads
 * that lies deeper than what is forgiven within its outlines is on the board and is no lead's or
 * link end's, nor can two parts have the same one: they would overlap there by twice that
 * depth.  Cuts may be there; link ends only where links pass beneath a body.  With B such holes
 * closed to links, U open to them, C cuts and K links, holes ≥ leads + the greatest of B + U,
 * B + 2 K and 2 K + C.
 *
 * Columns.  A part has a column for itself where its own holes, one below the other, are more
 * than half the strips: two such runs in one column would share a hole.
 */
#include <stdio.h>
#include "emit.h"

typedef struct counts {
    int leads, pieces, links;
    int closed, covered;  /* B; B + U, each the least of the ways parts stand */
    int strips;           /* least strips: parts, and nodes that pass ICs outside */
    int passing;          /* of those, nodes that pass */
} counts;

static bool has_lead(const swi_part *part, const swi_shape *shape, int row, int col) {
    for (unsigned i = 0; i < part->pin_count; i++)
        if (shape->leads[i].row == row && shape->leads[i].column == col)
            return true;
    return false;
}

typedef enum hold { FREE, LEAD, CLOSED, UNDER } hold;

/* What a shape does to a hole of the rectangle around its leads. */
static hold holds(const swi_model *m, const swi_part *part, const swi_shape *shape, int row, int col) {
    const swi_form *form = &m->forms[shape->form];
    hold found = FREE;
    if (has_lead(part, shape, row, col))
        return LEAD;
    for (uint32_t i = 0; i < form->outline_count; i++)
        if (swi_outline_holds(&form->outlines[i], col * SW_PITCH_MM, row * SW_PITCH_MM)) {
            if (!form->outlines[i].body || col < form->under_first || col > form->under_last)
                return CLOSED;
            found = UNDER;
        }
    return found;
}

static void count_covered(const swi_model *m, const swi_part *part, counts *c) {
    int closed = -1, covered = -1;
    for (unsigned s = 0; s < part->shape_count; s++) {
        const swi_shape *shape = &part->shapes[s];
        int b = 0, u = 0;
        for (int row = 0; row <= shape->rows; row++)
            for (int col = 0; col <= shape->cols; col++) {
                hold h = holds(m, part, shape, row, col);
                b += h == CLOSED;
                u += h == UNDER;
            }
        closed = closed < 0 || b < closed ? b : closed;
        covered = covered < 0 || b + u < covered ? b + u : covered;
    }
    c->closed += closed > 0 ? closed : 0;
    c->covered += covered > 0 ? covered : 0;
}

/* Whether a shape is two rows of leads, both in every strip of it, with just two holes
 * between them. */
static bool two_rows(const swi_part *part, const swi_shape *shape) {
    if (shape->cols != 3 || part->pin_count != 2 * (shape->rows + 1))
        return false;
    for (unsigned i = 0; i < part->pin_count; i++)
        if (shape->leads[i].column != 0 && shape->leads[i].column != 3)
            return false;
    return true;
}

/* Strips in which a shape has the node on one side or both; sides, and whether one strip
 * has it on both. */
typedef struct stance { int strips; bool left, right, both; } stance;

static stance stance_of(const swi_part *part, const swi_shape *shape, unsigned node) {
    stance t = {0, false, false, false};
    for (int row = 0; row <= shape->rows; row++) {
        bool left = false, right = false;
        for (unsigned i = 0; i < part->pin_count; i++)
            if (part->node[i] == node && shape->leads[i].row == row) {
                left |= shape->leads[i].column == 0;
                right |= shape->leads[i].column > 0;
            }
        t.strips += left || right;
        t.left |= left;
        t.right |= right;
        t.both |= left && right;
    }
    return t;
}

static bool passes(const swi_model *m, const swi_part *part, const swi_shape *shape, unsigned node, const stance *t) {
    return !m->options->knife && m->nodes[node].join_count == 0 && two_rows(part, shape) && t->left && t->right && !t->both;
}

/* Pieces that a part makes of a node, however it stands; 0 when it has none of it. */
static int pieces_at(const swi_model *m, const swi_part *part, unsigned node) {
    int least = -1;
    for (unsigned s = 0; s < part->shape_count; s++) {
        stance t = stance_of(part, &part->shapes[s], node);
        int pieces = t.strips + (passes(m, part, &part->shapes[s], node, &t) ? 1 : 0);
        least = least < 0 || pieces < least ? pieces : least;
    }
    return least > 0 ? least : 0;
}

static void count_pieces(const swi_model *m, counts *c) {
    for (unsigned n = 0; n < m->node_count; n++) {
        int most = 0;
        for (uint32_t i = 0; i < m->nodes[n].pin_count; i++) {
            int pieces = pieces_at(m, &m->parts[m->node_pins[m->nodes[n].first_pin + i].part], n);
            most = pieces > most ? pieces : most;
        }
        int links = most - 1 - (int)m->nodes[n].join_count;
        c->pieces += most;
        c->links += links > 0 ? links : 0;
    }
}

static bool first_of_node(const swi_part *part, unsigned pin) {
    for (unsigned i = 0; i < pin; i++)
        if (part->node[i] == part->node[pin])
            return false;
    return true;
}

static void count_strips(const swi_model *m, const swi_part *part, counts *c) {
    int least = -1, passing = 0;
    for (unsigned s = 0; s < part->shape_count; s++) {
        const swi_shape *shape = &part->shapes[s];
        int nodes = 0;
        for (unsigned i = 0; i < part->pin_count; i++) {
            stance t = stance_of(part, shape, part->node[i]);
            nodes += first_of_node(part, i) && passes(m, part, shape, part->node[i], &t);
        }
        if (least < 0 || shape->rows + 1 + nodes < least) {
            least = shape->rows + 1 + nodes;
            passing = nodes;
        }
    }
    if (least > c->strips) {
        c->strips = least;
        c->passing = passing;
    }
}

/* Columns that a shape has for itself on so many strips. */
static int own_columns(const swi_model *m, const swi_part *part, const swi_shape *shape, int strips) {
    int own = 0;
    for (int col = 0; col <= shape->cols; col++) {
        int run = 0, longest = 0;
        for (int row = 0; row <= shape->rows; row++) {
            run = holds(m, part, shape, row, col) == FREE ? 0 : run + 1;
            longest = run > longest ? run : longest;
        }
        own += 2 * longest > strips;
    }
    return own;
}

static int columns_of_the_tall(const swi_model *m, int strips) {
    int sum = 0;
    for (unsigned p = 0; p < m->part_count; p++) {
        const swi_part *part = &m->parts[p];
        int least = -1;
        for (unsigned s = 0; s < part->shape_count; s++) {
            if (part->shapes[s].rows + 1 > strips)
                continue; /* cannot stand like this there */
            int own = own_columns(m, part, &part->shapes[s], strips);
            least = least < 0 || own < least ? own : least;
        }
        sum += least > 0 ? least : 0;
    }
    return sum;
}

static int holes_on(const swi_model *m, const counts *c, int strips) {
    int cuts = m->options->knife || c->pieces < strips ? 0 : c->pieces - strips;
    int most = c->covered, with_links = c->closed + 2 * c->links, with_cuts = 2 * c->links + cuts;
    most = with_links > most ? with_links : most;
    return c->leads + (with_cuts > most ? with_cuts : most);
}

static int columns_on(const swi_model *m, const counts *c, int strips, bool *tall) {
    int columns = (holes_on(m, c, strips) + strips - 1) / strips, own = columns_of_the_tall(m, strips);
    columns = columns < m->widest + 1 ? m->widest + 1 : columns;
    *tall = own > columns;
    return own > columns ? own : columns;
}

static void say(const swi_model *m, const counts *c, int strips, int columns, bool tall, char *why, size_t size) {
    int cuts = m->options->knife || c->pieces < strips ? 0 : c->pieces - strips;
    if (tall)
        snprintf(why, size, "on %d strips the tall parts take %d columns for themselves%s", strips, columns,
                 c->passing ? ", and fewer strips do not let all nodes past the ICs" : "");
    else
        snprintf(why, size,
                 "on %d strips at least %d columns: %d leads, %d links, %d cuts and %d holes shut in by parts are needed whatever the plan",
                 strips, columns, c->leads, c->links, cuts, c->covered);
}

static counts count(const swi_model *m) {
    counts c = {.leads = (int)m->pin_count, .strips = m->tallest + 1};
    count_pieces(m, &c);
    for (unsigned p = 0; p < m->part_count; p++) {
        count_covered(m, &m->parts[p], &c);
        count_strips(m, &m->parts[p], &c);
    }
    return c;
}

int swi_least_columns(const swi_model *m, int strips) {
    counts c = count(m);
    bool tall;
    return strips < c.strips ? m->most_cols + 1 : columns_on(m, &c, strips, &tall);
}

int swi_bound(const swi_model *m, char *why, size_t size) {
    counts c = count(m);
    int lost = 2 * m->options->margin, best = 0;
    why[0] = '\0';
    for (int r = c.strips; r <= m->most_rows; r++) {
        bool tall;
        if (best && (r + lost) * (m->widest + 1 + lost) >= best)
            break;
        int columns = columns_on(m, &c, r, &tall), area = (r + lost) * (columns + lost);
        if (columns > m->most_cols || (best && area >= best))
            continue;
        best = area;
        say(m, &c, r, columns, tall, why, size);
    }
    if (m->fixed_size) {
        best = (m->most_rows + lost) * (m->most_cols + lost);
        snprintf(why, size, "the size is fixed");
    }
    return best;
}
