/* formats/placement/placement_values.c: values of attributes, as strict as the schema. */
#include "placement.h"

#include "base/num.h"
#include "base/text.h"

#include <string.h>

/* At most three letters and four digits. */
static size_t hole_length(const char *text, sw_hole *hole) {
    size_t letters = 0, digits = 0;
    while (swi_is_alpha(text[letters]))
        letters++;
    while (swi_is_digit(text[letters + digits]))
        digits++;
    if (letters > 3 || digits > 4 || sw_hole_read(text, hole) != letters + digits)
        return 0;
    return letters + digits;
}

bool swi_placement_hole(const char *text, sw_hole *hole) {
    size_t length = hole_length(text, hole);
    return length != 0 && text[length] == '\0';
}

bool swi_placement_between(const char *text, sw_hole *a, sw_hole *b) {
    size_t length = hole_length(text, a);
    return length != 0 && text[length] == ' ' && swi_placement_hole(text + length + 1, b);
}

bool swi_placement_count(const char *text, int digits, long least, long *value) {
    size_t length = strlen(text);
    if (length == 0 || length > (size_t)digits || (text[0] == '0' && length > 1))
        return false;
    for (size_t i = 0; i < length; i++)
        if (!swi_is_digit(text[i]))
            return false;
    return swi_int_read(text, least, INT32_MAX, value);
}

bool swi_placement_flag(const char *text, bool *value) {
    *value = strcmp(text, "true") == 0;
    return *value || strcmp(text, "false") == 0;
}

bool swi_placement_turn(const char *text, int16_t *turn) {
    static const char *const names[] = {"0", "90", "180", "270"};
    for (int i = 0; i < 4; i++)
        if (strcmp(text, names[i]) == 0) {
            *turn = (int16_t)(90 * i);
            return true;
        }
    return false;
}

static const struct {
    sw_rail rail;
    const char *name;
} rails[] = {{SW_RAIL_POSITIVE, "positive"}, {SW_RAIL_GROUND, "ground"},
             {SW_RAIL_NEGATIVE, "negative"}};

bool swi_placement_rail(const char *text, sw_rail *rail) {
    for (size_t i = 0; i < sizeof rails / sizeof rails[0]; i++)
        if (strcmp(text, rails[i].name) == 0) {
            *rail = rails[i].rail;
            return true;
        }
    return false;
}

const char *swi_placement_rail_name(sw_rail rail) {
    for (size_t i = 0; i < sizeof rails / sizeof rails[0]; i++)
        if (rails[i].rail == rail)
            return rails[i].name;
    return NULL;
}

/* ---- owners ---- */

void swi_placement_owner(sw_buf *out, const char *what, sw_hole a, sw_hole b) {
    char first[12], second[12];
    sw_hole_write(a, first);
    sw_hole_write(b, second);
    sw_buf_printf(out, "%s %s %s", what, first, second);
}

static sw_hole corner(sw_hole a, sw_hole b, bool least) {
    return (sw_hole){(a.strip < b.strip) == least ? a.strip : b.strip,
                     (a.column < b.column) == least ? a.column : b.column};
}

void swi_placement_owner_link(sw_buf *out, const sw_link *link) {
    bool down = link->from.strip < link->to.strip ||
                (link->from.strip == link->to.strip && link->from.column <= link->to.column);
    swi_placement_owner(out, "link", down ? link->from : link->to, down ? link->to : link->from);
}

void swi_placement_owner_keep_out(sw_buf *out, const sw_keep_out *keep_out) {
    swi_placement_owner(out, "keep-out", corner(keep_out->from, keep_out->to, true),
                        corner(keep_out->from, keep_out->to, false));
}

void swi_placement_owner_cut(sw_buf *out, const sw_cut *cut) {
    swi_placement_owner(out, cut->knife ? "knife" : "cut", cut->hole, cut->hole);
}
