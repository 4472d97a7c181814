/* Writing EDIF: one external library with a cell for each sort of part, one cell
 * that holds the circuit, and the design that names it. */
#include "formats/edif/edif.h"

#include "base/fault.h"
#include "base/num.h"
#include "circuit/circuit.h"
#include "circuit/losses.h"
#include "circuit/order.h"

#include <stdlib.h>
#include <string.h>

/* Parts of one device with the same pins are of one cell. */
typedef struct sort_of_part {
    const char *ident, *device;
    const char **ports;      /* identifiers, by canonical pin of the part */
    const sw_part *example;
} sort_of_part;

typedef struct writer {
    const sw_circuit *c;
    sw_diags *diags;
    sw_buf *out, scratch;
    swi_order order;
    swi_arena *arena;
    swi_edif reading;        /* how it would be read: without a user's map */
    sort_of_part *sorts;
    uint32_t sort_count;
    uint32_t *sort_of;       /* by part */
    uint32_t *rank;          /* by pin: its place among its part's, canonical */
    const char **instances;  /* by part: identifier */
    swi_losses losses;
    bool failed;
} writer;

/* ---- words ---- */

static void put(writer *w, const char *text) {
    sw_buf_puts(w->out, text);
}

static void put_string(writer *w, const char *text) {
    sw_buf_putc(w->out, '"');
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;
        if (c == '"' || c == '%' || c < ' ' || c >= 0x7F)
            sw_buf_printf(w->out, "%%%u%%", c);
        else
            sw_buf_putc(w->out, *text);
    }
    sw_buf_putc(w->out, '"');
}

/* A legal identifier like the text: a letter or &, then letters, digits and _. */
static void spell_ident(sw_buf *out, const char *text) {
    enum { LONGEST = 200 };
    out->length = 0;
    if (!swi_is_alpha(*text))
        sw_buf_putc(out, '&');
    for (size_t i = 0; text[i] && i < LONGEST; i++)
        sw_buf_putc(out, swi_is_alpha(text[i]) || swi_is_digit(text[i]) ? text[i] : '_');
    if (out->length == 1 && out->bytes[0] == '&')
        sw_buf_putc(out, '_');
}

/* An identifier that its scope does not have yet (without the &, without case). */
static const char *new_ident(writer *w, swi_map *scope, const char *text) {
    bool failed = false;
    uint32_t turn = (uint32_t)swi_map_count(scope);
    spell_ident(&w->scratch, text);
    size_t length = w->scratch.length;
    for (uint32_t copy = 2; !w->scratch.failed; copy = copy == 2 ? turn + 3 : copy + 1) {
        const char *ident = w->scratch.bytes;
        size_t mark = *ident == '&';
        if (swi_map_add(scope, ident + mark, w->scratch.length - mark, turn, &failed) == turn)
            break;
        w->scratch.length = length;
        sw_buf_printf(&w->scratch, "_%u", copy);
    }
    const char *kept = w->scratch.failed || failed
                           ? NULL
                           : swi_arena_text(w->arena, w->scratch.bytes, w->scratch.length);
    w->failed |= !kept;
    return kept ? kept : "";
}

/* The name as defined: the identifier alone where it says all. */
static void put_name(writer *w, const char *ident, const char *display) {
    if (strcmp(ident + (*ident == '&'), display) == 0) {
        put(w, ident);
        return;
    }
    sw_buf_printf(w->out, "(rename %s ", ident);
    put_string(w, display);
    put(w, ")");
}

static void put_property(writer *w, const char *key, const char *value) {
    put(w, " (property ");
    spell_ident(&w->scratch, key);
    w->failed |= w->scratch.failed;
    put_name(w, w->scratch.bytes ? w->scratch.bytes : "&_", key);
    put(w, " (string ");
    put_string(w, value);
    put(w, "))");
}

