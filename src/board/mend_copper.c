/* src/board/mend_copper.c: proposals of cuts and links. */
#include "mend.h"

#include <stdlib.h>

/* How much each asks of the person at the bench, in no unit. */
enum { CUT = 15, TAKE_CUT = 20, TAKE_LINK = 20, LINK = 25, KNIFE = 40, MOVE_CUT = 45,
       MOVE_LINK = 60 };
enum { REACH = 6,            /* columns that a cut or link is moved at most */
       MOST_LINKS = 80 };    /* proposed for one open */

static sw_hole beside(sw_hole hole, int columns) {
    return (sw_hole){hole.strip, (int16_t)(hole.column + columns)};
}

static bool is_free(const swi_mender *m, sw_hole hole) {
    const sw_plan *plan = m->check->plan;
    return swi_on_board(plan, hole) &&
           !m->taken[(size_t)hole.strip * (size_t)plan->columns + (size_t)hole.column] &&
           sw_copper_segment(m->check->copper, plan, hole) != SW_NONE;
}

/* A cut that should be here may have been made some strips off. */
static void propose_cuts_of_other_strips(swi_mender *m, int16_t strip, int first, int last) {
    for (uint32_t i = 0; i < m->check->plan->cut_count; i++) {
        const sw_cut *cut = &m->check->plan->cuts[i];
        sw_hole here = {strip, cut->hole.column};
        int by = abs(cut->hole.strip - strip);
        if (!cut->knife && by != 0 && by <= REACH && here.column > first && here.column < last &&
            is_free(m, here))
            swi_propose(m, (sw_mend){.kind = SW_MEND_MOVE_CUT, .a = cut->hole, .b = here},
                        MOVE_CUT + by);
    }
}

void swi_propose_cuts(swi_mender *m, sw_hole from, sw_hole to) {
    if (from.strip != to.strip)
        return;
    int first = from.column < to.column ? from.column : to.column;
    int last = from.column < to.column ? to.column : from.column;
    bool any = false;
    propose_cuts_of_other_strips(m, from.strip, first, last);
    for (int column = first + 1; column < last; column++) {
        sw_hole hole = {from.strip, (int16_t)column};
        /* Nearest to the middle first. */
        int off = abs(2 * column - first - last);
        if (is_free(m, hole)) {
            swi_propose(m, (sw_mend){.kind = SW_MEND_CUT, .a = hole}, CUT + off / 8);
            any = true;
        }
    }
    for (int column = first; !any && column < last; column++)
        swi_propose(m, (sw_mend){.kind = SW_MEND_KNIFE, .a = {from.strip, (int16_t)column}},
                    KNIFE);
}

/* ---- links for an open ---- */

/* Whether a piece of copper has leads of the net: one of the pieces to be joined. */
static bool *pieces_of(const swi_check *check, uint32_t number, sw_hole at) {
    bool *piece = calloc((size_t)check->copper->copper_count + 1, sizeof *piece);
    uint32_t net = SW_NONE;
    for (uint32_t i = 0; i < check->plan->lead_count; i++)
        if (swi_same_hole(check->leads[i].plan->hole, at) &&
            swi_net_number(check, check->leads[i].net) == number)
            net = check->leads[i].net;
    for (uint32_t i = 0; piece != NULL && i < check->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        if (lead->net == net && net != SW_NONE && lead->segment != SW_NONE)
            piece[check->copper->segments[lead->segment].copper] = true;
    }
    return piece;
}

static uint32_t copper_at(const swi_check *check, sw_hole hole) {
    uint32_t segment = sw_copper_segment(check->copper, check->plan, hole);
    return segment == SW_NONE ? SW_NONE : check->copper->segments[segment].copper;
}

/* Links of one length between neighbouring pieces in any column. */
static uint32_t links_of_length(swi_mender *m, const bool *piece, int length, uint32_t most) {
    const sw_plan *plan = m->check->plan;
    uint32_t count = 0;
    for (int column = 0; column < plan->columns; column++)
        for (int strip = 0; strip + length < plan->strips && count < most; strip++) {
            sw_hole a = {(int16_t)strip, (int16_t)column};
            sw_hole b = {(int16_t)(strip + length), (int16_t)column};
            if (!is_free(m, a) || !is_free(m, b))
                continue;
            uint32_t p = copper_at(m->check, a), q = copper_at(m->check, b);
            if (p == q || !piece[p] || !piece[q])
                continue;
            swi_propose(m, (sw_mend){.kind = SW_MEND_LINK, .a = a, .b = b}, LINK + length);
            count++;
        }
    return count;
}

