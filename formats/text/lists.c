/* formats/text/lists.c: what stands above and below the drawing: title, the work on a board
 * that is built, parts with the holes of their pins, wires, links, cuts, nodes, findings. */
#include "formats/text/lists.h"

#include "base/text.h"
#include "papers/change.h"

#include <string.h>

static void put_visible(sw_buf *out, const char *text) {
    swi_put_visible(out, text, strlen(text), false);
}

void swi_text_heading(const swi_subject *subject, sw_buf *out) {
    const sw_plan *plan = subject->plan;
    const char *title = plan->title && *plan->title ? plan->title
                      : subject->circuit ? subject->circuit->title : "";
    if (*title) {
        put_visible(out, title);
        sw_buf_putc(out, '\n');
    }
    sw_buf_printf(out, "%d strips × %d columns, %u link%s, %u cut%s\n\n", plan->strips, plan->columns,
                  (unsigned)plan->link_count, SWI_S(plan->link_count), (unsigned)plan->cut_count,
                  SWI_S(plan->cut_count));
}

static void put_hole(sw_buf *out, sw_hole hole) {
    char name[12];
    sw_hole_write(hole, name);
    sw_buf_puts(out, name);
}

static size_t widest(const swi_subject *subject, bool values) {
    size_t most = 0;
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const char *text = values ? subject->items[i].value : subject->items[i].part->ref;
        size_t n = strlen(text);
        most = !subject->items[i].terminal && n > most ? n : most;
    }
    return most < 24 ? most : 24;
}

/* Text, then blanks up to a width in characters. */
static void put_column(sw_buf *out, const char *text, size_t width) {
    size_t count = 0;
    for (size_t left = strlen(text), n; left; text += n, left -= n, count++) {
        n = swi_utf8_length(text, left);
        swi_put_visible(out, text, n, false);
    }
    for (; count < width; count++)
        sw_buf_putc(out, ' ');
    sw_buf_puts(out, "  ");
}

static void put_part(const swi_subject *subject, const swi_item *item, sw_buf *out) {
    sw_buf_puts(out, "  ");
    put_column(out, item->part->ref, widest(subject, false));
    put_column(out, item->value, widest(subject, true));
    put_column(out, item->part->package, 12);
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        sw_buf_puts(out, i ? "  " : "");
        put_visible(out, item->leads[i].pin);
        sw_buf_putc(out, '=');
        put_hole(out, item->leads[i].hole);
    }
    sw_buf_putc(out, '\n');
}

static void put_wire(const swi_subject *subject, const swi_item *item, sw_buf *out) {
    sw_buf_puts(out, "  ");
    put_hole(out, item->leads[0].hole);
    sw_buf_puts(out, "  ");
    put_visible(out, item->name);
    uint32_t node = subject->lead_nodes[item->leads - subject->plan->leads];
    if (node)
        sw_buf_printf(out, " (node %u)", (unsigned)node);
    sw_buf_putc(out, '\n');
}

static void put_parts(const swi_subject *subject, bool wires, sw_buf *out) {
    bool any = false;
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const swi_item *item = &subject->items[i];
        if (item->terminal != wires || !item->part->lead_count)
            continue;
        if (!any)
            sw_buf_puts(out, wires ? "\nWires leave the board at\n" : "\nParts, pin = hole\n");
        any = true;
        if (wires)
            put_wire(subject, item, out);
        else
            put_part(subject, item, out);
    }
}

/* Items in lines of at most about 78 characters. */
static void next_word(sw_buf *out, size_t *line, int indent) {
    if (out->length - *line > 70) {
        sw_buf_printf(out, "\n%*s", indent, "");
        *line = out->length - (size_t)indent;
    }
    sw_buf_putc(out, ' ');
}

static void put_link(sw_buf *out, sw_hole from, sw_hole to) {
    put_hole(out, from);
    sw_buf_putc(out, '-');
    put_hole(out, to);
}

static void put_cut(sw_buf *out, const sw_cut *cut) {
    put_hole(out, cut->hole);
    if (cut->knife)
        sw_buf_printf(out, "|%d", cut->hole.column + 2);
}

static void put_holes(const swi_subject *subject, sw_buf *out) {
    const sw_plan *plan = subject->plan;
    size_t line = out->length;
    if (plan->link_count)
        sw_buf_puts(out, "\nLinks\n ");
    for (uint32_t i = 0; i < plan->link_count; i++) {
        next_word(out, &line, 1);
        put_link(out, plan->links[i].from, plan->links[i].to);
    }
    line = out->length;
    if (plan->cut_count)
        sw_buf_puts(out, plan->link_count ? "\n\nCuts\n " : "\nCuts\n ");
    for (uint32_t i = 0; i < plan->cut_count; i++) {
        next_word(out, &line, 1);
        put_cut(out, &plan->cuts[i]);
    }
    if (plan->link_count || plan->cut_count)
        sw_buf_putc(out, '\n');
}

