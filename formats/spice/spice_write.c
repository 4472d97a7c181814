/* formats/spice/spice_write.c: a circuit as a deck that reads back to it. */
#include "spice_write.h"

#include <stdlib.h>
#include <string.h>

#include "base/fault.h"

/* Says once for each name what a deck has no place for. */
static void tell_once(swi_writer *w, sw_span span, const char *what, const char *name) {
    bool failed = false;
    uint32_t mine = w->next++;
    if (swi_map_add(w->told, name, strlen(name), mine, &failed) == mine && !failed)
        sw_diag_add(w->diags, SW_D_SPICE_WRITE_LOST, span,
                    "%s%s has no place in a deck and is left out", what, name);
    w->failed = w->failed || failed;
}

/* ---- nodes ---- */

static void name_nodes(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    swi_map *taken = swi_map_new(w->arena, true);
    w->nodes = swi_arena_array(w->arena, c->node_count + 1u, sizeof *w->nodes);
    if (taken == NULL || w->nodes == NULL) {
        w->failed = true;
        swi_map_free(taken);
        return;
    }
    for (uint32_t i = 0; i < c->node_count && !w->failed; i++) {
        const sw_node *node = &c->nodes[i];
        const char *name = swi_equal_fold(node->name, "gnd") ? "0" : node->name;
        w->nodes[i] = swi_spell(w, taken, "", name);
        if (strcmp(w->nodes[i], name) != 0)
            sw_diag_add(w->diags, SW_D_SPICE_WRITE_NODE, node->span,
                        "the node \"%s\" is written %s, for a deck cannot spell it or has another "
                        "of this name",
                        node->name, w->nodes[i]);
    }
    swi_map_free(taken);
}

/* ---- parts ---- */

static void index_properties(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    w->first_property = swi_arena_array(w->arena, c->part_count + 1u, sizeof *w->first_property);
    w->parts = swi_arena_array(w->arena, c->part_count + 1u, sizeof *w->parts);
    w->failed = w->failed || w->first_property == NULL || w->parts == NULL;
    uint32_t at = 0;
    while (!w->failed && at < c->property_count && c->properties[at].owner < SW_OWNER_PART)
        at++;
    for (uint32_t part = 0; part <= c->part_count && !w->failed; part++) {
        while (at < c->property_count && c->properties[at].owner == SW_OWNER_PART &&
               c->properties[at].index < part)
            at++;
        w->first_property[part] = at;
    }
}

/* The name of the part's line: its reference, behind the letter where it needs one. */
static void name_part(swi_writer *w, swi_map *taken, uint32_t part, char letter) {
    const sw_part *p = &w->circuit->parts[part];
    char before[3] = {letter, '\0', '\0'};
    if (swi_upper(p->ref[0]) == letter)
        before[0] = '\0';
    else if (p->path[0] != '\0')
        before[1] = '.';
    w->parts[part].name = swi_spell(w, taken, before, p->ref);
}

static bool same_pins(const swi_writer *w, uint32_t a, uint32_t b) {
    const sw_part *pa = &w->circuit->parts[a], *pb = &w->circuit->parts[b];
    if (pa->pin_count != pb->pin_count) return false;
    for (uint32_t i = 0; i < pa->pin_count; i++)
        if (strcmp(w->circuit->pins[pa->first_pin.i + i].number,
                   w->circuit->pins[pb->first_pin.i + i].number) != 0)
            return false;
    return true;
}

static const char *add_stub(swi_writer *w, const char *name, uint32_t part) {
    if (!SWI_GROW(w->stubs, w->stub_capacity, w->stub_count + 1)) {
        w->failed = true;
        return "";
    }
    w->stubs[w->stub_count++] = (swi_stub){name, part};
    return name;
}

/* A stub that names the part's pins but no device. */
static const char *nameless_stub(swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    sw_buf key = SW_BUF_INIT;
    bool failed = false;
    for (uint32_t i = 0; i < p->pin_count; i++)
        sw_buf_printf(&key, " %s", w->circuit->pins[p->first_pin.i + i].number);
    sw_buf_putc(&key, ' ');
    uint32_t next = (uint32_t)w->stub_count, i = next;
    if (!key.failed) i = swi_map_add(w->stub_map, key.bytes, key.length, next, &failed);
    w->failed = w->failed || failed || key.failed;
    if (i == next && !w->failed) {
        key.length = 0;
        sw_buf_printf(&key, "%s%zu", SWI_PLACEHOLDER, w->stub_count + 1);
        add_stub(w, key.failed ? "" : swi_arena_text(w->arena, key.bytes, key.length), part);
    }
    swi_drop(w, &key);
    return w->failed ? "" : w->stubs[i].name;
}

