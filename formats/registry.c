/* Finding a format, and the way in and out that all formats share: what is wrong
 * with an input or a request whatever the format is told here, once. */
#include "formats/formats.h"

#include "base/fault.h"
#include "base/text.h"

#include <string.h>

/* A probe at or above this is believed against the file's name. */
#define SURE 50

static const sw_format *const formats[] = {
#define SW_FORMAT(name) &swi_format_##name,
#include "formats/formats.def"
#undef SW_FORMAT
    NULL /* so that the list may be empty */
};

size_t sw_format_count(void) {
    return sizeof formats / sizeof *formats - 1;
}

const sw_format *sw_format_at(size_t index) {
    return index < sw_format_count() ? formats[index] : NULL;
}

static bool is_called(const sw_format *format, const char *name) {
    if (swi_equal_fold(format->name, name))
        return true;
    for (const char *const *alias = format->aliases; alias && *alias; alias++)
        if (swi_equal_fold(*alias, name))
            return true;
    return false;
}

const sw_format *sw_format_find(const char *name) {
    for (size_t i = 0; i < sw_format_count(); i++)
        if (is_called(formats[i], name))
            return formats[i];
    return NULL;
}

/* ---- by the file's name ---- */

static bool ends_in(const char *text, size_t length, const char *ending) {
    size_t n = strlen(ending);
    return n < length && swi_equal_fold_n(text + length - n, n, ending);
}

/* Length of the path without an ending .gz. */
static size_t unpacked_length(const char *path) {
    size_t length = strlen(path);
    return ends_in(path, length, ".gz") ? length - 3 : length;
}

/* Length of the format's longest extension that the path ends in, 0 for none. */
static size_t extension_match(const sw_format *format, const char *path) {
    size_t best = 0, length = unpacked_length(path);
    for (const char *const *ext = format->extensions; ext && *ext; ext++)
        if (ends_in(path, length, *ext) && strlen(*ext) > best)
            best = strlen(*ext);
    return best;
}

static bool can_read(const sw_format *format) {
    return format->read_circuit || format->read_plan;
}

static bool any_format(const sw_format *format) {
    (void)format;
    return true;
}

static const sw_format *for_path(const char *path, bool (*wanted)(const sw_format *)) {
    const sw_format *best = NULL;
    size_t longest = 0;
    for (size_t i = 0; i < sw_format_count(); i++) {
        size_t match = wanted(formats[i]) ? extension_match(formats[i], path) : 0;
        if (match > longest) {
            longest = match;
            best = formats[i];
        }
    }
    return best;
}

const sw_format *sw_format_for_path(const char *path) {
    return path ? for_path(path, any_format) : NULL;
}

/* ---- by content ---- */

/* The format that is most sure; among equals the one that the name speaks for,
 * then the first listed. */
static const sw_format *by_content(const sw_input *input, int *score) {
    const sw_format *best = NULL;
    size_t best_match = 0;
    *score = 0;
    for (size_t i = 0; i < sw_format_count(); i++) {
        if (!can_read(formats[i]) || !formats[i]->probe)
            continue;
        int sure = formats[i]->probe(input->bytes, input->length);
        size_t match = extension_match(formats[i], input->name);
        if (sure > *score || (sure == *score && sure > 0 && match > best_match)) {
            *score = sure;
            best = formats[i];
            best_match = match;
        }
    }
    return best;
}

static void put_formats(sw_buf *out, bool (*wanted)(const sw_format *)) {
    const char *before = "";
    for (size_t i = 0; i < sw_format_count(); i++)
        if (wanted(formats[i])) {
            sw_buf_printf(out, "%s%s", before, formats[i]->name);
            before = ", ";
        }
}

static void report_unknown(const sw_input *input, sw_diags *diags) {
    sw_buf names = SW_BUF_INIT;
    put_formats(&names, can_read);
    const char *slash = strrchr(input->name, '/');
    const char *dot = strrchr(slash ? slash : input->name, '.');
    sw_diag_add(diags, SW_D_FORMAT_UNKNOWN, (sw_span){input->source, 0, 0},
                "neither the content nor the ending \"%s\" tells the format: state it with --from "
                "(%s)",
                dot ? dot : "", names.bytes ? names.bytes : "");
    sw_buf_free(&names);
}

/* ---- drawings ---- */

