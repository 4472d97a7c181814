/* formats/placement/placement_read.c: reading a placement file in a stream.
 *
 * No document type is accepted, so there are no entities to expand. */
#include "placement_reading.h"

#include "base/fault.h"
#include "base/text.h"

#include <string.h>

/* ---- foreign content ---- */

static void keep(swi_reading *r, bool attribute) {
    sw_buf *xml = &r->foreign.xml;
    if (xml->failed || r->foreign.failed)
        r->memory = false;
    else if (xml->length != 0) {
        const char *text = sw_plan_text(r->plan, xml->bytes + (attribute ? 1 : 0));
        const char *owner = swi_open_owner(r);
        r->memory = r->memory && text != NULL && owner != NULL &&
                    sw_plan_add_foreign(r->plan, (sw_foreign){owner, text, attribute});
    }
    xml->length = 0;
    if (xml->bytes != NULL)
        xml->bytes[0] = '\0';
}

/* ---- the parser's calls ---- */

static void stop_when_out(swi_reading *r) {
    if (!r->memory || r->foreign.failed || r->foreign.crowded)
        XML_StopParser(r->parser, XML_FALSE);
}

/* NOWHERE for what is not ours, or not here. */
static swi_element kind_of(const swi_reading *r, const char *name) {
    size_t length = strlen(SWI_PLACEMENT_NS);
    if (strncmp(name, SWI_PLACEMENT_NS, length) != 0 || name[length] != SWI_NS_SEPARATOR)
        return NOWHERE;
    name += length + 1;
    length = strcspn(name, "\f");
    for (int kind = STRIPBOARD; kind < ELEMENTS; kind++) {
        const swi_element_rule *rule = &swi_element_rules[kind];
        if (rule->parent == r->open[r->depth] && rule->name[0] == name[0] &&
            strlen(rule->name) == length && memcmp(rule->name, name, length) == 0)
            return (swi_element)kind;
    }
    return NOWHERE;
}

static bool is_foreign(const char *name) {
    return strchr(name, SWI_NS_SEPARATOR) != NULL &&
           strncmp(name, SWI_PLACEMENT_NS "\f", sizeof SWI_PLACEMENT_NS) != 0;
}

static const char *local_name(const char *name, size_t *length) {
    const char *mark = strchr(name, SWI_NS_SEPARATOR);
    name = mark == NULL ? name : mark + 1;
    *length = strcspn(name, "\f");
    return name;
}

static void refuse_element(swi_reading *r, const char *name) {
    size_t length;
    const char *local = local_name(name, &length);
    if (r->depth == 0)
        sw_diag_add(r->diags, SW_D_PLACEMENT_ROOT, swi_tag_span(r),
                    "a placement file is an element stripboard of the namespace %s, this is "
                    "%.*s", SWI_PLACEMENT_NS, (int)length, local);
    else
        sw_diag_add(r->diags, SW_D_PLACEMENT_ELEMENT, swi_tag_span(r),
                    "no element %.*s belongs in %s", (int)length, local,
                    swi_element_rules[r->open[r->depth]].name);
    r->skipped = 1;
}

static void start_ours(swi_reading *r, swi_element kind, const char **attributes) {
    if (swi_element_rules[kind].once && r->seen[kind])
        sw_diag_add(r->diags, SW_D_PLACEMENT_DOUBLED, swi_tag_span(r),
                    "the element %s is there twice", swi_element_rules[kind].name);
    r->seen[kind] = true;
    r->open[++r->depth] = kind;
    r->attributes = attributes;
    swi_foreign_forget(&r->foreign);
    swi_read_element(r, kind);
    if (r->foreign_attributes) {
        swi_foreign_attributes(&r->foreign, attributes);
        keep(r, true);
    }
}

static void XMLCALL on_start(void *user, const char *name, const char **attributes) {
    swi_reading *r = user;
    swi_element kind;
    if (!r->memory)
        return;
    if (r->skipped != 0) {
        r->skipped++;
    } else if (r->foreign.depth != 0 || (r->depth != 0 && is_foreign(name))) {
        if (r->foreign.depth + r->depth >= sw_diags_limits(r->diags)->nesting) {
            sw_diag_add(r->diags, SW_D_LIMIT_NESTING, swi_tag_span(r),
                        "elements nest deeper than %u",
                        (unsigned)sw_diags_limits(r->diags)->nesting);
            XML_StopParser(r->parser, XML_FALSE);
            return;
        }
        swi_foreign_start(&r->foreign, name, attributes);
    } else if ((kind = kind_of(r, name)) != NOWHERE) {
        start_ours(r, kind, attributes);
    } else {
        swi_foreign_forget(&r->foreign);
        refuse_element(r, name);
    }
    stop_when_out(r);
}

