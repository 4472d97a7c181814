/* formats/guide/page.h: what the parts of the guide's page share. */
#ifndef GUIDE_PAGE_H
#define GUIDE_PAGE_H

#include "papers/steps.h"
#include "papers/subject.h"
#include "parts/data.h"

/* guide.css and guide.js, built into the library (tools/embed). */
extern const swi_data_file swi_guide_files[];

typedef struct guide_page {
    const sw_document *document;
    const sw_write_options *options;
    const swi_subject *subject;
    const swi_steps *steps;
    sw_buf *out;
    bool failed;          /* memory is out elsewhere than in `out` */
} guide_page;

/* Appends markup as it stands; text in it is written by the next two. */
void guide_put(guide_page *page, const char *markup);
/* Appends text, fit for content and for attributes in either quote. */
void guide_text(guide_page *page, const char *text);
/* Appends markup in which each $ is replaced by the next text, escaped; NULL ends them. */
void guide_fill(guide_page *page, const char *markup, const char *const *texts);
/* guide_fills(page, "<p>$</p>", a, b): with the texts as arguments. */
#define guide_fills(page, markup, ...) \
    guide_fill((page), (markup), (const char *const[]){__VA_ARGS__, NULL})
void guide_number(guide_page *page, long number);
void guide_real(guide_page *page, double number, int decimals);
/* The names of holes, blanks between. */
void guide_holes(guide_page *page, const sw_hole *holes, uint32_t count);

/* "positive rail", "ground", "negative rail"; "" for other nodes. */
const char *guide_rail(const guide_page *page, uint32_t number);

void guide_front(guide_page *page);     /* front.c: glance, tools and parts, cautions, wires */
void guide_findings(guide_page *page);  /* front.c: what the review found */
void guide_drawings(guide_page *page);  /* drawing.c: both sides, signs */
void guide_symbols(guide_page *page);   /* drawing.c: what drawings and signs refer to */
void guide_work(guide_page *page);      /* work.c: the steps */
void guide_nodes(guide_page *page);     /* nodes.c: node schedule, strip budget */
void guide_data(guide_page *page);      /* nodes.c: the plan for the script */

#endif
