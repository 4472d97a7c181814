/* src/layout/wish.c: tells which wishes the plan does not meet.
 *
 * A wish weighs in the search, it does not bind; so the finished plan is looked at, and
 * what it falls short of is said.  Distances are as in soft.c: steps along and across
 * the strips between the rectangles around two parts' leads.
 */
#include "emit.h"
#include "base/text.h"

/* The rectangle around a part's leads. */
typedef struct extent {
    int top, bottom, left, right;
} extent;

static bool extent_of(const sw_plan *plan, const char *ref, extent *e) {
    for (uint32_t i = 0; i < plan->part_count; i++) {
        const sw_plan_part *part = &plan->parts[i];
        if (!swi_equal_fold(part->ref, ref) || part->lead_count == 0)
            continue;
        *e = (extent){INT16_MAX, -1, INT16_MAX, -1};
        for (uint32_t k = 0; k < part->lead_count; k++) {
            sw_hole hole = plan->leads[part->first_lead + k].hole;
            e->top = hole.strip < e->top ? hole.strip : e->top;
            e->bottom = hole.strip > e->bottom ? hole.strip : e->bottom;
            e->left = hole.column < e->left ? hole.column : e->left;
            e->right = hole.column > e->right ? hole.column : e->right;
        }
        return true;
    }
    return false;
}

static int gap(int a0, int a1, int b0, int b1) {
    return a1 < b0 ? b0 - a1 : b1 < a0 ? a0 - b1 : 0;
}

/* Pitches from the edge that was asked for, margin left out. */
static int from_edge(const sw_plan *plan, const extent *e, sw_wish_kind kind) {
    int margin = plan->margin;
    switch (kind) {
    case SW_WISH_EDGE_LEFT: return e->left - margin;
    case SW_WISH_EDGE_RIGHT: return plan->columns - 1 - margin - e->right;
    case SW_WISH_EDGE_TOP: return e->top - margin;
    case SW_WISH_EDGE_BOTTOM: return plan->strips - 1 - margin - e->bottom;
    case SW_WISH_NEAR:
    case SW_WISH_APART: break;
    }
    return 0;
}

/* Pitches by which a wish is not met; how far the two parts are apart in *apart. */
static int missed_by(const sw_plan *plan, const sw_wish *wish, int *apart) {
    extent a, b;
    *apart = 0;
    if (!extent_of(plan, wish->ref, &a))
        return 0;
    if (wish->kind != SW_WISH_NEAR && wish->kind != SW_WISH_APART)
        return from_edge(plan, &a, wish->kind);
    if (!extent_of(plan, wish->other, &b))
        return 0;
    *apart = gap(a.top, a.bottom, b.top, b.bottom) + gap(a.left, a.right, b.left, b.right);
    return wish->kind == SW_WISH_NEAR ? *apart - wish->pitches : wish->pitches - *apart;
}

static void tell(const sw_wish *wish, int missed, int apart, sw_diags *diags) {
    static const char *const edges[] = {"left", "right", "top", "bottom"};
    static const char *const more = "more effort, another seed or a larger board may do it";
    if (wish->kind == SW_WISH_NEAR || wish->kind == SW_WISH_APART)
        sw_diag_add(diags, SW_D_LAYOUT_WISH_UNMET, SW_NOWHERE, "%s and %s are %d pitches apart, asked was %s %d: %s", wish->ref,
                    wish->other, apart, wish->kind == SW_WISH_NEAR ? "at most" : "at least", wish->pitches, more);
    else
        sw_diag_add(diags, SW_D_LAYOUT_WISH_UNMET, SW_NOWHERE, "%s is %d pitch%s from the %s edge where it was asked to be: %s",
                    wish->ref, missed, missed == 1 ? "" : "es", edges[wish->kind - SW_WISH_EDGE_LEFT], more);
}

void swi_tell_wishes(const sw_plan *plan, const sw_layout_options *options, sw_diags *diags) {
    for (size_t i = 0; i < options->wish_count; i++) {
        int apart, missed = missed_by(plan, &options->wishes[i], &apart);
        if (missed > 0)
            tell(&options->wishes[i], missed, apart, diags);
    }
}

int sw_layout_missed(const sw_plan *plan, const sw_layout_options *options) {
    int sum = 0;
    for (size_t i = 0; i < options->wish_count; i++) {
        int apart, missed = missed_by(plan, &options->wishes[i], &apart);
        sum += missed > 0 ? missed : 0;
    }
    return sum;
}
