/* formats/guide/work.c: the steps. */
#include "page.h"

/* What the script reads of a step: where it is, on which part or node. */
static void put_step_data(guide_page *page, const swi_step *step) {
    guide_fills(page, " id='step-$' data-key='$'", step->key, step->key);
    if (step->hole_count) {
        guide_put(page, " data-holes='");
        guide_holes(page, step->holes, step->hole_count);
        guide_put(page, "'");
    }
    if (*step->ref)
        guide_fills(page, " data-part='$'", step->ref);
    if (*step->mark)
        guide_fills(page, " data-mark='$'", step->mark);
}

static void put_box(guide_page *page, const swi_step *step) {
    guide_fills(page, "<input type='checkbox' class='tickbox' id='tick-$'/>", step->key);
}

static void put_step(guide_page *page, const swi_step *step) {
    guide_put(page, "<li class='step'");
    put_step_data(page, step);
    guide_put(page, ">");
    put_box(page, step);
    guide_fills(page, "<div><label for='tick-$'>$</label>", step->key, step->title);
    if (step->node) {
        guide_put(page, " <span class='of-node'>node <i>");
        guide_number(page, (long)step->node);
        guide_fills(page, "</i> $</span>", swi_subject_node_name(page->subject, step->node));
    }
    if (*step->text)
        guide_fills(page, "<p>$</p>", step->text);
    if (*step->watch)
        guide_fills(page, "<p class='watch'><b>Watch:</b> $</p>", step->watch);
    guide_put(page, "</div></li>\n");
}

static void put_touch(guide_page *page, sw_hole hole, const char *touch) {
    char name[12];
    sw_hole_write(hole, name);
    guide_fills(page, "<td><b>$</b> $</td>", name, touch);
}

/* Probes are read across: a row each, numbered as in the list of probes. */
static void put_probe(guide_page *page, const swi_step *step) {
    const swi_probe *probe = &page->steps->probes->probes[step->index];
    guide_put(page, "<tr class='step'");
    put_step_data(page, step);
    guide_put(page, "><td class='boxed'>");
    put_box(page, step);
    guide_fills(page, "<label for='tick-$'>", step->key);
    guide_number(page, (long)step->index + 1);
    guide_put(page, "<span class='unseen'>: ");
    guide_text(page, step->title);
    guide_put(page, "</span></label></td>");
    put_touch(page, probe->a, probe->touch_a);
    put_touch(page, probe->b, probe->touch_b);
    guide_fills(page, "<td>$</td><td>$</td></tr>\n", step->text, step->watch);
}

static void put_probes(guide_page *page, const swi_chapter *chapter) {
    guide_put(page, "<div class='scroll-table' tabindex='0' role='region' aria-label='Table of probes'>"
                    "<table class='probes'>\n<thead><tr><th scope='col'>No.</th><th scope='col'>One probe</th>"
                    "<th scope='col'>Other probe</th><th scope='col'>Expect</th><th scope='col'>Proves</th></tr></thead>\n"
                    "<tbody>\n");
    for (uint32_t i = 0; i < chapter->count; i++)
        put_probe(page, &page->steps->steps[chapter->first + i]);
    guide_put(page, "</tbody></table></div>\n");
}

static void put_chapter(guide_page *page, const swi_chapter *chapter, unsigned number) {
    guide_put(page, "<section class='chapter'");
    if (chapter->copper)
        guide_put(page, " data-copper=''");
    sw_buf_printf(page->out, " id='chapter-%u' aria-labelledby='chapter-%u-title'>\n<h3 id='chapter-%u-title'>%u. ",
                  number, number, number, number);
    guide_text(page, chapter->title);
    if (chapter->copper)
        guide_put(page, " <small class='side-mark'>copper side</small>");
    guide_fills(page, " <small class='count'></small></h3>\n<p>$</p>\n", chapter->intro);
    if (chapter->kind == SWI_CHAPTER_PROBES) {
        put_probes(page, chapter);
    } else {
        guide_put(page, "<ol class='steps'>\n");
        for (uint32_t i = 0; i < chapter->count; i++)
            put_step(page, &page->steps->steps[chapter->first + i]);
        guide_put(page, "</ol>\n");
    }
    guide_put(page, "</section>\n");
}

void guide_work(guide_page *page) {
    guide_put(page, "<section id='steps' aria-labelledby='steps-title'>\n<h2 id='steps-title'>Step by step</h2>\n"
                    "<p class='progress' id='progress' role='status' aria-live='polite'></p>\n");
    for (uint32_t i = 0; i < page->steps->chapter_count; i++)
        put_chapter(page, &page->steps->chapters[i], i + 1);
    if (!page->steps->probes)
        guide_put(page, "<p>The list of meter probes needs the circuit: write this guide from it, or name it "
                        "beside the plan.</p>\n");
    guide_put(page, "</section>\n");
}
