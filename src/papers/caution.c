/* src/papers/caution.c: voltages and currents that stripboard, or a person, is not good
 * for. */
#include <stripwright/papers.h>

#include "base/fault.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/* ---- tables ---- */

/* IPC-2221 table 6-1, column B2: external conductors, uncoated, up to 3050 m; volts direct
 * or peak, mm. */
static const struct {
    double volts, gap;
} clearances[] = {{15, 0.1},   {30, 0.1},   {50, 0.6},   {100, 0.6}, {150, 0.6},
                  {170, 1.25}, {250, 1.25}, {300, 1.25}, {500, 2.5}};
static const size_t clearance_count = sizeof clearances / sizeof *clearances;
static const double above_last = 0.005; /* mm for each volt over 500 */

/* Extra-low voltage.  IEC 61558-1:2005 3.7.16: 50 V alternating (rms), 120 V ripple-free
 * direct, as limits of SELV.  EN 60204-1 6.4: 25 V and 60 V where bare parts can be touched
 * in a dry room, which is how a board lies on a bench. */
static const double most_direct = 120, most_alternating = 50, touch_direct = 60, touch_alternating = 25;
/* Public supplies are 100 to 240 V (IEC 60038, from memory), and more by their tolerance. */
static const double mains_from = 90, mains_to = 264;

double sw_clearance_needed(double volts) {
    volts = fabs(volts);
    for (size_t i = 0; i < clearance_count; i++)
        if (volts <= clearances[i].volts)
            return clearances[i].gap;
    return clearances[clearance_count - 1].gap + above_last * (volts - 500);
}

double sw_clearance_volts(double gap_mm) {
    double volts = 0;
    for (size_t i = 0; i < clearance_count; i++)
        if (clearances[i].gap <= gap_mm + 1e-9)
            volts = clearances[i].volts;
    return volts;
}

double sw_track_current(double width_mm, double thickness_mm, double rise) {
    double area = width_mm / 0.0254 * (thickness_mm / 0.0254);
    return 0.048 * pow(rise, 0.44) * pow(area, 0.725);
}

/* ---- sources of the netlist ---- */

/* Numbers of a deck's source in the order written: "SIN(0 325 50)" gives 0, 325, 50. */
static int numbers_after(const char *text, double *out, int most) {
    int count = 0;
    while (count < most) {
        while (*text == '(' || *text == ',' || swi_is_space(*text))
            text++;
        size_t length = strcspn(text, "(), \t");
        char word[48];
        if (!length || length >= sizeof word)
            break;
        memcpy(word, text, length);
        word[length] = '\0';
        if (!sw_value_read(word, SW_OTHER, true, &out[count]))
            break;
        count++;
        text += length;
    }
    return count;
}

static const char *after_word(const char *text, const char *word) {
    size_t length = strlen(word);
    for (; *text; text++)
        if (strlen(text) >= length && swi_equal_fold_n(text, length, word))
            return text + length;
    return NULL;
}

typedef struct source {
    double direct;  /* greatest value at rest or of a pulse */
    double peak;    /* of a sine, 0 for none */
} source;

static source read_source(const char *value) {
    source s = {0, 0};
    double n[3];
    const char *sine = after_word(value, "SIN"), *pulse = after_word(value, "PULSE");
    const char *direct = after_word(value, "DC");
    if (sine && numbers_after(sine, n, 2) == 2) {
        s.direct = fabs(n[0]);
        s.peak = fabs(n[1]);
    } else if (pulse && numbers_after(pulse, n, 2) == 2) {
        s.direct = fmax(fabs(n[0]), fabs(n[1]));
    } else if (numbers_after(direct ? direct : value, n, 1) == 1) {
        s.direct = fabs(n[0]);
    }
    return s;
}

static void put_number(sw_buf *out, double value, const char *unit) {
    sw_buf_real(out, value, 2);
    sw_buf_printf(out, " %s", unit);
}

