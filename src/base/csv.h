/* src/base/csv.h: records of comma-separated values (RFC 4180), with spans.
 *
 * Beyond the RFC, as practice accepts: LF line ends, UTF-8, a byte order mark,
 * other delimiters.  A field's spaces belong to the field.
 */
#ifndef SWI_CSV_H
#define SWI_CSV_H

#include <stripwright/diag.h>

typedef struct swi_csv_field {
    const char *text;   /* unquoted, NUL-terminated, valid until the next record */
    size_t length;
    sw_span span;       /* in the source, with quotes */
} swi_csv_field;

/* The one of , ; and tab that stands most often outside quotes in the first record
 * of the text; the comma when none does. */
char swi_csv_detect(const char *text, size_t length);

typedef struct swi_csv swi_csv;
/* delimiter 0: detected from the first record. */
swi_csv *swi_csv_new(const sw_input *input, char delimiter, sw_diags *diags);
void swi_csv_free(swi_csv *csv);
/* The next record: number of fields, 0 at the end, -1 on an error (reported:
 * unclosed quote, text after a quote, out of memory).  A line with nothing on it
 * gives one empty field. */
int swi_csv_next(swi_csv *csv, const swi_csv_field **fields);
/* SW_OK, or what the error was: SW_BAD_INPUT, or SW_SYSTEM when memory was out. */
sw_status swi_csv_status(const swi_csv *csv);

/* Appends a field, quoted when RFC 4180 asks for it; first tells whether a comma
 * goes before.  guard: a quote mark before text that a spreadsheet would take
 * for a formula (OWASP ASVS 1.2.10: = + - @ tab CR). */
void swi_csv_put(sw_buf *out, bool first, const char *text, bool guard);
void swi_csv_end(sw_buf *out); /* CR LF */

#endif
