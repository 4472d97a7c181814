/* formats/sexpr/sexpr_read.c: components and nets, in one pass over the lists.
 *
 * A list is looked at when it closes, by its word and those of the lists around it; what is in no
 * list that counts is passed over.  Nothing recurses.
 */
#include "formats/sexpr/sexpr.h"

#include "base/fault.h"
#include "base/lists.h"
#include "base/text.h"
#include "circuit/circuit.h"

#include <string.h>

/* Words of lists that count; the others are OTHER. */
typedef enum word {
    OTHER, EXPORT, TITLE_BLOCK, TITLE, COMPONENTS, COMP, REF, VALUE, FOOTPRINT, DATASHEET, FIELDS, FIELD, NAME,
    LIBSOURCE, LIB, PART, PROPERTY, SHEETPATH, NAMES, NETS, NET, NODE, PIN, PINFUNCTION, PINTYPE
} word;

static const char *const words[] = {
    "", "export", "title_block", "title", "components", "comp", "ref", "value", "footprint", "datasheet", "fields", "field",
    "name", "libsource", "lib", "part", "property", "sheetpath", "names", "nets", "net", "node", "pin", "pinfunction",
    "pintype"};

enum { MOST_DEPTH = 64, MOST_FIELDS = 32 };

/* A list that is open: its word, its first atom, and for fields their name. */
typedef struct level {
    word word;
    sw_span span;
    const char *text, *name; /* NULL: not seen */
    sw_span text_span;
} level;

/* A pin of the net that is open. */
typedef struct node {
    const char *ref, *pin, *function, *type;
    sw_span span;
} node;

typedef struct reader {
    swi_list_lexer lexer;
    sw_diags *diags;
    sw_builder *builder;
    sw_buf scratch;
    level levels[MOST_DEPTH];
    int depth;
    uint32_t part_count;
    sw_part_id part;          /* of the component that is open */
    bool has_ref;             /* it says its reference, though it may be another's already */
    const char *lib, *symbol;
    struct { const char *key, *value; } fields[MOST_FIELDS]; /* that it has already */
    int field_count;
    const char *net;          /* name of the net that is open; NULL: not said yet */
    node node, first;         /* the first waits until it is known whether it is alone */
    uint32_t pins;
    sw_node_id at;            /* of the net */
    bool titled;
} reader;

/* ---- atoms ---- */

/* In UTF-8, on one line, without escapes. */
static const char *text_of(reader *r, const swi_list_token *token) {
    r->scratch.length = 0;
    for (size_t i = 0; token->escapes && i < token->length; i++) {
        i += token->text[i] == '\\' && i + 1 < token->length;
        sw_buf_putc(&r->scratch, token->text[i]);
    }
    return swi_builder_line(r->builder, token->escapes ? r->scratch.bytes : token->text,
                            token->escapes ? r->scratch.length : token->length, &r->scratch.failed);
}

static word word_of(const swi_list_token *token) {
    for (size_t i = 1; i < sizeof words / sizeof *words; i++)
        if (strlen(words[i]) == token->length && memcmp(words[i], token->text, token->length) == 0)
            return (word)i;
    return OTHER;
}

static void syntax(reader *r, sw_span span, const char *what) {
    sw_diag_add(r->diags, SW_D_SEXPR_SYNTAX, span, "%s: the file is damaged or cut off; export it again", what);
}

static void missing(reader *r, sw_span span, const char *what) {
    sw_diag_add(r->diags, SW_D_SEXPR_MISSING, span, "%s: export the netlist again, or write it in", what);
}

/* "~" stands for nothing in these files. */
static bool says_nothing(const char *text) {
    return !text || !*text || strcmp(text, "~") == 0;
}

/* ---- components ---- */

static void take_ref(reader *r, const level *list) {
    if (says_nothing(list->text))
        return; /* told when the component closes */
    r->has_ref = true;
    r->part = sw_builder_part(r->builder, list->text, '\0', list->text_span);
    if (r->part.i != SW_NONE && r->part.i >= r->part_count)
        r->part_count = r->part.i + 1;
}

/* Newer files say each field twice, as a field and as a property. */
static bool is_known(reader *r, const char *key, const char *value) {
    for (int i = 0; i < r->field_count; i++)
        if (strcmp(r->fields[i].key, key) == 0 && strcmp(r->fields[i].value, value) == 0)
            return true;
    if (r->field_count < MOST_FIELDS) {
        r->fields[r->field_count].key = key;
        r->fields[r->field_count++].value = value;
    }
    return false;
}

/* What has a list of its own is no property. */
static bool has_list(const char *key) {
    static const char *const lists[] = {"Reference", "Value", "Footprint", "Datasheet"};
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        if (strcmp(key, lists[i]) == 0)
            return true;
    return false;
}

static void add_property(reader *r, const char *key, const char *value, sw_span span) {
    if (r->part.i != SW_NONE && !says_nothing(key) && !says_nothing(value) && !has_list(key) && !is_known(r, key, value))
        sw_builder_property(r->builder, SW_OWNER_PART, r->part.i, key, value, span);
}

