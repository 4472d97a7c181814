/* formats/spice/spice_write.c: a circuit as a deck that reads back to it. */
#include "spice_write.h"

#include <stdlib.h>
#include <string.h>

#include "base/fault.h"
#include "base/num.h"
#include "circuit/circuit.h"

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
        if (strcmp(w->nodes[i], node->name) != 0)
            sw_diag_add(w->diags, SW_D_SPICE_WRITE_NODE, node->span,
                        "the node \"%s\" is written %s, for a deck cannot spell it or has another "
                        "node of this name",
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
    w->parts[part].name = swi_spell_for_row(w, taken, before, p->ref);
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
    if (swi_by_position(w, part)) sw_buf_putc(&key, '=');
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
    bool positions = swi_by_position(w, part);
    if (strcmp(stub->name, p->device) != 0 || positions != swi_by_position(w, stub->part) ||
        (!positions && !same_pins(w, part, stub->part)))
        return nameless_stub(w, part);
    return stub->name;
}

static void name_parts(swi_writer *w) {
    swi_map *taken = swi_map_new(w->arena, true);
    w->failed = w->failed || taken == NULL;
    for (uint32_t i = 0; i < w->circuit->part_count && !w->failed; i++) {
        char letter = swi_letter_of(w, i);
        w->parts[i].letter = letter;
        name_part(w, taken, i, letter);
        if (letter == 'X') w->parts[i].stub = stub_of(w, i);
    }
    swi_map_free(taken);
}

/* Each part's pin that a stub calls otherwise. */
static void tell_port(swi_writer *w, const swi_stub *stub, uint32_t pin, const char *port) {
    for (uint32_t i = stub->part; i < w->circuit->part_count; i++) {
        const sw_part *p = &w->circuit->parts[i];
        if (w->parts[i].stub != stub->name) continue;
        const sw_pin *first = &w->circuit->pins[p->first_pin.i + pin];
        sw_diag_add(w->diags, SW_D_SPICE_WRITE_PIN, first->span,
                    "the pin %s.%s is written %s, for a deck cannot spell it or has another pin of "
                    "this name",
                    p->ref, first->number, port);
    }
}

static void write_stub(swi_writer *w, const swi_stub *stub) {
    const sw_part *p = &w->circuit->parts[stub->part];
    if (swi_by_position(w, stub->part)) return; /* so its pins are known without a stub */
    swi_map *taken = swi_map_new(w->arena, true);
    w->failed = w->failed || taken == NULL;
    swi_put_string(w, ".subckt");
    swi_put_string(w, stub->name);
    for (uint32_t i = 0; i < p->pin_count && !w->failed; i++) {
        const char *number = w->circuit->pins[p->first_pin.i + i].number;
        const char *port = swi_spell(w, taken, "", number);
        if (strcmp(port, number) != 0) tell_port(w, stub, i, port);
        swi_put_string(w, port);
    }
    swi_map_free(taken);
    swi_end_line(w);
    sw_buf_puts(w->out, ".ends\n");
}

/* ---- models, cards, rows ---- */

/* What cannot be spelled is told as lost (spice_keep.c) and left out. */
static void put_parameters(swi_writer *w, const sw_model *model) {
    sw_buf text = SW_BUF_INIT;
    sw_buf_puts(&text, swi_spells_word(model->type) ? model->type : SWI_PLACEHOLDER);
    if (swi_spells_text(model->text)) sw_buf_printf(&text, "(%s)", model->text);
    w->failed = w->failed || text.failed;
    swi_put_text(w, text.bytes != NULL ? text.bytes : "");
    swi_drop(w, &text);
}

/* What a model was called, and in which definition, where the deck cannot say it. */
static void put_model_row(swi_writer *w, const sw_model *model, const char *written) {
    bool renamed = strcmp(written, model->name) != 0;
    if (!renamed && model->path[0] == '\0') return;
    if (!swi_cell_keeps(model->name))
        sw_diag_add(w->diags, SW_D_SPICE_WRITE_MODEL, model->span,
                    "the model %s is written %s, for a deck cannot spell it", model->name, written);
    sw_buf_printf(w->out, "*@ %s", written);
    if (renamed) swi_put_cell(w, "model", model->name);
    if (model->path[0] != '\0') swi_put_cell(w, "scope", model->path);
    sw_buf_putc(w->out, '\n');
}

/* Those after the first of a name get the name of their subcircuit too. */
static void write_models(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    swi_map *taken = swi_map_new(w->arena, true);
    w->models = swi_arena_array(w->arena, c->model_count + 1u, sizeof *w->models);
    w->failed = w->failed || taken == NULL || w->models == NULL;
    for (uint32_t i = 0; i < c->model_count && !w->failed; i++) {
        const sw_model *model = &c->models[i];
        size_t length = strlen(model->name);
        bool again = swi_map_get(taken, model->name, length, SW_NONE) != SW_NONE;
        sw_buf name = SW_BUF_INIT;
        sw_buf_printf(&name, again && model->path[0] != '\0' ? "%s.%s" : "%s", model->name,
                      model->path);
        const char *text = name.bytes != NULL ? name.bytes : "";
        w->models[i] = swi_spell_for_row(w, taken, "", text);
        swi_drop(w, &name);
        swi_put_string(w, ".model");
        swi_put_string(w, w->models[i]);
        put_parameters(w, model);
        swi_end_line(w);
        put_model_row(w, model, w->models[i]);
    }
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
        if (!swi_keeps_card(&c->properties[i])) continue;
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
    if (!swi_keeps_row(w, row)) return;
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

/* What makes a node a rail is not in every deck: a name, a source, or a person's word. */
static void write_rail(swi_writer *w, uint32_t index) {
    const sw_node *node = &w->circuit->nodes[index];
    bool volts = node->volts < 0 || node->volts > 0;
    if ((node->rail == SW_RAIL_NONE && !volts) || !swi_row_can_name(w->nodes[index])) return;
    sw_buf_printf(w->out, "*@ %s", w->nodes[index]);
    if (node->rail != SW_RAIL_NONE) swi_put_cell(w, "rail", swi_rail_name(node->rail));
    if (volts) {
        sw_buf_puts(w->out, " volts=");
        swi_real_write(w->out, node->volts);
    }
    sw_buf_putc(w->out, '\n');
}

/* In the order in which the deck names the nodes, which reading it again gives them, too. */
static void write_rails(swi_writer *w) {
    const sw_circuit *c = w->circuit;
    bool *done = swi_arena_array(w->arena, c->node_count + 1u, sizeof *done);
    w->failed = w->failed || done == NULL;
    for (uint32_t i = 0; i < c->pin_count && !w->failed; i++) {
        uint32_t node = c->pins[i].node.i;
        if (!done[node]) write_rail(w, node);
        done[node] = true;
    }
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
    write_rails(w);
    sw_buf_puts(w->out, ".end\n");
    w->failed = !swi_tell_lost(w) || w->failed;
}

sw_status swi_spice_write(const sw_document *document, const sw_write_options *options,
                          sw_diags *diags, sw_buf *out) {
    (void)options;
    swi_writer w = {.circuit = document->circuit, .diags = diags, .out = out};
    w.arena = swi_arena_new();
    if (w.arena != NULL) w.stub_map = swi_map_new(w.arena, true);
    w.failed = w.stub_map == NULL;
    if (!w.failed) write_deck(&w);
    bool failed = w.failed || out->failed;
    swi_map_free(w.stub_map);
    free(w.stubs);
    swi_arena_free(w.arena);
    return failed ? swi_out_of_memory(diags) : SW_OK;
}
