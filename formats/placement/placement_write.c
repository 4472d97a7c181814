/* formats/placement/placement_write.c: writing a placement file.
 *
 * Attributes in a fixed order, an element a line, two blanks a level: the same plan is the
 * same bytes.  All blanks between elements are written here: the writer's own indenting
 * gives up at the first foreign element. */
#include "placement.h"

#include "base/fault.h"
#include "base/text.h"

#include <libxml/xmlwriter.h>
#include <stdlib.h>
#include <string.h>

/* Foreign content by owner: chains through next. */
typedef struct foreign_index {
    swi_arena *arena;
    swi_map *map;            /* owner to first */
    uint32_t *next;          /* SW_NONE the last */
    bool *written;
} foreign_index;

typedef struct writing {
    xmlTextWriterPtr xml;
    const sw_plan *plan;
    sw_diags *diags;
    foreign_index foreign;
    int depth;
    bool failed, memory;     /* the writer's, our own */
} writing;

/* ---- what XML can hold ---- */

static bool is_fit(const char *text) {
    if (!swi_utf8_valid(text, strlen(text)))
        return false;
    for (const unsigned char *c = (const unsigned char *)text; *c != '\0'; c++) {
        if (*c < ' ' && *c != '\t' && *c != '\n' && *c != '\r')
            return false;
        if (c[0] == 0xEF && c[1] == 0xBF && (c[2] == 0xBE || c[2] == 0xBF))
            return false; /* U+FFFE, U+FFFF */
    }
    return true;
}

/* Bytes that are not XML's become question marks; all of another encoding's do. */
static void write_unfit(writing *w, const char *name, const char *text) {
    sw_buf fit = SW_BUF_INIT;
    for (const char *c = text; *c != '\0'; c++)
        sw_buf_putc(&fit, (unsigned char)*c < ' ' || (unsigned char)*c >= 0x7F ? '?' : *c);
    sw_diag_add(w->diags, SW_D_PLACEMENT_CHARACTER, SW_NOWHERE,
                "%s \"%s\" has characters that XML cannot hold: written with ? for them", name,
                fit.failed ? "" : fit.bytes);
    w->memory = w->memory && !fit.failed;
    if (!fit.failed && xmlTextWriterWriteAttribute(w->xml, BAD_CAST name, BAD_CAST fit.bytes) < 0)
        w->failed = true;
    sw_buf_free(&fit);
}

/* ---- elements and attributes ---- */

static void attribute(writing *w, const char *name, const char *value) {
    if (!is_fit(value))
        write_unfit(w, name, value);
    else if (xmlTextWriterWriteAttribute(w->xml, BAD_CAST name, BAD_CAST value) < 0)
        w->failed = true;
}

static void count_attribute(writing *w, const char *name, uint32_t value) {
    if (xmlTextWriterWriteFormatAttribute(w->xml, BAD_CAST name, "%u", (unsigned)value) < 0)
        w->failed = true;
}

static void hole_attribute(writing *w, const char *name, sw_hole hole) {
    char text[12];
    sw_hole_write(hole, text);
    attribute(w, name, text);
}

static void flag_attribute(writing *w, const char *name, bool value) {
    attribute(w, name, value ? "true" : "false");
}

static void new_line(writing *w) {
    static const char blanks[] = "\n        ";
    if (xmlTextWriterWriteRawLen(w->xml, BAD_CAST blanks, 1 + 2 * w->depth) < 0)
        w->failed = true;
}

static void begin(writing *w, const char *name) {
    if (w->depth > 0)
        new_line(w);
    w->depth++;
    if (xmlTextWriterStartElement(w->xml, BAD_CAST name) < 0)
        w->failed = true;
}

static void end(writing *w, bool children) {
    w->depth--;
    if (children)
        new_line(w);
    if (xmlTextWriterEndElement(w->xml) < 0)
        w->failed = true;
}

/* ---- foreign content ---- */

