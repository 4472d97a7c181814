/* formats/spice/spice_flat.c: subcircuits taken apart, instance by instance. */
#include "spice.h"

#include <stdlib.h>
#include <string.h>

#include "circuit/circuit.h"

/* The name under its instance's path: "X1.R3". */
const char *swi_full_name(swi_deck *deck, const swi_scope *scope, swi_slice name) {
    deck->name.length = 0;
    if (scope->path_length > 0) {
        sw_buf_put(&deck->name, scope->path, scope->path_length);
        sw_buf_putc(&deck->name, '.');
    }
    swi_put_utf8(&deck->name, name.text, name.length);
    if (deck->name.failed) {
        swi_deck_out_of_memory(deck);
        return "";
    }
    return deck->name.bytes != NULL ? deck->name.bytes : "";
}

/* The same without a copy where the name stands in the text as it is. */
static swi_slice full_slice(swi_deck *deck, const swi_scope *scope, swi_slice name) {
    if (scope->path_length == 0 && deck->line.plain) return name;
    name.text = swi_full_name(deck, scope, name);
    name.length = (uint32_t)deck->name.length;
    return name;
}

/* Later simulators take `gnd` for node 0 as well; 00 is another node. */
bool swi_is_ground(swi_slice name) {
    return (name.length == 1 && name.text[0] == '0') ||
           (name.length == 3 && swi_equal_fold_n(name.text, 3, "gnd"));
}

/* A node that is the same on every level. */
static sw_node_id global_node(swi_deck *deck, swi_slice name, sw_span span) {
    sw_node_id node = swi_builder_node(deck->builder, name.text, name.length, true, span);
    if (node.i != SW_NONE) sw_builder_node_at(deck->builder, node)->global = true;
    return node;
}

/* Of `.global` cards, and, as digital models have it, all that begin with $G_. */
static bool is_global(const swi_deck *deck, swi_slice name) {
    return swi_spice_get(deck->globals, name.text, name.length) != SW_NONE ||
           (name.length > 3 && swi_equal_fold_n(name.text, 3, "$G_"));
}

static sw_node_id node_named(swi_deck *deck, swi_scope *scope, swi_slice name, sw_span span) {
    uint32_t port = swi_spice_get(scope->def->port_map, name.text, name.length);
    if (port != SW_NONE && scope->ports != NULL) return scope->ports[port];
    if (swi_is_ground(name)) {
        if (!deck->grounded)
            deck->ground = global_node(deck, (swi_slice){.text = "0", .length = 1}, span);
        deck->grounded = true;
        return deck->ground;
    }
    if (is_global(deck, name)) {
        swi_scope top = {.path_length = 0};
        return global_node(deck, full_slice(deck, &top, name), span);
    }
    swi_slice full = full_slice(deck, scope, name);
    return swi_builder_node(deck->builder, full.text, full.length, true, span);
}

sw_node_id swi_scope_node(swi_deck *deck, swi_scope *scope, size_t token) {
    swi_slice name = swi_token_slice(&deck->line, token);
    return node_named(deck, scope, name, swi_slice_span(name));
}

/* Of a port that an X line leaves out. */
static sw_node_id usual_node(swi_deck *deck, swi_scope *scope, const char *name, sw_span span) {
    return node_named(deck, scope, (swi_slice){.text = name, .length = (uint32_t)strlen(name)}, span);
}

/* The name that swi_scope_node's node has, without making a node. */
const char *swi_scope_node_name(swi_deck *deck, swi_scope *scope, swi_slice name) {
    static const swi_scope top = {.path_length = 0};
    uint32_t port = swi_spice_get(scope->def->port_map, name.text, name.length);
    if (port != SW_NONE && scope->ports != NULL && scope->ports[port].i != SW_NONE)
        return sw_builder_node_at(deck->builder, scope->ports[port])->name;
    if (swi_is_ground(name)) return "0";
    return swi_full_name(deck, is_global(deck, name) ? &top : scope, name);
}

bool swi_deck_may_go_on(swi_deck *deck, sw_span span) {
    uint64_t most = (deck->elements_read + 1) * deck->limits->expansion;
    if (deck->failed || deck->stopped) return false;
    if (++deck->work <= most) return true;
    sw_diag_add(deck->diags, SW_D_LIMIT_EXPANSION, span,
                "the subcircuits give more than %u parts for each line of the deck",
                deck->limits->expansion);
    deck->stopped = true;
    return false;
}

void swi_element_end(swi_deck *deck, swi_scope *scope, sw_part_id id) {
    if (deck->renames != NULL)
        swi_rename_take(deck, id, swi_full_name(deck, scope, swi_token_slice(&deck->line, 0)));
}

