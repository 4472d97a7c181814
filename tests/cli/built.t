#!/bin/sh
# plan --built: a board that is built gets what is new in its circuit.
. "$SW_SRCDIR/tests/lib/tap.sh"
lamp=$SW_SRCDIR/examples/lamp-flasher/lamp-flasher.csv

stripwright plan "$lamp" --strips 12 --columns 20 --fixed-size --effort quick -o board.placement.xml 2>/dev/null
run stripwright plan "$lamp" --built board.placement.xml --effort quick -o same.placement.xml
check 'nothing is new: status 0' status_is 0
check 'nothing is new: said' has err 'nothing is to be done on the board that is built'
run stripwright compare board.placement.xml same.placement.xml
check 'nothing is new: the same plan' status_is 0

# A capacitor across the supply, another value, and R4 gone from its rail.
sed 's/^VCC,/VCC,C3.1 /; s/^GND,/GND,C3.2 /; s/^R1,470/R1,680/; s/^C2,10u.*/&\
C3,100n,,/' "$lamp" >more.csv
run stripwright plan more.csv --built board.placement.xml --effort quick -o more.placement.xml
check 'a part more: status 0' status_is 0
check 'a part more: where it goes' grep -Eq '^C3 is new, its first pin at [A-L][0-9]+$' err
check 'a part more: the other value' has err 'R1 is 680 now, was 470'
check 'a part more: all else stays' test "$(grep -c 'stands at' err)" = 0
check 'no link goes' test "$(grep -c 'links that are gone' err)" = 0
check 'no cut goes' test "$(grep -c 'cuts that are gone' err)" = 0
run stripwright check more.placement.xml --against more.csv
check 'it builds the circuit' status_is 0

stripwright convert board.placement.xml -o board.holes.csv 2>/dev/null
run stripwright plan more.csv --built board.holes.csv --effort quick -o holes.placement.xml
check 'from a hole list: status 0' status_is 0
check 'from a hole list: all else stays' test "$(grep -c 'stands at' err)" = 0

sed 's/^R1,470/R1,680/' "$lamp" >value.csv
run stripwright plan value.csv --built board.placement.xml --effort quick -o value.placement.xml
check 'another value alone: told' has err 'R1 is 680 now, was 470'
check 'another value alone: nothing is to be cut' has err 'no cuts, links or new parts are needed'

# All papers tell the change alone.
run stripwright workpack more.csv --built board.placement.xml --effort quick -d papers
check 'workpack: status 0' status_is 0
check 'workpack: only what is new is bought' grep -q '^1,1,100n,' papers/more.parts.csv
check 'workpack: nor a board' test "$(grep -c stripboard papers/more.parts.csv)" = 0
check 'workpack: what comes off' grep -q 'R1 470 comes off' papers/more.html
check 'workpack: nothing of what stands' test "$(grep -c '>R2 47k</label>' papers/more.html)" = 0
check 'workpack: what comes off in the work list' grep -q '^1,part off,.*,R1' papers/more.worklist.csv
check 'workpack: drawn apart' grep -q 'class="part stays" data-ref="R2"' papers/more-component.svg
check 'workpack: what was touched is to be proved' sh -c "head -1 papers/more.probes.csv | grep -q ',why,touched'"
check 'workpack: first of all' test "$(sed -n 2p papers/more.probes.csv | tr -d '\r' | sed 's/.*,//')" = yes
check 'workpack: the rest if in doubt' grep -q 'If in doubt, prove the rest too' papers/more.html
check 'workpack: no caution of snapping a board' test "$(grep -c 'Score and snap' papers/more.html)" = 0
check 'workpack: told in plain text' grep -q '^  New parts .*C3' papers/more.txt

