/* src/cli/index.c: the index page of a workpack's folder. */
#include <limits.h>
#include <string.h>
#include "cli.h"

/* A file's name as a relative reference (RFC 3986): only what is unreserved there stands for
 * itself, so that # ? % and blanks in names lead nowhere else. */
static void put_reference(sw_buf *out, const char *name) {
    static const char unreserved[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~";
    for (; *name; name++)
        if (strchr(unreserved, *name))
            sw_buf_putc(out, *name);
        else
            sw_buf_printf(out, "%%%02X", (unsigned char)*name);
}

void index_add(index_page *index, const char *name, const char *what) {
    sw_buf_puts(&index->list, "<li><a href=\"");
    put_reference(&index->list, name);
    sw_buf_puts(&index->list, "\">");
    sw_buf_markup(&index->list, name);
    sw_buf_puts(&index->list, "</a><br/>");
    sw_buf_markup(&index->list, what);
    sw_buf_puts(&index->list, "</li>\n");
    sw_buf_printf(&index->told, "  %-34s %s\n", name, what);
}

/* The drawing goes into the page itself, without its XML declaration. */
void index_drawing(index_page *index, const sw_buf *svg) {
    const char *start = svg->bytes ? strstr(svg->bytes, "<svg") : NULL;
    if (start)
        sw_buf_puts(&index->drawing, start);
}

static const char *const style =
    "body{font:1rem/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#111;background:#fff}"
    "figure{margin:1rem 0;padding:.5rem;background:#fff;color:#000}figure svg{width:100%;height:auto}"
    "li{margin:.4rem 0}a{color:#00527f}@media(prefers-color-scheme:dark){body{color:#eee;background:#151515}a{color:#8cc8ee}}";

static void put_page(const index_page *index, const cli_job *job, sw_buf *out) {
    const sw_cost *c = &job->report.cost;
    const char *title = job->plan->title && job->plan->title[0] ? job->plan->title : "Stripboard plan";
    sw_buf_puts(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
                     "<meta name=\"viewport\" content=\"width=device-width\"/>\n<title>");
    sw_buf_markup(out, title);
    sw_buf_printf(out, "</title>\n<style>%s</style>\n</head>\n<body>\n<h1>", style);
    sw_buf_markup(out, title);
    sw_buf_printf(out, "</h1>\n<p>%d strips × %d columns, %d holes; %u part%s, %d link%s, %d cut%s.</p>\n",
                  c->strips, c->columns, c->area, job->plan->part_count, CLI_S(job->plan->part_count), c->links,
                  CLI_S(c->links), c->cuts, CLI_S(c->cuts));
    if (job->built)
        sw_buf_puts(out, "<p>The board is built: these papers tell what to take off, cut, link and fit.</p>\n");
    sw_buf_puts(out, "<figure>");
    if (index->drawing.bytes)
        sw_buf_put(out, index->drawing.bytes, index->drawing.length);
    sw_buf_puts(out, "</figure>\n<h2>Papers</h2>\n<ul>\n");
    if (index->list.bytes)
        sw_buf_put(out, index->list.bytes, index->list.length);
    sw_buf_puts(out, "</ul>\n</body>\n</html>\n");
}

sw_status index_write(const index_page *index, cli_job *job, const char *folder) {
    char path[PATH_MAX];
    sw_buf page = SW_BUF_INIT;
    if ((size_t)snprintf(path, sizeof path, "%s/index.html", folder) >= sizeof path)
        return usage(job, "the folder's name is too long");
    put_page(index, job, &page);
    sw_status status = page.failed || index->list.failed ? SW_SYSTEM
                                                         : sw_output_write(job->diags, path, page.bytes, page.length);
    sw_buf_free(&page);
    if (status == SW_OK)
        printf("in %s:\n  %-34s %s\n%s", folder, "index.html", "begin here: links to everything",
               index->told.bytes ? index->told.bytes : "");
    return status;
}

void index_free(index_page *index) {
    sw_buf_free(&index->list);
    sw_buf_free(&index->told);
    sw_buf_free(&index->drawing);
}
