/* src/circuit/kind.h: what kind of part a reference speaks of. */
#ifndef SWI_KIND_H
#define SWI_KIND_H

#include <stripwright/circuit.h>

/* The kind (circuit.h) that the letters of the part's reference suggest, helped by
 * its number of pins, value and device; '?' when they suggest none.  For formats
 * that do not state the kind; letters per ASME Y14.44-2008 (from memory) and
 * common practice in magazines.  README.md has the table. */
char swi_kind_of_part(const sw_part *part);

#endif
