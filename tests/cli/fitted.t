#!/bin/sh
# convert --fitted: packages, values, pins and numbers go through every netlist format
# and come back from it; what does not is told.
. "$SW_SRCDIR/tests/lib/tap.sh"

# plain SCHEDULE: parts, and nodes by number with their pins, also those alone; a reason
# for a rail is another one when the file states it, and ground may be called 0.
plain() {
  sed -n -e '/^part /p' -e 's/ why=\("[^"]*"\|[^ ]*\)//' -e 's/ global//' \
    -e 's/^\(node [0-9]* \).* \(rail=[a-z]*\)\(.* :\)/\1\2\3/p' "$1" | sed 's/ volts=[^ ]*//'
}

for circuit in frost-alarm/frost-alarm.cir pump-driver/pump-driver.cir \
  bed-waterer/bed-waterer.csv lamp-flasher/lamp-flasher.csv; do
  name=$(basename "${circuit%.*}")
  stripwright convert "$SW_SRCDIR/examples/$circuit" --fitted -o "$name.sched" 2>err
  check "$name: fitted" grep -q '^part .*package=[A-Z]' "$name.sched"
  plain "$name.sched" >wanted
  check "$name: nodes have numbers" grep -q '^node 1 ' wanted
  for to in spice edif pins nodes parts schedule; do
    run stripwright convert "$SW_SRCDIR/examples/$circuit" --fitted --to "$to" -o "$name.$to"
    check "$name to $to: status 0" status_is 0
    cp err told
    # What is called V12 is no rail by its name: where the format cannot say it, we do.
    case $name,$to in
      pump-driver,parts)
        check "$name to $to: rails are told" has told 'no place for rails: V12, 0, CTRL'
        rails='--rail V12=positive --rail CTRL=positive' ;;
      *) rails= ;;
    esac
    # shellcheck disable=SC2086
    run stripwright convert "$name.$to" --from "$to" --fitted $rails -o back.sched
    plain back.sched >got
    check "$name to $to and back: the same parts, numbers and pins" cmp wanted got
    # A name that only repeats the number says nothing.
    sed -n '/^pin /{s/ name=1 / /;p;}' "$name.sched" >pins.wanted
    sed -n '/^pin /{s/ name=1 / /;p;}' back.sched >pins.got
    cmp -s pins.wanted pins.got ||
      check "$name to $to: names of pins are told" has told 'no place for names of pins'
  done
  run stripwright convert "$name.schedule" --fitted -o back.sched
  check "$name: a fitted schedule stays as it is" cmp "$name.sched" back.sched
done

# A rail that the file states is one for the fit.
printf 'ref,pin,node,value,rail\nR1,1,A,1k,positive\nR1,2,B,,ground\nC1,1,A,1u,\nC1,2,B,,\n' >rail.csv
run stripwright convert rail.csv --fitted --to schedule
check 'a rail that a table states' has out 'rail=positive why="stated in the file"'
check 'a ground that a table states' has out 'rail=ground why="stated in the file"'
finish
