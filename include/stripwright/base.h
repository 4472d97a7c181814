/* stripwright/base.h: what every other header uses: export macro, status,
 * limits, byte buffer.
 *
 * Every function of the library that can fail returns an sw_status and says
 * the details in the diagnostics sink it was given (diag.h).  The library never
 * prints, never exits and holds no global state; two threads may use it at
 * once as long as they do not share a sink, a builder or a plan.
 */
#ifndef STRIPWRIGHT_BASE_H
#define STRIPWRIGHT_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#if defined(__GNUC__)
#define SW_API __attribute__((visibility("default")))
#define SW_PRINTF(f, a) __attribute__((format(printf, f, a)))
#else
#define SW_API
#define SW_PRINTF(f, a)
#endif

/* Outcome of a call; the numbers are the command's exit statuses and are
 * stable.  SW_FINDINGS is only returned by checks and comparisons. */
typedef enum sw_status {
    SW_OK = 0,         /* done, whatever notes and warnings were added */
    SW_FINDINGS = 1,   /* a check found errors, a comparison differences */
    SW_USAGE = 2,      /* the caller asked for something that cannot be */
    SW_BAD_INPUT = 3,  /* an input cannot be understood */
    SW_NO_PLAN = 4,    /* no legal plan within the limits, or fit impossible */
    SW_SYSTEM = 5,     /* file, disk or memory failed */
    SW_STOPPED = 130   /* asked to stop before anything useful was in hand */
} sw_status;

/* Stated maxima.  Going over one is a diagnostic (`limit-…`) and SW_BAD_INPUT,
 * never an abort.  sw_limits_default fills the values given here. */
typedef struct sw_limits {
    size_t file_bytes;      /* of one input after unpacking; 1 GiB */
    uint32_t nesting;       /* of includes, subcircuits, parentheses, elements; 64 */
    uint32_t expansion;     /* elements after flattening per element read; 10000 */
    uint32_t parts;         /* 4 000 000 */
    uint32_t pins_per_part; /* 4096 */
    uint32_t nodes;         /* 8 000 000 */
    uint32_t strips;        /* of a board; 500 */
    uint32_t columns;       /* of a board; 500 */
    uint32_t diagnostics;   /* kept of one id; the rest is only counted; 100 */
} sw_limits;

SW_API void sw_limits_default(sw_limits *limits);

/* Growable bytes.  Start from SW_BUF_INIT, end with sw_buf_free.  `failed` is
 * sticky: after an allocation failure all further puts do nothing, so callers
 * may check once at the end.  `bytes` is always NUL-terminated when non-NULL
 * (the NUL is not counted in `length`). */
typedef struct sw_buf {
    char *bytes;
    size_t length, capacity;
    bool failed;
} sw_buf;
#define SW_BUF_INIT {NULL, 0, 0, false}

SW_API void sw_buf_free(sw_buf *buf);
SW_API void sw_buf_put(sw_buf *buf, const char *bytes, size_t length);
SW_API void sw_buf_puts(sw_buf *buf, const char *text);
SW_API void sw_buf_putc(sw_buf *buf, char c);
/* printf for integers, characters and strings only (%d %u %zu %ld %c %s %.*s
 * with widths); for real numbers use sw_buf_real: their form depends on the
 * locale in printf. */
SW_API void sw_buf_printf(sw_buf *buf, const char *format, ...) SW_PRINTF(2, 3);
/* The shortest of at most `decimals` decimals, point as decimal sign, no
 * exponent, no trailing zeros, never "-0": 2.54, 7, -0.5. */
SW_API void sw_buf_real(sw_buf *buf, double value, int decimals);
/* Text as it stands in an HTML or XML page, in elements and quoted attributes alike; what a
 * reader cannot see (control characters, bytes that are no UTF-8) becomes "·". */
SW_API void sw_buf_markup(sw_buf *buf, const char *text);

/* Version of the library that runs, "0.1.0". */
SW_API const char *sw_version(void);
/* Whether the text fits a pattern in which * stands for any run of characters, without
 * regard to case (ASCII): "R*" for R1 and r20. */
SW_API bool sw_match(const char *pattern, const char *text);

#endif
