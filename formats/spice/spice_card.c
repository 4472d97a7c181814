/* formats/spice/spice_card.c: cards that begin with a dot. */
#include "spice.h"

#include <string.h>

static void keep_card(swi_deck *deck) {
    if (deck->open != deck->root) return;
    deck->text.length = 0;
    swi_spice_squeeze(&deck->text, deck->line.slice);
    if (!deck->text.failed)
        sw_builder_property(deck->builder, SW_OWNER_CIRCUIT, 0, "spice.card", deck->text.bytes,
                            swi_token_span(&deck->line, 0));
}

/* ---- .model ---- */

/* The parameters as written: blanks made one, a pair of outer parentheses off. */
static const char *model_text(swi_deck *deck, size_t first) {
    sw_buf *out = &deck->text;
    const swi_line *line = &deck->line;
    size_t at = line->tokens[first - 1].at + line->tokens[first - 1].length;
    out->length = 0;
    swi_spice_squeeze(out, swi_slice_from(line->slice, at, line->slice.length - at));
    if (out->failed) {
        swi_deck_out_of_memory(deck);
        return "";
    }
    const char *text = out->bytes != NULL ? out->bytes : "";
    size_t start = 0, end = out->length;
    if (end > 0 && text[0] == '(') {
        const char *close = strrchr(text, ')');
        start = 1;
        end = close != NULL && close[1] == '\0' ? end - 1 : end;
    }
    while (start < end && text[start] == ' ')
        start++;
    while (end > start && text[end - 1] == ' ')
        end--;
    return swi_deck_text(deck, text + start, end - start);
}

static void take_model(swi_deck *deck, swi_card card) {
    const swi_line *line = &deck->line;
    if (line->count < 3) {
        sw_diag_add(deck->diags, SW_D_SPICE_MODEL, swi_token_span(line, line->count - 1),
                    "a model needs a name and a type after .model");
        return;
    }
    size_t type_at = swi_token_is(line, 2, "ako:") && line->count > 4 ? 4 : 2;
    swi_slice name = swi_token_slice(line, 1), type = swi_token_slice(line, type_at);
    swi_deck_model model = {.name = swi_deck_text(deck, name.text, name.length),
                            .type = swi_deck_text(deck, type.text, type.length),
                            .text = model_text(deck, type_at + 1),
                            .def = deck->open,
                            .path = deck->open->path,
                            .span = swi_slice_span(name),
                            .included = card.input != 0};
    uint32_t next = (uint32_t)deck->model_count;
    uint32_t i = swi_spice_put(deck, &deck->open->models, name.text, name.length, next);
    if (deck->failed) return;
    if (i != next) {
        if (strcmp(deck->models[i].text, model.text) != 0 && deck->open->conditions == 0)
            sw_diag_add(deck->diags, SW_D_SPICE_MODEL_DOUBLED, model.span,
                        "there is a model %s here already, with other parameters: the first one "
                        "holds",
                        model.name);
        return;
    }
    if (!SWI_GROW(deck->models, deck->model_capacity, next + 1)) {
        swi_deck_out_of_memory(deck);
        return;
    }
    deck->models[deck->model_count++] = model;
    swi_model_note_clash(deck, next);
}

/* ---- .param, .func ---- */

static void take_param(swi_deck *deck, void *def, swi_slice name, swi_slice value) {
    if (memchr(name.text, '(', name.length) != NULL)
        swi_def_function(deck, def, name, value);
    else
        swi_def_param(deck, def, name.text, name.length, value);
}

static size_t argument_names(swi_deck *deck, swi_slice list, const char *names[16]) {
    size_t n = 0, at = 0;
    while (at < list.length && n < 16) {
        while (at < list.length && (list.text[at] == ',' || swi_is_space(list.text[at])))
            at++;
        size_t start = at;
        while (at < list.length && list.text[at] != ',' && !swi_is_space(list.text[at]))
            at++;
        if (at > start) names[n++] = swi_deck_text(deck, list.text + start, at - start);
    }
    return n;
}

