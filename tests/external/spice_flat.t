#!/bin/sh
# A simulator flattens the decks of our corpus to the same elements and nodes, as they
# stand and as we write them.
. "$SW_SRCDIR/tests/lib/tap.sh"
need ngspice
corpus=$SW_SRCDIR/tests/formats/spice/good
devices=$SW_BUILDDIR/tests/external/spice_devices

# flatten DECK: the simulator's own flat deck, written before it builds any model.
flatten() {
  rm -f debug-out2.txt
  printf 'set ngdebug\nsource %s\nquit\n' "$1" >commands
  ngspice -n -p <commands >out 2>err
  test -s debug-out2.txt
}

# nodes OURS: from debug-out2.txt the lines "name node node …", with as many nodes as our
# element has; elements of definitions inside definitions get their letter once.
nodes() {
  awk '
    FNR == NR { count[$1] = NF - 1; next }
    /complete deck/ { exit }
    !/^ *[0-9]+ +[0-9]+ / { next }
    !title++ { next }
    {
      name = $3
      if (name !~ /^[a-z]/) next
      letter = substr(name, 1, 1)
      while (match(name, "^" letter "[.].*[.]" letter "[.]"))
        name = letter "." substr(name, 3, RLENGTH - 4) substr(name, RLENGTH + 1)
      line = name
      rest = $0
      sub(/^ *[0-9]+ +[0-9]+ +[^ ]+/, "", rest)
      gsub(/[(),]/, " ", rest)
      split(rest, word, " ")
      for (i = 1; i <= count[name]; i++) line = line " " word[i]
      print line
    }' "$1" debug-out2.txt | sort
}

# agree DECK OURS: the simulator reads the deck as we do.
agree() {
  flatten "$1" || return 1
  nodes "$2" >theirs
  diff "$2" theirs >err
}

cp "$corpus"/* .
for deck in *.cir; do
  name=${deck%.cir}
  "$devices" "$deck" 2>err | sort >"$name.ours"
  check "$name is read" test -s "$name.ours"
  case $name in
  branches*) # it chooses branches later than it writes the flat deck: what it builds
    printf 'source %s\nshow r\nquit\n' "$deck" >commands
    ngspice -n -p <commands 2>err | awk '$1 == "device" { for (i = 2; i <= NF; i++) print $i }' |
      sort >theirs
    grep -o '^r[^ ]*' "$name.ours" | sort >ours
    check "$name: same resistors" cmp ours theirs
    ;;
  ports-usual) continue ;; # it takes a dollar before a name for a comment
  controlled-poly) continue ;; # it makes other elements of polynomials and tables
  ends-all) ;;       # it refuses one .ends for all, which the manual asks for
  text-after-end) ;; # it reads on behind .end
  title-card) ;;     # it refuses a card as title
  *)
    sed '/^\.control/,/^\.endc/d' "$deck" >read.cir
    check "$name: same elements and nodes" agree read.cir "$name.ours"
    ;;
  esac
  "$devices" --write "$deck" >written.cir
  check "$name: the same from the deck we write" agree written.cir "$name.ours"
done

finish
