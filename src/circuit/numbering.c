/* The numbers of an earlier revision, gathered from whatever states them. */
#include "circuit/circuit.h"

#include <stdlib.h>
#include <string.h>

/* One statement: of a name (pin NULL) or of a pin. */
typedef struct statement {
    uint32_t number, order;
    const char *name, *pin;
} statement;

struct sw_numbering {
    swi_arena *arena;
    statement *statements;
    size_t count, room;
    bool failed;
};

sw_numbering *sw_numbering_new(void) {
    sw_numbering *n = calloc(1, sizeof *n);
    if (n && !(n->arena = swi_arena_new())) {
        free(n);
        return NULL;
    }
    return n;
}

void sw_numbering_free(sw_numbering *n) {
    if (!n)
        return;
    swi_arena_free(n->arena);
    free(n->statements);
    free(n);
}

static bool add(sw_numbering *n, uint32_t number, const char *text, bool pin) {
    if (n->failed)
        return false;
    const char *kept = swi_arena_text(n->arena, text, strlen(text));
    n->failed = !kept || n->count >= UINT32_MAX ||
                !SWI_GROW(n->statements, n->room, n->count + 1);
    if (n->failed)
        return false;
    n->statements[n->count] = (statement){number, (uint32_t)n->count, pin ? NULL : kept,
                                          pin ? kept : NULL};
    n->count++;
    return true;
}

bool sw_numbering_add(sw_numbering *n, uint32_t number, const char *name) {
    return add(n, number, name, false);
}

bool sw_numbering_add_pin(sw_numbering *n, uint32_t number, const char *pin) {
    return add(n, number, pin, true);
}

static bool add_node(sw_numbering *n, const sw_circuit *c, const sw_node *node, sw_buf *text) {
    bool done = sw_numbering_add(n, node->number, node->named ? node->name : "");
    for (uint32_t i = 0; done && i < node->pin_count; i++) {
        const sw_pin *pin = &c->pins[c->node_pins[node->first_pin + i].i];
        text->length = 0;
        sw_buf_printf(text, "%s.%s", c->parts[pin->part.i].ref, pin->number);
        done = !text->failed && sw_numbering_add_pin(n, node->number, text->bytes);
    }
    return done;
}

sw_numbering *sw_numbering_of(const sw_circuit *c) {
    sw_numbering *n = sw_numbering_new();
    sw_buf text = SW_BUF_INIT;
    bool done = n != NULL;
    for (uint32_t i = 0; done && i < c->node_count; i++)
        done = add_node(n, c, &c->nodes[i], &text);
    sw_buf_free(&text);
    if (done)
        return n;
    sw_numbering_free(n);
    return NULL;
}

static int by_number(const void *left, const void *right) {
    const statement *a = left, *b = right;
    if (a->number != b->number)
        return a->number < b->number ? -1 : 1;
    return a->order < b->order ? -1 : a->order > b->order;
}

/* Statements of one number, from `first` on, become a node; returns the next. */
static size_t gather(const sw_numbering *n, size_t first, sw_old_node *node, const char **pins) {
    size_t i = first;
    *node = (sw_old_node){.number = n->statements[first].number, .name = "", .pins = pins};
    for (; i < n->count && n->statements[i].number == node->number; i++) {
        const statement *s = &n->statements[i];
        if (s->pin)
            pins[node->pin_count++] = s->pin;
        else if (!*node->name)
            node->name = s->name;
    }
    return i;
}

const sw_old_node *sw_numbering_nodes(sw_numbering *n, size_t *count) {
    *count = 0;
    if (n->failed)
        return NULL;
    sw_old_node *nodes = swi_arena_array(n->arena, n->count + 1, sizeof *nodes);
    const char **pins = swi_arena_array(n->arena, n->count + 1, sizeof *pins);
    if (!nodes || !pins)
        return NULL;
    if (n->count)
        qsort(n->statements, n->count, sizeof *n->statements, by_number);
    for (size_t i = 0; i < n->count; pins += nodes[*count].pin_count, ++*count)
        i = gather(n, i, &nodes[*count], pins);
    return nodes;
}