void swi_def_function(swi_deck *deck, swi_def *def, swi_slice head, swi_slice body) {
    const char *open = memchr(head.text, '(', head.length);
    const char *close = memchr(head.text, ')', head.length);
    if (open == NULL || close == NULL || close < open || body.length == 0) {
        sw_diag_add(deck->diags, SW_D_SPICE_PARAM, swi_slice_span(head),
                    "write a function as .func name(a,b) {expression}");
        return;
    }
    const char *names[16];
    size_t at = (size_t)(open - head.text), length = at;
    while (length > 0 && swi_is_space(head.text[length - 1]))
        length--;
    size_t n =
        argument_names(deck, swi_slice_from(head, at + 1, (size_t)(close - open) - 1), names);
    uint32_t next = (uint32_t)def->function_count;
    uint32_t i = swi_spice_put(deck, &def->function_map, head.text, length, next);
    const char **kept = swi_arena_array(deck->arena, n + 1, sizeof *kept);
    if (kept == NULL || (i == next && !SWI_GROW(def->functions, def->function_capacity, next + 1)))
        swi_deck_out_of_memory(deck);
    if (deck->failed) return;
    memcpy(kept, names, n * sizeof *kept);
    def->functions[i] = (swi_function){swi_deck_text(deck, head.text, length), kept, (uint32_t)n,
                                       swi_deck_keep(deck, body)};
    def->function_count += i == next ? 1 : 0;
}

static void take_function(swi_deck *deck) {
    swi_slice rest = swi_line_rest(&deck->line, 1);
    const char *close = memchr(rest.text, ')', rest.length);
    size_t head = close != NULL ? (size_t)(close - rest.text) + 1 : rest.length;
    size_t at = head, end = rest.length;
    while (at < end && (swi_is_space(rest.text[at]) || rest.text[at] == '='))
        at++;
    while (end > at && swi_is_space(rest.text[end - 1]))
        end--;
    if (end - at >= 2 && rest.text[at] == '\'' && rest.text[end - 1] == '\'') at++, end--;
    swi_def_function(deck, deck->open, swi_slice_from(rest, 0, head),
                     swi_slice_from(rest, at, end - at));
}

/* A stepped parameter is built with its first value. */
static void take_step(swi_deck *deck) {
    const swi_line *line = &deck->line;
    for (size_t i = 1; i + 2 < line->count; i++) {
        if (!swi_token_is(line, i, "param")) continue;
        swi_slice name = swi_token_slice(line, i + 1);
        size_t first = swi_token_is(line, i + 2, "list") && i + 3 < line->count ? i + 3 : i + 2;
        if (swi_spice_get(deck->open->param_map, name.text, name.length) == SW_NONE)
            swi_def_param(deck, deck->open, name.text, name.length, swi_token_slice(line, first));
        return;
    }
}

/* ---- .subckt, .ends ---- */

static bool ends_section(const swi_line *line, size_t i) {
    return swi_token_is(line, i, "params:") || swi_token_is(line, i, "params") ||
           swi_token_is(line, i, "optional:") || swi_token_is(line, i, "text:");
}

static void add_port(swi_deck *deck, swi_def *def, size_t token) {
    swi_slice port = swi_token_slice(&deck->line, token);
    uint32_t i = def->port_count++;
    def->ports[i] = swi_deck_text(deck, port.text, port.length);
    if (swi_spice_put(deck, &def->port_map, port.text, port.length, i) != i)
        sw_diag_add(deck->diags, SW_D_SPICE_PORT_DOUBLED, swi_slice_span(port),
                    "%s has a port %s already: give each port a name of its own", def->name,
                    def->ports[i]);
}

/* `optional: DPWR=$G_DPWR …`: ports that a line may leave out, with the nodes that they are on then.
 * The token behind them. */
static size_t take_usual_ports(swi_deck *deck, swi_def *def, size_t i) {
    const swi_line *line = &deck->line;
    for (; i + 1 < line->count && line->tokens[i].key && !ends_section(line, i + 1); i += 2) {
        swi_slice node = swi_token_slice(line, i + 1);
        def->usual[def->port_count - def->port_needed] = swi_deck_text(deck, node.text, node.length);
        add_port(deck, def, i);
    }
    return i;
}

