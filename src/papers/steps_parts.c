/* src/papers/steps_parts.c: parts from low to high, sockets, terminal pins, and ICs last:
 * which lead goes where, and which way round. */
#include "steps_make.h"

#include "base/text.h"

#include <string.h>

/* ---- words about a part ---- */

static const sw_device *device_of(const swi_step_maker *m, const swi_item *item) {
    const sw_library *library = m->subject->document->library;
    if (item->known && item->known->known)
        return item->known->known;
    return library && *item->part->device ? sw_library_device(library, item->part->device) : NULL;
}

/* What the circuit, then the device, calls a lead's pin; "" when it is only a number. */
static const char *pin_name(const swi_step_maker *m, const swi_item *item, uint32_t lead) {
    const sw_circuit *circuit = m->subject->circuit;
    for (uint32_t i = 0; item->known && i < item->known->pin_count; i++) {
        const sw_pin *pin = &circuit->pins[item->known->first_pin.i + i];
        if (swi_equal_fold(pin->number, item->leads[lead].pin) && *pin->name)
            return pin->name;
    }
    const sw_device *device = device_of(m, item);
    int at = device ? sw_device_pin_index(device, item->leads[lead].pin) : -1;
    return at >= 0 ? device->pins[at].name : "";
}

static const char *hole_of(swi_step_maker *m, const swi_item *item, uint32_t lead) {
    return swi_steps_hole(m, item->leads[lead].hole);
}

static bool is_package(const swi_item *item, const char *start) {
    return item->package && strlen(item->package->name) >= strlen(start) &&
           swi_equal_fold_n(item->package->name, strlen(start), start);
}

/* The lead of the package's first pin. */
static uint32_t first_lead(const swi_item *item) {
    for (uint32_t i = 0; item->package && i < item->part->lead_count; i++)
        if (sw_package_pin_index(item->package, item->leads[i].pin) == 0)
            return i;
    return 0;
}

/* Where what points up at turn 0 (or left, with start 3) points to now: turns go clockwise. */
static const char *towards(const swi_item *item, unsigned start) {
    static const char *const ways[] = {"the top edge", "the right edge", "the bottom edge", "the left edge"};
    return ways[(start + item->turn / 90) % 4];
}

static void put_leads(swi_step_maker *m, const swi_item *item) {
    for (uint32_t i = 0; i < item->part->lead_count; i++) {
        const char *name = pin_name(m, item, i), *hole = hole_of(m, item, i);
        sw_buf_printf(&m->text, "%spin %s", i ? ", " : "", item->leads[i].pin);
        if (*name && !swi_equal_fold(name, item->leads[i].pin))
            sw_buf_printf(&m->text, " (%s)", name);
        sw_buf_printf(&m->text, " in %s", hole);
    }
}

/* "C4 and G4". */
static void put_two_holes(swi_step_maker *m, const swi_item *item) {
    const char *a = hole_of(m, item, 0), *b = hole_of(m, item, 1);
    sw_buf_printf(&m->text, "Leads in %s and %s", a, b);
}

static void put_span(swi_step_maker *m, const swi_item *item) {
    if (!item->stands || item->package->form != SW_FORM_PAIR || item->package->upright || item->span < 2)
        return;
    sw_buf_puts(&m->text, ", bent ");
    sw_buf_real(&m->text, SW_PITCH_MM * item->span, 1);
    sw_buf_printf(&m->text, " mm apart (%u pitches)", item->span);
}

/* ---- markings ---- */

static void put_resistor(swi_step_maker *m, double ohms) {
    sw_buf four = SW_BUF_INIT, five = SW_BUF_INIT;
    bool has_four = sw_marking_bands(ohms, 4, &four), has_five = sw_marking_bands(ohms, 5, &five);
    if (has_four)
        sw_buf_printf(&m->text, " Bands: %s (5 %%)", four.bytes ? four.bytes : "");
    if (has_five)
        sw_buf_printf(&m->text, "%s%s (1 %%)", has_four ? " or " : " Bands: ", five.bytes ? five.bytes : "");
    if (has_four || has_five)
        sw_buf_puts(&m->text, ".");
    m->failed |= four.failed || five.failed;
    sw_buf_free(&four);
    sw_buf_free(&five);
}

