/* From words to the model: a stack of the forms that are open, each gathering what
 * its parts say; closing a form hands that on to the form around it. */
#include "formats/edif/edif_parser.h"

#include "base/num.h"

#include <stdlib.h>
#include <string.h>

static swi_frame *top(swi_parser *p) {
    return &p->stack[p->depth - 1];
}

swi_frame *swi_parser_around(swi_parser *p, size_t level) {
    while (level > 0 && (p->stack[level - 1].form == SWI_F_LIST ||
                         p->stack[level - 1].form == SWI_F_PORT_BUNDLE))
        level--;
    return level ? &p->stack[level - 1] : NULL;
}

bool swi_parser_complain(swi_parser *p, sw_diag_id id, sw_span span, const char *what) {
    sw_diag_add(p->e->diags, id, span, "%s", what);
    p->good = false;
    return false;
}

/* ---- opening ---- */

#define IN(form) (1ull << (form))

/* Where the forms that build the model may stand; 0 for one that may stand anywhere. */
static const uint64_t places[] = {
    [SWI_F_LIBRARY] = IN(SWI_F_EDIF),
    [SWI_F_EXTERNAL] = IN(SWI_F_EDIF),
    [SWI_F_DESIGN] = IN(SWI_F_EDIF),
    [SWI_F_CELL] = IN(SWI_F_LIBRARY),
    [SWI_F_VIEW] = IN(SWI_F_CELL),
    [SWI_F_INTERFACE] = IN(SWI_F_VIEW),
    [SWI_F_CONTENTS] = IN(SWI_F_VIEW),
    [SWI_F_PAGE] = IN(SWI_F_CONTENTS),
    [SWI_F_PORT] = IN(SWI_F_INTERFACE),
    [SWI_F_INSTANCE] = IN(SWI_F_CONTENTS) | IN(SWI_F_PAGE),
    [SWI_F_OFF_PAGE] = IN(SWI_F_CONTENTS) | IN(SWI_F_PAGE),
    [SWI_F_NET] = IN(SWI_F_CONTENTS) | IN(SWI_F_PAGE) | IN(SWI_F_NET),
    [SWI_F_PORT_INSTANCE] = IN(SWI_F_INSTANCE),
    [SWI_F_KEYWORD_MAP] = IN(SWI_F_EDIF),
    [SWI_F_KEYWORD_ALIAS] = IN(SWI_F_KEYWORD_MAP),
    [SWI_F_KEYWORD_DEFINE] = IN(SWI_F_KEYWORD_MAP),
    [SWI_F_FORMS] = 0};

static uint32_t new_library(swi_parser *p, bool external) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->libraries, e->library_room, e->library_count + 1))
        return swi_edif_out(e), 0;
    e->libraries[e->library_count] = (swi_edif_library){.external = external};
    return p->library = (uint32_t)e->library_count++;
}

static uint32_t new_cell(swi_parser *p) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->cells, e->cell_room, e->cell_count + 1))
        return swi_edif_out(e), 0;
    e->cells[e->cell_count] = (swi_edif_cell){
        .library = p->library, .first_view = SWI_EDIF_NONE, .last_view = SWI_EDIF_NONE,
        .properties = SWI_EDIF_NONE, .external = e->libraries[p->library].external};
    return p->cell = (uint32_t)e->cell_count++;
}

static uint32_t new_view(swi_parser *p) {
    swi_edif *e = p->e;
    if (!SWI_GROW(e->views, e->view_room, e->view_count + 1))
        return swi_edif_out(e), 0;
    e->views[e->view_count] = (swi_edif_view){
        .cell = p->cell, .first_port = (uint32_t)e->port_count,
        .first_instance = (uint32_t)e->instance_count, .first_net = (uint32_t)e->net_count,
        .properties = SWI_EDIF_NONE};
    swi_edif_cell *cell = &e->cells[p->cell];
    if (cell->first_view == SWI_EDIF_NONE)
        cell->first_view = (uint32_t)e->view_count;
    cell->last_view = (uint32_t)e->view_count;
    return p->view = (uint32_t)e->view_count++;
}