static bool has(const char *bytes, size_t length, const char *text) {
    size_t n = strlen(text);
    for (size_t i = 0; i + n <= length; i++)
        if (memcmp(bytes + i, text, n) == 0)
            return true;
    return false;
}

/* "v 20260101 2": a version by its day. */
static bool is_dated(const char *line, size_t length) {
    size_t digits = 2;
    while (digits < length && swi_is_digit(line[digits]))
        digits++;
    return length > 2 && memcmp(line, "v 2", 3) == 0 && digits == 10 && digits < length && line[digits] == ' ';
}

/* What drawing programs save, of which people take the file for a netlist: by how such files begin. */
static bool is_schematic(const sw_input *input) {
    enum { BEGINNING = 2000 };
    const char *bytes = input->bytes;
    size_t length = input->length < BEGINNING ? input->length : BEGINNING;
    const char *end = memchr(bytes, '\n', length);
    size_t line = end ? (size_t)(end - bytes) : length;
    size_t word = bytes[0] == '(' ? strcspn(bytes, " \t\r\n") : 0;
    return (word > 5 && memcmp(bytes + word - 4, "_sch", 4) == 0) || has(bytes, line, " Schematic File") || is_dated(bytes, line) ||
           (has(bytes, line, "Version 4") && has(bytes + line, length - line, "\nSHEET ")) ||
           (bytes[0] == '<' && has(bytes, length, "<drawing>"));
}

const sw_format *sw_format_detect(const sw_input *input, sw_diags *diags) {
    int score;
    if (is_schematic(input)) {
        sw_diag_add(diags, SW_D_FORMAT_UNKNOWN, (sw_span){input->source, 0, 0},
                    "this is a schematic as a drawing program saves it, and no netlist: have the program export its netlist, "
                    "as a SPICE deck or another of `stripwright list formats`");
        return NULL;
    }
    const sw_format *content = by_content(input, &score);
    if (content && score >= SURE)
        return content;
    const sw_format *named = for_path(input->name, can_read);
    if (!named)
        named = content;
    if (!named)
        report_unknown(input, diags);
    return named;
}

/* ---- reading ---- */

static bool reads_circuit(const sw_format *format) {
    return format->read_circuit != NULL;
}

static bool reads_plan(const sw_format *format) {
    return format->read_plan != NULL;
}

/* Inputs that no format can make anything of. */
static sw_status check_bytes(const sw_input *input, sw_diags *diags) {
    size_t blank = 0;
    while (blank < input->length && swi_is_space(input->bytes[blank]))
        blank++;
    if (blank == input->length) {
        sw_diag_add(diags, SW_D_INPUT_EMPTY, (sw_span){input->source, 0, 0},
                    "nothing is in here%s: is it the right file, and was it saved?",
                    input->length ? " but blanks" : "");
        return SW_BAD_INPUT;
    }
    const char *nul = memchr(input->bytes, 0, input->length);
    if (nul) {
        sw_diag_add(diags, SW_D_INPUT_BINARY,
                    (sw_span){input->source, (uint32_t)(nul - input->bytes), 1},
                    "this is no text: byte %zu is NUL. Export it as text (UTF-8) first",
                    (size_t)(nul - input->bytes) + 1);
        return SW_BAD_INPUT;
    }
    return SW_OK;
}

static sw_status choose(const sw_format **format, const sw_input *input, sw_diags *diags,
                        bool (*able)(const sw_format *), const char *what) {
    sw_status status = check_bytes(input, diags);
    if (status != SW_OK)
        return status;
    bool stated = *format != NULL;
    if (!stated)
        *format = sw_format_detect(input, diags);
    if (!*format)
        return SW_BAD_INPUT;
    if (able(*format))
        return SW_OK;
    sw_buf names = SW_BUF_INIT;
    put_formats(&names, able);
    sw_diag_add(diags, SW_D_FORMAT_CANNOT_READ, (sw_span){input->source, 0, 0},
                "no %s can be read from the format %s; from these it can: %s%s", what,
                (*format)->name, names.bytes ? names.bytes : "none",
                able == reads_plan ? "; a circuit becomes a plan by `stripwright plan`" : "");
    sw_buf_free(&names);
    return stated ? SW_USAGE : SW_BAD_INPUT;
}

static bool ran_out(const sw_diags *diags) {
    for (size_t i = sw_diags_count(diags); i-- > 0;)
        if (sw_diags_get(diags, i)->id == SW_D_MEMORY)
            return true;
    return false;
}

