/* Words of a schedule's lines: texts bare and quoted, key=text, REF.PIN. */
#include "formats/schedule/schedule_read.h"

#include "base/arena.h"
#include "base/fault.h"

sw_span swi_sched_span(const swi_sched *r, size_t from) {
    return (sw_span){r->input->source, (uint32_t)from, (uint32_t)(r->at - from)};
}

bool swi_sched_out(swi_sched *r) {
    if (!r->failed)
        swi_out_of_memory(r->diags);
    r->failed = true;
    return false;
}

bool swi_sched_complain(swi_sched *r, sw_diag_id id, sw_span span, const char *what) {
    sw_diag_add(r->diags, id, span, "%s", what);
    return false;
}

char swi_sched_peek(const swi_sched *r) {
    return r->at < r->line_end ? r->input->bytes[r->at] : '\n';
}

bool swi_sched_blanks(swi_sched *r) {
    while (r->at < r->line_end && swi_is_space(swi_sched_peek(r)))
        r->at++;
    return r->at < r->line_end;
}

static int hex_value(char c) {
    if (swi_is_digit(c))
        return c - '0';
    char lower = swi_lower(c);
    return lower >= 'a' && lower <= 'f' ? lower - 'a' + 10 : -1;
}

/* What a backslash stands before: itself, a quote, or xHH. */
static bool take_escape(swi_sched *r) {
    size_t from = r->at++;
    char c = swi_sched_peek(r);
    if (c == '"' || c == '\\') {
        sw_buf_putc(&r->scratch, c);
        r->at++;
        return true;
    }
    if (c == 'x' && r->at + 2 < r->line_end) {
        int high = hex_value(r->input->bytes[r->at + 1]);
        int low = hex_value(r->input->bytes[r->at + 2]);
        if (high >= 0 && low >= 0 && high + low > 0) {
            sw_buf_putc(&r->scratch, (char)(high * 16 + low));
            r->at += 3;
            return true;
        }
    }
    return swi_sched_complain(r, SW_D_SCHEDULE_QUOTE, swi_sched_span(r, from),
                    "a backslash stands only before \" or \\, or as \\xHH with two hexadecimal "
                    "digits that are not 00");
}

static const char *take_quoted(swi_sched *r) {
    size_t from = r->at++;
    r->scratch.length = 0;
    while (swi_sched_peek(r) != '"') {
        if (r->at >= r->line_end) {
            r->at = from + 1;
            swi_sched_complain(r, SW_D_SCHEDULE_QUOTE, swi_sched_span(r, from),
                     "this quote is not closed on its line: add \" behind the text");
            return NULL;
        }
        if (swi_sched_peek(r) != '\\') {
            sw_buf_putc(&r->scratch, swi_sched_peek(r));
            r->at++;
        } else if (!take_escape(r)) {
            return NULL;
        }
    }
    r->at++;
    if (r->scratch.failed) {
        swi_sched_out(r);
        return NULL;
    }
    return sw_builder_text(r->builder, r->scratch.bytes, r->scratch.length);
}

/* A text, bare or quoted; NULL when it is reported to be none.  A bare one may be
 * empty. */
static const char *take_text(swi_sched *r, bool points) {
    if (swi_sched_peek(r) == '"')
        return take_quoted(r);
    size_t from = r->at;
    while (r->at < r->line_end && swi_schedule_bare((unsigned char)swi_sched_peek(r)) &&
           (points || swi_sched_peek(r) != '.'))
        r->at++;
    return sw_builder_text(r->builder, r->input->bytes + from, r->at - from);
}

bool swi_sched_word_end(const swi_sched *r) {
    return r->at >= r->line_end || swi_is_space(swi_sched_peek(r));
}

/* One word or key=value. */
bool swi_sched_pair(swi_sched *r, swi_pair *out) {
    size_t from = r->at;
    bool quoted = swi_sched_peek(r) == '"';
    out->value = NULL;
    out->key = take_text(r, true);
    if (!out->key)
        return false;
    if (swi_sched_peek(r) == '=') {
        r->at++;
        out->value = take_text(r, true);
        if (!out->value)
            return false;
    }
    out->span = swi_sched_span(r, from);
    if (swi_sched_word_end(r) && (quoted || *out->key))
        return true;
    size_t here = r->at < r->line_end ? r->at++ : from;
    return swi_sched_complain(r, SW_D_SCHEDULE_QUOTE, swi_sched_span(r, here),
                    "this character stands only in a text in quotes: \"…\"");
}

/* The words up to the line's end or a colon. */
bool swi_sched_pairs(swi_sched *r) {
    r->pair_count = 0;
    while (swi_sched_blanks(r) && swi_sched_peek(r) != ':') {
        if (!SWI_GROW(r->pairs, r->pair_room, r->pair_count + 1))
            return swi_sched_out(r);
        if (!swi_sched_pair(r, &r->pairs[r->pair_count++]))
            return false;
    }
    return true;
}

/* REF.PIN */
bool swi_sched_pin(swi_sched *r, const char **ref, const char **pin, sw_span *span) {
    size_t from = r->at;
    *ref = take_text(r, false);
    if (!*ref)
        return false;
    if (swi_sched_peek(r) == '.') {
        r->at++;
        *pin = take_text(r, false);
        if (!*pin)
            return false;
        *span = swi_sched_span(r, from);
        if (swi_sched_word_end(r))
            return true;
    }
    while (!swi_sched_word_end(r))
        r->at++;
    return swi_sched_complain(r, SW_D_SCHEDULE_QUOTE, swi_sched_span(r, from),
                    "a pin is REF.PIN; a point inside either part asks for quotes round that part");
}