# The same for a change drawn by hand.
run stripwright convert more.placement.xml --built board.placement.xml -o hand.worklist.txt
check 'convert: status 0' status_is 0
check 'convert: what comes off' grep -Fq '[ ] R1 at' hand.worklist.txt
run stripwright convert "$lamp" --built board.placement.xml -o more.sched
check 'convert of a circuit: --built is told to do nothing' has err 'built has no effect here'
run stripwright convert more.placement.xml -o more.xml --strict
sed 's/strips="12"/strips="13"/' more.placement.xml >larger.placement.xml
run stripwright convert larger.placement.xml --built board.placement.xml -o larger.html
check 'convert of another board: status 2' status_is 2
check 'convert of another board: why' has err 'that is another board'

# R1 and R2 met on strips E and F; now a capacitor parts them, and the link between has to go.
cat >hand.holes.csv <<'END'
kind,ref,pin,node,hole,to
board,,,,G12,
lead,R1,1,,A2,
lead,R1,2,,E2,
lead,R2,1,,F4,
lead,R2,2,,B4,
lead,R3,1,,A8,
lead,R3,2,,D8,
link,,,,E6,F6
link,,,,B10,D10
END
printf 'ref,value,pins\nR1,1k,1=A 2=M\nR2,1k,1=M 2=B\nR3,1k,1=A 2=B\n' >hand.csv
printf 'ref,value,pins\nR1,1k,1=A 2=M\nR2,1k,1=N 2=B\nR3,1k,1=A 2=B\nC1,10n,1=M 2=N\n' >parted.csv
run stripwright check hand.holes.csv --against hand.csv
check 'typed by hand: right' status_is 0
run stripwright plan parted.csv --built hand.holes.csv --effort quick -o parted.placement.xml
check 'rewired: status 0' status_is 0
check 'rewired: the link that has to go' has err 'links that are gone: E6-F6'
check 'rewired: the capacitor between them' grep -Eq '^C1 is new, its first pin at [EF]' err
check 'rewired: all else stays' test "$(grep -c 'stands at' err)" = 0

# Two capacitors want three columns, and the first is in the middle.
printf 'kind,ref,pin,node,hole,to\nboard,,,,B3,\nlead,C1,1,,A2,\nlead,C1,2,,B2,\n' >middle.holes.csv
printf 'ref,value,package,pins\nC1,10u,ELEC-5,+=X -=Y\nC2,10u,ELEC-5,+=X -=Y\n' >two.csv
run stripwright plan two.csv --built middle.holes.csv --effort quick
check 'no room: status 4' status_is 4
check 'no room: what makes some' has err 'There is room with --move 1.'
run stripwright workpack two.csv --built middle.holes.csv --effort quick --move 1 -d moved
check 'a part moved: status 0' status_is 0
check 'a part moved: it comes off' grep -q 'C1 10u comes off' moved/two.html
check 'a part moved: and is not bought' grep -q '^1,1,10u,.*,C2,' moved/two.parts.csv
run stripwright plan two.csv --built middle.holes.csv --effort quick --move C1
check 'this part moved: status 0' status_is 0
run stripwright plan two.csv --built middle.holes.csv --move C9
check 'a part that is not there: status 4' status_is 4
check 'a part that is not there: said' has err 'C9 cannot go elsewhere'
run stripwright plan two.csv --built middle.holes.csv --move 12
check 'more parts than may be: status 2' status_is 2
run stripwright plan two.csv --move 1
check '--move alone: status 2' status_is 2

# A resistor finds room standing on end.
printf 'kind,ref,pin,node,hole,to\nboard,,,,C2,\nlead,P1,1,,A1,\nlead,P2,1,,C1,\n' >low.holes.csv
printf 'ref,value,package,pins\nP1,,PIN-1,1=X\nP2,,PIN-1,1=Y\nR1,1k,,1=X 2=Y\n' >low.csv
run stripwright plan low.csv --built low.holes.csv --effort quick
check 'no room for a lying part: what makes some' has err 'There is room with --lie R1=across+upright.'

run stripwright plan more.csv --built board.placement.xml --strips 9
check 'another size: status 2' status_is 2
run stripwright plan more.csv --built board.placement.xml --keep board.placement.xml
check 'with --keep: status 2' status_is 2
run stripwright plan more.csv --built board.placement.xml --prove
check 'with --prove: status 2' status_is 2
finish