static void take_ports(swi_deck *deck, swi_def *def) {
    const swi_line *line = &deck->line;
    size_t last = 2;
    def->ports = swi_arena_array(deck->arena, line->count, sizeof *def->ports);
    def->usual = swi_arena_array(deck->arena, line->count, sizeof *def->usual);
    if (def->ports == NULL || def->usual == NULL) {
        swi_deck_out_of_memory(deck);
        return;
    }
    for (; last < line->count && !line->tokens[last].key && !ends_section(line, last); last++)
        add_port(deck, def, last);
    def->port_needed = def->port_count;
    if (last < line->count && swi_token_is(line, last, "optional:"))
        last = take_usual_ports(deck, def, last + 1);
    while (last < line->count && !line->tokens[last].key)
        last++;
    if (last < line->count) swi_params_each(deck, swi_line_rest(line, last), take_param, def);
}

static void take_subckt(swi_deck *deck) {
    const swi_line *line = &deck->line;
    unsigned depth = 0;
    for (const swi_def *def = deck->open; def != NULL; def = def->outer)
        depth++;
    sw_span span = swi_token_span(line, line->count > 1 ? 1 : 0);
    if (depth > deck->limits->nesting) {
        sw_diag_add(deck->diags, SW_D_LIMIT_NESTING, span,
                    "subcircuits are defined more than %u deep inside one another",
                    deck->limits->nesting);
        deck->stopped = true;
        return;
    }
    const char *name = "";
    if (line->count < 2) {
        sw_diag_add(deck->diags, SW_D_SPICE_SUBCKT, span, "the subcircuit's name is missing");
    } else {
        swi_slice text = swi_token_slice(line, 1);
        name = swi_deck_text(deck, text.text, text.length);
        uint32_t next = (uint32_t)deck->def_count;
        if (swi_spice_put(deck, &deck->open->names, text.text, text.length, next) != next)
            sw_diag_add(deck->diags, SW_D_SPICE_SUBCKT_DOUBLED, span,
                        "there is a subcircuit %s here already: the first one holds", name);
    }
    swi_def *def = swi_def_new(deck, name, deck->open, span);
    if (def == NULL) return;
    deck->open = def;
    if (line->count >= 2) take_ports(deck, def);
}

static void close_definition(swi_deck *deck) {
    if (deck->open->conditions > 0)
        sw_diag_add(deck->diags, SW_D_SPICE_IF, deck->open->span,
                    "an .if in the subcircuit %s is not closed: add an .endif", deck->open->name);
    deck->open = deck->open->outer;
}

/* A bare .ends ends the innermost definition, or all of them in a file that has
 * fewer .ends than .subckt (Berkeley SPICE3 manual 2.4). */
static void take_ends(swi_deck *deck, swi_card card) {
    const swi_line *line = &deck->line;
    swi_def *to = deck->open;
    if (deck->open == deck->root) {
        sw_diag_add(deck->diags, SW_D_SPICE_ENDS, swi_token_span(line, 0),
                    "there is no .subckt before this that it could end");
        return;
    }
    if (line->count > 1) {
        swi_slice name = swi_token_slice(line, 1);
        while (to != deck->root && !swi_equal_fold_n(name.text, name.length, to->name))
            to = to->outer;
        if (to == deck->root) {
            sw_diag_add(deck->diags, SW_D_SPICE_ENDS_NAME, swi_token_span(line, 1),
                        "no subcircuit of this name is open: taken as the end of %s",
                        deck->open->name);
            to = deck->open;
        }
    } else if (to->outer != deck->root && swi_deck_file(deck, card.input)->short_of_ends) {
        while (to->outer != deck->root)
            to = to->outer;
    }
    to = to->outer;
    while (deck->open != to)
        close_definition(deck);
}

/* ---- the rest ---- */

static void take_globals(swi_deck *deck) {
    for (size_t i = 1; i < deck->line.count; i++) {
        swi_slice name = swi_token_slice(&deck->line, i);
        swi_spice_put(deck, &deck->globals, name.text, name.length, (uint32_t)i);
    }
}

static void take_title(swi_deck *deck) {
    deck->text.length = 0;
    swi_spice_squeeze(&deck->text, swi_line_rest(&deck->line, 1));
    if (!deck->text.failed && deck->text.length > 0)
        sw_builder_title(deck->builder, deck->text.bytes);
}

