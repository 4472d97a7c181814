/* What the kind and the value of a part suggest where nobody states anything,
 * and names that mean the same.  All of it is common practice, and all of it is
 * told in the report, so that the user can put it right.
 */
#include "circuit/fit.h"

#include <string.h>

/* ---- what a part is, by its reference ---- */

/* Class letters of IEEE 315 (clause 22) where they are in use, and what people
 * write besides; longer prefixes first. */
static const struct { const char *prefix; char kind; } prefixes[] = {
    {"LED", 'D'}, {"XTAL", 'Y'}, {"CONN", 'N'}, {"CON", 'N'}, {"HDR", 'N'}, {"JP", 'N'}, {"LDR", 'R'},
    {"NTC", 'R'}, {"PTC", 'R'}, {"RT", 'R'}, {"TH", 'R'}, {"VDR", 'R'}, {"RV", 'P'}, {"VR", 'P'}, {"POT", 'P'},
    {"BZ", 'z'}, {"ZD", 'D'}, {"TP", 'N'}, {"CN", 'N'}, {"HD", 'N'}, {"IC", 'X'}, {"BT", 'V'},
    {"BAT", 'V'}, {"R", 'R'}, {"C", 'C'}, {"L", 'L'}, {"D", 'D'}, {"Q", 'Q'}, {"Y", 'Y'},
    {"U", 'X'}, {"J", 'N'}, {"P", 'N'}, {"F", 'f'}, {"V", 'V'}};

const char *swi_ref_letters(const char *ref, size_t *letters) {
    const char *point = strrchr(ref, '.');
    const char *last = point ? point + 1 : ref;
    *letters = 0;
    while (swi_is_alpha(last[*letters]))
        ++*letters;
    return last;
}

char sw_ref_kind(const char *ref) {
    size_t letters;
    const char *last = swi_ref_letters(ref, &letters);
    for (size_t i = 0; i < sizeof prefixes / sizeof *prefixes; i++)
        if (swi_upper(*last) == *prefixes[i].prefix &&
            swi_equal_fold_n(last, letters, prefixes[i].prefix))
            return prefixes[i].kind;
    return '?';
}

/* ---- values ---- */

sw_quantity swi_quantity_of(char kind) {
    switch (kind) {
    case 'R': case 'P': return SW_OHMS;
    case 'C': return SW_FARADS;
    case 'L': return SW_HENRIES;
    default: return SW_OTHER;
    }
}

bool swi_fit_value(char kind, const char *text, double *value) {
    return sw_value_read(text, swi_quantity_of(kind), false, value);
}

/* ---- packages ---- */

static bool says(const char *text, const char *word) {
    size_t length = strlen(word);
    for (; *text; text++) {
        size_t i = 0;
        while (i < length && swi_lower(text[i]) == word[i])
            i++;
        if (i == length)
            return true;
    }
    return false;
}