static bool open_index(foreign_index *index, const sw_plan *plan) {
    *index = (foreign_index){.arena = swi_arena_new()};
    if (index->arena == NULL)
        return false;
    index->map = swi_map_new(index->arena, false);
    index->next = swi_arena_array(index->arena, (size_t)plan->foreign_count + 1,
                                  sizeof *index->next);
    index->written = swi_arena_array(index->arena, (size_t)plan->foreign_count + 1,
                                     sizeof *index->written);
    uint32_t *last = swi_arena_array(index->arena, (size_t)plan->foreign_count + 1, sizeof *last);
    bool failed = index->map == NULL || index->next == NULL || index->written == NULL ||
                  last == NULL;
    for (uint32_t i = 0; !failed && i < plan->foreign_count; i++) {
        const char *owner = plan->foreign[i].owner;
        uint32_t first = swi_map_add(index->map, owner, strlen(owner), i, &failed);
        index->next[i] = SW_NONE;
        if (!failed && first != i)
            index->next[last[first]] = i;
        if (!failed)
            last[first] = i;
    }
    return !failed;
}

static void close_index(foreign_index *index) {
    swi_map_free(index->map);
    swi_arena_free(index->arena);
}

/* name="value" … as the reader took it down; values are escaped already. */
static void foreign_attributes(writing *w, const char *text) {
    while (*text != '\0' && !w->failed) {
        text += strspn(text, " ");
        const char *equals = strchr(text, '=');
        const char *stop = equals == NULL || equals[1] != '"' ? NULL : strchr(equals + 2, '"');
        if (stop == NULL)
            return;
        char *name = strndup(text, (size_t)(equals - text));
        w->memory = w->memory && name != NULL;
        w->failed = name == NULL || xmlTextWriterStartAttribute(w->xml, BAD_CAST name) < 0 ||
                    xmlTextWriterWriteRawLen(w->xml, BAD_CAST(equals + 2),
                                             (int)(stop - equals - 2)) < 0 ||
                    xmlTextWriterEndAttribute(w->xml) < 0;
        free(name);
        text = stop + 1;
    }
}

/* What a foreign owner's name begins from; true when there are elements to follow. */
static bool owned_attributes(writing *w, const char *owner) {
    bool elements = false;
    uint32_t i = swi_map_get(w->foreign.map, owner, strlen(owner), SW_NONE);
    for (; i != SW_NONE; i = w->foreign.next[i]) {
        const sw_foreign *foreign = &w->plan->foreign[i];
        if (w->foreign.written[i])
            continue; /* two things of one name: the first has it */
        elements = elements || !foreign->attribute;
        if (foreign->attribute) {
            w->foreign.written[i] = true;
            foreign_attributes(w, foreign->xml);
        }
    }
    return elements;
}

static void owned_elements(writing *w, const char *owner) {
    uint32_t i = swi_map_get(w->foreign.map, owner, strlen(owner), SW_NONE);
    for (; i != SW_NONE; i = w->foreign.next[i]) {
        if (w->foreign.written[i])
            continue;
        w->foreign.written[i] = true;
        new_line(w);
        if (xmlTextWriterWriteRaw(w->xml, BAD_CAST w->plan->foreign[i].xml) < 0)
            w->failed = true;
    }
}

/* An element without children of ours is done. */
static void leaf(writing *w, const char *owner) {
    bool children = w->plan->foreign_count != 0 && owned_attributes(w, owner);
    if (children)
        owned_elements(w, owner);
    end(w, children);
}

/* Attributes are done, children of ours may follow. */
static void inside(writing *w, const char *owner) {
    if (w->plan->foreign_count != 0)
        owned_attributes(w, owner);
}

static bool has_owned(const writing *w, const char *owner) {
    return w->plan->foreign_count != 0 &&
           swi_map_get(w->foreign.map, owner, strlen(owner), SW_NONE) != SW_NONE;
}

static void outside(writing *w, const char *owner, bool children) {
    if (w->plan->foreign_count != 0) {
        uint32_t i = swi_map_get(w->foreign.map, owner, strlen(owner), SW_NONE);
        for (; i != SW_NONE; i = w->foreign.next[i])
            children = children || !w->foreign.written[i];
        owned_elements(w, owner);
    }
    end(w, children);
}

/* The same for things whose owner's name has to be made. */
static const char *owner_name(writing *w, sw_buf *name) {
    w->memory = w->memory && !name->failed;
    return name->failed ? "" : name->bytes;
}

/* ---- the plan ---- */