static uint32_t new_port(swi_edif *e) {
    if (!SWI_GROW(e->ports, e->port_room, e->port_count + 1))
        return swi_edif_out(e), 0;
    e->ports[e->port_count] = (swi_edif_port){.properties = SWI_EDIF_NONE};
    return (uint32_t)e->port_count++;
}

static uint32_t new_instance(swi_edif *e, bool off_page) {
    if (!SWI_GROW(e->instances, e->instance_room, e->instance_count + 1))
        return swi_edif_out(e), 0;
    e->instances[e->instance_count] = (swi_edif_instance){
        .view = SWI_EDIF_NONE, .pins = SWI_EDIF_NONE, .properties = SWI_EDIF_NONE,
        .off_page = off_page};
    return (uint32_t)e->instance_count++;
}

static uint32_t new_net(swi_edif *e) {
    if (!SWI_GROW(e->nets, e->net_room, e->net_count + 1))
        return swi_edif_out(e), 0;
    e->nets[e->net_count] = (swi_edif_net){.first_joint = (uint32_t)e->joint_count,
                                           .properties = SWI_EDIF_NONE};
    return (uint32_t)e->net_count++;
}

static uint32_t new_pin(swi_edif *e, uint32_t instance, uint32_t offset) {
    if (!SWI_GROW(e->pins, e->pin_room, e->pin_count + 1))
        return swi_edif_out(e), 0;
    e->pins[e->pin_count] = (swi_edif_pin){.index = SWI_EDIF_NONE, .offset = offset,
                                           .properties = SWI_EDIF_NONE,
                                           .next = e->instances[instance].pins};
    e->instances[instance].pins = (uint32_t)e->pin_count;
    return (uint32_t)e->pin_count++;
}

/* The object that a form makes, or that of the form around it. */
static uint32_t object_of(swi_parser *p, swi_edif_form form, const swi_frame *outer,
                          uint32_t offset) {
    swi_edif *e = p->e;
    switch (form) {
    case SWI_F_LIBRARY: return new_library(p, false);
    case SWI_F_EXTERNAL: return new_library(p, true);
    case SWI_F_CELL: return new_cell(p);
    case SWI_F_VIEW: return new_view(p);
    case SWI_F_PORT: return new_port(e);
    case SWI_F_INSTANCE: return new_instance(e, false);
    case SWI_F_OFF_PAGE: return new_instance(e, true);
    case SWI_F_NET: return outer->form == SWI_F_NET ? outer->object : new_net(e);
    case SWI_F_PORT_INSTANCE: return new_pin(e, outer->object, offset);
    default: return outer ? outer->object : 0;
    }
}

/* Unknown forms are told of once a kind, then passed over with all that is in them. */
static bool skip_form(swi_parser *p, swi_edif_form form) {
    char word[64];
    size_t length = p->lexer.length < sizeof word - 1 ? p->lexer.length : sizeof word - 1;
    memcpy(word, p->lexer.text, length);
    word[length] = '\0';
    swi_edif *e = p->e;
    if (form == SWI_F_UNKNOWN && swi_edif_find(e, SWI_S_SKIPPED, 0, word) == SWI_EDIF_NONE) {
        swi_edif_define(e, SWI_S_SKIPPED, 0, swi_edif_text(e, word, length), 1);
        sw_diag_add(e->diags, SW_D_EDIF_SKIPPED, swi_edif_span(&p->lexer),
                    "forms called %s are not known and are passed over", word);
    }
    sw_span span = swi_edif_span(&p->lexer);
    return swi_edif_skip(&p->lexer) ||
           swi_parser_complain(p, SW_D_EDIF_SYNTAX, span,
                               "this form is never closed: is the file cut off?");
}

static bool push(swi_parser *p, swi_edif_form form, uint32_t offset) {
    const swi_frame *outer = swi_parser_around(p, p->depth);
    if (outer ? places[form] && !(places[form] & IN(outer->form)) : form != SWI_F_EDIF)
        return swi_parser_complain(p, SW_D_EDIF_FORM, swi_edif_span(&p->lexer),
                        "this form cannot stand here");
    if (p->depth >= p->most)
        return swi_parser_complain(p, SW_D_LIMIT_NESTING, swi_edif_span(&p->lexer),
                        "forms stand inside one another too deep");
    uint32_t object = object_of(p, form, outer, offset);
    if (form == SWI_F_EXTERNAL)
        form = SWI_F_LIBRARY;
    if (p->e->failed)
        return false;
    p->stack[p->depth++] = (swi_frame){
        .form = form, .object = object, .offset = offset, .index = SWI_EDIF_NONE, .width = 1,
        .shape = SWI_EDIF_NONE, .numbers_at = SWI_EDIF_NONE, .instance_index = SWI_EDIF_NONE};
    if (form == SWI_F_CONTENTS)
        p->e->views[p->view].contents = true;
    return true;
}

