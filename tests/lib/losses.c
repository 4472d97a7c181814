/* What a writer lost, against what it told. */
#include "tests/lib/losses.h"

#include <stdlib.h>
#include <string.h>

#include "circuit/circuit.h"
#include "circuit/losses.h"

typedef struct pair {
    const sw_circuit *a, *b;
    uint32_t *part, *pin, *node; /* of a: where it is in b, SW_NONE */
    sw_buf *out;
} pair;

static bool same(const char *x, const char *y) {
    return strcmp(x ? x : "", y ? y : "") == 0;
}

static void lost(pair *p, swi_loss kind, const char *of, const char *thing) {
    sw_buf_printf(p->out, "%s: %s%s\n", swi_loss_phrase(kind), of, thing);
}

static const char *pin_text(const sw_circuit *c, uint32_t pin, char out[128]) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_printf(&text, "%s.%s", c->parts[c->pins[pin].part.i].ref, c->pins[pin].number);
    strncpy(out, text.bytes ? text.bytes : "", 127);
    out[127] = '\0';
    sw_buf_free(&text);
    return out;
}

/* ---- who is who ---- */

static void match_pins(pair *p, uint32_t x, uint32_t y) {
    const sw_part *a = &p->a->parts[x], *b = &p->b->parts[y];
    enum { MOST = 1024 };
    bool taken[MOST] = {false};
    for (uint32_t i = 0; i < a->pin_count; i++)
        for (uint32_t k = 0; k < b->pin_count && k < MOST; k++)
            if (!taken[k] && strcmp(p->a->pins[a->first_pin.i + i].number,
                                    p->b->pins[b->first_pin.i + k].number) == 0) {
                p->pin[a->first_pin.i + i] = b->first_pin.i + k;
                taken[k] = true;
                break;
            }
    uint32_t k = 0; /* those under another name, in order */
    for (uint32_t i = 0; i < a->pin_count; i++) {
        if (p->pin[a->first_pin.i + i] != SW_NONE)
            continue;
        while (k < b->pin_count && k < MOST && taken[k])
            k++;
        char text[128];
        sw_buf_printf(p->out, "pin number: %s\n", pin_text(p->a, a->first_pin.i + i, text));
        if (k < b->pin_count)
            p->pin[a->first_pin.i + i] = b->first_pin.i + k++;
    }
    if (a->pin_count != b->pin_count)
        sw_buf_printf(p->out, "pin count: %s\n", a->ref);
}

static void match(pair *p) {
    for (uint32_t i = 0; i < p->a->part_count; i++) {
        p->part[i] = sw_circuit_part(p->b, p->a->parts[i].ref).i;
        if (p->part[i] == SW_NONE || !same(p->a->parts[i].ref, p->b->parts[p->part[i]].ref))
            sw_buf_printf(p->out, "part gone: %s\n", p->a->parts[i].ref);
        if (p->part[i] != SW_NONE)
            match_pins(p, i, p->part[i]);
    }
    if (p->a->part_count != p->b->part_count)
        sw_buf_puts(p->out, "part count\n");
    for (uint32_t i = 0; i < p->a->pin_count; i++) {
        uint32_t node = p->a->pins[i].node.i;
        uint32_t there = p->pin[i] == SW_NONE ? SW_NONE : p->b->pins[p->pin[i]].node.i;
        bool first = p->a->node_pins[p->a->nodes[node].first_pin].i == i;
        if (p->node[node] == SW_NONE)
            p->node[node] = there;
        if (p->node[node] != there ||
            (first && there != SW_NONE &&
             p->a->nodes[node].pin_count != p->b->nodes[there].pin_count))
            sw_buf_printf(p->out, "joined otherwise: %s\n", p->a->nodes[node].name);
    }
}

/* ---- field by field ---- */

