/* What words say of a part: an LDR, a loudspeaker, a push button.
 *
 * People name such things by what they are; none has a type number that a library could
 * know.  Those that stand on wires beside the board leave terminal pins on it.  All of it
 * is common practice, and all of it is told.  Names that models and subcircuits have in a
 * deck are taken by their last word: a LAMP is one, a LAMP_DRIVER is not.
 */
#include "circuit/fit.h"

#include <string.h>

typedef enum sort {
    STANDS,          /* on the board, in a package */
    IS,              /* a device of the library */
    BESIDE,          /* on wires */
    BESIDE_OR_MODEL, /* so, but what is in a model of that name tells more, as a battery's voltage */
    TELLS_NOTHING
} sort;

typedef struct word {
    const char *text;
    sort sort;
    const char *name; /* of the package or the device */
} word;

static const word words[] = {
    {"ldr", STANDS, "LDR-5"}, {"photoresistor", STANDS, "LDR-5"}, {"photocell", STANDS, "LDR-5"},
    {"ntc", STANDS, "NTC-5"}, {"ptc", STANDS, "NTC-5"}, {"thermistor", STANDS, "NTC-5"},
    {"vdr", STANDS, "VARISTOR-7"}, {"mov", STANDS, "VARISTOR-7"}, {"varistor", STANDS, "VARISTOR-7"},
    {"photodiode", STANDS, "LED-5"},
    {"bicolour", IS, "bicolour-LED"}, {"bicolor", IS, "bicolour-LED"}, {"rgb", IS, "RGB-LED"},
    {"button", IS, "button"}, {"pushbutton", IS, "button"}, {"tact", IS, "button"}, {"tactile", IS, "button"},
    {"switch", BESIDE, ""}, {"microswitch", BESIDE, ""}, {"toggle", BESIDE, ""}, {"rocker", BESIDE, ""},
    {"spst", BESIDE, ""}, {"spdt", BESIDE, ""}, {"dpst", BESIDE, ""}, {"dpdt", BESIDE, ""}, {"reed", BESIDE, ""},
    {"speaker", BESIDE, ""}, {"loudspeaker", BESIDE, ""}, {"siren", BESIDE, ""}, {"bell", BESIDE, ""},
    {"earphone", BESIDE, ""}, {"headphone", BESIDE, ""}, {"headphones", BESIDE, ""},
    {"microphone", BESIDE, ""}, {"mic", BESIDE, ""}, {"electret", BESIDE, ""},
    {"motor", BESIDE, ""}, {"pump", BESIDE, ""}, {"fan", BESIDE, ""}, {"heater", BESIDE, ""},
    {"solenoid", BESIDE, ""}, {"valve", BESIDE, ""}, {"lamp", BESIDE, ""}, {"bulb", BESIDE, ""},
    {"battery", BESIDE_OR_MODEL, ""}, {"jack", BESIDE, ""}, {"aerial", BESIDE, ""}, {"antenna", BESIDE, ""},
    {"meter", BESIDE_OR_MODEL, ""}, {"ammeter", BESIDE_OR_MODEL, ""},
    {"voltmeter", BESIDE_OR_MODEL, ""}, {"thermocouple", BESIDE, ""}, {"probe", BESIDE_OR_MODEL, ""}, {"electrode", BESIDE, ""},
    {"relay", TELLS_NOTHING, ""}, {"driver", TELLS_NOTHING, ""}, {"connector", TELLS_NOTHING, ""},
    {"header", TELLS_NOTHING, ""}, {"socket", TELLS_NOTHING, ""}, {"plug", TELLS_NOTHING, ""},
    {"module", TELLS_NOTHING, ""}, {"transformer", TELLS_NOTHING, ""}};

/* What references say, by class letters (IEEE 315, clause 22, from memory: S, LS, DS, M, MK, RT; the
 * rest common practice); without a package: on wires.  A switch, a loudspeaker or a lamp may be
 * either way round. */