static void put_properties(writer *w, sw_owner owner, uint32_t index) {
    uint32_t count;
    const sw_property *const *list = swi_order_properties(&w->order, owner, index, &count);
    for (uint32_t i = 0; i < count; i++) {
        if (swi_edif_is_field(&w->reading, owner, list[i]->key))
            swi_lose_property(&w->losses, list[i]);
        else
            put_property(w, list[i]->key, list[i]->value);
    }
}

/* ---- cells ---- */

static const sw_pin *pin_at(const writer *w, const sw_part *part, uint32_t k, uint32_t *index) {
    uint32_t i = w->order.part_pins[part->first_pin.i + k].i;
    if (index)
        *index = i;
    return &w->c->pins[i];
}

/* What tells sorts of parts apart. */
static void spell_sort(writer *w, const sw_part *part) {
    w->scratch.length = 0;
    sw_buf_puts(&w->scratch, part->device);
    for (uint32_t k = 0; k < part->pin_count; k++) {
        const sw_pin *pin = pin_at(w, part, k, NULL);
        sw_buf_printf(&w->scratch, "\x1F%s\x1E%s\x1E%d", pin->number, pin->name, (int)pin->type);
    }
    w->failed |= w->scratch.failed;
}

static bool name_ports(writer *w, sort_of_part *sort) {
    const sw_part *part = sort->example;
    swi_map *scope = swi_map_new(w->arena, true);
    sort->ports = swi_arena_array(w->arena, part->pin_count, sizeof *sort->ports);
    bool done = scope && sort->ports;
    for (uint32_t k = 0; done && k < part->pin_count; k++) {
        const sw_pin *pin = pin_at(w, part, k, NULL);
        sort->ports[k] = new_ident(w, scope, *pin->name ? pin->name : pin->number);
    }
    if (scope)
        swi_map_free(scope);
    return done;
}

static bool find_sorts(writer *w) {
    swi_map *sorts = swi_map_new(w->arena, false), *idents = swi_map_new(w->arena, true);
    bool failed = !sorts || !idents;
    for (uint32_t i = 0; !failed && i < w->c->part_count; i++) {
        uint32_t index = w->order.parts[i].i;
        const sw_part *part = &w->c->parts[index];
        spell_sort(w, part);
        uint32_t sort = w->failed ? 0 : swi_map_add(sorts, w->scratch.bytes ? w->scratch.bytes : "",
                                                    w->scratch.length, w->sort_count, &failed);
        w->sort_of[index] = sort;
        if (failed || w->failed || sort != w->sort_count)
            continue;
        w->sorts[w->sort_count++] = (sort_of_part){.device = part->device, .example = part};
        w->sorts[sort].ident = new_ident(w, idents, *part->device ? part->device : "part");
        failed = !name_ports(w, &w->sorts[sort]);
    }
    if (sorts)
        swi_map_free(sorts);
    if (idents)
        swi_map_free(idents);
    return !failed && !w->failed;
}

static void put_port(writer *w, const sort_of_part *sort, uint32_t k) {
    static const char *const directions[] = {
        [SW_PIN_INPUT] = "INPUT", [SW_PIN_OUTPUT] = "OUTPUT", [SW_PIN_BIDIRECTIONAL] = "INOUT"};
    const sw_pin *pin = pin_at(w, sort->example, k, NULL);
    put(w, "\n          (port ");
    put_name(w, sort->ports[k], *pin->name ? pin->name : pin->number);
    if (*pin->name) {
        put(w, " (designator ");
        put_string(w, pin->number);
        put(w, ")");
    }
    if (pin->type <= SW_PIN_BIDIRECTIONAL && directions[pin->type])
        sw_buf_printf(w->out, " (direction %s)", directions[pin->type]);
    else if (pin->type != SW_PIN_UNKNOWN)
        put_property(w, "PINTYPE", sw_pin_type_name(pin->type));
    put(w, ")");
}

