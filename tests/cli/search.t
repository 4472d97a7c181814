#!/bin/sh
# Each option of the search through the command, looked for in the hole list that was
# written: what the search was asked for is in the geometry.
. "$SW_SRCDIR/tests/lib/tap.sh"

cat >lamp.csv <<'EOF'
node,pins
VCC,P1.1 R1.1 R2.1
LAMP,R1.2 LED1.A
COLL,LED1.K Q1.C
BASE,R2.2 Q1.B
GND,P2.1 Q1.E

ref,value,device,package
R1,470,,
R2,100k,,
LED1,red,,
Q1,,BC547,
P1,,pin,PIN-1
P2,,pin,PIN-1
EOF
plan() { # plan NAME OPTIONS...: into NAME.holes.csv
  name=$1
  shift
  run stripwright plan lamp.csv --effort quick "$@" -o "$name.holes.csv"
}
# Strips and columns of the board, holes of a pin: numbers, A is 1 (boards here are small).
number() { echo "$1" | awk '{print index("ABCDEFGHIJKLMNOPQRSTUVWXYZ", substr($0, 1, 1)), substr($0, 2) + 0}'; }
size() { number "$(awk -F, '$1 == "board" {print $5}' "$1.holes.csv")"; }
hole() { number "$(awk -F, -v r="$2" -v p="$3" '$1 == "lead" && $2 == r && $3 == p {print $5}' "$1.holes.csv")"; }
strip_of() { hole "$@" | cut -d' ' -f1; }
column_of() { hole "$@" | cut -d' ' -f2; }
strips() { size "$1" | cut -d' ' -f1; }
columns() { size "$1" | cut -d' ' -f2; }
# Pitches between the nearest leads of two parts with pins 1 and 2.
distance() {
  for p in 1 2; do
    for q in 1 2; do echo "$(hole "$1" "$2" $p) $(hole "$1" "$3" $q)"; done
  done | awk '{a = $1 - $3; b = $2 - $4; d = (a < 0 ? -a : a) + (b < 0 ? -b : b); if (NR == 1 || d < m) m = d} END {print m}'
}
links() { grep -c '^link' "$1.holes.csv"; }
# Rows of the list with anything within a rectangle of holes: strips A..B, columns C..D.
within() {
  awk -F, -v a="$2" -v b="$3" -v c="$4" -v d="$5" '$1 == "lead" || $1 == "link" {
    s = index("ABCDEFGHIJKLMNOPQRSTUVWXYZ", substr($5, 1, 1)); k = substr($5, 2) + 0
    t = $6 == "" ? s : index("ABCDEFGHIJKLMNOPQRSTUVWXYZ", substr($6, 1, 1))
    if (k >= c && k <= d && s <= b && t >= a) n++
  } END {print n + 0}' "$1.holes.csv"
}
legal() { stripwright check "$1.holes.csv" --against lamp.csv >/dev/null 2>&1; }

plan free
check 'a plan' status_is 0
check 'a plan: how neat it is' grep -Eq '^neatness: .*; tidy [0-9]+ %, symmetry [0-9]+ %' err
check 'a plan: pins for wires that the circuit itself has are terminals' grep -Eq 'terminals at the sides [0-2] of 2' err
plan strips --strips 4
check '--strips: fewer than without' test "$status" = 0 -a "$(strips strips)" -le 4 -a "$(strips free)" -gt 4
plan columns --columns 3
check '--columns: fewer than where strips are few' test "$status" = 0 -a "$(columns columns)" -le 3 -a "$(columns strips)" -gt 3
plan fixed --strips 9 --columns 11 --fixed-size
check '--fixed-size' same "$(size fixed)" '9 11'
plan half --strips 9 --fixed-size
check '--fixed-size without a size: status 2' status_is 2
check '--fixed-size without a size: what to state' has err 'wants the size: --strips and --columns, or --piece'
plan piece --piece 12x6
check '--piece' test "$status" = 0 -a "$(strips piece)" -le 12 -a "$(columns piece)" -le 6
plan margin --margin 2
check '--margin: nothing in the first holes' same "$(within margin 1 2 1 99)$(within margin 1 99 1 2)" 00
check '--margin: nothing in the last holes' \
  same "$(within margin $(($(strips margin) - 1)) 99 1 99)$(within margin 1 99 $(($(columns margin) - 1)) 99)" 00
