/* formats/guide/front.c: what to read before work: the job at a glance, tools and parts,
 * cautions, wires that leave the board; and what the review found. */
#include "page.h"

#include "base/text.h"

#include <stripwright/papers.h>
#include <string.h>

/* ---- at a glance ---- */

static void fact(guide_page *page, const char *name, long number, const char *rest) {
    guide_fills(page, "<div><dt>$</dt><dd>", name);
    guide_number(page, number);
    guide_put(page, rest);
    guide_put(page, "</dd></div>\n");
}

static void put_glance(guide_page *page) {
    const sw_plan *plan = page->subject->plan;
    const swi_work *work = page->steps->work;
    bool change = page->subject->change != NULL;
    guide_put(page, "<section id='glance' aria-labelledby='glance-title'>\n<h2 id='glance-title'>The job at a glance</h2>\n"
                    "<dl class='facts'>\n<div><dt>Board</dt><dd>");
    sw_buf_printf(page->out, "%d strips × %d columns</dd></div>\n<div><dt>Size</dt><dd>", plan->strips, plan->columns);
    guide_real(page, SW_PITCH_MM * plan->strips, 1);
    guide_put(page, " × ");
    guide_real(page, SW_PITCH_MM * plan->columns, 1);
    guide_put(page, " mm</dd></div>\n");
    if (change)
        fact(page, "Comes off", swi_comes_off(page->subject), "");
    fact(page, change ? "New cuts" : "Cuts", work->cut_count, "");
    fact(page, change ? "New links" : "Links", work->link_count, "");
    fact(page, change ? "Parts to fit" : "Parts", work->part_count, "");
    fact(page, "ICs in sockets", work->socketed_count, "");
    fact(page, change ? "New wires" : "Wires to solder on", work->wire_count, "");
    fact(page, "Steps to tick off", page->steps->step_count, "");
    guide_put(page, "</dl>\n</section>\n");
}

/* ---- tools and parts ---- */

static void put_presets(guide_page *page) {
    bool any = false;
    for (uint32_t i = 0; i < page->subject->item_count; i++) {
        const swi_item *item = &page->subject->items[i];
        if (!item->package || strncmp(item->package->name, "TRIM", 4) != 0)
            continue;
        guide_fills(page, any ? ", $ ($)" : "<li>A small screwdriver for the preset $ ($)", item->part->ref,
                    item->package->name);
        any = true;
    }
    if (any)
        guide_put(page, "</li>\n");
}

static void put_tools(guide_page *page) {
    const swi_work *work = page->steps->work;
    bool knife = false, spot = false;
    for (uint32_t i = 0; i < work->cut_count; i++)
        *(page->subject->plan->cuts[work->cuts[i]].knife ? &knife : &spot) = true;
    guide_put(page, "<h3>Tools</h3>\n<ul class='tools'>\n");
    if (!page->subject->change)
        guide_put(page, "<li>Steel rule, sharp knife or fine saw, file, felt pen</li>\n");
    if (spot)
        guide_put(page, "<li>Spot-face cutter, or a 3.5 to 4 mm drill bit turned by hand</li>\n");
    if (knife)
        guide_put(page, "<li>Scalpel or craft knife for the knife cuts</li>\n");
    guide_put(page, "<li>Soldering iron with a fine tip and its stand, solder with flux, solder wick</li>\n"
                    "<li>Side cutters, small flat pliers, lens, eye protection</li>\n"
                    "<li>Multimeter with a beeper</li>\n");
    put_presets(page);
    guide_put(page, "</ul>\n");
}

static void put_buy(guide_page *page, const swi_buy *buy, uint32_t number) {
    guide_put(page, "<tr class='step'");
    sw_buf_printf(page->out, " data-key='buy-%u'", (unsigned)number);
    if (*buy->refs)
        guide_fills(page, " data-refs='$'", buy->refs);
    sw_buf_printf(page->out, "><td><input type='checkbox' class='tickbox' id='tick-buy-%u'/></td><td>", (unsigned)number);
    guide_number(page, (long)buy->quantity);
    guide_put(page, "</td><td>");
    sw_buf_printf(page->out, "<label for='tick-buy-%u'>", (unsigned)number);
    if (*buy->value)
        guide_fills(page, "<b>$</b> ", buy->value);
    guide_fills(page, "$</label> <small>$</small></td><td>$</td><td>$", buy->device, buy->package, buy->refs, buy->marking);
    if (*buy->note)
        guide_fills(page, *buy->marking ? "; $" : "$", buy->note);
    guide_put(page, "</td></tr>\n");
}

