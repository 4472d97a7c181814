#!/bin/sh
# convert: each format that can be read into each that can be written; what comes back
# from a netlist format is the circuit that went in.
. "$SW_SRCDIR/tests/lib/tap.sh"
circuit=$SW_SRCDIR/examples/lamp-flasher/lamp-flasher.csv

stripwright list formats >formats
check 'the formats are listed' test "$(wc -l <formats)" -gt 10
stripwright plan "$circuit" --effort quick -o plan.placement.xml 2>err
check 'a plan to convert' test -s plan.placement.xml

# A file in each readable format: a circuit's from the circuit, a plan's from the plan; those that are only
# read are there.
cp "$SW_SRCDIR/tests/formats/sexpr/frost-lamp.net" in.sexpr
cp "$SW_SRCDIR/tests/formats/lines/soil-lamp.net" in.lines
for name in $(awk '$2 == "rw" { print $1 }' formats); do
  case $name in placement | holes) from=plan.placement.xml ;; *) from=$circuit ;; esac
  run stripwright convert "$from" --to "$name" -o "in.$name"
  check "into $name: status 0" status_is 0
done

for from in $(awk '$2 ~ /^r/ { print $1 }' formats); do
  for to in $(awk '$2 ~ /w$/ { print $1 }' formats); do
    run stripwright convert "in.$from" --from "$from" --to "$to" -o "$from.$to" --against "$circuit"
    case $status in
      0) test -s "$from.$to" || echo "$from to $to: status 0 and no file" ;;
      2 | 3) grep -q 'error: .' err || echo "$from to $to: status $status and no reason" ;;
      *) echo "$from to $to: status $status" ;;
    esac
  done
done >wrong
cp wrong out
check 'each pair is done, or refused with a reason' test ! -s wrong

stripwright convert "$circuit" --to schedule -o first.sched 2>err
for name in edif pins nodes parts schedule spice; do
  run stripwright compare "$circuit" "in.$name"
  check "through $name: the same circuit" status_is 0
done
run stripwright nodes in.lines
check 'a netlist in plain lines is fitted and numbered: status 0' status_is 0
run stripwright nodes in.sexpr
check 'an exported netlist is fitted and numbered: status 0' status_is 0
check 'a lead that has another number there goes by its name, and that is told' has err 'pin 2 of BZ1 +'
for to in drawing sheet worklist partslist text; do
  check "a placement file gives the paper $to" test -s "placement.$to"
done
run stripwright convert in.holes --from holes --to placement -o back.placement.xml --against "$circuit"
run stripwright compare back.placement.xml plan.placement.xml
check 'placement file to hole list and back: the same plan' status_is 0

run stripwright convert "$circuit" --to nowhere
check 'an unknown format: status 2' status_is 2
run stripwright convert "$circuit"
check 'no output: status 2' status_is 2
stripwright convert - --to schedule <"$circuit" >piped.sched 2>err
stripwright convert "$circuit" --to schedule >plain.sched 2>err
sed 1d piped.sched >one
sed 1d plain.sched >other
check 'standard input and output' cmp -s one other

cp "$circuit" same.csv
run stripwright convert same.csv --to nodes -o same.csv
check 'output is input: status 0' status_is 0
run stripwright compare same.csv "$circuit"
check 'output is input: the circuit is whole' status_is 0
ln -s same.csv link.csv
run stripwright convert "$circuit" --to pins -o link.csv
check 'a link as output stays a link' test -h link.csv
check 'a link as output: its file is written' grep -q '^ref,pin' same.csv
finish