/* ---- keywords of the file's own ---- */

/* A word that is no keyword of the standard: another name of one, or a macro. */
static swi_edif_form own_keyword(swi_parser *p) {
    char word[64];
    size_t length = p->lexer.length < sizeof word - 1 ? p->lexer.length : sizeof word - 1;
    memcpy(word, p->lexer.text, length);
    word[length] = '\0';
    uint32_t form = swi_edif_find(p->e, SWI_S_KEYWORD, 0, word);
    if (form == SWI_EDIF_NONE)
        return SWI_F_UNKNOWN;
    if (form != SWI_F_KEYWORD_DEFINE)
        return (swi_edif_form)form;
    swi_parser_complain(p, SW_D_EDIF_MACRO, swi_edif_span(&p->lexer),
                        "this keyword is a macro of the file's own (keywordDefine), which is not "
                        "read: write the file with keyword level 0 or 1");
    return SWI_F_QUIET;
}

static bool open_form(swi_parser *p) {
    uint32_t offset = (uint32_t)p->lexer.from;
    swi_edif_token token = swi_edif_next(&p->lexer);
    if (token != SWI_EDIF_WORD)
        return token != SWI_EDIF_BAD &&
               swi_parser_complain(p, SW_D_EDIF_SYNTAX, swi_edif_at(p->e, offset, 1),
                        "a word that names the form must follow this parenthesis");
    swi_edif_form form = swi_edif_form_of(&p->met, p->lexer.text, p->lexer.length);
    if (form == SWI_F_UNKNOWN && p->e->own_keywords)
        form = own_keyword(p);
    if (form == SWI_F_UNKNOWN || form == SWI_F_QUIET)
        return skip_form(p, form);
    /* Interfaces may say what is joined inside a part: that is the part's affair. */
    const swi_frame *outer = swi_parser_around(p, p->depth);
    if (form == SWI_F_JOINED && outer && outer->form != SWI_F_NET && outer->form != SWI_F_JOINED)
        return skip_form(p, SWI_F_QUIET);
    return push(p, form, offset);
}

/* ---- words ---- */

static bool take_name(swi_parser *p, swi_frame *f) {
    const char *text = p->lexer.text;
    size_t length = p->lexer.length;
    if (length > 1 && *text == '&') { /* the mark is no part of the name */
        text++;
        length--;
    }
    f->name.ident = f->name.display = swi_edif_text(p->e, text, length);
    f->name.offset = (uint32_t)p->lexer.from;
    f->named = true;
    if (f->form == SWI_F_LIBRARY)
        swi_parser_name_library(p, f);
    return !p->e->failed;
}

/* The word as a whole number within bounds. */
static bool take_count(swi_parser *p, long least, long most, long *value) {
    char text[16] = "";
    if (p->lexer.length < sizeof text)
        memcpy(text, p->lexer.text, p->lexer.length);
    return swi_int_read(text, least, most, value) ||
           swi_parser_complain(p, SW_D_EDIF_FORM, swi_edif_span(&p->lexer),
                    "a whole number within bounds must stand here");
}

/* Sizes and indices follow one another, so that a list of them is in one place. */
static bool take_array_size(swi_parser *p, swi_frame *f) {
    long count;
    uint32_t most = sw_diags_limits(p->e->diags)->nodes;
    if (!take_count(p, 1, 100000000, &count))
        return false;
    if ((uint64_t)f->width * (uint64_t)count > most)
        return swi_parser_complain(p, SW_D_LIMIT_NODES, swi_edif_span(&p->lexer),
                        "an array of more elements than a circuit may have nodes");
    f->width *= (uint32_t)count;
    return swi_edif_number(p->e, &f->numbers_at, (uint32_t)count);
}

