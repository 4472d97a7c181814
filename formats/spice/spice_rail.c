/* formats/spice/spice_rail.c: rails that a deck's `*@` lines state, for what no source and
 * no name tells. */
#include "spice.h"

#include "base/num.h"
#include "circuit/circuit.h"

#include <string.h>

static void complain(swi_deck *deck, const swi_node_row *row, const char *what) {
    sw_diag_add(deck->diags, SW_D_SPICE_ROW, row->span, "%s: %s", row->name, what);
}

/* The flat circuit's node of that name, `gnd` being 0. */
static sw_node_id find_node(swi_deck *deck, const char *name) {
    swi_slice slice = {.text = name, .length = (uint32_t)strlen(name)};
    sw_node_id node = swi_builder_find_node(deck->builder, name, slice.length, true);
    return node.i == SW_NONE && swi_is_ground(slice)
               ? swi_builder_find_node(deck->builder, "0", 1, false)
               : node;
}

static void take(swi_deck *deck, const swi_node_row *row) {
    double volts = 0;
    sw_rail rail = SW_RAIL_NONE;
    size_t length = strlen(row->volts);
    sw_node_id id = find_node(deck, row->name);
    if (id.i == SW_NONE) {
        complain(deck, row, "no node of this deck is called so: correct the name, or take the "
                            "line away");
        return;
    }
    sw_node *node = sw_builder_node_at(deck->builder, id);
    if (row->rail[0] != '\0' && !swi_rail_read(row->rail, &rail))
        complain(deck, row, "a rail is positive, ground or negative");
    else if (rail != SW_RAIL_NONE && node->rail != SW_RAIL_NONE && node->rail != rail)
        complain(deck, row, "another line makes this node a rail of another kind: correct one");
    else if (rail != SW_RAIL_NONE)
        node->rail = rail;
    if (length > 0 && swi_real_read(row->volts, length, &volts) != length)
        complain(deck, row, "volts= is a number such as 9 or -12");
    else if (length > 0 && (node->volts < 0 || node->volts > 0) &&
             (volts < node->volts || volts > node->volts))
        complain(deck, row, "another line gives this node another voltage: correct one");
    else if (length > 0)
        node->volts = volts;
}

void swi_rails_take(swi_deck *deck) {
    for (size_t i = 0; i < deck->node_row_count && !deck->failed; i++)
        take(deck, &deck->node_rows[i]);
}
