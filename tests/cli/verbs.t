#!/bin/sh
# nodes, fit and list, and the options that all verbs share.
. "$SW_SRCDIR/tests/lib/tap.sh"
deck=$SW_SRCDIR/examples/frost-alarm/frost-alarm.cir

# fit: its sheet, given back, says the same; a line of it that is edited counts.
run stripwright fit "$deck" -o parts.csv
check 'fit: status 0' status_is 0
run stripwright nodes "$deck" -o before.sched
run stripwright nodes "$deck" --parts parts.csv -o after.sched
check 'fit and back: status 0' status_is 0
check 'fit and back: nothing is assumed any more' test "$(grep -c fit-guessed err)" = 0
run stripwright compare before.sched after.sched
check 'fit and back: the same circuit' status_is 0
sed 's/ELEC-5/ELEC-6.3/' parts.csv >other.csv
run stripwright nodes "$deck" --parts other.csv --to schedule
check 'an edited sheet counts' has out 'ELEC-6.3'

# A model of a thing beside the board is no circuit to build, unless it is to be converted.
cat >chime.cir <<'END'
Chime at the greenhouse door
R1 in out 1k
XLS1 out 0 SPEAKER
.subckt SPEAKER a b
R1 a c 7.2
L1 c b 0.4m
.ends
END
run stripwright fit chime.cir
check 'a loudspeaker: a terminal pin a lead' grep -Eq '^XLS1,.*,off,' out
check 'a loudspeaker: told' has err '[fit-beside]'
check 'a loudspeaker: its model is not built' test "$(grep -c 'XLS1\.' out)" = 0
run stripwright convert chime.cir --to schedule
check 'converted it is laid flat' has out 'XLS1.L1'

# Numbers of an earlier revision.
sed 's/^R7  VCC  LEDA 680/R7  VCC  LEDA 680\nR9 VCC EXTRA 1k\nR10 EXTRA 0 1k/' "$deck" >grown.cir
run stripwright nodes grown.cir --numbers before.sched -o grown.sched
check 'numbers: status 0' status_is 0
grep '^node' before.sched | sed 's/^node \([0-9]*\) name=\([^ ]*\).*/\1 \2/' | sort >old
grep '^node' grown.sched | sed 's/^node \([0-9]*\) name=\([^ ]*\).*/\1 \2/' | sort >new
check 'numbers: each old node keeps its number' same "$(comm -23 old new)" ''
check 'numbers: what became of them is told' has err '[numbers-kept]'
run stripwright nodes "$deck" --numbers grown.sched --compact
check 'compact: status 0' status_is 0

# Findings may be treated otherwise; --strict makes warnings errors.
printf 'A warning\nV1 A 0 9\nR1 A B 1k\nR2 A 0 1k\n.end\n' >warns.cir
run stripwright nodes warns.cir
check 'a warning: status 0' status_is 0
check 'a warning is shown with line and column' grep -q '^warns.cir:3:6: warning: .*\[node-single\]$' err
run stripwright nodes warns.cir --strict
check 'strict: status 3' status_is 3
run stripwright nodes warns.cir --treat node-single=error
check 'treated as an error: status 3' status_is 3
run stripwright nodes warns.cir --treat node-single=quiet --strict
check 'treated as quiet: status 0' status_is 0
check 'treated as quiet: not shown' test "$(grep -c node-single err)" = 0
run stripwright nodes warns.cir --treat nonsense=error
check 'an unknown finding: status 2' status_is 2

# Rails and libraries of the user's.
run stripwright nodes warns.cir --rail A=negative --to schedule
check 'a stated rail' grep -q 'name=A rail=negative' out
run stripwright nodes warns.cir --rail Z=negative
check 'a rail that is no node: status 2' status_is 2
cat >mine.csv <<'CSV'
name,form,body_along_mm,body_across_mm,height_mm,turns,under,joined,source
RES-OURS,pair:3:5:12,6.5,2.5,2.5,0 90,,,measured
CSV
run stripwright list packages --library mine.csv
check 'a library of ones own' has out RES-OURS
printf 'name,package\nR1,RES-OURS\n' >ours.csv
run stripwright nodes warns.cir --parts ours.csv
check 'a package that is not in the library: status 4' status_is 4
run stripwright nodes warns.cir --parts ours.csv --library mine.csv
check 'a package of the library of ones own' status_is 0

