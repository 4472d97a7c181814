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
run stripwright help order
cp out wordy
run stripwright order --help
check 'help VERB is VERB --help' cmp out wordy
# Options that have no effect are told, but those of a project file, which are defaults.
csv=$SW_SRCDIR/examples/lamp-flasher/lamp-flasher.csv
deck=$SW_SRCDIR/examples/pump-driver/pump-driver.cir
unused() { # unused NAME OPTION WORDS...: the command warns of the option
  unused_name=$1 unused_option=$2
  shift 2
  run stripwright "$@"
  check "$unused_name: status 0" status_is 0
  check "$unused_name: told" has err "$unused_option has no effect here"
  check "$unused_name: by its id" has err '[option-unused]'
}
unused 'a cell of a table' --top nodes "$csv" --top main
unused 'a property of a deck' --map nodes "$deck" --map value=WERT
unused 'a part that is not there lies' --lie plan "$csv" --effort quick --lie R99=along -o plan.txt
unused 'a rail where nothing is fitted' --rail convert "$deck" --to schedule --rail V12=positive -o out.sched
unused 'numbers that are not kept' --compact nodes "$csv" --compact
unused 'a circuit beside a circuit' --against convert "$csv" --to schedule --against "$csv" -o out.sched
run stripwright plan "$csv" --effort quick --lie 'r*=along' -o plan.txt
check 'a part that is there lies: nothing is told' lacks err 'has no effect'
cp "$csv" own.csv
echo 'top = main' >stripwright.ini
run stripwright nodes own.csv
check 'defaults of a project file: nothing is told' lacks err 'has no effect'
rm stripwright.ini
run stripwright nodes "$csv" --top main --strict
check 'with --strict: status 3' status_is 3
finish
