/* src/layout/model.c: builds the search's own picture of the circuit. */
#include <stdlib.h>
#include <string.h>
#include "base/text.h"
#include "model.h"

/* More is no board that anybody builds; the limits of sizes are far below what a board
 * of 500 × 500 holes takes. */
enum { MOST_PARTS = 2000, MOST_PINS = 20000, MOST_SHAPES = 64 };

typedef struct builder {
    swi_model *m;
    sw_diags *diags;
    uint16_t *pin_node; /* of each pin of the circuit, lone pins joined inside taken together */
    sw_status failure;  /* what the caller is told when it cannot be built */
} builder;

static bool is_lone(const sw_circuit *circuit, uint32_t pin) {
    return circuit->nodes[circuit->pins[pin].node.i].pin_count == 1;
}

/* Every pin of the package in package order as an index of the circuit's pins. */
static bool pin_order(const sw_circuit *circuit, const sw_part *part, uint32_t *order) {
    for (uint32_t i = 0; i < part->form->pin_count; i++)
        order[i] = SW_NONE;
    for (uint32_t i = 0; i < part->pin_count; i++) {
        uint32_t pin = part->first_pin.i + i;
        int at = sw_package_pin_index(part->form, circuit->pins[pin].number);
        if (at < 0 || order[at] != SW_NONE)
            return false;
        order[at] = pin;
    }
    return part->pin_count == part->form->pin_count;
}

/* A pin that connects to nothing and that its package joins to another one is of
 * that one's node. */
static void share_joined(builder *b, const sw_package *form, const uint32_t *order) {
    for (uint32_t i = 0; form->joined && i < form->pin_count; i++)
        for (uint32_t k = 0; form->joined[i] && k < form->pin_count; k++) {
            if (k == i || form->joined[k] != form->joined[i] || !is_lone(b->m->circuit, order[i]))
                continue;
            if (k < i || !is_lone(b->m->circuit, order[k])) {
                b->pin_node[order[i]] = b->pin_node[order[k]];
                break;
            }
        }
}

static bool add_part(builder *b, uint16_t index) {
    swi_model *m = b->m;
    const sw_part *source = &m->circuit->parts[index];
    uint16_t *nodes = swi_arena_array(m->arena, source->pin_count + 1u, sizeof *nodes);
    uint32_t *order = swi_arena_array(m->arena, source->form->pin_count + 1u, sizeof *order);
    if (!nodes || !order)
        return false;
    if (!pin_order(m->circuit, source, order)) {
        sw_diag_add(b->diags, SW_D_LAYOUT_PINS, source->span,
                    "the pins of %s are not those of its package %s: give it the package that it has, or its pins in a parts sheet",
                    source->ref, source->form->name);
        return false;
    }
    share_joined(b, source->form, order);
    for (uint32_t i = 0; i < source->form->pin_count; i++)
        nodes[i] = b->pin_node[order[i]];
    swi_part *part = &m->parts[index];
    *part = (swi_part){.part = index, .node = nodes, .pin_count = source->form->pin_count, .fixed_shape = -1, .home_shape = -1,
                       .terminal = source->terminal || source->form->pin_count == 1 ||
                                   sw_package_takes_wires(source->form->name), .pair = source->form->form == SW_FORM_PAIR};
    m->pin_count += part->pin_count;
    if (!swi_model_shapes(m, index))
        return false;
    if (part->shape_count == 0) {
        sw_diag_add(b->diags, SW_D_LAYOUT_NO_TURN, source->span,
                    "%s cannot stand on strips in any way that is allowed: two of its leads would be neighbours on one strip; allow another way with --lie, or knife cuts with --knife",
                    source->ref);
        return false;
    }
    return true;
}

