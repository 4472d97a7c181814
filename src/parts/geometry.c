/* src/parts/geometry.c: where leads and bodies are.
 *
 * Rows grow downwards (y), columns to the right (x), seen from the component
 * side; a clockwise quarter turn takes right to down and down to left.
 */
#include "base/text.h"
#include <stripwright/parts.h>

static void turned(unsigned turn, double x, double y, double *tx, double *ty) {
    switch (turn) {
    case 90: *tx = -y, *ty = x; break;
    case 180: *tx = -x, *ty = -y; break;
    case 270: *tx = y, *ty = -x; break;
    default: *tx = x, *ty = y; break;
    }
}

/* A lead's position at turn 0. */
static sw_offset lead(const sw_package *package, size_t i, unsigned span) {
    sw_offset at = package->points[i];
    if (package->form == SW_FORM_PAIR && i == 1 && span)
        at.row = (int16_t)span;
    return at;
}

void sw_package_leads(const sw_package *package, unsigned turn, unsigned span, sw_offset *out) {
    for (size_t i = 0; i < package->pin_count; i++) {
        sw_offset at = lead(package, i, span);
        double x, y;
        turned(turn, at.column, at.row, &x, &y);
        out[i] = (sw_offset){(int16_t)y, (int16_t)x};
    }
}

/* Centre of the leads' rectangle at turn 0, in pitches. */
static void centre(const sw_package *package, unsigned span, double *x, double *y) {
    int top = 0, bottom = 0, left = 0, right = 0; /* the first lead is at 0,0 */
    for (size_t i = 0; i < package->pin_count; i++) {
        sw_offset at = lead(package, i, span);
        top = at.row < top ? at.row : top;
        bottom = at.row > bottom ? at.row : bottom;
        left = at.column < left ? at.column : left;
        right = at.column > right ? at.column : right;
    }
    *x = (left + right) / 2.0;
    *y = (top + bottom) / 2.0;
}

sw_box sw_package_outline(const sw_package *package, unsigned turn, unsigned span) {
    double x = 0, y = 0;
    if (!package->upright)
        centre(package, span, &x, &y);
    turned(turn, x + package->shift_along_mm / SW_PITCH_MM, y + package->shift_across_mm / SW_PITCH_MM, &x, &y);
    bool across = turn == 90 || turn == 270;
    double half_x = (across ? package->across_mm : package->along_mm) / 2;
    double half_y = (across ? package->along_mm : package->across_mm) / 2;
    x *= SW_PITCH_MM;
    y *= SW_PITCH_MM;
    return (sw_box){x - half_x, y - half_y, x + half_x, y + half_y};
}

sw_face sw_package_face(const sw_package *package, unsigned turn) {
    if (package->face == SW_FACE_NONE)
        return SW_FACE_NONE;
    return (sw_face)(((unsigned)package->face - 1 + turn / 90) % 4 + 1);
}

sw_box sw_package_front(const sw_package *package, unsigned turn, unsigned span) {
    sw_box box = sw_package_outline(package, turn, span);
    switch (sw_package_face(package, turn)) {
    case SW_FACE_LEFT: box.x1 = box.x0; box.x0 -= SW_FRONT_MM; break;
    case SW_FACE_RIGHT: box.x0 = box.x1; box.x1 += SW_FRONT_MM; break;
    case SW_FACE_UP: box.y1 = box.y0; box.y0 -= SW_FRONT_MM; break;
    case SW_FACE_DOWN: box.y0 = box.y1; box.y1 += SW_FRONT_MM; break;
    case SW_FACE_NONE: return (sw_box){0, 0, 0, 0};
    }
    return box;
}

const char *sw_package_face_name(const sw_package *package) {
    return sw_package_takes_wires(package->name) ? "openings" : package->form == SW_FORM_DIP ? "cable socket" : "screw";
}

bool sw_package_takes_wires(const char *package) {
    static const char *const patterns[] = {"PIN-*", "HEADER-*", "SCREW-*", "Connector*:*", "TerminalBlock*", "PinHeader_*"};
    for (size_t i = 0; i < sizeof patterns / sizeof *patterns; i++)
        if (swi_match(patterns[i], package))
            return true;
    return false;
}

int sw_package_pin_index(const sw_package *package, const char *pin) {
    for (int i = 0; i < package->pin_count; i++)
        if (swi_equal_fold(package->pins[i], pin))
            return i;
    return -1;
}

/* A seven-segment driver has inputs A to D and outputs a to g: as spelled first. */
int sw_device_pin_index(const sw_device *device, const char *pin) {
    int folded = -1;
    for (int i = 0; i < device->pin_count; i++)
        if (swi_equal_fold(device->pins[i].number, pin))
            return i;
    for (int i = device->pin_count - 1; i >= 0; i--)
        if (device->pins[i].type != SW_PIN_NOT_CONNECTED &&
            swi_equal_fold(device->pins[i].name, pin))
            folded = i;
    for (int i = 0; i < device->pin_count; i++) {
        const char *a = device->pins[i].name, *b = pin;
        while (*a && *a == *b)
            a++, b++;
        if (*a == *b)
            return i;
    }
    return folded;
}
