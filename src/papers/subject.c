/* src/papers/subject.c: looking up once what all papers ask about a plan. */
#include "change.h"

#include "base/fault.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

static const sw_package *package_of(const sw_document *document, const swi_item *item) {
    const sw_package *found = NULL;
    if (document->library && *item->part->package)
        found = sw_library_package(document->library, item->part->package);
    if (!found && item->known)
        found = item->known->form;
    return found;
}

/* Whether the leads stand as the package says at this turn and span. */
static bool stands_so(const swi_item *item, unsigned turn, unsigned span, sw_offset *room) {
    sw_package_leads(item->package, turn, span, room);
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        int pin = sw_package_pin_index(item->package, item->leads[i].pin);
        if (pin < 0)
            pin = (int)i;
        int first = 0;
        for (uint32_t k = 0; k < item->part->lead_count; k++)
            if (sw_package_pin_index(item->package, item->leads[k].pin) == 0)
                first = (int)k;
        sw_hole origin = item->leads[first].hole, hole = item->leads[i].hole;
        if (hole.strip - origin.strip != room[pin].row ||
            hole.column - origin.column != room[pin].column)
            return false;
    }
    return true;
}

static unsigned span_of(const swi_item *item) {
    if (item->package->form != SW_FORM_PAIR)
        return 0;
    sw_hole a = item->leads[0].hole, b = item->leads[1].hole;
    int rows = abs(a.strip - b.strip), columns = abs(a.column - b.column);
    return (unsigned)(rows > columns ? rows : columns);
}

/* Finds turn and span, and the outline from hole A1. */
static bool stand(swi_item *item, swi_arena *memory) {
    const sw_package *package = item->package;
    if (!package || item->part->lead_count != package->pin_count)
        return true;
    sw_offset *room = swi_arena_array(memory, package->pin_count, sizeof *room);
    if (!room)
        return false;
    unsigned span = span_of(item);
    for (unsigned k = 0; k < 4 && !item->stands; k++) {
        unsigned turn = item->part->turn >= 0 && k == 0 ? (unsigned)item->part->turn : k * 90;
        if (!stands_so(item, turn, span, room))
            continue;
        item->stands = true;
        item->turn = turn;
        item->span = span;
    }
    if (!item->stands)
        return true;
    int first = 0;
    for (uint32_t i = 0; i < item->part->lead_count; i++)
        if (sw_package_pin_index(package, item->leads[i].pin) == 0)
            first = (int)i;
    sw_hole origin = item->leads[first].hole;
    sw_box box = sw_package_outline(package, item->turn, item->span);
    double x = SW_PITCH_MM * origin.column, y = SW_PITCH_MM * origin.strip;
    item->outline = (sw_box){box.x0 + x, box.y0 + y, box.x1 + x, box.y1 + y};
    item->round = package->shape == SW_SHAPE_ROUND;
    return true;
}

/* Letter of the kind: the circuit's, else the reference's first. */
static char kind_of(const swi_item *item) {
    if (item->known && item->known->kind != '?')
        return item->known->kind;
    char c = swi_upper(item->part->ref[0]);
    if (c == 'U' || (c == 'I' && swi_upper(item->part->ref[1]) == 'C'))
        return 'X';
    if (c == 'L' && swi_upper(item->part->ref[1]) == 'E')
        return 'D';
    return c ? c : '?';
}

/* What the circuit, then the device, calls a lead's pin. */
static const char *pin_name(const swi_item *item, const sw_circuit *circuit, uint32_t lead) {
    const char *number = item->leads[lead].pin;
    if (item->known) {
        for (uint32_t i = 0; i < item->known->pin_count; i++) {
            const sw_pin *pin = &circuit->pins[item->known->first_pin.i + i];
            if (swi_equal_fold(pin->number, number) && *pin->name)
                return pin->name;
        }
    }
    return number;
}

static bool is_one_of(const char *name, const char *const *names) {
    for (; *names; names++)
        if (swi_equal_fold(name, *names))
            return true;
    return false;
}

static bool starts_with_fold(const char *text, const char *start) {
    size_t n = strlen(start);
    return strlen(text) >= n && swi_equal_fold_n(text, n, start);
}