/* What is marked not to be fitted, or not to be on a board, is left out. */
static void take_property(reader *r, const level *list) {
    const char *key = list->name ? list->name : "";
    if ((swi_equal_fold(key, "dnp") || swi_equal_fold(key, "exclude_from_board")) && r->part.i != SW_NONE) {
        sw_row row = {.name = sw_builder_part_at(r->builder, r->part)->ref, .omit = "yes", .span = list->span};
        sw_builder_row(r->builder, &row);
    } else if (!swi_match("Sheet*", key) && !swi_match("ki_*", key)) {
        add_property(r, key, list->text, list->span);
    }
}

/* Symbols of these libraries say what kind of thing it is, not which. */
static bool is_generic(const char *lib) {
    static const char *const generic[] = {"Device", "Connector*", "conn", "Switch*", "Jumper*", "power", "Simulation*", "pspice",
                                          "Mechanical", ""};
    for (size_t i = 0; i < sizeof generic / sizeof *generic; i++)
        if (swi_match(generic[i], lib))
            return true;
    return false;
}

static bool has_digit(const char *text) {
    return strpbrk(text, "0123456789") != NULL;
}

/* The symbol's name is the device unless the value is another type number, which people type over it. */
static void end_component(reader *r, const level *list) {
    if (!r->has_ref)
        missing(r, list->span, "a component without a reference");
    if (r->part.i == SW_NONE)
        return;
    sw_part *part = sw_builder_part_at(r->builder, r->part);
    const char *symbol = r->symbol ? r->symbol : "", *lib = r->lib ? r->lib : "";
    if (is_generic(lib))
        part->device = swi_match("LED*", symbol) ? sw_builder_text(r->builder, "LED", 3) : "";
    else if (says_nothing(part->value) || swi_equal_fold(part->value, symbol) || !has_digit(part->value))
        part->device = symbol;
    if (*lib && *symbol) {
        r->scratch.length = 0;
        sw_buf_printf(&r->scratch, "%s:%s", lib, symbol);
        const char *both = r->scratch.failed ? "" : sw_builder_text(r->builder, r->scratch.bytes, r->scratch.length);
        add_property(r, "symbol", both, list->span);
    }
    r->part = (sw_part_id){SW_NONE};
}

static void take_of_component(reader *r, const level *list) {
    sw_part *part = sw_builder_part_at(r->builder, r->part);
    switch (list->word) {
    case REF: take_ref(r, list); break;
    case VALUE: part->value = says_nothing(list->text) ? "" : list->text; break;
    case FOOTPRINT: part->package = says_nothing(list->text) ? "" : list->text; break;
    case DATASHEET: add_property(r, "datasheet", list->text, list->span); break;
    case PROPERTY: take_property(r, list); break;
    default: break;
    }
}

/* ---- nets ---- */

static sw_pin_type type_of(const char *text) {
    static const struct { const char *word; sw_pin_type type; } types[] = {
        {"input", SW_PIN_INPUT}, {"output", SW_PIN_OUTPUT}, {"bidirectional", SW_PIN_BIDIRECTIONAL},
        {"tri_state", SW_PIN_BIDIRECTIONAL}, {"passive", SW_PIN_PASSIVE}, {"power_out", SW_PIN_OUTPUT},
        {"open_collector", SW_PIN_OPEN_OUTPUT}, {"open_emitter", SW_PIN_OPEN_OUTPUT}, {"no_connect", SW_PIN_NOT_CONNECTED}};
    size_t length = text ? strcspn(text, "+") : 0; /* input+no_connect: marked as left open */
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (text && swi_equal_fold_n(text, length, types[i].word))
            return types[i].type;
    return SW_PIN_UNKNOWN;
}

static void add_pin(reader *r, const node *n) {
    sw_part_id part = sw_builder_find_part(r->builder, n->ref);
    if (part.i == SW_NONE) {
        sw_diag_add(r->diags, SW_D_SEXPR_MISSING, n->span, "%s has a pin in a net but is no component: export the netlist again", n->ref);
        return;
    }
    sw_pin_id id = sw_builder_pin(r->builder, part, n->pin, n->function ? n->function : "", r->at, n->span);
    sw_builder_pin_at(r->builder, id)->type = type_of(n->type);
}

static void end_node(reader *r, const level *list) {
    r->node.span = list->span;
    if (says_nothing(r->node.ref) || says_nothing(r->node.pin) || !r->net) {
        missing(r, list->span, "a node of a net without the net's name, a reference or a pin");
        return;
    }
    if (r->pins++ == 0) {
        r->first = r->node;
        return;
    }
    if (r->pins == 2) {
        r->at = sw_builder_node(r->builder, r->net, false, list->span);
        add_pin(r, &r->first);
    }
    add_pin(r, &r->node);
}

/* A pin alone in a net that the editor named itself has a node of its own. */
static void end_net(reader *r, const level *list) {
    if (r->pins == 1) {
        bool derived = swi_match("unconnected-(*", r->net) || swi_match("Net-(*", r->net);
        r->at = derived ? sw_builder_lone_node(r->builder, list->span) : sw_builder_node(r->builder, r->net, false, list->span);
        add_pin(r, &r->first);
    }
    r->net = NULL;
    r->pins = 0;
}

