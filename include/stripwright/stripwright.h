/* stripwright.h: the whole library.
 *
 * bytes -> sw_read_circuit -> sw_fit -> sw_circuit_number, sw_review -> sw_layout
 *       -> sw_check -> sw_write -> bytes
 */
#ifndef STRIPWRIGHT_H
#define STRIPWRIGHT_H

#include <stripwright/base.h>
#include <stripwright/diag.h>
#include <stripwright/parts.h>
#include <stripwright/circuit.h>
#include <stripwright/board.h>
#include <stripwright/layout.h>
#include <stripwright/format.h>
#include <stripwright/papers.h>

#endif