/* Cathode of a diode, positive lead of a capacitor.  The pin's name tells; where none is
 * given, pin 1 is the one marked, as in the tables of devices (1=K 2=A). */
static void find_polarity(swi_item *item, const sw_circuit *circuit) {
    static const char *const cathodes[] = {"K", "C", "CATHODE", "-", NULL};
    static const char *const pluses[] = {"+", "P", "POS", NULL};
    item->cathode = item->plus = -1;
    if (item->part->lead_count != 2)
        return;
    const char *package = item->package ? item->package->name : "";
    bool electrolytic = starts_with_fold(package, "ELEC");
    bool diode = item->kind == 'D';
    if (!diode && !item->polarised && !electrolytic)
        return;
    for (int i = 0; i < 2; i++) {
        const char *name = pin_name(item, circuit, (uint32_t)i);
        if (diode && is_one_of(name, cathodes))
            item->cathode = i;
        if (!diode && is_one_of(name, pluses))
            item->plus = i;
    }
    int first = strcmp(item->leads[0].pin, "1") == 0 ? 0 : strcmp(item->leads[1].pin, "1") == 0;
    if (diode && item->cathode < 0)
        item->cathode = first;
    if (!diode && item->plus < 0)
        item->plus = first;
}

static bool look_up_item(swi_subject *subject, swi_item *item) {
    const sw_circuit *circuit = subject->circuit;
    if (circuit) {
        sw_part_id id = sw_circuit_part(circuit, item->part->ref);
        item->known = id.i == SW_NONE ? NULL : &circuit->parts[id.i];
    }
    item->name = item->part->ref; /* a fitted terminal pin is called as its wire */
    item->package = package_of(subject->document, item);
    item->kind = kind_of(item);
    item->polarised = item->known && item->known->polarised;
    item->terminal = (item->known && item->known->terminal) ||
                     (item->part->lead_count == 1 && item->package &&
                      starts_with_fold(item->package->name, "PIN-"));
    item->value = *item->part->value || !item->known ? item->part->value : item->known->value;
    if (!*item->value)
        item->value = item->part->device;
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        size_t lead = (size_t)(item->leads - subject->plan->leads) + i;
        sw_pin_id pin = {SW_NONE};
        if (item->known)
            pin = sw_circuit_pin(circuit, (sw_part_id){(uint32_t)(item->known - circuit->parts)},
                                 item->leads[i].pin);
        if (pin.i != SW_NONE) {
            const sw_node *node = &circuit->nodes[circuit->pins[pin.i].node.i];
            subject->lead_nodes[lead] = node->number;
            subject->lead_unused[lead] = node->pin_count == 1;
        }
        if (!subject->lead_nodes[lead])
            subject->lead_nodes[lead] = item->leads[i].node;
    }
    find_polarity(item, circuit);
    return stand(item, subject->memory);
}

/* Unused pins as the plan states them, and the greatest number. */
static void read_node_table(swi_subject *subject) {
    const sw_plan *plan = subject->plan;
    for (uint32_t i = 0; i < plan->lead_count; i++) {
        uint32_t number = subject->lead_nodes[i];
        if (number > subject->node_count)
            subject->node_count = number;
    }
    for (uint32_t n = 0; n < plan->node_count; n++)
        for (uint32_t i = 0; plan->nodes[n].unused && i < plan->lead_count; i++)
            if (subject->lead_nodes[i] == plan->nodes[n].number)
                subject->lead_unused[i] = true;
}

static bool fill(swi_subject *subject) {
    const sw_plan *plan = subject->plan;
    subject->items = swi_arena_array(subject->memory, plan->part_count, sizeof *subject->items);
    subject->lead_nodes = swi_arena_array(subject->memory, plan->lead_count, sizeof(uint32_t));
    subject->lead_unused = swi_arena_array(subject->memory, plan->lead_count, sizeof(bool));
    subject->copper = sw_copper_new(plan, subject->document->library);
    if (!subject->items || !subject->lead_nodes || !subject->lead_unused || !subject->copper)
        return false;
    subject->item_count = plan->part_count;
    for (uint32_t i = 0; i < plan->part_count; i++) {
        subject->items[i].part = &plan->parts[i];
        subject->items[i].leads = plan->leads ? &plan->leads[plan->parts[i].first_lead] : NULL;
        if (!look_up_item(subject, &subject->items[i]))
            return false;
    }
    read_node_table(subject);
    return true;
}

