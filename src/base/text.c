/* src/base/text.c: characters, comparing, patterns, UTF-8. */
#include "text.h"

#include <stripwright/base.h>

#include <string.h>

static int compare_chars(char a, char b) {
    unsigned char x = (unsigned char)swi_lower(a), y = (unsigned char)swi_lower(b);
    return (x > y) - (x < y);
}

int swi_compare_fold(const char *a, const char *b) {
    while (*a && compare_chars(*a, *b) == 0)
        a++, b++;
    return compare_chars(*a, *b);
}

bool swi_equal_fold(const char *a, const char *b) {
    for (;; a++, b++) {
        if (*a != *b && swi_lower(*a) != swi_lower(*b))
            return false;
        if (!*a)
            return true;
    }
}

bool swi_equal_fold_n(const char *a, size_t na, const char *b) {
    for (size_t i = 0; i < na; i++)
        if (!b[i] || (a[i] != b[i] && swi_lower(a[i]) != swi_lower(b[i])))
            return false;
    return b[na] == '\0';
}

/* One run of digits of each text, without its leading zeros. */
static int compare_runs(const char **a, const char **b, int *zeros) {
    const char *x = *a, *y = *b;
    while (*x == '0' && swi_is_digit(x[1]))
        x++;
    while (*y == '0' && swi_is_digit(y[1]))
        y++;
    if (*zeros == 0)
        *zeros = (x - *a > y - *b) - (x - *a < y - *b);
    int order = 0;
    for (; swi_is_digit(*x) && swi_is_digit(*y); x++, y++)
        if (order == 0)
            order = compare_chars(*x, *y);
    *a = x;
    *b = y;
    /* The longer run is the larger number. */
    if (swi_is_digit(*x) != swi_is_digit(*y))
        return swi_is_digit(*x) ? 1 : -1;
    return order;
}

int swi_natural_compare(const char *a, const char *b) {
    int zeros = 0; /* decides when all else is equal: R2 before R02 */
    while (*a && *b) {
        int order;
        if (swi_is_digit(*a) && swi_is_digit(*b))
            order = compare_runs(&a, &b, &zeros);
        else
            order = compare_chars(*a++, *b++);
        if (order)
            return order;
    }
    if (*a || *b)
        return *a ? 1 : -1;
    return zeros;
}

/* On a mismatch the last * takes one character more: no recursion, and never
 * more than pattern times text steps. */
bool sw_match(const char *pattern, const char *text) {
    return swi_match(pattern, text);
}

bool swi_match(const char *pattern, const char *text) {
    const char *star = NULL, *resume = NULL;
    while (*text) {
        if (*pattern == '*') {
            star = ++pattern;
            resume = text;
        } else if (*pattern && compare_chars(*pattern, *text) == 0) {
            pattern++, text++;
        } else if (star) {
            pattern = star;
            text = ++resume;
        } else {
            return false;
        }
    }
    while (*pattern == '*')
        pattern++;
    return *pattern == '\0';
}

bool swi_begins_list(const char *bytes, size_t length, const char *word) {
    size_t letters = strlen(word), at = length >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    while (at < length && swi_is_space(bytes[at]))
        at++;
    if (at == length || bytes[at++] != '(')
        return false;
    while (at < length && swi_is_space(bytes[at]))
        at++;
    if (length - at < letters || !swi_equal_fold_n(bytes + at, letters, word))
        return false;
    at += letters;
    return at == length || swi_is_space(bytes[at]) || bytes[at] == '(' || bytes[at] == ')';
}

/* Well-formed UTF-8 as in table 3-7 of The Unicode Standard: no overlong
 * forms, no surrogates, nothing above U+10FFFF.  0: not well-formed. */
static size_t sequence(const unsigned char *s, size_t left) {
    if (left == 0)
        return 0;
    unsigned char lead = s[0], low = 0x80, high = 0xBF;
    if (lead < 0x80)
        return 1;
    size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || left < length)
        return 0;
    if (lead == 0xE0)
        low = 0xA0;
    else if (lead == 0xED)
        high = 0x9F;
    else if (lead == 0xF0)
        low = 0x90;
    else if (lead == 0xF4)
        high = 0x8F;
    if (s[1] < low || s[1] > high)
        return 0;
    for (size_t i = 2; i < length; i++)
        if (s[i] < 0x80 || s[i] > 0xBF)
            return 0;
    return length;
}

size_t swi_utf8_length(const char *text, size_t left) {
    size_t length = sequence((const unsigned char *)text, left);
    return length ? length : 1;
}

bool swi_utf8_valid(const char *text, size_t length) {
    for (size_t i = 0; i < length;) {
        size_t step = sequence((const unsigned char *)text + i, length - i);
        if (step == 0)
            return false;
        i += step;
    }
    return true;
}

void swi_put_utf8(sw_buf *out, const char *text, size_t length) {
    if (swi_utf8_valid(text, length)) {
        sw_buf_put(out, text, length);
        return;
    }
    for (size_t i = 0; i < length; i++) {
        unsigned char c = (unsigned char)text[i];
        if (c < 0x80) {
            sw_buf_putc(out, text[i]);
        } else {
            sw_buf_putc(out, (char)(0xC0 | (c >> 6)));
            sw_buf_putc(out, (char)(0x80 | (c & 0x3F)));
        }
    }
}

static uint32_t code_point(const unsigned char *s, size_t length) {
    if (length == 1)
        return s[0];
    uint32_t code = s[0] & (0xFFu >> (length + 1));
    for (size_t i = 1; i < length; i++)
        code = code << 6 | (s[i] & 0x3Fu);
    return code;
}

/* C0, DEL and C1 controls; marks that are invisible or turn the writing direction
 * round (Unicode bidirectional algorithm, UAX #9), line separators, byte order mark. */
static bool is_control(uint32_t code) {
    return code < 0x20 || (code >= 0x7F && code <= 0x9F) || (code >= 0x200B && code <= 0x200F) ||
           (code >= 0x2028 && code <= 0x202E) || (code >= 0x2060 && code <= 0x206F) ||
           code == 0x61C || code == 0xFEFF;
}

void swi_put_visible(sw_buf *out, const char *text, size_t length, bool tabs) {
    const unsigned char *s = (const unsigned char *)text;
    for (size_t i = 0; i < length;) {
        size_t step = sequence(s + i, length - i);
        if (step == 0 || (is_control(code_point(s + i, step)) && !(tabs && s[i] == '\t')))
            sw_buf_puts(out, "\xC2\xB7"); /* middle dot */
        else
            sw_buf_put(out, text + i, step);
        i += step ? step : 1;
    }
}

void sw_buf_markup(sw_buf *out, const char *text) {
    sw_buf seen = SW_BUF_INIT; /* neither HTML nor a reader wants control characters */
    swi_put_visible(&seen, text, strlen(text), false);
    for (size_t i = 0; i < seen.length; i++) {
        switch (seen.bytes[i]) {
        case '&': sw_buf_puts(out, "&amp;"); break;
        case '<': sw_buf_puts(out, "&lt;"); break;
        case '>': sw_buf_puts(out, "&gt;"); break;
        case '"': sw_buf_puts(out, "&quot;"); break;
        case '\'': sw_buf_puts(out, "&#39;"); break;
        default: sw_buf_putc(out, seen.bytes[i]);
        }
    }
    out->failed |= seen.failed;
    sw_buf_free(&seen);
}
