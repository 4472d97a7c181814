/* src/papers/steps.c: the steps put together; piece, cuts and links. */
#include "steps_make.h"

#include "base/sha256.h"

#include <stdlib.h>
#include <string.h>

/* ---- adding ---- */

const char *swi_steps_take(swi_step_maker *m) {
    const char *text = "";
    if (m->text.length)
        text = swi_arena_text(m->out->memory, m->text.bytes, m->text.length);
    m->failed |= m->text.failed || !text;
    m->text.length = 0;
    return text ? text : "";
}

const char *swi_steps_hole(swi_step_maker *m, sw_hole hole) {
    char name[12];
    sw_hole_write(hole, name);
    const char *text = swi_arena_text(m->out->memory, name, strlen(name));
    m->failed |= !text;
    return text ? text : "";
}

void swi_steps_chapter(swi_step_maker *m, swi_chapter_kind kind, const char *title, const char *intro,
                       bool copper) {
    swi_steps *out = m->out;
    if (out->chapter_count && !out->chapters[out->chapter_count - 1].count)
        out->chapter_count--; /* nothing to do there */
    if (!SWI_GROW(out->chapters, m->chapter_room, out->chapter_count + 1)) {
        m->failed = true;
        return;
    }
    out->chapters[out->chapter_count++] = (swi_chapter){kind, title, intro, copper, out->step_count, 0};
}

swi_step *swi_steps_add(swi_step_maker *m, const char *word, uint32_t number) {
    static const swi_step none = {.key = "", .title = "", .text = "", .watch = "", .ref = "", .mark = "",
                                  .index = SW_NONE};
    swi_steps *out = m->out;
    if (m->failed || !out->chapter_count || !SWI_GROW(out->steps, m->step_room, out->step_count + 1)) {
        m->failed = true;
        m->spare = none;
        return &m->spare;
    }
    out->chapters[out->chapter_count - 1].count++;
    swi_step *step = &out->steps[out->step_count++];
    *step = none;
    sw_buf_printf(&m->text, "%s-%u", word, (unsigned)number);
    step->key = swi_steps_take(m);
    return step;
}

sw_hole *swi_steps_holes(swi_step_maker *m, swi_step *step, uint32_t count) {
    sw_hole *holes = swi_arena_array(m->out->memory, count, sizeof *holes);
    m->failed |= !holes;
    step->holes = holes;
    step->hole_count = holes ? count : 0;
    return holes;
}

static void look_at(swi_step_maker *m, swi_step *step, sw_hole a, sw_hole b) {
    sw_hole *holes = swi_steps_holes(m, step, 2);
    if (holes) {
        holes[0] = a;
        holes[1] = b;
    }
}

/* ---- the piece ---- */

static void put_offcut(swi_step_maker *m, int strips, int columns, bool *any) {
    if (strips < 1 || columns < 1)
        return;
    sw_buf_printf(&m->text, "%s%d strips × %d columns", *any ? " and " : "What is left: ", strips, columns);
    *any = true;
}

static void score_step(swi_step_maker *m, uint32_t *number) {
    const sw_stock *stock = m->out->stock.stock;
    int strips = m->plan->strips, columns = m->plan->columns;
    bool down = stock->strips > strips, along = stock->columns > columns, any = false;
    if (!down && !along)
        return;
    char letter[8];
    sw_strip_write(strips, letter);
    swi_step *step = swi_steps_add(m, "piece", ++*number);
    sw_buf_puts(&m->text, "Score and snap");
    if (down)
        sw_buf_printf(&m->text, " along strip %s", letter);
    if (along)
        sw_buf_printf(&m->text, "%s column %d", down ? ", then along" : " along", columns + 1);
    step->title = swi_steps_take(m);
    sw_buf_puts(&m->text, "Score through the middle of that line of holes, several times on both sides, lay "
                          "the line on a table's edge and snap. The line of holes is lost. ");
    put_offcut(m, stock->strips - strips - 1, stock->columns, &any);
    put_offcut(m, down ? strips : stock->strips, stock->columns - columns - 1, &any);
    if (any)
        sw_buf_puts(&m->text, "; keep it.");
    step->text = swi_steps_take(m);
    step->watch = "Cut away from your hands. The strips run along the board, in the direction in which columns "
                  "are counted.";
}

