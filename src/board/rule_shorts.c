/* src/board/rule_shorts.c: rule 4, no two nodes on one piece of copper, and rule 6, a pin
 * that connects to nothing has its segment to itself.
 *
 * A short is shown where it can be mended: between two neighbouring leads of a segment,
 * or, where each segment for itself is in order, at the link or the joined pins between
 * two segments of different nodes. */
#include "check.h"

#include <stdlib.h>

/* Labels of segments, beside indices of nets. */
#define UNTOLD SW_NONE
#define MIXED (SW_NONE - 1)

/* Two segments joined by a link or inside a part. */
typedef struct joint {
    uint32_t a, b;
    const sw_link *link;     /* NULL: joined inside part */
    uint32_t part;
} joint;

typedef struct shorts {
    uint32_t *order;         /* leads by segment, column */
    uint32_t lead_count;
    uint32_t *label;         /* of each segment */
    bool *told;              /* segment: a fault of its lone pin was told */
    joint *edges;
    size_t edge_count, edge_room;
    uint32_t *first, *at;    /* edges of segment i: at[first[i + 1] …] */
} shorts;

/* ---- leads in order along their segments ---- */

typedef struct keyed_lead { uint32_t segment, column, lead; } keyed_lead;

static int compare_keyed(const void *a, const void *b) {
    const keyed_lead *p = a, *q = b;
    if (p->segment != q->segment)
        return p->segment < q->segment ? -1 : 1;
    if (p->column != q->column)
        return p->column < q->column ? -1 : 1;
    return (p->lead > q->lead) - (p->lead < q->lead);
}

static bool order_leads(const swi_check *check, shorts *s) {
    uint32_t count = check->plan->lead_count;
    keyed_lead *keyed = malloc(((size_t)count + 1) * sizeof *keyed);
    s->order = malloc(((size_t)count + 1) * sizeof *s->order);
    if (keyed != NULL && s->order != NULL) {
        for (uint32_t i = 0; i < count; i++) {
            const swi_lead *lead = &check->leads[i];
            if (lead->segment != SW_NONE && lead->net != SW_NONE)
                keyed[s->lead_count++] = (keyed_lead){
                    lead->segment, (uint32_t)lead->plan->hole.column, i};
        }
        if (s->lead_count > 1)
            qsort(keyed, s->lead_count, sizeof *keyed, compare_keyed);
        for (uint32_t i = 0; i < s->lead_count; i++)
            s->order[i] = keyed[i].lead;
    }
    free(keyed);
    return keyed != NULL && s->order != NULL;
}

/* ---- faults ---- */

static const swi_lead *lead_at(const swi_check *check, const shorts *s, uint32_t i) {
    return &check->leads[s->order[i]];
}

/* Whether two nets meeting is a short or a lone pin in company. */
static sw_diag_id id_of(const swi_check *check, uint32_t a, uint32_t b) {
    return check->nets[a].lone || check->nets[b].lone ? SW_D_BOARD_LONE_PIN
                                                      : SW_D_BOARD_SHORT;
}

static void meet_on_strip(swi_check *check, shorts *s, const swi_lead *a, const swi_lead *b) {
    char strip[8];
    sw_strip_write(a->plan->hole.strip, strip);
    sw_diag_id id = id_of(check, a->net, b->net);
    sw_fault fault = {.at = a->plan->hole, .to = b->plan->hole,
                      .node_a = swi_net_number(check, a->net),
                      .node_b = swi_net_number(check, b->net),
                      .ref = check->plan->parts[a->part].ref, .pin = a->plan->pin};
    if (id == SW_D_BOARD_SHORT) {
        swi_fault(check, id, fault, a->plan->span,
                  "%s and %s meet on strip %s between %s (%s) and %s (%s)",
                  swi_say_net(check, a->net), swi_say_net(check, b->net), strip,
                  swi_say_hole(check, a->plan->hole), swi_say_lead(check, a),
                  swi_say_hole(check, b->plan->hole), swi_say_lead(check, b));
        return;
    }
    const swi_lead *lone = check->nets[a->net].lone ? a : b, *other = lone == a ? b : a;
    fault.ref = check->plan->parts[lone->part].ref;
    fault.pin = lone->plan->pin;
    s->told[a->segment] = true;
    swi_fault(check, id, fault, lone->plan->span,
              "%s in %s connects to nothing, but shares strip %s with %s in %s",
              swi_say_lead(check, lone), swi_say_hole(check, lone->plan->hole), strip,
              swi_say_lead(check, other), swi_say_hole(check, other->plan->hole));
}