static void XMLCALL on_end(void *user, const char *name) {
    swi_reading *r = user;
    if (r->skipped != 0) {
        r->skipped--;
    } else if (r->foreign.depth != 0) {
        swi_foreign_end(&r->foreign, name);
        if (r->foreign.depth == 0)
            keep(r, false);
    } else if (r->depth != 0) {
        r->depth--;
    }
    stop_when_out(r);
}

static void XMLCALL on_text(void *user, const char *text, int length) {
    swi_reading *r = user;
    if (r->skipped != 0)
        return;
    if (r->foreign.depth != 0) {
        swi_foreign_text(&r->foreign, text, (size_t)length);
        return;
    }
    for (int i = 0; i < length; i++)
        if (!swi_is_space(text[i])) {
            sw_diag_add(r->diags, SW_D_PLACEMENT_TEXT, swi_tag_span(r),
                        "text does not belong in %s: what there is to say stands in attributes",
                        swi_element_rules[r->open[r->depth]].name);
            return;
        }
}

static void XMLCALL on_comment(void *user, const char *text) {
    swi_reading *r = user;
    if (r->skipped == 0 && r->foreign.depth != 0)
        swi_foreign_comment(&r->foreign, text);
}

static void XMLCALL on_instruction(void *user, const char *target, const char *data) {
    swi_reading *r = user;
    if (r->skipped == 0 && r->foreign.depth != 0)
        swi_foreign_instruction(&r->foreign, target, data);
}

static void XMLCALL on_namespace(void *user, const char *prefix, const char *uri) {
    swi_reading *r = user;
    if (r->skipped == 0)
        swi_foreign_declare(&r->foreign, prefix, uri);
    stop_when_out(r);
}

static void XMLCALL on_doctype(void *user, const char *name, const char *system,
                               const char *public_id, int internal) {
    swi_reading *r = user;
    (void)name;
    (void)system;
    (void)public_id;
    (void)internal;
    sw_diag_add(r->diags, SW_D_PLACEMENT_DOCTYPE, swi_tag_span(r),
                "a placement file has no document type: take the <!DOCTYPE …> out");
    XML_StopParser(r->parser, XML_FALSE);
}

/* ---- the whole ---- */

static void set_handlers(swi_reading *r) {
    XML_SetUserData(r->parser, r);
    XML_SetReturnNSTriplet(r->parser, 1);
    XML_SetElementHandler(r->parser, on_start, on_end);
    XML_SetCharacterDataHandler(r->parser, on_text);
    XML_SetCommentHandler(r->parser, on_comment);
    XML_SetProcessingInstructionHandler(r->parser, on_instruction);
    XML_SetStartNamespaceDeclHandler(r->parser, on_namespace);
    XML_SetStartDoctypeDeclHandler(r->parser, on_doctype);
}

static sw_status parse(swi_reading *r) {
    enum { CHUNK = 1 << 20 };
    size_t left = r->input->length;
    const char *at = r->input->bytes;
    for (;;) {
        int length = left > CHUNK ? CHUNK : (int)left;
        bool last = (size_t)length == left;
        if (XML_Parse(r->parser, at, length, last) != XML_STATUS_OK)
            break;
        if (last)
            return SW_OK;
        at += length;
        left -= (size_t)length;
    }
    enum XML_Error error = XML_GetErrorCode(r->parser);
    if (error == XML_ERROR_NO_MEMORY)
        r->memory = false;
    else if (r->foreign.crowded)
        sw_diag_add(r->diags, SW_D_PLACEMENT_XML, swi_tag_span(r),
                    "too many namespaces are in use at once");
    else if (error != XML_ERROR_ABORTED) /* else it is said already */
        sw_diag_add(r->diags, SW_D_PLACEMENT_XML, swi_tag_span(r), "this is no well-formed XML: %s",
                    XML_ErrorString(error));
    return SW_BAD_INPUT;
}

static void check_whole(const swi_reading *r) {
    if (r->seen[STRIPBOARD] && !r->seen[BOARD])
        sw_diag_add(r->diags, SW_D_PLACEMENT_MISSING, (sw_span){r->input->source, 0, 0},
                    "the element board, with the size, is missing");
}

sw_status swi_placement_read(const sw_input *input, const sw_read_options *options,
                             sw_diags *diags, sw_plan *plan) {
    (void)options;
    swi_reading r = {.input = input, .diags = diags, .plan = plan, .memory = true};
    r.parser = XML_ParserCreateNS(NULL, SWI_NS_SEPARATOR);
    if (r.parser == NULL)
        return swi_out_of_memory(diags);
    set_handlers(&r);
    sw_status status = parse(&r);
    if (status == SW_OK)
        check_whole(&r);
    XML_ParserFree(r.parser);
    swi_foreign_free(&r.foreign);
    return r.memory && !r.foreign.failed ? status : swi_out_of_memory(diags);
}
