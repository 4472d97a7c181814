/* formats/guide/nodes.c: the node schedule, the strip budget, and the plan as data for the
 * script. */
#include "page.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

static bool is_of_node(const guide_page *page, uint32_t lead, uint32_t node) {
    return page->subject->lead_nodes[lead] == node;
}

const char *guide_rail(const guide_page *page, uint32_t number) {
    static const char *const words[] = {"", "positive rail", "ground", "negative rail"};
    double volts;
    return words[swi_subject_rail(page->subject, number, &volts)];
}

static void put_pins(guide_page *page, uint32_t number) {
    const sw_plan *plan = page->subject->plan;
    bool any = false;
    for (uint32_t i = 0; i < page->subject->item_count; i++) {
        const swi_item *item = &page->subject->items[i];
        for (uint32_t k = 0; k < item->part->lead_count; k++) {
            if (!is_of_node(page, (uint32_t)(&item->leads[k] - plan->leads), number))
                continue;
            char hole[12];
            sw_hole_write(item->leads[k].hole, hole);
            if (any)
                guide_put(page, ", ");
            if (item->terminal)
                guide_fills(page, "<b>$</b> <small>$</small>", item->name, hole);
            else
                guide_fills(page, "$.$ <small>$</small>", item->part->ref, item->leads[k].pin, hole);
            any = true;
        }
    }
}

static void put_segments(guide_page *page, uint32_t number) {
    const sw_copper *copper = page->subject->copper;
    bool any = false;
    for (uint32_t i = 0; i < copper->segment_count; i++) {
        const sw_segment *segment = &copper->segments[i];
        if (segment->node != number || !segment->used)
            continue;
        char from[12], to[12];
        sw_hole_write((sw_hole){segment->strip, segment->first}, from);
        sw_hole_write((sw_hole){segment->strip, segment->last}, to);
        sw_buf_printf(page->out, "%s%s–%s", any ? ", " : "", from, to);
        any = true;
    }
}

static bool has_leads(const guide_page *page, uint32_t number) {
    for (uint32_t i = 0; i < page->subject->plan->lead_count; i++)
        if (is_of_node(page, i, number))
            return true;
    return false;
}

static void put_schedule(guide_page *page) {
    guide_put(page, "<h3>Node schedule</h3>\n<div class='scroll-table' tabindex='0' role='region' "
                    "aria-label='Node schedule'><table class='nodes'>\n<thead><tr><th scope='col'>Node</th>"
                    "<th scope='col'>Name</th><th scope='col'>Pins and their holes</th><th scope='col'>Copper</th></tr></thead>\n"
                    "<tbody>\n");
    for (uint32_t n = 1; n <= page->subject->node_count; n++) {
        if (!has_leads(page, n))
            continue;
        sw_buf_printf(page->out, "<tr><th scope='row'><button type='button' data-of-node='%u' aria-label='Show node %u'>%u"
                      "</button></th><td>", (unsigned)n, (unsigned)n, (unsigned)n);
        guide_fills(page, *guide_rail(page, n) ? "$ <small>$</small></td><td>" : "$</td><td>",
                    swi_subject_node_name(page->subject, n), guide_rail(page, n));
        put_pins(page, n);
        guide_put(page, "</td><td>");
        put_segments(page, n);
        guide_put(page, "</td></tr>\n");
    }
    guide_put(page, "</tbody></table></div>\n");
}

static void put_budget(guide_page *page) {
    if (!page->subject->circuit)
        return;
    sw_budget budget;
    sw_buf lines = SW_BUF_INIT;
    sw_budget_work_out(page->subject->circuit, &budget);
    sw_budget_write(page->subject->circuit, &budget, &lines);
    guide_put(page, "<h3>Strip budget</h3>\n<ul class='budget'>\n");
    for (char *line = lines.bytes; line && *line;) {
        char *end = strchr(line, '\n');
        if (end)
            *end = '\0';
        if (*line)
            guide_fills(page, "<li>$</li>\n", line);
        line = end ? end + 1 : NULL;
    }
    guide_put(page, "</ul>\n");
    page->failed |= lines.failed;
    sw_buf_free(&lines);
}

