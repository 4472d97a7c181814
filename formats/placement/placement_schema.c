/* formats/placement/placement_schema.c: checking a placement file against the shipped
 * RELAX NG schema (ISO/IEC 19757-2), apart from the reader. */
#include "placement.h"

#include "base/fault.h"
#include "parts/data.h"

#include <libxml/parser.h>
#include <libxml/relaxng.h>
#include <string.h>

const char *swi_placement_schema(size_t *length) {
    for (const swi_data_file *file = swi_data_files; file->name != NULL; file++)
        if (strcmp(file->name, "placement.rng") == 0) {
            *length = file->size;
            return file->bytes;
        }
    *length = 0;
    return "";
}

typedef struct checking {
    const sw_input *input;
    sw_diags *diags;
} checking;

/* The first character of a line, counted from 1, that is no blank. */
static sw_span line_span(const sw_input *input, int line) {
    size_t at = 0;
    for (int i = 1; i < line; i++) {
        const char *end = memchr(input->bytes + at, '\n', input->length - at);
        if (end == NULL)
            break;
        at = (size_t)(end - input->bytes) + 1;
    }
    while (at < input->length && (input->bytes[at] == ' ' || input->bytes[at] == '\t'))
        at++;
    return (sw_span){input->source, (uint32_t)at, 1};
}

#if LIBXML_VERSION >= 21200
static void on_error(void *user, const xmlError *error) {
#else
static void on_error(void *user, xmlError *error) {
#endif
    const checking *c = user;
    const char *text = error->message == NULL ? "" : error->message;
    sw_diag_add(c->diags, SW_D_PLACEMENT_SCHEMA, line_span(c->input, error->line), "%.*s",
                (int)strcspn(text, "\n"), text);
}

/* What the schema finds goes to the sink when a validity context has a place for it. */
static sw_status validate(xmlDocPtr document, checking *c) {
    size_t length;
    const char *schema = swi_placement_schema(&length);
    xmlRelaxNGParserCtxtPtr parser = xmlRelaxNGNewMemParserCtxt(schema, (int)length);
    xmlRelaxNGPtr grammar = parser == NULL ? NULL : xmlRelaxNGParse(parser);
    xmlRelaxNGValidCtxtPtr valid = grammar == NULL ? NULL : xmlRelaxNGNewValidCtxt(grammar);
    sw_status status = SW_SYSTEM;
    if (valid != NULL) {
        xmlRelaxNGSetValidStructuredErrors(valid, on_error, c);
        int result = xmlRelaxNGValidateDoc(valid, document);
        status = result == 0 ? SW_OK : result > 0 ? SW_BAD_INPUT : SW_SYSTEM;
    }
    if (status == SW_SYSTEM)
        swi_out_of_memory(c->diags);
    xmlRelaxNGFreeValidCtxt(valid);
    xmlRelaxNGFree(grammar);
    xmlRelaxNGFreeParserCtxt(parser);
    return status;
}

static sw_status refuse(const checking *c, const xmlError *error, bool doctype) {
    if (doctype)
        sw_diag_add(c->diags, SW_D_PLACEMENT_DOCTYPE, line_span(c->input, 1),
                    "a placement file has no document type: take the <!DOCTYPE …> out");
    else if (error == NULL || error->code == XML_ERR_NO_MEMORY)
        return swi_out_of_memory(c->diags);
    else
        sw_diag_add(c->diags, SW_D_PLACEMENT_XML, line_span(c->input, error->line),
                    "this is no well-formed XML: %.*s", (int)strcspn(error->message, "\n"),
                    error->message);
    return SW_BAD_INPUT;
}

sw_status sw_placement_validate(const sw_input *input, sw_diags *diags) {
    checking c = {input, diags};
    xmlParserCtxtPtr parser = xmlNewParserCtxt();
    if (parser == NULL)
        return swi_out_of_memory(diags);
    /* No entities are put in, nothing is fetched. */
    xmlDocPtr document =
        xmlCtxtReadMemory(parser, input->bytes, (int)input->length, NULL, NULL,
                          XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING);
    sw_status status = document == NULL || document->intSubset != NULL
                           ? refuse(&c, xmlCtxtGetLastError(parser), document != NULL)
                           : validate(document, &c);
    xmlFreeDoc(document);
    xmlFreeParserCtxt(parser);
    return status;
}