static void take_of_node(reader *r, const level *list) {
    switch (list->word) {
    case REF: r->node.ref = list->text; break;
    case PIN: r->node.pin = list->text; break;
    case PINFUNCTION: r->node.function = says_nothing(list->text) ? NULL : list->text; break;
    case PINTYPE: r->node.type = list->text; break;
    default: break;
    }
}

/* ---- lists ---- */

/* The first sheet that has one; the others' are titles of parts of the circuit. */
static void take_title(reader *r, const char *title) {
    if (*title && !r->titled)
        sw_builder_title(r->builder, title);
    r->titled = r->titled || *title;
}

static word around(const reader *r, int levels) {
    return r->depth > levels ? r->levels[r->depth - 1 - levels].word : OTHER;
}

static void begin(reader *r, word what) {
    if (what == COMP) {
        r->part = (sw_part_id){SW_NONE};
        r->has_ref = false;
        r->field_count = 0;
        r->lib = r->symbol = NULL;
    } else if (what == NODE) {
        r->node = (node){NULL, NULL, NULL, NULL, SW_NOWHERE};
    }
}

/* The list on top of the stack closes. */
static void end(reader *r) {
    level *list = &r->levels[r->depth - 1], *outer = r->depth > 1 ? list - 1 : NULL;
    word in = around(r, 1);
    if (!list->text)
        list->text = "";
    if (list->word == COMP && in == COMPONENTS)
        end_component(r, list);
    else if (list->word == NODE && in == NET)
        end_node(r, list);
    else if (list->word == NET && in == NETS)
        end_net(r, list);
    else if (list->word == NAME && in == NET)
        r->net = list->text;
    else if (list->word == TITLE && in == TITLE_BLOCK)
        take_title(r, list->text);
    else if (list->word == NAME && (in == FIELD || in == PROPERTY))
        outer->name = list->text;
    else if (list->word == VALUE && in == PROPERTY)
        outer->text = list->text;
    else if (list->word == FIELD && in == FIELDS && around(r, 2) == COMP)
        add_property(r, list->name, list->text, list->span);
    else if (in == COMP && around(r, 2) == COMPONENTS)
        take_of_component(r, list);
    else if (in == LIBSOURCE && (list->word == LIB || list->word == PART))
        *(list->word == LIB ? &r->lib : &r->symbol) = list->text;
    else if (list->word == NAMES && in == SHEETPATH && strcmp(list->text, "/") != 0)
        add_property(r, "sheet", list->text, list->span);
    else if (in == NODE && around(r, 2) == NET)
        take_of_node(r, list);
}

static bool open_list(reader *r, sw_span span) {
    swi_list_token token = swi_list_next(&r->lexer);
    if (token.kind != SWI_LIST_ATOM) {
        syntax(r, span, "no word after this parenthesis");
        return false;
    }
    if (r->depth == MOST_DEPTH) {
        syntax(r, span, "lists in lists, more than any editor writes");
        return false;
    }
    word what = word_of(&token);
    r->levels[r->depth++] = (level){what, span, NULL, NULL, token.span};
    begin(r, what);
    return true;
}

static bool take(reader *r, const swi_list_token *token) {
    level *top = r->depth ? &r->levels[r->depth - 1] : NULL;
    switch (token->kind) {
    case SWI_LIST_OPEN: return open_list(r, token->span);
    case SWI_LIST_CLOSE:
        if (!top)
            break;
        end(r);
        r->depth--;
        return true;
    case SWI_LIST_ATOM:
        if (!top)
            break;
        if (!top->text && top->word != OTHER) {
            top->text = text_of(r, token);
            top->text_span = token->span;
        }
        return true;
    case SWI_LIST_BROKEN: syntax(r, token->span, "no quote ends this string"); return false;
    case SWI_LIST_END: return false;
    }
    syntax(r, token->span, "this is in no list");
    return false;
}

static void name_kinds(reader *r) {
    for (uint32_t i = 0; i < r->part_count; i++) {
        sw_part *part = sw_builder_part_at(r->builder, (sw_part_id){i});
        part->kind = sw_ref_kind(part->ref);
    }
}

sw_status swi_sexpr_read(const sw_input *input, const sw_read_options *options, sw_diags *diags, sw_builder *builder) {
    (void)options;
    size_t errors = sw_diags_of(diags, SW_ERROR);
    reader r = {.lexer = {input, 0}, .diags = diags, .builder = builder, .scratch = SW_BUF_INIT, .part = {SW_NONE}};
    swi_list_token token;
    do
        token = swi_list_next(&r.lexer);
    while (take(&r, &token));
    if (token.kind == SWI_LIST_END && r.depth)
        syntax(&r, r.levels[r.depth - 1].span, "no parenthesis closes this list");
    name_kinds(&r);
    if (r.scratch.failed)
        swi_out_of_memory(diags);
    sw_buf_free(&r.scratch);
    return sw_diags_of(diags, SW_ERROR) == errors ? SW_OK : SW_BAD_INPUT;
}
