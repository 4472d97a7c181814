/* src/cli/verb_compare.c: what differs between two circuits, two plans, or a
 * built plan and a changed circuit. */
#include <json-c/json.h>
#include <string.h>
#include "cli.h"

/* One side: a circuit or a plan. */
typedef struct side {
    sw_circuit *netlist, *fitted;
    sw_plan *plan;
} side;

/* The job's circuit fields serve one side at a time, so that reading and fitting
 * is the one way of doing it. */
static sw_status read_side(cli_job *job, const char *path, side *s) {
    sw_input input;
    sw_status status = sw_input_open(job->diags, path, &input);
    const sw_format *format = status == SW_OK ? sw_format_detect(&input, job->diags) : NULL;
    if (!format)
        return status == SW_OK ? SW_BAD_INPUT : status;
    if (format->read_plan)
        return sw_read_plan(format, &input, NULL, job->diags, &s->plan);
    job->input = input;
    status = job_read_opened(job, format, &job->netlist);
    if (status == SW_OK)
        status = job_fit(job, false);
    s->netlist = job->netlist;
    s->fitted = job->fitted;
    job->netlist = job->fitted = NULL;
    sw_sheet_free(job->assumed);
    job->assumed = NULL;
    return status;
}

static void free_side(side *s) {
    sw_circuit_free(s->fitted);
    sw_circuit_free(s->netlist);
    sw_plan_free(s->plan);
}

/* What is said, as lines and as JSON at once. */
typedef struct answer {
    bool json;
    sw_buf lines;
    struct json_object *list;
} answer;

static void say(answer *a, const char *what, const char *ref, const sw_buf *sentence) {
    if (!a->json) {
        sw_buf_put(&a->lines, sentence->bytes, sentence->length);
        sw_buf_putc(&a->lines, '\n');
        return;
    }
    struct json_object *item = json_object_new_object();
    json_object_object_add(item, "change", json_object_new_string(what));
    if (ref[0])
        json_object_object_add(item, "ref", json_object_new_string(ref));
    json_object_object_add(item, "text", json_object_new_string_len(sentence->bytes, (int)sentence->length));
    json_object_array_add(a->list, item);
}

static const char *const change_names[] = {"part-gone", "part-new", "value", "device", "package",
                                           "pin-gone", "pin-new", "pin-moved"};

static sw_status say_circuits(answer *a, const sw_circuit *before, const sw_circuit *after) {
    sw_comparison *comparison = NULL;
    sw_status status = sw_circuit_compare(before, after, &comparison);
    for (uint32_t i = 0; comparison && i < comparison->change_count; i++) {
        const sw_change *change = &comparison->changes[i];
        sw_buf text = SW_BUF_INIT;
        sw_change_write(change, &text);
        say(a, change_names[change->kind], change->ref, &text);
        sw_buf_free(&text);
    }
    sw_comparison_free(comparison);
    return status;
}

static void say_move(answer *a, const sw_plan_move *move) {
    static const char *const names[] = {"moved", "added", "gone"};
    sw_buf text = SW_BUF_INIT;
    plan_move_write(move, &text);
    say(a, names[move->change], move->ref, &text);
    sw_buf_free(&text);
}

static void say_cuts(answer *a, const sw_cut *cuts, uint32_t count, const char *what, const char *words) {
    for (uint32_t i = 0; i < count; i++) {
        char hole[12];
        sw_buf text = SW_BUF_INIT;
        sw_hole_write(cuts[i].hole, hole);
        sw_buf_printf(&text, "%s at %s %s", cuts[i].knife ? "knife cut right of" : "cut", hole, words);
        say(a, what, "", &text);
        sw_buf_free(&text);
    }
}

static void say_links(answer *a, const sw_link *links, uint32_t count, const char *what, const char *words) {
    for (uint32_t i = 0; i < count; i++) {
        char from[12], to[12];
        sw_buf text = SW_BUF_INIT;
        sw_hole_write(links[i].from, from);
        sw_hole_write(links[i].to, to);
        sw_buf_printf(&text, "link from %s to %s %s", from, to, words);
        say(a, what, "", &text);
        sw_buf_free(&text);
    }
}