static void compare_parts(pair *p) {
    char flags[SWI_FLAGS_LENGTH], others[SWI_FLAGS_LENGTH];
    for (uint32_t i = 0; i < p->a->part_count; i++) {
        if (p->part[i] == SW_NONE)
            continue;
        const sw_part *a = &p->a->parts[i], *b = &p->b->parts[p->part[i]];
        if (!same(a->value, b->value)) lost(p, SWI_LOSS_VALUE, "", a->ref);
        if (!same(a->device, b->device)) lost(p, SWI_LOSS_DEVICE, "", a->ref);
        if (!same(a->package, b->package)) lost(p, SWI_LOSS_PACKAGE, "", a->ref);
        if (!same(a->path, b->path)) lost(p, SWI_LOSS_PATH, "", a->ref);
        if (a->kind != b->kind) lost(p, SWI_LOSS_KIND, "", a->ref);
        if (!same(swi_part_flags(a, flags), swi_part_flags(b, others)))
            lost(p, SWI_LOSS_FLAG, "", a->ref);
    }
}

/* A name that only repeats the number says nothing. */
static const char *function_of(const sw_pin *pin) {
    return same(pin->name, pin->number) ? "" : pin->name;
}

static void compare_pins(pair *p) {
    char text[128];
    for (uint32_t i = 0; i < p->a->pin_count; i++) {
        if (p->pin[i] == SW_NONE)
            continue;
        const sw_pin *a = &p->a->pins[i], *b = &p->b->pins[p->pin[i]];
        if (!same(function_of(a), function_of(b)))
            lost(p, SWI_LOSS_PIN_NAME, "", pin_text(p->a, i, text));
        if (a->type != b->type) lost(p, SWI_LOSS_PIN_TYPE, "", pin_text(p->a, i, text));
    }
}

/* The number that a node has on reading, or gets by itself: rails come first then, which
 * are told by themselves. */
static uint32_t number_of(const pair *p, uint32_t node) {
    if (p->b->nodes[p->node[node]].number)
        return p->b->nodes[p->node[node]].number;
    sw_rail *rails = malloc((p->b->node_count + 1u) * sizeof *rails);
    for (uint32_t i = 0; i < p->b->node_count; i++)
        rails[i] = p->b->nodes[i].rail;
    for (uint32_t i = 0; i < p->a->node_count; i++)
        p->b->nodes[p->node[i]].rail = p->a->nodes[i].rail;
    uint32_t *order = swi_number_order(p->b), number = 0;
    for (uint32_t i = 0; i < p->b->node_count; i++) {
        number = order[i] == p->node[node] ? i + 1 : number;
        p->b->nodes[i].rail = rails[i];
    }
    free(order);
    free(rails);
    return number;
}

static void compare_nodes(pair *p) {
    for (uint32_t i = 0; i < p->a->node_count; i++) {
        if (p->node[i] == SW_NONE)
            continue;
        const sw_node *a = &p->a->nodes[i], *b = &p->b->nodes[p->node[i]];
        if (!same(a->name, b->name)) sw_buf_printf(p->out, "node name: %s\n", a->name);
        if (a->named != b->named) sw_buf_printf(p->out, "derived: %s\n", a->name);
        if (a->rail != b->rail) lost(p, SWI_LOSS_RAIL, "", a->name);
        if (!same(a->rail_why, b->rail_why)) lost(p, SWI_LOSS_WHY, "", a->name);
        if (a->volts < b->volts || a->volts > b->volts) lost(p, SWI_LOSS_VOLTS, "", a->name);
        if (a->global != b->global) lost(p, SWI_LOSS_GLOBAL, "", a->name);
        if (a->number && a->number != number_of(p, i)) lost(p, SWI_LOSS_NUMBER, "", a->name);
    }
}

static uint32_t owner_in(const pair *p, const sw_property *x) {
    return x->owner == SW_OWNER_PART  ? p->part[x->index]
           : x->owner == SW_OWNER_PIN ? p->pin[x->index]
           : x->owner == SW_OWNER_NODE ? p->node[x->index]
                                       : 0;
}

