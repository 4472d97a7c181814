#!/bin/sh
# Every option has one name: in the table, the help of its verbs and the man page.
. "$SW_SRCDIR/tests/lib/tap.sh"
page=$SW_SRCDIR/src/cli/stripwright.1
tables="$SW_SRCDIR/src/cli/options.def $SW_SRCDIR/include/stripwright/layout-options.def"

sed -n 's/^SW_OPTION([A-Z_]*, "\([a-z-]*\)".*/\1/p; s/^SW_LAYOUT_OPTION([a-z_]*, "\([a-z-]*\)".*/\1/p' $tables >names
check 'the tables are read' test "$(wc -l <names)" -gt 30
sed 's/\\-/-/g' "$page" >page
while read -r name; do
  grep -q -e "--$name" page || echo "$name"
done <names >missing
check 'the man page has every option' same "$(cat missing)" ''

for verb in workpack plan check nodes fit convert compare order list; do
  run stripwright "$verb" --help
  check "$verb --help: status 0" status_is 0
  check "$verb --help: says how it is used" has out "usage: stripwright $verb"
  check "the man page has the verb $verb" grep -q "^\.B $verb\$" page
  cat out >>helps
done
while read -r name; do
  grep -q -e "--$name" helps || echo "$name"
done <names >missing
check 'each option is in some help' same "$(cat missing)" ''
finish