static bool take_member_index(swi_parser *p, swi_frame *f) {
    long index;
    if (!take_count(p, 0, SWI_EDIF_MANY - 1, &index))
        return false;
    if (f->index == SWI_EDIF_NONE) {
        f->index = (uint32_t)index;
        return true;
    }
    if (f->numbers_at == SWI_EDIF_NONE && !swi_edif_number(p->e, &f->numbers_at, f->index))
        return false;
    f->index = SWI_EDIF_MANY | f->numbers_at;
    return swi_edif_number(p->e, &f->numbers_at, (uint32_t)index);
}

static void take_direction(swi_parser *p, swi_frame *f) {
    static const struct { const char *word; sw_pin_type type; } words[] = {
        {"input", SW_PIN_INPUT}, {"output", SW_PIN_OUTPUT}, {"inout", SW_PIN_BIDIRECTIONAL}};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_equal_fold_n(p->lexer.text, p->lexer.length, words[i].word))
            f->type = words[i].type;
}

/* (e 47 -10) is 47e-10. */
static bool take_e(swi_parser *p, swi_frame *f) {
    sw_buf text = SW_BUF_INIT;
    if (f->text)
        sw_buf_printf(&text, "%se", f->text);
    sw_buf_put(&text, p->lexer.text, p->lexer.length);
    f->text = text.failed ? NULL : swi_edif_text(p->e, text.bytes, text.length);
    bool done = !text.failed;
    sw_buf_free(&text);
    return done || swi_edif_out(p->e);
}

static bool check_version(swi_parser *p, swi_frame *f) {
    if (f->numbers++ || swi_equal_fold_n(p->lexer.text, p->lexer.length, "2"))
        return true;
    return swi_parser_complain(p, SW_D_EDIF_VERSION, swi_edif_span(&p->lexer),
                    "only EDIF 2 0 0 is read: write that version");
}

/* A port that is named in a list by a mere word. */
static bool take_bare_port(swi_parser *p) {
    swi_frame port = {.index = SWI_EDIF_NONE, .instance_index = SWI_EDIF_NONE};
    return take_name(p, &port) && swi_parser_joint(p, &port);
}

/* (keywordAlias OWN STANDARD): a name of the file's own for a keyword, or for one that it
 * has named so already; (keywordDefine OWN …): a macro. */
static bool take_keyword(swi_parser *p, swi_frame *f) {
    if (!f->named) {
        bool macro = f->form == SWI_F_KEYWORD_DEFINE;
        p->e->own_keywords = true;
        if (macro)
            swi_edif_define(p->e, SWI_S_KEYWORD, 0,
                            swi_edif_text(p->e, p->lexer.text, p->lexer.length),
                            SWI_F_KEYWORD_DEFINE);
        return take_name(p, f);
    }
    if (f->form == SWI_F_KEYWORD_DEFINE || f->numbers++)
        return true;
    swi_edif_form form = swi_edif_form_of(&p->met, p->lexer.text, p->lexer.length);
    if (form == SWI_F_UNKNOWN)
        form = own_keyword(p);
    if (form != SWI_F_UNKNOWN)
        swi_edif_define(p->e, SWI_S_KEYWORD, 0, f->name.ident, form);
    return !p->e->failed;
}

/* A further word of a number or string. */
static bool add_text(swi_parser *p, swi_frame *f, const char *between) {
    if (!f->text) {
        f->text = swi_edif_text(p->e, p->lexer.text, p->lexer.length);
        return !p->e->failed;
    }
    sw_buf whole = SW_BUF_INIT;
    sw_buf_printf(&whole, "%s%s", f->text, between);
    sw_buf_put(&whole, p->lexer.text, p->lexer.length);
    f->text = whole.failed ? "" : swi_edif_text(p->e, whole.bytes, whole.length);
    if (whole.failed)
        swi_edif_out(p->e);
    sw_buf_free(&whole);
    return !p->e->failed;
}