static bool is_one_of(const swi_line *line, const char *a, const char *b, const char *c) {
    return swi_token_is(line, 0, a) || swi_token_is(line, 0, b) || swi_token_is(line, 0, c);
}

static bool is_param(const swi_line *line) {
    return is_one_of(line, ".param", ".params", ".param");
}

static bool is_function(const swi_line *line) {
    return is_one_of(line, ".func", ".function", ".func");
}

void swi_card_parameters(swi_deck *deck) {
    if (is_param(&deck->line))
        swi_params_each(deck, swi_line_rest(&deck->line, 1), take_param, deck->open);
    else if (is_function(&deck->line))
        take_function(deck);
    else if (swi_token_is(&deck->line, 0, ".step"))
        take_step(deck);
}

/* The deck's own were taken in ahead, once it had an `.if`.  Included ones are kept, too:
 * models and cards of the deck may name them. */
static swi_after take_parameters(swi_deck *deck) {
    bool in_deck = deck->open == deck->root;
    if (!in_deck && is_param(&deck->line) && deck->open->conditions > 0) return SWI_STORE;
    if (!in_deck || !deck->looked_ahead || swi_branches_any(deck->branches))
        swi_card_parameters(deck);
    keep_card(deck);
    return SWI_GO_ON;
}

/* Analyses, output, options and what else says nothing about the circuit. */
static bool is_quiet(const swi_line *line) {
    static const char *const words[] = {
        ".ac",      ".backanno", ".csparam", ".dc",       ".disto", ".endl",   ".endc",    ".enddata",
        ".ferret",  ".four",     ".fourier", ".graph",    ".hb",   ".ic",      ".loadbias",
        ".machine", ".mc",       ".meas",    ".measure",  ".net",  ".nodeset", ".noise",
        ".op",      ".opt",      ".option",  ".options",  ".plot", ".print",   ".probe",
        ".pss",     ".pz",       ".save",    ".savebias", ".sens", ".sp",      ".st",
        ".stim",    ".stop",     ".temp",    ".text",     ".tf",   ".tran",    ".version",
        ".watch",   ".wave",     ".wcase",   ".width",    ".xcom"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_token_is(line, 0, words[i])) return true;
    return false;
}

static swi_after take_other(swi_deck *deck, swi_card card) {
    const swi_line *line = &deck->line;
    if (swi_token_is(line, 0, ".control")) return SWI_SKIP_CONTROL;
    if (swi_token_is(line, 0, ".data")) return SWI_SKIP_DATA;
    if (!is_quiet(line))
        sw_diag_add(deck->diags, SW_D_SPICE_CARD_UNKNOWN, swi_token_span(line, 0),
                    "this card is not known and was passed over: if it says something about the "
                    "circuit, say it with cards that are");
    if (card.input == 0) keep_card(deck); /* a library's are its own business */
    return SWI_GO_ON;
}

swi_after swi_card_take(swi_deck *deck, swi_card card, bool in_section) {
    const swi_line *line = &deck->line;
    if (swi_token_is(line, 0, ".end")) return SWI_AT_END;
    if (is_one_of(line, ".lib", ".library", ".lib"))
        return swi_card_library(deck, card, in_section);
    if (swi_token_is(line, 0, ".endl") && in_section) return SWI_END_SECTION;
    if (is_param(line) || is_function(line) || swi_token_is(line, 0, ".step"))
        return take_parameters(deck);
    if (is_one_of(line, ".model", ".mod", ".model")) {
        take_model(deck, card);
    } else if (is_one_of(line, ".subckt", ".macro", ".sub")) {
        take_subckt(deck);
    } else if (is_one_of(line, ".ends", ".eom", ".ends")) {
        take_ends(deck, card);
    } else if (is_one_of(line, ".include", ".inc", ".incl")) {
        swi_card_include(deck, card);
    } else if (is_one_of(line, ".global", ".globals", ".global")) {
        take_globals(deck);
    } else if (swi_token_is(line, 0, ".title")) {
        take_title(deck);
    } else {
        return take_other(deck, card);
    }
    return SWI_GO_ON;
}
