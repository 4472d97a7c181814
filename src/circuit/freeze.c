/* Freezing a builder: growing arrays become flat ones that are only read.
 *
 * Everything is counted, then placed (counting sorts), so the time is linear;
 * each growing array is freed as soon as its frozen form stands, so that the
 * peak is little above what stays.
 */
#include "circuit/freeze.h"

#include <stdlib.h>
#include <string.h>

void *swi_freeze_hand_over(swi_freezing *f, size_t slot, void *items, size_t size) {
    f->memory->owned[slot] = items;
    void *fitting = size ? realloc(items, size) : NULL;
    if (fitting)
        f->memory->owned[slot] = fitting;
    return fitting;
}

static bool freeze_parts(swi_freezing *f) {
    sw_builder *b = f->b;
    f->c->part_count = (uint32_t)b->part_count;
    f->c->parts = swi_freeze_hand_over(f, 1, b->parts, b->part_count * sizeof *b->parts);
    b->parts = NULL;
    if (b->part_count == 0)
        f->c->parts = SWI_FROZEN(f, 0, sw_part);
    return f->c->parts != NULL;
}

/* ---- nodes ---- */

/* The builder's counts are of pins as they were added. */
static void count_node_pins(swi_freezing *f) {
    sw_builder *b = f->b;
    for (size_t i = 0; i < b->node_count; i++)
        b->nodes[i].pin_count = 0;
    for (uint32_t i = 0; i < f->c->pin_count; i++)
        b->nodes[f->c->pins[i].node.i].pin_count++;
}

/* Nodes keep the order in which they were first spoken of; those without pins, or joined
 * into others, fall out. */
static bool number_nodes(swi_freezing *f) {
    sw_builder *b = f->b;
    f->node_to = malloc((b->node_count + 1) * sizeof *f->node_to);
    if (!f->node_to)
        return false;
    for (size_t i = 0; i < b->node_count; i++)
        f->node_to[i] = b->nodes[i].pin_count ? f->c->node_count++ : SW_NONE;
    f->nodes_stay = f->c->node_count == b->node_count && b->node_count > 0;
    return true;
}

static bool freeze_nodes(swi_freezing *f) {
    sw_builder *b = f->b;
    sw_circuit *c = f->c;
    if (b->joined || f->doubled)
        count_node_pins(f);
    if (!number_nodes(f))
        return false;
    c->nodes = f->nodes_stay
                   ? swi_freeze_hand_over(f, 2, b->nodes, c->node_count * sizeof *b->nodes)
                   : SWI_FROZEN(f, c->node_count, sw_node);
    if (f->nodes_stay)
        b->nodes = c->nodes; /* until the names are done */
    if (!c->nodes)
        return false;
    for (size_t i = 0; i < b->node_count && !f->nodes_stay; i++)
        if (f->node_to[i] != SW_NONE)
            c->nodes[f->node_to[i]] = b->nodes[i];
    uint32_t first = 0;
    for (uint32_t i = 0; i < c->node_count; i++) {
        c->nodes[i].first_pin = first;
        first += c->nodes[i].pin_count;
        c->nodes[i].pin_count = 0; /* counted again as they are placed */
    }
    return true;
}

static bool freeze_node_pins(swi_freezing *f) {
    sw_circuit *c = f->c;
    c->node_pins = SWI_FROZEN(f, c->pin_count, sw_pin_id);
    if (!c->node_pins)
        return false;
    for (uint32_t i = 0; i < c->pin_count; i++) {
        sw_pin *pin = &c->pins[i];
        if (!f->nodes_stay)
            pin->node.i = f->node_to[pin->node.i];
        sw_node *node = &c->nodes[pin->node.i];
        c->node_pins[node->first_pin + node->pin_count++].i = i;
    }
    return true;
}

/* ---- names ---- */

static bool index_name(swi_freezing *f, uint32_t number) {
    sw_circuit *c = f->c;
    const char *name = swi_circuit_node_name(c, number);
    bool first = swi_names_find(&f->memory->nodes, name, strlen(name), swi_circuit_node_name, c)
                 == SW_NONE;
    return swi_names_add(first ? &f->memory->nodes : &f->memory->nodes_exact, number,
                         swi_circuit_node_name, c);
}

