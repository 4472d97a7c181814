/* src/base/utf16.c: UTF-16 into UTF-8 (The Unicode Standard, tables 3-5 and 3-6). */
#include "utf16.h"

enum { MARK = 2, REPLACEMENT = 0xFFFD };

static bool is_big(const char *bytes) {
    return (unsigned char)bytes[0] == 0xFE;
}

bool swi_is_utf16(const char *bytes, size_t length) {
    unsigned char a = length >= MARK ? (unsigned char)bytes[0] : 0, b = length >= MARK ? (unsigned char)bytes[1] : 0;
    return (a == 0xFF && b == 0xFE) || (a == 0xFE && b == 0xFF);
}

static unsigned unit(const char *bytes, size_t at, bool big) {
    unsigned a = (unsigned char)bytes[at], b = (unsigned char)bytes[at + 1];
    return big ? a << 8 | b : b << 8 | a;
}

static void put(sw_buf *out, unsigned long c) {
    if (c < 0x80) {
        sw_buf_putc(out, (char)c);
    } else if (c < 0x800) {
        sw_buf_putc(out, (char)(0xC0 | c >> 6));
        sw_buf_putc(out, (char)(0x80 | (c & 0x3F)));
    } else {
        sw_buf_putc(out, (char)(c < 0x10000 ? 0xE0 | c >> 12 : 0xF0 | c >> 18));
        if (c >= 0x10000)
            sw_buf_putc(out, (char)(0x80 | (c >> 12 & 0x3F)));
        sw_buf_putc(out, (char)(0x80 | (c >> 6 & 0x3F)));
        sw_buf_putc(out, (char)(0x80 | (c & 0x3F)));
    }
}

void swi_put_utf16(sw_buf *out, const char *bytes, size_t length) {
    bool big = is_big(bytes);
    size_t at = MARK;
    while (at + 1 < length) {
        unsigned c = unit(bytes, at, big), low = at + 3 < length ? unit(bytes, at + 2, big) : 0;
        at += 2;
        if (c >= 0xD800 && c < 0xDC00 && low >= 0xDC00 && low < 0xE000) {
            put(out, 0x10000 + ((unsigned long)(c - 0xD800) << 10) + (low - 0xDC00));
            at += 2;
        } else {
            put(out, c >= 0xD800 && c < 0xE000 ? REPLACEMENT : c);
        }
    }
    if (at < length)
        put(out, REPLACEMENT);
}
