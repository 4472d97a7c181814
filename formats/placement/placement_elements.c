/* formats/placement/placement_elements.c: our elements and their attributes.
 *
 * A table says where each may stand and which attributes it has; the schema
 * (placement.rng) says the same. */
#include "placement_reading.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

const swi_element_rule swi_element_rules[ELEMENTS] = {
    [NOWHERE] = {"", NOWHERE, false, {NULL}},
    [STRIPBOARD] = {"stripboard", NOWHERE, true, {"title", "made-by"}},
    [CIRCUIT] = {"circuit", STRIPBOARD, true, {"file", "sha256"}},
    [BOARD] = {"board", STRIPBOARD, true, {"!strips", "!columns", "pitch-mm", "margin"}},
    [KEEP_OUT] = {"keep-out", BOARD, false, {"!from", "!to", "why"}},
    [NODES] = {"nodes", STRIPBOARD, true, {NULL}},
    [NODE] = {"node", NODES, false, {"!number", "name", "rail", "unused"}},
    [PARTS] = {"parts", STRIPBOARD, true, {NULL}},
    [PART] = {"part", PARTS, false,
              {"!ref", "value", "device", "package", "turn", "locked"}},
    [LEAD] = {"lead", PART, false, {"!pin", "node", "!hole"}},
    [CUTS] = {"cuts", STRIPBOARD, true, {NULL}},
    [CUT] = {"cut", CUTS, false, {"hole", "between", "asked"}},
    [LINKS] = {"links", STRIPBOARD, true, {NULL}},
    [LINK] = {"link", LINKS, false, {"node", "!from", "!to", "sleeved", "locked"}},
};

/* ---- places ---- */

sw_span swi_tag_span(const swi_reading *r) {
    long at = XML_GetCurrentByteIndex(r->parser);
    int length = XML_GetCurrentByteCount(r->parser);
    uint32_t offset = at < 0 ? 0 : (uint32_t)at;
    return (sw_span){r->input->source, offset, length > 0 ? (uint32_t)length : 1};
}

/* Where an attribute of the tag at hand stands; the tag when it is not found. */
static sw_span attribute_span(const swi_reading *r, const char *name) {
    sw_span span = swi_tag_span(r);
    size_t length = strlen(name), end = (size_t)span.offset + span.length;
    if (end > r->input->length)
        end = r->input->length;
    const char *bytes = r->input->bytes;
    for (size_t i = (size_t)span.offset + 1; i + length < end; i++) {
        if (!swi_is_space(bytes[i - 1]) || memcmp(bytes + i, name, length) != 0)
            continue;
        size_t stop = i + length;
        while (stop < end && bytes[stop] != '"' && bytes[stop] != '\'')
            stop++;
        char quote = stop < end ? bytes[stop++] : '"';
        while (stop < end && bytes[stop] != quote)
            stop++;
        return (sw_span){span.source, (uint32_t)i, (uint32_t)(stop < end ? stop + 1 - i : 1)};
    }
    return span;
}

/* ---- attributes ---- */

static const char *rule_name(const char *attribute) {
    return attribute[0] == '!' ? attribute + 1 : attribute;
}

static bool is_rule(swi_element kind, int i, const char *name) {
    if (i >= MOST_ATTRIBUTES || swi_element_rules[kind].attributes[i] == NULL)
        return false;
    const char *rule = rule_name(swi_element_rules[kind].attributes[i]);
    return *rule == *name && strcmp(rule, name) == 0;
}

static int attribute_index(swi_element kind, const char *name) {
    for (int i = 0; i < MOST_ATTRIBUTES && swi_element_rules[kind].attributes[i] != NULL; i++)
        if (is_rule(kind, i, name))
            return i;
    return -1;
}

/* Sorts the attributes out; foreign ones have a namespace of their own. */
static void take_attributes(swi_reading *r, swi_element kind) {
    memset(r->value, 0, sizeof r->value);
    r->foreign_attributes = false;
    int next = 0; /* files that are written by us have them in the order of the rule */
    for (size_t i = 0; r->attributes[i] != NULL; i += 2) {
        const char *name = r->attributes[i];
        const char *mark = strchr(name, SWI_NS_SEPARATOR);
        if (mark != NULL && strncmp(name, SWI_PLACEMENT_NS "\f", sizeof SWI_PLACEMENT_NS) != 0) {
            r->foreign_attributes = true;
            continue;
        }
        int at = mark != NULL ? -1 : is_rule(kind, next, name) ? next : attribute_index(kind, name);
        next = at + 1;
        if (at >= 0)
            r->value[at] = r->attributes[i + 1];
        else
            sw_diag_add(r->diags, SW_D_PLACEMENT_ATTRIBUTE, attribute_span(r, name),
                        "the element %s has no attribute %s", swi_element_rules[kind].name,
                        mark == NULL ? name : mark + 1);
    }
    for (int i = 0; i < MOST_ATTRIBUTES && swi_element_rules[kind].attributes[i] != NULL; i++)
        if (r->value[i] == NULL && swi_element_rules[kind].attributes[i][0] == '!')
            sw_diag_add(r->diags, SW_D_PLACEMENT_MISSING, swi_tag_span(r),
                        "the element %s lacks the attribute %s", swi_element_rules[kind].name,
                        rule_name(swi_element_rules[kind].attributes[i]));
}

