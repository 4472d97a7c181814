#!/bin/sh
# A project file in a folder: `stripwright nodes` there just works.
. "$SW_SRCDIR/tests/lib/tap.sh"
cp "$SW_SRCDIR/examples/moisture-amplifier/moisture-amplifier.cir" soil.cir
cat >stripwright.ini <<'INI'
# the seed bed
circuit = soil.cir
effort = quick

[plan]
output = soil.holes.csv
seed = 3
INI
run stripwright nodes
check 'the circuit is named by the project file' status_is 0
check 'its nodes are listed' has out 'Soil-moisture amplifier'
run stripwright plan
check 'plan: status 0' status_is 0
check 'plan: the output is named by the project file' test -s soil.holes.csv
run stripwright plan --output other.holes.csv
check 'the command line wins' test -s other.holes.csv

mkdir below && mv soil.cir stripwright.ini below
run stripwright plan below/soil.cir
check 'the project file beside the circuit is read' test -s below/soil.holes.csv

echo 'output = ../up.holes.csv' >below/stripwright.ini
run stripwright plan below/soil.cir --effort quick
check 'a project file that was only found may not leave its folder: status 3' status_is 3
check 'the line is shown' has err 'below/stripwright.ini:1:'
check 'nothing was written' test ! -e up.holes.csv
run stripwright plan below/soil.cir --effort quick --project below/stripwright.ini
check 'a project file named by the user may' test -s up.holes.csv
echo 'allow = .' >below/stripwright.ini
run stripwright nodes below/soil.cir
check 'nor may it allow folders' status_is 3
echo 'colour = green' >below/stripwright.ini
run stripwright nodes below/soil.cir
check 'an unknown name: status 3' status_is 3
check 'an unknown name is marked where it stands' has err 'below/stripwright.ini:1:1: error: there is no option of this name'
echo '[plam]' >below/stripwright.ini
run stripwright nodes below/soil.cir
check 'a section that is no verb: status 3' status_is 3
check 'a section that is no verb: the line is told' has err '[project-line]'
echo 'spreadsheet = maybe' >below/stripwright.ini
run stripwright convert below/soil.cir -o soil.csv
check 'a flag that is neither yes nor no: status 3' status_is 3
printf 'strips = 9\neffort = fast\n' >below/stripwright.ini
run stripwright plan below/soil.cir
check 'a wrong value: status 2, as on the command line' status_is 2
check 'a wrong value is shown where it stands' has err "below/stripwright.ini:2:10: error: --effort wants quick, normal or thorough, not 'fast'"
echo 'effort = quick' >below/stripwright.ini
run stripwright plan below/soil.cir --effort slow
check 'a wrong value of the command line stands in no file' has err "error: --effort wants quick, normal or thorough, not 'slow'"
check 'a wrong value of the command line: no line is shown' lacks err 'stripwright.ini'
finish