/* The subcircuit for a part that is written as X. */
static const char *stub_of(swi_writer *w, uint32_t part) {
    const sw_part *p = &w->circuit->parts[part];
    bool failed = false;
    if (!swi_spells_word(p->device) || p->device[0] == '_') return nameless_stub(w, part);
    uint32_t next = (uint32_t)w->stub_count;
    uint32_t i = swi_map_add(w->stub_map, p->device, strlen(p->device), next, &failed);
    w->failed = w->failed || failed;
    if (i == next && !w->failed) add_stub(w, p->device, part);
    if (w->failed) return "";
    const swi_stub *stub = &w->stubs[i];
    const sw_part *first = &w->circuit->parts[stub->part];
    if (strcmp(stub->name, p->device) != 0 || p->flat != first->flat ||
        (!p->flat && !same_pins(w, part, stub->part)))
        return nameless_stub(w, part);
    return stub->name;
}

static void name_parts(swi_writer *w) {
    swi_map *taken = swi_map_new(w->arena, true);
    w->failed = w->failed || taken == NULL;
    for (uint32_t i = 0; i < w->circuit->part_count && !w->failed; i++) {
        char letter = swi_letter_of(w, i);
        name_part(w, taken, i, letter);
        if (letter == 'X') w->parts[i].stub = stub_of(w, i);
    }
    swi_map_free(taken);
}

static void write_stub(swi_writer *w, const swi_stub *stub) {
    const sw_part *p = &w->circuit->parts[stub->part];
    if (p->flat && strncmp(stub->name, SWI_PLACEHOLDER, strlen(SWI_PLACEHOLDER)) != 0)
        return; /* its pins are known by position only: so they are without a stub */
    swi_map *taken = swi_map_new(w->arena, true);
    w->failed = w->failed || taken == NULL;
    swi_put_string(w, ".subckt");
    swi_put_string(w, stub->name);
    for (uint32_t i = 0; i < p->pin_count && !w->failed; i++) {
        const sw_pin *pin = &w->circuit->pins[p->first_pin.i + i];
        const char *port = swi_spell(w, taken, "", pin->number);
        if (strcmp(port, pin->number) != 0)
            sw_diag_add(w->diags, SW_D_SPICE_WRITE_PIN, pin->span,
                        "the pin %s.%s is written %s, for a deck cannot spell it", p->ref,
                        pin->number, port);
        swi_put_string(w, port);
    }
    swi_map_free(taken);
    swi_end_line(w);
    sw_buf_puts(w->out, ".ends\n");
}

/* ---- models, cards, rows ---- */

static bool same_model(const sw_model *a, const sw_model *b) {
    return strcmp(a->type, b->type) == 0 && strcmp(a->text, b->text) == 0;
}

static void put_parameters(swi_writer *w, const sw_model *model) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_puts(&text, model->type);
    if (model->text[0] != '\0') sw_buf_printf(&text, "(%s)", model->text);
    w->failed = w->failed || text.failed;
    swi_put_text(w, text.bytes != NULL ? text.bytes : "");
    swi_drop(w, &text);
}

/* Models of one name and different text get the name of their subcircuit too. */
static void write_models(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    swi_map *first = swi_map_new(w->arena, true), *taken = swi_map_new(w->arena, true);
    w->models = swi_arena_array(w->arena, c->model_count + 1u, sizeof *w->models);
    w->failed = w->failed || first == NULL || taken == NULL || w->models == NULL;
    for (uint32_t i = 0; i < c->model_count && !w->failed; i++) {
        const sw_model *model = &c->models[i];
        bool failed = false;
        uint32_t same = swi_map_add(first, model->name, strlen(model->name), i, &failed);
        w->failed = w->failed || failed;
        w->models[i] = w->models[same];
        if (same != i && same_model(model, &c->models[same])) continue;
        sw_buf name = SW_BUF_INIT;
        sw_buf_printf(&name, same != i ? "%s.%s" : "%s", model->name, model->path);
        w->models[i] = swi_spell(w, taken, "", name.bytes != NULL ? name.bytes : "");
        swi_drop(w, &name);
        if (same != i)
            sw_diag_add(w->diags, SW_D_SPICE_WRITE_MODEL, model->span,
                        "the model %s of %s is written %s, for there is another of its name",
                        model->name, model->path, w->models[i]);
        swi_put_string(w, ".model");
        swi_put_string(w, w->models[i]);
        put_parameters(w, model);
        swi_end_line(w);
    }
    swi_map_free(first);
    swi_map_free(taken);
}

