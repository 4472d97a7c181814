/* src/board/rule_needless.c: rule 7: every cut separates something, every link joins
 * something; and copper under screws is cut free. */
#include "check.h"

#include <stdlib.h>
#include <string.h>

static bool is_screw(const sw_keep_out *keep_out) {
    return strncmp(keep_out->why, "screw", 5) == 0;
}

/* Whether a screw sits on any hole of the strip from first to last. */
static bool under_screw(const sw_plan *plan, int strip, int first, int last) {
    for (uint32_t i = 0; i < plan->keep_out_count; i++) {
        sw_keep_out square = plan->keep_outs[i];
        swi_keep_out_square(&square);
        if (is_screw(&square) && strip >= square.from.strip && strip <= square.to.strip &&
            first <= square.to.column && last >= square.from.column)
            return true;
    }
    return false;
}

/* ---- cuts ---- */

/* A run of holes between two cuts, and what it carries. */
typedef struct copper_run {
    bool used, screw;
    uint32_t net;            /* SW_NONE: none */
    uint32_t copper;         /* SW_NONE: no holes */
} copper_run;

/* Column × 2, a knife cut half a column further. */
static int position(const sw_cut *cut) {
    return 2 * cut->hole.column + (cut->knife ? 1 : 0);
}

/* Net of each piece of copper; in order, there is one at most. */
static uint32_t *nets_of_copper(const swi_check *check) {
    uint32_t *nets = malloc(((size_t)check->copper->copper_count + 1) * sizeof *nets);
    for (uint32_t i = 0; nets != NULL && i < check->copper->copper_count; i++)
        nets[i] = SW_NONE;
    for (uint32_t i = 0; nets != NULL && i < check->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        if (lead->segment != SW_NONE && lead->net != SW_NONE)
            nets[check->copper->segments[lead->segment].copper] = lead->net;
    }
    return nets;
}

/* The run strictly between two positions. */
static copper_run run_between(const swi_check *check, const uint32_t *nets, int strip, int from,
                       int to) {
    copper_run run = {.net = SW_NONE, .copper = SW_NONE};
    int first = from / 2 + 1, last = (to + 1) / 2 - 1;
    if (from < 0)
        first = 0;
    if (first > last)
        return run;
    sw_hole hole = {(int16_t)strip, (int16_t)first};
    uint32_t segment = sw_copper_segment(check->copper, check->plan, hole);
    if (segment == SW_NONE)
        return run;
    run.used = check->copper->segments[segment].used;
    run.copper = check->copper->segments[segment].copper;
    run.net = nets[run.copper];
    run.screw = under_screw(check->plan, strip, first, last);
    return run;
}

static bool could_be_one(const copper_run *a, const copper_run *b) {
    if ((a->used && b->screw) || (b->used && a->screw))
        return false;
    return !a->used || !b->used || a->copper == b->copper || a->net == b->net;
}

static copper_run merged(const copper_run *a, const copper_run *b) {
    copper_run run = a->used ? *a : *b;
    if (run.copper == SW_NONE)
        run = *a;
    run.screw = a->screw || b->screw;
    return run;
}

static void cut_is_needless(swi_check *check, const sw_cut *cut) {
    sw_hole right = {cut->hole.strip, (int16_t)(cut->hole.column + 1)};
    swi_fault(check, SW_D_BOARD_CUT_NEEDLESS,
              (sw_fault){.at = cut->hole, .to = cut->knife ? right : SWI_NO_HOLE}, cut->span, "the %scut %s%s separates nothing", cut->knife ? "knife " : "",
              cut->knife ? "right of " : "at ", swi_say_hole(check, cut->hole));
}

/* cuts: of one strip, in order. */
static void check_strip(swi_check *check, const uint32_t *nets, const sw_cut *cuts,
                        uint32_t count) {
    int strip = cuts[0].hole.strip, end = 2 * check->plan->columns;
    copper_run left = run_between(check, nets, strip, -1, position(&cuts[0]));
    for (uint32_t i = 0; i < count; i++) {
        int next = i + 1 < count ? position(&cuts[i + 1]) : end;
        copper_run right = run_between(check, nets, strip, position(&cuts[i]), next);
        bool needless = !cuts[i].asked && could_be_one(&left, &right);
        if (needless)
            cut_is_needless(check, &cuts[i]);
        left = needless ? merged(&left, &right) : right;
    }
}

static void check_cuts(swi_check *check) {
    const sw_plan *plan = check->plan;
    sw_cut *cuts = malloc(((size_t)plan->cut_count + 1) * sizeof *cuts);
    uint32_t *nets = nets_of_copper(check);
    if (cuts == NULL || nets == NULL)
        check->failed = true;
    if (!check->failed && plan->cut_count != 0) {
        memcpy(cuts, plan->cuts, plan->cut_count * sizeof *cuts);
        qsort(cuts, plan->cut_count, sizeof *cuts, swi_compare_cuts);
        for (uint32_t first = 0, i = 1; i <= plan->cut_count; i++)
            if (i == plan->cut_count || cuts[i].hole.strip != cuts[first].hole.strip) {
                check_strip(check, nets, cuts + first, i - first);
                first = i;
            }
    }
    free(cuts);
    free(nets);
}

/* ---- links ---- */

/* Islands: segments as joined inside parts.  Links in order of length make a forest of
 * them; what closes a circle or hangs loose at its end joins nothing. */