static const struct { const char *letters; uint32_t most_pins; const char *package; bool either; } references[] = {
    {"LDR", 2, "LDR-5", true}, {"NTC", 2, "NTC-5", true}, {"PTC", 2, "NTC-5", true}, {"RT", 2, "NTC-5", true},
    {"TH", 2, "NTC-5", true}, {"VDR", 2, "VARISTOR-7", true}, {"S", 99, "", true}, {"SW", 99, "", true},
    {"LS", 2, "", true}, {"SPK", 2, "", true}, {"DS", 2, "", true}, {"LA", 2, "", true}, {"LP", 2, "", true},
    {"M", 2, "", false}, {"MK", 2, "", false}, {"MIC", 2, "", false}, {"ANT", 2, "", false}, {"AE", 2, "", false}};

/* A subcircuit of more nodes is worked by some of them: no switch, say, by hand. */
enum { MOST_PINS_OF_A_MODEL = 3 };

static const word *look_up(const char *text, size_t length) {
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (swi_equal_fold_n(text, length, words[i].text))
            return &words[i];
    return NULL;
}

/* The last word of the text that is known, for that is what it is: a reed relay is a relay.
 * With `end`, its last word or none. */
static const word *find(const char *text, bool end) {
    const word *found = NULL;
    while (*text) {
        size_t length = 0;
        while (swi_is_alpha(text[length]))
            length++;
        const word *one = length ? look_up(text, length) : NULL;
        if (one || (length && end))
            found = one;
        text += length ? length : 1;
    }
    return found;
}

static const word *word_of(char kind, const char *device, const char *value) {
    const word *found = find(device, kind == 'X');
    return found || kind == 'X' ? found : find(value, false);
}

/* The row of the table, -1: the reference says nothing. */
static int reference_row(const char *ref, uint32_t pins) {
    size_t letters;
    const char *last = swi_ref_letters(ref, &letters);
    for (size_t i = 0; i < sizeof references / sizeof *references; i++)
        if (pins <= references[i].most_pins && swi_equal_fold_n(last, letters, references[i].letters))
            return (int)i;
    return -1;
}

/* NULL: the reference says nothing. */
static const char *package_of_reference(const char *ref, uint32_t pins) {
    int row = reference_row(ref, pins);
    return row < 0 ? NULL : references[row].package;
}

const char *swi_word_package(char kind, const char *ref, const char *device, const char *value) {
    const word *found = strchr("RPDX?", kind) ? word_of(kind, device, value) : NULL;
    if (found && found->sort == STANDS)
        return found->name;
    const char *package = kind == 'R' ? package_of_reference(ref, 2) : NULL;
    return package ? package : "";
}

const char *swi_word_device(char kind, const char *device, const char *value) {
    const word *found = strchr("DSX?", kind) ? word_of(kind, device, value) : NULL;
    return found && found->sort == IS ? found->name : "";
}

bool swi_word_beside(char kind, const char *ref, const char *device, const char *value, uint32_t pins) {
    if (!strchr("X?", kind))
        return false;
    const word *found = word_of(kind, device, value);
    if (kind == 'X' && pins > MOST_PINS_OF_A_MODEL)
        return false;
    if (found)
        return found->sort == BESIDE || found->sort == BESIDE_OR_MODEL;
    const char *package = kind == '?' ? package_of_reference(ref, pins) : NULL;
    return package && !*package;
}

bool sw_names_a_thing(const char *subcircuit) {
    const word *found = find(subcircuit, true);
    return found && found->sort != BESIDE_OR_MODEL && found->sort != TELLS_NOTHING;
}

/* A capacitor that has no plus: its package says so, or it is small. */
static bool has_no_plus(const sw_part *part) {
    static const char *const polarised[] = {"*TANT*", "*ELEC*", "*CP_*"};
    double farads;
    for (size_t i = 0; i < sizeof polarised / sizeof *polarised; i++)
        if (swi_match(polarised[i], part->value) || swi_match(polarised[i], part->package))
            return false;
    return swi_match("CAP-*", part->package) || (swi_fit_value('C', part->value, &farads) && farads < 0.9999e-6);
}

bool sw_pins_by_order(const sw_part *part, uint32_t nodes) {
    char kind = part->kind ? part->kind : sw_ref_kind(part->ref);
    if (kind == 'N')
        return true;
    if (nodes != 2)
        return false;
    int row = kind == '?' ? reference_row(part->ref, nodes) : -1;
    return strchr("RLYf", kind) != NULL || (kind == 'C' && has_no_plus(part)) || (row >= 0 && references[row].either);
}
