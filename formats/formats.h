/* formats/formats.h: the descriptors that formats.def lists. */
#ifndef SWI_FORMATS_H
#define SWI_FORMATS_H

#include <stripwright/format.h>

#define SW_FORMAT(name) extern const sw_format swi_format_##name;
#include "formats/formats.def"
#undef SW_FORMAT

#endif
