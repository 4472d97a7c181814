/* formats/placement/placement_foreign.c: content of foreign namespaces taken down
 * so that it means the same when it is written back.
 *
 * A piece is written out by itself, so each prefix that it uses is declared in it where
 * the element did so or where the first use is. */
#include "placement.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_BINDINGS = 256 };

static void drop(swi_binding *list, size_t *count, size_t to) {
    while (*count > to) {
        --*count;
        free(list[*count].prefix);
        free(list[*count].uri);
    }
}

void swi_foreign_forget(swi_foreign_copy *copy) {
    drop(copy->pending, &copy->pending_count, 0);
}

void swi_foreign_free(swi_foreign_copy *copy) {
    swi_foreign_forget(copy);
    drop(copy->bindings, &copy->binding_count, 0);
    free(copy->pending);
    free(copy->bindings);
    free(copy->marks);
    sw_buf_free(&copy->xml);
}

/* Appends to one of the copy's lists. */
static void add(swi_foreign_copy *copy, swi_binding **list, size_t *count, size_t *room,
                const char *prefix, const char *uri) {
    if (copy->failed || copy->crowded)
        return;
    copy->crowded = *count >= MOST_BINDINGS;
    if (copy->crowded)
        return;
    if (!swi_grow((void **)list, room, *count + 1, sizeof **list)) {
        copy->failed = true;
        return;
    }
    swi_binding binding = {strdup(prefix), strdup(uri)};
    copy->failed = binding.prefix == NULL || binding.uri == NULL;
    if (copy->failed) {
        free(binding.prefix);
        free(binding.uri);
        return;
    }
    (*list)[(*count)++] = binding;
}

void swi_foreign_declare(swi_foreign_copy *copy, const char *prefix, const char *uri) {
    add(copy, &copy->pending, &copy->pending_count, &copy->pending_room,
        prefix == NULL ? "" : prefix, uri == NULL ? "" : uri);
}

/* ---- escaping ---- */

static void put_escaped(sw_buf *out, const char *text, size_t length, bool attribute) {
    for (size_t i = 0; i < length; i++) {
        char c = text[i];
        if (c == '&')
            sw_buf_puts(out, "&amp;");
        else if (c == '<')
            sw_buf_puts(out, "&lt;");
        else if (c == '>')
            sw_buf_puts(out, "&gt;");
        else if (c == '\r' || (attribute && (c == '\n' || c == '\t')))
            sw_buf_printf(out, "&#%d;", c);
        else if (c == '"' && attribute)
            sw_buf_puts(out, "&quot;");
        else
            sw_buf_putc(out, c);
    }
}

static void put_attribute(sw_buf *out, const char *value) {
    sw_buf_puts(out, "=\"");
    put_escaped(out, value, strlen(value), true);
    sw_buf_putc(out, '"');
}

/* ---- names ---- */

/* A name as the parser hands it out, taken apart. */
typedef struct name {
    const char *uri, *local, *prefix; /* prefix "" none */
    size_t uri_length, local_length;
} name;

static name take_apart(const char *text) {
    name n = {"", text, "", 0, strlen(text)};
    const char *first = strchr(text, SWI_NS_SEPARATOR);
    if (first == NULL)
        return n;
    n.uri = text;
    n.uri_length = (size_t)(first - text);
    n.local = first + 1;
    const char *second = strchr(n.local, SWI_NS_SEPARATOR);
    n.local_length = second == NULL ? strlen(n.local) : (size_t)(second - n.local);
    n.prefix = second == NULL ? "" : second + 1;
    return n;
}

static void put_name(sw_buf *out, const name *n) {
    if (n->prefix[0] != '\0')
        sw_buf_printf(out, "%s:", n->prefix);
    sw_buf_put(out, n->local, n->local_length);
}

static bool is_bound(const swi_foreign_copy *copy, const name *n) {
    for (size_t i = copy->binding_count; i > 0; i--)
        if (strcmp(copy->bindings[i - 1].prefix, n->prefix) == 0)
            return strlen(copy->bindings[i - 1].uri) == n->uri_length &&
                   memcmp(copy->bindings[i - 1].uri, n->uri, n->uri_length) == 0;
    /* Outside, the writer's default namespace is ours. */
    return n->prefix[0] == '\0' && n->uri_length == strlen(SWI_PLACEMENT_NS) &&
           memcmp(n->uri, SWI_PLACEMENT_NS, n->uri_length) == 0;
}