sw_part_id swi_element_part(swi_deck *deck, swi_scope *scope, char kind) {
    swi_slice name = swi_token_slice(&deck->line, 0);
    sw_span span = swi_slice_span(name);
    if (!swi_deck_may_go_on(deck, span)) return (sw_part_id){SW_NONE};
    swi_slice full = full_slice(deck, scope, name);
    sw_part_id part;
    if (deck->renames != NULL)
        part = sw_builder_part(deck->builder, swi_renamed(deck, swi_full_name(deck, scope, name)),
                               kind, span);
    else
        part = swi_builder_part(deck->builder, full.text, full.length, kind, span);
    if (part.i != SW_NONE) sw_builder_part_at(deck->builder, part)->path = scope->path;
    return part;
}

/* ---- X lines ---- */

/* Where the subcircuit's name stands: the last word before the parameters. */
static size_t subcircuit_at(const swi_line *line) {
    size_t at = 0;
    for (size_t i = 1; i < line->count; i++) {
        if (line->tokens[i].key || swi_token_is(line, i, "params:")) break;
        if (line->tokens[i].kind == SWI_WORD) at = i;
    }
    return at;
}

/* A lone `/` may part the nodes from the subcircuit's name. */
static size_t node_count(const swi_line *line, size_t name_at) {
    size_t n = name_at - 1;
    return n > 0 && swi_token_is(line, n, "/") ? n - 1 : n;
}

static bool is_stub(const swi_def *def) {
    for (size_t i = 0; i < def->card_count; i++)
        if (def->cards[i].kind == SWI_CARD_ELEMENT) return false;
    return true;
}

static bool stays_whole(swi_deck *deck, const swi_scope *scope, const swi_def *def,
                        const char *subcircuit) {
    const sw_read_options *options = deck->options;
    if (def == NULL || is_stub(def)) return true;
    if (options->is_device != NULL && options->is_device(options->device_user, subcircuit))
        return true;
    swi_slice name = swi_token_slice(&deck->line, 0);
    const char *local = swi_deck_text(deck, name.text, name.length);
    return swi_row_names(deck, scope, swi_full_name(deck, scope, name), local, subcircuit);
}

/* Ports that are numbers only name the model's own nodes: an op-amp's `1 2 3 4 5` are
 * no package pins, whatever the package calls 1 to 5.  A stub has no nodes of its own:
 * what it names are pins. */
static bool only_positions(const swi_def *def) {
    if (def == NULL) return true;
    if (is_stub(def)) return false;
    for (uint32_t i = 0; i < def->port_count; i++)
        for (const char *c = def->ports[i]; *c != '\0'; c++)
            if (!swi_is_digit(*c)) return false;
    return true;
}

static void keep_whole(swi_deck *deck, swi_scope *scope, const swi_def *def, size_t name_at) {
    swi_line *line = &deck->line;
    size_t nodes = node_count(line, name_at);
    swi_slice name = swi_token_slice(line, name_at);
    sw_part_id id = swi_element_part(deck, scope, 'X');
    if (id.i == SW_NONE) return;
    sw_part *part = sw_builder_part_at(deck->builder, id);
    if (!swi_is_placeholder(name))
        part->device = swi_deck_builder_text(deck, name.text, name.length);
    bool flat = part->flat = only_positions(def);
    for (size_t i = 0; i < nodes; i++) {
        char number[16];
        const char *pin = flat ? swi_decimal(number, i + 1) : def->ports[i];
        sw_node_id node = swi_scope_node(deck, scope, i + 1);
        sw_builder_pin(deck->builder, id, pin, "", node, swi_token_span(line, i + 1));
    }
    swi_element_options(deck, scope, id, name_at + 1);
    swi_element_end(deck, scope, id);
    if (def == NULL && swi_is_placeholder(name)) return; /* so we write it */
    if (def == NULL && deck->options->is_device != NULL &&
        deck->options->is_device(deck->options->device_user, part->device))
        return;
    if (def == NULL)
        sw_diag_add(deck->diags, SW_D_SPICE_SUBCKT_MISSING, swi_slice_span(name),
                    "there is no .subckt of this name: its %zu nodes are taken as one part's pins "
                    "1 to %zu",
                    nodes, nodes);
}

typedef struct setting_context {
    swi_scope *outside, *inside;
} setting_context;

static void set_parameter(swi_deck *deck, void *user, swi_slice name, swi_slice value) {
    setting_context *context = user;
    double number = 0;
    if (swi_evaluate(deck, context->outside, value, &number) == SWI_VALUE)
        swi_scope_set(deck, context->inside, name.text, name.length, number);
}

