#!/bin/sh
# The house rules that a machine can see: which room may include which, no printing
# and no global state in the library, names that are exported, headers that stand alone.
. "$SW_SRCDIR/tests/lib/tap.sh"
need nm size

# nothing NAME: passes when the file `out` is empty, else shows it.
nothing() {
  status=
  : >err
  check "$1" test ! -s out
}

# includes ROOM PATTERN: lines of the room's sources that include what matches.
includes() {
  find "$SW_SRCDIR/$1" -name '*.[ch]' -exec grep -nE \
    "^[[:space:]]*#[[:space:]]*include[[:space:]]*[<\"](\.\./)*(src/)?($2)" /dev/null {} + 2>/dev/null
}

# --- Dependencies run one way ---------------------------------------------
{
  includes src/base 'parts/|circuit/|board/|layout/|papers/|formats/|cli/'
  includes src/parts 'circuit/|board/|layout/|papers/|formats/|cli/'
  includes src/circuit 'board/|layout/|papers/|formats/|cli/'
  includes src/board 'layout/|papers/|formats/|cli/'
  includes src/layout 'papers/|formats/|cli/'
  includes src/papers 'layout/|formats/|cli/'
  includes formats 'layout/|cli/'
} >out
nothing 'each room includes only rooms below it'

for folder in "$SW_SRCDIR"/formats/*/; do
  test -d "$folder" || continue
  name=$(basename "$folder")
  find "$folder" -name '*.[ch]' -exec grep -nE '#[[:space:]]*include[[:space:]]*"(formats/|\.\./)' \
    /dev/null {} + | grep -vE "\"formats/($name/|[^/]*\")"
done >out
nothing 'no format includes another'

# --- The library is silent, and stays ------------------------------------
find "$SW_SRCDIR/src" "$SW_SRCDIR/formats" -path "$SW_SRCDIR/src/cli" -prune -o -name '*.c' -exec grep -nE \
  '(^|[^_[:alnum:]])(printf|fprintf|vprintf|vfprintf|puts|putchar|perror|exit|_exit|abort|setlocale|srand|rand|strtok|signal)[[:space:]]*\(' \
  /dev/null {} + >out
nothing 'the library never prints, exits, aborts or touches what is the whole process'

library=$SW_BUILDDIR/.libs/libstripwright
check 'the static library is built' test -f "$library.a"
check 'the shared library is built' test -f "$library.so"

# Sanitizers keep data of their own in the library.
if nm "$library.a" 2>/dev/null | grep -q __asan_; then
  : >out
else
  size -A "$library.a" |
    awk '/ex / || /:$/ { object = $1 } /^\.(data|bss|tdata|tbss)(\.[^r]|\.r[^e]|[[:space:]])/ && $2 > 0 { print object, $1, $2 }' >out
fi
nothing 'the library has no global state (no writable data)'

# --- Headers stand alone -------------------------------------------------
for header in "$SW_SRCDIR"/include/stripwright/*.h; do
  echo "#include <stripwright/$(basename "$header")>" >alone.c
  $SW_CC -std=c11 -Wall -Wextra -Wpedantic -Wconversion -Werror -fsyntax-only \
    -I "$SW_SRCDIR/include" alone.c 2>&1
done >out
nothing 'each public header compiles alone, with strict warnings'

# --- Nothing left for later ----------------------------------------------
for folder in include src formats tests tools; do
  grep -rnwE 'TO''DO|FIX''ME|XX''X|HA''CK' "$SW_SRCDIR/$folder" 2>/dev/null
done >out
nothing 'no notes of work left undone'

for entry in README.md DEVELOPERS.md bootstrap configure.ac Makefile.am include src formats \
  examples tests tools; do
  grep -rnE '(^|[^[:alnum:]_.~*-])/(ho''me|wo''rk|ro''ot|Us''ers)/' "$SW_SRCDIR/$entry" 2>/dev/null
done >out
nothing 'no path of some machine'

finish