static void put_external(writer *w) {
    put(w, "  (external parts\n    (edifLevel 0)\n    (technology (numberDefinition))");
    for (uint32_t i = 0; i < w->sort_count; i++) {
        const sort_of_part *sort = &w->sorts[i];
        put(w, "\n    (cell ");
        put_name(w, sort->ident, *sort->device ? sort->device : "part");
        put(w, "\n      (cellType GENERIC)\n      (view netlist\n        (viewType NETLIST)"
               "\n        (interface");
        for (uint32_t k = 0; k < sort->example->pin_count; k++)
            put_port(w, sort, k);
        put(w, ")))");
    }
    put(w, ")\n");
}

/* ---- instances ---- */

static void put_property_if(writer *w, const char *key, const char *value) {
    if (*value)
        put_property(w, key, value);
}

static void put_flags(writer *w, const sw_part *part) {
    char flags[SWI_FLAGS_LENGTH];
    swi_part_flags(part, flags);
    put_property_if(w, "FLAGS", *flags ? flags + 1 : "");
}

static void put_pin_properties(writer *w, const sort_of_part *sort, const sw_part *part) {
    for (uint32_t k = 0; k < part->pin_count; k++) {
        uint32_t index, count;
        pin_at(w, part, k, &index);
        swi_order_properties(&w->order, SW_OWNER_PIN, index, &count);
        if (count == 0)
            continue;
        sw_buf_printf(w->out, "\n            (portInstance %s", sort->ports[k]);
        put_properties(w, SW_OWNER_PIN, index);
        put(w, ")");
    }
}

static void put_instance(writer *w, uint32_t index) {
    const sw_part *part = &w->c->parts[index];
    const sort_of_part *sort = &w->sorts[w->sort_of[index]];
    put(w, "\n          (instance ");
    put_name(w, w->instances[index], part->ref);
    sw_buf_printf(w->out, " (viewRef netlist (cellRef %s (libraryRef parts)))", sort->ident);
    put_property_if(w, "VALUE", part->value);
    if (!*part->device)
        put_property(w, "DEVICE", "");
    put_property_if(w, "PACKAGE", part->package);
    if (part->kind != sw_ref_kind(part->ref))
        put_property(w, "KIND", (const char[2]){part->kind, '\0'});
    put_property_if(w, "PATH", part->path);
    put_flags(w, part);
    put_properties(w, SW_OWNER_PART, index);
    put_pin_properties(w, sort, part);
    put(w, ")");
}

/* ---- nets ---- */

static bool says_more(const writer *w, const sw_node *node, uint32_t index) {
    uint32_t count;
    swi_order_properties(&w->order, SW_OWNER_NODE, index, &count);
    return count || node->rail != SW_RAIL_NONE || node->global || node->pin_count > 1;
}

static void put_net(writer *w, swi_map *scope, uint32_t index) {
    const sw_node *node = &w->c->nodes[index];
    if (!node->named && !says_more(w, node, index))
        return; /* a pin that connects to nothing needs no net */
    put(w, "\n          (net ");
    put_name(w, new_ident(w, scope, node->name), node->name);
    put(w, " (joined");
    for (uint32_t i = 0; i < node->pin_count; i++) {
        uint32_t pin = w->order.node_pins[node->first_pin + i].i;
        uint32_t part = w->c->pins[pin].part.i;
        sw_buf_printf(w->out, "\n            (portRef %s (instanceRef %s))",
                      w->sorts[w->sort_of[part]].ports[w->rank[pin]], w->instances[part]);
    }
    put(w, ")");
    if (node->rail != SW_RAIL_NONE)
        put_property(w, "RAIL", swi_rail_name(node->rail));
    if (node->volts < 0 || node->volts > 0) {
        w->scratch.length = 0;
        swi_real_write(&w->scratch, node->volts);
        const char *volts = w->scratch.failed
                                ? NULL
                                : swi_arena_text(w->arena, w->scratch.bytes, w->scratch.length);
        w->failed |= !volts;
        put_property(w, "VOLTS", volts ? volts : "");
    }
    if (node->global != (strcmp(node->name, "0") == 0))
        put_property(w, "GLOBAL", node->global ? "true" : "false");
    put_properties(w, SW_OWNER_NODE, index);
    put(w, ")");
}