static void property_gone(pair *p, const sw_property *x) {
    char text[128], key[128] = "";
    strncat(key, x->key, 100);
    strcat(key, " of ");
    if (x->owner == SW_OWNER_CIRCUIT) lost(p, SWI_LOSS_CIRCUIT_PROPERTY, "", x->key);
    if (x->owner == SW_OWNER_PART)
        lost(p, SWI_LOSS_PART_PROPERTY, key, p->a->parts[x->index].ref);
    if (x->owner == SW_OWNER_PIN)
        lost(p, SWI_LOSS_PIN_PROPERTY, key, pin_text(p->a, x->index, text));
    if (x->owner == SW_OWNER_NODE)
        lost(p, SWI_LOSS_NODE_PROPERTY, key, p->a->nodes[x->index].name);
}

static void compare_properties(pair *p) {
    bool *met = calloc(p->b->property_count + 1u, sizeof *met);
    for (uint32_t i = 0; i < p->a->property_count; i++) {
        const sw_property *a = &p->a->properties[i];
        uint32_t k = 0;
        for (; k < p->b->property_count; k++) {
            const sw_property *b = &p->b->properties[k];
            if (!met[k] && a->owner == b->owner && owner_in(p, a) == b->index &&
                same(a->key, b->key) && same(a->value, b->value))
                break;
        }
        if (k < p->b->property_count)
            met[k] = true;
        else
            property_gone(p, a);
    }
    for (uint32_t k = 0; k < p->b->property_count; k++)
        if (!met[k])
            sw_buf_printf(p->out, "property new: %s\n", p->b->properties[k].key);
    free(met);
}

/* ---- models, rows ---- */

static void compare_models(pair *p) {
    bool *met = calloc(p->b->model_count + 1u, sizeof *met);
    for (uint32_t i = 0; i < p->a->model_count; i++) {
        const sw_model *a = &p->a->models[i];
        uint32_t k = 0;
        while (k < p->b->model_count &&
               (met[k] || !same(a->name, p->b->models[k].name) ||
                !same(a->path, p->b->models[k].path) || !same(a->type, p->b->models[k].type) ||
                !same(a->text, p->b->models[k].text)))
            k++;
        if (k < p->b->model_count)
            met[k] = true;
        else
            lost(p, SWI_LOSS_MODEL, "", a->name);
    }
    free(met);
}

/* A row's name with its path, where that is the name of a part or a pattern. */
static void full_name(const sw_circuit *c, const sw_row *row, sw_buf *out) {
    out->length = 0;
    sw_buf_printf(out, "%s.%s", row->path, row->name);
    bool whole = row->path[0] &&
                 (strchr(row->name, '*') || sw_circuit_part(c, out->bytes).i != SW_NONE);
    out->length = 0;
    sw_buf_printf(out, "%s%s%s", whole ? row->path : "", whole ? "." : "", row->name);
    sw_buf_printf(out, "\t%s", whole ? "" : row->path);
}

static bool same_row(const pair *p, const sw_row *a, const sw_row *b) {
    sw_buf x = SW_BUF_INIT, y = SW_BUF_INIT;
    full_name(p->a, a, &x);
    full_name(p->b, b, &y);
    bool equal = same(x.bytes, y.bytes) && same(a->ref, b->ref) && same(a->device, b->device) &&
                 same(a->package, b->package) && same(a->unit, b->unit) &&
                 same(a->pins, b->pins) && same(a->supply, b->supply) &&
                 same(a->value, b->value) && same(a->place, b->place) && same(a->omit, b->omit) &&
                 same(a->note, b->note);
    sw_buf_free(&x);
    sw_buf_free(&y);
    return equal;
}

