#!/bin/sh
# --library with a folder of footprints, as a drawing program keeps them: a folder a library, a file a footprint.
. "$SW_SRCDIR/tests/lib/tap.sh"

mkdir -p footprints/shed.parts outside
cat >footprints/shed.parts/Choke_P12.7mm.part <<'EOF'
(footprint "Choke_P12.7mm" (layer "F.Cu")
  (fp_line (start 3 -2) (end 9.7 -2) (layer "F.Fab") (width 0.1))
  (fp_line (start 9.7 -2) (end 9.7 2) (layer "F.Fab") (width 0.1))
  (fp_line (start 9.7 2) (end 3 2) (layer "F.Fab") (width 0.1))
  (pad "1" thru_hole circle (at 0 0) (size 1.6 1.6) (drill 0.8) (layers *.Cu))
  (pad "2" thru_hole circle (at 12.7 0) (size 1.6 1.6) (drill 0.8) (layers *.Cu))
)
EOF
sed 's/Choke_P12.7mm/Chip/; s/thru_hole circle/smd rect/' footprints/shed.parts/Choke_P12.7mm.part >footprints/shed.parts/Chip.part
sed 's/Choke_P12.7mm/Other/' footprints/shed.parts/Choke_P12.7mm.part >outside/Other.part
cat >lamp.csv <<'EOF'
ref,value,device,package,pins
L1,100u,,shed:Choke_P12.7mm,1=A 2=GND
R1,1k,,,A OUT
P1,,,PIN-1,OUT
P2,,,PIN-1,GND
EOF

run stripwright nodes lamp.csv
check 'a footprint that no table knows: status 4' status_is 4
check '… and what to do' has err 'the folder of the drawing program'
run stripwright plan lamp.csv --library footprints --effort quick -o plan.xml
check 'with the folder there is a plan: status 0' status_is 0
check '… which has the package by the name that the circuit gives it' has plan.xml 'package="shed:Choke_P12.7mm"'
run stripwright check plan.xml --against lamp.csv --library footprints
check 'the plan is checked with the folder: status 0' status_is 0
run stripwright check plan.xml --against lamp.csv
check '… and not without it: status 4' status_is 4
run stripwright plan lamp.csv --library footprints/shed.parts --effort quick -o same.xml
check 'the folder of one library does as well' cmp plan.xml same.xml
run stripwright plan lamp.csv --library footprints/shed.parts/Choke_P12.7mm.part --effort quick
check '… and so does the file alone: status 0' status_is 0

run stripwright list packages --library footprints
check 'list packages says that it does not look into folders' has err 'looked into for what a circuit asks for'

sed 's/Choke_P12.7mm/Chip/' lamp.csv >chip.csv
run stripwright nodes chip.csv --library footprints
check 'a part for surface mounting: status 4' status_is 4
check '… says so, at its file' has err 'footprints/shed.parts/Chip.part:1:13: warning: shed:Chip is for surface mounting'
sed 's/,,shed:Choke_P12.7mm/,,shed:Chip/; 1s/$/,place/; 2s/$/,off/' lamp.csv >beside.csv
run stripwright nodes beside.csv --library footprints
check '… and does no harm beside the board: status 0' status_is 0

for name in ../outside:Other '../../outside/Other' 'shed.parts/../../outside:Other' 'shed:../../outside/Other' ':' 'shed:'; do
  sed "s|shed:Choke_P12.7mm|$name|" lamp.csv >stray.csv
  run stripwright nodes stray.csv --library footprints
  check "a name makes no path: $name" has err "fit-package-unknown"
done
printf '(footprint "Choke' >footprints/shed.parts/Choke_P12.7mm.part
run stripwright nodes lamp.csv --library footprints
check 'a damaged file: status 3' status_is 3
check '… is told with its place' has err 'Choke_P12.7mm.part:1:12: error: no quote ends this string'

finish