/* Pins and joins of each node, grouped. */
static bool group_nodes(swi_model *m) {
    m->nodes = swi_arena_array(m->arena, m->node_count + (size_t)SWI_NODES_BESIDE, sizeof *m->nodes);
    m->node_pins = swi_arena_array(m->arena, m->pin_count + 1u, sizeof *m->node_pins);
    m->joins = swi_arena_array(m->arena, m->pin_count + 1u, sizeof *m->joins);
    if (!m->nodes || !m->node_pins || !m->joins)
        return false;
    for (uint32_t n = 0, at = 0, join = 0; n < m->node_count; n++) {
        swi_node *node = &m->nodes[n];
        node->first_pin = at;
        node->first_join = join;
        for (uint16_t p = 0; p < m->part_count; p++)
            for (uint16_t i = 0; i < m->parts[p].pin_count; i++) {
                if (m->parts[p].node[i] != n)
                    continue;
                m->node_pins[at++] = (swi_node_pin){p, i};
                const uint16_t *joined = m->parts[p].shapes[0].package->joined;
                for (uint16_t k = 0; joined && joined[i] && k < i; k++)
                    if (joined[k] == joined[i] && m->parts[p].node[k] == n) {
                        m->joins[join++] = (swi_join){p, k, i};
                        break;
                    }
            }
        node->pin_count = at - node->first_pin;
        node->join_count = join - node->first_join;
    }
    return true;
}

/* Cells of the shape nearest to usual, and least sizes. */
static void measure(swi_model *m) {
    for (uint16_t p = 0; p < m->part_count; p++) {
        const swi_part *part = &m->parts[p];
        const swi_shape *best = &part->shapes[0];
        int16_t rows = INT16_MAX, cols = INT16_MAX;
        for (uint16_t i = 0; i < part->shape_count; i++) {
            const swi_shape *shape = &part->shapes[i];
            best = shape->bend < best->bend ? shape : best;
            rows = shape->rows < rows ? shape->rows : rows;
            cols = shape->cols < cols ? shape->cols : cols;
        }
        m->body_cells += m->forms[best->form].cell_count;
        m->tallest = rows > m->tallest ? rows : m->tallest;
        m->widest = cols > m->widest ? cols : m->widest;
    }
    for (uint16_t t = 0; t < m->thing_count; t++)
        for (uint16_t i = 0; i < m->parts[t].shape_count; i++) {
            const swi_shape *shape = &m->parts[t].shapes[i];
            const swi_form *form = &m->forms[shape->form];
            for (uint32_t k = 0; k < form->cell_count; k++) {
                int row = form->cells[k].row, col = form->cells[k].col;
                int out = -row > row - shape->rows ? -row : row - shape->rows;
                out = -col > out ? -col : out;
                out = col - shape->cols > out ? col - shape->cols : out;
                m->reach = (int16_t)(out > m->reach ? out : m->reach);
            }
        }
}

static int by_pins(const void *a, const void *b) {
    const swi_part *const *p = a, *const *q = b;
    int p_cells = (*p)->shapes[0].rows * 2 + (*p)->pin_count * 8, q_cells = (*q)->shapes[0].rows * 2 + (*q)->pin_count * 8;
    if (p_cells != q_cells)
        return p_cells > q_cells ? -1 : 1;
    return (*p)->part < (*q)->part ? -1 : 1;
}

static bool rank_parts(swi_model *m) {
    const swi_part **order = swi_arena_array(m->arena, m->part_count + 1u, sizeof *order);
    m->by_rank = swi_arena_array(m->arena, m->part_count + 1u, sizeof *m->by_rank);
    if (!order || !m->by_rank)
        return false;
    for (uint16_t p = 0; p < m->part_count; p++)
        order[p] = &m->parts[p];
    qsort(order, m->part_count, sizeof *order, by_pins);
    for (uint16_t i = 0; i < m->part_count; i++)
        m->by_rank[i] = (uint16_t)order[i]->part;
    return true;
}

/* An off-board part is on the board as terminal pins only, BZ1.1 and BZ1.2. */
static const char *first_terminal_of(const sw_circuit *circuit, const char *ref) {
    size_t length = strlen(ref);
    for (uint32_t i = 0; i < circuit->part_count; i++) {
        const sw_part *part = &circuit->parts[i];
        if (part->terminal && strlen(part->ref) > length && part->ref[length] == '.' &&
            swi_equal_fold_n(part->ref, length, ref))
            return part->ref;
    }
    return NULL;
}