static void warn_source(const sw_part *part, source s, sw_diags *diags) {
    double rms = s.peak / sqrt(2);
    sw_buf text = SW_BUF_INIT;
    put_number(&text, rms > 0 ? rms : s.direct, rms > 0 ? "V alternating" : "V direct");
    const char *volts = text.bytes ? text.bytes : "";
    if (rms >= mains_from && rms <= mains_to)
        sw_diag_add(diags, SW_D_CAUTION_MAINS, part->span,
                    "%s gives %s, as the mains do: never lead the mains onto stripboard; use a "
                    "ready-made, closed supply of extra-low voltage", part->ref, volts);
    else if (rms > touch_alternating || s.direct > touch_direct)
        sw_diag_add(diags, SW_D_CAUTION_VOLTAGE, part->span,
                    "%s gives %s, which is %s: %s", part->ref, volts,
                    rms > most_alternating || s.direct > most_direct
                        ? "beyond extra-low voltage (50 V alternating, 120 V direct)"
                        : "more than is safe to touch on an open board (25 V alternating, 60 V direct)",
                    "use less, or leave this to a licensed person and a proper enclosure");
    sw_buf_free(&text);
}

static void warn_current(const sw_part *part, source s, sw_diags *diags) {
    double amperes = fmax(s.direct, s.peak);
    double most = sw_track_current(SW_STRIP_NET_MM, SW_STRIP_THICKNESS_MM, SW_STRIP_RISE);
    if (amperes <= most)
        return;
    sw_buf text = SW_BUF_INIT;
    put_number(&text, amperes, "A");
    sw_buf_puts(&text, "; beside a hole a strip carries ");
    put_number(&text, most, "A");
    sw_diag_add(diags, SW_D_CAUTION_CURRENT, part->span,
                "%s drives %s when 10 K warmer (IPC-2221): solder wire along the strips of its way, or "
                "wire it beside the board", part->ref, text.bytes ? text.bytes : "");
    sw_buf_free(&text);
}

static void check_sources(const sw_circuit *netlist, sw_diags *diags) {
    for (uint32_t i = 0; i < netlist->part_count; i++) {
        const sw_part *part = &netlist->parts[i];
        source s = read_source(part->value);
        if (part->kind == 'V')
            warn_source(part, s, diags);
        else if (part->kind == 'I')
            warn_current(part, s, diags);
    }
}

/* ---- rails ---- */

/* Volts of a numbered node: known for ground and for rails that something states. */
static bool volts_of(const sw_circuit *fitted, uint32_t number, double *volts) {
    sw_node_id id = sw_circuit_numbered(fitted, number);
    if (id.i == SW_NONE)
        return false;
    const sw_node *node = &fitted->nodes[id.i];
    *volts = node->volts;
    return node->rail == SW_RAIL_GROUND || fabs(node->volts) > 0;
}

static void check_rails(const sw_circuit *fitted, sw_diags *diags) {
    const sw_node *low = NULL, *high = NULL;
    for (uint32_t i = 0; i < fitted->node_count; i++) {
        const sw_node *node = &fitted->nodes[i];
        if (node->rail != SW_RAIL_GROUND && node->volts >= 0 && node->volts <= 0)
            continue;
        if (!low || node->volts < low->volts)
            low = node;
        if (!high || node->volts > high->volts)
            high = node;
    }
    double between = low ? fmax(high->volts, 0) - fmin(low->volts, 0) : 0;
    if (between <= touch_direct)
        return;
    sw_buf text = SW_BUF_INIT;
    put_number(&text, between, "V");
    sw_diag_add(diags, SW_D_CAUTION_VOLTAGE, high->span,
                "there are %s between the rails %s and %s, which is %s: use less, or leave this to a "
                "licensed person and a proper enclosure", text.bytes ? text.bytes : "", low->name, high->name,
                between > most_direct ? "beyond extra-low voltage (120 V direct)"
                                      : "more than is safe to touch on an open board (60 V direct)");
    sw_buf_free(&text);
}

/* ---- gaps between strips ---- */

static bool overlap(const sw_segment *a, const sw_segment *b) {
    return a->first <= b->last && b->first <= a->last;
}