static bool put_nets(writer *w) {
    swi_map *scope = swi_map_new(w->arena, true);
    for (uint32_t i = 0; scope && i < w->c->node_count; i++)
        put_net(w, scope, w->order.nodes[i].i);
    if (!scope)
        return false;
    swi_map_free(scope);
    return true;
}

static bool put_circuit(writer *w) {
    put(w, "(edif circuit\n  (edifVersion 2 0 0)\n  (edifLevel 0)\n"
           "  (keywordMap (keywordLevel 0))\n");
    put_external(w);
    put(w, "  (library circuits\n    (edifLevel 0)\n    (technology (numberDefinition))\n"
           "    (cell circuit\n      (cellType GENERIC)\n      (view netlist\n"
           "        (viewType NETLIST)\n        (interface)\n        (contents");
    for (uint32_t i = 0; i < w->c->part_count; i++)
        put_instance(w, w->order.parts[i].i);
    if (!put_nets(w))
        return false;
    put(w, "))))\n  (design circuit (cellRef circuit (libraryRef circuits))");
    put_property(w, "TITLE", w->c->title);
    put_properties(w, SW_OWNER_CIRCUIT, 0);
    put(w, "))\n");
    return true;
}

/* ---- the whole ---- */

static bool prepare(writer *w) {
    const sw_circuit *c = w->c;
    w->arena = swi_arena_new();
    if (!w->arena || !swi_order_work_out(&w->order, c))
        return false;
    w->sorts = swi_arena_array(w->arena, c->part_count, sizeof *w->sorts);
    w->sort_of = swi_arena_array(w->arena, c->part_count, sizeof *w->sort_of);
    w->rank = swi_arena_array(w->arena, c->pin_count, sizeof *w->rank);
    w->instances = swi_arena_array(w->arena, c->part_count, sizeof *w->instances);
    swi_map *scope = swi_map_new(w->arena, true);
    if (!w->sorts || !w->sort_of || !w->rank || !w->instances || !scope) {
        if (scope)
            swi_map_free(scope);
        return false;
    }
    for (uint32_t i = 0; i < c->part_count; i++) {
        const sw_part *part = &c->parts[w->order.parts[i].i];
        w->instances[w->order.parts[i].i] = new_ident(w, scope, part->ref);
        for (uint32_t k = 0; k < part->pin_count; k++)
            w->rank[w->order.part_pins[part->first_pin.i + k].i] = k;
    }
    swi_map_free(scope);
    return find_sorts(w);
}

static bool tell_losses(writer *w) {
    swi_lose_models(&w->losses);
    swi_lose_rows(&w->losses);
    bool whole = swi_lose_numbers(&w->losses);
    swi_lose_rail_reasons(&w->losses, false);
    return swi_losses_tell(&w->losses, w->diags, SW_D_EDIF_LEFT_OUT) && whole;
}

sw_status swi_edif_write(const sw_document *document, const sw_write_options *options,
                         sw_diags *diags, sw_buf *out) {
    static const sw_read_options usual;
    (void)options;
    writer w = {.c = document->circuit, .diags = diags, .out = out, .scratch = SW_BUF_INIT,
                .reading = {.options = &usual},
                .losses = {.circuit = document->circuit, .format = "EDIF"}};
    bool done = prepare(&w) && put_circuit(&w) && !w.failed;
    done = tell_losses(&w) && done;
    swi_order_free(&w.order);
    swi_arena_free(w.arena);
    sw_buf_free(&w.scratch);
    return done ? SW_OK : swi_out_of_memory(diags);
}
