/* Open pins, each by what it is; units that nobody uses; parts that are joined to
 * nothing or to one node alone.
 *
 * How unused inputs and units are tied is the makers' advice: TI application reports
 * SCBA004 (floating CMOS inputs) and SBOA204 (unused operational amplifiers), the
 * application hints of the LM139 and LM339 data sheets (unused comparators); all from
 * memory.
 */
#include "circuit/review.h"

#include <string.h>

/* ---- parts ---- */

/* What the review has said of a whole part it does not say again of its pins. */
static bool review_part(swi_review *r, const sw_part *part) {
    uint32_t lone = 0, same = 0;
    for (uint32_t i = 0; i < part->pin_count; i++) {
        lone += swi_is_lone(r, swi_pin_of(r, part, i));
        same += swi_pin_of(r, part, i)->node.i == swi_pin_of(r, part, 0)->node.i;
    }
    if (part->pin_count && lone == part->pin_count) {
        sw_diag_add(r->diags, SW_D_PART_UNCONNECTED, part->span,
                    "%s is joined to nothing: connect it or leave it out", part->ref);
        return true;
    }
    if (part->pin_count > 1 && same == part->pin_count) {
        sw_diag_add(r->diags, SW_D_PART_SHORTED, part->span,
                    "all leads of %s are on node %s, so it does nothing: check the names of its "
                    "nodes", part->ref, swi_node_of(r, swi_pin_of(r, part, 0))->name);
        return true;
    }
    return false;
}

/* ---- units ---- */

static const sw_device_pin *device_pin(const sw_part *part, uint32_t index) {
    return part->known && index < part->known->pin_count ? &part->known->pins[index] : NULL;
}

static bool ends_with(const char *text, const char *end) {
    size_t a = strlen(text), b = strlen(end);
    return a >= b && swi_equal_fold(text + a - b, end);
}

typedef struct unit_traits {
    bool unused, plus, minus, output, open_output, inputs;
    uint32_t pins;
} unit_traits;

static unit_traits look_at_unit(const swi_review *r, const sw_part *part, unsigned unit) {
    unit_traits t = {.unused = true};
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_device_pin *pin = device_pin(part, i);
        if (!pin || pin->unit != unit)
            continue;
        t.pins++;
        t.unused = t.unused && swi_is_lone(r, swi_pin_of(r, part, i));
        t.plus = t.plus || ends_with(pin->name, "IN+");
        t.minus = t.minus || ends_with(pin->name, "IN-");
        t.inputs = t.inputs || pin->type == SW_PIN_INPUT;
        t.output = t.output || pin->type == SW_PIN_OUTPUT;
        t.open_output = t.open_output || pin->type == SW_PIN_OPEN_OUTPUT;
    }
    return t;
}

static const char *unit_advice(const unit_traits *t) {
    if (t->plus && t->minus && t->open_output)
        return "its inputs pick up noise and it switches: tie both inputs to the negative supply "
               "and leave the output open";
    if (t->plus && t->minus)
        return "left open it may swing to a supply or oscillate: make it a follower, output to "
               "IN-, and put IN+ on a voltage between the supplies";
    if (t->inputs)
        return "inputs left open drift and make it draw current: tie each input to the positive "
               "supply or to ground, leave outputs open";
    return "nothing need be done unless its data sheet says so";
}

/* Whether the pin is of a unit that was told as a whole. */
static bool in_unused_unit(const swi_review *r, const sw_part *part, uint32_t index) {
    const sw_device_pin *pin = device_pin(part, index);
    if (!pin || pin->unit == 0 || part->known->unit_count < 2)
        return false;
    return look_at_unit(r, part, pin->unit).unused;
}

static void review_units(swi_review *r, const sw_part *part) {
    if (!part->known || part->known->unit_count < 2)
        return;
    for (unsigned unit = 1; unit <= part->known->unit_count; unit++) {
        unit_traits t = look_at_unit(r, part, unit);
        if (t.pins && t.unused)
            sw_diag_add(r->diags, SW_D_UNIT_UNUSED, part->span, "unit %c of %s (%s) is not used: %s",
                        (char)('A' + (unit - 1) % 26), part->ref, part->known->name,
                        unit_advice(&t));
    }
}

/* ---- open pins ---- */

static bool is_ttl(const sw_part *part) {
    return swi_match("*74LS*", part->device) || swi_match("*74S*", part->device) ||
           swi_match("SN74??", part->device);
}

static void open_input(swi_review *r, const sw_part *part, const sw_pin *pin) {
    char name[40];
    sw_diag_add(r->diags, SW_D_PIN_INPUT_OPEN, pin->span,
                "input %s%s of %s (%s) is open: %s", pin->number, swi_named(pin, name), part->ref,
                part->known ? part->known->name : part->device,
                is_ttl(part) ? "a TTL input left open reads high but picks up noise: tie it to the "
                               "positive supply through 1k, or to ground, whichever lets the part "
                               "work"
                             : "it drifts, and what it does then is chance: tie it to the positive "
                               "supply or to ground, whichever lets the part work");
}