static void compare_rows(pair *p) {
    bool *met = calloc(p->b->row_count + 1u, sizeof *met);
    for (uint32_t i = 0; i < p->a->row_count; i++) {
        uint32_t k = 0;
        while (k < p->b->row_count &&
               (met[k] || !same_row(p, &p->a->rows[i], &p->b->rows[k])))
            k++;
        if (k < p->b->row_count)
            met[k] = true;
        else
            lost(p, SWI_LOSS_ROW, "", p->a->rows[i].name);
    }
    free(met);
    if (p->b->row_count > p->a->row_count)
        sw_buf_puts(p->out, "row new\n");
}

/* ---- lists ---- */

static int by_text(const void *x, const void *y) {
    return strcmp(*(const char *const *)x, *(const char *const *)y);
}

static void sort_lines(sw_buf *out) {
    sw_buf sorted = SW_BUF_INIT;
    char *lines[1024];
    size_t count = 0;
    for (char *line = out->bytes ? strtok(out->bytes, "\n") : NULL; line && count < 1024;
         line = strtok(NULL, "\n"))
        lines[count++] = line;
    qsort(lines, count, sizeof *lines, by_text);
    for (size_t i = 0; i < count; i++)
        sw_buf_printf(&sorted, "%s\n", lines[i]);
    sw_buf_putc(&sorted, '\n');
    sw_buf_free(out);
    *out = sorted;
}

static uint32_t *none(uint32_t count) {
    uint32_t *list = malloc((count + 1u) * sizeof *list);
    for (uint32_t i = 0; list && i <= count; i++)
        list[i] = SW_NONE;
    return list;
}

void test_losses_real(const sw_circuit *before, const sw_circuit *after, sw_buf *out) {
    pair p = {.a = before, .b = after, .out = out, .part = none(before->part_count),
              .pin = none(before->pin_count), .node = none(before->node_count)};
    match(&p);
    if (!same(before->title, after->title)) lost(&p, SWI_LOSS_TITLE, "", before->title);
    compare_parts(&p);
    compare_pins(&p);
    compare_nodes(&p);
    compare_properties(&p);
    compare_models(&p);
    compare_rows(&p);
    free(p.part);
    free(p.pin);
    free(p.node);
    sort_lines(out);
}

/* "… has no place for PHRASE: A, B; what to do" */
static void told_left_out(const char *message, sw_buf *out) {
    const char *phrase = strstr(message, " has no place for ");
    const char *colon = phrase ? strstr(phrase, ": ") : NULL;
    if (!colon)
        return;
    phrase += strlen(" has no place for ");
    const char *at = colon + 2, *hint = strstr(at, "; ");
    bool single = strncmp(phrase, "a ", 2) == 0;
    const char *end = hint ? hint : at + strlen(at);
    while (at < end) {
        const char *comma = single ? NULL : strstr(at, ", ");
        size_t length = (size_t)((comma && comma < end ? comma : end) - at);
        sw_buf_printf(out, "%.*s: %.*s\n", (int)(colon - phrase), phrase, (int)length, at);
        at += length + 2;
    }
}

/* "the node NAME is written …" */
static void told_renamed(const char *message, const char *kind, sw_buf *out) {
    const char *end = strstr(message, " is written ");
    const char *at = strncmp(message, "the ", 4) == 0 ? message + 4 : message;
    at = strchr(at, ' ') + 1;
    bool quoted = *at == '"';
    sw_buf_printf(out, "%s: %.*s\n", kind, (int)(end - at) - 2 * quoted, at + quoted);
}

void test_losses_told(const sw_diags *diags, sw_buf *out) {
    for (size_t i = 0; i < sw_diags_count(diags); i++) {
        const sw_diag *diag = sw_diags_get(diags, i);
        if (diag->id == SW_D_SPICE_WRITE_NODE || diag->id == SW_D_CSV_RENAMED)
            told_renamed(diag->message, "node name", out);
        else if (diag->id == SW_D_SPICE_WRITE_PIN)
            told_renamed(diag->message, "pin number", out);
        else
            told_left_out(diag->message, out);
    }
    sort_lines(out);
}