/* ---- a board that is built ---- */

enum { NEWS = 12 }; /* where a row's items begin */

/* Before the first item of a row its name, before the others no more than a blank. */
static void next_item(sw_buf *out, size_t *line, const char *row) {
    if (*line == 0) {
        *line = out->length;
        sw_buf_printf(out, "  %-*s", NEWS - 2, row);
    }
    next_word(out, line, NEWS);
}

static void end_row(sw_buf *out, size_t *line) {
    sw_buf_puts(out, *line ? "\n" : "");
    *line = 0;
}

static void put_off(const swi_subject *subject, sw_buf *out) {
    size_t line = 0;
    for (uint32_t i = 0; i < swi_comes_off(subject); i++) {
        swi_off_row row = swi_off_at(subject->change, i);
        next_item(out, &line, "Comes off");
        if (*row.ref) {
            put_visible(out, row.ref);
        } else if (*row.kind == 'l') {
            sw_buf_puts(out, "link ");
            put_link(out, row.hole, row.to);
        } else {
            sw_buf_puts(out, "(cut to bridge) ");
            put_cut(out, &(sw_cut){.hole = row.hole, .knife = row.to.strip >= 0});
        }
    }
    end_row(out, &line);
}

static void put_new_parts(const swi_subject *subject, sw_buf *out) {
    size_t line = 0;
    for (uint32_t i = 0; i < subject->item_count; i++)
        if (swi_part_changes(subject, i) != SWI_PART_STAYS) {
            next_item(out, &line, "New parts");
            put_visible(out, subject->items[i].part->ref);
        }
    end_row(out, &line);
}

/* What is new beside what stays, and what comes off. */
static void put_change(const swi_subject *subject, sw_buf *out) {
    const sw_plan *plan = subject->plan;
    size_t line = 0;
    if (!subject->change)
        return;
    sw_buf_puts(out, "\nWork on the board that is built\n");
    size_t before = out->length;
    put_off(subject, out);
    for (uint32_t i = 0; i < plan->cut_count; i++)
        if (swi_cut_is_work(subject, i)) {
            next_item(out, &line, "New cuts");
            put_cut(out, &plan->cuts[i]);
        }
    end_row(out, &line);
    for (uint32_t i = 0; i < plan->link_count; i++)
        if (swi_link_is_work(subject, i)) {
            next_item(out, &line, "New links");
            put_link(out, plan->links[i].from, plan->links[i].to);
        }
    end_row(out, &line);
    put_new_parts(subject, out);
    if (out->length == before)
        sw_buf_puts(out, "  none\n");
}

static void put_nodes(const swi_subject *subject, sw_buf *out) {
    if (subject->node_count)
        sw_buf_puts(out, "\nNodes\n");
    for (uint32_t n = 1; n <= subject->node_count; n++) {
        sw_buf_printf(out, "%4u ", (unsigned)n);
        const char *name = swi_subject_node_name(subject, n);
        size_t line = out->length;
        put_visible(out, name);
        for (uint32_t i = 0; i < subject->plan->lead_count; i++) {
            if (subject->lead_nodes[i] != n)
                continue;
            const swi_item *item = swi_subject_item_of_lead(subject, i);
            next_word(out, &line, 1);
            put_visible(out, item ? item->part->ref : "?");
            if (item && item->terminal) /* called as its wire */
                continue;
            sw_buf_putc(out, '.');
            put_visible(out, subject->plan->leads[i].pin);
        }
        sw_buf_putc(out, '\n');
    }
}

static void put_findings(const swi_subject *subject, sw_buf *out) {
    const sw_check_report *check = subject->document->check;
    if (!check || !check->fault_count)
        return;
    sw_buf_puts(out, "\nFindings of the check\n");
    for (uint32_t i = 0; i < check->fault_count; i++) {
        sw_buf_printf(out, "%4u  ", (unsigned)i + 1);
        put_visible(out, check->faults[i].text);
        if (*check->faults[i].mend) {
            sw_buf_puts(out, "\n      Mend: ");
            put_visible(out, check->faults[i].mend);
        }
        sw_buf_putc(out, '\n');
    }
}

void swi_text_lists(const swi_subject *subject, sw_buf *out) {
    put_change(subject, out);
    put_parts(subject, false, out);
    put_parts(subject, true, out);
    put_holes(subject, out);
    put_nodes(subject, out);
    put_findings(subject, out);
}
