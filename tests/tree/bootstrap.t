#!/bin/sh
# bootstrap on machines of all kinds, played by stand-ins for apt-get, dpkg-query,
# sudo, make and the rest; nothing is installed and nothing is compiled.
. "$SW_SRCDIR/tests/lib/tap.sh"

# --- The stage ------------------------------------------------------------
# A source tree that has been through autoreconf, and tools that note their calls.
mkdir tree bin debian elsewhere
cp "$SW_SRCDIR/bootstrap" tree/
: >tree/Makefile.in

stand_in() { # stand_in FILE: makes standard input an executable script
  { echo '#!/bin/sh'; cat; } >"$1"
  chmod +x "$1"
}

for tool in sh awk cat cp cut dirname env find getconf grep head mkdir mktemp mv printf \
  rm sed sort tail test tr; do
  ln -s "$(command -v "$tool")" bin/ || exit 99
done
stand_in bin/id <<'END'
echo "${FAKE_UID-0}"
END
stand_in bin/make <<'END'
echo "make $*" >>"$CALLS"
test -z "${FAKE_FAIL-}" || { echo 'main.c:1: error'; exit 2; }
case "$*" in
  *check*)
    mkdir -p tests
    for result in ${FAKE_RESULTS-}; do
      echo ":test-result: $result" >>tests/fake.trs
      echo "not ok 1 - frost # lines of the log" >tests/fake.log
    done ;;
  *) cp "$STAGE/command" stripwright ;;
esac
END
stand_in command <<'END'
pwd
printf '<%s>' "$@"
echo
cat
exit "${FAKE_STATUS-0}"
END
stand_in tree/configure <<'END'
echo configure >>"$CALLS"
: >Makefile
END
for tool in cc c++ autoreconf automake autoconf libtoolize chromium chromedriver ngspice \
  pdftotext python3 rsvg-convert valgrind xmllint yosys; do
  stand_in bin/$tool </dev/null
done
stand_in bin/pkg-config <<'END'
case " ${FAKE_MISSING-} " in *" $2 "*) exit 1 ;; esac
END
stand_in debian/dpkg-query <<'END'
shift 3
for package in "$@"; do
  case " ${FAKE_MISSING-} " in *" $package "*) ;; *) echo "+$package installed" ;; esac
done
END
stand_in debian/apt-get <<'END'
echo "apt-get $* (${DEBIAN_FRONTEND-})" >>"$CALLS"
case "$*" in
  *update*) : >"$STAGE/updated" ;;
  *" ${FAKE_UNKNOWN-none}"*) exit 100 ;;
  *) test -f "$STAGE/updated" ;;
esac
END
mkdir sudo
stand_in sudo/sudo <<'END'
test "$1" = -n && shift
echo "sudo $1" >>"$CALLS"
"$@"
END

STAGE=$work CALLS=$work/calls
export STAGE CALLS

# play SYSTEM WORDS...: bootstrap, run from another folder, on a machine whose PATH is
# SYSTEM; its calls are in the file calls, its standard input is "deck".
play() {
  tap_path=$1
  shift
  : >calls
  rm -f updated
  (cd elsewhere && echo deck | PATH=$tap_path ../tree/bootstrap "$@") >out 2>err
  status=$?
}
plain=$work/bin
debian=$work/debian:$work/bin
fresh() { rm -rf tree/build; }

# --- What it says ---------------------------------------------------------
play "$plain"
check 'no arguments: explains' has out 'usage: ./bootstrap'
check 'no arguments: status 0' status_is 0
check 'no arguments: builds nothing' test ! -s calls

# --- On a system that is no Debian ----------------------------------------
play "$plain" nodes 'rain counter.cir' '' -d "it's"
check 'all there: builds and runs the command' status_is 0
check 'arguments arrive as they were' has out "<nodes><rain counter.cir><><-d><it's>"
check 'the command runs in the folder of the caller' has out "$work/elsewhere"
check 'the command reads the standard input of the caller' has out deck
check 'configures the first time' has calls configure

play "$plain" nodes
check 'a second run does not configure' test "$(grep -c configure calls)" = 0
check 'a second run says nothing of its own' test ! -s err

FAKE_STATUS=4 play "$plain" plan x
check 'the status is that of the command' status_is 4

fresh
FAKE_MISSING='expat zlib' play "$plain" nodes
check 'libraries missing: status 5' status_is 5
check 'libraries missing: named' has err libexpat1-dev
check 'libraries missing: those that are there are not' test "$(grep -c libxml2-dev err)" = 0
check 'libraries missing: nothing is run' test ! -s calls