static void screw_steps(swi_step_maker *m, uint32_t *number) {
    for (uint32_t i = 0; i < m->plan->keep_out_count; i++) {
        const sw_keep_out *keep = &m->plan->keep_outs[i];
        if (!keep->why || strncmp(keep->why, "screw", 5) != 0)
            continue;
        sw_hole middle = {(int16_t)((keep->from.strip + keep->to.strip) / 2),
                          (int16_t)((keep->from.column + keep->to.column) / 2)};
        swi_step *step = swi_steps_add(m, "piece", ++*number);
        sw_buf_printf(&m->text, "Drill 3.2 mm at %s for a screw", swi_steps_hole(m, middle));
        step->title = swi_steps_take(m);
        step->text = "Clamp the board on scrap wood, start from the hole that is there, and go through slowly.";
        sw_hole *holes = swi_steps_holes(m, step, 1);
        if (holes)
            holes[0] = middle;
    }
}

static void piece_steps(swi_step_maker *m) {
    const sw_stock *stock = m->out->stock.stock;
    uint32_t number = 0;
    swi_steps_chapter(m, SWI_CHAPTER_PIECE, "Cut the piece",
                      "Strips run from left to right and are lettered from the top; columns are numbered from "
                      "the left. Both as seen from the component side, the side without copper.", false);
    swi_step *step = swi_steps_add(m, "piece", ++number);
    sw_buf_printf(&m->text, "Count off %d strips and %d columns", m->plan->strips, m->plan->columns);
    step->title = swi_steps_take(m);
    if (stock)
        sw_buf_printf(&m->text, "Take a board of %s holes%s%s%s and count from a corner, whose hole becomes A1.",
                      stock->name, *stock->note ? " (" : "", stock->note, *stock->note ? ")" : "");
    else
        sw_buf_puts(&m->text, "No size of board that is listed is large enough: order one cut to size.");
    step->text = swi_steps_take(m);
    if (stock)
        score_step(m, &number);
    step = swi_steps_add(m, "piece", ++number);
    step->title = "Smooth the edges and mark hole A1";
    step->text = "File the edges straight, rub the copper bright with fine steel wool or a rubber, and mark A1 on both "
                 "sides with a felt pen: on the component side it is at the top left, on the copper side at the "
                 "top right.";
    step->watch = "File wet or outdoors, do not breathe the dust, and wash your hands.";
    look_at(m, step, (sw_hole){0, 0}, (sw_hole){0, 0});
    step->hole_count = step->hole_count ? 1 : 0;
    screw_steps(m, &number);
}

/* ---- cuts ---- */

static const char *cut_name(swi_step_maker *m, const sw_cut *cut) {
    if (!cut->knife)
        return swi_steps_hole(m, cut->hole);
    const char *left = swi_steps_hole(m, cut->hole);
    sw_hole next = {cut->hole.strip, (int16_t)(cut->hole.column + 1)};
    const char *right = swi_steps_hole(m, next);
    sw_buf_printf(&m->text, "%s and %s", left, right);
    return swi_steps_take(m);
}

static void cut_steps(swi_step_maker *m) {
    swi_steps_chapter(m, SWI_CHAPTER_CUTS, "Make the cuts",
                      "From the copper side. Turn the board over like a page: strip A stays at the top, column 1 is "
                      "now at the right. Mark all cuts with a felt pen first and compare them with the drawing of the "
                      "copper side, then cut. A hole that is cut is lost: nothing goes into it.", true);
    for (uint32_t i = 0; i < m->out->work->cut_count; i++) {
        uint32_t index = m->out->work->cuts[i];
        const sw_cut *cut = &m->plan->cuts[index];
        char strip[8];
        sw_strip_write(cut->hole.strip, strip);
        swi_step *step = swi_steps_add(m, "cut", index + 1);
        sw_buf_printf(&m->text, cut->knife ? "Cut between %s with a knife" : "Cut at %s", cut_name(m, cut));
        step->title = swi_steps_take(m);
        sw_buf_printf(&m->text, "Seen from the copper side: strip %s, %s hole %d from the left.", strip,
                      cut->knife ? "to the left of" : "at", m->plan->columns - cut->hole.column);
        if (cut->knife)
            sw_buf_puts(&m->text, " Two scores half a millimetre apart, and lift the copper between them out. Both "
                                  "holes stay in use.");
        step->text = swi_steps_take(m);
        step->mark = step->key;
        step->index = index;
        look_at(m, step, cut->hole, (sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)});
        if (!cut->knife)
            step->hole_count = step->hole_count ? 1 : 0;
    }
}

