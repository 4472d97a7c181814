/* src/board/check.c: judging a plan: run the rules, report.
 *
 * Invariants of a legal plan, and the file of each (the words: README.md):
 *   1 every pin one lead, in a hole of its own, nothing extra   rule_presence.c, rule_holes.c
 *   2 leads as the package says, in an allowed turn and span    rule_stance.c
 *   3 nothing where something else is; keep-outs                rule_room.c
 *   4 leads of one piece of copper are of one node              rule_shorts.c
 *   5 leads of one node are on one piece of copper              rule_opens.c
 *   6 a pin that connects to nothing has its segment alone      rule_shorts.c
 *   7 no cut or link is needless                                rule_needless.c
 */
#include "check.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Findings kept; errors beyond are only counted. */
enum { MOST_FAULTS = 10000 };

static const char *write_words(swi_check *check, const char *format, va_list arguments) {
    va_list again;
    if (!check->words)
        return "";
    va_copy(again, arguments);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    char *text = length < 0 ? NULL : swi_arena_alloc(check->arena, (size_t)length + 1);
    if (text == NULL) {
        check->failed = true;
        return "";
    }
    vsnprintf(text, (size_t)length + 1, format, arguments);
    return text;
}

const char *swi_say(swi_check *check, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    const char *text = write_words(check, format, arguments);
    va_end(arguments);
    return text;
}

const char *swi_say_hole(swi_check *check, sw_hole hole) {
    char name[12];
    sw_hole_write(hole, name);
    return swi_say(check, "%s", name);
}

const char *swi_say_net(swi_check *check, uint32_t net) {
    if (net == SW_NONE)
        return "an unknown node";
    const swi_net *n = &check->nets[net];
    if (n->number == 0)
        return swi_say(check, "node %s", n->name);
    return n->name[0] == '\0' ? swi_say(check, "node %u", (unsigned)n->number)
                              : swi_say(check, "node %u (%s)", (unsigned)n->number, n->name);
}

const char *swi_say_lead(swi_check *check, const swi_lead *lead) {
    const sw_package *package = check->parts[lead->part].package;
    const char *ref = check->plan->parts[lead->part].ref;
    if (package != NULL && package->pin_count == 1) /* a terminal pin is its only lead */
        return ref;
    return swi_say(check, "%s.%s", ref, lead->plan->pin);
}

uint32_t swi_net_number(const swi_check *check, uint32_t net) {
    return net == SW_NONE ? 0 : check->nets[net].number;
}

void swi_fault(swi_check *check, sw_diag_id id, sw_fault about, sw_span span,
               const char *format, ...) {
    check->error_count += sw_diag_severity(id) == SW_ERROR ? 1 : 0;
    if (check->fault_count >= MOST_FAULTS)
        return;
    if (!SWI_GROW(check->faults, check->fault_room, check->fault_count + 1) ||
        !SWI_GROW(check->spans, check->span_room, check->fault_count + 1)) {
        check->failed = true;
        return;
    }
    va_list arguments;
    va_start(arguments, format);
    about.text = write_words(check, format, arguments);
    va_end(arguments);
    about.id = id;
    about.severity = sw_diag_severity(id);
    about.mend = "";
    about.ref = about.ref == NULL ? "" : about.ref;
    about.pin = about.pin == NULL ? "" : about.pin;
    about.fix = (sw_mend){.ref = "", .pin = ""};
    check->spans[check->fault_count] = span;
    check->faults[check->fault_count++] = about;
}

/* A board of no size has no holes to speak of. */
static bool has_size(swi_check *check) {
    sw_limits limits;
    sw_limits_default(&limits);
    const sw_plan *plan = check->plan;
    bool good = plan->strips > 0 && plan->columns > 0 &&
                (uint32_t)plan->strips <= limits.strips &&
                (uint32_t)plan->columns <= limits.columns;
    if (!good)
        swi_fault(check, SW_D_BOARD_SIZE,
                  (sw_fault){.at = SWI_NO_HOLE, .to = SWI_NO_HOLE}, SW_NOWHERE,
                  "a board of %d strips by %d columns cannot be judged: give it at least 1 by 1, "
                  "at most %u by %u",
                  plan->strips, plan->columns, (unsigned)limits.strips,
                  (unsigned)limits.columns);
    return good;
}