static void meet_through(swi_check *check, const joint *edge, uint32_t a, uint32_t b) {
    sw_fault fault = {.at = SWI_NO_HOLE, .to = SWI_NO_HOLE,
                      .node_a = swi_net_number(check, a), .node_b = swi_net_number(check, b)};
    if (edge->link != NULL) {
        fault.at = edge->link->from;
        fault.to = edge->link->to;
        swi_fault(check, id_of(check, a, b), fault, edge->link->span,
                  "%s and %s meet through the link %s-%s", swi_say_net(check, a),
                  swi_say_net(check, b), swi_say_hole(check, fault.at),
                  swi_say_hole(check, fault.to));
        return;
    }
    fault.ref = check->plan->parts[edge->part].ref;
    swi_fault(check, id_of(check, a, b), fault, check->plan->parts[edge->part].span,
              "%s and %s meet inside %s, which joins two of its pins", swi_say_net(check, a),
              swi_say_net(check, b), fault.ref);
}

/* ---- segments by themselves ---- */

static void look_along_strips(swi_check *check, shorts *s) {
    for (uint32_t i = 0; i < s->lead_count; i++) {
        const swi_lead *lead = lead_at(check, s, i);
        uint32_t *label = &s->label[lead->segment];
        if (*label == UNTOLD)
            *label = lead->net;
        else if (*label != lead->net)
            *label = MIXED;
        if (i == 0)
            continue;
        const swi_lead *before = lead_at(check, s, i - 1);
        if (before->segment == lead->segment && before->net != lead->net)
            meet_on_strip(check, s, before, lead);
    }
}

/* ---- links and joined pins ---- */

static bool add_edge(shorts *s, joint edge) {
    if (edge.a == SW_NONE || edge.b == SW_NONE || edge.a == edge.b)
        return true;
    if (!SWI_GROW(s->edges, s->edge_room, s->edge_count + 1))
        return false;
    s->edges[s->edge_count++] = edge;
    return true;
}

static bool gather_edges(const swi_check *check, shorts *s) {
    const sw_plan *plan = check->plan;
    bool good = true;
    for (uint32_t i = 0; good && i < plan->link_count; i++) {
        const sw_link *link = &plan->links[i];
        good = add_edge(s, (joint){sw_copper_segment(check->copper, plan, link->from),
                                  sw_copper_segment(check->copper, plan, link->to), link, 0});
    }
    for (uint32_t p = 0; p < plan->part_count; p++) {
        const swi_part *part = &check->parts[p];
        const swi_lead *leads = check->leads + part->plan->first_lead;
        for (uint32_t i = 0; i < part->plan->lead_count; i++)
            for (uint32_t k = 0; good && k < i; k++)
                if (swi_joined_inside(part, &leads[i], &leads[k]))
                    good = add_edge(s, (joint){leads[k].segment, leads[i].segment, NULL, p});
    }
    return good;
}

/* Where the edges of each segment begin in `at`: two entries an edge. */
static bool index_edges(shorts *s, uint32_t segments) {
    s->first = calloc((size_t)segments + 2, sizeof *s->first);
    s->at = malloc((2 * s->edge_count + 1) * sizeof *s->at);
    if (s->first == NULL || s->at == NULL)
        return false;
    for (size_t i = 0; i < s->edge_count; i++) {
        s->first[s->edges[i].a + 1]++;
        s->first[s->edges[i].b + 1]++;
    }
    for (uint32_t i = 0; i < segments; i++)
        s->first[i + 1] += s->first[i];
    for (size_t i = s->edge_count; i-- > 0;) { /* filled from behind: first[] shifts back */
        s->at[--s->first[s->edges[i].a + 1]] = (uint32_t)i;
        s->at[--s->first[s->edges[i].b + 1]] = (uint32_t)i;
    }
    return true;
}

/* Segments without leads take the label of what they are joined to, the nearest first. */
static bool spread_labels(shorts *s, uint32_t segments) {
    uint32_t *queue = malloc(((size_t)segments + 1) * sizeof *queue), head = 0, tail = 0;
    if (queue == NULL)
        return false;
    for (uint32_t i = 0; i < segments; i++)
        if (s->label[i] != UNTOLD && s->label[i] != MIXED)
            queue[tail++] = i;
    while (head < tail) {
        uint32_t here = queue[head++];
        uint32_t end = here + 1 < segments ? s->first[here + 2] : (uint32_t)(2 * s->edge_count);
        for (uint32_t i = s->first[here + 1]; i < end; i++) {
            const joint *edge = &s->edges[s->at[i]];
            uint32_t there = edge->a == here ? edge->b : edge->a;
            if (s->label[there] != UNTOLD)
                continue;
            s->label[there] = s->label[here];
            queue[tail++] = there;
        }
    }
    free(queue);
    return true;
}