static const char *get(const swi_reading *r, swi_element kind, const char *name) {
    int at = attribute_index(kind, name);
    return at < 0 ? NULL : r->value[at];
}

static void bad_value(swi_reading *r, const char *name, const char *value, const char *wanted) {
    sw_diag_add(r->diags, SW_D_PLACEMENT_VALUE, attribute_span(r, name),
                "%s=\"%s\" is not understood: %s", name, value, wanted);
}

static sw_hole get_hole(swi_reading *r, swi_element kind, const char *name) {
    sw_hole hole = {-1, -1};
    const char *text = get(r, kind, name);
    if (text != NULL && !swi_placement_hole(text, &hole))
        bad_value(r, name, text, "write a hole as strip and column, like C12");
    return hole;
}

static bool get_flag(swi_reading *r, swi_element kind, const char *name) {
    bool value = false;
    const char *text = get(r, kind, name);
    if (text != NULL && !swi_placement_flag(text, &value))
        bad_value(r, name, text, "true or false");
    return value;
}

static long get_count(swi_reading *r, swi_element kind, const char *name, int digits, long least) {
    long value = least;
    const char *text = get(r, kind, name);
    if (text != NULL && !swi_placement_count(text, digits, least, &value))
        bad_value(r, name, text, "a whole number in digits");
    return value;
}

static const char *get_text(swi_reading *r, swi_element kind, const char *name) {
    const char *text = sw_plan_text(r->plan, get(r, kind, name));
    r->memory = r->memory && text != NULL;
    return text == NULL ? "" : text;
}

static const char *get_name(swi_reading *r, swi_element kind, const char *name) {
    const char *text = get(r, kind, name);
    if (text != NULL && text[0] == '\0')
        bad_value(r, name, text, "a name is needed");
    return get_text(r, kind, name);
}

/* ---- elements ---- */

static void read_circuit(swi_reading *r) {
    const char *hash = get(r, CIRCUIT, "sha256");
    size_t digits = hash == NULL ? 64 : strspn(hash, "0123456789abcdef");
    if (digits != 64 || (hash != NULL && hash[digits] != '\0'))
        bad_value(r, "sha256", hash, "64 hexadecimal digits in small letters");
    r->plan->circuit_file = get_text(r, CIRCUIT, "file");
    r->plan->circuit_sha256 = get_text(r, CIRCUIT, "sha256");
}

static void read_board(swi_reading *r) {
    const sw_limits *limits = sw_diags_limits(r->diags);
    const char *pitch = get(r, BOARD, "pitch-mm");
    long strips = get_count(r, BOARD, "strips", 4, 1);
    long columns = get_count(r, BOARD, "columns", 4, 1);
    if (pitch != NULL && strcmp(pitch, "2.54") != 0)
        bad_value(r, "pitch-mm", pitch, "boards have a pitch of 2.54 mm");
    if (strips > (long)limits->strips || columns > (long)limits->columns)
        sw_diag_add(r->diags, SW_D_LIMIT_BOARD, swi_tag_span(r),
                    "a board of %ld strips by %ld columns is more than the limit of %u by %u",
                    strips, columns, (unsigned)limits->strips, (unsigned)limits->columns);
    r->plan->strips = (int16_t)strips;
    r->plan->columns = (int16_t)columns;
    r->plan->margin = (int16_t)get_count(r, BOARD, "margin", 4, 0);
}

static void read_keep_out(swi_reading *r) {
    sw_keep_out keep_out = {.from = get_hole(r, KEEP_OUT, "from"),
                            .to = get_hole(r, KEEP_OUT, "to"),
                            .why = get_text(r, KEEP_OUT, "why"), .span = swi_tag_span(r)};
    r->memory = sw_plan_add_keep_out(r->plan, keep_out) && r->memory;
}

static void read_node(swi_reading *r) {
    sw_plan_node node = {.number = (uint32_t)get_count(r, NODE, "number", 9, 1),
                         .name = get_text(r, NODE, "name"),
                         .unused = get_flag(r, NODE, "unused")};
    const char *rail = get(r, NODE, "rail");
    if (rail != NULL && !swi_placement_rail(rail, &node.rail))
        bad_value(r, "rail", rail, "positive, ground or negative");
    uint32_t most = sw_diags_limits(r->diags)->nodes;
    if (r->plan->node_count == most)
        sw_diag_add(r->diags, SW_D_LIMIT_NODES, swi_tag_span(r), "there are more than %u nodes",
                    (unsigned)most);
    r->memory = sw_plan_add_node(r->plan, node) && r->memory;
}