/* Names of nodes that were joined into others go on finding the joined node. */
static bool freeze_aliases(swi_freezing *f) {
    sw_builder *b = f->b;
    uint32_t count = 0;
    for (uint32_t pass = 0; pass < 2; pass++) {
        count = 0;
        for (uint32_t i = 0; b->joined && i < b->node_count; i++) {
            uint32_t root = swi_builder_root(b, i), node = f->node_to[root];
            if (root == i || node == SW_NONE || !b->nodes[i].named ||
                strcmp(b->nodes[i].name, b->nodes[root].name) == 0)
                continue;
            if (pass == 1)
                f->memory->aliases[count] = (swi_alias){b->nodes[i].name, node};
            count++;
        }
        if (pass == 0 && !(f->memory->aliases = SWI_FROZEN(f, count, swi_alias)))
            return false;
    }
    f->memory->alias_count = count;
    return true;
}

/* The first pin of a node in natural order. */
static const sw_pin *first_pin(const sw_circuit *c, const sw_node *node) {
    sw_pin_id first = c->node_pins[node->first_pin];
    for (uint32_t i = 1; i < node->pin_count; i++) {
        sw_pin_id pin = c->node_pins[node->first_pin + i];
        if (swi_pin_compare(c, pin, first) < 0)
            first = pin;
    }
    return &c->pins[first.i];
}

/* A name that says no more than the one that the node would have without: formats in
 * which every node has a name write those, too. */
static bool says_its_pin(const sw_circuit *c, const sw_node *node) {
    if (!strchr(node->name, '.'))
        return false;
    const sw_pin *pin = first_pin(c, node);
    const char *ref = c->parts[pin->part.i].ref;
    size_t length = strlen(ref);
    return strncmp(node->name, ref, length) == 0 && node->name[length] == '.' &&
           strcmp(node->name + length + 1, pin->number) == 0;
}

/* "U2.11" for a node without a name of its own, after its first pin; "U2.11~2" when
 * another node bears that name. */
static bool name_after_pin(swi_freezing *f, uint32_t number, sw_buf *text) {
    sw_circuit *c = f->c;
    sw_node *node = &c->nodes[number];
    const sw_pin *pin = first_pin(c, node);
    for (unsigned copy = 1; ; copy++) {
        text->length = 0;
        sw_buf_puts(text, c->parts[pin->part.i].ref);
        sw_buf_putc(text, '.');
        sw_buf_puts(text, pin->number);
        if (copy > 1)
            sw_buf_printf(text, "~%u", copy);
        if (text->failed)
            return false;
        if (swi_names_find(&f->memory->nodes, text->bytes, text->length, swi_circuit_node_name, c)
            == SW_NONE)
            break;
    }
    node->name = swi_arena_text(f->b->arena, text->bytes, text->length);
    return node->name && index_name(f, number);
}

/* What the builder found names by finds them in the circuit, where nothing moved. */
static bool take_indices(swi_freezing *f) {
    sw_builder *b = f->b;
    swi_circuit_memory *m = f->memory;
    m->parts = b->parts_by_ref;
    b->parts_by_ref.slots = NULL;
    if (!f->nodes_stay)
        return swi_names_init(&m->nodes, true, f->c->node_count + m->alias_count, b->arena) &&
               swi_names_init(&m->nodes_exact, false, 0, b->arena);
    m->nodes = b->nodes_by_name;
    m->nodes_exact = b->nodes_by_exact_name;
    b->nodes_by_name.slots = b->nodes_by_exact_name.slots = NULL;
    return true;
}

static bool freeze_names(swi_freezing *f) {
    sw_circuit *c = f->c;
    swi_circuit_memory *m = f->memory;
    if (!freeze_aliases(f) || !take_indices(f))
        return false;
    for (uint32_t i = 0; !f->nodes_stay && i < c->node_count + m->alias_count; i++)
        if ((i >= c->node_count || c->nodes[i].named) && !index_name(f, i))
            return false;
    sw_buf text = SW_BUF_INIT;
    bool done = true;
    for (uint32_t i = 0; done && i < c->node_count; i++)
        if (!c->nodes[i].named)
            done = name_after_pin(f, i, &text);
        else
            c->nodes[i].named = !says_its_pin(c, &c->nodes[i]);
    sw_buf_free(&text);
    return done;
}

/* ---- the rest ---- */

static uint32_t owner_now(const swi_freezing *f, const sw_property *property) {
    const sw_builder *b = f->b;
    uint32_t i = property->index;
    switch (property->owner) {
    case SW_OWNER_PART: return i < f->c->part_count ? i : SW_NONE;
    case SW_OWNER_PIN: return i >= f->built_pins ? SW_NONE : f->pin_to ? f->pin_to[i] : i;
    case SW_OWNER_NODE: return i < b->node_count ? f->node_to[swi_builder_root(b, i)] : SW_NONE;
    case SW_OWNER_CIRCUIT: break;
    }
    return 0;
}

static int compare_owners(const sw_property *a, const sw_property *b) {
    if (a->owner != b->owner)
        return a->owner < b->owner ? -1 : 1;
    return a->index < b->index ? -1 : a->index > b->index;
}