bool swi_check_run(swi_check *check, const sw_plan *plan, const sw_circuit *fitted,
                   const sw_library *library, swi_arena *arena, bool words) {
    *check = (swi_check){.plan = plan, .fitted = fitted, .library = library, .arena = arena,
                         .words = words};
    if (!has_size(check))
        return !check->failed;
    if (!swi_check_account(check))
        return false;
    swi_rule_presence(check);
    swi_rule_holes(check);
    swi_rule_shorts(check);
    swi_rule_opens(check);
    swi_rule_needless(check); /* looks at what the rules before it found */
    swi_rule_stance(check);
    swi_rule_room(check);
    return !check->failed;
}

void swi_check_end(swi_check *check) {
    sw_copper_free(check->copper);
    free(check->faults);
    free(check->spans);
    check->copper = NULL;
    check->faults = NULL;
    check->spans = NULL;
}

static void send_to(sw_diags *diags, const swi_check *check) {
    for (size_t i = 0; i < check->fault_count; i++) {
        const sw_fault *fault = &check->faults[i];
        sw_diag_add(diags, fault->id, check->spans[i], "%s%s%s", fault->text,
                    fault->mend[0] == '\0' ? "" : ": ", fault->mend);
    }
}

static sw_check_report *make_report(swi_check *check) {
    sw_check_report *report = swi_arena_alloc(check->arena, sizeof *report);
    if (report == NULL)
        return NULL;
    report->faults = swi_arena_array(check->arena, check->fault_count + 1,
                                     sizeof *report->faults);
    if (report->faults == NULL)
        return NULL;
    if (check->fault_count != 0)
        memcpy(report->faults, check->faults, check->fault_count * sizeof *report->faults);
    /* Findings outlive the plan that they speak of. */
    for (size_t i = 0; i < check->fault_count; i++) {
        sw_fault *fault = &report->faults[i];
        const char **texts[] = {&fault->ref, &fault->pin, &fault->fix.ref, &fault->fix.pin};
        for (size_t k = 0; k < sizeof texts / sizeof texts[0]; k++) {
            *texts[k] = swi_arena_text(check->arena, *texts[k], strlen(*texts[k]));
            if (*texts[k] == NULL)
                return NULL;
        }
    }
    report->fault_count = (uint32_t)check->fault_count;
    report->error_count = (uint32_t)check->error_count;
    report->memory = check->arena;
    return report;
}

static sw_status out_of_memory(sw_diags *diags) {
    if (diags != NULL)
        sw_diag_add(diags, SW_D_MEMORY, SW_NOWHERE, "out of memory while checking the plan");
    return SW_SYSTEM;
}

sw_status sw_check(const sw_plan *plan, const sw_circuit *fitted, const sw_library *library,
                   sw_diags *diags, sw_check_report **report) {
    swi_check check = {0};
    bool words = diags != NULL || report != NULL;
    sw_check_report *made = NULL;
    if (report != NULL)
        *report = NULL;
    swi_arena *arena = swi_arena_new();
    bool good = arena != NULL && swi_check_run(&check, plan, fitted, library, arena, words);
    if (good && words) {
        swi_find_mends(&check);
        good = !check.failed;
    }
    if (good && report != NULL)
        good = (made = make_report(&check)) != NULL;
    sw_status status = !good ? out_of_memory(diags)
                             : check.error_count != 0 ? SW_FINDINGS : SW_OK;
    if (good && diags != NULL)
        send_to(diags, &check);
    swi_check_end(&check);
    if (made != NULL)
        *report = made;
    else
        swi_arena_free(arena);
    return status;
}

void sw_check_report_free(sw_check_report *report) {
    if (report != NULL)
        swi_arena_free(report->memory);
}
