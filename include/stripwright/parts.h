/* stripwright/parts.h: what parts are physically.
 *
 * Packages (a part's physical form on the 2.54 mm grid) and devices (a part
 * name with its package, its pins' names, types and units) come from CSV tables:
 * the built-in ones (src/parts/data) and any that a user adds; a later row of
 * the same name replaces an earlier one.  Names are compared without case.
 *
 * Geometry.  Rows run across the strips, downwards; columns along them, to the
 * right, seen from the component side; both in pitches.  A turn is clockwise
 * seen from the component side: 0, 90, 180 or 270 degrees.  At turn 0 a DIP
 * stands with pin 1 top left, pins going down and then up the right-hand row
 * (counter-clockwise seen from above, JEDEC MS-001); a line or a pair has its
 * pins downwards, one strip each.
 */
#ifndef STRIPWRIGHT_PARTS_H
#define STRIPWRIGHT_PARTS_H

#include <stripwright/diag.h>

#define SW_PITCH_MM 2.54

typedef enum sw_form { SW_FORM_DIP, SW_FORM_LINE, SW_FORM_PAIR, SW_FORM_POINTS } sw_form;
typedef enum sw_shape { SW_SHAPE_RECT, SW_SHAPE_ROUND } sw_shape;
/* What a package lets pass beneath its body: nothing; a flat bare link between the rows of
 * a DIP; that and, for the body stands clear of the board, a sleeved link anywhere but over
 * a lead. */
typedef enum sw_under { SW_UNDER_NONE, SW_UNDER_FLAT_LINK, SW_UNDER_SLEEVED_LINK } sw_under;
/* A side of a body, clockwise: each turn of 90 degrees goes one on. */
typedef enum sw_face { SW_FACE_NONE, SW_FACE_UP, SW_FACE_RIGHT, SW_FACE_DOWN, SW_FACE_LEFT } sw_face;

/* Bits of sw_package.turns. */
enum { SW_TURN_0 = 1, SW_TURN_90 = 2, SW_TURN_180 = 4, SW_TURN_270 = 8 };

typedef struct sw_offset {
    int16_t row, column; /* pitches */
} sw_offset;

/* x along the strips to the right, y across them downwards, mm. */
typedef struct sw_box {
    double x0, y0, x1, y1;
} sw_box;

typedef struct sw_package {
    const char *name;
    sw_form form;
    uint16_t pin_count;
    uint16_t pitch;                  /* LINE: between pins; DIP: rows apart; pitches */
    uint8_t span_least, span_usual, span_most; /* PAIR, pitches; 0 otherwise */
    const char *const *pins;         /* pin_count names, "1", "2", … in pin order */
    const sw_offset *points;         /* pin_count lead positions at turn 0, pin 1 at
                                        0,0; a PAIR at its usual span */
    uint8_t turns;                   /* SW_TURN_… bits that the package allows */
    sw_shape shape;
    double along_mm, across_mm;      /* outline at turn 0 along/across the strips,
                                        centred on the leads' rectangle … */
    double shift_along_mm, shift_across_mm; /* … or so far from there, to the right and
                                        downwards, as a tab lying flat */
    double height_mm;
    bool upright;                    /* body stands on end over its first lead:
                                        outline centred on that lead */
    sw_under under;
    sw_face face;                    /* the side at turn 0 that must be got at, as a
                                        trimmer's with its screw there */
    const uint16_t *joined;          /* per pin: group of pins joined inside, 0 none */
    const char *source;              /* where the figures come from */
    const char *aliases;             /* other names of it, blanks between; "" none */
} sw_package;

typedef enum sw_pin_type {
    SW_PIN_UNKNOWN, SW_PIN_INPUT, SW_PIN_OUTPUT, SW_PIN_BIDIRECTIONAL,
    SW_PIN_OPEN_OUTPUT,    /* open collector or drain */
    SW_PIN_POWER_POSITIVE, SW_PIN_POWER_NEGATIVE, SW_PIN_GROUND,
    SW_PIN_PASSIVE,
    SW_PIN_NOT_CONNECTED,  /* nothing inside: may be left or used as a tie point */
    SW_PIN_KEEP_OPEN       /* maker says: do not connect */
} sw_pin_type;

