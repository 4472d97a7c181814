#!/bin/sh
# order: parts of several boards in one list, in four forms; list stock: what a board yields.
. "$SW_SRCDIR/tests/lib/tap.sh"

# Two boards whose sums can be done in the head.
cat >alarm.placement.xml <<'XML'
<?xml version="1.0" encoding="UTF-8"?>
<stripboard xmlns="urn:stripwright:placement:1" title="Frost alarm" made-by="hand">
  <board strips="9" columns="20" pitch-mm="2.54" margin="0"/>
  <nodes/>
  <parts>
    <part ref="R1" value="4k7" device="" package="RES-0.25W" turn="0" locked="false">
      <lead pin="1" node="1" hole="A1"/><lead pin="2" node="2" hole="E1"/></part>
    <part ref="R2" value="4.7k" device="" package="RES-0.25W" turn="0" locked="false">
      <lead pin="1" node="1" hole="A3"/><lead pin="2" node="2" hole="E3"/></part>
  </parts>
  <cuts/>
  <links/>
</stripboard>
XML
sed 's/Frost alarm/Rain counter/; s/strips="9"/strips="10"/; s/ref="R2" value="4.7k"/ref="R2" value="4k4"/' \
  alarm.placement.xml >rain.placement.xml

run stripwright order alarm.placement.xml=12 rain.placement.xml=3 --to csv
check 'two projects: status 0' status_is 0
# 12 × 2 + 3 × 1
check 'like parts are added up, and told by board' has out '1,27,4k7,,RES-0.25W,"board 1: R1 R2; board 2: R1",'
check 'another spelling is told' has out ',E3,the plan writes 4.7k'
# IEC 60063: E12 has 3.9 and 4.7, E24 has 4.3 and 4.7 beside 4.4, which is in no series
check 'a value of no series has its neighbours' \
  has out 'none,"in no series of IEC 60063; nearest of E12: 3k9 and 4k7, of E24: 4k3 and 4k7"'
run stripwright order alarm.placement.xml=12 rain.placement.xml=3 --to csv --copies 2 --spare 10
check '--copies multiplies all, --spare comes on top' has out '1,60,4k7,' # 54 and 5.4
run stripwright order alarm.placement.xml
check 'text without -o' has out '  [ ]     2  4k7'

# 15 pieces: of 24 × 37 each band of 9 strips or 10 takes one piece of 20 columns; 10 + 1 + 9
# strips go on one board, as 9 + 1 + 9 do.
echo 'name,strips,holes,note,source' >own.csv
echo 'shed,20,20,,measured' >>own.csv
run stripwright list stock --library own.csv
check 'a size of your own is listed' has out '[measured]'
run stripwright list stock --library own.csv --piece 9x20
check 'two pieces of 9 strips and the snap line: 19 of 20' has out '2 pieces (2 × 1), 0 strips and 0 columns left'
check '39 × 62: (40 / 10) × (63 / 21)' has out '12 pieces (4 × 3), 0 strips and 0 columns left'
check '36 × 50: (37 / 10) × (51 / 21)' has out '6 pieces (3 × 2), 6 strips and 8 columns left'
run stripwright list stock --piece 26x37
check 'one strip too many' has out '24 × 37'
check 'one strip too many: too small' grep -q '24 × 37.*too small' out
run stripwright list stock --piece 9
check '--piece without columns: status 2' status_is 2
run stripwright list formats --piece 9x9
check '--piece with another list: status 2' status_is 2
run stripwright order alarm.placement.xml rain.placement.xml --library own.csv --to csv
check 'pieces of two sizes share a board' \
  has out '1 of 10 × 20, 1 of 9 × 20; 1 board in bands of 10 strips (1 of 10 × 20), 9 strips (1 of 9 × 20)'

for form in txt csv html json; do
  run stripwright order alarm.placement.xml=2 rain.placement.xml -o "list.$form"
  check "list.$form: status 0" status_is 0
  run stripwright order alarm.placement.xml=2 rain.placement.xml -o "list.parts.$form"
  check "list.parts.$form is the same" cmp -s "list.$form" "list.parts.$form"
done
check 'JSON says what it holds' has list.json '"title": "Rain counter"'
check 'the page lists the boards' has list.html '<li>Frost alarm, built 2 times</li>'
run stripwright convert alarm.placement.xml -o one.parts.txt
check 'convert follows the ending too' has one.parts.txt 'PARTS TO ORDER'

run stripwright order alarm.placement.xml -o list.svg
check 'another ending: status 2' status_is 2
run stripwright order alarm.placement.xml --to drawing
check 'another form: status 2' status_is 2
run stripwright order alarm.placement.xml=0
check 'no copies: status 2' status_is 2
check 'no copies: told' has err 'from 1 to 10000'
run stripwright order gone.placement.xml=2
check 'a missing file: status 5' status_is 5
cp alarm.placement.xml a=3
run stripwright order a=3 --to csv
check 'a file whose name looks like copies' has out '1,2,4k7,'
printf 'kind,ref,pin,node,hole,to\nboard,,,,I20,\nlead,R1,1,1,A1,\nlead,R1,2,2,E1,\n' >x.holes.csv
run stripwright order x.holes.csv
check 'a hole list: status 0' status_is 0
check 'a hole list has no values: told' has err '[order-no-values]'
run stripwright order alarm.placement.xml=10000 --copies 200
check 'far too many: status 2' status_is 2
check 'far too many: told' has err '[partslist-copies]'
finish
