/* src/base/csv.c: records of comma-separated values (RFC 4180). */
#include "csv.h"
#include "fault.h"
#include "arena.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_FIELDS = 100000 };

struct swi_csv {
    const sw_input *input;
    sw_diags *diags;
    size_t at;
    char delimiter;
    sw_status status;
    swi_csv_field *fields;
    size_t field_count, field_capacity;
    sw_buf text; /* of this record's fields, each ended by a NUL */
};

char swi_csv_detect(const char *text, size_t length) {
    size_t commas = 0, semicolons = 0, tabs = 0;
    bool quoted = false;
    for (size_t i = 0; i < length; i++) {
        char c = text[i];
        if (c == '"')
            quoted = !quoted;
        if (quoted)
            continue;
        if (c == '\n' || c == '\r')
            break;
        commas += c == ',';
        semicolons += c == ';';
        tabs += c == '\t';
    }
    if (commas >= semicolons && commas >= tabs)
        return ',';
    return semicolons >= tabs ? ';' : '\t';
}

swi_csv *swi_csv_new(const sw_input *input, char delimiter, sw_diags *diags) {
    swi_csv *csv = calloc(1, sizeof *csv);
    if (!csv) {
        swi_out_of_memory(diags);
        return NULL;
    }
    csv->input = input;
    csv->diags = diags;
    if (input->length >= 3 && memcmp(input->bytes, "\xEF\xBB\xBF", 3) == 0)
        csv->at = 3;
    csv->delimiter =
        delimiter ? delimiter : swi_csv_detect(input->bytes + csv->at, input->length - csv->at);
    return csv;
}

void swi_csv_free(swi_csv *csv) {
    if (!csv)
        return;
    free(csv->fields);
    sw_buf_free(&csv->text);
    free(csv);
}

static sw_span span_at(const swi_csv *csv, size_t from, size_t to) {
    return (sw_span){csv->input->source, (uint32_t)from, (uint32_t)(to - from)};
}

static bool ends_field(const swi_csv *csv, size_t at) {
    if (at >= csv->input->length)
        return true;
    char c = csv->input->bytes[at];
    return c == csv->delimiter || c == '\n' || c == '\r';
}

static bool fail(swi_csv *csv, sw_diag_id id, size_t from, size_t to, const char *what) {
    sw_diag_add(csv->diags, id, span_at(csv, from, to), "%s", what);
    csv->status = SW_BAD_INPUT;
    return false;
}

/* A field in quotes: two quotes inside mean one. */
static bool take_quoted(swi_csv *csv) {
    const char *bytes = csv->input->bytes;
    size_t open = csv->at, end = csv->input->length, from = open + 1;
    for (;;) {
        const char *quote = memchr(bytes + from, '"', end - from);
        if (!quote)
            return fail(csv, SW_D_CSV_QUOTE, open, open + 1,
                        "this quote is never closed: add \" at the end of the field");
        size_t at = (size_t)(quote - bytes);
        sw_buf_put(&csv->text, bytes + from, at - from);
        from = at + 1;
        if (from >= end || bytes[from] != '"')
            break;
        sw_buf_putc(&csv->text, '"');
        from++;
    }
    csv->at = from;
    return ends_field(csv, from) ||
           fail(csv, SW_D_CSV_QUOTE, from, from + 1,
                "text after a closing quote: double the quotes inside a field (\"\")");
}

static void take_plain(swi_csv *csv) {
    size_t from = csv->at;
    while (!ends_field(csv, csv->at))
        csv->at++;
    sw_buf_put(&csv->text, csv->input->bytes + from, csv->at - from);
}

static bool take_field(swi_csv *csv) {
    size_t from = csv->at, text_from = csv->text.length;
    if (csv->field_count == MOST_FIELDS)
        return fail(csv, SW_D_LIMIT_FIELDS, from, from,
                    "more than 100000 fields in one record: is this a table?");
    if (from < csv->input->length && csv->input->bytes[from] == '"') {
        if (!take_quoted(csv))
            return false;
    } else {
        take_plain(csv);
    }
    size_t length = csv->text.length - text_from;
    sw_buf_putc(&csv->text, '\0');
    if (csv->text.failed ||
        !SWI_GROW(csv->fields, csv->field_capacity, csv->field_count + 1)) {
        csv->status = swi_out_of_memory(csv->diags);
        return false;
    }
    if (memchr(csv->text.bytes + text_from, '\0', length))
        return fail(csv, SW_D_INPUT_BINARY, from, csv->at,
                    "a NUL byte in a field: this is no text file");
    csv->fields[csv->field_count++] =
        (swi_csv_field){.length = length, .span = span_at(csv, from, csv->at)};
    return true;
}

static void take_line_end(swi_csv *csv) {
    const char *bytes = csv->input->bytes;
    if (csv->at < csv->input->length && bytes[csv->at] == '\r')
        csv->at++;
    else if (csv->at < csv->input->length) {
        csv->at++;
        return;
    }
    if (csv->at < csv->input->length && bytes[csv->at] == '\n')
        csv->at++;
}

int swi_csv_next(swi_csv *csv, const swi_csv_field **fields) {
    *fields = NULL;
    csv->field_count = 0;
    csv->text.length = 0;
    if (csv->status != SW_OK)
        return -1;
    if (csv->at >= csv->input->length)
        return 0;
    for (;;) {
        if (!take_field(csv))
            return -1;
        if (csv->at >= csv->input->length || csv->input->bytes[csv->at] != csv->delimiter)
            break;
        csv->at++;
    }
    take_line_end(csv);
    /* The text has stopped moving. */
    const char *text = csv->text.bytes;
    for (size_t i = 0; i < csv->field_count; i++) {
        csv->fields[i].text = text;
        text += csv->fields[i].length + 1;
    }
    *fields = csv->fields;
    return (int)csv->field_count;
}

sw_status swi_csv_status(const swi_csv *csv) {
    return csv->status;
}

/* Beyond the RFC: semicolons and tabs, so that a reader's guess of the delimiter
 * holds; blanks at the ends and a # at the beginning, which readers may take for
 * spacing and for a comment. */
static bool needs_quotes(const char *text) {
    size_t length = strlen(text);
    return text[strcspn(text, ",;\t\"\r\n")] || *text == ' ' || *text == '#' ||
           (length && text[length - 1] == ' ');
}

void swi_csv_put(sw_buf *out, bool first, const char *text, bool guard) {
    if (!first)
        sw_buf_putc(out, ',');
    bool guarded = guard && *text && strchr("=+-@\t\r", *text);
    if (!needs_quotes(text)) {
        if (guarded)
            sw_buf_putc(out, '\'');
        sw_buf_puts(out, text);
        return;
    }
    sw_buf_puts(out, guarded ? "\"'" : "\"");
    for (; *text; text++) {
        if (*text == '"')
            sw_buf_putc(out, '"');
        sw_buf_putc(out, *text);
    }
    sw_buf_putc(out, '"');
}

void swi_csv_end(sw_buf *out) {
    sw_buf_puts(out, "\r\n");
}