FAKE_MISSING='librsvg-2.0' play "$plain" nodes
check 'a library that is only wished for: goes on' status_is 0
check 'a library that is only wished for: said' has err librsvg2-dev
FAKE_MISSING='librsvg-2.0' play "$plain" nodes
check 'a library that is only wished for: said once' test ! -s err

# --- On Debian ------------------------------------------------------------
fresh
FAKE_MISSING='zlib1g-dev' play "$debian" nodes
check 'root: installs and goes on' status_is 0
check 'root: only what is missing, nothing recommended, nothing asked' has calls \
  'install -y --no-install-recommends zlib1g-dev (noninteractive)'
check 'root: lists fetched once, when needed' test "$(grep -c update calls)" = 1
check 'root: says what and why' has err 'reads gzip'

FAKE_UID=1000 FAKE_MISSING='zlib1g-dev' play "$work/sudo:$debian" nodes
check 'sudo: installs and goes on' status_is 0
check 'sudo: used for apt-get' has calls 'sudo env'

FAKE_UID=1000 FAKE_MISSING='zlib1g-dev' play "$debian" nodes
check 'neither: status 5' status_is 5
check 'neither: says the one command to type' has err \
  'apt-get update && apt-get install -y --no-install-recommends zlib1g-dev'
check 'neither: nothing is run' test ! -s calls

fresh
FAKE_UID=1000 FAKE_MISSING='libcadical-dev' play "$debian" nodes
check 'neither, and only wished for: goes on' status_is 0
check 'neither, and only wished for: said' has err libcadical-dev

fresh
FAKE_UNKNOWN=libcadical-dev FAKE_MISSING='libcadical-dev' play "$debian" nodes
check 'wished for and not to be had: goes on' status_is 0
FAKE_UNKNOWN=libcadical-dev FAKE_MISSING='libcadical-dev' play "$debian" nodes
check 'wished for and not to be had: not tried again' test "$(grep -c apt-get calls)" = 0

FAKE_UNKNOWN=zlib1g-dev FAKE_MISSING='zlib1g-dev' play "$debian" nodes
check 'needed and not to be had: status 5' status_is 5
check 'needed and not to be had: says what' has err 'could not install: zlib1g-dev'

FAKE_MISSING='' play "$debian" nodes
check 'nothing missing: apt-get is not called' test "$(grep -c apt-get calls)" = 0

# --- Tests ----------------------------------------------------------------
FAKE_RESULTS='PASS PASS XFAIL SKIP' play "$debian" check
check 'check: counts, skipped apart' same "$(tail -n 1 out)" '3 passed, 0 failed, 1 skipped'
check 'check: one line, all well' test "$(grep -c passed out)" = 1
check 'check: status 0' status_is 0
check 'check: all tests' has calls check-all

FAKE_RESULTS='PASS' play "$debian" check --core
check 'check --core: without outside programs' test "$(grep -c check-all calls)" = 0
check 'check --core: counts' same "$(cat out)" '1 passed, 0 failed'

FAKE_RESULTS='PASS FAIL ERROR' play "$debian" check
check 'a failure and the status it brings count once' same "$(tail -n 1 out)" '1 passed, 1 failed'
check 'a failure is shown' has out 'not ok 1 - frost'
check 'a failure: status 1' status_is 1

FAKE_RESULTS='PASS ERROR' play "$debian" check
check 'a test that breaks off is a failure' same "$(tail -n 1 out)" '1 passed, 1 failed'

FAKE_RESULTS='' play "$debian" check
check 'nothing ran: a failure' same "$(tail -n 1 out)" '0 passed, 1 failed'
check 'nothing ran: status 1' status_is 1

FAKE_FAIL=1 play "$debian" check
check 'a build that fails: the line all the same' same "$(tail -n 1 out)" '0 passed, 1 failed'
check 'a build that fails: its log is shown' has err 'main.c:1: error'
check 'a build that fails: status 1' status_is 1

FAKE_MISSING='valgrind' play "$debian" check --core
check 'check --core: outside programs are not installed' test "$(grep -c valgrind calls)" = 0
FAKE_MISSING='valgrind libcmocka-dev' play "$debian" check
check 'check: what tests need is installed' has calls 'libcmocka-dev valgrind'

play "$debian" check frost.placement.xml --against frost.cir
check 'check with a plan is the verb' has out '<check><frost.placement.xml><--against><frost.cir>'

finish
