#!/bin/sh
# The corpus of decks holds what real decks hold (counted in public ones): a line a fact,
# with the deck that shows it and what must stand in it, so that no edit takes it away.
. "$SW_SRCDIR/tests/lib/tap.sh"
good=$SW_SRCDIR/tests/formats/spice/good
bad=$SW_SRCDIR/tests/formats/spice/bad

while IFS='|' read -r deck regex fact; do
  check "$fact ($deck)" grep -qE -e "$regex" "$good/$deck.cir"
done <<'EOF'
title-element|^R[0-9]|the first line is the title, an element or not
title-card|^\.param|the first line is the title, a card or not
title-comment|^\*|the first line is the title, a comment or not
continuation-indented|^[[:space:]]+\+|continuations indented
continuation-comment|^\*|continuations over comments
continuation-blank|^$|continuations over blank lines
continuation-tight|^\+[^ ]|continuations without a blank behind the sign
continuation-alone|^\+$|continuations with nothing behind the sign
comment-line|^[[:space:]]+\*|comments indented
comment-dollar|^\$|comments with a dollar
comment-dollar|^#|comments with a hash sign
comment-semicolon|[^ ];|comments behind a semicolon
comment-inline-dollar| \$ |comments behind a dollar
name-dollar|a\$x|a dollar within a name
text-after-end|^\.end|text behind the end
commas|a,b,|commas as separators
parentheses|\(a b\)|parentheses as separators
node-characters|n-2|a dash in a node
node-characters|\+5v|a plus sign in a node
node-characters|in_1|an underscore in a node
node-characters|out!|an exclamation mark in a node
node-characters|a/b|a slash in a node
node-characters|x\.y|a point in a node
name-dollar|n_1\$2|a dollar in a node
ground|GND|gnd is ground
ground| 00 |00 is not
numbers|1MEG|mega
values-keyed|R=1k|values by key
values-keyed|rmod|values by model
expressions|[{]rload|values in braces
expressions|'half'|values in apostrophes
subcircuit-params|params:|parameters behind their word
ports-usual|optional:|ports that a line may leave out
analyses|^\.csparam|constants of scripts, which are no parameters
subcircuit-values|top=10k|parameters without it
subcircuit-nested|^\.ends tray|nested definitions, ends with names
ends-bare|^\.ends$|bare ends
macro|^\.macro|.macro
expressions|\*\*|powers
functions|^\.func|functions
branches|^\.elseif|branches of the deck
branches-before|^\.include|branches by parameters below them
branches-subcircuit|^\.if|branches of a subcircuit
include-bare|^\.include [a-z]|bare file names
include-quoted|^\.include "|quoted file names
library|^\.lib .* wet|sections of libraries
library-first|^\.lib .* dry|sections that others follow
global|^\.global|global nodes
control|^\.control|scripts that are not run
analyses|^\.tran|analyses
coupling|^K1|K
sources|^I1|V and I
controlled|^H1|E, F, G and H
controlled-poly|POLY\(2\)|controlled sources of several variables
behaviour|^B1|B
fets|^J1|J and M
bulkless|^M1 d g 0 pump|M without bulk
switches|^O1|S, W, T, U and O
coupling|^Z1|Z
substrate|sub qn|Q with substrate
model-local|^\.model qn npn\(bf=300\)|models of a subcircuit
one-letter-names|^R a|names of one letter
EOF

bytes() { # bytes DECK OCTAL: the deck has these bytes
  tr -d '\n' <"$good/$1.cir" | LC_ALL=C grep -q "$(printf '%b' "$2")"
}
check 'a byte order mark' bytes byte-order-mark '\0357\0273\0277'
check 'letters beyond ASCII' bytes node-utf8 'w\0303\0244rme'
check 'lines ended by CR LF' bytes crlf '\0015'
runs_long() { test "$(grep -c '^+' "$good/continuation-run.cir")" -ge 269; }
check 'a continuation runs over 269 lines' runs_long
many_ports() {
  test "$(sed -n '/^\.subckt/,/^[^+.]/p' "$good/ports-266.cir" | sed '$d' | tr -s ' ' '\n' |
    grep -cv '^[+.]')" -ge 266
}
check 'a subcircuit has 266 ports' many_ports
unended() { ! grep -qi '^\.end$' "$good/no-end.cir"; }
check 'a deck without .end' unended
check 'a file without a last line end' test -n "$(tail -c 1 "$good/no-final-newline.cir")"
other_encoding() { ! iconv -f UTF-8 -t UTF-8 "$good/latin1.cir" >out 2>&1; }
check 'bytes that are no UTF-8' other_encoding
check 'elements of other letters are reported' grep -qi '^A' "$bad/element-unknown.cir"
forty() { set -- "$good"/*.cir && test $# -ge 40; }
check 'the decks are at least forty' forty
finish
