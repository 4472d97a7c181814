/* Which designators one part alone bears in the whole design: those stand as they are,
 * others get the path of their instance before them.
 */
#include "formats/edif/edif_flat.h"

#include <stdlib.h>
#include <string.h>

/* One designator: how many parts bear it, as far as 2. */
typedef struct swi_bearer {
    uint32_t view, of_view, count; /* the view that was counted last, its parts' view */
    bool gates;                    /* all say that they are gates of one package */
} swi_bearer;

bool swi_flat_is_part(swi_flat *f, const swi_edif_instance *instance) {
    enum { UNKNOWN, PART, CELL };
    if (instance->off_page)
        return true;
    uint8_t *kind = &f->view_kinds[instance->view];
    if (*kind == UNKNOWN) {
        const swi_edif_view *view = &f->e->views[instance->view];
        const swi_edif_cell *cell = &f->e->cells[view->cell];
        const sw_read_options *options = f->e->options;
        bool part = cell->external || !view->contents ||
                    (!view->instance_count && !view->net_count) ||
                    (options->is_device &&
                     options->is_device(options->device_user, cell->name.display));
        *kind = part ? PART : CELL;
    }
    return *kind == PART;
}

/* ---- how often each view is there ---- */

typedef struct visit {
    uint32_t view, next;
} visit;

typedef struct walk {
    visit *stack;
    uint32_t *order, order_count; /* views, each behind all that it contains */
    uint8_t *seen, *uses;         /* uses: as far as 2 */
} walk;

/* Views in order; those of a cycle in some order, for that is told when flattening. */
static void put_in_order(swi_flat *f, walk *w, uint32_t top) {
    const swi_edif *e = f->e;
    size_t depth = 0;
    w->stack[depth++] = (visit){top, 0};
    w->seen[top] = 1;
    while (depth > 0) {
        visit *v = &w->stack[depth - 1];
        const swi_edif_view *view = &e->views[v->view];
        if (v->next == view->instance_count) {
            w->order[w->order_count++] = v->view;
            depth--;
            continue;
        }
        const swi_edif_instance *instance = &e->instances[view->first_instance + v->next++];
        if (!swi_flat_is_part(f, instance) && !w->seen[instance->view]) {
            w->seen[instance->view] = 1;
            w->stack[depth++] = (visit){instance->view, 0};
        }
    }
}

static void count_uses(swi_flat *f, walk *w, uint32_t top) {
    const swi_edif *e = f->e;
    w->uses[top] = 1;
    for (uint32_t i = w->order_count; i-- > 0;) {
        const swi_edif_view *view = &e->views[w->order[i]];
        for (uint32_t k = 0; k < view->instance_count; k++) {
            const swi_edif_instance *instance = &e->instances[view->first_instance + k];
            if (swi_flat_is_part(f, instance))
                continue;
            uint8_t *uses = &w->uses[instance->view];
            uint32_t more = w->uses[w->order[i]] * (instance->width > 1 ? 2u : 1u);
            *uses = *uses + more > 2 ? 2 : (uint8_t)(*uses + more);
        }
    }
}

/* ---- who bears a designator ---- */

static void add_bearer(swi_flat *f, const char *ref, size_t length, uint32_t view, uint8_t uses,
                       const swi_edif_instance *instance) {
    swi_edif *e = f->e;
    bool failed = false, gate = swi_edif_said(e, instance->properties, SWI_M_GATE) != NULL;
    uint32_t next = (uint32_t)f->bearer_count;
    uint32_t i = swi_map_add(f->bearers_at, ref, length, next, &failed);
    if (failed || (i == next && !SWI_GROW(f->bearers, f->bearer_room, f->bearer_count + 1))) {
        swi_edif_out(e);
        return;
    }
    if (i == next) {
        f->bearers[f->bearer_count++] = (swi_bearer){view, instance->view, uses, gate};
        return;
    }
    swi_bearer *bearer = &f->bearers[i];
    bool gates = bearer->gates && gate && bearer->of_view == instance->view && uses == 1;
    if (bearer->view != view && !gates)
        bearer->count = 2;
    bearer->gates = bearer->gates && gate;
    bearer->view = view;
}

static void add_bearers(swi_flat *f, uint32_t view_index, uint8_t uses, bool top) {
    const swi_edif *e = f->e;
    const swi_edif_view *view = &e->views[view_index];
    for (uint32_t i = 0; i < view->instance_count && !e->failed; i++) {
        const swi_edif_instance *instance = &e->instances[view->first_instance + i];
        if (!swi_flat_is_part(f, instance) || (!top && !swi_flat_designated(f, instance)))
            continue;
        const char *ref = swi_flat_ref(f, instance);
        size_t base = swi_flat_gate_base(ref);
        add_bearer(f, ref, strlen(ref), view_index, uses, instance);
        if (base > 0)
            add_bearer(f, ref, base, view_index, uses, instance);
    }
}

bool swi_flat_designated(const swi_flat *f, const swi_edif_instance *instance) {
    const char *said = swi_edif_said(f->e, instance->properties, SWI_M_REF);
    return (instance->designator && *instance->designator) || (said && *said);
}

bool swi_flat_count_designators(swi_flat *f, uint32_t top) {
    swi_edif *e = f->e;
    walk w = {.stack = malloc((e->view_count + 1) * sizeof *w.stack),
              .order = malloc((e->view_count + 1) * sizeof *w.order),
              .seen = calloc(e->view_count + 1, 1),
              .uses = calloc(e->view_count + 1, 1)};
    f->view_kinds = calloc(e->view_count + 1, 1);
    f->bearers_at = swi_map_new(e->arena, true);
    bool done = w.stack && w.order && w.seen && w.uses && f->view_kinds && f->bearers_at;
    if (done) {
        put_in_order(f, &w, top);
        count_uses(f, &w, top);
        /* Without cells within cells no path is put before anything. */
        for (uint32_t i = 0; w.order_count > 1 && i < w.order_count; i++)
            add_bearers(f, w.order[i], w.uses[w.order[i]], w.order[i] == top);
    } else {
        swi_edif_out(e);
    }
    free(w.stack);
    free(w.order);
    free(w.seen);
    free(w.uses);
    return done && !e->failed;
}

bool swi_flat_stands_alone(const swi_flat *f, const swi_edif_instance *instance,
                           const char *ref) {
    if (!swi_flat_designated(f, instance))
        return false;
    uint32_t i = swi_map_get(f->bearers_at, ref, strlen(ref), SWI_EDIF_NONE);
    return i != SWI_EDIF_NONE && f->bearers[i].count == 1;
}