/* Binds a prefix for the element at hand and all in it. */
static void bind(swi_foreign_copy *copy, const char *prefix, const char *uri) {
    add(copy, &copy->bindings, &copy->binding_count, &copy->binding_room, prefix, uri);
    if (copy->failed || copy->crowded)
        return;
    sw_buf_puts(&copy->xml, prefix[0] == '\0' ? " xmlns" : " xmlns:");
    sw_buf_puts(&copy->xml, prefix);
    put_attribute(&copy->xml, uri);
}

/* Binds the prefix of a name when it is not bound so already. */
static void bind_name(swi_foreign_copy *copy, const name *n) {
    if (strcmp(n->prefix, "xml") == 0 || is_bound(copy, n))
        return;
    char *uri = strndup(n->uri, n->uri_length);
    if (uri == NULL)
        copy->failed = true;
    else
        bind(copy, n->prefix, uri);
    free(uri);
}

/* ---- taking down ---- */

static void close_tag(swi_foreign_copy *copy) {
    if (copy->tag_open)
        sw_buf_putc(&copy->xml, '>');
    copy->tag_open = false;
}

static bool mark(swi_foreign_copy *copy) {
    if (!SWI_GROW(copy->marks, copy->mark_room, (size_t)copy->depth + 1)) {
        copy->failed = true;
        return false;
    }
    copy->marks[copy->depth++] = copy->binding_count;
    return true;
}

static void put_attributes(swi_foreign_copy *copy, const char **attributes, bool all) {
    for (size_t i = 0; attributes[i] != NULL && !copy->failed; i += 2) {
        name n = take_apart(attributes[i]);
        if (!all && n.uri_length == 0)
            continue;
        if (n.uri_length != 0)
            bind_name(copy, &n);
        sw_buf_putc(&copy->xml, ' ');
        put_name(&copy->xml, &n);
        put_attribute(&copy->xml, attributes[i + 1]);
    }
}

void swi_foreign_start(swi_foreign_copy *copy, const char *text, const char **attributes) {
    close_tag(copy);
    if (copy->failed || !mark(copy))
        return;
    name n = take_apart(text);
    sw_buf_putc(&copy->xml, '<');
    put_name(&copy->xml, &n);
    for (size_t i = 0; i < copy->pending_count; i++)
        bind(copy, copy->pending[i].prefix, copy->pending[i].uri);
    swi_foreign_forget(copy);
    if (copy->failed || copy->crowded)
        return;
    bind_name(copy, &n);
    put_attributes(copy, attributes, true);
    copy->tag_open = true;
}

void swi_foreign_end(swi_foreign_copy *copy, const char *text) {
    if (copy->failed || copy->depth == 0)
        return;
    drop(copy->bindings, &copy->binding_count, copy->marks[--copy->depth]);
    if (copy->tag_open) {
        sw_buf_puts(&copy->xml, "/>");
        copy->tag_open = false;
        return;
    }
    name n = take_apart(text);
    sw_buf_puts(&copy->xml, "</");
    put_name(&copy->xml, &n);
    sw_buf_putc(&copy->xml, '>');
}

void swi_foreign_text(swi_foreign_copy *copy, const char *text, size_t length) {
    close_tag(copy);
    put_escaped(&copy->xml, text, length, false);
}

void swi_foreign_comment(swi_foreign_copy *copy, const char *text) {
    close_tag(copy);
    sw_buf_printf(&copy->xml, "<!--%s-->", text);
}

void swi_foreign_instruction(swi_foreign_copy *copy, const char *target, const char *data) {
    close_tag(copy);
    sw_buf_printf(&copy->xml, "<?%s%s%s?>", target, data[0] == '\0' ? "" : " ", data);
}

void swi_foreign_attributes(swi_foreign_copy *copy, const char **attributes) {
    put_attributes(copy, attributes, false);
    drop(copy->bindings, &copy->binding_count, 0);
}
