#!/bin/sh
# plan and check: a circuit goes in, a plan that the check accepts comes out; what is
# wrong is told with the documented status, and nothing is left half-written.
. "$SW_SRCDIR/tests/lib/tap.sh"
deck=$SW_SRCDIR/examples/frost-alarm/frost-alarm.cir

run stripwright plan "$deck" --effort quick -o frost.placement.xml
check 'plan: status 0' status_is 0
check 'plan: says size, links and cuts' grep -Eq '[0-9]+ strips × [0-9]+ columns = [0-9]+ holes' err
run stripwright check frost.placement.xml --against "$deck"
check 'check: status 0' status_is 0
check 'check: says that it builds the circuit' has out 'legal, and it builds the circuit'

run stripwright plan "$deck" --effort quick --workers 1 -o one.placement.xml
check 'the number of workers does not change the bytes' cmp -s frost.placement.xml one.placement.xml
run stripwright plan "$deck" --effort quick --seed 7 -o frost.holes.csv
check 'another seed: status 0' status_is 0
run stripwright check frost.holes.csv --against "$deck"
check 'a hole list is checked like a placement file' status_is 0

grep -v 'cut hole' frost.placement.xml >uncut.placement.xml
run stripwright check uncut.placement.xml --against "$deck"
check 'without its cuts: status 1' status_is 1
check 'without its cuts: a short is told with both nodes' has err '[board-short]'
check 'without its cuts: says where to cut' grep -Eq 'cut at [A-Z]+[0-9]+' err

run stripwright check uncut.placement.xml --against "$deck" -o faults.txt
check 'the faults are marked in the text drawing' grep -q '![●○◉]' faults.txt
check 'and listed below it' has faults.txt 'Findings of the check'
run stripwright check uncut.placement.xml --against "$deck" -o faults.svg
check 'and drawn' grep -q '[Ff]inding' faults.svg

run stripwright plan "$deck" --strips 3 --columns 5 --effort quick -o small.placement.xml
check 'a board too small: status 4' status_is 4
check 'a board too small: no file' test ! -e small.placement.xml
run stripwright plan missing.cir -o x.placement.xml
check 'a missing file: status 5' status_is 5
: >empty.cir
run stripwright plan empty.cir
check 'an empty file: status 3' status_is 3
printf 'a\0b\n' >binary.cir
run stripwright plan binary.cir
check 'a binary file: status 3' status_is 3
run stripwright plan .
check 'a folder: status 5' status_is 5
head -c 300 "$deck" | gzip | head -c 150 >cut.cir.gz
run stripwright nodes cut.cir.gz
check 'a truncated gzip: status 3' status_is 3
run stripwright plan "$deck" --effort quick -o no/such/folder/x.placement.xml
check 'an unwritable output: status 5' status_is 5
run stripwright plan "$deck" --effort quick --to placement -o /dev/full
check 'a full disk: status 5' status_is 5
run stripwright plan "$deck" -o x.unknown
check 'an unknown ending: status 2' status_is 2
run stripwright plan "$deck" --effort lazy
check 'a wrong value: status 2' status_is 2
check 'a wrong value: says what is wanted' has err 'quick, normal or thorough'
run stripwright plan "$deck" --sideways
check 'an unknown option: status 2' status_is 2
run stripwright plan
check 'no file: status 2' status_is 2
run stripwright dance
check 'an unknown verb: status 2' status_is 2

gzip -c "$deck" >frost.cir.gz
run stripwright nodes frost.cir.gz
check 'a packed deck: status 0' status_is 0
cp out packed
run stripwright nodes - <"$deck"
check 'standard input: status 3 for none' status_is 3
stripwright nodes - <"$deck" >piped 2>err
check 'a deck through a pipe gives the same nodes' cmp -s packed piped
# What a spreadsheet wrote: a line break in a value, Latin-1, a node of odd letters.
printf 'ref,pin,node,value\nR1,1,A<&">,"1k\n5%%"\nR1,2,\351t\351,\nR2,1,A<&">,2k\nR2,2,\351t\351,\n' >odd.csv
run stripwright plan odd.csv --effort quick -o odd.placement.xml
check 'odd texts: a plan' status_is 0
check 'odd texts: the line break is told' has err '[text-control]'
run stripwright check odd.placement.xml --against odd.csv
check 'odd texts: the plan passes its own check' status_is 0
check 'odd texts: nothing differs' sh -c '! grep -q "warning:.*differs" err'
printf 'ref,pin,node\nR1,1,A\033[2J\nR1,2,B\n' >control.csv
run stripwright plan control.csv -o control.placement.xml
check 'a control character in a name: status 3' status_is 3
check 'a control character in a name: no file' test ! -e control.placement.xml
finish
