/* formats/sheet: papers to print, as PDF. */
#include "formats/sheet/pages.h"

#include "base/fault.h"
#include "base/text.h"
#include "formats/formats.h"
#include "papers/render.h"

#include <stdlib.h>
#include <string.h>

/* ---- pages ---- */

static const char *title_of(const swi_sheet *sheet) {
    const char *title = sheet->subject->plan->title ? sheet->subject->plan->title : "";
    if (!*title && sheet->subject->circuit)
        title = sheet->subject->circuit->title;
    return *title ? title : "Stripboard plan";
}

static void put_title(swi_sheet *sheet, swi_scene *scene, const char *what) {
    const double margin = SWI_SHEET_MARGIN, most = scene->width - 2 * margin;
    double size = 5.5;
    const char *title = swi_scene_text(scene, title_of(sheet));
    while (size > 3 && swi_text_width(SWI_SERIF, title) * size > most)
        size -= 0.25;
    size_t fit = swi_text_fit(SWI_SERIF, title, most / size);
    if (title[fit])
        title = swi_scene_format(scene, "%.*s…", (int)swi_text_fit(SWI_SERIF, title, most / size - 1), title);
    const sw_plan *plan = sheet->subject->plan;
    swi_text_at(scene, "", SWI_SERIF, size, SWI_START, margin, margin + 5, title);
    swi_text_at(scene, "g", SWI_SANS, 2.6, SWI_START, margin, margin + 9.6,
                 swi_scene_format(scene, "%d strips × %d columns: %s", plan->strips, plan->columns, what));
    swi_line(scene, "rule", margin, margin + 11.5, scene->width - margin, margin + 11.5);
    sheet->y = margin + 14;
}

swi_scene *swi_sheet_page(swi_sheet *sheet, bool lying, const char *what) {
    if (!SWI_GROW(sheet->pages, sheet->room, sheet->count + 1)) {
        sheet->failed = true;
        return NULL;
    }
    swi_scene *scene = lying ? swi_scene_new(sheet->height, sheet->width)
                             : swi_scene_new(sheet->width, sheet->height);
    if (!scene) {
        sheet->failed = true;
        return NULL;
    }
    sheet->pages[sheet->count++] = scene;
    scene->title = title_of(sheet);
    put_title(sheet, scene, what);
    return scene;
}

void swi_sheet_feet(swi_sheet *sheet) {
    const sw_document *document = sheet->subject->document;
    for (size_t i = 0; i < sheet->count; i++) {
        swi_scene *scene = sheet->pages[i];
        double y = scene->height - SWI_SHEET_MARGIN;
        const char *revision = document->revision ? document->revision : "", *date = document->date ? document->date : "";
        sw_buf left = SW_BUF_INIT;
        if (*revision)
            sw_buf_printf(&left, "revision %s · ", revision);
        sw_buf_printf(&left, "%s%s%s", date, *date ? " · " : "", sheet->made_by);
        if (!left.failed)
            swi_text_at(scene, "g", SWI_SANS, 2.2, SWI_START, SWI_SHEET_MARGIN, y, left.bytes);
        sheet->failed |= left.failed;
        sw_buf_free(&left);
        swi_text_at(scene, "g", SWI_SANS, 2.2, SWI_END, scene->width - SWI_SHEET_MARGIN, y,
                     swi_scene_format(scene, "page %zu of %zu", i + 1, sheet->count));
        sheet->failed |= scene->failed;
    }
}

const char *swi_sheet_scale_text(swi_scene *scene, double scale) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_real(&text, scale, 2);
    sw_buf_puts(&text, scale > 0.999 && scale < 1.001 ? " : 1, true size" : " : 1");
    const char *kept = text.failed ? "" : swi_scene_text(scene, text.bytes);
    scene->failed |= text.failed;
    sw_buf_free(&text);
    return kept;
}

/* ---- the file ---- */

/* ISO 216, and ANSI/ASME Y14.1. */
static const struct {
    const char *name;
    double width, height;
} papers[] = {{"A4", 210, 297}, {"Letter", 215.9, 279.4}, {"A3", 297, 420}};

static bool choose_paper(swi_sheet *sheet, const char *name) {
    for (size_t i = 0; i < sizeof papers / sizeof *papers; i++)
        if (swi_equal_fold(papers[i].name, name ? name : "A4")) {
            sheet->width = papers[i].width;
            sheet->height = papers[i].height;
            return true;
        }
    sw_diag_add(sheet->diags, SW_D_SHEET_PAPER, SW_NOWHERE,
                "no paper is called \"%s\"; there are A4, A3 and Letter", name);
    return false;
}

static sw_status render(swi_sheet *sheet, sw_buf *out) {
    swi_sheet_overview(sheet);
    swi_sheet_true_size(sheet);
    swi_sheet_enlarged(sheet);
    swi_sheet_feet(sheet);
    if (sheet->failed)
        return swi_out_of_memory(sheet->diags);
    const char *date = sheet->subject->document->date;
    return swi_render_pdf((const swi_scene *const *)sheet->pages, sheet->count, title_of(sheet), sheet->made_by,
                          date ? date : "", sheet->diags, out);
}

static sw_status write_sheet(const sw_document *document, const sw_write_options *options, sw_diags *diags,
                             sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    sw_buf maker = SW_BUF_INIT;
    sw_buf_printf(&maker, "stripwright %s", sw_version());
    swi_work *work = swi_work_new(subject);
    swi_sheet sheet = {.subject = subject, .work = work, .diags = diags,
                       .made_by = options->made_by ? options->made_by : maker.bytes};
    if (!work || maker.failed)
        status = swi_out_of_memory(diags);
    else
        status = choose_paper(&sheet, options->paper) ? render(&sheet, out) : SW_USAGE;
    for (size_t i = 0; i < sheet.count; i++)
        swi_scene_free(sheet.pages[i]);
    free(sheet.pages);
    swi_work_free(work);
    sw_buf_free(&maker);
    swi_subject_free(subject);
    return status;
}

static const char *const extensions[] = {".pdf", NULL};
static const char *const aliases[] = {"pdf", NULL};

const sw_format swi_format_sheet = {
    .name = "sheet",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "sheets to print: to tick off, true to size, enlarged",
    .standard = "PDF 1.5 (ISO 32000)",
    .keeps = "all of a plan, to be looked at; cannot be read back",
    .group = SW_GROUP_PAPER,
    .write = write_sheet,
};