static void put_capacitor(swi_step_maker *m, const swi_item *item, double farads) {
    if (is_package(item, "ELEC"))
        return; /* its value stands on it in words */
    sw_buf code = SW_BUF_INIT;
    if (sw_marking_capacitor(farads, &code))
        sw_buf_printf(&m->text, " Marked %s (picofarads).", code.bytes ? code.bytes : "");
    m->failed |= code.failed;
    sw_buf_free(&code);
}

static void put_marking(swi_step_maker *m, const swi_item *item) {
    double value;
    if (item->kind == 'R' && item->part->lead_count == 2 && sw_value_read(item->value, SW_OHMS, false, &value))
        put_resistor(m, value);
    else if (item->kind == 'C' && sw_value_read(item->value, SW_FARADS, false, &value))
        put_capacitor(m, item, value);
}

/* ---- which way round ---- */

static void watch_diode(swi_step_maker *m, const swi_item *item) {
    uint32_t k = (uint32_t)item->cathode, a = !k;
    const char *cathode = hole_of(m, item, k), *anode = hole_of(m, item, a);
    if (is_package(item, "LED"))
        sw_buf_printf(&m->text, "Polarity: the cathode, the shorter lead on the side where the rim is flat, goes into %s; the "
                                "longer lead (anode) into %s.", cathode, anode);
    else
        sw_buf_printf(&m->text, "Polarity: the end with the band (cathode) goes into %s, the other end into %s.", cathode,
                      anode);
}

static void watch_plus(swi_step_maker *m, const swi_item *item) {
    uint32_t p = (uint32_t)item->plus;
    const char *plus = hole_of(m, item, p), *minus = hole_of(m, item, !p);
    if (is_package(item, "ELEC"))
        sw_buf_printf(&m->text, "Polarity: plus, the longer lead, goes into %s; the stripe marks minus, which goes into %s. "
                                "Its rated voltage must be above the supply's.", plus, minus);
    else
        sw_buf_printf(&m->text, "Polarity: plus goes into %s, minus into %s.", plus, minus);
}

static void watch_order(swi_step_maker *m, const swi_item *item) {
    const char *pin1 = hole_of(m, item, first_lead(item));
    if (item->stands && is_package(item, "TO-92"))
        sw_buf_printf(&m->text, "The flat side faces %s. ", towards(item, 3));
    else if (item->stands && (is_package(item, "TO-220") || is_package(item, "TO-126")))
        sw_buf_printf(&m->text, "The metal side faces %s. ", towards(item, 1));
    else if (is_package(item, "TO-18") || is_package(item, "TO-39"))
        sw_buf_puts(&m->text, "The tab of the can points to pin 1. ");
    else if (is_package(item, "SIP") || is_package(item, "RELAY") || swi_is_socketed(item))
        sw_buf_printf(&m->text, "Pin 1, beside the dot or notch, goes into %s. ", pin1);
    const sw_device *device = device_of(m, item);
    if (strchr("QJMZ", item->kind) && (!device || device->unsafe_order))
        sw_buf_puts(&m->text, "Makers differ in the order of the leads: compare with the data sheet. ");
    if (item->kind == 'M')
        sw_buf_puts(&m->text, "Static harms it: touch something earthed before you take it up. ");
    if (item->stands && item->package->face != SW_FACE_NONE)
        sw_buf_printf(&m->text, "Its %s %s %s. ", sw_package_face_name(item->package), swi_is_connector(item) ? "face" : "faces",
                      towards(item, (unsigned)item->package->face - 1));
    if (item->kind == 'P' || is_package(item, "TRIM"))
        sw_buf_puts(&m->text, "Turn it to the middle before power comes on. ");
    if (m->text.length && m->text.bytes[m->text.length - 1] == ' ')
        m->text.length--;
}

