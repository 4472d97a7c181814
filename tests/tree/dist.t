#!/bin/sh
# Every file that is tracked goes into the tarball (files of the forge, whose names
# begin with a dot, aside).  From an unpacked tarball there is nothing tracked: then
# the files there are held against the list.
. "$SW_SRCDIR/tests/lib/tap.sh"

tracking() {
  git -c safe.directory='*' -C "$SW_SRCDIR" "$@" 2>/dev/null
}

if test "$(tracking rev-parse --show-toplevel)" = "$SW_SRCDIR"; then
  tracking ls-files
else
  (cd "$SW_SRCDIR" && find . -type f | sed 's,^\./,,' | grep -Ev '^(build|_build|_inst|autom4te|m4/)|~$')
fi | grep -Ev '(^|/)\.' | sort >tracked

make -s -C "$SW_BUILDDIR" print-distfiles 2>/dev/null | tr ' ' '\n' | sort -u >listed
check 'the build lists what it distributes' test -s listed

comm -23 tracked listed >missing
cp missing out
check 'no tracked file is missing from the lists of Makefile.am' test ! -s missing

finish
