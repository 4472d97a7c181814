#!/bin/sh
# What `make install` puts somewhere is enough for others: the command runs, and a
# program finds headers and library through pkg-config, shared and static.
. "$SW_SRCDIR/tests/lib/tap.sh"
need make pkg-config

run make -s -C "$SW_BUILDDIR" install DESTDIR="$work/root"
check 'make install: status 0' status_is 0

pc=$(find root -name stripwright.pc)
check 'installs the pkg-config file' test -n "$pc"
prefix=$(sed -n 's/^prefix=//p' "$pc")
PKG_CONFIG_PATH=$(dirname "$work/$pc")
export PKG_CONFIG_PATH
config() { # config OPTIONS: as if the root were /
  pkg-config --define-variable=prefix="$work/root$prefix" "$@" stripwright
}
library=$(config --variable=libdir)

check 'no warnings or missing modules' config --exists --print-errors
check 'says the version of the command' \
  same "stripwright $(config --modversion)" "$("$SW_COMMAND" --version)"

LD_LIBRARY_PATH=$library
export LD_LIBRARY_PATH
run "$(find root -name stripwright -path '*/bin/*')" --version
check 'the installed command runs' status_is 0

for document in README.md LICENSE; do
  check "installs $document" test -n "$(find root -path "*/doc/*/$document")"
done

cat >user.c <<'END'
#include <stdio.h>
#include <stripwright/stripwright.h>
int main(void) { return puts(sw_version()) < 0; }
END
# shellcheck disable=SC2046
run $SW_CC user.c -o shared $(config --cflags --libs)
check 'a program links with the shared library' status_is 0
run ./shared
check 'and runs' same "$(cat out)" "$(config --modversion)"

# shellcheck disable=SC2046
run $SW_CC $(config --cflags) user.c -o static "$library/libstripwright.a" \
  $(config --static --libs | tr ' ' '\n' | grep -v '^-lstripwright$')
check 'a program links with the static library' status_is 0
LD_LIBRARY_PATH='' run ./static
check 'and runs without the shared one' same "$(cat out)" "$(config --modversion)"

run make -s -C "$SW_BUILDDIR" uninstall DESTDIR="$work/root"
find root -type f >out
check 'make uninstall leaves nothing' test ! -s out

finish
