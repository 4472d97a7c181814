/* src/board/rule_opens.c: rule 5: all leads of one node are on one piece of copper. */
#include "check.h"

#include <stdlib.h>

#define SHOWN 4 /* pieces of a node, and leads of a piece, that a finding lists */

typedef struct keyed_lead { uint32_t net, copper, lead; } keyed_lead;

static int compare_keyed(const void *a, const void *b) {
    const keyed_lead *p = a, *q = b;
    if (p->net != q->net)
        return p->net < q->net ? -1 : 1;
    if (p->copper != q->copper)
        return p->copper < q->copper ? -1 : 1;
    return (p->lead > q->lead) - (p->lead < q->lead);
}

static uint32_t order_leads(const swi_check *check, keyed_lead *keyed) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < check->plan->lead_count; i++) {
        const swi_lead *lead = &check->leads[i];
        if (lead->segment != SW_NONE && lead->net != SW_NONE)
            keyed[count++] = (keyed_lead){
                lead->net, check->copper->segments[lead->segment].copper, i};
    }
    if (count > 1)
        qsort(keyed, count, sizeof *keyed, compare_keyed);
    return count;
}

/* "R1.2 in C4, Q1.3 in D5 | R2.1 in F9" */
static const char *say_pieces(swi_check *check, const keyed_lead *keyed, uint32_t count) {
    const char *text = "";
    uint32_t pieces = 1, in_piece = 0;
    for (uint32_t i = 0; i < count; i++) {
        bool begins = i > 0 && keyed[i].copper != keyed[i - 1].copper;
        if (begins && ++pieces > SHOWN)
            return swi_say(check, "%s | …", text);
        in_piece = begins || i == 0 ? 1 : in_piece + 1;
        const swi_lead *lead = &check->leads[keyed[i].lead];
        if (in_piece <= SHOWN)
            text = swi_say(check, "%s%s%s in %s", text, i == 0 ? "" : begins ? " | " : ", ",
                           swi_say_lead(check, lead), swi_say_hole(check, lead->plan->hole));
        else if (in_piece == SHOWN + 1)
            text = swi_say(check, "%s, …", text);
    }
    return text;
}

/* keyed: the leads of one net. */
static void check_net(swi_check *check, const keyed_lead *keyed, uint32_t count) {
    uint32_t pieces = 1, second = 0;
    for (uint32_t i = 1; i < count; i++)
        if (keyed[i].copper != keyed[i - 1].copper && pieces++ == 1)
            second = i;
    if (pieces == 1)
        return;
    const swi_lead *a = &check->leads[keyed[0].lead], *b = &check->leads[keyed[second].lead];
    swi_fault(check, SW_D_BOARD_OPEN,
              (sw_fault){.at = a->plan->hole, .to = b->plan->hole,
                         .node_a = swi_net_number(check, a->net),
                         .ref = check->plan->parts[a->part].ref, .pin = a->plan->pin},
              a->plan->span, "%s is in %u pieces: %s", swi_say_net(check, a->net),
              (unsigned)pieces, say_pieces(check, keyed, count));
}

void swi_rule_opens(swi_check *check) {
    keyed_lead *keyed = malloc(((size_t)check->plan->lead_count + 1) * sizeof *keyed);
    if (keyed == NULL) {
        check->failed = true;
        return;
    }
    uint32_t count = order_leads(check, keyed), first = 0;
    for (uint32_t i = 1; i <= count; i++)
        if (i == count || keyed[i].net != keyed[first].net) {
            check_net(check, keyed + first, i - first);
            first = i;
        }
    free(keyed);
}
