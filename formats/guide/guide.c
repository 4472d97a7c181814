/* formats/guide/guide.c: the build guide, one page that needs nothing but a browser. */
#include "page.h"

#include "base/fault.h"
#include "base/sha256.h"
#include "formats/formats.h"
#include "papers/svg.h"

#include <string.h>

static const char *embedded(const char *name) {
    for (const swi_data_file *file = swi_guide_files; file->name; file++)
        if (strcmp(file->name, name) == 0)
            return file->bytes;
    return "";
}

/* 'sha256-…' of Content Security Policy level 3: the digest in base 64 (RFC 4648 4). */
static void put_digest(guide_page *page, const char *bytes, size_t length) {
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    char hex[65];
    unsigned char raw[33] = {0}; /* 32, and one of zero that pads to whole threes */
    swi_sha256(bytes, length, hex);
    for (size_t i = 0; i < 64; i++) {
        unsigned digit = (unsigned)(hex[i] <= '9' ? hex[i] - '0' : hex[i] - 'a' + 10);
        raw[i / 2] = (unsigned char)((unsigned)raw[i / 2] << 4 | digit);
    }
    guide_put(page, "'sha256-");
    for (size_t i = 0; i < 33; i += 3) {
        unsigned three = (unsigned)raw[i] << 16 | (unsigned)raw[i + 1] << 8 | raw[i + 2];
        for (int shift = 18; shift >= 0; shift -= 6)
            sw_buf_putc(page->out, i == 30 && shift == 0 ? '=' : digits[three >> shift & 63]);
    }
    guide_put(page, "'");
}

static const char *title_of(const guide_page *page) {
    const char *title = page->subject->plan->title;
    if ((!title || !*title) && page->subject->circuit)
        title = page->subject->circuit->title;
    if (title && *title)
        return title;
    const char *file = page->subject->plan->circuit_file, *slash = file ? strrchr(file, '/') : NULL;
    return file && *file ? (slash ? slash + 1 : file) : "Stripboard";
}

/* Nothing can be asked of any network, and no script or style but the page's own runs. */
static void put_head(guide_page *page, const sw_buf *style, const char *script) {
    guide_put(page, "<!DOCTYPE html>\n<html lang='en'>\n<head>\n<meta charset='utf-8'/>\n"
                    "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; img-src data:; "
                    "base-uri 'none'; form-action 'none'; style-src ");
    put_digest(page, style->bytes, style->length);
    guide_put(page, "; script-src ");
    put_digest(page, script, strlen(script));
    guide_put(page, "\"/>\n<meta name='viewport' content='width=device-width, initial-scale=1'/>\n"
                    "<meta name='color-scheme' content='light dark'/>\n<meta name='referrer' content='no-referrer'/>\n"
                    "<link rel='icon' href='data:,'/>\n");
    guide_fills(page, page->subject->change ? "<title>$: guide to a change</title>\n<style>"
                                            : "<title>$: build guide</title>\n<style>", title_of(page));
    sw_buf_put(page->out, style->bytes, style->length);
    guide_put(page, "</style>\n</head>\n<body>\n<a class='skip' href='#steps'>Skip to the steps</a>\n");
}

static void put_header(guide_page *page) {
    const sw_document *document = page->document;
    guide_fills(page, page->subject->change ? "<header>\n<p class='kind'>Guide to a change of a built board</p>\n<h1>$</h1>\n<p class='made'>"
                                            : "<header>\n<p class='kind'>Build guide</p>\n<h1>$</h1>\n<p class='made'>", title_of(page));
    if (document->revision && *document->revision)
        guide_fills(page, "Revision $. ", document->revision);
    if (document->date && *document->date)
        guide_fills(page, "$. ", document->date);
    if (page->options->made_by)
        guide_fills(page, "Made by $. ", page->options->made_by);
    else
        guide_fills(page, "Made by stripwright $. ", sw_version());
    guide_put(page, "</p>\n<nav aria-label='Contents'><ul>\n<li><a href='#glance'>At a glance</a></li>\n"
                    "<li><a href='#cautions'>Cautions</a></li>\n<li><a href='#have'>Tools and parts</a></li>\n"
                    "<li><a href='#wires'>Wires</a></li>\n<li><a href='#steps'>Steps</a></li>\n"
                    "<li><a href='#nodes'>Nodes</a></li>\n<li><a href='#review'>Review</a></li>\n</ul></nav>\n</header>\n");
}

static void put_page(guide_page *page) {
    const char *script = embedded("guide.js");
    sw_buf style = SW_BUF_INIT;
    sw_buf_puts(&style, embedded("guide.css"));
    swi_svg_style(&style);
    page->failed |= style.failed;
    if (style.failed || !style.bytes)
        return;
    put_head(page, &style, script);
    sw_buf_free(&style);
    guide_symbols(page);
    put_header(page);
    guide_put(page, "<div class='bench'>\n");
    guide_drawings(page);
    guide_put(page, "<main>\n");
    guide_front(page);
    guide_work(page);
    guide_nodes(page);
    guide_findings(page);
    guide_put(page, "</main>\n</div>\n");
    guide_data(page);
    guide_put(page, "<script>");
    guide_put(page, script);
    guide_put(page, "</script>\n</body>\n</html>\n");
}

static sw_status write_guide(const sw_document *document, const sw_write_options *options, sw_diags *diags,
                             sw_buf *out) {
    swi_subject *subject;
    sw_status status = swi_subject_open(document, diags, &subject);
    if (status != SW_OK)
        return status;
    swi_steps *steps = swi_steps_new(subject);
    guide_page page = {document, options, subject, steps, out, !steps};
    if (steps)
        put_page(&page);
    swi_steps_free(steps);
    swi_subject_free(subject);
    return page.failed || out->failed ? swi_out_of_memory(diags) : SW_OK;
}

static const char *const extensions[] = {".html", NULL};
static const char *const aliases[] = {"html", NULL};

const sw_format swi_format_guide = {
    .name = "guide",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "build guide: every step at the bench, on one page for any browser",
    .standard = "HTML (living standard), Content Security Policy level 3",
    .keeps = "all of a plan, to be worked from; cannot be read back",
    .group = SW_GROUP_PAPER,
    .write = write_guide,
};
