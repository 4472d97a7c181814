#!/bin/sh
# The shared library exports just the functions that the public headers declare.
. "$SW_SRCDIR/tests/lib/tap.sh"
need nm

cat "$SW_SRCDIR"/include/stripwright/*.h | tr '\n' ' ' | grep -oE 'SW_API [^;(]*\(' |
  grep -oE 'sw_[a-z0-9_]+ ?\($' | tr -d ' (' | sort -u >declared
check 'public headers declare functions' test -s declared

nm -D --defined-only "$SW_BUILDDIR/.libs/libstripwright.so" |
  awk '$2 != "A" { print $3 }' | sort -u >exported

comm -13 declared exported >out
check 'nothing is exported that no public header declares' test ! -s out
comm -23 declared exported >out
check 'all that public headers declare is there' test ! -s out

finish
