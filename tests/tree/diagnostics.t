#!/bin/sh
# Every diagnostic is raised somewhere, explained in the README.md of its room or
# format, and triggered by some test; stable ids are well formed and unique.
. "$SW_SRCDIR/tests/lib/tap.sh"

# Lines "NAME id" from the one list.
sed -n 's/^SW_DIAG(\([A-Z0-9_]*\), *"\([^"]*\)".*/\1 \2/p' \
  "$SW_SRCDIR/include/stripwright/diagnostics.def" >ids
check 'the list has diagnostics' test -s ids
check 'every line of the list is read' same \
  "$(grep -c '^SW_DIAG(' "$SW_SRCDIR/include/stripwright/diagnostics.def")" "$(wc -l <ids)"

grep -vE '^[A-Z0-9_]+ [a-z0-9]+(-[a-z0-9]+)*$' ids >out
check 'ids are small words with hyphens' test ! -s out
tr 'a-z-' 'A-Z_' <ids | awk '$1 != $2' >out
check 'the name in C is the id in capitals' test ! -s out
cut -d' ' -f2 ids | sort | uniq -d >out
check 'no id is there twice' test ! -s out

# All of what is searched, once, in one file each.
find "$SW_SRCDIR/src" "$SW_SRCDIR/formats" -name '*.[ch]' -exec cat {} + >sources
find "$SW_SRCDIR/src" "$SW_SRCDIR/formats" -name README.md -exec cat {} + >texts
find "$SW_SRCDIR/tests" -type f ! -name diagnostics.t -exec cat {} + >tests

while read -r name id; do grep -qwF "SW_D_$name" sources || echo "$id"; done <ids >out
check 'each is raised in the sources' test ! -s out

while read -r name id; do
  grep -qE "^[|*+ -]*\`$id\`" texts || echo "$id"
done <ids >out
check 'each is explained in a README.md of a room or format' test ! -s out

# layout-refused tells that the search itself is wrong: no input may bring it about.
while read -r name id; do
  test "$id" = layout-refused && continue
  grep -qE "(^|[^a-z0-9-])$id([^a-z0-9-]|\$)|SW_D_$name([^A-Z0-9_]|\$)" tests || echo "$id"
done <ids >out
check 'each is triggered by a test' test ! -s out

finish
