/* formats/d356/d356.c: the electrical test netlist of a plan, IPC-D-356A, written.
 *
 * Fixed columns, at most 80 a record; README.md has the table and its sources. */
#include <stripwright/format.h>

#include "base/arena.h"
#include "base/fault.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

enum { RECORD = 80, NET = 14, REF = 6, PIN = 4 };

/* Ten-thousandths of an inch, `P UNITS CUST 0`. */
enum { PITCH = 1000, HOLE = 394 /* 1.0 mm */, LAND = 787 /* strip, about 2.0 mm */ };

/* A place that a probe touches. */
typedef struct point {
    uint32_t node;           /* 0: not known */
    uint32_t piece;          /* of its copper, which parts may join that are not there yet */
    const char *ref, *pin;   /* a link's end: VIA, "" */
    sw_hole hole;
} point;

typedef struct writing {
    const sw_plan *plan;
    sw_diags *diags;
    sw_buf *out;
    swi_arena *arena;
    const char **names;      /* of the plan's nodes, as written */
    unsigned alias_count;
    sw_copper *copper;       /* without parts */
    point *points;
    uint32_t point_count;
} writing;

/* ---- text ---- */

/* Upper case and printable ASCII; false when the text has anything else. */
static bool put_upper(char *to, const char *text, size_t room) {
    bool fits = true;
    size_t i = 0;
    for (; text[i] != '\0' && i < room; i++) {
        fits = fits && text[i] > ' ' && text[i] < 0x7F;
        to[i] = text[i] > ' ' && text[i] < 0x7F ? swi_upper(text[i]) : '_';
    }
    return fits && text[i] == '\0';
}

static void put_parameter(sw_buf *out, const char *name, const char *value) {
    char text[RECORD + 1] = "";
    /* A value's blanks may stay. */
    for (size_t i = 0; value[i] != '\0' && i < RECORD - 9; i++)
        text[i] = value[i] >= ' ' && value[i] < 0x7F ? swi_upper(value[i]) : '_';
    sw_buf_printf(out, "P  %-5s %s\n", name, text);
}

/* ---- nets ---- */

static bool name_is_taken(const writing *w, uint32_t count, const char *name) {
    for (uint32_t i = 0; i < count; i++)
        if (strcmp(w->names[i], name) == 0)
            return true;
    return false;
}

/* The record of an alias, and the alias into name. */
static bool put_alias(sw_buf *out, const char *full, unsigned number, char *name) {
    char text[RECORD - 18] = "";
    sw_buf alias = SW_BUF_INIT;
    put_upper(text, full[0] == '\0' ? "-" : full, sizeof text - 1);
    sw_buf_printf(&alias, "NNAME%u", number);
    sw_buf_printf(out, "P  NNAME%u  %s\n", number, text);
    memset(name, 0, NET + 1);
    if (!alias.failed)
        memcpy(name, alias.bytes, alias.length < NET ? alias.length : NET);
    bool good = !alias.failed;
    sw_buf_free(&alias);
    return good;
}

/* A node keeps its name when that is a net name of the standard and nobody else's; else it
 * gets an alias that the header explains. */
static bool name_nets(writing *w) {
    w->names = swi_arena_array(w->arena, (size_t)w->plan->node_count + 1, sizeof *w->names);
    for (uint32_t i = 0; w->names != NULL && i < w->plan->node_count; i++) {
        const sw_plan_node *node = &w->plan->nodes[i];
        char *name = swi_arena_alloc(w->arena, NET + 1);
        if (name == NULL)
            return false;
        if (node->unused) {
            strcpy(name, "N/C");
        } else if (!put_upper(name, node->name, NET) || name[0] == '\0' ||
                   strcmp(name, "N/C") == 0 || strncmp(name, "NNAME", 5) == 0 ||
                   name_is_taken(w, i, name)) {
            if (!put_alias(w->out, node->name, ++w->alias_count, name))
                return false;
        }
        w->names[i] = name;
    }
    return w->names != NULL;
}