static void open_supply(swi_review *r, const sw_part *part, const sw_pin *pin) {
    char name[40];
    sw_diag_add(r->diags, SW_D_SUPPLY_OPEN, pin->span,
                "supply pin %s%s of %s is on no node, so the part does not work: connect it, or "
                "state supply=NODE:%s", pin->number, swi_named(pin, name), part->ref, pin->number);
}

static void open_lead(swi_review *r, const sw_part *part, const sw_pin *pin) {
    char name[40];
    sw_diag_add(r->diags, SW_D_LEAD_OPEN, pin->span,
                "lead %s%s of %s is joined to nothing, so no current flows: connect it",
                pin->number, swi_named(pin, name), part->ref);
}

/* What need not be a mistake is told once a part, with all its pins. */
typedef enum open_kind { OPEN_OUTPUT, OPEN_PORT, OPEN_OTHER, OPEN_KINDS, OPEN_MISTAKE } open_kind;

static open_kind kind_of(const sw_part *part, const sw_pin *pin) {
    switch (pin->type) {
    case SW_PIN_OUTPUT: case SW_PIN_OPEN_OUTPUT: return OPEN_OUTPUT;
    case SW_PIN_BIDIRECTIONAL: return OPEN_PORT;
    case SW_PIN_UNKNOWN: case SW_PIN_PASSIVE:
        return part->pin_count <= 3 && !part->terminal ? OPEN_MISTAKE : OPEN_OTHER;
    default: return OPEN_MISTAKE;
    }
}

/* A named node of one pin is told with the nodes: its name is the mistake. */
static bool is_open(const swi_review *r, const sw_part *part, uint32_t index) {
    const sw_pin *pin = swi_pin_of(r, part, index);
    return swi_is_lone(r, pin) && !swi_node_of(r, pin)->named && !in_unused_unit(r, part, index);
}

static void review_open(swi_review *r, const sw_part *part, open_kind kind) {
    static const char *const words[OPEN_KINDS][4] = {
        {"output", "outputs", "is not used: it may stay open", "are not used: they may stay open"},
        {"port", "ports", "is not used: it may stay open", "are not used: they may stay open"},
        {"pin", "pins", "connects to nothing: right if its data sheet lets it be open",
         "connect to nothing: right if its data sheet lets them be open"}};
    sw_buf list = SW_BUF_INIT;
    const sw_pin *first = NULL;
    bool many = false;
    char name[40];
    for (uint32_t i = 0; i < part->pin_count; i++) {
        const sw_pin *pin = swi_pin_of(r, part, i);
        if (kind_of(part, pin) != kind || !is_open(r, part, i))
            continue;
        sw_buf_puts(&list, first ? ", " : "");
        sw_buf_puts(&list, pin->number);
        sw_buf_puts(&list, swi_named(pin, name));
        many = first != NULL;
        first = first ? first : pin;
    }
    if (first)
        sw_diag_add(r->diags, kind == OPEN_OTHER ? SW_D_PIN_OPEN : SW_D_PIN_OUTPUT_OPEN, first->span, "%s %s of %s %s",
                    words[kind][many], list.bytes ? list.bytes : "", part->ref, words[kind][2 + many]);
    sw_buf_free(&list);
}

static void open_pin(swi_review *r, const sw_part *part, const sw_pin *pin) {
    switch (pin->type) {
    case SW_PIN_INPUT:
        open_input(r, part, pin);
        break;
    case SW_PIN_POWER_POSITIVE: case SW_PIN_POWER_NEGATIVE: case SW_PIN_GROUND:
        open_supply(r, part, pin);
        break;
    case SW_PIN_UNKNOWN: case SW_PIN_PASSIVE:
        open_lead(r, part, pin);
        break;
    case SW_PIN_NOT_CONNECTED: case SW_PIN_KEEP_OPEN: case SW_PIN_OUTPUT: case SW_PIN_OPEN_OUTPUT:
    case SW_PIN_BIDIRECTIONAL:
        break;
    }
}

static void review_pin(swi_review *r, const sw_part *part, uint32_t index) {
    const sw_pin *pin = swi_pin_of(r, part, index);
    char name[40];
    if (!swi_is_lone(r, pin) && pin->type == SW_PIN_KEEP_OPEN)
        sw_diag_add(r->diags, SW_D_PIN_KEEP_OPEN, pin->span,
                    "pin %s%s of %s is on node %s, but its maker says that nothing may be "
                    "connected to it: leave it open", pin->number, swi_named(pin, name),
                    part->ref, swi_node_of(r, pin)->name);
    if (is_open(r, part, index) && kind_of(part, pin) == OPEN_MISTAKE)
        open_pin(r, part, pin);
}

void swi_review_pins(swi_review *r) {
    for (uint32_t i = 0; i < r->c->part_count; i++) {
        const sw_part *part = &r->c->parts[i];
        if (part->terminal || review_part(r, part))
            continue;
        review_units(r, part);
        for (uint32_t p = 0; p < part->pin_count; p++)
            review_pin(r, part, p);
        for (int kind = 0; kind < OPEN_KINDS; kind++)
            review_open(r, part, (open_kind)kind);
    }
}