void swi_propose_links(swi_mender *m, const sw_fault *open) {
    bool *piece = pieces_of(m->check, open->node_a, open->at);
    if (piece == NULL) {
        m->check->failed = true;
        return;
    }
    uint32_t left = MOST_LINKS;
    for (int length = 1; length < m->check->plan->strips && left > 0; length++)
        left -= links_of_length(m, piece, length, left);
    free(piece);
}

/* ---- what is there already: away with it, or elsewhere ---- */

void swi_propose_for_cut(swi_mender *m, uint32_t index) {
    const sw_cut *cut = &m->check->plan->cuts[index];
    if (m->cut_seen[index])
        return;
    m->cut_seen[index] = true;
    swi_propose(m, (sw_mend){.kind = cut->knife ? SW_MEND_UNKNIFE : SW_MEND_UNCUT,
                             .a = cut->hole}, TAKE_CUT);
    for (int by = 1; !cut->knife && by <= REACH; by++)
        for (int way = -1; way <= 1; way += 2) {
            sw_hole to = beside(cut->hole, way * by);
            if (is_free(m, to))
                swi_propose(m, (sw_mend){.kind = SW_MEND_MOVE_CUT, .a = cut->hole, .b = to},
                            MOVE_CUT + by);
        }
}

static void propose_move(swi_mender *m, const sw_link *link, sw_hole from, sw_hole to) {
    bool from_own = swi_same_hole(from, link->from) || swi_same_hole(from, link->to);
    bool to_own = swi_same_hole(to, link->from) || swi_same_hole(to, link->to);
    if ((!from_own && !is_free(m, from)) || (!to_own && !is_free(m, to)) ||
        swi_same_hole(from, to) || (from_own && to_own))
        return;
    int way = abs(from.strip - link->from.strip) + abs(from.column - link->from.column) +
              abs(to.strip - link->to.strip) + abs(to.column - link->to.column);
    swi_propose(m, (sw_mend){.kind = SW_MEND_MOVE_LINK, .a = link->from, .b = link->to,
                             .c = from, .d = to}, MOVE_LINK + way);
}

void swi_propose_for_link(swi_mender *m, uint32_t index) {
    const sw_plan *plan = m->check->plan;
    const sw_link *link = &plan->links[index];
    if (m->link_seen[index])
        return;
    m->link_seen[index] = true;
    swi_propose(m, (sw_mend){.kind = SW_MEND_UNLINK, .a = link->from, .b = link->to},
                TAKE_LINK);
    for (int strip = 0; strip < plan->strips; strip++) {
        sw_hole on_from = {(int16_t)strip, link->from.column};
        sw_hole on_to = {(int16_t)strip, link->to.column};
        propose_move(m, link, link->from, on_from); /* one end elsewhere in the column */
        propose_move(m, link, on_to, link->to);
    }
    for (int by = -REACH; by <= REACH; by++) /* both ends along their strips */
        if (by != 0) {
            sw_hole from = beside(link->from, by);
            propose_move(m, link, from, (sw_hole){link->to.strip, from.column});
        }
}

/* Whether the copper is on either side of the cut. */
static bool ends(const swi_check *check, const sw_cut *cut, uint32_t copper) {
    return copper_at(check, beside(cut->hole, cut->knife ? 0 : -1)) == copper ||
           copper_at(check, beside(cut->hole, 1)) == copper;
}

void swi_propose_for_copper(swi_mender *m, sw_hole hole) {
    const swi_check *check = m->check;
    uint32_t copper = copper_at(check, hole);
    if (copper == SW_NONE || m->copper_seen[copper])
        return;
    m->copper_seen[copper] = true;
    for (uint32_t i = 0; i < check->plan->link_count; i++)
        if (copper_at(check, check->plan->links[i].from) == copper ||
            copper_at(check, check->plan->links[i].to) == copper)
            swi_propose_for_link(m, i);
    for (uint32_t i = 0; i < check->plan->cut_count; i++)
        if (ends(check, &check->plan->cuts[i], copper))
            swi_propose_for_cut(m, i);
}