static void warn_gap(const sw_segment *a, const sw_segment *b, double volts, double gap, sw_diags *diags) {
    char one[8], two[8];
    sw_strip_write(a->strip, one);
    sw_strip_write(b->strip, two);
    sw_buf text = SW_BUF_INIT;
    put_number(&text, volts, "V");
    sw_buf_puts(&text, "; the gap of ");
    put_number(&text, gap, "mm");
    sw_buf_puts(&text, " is good for ");
    put_number(&text, sw_clearance_volts(gap), "V");
    sw_diag_add(diags, SW_D_CAUTION_GAP, SW_NOWHERE,
                "between strips %s and %s (nodes %u and %u) there are %s by IPC-2221: leave an empty "
                "strip between them, its copper cut free on both sides", one, two, (unsigned)a->node,
                (unsigned)b->node, text.bytes ? text.bytes : "");
    sw_buf_free(&text);
}

/* Neighbouring strips, each pair once: the greatest voltage between any two segments that
 * lie side by side. */
static void check_gaps(const sw_circuit *fitted, const sw_plan *plan, const sw_copper *copper, sw_diags *diags) {
    const double gap = SW_PITCH_MM - SW_STRIP_WIDEST_MM, good = sw_clearance_volts(gap);
    uint32_t next = 0;
    for (int strip = 0; strip + 1 < plan->strips; strip++) {
        const sw_segment *worst_a = NULL, *worst_b = NULL;
        double worst = good;
        while (next < copper->segment_count && copper->segments[next].strip < strip)
            next++;
        for (uint32_t i = next; i < copper->segment_count && copper->segments[i].strip == strip; i++)
            for (uint32_t k = i + 1; k < copper->segment_count && copper->segments[k].strip <= strip + 1; k++) {
                const sw_segment *a = &copper->segments[i], *b = &copper->segments[k];
                double va, vb;
                if (b->strip != strip + 1 || !overlap(a, b) || !volts_of(fitted, a->node, &va) ||
                    !volts_of(fitted, b->node, &vb) || fabs(va - vb) <= worst)
                    continue;
                worst = fabs(va - vb);
                worst_a = a;
                worst_b = b;
            }
        if (worst_a)
            warn_gap(worst_a, worst_b, worst, gap, diags);
    }
}

sw_status sw_cautions(const sw_circuit *netlist, const sw_circuit *fitted, const sw_plan *plan,
                      const sw_library *library, sw_diags *diags) {
    if (netlist)
        check_sources(netlist, diags);
    if (fitted)
        check_rails(fitted, diags);
    if (!fitted || !plan)
        return SW_OK;
    sw_copper *copper = sw_copper_new(plan, library);
    if (!copper)
        return swi_out_of_memory(diags);
    check_gaps(fitted, plan, copper, diags);
    sw_copper_free(copper);
    return SW_OK;
}

/* ---- for everybody ---- */

/* HSE INDG248 and INDG249 (rosin fume), common practice for the rest. */
static const char *const texts[] = {
    "Extra-low voltage only: at most 25 V alternating or 60 V direct, from a battery or a ready-made, "
    "closed supply. Never the mains.",
    "The rules of your country, school or firm come before this paper; what they leave to licensed "
    "people, leave to them.",
    "Solder where air moves: the fume of rosin flux can bring on asthma. Keep your head out of it.",
    "Wear eye protection when soldering and when trimming leads, and hold the lead's end as you cut it: "
    "trimmings fly.",
    "The iron burns: put it back in its stand every time, and switch it off when you leave.",
    "Never solder on a board that is connected to anything.",
    "Do not eat or drink at the bench, and wash your hands afterwards, above all with leaded solder.",
    "Score and snap the board with the knife moving away from your hands, and file the edge outdoors or "
    "wet: the dust of glass-fibre board irritates.",
    "Turn the spot-face cutter by hand, look through a lens whether copper is left at the edge, and check "
    "each cut with a meter.",
};
enum { TEXTS = sizeof texts / sizeof *texts, PIECE_TEXT = TEXTS - 2 /* the last is of cuts */ };

const char *sw_caution_text(size_t index) {
    return index < TEXTS ? texts[index] : NULL;
}

bool sw_caution_matters(size_t index, bool piece, bool cuts) {
    return index < PIECE_TEXT || (index == PIECE_TEXT && piece) || (index > PIECE_TEXT && cuts);
}
