/* formats/schedule/schedule.h: words that the reader and the writer share. */
#ifndef SWI_SCHEDULE_H
#define SWI_SCHEDULE_H

#include <stripwright/format.h>

#define SWI_SCHEDULE_FIRST_LINE "stripwright schedule 1"

sw_status swi_schedule_read(const sw_input *input, const sw_read_options *options,
                            sw_diags *diags, sw_builder *builder);
sw_status swi_schedule_write(const sw_document *document, const sw_write_options *options,
                             sw_diags *diags, sw_buf *out);

/* Whether a byte may stand in a text without quotes; 0x80 and above may, as parts
 * of UTF-8 characters. */
bool swi_schedule_bare(unsigned char byte);

#endif