static void put_parts(guide_page *page) {
    size_t count = 0;
    swi_shopping *shopping = swi_shopping_new();
    const swi_buy *lines = NULL;
    if (shopping && swi_shopping_add(shopping, page->subject, 1))
        lines = swi_shopping_finish(shopping, 0, page->document->library, &count);
    page->failed |= !lines && page->subject->item_count;
    guide_put(page, page->subject->change ? "<h3>What is new</h3>\n" : "<h3>Parts and what else to have</h3>\n");
    guide_put(page, "<div class='scroll-table' tabindex='0' role='region' aria-label='Parts list'><table class='parts'>\n"
                    "<thead><tr><th scope='col'><span class='unseen'>Have it</span></th><th scope='col'>Number</th>"
                    "<th scope='col'>What</th><th scope='col'>For</th><th scope='col'>Marking, notes</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; lines && i < count; i++)
        put_buy(page, &lines[i], (uint32_t)i + 1);
    guide_put(page, "</tbody></table></div>\n");
    swi_shopping_free(shopping);
}

/* ---- cautions and findings ---- */

static bool is_caution(sw_diag_id id) {
    return strncmp(sw_diag_name(id), "caution-", 8) == 0;
}

static bool is_among(const sw_diags *diags, const char *message) {
    for (size_t i = 0; diags && i < sw_diags_count(diags); i++)
        if (strcmp(sw_diags_get(diags, i)->message, message) == 0)
            return true;
    return false;
}

static void put_warnings(guide_page *page, const sw_diags *diags, const sw_diags *besides) {
    for (size_t i = 0; diags && i < sw_diags_count(diags); i++) {
        const sw_diag *diag = sw_diags_get(diags, i);
        if (is_caution(diag->id) && !is_among(besides, diag->message))
            guide_fills(page, "<li class='watch'><b>This circuit:</b> $</li>\n", diag->message);
    }
}

static void put_cautions(guide_page *page) {
    sw_diags *own = sw_diags_new(NULL);
    if (!own || sw_cautions(NULL, page->subject->circuit, page->subject->plan, page->document->library, own) != SW_OK)
        page->failed = true;
    guide_put(page, "<section id='cautions' aria-labelledby='cautions-title'>\n<h2 id='cautions-title'>Before you begin: "
                    "cautions</h2>\n<ul class='cautions'>\n");
    put_warnings(page, page->document->diags, NULL);
    if (own)
        put_warnings(page, own, page->document->diags);
    bool piece = !page->subject->change, cuts = page->steps->work->cut_count > 0;
    for (size_t i = 0; sw_caution_text(i); i++)
        if (sw_caution_matters(i, piece, cuts))
            guide_fills(page, i < 2 ? "<li><b>$</b></li>\n" : "<li>$</li>\n", sw_caution_text(i));
    guide_put(page, "</ul>\n</section>\n");
    sw_diags_free(own);
}

static void put_faults(guide_page *page) {
    const sw_check_report *check = page->document->check;
    for (uint32_t i = 0; check && i < check->fault_count; i++) {
        const sw_fault *fault = &check->faults[i];
        guide_fills(page, "<li><b>$:</b> $ $</li>\n", sw_severity_name(fault->severity), fault->text, fault->mend);
    }
}

static bool is_fault(const guide_page *page, const char *message) {
    const sw_check_report *check = page->document->check;
    for (uint32_t i = 0; check && i < check->fault_count; i++)
        if (strstr(message, check->faults[i].text))
            return true;
    return false;
}

static void put_finding(guide_page *page, const sw_diags *diags, const sw_diag *diag) {
    sw_place place;
    guide_fills(page, "<li><b>$:</b> $", sw_severity_name(diag->severity), diag->message);
    if (sw_diags_place(diags, diag->span, &place)) {
        guide_fills(page, " <small>$, line ", place.name);
        guide_number(page, (long)place.line);
        guide_put(page, "</small>");
    }
    guide_put(page, "</li>\n");
}

void guide_findings(guide_page *page) {
    const sw_diags *diags = page->document->diags;
    size_t start = 0;
    guide_put(page, "<section id='review' aria-labelledby='review-title'>\n<h2 id='review-title'>What the review found</h2>\n"
                    "<ul class='findings'>\n");
    start = page->out->length;
    put_faults(page);
    for (size_t i = 0; diags && i < sw_diags_count(diags); i++) {
        const sw_diag *diag = sw_diags_get(diags, i);
        if (!is_caution(diag->id) && !is_fault(page, diag->message))
            put_finding(page, diags, diag);
    }
    if (page->out->length == start)
        guide_put(page, "<li>Nothing to report.</li>\n");
    guide_put(page, "</ul>\n</section>\n");
}

/* ---- wires ---- */

/* What the wire goes to. */
static void put_far_end(guide_page *page, const swi_item *item, uint32_t node) {
    const char *rail = guide_rail(page, node);
    const char *unit = strpbrk(item->value, "Vv") ? "" : " V";
    if (!item->terminal)
        guide_text(page, item->value);
    else if (!swi_is_volts(item))
        guide_text(page, *item->value || !*rail ? item->value : "supply");
    else if (strcmp(rail, "ground") == 0)
        guide_put(page, "supply, 0 V");
    else if (*rail)
        guide_fills(page, "supply, $$", item->value, unit);
    else
        guide_fills(page, "source of $", item->value);
}

/* Where a screw terminal's openings look, whatever edge is nearer. */
static swi_edge edge_of(const guide_page *page, const swi_item *item, sw_hole hole, int *between) {
    static const swi_edge edges[] = {[SW_FACE_UP] = SWI_EDGE_TOP, [SW_FACE_RIGHT] = SWI_EDGE_RIGHT,
                                     [SW_FACE_DOWN] = SWI_EDGE_BOTTOM, [SW_FACE_LEFT] = SWI_EDGE_LEFT};
    sw_face face = item->stands ? sw_package_face(item->package, item->turn) : SW_FACE_NONE;
    *between = 0;
    return face != SW_FACE_NONE ? edges[face] : swi_edge_near(page->subject->plan, hole, between);
}

/* One lead of a terminal pin or of a connector. */
static void put_wire(guide_page *page, const swi_item *item, uint32_t lead) {
    const sw_plan *plan = page->subject->plan;
    sw_hole hole = item->leads[lead].hole;
    char name[12];
    int between;
    swi_edge edge = edge_of(page, item, hole, &between);
    sw_hole_write(hole, name);
    uint32_t node = page->subject->lead_nodes[item->leads + lead - plan->leads];
    guide_fills(page, "<tr data-holes='$' data-part='$'><th scope='row'>$", name, item->part->ref,
                item->terminal ? item->name : item->part->ref);
    if (!item->terminal)
        guide_fills(page, ".$", item->leads[lead].pin);
    guide_fills(page, "</th><td>$</td><td>$", name, swi_edge_name(edge));
    if (between)
        sw_buf_printf(page->out, ", %d hole%s in", between, SWI_S(between));
    guide_put(page, "</td><td>");
    if (node) {
        guide_put(page, "<i>");
        guide_number(page, (long)node);
        guide_fills(page, "</i> $", swi_subject_node_name(page->subject, node));
    }
    guide_put(page, "</td><td>");
    put_far_end(page, item, node);
    guide_put(page, "</td></tr>\n");
}

static void put_connectors(guide_page *page) {
    for (uint32_t i = 0; i < page->subject->item_count; i++) {
        const swi_item *item = &page->subject->items[i];
        for (uint32_t lead = 0; swi_is_connector(item) && lead < item->part->lead_count; lead++)
            put_wire(page, item, lead);
    }
}

static bool has_connectors(const swi_subject *subject) {
    for (uint32_t i = 0; i < subject->item_count; i++)
        if (swi_is_connector(&subject->items[i]))
            return true;
    return false;
}

static void put_wires(guide_page *page) {
    const swi_work *work = page->steps->work;
    guide_put(page, "<section id='wires' aria-labelledby='wires-title'>\n<h2 id='wires-title'>What leaves the board</h2>\n");
    if (!work->terminal_count && !has_connectors(page->subject)) {
        guide_put(page, "<p>Nothing: the board has no terminal pins and no connectors.</p>\n</section>\n");
        return;
    }
    guide_put(page, "<div class='scroll-table' tabindex='0' role='region' aria-label='Wires'><table>\n<thead><tr>"
                    "<th scope='col'>Wire</th><th scope='col'>Hole</th><th scope='col'>Edge</th><th scope='col'>Node</th>"
                    "<th scope='col'>Goes to</th></tr></thead>\n<tbody>\n");
    for (uint32_t i = 0; i < work->terminal_count; i++)
        put_wire(page, &page->subject->items[work->terminals[i]], 0);
    put_connectors(page);
    guide_put(page, "</tbody></table></div>\n");
    if (work->terminal_count)
        guide_put(page, "<p><b>Strain relief:</b> no wire may hang from its solder joint. Use stranded wire, leave a little slack, slip "
                    "sleeving over each joint, and hold the bundle where it leaves the board with a cable tie round a pillar "
                    "or through two holes of the box, or with a drop of hot glue, so that a pull never reaches the pins.</p>\n");
    guide_put(page, "</section>\n");
}

void guide_front(guide_page *page) {
    put_glance(page);
    put_cautions(page);
    guide_put(page, "<section id='have' aria-labelledby='have-title'>\n<h2 id='have-title'>Tools and parts</h2>\n");
    put_tools(page);
    put_parts(page);
    guide_put(page, "</section>\n");
    put_wires(page);
}