static bool unknown_wish(builder *b, const char *ref) {
    const char *terminal = first_terminal_of(b->m->circuit, ref);
    if (terminal)
        sw_diag_add(b->diags, SW_D_LAYOUT_WISH, SW_NOWHERE,
                    "%s is off the board and is not placed: wish for its terminal pins, such as %s", ref, terminal);
    else
        sw_diag_add(b->diags, SW_D_LAYOUT_WISH, SW_NOWHERE,
                    "there is no part %s to place as wished: give a reference of the circuit", ref);
    b->failure = SW_USAGE;
    return false;
}

/* By the reference that the papers have, or a deck, where U1 is an XU1. */
static sw_part_id part_wished(const swi_model *m, const char *ref) {
    sw_part_id part = sw_circuit_part(m->circuit, ref);
    return part.i == SW_NONE && (*ref == 'X' || *ref == 'x') ? sw_circuit_part(m->circuit, ref + 1) : part;
}

static bool add_wish(builder *b, const sw_wish *wish) {
    swi_model *m = b->m;
    sw_part_id part = part_wished(m, wish->ref);
    bool two = wish->kind == SW_WISH_NEAR || wish->kind == SW_WISH_APART;
    if (part.i == SW_NONE)
        return unknown_wish(b, wish->ref);
    if (two && part_wished(m, wish->other).i == SW_NONE)
        return unknown_wish(b, wish->other);
    if (!two)
        m->parts[part.i].edge = (uint8_t)(1 + wish->kind);
    return true;
}

static bool is_supply(const swi_model *m, uint16_t part) {
    const swi_part *p = &m->parts[part];
    return p->terminal && p->pin_count == 1 && m->circuit->nodes[p->node[0]].rail != SW_RAIL_NONE;
}

static bool has_wish(const swi_model *m, uint16_t part) {
    for (size_t i = 0; i < m->options->wish_count; i++)
        if (part_wished(m, m->options->wishes[i].ref).i == part ||
            (m->options->wishes[i].other && part_wished(m, m->options->wishes[i].other).i == part))
            return true;
    return false;
}

/* Between a capacitor and the supply pin that it belongs beside, from one of the two. */
static void bond_decoupler(swi_model *m, uint16_t p, uint16_t capacitor, sw_pin_id supply, uint16_t *at) {
    uint16_t ic = (uint16_t)m->circuit->pins[supply.i].part.i;
    int16_t pin = (int16_t)(supply.i - m->circuit->parts[ic].first_pin.i);
    int32_t weight = m->params.decoupling_pitch;
    if (p == capacitor)
        m->bonds[(*at)++] = (swi_bond){ic, -1, pin, SW_DECOUPLED_PITCHES, weight, false, false};
    else if (p == ic)
        m->bonds[(*at)++] = (swi_bond){capacitor, pin, -1, SW_DECOUPLED_PITCHES, weight, false, false};
}

/* Bonds of one part from the wishes, between neighbours in the list of supply pins, and of
 * capacitors that belong beside an IC. */
static void bonds_of(swi_model *m, uint16_t p, const sw_pin_id *supplies, uint16_t *at) {
    const sw_layout_options *o = m->options;
    for (size_t i = 0; i < o->wish_count; i++) {
        const sw_wish *wish = &o->wishes[i];
        if (wish->kind != SW_WISH_NEAR && wish->kind != SW_WISH_APART)
            continue;
        uint32_t a = part_wished(m, wish->ref).i, z = part_wished(m, wish->other).i;
        if ((a == p || z == p) && a != z)
            m->bonds[(*at)++] = (swi_bond){(uint16_t)(a == p ? z : a), -1, -1, (int16_t)wish->pitches,
                                           m->params.bond_weight, wish->kind == SW_WISH_APART, true};
    }
    int last = -1;
    for (uint16_t q = 0; q < m->part_count && is_supply(m, p); q++) {
        if (!is_supply(m, q))
            continue;
        if (last >= 0 && (q == p || last == p))
            m->bonds[(*at)++] = (swi_bond){(uint16_t)(q == p ? last : q), -1, -1, 1, m->params.supply_pitch, false, false};
        last = q;
    }
    for (uint16_t q = 0; q < m->part_count; q++)
        if (supplies[q].i != SW_NONE)
            bond_decoupler(m, p, q, supplies[q], at);
}

