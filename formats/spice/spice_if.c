/* formats/spice/spice_if.c: .if … .elseif … .else … .endif, as a machine that
 * tells of every card whether it counts. */
#include "spice.h"

bool swi_branches_on(const swi_branches *branches) {
    return branches->off == 0 && (branches->depth == 0 || branches->level[branches->depth - 1].on);
}

bool swi_branches_any(const swi_branches *branches) {
    for (; branches != NULL; branches = branches->outer)
        if (branches->depth > 0 || branches->off > 0) return true;
    return false;
}

static sw_span word_span(const swi_deck *deck) {
    return (sw_span){deck->line.slice.source, deck->line.slice.offset, 3};
}

/* The card's condition: the text after its first word. */
static bool condition(swi_deck *deck, swi_scope *scope) {
    swi_slice text = deck->line.slice;
    size_t at = 0;
    double value = 0;
    while (at < text.length && !swi_is_space(text.text[at]) && text.text[at] != '(')
        at++;
    return swi_evaluate(deck, scope, swi_slice_from(text, at, text.length - at), &value) ==
               SWI_VALUE &&
           value != 0;
}

static void open_level(swi_deck *deck, swi_branches *branches, swi_scope *scope) {
    if (!swi_branches_on(branches)) {
        branches->off++;
        return;
    }
    if (branches->depth == sizeof branches->level / sizeof *branches->level) {
        sw_diag_add(deck->diags, SW_D_LIMIT_NESTING, word_span(deck),
                    "more than %u .if inside one another", branches->depth);
        deck->stopped = true;
        return;
    }
    bool on = condition(deck, scope);
    branches->level[branches->depth].on = on;
    branches->level[branches->depth].taken = on;
    branches->level[branches->depth].last = false;
    branches->level[branches->depth].span = word_span(deck);
    branches->depth++;
}

static void next_branch(swi_deck *deck, swi_branches *branches, bool has_condition,
                        swi_scope *scope) {
    unsigned top = branches->depth - 1;
    if (branches->level[top].last)
        sw_diag_add(deck->diags, SW_D_SPICE_IF, word_span(deck),
                    "this comes after the .else of its .if: put it before, or leave it out");
    branches->level[top].on =
        !branches->level[top].taken && (!has_condition || condition(deck, scope));
    branches->level[top].taken = branches->level[top].taken || branches->level[top].on;
    branches->level[top].last = !has_condition;
}

void swi_branches_card(swi_deck *deck, swi_branches *branches, swi_card_kind kind,
                       swi_scope *scope) {
    if (kind == SWI_CARD_IF) {
        open_level(deck, branches, scope);
    } else if (branches->off > 0) {
        branches->off -= kind == SWI_CARD_ENDIF ? 1 : 0;
    } else if (branches->depth == 0) {
        sw_diag_add(deck->diags, SW_D_SPICE_IF, word_span(deck),
                    "there is no .if before this that it could belong to");
    } else if (kind == SWI_CARD_ENDIF) {
        branches->depth--;
    } else {
        next_branch(deck, branches, kind == SWI_CARD_ELSEIF, scope);
    }
}

void swi_branches_end(swi_deck *deck, const swi_branches *branches) {
    for (unsigned i = 0; i < branches->depth; i++)
        sw_diag_add(deck->diags, SW_D_SPICE_IF, branches->level[i].span,
                    "this .if is not closed: add an .endif");
}