static const char *watch(swi_step_maker *m, const swi_item *item) {
    if (item->cathode >= 0)
        watch_diode(m, item);
    else if (item->plus >= 0)
        watch_plus(m, item);
    else if (item->part->lead_count != 2 || item->package->face != SW_FACE_NONE)
        watch_order(m, item);
    return swi_steps_take(m);
}

static void put_title(swi_step_maker *m, const swi_item *item, const char *what) {
    const char *device = item->part->device && *item->part->device ? item->part->device
                         : item->known                             ? item->known->device : "";
    sw_buf_printf(&m->text, "%s%s%s%s", what, item->part->ref, *item->value ? " " : "", item->value);
    if (*device && !swi_equal_fold(device, item->value))
        sw_buf_printf(&m->text, " %s", device);
}

static void look_at_leads(swi_step_maker *m, swi_step *step, const swi_item *item) {
    sw_hole *holes = swi_steps_holes(m, step, item->part->lead_count);
    for (uint32_t i = 0; holes && i < item->part->lead_count; i++)
        holes[i] = item->leads[i].hole;
}

static swi_step *item_step(swi_step_maker *m, uint32_t index, const char *word, const char *what) {
    const swi_item *item = &m->subject->items[index];
    swi_step *step = swi_steps_add(m, word, index + 1);
    step->index = index;
    step->ref = item->part->ref;
    put_title(m, item, what);
    step->title = swi_steps_take(m);
    look_at_leads(m, step, item);
    return step;
}

static void part_step(swi_step_maker *m, uint32_t index) {
    const swi_item *item = &m->subject->items[index];
    swi_step *step = item_step(m, index, "part", "");
    if (item->part->lead_count == 2 && !swi_is_connector(item)) {
        put_two_holes(m, item);
        put_span(m, item);
        sw_buf_puts(&m->text, ".");
        if (item->stands && item->package->upright)
            sw_buf_printf(&m->text, " It stands on end over %s.", hole_of(m, item, first_lead(item)));
    } else {
        sw_buf_puts(&m->text, item->part->lead_count == 1 ? "Its lead: " : "Its leads: ");
        put_leads(m, item);
        sw_buf_puts(&m->text, ".");
    }
    put_marking(m, item);
    if (item->cathode < 0 && item->plus < 0 && item->part->lead_count == 2 && strchr("RCL", item->kind))
        sw_buf_puts(&m->text, " Either way round.");
    step->text = swi_steps_take(m);
    step->watch = watch(m, item);
}

/* ---- sockets and ICs ---- */

static void put_notch(swi_step_maker *m, const swi_item *item) {
    const char *pin1 = hole_of(m, item, first_lead(item));
    if (item->stands && !swi_is_board_on_pins(item->package))
        sw_buf_printf(&m->text, "The notch points to %s, and pin 1 is in %s.", towards(item, 0), pin1);
    else
        sw_buf_printf(&m->text, "Pin 1 is in %s.", pin1);
    if (item->stands && item->package->face != SW_FACE_NONE)
        sw_buf_printf(&m->text, " The %s faces %s.", sw_package_face_name(item->package),
                      towards(item, (unsigned)item->package->face - 1));
}

static void socket_step(swi_step_maker *m, uint32_t index) {
    const swi_item *item = &m->subject->items[index];
    swi_step *step = item_step(m, index, "socket", "");
    const char *first = hole_of(m, item, first_lead(item)),
               *last = hole_of(m, item, (first_lead(item) + item->part->lead_count / 2) % item->part->lead_count);
    bool strips = swi_is_board_on_pins(item->package);
    if (strips)
        sw_buf_printf(&m->text, "Two socket strips of %u pins for %s", (unsigned)item->part->lead_count / 2, item->part->ref);
    else
        sw_buf_printf(&m->text, "Socket of %u pins for %s", (unsigned)item->part->lead_count, item->part->ref);
    step->title = swi_steps_take(m);
    sw_buf_printf(&m->text, "%sSolder the pins in %s and %s first, press the %s flat while you melt them again, then solder "
                            "the rest.", strips ? "Put both on the part's pins, so that they stand straight. " : "", first, last,
                  strips ? "strips" : "socket");
    step->text = swi_steps_take(m);
    put_notch(m, item);
    step->watch = swi_steps_take(m);
}