/* Its index in the plan; SW_NONE for none. */
static uint32_t index_of(const writing *w, uint32_t node) {
    for (uint32_t i = 0; i < w->plan->node_count; i++)
        if (w->plan->nodes[i].number == node)
            return i;
    return SW_NONE;
}

static const char *net_name(const writing *w, uint32_t node) {
    uint32_t i = index_of(w, node);
    return i == SW_NONE ? "N/C" : w->names[i];
}

/* ---- points ---- */

static uint32_t piece_of(const writing *w, sw_hole hole) {
    uint32_t segment = sw_copper_segment(w->copper, w->plan, hole);
    return segment == SW_NONE ? SW_NONE : w->copper->segments[segment].copper;
}

static int compare_points(const void *a, const void *b) {
    const point *p = a, *q = b;
    if (p->node != q->node)
        return p->node < q->node ? -1 : 1;
    if (p->piece != q->piece)
        return p->piece < q->piece ? -1 : 1;
    if (p->hole.strip != q->hole.strip)
        return p->hole.strip < q->hole.strip ? -1 : 1;
    if (p->hole.column != q->hole.column)
        return p->hole.column < q->hole.column ? -1 : 1;
    return sw_natural_compare(p->ref, q->ref);
}

static bool gather(writing *w) {
    const sw_plan *plan = w->plan;
    size_t most = (size_t)plan->lead_count + 2 * (size_t)plan->link_count;
    w->points = swi_arena_array(w->arena, most + 1, sizeof *w->points);
    if (w->points == NULL)
        return false;
    uint32_t n = 0;
    for (uint32_t i = 0; i < plan->part_count; i++)
        for (uint32_t k = 0; k < plan->parts[i].lead_count; k++) {
            const sw_plan_lead *lead = &plan->leads[plan->parts[i].first_lead + k];
            w->points[n++] = (point){lead->node, piece_of(w, lead->hole), plan->parts[i].ref, lead->pin, lead->hole};
        }
    for (uint32_t i = 0; i < plan->link_count; i++) {
        const sw_link *link = &plan->links[i];
        w->points[n++] = (point){link->node, piece_of(w, link->from), "VIA", "", link->from};
        w->points[n++] = (point){link->node, piece_of(w, link->to), "VIA", "", link->to};
    }
    if (n > 1)
        qsort(w->points, n, sizeof *w->points, compare_points);
    w->point_count = n;
    return true;
}

/* ---- records ---- */

/* Columns count from 1. */
static void put_at(char *record, int column, const char *text) {
    memcpy(record + column - 1, text, strlen(text));
}

static void put_number(char *record, int column, int digits, long value) {
    for (int i = digits - 1; i >= 0; i--, value /= 10)
        record[column - 1 + i] = (char)('0' + value % 10);
}

/* Origin: the bottom left hole, so that all is positive with y upwards. */
static void put_record(writing *w, const point *p, const char *net) {
    char record[RECORD + 1];
    memset(record, ' ', RECORD);
    record[RECORD] = '\0';
    put_at(record, 1, "317");
    put_at(record, 4, net);
    bool whole = put_upper(record + 20, p->ref, REF);
    if (p->pin[0] != '\0') {
        put_at(record, 27, "-");
        whole = put_upper(record + 27, p->pin, PIN) && whole;
    }
    put_at(record, 33, "D");
    put_number(record, 34, 4, HOLE);
    put_at(record, 38, "UA02X+");
    put_number(record, 44, 6, (long)p->hole.column * PITCH);
    put_at(record, 50, "Y+");
    put_number(record, 52, 6, (long)(w->plan->strips - 1 - p->hole.strip) * PITCH);
    put_at(record, 58, "X");
    put_number(record, 59, 4, LAND);
    put_at(record, 63, "Y0000R000 S0");
    sw_buf_printf(w->out, "%.74s\n", record);
    if (!whole)
        sw_diag_add(w->diags, SW_D_D356_SHORTENED, SW_NOWHERE,
                    "%s.%s does not fit six characters and four: the record has %.6s-%.4s", p->ref,
                    p->pin, record + 20, record + 27);
}