/* The nearest hole with copper on one side of a cut; column -1 or beyond: none. */
static sw_hole beside(const swi_step_maker *m, const sw_cut *cut, int way) {
    sw_hole hole = cut->hole;
    if (!cut->knife || way > 0)
        hole.column = (int16_t)(hole.column + way);
    while (hole.column >= 0 && hole.column < m->plan->columns &&
           sw_copper_segment(m->subject->copper, m->plan, hole) == SW_NONE)
        hole.column = (int16_t)(hole.column + way);
    return hole;
}

static void check_one_cut(swi_step_maker *m, uint32_t index) {
    const sw_cut *cut = &m->plan->cuts[index];
    sw_hole left = beside(m, cut, -1), right = beside(m, cut, 1);
    swi_step *step = swi_steps_add(m, "check", index + 1);
    step->index = index;
    sw_buf_printf(&m->text, "cut-%u", (unsigned)index + 1);
    step->mark = swi_steps_take(m);
    const char *name = cut_name(m, cut);
    if (left.column < 0 || right.column >= m->plan->columns) {
        sw_buf_printf(&m->text, "%s: look through a lens", name);
        step->title = swi_steps_take(m);
        step->text = "There is copper on one side only. No copper may be left around the hole.";
        look_at(m, step, cut->hole, cut->hole);
        step->hole_count = step->hole_count ? 1 : 0;
        return;
    }
    const char *a = swi_steps_hole(m, left), *b = swi_steps_hole(m, right);
    sw_buf_printf(&m->text, "Cut at %s: touch the copper at %s and %s", name, a, b);
    if (cut->knife) {
        m->text.length = 0;
        sw_buf_printf(&m->text, "Cut between %s: touch the copper on both sides", name);
    }
    step->title = swi_steps_take(m);
    step->text = m->subject->change ? "No beep, unless a part that is on the board joins the two. If it beeps, cut again "
                                      "and blow the swarf away."
                                    : "No beep. If it beeps, cut again and blow the swarf away.";
    look_at(m, step, left, right);
}

static void cut_check_steps(swi_step_maker *m) {
    swi_steps_chapter(m, SWI_CHAPTER_CUT_CHECKS, "Check each cut with a meter",
                      m->subject->change ? "The meter on its beeper: every new cut must be silent. A hair of copper is found "
                                           "in a minute now and in an hour later."
                                         : "The meter on its beeper, the board still empty: every cut must be silent. A hair "
                                           "of copper is found in a minute now and in an hour later.", true);
    for (uint32_t i = 0; i < m->out->work->cut_count; i++)
        check_one_cut(m, m->out->work->cuts[i]);
}

/* ---- links ---- */

static void link_step(swi_step_maker *m, uint32_t index) {
    const sw_link *link = &m->plan->links[index];
    const char *from = swi_steps_hole(m, link->from), *to = swi_steps_hole(m, link->to);
    int pitches = swi_link_pitches(link);
    swi_step *step = swi_steps_add(m, "link", index + 1);
    step->index = index;
    step->mark = step->key;
    step->node = swi_subject_link_node(m->subject, link);
    sw_buf_printf(&m->text, "%s from %s to %s", link->sleeved ? "Sleeved link" : "Link", from, to);
    step->title = swi_steps_take(m);
    sw_buf_printf(&m->text, "%d pitch%s, ", pitches, pitches == 1 ? "" : "es");
    sw_buf_real(&m->text, SW_PITCH_MM * pitches, 1);
    sw_buf_puts(&m->text, " mm from hole to hole: cut ");
    sw_buf_real(&m->text, swi_link_wire(link), 0);
    sw_buf_puts(&m->text, " mm of wire");
    if (link->sleeved) {
        sw_buf_puts(&m->text, " and ");
        sw_buf_real(&m->text, SW_PITCH_MM * pitches - 1, 0);
        sw_buf_puts(&m->text, " mm of sleeving");
    }
    sw_buf_puts(&m->text, ".");
    step->text = swi_steps_take(m);
    look_at(m, step, link->from, link->to);
}