/* The bonds of each part, grouped: a wish is seen from both its parts. */
static bool group_bonds(swi_model *m) {
    m->bonds = swi_arena_array(m->arena, 2 * m->options->wish_count + 4u * m->part_count + 1, sizeof *m->bonds);
    sw_pin_id *supplies = swi_arena_array(m->arena, m->part_count + 1u, sizeof *supplies);
    if (!m->bonds || !supplies)
        return false;
    for (uint16_t p = 0; p < m->part_count; p++) /* what the user asks of the part comes first */
        supplies[p] = has_wish(m, p) ? (sw_pin_id){SW_NONE} : sw_circuit_decoupled(m->circuit, (sw_part_id){p});
    uint16_t at = 0;
    for (uint16_t p = 0; p < m->part_count; p++) {
        m->parts[p].first_bond = at;
        bonds_of(m, p, supplies, &at);
        m->parts[p].bond_count = (uint16_t)(at - m->parts[p].first_bond);
    }
    return true;
}

static bool wishes(builder *b) {
    for (size_t i = 0; i < b->m->options->wish_count; i++)
        if (!add_wish(b, &b->m->options->wishes[i]))
            return false;
    return group_bonds(b->m);
}

/* The board reaches at least to this hole. */
static void reach_to(swi_model *m, int row, int col) {
    m->fixed_rows = (int16_t)(row >= m->fixed_rows ? row + 1 : m->fixed_rows);
    m->fixed_cols = (int16_t)(col >= m->fixed_cols ? col + 1 : m->fixed_cols);
}

static bool fix_parts(builder *b) {
    swi_model *m = b->m;
    const sw_plan *keep = m->options->keep;
    for (uint32_t i = 0; keep && i < keep->part_count; i++) {
        sw_part_id id = sw_circuit_part(m->circuit, keep->parts[i].ref);
        bool gone = id.i == SW_NONE && m->options->built && !keep->parts[i].locked;
        if (gone || !swi_stays(m, keep->parts[i].locked))
            continue;
        swi_part *part = id.i == SW_NONE ? NULL : &m->parts[id.i];
        if (!part || !swi_plan_stands(m, (uint16_t)id.i, keep, &part->fixed_row, &part->fixed_col, &part->fixed_shape)) {
            sw_diag_add(b->diags, SW_D_LAYOUT_KEEP, keep->parts[i].span,
                        "the locked part %s cannot stay where it is: it is not in the circuit, or its leads do not stand as its package says; unlock it or mend the plan",
                        keep->parts[i].ref);
            return false;
        }
        if (m->options->built) {
            part->home_row = part->fixed_row;
            part->home_col = part->fixed_col;
            part->home_shape = part->fixed_shape;
        }
        const swi_shape *shape = &part->shapes[part->fixed_shape];
        reach_to(m, part->fixed_row + shape->rows, part->fixed_col + shape->cols);
        m->has_fixed = true;
    }
    return true;
}

static bool fix_links(builder *b) {
    swi_model *m = b->m;
    const sw_plan *keep = m->options->keep;
    m->fixed_links = swi_arena_array(m->arena, (keep ? keep->link_count : 0) + 1u, sizeof *m->fixed_links);
    if (!m->fixed_links)
        return false;
    for (uint32_t i = 0; keep && i < keep->link_count; i++) {
        const sw_link *link = &keep->links[i];
        if (!swi_stays(m, link->locked))
            continue;
        int margin = m->options->margin, from = link->from.strip - margin, to = link->to.strip - margin;
        if (sw_circuit_numbered(m->circuit, link->node).i == SW_NONE) {
            sw_diag_add(b->diags, SW_D_LAYOUT_KEEP, link->span, "a locked link does not say its node: complete the plan from the circuit first");
            return false;
        }
        m->fixed_links[m->fixed_link_count++] = (swi_fixed_link){
            (uint16_t)sw_circuit_numbered(m->circuit, link->node).i, (int16_t)(link->from.column - margin),
            (int16_t)(from < to ? from : to), (int16_t)(from < to ? to : from)};
        reach_to(m, from < to ? to : from, link->from.column - margin);
        m->has_fixed = true;
    }
    return true;
}

