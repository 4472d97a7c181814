# shellcheck shell=sh
# tests/lib/tap.sh: what script tests share.  A test begins with
#     . "$SW_SRCDIR/tests/lib/tap.sh"
# and ends with `finish`.  It runs in an empty folder of its own, $work, which is
# removed in the end.  SW_SRCDIR, SW_BUILDDIR and SW_COMMAND come from the Makefile.
LC_ALL=C
export LC_ALL
unset MAKEFLAGS MFLAGS MAKELEVEL # of the make that runs the tests
SW_SRCDIR=$(cd "$SW_SRCDIR" && pwd -P) || exit 99
tap_count=0
tap_failed=0
work=$(mktemp -d "${TMPDIR:-/tmp}/stripwright-test.XXXXXX") || exit 99
trap 'cd / && rm -rf "$work"' EXIT
trap 'exit 99' HUP INT TERM
cd "$work" || exit 99

# The command under test.
stripwright() {
  "$SW_COMMAND" "$@"
}

# run WORDS...: runs a command, keeps its output in files out and err, status in $status.
run() {
  "$@" >"$work/out" 2>"$work/err" </dev/null
  status=$?
}

ok() { # ok NAME: a sub-test passed
  tap_count=$((tap_count + 1))
  echo "ok $tap_count - $1"
}

not_ok() { # not_ok NAME: a sub-test failed; what run kept is shown
  tap_count=$((tap_count + 1))
  tap_failed=$((tap_failed + 1))
  echo "not ok $tap_count - $1"
  echo "# status: ${status-}"
  for tap_file in out err; do
    test -s "$work/$tap_file" && sed "s/^/# $tap_file: /" "$work/$tap_file" | head -40
  done
}

# check NAME WORDS...: passes when the command is true.
check() {
  tap_name=$1
  shift
  if "$@"; then ok "$tap_name"; else not_ok "$tap_name"; fi
}

same() { # same GOT WANTED: equal texts, else both are shown
  test "$1" = "$2" && return 0
  printf 'got: %s\nwanted: %s\n' "$1" "$2" | sed 's/^/# /'
  return 1
}

status_is() { # status_is N: of the last run
  same "$status" "$1"
}

has() { # has FILE TEXT: a file has a line with this text
  grep -qF -e "$2" "$1"
}

lacks() { # lacks FILE TEXT: none of its lines has it
  ! has "$@"
}

# need PROGRAM...: an outside program that is missing is a failure, never a skip.
need() {
  for tap_tool in "$@"; do
    command -v "$tap_tool" >/dev/null 2>&1 && continue
    not_ok "needs $tap_tool, which is not installed: ./bootstrap check installs it"
    finish
  done
}

finish() {
  echo "1..$tap_count"
  test "$tap_failed" = 0 && test "$tap_count" != 0
  exit $?
}