static void link_steps(swi_step_maker *m) {
    swi_steps_chapter(m, SWI_CHAPTER_LINKS, "Fit the links",
                      "Tinned copper wire, 0.6 mm. Bend each over flat pliers, push it in from the component side "
                      "and pull it straight: it lies flat on the board. Solder and trim both ends.", false);
    for (uint32_t i = 0; i < m->out->work->link_count; i++)
        link_step(m, m->out->work->links[i]);
}

/* ---- all of it ---- */

/* All that is to be done, so that a page remembers ticks for this plan alone. */
static void hash_all(swi_step_maker *m) {
    sw_buf all = SW_BUF_INIT;
    sw_buf_printf(&all, "%d %d\n", m->plan->strips, m->plan->columns);
    for (uint32_t i = 0; i < m->out->step_count; i++) {
        const swi_step *step = &m->out->steps[i];
        sw_buf_printf(&all, "%s|%s|%s|%s\n", step->key, step->title, step->text, step->watch);
    }
    m->failed |= all.failed;
    swi_sha256(all.bytes ? all.bytes : "", all.length, m->out->hash);
    sw_buf_free(&all);
}

static bool has_numbers(const swi_subject *subject) {
    return subject->circuit && subject->circuit->by_number;
}

static void make(swi_step_maker *m) {
    swi_steps *out = m->out;
    if (m->subject->change)
        swi_steps_of_change(m);
    else
        piece_steps(m);
    cut_steps(m);
    cut_check_steps(m);
    link_steps(m);
    swi_steps_of_parts(m);
    swi_steps_of_probes(m);
    swi_steps_of_power(m);
    swi_steps_of_ics(m);
    if (out->chapter_count && !out->chapters[out->chapter_count - 1].count)
        out->chapter_count--;
    hash_all(m);
    m->failed |= m->text.failed;
}

swi_steps *swi_steps_new(const swi_subject *subject) {
    swi_steps *out = calloc(1, sizeof *out);
    if (!out)
        return NULL;
    swi_step_maker m = {.subject = subject, .plan = subject->plan, .out = out};
    out->memory = swi_arena_new();
    out->work = swi_work_new(subject);
    out->stock = swi_stock_choose(subject->document->library, m.plan->strips, m.plan->columns, 1);
    if (has_numbers(subject))
        out->probes = swi_probes_of(subject);
    m.failed = !out->memory || !out->work || (has_numbers(subject) && !out->probes);
    if (!m.failed)
        make(&m);
    sw_buf_free(&m.text);
    if (!m.failed)
        return out;
    swi_steps_free(out);
    return NULL;
}

void swi_steps_free(swi_steps *steps) {
    if (!steps)
        return;
    swi_work_free(steps->work);
    swi_probes_free(steps->probes);
    swi_arena_free(steps->memory);
    free(steps->steps);
    free(steps->chapters);
    free(steps);
}

/* ---- edges ---- */

const char *swi_edge_name(swi_edge edge) {
    static const char *const names[] = {"left", "right", "top", "bottom"};
    return names[edge];
}

swi_edge swi_edge_near(const sw_plan *plan, sw_hole hole, int *between) {
    const int far[] = {hole.column, plan->columns - 1 - hole.column, hole.strip, plan->strips - 1 - hole.strip};
    int best = 0;
    for (int i = 1; i < 4; i++)
        if (far[i] < far[best])
            best = i;
    *between = far[best];
    return (swi_edge)best;
}
