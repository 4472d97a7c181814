/* src/papers/type.h: how much room text takes.
 *
 * Drawings place text by published widths, not by asking the machine's fonts, so
 * that a plan is the same everywhere.  Font stacks name faces of these widths only.
 */
#ifndef SWI_TYPE_H
#define SWI_TYPE_H

#include <stripwright/base.h>

typedef enum swi_face { SWI_SANS, SWI_SANS_BOLD, SWI_SERIF, SWI_SERIF_ITALIC, SWI_FACES } swi_face;

/* Heights as parts of the size: of capitals and digits (Helvetica's 718 and Times's 662
 * a thousand, rounded up), and of what hangs below the line. */
#define SWI_CAP_HEIGHT 0.72
#define SWI_DESCENT 0.21

/* Width in units of the size of UTF-8 text; a character without a published width counts
 * as a full square, so text is never wider than thought. */
double swi_text_width(swi_face face, const char *text);
/* Whether anything of the text hangs below the line. */
bool swi_text_hangs(const char *text);
/* Bytes of the longest beginning of text that is no wider than `width` sizes, ending at
 * a character. */
size_t swi_text_fit(swi_face face, const char *text, double width);
/* The same, but ending at a blank when there is one to end at: for lines of prose. */
size_t swi_text_break(swi_face face, const char *text, double width);

#endif
