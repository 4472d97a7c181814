/* src/papers/type.c: widths of the characters that drawings use.
 *
 * Source: the Adobe Font Metrics files (AFM) of Helvetica, Helvetica-Bold, Times-Roman
 * and Times-Italic, four of the thirteen text faces every PostScript printer has;
 * thousandths of the size.  Faces made to the same widths (Nimbus, Liberation, Arial,
 * Times New Roman) take their place on screens.
 */
#include "type.h"

#include "base/text.h"

#include <string.h>

/* Characters 32 to 126. */
static const uint16_t ascii[SWI_FACES][95] = {
    [SWI_SANS] = {
        278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278,
        556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556,
        1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778,
        667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556,
        333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556,
        556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584},
    [SWI_SANS_BOLD] = {
        278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278,
        556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611,
        975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833, 722, 778,
        667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556,
        333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611,
        611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584},
    [SWI_SERIF] = {
        250, 333, 408, 500, 500, 833, 778, 180, 333, 333, 500, 564, 250, 333, 250, 278,
        500, 500, 500, 500, 500, 500, 500, 500, 500, 500, 278, 278, 564, 564, 564, 444,
        921, 722, 667, 667, 722, 611, 556, 722, 722, 333, 389, 722, 611, 889, 722, 722,
        556, 722, 667, 556, 611, 722, 722, 944, 722, 722, 611, 333, 278, 333, 469, 500,
        333, 444, 500, 444, 500, 444, 333, 500, 500, 278, 278, 500, 278, 778, 500, 500,
        500, 500, 333, 389, 278, 500, 500, 722, 500, 500, 444, 480, 200, 480, 541},
    [SWI_SERIF_ITALIC] = {
        250, 333, 420, 500, 500, 833, 778, 214, 333, 333, 500, 675, 250, 333, 250, 278,
        500, 500, 500, 500, 500, 500, 500, 500, 500, 500, 333, 333, 675, 675, 675, 500,
        920, 611, 611, 667, 722, 611, 611, 722, 722, 333, 444, 667, 556, 833, 667, 722,
        611, 722, 611, 500, 556, 722, 611, 833, 611, 556, 556, 389, 278, 389, 422, 500,
        333, 500, 500, 444, 500, 444, 278, 500, 500, 278, 278, 444, 278, 722, 500, 500,
        500, 500, 389, 389, 278, 500, 444, 667, 444, 444, 389, 400, 275, 400, 541},
};

/* Letters with accents, U+00C0 to U+00FF. */
static const uint16_t latin[SWI_FACES][64] = {
    [SWI_SANS] = {
        667, 667, 667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278,
        722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611,
        556, 556, 556, 556, 556, 556, 889, 500, 556, 556, 556, 556, 278, 278, 278, 278,
        556, 556, 556, 556, 556, 556, 556, 584, 611, 556, 556, 556, 556, 500, 556, 500},
    [SWI_SANS_BOLD] = {
        722, 722, 722, 722, 722, 722, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278,
        722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611,
        556, 556, 556, 556, 556, 556, 889, 556, 556, 556, 556, 556, 278, 278, 278, 278,
        611, 611, 611, 611, 611, 611, 611, 584, 611, 611, 611, 611, 611, 556, 611, 556},
    [SWI_SERIF] = {
        722, 722, 722, 722, 722, 722, 889, 667, 611, 611, 611, 611, 333, 333, 333, 333,
        722, 722, 722, 722, 722, 722, 722, 564, 722, 722, 722, 722, 722, 722, 556, 500,
        444, 444, 444, 444, 444, 444, 667, 444, 444, 444, 444, 444, 278, 278, 278, 278,
        500, 500, 500, 500, 500, 500, 500, 564, 500, 500, 500, 500, 500, 500, 500, 500},
    [SWI_SERIF_ITALIC] = {
        611, 611, 611, 611, 611, 611, 889, 667, 611, 611, 611, 611, 333, 333, 333, 333,
        722, 667, 722, 722, 722, 722, 722, 675, 722, 722, 722, 722, 722, 556, 611, 500,
        500, 500, 500, 500, 500, 500, 667, 444, 444, 444, 444, 444, 278, 278, 278, 278,
        500, 500, 500, 500, 500, 500, 500, 675, 500, 500, 500, 500, 500, 444, 500, 444},
};
/* Others that papers use.  µ is 556 in Helvetica, 576 in faces of its widths: the wider
 * counts.  Ω, arrows and the minus sign are not in the AFM files; the widest seen. */
static const struct {
    uint32_t character;
    uint16_t width[SWI_FACES];
} others[] = {
    {0xA0, {278, 278, 250, 250}},     {0xB0, {400, 400, 400, 400}},
    {0xB1, {584, 584, 564, 675}},     {0xB2, {333, 333, 300, 300}},
    {0xB5, {576, 611, 576, 576}},     {0xB7, {278, 278, 250, 250}},
    {0xBC, {834, 834, 750, 750}},     {0xBD, {834, 834, 750, 750}},
    {0x3A9, {768, 802, 768, 768}},    {0x3BC, {576, 612, 536, 502}},
    {0x2013, {556, 556, 500, 500}},   {0x2014, {1000, 1000, 1000, 889}},
    {0x2018, {222, 278, 333, 333}},   {0x2019, {222, 278, 333, 333}},
    {0x201C, {333, 500, 444, 556}},   {0x201D, {333, 500, 444, 556}},
    {0x2022, {350, 350, 350, 350}},   {0x2026, {1000, 1000, 1000, 889}},
    {0x2126, {768, 802, 768, 768}},   {0x2212, {584, 584, 564, 675}},
};

/* The character at text, and its bytes; bytes that are no UTF-8 stand for themselves. */
static uint32_t decode(const char *text, size_t length) {
    const unsigned char *b = (const unsigned char *)text;
    uint32_t c = length == 2 ? b[0] & 0x1Fu : length == 3 ? b[0] & 0x0Fu
               : length == 4 ? b[0] & 0x07u : b[0];
    for (size_t i = 1; i < length; i++)
        c = c << 6 | (b[i] & 0x3Fu);
    return c;
}

static unsigned width_of(swi_face face, uint32_t c) {
    if (c >= 32 && c < 127)
        return ascii[face][c - 32];
    if (c >= 0xC0 && c <= 0xFF)
        return latin[face][c - 0xC0];
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (others[i].character == c)
            return others[i].width[face];
    return 1000;
}

double swi_text_width(swi_face face, const char *text) {
    unsigned sum = 0;
    size_t left = strlen(text), n;
    for (; left; text += n, left -= n) {
        n = swi_utf8_length(text, left);
        sum += width_of(face, decode(text, n));
    }
    return sum / 1000.0;
}

bool swi_text_hangs(const char *text) {
    return strpbrk(text, "gjpqyQ,;()[]{}/\\|_@$") != NULL || strstr(text, "µ") != NULL;
}

size_t swi_text_fit(swi_face face, const char *text, double width) {
    double sum = 0;
    size_t used = 0, left = strlen(text), n;
    for (; left; used += n, left -= n) {
        n = swi_utf8_length(text + used, left);
        sum += width_of(face, decode(text + used, n)) / 1000.0;
        if (sum > width + 1e-9)
            break;
    }
    return used;
}

size_t swi_text_break(swi_face face, const char *text, double width) {
    size_t fit = swi_text_fit(face, text, width);
    if (!text[fit])
        return fit;
    for (size_t i = fit + 1; i-- > 1;)
        if (text[i] == ' ')
            return i;
    return fit;
}
