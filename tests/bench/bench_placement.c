/* tests/bench/bench_placement.c: how fast placement files are read, from opening the file to
 * the plan, beside a plain scan of the same file through the same input layer (measure.h)
 * and beside expat alone, which is handed the same bytes in the same way and told to do
 * nothing with them: no reader that uses it can be faster.
 *
 *     bench_placement [parts]
 *
 * The file is made up, in the shape that the writer gives it: two leads a part, a link a
 * part, a cut for every second.
 */
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include <expat.h>

#include "measure.h"

enum { STRIPS = 500, COLUMNS = 500 };

static void put_part(sw_buf *b, unsigned i) {
    char hole[12], other[12];
    int strip = (int)(i % (STRIPS - 1)), column = (int)(i / (STRIPS - 1) % (COLUMNS - 1));
    sw_hole_write((sw_hole){(int16_t)strip, (int16_t)column}, hole);
    sw_hole_write((sw_hole){(int16_t)(strip + 1), (int16_t)(column + 1)}, other);
    sw_buf_printf(b, "    <part ref=\"R%u\" value=\"10k\" device=\"\" package=\"RES-0.25W\" "
                     "turn=\"0\" locked=\"false\">\n"
                     "      <lead pin=\"1\" node=\"1\" hole=\"%s\"/>\n"
                     "      <lead pin=\"2\" node=\"2\" hole=\"%s\"/>\n"
                     "    </part>\n", i, hole, other);
}

static void put_wire(sw_buf *b, unsigned i, bool link) {
    char from[12], to[12];
    int strip = (int)(i % (STRIPS - 1)), column = (int)(i / (STRIPS - 1) % COLUMNS);
    sw_hole_write((sw_hole){(int16_t)strip, (int16_t)column}, from);
    sw_hole_write((sw_hole){(int16_t)(strip + 1), (int16_t)column}, to);
    if (link)
        sw_buf_printf(b, "    <link node=\"1\" from=\"%s\" to=\"%s\" sleeved=\"false\" "
                         "locked=\"false\"/>\n", from, to);
    else
        sw_buf_printf(b, "    <cut hole=\"%s\"/>\n", from);
}

static void make(sw_buf *b, unsigned parts) {
    sw_buf_printf(b, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                     "<stripboard xmlns=\"urn:stripwright:placement:1\" title=\"bench\">\n"
                     "  <board strips=\"%d\" columns=\"%d\" pitch-mm=\"2.54\" margin=\"0\"/>\n"
                     "  <nodes>\n    <node number=\"1\" name=\"a\"/>\n"
                     "    <node number=\"2\" name=\"b\"/>\n  </nodes>\n  <parts>\n",
                  STRIPS, COLUMNS);
    for (unsigned i = 0; i < parts; i++)
        put_part(b, i);
    sw_buf_puts(b, "  </parts>\n  <cuts>\n");
    for (unsigned i = 0; i < parts; i += 2)
        put_wire(b, i, false);
    sw_buf_puts(b, "  </cuts>\n  <links>\n");
    for (unsigned i = 0; i < parts; i++)
        put_wire(b, i, true);
    sw_buf_puts(b, "  </links>\n</stripboard>\n");
}

static void *read_placement(const sw_input *input, sw_diags *diags) {
    sw_plan *plan;
    sw_read_plan(sw_format_find("placement"), input, NULL, diags, &plan);
    return plan;
}

static void release_plan(void *made) {
    sw_plan_free(made);
}

/* ---- expat alone ---- */

static void XMLCALL start(void *user, const char *name, const char **attributes) {
    (void)user, (void)name, (void)attributes;
}

static void XMLCALL end(void *user, const char *name) {
    (void)user, (void)name;
}

static void XMLCALL text(void *user, const char *bytes, int length) {
    (void)user, (void)bytes, (void)length;
}

static void *parse(const sw_input *input, XML_Parser parser) {
    size_t at = 0, most = 1 << 20;
    if (!parser)
        return NULL;
    XML_SetElementHandler(parser, start, end);
    XML_SetCharacterDataHandler(parser, text);
    enum XML_Status status = XML_STATUS_OK;
    for (size_t length; status == XML_STATUS_OK && at < input->length; at += length) {
        length = input->length - at < most ? input->length - at : most;
        status = XML_Parse(parser, input->bytes + at, (int)length, at + length == input->length);
    }
    if (status == XML_STATUS_OK)
        return parser;
    XML_ParserFree(parser);
    return NULL;
}

static void *parse_names(const sw_input *input, sw_diags *diags) {
    (void)diags;
    return parse(input, XML_ParserCreateNS(NULL, '\f'));
}

static void *parse_bare(const sw_input *input, sw_diags *diags) {
    (void)diags;
    return parse(input, XML_ParserCreate(NULL));
}

static void release_parser(void *made) {
    XML_ParserFree(made);
}

int main(int count, char **words) {
    static const struct { const char *what; bench_job job; } jobs[] = {
        {"placement", {read_placement, release_plan}},
        {"expat alone, with namespaces", {parse_names, release_parser}},
        {"expat alone, without", {parse_bare, release_parser}}};
    unsigned parts = count > 1 ? (unsigned)strtoul(words[1], NULL, 10) : 60000;
    char path[64];
    bench_speed speed;
    sw_buf file = SW_BUF_INIT;
    make(&file, parts);
    bool done = bench_write(&file, path);
    sw_buf_free(&file);
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs && done; i++) {
        done = bench_measure(path, &jobs[i].job, &speed);
        if (done && i == 0)
            printf("%.1f MB, %u parts, %zu brackets\n", speed.megabytes, parts, speed.brackets);
        if (done)
            bench_show(jobs[i].what, &speed);
    }
    unlink(path);
    return done ? 0 : 1;
}
