#!/bin/sh
# workpack: every paper is there, again with the same bytes, and the index leads to all.
. "$SW_SRCDIR/tests/lib/tap.sh"
circuit=$SW_SRCDIR/examples/lamp-flasher/lamp-flasher.csv

run stripwright workpack "$circuit" -d one --effort quick
check 'workpack: status 0' status_is 0
for ending in .pdf -component.svg -copper.svg .txt .worklist.txt .worklist.csv .probes.csv .parts.csv \
  .sched .holes.csv .placement.xml .html; do
  check "there is lamp-flasher$ending" test -s "one/lamp-flasher$ending"
  check "the answer names lamp-flasher$ending" has out " lamp-flasher$ending "
done
sed -n 's/.*<li><a href="\([^"]*\)".*/\1/p' one/index.html >linked
check 'the index leads to as many papers as there are' same "$(wc -l <linked)" "$(($(ls one | wc -l) - 1))"
while read -r name; do test -s "one/$name" || echo "$name"; done <linked >out
check 'each link of the index leads to a file' test ! -s out
check 'the index holds the drawing' grep -q '<svg' one/index.html
check 'nothing half-written is left' same "$(ls -A one | grep -c '^\.')" 0

run stripwright workpack "$circuit" -d two --effort quick --workers 1
diff -r one two >out
check 'a second run gives the same bytes, whatever the workers' test ! -s out
LC_ALL=xx_YY run stripwright workpack "$circuit" -d one --effort quick
diff -r one two >out
check 'a run into the same folder replaces' test ! -s out

# A name that means something in a link (RFC 3986 section 2.1: such bytes are percent-encoded).
cp "$circuit" "odd #1? 5% <it's>.csv"
run stripwright workpack "odd #1? 5% <it's>.csv" -d odd --effort quick
check 'a name of odd characters: status 0' status_is 0
check 'its link is encoded' grep -q 'href="odd%20%231%3F%205%25%20%3Cit%27s%3E.html">odd #1? 5% &lt;it&#39;s&gt;.html<' odd/index.html

run stripwright check one/lamp-flasher.placement.xml --against "$circuit" --strict
check 'its plan is legal' status_is 0
run stripwright check one/lamp-flasher.holes.csv --against "$circuit" --strict
check 'its hole list too' status_is 0
run stripwright compare one/lamp-flasher.sched "$circuit"
check 'its schedule is the circuit' status_is 0

run stripwright workpack "$circuit" --effort quick
check 'without a folder: status 2' status_is 2
check 'without a folder: says -d' has err '-d'
: >file
run stripwright workpack "$circuit" -d file
check 'a file in place of the folder: status 5' status_is 5
run stripwright workpack "$circuit" -d no/such
check 'a folder in a folder that is not there: status 5' status_is 5
run stripwright workpack "$circuit" -d small --strips 2 --columns 2 --effort quick
check 'no plan: status 4' status_is 4
check 'no plan: no folder' test ! -e small
finish
