#!/bin/sh
# What README.md, the examples' READMEs and the man page tell people to type works, in
# the order in which it is told.
. "$SW_SRCDIR/tests/lib/tap.sh"
: >ran
mkdir bench # `out` is a file of the tests' own up here
cp -R "$SW_SRCDIR/examples" bench/examples
chmod -R u+w bench/examples
for folder in bench/examples/*/; do echo 'effort = quick' >"$folder/stripwright.ini"; done

# try FILE: runs each command of a file's indented or verbatim lines.
try() {
  sed -n 's/\\-/-/g; s/^ *\(stripwright .*\)/\1/p; s,^ *\./bootstrap \(workpack .*\),stripwright \1,p' "$1" |
    grep -E '^stripwright (workpack|plan|check|nodes|fit|convert|compare|list) ' >commands
  check "${1#"$SW_SRCDIR"/}: has commands" test -s commands
  while read -r line; do
    grep -qxF -e "$line" ran && continue # told in several places
    echo "$line" >>ran
    run sh -c "cd bench && \"\$SW_COMMAND\" ${line#stripwright }"
    check "$line" status_is 0
  done <commands
}

try "$SW_SRCDIR/README.md"
sed -n '/^\.SH EXAMPLES/,/^\.fi/p' "$SW_SRCDIR/src/cli/stripwright.1" >page
try page
for text in "$SW_SRCDIR"/examples/*/README.md; do
  try "$text"
done

sed -n '/^node,pins$/,/^```$/p' "$SW_SRCDIR/README.md" | grep -v '^```' >typed.csv
check 'the circuit of README.md is the example' cmp -s typed.csv bench/examples/lamp-flasher/lamp-flasher.csv
finish