/* Fills in the inside's path, ports and parameters from the X line. */
static bool enter_instance(swi_deck *deck, swi_scope *outside, swi_scope *inside, sw_node_id *ports,
                           size_t name_at) {
    const swi_line *line = &deck->line;
    const swi_def *def = inside->def;
    for (uint32_t i = 0; i < def->port_count; i++)
        ports[i] = i + 1 < name_at ? swi_scope_node(deck, outside, i + 1)
                                   : usual_node(deck, outside, def->usual[i - def->port_needed],
                                                swi_token_span(line, name_at));
    inside->ports = ports;
    const char *path = swi_full_name(deck, outside, swi_token_slice(line, 0));
    inside->path = sw_builder_text(deck->builder, path, strlen(path));
    inside->path_length = strlen(inside->path);
    size_t first = name_at + 1;
    while (first < line->count && !line->tokens[first].key)
        first++;
    setting_context context = {outside, inside};
    if (first < line->count)
        swi_params_each(deck, swi_line_rest(line, first), set_parameter, &context);
    return !deck->failed;
}

static void take_apart(swi_deck *deck, swi_scope *scope, swi_def *def, swi_scope *holder,
                       size_t name_at) {
    sw_span span = swi_token_span(&deck->line, name_at);
    if (def->active || deck->depth >= deck->limits->nesting) {
        if (def->active)
            sw_diag_add(deck->diags, SW_D_SPICE_SUBCKT_RECURSIVE, span,
                        "%s holds itself by way of this line", def->name);
        else
            sw_diag_add(deck->diags, SW_D_LIMIT_NESTING, span,
                        "subcircuits hold one another more than %u deep", deck->limits->nesting);
        deck->stopped = true;
        return;
    }
    if (!swi_deck_may_go_on(deck, span)) return;
    swi_scope *inside = swi_scope_new(deck, def, holder);
    sw_node_id *ports = calloc(def->port_count + 1u, sizeof *ports);
    if (ports == NULL) swi_deck_out_of_memory(deck);
    if (inside != NULL && ports != NULL && enter_instance(deck, scope, inside, ports, name_at)) {
        def->active = true;
        deck->depth++;
        swi_deck_expand(deck, inside);
        deck->depth--;
        def->active = false;
    }
    swi_scope_free(inside);
    free(ports);
}

void swi_instance_take(swi_deck *deck, swi_scope *scope) {
    swi_line *line = &deck->line;
    size_t name_at = subcircuit_at(line);
    if (name_at == 0) {
        sw_diag_add(deck->diags, SW_D_SPICE_SUBCKT, swi_token_span(line, 0),
                    "write nodes and the name of a subcircuit after this");
        return;
    }
    swi_slice name = swi_token_slice(line, name_at);
    swi_scope *holder = NULL;
    swi_def *def = swi_scope_def(deck, scope, name.text, name.length, &holder);
    size_t nodes = node_count(line, name_at);
    if (def != NULL && (nodes < def->port_needed || nodes > def->port_count)) {
        sw_diag_add(deck->diags, SW_D_SPICE_PORT_COUNT, swi_slice_span(name),
                    "%s has %u ports, this line gives it %zu nodes", def->name,
                    nodes > def->port_count ? def->port_count : def->port_needed, nodes);
        return;
    }
    const char *text = swi_deck_text(deck, name.text, name.length);
    if (stays_whole(deck, scope, def, text))
        keep_whole(deck, scope, def, name_at);
    else
        take_apart(deck, scope, def, holder, name_at);
}

/* ---- the cards of a definition ---- */

static void set_in_branch(swi_deck *deck, void *user, swi_slice name, swi_slice value) {
    swi_scope *scope = user;
    double number = 0;
    if (swi_evaluate(deck, scope, value, &number) == SWI_VALUE)
        swi_scope_set(deck, scope, name.text, name.length, number);
}

static void take_card(swi_deck *deck, swi_scope *scope, swi_branches *branches, swi_card card) {
    const sw_input *file = &deck->files[card.input].input;
    swi_slice text = {file->bytes + card.offset, card.length, file->source, card.offset};
    swi_line *line = &deck->line;
    bool many = card.many;
    bool on = swi_branches_on(branches);
    if (card.kind != SWI_CARD_ELEMENT && card.kind != SWI_CARD_PARAM) {
        swi_spice_join(line, text, many);
        swi_branches_card(deck, branches, (swi_card_kind)card.kind, scope);
        return;
    }
    if (!on) return;
    if (many || !swi_spice_split_plain(line, text)) {
        swi_spice_join(line, text, many);
        if (!swi_spice_split(line, deck->diags)) return;
    }
    if (line->count == 0) return;
    if (card.kind == SWI_CARD_PARAM)
        swi_params_each(deck, swi_line_rest(line, 1), set_in_branch, scope);
    else if (swi_lower(line->slice.text[0]) == 'x')
        swi_instance_take(deck, scope);
    else
        swi_element_take(deck, scope);
}

void swi_deck_expand(swi_deck *deck, swi_scope *scope) {
    swi_branches branches = {.depth = 0};
    for (size_t i = 0; i < scope->def->card_count && !deck->failed && !deck->stopped; i++)
        take_card(deck, scope, &branches, scope->def->cards[i]);
    swi_rows_emit(deck, scope); /* after the parts, whose references they may change */
}