plan keepout --keep-out A1:C3 --strips 12 --columns 12 --fixed-size
check '--keep-out: nothing stands or passes there' test "$status" = 0 -a "$(within keepout 1 3 1 3)" = 0
plan edge --edge LED1=left --edge R1=right
check '--edge left' test "$(column_of edge LED1 1)" = 1 -o "$(column_of edge LED1 2)" = 1
check '--edge right' same "$(column_of edge R1 1)" "$(columns edge)"
plan top --edge R2=top --edge R1=bottom
check '--edge top' test "$(strip_of top R2 1)" = 1 -o "$(strip_of top R2 2)" = 1
check '--edge bottom' test "$(strip_of top R1 1)" = "$(strips top)" -o "$(strip_of top R1 2)" = "$(strips top)"
plan nobody --edge R9=top
check '--edge of a part that is not there: status 2' status_is 2
run stripwright plan "$SW_SRCDIR/examples/frost-alarm/frost-alarm.cir" --effort quick --near C1=BZ1:2 -o off.txt
check '--near an off-board part: its pins are named' has err 'BZ1 is off the board and is not placed: wish for its terminal pins, such as BZ1.1'
check '--near an off-board part: status 2' status_is 2
printf '%s\n' timer 'XU1 0 a b vcc c d e vcc NE555' 'R1 vcc a 10k' 'V1 vcc 0 9' .end >timer.cir
run stripwright plan timer.cir --effort quick --near R1=XU1:2 -o timer.txt
check "--near: an IC by the deck's name, XU1 for U1" status_is 0
plan near --near R2=LED1:1
check '--near: nearer than without' test "$(distance near R2 LED1)" -le 1 -a "$(distance free R2 LED1)" -gt 1
plan apart --apart R1=LED1:7
check '--apart: farther than without' test "$(distance apart R1 LED1)" -ge 7 -a "$(distance free R1 LED1)" -lt 7
# The solver finds a plan of half the size with the two side by side.
plan wished --apart R1=LED1:9 --prefer area --prove
check '--prove: a smaller plan that misses a wish is not taken' test "$(distance wished R1 LED1)" -ge 9
plan along --lie R1=along
check '--lie along: both leads on one strip' same "$(strip_of along R1 1)" "$(strip_of along R1 2)"
check '--lie along: legal, with its cut' legal along
plan across
check 'without it both are in one column' same "$(column_of across R1 1)" "$(column_of across R1 2)"
run stripwright plan lamp.csv --effort quick --lie 'R2=upright' -o up.placement.xml
check '--lie upright: the package says so' grep -q 'RES-0.25W-UP' up.placement.xml
run stripwright convert up.placement.xml -o up.holes.csv
run stripwright check up.holes.csv --against lamp.csv
check '--lie upright: as a list of holes it is legal too' status_is 0
check '--lie upright: and taken as upright' has err 'R2 is taken as stood upright'
check '--lie upright: which is told' has err '[board-upright]'
# Pins of two nodes side by side on a strip want a knife cut between them.
sed 's/P1\.1/J1.1/;s/P2\.1/J1.2/;s/^P1,.*/J1,,,HEADER-1x2/;/^P2,/d' lamp.csv >header.csv
run stripwright plan header.csv --effort quick --lie J1=along -o knife.holes.csv
check '--knife: without it there is no way' status_is 4
run stripwright plan header.csv --effort quick --lie J1=along --knife -o knife.holes.csv
check '--knife: with it there is' status_is 0
check '--knife: the cut is between two holes' grep -q '^cut,,,,[A-Z]*[0-9]*,[A-Z]' knife.holes.csv
check '--knife: legal' stripwright check knife.holes.csv --against header.csv
# A buzzer that stands clear of the board: only sleeved links run beneath it.
printf '%s\n' name,form,body_along_mm,body_across_mm,height_mm,under RAISED,pair:3:3:3,25,25,15,sleeved-link >raised.csv
cat >buzzer.csv <<'EOF'
node,pins
A,BZ1.1 R1.1 R5.1
B,BZ1.2 R4.2 R6.2
C,R1.2 R2.1
D,R2.2 R3.1 R6.1
E,R3.2 R4.1 R5.2

ref,value,device,package
BZ1,tone,,RAISED
R1,1k,,
R2,1k,,
R3,1k,,
R4,1k,,
R5,1k,,
R6,1k,,
EOF
beneath() { # beneath OPTIONS...: how many links are sleeved
  run stripwright plan buzzer.csv --library raised.csv --effort quick "$@" -o buzzer.placement.xml
  grep -c 'sleeved="true"' buzzer.placement.xml
}
check '--sleeved: without it no link is' same "$(beneath)" 0
check '--sleeved: with it some run beneath' test "$(beneath --sleeved)" -gt 0
check '--sleeved: legal' stripwright check buzzer.placement.xml --against buzzer.csv --library raised.csv
# The sleeves are what makes it so.
sed 's/sleeved="true"/sleeved="false"/' buzzer.placement.xml >bare.placement.xml
run stripwright check bare.placement.xml --against buzzer.csv --library raised.csv
check '--sleeved: the same links bare are refused' status_is 1
plan short --longest-link 2 --strips 4
check '--longest-link: legal, with links' test "$(links short)" -gt 0
check '--longest-link: no link is longer' test "$(awk -F, '$1 == "link" {
  if (index("ABCDEFGHIJKLMNOPQRSTUVWXYZ", substr($6, 1, 1)) - index("ABCDEFGHIJKLMNOPQRSTUVWXYZ", substr($5, 1, 1)) > 2) n++
} END {print n + 0}' short.holes.csv)" = 0

