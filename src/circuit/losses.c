/* What a format has no place for. */
#include "circuit/losses.h"

#include "circuit/circuit.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of a message that names may fill, and one name of it. */
enum { MOST = 320, LONGEST_NAME = 80 };

const char *swi_loss_phrase(swi_loss kind) {
    static const char *const phrases[] = {
#define SWI_LOSS(name, phrase) phrase,
#include "circuit/losses.def"
#undef SWI_LOSS
    };
    return phrases[kind];
}

void swi_lose(swi_losses *l, swi_loss kind, sw_span span, const char *format, ...) {
    sw_buf *names = &l->names[kind];
    if (l->count[kind]++ == 0)
        l->first[kind] = span;
    if (names->length > MOST)
        return;
    char name[LONGEST_NAME];
    va_list arguments;
    va_start(arguments, format);
    int wanted = vsnprintf(name, sizeof name, format, arguments);
    va_end(arguments);
    sw_buf_printf(names, "%s%s%s", l->named[kind]++ ? ", " : "", name,
                  wanted < LONGEST_NAME ? "" : "…");
}

void swi_lose_part(swi_losses *l, swi_loss kind, uint32_t part) {
    swi_lose(l, kind, l->circuit->parts[part].span, "%s", l->circuit->parts[part].ref);
}

static const char *ref_of_pin(const swi_losses *l, uint32_t pin) {
    return l->circuit->parts[l->circuit->pins[pin].part.i].ref;
}

void swi_lose_pin(swi_losses *l, swi_loss kind, uint32_t pin) {
    const sw_pin *p = &l->circuit->pins[pin];
    swi_lose(l, kind, p->span, "%s.%s", ref_of_pin(l, pin), p->number);
}

void swi_lose_node(swi_losses *l, swi_loss kind, uint32_t node) {
    swi_lose(l, kind, l->circuit->nodes[node].span, "%s", l->circuit->nodes[node].name);
}

void swi_lose_property(swi_losses *l, const sw_property *p) {
    const sw_circuit *c = l->circuit;
    switch (p->owner) {
    case SW_OWNER_CIRCUIT: swi_lose(l, SWI_LOSS_CIRCUIT_PROPERTY, p->span, "%s", p->key); break;
    case SW_OWNER_PART:
        swi_lose(l, SWI_LOSS_PART_PROPERTY, p->span, "%s of %s", p->key, c->parts[p->index].ref);
        break;
    case SW_OWNER_PIN:
        swi_lose(l, SWI_LOSS_PIN_PROPERTY, p->span, "%s of %s.%s", p->key,
                 ref_of_pin(l, p->index), c->pins[p->index].number);
        break;
    case SW_OWNER_NODE:
        swi_lose(l, SWI_LOSS_NODE_PROPERTY, p->span, "%s of %s", p->key, c->nodes[p->index].name);
        break;
    }
}

/* ---- everything of a kind ---- */

void swi_lose_models(swi_losses *l) {
    for (uint32_t i = 0; i < l->circuit->model_count; i++)
        swi_lose(l, SWI_LOSS_MODEL, l->circuit->models[i].span, "%s", l->circuit->models[i].name);
}

void swi_lose_rows(swi_losses *l) {
    for (uint32_t i = 0; i < l->circuit->row_count; i++)
        swi_lose(l, SWI_LOSS_ROW, l->circuit->rows[i].span, "%s", l->circuit->rows[i].name);
}

bool swi_lose_numbers(swi_losses *l) {
    const sw_circuit *c = l->circuit;
    uint32_t *order = swi_number_order(c);
    for (uint32_t i = 0; order && i < c->node_count; i++)
        if (c->nodes[order[i]].number && c->nodes[order[i]].number != i + 1)
            swi_lose_node(l, SWI_LOSS_NUMBER, order[i]);
    free(order);
    return order != NULL;
}

void swi_lose_pin_words(swi_losses *l) {
    for (uint32_t i = 0; i < l->circuit->pin_count; i++) {
        const sw_pin *pin = &l->circuit->pins[i];
        if (*pin->name)
            swi_lose_pin(l, SWI_LOSS_PIN_NAME, i);
        if (pin->type != SW_PIN_UNKNOWN)
            swi_lose_pin(l, SWI_LOSS_PIN_TYPE, i);
    }
}

void swi_lose_rails(swi_losses *l) {
    for (uint32_t i = 0; i < l->circuit->node_count; i++) {
        const sw_node *node = &l->circuit->nodes[i];
        if (node->rail != SW_RAIL_NONE)
            swi_lose_node(l, SWI_LOSS_RAIL, i);
        if (node->global != (strcmp(node->name, "0") == 0))
            swi_lose_node(l, SWI_LOSS_GLOBAL, i);
    }
}

void swi_lose_rail_reasons(swi_losses *l, bool volts) {
    for (uint32_t i = 0; i < l->circuit->node_count; i++) {
        const sw_node *node = &l->circuit->nodes[i];
        if (*node->rail_why)
            swi_lose_node(l, SWI_LOSS_WHY, i);
        if (volts && (node->volts < 0 || node->volts > 0))
            swi_lose_node(l, SWI_LOSS_VOLTS, i);
    }
}

bool swi_losses_tell(swi_losses *l, sw_diags *diags, sw_diag_id id) {
    bool whole = true;
    for (int k = 0; k < SWI_LOSS_COUNT; k++) {
        sw_buf *names = &l->names[k];
        if (l->count[k] > l->named[k])
            sw_buf_printf(names, " and %u more", l->count[k] - l->named[k]);
        whole = whole && !names->failed;
        if (l->count[k] && !names->failed)
            sw_diag_add(diags, id, l->first[k], "%s has no place for %s: %s%s%s", l->format,
                        swi_loss_phrase((swi_loss)k), names->bytes, l->hint[k] ? "; " : "",
                        l->hint[k] ? l->hint[k] : "");
        sw_buf_free(names);
    }
    return whole;
}
