/* src/base/buf.c: growable bytes.  Real numbers are in num.c. */
#include "arena.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void sw_buf_free(sw_buf *buf) {
    free(buf->bytes);
    *buf = (sw_buf)SW_BUF_INIT;
}

/* Room for `more` bytes and the NUL. */
static bool reserve(sw_buf *buf, size_t more) {
    if (buf->failed)
        return false;
    if (more >= SIZE_MAX - buf->length ||
        !SWI_GROW(buf->bytes, buf->capacity, buf->length + more + 1))
        buf->failed = true;
    return !buf->failed;
}

void sw_buf_put(sw_buf *buf, const char *bytes, size_t length) {
    if (!reserve(buf, length))
        return;
    if (length)
        memcpy(buf->bytes + buf->length, bytes, length);
    buf->length += length;
    buf->bytes[buf->length] = '\0';
}

void sw_buf_puts(sw_buf *buf, const char *text) {
    sw_buf_put(buf, text, strlen(text));
}

void sw_buf_putc(sw_buf *buf, char c) {
    sw_buf_put(buf, &c, 1);
}

void sw_buf_printf(sw_buf *buf, const char *format, ...) {
    va_list again, arguments;
    va_start(arguments, format);
    va_copy(again, arguments);
    char few[128]; /* most texts are short: one pass */
    int length = vsnprintf(few, sizeof few, format, arguments);
    va_end(arguments);
    if (length < 0)
        buf->failed = true;
    else if ((size_t)length < sizeof few)
        sw_buf_put(buf, few, (size_t)length);
    else if (reserve(buf, (size_t)length)) {
        vsnprintf(buf->bytes + buf->length, (size_t)length + 1, format, again);
        buf->length += (size_t)length;
    }
    va_end(again);
}
