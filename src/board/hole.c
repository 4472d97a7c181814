/* src/board/hole.c: names of holes and strips.  Strips are lettered A … Z, AA, AB …
 * (bijective base 26), columns numbered from 1. */
#include "plan.h"

#include "base/text.h"

/* Letters: as long as they and the column fit 16 bits. */
static size_t read_strip(const char *text, long *strip) {
    size_t used = 0;
    long value = 0;
    while (swi_is_alpha(text[used])) {
        value = value * 26 + (swi_upper(text[used]) - 'A' + 1);
        if (value > INT16_MAX)
            return 0;
        used++;
    }
    *strip = value - 1;
    return used;
}

size_t sw_hole_read(const char *text, sw_hole *hole) {
    long strip = 0, column = 0;
    size_t letters = read_strip(text, &strip), used = letters;
    *hole = SWI_NO_HOLE;
    if (letters == 0 || text[used] == '0')
        return 0;
    while (swi_is_digit(text[used])) {
        column = column * 10 + (text[used] - '0');
        if (column > INT16_MAX)
            return 0;
        used++;
    }
    if (used == letters)
        return 0;
    hole->strip = (int16_t)strip;
    hole->column = (int16_t)(column - 1);
    return used;
}

void sw_strip_write(int strip, char out[8]) {
    char reversed[8];
    int count = 0;
    for (long rest = (long)strip + 1; rest > 0 && count < 7; rest = (rest - 1) / 26)
        reversed[count++] = (char)('A' + (rest - 1) % 26);
    for (int i = 0; i < count; i++)
        out[i] = reversed[count - 1 - i];
    out[count] = '\0';
    if (count == 0) { /* off the board, above A */
        out[0] = '?';
        out[1] = '\0';
    }
}

void sw_hole_write(sw_hole hole, char out[12]) {
    sw_strip_write(hole.strip, out);
    size_t used = 0;
    while (out[used] != '\0')
        used++;
    char digits[8];
    int count = 0;
    for (int rest = hole.column + 1; rest > 0; rest /= 10)
        digits[count++] = (char)('0' + rest % 10);
    if (count == 0)
        digits[count++] = '?';
    while (count > 0)
        out[used++] = digits[--count];
    out[used] = '\0';
}
