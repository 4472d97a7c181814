/* tests/lib/edif.h: the parts that small EDIF files of tests are made of: START, an
 * external library PARTS with a resistor of two pins, the cell to begin at with TOP, and
 * DESIGN.  R1 is an instance of the resistor.
 */
#ifndef TEST_EDIF_H
#define TEST_EDIF_H

#define START "(edif d (edifVersion 2 0 0) (edifLevel 0) (keywordMap (keywordLevel 0))\n"
#define PARTS \
    "(external p (edifLevel 0) (cell R (cellType GENERIC) (view v (viewType NETLIST) (interface " \
    "(port &1) (port &2)))))\n"
#define TOP(ports, contents) \
    "(library w (edifLevel 0) (cell top (cellType GENERIC) (view v (viewType NETLIST) " \
    "(interface " ports ") (contents " contents "))))\n"
#define DESIGN "(design d (cellRef top (libraryRef w))))"
#define R1 "(instance R1 (viewRef v (cellRef R (libraryRef p))))"

#endif
