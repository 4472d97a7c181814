/* Keywords of EDIF 2 0 0 (ANSI/EIA-548-1988; names per the grammar that the EDIF
 * committee published in May 1987), without regard to case. */
#include "formats/edif/edif.h"

#include "base/hash.h"

typedef struct keyword {
    const char *word;
    swi_edif_form form;
} keyword;

/* In alphabetical order. */
static const keyword keywords[] = {
    {"acload", SWI_F_QUIET}, {"after", SWI_F_QUIET}, {"annotate", SWI_F_QUIET},
    {"apply", SWI_F_QUIET}, {"array", SWI_F_ARRAY}, {"arraymacro", SWI_F_QUIET},
    {"arrayrelatedinfo", SWI_F_QUIET}, {"author", SWI_F_QUIET},
    {"boolean", SWI_F_BOOLEAN}, {"booleandisplay", SWI_F_DISPLAY},
    {"boundingbox", SWI_F_QUIET}, {"cell", SWI_F_CELL}, {"cellref", SWI_F_CELL_REF},
    {"celltype", SWI_F_QUIET}, {"comment", SWI_F_QUIET}, {"commentgraphics", SWI_F_QUIET},
    {"contents", SWI_F_CONTENTS}, {"criticality", SWI_F_QUIET}, {"dataorigin", SWI_F_QUIET},
    {"dcfaninload", SWI_F_QUIET}, {"dcfanoutload", SWI_F_QUIET}, {"dcmaxfanin", SWI_F_QUIET},
    {"dcmaxfanout", SWI_F_QUIET}, {"design", SWI_F_DESIGN}, {"designator", SWI_F_DESIGNATOR},
    {"direction", SWI_F_DIRECTION}, {"display", SWI_F_QUIET}, {"e", SWI_F_E},
    {"edif", SWI_F_EDIF}, {"ediflevel", SWI_F_QUIET}, {"edifversion", SWI_F_VERSION},
    {"external", SWI_F_EXTERNAL}, {"false", SWI_F_FALSE}, {"figure", SWI_F_QUIET},
    {"follow", SWI_F_QUIET}, {"generate", SWI_F_QUIET}, {"globalportref", SWI_F_PORT_REF}, {"instance", SWI_F_INSTANCE},
    {"instanceref", SWI_F_INSTANCE_REF}, {"integer", SWI_F_INTEGER},
    {"integerdisplay", SWI_F_DISPLAY}, {"interface", SWI_F_INTERFACE},
    {"joined", SWI_F_JOINED}, {"keywordalias", SWI_F_KEYWORD_ALIAS},
    {"keyworddefine", SWI_F_KEYWORD_DEFINE}, {"keywordlevel", SWI_F_QUIET},
    {"keywordmap", SWI_F_KEYWORD_MAP},
    {"keywordparameters", SWI_F_QUIET}, {"library", SWI_F_LIBRARY},
    {"libraryref", SWI_F_LIBRARY_REF}, {"listofnets", SWI_F_LIST},
    {"listofports", SWI_F_LIST}, {"logicport", SWI_F_QUIET}, {"member", SWI_F_MEMBER},
    {"mustjoin", SWI_F_QUIET}, {"name", SWI_F_NAME}, {"net", SWI_F_NET},
    {"netbundle", SWI_F_LIST}, {"netdelay", SWI_F_QUIET}, {"number", SWI_F_NUMBER},
    {"numberdisplay", SWI_F_DISPLAY}, {"offpageconnector", SWI_F_OFF_PAGE},
    {"owner", SWI_F_OWNER}, {"page", SWI_F_PAGE}, {"pagesize", SWI_F_QUIET},
    {"parameter", SWI_F_PROPERTY}, {"parameterassign", SWI_F_PROPERTY}, {"permutable", SWI_F_QUIET},
    {"physicaldesignrule", SWI_F_QUIET}, {"port", SWI_F_PORT},
    {"portbundle", SWI_F_PORT_BUNDLE}, {"portdelay", SWI_F_QUIET},
    {"portimplementation", SWI_F_QUIET}, {"portinstance", SWI_F_PORT_INSTANCE},
    {"portlist", SWI_F_JOINED}, {"portlistalias", SWI_F_QUIET}, {"portref", SWI_F_PORT_REF},
    {"program", SWI_F_QUIET}, {"property", SWI_F_PROPERTY}, {"propertydisplay", SWI_F_QUIET},
    {"protectionframe", SWI_F_QUIET}, {"rename", SWI_F_RENAME}, {"scale", SWI_F_QUIET},
    {"simulate", SWI_F_QUIET}, {"simulationinfo", SWI_F_QUIET}, {"status", SWI_F_QUIET},
    {"string", SWI_F_STRING}, {"stringdisplay", SWI_F_DISPLAY}, {"symbol", SWI_F_QUIET},
    {"technology", SWI_F_QUIET}, {"timestamp", SWI_F_QUIET}, {"timing", SWI_F_QUIET},
    {"transform", SWI_F_QUIET}, {"true", SWI_F_TRUE}, {"unit", SWI_F_UNIT},
    {"unused", SWI_F_QUIET}, {"userdata", SWI_F_QUIET}, {"view", SWI_F_VIEW},
    {"viewlist", SWI_F_VIEW_LIST}, {"viewmap", SWI_F_QUIET}, {"viewref", SWI_F_VIEW_REF},
    {"viewtype", SWI_F_QUIET}, {"weakjoined", SWI_F_QUIET}, {"written", SWI_F_QUIET},
};