static void say_size(answer *a, const sw_cost *was, const sw_cost *is) {
    sw_buf text = SW_BUF_INIT;
    if (was->area == is->area && was->strips == is->strips && was->links == is->links && was->cuts == is->cuts)
        return;
    sw_buf_printf(&text, "%d × %d = %d holes, %d link%s, %d cut%s now; was %d × %d = %d holes, %d link%s, %d cut%s",
                  is->strips, is->columns, is->area, is->links, CLI_S(is->links), is->cuts, CLI_S(is->cuts),
                  was->strips, was->columns, was->area, was->links, CLI_S(was->links), was->cuts, CLI_S(was->cuts));
    say(a, "size", "", &text);
    sw_buf_free(&text);
}

/* Each change by itself, for programs. */
static void say_each(answer *a, const sw_plan_difference *d) {
    for (uint32_t i = 0; i < d->move_count; i++)
        say_move(a, &d->moves[i]);
    say_cuts(a, d->added_cuts, d->cuts_added, "cut-new", "is new");
    say_cuts(a, d->gone_cuts, d->cuts_gone, "cut-gone", "is gone");
    say_links(a, d->added_links, d->links_added, "link-new", "is new");
    say_links(a, d->gone_links, d->links_gone, "link-gone", "is gone");
}

static sw_status say_plans(answer *a, const sw_plan *before, const sw_plan *after, const sw_library *library) {
    sw_plan_difference *d = sw_plan_compare(before, after, library);
    if (!d)
        return SW_SYSTEM;
    say_size(a, &d->was, &d->is);
    bool written = true;
    if (a->json)
        say_each(a, d);
    else
        written = plan_changes_write(d, &a->lines);
    sw_status status = !written ? SW_SYSTEM : d->differs ? SW_FINDINGS : SW_OK;
    sw_plan_difference_free(d);
    return status;
}

/* Hands over what was said; that something was is no failure. */
static sw_status hand_over(answer *a, sw_status status, sw_buf *out) {
    if (a->lines.bytes)
        sw_buf_put(out, a->lines.bytes, a->lines.length);
    if (a->lines.failed)
        status = SW_SYSTEM;
    sw_buf_free(&a->lines);
    return status == SW_FINDINGS ? SW_OK : status;
}

sw_status compare_plans_say(const sw_plan *before, const sw_plan *after, const sw_library *library, sw_buf *out) {
    answer a = {.lines = SW_BUF_INIT};
    return hand_over(&a, say_plans(&a, before, after, library), out);
}

/* What to cut, link and fit on the built board: the mends that a check against
 * the new circuit finds. */
static sw_status say_work(cli_job *job, answer *a, const sw_plan *plan, const sw_circuit *after) {
    sw_check_report *report = NULL;
    sw_diags *quiet = sw_diags_new(NULL);
    sw_status status = quiet ? sw_check(plan, after, job->library, quiet, &report) : SW_SYSTEM;
    for (uint32_t i = 0; report && i < report->fault_count; i++) {
        const sw_fault *fault = &report->faults[i];
        sw_buf text = SW_BUF_INIT;
        sw_buf_puts(&text, fault->mend[0] ? fault->mend : fault->text);
        say(a, fault->mend[0] ? "work" : "fault", fault->ref, &text);
        sw_buf_free(&text);
    }
    sw_check_report_free(report);
    sw_diags_free(quiet);
    return status;
}

static bool says_what_parts_are(const sw_plan *plan) {
    for (uint32_t i = 0; i < plan->part_count; i++)
        if (plan->parts[i].value[0] || plan->parts[i].device[0] || plan->parts[i].package[0])
            return true;
    return plan->part_count == 0;
}

/* A hole list does not say what its parts are: they are then taken to be the circuit's, or
 * each of them would be told as changed.  Not sw_plan_complete: that names nodes by their
 * numbers, and the circuit's may be others by now.  NULL: memory is out. */
static sw_plan *with_parts_of(const cli_job *job, const sw_plan *plan, const sw_circuit *circuit) {
    sw_plan *copy = sw_plan_copy(plan);
    for (uint32_t i = 0; copy && i < copy->part_count; i++) {
        sw_plan_part *part = &copy->parts[i];
        sw_part_id id = sw_circuit_part(circuit, part->ref);
        if (id.i == SW_NONE)
            continue;
        const sw_part *same = &circuit->parts[id.i];
        part->value = sw_plan_text(copy, same->value);
        part->device = sw_plan_text(copy, same->device);
        part->package = sw_plan_text(copy, same->package);
        if (!part->value || !part->device || !part->package) {
            sw_plan_free(copy);
            return NULL;
        }
    }
    if (copy)
        sw_diag_add(job->diags, SW_D_COMPARE_NO_VALUES, SW_NOWHERE,
                    "a hole list states no values, devices or packages: whether they have changed is not known");
    return copy;
}