const char *swi_written_model(const swi_writer *w, const char *name, const sw_property *scope) {
    for (uint32_t i = 0; scope != NULL && i < w->circuit->model_count; i++)
        if (strcmp(w->circuit->models[i].path, scope->value) == 0 &&
            swi_equal_fold(w->circuit->models[i].name, name))
            return w->models[i];
    return name;
}

static void write_head(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    sw_buf title = SW_BUF_INIT;
    for (size_t i = 0; c->title[i] != '\0'; i++)
        sw_buf_putc(&title, (unsigned char)c->title[i] < 0x20 ? ' ' : c->title[i]);
    sw_buf_printf(w->out, "*%s%s\n", title.length > 0 ? " " : "",
                  title.bytes != NULL ? title.bytes : "");
    w->failed = w->failed || title.failed;
    swi_drop(w, &title);
    for (uint32_t i = 0; i < c->property_count; i++) {
        if (c->properties[i].owner != SW_OWNER_CIRCUIT ||
            strcmp(c->properties[i].key, "spice.card") != 0)
            continue;
        swi_put_text(w, c->properties[i].value);
        swi_end_line(w);
    }
    bool any = false;
    for (uint32_t i = 0; i < c->node_count; i++) {
        if (!c->nodes[i].global || strcmp(w->nodes[i], "0") == 0) continue;
        if (!any) swi_put_string(w, ".global");
        any = true;
        swi_put_string(w, w->nodes[i]);
    }
    if (any) swi_end_line(w);
}

static void write_row(swi_writer *w, const sw_row *row) {
    const struct {
        const char *key, *value;
    } cells[] = {{"ref", row->ref},     {"device", row->device}, {"package", row->package},
                 {"unit", row->unit},   {"pins", row->pins},     {"supply", row->supply},
                 {"value", row->value}, {"place", row->place},   {"omit", row->omit},
                 {"note", row->note}};
    sw_buf full = SW_BUF_INIT;
    sw_buf_printf(&full, "%s%s%s", row->path, row->path[0] != '\0' ? "." : "", row->name);
    sw_part_id id = {SW_NONE};
    if (!full.failed) id = sw_circuit_part(w->circuit, full.bytes);
    /* In a subcircuit's instance a name may also be a model's. */
    const char *name = id.i != SW_NONE                                  ? w->parts[id.i].name
                       : strchr(row->name, '*') != NULL && !full.failed ? full.bytes
                                                                        : row->name;
    sw_buf_printf(w->out, "*@ %s", name);
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++)
        if (cells[i].value[0] != '\0') swi_put_cell(w, cells[i].key, cells[i].value);
    sw_buf_putc(w->out, '\n');
    w->failed = w->failed || full.failed;
    swi_drop(w, &full);
}

/* ---- what a deck cannot keep ---- */

static void tell_lost(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    for (uint32_t i = 0; i < c->property_count; i++)
        if (strncmp(c->properties[i].key, "spice.", 6) != 0)
            tell_once(w, c->properties[i].span, "the property ", c->properties[i].key);
    for (uint32_t i = 0; i < c->pin_count; i++)
        if (c->pins[i].name[0] != '\0' && strcmp(c->pins[i].name, c->pins[i].number) != 0)
            tell_once(w, c->pins[i].span, "what pins do besides their numbers", "");
}

static void write_deck(swi_writer *w) {
    index_properties(w);
    name_nodes(w);
    name_parts(w);
    if (w->failed) return;
    write_head(w);
    for (size_t i = 0; i < w->stub_count; i++)
        write_stub(w, &w->stubs[i]);
    write_models(w);
    for (uint32_t i = 0; i < w->circuit->part_count && !w->failed; i++)
        swi_write_part(w, i);
    for (uint32_t i = 0; i < w->circuit->row_count && !w->failed; i++)
        write_row(w, &w->circuit->rows[i]);
    sw_buf_puts(w->out, ".end\n");
    tell_lost(w);
}

sw_status swi_spice_write(const sw_document *document, const sw_write_options *options,
                          sw_diags *diags, sw_buf *out) {
    (void)options;
    swi_writer w = {.circuit = document->circuit, .diags = diags, .out = out};
    w.arena = swi_arena_new();
    if (w.arena != NULL) {
        w.stub_map = swi_map_new(w.arena, true);
        w.told = swi_map_new(w.arena, false);
    }
    w.failed = w.stub_map == NULL || w.told == NULL;
    if (!w.failed) write_deck(&w);
    bool failed = w.failed || out->failed;
    swi_map_free(w.stub_map);
    swi_map_free(w.told);
    free(w.stubs);
    swi_arena_free(w.arena);
    return failed ? swi_out_of_memory(diags) : SW_OK;
}