/* The first lead of a segment in the order of leads. */
static uint32_t first_on(const swi_check *check, const shorts *s, uint32_t segment) {
    uint32_t low = 0, high = s->lead_count;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (lead_at(check, s, middle)->segment < segment)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* A net of a mixed segment other than this one; the net itself when it is there. */
static uint32_t net_on(const swi_check *check, const shorts *s, uint32_t segment, uint32_t net) {
    uint32_t found = net;
    for (uint32_t i = first_on(check, s, segment);
         i < s->lead_count && lead_at(check, s, i)->segment == segment; i++) {
        if (lead_at(check, s, i)->net == net)
            return net;
        found = lead_at(check, s, i)->net;
    }
    return found;
}

static void look_across_edges(swi_check *check, shorts *s) {
    for (size_t i = 0; i < s->edge_count; i++) {
        const joint *edge = &s->edges[i];
        uint32_t a = s->label[edge->a], b = s->label[edge->b];
        if (a == UNTOLD || b == UNTOLD || (a == MIXED && b == MIXED))
            continue;
        if (a == MIXED)
            a = net_on(check, s, edge->a, b);
        if (b == MIXED)
            b = net_on(check, s, edge->b, a);
        if (a != b)
            meet_through(check, edge, a, b);
    }
}

/* ---- lone pins and link ends ---- */

/* A link with an end on each segment. */
static const sw_link **links_on(const swi_check *check) {
    const sw_link **on = calloc((size_t)check->copper->segment_count + 1, sizeof *on);
    for (uint32_t i = check->plan->link_count; on != NULL && i-- > 0;) {
        const sw_link *link = &check->plan->links[i];
        uint32_t from = sw_copper_segment(check->copper, check->plan, link->from);
        uint32_t to = sw_copper_segment(check->copper, check->plan, link->to);
        if (from != SW_NONE)
            on[from] = link;
        if (to != SW_NONE)
            on[to] = link;
    }
    return on;
}

static void look_at_lone_pins(swi_check *check, const shorts *s) {
    const sw_link **on = links_on(check);
    if (on == NULL) {
        check->failed = true;
        return;
    }
    for (uint32_t i = 0; i < s->lead_count; i++) {
        const swi_lead *lead = lead_at(check, s, i);
        if (!check->nets[lead->net].lone || s->told[lead->segment])
            continue;
        const sw_link *link = on[lead->segment];
        if (link == NULL)
            continue;
        swi_fault(check, SW_D_BOARD_LONE_PIN,
                  (sw_fault){.at = lead->plan->hole, .to = SWI_NO_HOLE,
                             .node_a = swi_net_number(check, lead->net),
                             .ref = check->plan->parts[lead->part].ref, .pin = lead->plan->pin},
                  lead->plan->span,
                  "%s in %s connects to nothing, but shares its strip with the link %s-%s",
                  swi_say_lead(check, lead), swi_say_hole(check, lead->plan->hole),
                  swi_say_hole(check, link->from), swi_say_hole(check, link->to));
    }
    free(on);
}

static bool open_shorts(const swi_check *check, shorts *s, uint32_t segments) {
    s->label = malloc(((size_t)segments + 1) * sizeof *s->label);
    s->told = calloc((size_t)segments + 1, sizeof *s->told);
    if (s->label == NULL || s->told == NULL)
        return false;
    for (uint32_t i = 0; i < segments; i++)
        s->label[i] = UNTOLD;
    return order_leads(check, s) && gather_edges(check, s) && index_edges(s, segments);
}

void swi_rule_shorts(swi_check *check) {
    shorts s = {0};
    uint32_t segments = check->copper->segment_count;
    bool good = open_shorts(check, &s, segments);
    if (good) {
        look_along_strips(check, &s);
        good = spread_labels(&s, segments);
    }
    if (good) {
        look_across_edges(check, &s);
        look_at_lone_pins(check, &s);
    }
    check->failed = check->failed || !good;
    free(s.order);
    free(s.label);
    free(s.told);
    free(s.edges);
    free(s.first);
    free(s.at);
}
