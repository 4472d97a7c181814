/* formats/worklist: the cuts and links of a plan in the order of work, as a table or as
 * a list to tick off. */
#include "base/csv.h"
#include "base/fault.h"
#include "base/text.h"
#include "formats/formats.h"
#include "papers/work.h"

#include <stdio.h>
#include <string.h>

/* Holes of a cut: "D7", or "D9|D10" for a knife cut; in words for people. */
static void put_cut(const sw_cut *cut, bool words, sw_buf *out) {
    char name[12];
    sw_hole_write(cut->hole, name);
    sw_buf_puts(out, name);
    if (!cut->knife)
        return;
    sw_hole_write((sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)}, name);
    sw_buf_printf(out, words ? " | %s  knife cut between the holes" : " %s", name);
}

/* ---- table ---- */

static void put_row(const char *const *cells, int count, bool guard, sw_buf *out) {
    for (int i = 0; i < count; i++)
        swi_csv_put(out, i == 0, cells[i], guard);
    swi_csv_end(out);
}

enum { COLUMNS = 8 };

static void cut_row(const swi_subject *subject, uint32_t index, uint32_t step, bool guard, sw_buf *out) {
    const sw_cut *cut = &subject->plan->cuts[index];
    char hole[12], to[12] = "", number[16];
    sw_hole_write(cut->hole, hole);
    if (cut->knife)
        sw_hole_write((sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)}, to);
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "%u", (unsigned)step);
    out->failed |= text.failed;
    strcpy(number, text.failed ? "" : text.bytes);
    sw_buf_free(&text);
    put_row((const char *[COLUMNS]){number, cut->knife ? "knife cut" : "cut", hole, to, "", "", "", ""},
            COLUMNS, guard, out);
}

static void link_row(const swi_subject *subject, uint32_t index, uint32_t step, bool guard, sw_buf *out) {
    const sw_link *link = &subject->plan->links[index];
    char from[12], to[12];
    sw_hole_write(link->from, from);
    sw_hole_write(link->to, to);
    sw_buf number = SW_BUF_INIT, node = SW_BUF_INIT, pitches = SW_BUF_INIT, wire = SW_BUF_INIT;
    sw_buf_printf(&number, "%u", (unsigned)step);
    uint32_t known = swi_subject_link_node(subject, link);
    sw_buf_printf(&node, "%u", (unsigned)known);
    sw_buf_printf(&pitches, "%d", swi_link_pitches(link));
    sw_buf_real(&wire, swi_link_wire(link), 1);
    if (number.failed || node.failed || pitches.failed || wire.failed)
        out->failed = true;
    else
        put_row((const char *[COLUMNS]){number.bytes, "link", from, to, known ? node.bytes : "", pitches.bytes,
                                        wire.bytes, link->sleeved ? "sleeved" : ""},
                COLUMNS, guard, out);
    sw_buf_free(&number);
    sw_buf_free(&node);
    sw_buf_free(&pitches);
    sw_buf_free(&wire);
}

/* ---- what comes off a board that is built ---- */

static void hole_name(sw_hole hole, char name[12]) {
    name[0] = '\0';
    if (hole.strip >= 0)
        sw_hole_write(hole, name);
}

static void put_off_row(const swi_change *change, uint32_t index, bool guard, sw_buf *out) {
    swi_off_row row = swi_off_at(change, index);
    char hole[12], to[12], number[16];
    hole_name(row.hole, hole);
    hole_name(row.to, to);
    snprintf(number, sizeof number, "%u", (unsigned)index + 1);
    put_row((const char *[COLUMNS]){number, row.kind, hole, to, "", "", "", row.sleeved ? "sleeved" : row.ref}, COLUMNS, guard, out);
}

static void list_off(const swi_subject *subject, sw_buf *out) {
    uint32_t count = swi_comes_off(subject);
    if (!subject->change)
        return;
    sw_buf_printf(out, "TAKE OFF (%u)\n\n", (unsigned)count);
    for (uint32_t i = 0; i < count; i++) {
        swi_off_row row = swi_off_at(subject->change, i);
        char hole[12], to[12];
        hole_name(row.hole, hole);
        hole_name(row.to, to);
        if (*row.ref)
            sw_buf_printf(out, "  [ ] %s at %s\n", row.ref, hole);
        else
            sw_buf_printf(out, "  [ ] %s %s%s%s\n", *row.kind == 'b' ? "bridge the cut at" : "link", hole, *to ? " to " : "", to);
    }
    sw_buf_putc(out, '\n');
}