/* What the circuit has otherwise than the built plan. */
static sw_status say_built(cli_job *job, answer *a, const sw_plan *plan, const sw_circuit *after) {
    sw_circuit *built = NULL;
    bool says = says_what_parts_are(plan);
    sw_plan *told = says ? NULL : with_parts_of(job, plan, after);
    if (!says && !told)
        return SW_SYSTEM;
    sw_status status = sw_plan_circuit(told ? told : plan, job->library, job->diags, &built);
    if (status == SW_OK)
        status = say_circuits(a, built, after);
    sw_circuit_free(built);
    sw_plan_free(told);
    return status;
}

sw_status compare_built_say(cli_job *job, const sw_plan *plan, const sw_circuit *after, sw_buf *out) {
    answer a = {.lines = SW_BUF_INIT};
    return hand_over(&a, say_built(job, &a, plan, after), out);
}

static sw_status compare_built(cli_job *job, answer *a, const sw_plan *plan, const sw_circuit *after) {
    sw_status status = say_built(job, a, plan, after);
    if (status == SW_FINDINGS)
        status = say_work(job, a, plan, after) == SW_SYSTEM ? SW_SYSTEM : SW_FINDINGS;
    return status;
}

static sw_status compare_sides(cli_job *job, answer *a, const side *before, const side *after) {
    if (before->plan && after->plan)
        return say_plans(a, before->plan, after->plan, job->library);
    if (before->plan)
        return compare_built(job, a, before->plan, after->fitted);
    if (after->plan)
        return usage(job, "give the built plan first and the changed circuit second");
    return say_circuits(a, before->fitted, after->fitted);
}

static sw_status write_answer(cli_job *job, answer *a, sw_status found) {
    sw_buf text = SW_BUF_INIT;
    if (a->json) {
        struct json_object *whole = json_object_new_object();
        json_object_object_add(whole, "same", json_object_new_boolean(found == SW_OK));
        json_object_object_add(whole, "changes", json_object_get(a->list));
        sw_buf_puts(&text, json_object_to_json_string_ext(whole, JSON_C_TO_STRING_PRETTY | JSON_C_TO_STRING_NOSLASHESCAPE));
        sw_buf_putc(&text, '\n');
        json_object_put(whole);
    } else if (found == SW_OK) {
        sw_buf_puts(&text, "no difference\n");
    } else if (a->lines.bytes) {
        sw_buf_put(&text, a->lines.bytes, a->lines.length);
    }
    sw_status status = job_write_text(job, &text, args_text(job->args, OPT_OUTPUT));
    sw_buf_free(&text);
    return status;
}

static sw_status run(cli_job *job) {
    side before = {0}, after = {0};
    answer a = {.json = args_has(job->args, OPT_JSON), .lines = SW_BUF_INIT, .list = json_object_new_array()};
    sw_status status = read_side(job, job->args->files.items[0], &before);
    job->like = before.plan;
    if (status == SW_OK)
        status = read_side(job, job->args->files.items[1], &after);
    job->like = NULL;
    if (status == SW_OK)
        status = compare_sides(job, &a, &before, &after);
    if (status == SW_OK || status == SW_FINDINGS) {
        sw_status wrote = write_answer(job, &a, status);
        if (wrote != SW_OK)
            status = wrote;
    }
    json_object_put(a.list);
    sw_buf_free(&a.lines);
    free_side(&before);
    free_side(&after);
    return status;
}

const cli_verb verb_compare = {
    "compare", V_COMPARE, "A B", "what changed between two circuits, two plans, or a board and its circuit",
    "Two circuits: which parts, values, pins and nodes changed; other names for nodes\n"
    "are no change.  Two plans: size, cuts, links, parts that moved.  A built plan and\n"
    "a changed circuit: also what to cut, link and fit on the board.  Status 1 when\n"
    "they differ.",
    2, 2, run};