static int by_owner(const void *left, const void *right) {
    const sw_property *const *a = left, *const *b = right;
    int order = compare_owners(*a, *b);
    return order ? order : *a < *b ? -1 : *a > *b;
}

/* Owners get their numbers of now; properties of things that are gone (nodes without
 * pins, doubled pins) go too.  Returns whether the rest stand in order. */
static bool renumber_properties(swi_freezing *f) {
    sw_builder *b = f->b;
    size_t to = 0;
    bool ordered = true;
    for (size_t i = 0; i < b->property_count; i++) {
        uint32_t index = owner_now(f, &b->properties[i]);
        if (index == SW_NONE)
            continue;
        b->properties[to] = b->properties[i];
        b->properties[to].index = index;
        ordered &= to == 0 || compare_owners(&b->properties[to - 1], &b->properties[to]) <= 0;
        to++;
    }
    b->property_count = to;
    return ordered;
}

static bool sort_properties(sw_builder *b) {
    const sw_property **order = malloc(b->property_count * sizeof *order);
    sw_property *sorted = malloc(b->property_count * sizeof *sorted);
    bool done = order && sorted;
    for (size_t i = 0; done && i < b->property_count; i++)
        order[i] = &b->properties[i];
    if (done)
        qsort(order, b->property_count, sizeof *order, by_owner);
    for (size_t i = 0; done && i < b->property_count; i++)
        sorted[i] = *order[i];
    free(order);
    free(done ? b->properties : sorted);
    if (done)
        b->properties = sorted;
    return done;
}

static bool freeze_properties(swi_freezing *f) {
    sw_builder *b = f->b;
    bool ordered = renumber_properties(f);
    f->c->property_count = (uint32_t)b->property_count;
    if (b->property_count == 0) {
        f->c->properties = SWI_FROZEN(f, 0, sw_property);
        return f->c->properties != NULL;
    }
    if (!ordered && !sort_properties(b))
        return false;
    f->c->properties =
        swi_freeze_hand_over(f, 3, b->properties, b->property_count * sizeof *b->properties);
    b->properties = NULL;
    return f->c->properties != NULL;
}

static bool freeze_tables(swi_freezing *f) {
    sw_builder *b = f->b;
    sw_circuit *c = f->c;
    c->models = SWI_FROZEN(f, b->model_count, sw_model);
    c->rows = SWI_FROZEN(f, b->row_count, sw_row);
    if (!c->models || !c->rows)
        return false;
    c->model_count = (uint32_t)b->model_count;
    c->row_count = (uint32_t)b->row_count;
    if (b->model_count)
        memcpy(c->models, b->models, b->model_count * sizeof *b->models);
    if (b->row_count)
        memcpy(c->rows, b->rows, b->row_count * sizeof *b->rows);
    return true;
}

static bool freeze(swi_freezing *f) {
    f->c = SWI_FROZEN(f, 1, sw_circuit);
    f->memory = SWI_FROZEN(f, 1, swi_circuit_memory);
    if (!f->c || !f->memory)
        return false;
    f->c->memory = f->memory;
    f->c->stage = f->b->stage;
    f->c->title = f->b->title;
    return swi_freeze_pins(f) && freeze_parts(f) && freeze_nodes(f) && freeze_node_pins(f) &&
           freeze_names(f) && freeze_properties(f) && freeze_tables(f);
}

/* A schedule states numbers: then they are there from the beginning. */
static bool index_numbers(sw_circuit *c) {
    for (uint32_t i = 0; i < c->node_count; i++)
        if (!c->nodes[i].number)
            return true;
    return c->node_count == 0 || swi_number_index(c);
}

sw_circuit *sw_builder_finish(sw_builder *b) {
    if (!b)
        return NULL;
    swi_freezing f = {.b = b, .built_pins = b->pin_count};
    if (!b->failed)
        swi_builder_texts(b);
    swi_interner_free(b->text); /* nothing more is interned */
    b->text = NULL;
    bool done = !b->failed && freeze(&f);
    if (f.nodes_stay)
        b->nodes = NULL;
    if (!done)
        swi_builder_out(b);
    if (!done && f.memory)
        swi_circuit_release(f.memory);
    free(f.pin_to);
    free(f.node_to);
    if (done) {
        f.memory->arena = b->arena; /* the circuit's from here on */
        b->arena = NULL;
    }
    sw_circuit *circuit = done ? f.c : NULL;
    if (done && !index_numbers(circuit)) {
        swi_builder_out(b);
        sw_circuit_free(circuit);
        circuit = NULL;
    }
    sw_builder_free(b);
    return circuit;
}
