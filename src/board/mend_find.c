#include "check.h"
void swi_find_mends(swi_check *check) { (void)check; }