enum { KEYWORDS = sizeof keywords / sizeof *keywords };

/* As strcmp of the lower-cased word and the keyword. */
static int compare(const char *word, size_t length, const char *keyword_text) {
    for (size_t i = 0; i < length; i++) {
        char c = word[i] >= 'A' && word[i] <= 'Z' ? (char)(word[i] + 'a' - 'A') : word[i];
        if (c != keyword_text[i])
            return (unsigned char)c < (unsigned char)keyword_text[i] ? -1 : 1;
    }
    return keyword_text[length] ? -1 : 0;
}

/* Where the keyword is in the table; their number when it is none. */
static size_t search(const char *word, size_t length) {
    size_t from = 0, to = KEYWORDS;
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        int order = compare(word, length, keywords[middle].word);
        if (order == 0)
            return middle;
        if (order < 0)
            to = middle;
        else
            from = middle + 1;
    }
    return KEYWORDS;
}

/* A word of up to sixteen letters as two numbers; bit 5 alone tells the letters' case, and
 * keywords are letters. */
static swi_edif_keyword summary_of(const char *word, size_t length) {
    const uint64_t blind = UINT64_C(0x2020202020202020);
    swi_edif_keyword summary = {.length = (unsigned char)length};
    bool longer = length > 8;
    summary.head = (longer ? swi_hash_word(word, 8) : swi_hash_end(word, length)) | blind;
    summary.tail = longer ? swi_hash_word(word + length - 8, 8) | blind : 0;
    return summary;
}

static swi_edif_form search_form(const char *word, size_t length) {
    size_t found = search(word, length);
    return found == KEYWORDS ? SWI_F_UNKNOWN : keywords[found].form;
}

swi_edif_form swi_edif_form_of(swi_edif_keywords *met, const char *word, size_t length) {
    if (length == 0 || length > 16)
        return search_form(word, length);
    swi_edif_keyword key = summary_of(word, length);
    uint64_t spread = (key.head ^ key.tail << 1) * UINT64_C(0x9E3779B97F4A7C15);
    swi_edif_keyword *last = &met->at[spread >> 56];
    if (last->head == key.head && last->tail == key.tail && last->length == length)
        return (swi_edif_form)last->form;
    swi_edif_form form = search_form(word, length);
    if (form != SWI_F_UNKNOWN) {
        key.form = (unsigned char)form;
        *last = key;
    }
    return form;
}