/* "in", "out", "open", "positive", …: the words of the tables. */
SW_API const char *sw_pin_type_name(sw_pin_type type);
/* By such a word, given by length, without case; false when it is none. */
SW_API bool sw_pin_type_read(const char *word, size_t length, sw_pin_type *type);

typedef struct sw_device_pin {
    const char *number; /* as the package names it */
    const char *name;   /* "1OUT", "VCC"; "NC" for a pin the table leaves out */
    sw_pin_type type;
    uint8_t unit;       /* 1, 2, … (A, B, …); 0: common to all units, or one unit */
} sw_device_pin;

typedef struct sw_device {
    const char *name;
    const char *package;   /* its package's name */
    uint16_t pin_count;
    const sw_device_pin *pins; /* in package pin order, every pin of the package */
    uint8_t unit_count;    /* 1 for a device of one unit */
    bool unsafe_order;     /* makers disagree on the pin order: say so */
    const char *source, *note;
    const char *aliases;   /* parts pinned the same, blanks between; "" none; each is
                              found as a device of that name */
} sw_device;

typedef struct sw_library sw_library;

/* A library holding the built-in tables.  NULL when memory is out. */
SW_API sw_library *sw_library_new(sw_diags *diags);
/* Without any table: for tests and special uses. */
SW_API sw_library *sw_library_new_empty(void);
SW_API void sw_library_free(sw_library *library);
/* Adds a table, whose header tells packages from devices; or a footprint file, see below. */
SW_API sw_status sw_library_add(sw_library *library, const sw_input *table, sw_diags *diags);
/* Adds the package that a footprint file of an open board editor draws (`(footprint NAME …`), under that name;
 * NULL: the file's own.  Two leads become a pair that may be bent, more go into the holes nearest to their
 * pads.  SW_NO_PLAN, with a warning, when one is further than 0.4 mm from its hole, or there are none. */
SW_API sw_status sw_library_add_footprint(sw_library *library, const sw_input *input, const char *name, sw_diags *diags);
/* Also finds by alias where the tables give one, and by what drawing programs call a package
 * ("Package_DIP:DIP-8_W7.62mm"), as the tables of footprints have it: what is before a colon does not
 * count, and of the patterns that match the one with most characters of its own holds.  NULL when
 * unknown. */
SW_API const sw_package *sw_library_package(const sw_library *library, const char *name);
/* Whether it is a footprint's name that tells no package, such as AXIAL-0.4, where resistors stand and
 * diodes. */
SW_API bool sw_library_package_vague(const sw_library *library, const char *name);
/* The package of the same part stood upright, which is the table's NAME-UP; NULL when there
 * is none. */
SW_API const sw_package *sw_library_upright(const sw_library *library, const sw_package *package);
/* By name, by alias, by family ("74LS00" is pinned as 74HC00, "MC7812" as LM7812), and
 * at last without what follows a - / + # . or a blank and without letters at its end,
 * one by one: gain groups, packages, temperature ranges ("BC547C", "LM358N",
 * "BC337-40").  What was found may therefore have another name than was asked
 * for: whoever uses it says so. */
SW_API const sw_device *sw_library_device(const sw_library *library, const char *name);
/* Whether wires leave the board there: terminal pins, pin headers and screw terminals, by the names
 * PIN-*, HEADER-* and SCREW-*, or by what footprints of connectors are called. */
SW_API bool sw_package_takes_wires(const char *package);
SW_API size_t sw_library_package_count(const sw_library *library);
SW_API const sw_package *sw_library_package_at(const sw_library *library, size_t index); /* by natural order of name */
SW_API size_t sw_library_device_count(const sw_library *library);
SW_API const sw_device *sw_library_device_at(const sw_library *library, size_t index);

/* A size of stripboard as it is sold. */
typedef struct sw_stock {
    const char *name;          /* "24 × 37" */
    uint16_t strips, columns;
    const char *note, *source; /* note: outer size, "64 × 95 mm" */
} sw_stock;
SW_API size_t sw_library_stock_count(const sw_library *library);
SW_API const sw_stock *sw_library_stock_at(const sw_library *library, size_t index); /* by natural order of name */

