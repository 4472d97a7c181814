#!/bin/sh
# No unit, format or conformance test leaks, or reads what was never written.
. "$SW_SRCDIR/tests/lib/tap.sh"
need valgrind

# Sanitizers look after memory themselves and do not run under valgrind.
if nm "$SW_BUILDDIR/.libs/libstripwright.a" | grep -q __asan_; then
  ok 'left to the sanitizers of this build'
  finish
fi

for program in $SW_PROGRAMS; do
  run valgrind -q --error-exitcode=99 --leak-check=full \
    --errors-for-leak-kinds=definite,indirect,possible "$SW_BUILDDIR/$program"
  check "$program" status_is 0
done

finish
