#!/bin/sh
# compare: circuits, plans, and a built board against a circuit that has changed.
. "$SW_SRCDIR/tests/lib/tap.sh"
deck=$SW_SRCDIR/examples/frost-alarm/frost-alarm.cir
sed 's/10k NTC/10k NTC/; s/^R1  SENSE 0   33k/R1  SENSE 0   47k/' "$deck" >new.cir
sed 's/SENSE/CORNER/g' "$deck" >renamed.cir

run stripwright compare "$deck" "$deck"
check 'the same circuit: status 0' status_is 0
run stripwright compare "$deck" renamed.cir
check 'renamed nodes are no change' status_is 0
run stripwright compare "$deck" new.cir
check 'another value: status 1' status_is 1
check 'another value: told' has out 'R1 is 47k now, was 33k'
run stripwright compare "$deck" new.cir --json
check 'as JSON' has out '"change":"value"'

stripwright plan "$deck" --effort quick -o a.placement.xml 2>/dev/null
stripwright plan "$deck" --effort quick --seed 5 -o b.placement.xml 2>/dev/null
run stripwright compare a.placement.xml a.placement.xml
check 'the same plan: status 0' status_is 0
run stripwright compare a.placement.xml b.placement.xml
check 'another plan: status 1' status_is 1
check 'another plan: parts that moved' grep -Eq 'stands at [A-Z]+[0-9]+ now' out

# Everything two columns to the right, but R7 one more; a cut more.
stripwright convert a.placement.xml -o a.holes.csv 2>/dev/null
tr -d '\r' <a.holes.csv | awk -F, -v OFS=, '
    function right(hole, by) { match(hole, /[0-9]+/); return substr(hole, 1, RSTART - 1) substr(hole, RSTART) + by }
    NR > 1 { by = $2 == "R7" ? 3 : 2; $5 = right($5, by); if ($6 != "") $6 = right($6, by) }
    { print }
    END { print "cut,,,,A1," }' >right.holes.csv
stripwright compare a.holes.csv right.holes.csv >out 2>err
check 'what went the same way is told once' grep -Eq '^[0-9]+ parts, [0-9]+ cuts.* went 2 columns to the right:$' out
check 'and what is among it' grep -Eq '^  .* U1( |$)' out
check 'and what went elsewhere by itself' has out 'R7 stands at'
check 'only that part' test "$(grep -c 'stands at' out)" = 1
check 'and the one cut more' has out 'new cuts: A1'
check 'no other cut' test "$(grep -c 'cuts that are gone' out)" = 0
stripwright compare a.holes.csv right.holes.csv --json >out 2>err
check 'as JSON each by itself' test "$(grep -c '"change":"moved"' out)" -gt 10

sed 's/^R7  VCC /R7  SENSE /' "$deck" >moved.cir
run stripwright compare a.placement.xml moved.cir
check 'a built board and a changed circuit: status 1' status_is 1
check 'which pin is elsewhere' has out 'R7 pin 1 is on SENSE now, was on VCC'
run stripwright compare a.holes.csv "$deck"
check 'a hole list and its circuit: status 0' status_is 0
check 'a hole list and its circuit: what is not known' has err '[compare-no-values]'
run stripwright compare a.holes.csv moved.cir
check 'a hole list and a changed circuit: that pin' has out 'R7 pin 1 is on SENSE now'
check 'a hole list and a changed circuit: no values' test "$(grep -c 'was nothing' out)" = 0
run stripwright compare "$deck" a.placement.xml
check 'the wrong way round: status 2' status_is 2
run stripwright compare "$deck"
check 'one file only: status 2' status_is 2
finish
