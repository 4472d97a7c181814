/* Freezing pins: each part's side by side, and none twice. */
#include "circuit/freeze.h"

#include <stdlib.h>
#include <string.h>

/* For the few readers that do not build part by part. */
static bool group_pins(swi_freezing *f) {
    sw_builder *b = f->b;
    f->pin_to = malloc((b->pin_count + 1) * sizeof *f->pin_to);
    sw_pin *grouped = malloc((b->pin_count + 1) * sizeof *grouped);
    if (!f->pin_to || !grouped) {
        free(grouped);
        return false;
    }
    uint32_t next = 0;
    for (size_t i = 0; i < b->part_count; i++) {
        b->parts[i].first_pin.i = next;
        next += b->parts[i].pin_count;
        b->parts[i].pin_count = 0;
    }
    for (size_t i = 0; i < b->pin_count; i++) {
        sw_part *part = &b->parts[b->pins[i].part.i];
        uint32_t at = part->first_pin.i + part->pin_count++;
        grouped[at] = b->pins[i];
        f->pin_to[i] = at;
    }
    free(b->pins);
    b->pins = grouped;
    return true;
}

static void report_doubled_pin(sw_builder *b, const sw_pin *first, const sw_pin *again) {
    const sw_node *was = &b->nodes[first->node.i], *is = &b->nodes[again->node.i];
    sw_diag_add(b->diags, SW_D_PIN_DOUBLED, again->span,
                "pin %s of %s is on node %s already and here on %s: a pin is on one node, so "
                "correct one of the two", first->number, b->parts[first->part.i].ref,
                was->named ? was->name : "(without name)",
                is->named ? is->name : "(without name)");
}

/* Marks pin `again` as dropped: its number is that of pin `first`. */
static void drop_double(swi_freezing *f, sw_pin *first, sw_pin *again) {
    sw_builder *b = f->b;
    f->doubled = true;
    if (first->node.i != again->node.i)
        report_doubled_pin(b, first, again);
    if (!*first->name)
        first->name = again->name;
    if (first->type == SW_PIN_UNKNOWN)
        first->type = again->type;
    again->part.i = SW_NONE;
}

static int by_number(const void *left, const void *right) {
    const sw_pin *a = *(sw_pin *const *)left, *b = *(sw_pin *const *)right;
    int order = swi_compare_fold(a->number, b->number);
    if (order != 0)
        return order;
    return a < b ? -1 : a > b; /* both are in one array: the order they were added */
}

static bool drop_doubles_sorted(swi_freezing *f, sw_pin *pins, uint32_t count) {
    sw_pin **order = malloc(count * sizeof *order);
    if (!order)
        return false;
    for (uint32_t i = 0; i < count; i++)
        order[i] = &pins[i];
    qsort(order, count, sizeof *order, by_number);
    for (uint32_t first = 0, i = 1; i < count; i++) {
        if (swi_equal_fold(order[first]->number, order[i]->number))
            drop_double(f, order[first], order[i]);
        else
            first = i;
    }
    free(order);
    return true;
}

/* Parts have two or three pins nearly always: comparing each with each is then
 * quickest; a sort keeps the large ones from growing with the square. */
static bool drop_doubles(swi_freezing *f, sw_pin *pins, uint32_t count) {
    if (count > 16)
        return drop_doubles_sorted(f, pins, count);
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = i + 1; pins[i].part.i != SW_NONE && k < count; k++)
            if (pins[k].part.i != SW_NONE &&
                swi_lower(*pins[i].number) == swi_lower(*pins[k].number) &&
                swi_equal_fold(pins[i].number, pins[k].number))
                drop_double(f, &pins[i], &pins[k]);
    return true;
}

/* What is joined becomes one node. */
static void find_roots(sw_builder *b) {
    for (size_t i = 0; b->joined && i < b->pin_count; i++)
        b->pins[i].node.i = swi_builder_root(b, b->pins[i].node.i);
}

/* A name that only repeats the number says nothing: kept as none, whatever the format. */
static void drop_echoes(sw_pin *pins, uint32_t count) {
    for (uint32_t i = 0; i < count; i++)
        if (*pins[i].name && strcmp(pins[i].name, pins[i].number) == 0)
            pins[i].name = "";
}

/* Closes the gaps that dropped pins left; pin_to follows. */
static bool close_gaps(swi_freezing *f) {
    sw_builder *b = f->b;
    uint32_t *moved = malloc((b->pin_count + 1) * sizeof *moved);
    if (!moved)
        return false;
    uint32_t to = 0;
    for (size_t p = 0; p < b->part_count; p++) {
        sw_part *part = &b->parts[p];
        uint32_t from = part->first_pin.i, end = from + part->pin_count;
        part->first_pin.i = to;
        for (; from < end; from++) {
            bool kept = b->pins[from].part.i != SW_NONE;
            moved[from] = kept ? to : SW_NONE;
            if (kept)
                b->pins[to++] = b->pins[from];
        }
        part->pin_count = to - part->first_pin.i;
    }
    for (size_t i = 0; f->pin_to && i < f->built_pins; i++)
        f->pin_to[i] = moved[f->pin_to[i]];
    b->pin_count = to;
    if (f->pin_to)
        free(moved);
    else
        f->pin_to = moved;
    return true;
}

bool swi_freeze_pins(swi_freezing *f) {
    sw_builder *b = f->b;
    if (b->mixed && !group_pins(f))
        return false;
    find_roots(b);
    uint32_t next = 0;
    for (size_t i = 0; i < b->part_count; i++) {
        sw_part *part = &b->parts[i];
        part->first_pin.i = next;
        sw_pin *pins = part->pin_count ? &b->pins[next] : NULL; /* there may be none at all */
        next += part->pin_count;
        drop_echoes(pins, part->pin_count);
        if (part->pin_count > 1 && !drop_doubles(f, pins, part->pin_count))
            return false;
    }
    if (f->doubled && !close_gaps(f))
        return false;
    f->c->pin_count = (uint32_t)b->pin_count;
    f->c->pins = swi_freeze_hand_over(f, 0, b->pins, b->pin_count * sizeof *b->pins);
    b->pins = NULL;
    if (b->pin_count == 0)
        f->c->pins = SWI_FROZEN(f, 0, sw_pin);
    return f->c->pins != NULL;
}