for wish in balance area strips columns links symmetry; do
  plan "$wish" --prefer "$wish"
  check "--prefer $wish: legal" legal "$wish"
done
check '--prefer area: none smaller' test $(($(strips area) * $(columns area))) -le $(($(strips balance) * $(columns balance)))
check '--prefer strips: none lower' test "$(strips strips)" -le "$(strips area)"
check '--prefer columns: none narrower' test "$(columns columns)" -le "$(columns area)"
check '--prefer links: none with fewer' test "$(links links)" -le "$(links area)"

# A plan kept: what is locked stays where it was, whatever else moves.
run stripwright plan lamp.csv --effort quick --strips 9 --columns 9 --fixed-size -o first.placement.xml
stripwright convert first.placement.xml -o first.holes.csv 2>/dev/null
sed '/ref="Q1"/s/locked="false"/locked="true"/' first.placement.xml >kept.placement.xml
check "--keep: a part is locked" test "$(cmp -s first.placement.xml kept.placement.xml; echo $?)" = 1
run stripwright plan lamp.csv --effort quick --seed 9 --keep kept.placement.xml -o kept.holes.csv
check '--keep: status 0' status_is 0
check '--keep: the locked part stays' same "$(hole kept Q1 1) $(hole kept Q1 3)" "$(hole first Q1 1) $(hole first Q1 3)"

run stripwright plan lamp.csv --effort quick --strips 4 -o low.placement.xml
stripwright convert low.placement.xml -o low.holes.csv 2>/dev/null
sed '/<link /s/locked="false"/locked="true"/;/<part /s/locked="false"/locked="true"/' low.placement.xml >whole.placement.xml
run stripwright plan lamp.csv --effort quick --seed 9 --keep whole.placement.xml -o whole.holes.csv
locked() { grep '^link' "$1.holes.csv" | cut -d, -f5-; }
check '--keep: locked links stay, too' same "$(links low):$(locked whole)" "1:$(locked low)"

plan better --from first.holes.csv --prefer area
check '--from: no larger' test $(($(strips better) * $(columns better))) -le 81
check '--from: says what was won' has err 'won on the plan it started from'
check '--from: says what moved' grep -Eq ' stands at .* now, was at | parts.* went ' err

run stripwright plan lamp.csv --effort thorough --seconds 1 -o capped.holes.csv
check '--seconds: ends early with a plan' status_is 0
check '--seconds: says so' has err '[search-capped]'
check '--seconds: legal' legal capped

"$SW_COMMAND" plan lamp.csv --effort thorough -o stopped.holes.csv 2>err &
search=$!
sleep 2
kill -INT $search
wait $search
status=$?
if has err '[search-stopped]'; then
  check 'Ctrl-C: the best plan so far' legal stopped
else # a shell may start it with Ctrl-C ignored
  check 'Ctrl-C: ends' test "$status" = 0
fi

plan told --explain
check '--explain: the bound' grep -Eq 'No plan can have fewer than [0-9]+ holes' err
check '--explain: the gap' grep -Eq 'The plan has .*[0-9]+' err
check '--explain: how much the parts take, by package' grep -Eq 'as [0-9]+ holes take, [0-9]+ % of it: .*2 × RES-0\.25W 10' err
plan none --explain --strips 3 --columns 4
check '--explain without a plan: status 4' status_is 4
check '--explain without a plan: that it is certain' has err 'It is certain that there is none on 3 strips × 4 columns'
check '--explain without a plan: what is found without a limit' has err 'Without the limit of strips the smallest plan found'
check '--explain without a plan: the reason' grep -Eq 'the reason that there is no plan|easing any one of them' err

plan shapes --alternatives 3
check '--alternatives: marks the chosen one' grep -q '^>  1 ' err
check '--alternatives: others are written' legal shapes-2
check '--alternatives: another shape' test "$(size shapes)" != "$(size shapes-2)"
cp shapes-2.holes.csv was
plan shapes --alternatives 3
check '--alternatives: the same again' cmp -s was shapes-2.holes.csv

plan mirror --prefer symmetry
cp mirror.holes.csv was
plan mirror --prefer symmetry --alternatives 3
check '--alternatives: the most symmetrical stays the chosen one' cmp -s was mirror.holes.csv

plan proven --prove --prefer area --seconds 6
check '--prove: status 0' status_is 0
check '--prove: a sentence' grep -Eq 'no legal plan of fewer than|not decided|nothing is shown|a smaller plan than' err
plan proven --prove --seconds 1
check '--prove: says that it is about area' has err 'the proof is about area'
finish