static void read_part(swi_reading *r) {
    sw_plan_part part = {.ref = get_name(r, PART, "ref"), .value = get_text(r, PART, "value"),
                         .device = get_text(r, PART, "device"),
                         .package = get_text(r, PART, "package"), .turn = -1,
                         .locked = get_flag(r, PART, "locked"), .span = swi_tag_span(r)};
    const char *turn = get(r, PART, "turn");
    if (turn != NULL && !swi_placement_turn(turn, &part.turn))
        bad_value(r, "turn", turn, "0, 90, 180 or 270");
    uint32_t most = sw_diags_limits(r->diags)->parts;
    if (r->plan->part_count == most)
        sw_diag_add(r->diags, SW_D_LIMIT_PARTS, part.span, "there are more than %u parts",
                    (unsigned)most);
    r->memory = sw_plan_add_part(r->plan, part) && r->memory;
}

static void read_lead(swi_reading *r) {
    sw_plan_lead lead = {.pin = get_name(r, LEAD, "pin"), .hole = get_hole(r, LEAD, "hole"),
                         .span = swi_tag_span(r)};
    if (get(r, LEAD, "node") != NULL)
        lead.node = (uint32_t)get_count(r, LEAD, "node", 9, 1);
    uint32_t most = sw_diags_limits(r->diags)->pins_per_part;
    if (r->plan->parts[r->plan->part_count - 1].lead_count == most)
        sw_diag_add(r->diags, SW_D_LIMIT_PINS, lead.span, "a part has more than %u leads",
                    (unsigned)most);
    r->memory = sw_plan_add_lead(r->plan, lead) && r->memory;
}

static void read_cut(swi_reading *r) {
    sw_cut cut = {.hole = {-1, -1}, .asked = get_flag(r, CUT, "asked"), .span = swi_tag_span(r)};
    const char *hole = get(r, CUT, "hole"), *between = get(r, CUT, "between");
    sw_hole to = {-1, -1};
    if ((hole == NULL) == (between == NULL))
        sw_diag_add(r->diags, SW_D_PLACEMENT_MISSING, swi_tag_span(r),
                    "a cut is at a hole or between two: one of the attributes hole and between");
    else if (hole != NULL)
        cut.hole = get_hole(r, CUT, "hole");
    else if (!swi_placement_between(between, &cut.hole, &to) || to.strip != cut.hole.strip ||
             abs(to.column - cut.hole.column) != 1)
        bad_value(r, "between", between, "two neighbouring holes of a strip, like D9 D10");
    cut.knife = between != NULL;
    if (cut.knife && to.column < cut.hole.column)
        cut.hole = to;
    r->memory = sw_plan_add_cut(r->plan, cut) && r->memory;
}

static void read_link(swi_reading *r) {
    sw_link link = {.from = get_hole(r, LINK, "from"), .to = get_hole(r, LINK, "to"),
                    .sleeved = get_flag(r, LINK, "sleeved"),
                    .locked = get_flag(r, LINK, "locked"), .span = swi_tag_span(r)};
    if (get(r, LINK, "node") != NULL)
        link.node = (uint32_t)get_count(r, LINK, "node", 9, 1);
    r->memory = sw_plan_add_link(r->plan, link) && r->memory;
}

void swi_read_element(swi_reading *r, swi_element kind) {
    take_attributes(r, kind);
    switch (kind) {
    case STRIPBOARD: r->plan->title = get_text(r, STRIPBOARD, "title"); break;
    case CIRCUIT: read_circuit(r); break;
    case BOARD: read_board(r); break;
    case KEEP_OUT: read_keep_out(r); break;
    case NODE: read_node(r); break;
    case PART: read_part(r); break;
    case LEAD: read_lead(r); break;
    case CUT: read_cut(r); break;
    case LINK: read_link(r); break;
    default: break;
    }
}

/* What is last in the plan's lists is what is open. */
const char *swi_open_owner(swi_reading *r) {
    const sw_plan *plan = r->plan;
    sw_buf owner = SW_BUF_INIT;
    swi_element kind = r->open[r->depth];
    const sw_plan_part *part = plan->part_count ? &plan->parts[plan->part_count - 1] : NULL;
    if (kind == KEEP_OUT && plan->keep_out_count)
        swi_placement_owner_keep_out(&owner, &plan->keep_outs[plan->keep_out_count - 1]);
    else if (kind == NODE && plan->node_count)
        sw_buf_printf(&owner, "node %u", (unsigned)plan->nodes[plan->node_count - 1].number);
    else if (kind == PART && part)
        sw_buf_printf(&owner, "part %s", part->ref);
    else if (kind == LEAD && part && plan->lead_count)
        sw_buf_printf(&owner, "lead %s.%s", part->ref, plan->leads[plan->lead_count - 1].pin);
    else if (kind == CUT && plan->cut_count)
        swi_placement_owner_cut(&owner, &plan->cuts[plan->cut_count - 1]);
    else if (kind == LINK && plan->link_count)
        swi_placement_owner_link(&owner, &plan->links[plan->link_count - 1]);
    else
        sw_buf_puts(&owner, swi_element_rules[kind].name);
    const char *text = owner.failed ? NULL : sw_plan_text(r->plan, owner.bytes);
    sw_buf_free(&owner);
    return text;
}