/* What reading comes to: errors make the result useless even where the reader
 * went on to find more of them, and errors of the builder are not the reader's.  A
 * warning that could not be kept for want of memory is a failure, too. */
static sw_status outcome(sw_status status, size_t errors_before, const sw_diags *diags) {
    if (status == SW_OK && sw_diags_of(diags, SW_ERROR) > errors_before)
        status = SW_BAD_INPUT;
    return ran_out(diags) ? SW_SYSTEM : status;
}

static const sw_read_options usual_reading;

sw_status sw_read_circuit(const sw_format *format, const sw_input *input,
                          const sw_read_options *options, sw_diags *diags, sw_circuit **out) {
    *out = NULL;
    sw_status status = choose(&format, input, diags, reads_circuit, "circuit");
    if (status != SW_OK)
        return status;
    size_t errors = sw_diags_of(diags, SW_ERROR);
    sw_builder *builder = sw_builder_new(SW_STAGE_NETLIST, diags);
    if (!builder)
        return swi_out_of_memory(diags);
    status = format->read_circuit(input, options ? options : &usual_reading, diags, builder);
    if (status != SW_OK) {
        sw_builder_free(builder);
        return outcome(status, errors, diags);
    }
    sw_circuit *circuit = sw_builder_finish(builder);
    status = outcome(circuit ? SW_OK : SW_BAD_INPUT, errors, diags);
    if (status == SW_OK)
        *out = circuit;
    else
        sw_circuit_free(circuit);
    return status;
}

sw_status sw_read_plan(const sw_format *format, const sw_input *input,
                       const sw_read_options *options, sw_diags *diags, sw_plan **out) {
    *out = NULL;
    sw_status status = choose(&format, input, diags, reads_plan, "plan");
    if (status != SW_OK)
        return status;
    size_t errors = sw_diags_of(diags, SW_ERROR);
    sw_plan *plan = sw_plan_new();
    if (!plan)
        return swi_out_of_memory(diags);
    status = format->read_plan(input, options ? options : &usual_reading, diags, plan);
    status = outcome(status, errors, diags);
    if (status == SW_OK)
        *out = plan;
    else
        sw_plan_free(plan);
    return status;
}

/* ---- writing ---- */

static bool writes(const sw_format *format) {
    return format->write != NULL;
}

static sw_status refuse(const sw_format *format, const sw_document *document, sw_diags *diags) {
    if (!writes(format)) {
        sw_buf names = SW_BUF_INIT;
        put_formats(&names, writes);
        sw_diag_add(diags, SW_D_FORMAT_CANNOT_WRITE, SW_NOWHERE,
                    "the format %s can only be read; these can be written: %s", format->name,
                    names.bytes ? names.bytes : "none");
        sw_buf_free(&names);
        return SW_USAGE;
    }
    if (document->next && !format->several) {
        sw_diag_add(diags, SW_D_FORMAT_ONE_BOARD, SW_NOWHERE,
                    "the format %s shows one board; write each board by itself", format->name);
        return SW_USAGE;
    }
    bool missing = format->group == SW_GROUP_CIRCUIT ? !document->circuit
                   : format->group == SW_GROUP_PLAN  ? !document->plan
                                                     : !document->circuit && !document->plan;
    if (!missing)
        return SW_OK;
    sw_diag_add(diags, SW_D_FORMAT_NEEDS, SW_NOWHERE, "the format %s needs a %s, and there is none",
                format->name,
                format->group == SW_GROUP_CIRCUIT ? "circuit"
                : format->group == SW_GROUP_PLAN  ? "plan"
                                                  : "circuit or a plan");
    return SW_USAGE;
}

sw_status sw_write(const sw_format *format, const sw_document *document,
                   const sw_write_options *options, sw_diags *diags, sw_buf *out) {
    static const sw_write_options usual;
    sw_status status = refuse(format, document, diags);
    if (status != SW_OK)
        return status;
    size_t before = out->length;
    status = format->write(document, options ? options : &usual, diags, out);
    if (status == SW_OK && out->failed)
        status = swi_out_of_memory(diags);
    else if (status == SW_OK && ran_out(diags))
        status = SW_SYSTEM;
    if (status != SW_OK && out->bytes) {
        out->length = before; /* nothing half-written is handed on */
        out->bytes[before] = '\0';
    }
    return status;
}