static void ic_step(swi_step_maker *m, uint32_t index) {
    const swi_item *item = &m->subject->items[index];
    swi_step *step = item_step(m, index, "ic", "");
    sw_buf_puts(&m->text, swi_is_board_on_pins(item->package)
                              ? "Press it home evenly, at both ends in turn: no pin may bend under."
                              : "Roll the two rows of legs a little inwards on the table until they fit, and press it home "
                                "evenly: no leg may bend under.");
    if (swi_part_changes(m->subject, index) == SWI_PART_SWAPPED)
        sw_buf_puts(&m->text, " It is not the one that was there.");
    step->text = swi_steps_take(m);
    put_notch(m, item);
    step->watch = swi_steps_take(m);
}

void swi_steps_of_ics(swi_step_maker *m) {
    const swi_work *work = m->out->work;
    swi_steps_chapter(m, SWI_CHAPTER_ICS, "The ICs, last",
                      "Power off. Touch something earthed first, such as a water tap: ICs dislike static.", false);
    for (uint32_t i = 0; i < work->socketed_count; i++)
        ic_step(m, work->socketed[i]);
    if (!work->socketed_count)
        return;
    swi_step *step = swi_steps_add(m, "try", 1);
    step->title = "Switch on and try what it is to do";
    step->text = "Nothing gets warm, and the supply's voltage stays what it was. Then put the board in its box, with the "
                 "wires held fast.";
    step->watch = "If an IC gets warm, switch off at once: is pin 1 where it should be?";
}

/* ---- terminal pins ---- */

static void wire_step(swi_step_maker *m, uint32_t index) {
    const swi_item *item = &m->subject->items[index];
    sw_hole hole = item->leads[0].hole;
    swi_step *step = item_step(m, index, "wire", "");
    int between;
    const char *edge = swi_edge_name(swi_edge_near(m->plan, hole, &between)), *name = swi_steps_hole(m, hole);
    sw_buf_printf(&m->text, "Terminal pin %s in %s", item->name, name);
    step->title = swi_steps_take(m);
    uint32_t lead = (uint32_t)(item->leads - m->plan->leads);
    step->node = m->subject->lead_nodes[lead];
    if (between)
        sw_buf_printf(&m->text, "Its wire leaves at the %s edge, past %d hole%s.", edge, between, SWI_S(between));
    else
        sw_buf_printf(&m->text, "Its wire leaves at the %s edge.", edge);
    step->text = swi_steps_take(m);
}

void swi_steps_of_parts(swi_step_maker *m) {
    const swi_work *work = m->out->work;
    swi_steps_chapter(m, SWI_CHAPTER_PARTS, "Fit the parts, from low to high",
                      "Low parts first, so that the board can lie on its face while you solder. Check the value, "
                      "put the leads in, bend them outwards a little, solder, trim.", false);
    for (uint32_t i = 0; i < work->part_count; i++)
        if (!swi_is_socketed(&m->subject->items[work->parts[i]]))
            part_step(m, work->parts[i]);
    swi_steps_chapter(m, SWI_CHAPTER_SOCKETS, "Fit the sockets, empty",
                      "The ICs stay in their packing until the last chapter.", false);
    for (uint32_t i = 0; i < work->part_count; i++)
        if (swi_is_socketed(&m->subject->items[work->parts[i]]))
            socket_step(m, work->parts[i]);
    swi_steps_chapter(m, SWI_CHAPTER_WIRES, "Fit the terminal pins",
                      "Push each in from the copper side until its collar sits on the copper, and solder it. Wires come on when the "
                      "board is proved.", false);
    for (uint32_t i = 0; i < work->wire_count; i++)
        wire_step(m, work->wires[i]);
}