/* Radial electrolytics of about 25 V; sizes of general-purpose series, from memory. */
static const char *electrolytic(double farads) {
    static const struct { double most; const char *package; } sizes[] = {
        {47e-6, "ELEC-5"}, {100e-6, "ELEC-6.3"}, {330e-6, "ELEC-8"}, {1000e-6, "ELEC-10"},
        {2200e-6, "ELEC-12.5"}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        if (farads <= sizes[i].most * 1.0001)
            return sizes[i].package;
    return "ELEC-16";
}

static const char *capacitor(bool known, double farads, const char *value, const char *device) {
    bool film = says(value, "film") || says(device, "film") || says(device, "mkt") ||
                says(device, "mks") || says(device, "poly");
    bool ceramic = says(value, "cer") || says(device, "cer") || says(device, "x7r") ||
                   says(device, "c0g") || says(device, "np0");
    if (film)
        return "CAP-BOX-5";
    if (says(value, "elec") || says(device, "elec") || says(device, "tant"))
        return electrolytic(known ? farads : 0);
    if (!known)
        return "";
    if (ceramic)
        return farads <= 100.01e-9 ? "CAP-DISC-2.5" : "CAP-DISC-5";
    if (farads >= 0.9999e-6)
        return electrolytic(farads);
    return farads <= 100.01e-9 ? "CAP-DISC-2.5" : "CAP-BOX-5";
}

/* Outlines by type number where the number tells (JEDEC DO-35, DO-41, DO-201AD as
 * data sheets give them; from memory). */
static const char *diode(const char *ref, const char *device) {
    static const struct { const char *pattern, *package; } types[] = {
        {"*3MM*", "LED-3"}, {"*5MM*", "LED-5"}, {"LED3*", "LED-3"}, {"LED-3*", "LED-3"}, {"*LED*", "LED-5"},
        {"RED*", "LED-5"}, {"AMBER*", "LED-5"}, {"ORANGE*", "LED-5"}, {"YELLOW*", "LED-5"},
        {"GREEN*", "LED-5"}, {"BLUE*", "LED-5"}, {"WHITE*", "LED-5"}, {"HLMP*", "LED-5"},
        {"NSPW*", "LED-5"}, {"QTLP*", "LED-5"},
        {"1N4001*", "DO-41"}, {"1N4002*", "DO-41"}, {"1N4003*", "DO-41"}, {"1N4004*", "DO-41"},
        {"1N4005*", "DO-41"}, {"1N4006*", "DO-41"}, {"1N4007*", "DO-41"}, {"1N47*", "DO-41"},
        {"1N493*", "DO-41"}, {"1N540*", "DO-201AD"}, {"1N5820*", "DO-201AD"},
        {"1N5821*", "DO-201AD"}, {"1N5822*", "DO-201AD"}, {"1N581*", "DO-41"},
        {"BZX85*", "DO-41"}, {"UF400*", "DO-41"}, {"BA159*", "DO-41"}};
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (swi_match(types[i].pattern, device))
            return types[i].package;
    return swi_match("LED*", ref) || swi_match("*.LED*", ref) ? "LED-5" : "DO-35";
}

static const char *header(uint32_t pins) {
    static const char *const headers[] = {
        "", "HEADER-1x1", "HEADER-1x2", "HEADER-1x3", "HEADER-1x4", "HEADER-1x5",
        "HEADER-1x6", "HEADER-1x7", "HEADER-1x8", "HEADER-1x9", "HEADER-1x10", "", "HEADER-1x12",
        "", "HEADER-1x14", "", "HEADER-1x16", "", "", "", "HEADER-1x20"};
    return pins < sizeof headers / sizeof *headers ? headers[pins] : "";
}

const char *swi_guess_package(char kind, const char *ref, const char *value, const char *device,
                              uint32_t pins) {
    double number = 0;
    bool known = swi_fit_value(kind, value, &number);
    const char *word = pins <= 2 ? swi_word_package(kind, ref, device, value) : "";
    if (*word)
        return word;
    switch (kind) {
    case 'R': return pins <= 2 ? "RES-0.25W" : "";
    case 'C': return pins <= 2 ? capacitor(known, number, value, device) : "";
    case 'L': return pins <= 2 ? "IND-AXIAL" : "";
    case 'D': return pins <= 2 ? diode(ref, *device ? device : value) : "";
    case 'P': return pins <= 3 ? "TRIM-6" : "";
    case 'Y': return pins <= 2 ? "XTAL-HC49" : "";
    case 'f': return pins <= 2 ? "FUSE-5x20" : "";
    case 'z': return pins <= 2 ? "BUZZER-12" : "";
    case 'N': return header(pins);
    default: return "";
    }
}

/* ---- pin names that mean the same ---- */

/* As models and data sheets spell them; each line one meaning. */
static const char *const synonyms[][12] = {
    {"IN+", "+", "INP", "IN_P", "+IN", "NONINV", "NI", "VIN+", "PLUS"},
    {"IN-", "-", "INN", "IN_N", "-IN", "INV", "INVERT", "VIN-", "MINUS"},
    {"V+", "VCC", "VDD", "VS+", "+VS", "VCC+", "VPOS", "+V", "VSUP", "VS"},
    {"V-", "VEE", "VSS", "VS-", "-VS", "VCC-", "VNEG", "-V"},
    {"GND", "VSS", "0", "GROUND", "V-", "0V"},
    {"OUT", "OUTPUT", "VOUT", "VO", "O"},
    {"IN", "INPUT", "VIN", "VI"},
    {"ADJ", "ADJUST"},
    {"TRIG", "/TRIG", "TRIGGER", "TR"},
    {"THRES", "THRESHOLD", "THR", "THRESH", "THRS"},
    {"DISCH", "DISCHARGE", "DIS", "DISC"},
    {"CONT", "CONTROL", "CV", "CTRL", "CTL"},
    {"/RESET", "RESET", "RST", "/RST", "RES", "RESETB", "NRESET", "MR", "/MR", "CLR", "/CLR", "CLEAR"},
    {"CLK", "CLOCK", "CP", "CK"},
    {"CKEN", "CLKEN", "ENA", "EN", "ENABLE"},
    {"CKEN", "CLKEN", "INH", "INHIBIT", "CKINH", "CLKINH", "CKI"}, /* as other makers call a counter's */
    {"COUT", "CO", "CARRY", "TC"},
    {"C", "COLLECTOR", "COL"},
    {"B", "BASE"},
    {"E", "EMITTER", "EM"},
    {"D", "DRAIN"},
    {"G", "GATE"},
    {"S", "SOURCE", "SRC"},
    {"A", "ANODE", "AN"},
    {"K", "CATHODE", "CATH", "KATHODE"},
    {"REF", "REFERENCE"}};

static bool in_line(const char *const *line, const char *name) {
    for (size_t i = 0; i < 12 && line[i]; i++)
        if (swi_equal_fold(line[i], name))
            return true;
    return false;
}

static bool same_word(const char *a, const char *b) {
    if (swi_equal_fold(a, b))
        return true;
    for (size_t i = 0; i < sizeof synonyms / sizeof *synonyms; i++)
        if (in_line(synonyms[i], a) && in_line(synonyms[i], b))
            return true;
    return false;
}

enum { LONGEST_NAME = 32 };

/* Cuts the next of several names off, as a processor's pins have: /RESET/PB5 is /RESET and PB5, but
 * U/D and 1/Q are one name each. */
static bool next_name(const char **text, char out[LONGEST_NAME]) {
    const char *from = *text, *end = *from ? strchr(from + 1, '/') : NULL;
    size_t length = end ? (size_t)(end - from) : strlen(from);
    bool whole = !end || length < 2 || strlen(end + 1) < 2;
    length = whole ? strlen(from) : length;
    if (length == 0 || length >= LONGEST_NAME)
        return false;
    memcpy(out, from, length);
    out[length] = '\0';
    *text = whole ? from + length : end + 1;
    return true;
}

bool swi_same_pin_name(const char *a, const char *b) {
    char one[LONGEST_NAME], other[LONGEST_NAME];
    while (next_name(&a, one))
        for (const char *rest = b; next_name(&rest, other);)
            if (same_word(one, other))
                return true;
    return false;
}