/* What the user says may go elsewhere. */
static bool loosen_asked(builder *b) {
    swi_model *m = b->m;
    const sw_layout_options *o = m->options;
    if (!o->built)
        return true;
    uint16_t *parts = swi_arena_array(m->arena, o->loose_count + 1u, sizeof *parts);
    m->kept_links = swi_arena_array(m->arena, m->fixed_link_count + 1u, sizeof *m->kept_links);
    if (!parts || !m->kept_links)
        return false;
    memcpy(m->kept_links, m->fixed_links, m->fixed_link_count * sizeof *m->kept_links);
    m->kept_link_count = m->fixed_link_count;
    int count = 0;
    for (size_t i = 0; i < o->loose_count; i++) {
        sw_part_id id = sw_circuit_part(m->circuit, o->loose[i]);
        if (id.i != SW_NONE && m->parts[id.i].home_shape >= 0) {
            parts[count++] = (uint16_t)id.i;
            continue;
        }
        sw_diag_add(b->diags, SW_D_LAYOUT_KEEP, SW_NOWHERE, "%s cannot go elsewhere: it is not on the board that is built, or not in the circuit",
                    o->loose[i]);
        return false;
    }
    if (count)
        swi_model_loosen(m, parts, count, true);
    return true;
}

static bool limits(builder *b) {
    swi_model *m = b->m;
    const sw_layout_options *o = m->options;
    int lost = 2 * o->margin;
    m->most_rows = (int16_t)((o->strips ? o->strips : SWI_MOST_SIDE) - lost);
    m->most_cols = (int16_t)((o->columns ? o->columns : SWI_MOST_SIDE) - lost);
    m->fixed_size = o->fixed_size && o->strips && o->columns;
    m->longest_link = (int16_t)(o->longest_link ? o->longest_link : SWI_MOST_SIDE);
    return true;
}

static size_t keep_holes(const sw_layout_options *options) {
    size_t holes = 0;
    for (size_t i = 0; i < options->keep_out_count; i++) {
        sw_hole a = options->keep_outs[i].from, b = options->keep_outs[i].to;
        holes += (size_t)(abs(a.strip - b.strip) + 1) * (size_t)(abs(a.column - b.column) + 1);
    }
    return holes + (options->built && options->keep ? options->keep->cut_count : 0);
}

/* What is cut on the board stays cut; in the margin there is nothing to part. */
static bool fix_cuts(builder *b) {
    swi_model *m = b->m;
    const sw_plan *keep = m->options->keep;
    for (uint32_t i = 0; m->options->built && keep && i < keep->cut_count; i++) {
        int row = keep->cuts[i].hole.strip - m->options->margin, col = keep->cuts[i].hole.column - m->options->margin;
        if (keep->cuts[i].knife) {
            sw_diag_add(b->diags, SW_D_LAYOUT_KEEP, keep->cuts[i].span,
                        "a board that is built cannot be planned on where it is cut between holes: cut at a hole instead");
            return false;
        }
        if (row >= 0 && col >= 0 && row < m->most_rows && col < m->most_cols && !swi_model_cut(m, row, col))
            return false;
        m->has_fixed = true;
    }
    return true;
}

static bool list_link_cells(swi_model *m) {
    swi_cell *cells = swi_arena_array(m->arena, (size_t)m->longest_link + 1, sizeof *cells);
    m->link_cells = cells;
    for (int16_t i = 0; cells && i <= m->longest_link; i++)
        cells[i] = (swi_cell){i, 0, SWI_CELL_THROUGH};
    return cells != NULL;
}

