#!/bin/sh
# Every unit, format and conformance test holds where numbers are written with a
# decimal comma: the library reads and writes the same bytes in any locale.
. "$SW_SRCDIR/tests/lib/tap.sh"
need localedef

# Built here, so that the machine need not have it.
run localedef -i de_DE -f UTF-8 "$work/de_DE.UTF-8"
check 'a locale with decimal commas can be made' test -d "$work/de_DE.UTF-8"
LOCPATH=$work TEST_LOCALE=de_DE.UTF-8
export LOCPATH TEST_LOCALE
check 'it has a decimal comma' same "$(LC_ALL=de_DE.UTF-8 printf '%.1f' 0)" '0,0'

for program in $SW_PROGRAMS; do
  run "$SW_BUILDDIR/$program"
  check "$program" status_is 0
done

finish
