/* src/layout/loosen.h: taking parts off a board that is built. */
#ifndef SWI_LOOSEN_H
#define SWI_LOOSEN_H

#include "emit.h"
#include "lanes.h"

/* After a search that found no room: lets up to options->move_most parts go, and their links.  A plan with as
 * few moved as were found, or NULL.  The model is left with what was let go last. */
sw_plan *swi_loosen(swi_model *m, swi_asked *asked, bool *stopped);

#endif