static bool find_change(swi_subject *subject) {
    if (!subject->document->built)
        return true;
    subject->change = swi_change_new(subject);
    return subject->change != NULL;
}

swi_subject *swi_subject_new(const sw_document *document) {
    swi_subject *subject = calloc(1, sizeof *subject);
    if (!subject)
        return NULL;
    subject->document = document;
    subject->plan = document->plan;
    subject->circuit = document->circuit && document->circuit->stage == SW_STAGE_FITTED
                           ? document->circuit : NULL;
    subject->memory = swi_arena_new();
    if (!subject->memory || !fill(subject) || !find_change(subject)) {
        swi_subject_free(subject);
        return NULL;
    }
    return subject;
}

void swi_subject_free(swi_subject *subject) {
    if (!subject)
        return;
    swi_change_free(subject->change);
    sw_copper_free(subject->copper);
    swi_arena_free(subject->memory);
    free(subject);
}

const char *swi_subject_node_name(const swi_subject *subject, uint32_t number) {
    const sw_circuit *circuit = subject->circuit;
    sw_node_id id = circuit ? sw_circuit_numbered(circuit, number) : (sw_node_id){SW_NONE};
    if (id.i != SW_NONE)
        return circuit->nodes[id.i].name;
    const sw_plan *plan = subject->plan;
    for (uint32_t i = 0; i < plan->node_count; i++)
        if (plan->nodes[i].number == number)
            return plan->nodes[i].name ? plan->nodes[i].name : "";
    return "";
}

sw_rail swi_subject_rail(const swi_subject *subject, uint32_t number, double *volts) {
    const sw_circuit *circuit = subject->circuit;
    sw_node_id id = {SW_NONE};
    *volts = 0;
    if (circuit && circuit->by_number)
        id = sw_circuit_numbered(circuit, number);
    if (id.i != SW_NONE) {
        *volts = circuit->nodes[id.i].volts;
        return circuit->nodes[id.i].rail;
    }
    for (uint32_t i = 0; i < subject->plan->node_count; i++)
        if (subject->plan->nodes[i].number == number)
            return subject->plan->nodes[i].rail;
    return SW_RAIL_NONE;
}

uint32_t swi_subject_link_node(const swi_subject *subject, const sw_link *link) {
    uint32_t segment = sw_copper_segment(subject->copper, subject->plan, link->from);
    if (segment != SW_NONE && subject->copper->segments[segment].node)
        return subject->copper->segments[segment].node;
    return link->node;
}

uint32_t swi_subject_lead_at(const swi_subject *subject, sw_hole hole) {
    for (uint32_t i = 0; i < subject->plan->lead_count; i++)
        if (subject->plan->leads[i].hole.strip == hole.strip &&
            subject->plan->leads[i].hole.column == hole.column)
            return i;
    return SW_NONE;
}

bool swi_is_connector(const swi_item *item) {
    return !item->terminal && item->package && sw_package_takes_wires(item->package->name);
}

bool swi_is_volts(const swi_item *item) {
    double value;
    return !strchr(item->part->ref, '.') && item->value[strspn(item->value, "+-0123456789., Vv")] == '\0' &&
           sw_value_read(item->value, SW_OTHER, false, &value);
}

const swi_item *swi_subject_item_of_lead(const swi_subject *subject, uint32_t lead) {
    for (uint32_t i = 0; i < subject->item_count; i++) {
        const sw_plan_part *part = subject->items[i].part;
        if (lead >= part->first_lead && lead - part->first_lead < part->lead_count)
            return &subject->items[i];
    }
    return NULL;
}

sw_status swi_subject_open(const sw_document *document, sw_diags *diags, swi_subject **subject) {
    *subject = NULL;
    if (!document->plan) {
        sw_diag_add(diags, SW_D_FORMAT_NEEDS, SW_NOWHERE,
                    "this paper shows a plan, and there is none: find one first (`plan FILE -o OUT`)");
        return SW_USAGE;
    }
    *subject = swi_subject_new(document);
    return *subject ? SW_OK : swi_out_of_memory(diags);
}