void guide_nodes(guide_page *page) {
    guide_put(page, "<section id='nodes' aria-labelledby='nodes-title'>\n<h2 id='nodes-title'>Nodes and strips</h2>\n");
    put_schedule(page);
    put_budget(page);
    guide_put(page, "</section>\n");
}

/* ---- for the script ---- */

/* A JSON string in which nothing can end the element that it stands in. */
static void put_json(guide_page *page, const char *text) {
    sw_buf seen = SW_BUF_INIT;
    swi_put_visible(&seen, text, strlen(text), false);
    sw_buf_putc(page->out, '"');
    for (size_t i = 0; i < seen.length; i++) {
        unsigned char c = (unsigned char)seen.bytes[i];
        if (strchr("<>&\"\\", c))
            sw_buf_printf(page->out, "\\u%04x", c);
        else
            sw_buf_putc(page->out, (char)c);
    }
    sw_buf_putc(page->out, '"');
    page->failed |= seen.failed;
    sw_buf_free(&seen);
}

static void put_parts_data(guide_page *page) {
    const sw_plan *plan = page->subject->plan;
    for (uint32_t i = 0; i < page->subject->item_count; i++) {
        const swi_item *item = &page->subject->items[i];
        guide_put(page, i ? ",\n[" : "\n[");
        put_json(page, item->part->ref);
        guide_put(page, ",");
        put_json(page, item->terminal ? "wire" : item->value);
        guide_put(page, ",[");
        for (uint32_t k = 0; k < item->part->lead_count; k++) {
            char hole[12];
            sw_hole_write(item->leads[k].hole, hole);
            guide_put(page, k ? ",[" : "[");
            put_json(page, item->leads[k].pin);
            sw_buf_printf(page->out, ",\"%s\",%u]", hole, (unsigned)page->subject->lead_nodes[&item->leads[k] - plan->leads]);
        }
        guide_put(page, "]]");
    }
}

static void put_segments_data(guide_page *page) {
    const sw_copper *copper = page->subject->copper;
    for (uint32_t i = 0; i < copper->segment_count; i++)
        sw_buf_printf(page->out, "%s[%d,%d,%d,%u]", i ? "," : "", copper->segments[i].strip, copper->segments[i].first,
                      copper->segments[i].last, (unsigned)copper->segments[i].node);
}

static void put_links_data(guide_page *page) {
    const sw_plan *plan = page->subject->plan;
    for (uint32_t i = 0; i < plan->link_count; i++) {
        char from[12], to[12];
        sw_hole_write(plan->links[i].from, from);
        sw_hole_write(plan->links[i].to, to);
        sw_buf_printf(page->out, "%s[\"%s\",\"%s\",%u]", i ? "," : "", from, to,
                      (unsigned)swi_subject_link_node(page->subject, &plan->links[i]));
    }
}

void guide_data(guide_page *page) {
    const sw_plan *plan = page->subject->plan;
    sw_buf_printf(page->out, "<script type='application/json' id='plan'>{\"hash\":\"%.32s\",\"strips\":%d,\"columns\":%d,",
                  page->steps->hash, plan->strips, plan->columns);
    guide_put(page, "\"parts\":[");
    put_parts_data(page);
    guide_put(page, "],\n\"segments\":[");
    put_segments_data(page);
    guide_put(page, "],\n\"links\":[");
    put_links_data(page);
    guide_put(page, "],\n\"cuts\":[");
    for (uint32_t i = 0; i < plan->cut_count; i++) {
        char hole[12];
        sw_hole_write(plan->cuts[i].hole, hole);
        sw_buf_printf(page->out, "%s[\"%s\",%s]", i ? "," : "", hole, plan->cuts[i].knife ? "true" : "false");
    }
    guide_put(page, "],\n\"names\":{");
    for (uint32_t n = 1, any = 0; n <= page->subject->node_count; n++) {
        const char *name = swi_subject_node_name(page->subject, n);
        if (!*name)
            continue;
        sw_buf_printf(page->out, "%s\"%u\":", any++ ? "," : "", (unsigned)n);
        put_json(page, name);
    }
    guide_put(page, "}}</script>\n");
}
