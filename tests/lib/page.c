#include "tests/lib/page.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>
#include <libxml/parser.h>
#include <libxml/xpath.h>
#include <stripwright/base.h>

/* WHATWG, HTML Living Standard, index of elements; those that our pages have any use for. */
static const char html[] =
    " a abbr article aside b body button caption code col colgroup dd details div dl dt em "
    "figcaption figure footer h1 h2 h3 h4 h5 h6 head header html i input label li link main meta "
    "nav ol output p section small span strong style script sub summary sup table tbody td tfoot "
    "th thead time title tr ul ";
/* W3C, Scalable Vector Graphics 1.1, element index. */
static const char svg[] = " svg g defs use symbol title desc path rect circle ellipse line polyline "
                          "polygon text tspan style pattern clipPath linearGradient stop marker ";
/* Attributes that hold ids, one or several (WHATWG HTML; WAI-ARIA 1.2). */
static const char *const references[] = {"for", "aria-labelledby", "aria-describedby",
                                         "aria-controls", "headers"};

typedef struct page {
    const char *name;
    xmlDoc *document;
    xmlXPathContext *context;
} page;

static bool is_listed(const char *list, const char *word) {
    char spaced[64];
    snprintf(spaced, sizeof spaced, " %s ", word);
    return strstr(list, spaced) != NULL;
}

static bool is_inside_svg(const xmlNode *node) {
    for (; node && node->type == XML_ELEMENT_NODE; node = node->parent)
        if (strcmp((const char *)node->name, "svg") == 0)
            return true;
    return false;
}

static xmlXPathObject *find(const page *p, const char *expression) {
    xmlXPathObject *found = xmlXPathEvalExpression((const xmlChar *)expression, p->context);
    assert_non_null(found);
    return found;
}

static int count_of(const xmlXPathObject *found) {
    return found->nodesetval ? found->nodesetval->nodeNr : 0;
}

static void check_elements(const page *p) {
    xmlXPathObject *found = find(p, "//*");
    assert_true(count_of(found) > 0);
    for (int i = 0; i < count_of(found); i++) {
        const xmlNode *node = found->nodesetval->nodeTab[i];
        const char *name = (const char *)node->name;
        if (!is_listed(is_inside_svg(node) ? svg : html, name))
            fail_msg("%s: line %ld: no element is called %s there", p->name,
                     xmlGetLineNo((xmlNode *)(void *)node), name);
    }
    xmlXPathFreeObject(found);
}

static int bearers(const page *p, const char *id) {
    sw_buf expression = SW_BUF_INIT;
    assert_null(strchr(id, '"'));
    sw_buf_printf(&expression, "//*[@id=\"%s\"]", id);
    xmlXPathObject *found = find(p, expression.bytes);
    int count = count_of(found);
    xmlXPathFreeObject(found);
    sw_buf_free(&expression);
    return count;
}

/* Each blank-separated word of each such attribute is the id of one element. */
static void check_ids(const page *p, const char *attributes) {
    xmlXPathObject *found = find(p, attributes);
    for (int i = 0; i < count_of(found); i++) {
        xmlNode *node = found->nodesetval->nodeTab[i];
        xmlChar *value = xmlNodeGetContent(node);
        for (char *save = NULL, *id = strtok_r((char *)value, " ", &save); id;
             id = strtok_r(NULL, " ", &save)) {
            int count = bearers(p, *id == '#' ? id + 1 : id);
            if (count != 1)
                fail_msg("%s: line %ld: %s is the id of %d elements", p->name,
                         xmlGetLineNo(node->parent), id, count);
        }
        xmlFree(value);
    }
    xmlXPathFreeObject(found);
}

void test_page(const char *name, const char *bytes, size_t length) {
    const int options = XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING;
    page p = {.name = name, .document = xmlReadMemory(bytes, (int)length, name, NULL, options)};
    if (!p.document) {
        const xmlError *error = xmlGetLastError();
        fail_msg("%s: line %d: %s", name, error ? error->line : 0, error ? error->message : "?");
    }
    p.context = xmlXPathNewContext(p.document);
    assert_non_null(p.context);
    check_elements(&p);
    check_ids(&p, "//@id");
    check_ids(&p, "//a/@href[starts-with(., '#')]");
    for (size_t i = 0; i < sizeof references / sizeof *references; i++) {
        char attributes[64];
        snprintf(attributes, sizeof attributes, "//@%s", references[i]);
        check_ids(&p, attributes);
    }
    xmlXPathFreeContext(p.context);
    xmlFreeDoc(p.document);
}
