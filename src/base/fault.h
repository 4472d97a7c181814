/* src/base/fault.h: saying that the machine failed. */
#ifndef SWI_FAULT_H
#define SWI_FAULT_H

#include <stripwright/diag.h>

/* Adds the `memory` diagnostic; always SW_SYSTEM, to be returned. */
sw_status swi_out_of_memory(sw_diags *diags);
/* What a value of errno means, in English: strerror follows the locale. */
const char *swi_errno_text(int error);

#endif