/* Lead positions relative to the FIRST pin's lead, pin order, for a turn (0, 90,
 * 180, 270) and, for a PAIR, a span in pitches (ignored otherwise; 0: usual).
 * `out` has room for pin_count. */
SW_API void sw_package_leads(const sw_package *package, unsigned turn, unsigned span, sw_offset *out);
/* The body's outline in mm relative to the first pin's hole centre. */
SW_API sw_box sw_package_outline(const sw_package *package, unsigned turn, unsigned span);
/* What is at its face, in words: "openings" of a terminal block, "cable socket" of a board on two rows
 * of pins, else "screw". */
SW_API const char *sw_package_face_name(const sw_package *package);
/* Where its face is at a turn. */
SW_API sw_face sw_package_face(const sw_package *package, unsigned turn);
/* Before the face, as wide as the body and SW_FRONT_MM deep: the room that a wire's end or a screwdriver
 * wants (from memory).  Relative to the first pin's hole; all 0 without a face. */
#define SW_FRONT_MM 5.0
SW_API sw_box sw_package_front(const sw_package *package, unsigned turn, unsigned span);
/* The body's outline as a circle is given by its box (width = height = diameter). */

/* Index of a pin by number, then by name, without case; -1 when there is none. */
SW_API int sw_device_pin_index(const sw_device *device, const char *pin);
SW_API int sw_package_pin_index(const sw_package *package, const char *pin);
/* Whether the two leads of this two-lead package must not be swapped is told by
 * the part's kind, not by the package: see sw_part.polarised in circuit.h. */

/* ---- values and markings (IEC 60062, IEC 60063) ---- */

typedef enum sw_quantity { SW_OHMS, SW_FARADS, SW_HENRIES, SW_OTHER } sw_quantity;
typedef enum sw_series { SW_E3, SW_E6, SW_E12, SW_E24, SW_E48, SW_E96, SW_E192, SW_NO_SERIES } sw_series;

/* Reads a component value as people and decks write it: "4k7", "4.7k", "4700",
 * "100n", "100nF", "2u2", "2µ2", "1M" (mega for a value written on a part).
 * spice: the deck's language instead (Berkeley SPICE3 manual 2.1: M is milli, MEG
 * mega, letters after the suffix ignored).  false when it is no value. */
SW_API bool sw_value_read(const char *text, sw_quantity quantity, bool spice, double *value);
/* The same of a value on a part; *beside is the rest of text, which is a rating, a tolerance or a
 * remark, with what parts it from the value: " 16V" of "100u 16V", "16V" of "100uF16V". */
SW_API bool sw_value_read_beside(const char *text, sw_quantity quantity, double *value, const char **beside);
/* Normal form per IEC 60062 with the unit's letter as decimal sign: 4k7, 470R, 0R47,
 * 100n, 2u2, 470u, 10m (henries).  Rounded to nine significant digits, so that what
 * arithmetic adds does not show. */
SW_API void sw_value_write(double value, sw_quantity quantity, sw_buf *out);
/* The coarsest E series (IEC 60063:2015) that holds the value. */
SW_API sw_series sw_value_series(double value);
SW_API const char *sw_series_name(sw_series series);
/* The members of a series next below and above (equal when it is a member); both 0
 * for a value that is not positive and for SW_NO_SERIES. */
SW_API void sw_series_nearest(sw_series series, double value, double *below, double *above);
/* Colour bands in words, "yellow violet red gold" (4 bands, 5 %) or five bands
 * (1 %) when `bands` is 5.  false when the value cannot be shown that way. */
SW_API bool sw_marking_bands(double ohms, int bands, sw_buf *out);
/* Letter code per IEC 60062: 4K7, 470R, R47. */
SW_API bool sw_marking_letters(double ohms, sw_buf *out);
/* Three-digit capacitor code: 104 for 100 nF; two digits alone are pF. */
SW_API bool sw_marking_capacitor(double farads, sw_buf *out);

#endif