static bool take_word(swi_parser *p) {
    swi_frame *f = top(p);
    switch (f->form) {
    case SWI_F_ARRAY: return f->named ? take_array_size(p, f) : take_name(p, f);
    case SWI_F_MEMBER: return f->named ? take_member_index(p, f) : take_name(p, f);
    case SWI_F_DIRECTION: take_direction(p, f); return true;
    case SWI_F_VERSION: return check_version(p, f);
    case SWI_F_JOINED: return take_bare_port(p);
    case SWI_F_E: return take_e(p, f);
    case SWI_F_KEYWORD_ALIAS: case SWI_F_KEYWORD_DEFINE: return take_keyword(p, f);
    case SWI_F_INTEGER: case SWI_F_NUMBER: case SWI_F_UNIT: case SWI_F_OWNER:
        return add_text(p, f, " ");
    default: return f->named || take_name(p, f);
    }
}

static bool take_string(swi_parser *p) {
    swi_frame *f = top(p);
    if (f->form == SWI_F_RENAME) {
        f->name.display = swi_edif_copy(p->e, p->lexer.text, p->lexer.length);
    } else if (!f->text) {
        f->text = swi_edif_text(p->e, p->lexer.text, p->lexer.length);
    } else if (f->form == SWI_F_STRING) { /* pieces of one string */
        return add_text(p, f, "");
    }
    return !p->e->failed;
}

/* ---- the whole ---- */

/* Files of chip makers come encrypted; those have no parenthesis to begin with. */
static bool check_start(swi_parser *p) {
    size_t at = p->e->input->length >= 3 && memcmp(p->e->input->bytes, "\xEF\xBB\xBF", 3) == 0
                    ? 3 : 0;
    p->lexer.at = at;
    swi_edif_lexer probe = p->lexer;
    bool begins = swi_edif_next(&probe) == SWI_EDIF_OPEN && swi_edif_next(&probe) == SWI_EDIF_WORD &&
                  swi_equal_fold_n(probe.text, probe.length, "edif");
    sw_buf_free(&probe.decoded); /* it may have met a string */
    if (begins)
        return true;
    size_t odd = 0, seen = p->e->input->length < 1024 ? p->e->input->length : 1024;
    for (size_t i = at; i < seen; i++) {
        unsigned char c = (unsigned char)p->e->input->bytes[i];
        odd += c >= 0x7F || (c < ' ' && !swi_is_space((char)c));
    }
    if (odd * 10 > seen)
        return swi_parser_complain(p, SW_D_EDIF_ENCRYPTED, swi_edif_at(p->e, (uint32_t)at, 1),
                        "this looks encrypted: only its maker's programs can read it; ask for the "
                        "plain netlist");
    return swi_parser_complain(p, SW_D_EDIF_START, swi_edif_at(p->e, (uint32_t)at, 1),
                    "an EDIF file begins with (edif");
}

static bool take_token(swi_parser *p, swi_edif_token token) {
    switch (token) {
    case SWI_EDIF_OPEN: return open_form(p);
    case SWI_EDIF_CLOSE: swi_parser_close(p); return !p->e->failed;
    case SWI_EDIF_WORD: return p->depth == 0 || take_word(p);
    case SWI_EDIF_STRING: return p->depth == 0 || take_string(p);
    default: return false;
    }
}

static bool take_tokens(swi_parser *p) {
    for (;;) {
        swi_edif_token token = swi_edif_next(&p->lexer);
        if (token == SWI_EDIF_END)
            break;
        if (!take_token(p, token))
            return false;
        if (p->depth == 0)
            return true; /* what follows the design is no part of it */
    }
    sw_diag_add(p->e->diags, SW_D_EDIF_SYNTAX, swi_edif_at(p->e, top(p)->offset, 1),
                "the file ends before this form is closed (%zu are open): is it cut off?",
                p->depth);
    return false;
}

bool swi_edif_parse(swi_edif *e) {
    swi_parser p = {.e = e, .lexer = {.input = e->input, .diags = e->diags, .decoded = SW_BUF_INIT},
                .most = sw_diags_limits(e->diags)->nesting, .good = true};
    p.stack = malloc((p.most + 1) * sizeof *p.stack);
    bool done = p.stack ? check_start(&p) && take_tokens(&p) : swi_edif_out(e);
    if (p.lexer.decoded.failed)
        done = swi_edif_out(e);
    free(p.stack);
    sw_buf_free(&p.lexer.decoded);
    return done && p.good && !e->failed;
}