static void put_header(writing *w, const sw_document *document) {
    const char *title = w->plan->title[0] == '\0' ? "STRIPBOARD" : w->plan->title;
    put_parameter(w->out, "JOB", title);
    put_parameter(w->out, "CODE", "00");
    put_parameter(w->out, "UNITS", "CUST 0");
    put_parameter(w->out, "TITLE", title);
    if (document->revision != NULL && document->revision[0] != '\0')
        put_parameter(w->out, "REV", document->revision);
    put_parameter(w->out, "VER", "IPC-D-356A");
    put_parameter(w->out, "IMAGE", "PRIMARY");
}

static const char *full_name(const writing *w, uint32_t node) {
    uint32_t i = index_of(w, node);
    return i == SW_NONE ? "" : w->plan->nodes[i].name;
}

/* The net of a node's piece of copper: the node's, and for further pieces, which only a part will join, an
 * alias.  An alias' record goes before. */
static const char *net_of_piece(writing *w, uint32_t i, char name[NET + 1], unsigned *pieces) {
    const point *p = &w->points[i], *before = i ? p - 1 : NULL;
    if (!before || before->node != p->node)
        *pieces = 1; /* of a new node */
    else if (before->piece != p->piece) {
        sw_buf full = SW_BUF_INIT;
        sw_buf_printf(&full, "%s, piece %u", full_name(w, p->node), ++*pieces);
        bool put = !full.failed && put_alias(w->out, full.bytes, ++w->alias_count, name);
        sw_buf_free(&full);
        if (!put)
            return NULL;
    }
    return *pieces > 1 ? name : net_name(w, p->node);
}

static sw_status write_all(writing *w, const sw_document *document) {
    char name[NET + 1];
    unsigned pieces = 1;
    put_header(w, document);
    if (!w->copper || !name_nets(w) || !gather(w))
        return swi_out_of_memory(w->diags);
    for (uint32_t i = 0; i < w->point_count; i++) {
        const char *net = net_of_piece(w, i, name, &pieces);
        if (!net)
            return swi_out_of_memory(w->diags);
        if (w->points[i].hole.strip >= 0 && w->points[i].hole.strip < w->plan->strips &&
            w->points[i].hole.column >= 0 && w->points[i].hole.column < w->plan->columns)
            put_record(w, &w->points[i], net);
        else
            sw_diag_add(w->diags, SW_D_D356_OFF, SW_NOWHERE,
                        "%s.%s is off the board and left out", w->points[i].ref,
                        w->points[i].pin);
    }
    sw_buf_puts(w->out, "999\n");
    return SW_OK;
}

static sw_status write_d356(const sw_document *document, const sw_write_options *options,
                            sw_diags *diags, sw_buf *out) {
    (void)options;
    if (document->plan == NULL) {
        sw_diag_add(diags, SW_D_FORMAT_NEEDS, SW_NOWHERE,
                    "the format d356 needs a plan, and there is none");
        return SW_USAGE;
    }
    writing w = {.plan = document->plan, .diags = diags, .out = out, .arena = swi_arena_new()};
    w.copper = sw_copper_new(document->plan, NULL);
    sw_status status = w.arena == NULL ? swi_out_of_memory(diags) : write_all(&w, document);
    sw_copper_free(w.copper);
    swi_arena_free(w.arena);
    return status;
}

static const char *const aliases[] = {"ipc-d-356", NULL};
static const char *const extensions[] = {".ipc", NULL};

const sw_format swi_format_d356 = {
    .name = "d356",
    .aliases = aliases,
    .extensions = extensions,
    .summary = "electrical test netlist: where a tester's probes touch, and which node is there",
    .standard = "IPC-D-356A",
    .keeps = "holes of leads and link ends with their nodes; written only",
    .group = SW_GROUP_PAPER,
    .write = write_d356,
};