static bool build(builder *b) {
    swi_model *m = b->m;
    const sw_circuit *circuit = m->circuit;
    m->part_count = (uint16_t)circuit->part_count;
    m->node_count = (uint16_t)circuit->node_count;
    m->thing_count = m->part_count;
    m->parts = swi_arena_array(m->arena, m->part_count + keep_holes(m->options) + 1u, sizeof *m->parts);
    m->forms = swi_arena_array(m->arena, (size_t)m->part_count * MOST_SHAPES + 2, sizeof *m->forms);
    b->pin_node = swi_arena_array(m->arena, circuit->pin_count + 1u, sizeof *b->pin_node);
    if (!m->parts || !m->forms || !b->pin_node || !limits(b))
        return false;
    for (uint32_t i = 0; i < circuit->pin_count; i++)
        b->pin_node[i] = (uint16_t)circuit->pins[i].node.i;
    for (uint16_t p = 0; p < m->part_count; p++)
        if (!add_part(b, p))
            return false;
    for (size_t k = 0; k < m->options->keep_out_count; k++) {
        if (!swi_model_keep_out(m, &m->options->keep_outs[k]))
            return false;
        m->has_fixed = true;
    }
    if (!fix_cuts(b))
        return false;
    measure(m);
    swi_model_neat(m);
    return list_link_cells(m) && group_nodes(m) && rank_parts(m) && wishes(b) && fix_parts(b) && fix_links(b) &&
           loosen_asked(b) && swi_model_pairs(m);
}

static bool can_be_laid_out(const sw_circuit *circuit, const sw_layout_options *options, sw_diags *diags) {
    if (circuit->part_count == 0) {
        sw_diag_add(diags, SW_D_LAYOUT_EMPTY, SW_NOWHERE, "the circuit has no parts: there is nothing to lay out");
        return false;
    }
    if (circuit->part_count > MOST_PARTS || circuit->pin_count > MOST_PINS) {
        sw_diag_add(diags, SW_D_LAYOUT_TOO_BIG, SW_NOWHERE,
                    "%u parts with %u pins are too many for one board: at most %d and %d; lay it out in several boards",
                    (unsigned)circuit->part_count, (unsigned)circuit->pin_count, (int)MOST_PARTS, (int)MOST_PINS);
        return false;
    }
    if (circuit->part_count + keep_holes(options) + 4u * circuit->part_count > 60000) {
        sw_diag_add(diags, SW_D_LAYOUT_TOO_BIG, SW_NOWHERE, "the keep-outs have too many holes: ask for a smaller board instead");
        return false;
    }
    for (uint32_t i = 0; i < circuit->part_count; i++)
        if (!circuit->parts[i].form) {
            sw_diag_add(diags, SW_D_LAYOUT_UNFITTED, circuit->parts[i].span, "%s has no package: fit the circuit first",
                        circuit->parts[i].ref);
            return false;
        }
    return true;
}

swi_model *swi_model_new(const sw_circuit *circuit, const sw_library *library, const sw_layout_options *options,
                         const swi_params *params, sw_diags *diags, sw_status *status) {
    *status = SW_NO_PLAN;
    if (!can_be_laid_out(circuit, options, diags))
        return NULL;
    swi_arena *arena = swi_arena_new();
    swi_model *m = arena ? swi_arena_alloc(arena, sizeof *m) : NULL;
    size_t errors = sw_diags_of(diags, SW_ERROR);
    if (m) {
        *m = (swi_model){.circuit = circuit, .library = library, .options = options, .params = *params, .arena = arena};
        builder b = {.m = m, .diags = diags, .failure = SW_NO_PLAN};
        if (build(&b)) {
            *status = SW_OK;
            return m;
        }
        *status = b.failure;
    }
    swi_arena_free(arena);
    if (sw_diags_of(diags, SW_ERROR) == errors) {
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while preparing the search");
        *status = SW_SYSTEM;
    }
    return NULL;
}

void swi_model_free(swi_model *m) {
    if (m)
        swi_arena_free(m->arena);
}