static void write_board(writing *w) {
    const sw_plan *plan = w->plan;
    begin(w, "board");
    count_attribute(w, "strips", (uint32_t)plan->strips);
    count_attribute(w, "columns", (uint32_t)plan->columns);
    attribute(w, "pitch-mm", "2.54");
    count_attribute(w, "margin", (uint32_t)(plan->margin < 0 ? 0 : plan->margin));
    inside(w, "board");
    for (uint32_t i = 0; i < plan->keep_out_count; i++) {
        const sw_keep_out *keep_out = &plan->keep_outs[i];
        sw_buf owner = SW_BUF_INIT;
        begin(w, "keep-out");
        hole_attribute(w, "from", keep_out->from);
        hole_attribute(w, "to", keep_out->to);
        if (keep_out->why[0] != '\0')
            attribute(w, "why", keep_out->why);
        swi_placement_owner_keep_out(&owner, keep_out);
        leaf(w, owner_name(w, &owner));
        sw_buf_free(&owner);
    }
    outside(w, "board", plan->keep_out_count != 0);
}

static void write_nodes(writing *w) {
    const sw_plan *plan = w->plan;
    begin(w, "nodes");
    inside(w, "nodes");
    for (uint32_t i = 0; i < plan->node_count; i++) {
        const sw_plan_node *node = &plan->nodes[i];
        const char *rail = swi_placement_rail_name(node->rail);
        sw_buf owner = SW_BUF_INIT;
        begin(w, "node");
        count_attribute(w, "number", node->number);
        if (node->name[0] != '\0')
            attribute(w, "name", node->name);
        if (rail != NULL)
            attribute(w, "rail", rail);
        if (node->unused)
            flag_attribute(w, "unused", true);
        sw_buf_printf(&owner, "node %u", (unsigned)node->number);
        leaf(w, owner_name(w, &owner));
        sw_buf_free(&owner);
    }
    outside(w, "nodes", plan->node_count != 0);
}

static void write_lead(writing *w, const sw_plan_part *part, const sw_plan_lead *lead) {
    sw_buf owner = SW_BUF_INIT;
    begin(w, "lead");
    attribute(w, "pin", lead->pin);
    if (lead->node != 0)
        count_attribute(w, "node", lead->node);
    hole_attribute(w, "hole", lead->hole);
    sw_buf_printf(&owner, "lead %s.%s", part->ref, lead->pin);
    leaf(w, owner_name(w, &owner));
    sw_buf_free(&owner);
}

static void write_part(writing *w, const sw_plan_part *part) {
    sw_buf owner = SW_BUF_INIT;
    sw_buf_printf(&owner, "part %s", part->ref);
    const char *name = owner_name(w, &owner);
    begin(w, "part");
    attribute(w, "ref", part->ref);
    attribute(w, "value", part->value);
    attribute(w, "device", part->device);
    attribute(w, "package", part->package);
    if (part->turn >= 0)
        count_attribute(w, "turn", (uint32_t)part->turn);
    flag_attribute(w, "locked", part->locked);
    inside(w, name);
    for (uint32_t i = 0; i < part->lead_count; i++)
        write_lead(w, part, &w->plan->leads[part->first_lead + i]);
    outside(w, name, part->lead_count != 0);
    sw_buf_free(&owner);
}

static void write_parts(writing *w) {
    begin(w, "parts");
    inside(w, "parts");
    for (uint32_t i = 0; i < w->plan->part_count; i++)
        write_part(w, &w->plan->parts[i]);
    outside(w, "parts", w->plan->part_count != 0);
}

static void write_cut(writing *w, const sw_cut *cut) {
    sw_buf owner = SW_BUF_INIT;
    char left[12], right[12];
    begin(w, "cut");
    sw_hole_write(cut->hole, left);
    sw_hole_write((sw_hole){cut->hole.strip, (int16_t)(cut->hole.column + 1)}, right);
    if (!cut->knife)
        attribute(w, "hole", left);
    else if (xmlTextWriterWriteFormatAttribute(w->xml, BAD_CAST "between", "%s %s", left,
                                               right) < 0)
        w->failed = true;
    if (cut->asked)
        flag_attribute(w, "asked", true);
    swi_placement_owner_cut(&owner, cut);
    leaf(w, owner_name(w, &owner));
    sw_buf_free(&owner);
}