static void write_table(const swi_subject *subject, const swi_work *work, bool guard, sw_buf *out) {
    put_row((const char *[COLUMNS]){"step", "kind", "hole", "to", "node", "pitches", "wire_mm", "note"},
            COLUMNS, guard, out);
    uint32_t step = 0;
    while (step < swi_comes_off(subject))
        put_off_row(subject->change, step++, guard, out);
    for (uint32_t i = 0; i < work->cut_count; i++)
        cut_row(subject, work->cuts[i], ++step, guard, out);
    for (uint32_t i = 0; i < work->link_count; i++)
        link_row(subject, work->links[i], ++step, guard, out);
}

/* ---- list to tick off ---- */

static void put_title(const swi_subject *subject, sw_buf *out) {
    const char *title = subject->plan->title ? subject->plan->title : "";
    if (!*title && subject->circuit)
        title = subject->circuit->title;
    swi_put_visible(out, title, strlen(title), false);
    sw_buf_puts(out, *title ? "\n\n" : "");
}

static void list_cuts(const swi_subject *subject, const swi_work *work, sw_buf *out) {
    const sw_plan *plan = subject->plan;
    sw_buf_printf(out, "%sCUTS (%u), on the copper side; columns run from right to left there\n", subject->change ? "NEW " : "",
                  (unsigned)work->cut_count);
    int strip = -1;
    for (uint32_t i = 0; i < work->cut_count; i++) {
        const sw_cut *cut = &plan->cuts[work->cuts[i]];
        if (cut->hole.strip != strip)
            sw_buf_putc(out, '\n');
        strip = cut->hole.strip;
        sw_buf_puts(out, "  [ ] ");
        put_cut(cut, true, out);
        sw_buf_putc(out, '\n');
    }
}

static void list_links(const swi_subject *subject, const swi_work *work, sw_buf *out) {
    const sw_plan *plan = subject->plan;
    sw_buf_printf(out, "\n%sLINKS (%u), on the component side\n\n", subject->change ? "NEW " : "", (unsigned)work->link_count);
    for (uint32_t i = 0; i < work->link_count; i++) {
        const sw_link *link = &plan->links[work->links[i]];
        char from[12], to[12];
        sw_hole_write(link->from, from);
        sw_hole_write(link->to, to);
        uint32_t node = swi_subject_link_node(subject, link);
        sw_buf_printf(out, "  [ ] %-5s to %-5s %3d %-7s ", from, to, swi_link_pitches(link),
                      swi_link_pitches(link) == 1 ? "pitch" : "pitches");
        sw_buf wire = SW_BUF_INIT;
        sw_buf_real(&wire, swi_link_wire(link), 1);
        if (!wire.failed)
            sw_buf_printf(out, "%6s mm", wire.bytes);
        out->failed |= wire.failed;
        sw_buf_free(&wire);
        if (node)
            sw_buf_printf(out, "  node %u", (unsigned)node);
        sw_buf_puts(out, link->sleeved ? "  sleeved\n" : "\n");
    }
    if (!work->link_count)
        return;
    sw_buf_puts(out, "\n  Wire in all: ");
    sw_buf_real(out, swi_links_wire(subject), 0);
    sw_buf_puts(out, " mm (2.54 mm a pitch, and for each link ");
    sw_buf_real(out, SWI_LINK_ALLOWANCE_MM, 0);
    sw_buf_puts(out, " mm for the bends and for ends to hold and trim)\n");
}

static bool ends_in_txt(const char *path) {
    size_t n = path ? strlen(path) : 0;
    if (n >= 3 && swi_equal_fold(path + n - 3, ".gz"))
        n -= 3;
    return n >= 4 && swi_equal_fold_n(path + n - 4, 4, ".txt");
}

static sw_status write_worklist(const sw_document *document, const sw_write_options *options,
                                sw_diags *diags, sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    swi_work *work = swi_work_new(subject);
    if (work && ends_in_txt(options->path)) {
        put_title(subject, out);
        list_off(subject, out);
        list_cuts(subject, work, out);
        list_links(subject, work, out);
    } else if (work) {
        write_table(subject, work, options->spreadsheet, out);
    }
    bool good = work && !out->failed;
    swi_work_free(work);
    swi_subject_free(subject);
    return good ? SW_OK : swi_out_of_memory(diags);
}

static const char *const extensions[] = {".worklist.csv", ".worklist.txt", NULL};

const sw_format swi_format_worklist = {
    .name = "worklist",
    .extensions = extensions,
    .summary = "cuts and links in working order, as a table or to tick off",
    .standard = "RFC 4180",
    .keeps = "cuts and links",
    .group = SW_GROUP_PAPER,
    .write = write_worklist,
};