# Includes: beside the deck, else only where the user says so.
mkdir deck other
printf '.subckt DIV a b\nR1 a b 1k\n.ends\n' >other/div.inc
printf 'Includes\n.include ../other/div.inc\nX1 P 0 DIV\nR2 P 0 1k\n.end\n' >deck/top.cir
run stripwright nodes deck/top.cir
check 'an include outside the folder: status 3' status_is 3
check 'an include outside the folder: says how' has err '--allow'
run stripwright nodes deck/top.cir --allow other
check 'an include of an allowed folder' status_is 0
ln -s ../other/div.inc deck/link.inc
sed 's,\.\./other/div.inc,link.inc,' deck/top.cir >deck/link.cir
run stripwright nodes deck/link.cir
check 'a link leads nowhere else: status 3' status_is 3
sed 's,\.\./other/div.inc,missing.inc,' deck/top.cir >deck/missing.cir
run stripwright nodes deck/missing.cir
check 'an include that is not there: status 3' status_is 3
check 'an include that is not there: how to go on' has err '--without'
run stripwright convert deck/missing.cir --without missing.inc -o without.sched
check '--without: status 0' status_is 0
check '--without: what is left out' has err "'missing.inc' is left out as asked"
check '--without: its id' has err '[include-left-out]'
check '--without: its subcircuit is told of' has err 'spice-subckt-missing'
printf 'Paths\n.lib C:\\parts\\lib\\diodes.lib\n.lib all.lib typical\nR1 P 0 1k\nR2 P 0 2k\n.end\n' >deck/paths.cir
run stripwright nodes deck/paths.cir --without 'diodes.*' --without all.lib
check '--without: by the last part of a path, and of a section' status_is 0
run stripwright nodes deck/top.cir --allow other --without gone.lib
check '--without that leaves nothing out is told of' has err '--without has no effect here'

# Names that a terminal would obey do not reach it.
printf 'ref,pin,node\n"R\033[31m1",1,A\n"R\033[31m1",2,0\nR2,1,A\nR2,2,0\n' >red.csv
run stripwright nodes red.csv --treat value-missing=warning
check 'findings show no control characters' test "$(grep -c "$(printf '\033')" err)" = 0

for name in formats packages devices stock diagnostics; do
  run stripwright list "$name"
  check "list $name: status 0" status_is 0
  check "list $name: says something" test -s out
done
run stripwright list gnomes
check 'list of what there is not: status 2' status_is 2
check 'list of what there is not: says what there is' has err stock

stripwright nodes "$deck" 2>err | true
"$SW_COMMAND" nodes "$deck" >/dev/full 2>err
check 'standard output on a full disk: status 5' same "$?" 5
"$SW_COMMAND" nodes "$deck" 2>err >&-
check 'standard output closed: status 5' same "$?" 5
# A deck that is called by its place on another machine is called by its file's name.
printf '* C:\\drawings of Ann\\rain_counter-2.sch\nR1 VCC OUT 1k\nC1 OUT 0 1u\nR2 OUT 0 1k\nV1 VCC 0 9\n.end\n' >path.cir
run stripwright nodes path.cir
check 'a path as title: the name alone' has out 'Rain counter 2: 5 parts'
sed 's/^.*sch$/* \/media\/stick\/rain.sch/' path.cir >slash.cir
run stripwright nodes slash.cir
check 'a path with slashes: the name alone' has out 'Rain: 5 parts'
run stripwright convert path.cir --to spice
check 'a path as title: kept by convert' has out 'rain_counter-2.sch'

finish