static void write_cuts(writing *w) {
    begin(w, "cuts");
    inside(w, "cuts");
    for (uint32_t i = 0; i < w->plan->cut_count; i++)
        write_cut(w, &w->plan->cuts[i]);
    outside(w, "cuts", w->plan->cut_count != 0);
}

static void write_link(writing *w, const sw_link *link) {
    sw_buf owner = SW_BUF_INIT;
    begin(w, "link");
    if (link->node != 0)
        count_attribute(w, "node", link->node);
    hole_attribute(w, "from", link->from);
    hole_attribute(w, "to", link->to);
    flag_attribute(w, "sleeved", link->sleeved);
    flag_attribute(w, "locked", link->locked);
    swi_placement_owner_link(&owner, link);
    leaf(w, owner_name(w, &owner));
    sw_buf_free(&owner);
}

static void write_links(writing *w) {
    begin(w, "links");
    inside(w, "links");
    for (uint32_t i = 0; i < w->plan->link_count; i++)
        write_link(w, &w->plan->links[i]);
    outside(w, "links", w->plan->link_count != 0);
}

static void write_circuit(writing *w) {
    const sw_plan *plan = w->plan;
    if (plan->circuit_file[0] == '\0' && plan->circuit_sha256[0] == '\0' &&
        !has_owned(w, "circuit"))
        return;
    begin(w, "circuit");
    if (plan->circuit_file[0] != '\0')
        attribute(w, "file", plan->circuit_file);
    if (plan->circuit_sha256[0] != '\0')
        attribute(w, "sha256", plan->circuit_sha256);
    leaf(w, "circuit");
}

static void write_document(writing *w, const char *made_by) {
    if (xmlTextWriterStartDocument(w->xml, "1.0", "UTF-8", NULL) < 0)
        w->failed = true;
    begin(w, "stripboard");
    attribute(w, "xmlns", SWI_PLACEMENT_NS);
    attribute(w, "title", w->plan->title);
    if (made_by != NULL)
        attribute(w, "made-by", made_by);
    else if (xmlTextWriterWriteFormatAttribute(w->xml, BAD_CAST "made-by", "stripwright %s",
                                               sw_version()) < 0)
        w->failed = true;
    inside(w, "stripboard");
    write_circuit(w);
    write_board(w);
    write_nodes(w);
    write_parts(w);
    write_cuts(w);
    write_links(w);
    outside(w, "stripboard", true);
    if (xmlTextWriterEndDocument(w->xml) < 0) /* with a line end */
        w->failed = true;
}

static void say_losses(const writing *w) {
    for (uint32_t i = 0; i < w->plan->foreign_count; i++)
        if (!w->foreign.written[i])
            sw_diag_add(w->diags, SW_D_PLACEMENT_FOREIGN_LOST, SW_NOWHERE,
                        "content of another namespace at \"%s\" is not written: there is no such "
                        "thing in the plan any more", w->plan->foreign[i].owner);
}

static sw_status write_plan(const sw_plan *plan, const char *made_by, sw_diags *diags,
                            sw_buf *out) {
    writing w = {.plan = plan, .diags = diags, .memory = true};
    xmlBufferPtr buffer = xmlBufferCreate();
    if (buffer != NULL)
        w.xml = xmlNewTextWriterMemory(buffer, 0);
    w.memory = w.xml != NULL && open_index(&w.foreign, plan);
    if (w.memory) {
        write_document(&w, made_by);
        say_losses(&w);
    }
    if (w.xml != NULL)
        xmlFreeTextWriter(w.xml);
    if (w.memory && !w.failed)
        sw_buf_put(out, (const char *)xmlBufferContent(buffer),
                   (size_t)xmlBufferLength(buffer));
    close_index(&w.foreign);
    xmlBufferFree(buffer);
    return w.memory && !w.failed ? SW_OK : swi_out_of_memory(diags);
}

sw_status swi_placement_write(const sw_document *document, const sw_write_options *options,
                              sw_diags *diags, sw_buf *out) {
    sw_plan *plan = sw_plan_copy(document->plan);
    sw_status status = plan != NULL && sw_plan_normalise(plan)
                           ? write_plan(plan, options->made_by, diags, out)
                           : swi_out_of_memory(diags);
    sw_plan_free(plan);
    return status;
}