typedef struct forest {
    uint32_t *island;        /* parents, of segments */
    uint32_t *tree;          /* parents, of islands by links kept */
    uint32_t *weight;        /* of islands: link ends kept, and LEADS when it has leads */
    sw_link *links;          /* shortest first */
    bool *kept;
} forest;

#define LEADS 0x80000000u

static int length_of(const sw_link *link) {
    return abs(link->to.strip - link->from.strip) + abs(link->to.column - link->from.column);
}

static int compare_lengths(const void *a, const void *b) {
    int p = length_of(a), q = length_of(b);
    return p != q ? p - q : swi_compare_links(a, b);
}

static void join_inside(const swi_check *check, uint32_t *island) {
    for (uint32_t p = 0; p < check->plan->part_count; p++) {
        const swi_part *part = &check->parts[p];
        const swi_lead *leads = check->leads + part->plan->first_lead;
        for (uint32_t i = 0; i < part->plan->lead_count; i++)
            for (uint32_t k = 0; k < i; k++)
                if (swi_joined_inside(part, &leads[i], &leads[k]))
                    swi_unite(island, leads[i].segment, leads[k].segment);
    }
}

static uint32_t island_at(const swi_check *check, forest *f, sw_hole hole) {
    return swi_root(f->island, sw_copper_segment(check->copper, check->plan, hole));
}

static void plant(const swi_check *check, forest *f) {
    const sw_plan *plan = check->plan;
    for (uint32_t i = 0; i < check->copper->segment_count; i++)
        f->island[i] = f->tree[i] = i;
    join_inside(check, f->island);
    for (uint32_t i = 0; i < plan->lead_count; i++)
        if (check->leads[i].segment != SW_NONE)
            f->weight[swi_root(f->island, check->leads[i].segment)] |= LEADS;
    memcpy(f->links, plan->links, plan->link_count * sizeof *f->links);
    for (uint32_t i = 0; i < plan->link_count; i++)
        swi_link_downwards(&f->links[i]);
    qsort(f->links, plan->link_count, sizeof *f->links, compare_lengths);
    for (uint32_t i = 0; i < plan->link_count; i++) {
        uint32_t a = island_at(check, f, f->links[i].from);
        uint32_t b = island_at(check, f, f->links[i].to);
        f->kept[i] = swi_root(f->tree, a) != swi_root(f->tree, b);
        if (!f->kept[i])
            continue;
        swi_unite(f->tree, a, b);
        f->weight[a]++;
        f->weight[b]++;
    }
}

/* Takes away what ends at an island with nothing else on it, again and again. */
static void prune(const swi_check *check, forest *f) {
    for (bool changed = true; changed;) {
        changed = false;
        for (uint32_t i = 0; i < check->plan->link_count; i++) {
            uint32_t a = island_at(check, f, f->links[i].from);
            uint32_t b = island_at(check, f, f->links[i].to);
            if (!f->kept[i] || (f->weight[a] != 1 && f->weight[b] != 1))
                continue;
            f->kept[i] = false;
            f->weight[a]--;
            f->weight[b]--;
            changed = true;
        }
    }
}

static void report_links(swi_check *check, const forest *f) {
    for (uint32_t i = 0; i < check->plan->link_count; i++)
        if (!f->kept[i])
            swi_fault(check, SW_D_BOARD_LINK_NEEDLESS,
                      (sw_fault){.at = f->links[i].from, .to = f->links[i].to},
                      f->links[i].span, "the link %s-%s joins nothing that is not joined without it",
                      swi_say_hole(check, f->links[i].from), swi_say_hole(check, f->links[i].to));
}

static void check_links(swi_check *check) {
    size_t segments = (size_t)check->copper->segment_count + 1;
    size_t links = (size_t)check->plan->link_count + 1;
    forest f = {malloc(segments * sizeof *f.island), malloc(segments * sizeof *f.tree),
                calloc(segments, sizeof *f.weight), malloc(links * sizeof *f.links),
                calloc(links, sizeof *f.kept)};
    if (f.island == NULL || f.tree == NULL || f.weight == NULL || f.links == NULL ||
        f.kept == NULL)
        check->failed = true;
    else if (check->plan->link_count != 0) {
        plant(check, &f);
        prune(check, &f);
        report_links(check, &f);
    }
    free(f.island);
    free(f.tree);
    free(f.weight);
    free(f.links);
    free(f.kept);
}

/* ---- screws ---- */

static void check_screws(swi_check *check) {
    for (uint32_t i = 0; i < check->copper->segment_count; i++) {
        const sw_segment *segment = &check->copper->segments[i];
        if (segment->used &&
            under_screw(check->plan, segment->strip, segment->first, segment->last)) {
            char strip[8];
            sw_strip_write(segment->strip, strip);
            swi_fault(check, SW_D_BOARD_SCREW_COPPER,
                      (sw_fault){.at = {segment->strip, segment->first},
                                 .to = {segment->strip, segment->last}}, SW_NOWHERE,
                      "strip %s carries a node from %s to %s under a screw: cut it on the "
                      "node's side of the screw", strip,
                      swi_say_hole(check, (sw_hole){segment->strip, segment->first}),
                      swi_say_hole(check, (sw_hole){segment->strip, segment->last}));
        }
    }
}

/* Any error yet is one of rules 1, 4, 5, 6: of a wrong plan nobody can say what it could
 * do without. */
void swi_rule_needless(swi_check *check) {
    if (check->plan->keep_out_count != 0)
        check_screws(check);
    if (check->error_count != 0)
        return;
    check_cuts(check);
    check_links(check);
}
