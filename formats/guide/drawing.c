/* formats/guide/drawing.c: both sides of the board, and what the signs mean. */
#include "page.h"

#include "base/text.h"
#include "papers/figure.h"
#include "papers/svg.h"

void guide_symbols(guide_page *page) {
    guide_put(page, "<svg class='symbols' width='0' height='0' aria-hidden='true'><defs>\n");
    guide_put(page, swi_svg_symbols);
    guide_put(page, "</defs></svg>\n");
}

/* One side: the bare board with its edge names, without legend and title block. */
static void put_board(guide_page *page, bool copper) {
    const sw_plan *plan = page->subject->plan;
    sw_box extent = swi_figure_extent(page->subject, copper);
    swi_scene *scene = swi_scene_new(extent.x1 - extent.x0, extent.y1 - extent.y0);
    if (!scene) {
        page->failed = true;
        return;
    }
    scene->prefix = copper ? "copper-" : "component-";
    scene->title = copper ? "Copper side" : "Component side";
    scene->description = swi_scene_format(
        scene, "%d strips by %d columns, %u cut%s, %u link%s.%s", plan->strips, plan->columns,
        (unsigned)plan->cut_count, SWI_S(plan->cut_count), (unsigned)plan->link_count, SWI_S(plan->link_count),
        copper ? " Turned over like a page: column 1 is at the right." : "");
    const swi_figure_options options = {.copper = copper, .prefix = scene->prefix};
    swi_figure_into(scene, page->subject, &options, 0, 0, 1, NULL, NULL);
    guide_put(page, "<div class='sheet-of-paper' data-x='");
    guide_real(page, -extent.x0, 3);
    guide_put(page, "' data-y='");
    guide_real(page, -extent.y0, 3);
    guide_put(page, copper ? "' data-copper=''>\n" : "'>\n");
    page->failed |= swi_svg_write(scene, &(swi_svg_options){.part_of_page = true, .scale = 2.2}, page->out) != SW_OK;
    guide_put(page, "</div>\n");
    swi_scene_free(scene);
}

static void put_side(guide_page *page, bool copper) {
    guide_put(page, copper ? "<figure class='side' id='copper'>\n<figcaption>Copper side "
                             "<small>turned over like a page: column 1 is at the right</small></figcaption>\n"
                           : "<figure class='side' id='component'>\n<figcaption>Component side "
                             "<small>hole A1 is at the top left</small></figcaption>\n");
    guide_put(page, "<div class='scroll' tabindex='0' role='application' aria-label='");
    guide_put(page, copper ? "Copper side" : "Component side");
    guide_put(page, ": arrow keys move from hole to hole, Enter keeps what is shown, Escape lets go'>\n");
    put_board(page, copper);
    guide_put(page, "</div>\n</figure>\n");
}

static void put_signs(guide_page *page) {
    static const char *const signs[][2] = {{"s-cut", "cut: the hole is lost"},
                                           {"s-knife", "knife cut between two holes"},
                                           {"s-eye", "end of a link"},
                                           {"s-lead", "lead"},
                                           {"s-pin1", "pin 1"},
                                           {"s-nc", "pin that connects to nothing"},
                                           {"s-term", "terminal pin for a wire"},
                                           {"s-hole", "free hole"}};
    guide_put(page, "<details class='signs'><summary>What the signs mean</summary>\n<ul>\n");
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        guide_fills(page, "<li><svg class='sign' viewBox='-1.2 -1.2 2.4 2.4' aria-hidden='true'><use href='#$'/></svg> "
                          "$</li>\n", signs[i][0], signs[i][1]);
    guide_put(page, "<li>A heavy bar across a diode, or the flat of an LED, is its cathode; a small cross is plus.</li>\n"
                    "<li>Numbers in italics are nodes.</li>\n</ul></details>\n");
}

void guide_drawings(guide_page *page) {
    guide_put(page, "<aside id='drawings' aria-label='Drawings of the board'>\n"
                    "<div class='bar-of-tools' role='search'>\n"
                    "<label class='find'>Find <input id='find' type='search' autocomplete='off' spellcheck='false' "
                    "placeholder='R1, C12, node 3' aria-describedby='told'/></label>\n"
                    "<span class='buttons' hidden=''>"
                    "<button type='button' id='turn' aria-pressed='false'>Turn over</button>"
                    "<button type='button' id='smaller' aria-label='Smaller'>−</button>"
                    "<button type='button' id='larger' aria-label='Larger'>+</button>"
                    "<button type='button' id='fit'>Fit</button>"
                    "<button type='button' id='hide' aria-expanded='true' aria-controls='drawings'>Hide</button></span>\n</div>\n"
                    "<p id='told' role='status' aria-live='polite'>"
                    "Point at or tap a hole, a part or a node to see all that belongs to it.</p>\n"
                    "<div class='sides'>\n");
    put_side(page, false);
    put_side(page, true);
    guide_put(page, "</div>\n");
    put_signs(page);
    guide_put(page, "</aside>\n");
}
